"""Charge, wall, meter and dump of a bench: numbers against their own formulas, intervals, what is never reached."""

from __future__ import annotations

import math

import pytest

from pulsewright import safety
from pulsewright.safety.bank_figures import (
    charge_curve,
    drain_resistance,
    dump_rating,
    meter_figures,
    ranges,
    supply_figures,
)

DIVIDER = {"meter__upper_resistance": "1 Gohm", "meter__lower_resistance": "1 Mohm"}


def test_drain_is_bleeder_and_loaded_divider_in_parallel(bare) -> None:
    assert drain_resistance(bare().machine) == pytest.approx(20e6)
    both = bare(**DIVIDER, meter__input_resistance="10 Mohm").machine
    lower = 1e6 * 10e6 / 11e6
    assert drain_resistance(both) == pytest.approx(1 / (1 / 20e6 + 1 / (1e9 + lower)))
    assert drain_resistance(bare(bank__bleeder_resistance="unknown").machine) == math.inf


@pytest.mark.parametrize(
    "changes",
    [
        {},
        {"charger__method": "constant power", "charger__power": "100 W"},
        {"charger__method": "resistor", "charger__resistance": "100 kohm"},
    ],
)
def test_curve_meets_the_voltage_at_the_charge_time(bare, changes) -> None:
    machine = bare(**changes).machine
    supply = supply_figures(machine, 9.5e3)
    assert charge_curve(machine)(supply.charge_time) == pytest.approx(9.5e3, rel=1e-9)
    parts = supply.stored_energy + supply.drained_energy + supply.resistor_loss
    assert supply.supplied_energy == pytest.approx(parts, rel=1e-9)
    assert supply.line_energy == pytest.approx(supply.supplied_energy / 0.8)
    assert supply.settled_voltage > 9.5e3


def test_wall_power_and_currents_at_the_repeat_period(bare) -> None:
    machine = bare(charger__repeat_period="30 s", charger__line_voltage="230 V").machine
    supply = supply_figures(machine, 9.5e3)
    assert supply.mean_line_power == pytest.approx(supply.line_energy / 30)
    assert supply.mean_line_current == pytest.approx(supply.line_energy / 30 / (230 * 0.7))
    assert supply.peak_line_current == pytest.approx(15e-3 * 9.5e3 / 0.8 / (230 * 0.7))
    single = supply_figures(bare().machine, 9.5e3)
    assert (single.mean_line_power, single.peak_line_current, single.mean_line_current) == (None, None, None)


def test_charging_resistor_can_be_what_limits_the_repeat_rate(bare) -> None:
    changes = {"charger__method": "resistor", "charger__resistance": "100 kohm"}
    free = supply_figures(bare(**changes).machine, 9.5e3)
    assert free.shortest_period == free.charge_time
    cold = supply_figures(bare(**changes, charger__resistor_power_rating="10 W").machine, 9.5e3)
    assert cold.shortest_period == pytest.approx(cold.resistor_loss / 10)
    assert "resistor" in cold.shortest_reason


def test_beyond_the_charger_and_beyond_where_it_settles_is_never(bare) -> None:
    for machine, volts in (
        (bare().machine, 12.1e3),
        (bare(charger__method="resistor", charger__resistance="6 Mohm").machine, 9.3e3),
    ):
        supply = supply_figures(machine, volts)
        assert supply.charge_time == math.inf
        assert supply.supplied_energy == math.inf
        assert supply.mean_line_power is None
        assert not math.isnan(supply.line_energy)


def test_meter_reads_less_under_load_and_more_when_its_arm_opens(bare) -> None:
    meter = meter_figures(bare(**DIVIDER, meter__input_resistance="10 Mohm").machine, 9.5e3)
    assert meter is not None
    assert meter.reading * meter.ratio == pytest.approx(9.5e3)
    assert meter.loading_error == pytest.approx(1001 / meter.ratio - 1)
    assert meter.reading + meter.upper_voltage == pytest.approx(9.5e3)
    assert meter.open_voltage == pytest.approx(9.5e3 * 10 / 1010)
    unknown = meter_figures(bare(**DIVIDER).machine, 9.5e3)
    assert unknown is not None
    assert unknown.loading_error is None
    assert unknown.open_voltage == 9.5e3
    assert meter_figures(bare().machine, 9.5e3) is None


def test_dump_rating_prefers_the_data_sheet(bare) -> None:
    by_sheet = dump_rating(bare(dump__energy_rating="4 kJ").machine)
    assert by_sheet is not None
    assert by_sheet[0] == pytest.approx(4e3)
    assert dump_rating(bare(dump__volume="unknown").machine) is None


def test_intervals_add_squares_and_leave_what_is_exact(bare) -> None:
    def numbers(machine, volts):
        return {
            "energy": machine.bank.capacitance * volts**2 / 2,
            "volume": machine.dump.volume,
            "never": math.inf,
            "unknown": None,
        }

    spans = ranges(bare(), numbers, 9.5e3)
    low, high = spans["energy"]
    share = math.hypot(0.05, 2 * 50 / 9500)  # 5 % of the capacitance, 50 V
    assert (high - low) / 2 / 180.5 == pytest.approx(share, rel=1e-3)
    assert set(spans) == {"energy"}


@pytest.mark.parametrize(
    ("changes", "grade", "told"),
    [
        ({"meter__supply": "mains"}, "warning", "shock path"),
        ({}, "warning", "not stated"),
        ({"meter__supply": "battery"}, None, ""),
        ({"meter__supply": "isolated"}, None, ""),
    ],
)
def test_how_the_instrument_is_fed(bare, changes, grade, told) -> None:
    found = [f for f in safety.findings(bare(**DIVIDER, **changes)) if f.path == "meter.supply"]
    assert bool(found) == (grade is not None)
    for finding in found:
        assert finding.grade == grade
        assert told in finding.message
        assert "laptop" in finding.message
        assert "attery" in finding.next_step


def test_forgotten_load_and_opened_arm_are_told(bare) -> None:
    def at(path: str, **changes: str):
        return [f for f in safety.findings(bare(**{**DIVIDER, **changes})) if f.path == path]

    (load,) = at("meter.input_resistance", meter__input_resistance="10 Mohm")
    assert "9.1 % too low" in load.message
    assert not at("meter.input_resistance", meter__input_resistance="1 Gohm")
    assert at("meter.input_resistance")[0].grade == "warning"
    (opened,) = at("meter.lower_resistance", meter__input_resistance="10 Mohm")
    assert opened.grade == "note"
    assert "119 V" in opened.message  # 12 kV on 10 of 1010 Mohm
    assert at("meter.lower_resistance", meter__upper_resistance="5 Mohm")[0].grade == "warning"  # 2.4 mA


def test_a_bank_without_a_divider_is_told_and_a_harmless_one_is_not(bare) -> None:
    assert [f.grade for f in safety.findings(bare()) if f.path == "meter.upper_resistance"] == ["note"]
    assert not [f for f in safety.findings(bare(bank__capacitance="1 nF")) if f.path.startswith("meter")]
