"""Cold volume behind the electrodes: how much of the fill leaves the hot bore, and how fast."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike
from scipy import constants

from pulsewright.physics._domain import Number, not_negative, plain, positive


def pressure_transit_time(
    arc_length: ArrayLike, atomic_mass: ArrayLike, temperature: ArrayLike = 12_000.0, free_particles: ArrayLike = 2.0
) -> Number:
    """Time in which a pressure step runs from the ends of an arc to its middle.

    Parameters
    ----------
    arc_length : float or array (...)
        Distance between the electrode tips. [m]
    atomic_mass : float or array, broadcasts
        Mean mass of a nucleus of the fill. [kg]
    temperature : float or array, broadcasts
        Of the settled arc; range 9000 to 16 000 K. [K]
    free_particles : float or array, broadcasts
        Free particles per nucleus: 2 when singly ionised. [-]

    Returns
    -------
    transit : broadcast shape
        Half the arc length over the speed of sound. [s]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: order of magnitude of how long the bore takes to empty. Not covered: friction, shock, choked flow.
    Equation: t = (l / 2) / sqrt(5 k T f / (3 m)). Source: speed of sound of an ideal monatomic gas.

    Examples
    --------
    >>> round(pressure_transit_time(0.15, 2.18e-25) * 1e6)   # us, xenon
    47
    """
    energy = 5.0 / 3.0 * constants.k * positive("temperature", temperature, "K")
    energy = energy * positive("free_particles", free_particles, "-")
    speed = np.sqrt(energy / positive("atomic_mass", atomic_mass, "kg"))
    return plain(0.5 * positive("arc_length", arc_length, "m") / speed)


def remaining_fill(
    dead_ratio: ArrayLike,
    pulse_over_transit: ArrayLike,
    pressure_ratio: ArrayLike = 80.0,
) -> Number:
    """Part of the fill that is still in the bore while the arc burns.

    Parameters
    ----------
    dead_ratio : float or array (...)
        Dead volume over the volume of the bore. [-]
    pulse_over_transit : float or array, broadcasts
        Length of the pulse over the transit time of the pressure. [-]
    pressure_ratio : float or array, broadcasts
        Pressure of the hot bore over the cold one at the same density: temperature ratio times free particles. [-]

    Returns
    -------
    remaining : broadcast shape
        Heavy particles per volume over those of the cold fill. [-]

    Raises
    ------
    DomainError
        If an argument is negative, or the pressure ratio is not positive.

    Notes
    -----
    Valid: dead volume that stays cold; in microseconds nothing leaves, in milliseconds pressures are equal.
    Not covered: the time in between, for which the exponential is only a passage; gas that comes back as the arc cools.
    Equation: e + (1 - e) exp(-t / t_s), e = (1 + r) / (1 + r P): equal pressures with the particles of both volumes
    conserved. Source: ideal gas law; the passage is ours.

    Examples
    --------
    >>> round(remaining_fill(0.1, 0.0), 3), round(remaining_fill(0.1, 50.0), 3)
    (1.0, 0.122)
    """
    ratio = not_negative("dead_ratio", dead_ratio, "-")
    settled = (1.0 + ratio) / (1.0 + ratio * positive("pressure_ratio", pressure_ratio, "-"))
    left = np.exp(-not_negative("pulse_over_transit", pulse_over_transit, "-"))
    return plain(settled + (1.0 - settled) * left)
