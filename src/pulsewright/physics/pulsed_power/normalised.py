"""The normalised discharge of a capacitor through an inductor, a resistor and a lamp V = K |I|^n.

    di/dtau + sgn(i) alpha |i|^n + beta i + INT i dtau = 1,   i(0) = 0

Between two current zeros the sign is fixed, and each later half cycle is the first one again with a smaller drive, so
only the first is ever integrated. In the variable s = sqrt(tau) its start is smooth.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from pulsewright.errors import DomainError
from pulsewright.physics._domain import not_negative, within

Floats = NDArray[np.float64]

#: Above this the lamp takes the energy so slowly that the inductor no longer matters; the late tail is exact enough.
HIGHEST_DAMPING = 20.0
#: Normalised time by which the energy of the first half cycle is taken when the current never crosses zero.
TAIL_TIME = 25.0
_LONGEST = 1e5
_CURRENT, _CHARGE, _LAMP, _RESISTOR, _ACTION = range(5)


@dataclass(frozen=True, slots=True, eq=False)
class _HalfCycle:
    """First half cycle: state against sqrt(tau) [current, charge, lamp energy, resistor energy, action]."""

    state: Callable[[float | Floats], Floats]
    end: float
    crossed: bool
    time_of_peak: float

    def at(self, time: float) -> Floats:
        """State at one normalised time."""
        return np.asarray(self.state(float(np.sqrt(time))))

    def current(self, time: float) -> float:
        """Current at one normalised time."""
        return float(self.at(time)[_CURRENT])

    @property
    def peak(self) -> float:
        """Highest current."""
        return self.current(self.time_of_peak)

    def crossing(self, fraction: float, low: float, high: float) -> float:
        """Time at which the current is a fraction of the peak, between two times."""
        level = fraction * self.peak
        return float(brentq(lambda t: self.current(t) - level, low, high, xtol=1e-13, rtol=1e-13))


@lru_cache(maxsize=64)
def _half_cycle(damping_parameter: float, exponent: float, resistance_ratio: float, end: float) -> _HalfCycle:
    """Integrate from the closing of the switch to the first current zero, at most to `end`."""

    def rate(s: float, y: Floats) -> list[float]:
        size = abs(y[_CURRENT])
        lamp = np.sign(y[_CURRENT]) * damping_parameter * size**exponent
        slope = 1.0 - y[_CHARGE] - lamp - resistance_ratio * y[_CURRENT]
        power = 2.0 * damping_parameter * size ** (1.0 + exponent)
        squared = y[_CURRENT] ** 2
        return [2 * s * x for x in (slope, y[_CURRENT], power, 2.0 * resistance_ratio * squared, squared)]

    def zero(_: float, y: Floats) -> float:
        return float(y[_CURRENT])

    def top(_: float, y: Floats) -> float:
        lamp = damping_parameter * abs(y[_CURRENT]) ** exponent
        return float(1.0 - y[_CHARGE] - lamp - resistance_ratio * y[_CURRENT])

    zero.terminal, zero.direction, top.direction = True, -1, -1  # type: ignore[attr-defined]
    run = solve_ivp(
        rate, (0.0, np.sqrt(end)), np.zeros(5), method="LSODA", rtol=1e-11, atol=1e-14, dense_output=True,
        events=(zero, top), first_step=1e-6,
    )  # fmt: skip
    if not run.success or not len(run.t_events[1]):
        raise DomainError(
            "the normalised discharge could not be integrated",
            argument="damping_parameter",
            allowed=f"0 to {HIGHEST_DAMPING:g}",
            next_step="Check the circuit values",
        )
    return _HalfCycle(run.sol, float(run.t[-1] ** 2), run.status == 1, float(run.t_events[1][0] ** 2))


def _first_half_cycle(damping_parameter: float, exponent: float, resistance_ratio: float) -> _HalfCycle:
    """The first half cycle, followed until the current has fallen below a tenth of its peak."""
    end = TAIL_TIME
    cycle = _half_cycle(damping_parameter, exponent, resistance_ratio, end)
    while not cycle.crossed and cycle.current(cycle.end) > 0.1 * cycle.peak:
        end *= 4.0
        if end > _LONGEST:
            raise DomainError(
                f"damping_parameter is {damping_parameter:g}: the current does not fall to a tenth of its peak",
                argument="damping_parameter",
                allowed=f"0 to {HIGHEST_DAMPING:g}",
                next_step="Use the late tail instead",
            )
        cycle = _half_cycle(damping_parameter, exponent, resistance_ratio, end)
    return cycle


class NormalisedDischarge(NamedTuple):
    """Figures of a normalised discharge: currents over V0/Z0, times over sqrt(L C), energies over C V0^2 / 2."""

    normalised_peak: float
    normalised_peak_time: float
    normalised_width_half: float
    normalised_width_third: float
    normalised_width_tenth: float
    normalised_rise_time: float
    current_reversal: float
    voltage_reversal: float
    lamp_energy_share: float
    normalised_action: float


def _checked(damping_parameter: float, exponent: float, resistance_ratio: float) -> tuple[float, float, float]:
    return (
        float(within("damping_parameter", damping_parameter, 0.0, HIGHEST_DAMPING, "-")),
        float(within("exponent", exponent, 0.3, 1.0, "-")),
        float(within("resistance_ratio", resistance_ratio, 0.0, HIGHEST_DAMPING, "-")),
    )


def normalised_discharge(
    damping_parameter: float, exponent: float = 0.5, resistance_ratio: float = 0.0
) -> NormalisedDischarge:
    """Figures of the normalised discharge of a single mesh through a lamp.

    Parameters
    ----------
    damping_parameter : float
        Damping parameter alpha, 0 to 20. [-]
    exponent : float
        Exponent n of the lamp's V = K |I|^n, 0.3 to 1; 0.5 is the square-root law, 1 an ordinary resistance. [-]
    resistance_ratio : float
        Loop resistance over circuit impedance sqrt(L / C). [-]

    Returns
    -------
    normalised_peak : float
        Highest current over V0 / Z0. [-]
    normalised_peak_time : float
        Time of the peak over sqrt(L C). [-]
    normalised_width_half : float
        Width at half the peak over sqrt(L C). [-]
    normalised_width_third : float
        Width at a third of the peak over sqrt(L C). [-]
    normalised_width_tenth : float
        Width at a tenth of the peak over sqrt(L C). [-]
    normalised_rise_time : float
        Rise from 10 to 90 % over sqrt(L C). [-]
    current_reversal : float
        Largest reversed current over the peak. [-]
    voltage_reversal : float
        Largest reversed capacitor voltage over the charge voltage. [-]
    lamp_energy_share : float
        Energy in the lamp before the first current zero, or by 25 sqrt(L C), over the stored energy. [-]
    normalised_action : float
        Integral of the current squared over the same time, over (V0/Z0)^2 sqrt(L C). [-]

    Raises
    ------
    DomainError
        If an argument is outside its range.

    Notes
    -----
    Valid: lamp law held from the first instant, constant inductance, pulses long against filling of the bore.
    Not covered: filling and heating of the bore, its falling inductance, extinction, electrode and switch drops.
    Equation: di/dtau + sgn(i) alpha |i|^n + beta i + INT i dtau = 1, i(0) = 0, solved numerically.
    Source: J. P. Markiewicz and J. L. Emmett, IEEE J. Quantum Electron. QE-2, 707 (1966), for n = 0.5, beta = 0.

    Examples
    --------
    Without damping the current is sin(tau): peak 1, half width 2 pi / 3:

    >>> undamped = normalised_discharge(0.0)
    >>> round(undamped.normalised_peak, 4), round(undamped.normalised_width_half, 4)
    (1.0, 2.0944)
    """
    alpha, n, beta = _checked(damping_parameter, exponent, resistance_ratio)
    cycle = _first_half_cycle(alpha, n, beta)
    top = cycle.time_of_peak
    width = {f: cycle.crossing(f, top, cycle.end) - cycle.crossing(f, 0.0, top) for f in (0.5, 1.0 / 3.0, 0.1)}
    end = cycle.at(cycle.end if cycle.crossed else min(cycle.end, TAIL_TIME))
    reversed_voltage = max(float(end[_CHARGE]) - 1.0, 0.0) if cycle.crossed else 0.0
    return NormalisedDischarge(
        cycle.peak,
        top,
        width[0.5],
        width[1.0 / 3.0],
        width[0.1],
        cycle.crossing(0.9, 0.0, top) - cycle.crossing(0.1, 0.0, top),
        _reversed_peak(alpha, n, beta, reversed_voltage) / cycle.peak,
        reversed_voltage,
        float(end[_LAMP]),
        float(end[_ACTION]),
    )


def _scaled(damping_parameter: float, exponent: float, drive: float) -> float:
    """Damping of a half cycle whose drive is a fraction of the first."""
    return damping_parameter * float(drive ** (exponent - 1.0))


def _reversed_peak(damping_parameter: float, exponent: float, resistance_ratio: float, drive: float) -> float:
    """Peak of the reversed half cycle, in units of the first drive."""
    if drive <= 1e-9:
        return 0.0
    alpha = _scaled(damping_parameter, exponent, drive)
    if alpha > 1e3:  # the overdamped limit i = (v / alpha)^(1/n), below anything a capacitor notices
        return float(drive * (1.0 / alpha) ** (1.0 / exponent))
    return drive * _half_cycle(alpha, exponent, resistance_ratio, 50.0).peak


class EnergyFractions(NamedTuple):
    """Where the stored energy is at one time, over C V0^2 / 2; the four add up to 1."""

    lamp_energy_share: float
    resistance_share: float
    capacitor_share: float
    inductor_share: float


def energy_fractions(
    damping_parameter: float, normalised_time: float, exponent: float = 0.5, resistance_ratio: float = 0.0
) -> EnergyFractions:
    """Where the stored energy of a single mesh is, at a time after the switch closed.

    Parameters
    ----------
    damping_parameter : float
        Damping parameter alpha, 0 to 20. [-]
    normalised_time : float
        Time over sqrt(L C), up to 1000. [-]
    exponent : float
        Exponent n of the lamp's V = K |I|^n, 0.3 to 1. [-]
    resistance_ratio : float
        Loop resistance over circuit impedance sqrt(L / C). [-]

    Returns
    -------
    lamp_energy_share : float
        Fraction given to the lamp. [-]
    resistance_share : float
        Fraction burnt in the loop resistance. [-]
    capacitor_share : float
        Fraction in the capacitor. [-]
    inductor_share : float
        Fraction in the inductor. [-]

    Raises
    ------
    DomainError
        If an argument is outside its range.

    Notes
    -----
    Valid: lamp law held from the first instant, constant inductance.
    Not covered: extinction: a real lamp goes out and leaves voltage on the bank.
    Equation: lamp = INT 2 alpha |i|^(n+1) dtau, resistance = INT 2 beta i^2 dtau, capacitor = v^2, inductor = i^2.
    Source: energy balance of the equation of Markiewicz and Emmett, IEEE J. Quantum Electron. QE-2, 707 (1966).

    Examples
    --------
    >>> where = energy_fractions(1.0, 25.0)
    >>> round(where.lamp_energy_share, 3), round(sum(where), 9)
    (0.999, 1.0)
    """
    alpha, n, beta = _checked(damping_parameter, exponent, resistance_ratio)
    remaining = float(within("normalised_time", normalised_time, 0.0, 1000.0, "-"))
    lamp = resistor = 0.0
    drive = 1.0
    while True:
        scaled = _scaled(alpha, n, drive)
        cycle = _half_cycle(scaled, n, beta, max(TAIL_TIME, remaining))
        state = cycle.at(min(remaining, cycle.end))
        lamp += drive**2 * float(state[_LAMP])
        resistor += drive**2 * float(state[_RESISTOR])
        if remaining <= cycle.end or not cycle.crossed:
            return EnergyFractions(
                lamp, resistor, (drive * (1.0 - float(state[_CHARGE]))) ** 2, (drive * float(state[_CURRENT])) ** 2
            )
        remaining -= cycle.end
        drive *= float(state[_CHARGE]) - 1.0


def normalised_current(
    normalised_time: Floats, damping_parameter: float, exponent: float = 0.5, resistance_ratio: float = 0.0
) -> Floats:
    """Normalised current of a single mesh up to its first zero, at given times; 0 beyond that.

    Parameters
    ----------
    normalised_time : array (T,)
        Times over sqrt(L C). [-]
    damping_parameter : float
        Damping parameter alpha, 0 to 20. [-]
    exponent : float
        Exponent n of the lamp's V = K |I|^n, 0.3 to 1. [-]
    resistance_ratio : float
        Loop resistance over circuit impedance sqrt(L / C). [-]

    Returns
    -------
    normalised_current : array (T,)
        Current over V0 / Z0. [-]

    Raises
    ------
    DomainError
        If an argument is outside its range.

    Notes
    -----
    Valid: lamp law held from the first instant, constant inductance. Not covered: the reversed half cycles.
    Equation: di/dtau + sgn(i) alpha |i|^n + beta i + INT i dtau = 1, i(0) = 0.
    Source: J. P. Markiewicz and J. L. Emmett, IEEE J. Quantum Electron. QE-2, 707 (1966), for n = 0.5, beta = 0.

    Examples
    --------
    >>> [round(float(i), 6) for i in normalised_current(np.array([0.0, np.pi / 6, np.pi / 2, 4.0]), 0.0)]
    [0.0, 0.5, 1.0, 0.0]
    """
    alpha, n, beta = _checked(damping_parameter, exponent, resistance_ratio)
    times = not_negative("normalised_time", normalised_time, "-")
    cycle = _half_cycle(alpha, n, beta, max(TAIL_TIME, float(np.max(times, initial=0.0))))
    inside = times <= cycle.end
    current = cycle.state(np.sqrt(np.minimum(times, cycle.end)))[_CURRENT]
    return np.where(inside, current, 0.0)
