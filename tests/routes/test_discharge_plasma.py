"""The discharge kernel with a plasma in its lamps: regrouped, at its limits, and told when it cannot go on."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest

from pulsewright import machine
from pulsewright.engine.electric import discharge_stage
from pulsewright.engine.inputs import inputs_of
from pulsewright.engine.trigger import trigger_stage
from pulsewright.physics.lamp.discharge import Branch, Discharge, LampGroup, Network, Switch, discharge

CAPACITANCE, INDUCTANCE, LOOP, SWITCH, SWITCH_DROP, VOLTAGE = 4e-6, 1.5e-6, 0.03, 0.015, 150.0, 9500.0
STORED = 0.5 * CAPACITANCE * VOLTAGE**2


@cache
def group() -> LampGroup:
    """The lamps of the demo bench: two in one group."""
    build = machine.load_text(machine.bench_text("tidewater")).build
    assert build is not None
    asked = inputs_of(build)
    (found,) = discharge_stage(asked, trigger_stage(asked)).groups
    assert found.count == 2
    return found


def run(lamps: list[LampGroup], parallel: bool = False, tolerance: float = 1e-9, samples: int = 2000) -> Discharge:
    return discharge(
        Network((CAPACITANCE,)),
        [Branch(INDUCTANCE, LOOP, parallel=parallel)],
        lamps,
        VOLTAGE,
        Switch(SWITCH, SWITCH_DROP),
        samples=samples,
        tolerance=tolerance,
        most_steps=50_000,
    )


@pytest.mark.parametrize("parallel", [False, True])
def test_energies_close(parallel: bool) -> None:
    """Every sink adds up to what was stored; the column's to what was radiated and kept."""
    for tolerance, bound in ((1e-6, 2e-5), (1e-9, 1e-7)):
        found = run([group()], parallel, tolerance)
        assert sum(found.energies.values()) == pytest.approx(STORED, rel=bound)
        assert min(found.energies.values()) >= 0
        kept = found.radiated_energy + sum(found.wall_energy) + found.plasma_energy
        assert kept == pytest.approx(found.energies["lamp column"], abs=bound * STORED)


def test_two_lamps_in_series_are_one_of_twice_the_length() -> None:
    lamp = group()
    one = replace(lamp, count=1, length=2 * lamp.length, electrode_drop=2 * lamp.electrode_drop)
    two, single = run([lamp]), run([one])
    assert single.current == pytest.approx(two.current, rel=1e-7, abs=1e-4)
    assert single.temperature == pytest.approx(two.temperature, rel=1e-7)
    assert single.energies == pytest.approx(two.energies, rel=1e-7, abs=1e-9)


@pytest.mark.parametrize("parallel", [False, True])
def test_a_group_of_two_is_two_groups_of_one(parallel: bool) -> None:
    lamp = group()
    together, apart = (run(lamps, parallel, samples=20_000) for lamps in ([lamp], [replace(lamp, count=1)] * 2))
    # the current goes out at the end of a step, and steps fall differently: some milliampere-seconds apart
    assert apart.energies == pytest.approx(together.energies, abs=3e-5 * STORED)
    assert sum(apart.group_energy) == pytest.approx(together.group_energy[0], rel=3e-5)
    burning = together.time < 0.9 * min(together.ended, apart.ended)
    current = np.interp(together.time, apart.time, apart.current)
    assert np.max(np.abs(current - together.current)[burning]) < 2e-5 * together.current.max()
    assert apart.group_energy[0] == apart.group_energy[1]
    assert apart.filled == pytest.approx(np.repeat(together.filled, 2), rel=1e-6)
    assert apart.peak_current_density == pytest.approx(np.repeat(together.peak_current_density, 2), rel=1e-4)


def test_two_in_parallel_carry_half_each() -> None:
    """One lamp of a pair that stands side by side has the density of half the current."""
    found = run([group()], parallel=True)
    bore_area = math.pi * group().bore ** 2 / 4
    assert found.peak_current_density[0] == pytest.approx(np.abs(found.current).max() / 2 / bore_area, rel=1e-3)


def test_arc_fills_its_bore_and_not_more() -> None:
    filled = {tolerance: run([group()], tolerance=tolerance) for tolerance in (1e-5, 1e-6, 1e-8)}
    for tolerance, found in filled.items():
        assert found.arc_radius.max() == pytest.approx(group().bore / 2, rel=1e-12)
        assert np.all(np.diff(found.arc_radius[:, 0]) >= -1e-12)
        # the instant itself is located, not the step that passes it
        assert found.filled[0] == pytest.approx(filled[1e-8].filled[0], rel=max(20 * tolerance, 1e-6))


def test_an_arc_that_fills_at_once_is_full_from_the_start() -> None:
    lamp = group()
    found = run([replace(lamp, channel_radius=lamp.bore)])
    assert found.filled[0] == 0.0
    assert np.ptp(found.arc_radius) < 1e-12


def test_an_arc_too_cold_to_grow_never_fills() -> None:
    found = run([replace(group(), growth_factor=0.02)])
    assert np.isnan(found.filled[0])
    assert found.arc_radius.max() < group().bore / 2


def test_tables_that_hold_no_number_are_told() -> None:
    """The run ends and says so; it neither hangs nor raises."""
    lamp = group()
    spoilt = lamp.tables.log_resistivity.copy()
    spoilt[:, spoilt.shape[1] // 2 :] = np.nan
    found = run([replace(lamp, tables=replace(lamp.tables, log_resistivity=spoilt))], tolerance=1e-6)
    assert found.outcome == "not a number"
    assert np.all(np.isfinite(found.current))


def test_too_few_steps_are_told() -> None:
    circuit = Network((CAPACITANCE,)), [Branch(INDUCTANCE, LOOP)], [group()], VOLTAGE, Switch(SWITCH, SWITCH_DROP)
    found = discharge(*circuit, samples=50, most_steps=20)
    assert found.outcome == "step limit"
    assert found.counters["discharge steps"] == 20
    assert sum(found.energies.values()) == pytest.approx(STORED, rel=1e-4)
