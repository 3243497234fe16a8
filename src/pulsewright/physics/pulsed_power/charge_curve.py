"""Voltage of a bank while it charges, with what stands across it all the time: bleeder and divider.

Three kinds of supply: constant current, constant power, a fixed voltage behind a resistor. What drains the bank
bounds the voltage that each can reach; a time that is never reached is infinite.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.physics._domain import Number, as_float, not_negative, plain, positive

Float = NDArray[np.float64]
#: Below this the ratios below are summed as series.
_SMALL = 1e-5


def _drain(drain_resistance: ArrayLike | None) -> Float:
    """The drain, infinite where there is none."""
    return positive("drain_resistance", np.inf if drain_resistance is None else drain_resistance, "ohm")


def _filled(x: Float) -> Float:
    """(1 - exp(-x)) / x, 1 at x = 0."""
    safe = np.where(x > _SMALL, x, 1.0)
    return np.where(x > _SMALL, -np.expm1(-safe) / safe, 1.0 - x / 2.0 + x**2 / 6.0)


def _lengthened(y: Float) -> Float:
    """-ln(1 - y) / y, 1 at y = 0 and infinite from y = 1 on."""
    safe = np.where((y > _SMALL) & (y < 1.0), y, 0.5)
    longer = np.where(y > _SMALL, -np.log1p(-safe) / safe, 1.0 + y / 2.0 + y**2 / 3.0)
    return np.where(y < 1.0, longer, np.inf)


def constant_current_voltage(
    charging_current: ArrayLike, capacitance: ArrayLike, time: ArrayLike, drain_resistance: ArrayLike | None = None
) -> Number:
    """Voltage of a bank that a constant current charges against a drain.

    Parameters
    ----------
    charging_current : float or array (...)
        Current of the supply. [A]
    capacitance : float or array, broadcasts
        Total capacitance. [F]
    time : float or array, broadcasts
        Time since the charge began, bank empty. [s]
    drain_resistance : float or array, optional
        Bleeder and divider together, broadcasts; none when left out. [ohm]

    Returns
    -------
    voltage : broadcast shape
        Voltage across the bank. [V]

    Raises
    ------
    DomainError
        If current or time is negative, or capacitance or resistance is not positive.

    Notes
    -----
    Valid: current constant, resistance independent of voltage. Not covered: a supply that folds back near full voltage.
    Equation: v = I R (1 - exp(-t / (R C))), I t / C without a drain. Source: textbook, first-order circuit.

    Examples
    --------
    >>> constant_current_voltage(20e-3, 4.0e-6, 2.0)
    10000.0
    >>> round(constant_current_voltage(20e-3, 4.0e-6, 2.0, 20e6), 1)
    9876.0
    """
    farads, seconds = positive("capacitance", capacitance, "F"), not_negative("time", time, "s")
    constants = seconds / (farads * _drain(drain_resistance))
    return plain(not_negative("charging_current", charging_current, "A") * seconds / farads * _filled(constants))


def constant_current_time(
    capacitance: ArrayLike,
    charge_voltage: ArrayLike,
    charging_current: ArrayLike,
    drain_resistance: ArrayLike | None = None,
) -> Number:
    """Time a constant current takes to charge a bank against a drain.

    Parameters
    ----------
    capacitance : float or array (...)
        Total capacitance. [F]
    charge_voltage : float or array, broadcasts
        Voltage to reach. [V]
    charging_current : float or array, broadcasts
        Current of the supply. [A]
    drain_resistance : float or array, optional
        Bleeder and divider together, broadcasts; none when left out. [ohm]

    Returns
    -------
    charge_time : broadcast shape
        Time from empty; infinite where the drain takes all the current first. [s]

    Raises
    ------
    DomainError
        If the voltage is negative, or another argument is not positive.

    Notes
    -----
    Valid: current constant, resistance independent of voltage. Not covered: a supply that folds back near full voltage.
    Equation: t = -R C ln(1 - V / (I R)), C V / I without a drain. Source: textbook, first-order circuit.

    Examples
    --------
    >>> constant_current_time(4.0e-6, 10e3, 20e-3)
    2.0
    >>> constant_current_time(4.0e-6, 10e3, 0.4e-3, 20e6)
    inf
    """
    amperes = positive("charging_current", charging_current, "A")
    volts = not_negative("charge_voltage", charge_voltage, "V")
    share = volts / (amperes * _drain(drain_resistance))
    return plain(positive("capacitance", capacitance, "F") * volts / amperes * _lengthened(share))


def constant_power_voltage(
    supply_power: ArrayLike, capacitance: ArrayLike, time: ArrayLike, drain_resistance: ArrayLike | None = None
) -> Number:
    """Voltage of a bank that a constant power charges against a drain.

    Parameters
    ----------
    supply_power : float or array (...)
        Power that the supply delivers. [W]
    capacitance : float or array, broadcasts
        Total capacitance. [F]
    time : float or array, broadcasts
        Time since the charge began, bank empty. [s]
    drain_resistance : float or array, optional
        Bleeder and divider together, broadcasts; none when left out. [ohm]

    Returns
    -------
    voltage : broadcast shape
        Voltage across the bank. [V]

    Raises
    ------
    DomainError
        If power or time is negative, or capacitance or resistance is not positive.

    Notes
    -----
    Valid: power constant. Not covered: the current limit of a real supply at low voltage, which lengthens the start.
    Equation: v^2 = P R (1 - exp(-2 t / (R C))), 2 P t / C without a drain. Source: energy balance.

    Examples
    --------
    >>> constant_power_voltage(100.0, 4.0e-6, 2.0)
    10000.0
    """
    farads, seconds = positive("capacitance", capacitance, "F"), not_negative("time", time, "s")
    constants = 2.0 * seconds / (farads * _drain(drain_resistance))
    squared = 2.0 * not_negative("supply_power", supply_power, "W") * seconds / farads * _filled(constants)
    return plain(np.sqrt(squared))


def constant_power_time(
    capacitance: ArrayLike,
    charge_voltage: ArrayLike,
    supply_power: ArrayLike,
    drain_resistance: ArrayLike | None = None,
) -> Number:
    """Time a constant power takes to charge a bank against a drain.

    Parameters
    ----------
    capacitance : float or array (...)
        Total capacitance. [F]
    charge_voltage : float or array, broadcasts
        Voltage to reach. [V]
    supply_power : float or array, broadcasts
        Power that the supply delivers. [W]
    drain_resistance : float or array, optional
        Bleeder and divider together, broadcasts; none when left out. [ohm]

    Returns
    -------
    charge_time : broadcast shape
        Time from empty; infinite where the drain takes all the power first. [s]

    Raises
    ------
    DomainError
        If the voltage is negative, or another argument is not positive.

    Notes
    -----
    Valid: power constant. Not covered: the current limit of a real supply at low voltage, which lengthens the start.
    Equation: t = -(R C / 2) ln(1 - V^2 / (P R)), C V^2 / (2 P) without a drain. Source: energy balance.

    Examples
    --------
    >>> constant_power_time(4.0e-6, 10e3, 100.0)
    2.0
    """
    watts = positive("supply_power", supply_power, "W")
    squared = not_negative("charge_voltage", charge_voltage, "V") ** 2
    share = squared / (watts * _drain(drain_resistance))
    return plain(positive("capacitance", capacitance, "F") * squared / (2.0 * watts) * _lengthened(share))


def drained_resistor_voltage(
    supply_voltage: ArrayLike,
    resistance: ArrayLike,
    capacitance: ArrayLike,
    time: ArrayLike,
    drain_resistance: ArrayLike | None = None,
) -> Number:
    """Voltage of a bank that is charged through a resistor from a fixed voltage, against a drain.

    Parameters
    ----------
    supply_voltage : float or array (...)
        Voltage of the supply. [V]
    resistance : float or array, broadcasts
        Charging resistor. [ohm]
    capacitance : float or array, broadcasts
        Total capacitance. [F]
    time : float or array, broadcasts
        Time since the charge began, bank empty; infinite for the voltage it settles at. [s]
    drain_resistance : float or array, optional
        Bleeder and divider together, broadcasts; none when left out. [ohm]

    Returns
    -------
    voltage : broadcast shape
        Voltage across the bank. [V]

    Raises
    ------
    DomainError
        If voltage or time is negative, or another argument is not positive.

    Notes
    -----
    Valid: stiff supply, resistances independent of voltage. Not covered: leakage of the capacitors, which grows with
    age and lowers the voltage further.
    Equation: v = V k (1 - exp(-t / (k R C))), k = Rd / (R + Rd). Source: textbook, first-order circuit.

    Examples
    --------
    A fifth of the supply voltage is never reached through 5 Mohm against a bleeder of 20 Mohm:

    >>> round(drained_resistor_voltage(10e3, 5e6, 4.0e-6, 1e6, 20e6), 1)
    8000.0
    """
    ohms = positive("resistance", resistance, "ohm")
    kept = 1.0 / (1.0 + ohms / _drain(drain_resistance))
    constant = kept * ohms * positive("capacitance", capacitance, "F")
    settled = not_negative("supply_voltage", supply_voltage, "V") * kept
    return plain(-settled * np.expm1(-not_negative("time", time, "s") / constant))


def drained_resistor_time(
    supply_voltage: ArrayLike,
    resistance: ArrayLike,
    capacitance: ArrayLike,
    charge_voltage: ArrayLike,
    drain_resistance: ArrayLike | None = None,
) -> Number:
    """Time to charge a bank through a resistor from a fixed voltage, against a drain.

    Parameters
    ----------
    supply_voltage : float or array (...)
        Voltage of the supply. [V]
    resistance : float or array, broadcasts
        Charging resistor. [ohm]
    capacitance : float or array, broadcasts
        Total capacitance. [F]
    charge_voltage : float or array, broadcasts
        Voltage to reach. [V]
    drain_resistance : float or array, optional
        Bleeder and divider together, broadcasts; none when left out. [ohm]

    Returns
    -------
    charge_time : broadcast shape
        Time from empty; infinite at and above the voltage at which the bank settles. [s]

    Raises
    ------
    DomainError
        If the charge voltage is negative, or another argument is not positive.

    Notes
    -----
    Valid: stiff supply, resistances independent of voltage. Not covered: leakage of the capacitors.
    Equation: t = -k R C ln(1 - V / (k Vs)), k = Rd / (R + Rd). Source: textbook, first-order circuit.

    Examples
    --------
    99 % takes 4.605 time constants without a drain, and the supply's own voltage is never reached:

    >>> round(drained_resistor_time(10e3, 100e3, 10e-6, 9.9e3), 3)
    4.605
    >>> drained_resistor_time(10e3, 100e3, 10e-6, 10e3)
    inf
    """
    ohms = positive("resistance", resistance, "ohm")
    kept = 1.0 / (1.0 + ohms / _drain(drain_resistance))
    volts = not_negative("charge_voltage", charge_voltage, "V")
    share = volts / (positive("supply_voltage", supply_voltage, "V") * kept)
    constants = as_float(share) * _lengthened(as_float(share))
    return plain(kept * ohms * positive("capacitance", capacitance, "F") * constants)
