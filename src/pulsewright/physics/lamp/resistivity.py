"""Plasma in a filled bore by the square-root law, per length and volume, and the floor below which no lamp falls."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike
from scipy import constants

from pulsewright.physics._domain import Number, a_number, plain, positive

#: 1.13 ohm cm (A/cm^2)^0.5 in SI.
RESISTIVITY_CONSTANT = 1.13 * 1e-2 * 1e2
#: Current densities for which the resistivity was found [A/m^2]: 400 to 10000 A/cm^2.
LOWEST_CURRENT_DENSITY, HIGHEST_CURRENT_DENSITY = 400e4, 10000e4


def current_density(current: ArrayLike, bore: ArrayLike) -> Number:
    """Current density in a filled round bore.

    Parameters
    ----------
    current : float or array (...)
        Current. [A]
    bore : float or array, broadcasts
        Inside diameter of the lamp. [m]

    Returns
    -------
    current_density : broadcast shape
        Current per cross-section. [A/m^2]

    Raises
    ------
    DomainError
        If the bore is not positive.

    Notes
    -----
    Valid: bore filled evenly. Not covered: a narrow arc in a wide bore, early in the pulse.
    Equation: j = 4 I / (pi d^2). Source: definition.

    Examples
    --------
    >>> round(current_density(5e3, 7e-3) / 1e4)   # A/cm^2
    12992
    """
    return plain(4.0 * a_number("current", current, "A") / (np.pi * positive("bore", bore, "m") ** 2))


def square_law_resistivity(current_density: ArrayLike) -> Number:
    """Resistivity of xenon plasma in a filled bore by the square-root law.

    Parameters
    ----------
    current_density : float or array (...)
        Current per cross-section. [A/m^2]

    Returns
    -------
    resistivity : same shape
        Resistivity. [ohm*m]

    Raises
    ------
    DomainError
        If the current density is not positive.

    Notes
    -----
    Valid: xenon near 450 torr, 400 to 10000 A/cm^2; `square_law_covers` tells.
    Not covered: above 2.4e4 A/cm^2 it falls below the fully ionised (Spitzer) value at 2 eV: see `spitzer_resistivity`.
    Equation: rho = 1.13 / sqrt(j), ohm cm and A/cm^2.
    Source: Koechner, Solid-State Laser Engineering, after J. H. Goncz, J. Appl. Phys. 36, 742 (1965) (from memory).

    Examples
    --------
    >>> round(square_law_resistivity(1000e4) * 100, 5)   # ohm cm
    0.03573
    """
    return plain(RESISTIVITY_CONSTANT / np.sqrt(positive("current_density", current_density, "A/m^2")))


def square_law_covers(current_density: ArrayLike) -> bool:
    """Whether the square-root law was found at this current density.

    Parameters
    ----------
    current_density : float
        Current per cross-section. [A/m^2]

    Returns
    -------
    covered : bool
        False outside 400 to 10000 A/cm^2. [-]

    Raises
    ------
    DomainError
        If the current density is not positive.

    Notes
    -----
    Valid: the bounds are about. Not covered: fill pressure and bore.
    Equation: 400 <= j <= 10000 A/cm^2. Source: Koechner, Solid-State Laser Engineering (from memory).

    Examples
    --------
    >>> square_law_covers(13e7)
    False
    """
    density = float(positive("current_density", current_density, "A/m^2"))
    return LOWEST_CURRENT_DENSITY <= density <= HIGHEST_CURRENT_DENSITY


def square_law_field(current_density: ArrayLike) -> Number:
    """Electric field along xenon plasma in a filled bore by the square-root law.

    Parameters
    ----------
    current_density : float or array (...)
        Current per cross-section. [A/m^2]

    Returns
    -------
    electric_field : same shape
        Voltage per length. [V/m]

    Raises
    ------
    DomainError
        If the current density is not positive.

    Notes
    -----
    Valid: xenon near 450 torr, 400 to 10000 A/cm^2. Not covered: electrode drop; other gases and pressures.
    Equation: E = 1.13 sqrt(j), V/cm and A/cm^2. Source: algebra from rho = 1.13 / sqrt(j).

    Examples
    --------
    >>> round(square_law_field(1700e4) / 100, 1)   # V/cm
    46.6
    """
    return plain(RESISTIVITY_CONSTANT * np.sqrt(positive("current_density", current_density, "A/m^2")))


def square_law_power_density(current_density: ArrayLike) -> Number:
    """Heat per volume in xenon plasma in a filled bore by the square-root law.

    Parameters
    ----------
    current_density : float or array (...)
        Current per cross-section. [A/m^2]

    Returns
    -------
    power_density : same shape
        Power per volume. [W/m^3]

    Raises
    ------
    DomainError
        If the current density is not positive.

    Notes
    -----
    Valid: xenon near 450 torr, 400 to 10000 A/cm^2. Not covered: other gases and pressures.
    Equation: P = 1.13 j^1.5, W/cm^3 and A/cm^2. Source: algebra from rho = 1.13 / sqrt(j).

    Examples
    --------
    >>> round(square_law_power_density(1000e4) / 1e6)   # W/cm^3
    35734
    """
    return plain(RESISTIVITY_CONSTANT * positive("current_density", current_density, "A/m^2") ** 1.5)


def square_law_wall_flux(current_density: ArrayLike, bore: ArrayLike) -> Number:
    """Power through the wall of a filled bore if all the heat of the square-root law leaves radially.

    Parameters
    ----------
    current_density : float or array (...)
        Current per cross-section. [A/m^2]
    bore : float or array, broadcasts
        Inside diameter of the lamp. [m]

    Returns
    -------
    radiated_flux : broadcast shape
        Power per wall area, the most that can be radiated in balance. [W/m^2]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: steady balance of heating and loss. Not covered: heat stored in the plasma, loss to the electrodes.
    Equation: F = 1.13 j^1.5 d / 4, W/cm^2, A/cm^2, cm. Source: algebra from rho = 1.13 / sqrt(j).

    Examples
    --------
    >>> round(square_law_wall_flux(1700e4, 13e-3) / 1e4)   # W/cm^2
    25742
    """
    return plain(np.asarray(square_law_power_density(current_density)) * positive("bore", bore, "m") / 4.0)


def spitzer_resistivity(
    temperature: ArrayLike, coulomb_logarithm: ArrayLike = 4.0, ion_charge: ArrayLike = 1.0
) -> Number:
    """Resistivity of a fully ionised plasma along the field, the floor below which no lamp law should fall.

    Parameters
    ----------
    temperature : float or array (...)
        Electron temperature. [K]
    coulomb_logarithm : float or array, broadcasts
        Coulomb logarithm. [-]
    ion_charge : float or array, broadcasts
        Charge number of the ions. [-]

    Returns
    -------
    resistivity : broadcast shape
        Resistivity, whatever the current density. [ohm*m]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: fully ionised, Coulomb logarithm well above 1. Not covered: neutrals, dense plasma: see the plasma model.
    Equation: eta = 5.2e-3 Z lnL / T^1.5 ohm cm, T in eV. Source: NRL Plasma Formulary (from memory).

    Examples
    --------
    >>> round(spitzer_resistivity(2 * 11604.518) * 100, 4)   # ohm cm at 2 eV
    0.0074
    """
    electronvolts = constants.k * positive("temperature", temperature, "K") / constants.e
    factor = positive("ion_charge", ion_charge, "-") * positive("coulomb_logarithm", coulomb_logarithm, "-")
    return plain(5.2e-5 * factor / electronvolts**1.5)


def square_law_floor_current_density(resistivity: ArrayLike) -> Number:
    """Current density above which the square-root law falls below a given floor of resistivity.

    Parameters
    ----------
    resistivity : float or array (...)
        Floor, for instance the Spitzer value. [ohm*m]

    Returns
    -------
    current_density : same shape
        Where the law meets the floor. [A/m^2]

    Raises
    ------
    DomainError
        If the resistivity is not positive.

    Notes
    -----
    Valid: xenon near 450 torr. Not covered: the passage from one regime to the other, which is gradual.
    Equation: j = (1.13 / rho)^2, A/cm^2 and ohm cm. Source: algebra from rho = 1.13 / sqrt(j).

    Examples
    --------
    >>> round(square_law_floor_current_density(0.00735e-2) / 1e4, -2)   # A/cm^2
    23600.0
    """
    return plain((RESISTIVITY_CONSTANT / positive("resistivity", resistivity, "ohm*m")) ** 2)
