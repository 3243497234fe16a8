"""The arrow system of the gain kernel against a dense solve, its Jacobian against differences and a second writing."""

from __future__ import annotations

from dataclasses import replace

import kinetics_by_scipy as second
import numpy as np
import pytest
from numpy.typing import NDArray

from pulsewright.numerics import rosenbrock
from pulsewright.physics.dye import kinetics_kernel as kernel
from pulsewright.physics.dye import kinetics_rows_kernel as rows
from pulsewright.physics.dye import photon_budget_kernel as budget_kernel
from pulsewright.physics.dye.kinetics import Cavity, Parasitic, scalar_rates, spectral_table

Float = NDArray[np.float64]

BINS = 9
ZONES = [
    np.array([[1.0], [1.0], [0.0]]),
    np.array([[1.4, 0.9, 0.7], [1 / 3, 1 / 3, 1 / 3], [0.0, 0.0, 0.0]]),
]
IDS = ["one zone", "three zones"]
NO_ASE = np.zeros((0, 2, 2)), np.ones(2)
#: Rates per S1 on axes that the states below lie inside of, two planes.
ASE = 1e8 * np.random.default_rng(3).uniform(0.5, 1.5, (2, 5, 4)).cumsum(axis=1), np.array([0.02, 0.015])
EVERYTHING = replace(second.cavity(BINS), parasitic=Parasitic(0.22, 0.04, np.full(BINS, 0.01), 1e-3, 3))


class Problem:
    """One state of a lasing dye with everything the kernel needs about it."""

    def __init__(self, zone: Float, ase: tuple[Float, Float] = NO_ASE, cavity: Cavity | None = None) -> None:
        random = np.random.default_rng(7)
        self.zone, self.zones, self.ase = zone, zone.shape[1], ase
        self.spectral = spectral_table(second.dye(BINS), cavity or second.cavity(BINS), second.DENSITY)
        self.bins = self.spectral.shape[1]
        if cavity is not None:
            self.spectral[rows.SOURCE, :BINS] = np.linspace(0.0, 4e4, BINS)
        self.rates = scalar_rates(second.dye(BINS), self.spectral)
        self.table = kernel.field_table(self.spectral, zone)
        self.pump = random.uniform(1e6, 1e7, self.zones)
        self.state = np.concatenate(
            [
                random.uniform(0.0, 1e-3, self.bins),
                random.uniform(0.03, 0.06, self.zones),
                random.uniform(0.0, 0.03, self.zones),
            ]
        )

    def slope(self, state: Float) -> Float:
        """Right-hand side of the kernel."""
        out = np.empty_like(state)
        kernel.derivative(state, self.pump, self.table, self.rates, self.zone, *self.ase, out)
        return out

    def factorised(self, inverse: float) -> tuple[int, Float, Float]:
        """Bins whose growth is too sharp, and what `solve` needs."""
        work, border, self.fade = (
            np.empty((5, self.bins)),
            np.empty((2 * self.zones, 2 * self.zones)),
            np.zeros((2, self.zones)),
        )
        sharp = kernel.factorise(
            self.state, self.pump, inverse, self.table, self.rates, self.zone, *self.ase, work, border, self.fade
        )
        return sharp, work, border

    def step(self, pump: Float, time: Float, t: float, h: float) -> dict[str, float]:
        """Channels of one step by the functions that the kernel uses."""
        axis, made = np.array([time[0], time[1] - time[0]]), np.zeros(6)
        rate, slope, late, unused = (np.empty(self.zones) for _ in range(4))
        kernel.pump_at(pump, t, axis[0], axis[1], rate, slope)
        self.pump = rate
        _, work, border = self.factorised(1 / (h * rosenbrock.GAMMA))
        u, point, right = np.zeros((7, len(self.state))), np.empty_like(self.state), np.empty_like(self.state)
        system = self.table, self.rates, self.zone, *self.ase, work, border, self.fade
        made[4:] = kernel._stages(t, h, pump, axis, self.state, rate, slope, *system, u, late, unused, point, right)
        u[budget_kernel.START] = self.state
        sums, found = np.empty((7, 8)), np.empty(budget_kernel.CHANNELS)
        budget_kernel.channel_sums(u, self.spectral, self.table, self.zone, sums)
        budget_kernel.meetings(sums, float(self.zone[0] @ self.zone[1]), made)
        weights = rosenbrock.STAGE_INTEGRAL
        integral = h * (self.state + weights @ u[:6])[: self.bins]
        glowed = h * float(np.r_[weights, 1.0] @ sums[:, budget_kernel.GLOWING])
        budget_kernel.fill_budget(h * made, glowed, h, integral, self.table, self.rates, found)
        return dict(zip(budget_kernel.BUDGET, found.tolist(), strict=True))

    def jacobian(self) -> Float:
        """By central differences, exact up to rounding without a table: the equations are of second degree."""
        columns = []
        for i, value in enumerate(self.state):
            step = np.zeros_like(self.state)
            step[i] = (0.5 if not self.ase[0].size else 1e-5) * value
            columns.append((self.slope(self.state + step) - self.slope(self.state - step)) / (2 * step[i]))
        return np.stack(columns, axis=1)


