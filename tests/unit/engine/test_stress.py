"""Stress and life: figures against the waveforms, rows against ratings, and what is said where no limit is known."""

from __future__ import annotations

import copy
import tomllib
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
import tomlkit

from pulsewright import machine
from pulsewright.engine import stress
from pulsewright.engine.chain import Stages
from pulsewright.engine.inputs import inputs_of
from pulsewright.engine.margins import Stress
from pulsewright.engine.margins_electric import LIFE_USED, clearance_needed, highest_voltage
from pulsewright.engine.stress import (
    ONE_FORM_SPREAD,
    SCALE,
    THIRD,
    THREE,
    bank_life,
    bank_load,
    explosion,
    half_cycles,
    lamp_loads,
    switch_load,
    time_scale_of,
    wall_area,
    width_at,
)
from pulsewright.physics.pulsed_power.capacitor_life import capacitor_life
from pulsewright.physics.pulsed_power.clearance import clearance
from pulsewright.physics.pulsed_power.explosion import FORMS, explosion_energy
from pulsewright.records import Shot

Computed = Callable[..., Stages]

RATED = {
    "bank.life_rating": "1e5",
    "bank.planned_shots": "1e4",
    "switch.action_rating": "100 A^2*s",
    "switch.rise_rating": "10 kA/us",
    "loop.clearance": "40 mm",
    "loop.creepage": "120 mm",
    **{f"lamps.{name}.peak_current_rating": "4 kA" for name in ("east", "west")},
    **{f"lamps.{name}.charge_rating": "0.1 C" for name in ("east", "west")},
    **{f"lamps.{name}.wall_loading_rating": "2 J/cm^2" for name in ("east", "west")},
}


#: Ratings that the demo bench has and that a bench may lack.
OPTIONAL = (
    ("bank", "planned_shots"), ("switch", "action_rating"), ("switch", "rise_rating"), ("loop", "clearance"),
    ("loop", "creepage"), ("bank", "life_rating"),
)  # fmt: skip


def bare(tree: dict[str, Any]) -> None:
    """Take those ratings away."""
    for section, key in OPTIONAL:
        del tree[section][key]
    for lamp in tree["lamps"].values():
        for key in ("peak_current_rating", "charge_rating"):
            del lamp[key]


def rows_of(stages: Stages) -> dict[str, Stress]:
    """Stresses by item and words."""
    return {row.key: row for row in stages.stresses}


def build_of(name: str, changes: dict[str, str] | None = None) -> machine.Build:
    """An example bench with entries overridden."""
    build = machine.load_text(machine.bench_text(name), "laser.toml").build
    assert build is not None
    return build.override(changes) if changes else build


# Figures of one discharge ---------------------------------------------------------------------------------------


def test_figures_are_those_of_the_waveforms(stages_of: Computed) -> None:
    stages = stages_of()
    record, load = stages.discharge.record, bank_load(stages.inputs, stages.discharge)
    assert load.charge == pytest.approx(np.trapezoid(np.abs(record.current), record.time), rel=1e-9)
    assert load.action_integral == pytest.approx(np.trapezoid(record.current**2, record.time), rel=1e-9)
    assert load.voltage_reversal == pytest.approx(-record.bank_voltage.min() / 9.5e3, rel=1e-9)
    switch = switch_load(stages.discharge)  # one loop: what the bank gives passes the switch
    assert switch.charge == pytest.approx(load.charge, rel=1e-9)
    assert switch.action_integral == pytest.approx(load.action_integral, rel=1e-9)
    assert switch.peak_current == load.peak_current
    # at the first instant the voltage, less the constant drops, stands on loop and narrow arcs: bore of 7 over 1 mm
    narrow = 1.5e-6 + 2 * 0.15 * 2e-7 * np.log(7.0)
    assert switch.steepest_rise == pytest.approx(9.5e3 / narrow, rel=0.03)
    assert switch.steepest_rise <= 9.5e3 / narrow


