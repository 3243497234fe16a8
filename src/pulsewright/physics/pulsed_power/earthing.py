"""Voltages that a fast discharge puts where nobody expects them: on earth leads and in loops of instrument leads."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike
from scipy import constants

from pulsewright.physics._domain import Number, a_number, not_negative, plain, positive


def ground_bounce(earth_inductance: ArrayLike, current_slope: ArrayLike) -> Number:
    """Voltage between two points called earth while a discharge current passes the lead between them.

    Parameters
    ----------
    earth_inductance : float or array (...)
        Inductance of the shared lead. [H]
    current_slope : float or array, broadcasts
        Steepest rise of the current that passes it. [A/s]

    Returns
    -------
    voltage : broadcast shape
        Voltage along the lead, at that instant. [V]

    Raises
    ------
    DomainError
        If the inductance is negative or the slope is no number.

    Notes
    -----
    Valid: the whole discharge current passes the lead: the worst case; with a single-point ground none should.
    Not covered: ringing of the lead with stray capacitances, which can double it; resistance of the lead.
    Equation: V = L dI/dt. Source: definition of inductance.

    Examples
    --------
    >>> ground_bounce(300e-9, 6e9)
    1800.0
    """
    return plain(
        not_negative("earth_inductance", earth_inductance, "H") * a_number("current_slope", current_slope, "A/s")
    )


def loop_pickup(length: ArrayLike, distance: ArrayLike, width: ArrayLike, current_slope: ArrayLike) -> Number:
    """Voltage in a loop of instrument leads beside a discharge lead whose return is far away.

    Parameters
    ----------
    length : float or array (...)
        Length of the loop along the lead. [m]
    distance : float or array, broadcasts
        Distance from the lead to the near side of the loop. [m]
    width : float or array, broadcasts
        Width of the loop, away from the lead. [m]
    current_slope : float or array, broadcasts
        Steepest rise of the current. [A/s]

    Returns
    -------
    voltage : broadcast shape
        Voltage round the loop, at that instant. [V]

    Raises
    ------
    DomainError
        If a length is negative, the distance is not positive, or the slope is no number.

    Notes
    -----
    Valid: a straight lead, a flat loop in its plane: the worst case.
    Not covered: a return close by, which cancels most of it.
    Equation: V = (mu0 / 2 pi) l ln((d + w) / d) dI/dt. Source: textbook, mutual inductance of wire and rectangle.

    Examples
    --------
    Ten centimetres of open leads, a decimetre off a discharge lead at 6 kA/us:

    >>> round(loop_pickup(0.1, 0.1, 0.1, 6e9), 1)
    83.2
    """
    near = positive("distance", distance, "m")
    logarithm = np.log1p(not_negative("width", width, "m") / near)
    mutual = constants.mu_0 / (2.0 * np.pi) * not_negative("length", length, "m") * logarithm
    return plain(mutual * a_number("current_slope", current_slope, "A/s"))
