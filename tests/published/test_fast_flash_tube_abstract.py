"""Abstract "The plasma z-pinch effect on the I-V characteristic of fast discharge flash tubes" [source].

V ~ I^0.85 (credited to Marotta) above about 2 kA/cm^2 in pre-ionised fast discharges, back to V ~ I^0.5 (Goncz) below
about 0.6 kA/cm^2.
"""

from __future__ import annotations

import pytest

from pulsewright.physics.lamp.resistivity import current_density
from pulsewright.physics.lamp.square_law import square_law_voltage, steep_law_voltage

BORE = 7e-3
AREA_CM2 = 3.141592653589793 * 0.35**2
PER_CM2 = 1e4


@pytest.mark.parametrize("join", [600.0, 1200.0, 2000.0])  # A/cm^2: somewhere between the two published figures
def test_exponents_on_either_side(join: float) -> None:
    def voltage(density: float) -> float:
        return float(steep_law_voltage(30.0, density * AREA_CM2, join * AREA_CM2))

    assert current_density(600 * AREA_CM2, BORE) == pytest.approx(600 * PER_CM2, rel=1e-12)
    assert voltage(600) / voltage(300) == pytest.approx(2**0.5, rel=1e-12)
    assert voltage(4000) / voltage(2000) == pytest.approx(2**0.85, rel=1e-12)
    assert voltage(join) == pytest.approx(float(square_law_voltage(30.0, join * AREA_CM2)), rel=1e-12)
