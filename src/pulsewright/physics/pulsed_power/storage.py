"""Energy and charge held by a capacitor bank."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, a_number, not_negative, plain, positive


def stored_energy(capacitance: ArrayLike, voltage: ArrayLike) -> Number:
    """Energy held by a charged capacitor bank.

    Parameters
    ----------
    capacitance : float or array (...)
        Total capacitance seen by the switch. [F]
    voltage : float or array, broadcasts
        Voltage across the bank before the switch closes. [V]

    Returns
    -------
    energy : broadcast shape
        Stored energy. [J]

    Raises
    ------
    DomainError
        If capacitance is negative.

    Notes
    -----
    Valid: linear dielectric.
    Not covered: energy held back by dielectric absorption, which returns to the terminals later.
    Equation: E = C V^2 / 2. Source: definition.

    Examples
    --------
    >>> stored_energy(5.0e-6, 10e3)
    250.0
    """
    volts = a_number("voltage", voltage, "V")
    return plain(not_negative("capacitance", capacitance, "F") * volts * volts / 2.0)


def stored_charge(capacitance: ArrayLike, voltage: ArrayLike) -> Number:
    """Charge held by a charged capacitor bank.

    Parameters
    ----------
    capacitance : float or array (...)
        Total capacitance. [F]
    voltage : float or array, broadcasts
        Voltage across it. [V]

    Returns
    -------
    charge : broadcast shape
        Stored charge. [C]

    Raises
    ------
    DomainError
        If capacitance is negative.

    Notes
    -----
    Valid: linear dielectric. Not covered: dielectric absorption.
    Equation: Q = C V. Source: definition.

    Examples
    --------
    >>> stored_charge(4.0e-6, 10e3)
    0.04
    """
    return plain(not_negative("capacitance", capacitance, "F") * a_number("voltage", voltage, "V"))


def voltage_for_energy(capacitance: ArrayLike, energy: ArrayLike) -> Number:
    """Voltage at which a bank holds a wanted energy.

    Parameters
    ----------
    capacitance : float or array (...)
        Total capacitance. [F]
    energy : float or array, broadcasts
        Energy wanted. [J]

    Returns
    -------
    voltage : broadcast shape
        Voltage across the bank. [V]

    Raises
    ------
    DomainError
        If capacitance is not positive or energy is negative.

    Notes
    -----
    Valid: linear dielectric. Not covered: whether the parts are rated for that voltage.
    Equation: V = sqrt(2 E / C). Source: definition of stored energy.

    Examples
    --------
    >>> voltage_for_energy(5.0e-6, 250.0)
    10000.0
    """
    ratio = 2.0 * not_negative("energy", energy, "J") / positive("capacitance", capacitance, "F")
    return plain(np.sqrt(ratio))


def capacitance_for_energy(energy: ArrayLike, voltage: ArrayLike) -> Number:
    """Capacitance that holds a wanted energy at a given voltage.

    Parameters
    ----------
    energy : float or array (...)
        Energy wanted. [J]
    voltage : float or array, broadcasts
        Voltage across the bank. [V]

    Returns
    -------
    capacitance : broadcast shape
        Total capacitance. [F]

    Raises
    ------
    DomainError
        If energy is negative or voltage is not positive.

    Notes
    -----
    Valid: linear dielectric. Not covered: tolerance and ageing of the part.
    Equation: C = 2 E / V^2. Source: definition of stored energy.

    Examples
    --------
    >>> capacitance_for_energy(200.0, 10e3)
    4e-06
    """
    return plain(2.0 * not_negative("energy", energy, "J") / positive("voltage", voltage, "V") ** 2)


def capacitance_for_charge(charge: ArrayLike, voltage: ArrayLike) -> Number:
    """Capacitance that holds a given charge at a given voltage.

    Parameters
    ----------
    charge : float or array (...)
        Charge, for instance a limit set by a rule. [C]
    voltage : float or array, broadcasts
        Voltage across the capacitance. [V]

    Returns
    -------
    capacitance : broadcast shape
        Capacitance. [F]

    Raises
    ------
    DomainError
        If charge is negative or voltage is not positive.

    Notes
    -----
    Valid: linear dielectric. Not covered: stray capacitance beside the part itself.
    Equation: C = Q / V. Source: definition.

    Examples
    --------
    60 uC, the charge exempted by IEC 60204-1 clause 6.2.4, is 6 nF at 10 kV:

    >>> capacitance_for_charge(60e-6, 10e3)
    6e-09
    """
    return plain(not_negative("charge", charge, "C") / positive("voltage", voltage, "V"))


def energy_left(energy: ArrayLike, voltage_fraction: ArrayLike) -> Number:
    """Energy left on a bank whose voltage has fallen to a fraction: half the voltage is a quarter of the energy.

    Parameters
    ----------
    energy : float or array (...)
        Energy at full voltage. [J]
    voltage_fraction : float or array, broadcasts
        Voltage now over voltage then. [-]

    Returns
    -------
    energy_left : broadcast shape
        Energy still stored. [J]

    Raises
    ------
    DomainError
        If energy is negative or the fraction is not a number.

    Notes
    -----
    Valid: linear dielectric. Not covered: dielectric absorption, which gives voltage back to an open bank.
    Equation: E = E0 (V / V0)^2. Source: definition of stored energy.

    Examples
    --------
    >>> energy_left(200.0, 0.5)
    50.0
    """
    fraction = a_number("voltage_fraction", voltage_fraction, "-")
    return plain(not_negative("energy", energy, "J") * fraction**2)
