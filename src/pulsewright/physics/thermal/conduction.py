"""Temperature in a dye cell whose liquid and wall are not equally warm."""

from __future__ import annotations

from functools import cache, lru_cache
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import j0, j1, jn_zeros

from pulsewright.physics._domain import not_negative, within

Float = NDArray[np.float64]
Shape = Literal["cylinder", "slab"]

#: Modes of the series; the layer at the wall is resolved down to a Fourier number of about 1e-4.
MODES = 160


@cache
def _modes(shape: str) -> tuple[Float, Float]:
    if shape == "slab":
        zeros: Float = np.asarray((np.arange(MODES) + 0.5) * np.pi, dtype=np.float64)
        return zeros, np.asarray(2.0 / (zeros * np.sin(zeros)))
    zeros = np.asarray(jn_zeros(0, MODES), dtype=np.float64)
    return zeros, np.asarray(2.0 / (zeros * j1(zeros)))


def _profiles(shape: str, ratio: Float) -> Float:
    return _profiles_at(shape, tuple(ratio.tolist()))


@lru_cache(maxsize=16)
def _profiles_at(shape: str, ratio: tuple[float, ...]) -> Float:
    """Kept, since the places in a bore hardly ever change."""
    zeros, _ = _modes(shape)
    return np.asarray((np.cos if shape == "slab" else j0)(np.outer(zeros, np.array(ratio))))


def bore_temperature(radius_ratio: ArrayLike, fourier_number: ArrayLike, shape: Shape = "cylinder") -> Float:
    """Temperature of a liquid at rest in a bore, above that of its wall, over what it was at first.

    Parameters
    ----------
    radius_ratio : float or array (N,)
        Distance from the axis over the radius of the bore; in a slab, from its middle over half its thickness. [-]
    fourier_number : float or array (T,)
        Diffusivity times time over the square of the radius. [-]
    shape : {"cylinder", "slab"}
        A round bore, or a slab between two faces.

    Returns
    -------
    share : array (T, N)
        What is left of the difference. [-]

    Raises
    ------
    DomainError
        If the ratio is outside 0 to 1 or the number negative.

    Notes
    -----
    Valid: even temperature at first, wall held at its own. Not covered: convection, heat that the glass takes or gives.
    Equation: sum 2 J0(z r/R) / (z J1(z)) exp(-z^2 Fo) over the zeros z of J0; in a slab cos for J0, sin for J1.
    Source: Carslaw and Jaeger, Conduction of Heat in Solids, from memory.

    Examples
    --------
    >>> round(float(bore_temperature(0.0, 0.2)[0, 0]), 3)
    0.501
    """
    ratio = np.atleast_1d(within("radius_ratio", radius_ratio, 0.0, 1.0, "-"))
    number = np.atleast_1d(not_negative("fourier_number", fourier_number, "-"))
    zeros, amplitude = _modes(shape)
    decay = np.exp(-np.outer(number, zeros * zeros))
    return np.asarray((decay * amplitude) @ _profiles(shape, ratio))


def mean_bore_temperature(radius_ratio: ArrayLike, fourier_number: ArrayLike, shape: Shape = "cylinder") -> Float:
    """Mean along a bore through which liquid flows past a wall of another temperature, as `bore_temperature`.

    Parameters
    ----------
    radius_ratio : float or array (N,)
        Distance from the axis over the radius of the bore; in a slab, from its middle over half its thickness. [-]
    fourier_number : float or array (T,)
        Diffusivity times the time the liquid takes through the bore, over the square of the radius. [-]
    shape : {"cylinder", "slab"}
        A round bore, or a slab between two faces.

    Returns
    -------
    share : array (T, N)
        Mean over the length of what is left of the difference. [-]

    Raises
    ------
    DomainError
        If the ratio is outside 0 to 1 or the number negative.

    Notes
    -----
    Valid: plug flow, heat across the flow only. Not covered: the profile of a laminar flow, turbulence, convection.
    Equation: the mean of `bore_temperature` from 0 to Fo: (1 - exp(-z^2 Fo)) / (z^2 Fo) for exp(-z^2 Fo).
    Source: integral of the series.

    Examples
    --------
    >>> round(float(mean_bore_temperature(0.0, 1e-3)[0, 0]), 3)
    1.0
    """
    ratio = np.atleast_1d(within("radius_ratio", radius_ratio, 0.0, 1.0, "-"))
    number = np.atleast_1d(not_negative("fourier_number", fourier_number, "-"))
    zeros, amplitude = _modes(shape)
    passed = np.maximum(np.outer(number, zeros * zeros), 1e-12)
    return np.asarray((-np.expm1(-passed) / passed * amplitude) @ _profiles(shape, ratio))
