"""The normalised square-root-law discharge: [computed] table of the fact sheet, exact limits, another integrator.

Table values come from an independent integration (LSODA, rtol 1e-11); currents in V0/Z0, times in sqrt(L C). They must
agree to 0.2 % or half the last printed digit.
"""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from pulsewright.errors import DomainError
from pulsewright.physics.pulsed_power.circuit import (
    damping_parameter,
    design_single_mesh,
    general_damping_parameter,
    single_mesh_pulse,
)
from pulsewright.physics.pulsed_power.normalised import energy_fractions, normalised_current, normalised_discharge
from pulsewright.physics.pulsed_power.pulse_length import DEFINITIONS, pulse_length_factor

#: alpha, i_pk, tau_pk, w(50%), w(1/3), w(10%), rise, reversal of the current, -vC_min, E1 [computed]
TABLE = [
    ("0.20", "0.8390", "1.5029", "2.0956", "2.4644", "2.9478", "0.9682", "0.6549", "0.6799", "0.538"),
    ("0.40", "0.7033", "1.4329", "2.1003", "2.4740", "2.9732", "0.9142", "0.3413", "0.4146", "0.828"),
    ("0.60", "0.5899", "1.3617", "2.1104", "2.4948", "3.0307", "0.8584", "0.1052", "0.1983", "0.961"),
    ("0.70", "0.5405", "1.3260", "2.1183", "2.5111", "3.0788", "0.8302", "0.0341", "0.1071", "0.989"),
    ("0.80", "0.4956", "1.2902", "2.1285", "2.5328", "3.1467", "0.8018", "0.0022", "0.0268", "0.999"),
    ("0.90", "0.4547", "1.2547", "2.1418", "2.5611", "3.2441", "0.7735", "0", "0", "1.000"),
    ("1.00", "0.4175", "1.2193", "2.1585", "2.5976", "3.3884", "0.7452", "0", "0", "0.999"),
    ("1.20", "0.3531", "1.1498", "2.2057", "2.7045", "4.0090", "0.6897", "0", "0", "0.997"),
    ("2.00", "0.1901", "0.8981", "2.7446", "4.0490", "10.296", "0.4911", "0", "0", "0.982"),
    ("3.00", "0.0998", "0.6595", "4.5241", "7.4990", "20.951", "0.3150", "0", "0", "0.930"),
]
COLUMNS = (
    "normalised_peak",
    "normalised_peak_time",
    "normalised_width_half",
    "normalised_width_third",
    "normalised_width_tenth",
    "normalised_rise_time",
    "current_reversal",
    "voltage_reversal",
    "lamp_energy_share",
)


def tolerance(printed: str) -> float:
    """0.2 % or half the last printed digit, whichever is more."""
    digits = len(printed.partition(".")[2])
    return max(2e-3 * float(printed), 0.5001 * 10.0**-digits if digits else 0.0)


@pytest.mark.parametrize("row", TABLE, ids=[row[0] for row in TABLE])
def test_computed_table(row: tuple[str, ...]) -> None:
    found = normalised_discharge(float(row[0]))
    for name, printed in zip(COLUMNS, row[1:], strict=True):
        assert getattr(found, name) == pytest.approx(float(printed), abs=tolerance(printed)), name


def test_undamped_limit_is_a_sine() -> None:
    shape = normalised_discharge(0.0)
    width = {f: math.pi - 2 * math.asin(f) for f in (0.5, 1 / 3, 0.1)}
    exact = (
        1,
        math.pi / 2,
        width[0.5],
        width[1 / 3],
        width[0.1],
        math.asin(0.9) - math.asin(0.1),
        1,
        1,
        0,
        math.pi / 2,
    )
    assert tuple(shape) == pytest.approx(exact, rel=1e-7, abs=1e-9)
    times = np.linspace(0.0, math.pi, 40)
    assert np.allclose(normalised_current(times, 0.0), np.sin(times), atol=1e-9)


