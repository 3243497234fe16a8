"""The arrow system of the gain kernel against a dense solve, its Jacobian against differences and a second writing."""

from __future__ import annotations

import kinetics_by_scipy as second
import numpy as np
import pytest
from numpy.typing import NDArray

from pulsewright.physics.dye import kinetics_kernel as kernel
from pulsewright.physics.dye.kinetics import scalar_rates, spectral_table

Float = NDArray[np.float64]

BINS = 9
ZONES = [
    np.array([[1.0], [1.0]]),
    np.array([[1.4, 0.9, 0.7], [1 / 3, 1 / 3, 1 / 3]]),
]
IDS = ["one zone", "three zones"]


class Problem:
    """One state of a lasing dye with everything the kernel needs about it."""

    def __init__(self, zone: Float) -> None:
        random = np.random.default_rng(7)
        self.zone, self.zones = zone, zone.shape[1]
        self.spectral = spectral_table(second.dye(BINS), second.cavity(BINS), second.DENSITY)
        self.rates = scalar_rates(second.dye(BINS), second.cavity(BINS))
        self.table = kernel.field_table(self.spectral, self.rates, zone)
        self.pump = random.uniform(1e6, 1e7, self.zones)
        self.state = np.concatenate(
            [
                random.uniform(0.0, 1e-3, BINS),
                random.uniform(0.03, 0.06, self.zones),
                random.uniform(0.0, 0.03, self.zones),
            ]
        )

    def slope(self, state: Float) -> Float:
        """Right-hand side of the kernel."""
        out = np.empty_like(state)
        kernel.derivative(state, self.pump, self.table, self.rates, self.zone, out)
        return out

    def jacobian(self) -> Float:
        """By central differences, exact up to rounding: the equations are of second degree."""
        columns = []
        for i, value in enumerate(self.state):
            step = np.zeros_like(self.state)
            step[i] = 0.5 * value
            columns.append((self.slope(self.state + step) - self.slope(self.state - step)) / value)
        return np.stack(columns, axis=1)


@pytest.mark.parametrize("zone", ZONES, ids=IDS)
@pytest.mark.parametrize("inverse", [1e8, 3e9, 1e11])
def test_solve_is_that_of_the_dense_system(zone: Float, inverse: float) -> None:
    problem = Problem(zone)
    work, border = np.empty((5, BINS)), np.empty((2 * problem.zones, 2 * problem.zones))
    sharp = kernel.factorise(problem.state, problem.pump, inverse, problem.table, problem.rates, zone, work, border)
    matrix = inverse * np.eye(len(problem.state)) - problem.jacobian()
    pivots = np.diag(matrix)[:BINS]
    assert sharp == np.count_nonzero(pivots < kernel.SHARPEST_GROWTH * inverse)
    x = np.zeros((2, len(problem.state)))
    for seed in range(3):
        right = (
            np.random.default_rng(seed).normal(size=len(problem.state))
            * np.r_[np.full(BINS, 1e-3), np.ones(len(x[0]) - BINS)]
        )
        kernel.solve(right, problem.state, problem.table, zone, work, border, x, 1)
        dense = np.linalg.solve(matrix, right)
        assert x[1] == pytest.approx(dense, rel=1e-9, abs=1e-11 * np.abs(dense).max())
    assert not x[0].any(), "another row was written"


@pytest.mark.parametrize("zone", ZONES, ids=IDS)
def test_growth_too_sharp_is_counted(zone: Float) -> None:
    """At 1 / (h gamma) below the growth of a bin the implicit formula would decay; such bins are counted."""
    problem = Problem(zone)
    growth = np.diag(problem.jacobian())[:BINS]
    inverse = 0.5 * growth.max()
    assert growth.max() > 0, "the case does not grow"
    work, border = np.empty((5, BINS)), np.empty((2 * problem.zones, 2 * problem.zones))
    sharp = kernel.factorise(problem.state, problem.pump, inverse, problem.table, problem.rates, zone, work, border)
    assert sharp == np.count_nonzero(inverse - growth < kernel.SHARPEST_GROWTH * inverse)
    assert sharp > 0


@pytest.mark.parametrize("zone", ZONES, ids=IDS)
def test_right_side_is_that_of_the_second_writing(zone: Float) -> None:
    problem = Problem(zone)
    time = np.linspace(0.0, 1e-6, 11)
    other = second._Field(time, np.tile(problem.pump, (11, 1)), second.dye(BINS), second.cavity(BINS), zone[0])
    state = np.concatenate([problem.state, np.zeros(BINS + len(second.INTEGRALS))])
    there = other.right_side(0.5e-6, state)
    here = problem.slope(problem.state)
    assert here == pytest.approx(there[: len(here)], rel=1e-11)
    channels = np.empty(12)
    kernel.channel_rates(problem.state, problem.pump, problem.spectral, problem.rates, zone, channels)
    named = dict(zip(kernel.BUDGET, channels, strict=True))
    for name, value in zip(second.INTEGRALS, there[len(here) + BINS :], strict=True):
        assert named[name] == pytest.approx(value, rel=1e-12), name
    assert named["output"] == pytest.approx(there[len(here) : len(here) + BINS].sum(), rel=1e-12)


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
    found = kernel.net_gain(problem.state, BINS, problem.table, zone, round_trip)
    assert found == pytest.approx(expected, rel=1e-12)
