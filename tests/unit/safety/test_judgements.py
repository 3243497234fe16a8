from __future__ import annotations

import math
import re

import pytest

from pulsewright import machine, safety
from pulsewright.errors import GRADES, Finding
from pulsewright.records import Margin, Value
from pulsewright.safety.figures import figures


def at(build: machine.Build, path: str, grade: str | None = None) -> list[Finding]:
    return [f for f in safety.findings(build) if f.path == path and grade in (None, f.grade)]


@pytest.mark.parametrize("name", machine.BENCHES)
def test_no_example_bench_breaks_a_limit_and_every_finding_says_what_to_do(bench, name) -> None:
    found = safety.findings(bench(name))
    assert {finding.grade for finding in found} <= {"warning", "note"}
    assert [GRADES.index(f.grade) for f in found] == sorted(GRADES.index(f.grade) for f in found)
    for finding in found:
        assert finding.message
        assert finding.next_step
        assert "!" not in str(finding)


def test_times_are_those_of_an_exponential_from_full_charge(bench) -> None:
    numbers = figures(bench())
    assert numbers.charge.full_voltage == 12e3
    assert numbers.dump is not None
    assert numbers.bleeder is not None
    assert numbers.dump.times == pytest.approx([2e3 * 4e-6 * math.log(12e3 / low) for low in (50, 60)])
    assert numbers.bleeder.times == pytest.approx([20e6 * 4e-6 * math.log(12e3 / low) for low in (50, 60)])
    assert numbers.bleeder.power == pytest.approx(12e3**2 / 20e6)
    assert numbers.dump.power == pytest.approx(12e3**2 / 2e3)
    assert numbers.dump.temperature_rise == pytest.approx(0.5 * 4e-6 * 12e3**2 / (20e-6 * 2e6))


def test_a_slow_bleeder_behind_a_dump_warns_and_alone_breaks_the_rule(bench) -> None:
    # 300 s to 50 V from 12 kV: 13.68 Mohm at 4 uF
    assert not at(bench(bank__bleeder_resistance="13.6 Mohm"), "bank.bleeder_resistance", "warning")
    slow = bench(bank__bleeder_resistance="13.8 Mohm")
    (warning,) = at(slow, "bank.bleeder_resistance", "warning")
    assert "5 min" in warning.allowed
    # an entry of the file is told with its line, an override has none
    assert at(bench(), "bank.bleeder_resistance", "warning")[0].line > 0
    assert warning.line == 0
    alone = bench(bank__bleeder_resistance="13.8 Mohm", dump__resistance="unknown")
    (limit,) = at(alone, "bank.bleeder_resistance", "limit")
    assert "section 2893" in limit.allowed
    assert at(alone, "dump.resistance", "warning")


def test_five_seconds_to_sixty_volts(bench) -> None:
    # 5 s from 12 kV: 235.9 kohm at 4 uF
    assert not at(bench(dump__resistance="235 kohm"), "dump.resistance", "warning")
    (warning,) = at(bench(dump__resistance="237 kohm"), "dump.resistance", "warning")
    assert "IEC 60204-1" in warning.allowed


def test_missing_bleeder_and_dump_are_told(bench) -> None:
    bare = bench(bank__bleeder_resistance="unknown", dump__resistance="unknown")
    assert at(bare, "bank.bleeder_resistance", "warning")
    assert at(bare, "dump.resistance", "warning")
    harmless = bench(bank__bleeder_resistance="unknown", dump__resistance="unknown", bank__capacitance="1 nF")
    assert not at(harmless, "bank.bleeder_resistance")


def test_a_small_dump_body_breaks_its_rating(bench) -> None:
    # 288 J at full charge need 1.152 cm^3 at 250 J/cm^3
    often = {"dump__duty": "continuous"}
    assert not at(bench(dump__volume="1.16 cm^3", **often), "dump.volume")
    (limit,) = at(bench(dump__volume="1.14 cm^3", **often), "dump.volume", "limit")
    assert "288 J" in limit.message
    assert "250 J/cm^3" in limit.allowed


def test_a_dump_that_is_used_rarely_takes_more_and_its_data_sheet_counts_first(bench) -> None:
    # 350 J/cm^3: 0.823 cm^3; at 30 degC 170 K of 175 K are left
    assert not at(bench(dump__volume="0.83 cm^3"), "dump.volume")
    (limit,) = at(bench(dump__volume="0.82 cm^3"), "dump.volume", "limit")
    assert "350 J/cm^3" in limit.allowed
    assert at(bench(dump__volume="0.83 cm^3", room__temperature="30 degC"), "dump.volume", "limit")
    (sheet,) = at(bench(dump__energy_rating="280 J"), "dump.energy_rating", "limit")
    assert "data sheet" in sheet.allowed
    assert not at(bench(dump__energy_rating="290 J", dump__volume="0.5 cm^3"), "dump.volume")