def test_exponent_of_one_is_a_resistor() -> None:
    # di/dtau + b i + INT i = 1: i = exp(-b tau / 2) sin(w tau) / w, w^2 = 1 - b^2/4; by lamp or by loop resistance.
    b = 0.7
    w = math.sqrt(1 - b * b / 4)
    times = np.linspace(0.0, math.pi / w, 40)
    exact = np.exp(-b * times / 2) * np.sin(w * times) / w
    assert np.allclose(normalised_current(times, b, exponent=1.0), exact, atol=1e-9)
    assert np.allclose(normalised_current(times, 0.0, resistance_ratio=b), exact, atol=1e-9)


@pytest.mark.parametrize("alpha", [8.0, 15.0])
def test_overdamped_limit(alpha: float) -> None:
    # alpha >> 1: i ~ (v / alpha)^2, v = 1 / (1 + tau / alpha^2) [computed]
    times = np.array([0.5, 1.0, 2.0]) * alpha**2
    exact = (1.0 / (1.0 + times / alpha**2) / alpha) ** 2
    assert normalised_current(times, alpha) == pytest.approx(exact, rel=2.0 / alpha**2)


def test_late_tail() -> None:
    # alpha = 1, tau = 200: v tau = 0.969, limit 1 [computed]
    where = energy_fractions(1.0, 200.0)
    assert math.sqrt(where.capacitor_share) * 200.0 == pytest.approx(0.969, abs=0.0005)


def test_reversal_vanishes_at_0_835() -> None:
    # 0.835 +- 0.005 [computed]
    assert normalised_discharge(0.830).voltage_reversal > 1e-3
    assert normalised_discharge(0.840).voltage_reversal == 0.0


def test_steeper_exponent_reverses_far_more() -> None:
    # A lamp designed to alpha = 0.8 that obeys I^0.85, with the same voltage at the peak current of the root law: below
    # the peak its voltage is lower. (One that has the same voltage at a low current reverses less, not more.)
    root = normalised_discharge(0.8)
    steep = normalised_discharge(0.8 * root.normalised_peak ** (0.5 - 0.85), exponent=0.85)
    assert root.current_reversal == pytest.approx(0.0022, abs=0.00005)
    assert 20 < steep.current_reversal / root.current_reversal < 50
    joined_low = normalised_discharge(0.8 * (0.1 * root.normalised_peak) ** (0.5 - 0.85), exponent=0.85)
    assert joined_low.current_reversal < root.current_reversal


@pytest.mark.parametrize(
    ("alpha", "exponent", "loss"), [(0.3, 0.5, 0.0), (0.3, 0.5, 0.2), (0.5, 0.85, 0.1), (1.5, 0.5, 0.1)]
)
def test_energy_is_kept_at_every_time(alpha: float, exponent: float, loss: float) -> None:
    for time in (0.1, 1.0, 2.0, 3.5, 6.0, 12.0, 40.0):
        assert sum(energy_fractions(alpha, time, exponent, loss)) == pytest.approx(1.0, abs=1e-8)


def stepped(alpha: float, exponent: float, loss: float, end: float) -> tuple[float, float, float, float]:
    """Energies at `end` by a plain integration through all half cycles, written apart from the one under test."""

    def rate(_: float, y: np.ndarray) -> list[float]:
        i, q = y[0], y[1]
        lamp = math.copysign(alpha * abs(i) ** exponent, i)
        return [1 - q - lamp - loss * i, i, 2 * lamp * i, 2 * loss * i * i]

    run = solve_ivp(rate, (0, end), [0, 0, 0, 0], method="DOP853", rtol=1e-9, atol=1e-12, max_step=0.01)
    i, q, lamp, resistor = run.y[:, -1]
    return float(lamp), float(resistor), float((1 - q) ** 2), float(i * i)