def test_lamps_in_series_carry_the_whole_current_and_half_the_energy(stages_of: Computed) -> None:
    stages = stages_of()
    east, west = lamp_loads(stages.inputs, stages.trigger, stages.discharge, stages.light)
    load = bank_load(stages.inputs, stages.discharge)
    assert east.peak_current == pytest.approx(load.peak_current, rel=1e-3)  # sampled, so a little below
    assert east.charge == pytest.approx(load.charge, rel=1e-6)
    assert east.energy + west.energy == pytest.approx(stages.discharge.record.energies["lamp column"], rel=1e-6)
    # what reaches the walls is less than what went in, and both lamps together take all of it
    area = wall_area(stages.inputs.machine.lamps["east"])
    record = stages.discharge.record
    taken = sum(record.wall_energy) + stages.light.envelope_energy + max(record.plasma_energy, 0.0)
    assert (east.wall_loading + west.wall_loading) * area == pytest.approx(taken, rel=1e-9)
    assert east.wall_loading * area < east.energy


def test_lamps_in_parallel_share_the_current(stages_of: Computed) -> None:
    stages = stages_of({"loop.lamps_connected": "parallel"})
    east, west = lamp_loads(stages.inputs, stages.trigger, stages.discharge, stages.light)
    load = bank_load(stages.inputs, stages.discharge)
    assert east.charge + west.charge == pytest.approx(load.charge, rel=1e-6)
    assert east.charge == pytest.approx(west.charge, rel=1e-9)


def test_width_of_a_half_sine_at_a_third() -> None:
    time = np.linspace(0.0, 3e-6, 61)
    current = np.where(time < 2e-6, np.sin(np.pi * time / 2e-6), 0.0)
    exact = 2e-6 * (1 - 2 * np.arcsin(1 / 3) / np.pi)
    assert width_at(time, current, 1 / 3) == pytest.approx(exact, rel=2e-3)
    assert width_at(time, 0 * current, 1 / 3) == time[1]


def test_half_cycles_of_a_damped_ringing() -> None:
    time = np.linspace(0.0, 6.0, 601)
    assert half_cycles(np.sin(np.pi * time) * 0.5**time) == 4  # peaks about 1, 0.5, 0.25, 0.125 of the first
    assert half_cycles(np.sin(np.pi * np.linspace(0, 1, 101))) == 1
    assert half_cycles(np.zeros(5)) == 0


# Explosion: each published constant with its own pulse length ------------------------------------------------------


def test_each_constant_takes_the_pulse_length_that_belongs_to_it(stages_of: Computed) -> None:
    stages = stages_of()
    lamp = stages.inputs.machine.lamps["east"]
    load = lamp_loads(stages.inputs, stages.trigger, stages.discharge, stages.light)[0]
    found = load.explosion
    assert found is not None
    scale = (1.5e-6 * 4e-6) ** 0.5
    assert found.widths[THREE] == pytest.approx(3 * scale)
    assert found.widths[SCALE] == pytest.approx(scale)
    for form, definition in zip(FORMS[:3], (THIRD, THREE, SCALE), strict=True):
        expected = explosion_energy(lamp.bore, lamp.arc_length, found.widths[definition], form.constant)
        assert found.energies[definition] == pytest.approx(expected, rel=1e-9)
    assert found.lowest == min(found.energies.values())
    assert found.extrapolated  # microseconds
    row = rows_of(stages)["lamps.east: energy against explosion"]
    assert row.limit == pytest.approx(0.3 * found.lowest)
    assert row.limit_spread == pytest.approx(found.highest / found.lowest - 1)
    for words in ("t at a third of the peak", "t = 3 sqrt(L C)", "t = sqrt(L C)", "0.1 to 10 ms"):
        assert words in row.source


def test_a_network_has_no_time_scale_so_one_constant_applies() -> None:
    build = build_of("longwave")
    assert time_scale_of(build.machine, "east") is None
    found = explosion(build.machine, "east", 400e-6)
    assert found is not None
    assert list(found.energies) == [THIRD]
    assert not found.extrapolated
    assert found.spread == ONE_FORM_SPREAD