def test_a_strong_charger_is_a_hazard_by_itself(bench) -> None:
    assert not at(bench(charger__current="39 mA"), "charger.voltage_max")
    assert at(bench(charger__current="41 mA"), "charger.voltage_max", "warning")


@pytest.mark.parametrize(("litres", "told"), [(0.4, ""), (0.5, "10 %"), (1.1, "10 %"), (1.2, "25 %")])
def test_spilled_solvent_against_shares_of_the_explosive_limit(bench, litres, told) -> None:
    # 60 m^3 at a lower limit of 3.1 %: one litre of ethanol is 22 % of it
    found = at(bench(loops__main__volume=f"{litres} L"), "room.volume", "warning")
    assert bool(found) == bool(told)
    assert not told or f"At most {told}" in found[0].allowed


def test_what_cannot_be_judged_is_told(bench) -> None:
    assert at(bench(room__volume="unknown"), "room.volume", "warning")
    assert at(bench(loops__main__volume="unknown"), "loops", "warning")
    assert at(bench(room__air_changes="unknown"), "room.air_changes", "warning")
    assert at(bench(room__air_changes="0 1/h"), "room.air_changes", "warning")
    assert not at(bench(dye__solvent="water", room__volume="unknown"), "room.volume")


def test_oxygen_over_alcohol_but_not_over_water(bench) -> None:
    (warning,) = at(bench(dye__atmosphere="oxygen"), "dye.atmosphere", "warning")
    assert "24 %" in warning.allowed or "23.5" in warning.allowed
    assert not at(bench(dye__atmosphere="oxygen", dye__solvent="water"), "dye.atmosphere")
    assert not at(bench(dye__atmosphere="argon"), "dye.atmosphere")


def test_eyewear_names_both_editions_and_sends_to_the_standard(bench, shot) -> None:
    known = shot(output_energy=Value(0.5, "J", 0.2, 1.0), wavelength=Value(590e-9, "m"), pulse_width=Value(1e-6, "s"))
    (note,) = [f for f in safety.findings(bench(), known) if f.path == "resonator"]
    # one joule at 590 nm and 1 us, all of it into the pupil: the figures of tests/routes/test_exposure_figures.py
    assert "IEC 60825-1:2014: optical density 7.1" in note.message
    assert "2006/25/EC: optical density 6.7" in note.message
    assert "I LB7 and R LB7" in note.allowed
    assert "obtain the standard" in note.next_step


def test_a_shot_without_interval_is_taken_twofold(bench, shot) -> None:
    pulse = {"wavelength": Value(590e-9, "m"), "pulse_width": Value(1e-6, "s")}
    bare = figures(bench(), shot(output_energy=Value(0.5, "J"), **pulse)).beam
    known = figures(bench(), shot(output_energy=Value(0.5, "J", 0.3, 0.7), **pulse)).beam
    assert bare is not None
    assert known is not None
    assert (bare.energy, known.energy) == (1.0, 0.7)


def row_of(build: machine.Build, words: str, shot=None) -> Margin:
    (row,) = [row for row in safety.margins(build, shot) if row.stress == words]
    return row


def test_margin_of_the_dump_at_the_voltage_of_the_shot(bench, shot) -> None:
    row = row_of(bench(dump__duty="continuous"), "energy of one dump", shot(charge_voltage=10e3))
    assert row.item == "dump"
    assert row.stress_value == pytest.approx(200.0)
    assert row.limit == pytest.approx(5000.0)
    assert row.ratio == pytest.approx(0.04)
    assert row.probability < 1e-6
    built = row_of(bench(), "energy of one dump")
    assert built.stress_value == pytest.approx(0.5 * 4e-6 * 9.5e3**2)
    assert built.limit == pytest.approx(7000.0)
    small = row_of(bench(dump__volume="0.722 cm^3", dump__duty="continuous"), "energy of one dump")
    assert small.ratio == pytest.approx(1.0, rel=1e-6)
    assert 0.4 < small.probability < 0.6


def test_margin_needs_the_body_and_says_so(bench) -> None:
    unknown = bench(dump__volume="unknown")
    assert [row for row in safety.margins(unknown) if row.item == "dump"] == []
    told = {(row.item, row.stress): row.next_step for row in safety.not_judged(unknown)}
    assert told["dump", "energy of one dump"] == "Enter dump.energy_rating or dump.volume"
    assert [row for row in safety.margins(bench(dump__resistance="unknown")) if row.item == "dump"] == []


