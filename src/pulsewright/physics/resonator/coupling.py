"""The output coupler that lets the most out of a laser with a homogeneous, saturable gain."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.physics._domain import Number, not_negative, plain, positive, within


def _inner_loss(loss_per_pass: ArrayLike, rear_reflectivity: ArrayLike) -> NDArray[np.float64]:
    """Logarithmic loss of a round trip without the coupler."""
    lost = within("loss_per_pass", loss_per_pass, 0.0, 1.0, "-")
    rear = positive("rear_reflectivity", within("rear_reflectivity", rear_reflectivity, 0.0, 1.0, "-"), "-")
    with np.errstate(divide="ignore"):
        return np.asarray(-np.log(rear) - 2 * np.log1p(-lost))


def best_coupler_reflectivity(
    small_signal_gain: ArrayLike, loss_per_pass: ArrayLike, rear_reflectivity: ArrayLike = 1.0
) -> Number:
    """Reflectivity of the output coupler that gives the most output from a steady four-level laser.

    Parameters
    ----------
    small_signal_gain : float or array (...)
        Logarithmic gain of one pass without the laser's own light. [-]
    loss_per_pass : float or array, broadcasts
        Fraction lost in one pass, mirrors not counted. [-]
    rear_reflectivity : float or array, broadcasts
        Of the rear mirror. [-]

    Returns
    -------
    coupler_reflectivity : broadcast shape
        At the optimum; 1 where the laser does not reach threshold. [-]

    Raises
    ------
    DomainError
        If the gain is negative or a fraction lies outside its range.

    Notes
    -----
    Valid: steady state, homogeneous four-level gain, light as good as even along the cell. Not covered: losses that
    grow with the excited dye, which a dye laser has; gain that changes during the pulse; strong coupling, where the
    light is uneven along the cell (Rigrod).
    Equation: -ln R = sqrt(2 g0 l d) - d with d the logarithmic loss of a round trip inside. Source: textbook; Siegman,
    Lasers (1986), chapter 12; Svelto, Principles of Lasers, chapter 7, from memory.

    Examples
    --------
    A gain of 0.5 a pass and 2 % lost in each:

    >>> round(best_coupler_reflectivity(0.5, 0.02), 3)
    0.852
    """
    gain = not_negative("small_signal_gain", small_signal_gain, "-")
    inner = _inner_loss(loss_per_pass, rear_reflectivity)
    root = np.sqrt(inner)
    return plain(np.exp(-np.maximum(root * (np.sqrt(2 * gain) - root), 0.0)))
