"""Observed orders of the two pairs: a fixed step is halved, and the errors must fall as the order says."""

from __future__ import annotations

import math
from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray

from pulsewright.numerics import rosenbrock, tables
from pulsewright.physics.dye import kinetics_kernel
from pulsewright.physics.lamp import circuit_kernel as ck
from pulsewright.physics.lamp import column_kernel, discharge_kernel

Float = NDArray[np.float64]
Slope = Callable[[float, Float], Float]

STEPS = (20, 40, 80, 160)


def order(errors: list[float]) -> Float:
    """Observed order of each halving."""
    return np.log2(np.array(errors[:-1]) / np.array(errors[1:]))


# --- a problem that depends on time and couples its two parts: y1 = cos t, y2 = sin t


def pull(t: float, y: Float) -> Float:
    first = -math.sin(t) - 5.0 * (y[0] - math.cos(t)) + 3.0 * (y[1] - math.sin(t)) * y[0]
    second = math.cos(t) - 2.0 * (y[1] - math.sin(t)) + (y[0] - math.cos(t)) * y[1]
    return np.array([first, second])


def pull_by_state(t: float, y: Float) -> Float:
    return np.array(
        [
            [-5.0 + 3.0 * (y[1] - math.sin(t)), 3.0 * y[0]],
            [y[1], -2.0 + y[0] - math.cos(t)],
        ]
    )


def pull_by_time(t: float, y: Float) -> Float:
    first = -math.cos(t) - 5.0 * math.sin(t) - 3.0 * math.cos(t) * y[0]
    second = -math.sin(t) + 2.0 * math.cos(t) + math.sin(t) * y[1]
    return np.array([first, second])


def exact(t: Float | float) -> Float:
    return np.stack([np.cos(t), np.sin(t)], axis=-1)


def rosenbrock_step(t: float, y: Float, h: float) -> tuple[Float, Float, Float]:
    """One step by the functions the kernel uses: new state, error estimate, stages."""
    u, point = np.zeros((6, len(y))), np.empty_like(y)
    matrix = np.eye(len(y)) / (h * rosenbrock.GAMMA) - pull_by_state(t, y)
    for stage in range(6):
        rosenbrock.stage_point(stage, y, u, point)
        right = pull(t + rosenbrock.STAGE_TIME[stage] * h, point)
        rosenbrock.stage_coupling(stage, u, 1.0 / h, right)
        right += rosenbrock.STAGE_SLOPE[stage] * h * pull_by_time(t, y)
        u[stage] = np.linalg.solve(matrix, right)
    return point + u[5], u[5], u


def rosenbrock_march(steps: int) -> tuple[float, float, float]:
    """Errors at the end, of one step's estimate, and of the dense output anywhere."""
    h, t, y = 2.0 / steps, 0.0, exact(0.0)
    weights = np.empty(6)
    first_estimate, between = 0.0, 0.0
    for n in range(steps):
        new, estimate, u = rosenbrock_step(t, y, h)
        first_estimate = max(first_estimate, float(np.abs(estimate).max())) if n > steps // 4 else 0.0
        for s in (0.0, 0.21, 0.5, 0.8, 1.0):
            rosenbrock.point_weights(s, weights)
            between = max(between, float(np.abs(y + weights @ u - exact(t + s * h)).max()))
        y, t = new.copy(), t + h
    return float(np.abs(y - exact(t)).max()), first_estimate, between


def test_the_derivatives_of_the_problem_are_right() -> None:
    """Otherwise the orders below would be those of another problem."""
    t, y, small = 0.7, np.array([0.4, 0.9]), 1e-6
    for i in range(2):
        step = small * np.eye(2)[i]
        by_difference = (pull(t, y + step) - pull(t, y - step)) / (2 * small)
        assert pull_by_state(t, y)[:, i] == pytest.approx(by_difference, rel=1e-7)
    by_difference = (pull(t + small, y) - pull(t - small, y)) / (2 * small)
    assert pull_by_time(t, y) == pytest.approx(by_difference, rel=1e-7)
    assert pull(t, exact(t)) == pytest.approx([-math.sin(t), math.cos(t)], rel=1e-12)


def test_rosenbrock_is_of_order_four_with_an_estimate_of_order_three() -> None:
    runs = [rosenbrock_march(steps) for steps in STEPS]
    assert order([run[0] for run in runs])[1:] == pytest.approx(4.0, abs=0.35)
    # the error of one step of an embedded order 3 falls with the fourth power
    assert order([run[1] for run in runs])[1:] == pytest.approx(4.0, abs=0.35)


