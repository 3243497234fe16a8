"""Breakdown voltage of lamps against pressure: Paschen's law of the gas, moved to what was measured on the head."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from scipy.special import lambertw, stdtrit

#: 90 % range of the breakdown voltage of a lamp against the law of a uniform gap, as a factor either way: the field
#: is not uniform, walls and conductors shift it. Assumed; one measured pair replaces it.
UNMEASURED_FACTOR = 4.0
#: 90 % half-width, relative, that stays with one measured pair: it drifts with gas and light. Assumed.
ONE_PAIR_SPREAD = 0.15
#: The least that stays with any number of pairs. Assumed.
LEAST_SPREAD = 0.05
#: What a curve gains in its 90 % half-width of ln V for every e-folding of pressure away from the measured pairs, up
#: to that of no pair at all. Assumed.
AWAY_SPREAD = 0.5
#: Measured pressures closer together than this factor cannot give two constants.
NARROWEST = 1.3


@dataclass(frozen=True, slots=True)
class BreakdownCurve:
    """Breakdown voltage of `lamps` in series against pressure.

    Right of the minimum V = n B x / (C + ln x), x = p d in Pa m; left of it the same, or V = n (a + b ln x) where
    pairs were measured there. `spread`: 90 % half-width of ln V. `words` say what it rests on.
    """

    field_constant: float
    logarithm_constant: float
    gap: float
    lamps: int = 1
    left: tuple[float, float] | None = None
    spread: float = math.log(UNMEASURED_FACTOR)
    words: str = "Paschen's law of a uniform gap, not measured on this head"
    measured: tuple[float, float] | None = None

    @property
    def lowest_pressure(self) -> float:
        """Pressure at the minimum of the curve, in Pa."""
        return math.exp(1.0 - self.logarithm_constant) / self.gap

    @property
    def lowest_voltage(self) -> float:
        """Voltage at the minimum, in V."""
        return self.lamps * self.field_constant * math.exp(1.0 - self.logarithm_constant)

    def voltage(self, pressure: float) -> float:
        """Breakdown voltage at a pressure, in V; infinite where the law has no solution."""
        x = pressure * self.gap
        if x <= 0.0:
            return math.inf
        if self.left is not None and pressure < self.lowest_pressure:
            a, b = self.left
            return max(self.lamps * (a + b * math.log(x)), self.lowest_voltage)
        below = self.logarithm_constant + math.log(x)
        return self.lamps * self.field_constant * x / below if below > 0.0 else math.inf

    def slope(self, pressure: float) -> float:
        """Change of the breakdown voltage with pressure right of the minimum, in V/Pa."""
        below = self.logarithm_constant + math.log(pressure * self.gap)
        return self.lamps * self.field_constant * self.gap * (below - 1.0) / below**2

    def right_pressure(self, voltage: float) -> float | None:
        """Pressure right of the minimum at which it breaks down, in Pa; None when the voltage is below the minimum."""
        return self._pressure(voltage, -1)

    def left_pressure(self, voltage: float) -> float | None:
        """Pressure left of the minimum below which it no longer breaks down, in Pa."""
        if voltage < self.lowest_voltage:
            return None
        if self.left is not None:
            a, b = self.left
            return min(math.exp((voltage / self.lamps - a) / b) / self.gap, self.lowest_pressure)
        return self._pressure(voltage, 0)

    def _pressure(self, voltage: float, branch: int) -> float | None:
        """Root of V = n B x / (C + ln x): x = -(V/nB) W(-(nB/V) exp(-C))."""
        if voltage < self.lowest_voltage:
            return None
        part = self.lamps * self.field_constant / voltage
        inner = max(-part * math.exp(-self.logarithm_constant), -1.0 / math.e)
        return float(np.real(-lambertw(inner, k=branch)) / part) / self.gap

    def spread_at(self, pressure: float) -> float:
        """90 % half-width of ln V at a pressure: wider the farther it lies from what was measured."""
        if self.measured is None or pressure <= 0.0:
            return self.spread
        away = max(math.log(pressure / self.measured[1]), math.log(self.measured[0] / pressure), 0.0)
        return max(min(math.hypot(self.spread, AWAY_SPREAD * away), math.log(UNMEASURED_FACTOR)), self.spread)

    def scaled(self, factor: float) -> BreakdownCurve:
        """The same with every voltage multiplied."""
        left = None if self.left is None else (self.left[0] * factor, self.left[1] * factor)
        return replace(self, field_constant=self.field_constant * factor, left=left)


def gas_curve(
    ionisation_constant: float, field_constant: float, secondary_emission: float, gap: float, lamps: int
) -> BreakdownCurve:
    """Breakdown curve of lamps in series by the law of a uniform gap.

    Parameters
    ----------
    ionisation_constant : float
        Townsend constant A of the gas. [1/(Pa m)]
    field_constant : float
        Townsend constant B of the gas. [V/(Pa m)]
    secondary_emission : float
        Electrons freed at the cathode per ion. [-]
    gap : float
        Distance between the electrodes of one lamp. [m]
    lamps : int
        Number in series, which share the voltage. [-]

    Returns
    -------
    curve : BreakdownCurve
        Not calibrated, with the range that stands for that.

    Raises
    ------
    ValueError
        If a constant is not positive.

    Notes
    -----
    Valid: a first guess for the pressure at which standing voltage breaks a lamp down, right of the minimum.
    Not covered: length over radius, walls, light, conductors near the tube: calibrate with measured pairs. Lamps in
    series that do not share the voltage evenly break down earlier.
    Equation: V = n B p d / (C + ln(p d)), C = ln(A / ln(1 + 1/gamma)). Source: Paschen's law with Townsend's constants.

    Examples
    --------
    Argon, 10 cm, at 30 torr:

    >>> per_cm_torr = 100.0 / (101325.0 / 760.0)
    >>> curve = gas_curve(11.5 * per_cm_torr, 176 * per_cm_torr, 0.01, 0.1, 1)
    >>> round(curve.voltage(30 * 101325.0 / 760.0))
    7980
    """
    constant = math.log(ionisation_constant / math.log1p(1.0 / secondary_emission))
    return BreakdownCurve(field_constant, constant, gap, lamps)


def calibrated_curve(curve: BreakdownCurve, pairs: Sequence[tuple[float, float]]) -> BreakdownCurve:
    """Move a breakdown curve to measured pairs of pressure and voltage.

    Parameters
    ----------
    curve : BreakdownCurve
        The curve of the gas.
    pairs : sequence of tuple
        Breakdown pressure [Pa] and breakdown voltage [V] of each measured pair.

    Returns
    -------
    curve : BreakdownCurve
        With the pairs in it, and a spread from what they leave open.

    Raises
    ------
    ValueError
        If a pair is not positive.

    Notes
    -----
    Valid: pairs measured on the head itself, as the lamps are connected, in its gas and light.
    Not covered: drift of the head since; gas of another mixture.
    Equation: one pair scales B; two or more, if their pressures lie apart, fit 1/B and C/B by least squares of the
    relative voltage; pairs left of the minimum follow V = a + b ln(p d), one of them through the minimum.
    Source: two-constant form of Paschen's law; left of the minimum V = a + b log(p d), Phys. Rev. 55, 482 (1939)
    (attribution from memory).

    Examples
    --------
    >>> base = BreakdownCurve(1000.0, 1.0, 0.1)
    >>> moved = calibrated_curve(base, [(4000.0, 8.0e4)])
    >>> round(moved.voltage(4000.0))
    80000
    """
    if any(not (pressure > 0 and voltage > 0) for pressure, voltage in pairs):
        raise ValueError("a measured pair needs a pressure and a voltage above zero")
    rows = np.array([(pressure * curve.gap, voltage / curve.lamps) for pressure, voltage in pairs]).reshape(-1, 2)
    edge = curve.lowest_pressure * curve.gap
    right, left = rows[rows[:, 0] >= edge], rows[rows[:, 0] < edge]
    moved = _right(curve, right) if len(right) else curve
    pressures = [pressure for pressure, _ in pairs]
    found = _left(moved, left) if len(left) else moved
    return replace(found, measured=(min(pressures), max(pressures))) if pairs else found


def _right(curve: BreakdownCurve, rows: np.ndarray) -> BreakdownCurve:
    x, volts = rows[:, 0], rows[:, 1]
    if x.max() > NARROWEST * x.min():
        fitted = _two_constants(curve, x, volts)
        if fitted is not None:
            return fitted
    logs = np.log(volts / (curve.field_constant * x / (curve.logarithm_constant + np.log(x))))
    left = _ninety(len(x) - 1) * float(np.std(logs, ddof=1)) if len(x) > 1 else ONE_PAIR_SPREAD
    words = f"Paschen's law scaled to {_counted(len(x))}"
    scaled = curve.scaled(math.exp(float(np.mean(logs))))
    left = min(max(left, ONE_PAIR_SPREAD if len(x) == 1 else LEAST_SPREAD), math.log(UNMEASURED_FACTOR))
    return replace(scaled, spread=left, words=words)


def _ninety(free: int) -> float:
    """Half-width of a 90 % interval in standard deviations found with so many degrees of freedom: Student's t."""
    return float(stdtrit(free, 0.95))