def test_loops_of_their_own_have_a_time_scale_where_they_have_a_capacitor() -> None:
    def branches(tree: dict[str, Any]) -> None:
        tree["loop"]["lamps_connected"] = "separate loops"
        tree["branches"] = {
            "east": {"inductance": "1 uH", "resistance": "20 mohm", "capacitance": "2 uF"},
            "west": {"inductance": "1 uH", "resistance": "20 mohm"},
        }

    tree = copy.deepcopy(tomllib.loads(machine.bench_text("tidewater")))
    branches(tree)
    build = machine.load_text(tomlkit.dumps(tree), "laser.toml").build
    assert build is not None
    assert time_scale_of(build.machine, "east") == pytest.approx((1e-6 * 2e-6) ** 0.5)
    assert time_scale_of(build.machine, "west") is None


def test_what_the_trigger_adds_lengthens_the_time_scale() -> None:
    build = build_of("tidewater")
    plain, longer = time_scale_of(build.machine, "east"), time_scale_of(build.machine, "east", 4.5e-6)
    assert plain == pytest.approx((1.5e-6 * 4e-6) ** 0.5)
    assert longer == pytest.approx((6e-6 * 4e-6) ** 0.5)


def test_a_coaxial_lamp_has_no_law_and_both_walls() -> None:
    build = build_of("lanternroom")
    assert explosion(build.machine, "sleeve", 5e-6) is None
    assert wall_area(build.machine.lamps["sleeve"]) == pytest.approx(np.pi * (16e-3 + 12e-3) * 0.1)


# Rows against ratings ------------------------------------------------------------------------------------------------


def test_every_rating_makes_a_row(stages_of: Computed) -> None:
    stages = stages_of(RATED)
    rows = rows_of(stages)
    load = lamp_loads(stages.inputs, stages.trigger, stages.discharge, stages.light)[0]
    limits = {
        "switch: action integral": 100.0,
        "switch: steepest rise of the current": 1e10,
        "lamps.east: peak current of the electrodes": 4e3,
        "lamps.east: charge through the electrodes": 0.1,
        "lamps.west: wall loading per shot": 2e4,
        "loop: distance needed through air": 0.040,
        "loop: distance needed along surfaces": 0.120,
        f"bank: {LIFE_USED}": 1.0,
        f"lamps.east: {LIFE_USED}": 1.0,
    }
    assert {key: rows[key].limit for key in limits} == pytest.approx(limits)
    assert all(row.limit is not None and row.lower_by and row.source for row in rows.values())
    assert rows["lamps.east: charge through the electrodes"].value == pytest.approx(load.charge)


def test_without_ratings_the_next_step_is_told(stages_of: Computed) -> None:
    rows = rows_of(stages_of(shape=bare))
    unknown = {key: row for key, row in rows.items() if row.limit is None}
    assert len(unknown) == 13
    assert all(row.next_step and row.reason for row in unknown.values())
    assert "J/cm^2" in rows["lamps.east: wall loading per shot"].reason
    assert "shots expected" in rows[f"lamps.east: {LIFE_USED}"].reason
    assert rows[f"lamps.east: {LIFE_USED}"].next_step == "Enter bank.planned_shots"
    assert rows["loop: distance needed through air"].reason.startswith("11.0 mm")


def test_stresses_have_the_same_rows_at_every_voltage(stages_of: Computed) -> None:
    low, high = (rows_of(stages_of({**RATED, "bank.charge_voltage": volts})) for volts in ("1 kV", "12 kV"))
    assert list(low) == list(high)
    assert all((low[key].limit is None) == (high[key].limit is None) for key in low)


def test_a_capacitor_run_above_its_ratings_is_told_with_a_remedy(shot_of: Callable[..., Shot]) -> None:
    shot = shot_of({"bank.voltage_rating": "9 kV", "bank.reversal_rating": "0.01", "bank.peak_current_rating": "5 kA"})
    told = {(item.path, item.message.split(" of ")[0]): item for item in shot.findings if item.grade == "limit"}
    for words in ("voltage", "voltage reversal", "peak current"):
        finding = told["bank", words]
        assert finding.next_step.startswith("What lowers it: ")
    assert ("bank.charge_voltage", "9.5 kV is above this capacitor's rating") in told
    rows = {(row.item, row.stress): row for row in shot.margins}
    assert rows["bank", "voltage"].ratio == pytest.approx(9.5 / 9)


