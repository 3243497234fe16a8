"""Pressure-drop triggering by second ways: SciPy's integrator, its fit, drawn shots instead of partial derivatives."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import curve_fit

from pulsewright.physics.pulsed_power import pressure_drop as pd
from pulsewright.physics.pulsed_power.breakdown import paschen_minimum, paschen_pressure, paschen_voltage
from pulsewright.physics.pulsed_power.breakdown_curve import BreakdownCurve, calibrated_curve, gas_curve
from pulsewright.physics.pulsed_power.pressure_drop import Charging, Lags, Pumping, Repeats, pressure_drop_firing
from pulsewright.physics.pulsed_power.pump_down import effective_pump_speed, pump_down_pressure

TORR = 101325.0 / 760.0
PER_CM_TORR = 100.0 / TORR
ARGON = (11.5 * PER_CM_TORR, 176 * PER_CM_TORR, 0.01)
CURVE = gas_curve(*ARGON, 0.1, 1)
CHARGING = Charging("resistor", 1e-6, 9e3, resistance=1e6, voltage_max=10e3)
PUMPING = Pumping(400 * TORR, 1 * TORR, 1 / 3000, 0.5e-3, leak=1e-2)
NO_LAG = Lags(0.0, 0.0, 0.0)
EXACT = Repeats(0.0, 0.0, 0.0)


def test_pump_and_line_against_the_balance_of_gas() -> None:
    """Lamp and pump as two vessels joined by a line: d(pV)/dt = -C (p - p_pump), C (p - p_pump) = S p_pump."""
    pump, line, volume, start = 4e-4, 2e-4, 5e-4, 5e4

    def balance(_time: float, state: list[float]) -> list[float]:
        at_pump = line * state[0] / (line + pump)
        return [-line * (state[0] - at_pump) / volume]

    times = np.linspace(0.0, 10.0, 7)
    solved = solve_ivp(balance, (0.0, 10.0), [start], t_eval=times, rtol=1e-10, atol=1e-9).y[0]
    closed = pump_down_pressure(times, start, 0.0, effective_pump_speed(pump, line), volume)
    assert closed == pytest.approx(solved, rel=1e-7)


def test_leak_against_the_balance_of_gas() -> None:
    def balance(_time: float, state: list[float]) -> list[float]:
        flow = PUMPING.pump_speed * (state[0] - PUMPING.stop_pressure)
        return [(PUMPING.leak - flow) / PUMPING.volume]

    times = np.linspace(0.0, 12.0, 7)
    solved = solve_ivp(balance, (0.0, 12.0), [PUMPING.start_pressure], t_eval=times, rtol=1e-10, atol=1e-9).y[0]
    assert [PUMPING.pressure(time) for time in times] == pytest.approx(solved, rel=1e-7)


def test_curve_is_that_of_the_published_form() -> None:
    for torr in (5.0, 30.0, 400.0):
        assert CURVE.voltage(torr * TORR) == pytest.approx(float(paschen_voltage(torr * TORR, 0.1, *ARGON)), rel=1e-12)
    for volts in (300.0, 9e3, 3e4):
        right = CURVE.right_pressure(volts)
        assert right == pytest.approx(float(paschen_pressure(volts, 0.1, *ARGON)), rel=1e-9)
        left = CURVE.left_pressure(volts)
        assert left is not None
        assert right is not None
        assert left < CURVE.lowest_pressure < right
        assert CURVE.voltage(left) == pytest.approx(volts, rel=1e-9)
    lowest = paschen_minimum(*ARGON)
    assert CURVE.lowest_pressure * 0.1 == pytest.approx(float(lowest.pressure_gap_product), rel=1e-12)
    assert CURVE.lowest_voltage == pytest.approx(float(lowest.voltage), rel=1e-12)
    assert CURVE.right_pressure(0.999 * CURVE.lowest_voltage) is None


@pytest.mark.parametrize("drain", [math.inf, 20e6])
@pytest.mark.parametrize(
    "charging",
    [
        Charging("constant current", 1e-6, 9e3, current=5e-3),
        Charging("constant power", 1e-6, 9e3, power=20.0),
        Charging("resistor", 1e-6, 9e3, resistance=1e6, voltage_max=10e3),
    ],
    ids=lambda charging: charging.method,
)
def test_charging_against_scipys_integrator(charging: Charging, drain: float) -> None:
    """C dV/dt = current of the supply - V / R_drain."""
    drained = replace(charging, drain=drain)

    def supplied(volts: float) -> float:
        if charging.method == "constant current":
            return charging.current or 0.0
        if charging.method == "constant power":
            return (charging.power or 0.0) / max(volts, 1e-3)
        return (charging.voltage_max - volts) / (charging.resistance or 1.0)

    end = drained.charge_time
    assert end is not None
    times = np.linspace(0.05, 1.0, 8) * end
    began = drained.voltage(times[0])
    solved = solve_ivp(
        lambda _, state: [(supplied(state[0]) - state[0] / drain) / 1e-6],
        (times[0], end), [began], t_eval=times, rtol=1e-9, atol=1e-6,
    ).y[0]  # fmt: skip
    assert [drained.voltage(time) for time in times] == pytest.approx(solved, rel=1e-6)
    assert solved[-1] == pytest.approx(9e3, rel=1e-6)
    assert drained.voltage(0.0) == 0.0
    assert drained.voltage(2 * end) == 9e3


def test_a_voltage_that_is_never_reached_has_no_time() -> None:
    for drain in (math.inf, 20e6):
        assert Charging("resistor", 1e-6, 10e3, resistance=1e6, voltage_max=10e3, drain=drain).charge_time is None
    assert Charging("constant current", 1e-6, 9e3, current=1e-4, drain=20e6).charge_time is None


@pytest.mark.parametrize("pump_start", [None, 0.0, 1.0])
def test_firing_instant_against_small_steps(pump_start: float | None) -> None:
    found = pressure_drop_firing(CURVE, CHARGING, PUMPING, NO_LAG, EXACT, pump_start)
    begin = CHARGING.charge_time if pump_start is None else pump_start
    assert begin is not None
    times = np.linspace(0.0, 12.0, 120_001)
    volts = np.minimum(10e3 * (1 - np.exp(-times / 1.0)), 9e3)
    rest = PUMPING.stop_pressure + PUMPING.leak / PUMPING.pump_speed
    pressure = rest + (PUMPING.start_pressure - rest) * np.exp(-np.maximum(times - begin, 0.0) / 1.5)
    x = pressure * 0.1
    breakdown = 176 * PER_CM_TORR * x / np.log(ARGON[0] * x / np.log(101.0))
    first = times[np.argmax(volts >= breakdown)]
    assert found.outcome == pd.FIRES
    assert found.crossing == pytest.approx(first, abs=2e-4)


def test_jitter_against_drawn_shots() -> None:
    """Partial derivatives against 40 000 shots with drawn voltage, start pressure, speed and lags."""
    lags, repeats = Lags(5e-3, 1e-4, 2e-5), Repeats(2e-3, 3e-3, 1e-3)
    found = pressure_drop_firing(CURVE, CHARGING, PUMPING, lags, repeats)
    random = np.random.default_rng(20)
    count = 40_000
    volts = 9e3 * (1 + repeats.voltage * random.standard_normal(count))
    start = PUMPING.start_pressure * (1 + repeats.start_pressure * random.standard_normal(count))
    speed = PUMPING.pump_speed * (1 + repeats.pump_speed * random.standard_normal(count))
    rest = PUMPING.stop_pressure + PUMPING.leak / speed
    fires = np.asarray(paschen_pressure(volts, 0.1, *ARGON))
    delay = PUMPING.volume / speed * np.log((start - rest) / (fires - rest))
    delay += random.exponential(lags.statistical, count)
    delay += lags.formative + lags.formative_spread * random.standard_normal(count)
    assert found.jitter == pytest.approx(delay.std(), rel=0.02)  # 1/sqrt(2 count) is 0.4 %, tails of the wait more
    assert found.delay == pytest.approx(delay.mean(), abs=4 * delay.std() / math.sqrt(count))


@pytest.mark.parametrize("leak", [0.0, 0.5])
def test_every_part_of_the_jitter_is_the_slope_of_the_instant(leak: float) -> None:
    """Each cause by itself against two shots a little apart; with a leak that rests the pump at half of where it fires,
    more speed also lowers the pressure at which pumping would end.
    """
    pumping = Pumping(400 * TORR, 1 * TORR, 1 / 3000, 0.5e-3, leak=leak)
    deviation, change = 1e-3, 1e-4
    found = pressure_drop_firing(CURVE, CHARGING, pumping, NO_LAG, Repeats(deviation, deviation, deviation))

    def instant(charging: Charging = CHARGING, pump: Pumping = pumping) -> float:
        shot = pressure_drop_firing(CURVE, charging, pump, NO_LAG, EXACT, CHARGING.charge_time)
        assert shot.delay is not None
        return shot.delay

    full = replace(CHARGING, voltage_max=20e3)  # comes to either voltage before pumping begins
    slopes = {
        "voltage": [instant(replace(full, charge_voltage=9e3 * (1 + sign * change))) for sign in (1, -1)],
        "start pressure": [
            instant(pump=replace(pumping, start_pressure=pumping.start_pressure * (1 + sign * change)))
            for sign in (1, -1)
        ],
        "pump speed": [
            instant(pump=replace(pumping, pump_speed=pumping.pump_speed * (1 + sign * change))) for sign in (1, -1)
        ],
    }
    for cause, (above, below) in slopes.items():
        slope = abs(above - below) / (2 * change)
        assert found.parts[cause] == pytest.approx(deviation * slope, rel=1e-3), cause


def test_two_constants_against_scipys_fit() -> None:
    true = BreakdownCurve(1500.0, 0.7, 0.1, 2)
    random = np.random.default_rng(4)
    pressures = np.array([900.0, 2000.0, 3500.0, 6000.0, 9000.0])
    volts = np.array([true.voltage(float(p)) for p in pressures]) * (1 + 0.06 * random.standard_normal(5))
    moved = calibrated_curve(BreakdownCurve(1000.0, 1.0, 0.1, 2), list(zip(pressures, volts, strict=True)))

    def inverse(x: np.ndarray, offset: float, rate: float) -> np.ndarray:
        return offset + rate * np.log(x)

    x, each = pressures * 0.1, volts / 2
    (offset, rate), _ = curve_fit(inverse, x, x / each, sigma=x / each, p0=(1e-3, 1e-3))
    assert moved.field_constant == pytest.approx(1 / rate, rel=1e-5)
    assert moved.logarithm_constant == pytest.approx(offset / rate, rel=1e-4)
    residual = each / x * inverse(x, offset, rate) - 1
    # Student's t for 90 % with five pairs less two constants: 2.3534, from tables
    assert moved.spread == pytest.approx(2.3534 * math.sqrt(residual @ residual / 3), rel=1e-4)
    assert moved.spread > 0.06, "above the least that is kept"


def test_chance_of_a_missed_breakdown_is_that_of_laue() -> None:
    """Pumped past the range in which it can fire in a time known from both pressures: exp(-(window - tf) / ts)."""
    charging = Charging("constant current", 1e-6, 210.0, current=1e-3)
    pumping = Pumping(100 * TORR, 0.01 * TORR, 1e-2, 1e-3)
    lags = Lags(5e-2, 1e-3, 1e-3)
    found = pressure_drop_firing(CURVE, charging, pumping, lags, Repeats(1e-3, 1e-3, 1e-3))
    right, left = CURVE.right_pressure(210.0), CURVE.left_pressure(210.0)
    assert right is not None
    assert left is not None
    window = 0.1 * math.log((right - pumping.rest) / (left - pumping.rest))
    assert found.window == pytest.approx(window, rel=1e-9)
    assert found.chances[pd.MISSED] == pytest.approx(math.exp(-(window - 1e-3) / 5e-2), rel=1e-9)