def test_dense_output_is_of_order_three_or_better() -> None:
    """Its own error within a step falls with the fourth power, so it does not spoil what the steps reach."""
    errors = [rosenbrock_march(steps)[2] for steps in STEPS]
    assert np.all(order(errors)[1:] > 3.5)


# --- integrals that nothing depends on, as states of the method: of y, and of a product with the time


def tail(t: float, y: Float) -> float:
    return float(y[0] * y[1] * math.cos(3.0 * t))


def tail_by_state(t: float, y: Float) -> Float:
    return np.array([y[1], y[0]]) * math.cos(3.0 * t)


def tail_by_time(t: float, y: Float) -> float:
    return float(-3.0 * y[0] * y[1] * math.sin(3.0 * t))


def integrals(steps: int) -> tuple[Float, float]:
    """Of both parts of y, and of `tail`, from 0 to 2."""
    h, t, y, total, product = 2.0 / steps, 0.0, exact(0.0), np.zeros(2), 0.0
    for _ in range(steps):
        new, _, u = rosenbrock_step(t, y, h)
        total += h * (y + rosenbrock.STAGE_INTEGRAL @ u)
        for stage in range(6):
            point = y + rosenbrock.STAGE_PLACE[stage] @ u
            slope = tail(t + rosenbrock.STAGE_TIME[stage] * h, point) + tail_by_state(t, y) @ u[stage]
            slope += rosenbrock.STAGE_SLOPE[stage] * h * tail_by_time(t, y)
            product += h * rosenbrock.STAGE_WEIGHT[stage] * slope
        y, t = new, t + h
    return total, product


def test_integrals_are_of_order_four() -> None:
    whole = np.array([math.sin(2.0), 1.0 - math.cos(2.0)])
    product = (1.0 - math.cos(10.0)) / 20.0 - (1.0 - math.cos(2.0)) / 4.0  # of sin 2t cos 3t / 2
    found = [integrals(steps) for steps in STEPS]
    assert order([float(np.abs(one[0] - whole).max()) for one in found])[1:] == pytest.approx(4.0, abs=0.35)
    assert order([abs(one[1] - product) for one in found])[1:] == pytest.approx(4.0, abs=0.35)


def test_integrals_are_those_of_the_method_with_one_state_more() -> None:
    """One step with the integrals among the states, whose rows of the matrix nothing else reads."""
    t, y, h = 0.3, np.array([0.9, 0.4]), 0.2
    u, point, state = np.zeros((6, 5)), np.empty(5), np.r_[y, 0.0, 0.0, 0.0]
    matrix = np.eye(5) / (h * rosenbrock.GAMMA)
    matrix[:2, :2] -= pull_by_state(t, y)
    matrix[2:4, :2] -= np.eye(2)
    matrix[4, :2] -= tail_by_state(t, y)
    for stage in range(6):
        rosenbrock.stage_point(stage, state, u, point)
        then = t + rosenbrock.STAGE_TIME[stage] * h
        right = np.r_[pull(then, point[:2]), point[:2], tail(then, point[:2])]
        rosenbrock.stage_coupling(stage, u, 1.0 / h, right)
        right += rosenbrock.STAGE_SLOPE[stage] * h * np.r_[pull_by_time(t, y), 0.0, 0.0, tail_by_time(t, y)]
        u[stage] = np.linalg.solve(matrix, right)
    grown = (point + u[5])[2:]
    assert h * (y + rosenbrock.STAGE_INTEGRAL @ u[:, :2]) == pytest.approx(grown[:2], rel=1e-12)
    product = 0.0
    for stage in range(6):
        place = y + rosenbrock.STAGE_PLACE[stage] @ u[:, :2]
        slope = tail(t + rosenbrock.STAGE_TIME[stage] * h, place) + tail_by_state(t, y) @ u[stage, :2]
        product += h * rosenbrock.STAGE_WEIGHT[stage] * (slope + rosenbrock.STAGE_SLOPE[stage] * h * tail_by_time(t, y))
    assert product == pytest.approx(grown[2], rel=1e-12)


def test_parts_of_a_step_integrate_to_the_whole_step() -> None:
    weights = np.empty(6)
    rosenbrock.part_weights(1.0, weights)
    assert weights == pytest.approx(rosenbrock.STAGE_INTEGRAL, rel=1e-13)
    errors = []
    for steps in STEPS:
        h, t = 2.0 / steps, 0.5
        y = exact(t)
        _, _, u = rosenbrock_step(t, y, h)
        rosenbrock.part_weights(0.4, weights)
        whole = np.array([math.sin(t + 0.4 * h) - math.sin(t), math.cos(t) - math.cos(t + 0.4 * h)])
        errors.append(float(np.abs(h * (0.4 * y + weights @ u) - whole).max()))
    assert order(errors)[1:] == pytest.approx(5.0, abs=0.5)


