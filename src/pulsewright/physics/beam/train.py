"""A beam carried along an ordered train of lenses and apertures as second moments."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.errors import DomainError
from pulsewright.physics._domain import Number, as_float, not_negative, plain, positive, refuse
from pulsewright.physics.beam.matrices import SecondMoments, free_space, moments_of_waist, thin_lens, transform


def _surfaces(
    distances: ArrayLike, focal_lengths: ArrayLike, apertures: ArrayLike
) -> tuple[NDArray[np.float64], NDArray[np.float64], NDArray[np.float64]]:
    z = np.atleast_1d(not_negative("distances", distances, "m"))
    f = np.atleast_1d(as_float(focal_lengths))
    a = np.atleast_1d(positive("apertures", apertures, "m"))
    if not (z.ndim == 1 and z.shape == f.shape == a.shape):
        raise DomainError(
            f"distances, focal_lengths and apertures have shapes {z.shape}, {f.shape} and {a.shape}",
            argument="distances",
            allowed="three lists of one length, one entry a surface",
            next_step="use infinity for a surface without power and for an aperture that never clips",
        )
    refuse("distances", z, np.diff(z, prepend=0.0) < 0, "distances in rising order", "m")
    refuse("focal_lengths", f, (f == 0) | np.isnan(f), "any length but 0; infinity for none", "m")
    return z, f, a


def clip(moments: SecondMoments, aperture: float) -> SecondMoments:
    """Second moments of a uniform beam behind a centred round aperture.

    Parameters
    ----------
    moments : SecondMoments (...)
        Moments in front of the aperture.
    aperture : float
        Clear diameter; infinity for none. [m]

    Returns
    -------
    diameter_squared : (...)
        Squared diameter, at most that of the aperture. [m^2]
    product : (...)
        Mixed moment: the curvature of the wave is kept. [m rad]
    divergence_squared : (...)
        Squared full divergence: the local spread of angles is kept. [rad^2]

    Notes
    -----
    Valid: a beam filled evenly, its local spread of angles the same everywhere. Not covered: diffraction by the edge.
    Equation: with k = p/d^2 and u^2 = Theta^2 - k^2 d^2: d' = min(d, a), p' = k d'^2, Theta'^2 = k^2 d'^2 + u^2.
    Source: geometry; that the beam is filled evenly is a choice of this package.

    Examples
    --------
    >>> clip(SecondMoments(4.0e-6, 0.0, 1.0e-6), 1.0e-3)
    SecondMoments(diameter_squared=1e-06, product=0.0, divergence_squared=1e-06)
    """
    xx, xt, tt = (as_float(moment) for moment in moments)
    kept = np.minimum(xx, aperture**2)
    slope = xt / xx
    spread = np.maximum(tt - slope**2 * xx, 0.0)
    return SecondMoments(plain(kept), plain(slope * kept), plain(slope**2 * kept + spread))


def clipped_fraction(diameter: ArrayLike, aperture: ArrayLike) -> Number:
    """Fraction of an evenly filled round beam that a smaller, centred aperture stops.

    Parameters
    ----------
    diameter : float or array (...)
        Diameter of the beam at the aperture. [m]
    aperture : float or array, broadcasts
        Clear diameter of the aperture. [m]

    Returns
    -------
    fraction : broadcast shape
        Part of the energy that does not pass. [-]

    Raises
    ------
    DomainError
        If diameter or aperture is not positive.

    Notes
    -----
    Valid: beam of even fluence. Not covered: a beam with wings; for a Gaussian see `aperture_transmission`.
    Equation: 1 - (a/d)^2 for a < d, else 0. Source: geometry.

    Examples
    --------
    >>> clipped_fraction(0.008, 0.004)
    0.75
    """
    d, a = positive("diameter", diameter, "m"), positive("aperture", aperture, "m")
    return plain(1.0 - np.minimum(a / d, 1.0) ** 2)


def propagate(
    diameter: ArrayLike,
    divergence: ArrayLike,
    distances: ArrayLike,
    focal_lengths: ArrayLike,
    apertures: ArrayLike,
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Beam diameter at every surface of a train, and what each aperture stops.

    Parameters
    ----------
    diameter : float or array (...)
        Beam diameter at the coupler, taken as a waist. [m]
    divergence : float or array, broadcasts
        Full divergence angle behind the coupler. [rad]
    distances : array (surface)
        Distance of each surface from the coupler along the beam, in rising order. [m]
    focal_lengths : array (surface)
        Focal length of each surface; infinity for none. [m]
    apertures : array (surface)
        Clear diameter of each surface; infinity where it never clips. [m]

    Returns
    -------
    diameters : (..., surface)
        Beam diameter arriving at each surface. [m]
    lost : (..., surface)
        Fraction of the energy arriving at each surface that its aperture stops. [-]

    Raises
    ------
    DomainError
        If the lists differ in length, distances fall, or an entry cannot be used.

    Notes
    -----
    Valid: paraxial, evenly filled beam. Until something clips, d^2 = (A d0)^2 + (B Theta)^2, so the smallest
    divergence gives the smallest beam on every surface. Not covered: diffraction by edges, aberration, tilt.
    Equation: P' = M P M^T per surface, then `clip`. Source: ISO 11146-1 (moments); Kogelnik and Li 1966 (matrices).

    Examples
    --------
    >>> diameters, lost = propagate(0.008, 0.002, [1.5, 2.0], [0.5, float("inf")], [float("inf")] * 2)
    >>> diameters.round(6)
    array([0.008544, 0.001   ])
    """
    z, f, a = _surfaces(distances, focal_lengths, apertures)
    moments, last = moments_of_waist(diameter, divergence), 0.0
    shape = np.shape(moments.diameter_squared)
    diameters, lost = np.zeros((2, *shape, len(z)))
    for i, (place, focal_length, aperture) in enumerate(zip(z, f, a, strict=True)):
        moments = transform(moments, free_space(place - last))
        diameters[..., i] = np.sqrt(moments.diameter_squared)
        lost[..., i] = clipped_fraction(diameters[..., i], aperture)
        moments = clip(moments, float(aperture))
        if np.isfinite(focal_length):
            moments = transform(moments, thin_lens(float(focal_length)))
        last = place
    return diameters, lost
