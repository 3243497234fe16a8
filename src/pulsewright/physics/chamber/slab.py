"""Absorption of diffuse light in a slab of liquid, and in which layers it ends."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.special import expn

from pulsewright.physics._domain import not_negative, positive

Float = NDArray[np.float64]


def layer_absorptance(optical_thickness: ArrayLike, shells: int = 1) -> Float:
    """Share of diffuse light on both faces of a slab that each of its layers absorbs.

    Parameters
    ----------
    optical_thickness : float or array (...)
        Absorption coefficient times thickness. [-]
    shells : int
        Number of equal layers across the thickness. [-]

    Returns
    -------
    absorptance : array (..., shells)
        Share absorbed in each layer, from one face to the other. [-]

    Raises
    ------
    DomainError
        If the thickness is negative or there is no layer.

    Notes
    -----
    Valid: wide slab in light of the same radiance on both faces, no refraction. Not covered: edges, ends.
    Equation: a_z = E_3(k x_1) - E_3(k x_2) from one face and the same mirrored, each face half of the light; the weak
    limit is 2 k d. Source: exponential integrals over Lambert's law, textbook (radiative transfer).

    Examples
    --------
    >>> [round(float(a), 2) for a in layer_absorptance(1e-4, 2) * 1e4]
    [1.0, 1.0]
    >>> round(float(layer_absorptance(50.0, 1)[0]), 6)
    1.0
    """
    count = int(positive("shells", shells, "-"))
    depth = not_negative("optical_thickness", optical_thickness, "-")
    left = 2.0 * expn(3, depth[..., None] * np.linspace(0.0, 1.0, count + 1))
    taken = -np.diff(left, axis=-1)
    return np.asarray(0.5 * (taken + taken[..., ::-1]), dtype=np.float64)
