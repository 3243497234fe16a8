"""Fire-code letter, City of Everett, Washington, file 2008361, p. 15: what a room of 13 440 ft^3 may take up."""

from __future__ import annotations

import pytest

from pulsewright import units
from pulsewright.physics.air.vapour import dilution_air_volume, gas_volume, mass_concentration

room = 13_440 * 0.3048**3  # ft^3


def test_room_volume() -> None:
    assert room * 1e3 == pytest.approx(380_578, abs=1.0)  # printed in litres
    assert units.parse("380578 L", "m^3") == pytest.approx(room, rel=3e-6)


def test_hydrogen_at_a_quarter_of_its_lower_limit() -> None:
    # 4 % lower limit, a quarter of it; printed: 3806 L, hence 2379 g of lithium at 1.6 L/g
    allowed = room / dilution_air_volume(1.0, 0.04, 0.25)
    assert allowed * 1e3 == pytest.approx(3806, abs=0.5)
    assert allowed * 1e3 / 1.6 == pytest.approx(2379, abs=0.5)


def test_acetone_at_its_mass_concentration() -> None:
    # 0.50 mg/L; printed: 190 g in the room
    fraction = gas_volume(0.190, 58.08e-3) / room
    assert mass_concentration(fraction, 58.08e-3, 293.15) == pytest.approx(0.50e-3, abs=0.005e-3)
