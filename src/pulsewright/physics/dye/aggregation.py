"""Dye molecules that pair in water, and what keeps them apart."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, not_negative, plain, positive, within


def free_monomers(concentration: ArrayLike, dimer_constant: ArrayLike) -> Number:
    """Dye molecules that are not paired.

    Parameters
    ----------
    concentration : float or array (...)
        Dye in all, pairs counted as two. [mol/m^3]
    dimer_constant : float or array, broadcasts
        Pairs per product of two single ones, [D]/[M]^2. [m^3/mol]

    Returns
    -------
    monomers : broadcast shape
        Single molecules. [mol/m^3]

    Raises
    ------
    DomainError
        If an argument is negative.

    Notes
    -----
    Valid: pairs only, balance reached (microseconds). Not covered: larger aggregates above some 1e-3 mol/L.
    Equation: c = m + 2 K m^2, so m = 2 c / (1 + sqrt(1 + 8 K c)). Source: law of mass action.

    Examples
    --------
    Rhodamine 6G in water, 4e3 L/mol, at 1e-4 mol/L: two thirds single, and next to all at 1e-6 mol/L:

    >>> round(free_monomers(0.1, 4.0) / 0.1, 2), round(free_monomers(1e-3, 4.0) / 1e-3, 3)
    (0.66, 0.992)
    """
    whole = not_negative("concentration", concentration, "mol/m^3")
    pairs = not_negative("dimer_constant", dimer_constant, "m^3/mol")
    return plain(2.0 * whole / (1.0 + np.sqrt(1.0 + 8.0 * pairs * whole)))


def mixed_dimer_constant(dimer_constant: ArrayLike, water_fraction: ArrayLike, other_constant: ArrayLike) -> Number:
    """Constant of pairing in water with another solvent.

    Parameters
    ----------
    dimer_constant : float or array (...)
        In plain water. [m^3/mol]
    water_fraction : float or array, broadcasts
        Part of the volume that is water. [-]
    other_constant : float or array, broadcasts
        In the other solvent alone. [m^3/mol]

    Returns
    -------
    dimer_constant : broadcast shape
        In the mixture. [m^3/mol]

    Raises
    ------
    DomainError
        If a constant is not positive or the fraction outside 0 to 1.

    Notes
    -----
    Valid: order of magnitude; the free energy of pairing is taken as linear in the composition.
    Not covered: structure of watery alcohols.
    Equation: ln K = v ln K_w + (1 - v) ln K_o. Source: common practice, no source.

    Examples
    --------
    >>> round(mixed_dimer_constant(4.0, 0.5, 0.005), 3)
    0.141
    """
    share = within("water_fraction", water_fraction, 0.0, 1.0, "-")
    watery = np.log(positive("dimer_constant", dimer_constant, "m^3/mol"))
    other = np.log(positive("other_constant", other_constant, "m^3/mol"))
    return plain(np.exp(share * watery + (1.0 - share) * other))


def micelles(surfactant: ArrayLike, micelle_concentration: ArrayLike, micelle_size: ArrayLike) -> Number:
    """Micelles in a solution of surfactant.

    Parameters
    ----------
    surfactant : float or array (...)
        Surfactant in all. [mol/m^3]
    micelle_concentration : float or array, broadcasts
        Critical concentration, above which all further surfactant goes into micelles. [mol/m^3]
    micelle_size : float or array, broadcasts
        Molecules in one micelle. [-]

    Returns
    -------
    micelles : broadcast shape
        Micelles; none below the critical concentration. [mol/m^3]

    Raises
    ------
    DomainError
        If a concentration is negative or the size not positive.

    Notes
    -----
    Valid: up to some ten times the critical concentration. Not covered: salt, dye and alcohol shifting it; clumps of
    dye and surfactant just below it. Equation: (c - cmc) / N. Source: pseudo-phase model, textbook.

    Examples
    --------
    >>> round(micelles(100.0, 8.2, 62), 2)   # sodium dodecyl sulfate at 0.1 mol/L
    1.48
    """
    above = not_negative("surfactant", surfactant, "mol/m^3") - not_negative(
        "micelle_concentration", micelle_concentration, "mol/m^3"
    )
    return plain(np.maximum(above, 0.0) / positive("micelle_size", micelle_size, "-"))


def alone_in_micelle(concentration: ArrayLike, micelle_number: ArrayLike) -> Number:
    """Share of dye molecules that have a micelle to themselves.

    Parameters
    ----------
    concentration : float or array (...)
        Dye, all of it taken up by micelles. [mol/m^3]
    micelle_number : float or array, broadcasts
        Micelles. [mol/m^3]

    Returns
    -------
    share : broadcast shape
        Molecules alone, of all. [-]

    Raises
    ------
    DomainError
        If a concentration is negative or there are no micelles.

    Notes
    -----
    Valid: dye that goes into micelles and does not mind what is inside. Not covered: dye left in the water.
    Equation: exp(-s) with s = dye over micelles: Poisson's chance that no other one is in the same micelle.
    Source: Poisson statistics, as for quenchers in micelles (Turro and Yekta 1978), from memory.

    Examples
    --------
    >>> round(alone_in_micelle(0.1, 1.48), 3)
    0.935
    """
    crowd = not_negative("concentration", concentration, "mol/m^3") / positive(
        "micelle_number", micelle_number, "mol/m^3"
    )
    return plain(np.exp(-crowd))
