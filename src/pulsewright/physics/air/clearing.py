"""How fast a room or a box is cleared by an air flow, and how clean air is called."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, a_number, not_negative, plain, positive, refuse, within


def clearing_time(air_change_rate: ArrayLike, fraction_left: ArrayLike, mixing_factor: ArrayLike = 1.0) -> Number:
    """Time in which an air flow thins what is in a room to a fraction.

    Parameters
    ----------
    air_change_rate : float or array (...)
        Air flow over volume. [1/s]
    fraction_left : float or array, broadcasts
        Fraction of the first concentration that is left. [-]
    mixing_factor : float or array, broadcasts
        1 for perfect mixing; 1 to 10 in real rooms. [-]

    Returns
    -------
    time : broadcast shape
        Clearing time. [s]

    Raises
    ------
    DomainError
        If air_change_rate is not positive, fraction_left outside 0 to 1 (0 excluded), or mixing_factor below 1.

    Notes
    -----
    Valid: nothing is released any more. Not covered: settling, dead corners.
    Equation: -K ln(C2/C1)/(Q/V). Source: CDC, MMWR 1994;43(RR-13), table S3-1.

    Examples
    --------
    >>> round(clearing_time(6 / 3600, 0.01) / 60)
    46
    """
    left = a_number("fraction_left", fraction_left, "-")
    refuse("fraction_left", left, (left <= 0) | (left > 1), "above 0 to 1", "-")
    factor = within("mixing_factor", mixing_factor, 1.0, math.inf, "-")
    return plain(factor * np.log(1 / left) / positive("air_change_rate", air_change_rate, "1/s"))


def fraction_left(air_change_rate: ArrayLike, time: ArrayLike, mixing_factor: ArrayLike = 1.0) -> Number:
    """Fraction of a pollutant left after a time of clearing; also of old dye in a cell that mixes well.

    Parameters
    ----------
    air_change_rate : float or array (...)
        Flow over volume. [1/s]
    time : float or array, broadcasts
        Time since the release ended. [s]
    mixing_factor : float or array, broadcasts
        1 for perfect mixing. [-]

    Returns
    -------
    fraction : broadcast shape
        Concentration over first concentration. [-]

    Raises
    ------
    DomainError
        If air_change_rate or time is negative, or mixing_factor below 1.

    Notes
    -----
    Valid: perfect mixing for a factor of 1: one volume leaves 37 %. Not covered: plug flow, which leaves nothing.
    Equation: exp(-(Q/V) t/K). Source: CDC, MMWR 1994;43(RR-13), table S3-1.

    Examples
    --------
    >>> round(fraction_left(1.0, 1.0), 3)
    0.368
    """
    changes = not_negative("air_change_rate", air_change_rate, "1/s") * not_negative("time", time, "s")
    return plain(np.exp(-changes / within("mixing_factor", mixing_factor, 1.0, math.inf, "-")))


def particle_limit(cleanliness_class: ArrayLike, particle_size: ArrayLike) -> Number:
    """Most particles of a size and above in a volume of air of a cleanliness class.

    Parameters
    ----------
    cleanliness_class : float or array (...)
        ISO class N, 1 to 9. [-]
    particle_size : float or array, broadcasts
        Particle size. [m]

    Returns
    -------
    particle_concentration : broadcast shape
        Particles per volume, to three significant figures, whole numbers per cubic metre. [1/m^3]

    Raises
    ------
    DomainError
        If the class lies outside 1 to 9, or the size outside 0.1 to 5 um.

    Notes
    -----
    Valid: 0.1 to 5 um. Not covered: cells that the 2015 table leaves empty, nanoparticles.
    Equation: 10^N (0.1 um/D)^2.08. Source: ISO 14644-1:2015, table 1, secondary copies.

    Examples
    --------
    >>> particle_limit(5, 0.5e-6)
    3520.0
    """
    n = within("cleanliness_class", cleanliness_class, 1.0, 9.0, "-")
    size = within("particle_size", particle_size, 0.1e-6 * (1 - 1e-9), 5e-6 * (1 + 1e-9), "m")
    raw = 10**n * (0.1e-6 / size) ** 2.08
    step = 10.0 ** np.maximum(np.floor(np.log10(raw)) - 2, 0)
    return plain(np.round(raw / step) * step)
