"""IEC 60335-1, clause 8.1.4, as quoted in a forum [secondary]: protective impedance.

42.4 to 450 V peak: at most 0.1 uF; 450 V to 15 kV: at most 45 uC; above 15 kV: at most 350 mJ; current 2 mA direct,
0.7 mA peak alternating.
"""

from __future__ import annotations

import pytest

from pulsewright.errors import DomainError
from pulsewright.physics.pulsed_power.discharge_rules import accessible_capacitance_limit, accessible_current_limit
from pulsewright.physics.pulsed_power.storage import stored_charge, stored_energy


@pytest.mark.parametrize("voltage", [42.5, 230.0, 450.0])
def test_tenth_of_a_microfarad(voltage: float) -> None:
    assert accessible_capacitance_limit(voltage) == pytest.approx(0.1e-6, rel=1e-12)


@pytest.mark.parametrize("voltage", [451.0, 5e3, 15e3])
def test_45_microcoulomb(voltage: float) -> None:
    assert stored_charge(accessible_capacitance_limit(voltage), voltage) == pytest.approx(45e-6, rel=1e-12)


@pytest.mark.parametrize("voltage", [15.1e3, 30e3])
def test_350_millijoule(voltage: float) -> None:
    assert stored_energy(accessible_capacitance_limit(voltage), voltage) == pytest.approx(0.350, rel=1e-12)


def test_no_limit_is_named_below_42_4_v() -> None:
    with pytest.raises(DomainError, match=r"above 42\.4 V"):
        accessible_capacitance_limit(42.4)


def test_currents() -> None:
    assert (accessible_current_limit("direct"), accessible_current_limit("alternating")) == (2e-3, 0.7e-3)