def test_rosenbrock_coefficients_hold_their_conditions() -> None:
    """Stiffly accurate and L-stable: on y' = z y with z towards minus infinity a step ends at zero."""
    for z in (-1e3, -1e6, -1e9):
        u, point, y = np.zeros((6, 1)), np.empty(1), np.ones(1)
        for stage in range(6):
            rosenbrock.stage_point(stage, y, u, point)
            right = z * point
            rosenbrock.stage_coupling(stage, u, 1.0, right)
            u[stage] = right / (1.0 / rosenbrock.GAMMA - z)
        assert abs(float(point[0] + u[5, 0])) < 20.0 / abs(z)


# --- the same pair inside the gain kernel, with a pump that rises in a straight line, which its table holds exactly


class Dye:
    """One zone, four bins, gentle rates, so that steps of some nanoseconds are within reach of the order."""

    zone = np.array([[1.0], [1.0], [0.0]])
    rates = np.array([2.5e8, 4e6, 5e6, 2.3e8, 2e6, 1e6, 4.0, 4e4, 0.0])
    spectral = np.array(
        [
            [3.0e9, 2.5e9, 2.0e9, 1.0e9],
            [3.0e7, 1.0e7, 3.0e6, 1.0e6],
            [4.0e8, 4.0e8, 3.0e8, 2.0e8],
            [3.0e8, 3.0e8, 3.0e8, 3.0e8],
            [1.0e8, 1.0e8, 1.0e8, 1.0e8],
            [1.0e4, 1.0e4, 1.0e4, 1.0e4],
            [0.8, 0.8, 0.8, 0.8],
            [0.5, 0.5, 0.5, 0.5],
            [0.0, 0.0, 0.0, 0.0],
        ]
    )
    ase, ase_step = np.zeros((0, 2, 2)), np.ones(2)
    axis = np.array([0.0, 1e-7])
    pump = np.linspace(2e7, 8e7, 41)[:, None]

    def march(self, steps: int) -> Float:
        """State after 60 ns, from 1 us on."""
        table = kinetics_kernel.field_table(self.spectral, self.zone)
        y = np.array([1e-3, 8e-4, 5e-4, 2e-4, 0.05, 0.02])
        n = len(y)
        u, new, point, right = np.zeros((6, n)), np.empty(n), np.empty(n), np.empty(n)
        rate, slope, late, unused = np.empty(1), np.empty(1), np.empty(1), np.empty(1)
        work, border, fade = np.empty((5, 4)), np.empty((2, 2)), np.zeros((2, 1))
        h, t = 60e-9 / steps, 1e-6
        for _ in range(steps):
            kinetics_kernel.pump_at(self.pump, t, self.axis[0], self.axis[1], rate, slope)
            system = self.rates, self.zone, self.ase, self.ase_step, work, border, fade
            assert kinetics_kernel.factorise(y, rate, 1 / (h * rosenbrock.GAMMA), table, *system) == 0
            kinetics_kernel._stages(
                t, h, self.pump, self.axis, y, rate, slope, table, *system, u, late, unused, point, right
            )
            new = point + u[5]
            y, t = new.copy(), t + h
        return y


class Amplified(Dye):
    """The same with a source and the decay by amplified spontaneous emission, in one cubic of its table."""

    spectral = np.concatenate([Dye.spectral[:8], [[0.0, 2.0e5, 0.0, 0.0]]])
    rates = np.array([*Dye.rates[:8], 2.0e5])
    ase = 2e7 * np.array([[[1.0, 0.9], [1.4, 1.2], [2.2, 1.8], [3.9, 3.0]]])
    ase_step = np.array([0.04, 1.0])


def test_gain_kernel_steps_at_order_four_with_source_and_amplified_emission() -> None:
    best = Amplified().march(5120)
    errors = [float(np.abs(Amplified().march(steps) / best - 1).max()) for steps in (80, 160)]
    assert errors[1] > 1e-10, "the error is too small to see an order"
    assert order(errors) == pytest.approx(4.0, abs=0.35)


def test_gain_kernel_steps_at_order_four() -> None:
    best = Dye().march(1280)
    errors = [float(np.abs(Dye().march(steps) / best - 1).max()) for steps in STEPS]
    assert errors[0] > 1e-9, "the error is too small to see an order"
    assert order(errors) == pytest.approx(4.0, abs=0.35)


# --- Dormand and Prince in the discharge kernel