def test_a_capacitor_rated_for_no_reversal_at_all(shot_of: Callable[..., Shot]) -> None:
    shot = shot_of({"bank.reversal_rating": "0"})
    row = next(row for row in shot.margins if (row.item, row.stress) == ("bank", "voltage reversal"))
    assert row.limit == 0.01
    assert row.ratio == pytest.approx(100 * row.stress_value)
    assert "counts as none" in row.source
    # a reversal below the smallest that the forms are asked for: both give the life of the voltage alone
    assert shot.summary["capacitor_life"].value == pytest.approx(1e5 * (9.5 / 15) ** -7.5)


def test_alike_lamps_are_worked_out_once(stages_of: Computed) -> None:
    stages = stages_of({"bank.charge_voltage": "9.123 kV"})
    before = stress._explosion.cache_info().misses
    lamp_loads(stages.inputs, stages.trigger, stages.discharge, stages.light)
    assert stress._explosion.cache_info().misses == before  # the chain asked already
    stages_of({"bank.charge_voltage": "9.124 kV"})
    assert stress._explosion.cache_info().misses == before + 1  # two lamps


def test_margins_name_the_quantity_they_are_shown_in(shot_of: Callable[..., Shot]) -> None:
    shot = shot_of(RATED)
    by_key = {(row.item, row.stress): row for row in shot.margins}
    assert by_key["switch", "steepest rise of the current"].quantity == "steepest_rise"
    assert by_key["lamps.east", "wall loading per shot"].as_dict()["quantity"] == "wall_loading"


# Life ----------------------------------------------------------------------------------------------------------------


def test_capacitor_life_is_told_by_both_forms(stages_of: Computed) -> None:
    stages = stages_of({**RATED, "loop.inductance": "20 uH"})
    reversal = bank_load(stages.inputs, stages.discharge).voltage_reversal
    assert reversal > 0.3  # rings
    life = bank_life(stages.inputs, reversal)
    forms = capacitor_life(1e5, 9.5e3, 15e3, reversal, 0.2)
    assert life is not None
    assert (life.by_reversal, life.by_quality) == pytest.approx((float(forms.by_reversal), float(forms.by_quality)))
    assert life.fewest == pytest.approx(min(forms))
    row = rows_of(stages)[f"bank: {LIFE_USED}"]
    assert row.value == pytest.approx(1e4 / life.fewest)
    assert row.limit_spread == pytest.approx(life.most / life.fewest - 1)


def test_no_credit_for_a_reversal_below_the_rated_one() -> None:
    inputs = inputs_of(build_of("tidewater", RATED))
    life = bank_life(inputs, 0.0)
    assert life is not None
    assert life.fewest == pytest.approx(1e5 * (9.5 / 15) ** -7.5)
    assert life.most > life.fewest


def test_lamp_life_is_cut_off_and_flagged(stages_of: Computed) -> None:
    weak = stages_of({**RATED, "bank.charge_voltage": "5 kV"})
    load = lamp_loads(weak.inputs, weak.trigger, weak.discharge, weak.light)[0]
    assert load.capped
    life = load.life(8.5)
    assert life is not None
    assert life.fewest == pytest.approx(0.15**-8.5)
    row = rows_of(weak)[f"lamps.east: {LIFE_USED}"]
    assert row.extrapolated
    assert "cut off at E/Ex = 0.15" in row.source


def test_exponents_of_life_enter_where_shots_are_planned() -> None:
    planned = inputs_of(build_of("tidewater", RATED))
    assert planned.coefficient("life.voltage_exponent") == 7.5
    assert "reference.life.lamp_exponent" not in inputs_of(build_of("millpond")).reference
    varied = planned.varied("reference.life.voltage_exponent", 6.0)
    usual, other = bank_life(planned, 0.1), bank_life(varied, 0.1)
    assert usual is not None
    assert other is not None
    assert other.fewest / usual.fewest == pytest.approx((9.5 / 15) ** 1.5)


