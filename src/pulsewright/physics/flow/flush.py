"""Renewal of the fill of a dye cell by flow."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, not_negative, plain, positive, refuse, within


def flush_fraction(volumes: ArrayLike) -> Number:
    """Part of the old fill left in a well-mixed cell after flushing.

    Parameters
    ----------
    volumes : float or array (...)
        Volume passed through, in cell volumes. [-]

    Returns
    -------
    fraction : same shape
        Share of the old fill left. [-]

    Raises
    ------
    DomainError
        If the volume is negative.

    Notes
    -----
    Valid: well-mixed cell, an upper bound for one that is swept from end to end. Not covered: dead corners.
    Equation: exp(-n). Source: balance of a stirred vessel.

    Examples
    --------
    >>> round(flush_fraction(1.0), 2)
    0.37
    """
    return plain(np.exp(-not_negative("volumes", volumes, "-")))


def flush_volumes(fraction: ArrayLike) -> Number:
    """Cell volumes that must pass until only a part of the old fill is left.

    Parameters
    ----------
    fraction : float or array (...)
        Share of the old fill that may remain. [-]

    Returns
    -------
    volumes : same shape
        Volume to pass, in cell volumes. [-]

    Raises
    ------
    DomainError
        If the fraction is not above 0 and at most 1.

    Notes
    -----
    Valid: well-mixed cell. Not covered: dead corners. Equation: -ln(fraction). Source: balance of a stirred vessel.

    Examples
    --------
    >>> round(flush_volumes(0.05), 1)
    3.0
    """
    left = within("fraction", fraction, 0.0, 1.0, "-")
    refuse("fraction", left, left <= 0.0, "above 0 and at most 1", "-")
    return plain(-np.log(left) + 0.0)


def flush_time(cell_volume: ArrayLike, volume_flow: ArrayLike, fraction: ArrayLike) -> Number:
    """Time until only a part of the old fill is left in a flushed cell.

    Parameters
    ----------
    cell_volume : float or array (...)
        Volume of the cell. [m^3]
    volume_flow : float or array, broadcasts
        Volume flow through it. [m^3/s]
    fraction : float or array, broadcasts
        Share of the old fill that may remain. [-]

    Returns
    -------
    time : broadcast shape
        Time to wait. [s]

    Raises
    ------
    DomainError
        If volume or flow is not positive, or the fraction not above 0 and at most 1.

    Notes
    -----
    Valid: well-mixed cell. Not covered: dead corners.
    Equation: -ln(fraction) V / Q. Source: balance of a stirred vessel.

    Examples
    --------
    >>> flush_time(1e-5, 1e-5, 1.0)
    0.0
    """
    turnover = positive("cell_volume", cell_volume, "m^3") / positive("volume_flow", volume_flow, "m^3/s")
    return plain(flush_volumes(fraction) * turnover)
