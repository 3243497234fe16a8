"""Solvent vapour in a room, and how much air keeps it from burning."""

from __future__ import annotations

import math

from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, a_number, not_negative, plain, positive, refuse, within

#: Molar gas constant. [J/(mol K)]
GAS_CONSTANT = 8.31446261815324
STANDARD_PRESSURE = 101_325.0
#: Share of the lower explosive limit above which an atmosphere counts as hazardous: 29 CFR 1910.146, secondary copies.
HAZARDOUS_SHARE = 0.10
#: Share used for processes and alarms (NFPA practice, secondary).
PROCESS_SHARE = 0.25


def gas_volume(
    mass: ArrayLike, molar_mass: ArrayLike, temperature: ArrayLike = 293.15, pressure: ArrayLike = STANDARD_PRESSURE
) -> Number:
    """Volume of a mass of gas or vapour.

    Parameters
    ----------
    mass : float or array (...)
        Mass. [kg]
    molar_mass : float or array, broadcasts
        Molar mass. [kg/mol]
    temperature : float or array, broadcasts
        Temperature of the gas. [K]
    pressure : float or array, broadcasts
        Pressure of the gas. [Pa]

    Returns
    -------
    volume : broadcast shape
        Volume. [m^3]

    Raises
    ------
    DomainError
        If mass is negative or another argument not positive.

    Notes
    -----
    Valid: ideal gas. Not covered: condensation.
    Equation: m R T/(M p). Source: ideal gas law.

    Examples
    --------
    >>> round(gas_volume(1.0, 0.04401), 3)
    0.547
    """
    amount = not_negative("mass", mass, "kg") / positive("molar_mass", molar_mass, "kg/mol")
    t, p = positive("temperature", temperature, "K"), positive("pressure", pressure, "Pa")
    return plain(amount * GAS_CONSTANT * t / p)


def vapour_volume(
    liquid_volume: ArrayLike,
    density: ArrayLike,
    molar_mass: ArrayLike,
    temperature: ArrayLike = 293.15,
    pressure: ArrayLike = STANDARD_PRESSURE,
) -> Number:
    """Volume of vapour that a spilled liquid makes when all of it evaporates.

    Parameters
    ----------
    liquid_volume : float or array (...)
        Volume of the liquid. [m^3]
    density : float or array, broadcasts
        Density of the liquid. [kg/m^3]
    molar_mass : float or array, broadcasts
        Molar mass. [kg/mol]
    temperature : float or array, broadcasts
        Temperature of the air. [K]
    pressure : float or array, broadcasts
        Pressure of the air. [Pa]

    Returns
    -------
    volume : broadcast shape
        Volume of pure vapour. [m^3]

    Raises
    ------
    DomainError
        If liquid_volume is negative or another argument not positive.

    Notes
    -----
    Valid: ideal gas, full evaporation: an upper bound. Not covered: saturation of the air.
    Equation: V rho R T/(M p). Source: ideal gas law.

    Examples
    --------
    >>> round(vapour_volume(1e-3, 789.0, 0.04607) * 1e3)
    412
    """
    mass = not_negative("liquid_volume", liquid_volume, "m^3") * positive("density", density, "kg/m^3")
    return gas_volume(mass, molar_mass, temperature, pressure)


def dilution_air_volume(
    vapour: ArrayLike, lower_explosive_limit: ArrayLike, share: ArrayLike = PROCESS_SHARE
) -> Number:
    """Volume of air that thins a vapour to a share of its lower explosive limit.

    Parameters
    ----------
    vapour : float or array (...)
        Volume of pure vapour. [m^3]
    lower_explosive_limit : float or array, broadcasts
        Lower explosive limit, as a volume fraction. [-]
    share : float or array, broadcasts
        Share of that limit to keep to: 0.10 counts as hazardous atmosphere, 0.25 is used for processes. [-]

    Returns
    -------
    volume : broadcast shape
        Air needed, evenly mixed. [m^3]

    Raises
    ------
    DomainError
        If vapour is negative, or a fraction outside 0 to 1 (0 excluded).

    Notes
    -----
    Valid: even mixing. Not covered: vapour heavier than air that runs along the floor to an ignition source.
    Equation: V/(share LEL). Source: definition; shares from 29 CFR 1910.146 and NFPA practice, secondary.

    Examples
    --------
    >>> round(dilution_air_volume(0.412, 0.033, 0.25), 1)
    49.9
    """
    limit, part = a_number("lower_explosive_limit", lower_explosive_limit, "-"), a_number("share", share, "-")
    refuse("lower_explosive_limit", limit, (limit <= 0) | (limit > 1), "above 0 to 1", "-")
    refuse("share", part, (part <= 0) | (part > 1), "above 0 to 1", "-")
    return plain(not_negative("vapour", vapour, "m^3") / (part * limit))


def steady_vapour_fraction(vapour_flow: ArrayLike, air_flow: ArrayLike, mixing_factor: ArrayLike = 1.0) -> Number:
    """Volume fraction that a steady release reaches in a ventilated room.

    Parameters
    ----------
    vapour_flow : float or array (...)
        Volume of pure vapour released in unit time. [m^3/s]
    air_flow : float or array, broadcasts
        Fresh air in unit time. [m^3/s]
    mixing_factor : float or array, broadcasts
        1 for perfect mixing; 1 to 10 in real rooms. [-]

    Returns
    -------
    fraction : broadcast shape
        Volume fraction. [-]

    Raises
    ------
    DomainError
        If vapour_flow is negative, air_flow not positive, or mixing_factor below 1.

    Notes
    -----
    Valid: long after the release began. Not covered: the neighbourhood of the source.
    Equation: K q/(Q + q). Source: mass balance.

    Examples
    --------
    >>> round(steady_vapour_fraction(1e-5, 0.1) * 1e6)
    100
    """
    released, fresh = not_negative("vapour_flow", vapour_flow, "m^3/s"), positive("air_flow", air_flow, "m^3/s")
    return plain(within("mixing_factor", mixing_factor, 1.0, math.inf, "-") * released / (fresh + released))


def mass_concentration(
    fraction: ArrayLike,
    molar_mass: ArrayLike,
    temperature: ArrayLike = 298.15,
    pressure: ArrayLike = STANDARD_PRESSURE,
) -> Number:
    """Mass of vapour in a volume of air from its volume fraction.

    Parameters
    ----------
    fraction : float or array (...)
        Volume fraction; 1 ppm is 1e-6. [-]
    molar_mass : float or array, broadcasts
        Molar mass of the vapour. [kg/mol]
    temperature : float or array, broadcasts
        Temperature of the air. [K]
    pressure : float or array, broadcasts
        Pressure of the air. [Pa]

    Returns
    -------
    mass_concentration : broadcast shape
        Mass of vapour in a volume. [kg/m^3]

    Raises
    ------
    DomainError
        If fraction lies outside 0 to 1 or another argument is not positive.

    Notes
    -----
    Valid: ideal gas. Not covered: mist.
    Equation: x M p/(R T). Source: ideal gas law.

    Examples
    --------
    >>> round(mass_concentration(1e-6, 0.04607) * 1e6, 3)
    1.883
    """
    x = within("fraction", fraction, 0.0, 1.0, "-")
    t, p = positive("temperature", temperature, "K"), positive("pressure", pressure, "Pa")
    return plain(x * positive("molar_mass", molar_mass, "kg/mol") * p / (GAS_CONSTANT * t))
