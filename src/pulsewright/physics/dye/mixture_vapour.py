"""Gases and vapours over two solvents mixed: solubility, activity, vapour pressure."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, not_negative, plain, positive
from pulsewright.physics.dye._fractions import Float, fractions


def mixture_gas_solubility(mole_fraction: ArrayLike, gas_mole_fraction: ArrayLike) -> Number:
    """Solubility of a gas in a mixture, additive in the logarithm.

    Parameters
    ----------
    mole_fraction : array (..., components)
        Part of the molecules of each solvent. [-]
    gas_mole_fraction : array (..., components)
        Mole fraction of the gas dissolved in each under 101.325 kPa of it. [-]

    Returns
    -------
    gas_mole_fraction : (...)
        Mole fraction of the gas dissolved in the mixture. [-]

    Raises
    ------
    DomainError
        If the fractions do not add up to 1 or a solubility is not positive.

    Notes
    -----
    Valid: to a factor 1.5. Not covered: excess of the mixture; alcohols in much water dissolve less than this.
    Equation: ln x = sum x_i ln x_g,i. Source: Krichevsky, Zh. Fiz. Khim. 9, 41 (1937), as in the solubility series of
    IUPAC, from memory.

    Examples
    --------
    >>> round(mixture_gas_solubility([0.5, 0.5], [5.83e-4, 2.30e-5]) * 1e4, 2)
    1.16
    """
    logs = np.log(positive("gas_mole_fraction", gas_mole_fraction, "-"))
    return plain(np.exp((fractions("mole_fraction", mole_fraction) * logs).sum(axis=-1)))


def van_laar_activity(mole_fraction: ArrayLike, activity_constants: ArrayLike) -> Float:
    """Activity coefficients of two liquids that dislike each other.

    Parameters
    ----------
    mole_fraction : array (..., 2)
        Part of the molecules of each. [-]
    activity_constants : array (2,)
        Logarithm of the activity coefficient of each where it is dilute, first of the first in the second. [-]

    Returns
    -------
    activity : array (..., 2)
        Activity coefficient of each. [-]

    Raises
    ------
    DomainError
        If the fractions do not add up to 1 or a constant is not positive.

    Notes
    -----
    Valid: constants fitted near the temperature of use. Not covered: pairs that attract each other.
    Equation: ln gamma_1 = A_12 (A_21 x_2 / (A_12 x_1 + A_21 x_2))^2, the other likewise. Source: van Laar 1910, as in
    Reid, Prausnitz, Poling, from memory.

    Examples
    --------
    >>> van_laar_activity([0.0, 1.0], [1.68, 0.92]).round(2)
    array([5.37, 1.  ])
    """
    parts = fractions("mole_fraction", mole_fraction)
    constants = positive("activity_constants", activity_constants, "-")
    weighted = parts * constants
    other = weighted[..., ::-1] / weighted.sum(axis=-1, keepdims=True)
    return np.asarray(np.exp(constants * other * other))


def mixture_vapour_pressure(mole_fraction: ArrayLike, vapour_pressure: ArrayLike, activity: ArrayLike = 1.0) -> Number:
    """Pressure of all vapours over a mixture.

    Parameters
    ----------
    mole_fraction : array (..., components)
        Part of the molecules of each solvent in the liquid. [-]
    vapour_pressure : array (..., components)
        Vapour pressure of each by itself. [Pa]
    activity : array (..., components)
        Activity coefficient of each; 1 in an ideal mixture. [-]

    Returns
    -------
    vapour_pressure : (...)
        Pressure over the mixture. [Pa]

    Raises
    ------
    DomainError
        If the fractions do not add up to 1 or another argument is negative.

    Notes
    -----
    Valid: alike solvents to 5 % with activity 1. Not covered: with activity 1 mixtures that boil lower than either
    part (azeotropes), such as ethanol with 4 % of water; there the pressure is up to 90 % higher.
    Equation: p = sum x_i gamma_i p_i. Source: Raoult 1887.

    Examples
    --------
    >>> round(mixture_vapour_pressure([0.5, 0.5], [7870.0, 3169.0]))
    5520
    """
    pressures = not_negative("vapour_pressure", vapour_pressure, "Pa") * positive("activity", activity, "-")
    return plain((fractions("mole_fraction", mole_fraction) * pressures).sum(axis=-1))