@pytest.mark.parametrize("more", ["as it is", "every term"])
@pytest.mark.parametrize("zone", ZONES, ids=IDS)
@pytest.mark.parametrize("inverse", [1e8, 3e9, 1e11])
def test_solve_is_that_of_the_dense_system(zone: Float, inverse: float, more: str) -> None:
    """Also with a source, a parasitic path and the decay by amplified spontaneous emission."""
    problem = Problem(zone) if more == "as it is" else Problem(zone, ASE, EVERYTHING)
    bins = problem.bins
    sharp, work, border = problem.factorised(inverse)
    matrix = inverse * np.eye(len(problem.state)) - problem.jacobian()
    pivots = np.diag(matrix)[:bins]
    assert sharp == np.count_nonzero(pivots < kernel.SHARPEST_GROWTH * inverse)
    x = np.zeros((2, len(problem.state)))
    close = 1e-9 if more == "as it is" else 1e-6  # of the differences
    for seed in range(3):
        right = (
            np.random.default_rng(seed).normal(size=len(problem.state))
            * np.r_[np.full(bins, 1e-3), np.ones(len(x[0]) - bins)]
        )
        kernel.solve(right, problem.state, problem.table, zone, work, border, x, 1)
        dense = np.linalg.solve(matrix, right)
        assert x[1] == pytest.approx(dense, rel=close, abs=0.01 * close * np.abs(dense).max())
    assert not x[0].any(), "another row was written"


@pytest.mark.parametrize("zone", ZONES, ids=IDS)
def test_growth_too_sharp_is_counted(zone: Float) -> None:
    """At 1 / (h gamma) below the growth of a bin the implicit formula would decay; such bins are counted."""
    problem = Problem(zone)
    growth = np.diag(problem.jacobian())[:BINS]
    inverse = 0.5 * growth.max()
    assert growth.max() > 0, "the case does not grow"
    sharp, _, _ = problem.factorised(inverse)
    assert sharp == np.count_nonzero(inverse - growth < kernel.SHARPEST_GROWTH * inverse)
    assert sharp > 0


@pytest.mark.parametrize("zone", ZONES, ids=IDS)
def test_right_side_is_that_of_the_second_writing(zone: Float) -> None:
    problem = Problem(zone)
    time = np.linspace(0.0, 1e-6, 11)
    other = second._Field(time, np.tile(problem.pump, (11, 1)), second.dye(BINS), second.cavity(BINS), zone[0], zone[1])
    state = np.concatenate([problem.state, np.zeros(BINS + len(second.INTEGRALS))])
    there = other.right_side(0.5e-6, state)
    here = problem.slope(problem.state)
    assert here == pytest.approx(there[: len(here)], rel=1e-11)


@pytest.mark.parametrize("zone", ZONES, ids=IDS)
def test_channels_are_states_of_the_method(zone: Float) -> None:
    """One step of the second writing with every channel among its states, solved densely: the same channels."""
    problem = Problem(zone)
    time = np.linspace(0.0, 1e-6, 11)
    pump = problem.pump * np.linspace(1.0, 2.0, 11)[:, None]
    other = second._Field(time, pump, second.dye(BINS), second.cavity(BINS), zone[0], zone[1])
    extra = BINS + len(second.INTEGRALS)
    t, h, state = 0.5e-6, 4e-10, np.concatenate([problem.state, np.zeros(extra)])
    u, point = np.zeros((6, len(state))), np.empty_like(state)
    by_time = (other.right_side(t + 1e-9, state) - other.right_side(t - 1e-9, state)) / 2e-9
    matrix = np.eye(len(state)) / (h * rosenbrock.GAMMA) - other.jacobian(t, state)
    for stage in range(6):
        rosenbrock.stage_point(stage, state, u, point)
        right = other.right_side(t + rosenbrock.STAGE_TIME[stage] * h, point)
        rosenbrock.stage_coupling(stage, u, 1.0 / h, right)
        u[stage] = np.linalg.solve(matrix, right + rosenbrock.STAGE_SLOPE[stage] * h * by_time)
    grown = (point + u[5])[-extra:]
    here = problem.step(pump, time, t, h)
    for name, value in zip(second.INTEGRALS, grown[BINS:], strict=True):
        assert here[name] == pytest.approx(value, rel=1e-9), name
    assert here["output"] == pytest.approx(grown[:BINS].sum(), rel=1e-9)


@pytest.mark.parametrize("zone", ZONES, ids=IDS)
def test_net_gain_of_a_round_trip(zone: Float) -> None:
    """The largest over bins of 2 x gain coefficient x pumped length less mirrors and losses."""
    problem = Problem(zone)
    dye, mirrors = second.dye(BINS), second.cavity(BINS)
    s1, t1 = problem.state[BINS : BINS + problem.zones], problem.state[BINS + problem.zones :]
    weight = zone[0] * zone[1]
    gain = (
        (dye.emission - dye.excited_absorption) * (weight @ s1)
        - dye.absorption * (weight @ (1 - s1 - t1))
        - dye.triplet_absorption * (weight @ t1)
    ) * second.DENSITY
    loss = -np.log(mirrors.rear * mirrors.coupler) + 2 * mirrors.loss
    expected = (2 * gain * mirrors.pumped_length - loss).max()
    round_trip = 2 * mirrors.optical_length / 299792458.0
    found = kernel.net_gain(problem.state, BINS, problem.table, zone, 0, BINS, round_trip)
    assert found == pytest.approx(expected, rel=1e-12)