def test_bleeder_without_a_rating_is_not_judged_and_with_one_is(bench) -> None:
    bare = bench(bank__bleeder_power_rating="unknown")
    assert "standing power of the bleeder" in [row.stress for row in safety.not_judged(bare)]
    row = row_of(bench(bank__bleeder_power_rating="25 W"), "standing power of the bleeder")
    assert row.item == "bank"
    assert row.ratio == pytest.approx(9.5e3**2 / 20e6 / 25)


RESISTOR = {
    "charger__method": "resistor",
    "charger__resistance": "100 kohm",
    "charger__current": "unknown",
    "charger__resistor_energy_rating": "300 J",
    "charger__resistor_power_rating": "20 W",
    "charger__repeat_period": "30 s",
}


def test_charging_resistor_in_energy_and_in_mean_power(bare) -> None:
    build = bare(**RESISTOR, bank__bleeder_resistance="unknown")
    # from a fixed 12 kV to 9.5 kV: V_s q less what is stored, over any resistance
    loss = 12e3 * 4e-6 * 9.5e3 - 0.5 * 4e-6 * 9.5e3**2
    energy = row_of(build, "energy into the charging resistor")
    assert energy.stress_value == pytest.approx(loss, rel=1e-9)
    assert energy.ratio == pytest.approx(loss / 300)
    assert row_of(build, "mean power of the charging resistor").ratio == pytest.approx(loss / 30 / 20)
    single = bare(**{**RESISTOR, "charger__repeat_period": "unknown"})
    told = {row.stress: row.next_step for row in safety.not_judged(single)}
    assert told["mean power of the charging resistor"] == "Enter charger.repeat_period"


def test_a_short_with_the_charger_on_is_told_where_the_resistor_cannot_stand_it(bare) -> None:
    # 12 kV on 100 kohm: 1.44 kW
    (note,) = at(bare(**RESISTOR), "charger.resistor_power_rating", "note")
    assert "1.44 kW" in note.message
    assert not at(bare(**{**RESISTOR, "charger__resistor_power_rating": "1.5 kW"}), "charger.resistor_power_rating")


def test_line_current_against_the_fuse(bare) -> None:
    build = bare(charger__line_voltage="230 V", charger__fuse_rating="6 A")
    row = row_of(build, "highest line current")
    # 15 mA at 9.5 kV, 0.8 efficient, power factor 0.7
    assert row.stress_value == pytest.approx(15e-3 * 9.5e3 / 0.8 / 0.7 / 230, rel=1e-9)
    assert 0 < row.probability < 1e-3
    assert row.ratio < 0.3
    told = {row.stress: row.next_step for row in safety.not_judged(bare(charger__line_voltage="230 V"))}
    assert told["highest line current"] == "Enter charger.fuse_rating"


def test_charge_that_is_slower_than_the_repeat_period(bench) -> None:
    row = row_of(bench(charger__repeat_period="2.5 s"), "charge time against the repeat period")
    assert row.ratio > 1.0  # 4 uF to 9.5 kV at 15 mA: 2.53 s, and more against the bleeder
    assert 0.5 < row.probability < 1.0


def test_upper_arm_of_the_divider(bare) -> None:
    arms = {"meter__upper_resistance": "100 Mohm", "meter__lower_resistance": "100 kohm"}
    build = bare(**arms, meter__upper_voltage_rating="10 kV", meter__upper_power_rating="0.5 W")
    assert row_of(build, "voltage on the upper arm").ratio == pytest.approx(0.95 * 1000 / 1001)
    assert row_of(build, "power of the upper arm").ratio == pytest.approx((9.5e3 * 1000 / 1001) ** 2 / 100e6 / 0.5)
    told = [row.stress for row in safety.not_judged(bare(**arms))]
    assert {"voltage on the upper arm", "power of the upper arm"} <= set(told)


def test_a_charge_that_never_ends_gives_no_margin_and_no_infinity(bench) -> None:
    build = bench(**{**RESISTOR, "charger__resistance": "20 Mohm"})
    for row in safety.margins(build):
        assert math.isfinite(row.ratio), row
        assert row.item != "charger" or row.stress == "highest line current"


def test_no_finding_calls_a_bank_discharged(bench) -> None:
    for name in machine.BENCHES:
        for finding in safety.findings(bench(name)):
            assert not re.search(r"\b(is|now) (discharged|empty|safe)\b", str(finding))
