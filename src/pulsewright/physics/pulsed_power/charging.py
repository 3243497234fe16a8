"""Charging a bank: constant current, a supply rated in power, and a resistor from a fixed voltage."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, not_negative, plain, positive, within


def constant_current_charge_time(
    capacitance: ArrayLike, charge_voltage: ArrayLike, charging_current: ArrayLike
) -> Number:
    """Time to charge a bank from empty with a constant current.

    Parameters
    ----------
    capacitance : float or array (...)
        Total capacitance. [F]
    charge_voltage : float or array, broadcasts
        Voltage to reach. [V]
    charging_current : float or array, broadcasts
        Current of the supply. [A]

    Returns
    -------
    charge_time : broadcast shape
        Time from empty to the voltage. [s]

    Raises
    ------
    DomainError
        If capacitance or voltage is negative, or the current is not positive.

    Notes
    -----
    Valid: current constant to the end, bleeder current small against it.
    Not covered: a supply that folds back near full voltage.
    Equation: t = C V / I. Source: definition of capacitance.

    Examples
    --------
    >>> constant_current_charge_time(4.0e-6, 10e3, 20e-3)
    2.0
    """
    charge = not_negative("capacitance", capacitance, "F") * not_negative("charge_voltage", charge_voltage, "V")
    return plain(charge / positive("charging_current", charging_current, "A"))


def constant_current_peak_power(charge_voltage: ArrayLike, charging_current: ArrayLike) -> Number:
    """Power that a constant-current supply delivers at the end of the charge, twice its mean.

    Parameters
    ----------
    charge_voltage : float or array (...)
        Voltage at the end of the charge. [V]
    charging_current : float or array, broadcasts
        Current of the supply. [A]

    Returns
    -------
    peak_power : broadcast shape
        Power into the bank at that voltage. [W]

    Raises
    ------
    DomainError
        If an argument is negative.

    Notes
    -----
    Valid: current constant to the end. Not covered: losses inside the supply.
    Equation: P = I V. Source: definition of electric power.

    Examples
    --------
    >>> constant_current_peak_power(10e3, 20e-3)
    200.0
    """
    voltage = not_negative("charge_voltage", charge_voltage, "V")
    return plain(voltage * not_negative("charging_current", charging_current, "A"))


def constant_power_charge_time(capacitance: ArrayLike, charge_voltage: ArrayLike, supply_power: ArrayLike) -> Number:
    """Time to charge a bank from empty at constant power.

    Parameters
    ----------
    capacitance : float or array (...)
        Total capacitance. [F]
    charge_voltage : float or array, broadcasts
        Voltage to reach. [V]
    supply_power : float or array, broadcasts
        Power delivered into the bank. [W]

    Returns
    -------
    charge_time : broadcast shape
        Time from empty to the voltage. [s]

    Raises
    ------
    DomainError
        If capacitance or voltage is negative, or the power is not positive.

    Notes
    -----
    Valid: an ideal supply. Not covered: the current limit of a real supply at low voltage, which lengthens the start.
    Equation: t = C V^2 / (2 P). Source: energy balance.

    Examples
    --------
    >>> constant_power_charge_time(4.0e-6, 10e3, 100.0)
    2.0
    """
    energy = not_negative("capacitance", capacitance, "F") * not_negative("charge_voltage", charge_voltage, "V") ** 2
    return plain(energy / (2.0 * positive("supply_power", supply_power, "W")))


def rated_supply_charge_time(
    capacitance: ArrayLike, charge_voltage: ArrayLike, voltage_rating: ArrayLike, power_rating: ArrayLike
) -> Number:
    """Time to charge with a capacitor-charging supply that is rated in joules per second at its rated voltage.

    Parameters
    ----------
    capacitance : float or array (...)
        Total capacitance. [F]
    charge_voltage : float or array, broadcasts
        Voltage to reach. [V]
    voltage_rating : float or array, broadcasts
        Rated output voltage of the supply. [V]
    power_rating : float or array, broadcasts
        Peak charging rate at the rated voltage. [W]

    Returns
    -------
    charge_time : broadcast shape
        Time from empty to the voltage. [s]

    Raises
    ------
    DomainError
        If the charge voltage exceeds the rated voltage, or an argument has the wrong sign.

    Notes
    -----
    Valid: supplies that give a constant current, so that less than the rated voltage uses less than the rated power.
    Not covered: losses and recharge pauses.
    Equation: t = C Vc Vrated / (2 P). Source: application notes of makers of charging supplies, from memory.

    Examples
    --------
    At the rated voltage this is the stored energy over the rated power:

    >>> rated_supply_charge_time(4.0e-6, 10e3, 10e3, 100.0)
    2.0
    >>> rated_supply_charge_time(4.0e-6, 5e3, 10e3, 100.0)
    1.0
    """
    rated = positive("voltage_rating", voltage_rating, "V")
    voltage = within("charge_voltage", charge_voltage, 0.0, float(np.min(rated)), "V")
    product = not_negative("capacitance", capacitance, "F") * voltage * rated
    return plain(product / (2.0 * positive("power_rating", power_rating, "W")))


def resistor_charge_voltage(
    supply_voltage: ArrayLike, resistance: ArrayLike, capacitance: ArrayLike, time: ArrayLike
) -> Number:
    """Voltage on a bank that is charged through a resistor from a fixed voltage.

    Parameters
    ----------
    supply_voltage : float or array (...)
        Voltage of the supply. [V]
    resistance : float or array, broadcasts
        Charging resistor. [ohm]
    capacitance : float or array, broadcasts
        Total capacitance. [F]
    time : float or array, broadcasts
        Time since the charge began. [s]

    Returns
    -------
    voltage : broadcast shape
        Voltage across the bank. [V]

    Raises
    ------
    DomainError
        If resistance or capacitance is not positive, or time is negative.

    Notes
    -----
    Valid: bank empty at the start, stiff supply. Not covered: leakage, bleeder.
    Equation: v = V (1 - exp(-t / (R C))). Source: textbook, first-order circuit.

    Examples
    --------
    >>> round(resistor_charge_voltage(10e3, 100e3, 4.0e-6, 0.4), 1)
    6321.2
    """
    product = positive("resistance", resistance, "ohm") * positive("capacitance", capacitance, "F")
    elapsed = not_negative("time", time, "s")
    return plain(-np.asarray(supply_voltage, dtype=np.float64) * np.expm1(-elapsed / product))


def resistor_charge_time(resistance: ArrayLike, capacitance: ArrayLike, voltage_fraction: ArrayLike) -> Number:
    """Time to reach a fraction of the supply voltage through a charging resistor.

    Parameters
    ----------
    resistance : float or array (...)
        Charging resistor. [ohm]
    capacitance : float or array, broadcasts
        Total capacitance. [F]
    voltage_fraction : float or array, broadcasts
        Voltage to reach over supply voltage, below 1. [-]

    Returns
    -------
    charge_time : broadcast shape
        Time from empty. [s]

    Raises
    ------
    DomainError
        If resistance or capacitance is not positive, or the fraction is outside 0 to 1 (1 is never reached).

    Notes
    -----
    Valid: bank empty at the start, stiff supply. Not covered: leakage, bleeder.
    Equation: t = -R C ln(1 - f). Source: textbook, first-order circuit.

    Examples
    --------
    99 % takes 4.605 time constants:

    >>> round(resistor_charge_time(100e3, 10e-6, 0.99), 3)
    4.605
    """
    product = positive("resistance", resistance, "ohm") * positive("capacitance", capacitance, "F")
    fraction = within("voltage_fraction", voltage_fraction, 0.0, float(np.nextafter(1.0, 0.0)), "-")
    return plain(-product * np.log1p(-fraction))


def charging_resistor_loss(capacitance: ArrayLike, charge_voltage: ArrayLike) -> Number:
    """Energy burnt in a charging resistor during one full charge from empty: as much as is stored, for any resistance.

    Parameters
    ----------
    capacitance : float or array (...)
        Total capacitance. [F]
    charge_voltage : float or array, broadcasts
        Voltage reached, that of the supply. [V]

    Returns
    -------
    loss : broadcast shape
        Heat in the resistor per charge. [J]

    Raises
    ------
    DomainError
        If capacitance is negative.

    Notes
    -----
    Valid: charge from empty to the voltage of a fixed supply; half of what the supply gives is lost.
    Not covered: a supply that raises its voltage as the bank charges, which wastes less.
    Equation: loss = C V^2 / 2. Source: textbook, energy balance.

    Examples
    --------
    >>> charging_resistor_loss(4.0e-6, 10e3)
    200.0
    """
    voltage = np.asarray(charge_voltage, dtype=np.float64)
    return plain(not_negative("capacitance", capacitance, "F") * voltage**2 / 2.0)
