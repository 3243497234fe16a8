"""The discharge kernel with a plasma in its lamps: against a second writing solved by SciPy, and regrouped."""

from __future__ import annotations

import math
from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_ivp

from pulsewright import machine
from pulsewright.engine.electric import discharge_stage
from pulsewright.engine.inputs import inputs_of
from pulsewright.engine.trigger import trigger_stage
from pulsewright.numerics.tables import lookup, lookup_2d
from pulsewright.physics.lamp.discharge import Discharge, LampGroup, discharge

Float = NDArray[np.float64]

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
        CAPACITANCE,
        INDUCTANCE,
        LOOP,
        SWITCH,
        SWITCH_DROP,
        VOLTAGE,
        lamps,
        parallel,
        samples=samples,
        tolerance=tolerance,
        most_steps=50_000,
    )


def by_scipy(lamp: LampGroup, end: float) -> tuple[Float, Float, float]:
    """Times, states (voltage, current, energy per length, radius squared) and the instant at which the arc fills."""
    table = lamp.tables
    resistivity, exitance = table.log_resistivity, table.log_exitance
    bore = (lamp.bore / 2) ** 2
    # Braginskii's channel, as the kernel's docstring has it: mm, kA, us, density over 1.29 kg/m^3
    growth = lamp.growth_factor**2 * 0.93e-3**2 * 1e6 * (table.mass_density / 1.29) ** (-1 / 3)

    def side(_: float, y: Float, full: bool) -> list[float]:
        voltage, current, energy, square = y
        area, radius = math.pi * square, math.sqrt(square)
        x = math.log(max(energy / area / table.number_density, 1e-60))
        eta = math.exp(lookup(resistivity, 0, x, *table.log_energy))
        light = math.exp(lookup_2d(exitance, 0, x, *table.log_energy, math.log(radius), *table.log_radius))
        resistance = eta * lamp.length / area
        fixed = (lamp.count * lamp.electrode_drop + SWITCH_DROP) * math.tanh(current)
        rest = voltage - (LOOP + SWITCH + lamp.count * resistance) * current - fixed
        return [
            -current / CAPACITANCE,
            rest / INDUCTANCE,
            eta * current**2 / area - 2 * math.pi * radius * light,
            0.0 if full else growth * (abs(current) / 1e3) ** (2 / 3),
        ]

    def fills(_: float, y: Float, __: bool) -> float:
        return float(y[3] - bore)

    fills.terminal = True  # type: ignore[attr-defined]
    square = lamp.channel_radius**2
    begun = table.energy_at(lamp.channel_temperature) * table.number_density * math.pi * square
    start = [VOLTAGE, 0.0, begun, square]
    settings = {
        "method": "DOP853",
        "rtol": 1e-10,
        "atol": [1e-6, 1e-6, 1e-9, 1e-16],
        "max_step": 5e-8,
        "first_step": 1e-11,
    }
    first = solve_ivp(side, (0, end), start, events=fills, args=(False,), dense_output=True, **settings)
    filled = float(first.t_events[0][0])
    going_on = [*first.y[:3, -1], bore]
    second = solve_ivp(side, (filled, end), going_on, args=(True,), dense_output=True, **settings)
    time = np.linspace(0, end, 800)
    states = np.where(time < filled, first.sol(np.minimum(time, filled)), second.sol(np.maximum(time, filled)))
    return time, states, filled


def test_waveforms_are_those_of_the_second_writing() -> None:
    found = run([group()], samples=20_000)
    end = 0.9 * found.ended if found.ended > 0 else 20e-6
    time, states, filled = by_scipy(group(), end)
    voltage, current, energy, square = states
    assert found.filled[0] == pytest.approx(filled, rel=1e-6)
    for name, values, scale in (
        ("bank_voltage", voltage, VOLTAGE),
        ("current", current, current.max()),
        ("energy_per_length", energy, energy.max()),
        ("arc_radius", np.sqrt(square), group().bore),
    ):
        column = getattr(found, name)
        column = column[:, 0] if column.ndim == 2 else column
        resampled = np.interp(time, found.time, column)  # straight between samples: some 1e-6
        assert np.max(np.abs(resampled - values)) < 2e-5 * scale, name
    assert found.action == pytest.approx(np.trapezoid(current**2, time), rel=2e-3)


@pytest.mark.parametrize("parallel", [False, True])
def test_energies_close(parallel: bool) -> None:
    """Every sink adds up to what was stored; the column's to what was radiated and kept."""
    for tolerance, bound in ((1e-6, 2e-5), (1e-9, 1e-7)):
        found = run([group()], parallel, tolerance)
        assert sum(found.energies.values()) == pytest.approx(STORED, rel=bound)
        assert min(found.energies.values()) >= 0
        kept = found.radiated_energy + found.plasma_energy
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
    found = discharge(CAPACITANCE, INDUCTANCE, LOOP, SWITCH, SWITCH_DROP, VOLTAGE, [group()], samples=50, most_steps=20)
    assert found.outcome == "step limit"
    assert found.counters["discharge steps"] == 20
    assert sum(found.energies.values()) == pytest.approx(STORED, rel=1e-4)
