"""IEC 60204-1, clause 6.2.4, as quoted at cmph-safety.tech and sdev.dk [secondary]."""

from __future__ import annotations

import pytest

from pulsewright.physics.pulsed_power.discharge_rules import machinery_discharge_rule
from pulsewright.physics.pulsed_power.storage import stored_charge


def test_live_parts_come_down_to_60_v_within_5_s() -> None:
    rule = machinery_discharge_rule(230.0, 1e-6)
    assert (rule.voltage_limit, rule.allowed_time, rule.applies) == (60.0, 5.0, True)


def test_parts_at_60_v_or_less_need_nothing() -> None:
    assert not machinery_discharge_rule(60.0, 1.0).applies
    assert machinery_discharge_rule(60.1, 1.0).applies


@pytest.mark.parametrize("voltage", [100.0, 1e3, 10e3])
def test_charges_to_60_microcoulomb_are_exempt(voltage: float) -> None:
    capacitance = 60e-6 / voltage
    assert stored_charge(capacitance, voltage) == pytest.approx(60e-6, rel=1e-12)
    assert not machinery_discharge_rule(voltage, capacitance).applies
    assert machinery_discharge_rule(voltage, 1.01 * capacitance).applies


def test_exposed_plug_pins_have_1_s_and_no_exemption() -> None:
    rule = machinery_discharge_rule(230.0, 0.1e-6, exposed_pins=True)
    assert (rule.voltage_limit, rule.allowed_time, rule.applies) == (60.0, 1.0, True)
