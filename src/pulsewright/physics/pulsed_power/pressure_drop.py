"""Pressure-drop triggering: a lamp is pumped until the voltage that stands on it breaks it down."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass
from functools import cached_property

from scipy.optimize import brentq
from scipy.special import ndtr

from pulsewright.physics.pulsed_power.breakdown_curve import BreakdownCurve
from pulsewright.physics.pulsed_power.charge_curve import (
    constant_current_time,
    constant_power_time,
    drained_resistor_time,
)
from pulsewright.physics.pulsed_power.pump_down import leak_stop_pressure

#: How a shot by pressure drop ends; the failures in order of how often they happen.
FIRES, CHARGING, LEAK, LOW_CHARGE, MISSED = (
    "fires",
    "fires while charging",
    "a leak stops the pressure short",
    "the charge is too low",
    "the breakdown is missed",
)
#: Time constants of the pump after which the pressure is taken as at rest.
LONGEST = 20.0
_NINETY = 1.6448536269514722
#: Beyond this many mean waits a breakdown is sure.
_SURE = 700.0


@dataclass(frozen=True)
class Charging:
    """How the bank comes to its voltage: `method` with its `current` [A], `power` [W], or `resistance` [ohm].

    `voltage_max` of the supply, for a resistor [V]; `drain` of bleeder and divider across the bank [ohm]; `charge_time`
    is None where the voltage is never reached. Voltages are those of `charge_curve` for one number, without checks.
    """

    method: str
    capacitance: float
    charge_voltage: float
    current: float | None = None
    power: float | None = None
    resistance: float | None = None
    voltage_max: float = math.inf
    drain: float = math.inf

    @cached_property
    def charge_time(self) -> float | None:
        """Time from empty to the charge voltage, in s."""
        drain = self.drain if math.isfinite(self.drain) else None
        time = math.inf
        if self.method == "constant current" and self.current:
            time = float(constant_current_time(self.capacitance, self.charge_voltage, self.current, drain))
        if self.method == "constant power" and self.power:
            time = float(constant_power_time(self.capacitance, self.charge_voltage, self.power, drain))
        if self.method == "resistor" and self.resistance:
            supply, volts = self.voltage_max, self.charge_voltage
            time = float(drained_resistor_time(supply, self.resistance, self.capacitance, volts, drain))
        return time if math.isfinite(time) else None

    def voltage(self, time: float) -> float:
        """Voltage of the bank a time after charging began, in V."""
        if self.charge_time is None or time >= self.charge_time:
            return self.charge_voltage
        if time <= 0.0:
            return 0.0
        if self.method == "resistor":
            ohms = float(self.resistance or 0.0)
            part = 1.0 / (1.0 + ohms / self.drain)
            return -self.voltage_max * part * math.expm1(-time / (ohms * part * self.capacitance))
        leaked = time / (self.drain * self.capacitance)
        if self.method == "constant current":
            return float(self.current or 0.0) * time / self.capacitance * _part_kept(leaked)
        return math.sqrt(2.0 * float(self.power or 0.0) * time / self.capacitance * _part_kept(2.0 * leaked))


def _part_kept(leaked: float) -> float:
    """(1 - exp(-x)) / x: what a drain leaves of a charge given at a steady rate."""
    return -math.expm1(-leaked) / leaked if leaked > 0.0 else 1.0


@dataclass(frozen=True)
class Pumping:
    """Pumping of the lamps; `pump_speed` at the lamps, line counted; `stop_pressure` without the leak. SI.

    Pressure and time are `pump_down_pressure` and `pump_down_time` for one number, without their checks: a root is
    sought through them.
    """

    start_pressure: float
    stop_pressure: float
    pump_speed: float
    volume: float
    leak: float = 0.0

    @cached_property
    def rest(self) -> float:
        """Pressure at which pumping comes to rest, leak counted, in Pa."""
        return float(leak_stop_pressure(self.stop_pressure, self.leak, self.pump_speed))

    @cached_property
    def time_constant(self) -> float:
        """Volume over speed, in s."""
        return self.volume / self.pump_speed

    def pressure(self, time: float) -> float:
        """Pressure a time after pumping began; before that the start pressure. In Pa."""
        if time <= 0.0:
            return self.start_pressure
        return self.rest + (self.start_pressure - self.rest) * math.exp(-time / self.time_constant)

    def time(self, pressure: float) -> float:
        """Time after pumping began at which a pressure is reached; infinite where it never is. In s."""
        if pressure >= self.start_pressure:
            return 0.0
        if pressure <= self.rest:
            return math.inf
        return self.time_constant * math.log((self.start_pressure - self.rest) / (pressure - self.rest))


@dataclass(frozen=True, slots=True)
class Lags:
    """Mean `statistical` wait for a first electron, mean `formative` lag and its `formative_spread`, in s."""

    statistical: float
    formative: float
    formative_spread: float


@dataclass(frozen=True, slots=True)
class Repeats:
    """How well a shot repeats the one before: relative standard deviations."""

    voltage: float
    start_pressure: float
    pump_speed: float


@dataclass(frozen=True, slots=True)
class Firing:
    """What a shot by pressure drop does.

    `voltage` [V] and `pressure` [Pa] when it fires; `crossing` where the curves meet; `delay` from the start of
    pumping, `jitter` its standard deviation, None unless it fires as meant; `parts` of the jitter by cause [s];
    `pump_start` after the start of charging [s]; `earliest_pump_start` that just avoids firing while charging [s];
    `window` between the pressures at which it can fire [s]; `chances` of each failure.
    """

    outcome: str
    voltage: float
    pressure: float
    crossing: float | None
    delay: float | None
    jitter: float | None
    parts: dict[str, float]
    pump_start: float
    earliest_pump_start: float | None
    window: float
    chances: dict[str, float]


def pressure_drop_firing(
    curve: BreakdownCurve,
    charging: Charging,
    pumping: Pumping,
    lags: Lags,
    repeats: Repeats,
    pump_start: float | None = None,
) -> Firing:
    """When, at which voltage and pressure a lamp that is pumped down breaks down, and what can go wrong.

    Parameters
    ----------
    curve : BreakdownCurve
        Breakdown voltage against pressure.
    charging : Charging
        How the bank comes to its voltage.
    pumping : Pumping
        How the pressure falls.
    lags : Lags
        Statistical and formative lag.
    repeats : Repeats
        Repeatability of voltage, start pressure and pump speed.
    pump_start : float, optional
        Time from the start of charging to that of pumping; None: when the bank is full. [s]

    Returns
    -------
    firing : Firing
        Outcome, instant, jitter and the chances of each failure.

    Raises
    ------
    DomainError
        If a quantity has the wrong sign.

    Notes
    -----
    Valid: a bank that stands on the lamps without a switch; one pressure in all lamps; pressure falling slowly against
    the lags. Not covered: drift of the curve with gas, light and wear; a charger that is off while it is pumped.
    Equation: V(t) = V_b(p(t)), from high pressure, so the right branch first; jitter^2 = sum of (dt/dx sigma_x)^2 over
    voltage, start pressure and pump speed, plus the formative spread and the statistical lag squared.
    Source: balance of gas; Paschen-type curve; Laue law (Phys. Plasmas 13, 083502 (2006)); propagation of errors.

    Examples
    --------
    >>> curve = BreakdownCurve(1000.0, 1.0, 0.1)
    >>> charging = Charging("constant current", 1e-6, 9e3, current=0.01)
    >>> pumping = Pumping(5e4, 10.0, 3e-4, 5e-4)
    >>> firing = pressure_drop_firing(curve, charging, pumping, Lags(1e-3, 1e-5, 1e-5), Repeats(1e-3, 1e-3, 1e-3))
    >>> firing.outcome, round(firing.pressure), round(firing.delay, 2)
    ('fires', 428, 7.97)
    """
    full = charging.charge_time or 0.0
    begin = full if pump_start is None else pump_start
    crossing = _first_crossing(curve, charging, pumping, begin, full)
    voltage = charging.charge_voltage
    window = _window(curve, pumping, voltage, begin, full)
    chances = _chances(curve, charging, pumping, lags, repeats, begin, full, window)
    earliest = _earliest(curve, charging, pumping, full)
    if crossing is None:
        outcome = _why_not(curve, pumping, voltage)
        return Firing(outcome, voltage, pumping.rest, None, None, None, {}, begin, earliest, 0.0, chances)
    if crossing < full:
        at = pumping.pressure(crossing - begin)
        return Firing(
            CHARGING, charging.voltage(crossing), at, crossing, None, None, {}, begin, earliest, window, chances
        )
    parts = _jitter_parts(curve, pumping, voltage, crossing - begin, lags, repeats)
    parts["voltage"] = min(parts["voltage"], window, LONGEST * pumping.time_constant)
    lag = lags.formative + min(lags.statistical, window)
    return Firing(
        FIRES,
        voltage,
        pumping.pressure(crossing - begin + lag),
        crossing,
        crossing - begin + lag,
        math.sqrt(sum(part**2 for part in parts.values())),
        parts,
        begin,
        earliest,
        window,
        chances,
    )


def _first_crossing(
    curve: BreakdownCurve, charging: Charging, pumping: Pumping, begin: float, full: float
) -> float | None:
    """First time after the start of charging at which the bank reaches the breakdown voltage of that moment, in s."""

    def over(time: float) -> float:
        return charging.voltage(time) - min(curve.voltage(pumping.pressure(time - begin)), 1e12)

    # up to the minimum of the curve the voltage rises and the breakdown voltage falls: one crossing at most
    last = begin + pumping.time(max(curve.lowest_pressure, pumping.rest * (1 + 1e-9)))
    if pumping.rest >= curve.lowest_pressure:
        last = max(last, full)
    if over(0.0) >= 0.0:
        return 0.0
    if over(last) >= 0.0:
        return float(brentq(over, 0.0, last, xtol=1e-9))
    if last >= full or pumping.rest >= curve.lowest_pressure:
        return None
    return _left_crossing(over, last, full)


def _left_crossing(over: Callable[[float], float], passed: float, full: float, steps: int = 400) -> float | None:
    """Past the minimum while still charging: the voltage may catch up with the left branch."""
    for number in range(steps):
        left, right = (passed + (full - passed) * part / steps for part in (number, number + 1))
        if over(right) >= 0.0:
            return float(brentq(over, left, right, xtol=1e-9)) if over(left) < 0.0 else left
    return None


def _window(curve: BreakdownCurve, pumping: Pumping, voltage: float, begin: float, full: float) -> float:
    """Time between the two pressures at which the full voltage breaks the lamp down, in s; infinite if it stays."""
    right, left = curve.right_pressure(voltage), curve.left_pressure(voltage)
    if right is None or left is None or pumping.rest >= right:
        return 0.0
    opens = max(pumping.time(right), full - begin)
    return max(pumping.time(left) - opens, 0.0) if pumping.rest < left else math.inf


def _why_not(curve: BreakdownCurve, pumping: Pumping, voltage: float) -> str:
    right = curve.right_pressure(voltage)
    if right is None:
        return LOW_CHARGE
    if pumping.rest >= right:
        return LEAK if pumping.stop_pressure < right else LOW_CHARGE
    return MISSED


def _chances(
    curve: BreakdownCurve,
    charging: Charging,
    pumping: Pumping,
    lags: Lags,
    repeats: Repeats,
    begin: float,
    full: float,
    window: float,
) -> dict[str, float]:
    """Chance of each failure, from the spread of the curve and the repeatability of the voltage; each by itself."""
    volts = charging.charge_voltage

    def above(pressure: float) -> float:
        deviation = math.hypot(curve.spread_at(pressure) / _NINETY, repeats.voltage)
        return float(ndtr(math.log(volts / curve.voltage(pressure)) / deviation))

    held = above(max(pumping.pressure(full - begin), curve.lowest_pressure))
    short = 1.0 - above(pumping.rest) if pumping.rest > curve.lowest_pressure else 0.0
    low = 1.0 - above(curve.lowest_pressure)
    missed = 0.0
    if math.isfinite(window) and window > 0.0:
        wait = max(window - lags.formative, 0.0) / lags.statistical if lags.statistical > 0 else _SURE
        missed = math.exp(-min(wait, _SURE))
    return {CHARGING: held, LEAK: short, LOW_CHARGE: low, MISSED: missed}


def _earliest(curve: BreakdownCurve, charging: Charging, pumping: Pumping, full: float) -> float | None:
    """Earliest start of pumping, after that of charging, that does not fire while charging, in s; None if none does."""
    right = curve.right_pressure(charging.charge_voltage)
    if right is None:
        return 0.0
    if right >= pumping.start_pressure:
        return None
    # while charging the voltage lies below its end value, so the race is lost at its end or not at all
    return max(full - pumping.time(right), 0.0)


def _jitter_parts(
    curve: BreakdownCurve, pumping: Pumping, voltage: float, after: float, lags: Lags, repeats: Repeats
) -> dict[str, float]:
    """Standard deviation of the firing instant by cause, in s."""
    parts = {"waiting for an electron": lags.statistical, "forming the arc": lags.formative_spread, "voltage": 0.0}
    if after <= 0.0:
        return parts
    pressure, rest, constant = pumping.pressure(after), pumping.rest, pumping.time_constant
    slope = curve.slope(pressure)
    by_pressure = -constant / (pressure - rest)
    leak = pumping.leak / pumping.pump_speed  # d rest / d ln S = -leak / S
    by_rest = constant * (1.0 / (pressure - rest) - 1.0 / (pumping.start_pressure - rest))
    return {
        **parts,
        "voltage": abs(by_pressure / slope * voltage * repeats.voltage) if slope > 0.0 else math.inf,
        "start pressure": constant / (pumping.start_pressure - rest) * pumping.start_pressure * repeats.start_pressure,
        "pump speed": abs(-after - by_rest * leak) * repeats.pump_speed,
    }