def _two_constants(curve: BreakdownCurve, x: np.ndarray, volts: np.ndarray) -> BreakdownCurve | None:
    """Least squares of (C/B + ln x / B) V / x against 1; None when no curve with a minimum left of the pairs fits."""
    weight = volts / x
    matrix = np.column_stack([weight, weight * np.log(x)])
    (offset, rate), *_ = np.linalg.lstsq(matrix, np.ones_like(x), rcond=None)
    if rate <= 0.0 or offset / rate + math.log(float(x.min())) < 1.0:
        return None
    residual = matrix @ np.array([offset, rate]) - 1.0
    free = len(x) - 2
    spread = _ninety(free) * math.sqrt(float(residual @ residual) / free) if free > 0 else ONE_PAIR_SPREAD
    return replace(
        curve,
        field_constant=1.0 / float(rate),
        logarithm_constant=float(offset / rate),
        spread=min(max(spread, LEAST_SPREAD), math.log(UNMEASURED_FACTOR)),
        words=f"two constants fitted to {_counted(len(x))}",
    )


def _left(curve: BreakdownCurve, rows: np.ndarray) -> BreakdownCurve:
    """V = a + b ln x left of the minimum: by least squares, or through the minimum where one pair is all there is."""
    logs, volts = np.log(rows[:, 0]), rows[:, 1]
    at_minimum = math.log(curve.lowest_pressure * curve.gap), curve.lowest_voltage / curve.lamps
    if len(rows) == 1 or rows[:, 0].max() < NARROWEST * rows[:, 0].min():
        logs, volts = np.append(logs, at_minimum[0]), np.append(volts, at_minimum[1])
    b, a = (float(value) for value in np.polyfit(logs, volts, 1))
    if b >= 0.0:
        return curve
    words = f"{curve.words}; {_counted(len(rows))} left of the minimum"
    return replace(curve, left=(a, b), words=words)


def _counted(number: int) -> str:
    return f"{number} measured pair" if number == 1 else f"{number} measured pairs"