def resistor(steps: int) -> tuple[Float, Float, Float]:
    """A loop with a resistor and a column that does not change, stepped evenly: state, slopes, error norms."""
    circuit, branches = np.zeros(ck.CIRCUIT_COLUMNS), np.zeros((1, ck.BRANCH_COLUMNS))
    branches[0, ck.BRANCH_INDUCTANCE], branches[0, ck.BRANCH_RESISTANCE] = 1e-6, 0.1
    lamps = np.zeros((1, column_kernel.LAMP_COLUMNS))
    for name, value in (("COUNT", 1.0), ("LENGTH", 0.1), ("FULL", 25e-6), ("TURN", np.inf), ("FILL", 1.0)):
        lamps[0, getattr(column_kernel, name)] = value
    lamps[0, column_kernel.THICKEST] = 1e-10
    flat = (np.full((1, 1, 8, 3), math.log(1e-30)), np.full((1, 1, 8, 8), -200.0), np.full((1, 1, 8, 8), -200.0))
    axes = np.array([[0.0, 5.0]]), np.array([[0.0, 1.0]]), np.array([-12.0, 1.5])
    sizes = np.array([1, 1, 1, 1, 3, 0])
    net = (sizes, circuit, np.array([1e-5]), branches, lamps, flat, axes)
    _, _, _, _, live = ck.places(sizes)
    y = np.zeros(live + 2 + ck.LOSSES)
    y[0], y[2], y[3], y[4] = 1000.0, 1.0, 25e-6, 1e-10
    full, k, work = np.ones(1), np.empty((7, len(y))), np.empty((2, len(y)))
    ways = np.array([ck.CLOSED, 0.0]), full, np.zeros((1, column_kernel.FOUND)), np.zeros((1, ck.BRANCH_FOUND))
    scale = np.full_like(y, 1e9)  # the same weight whatever the state, so that the norm is the error
    h = 1e-5 / steps
    norms, states, slopes = [], [y.copy()], []
    status, full, found, parts = ways
    ck.derivative(y, *net[:4], status, lamps, full, flat, axes, found, parts, k[0])
    slopes.append(k[0].copy())
    for _ in range(steps):
        norms.append(discharge_kernel._dormand_prince(y, h, k, work, live, net, ways, scale, 1.0))
        y = work[0].copy()
        k[0] = k[6]
        states.append(y.copy())
        slopes.append(k[0].copy())
    return np.array(states), np.array(slopes), np.array(norms)


def ringing(time: Float) -> tuple[Float, Float]:
    """Exact voltage and current of the loop above."""
    damping, natural = 0.1 / 2e-6, 1 / math.sqrt(1e-11)
    omega = math.sqrt(natural**2 - damping**2)
    fall = np.exp(-damping * time)
    voltage = 1000.0 * fall * (np.cos(omega * time) + damping / omega * np.sin(omega * time))
    return voltage, 1000.0 / (omega * 1e-6) * fall * np.sin(omega * time)


def test_dormand_prince_is_of_order_five_with_an_estimate_of_order_four() -> None:
    errors, estimates = [], []
    for steps in STEPS[:3]:
        states, _, norms = resistor(steps)
        voltage, current = ringing(np.linspace(0, 1e-5, steps + 1))
        errors.append(
            float(max(np.abs(states[:, 0] - voltage).max() / 1e3, np.abs(states[:, 1] - current).max() / 3e3))
        )
        estimates.append(float(norms.max()))
    assert order(errors) == pytest.approx(5.0, abs=0.35)
    assert order(estimates) == pytest.approx(5.0, abs=0.35)


def test_energies_of_the_losses_are_of_the_same_order() -> None:
    """Energies are states of the method, not sums over accepted steps."""
    errors = []
    for steps in STEPS[:3]:
        states, _, _ = resistor(steps)
        live = states.shape[1] - 2 - ck.LOSSES
        kept = 0.5 * 1e-5 * states[-1, 0] ** 2 + 0.5 * 1e-6 * states[-1, 1] ** 2
        errors.append(abs(kept + states[-1, live + 2 + ck.LOOP] - 5.0))
    assert errors[0] > 1e-12
    assert np.all(order(errors) > 4.6)


def test_resampling_between_steps_is_of_order_four() -> None:
    """Cubic Hermite on states and slopes: the error within a step falls with the fourth power."""
    errors = []
    wanted = np.linspace(0, 1e-5, 777)
    for steps in STEPS[:3]:
        states, slopes, _ = resistor(steps)
        out = np.empty((len(wanted), states.shape[1]))
        tables.hermite_resample(np.linspace(0, 1e-5, steps + 1), states, slopes, wanted, out)
        errors.append(float(np.abs(out[:, 1] - ringing(wanted)[1]).max()))
    assert order(errors) == pytest.approx(4.0, abs=0.35)