# Insulation ----------------------------------------------------------------------------------------------------------


def test_highest_voltage_counts_what_the_trigger_adds() -> None:
    quiet = build_of("tidewater").machine
    assert highest_voltage(quiet, 9.5e3)[0] == 9.5e3
    wire = build_of("tidewater", {"trigger.method": "external wire", "trigger.pulse_voltage": "25 kV"}).machine
    assert highest_voltage(wire, 9.5e3) == (25e3, "the trigger pulse")
    injected = {
        "trigger.method": "series injection",
        "trigger.pulse_voltage": "20 kV",
        "trigger.saturated_inductance": "5 uH",
    }
    series = build_of("tidewater", injected).machine
    assert highest_voltage(series, 9.5e3)[0] == 29.5e3


def test_distances_grow_with_altitude_and_beyond_the_table() -> None:
    assert clearance_needed(9.5e3, 0.0) == (pytest.approx(11e-3), False)
    assert clearance_needed(9.5e3, 3000.0)[0] == pytest.approx(1.14 * 11e-3)
    assert clearance_needed(12.5e3, 0.0)[0] == pytest.approx(18e-3)
    distance, beyond = clearance_needed(150e3, 0.0)
    assert beyond
    assert distance == pytest.approx(1.5 * clearance(100e3))
    assert clearance_needed(9.5e3, 6000.0)[1]


def test_a_distance_too_short_is_above_its_limit(stages_of: Computed) -> None:
    rows = rows_of(stages_of({"loop.clearance": "10 mm", "loop.creepage": "90 mm"}))
    air, along = rows["loop: distance needed through air"], rows["loop: distance needed along surfaces"]
    assert air.value / (air.limit or 0) == pytest.approx(1.1)
    assert along.value / (along.limit or 0) == pytest.approx(95 / 90)
    assert "not a distance for people" in air.source


# What is told --------------------------------------------------------------------------------------------------------


def messages(shot: Shot, part: str) -> list[tuple[str, str]]:
    """Grade and path of the findings that speak of something."""
    return [(item.grade, item.path) for item in shot.findings if part in item.message]


def test_a_wall_that_vaporises_is_told(shot_of: Callable[..., Shot]) -> None:
    assert not messages(shot_of(), "vapour of the wall")
    thin = {f"lamps.{name}.fill_pressure": "1 torr" for name in ("east", "west")}
    assert messages(shot_of(thin), "vapour of the wall") == [("warning", "lamps.east"), ("warning", "lamps.west")]


def test_ringing_is_told_with_both_reversals(shot_of: Callable[..., Shot]) -> None:
    assert not messages(shot_of(), "the current rings")
    shot = shot_of({"loop.inductance": "20 uH"})
    assert messages(shot, "the current rings") == [("note", "loop")]
    words = next(item.message for item in shot.findings if "the current rings" in item.message)
    volts, amperes = shot.summary["voltage_reversal"].value, shot.summary["reversal"].value
    assert f"{100 * volts:.0f} % of the charge voltage" in words
    assert f"{100 * amperes:.0f} % of its peak" in words


def test_lives_of_the_summary_are_ranges_of_what_is_published(shot_of: Callable[..., Shot]) -> None:
    summary = shot_of().summary
    for key in ("lamp_life", "capacitor_life", "explosion_fraction"):
        value = summary[key]
        assert value.span == "published"
        assert value.low <= value.value <= value.high
        assert value.as_dict()["published"] == [value.low, value.high]
    fractions = [summary[f"explosion_at_{key}"].value for key in ("third_maximum", "three_time_scales", "time_scale")]
    assert summary["explosion_fraction"].value == pytest.approx(max(fractions))
    assert summary["explosion_fraction"].low == pytest.approx(min(fractions))
    none = shot_of(shape=bare).summary["capacitor_life"]
    assert none.value is None
    assert "bank.life_rating" in none.reason