@pytest.mark.parametrize(("alpha", "exponent", "loss"), [(0.2, 0.5, 0.0), (0.35, 0.85, 0.1)])
def test_half_cycles_scaled_from_the_first_agree_with_plain_integration(
    alpha: float, exponent: float, loss: float
) -> None:
    for end in (2.0, 5.0, 9.0):
        assert tuple(energy_fractions(alpha, end, exponent, loss)) == pytest.approx(
            stepped(alpha, exponent, loss, end), abs=2e-6
        )


def test_two_half_widths_from_plain_integration() -> None:
    def rate(_: float, y: np.ndarray) -> list[float]:
        return [1 - y[1] - 0.8 * math.copysign(math.sqrt(abs(y[0])), y[0]), y[0]]

    run = solve_ivp(rate, (0, 3.5), [0, 0], method="DOP853", rtol=1e-10, atol=1e-12, max_step=0.01, dense_output=True)
    peak = float(np.max(run.sol(np.linspace(1.2, 1.4, 20001))[0]))

    def crossing(fraction: float, low: float, high: float) -> float:
        return float(brentq(lambda t: float(run.sol(t)[0]) - fraction * peak, low, high))

    found = normalised_discharge(0.8)
    assert found.normalised_peak == pytest.approx(peak, rel=1e-6)
    for name, fraction in (("half", 0.5), ("third", 1 / 3), ("tenth", 0.1)):
        width = crossing(fraction, 1.3, 3.4) - crossing(fraction, 1e-6, 1.2)
        assert getattr(found, f"normalised_width_{name}") == pytest.approx(width, rel=1e-5)


@pytest.mark.parametrize(("exponent", "print_reversal"), [(0.5, 0.0022), (0.85, None)])
def test_general_exponent_gives_back_the_square_root(exponent: float, print_reversal: float | None) -> None:
    # alpha' = K0 (V0/Z0)^n / V0 [algebra]; n = 0.5 is alpha = K0 / sqrt(V0 Z0)
    volts, ohms, k0 = 1077.22, 0.58020, 20.0
    general = float(general_damping_parameter(k0, 1.0, exponent, volts, ohms))
    assert general == pytest.approx(k0 * (volts / ohms) ** exponent / volts, rel=1e-12)
    if print_reversal is not None:
        assert general == pytest.approx(float(damping_parameter(k0, volts, ohms)), rel=1e-12)
        assert normalised_discharge(general).current_reversal == pytest.approx(print_reversal, abs=0.00005)


@pytest.mark.parametrize("alpha", [0.0, 50.0, -1.0, math.nan, math.inf])
@pytest.mark.parametrize("definition", DEFINITIONS)
def test_a_design_refuses_a_damping_that_is_none(alpha: float, definition: str) -> None:
    with pytest.raises(DomainError) as refused:
        design_single_mesh(100.0, 300e-6, 20.0, alpha, definition)
    finding = refused.value.findings[0]
    assert finding.path == "damping_parameter"
    assert finding.allowed
    assert finding.next_step


@pytest.mark.parametrize("definition", DEFINITIONS)
def test_no_pulse_length_beyond_the_solved_dampings(definition: str) -> None:
    assert math.isfinite(pulse_length_factor(0.0, definition))  # an undamped loop is a sine
    for alpha in (50.0, math.nan):
        with pytest.raises(DomainError, match="outside the range"):
            pulse_length_factor(alpha, definition)


@pytest.mark.parametrize("k0", [1e-3, 1.0, 40.0, 100.0])
def test_a_pulse_of_any_damping_is_numbers_or_refused(k0: float) -> None:
    # 4 uF, 1.5 uH, 9.5 kV: alpha = 0.01 K0
    alpha = float(damping_parameter(k0, 9.5e3, math.sqrt(1.5e-6 / 4e-6)))
    pulse = single_mesh_pulse(4e-6, 1.5e-6, 9.5e3, k0)
    assert pulse.damping_parameter == pytest.approx(alpha)
    assert all(math.isfinite(value) for value in pulse)
    with pytest.raises(DomainError):
        single_mesh_pulse(4e-6, 1.5e-6, 9.5e3, 5e3)  # alpha = 66
