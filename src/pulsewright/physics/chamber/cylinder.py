"""Absorption of diffuse light in a cylinder of liquid, and where in it the light ends."""

from __future__ import annotations

from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.interpolate import CubicSpline

from pulsewright.physics._domain import Number, not_negative, plain, positive

Float = NDArray[np.float64]

#: Nodes per zone of impact parameter; the error stays below 1e-6 at any absorption, far below it where kR < 30.
_IMPACTS = 16
#: Step and reach of the integral behind `chord_attenuation`; its error is far below 1e-12.
_STEP, _REACH = 0.25, 12.5


def _kernel() -> tuple[Float, Float]:
    """Nodes cosh(u) and weights of Ki_3 by the trapezium rule on the whole line, halved by symmetry."""
    points = np.arange(0.0, _REACH, _STEP)
    weights = _STEP / np.cosh(points) ** 3
    weights[0] *= 0.5
    return np.cosh(points), weights


_COSH, _WEIGHT = _kernel()


def chord_attenuation(optical_chord: ArrayLike) -> Number:
    """Diffuse light left over after a chord of a long cylinder, summed over every slope to the axis.

    Parameters
    ----------
    optical_chord : float or array (...)
        Absorption coefficient times the chord in the cross-section. [-]

    Returns
    -------
    attenuation : same shape
        Bickley-Naylor function of third order; pi/4 for an empty cylinder. [-]

    Raises
    ------
    DomainError
        If the optical chord is negative.

    Notes
    -----
    Valid: endless cylinder, radiance the same in all directions. Not covered: ends.
    Equation: Ki_3(x) = integral_0^(pi/2) cos(t)^2 exp(-x / cos t) dt = integral_0^inf exp(-x cosh u) / cosh(u)^3 du.
    Source: Bickley and Naylor 1935; Abramowitz and Stegun 11.2, from memory.

    Examples
    --------
    >>> round(chord_attenuation(0.0), 6)   # pi / 4
    0.785398
    """
    chord = not_negative("optical_chord", optical_chord, "-")
    return plain(np.exp(-chord[..., None] * _COSH) @ _WEIGHT)


#: Beyond this optical chord nothing is left (Ki_3(60) is about 1e-27); points of the table over its square root.
_DARK, _CHORD_POINTS = 60.0, 3001


@lru_cache(maxsize=1)
def _absorbed_table() -> CubicSpline:
    """(pi/4 - Ki_3(x)) / x over sqrt(x): smooth there, and exact in the weak limit."""
    root = np.linspace(0.0, np.sqrt(_DARK), _CHORD_POINTS)
    chord = np.maximum(root * root, 1e-12)
    # pi/4 - Ki_3 without cancellation
    absorbed = -np.expm1(-chord[:, None] * _COSH) @ _WEIGHT
    return CubicSpline(root, absorbed / chord)


def _absorbed_along(chord: Float) -> Float:
    """Diffuse light absorbed up to an optical chord, of pi/4 in all."""
    capped = np.minimum(chord, _DARK)
    return np.asarray(capped * _absorbed_table()(np.sqrt(capped)), dtype=np.float64)


def shell_radii(radius: float, shells: int) -> Float:
    """Outer radii of the shells of equal area into which a cylinder is divided.

    Parameters
    ----------
    radius : float
        Radius of the cylinder. [m]
    shells : int
        Number of shells. [-]

    Returns
    -------
    radii : array (shells)
        Outer radius of each shell, the innermost first. [m]

    Raises
    ------
    DomainError
        If the radius is not positive or there is no shell.

    Notes
    -----
    Valid: any. Not covered: other shapes. Equation: r_z = R sqrt(z / Z). Source: definition.

    Examples
    --------
    >>> (1e3 * shell_radii(4e-3, 4)).round(3).tolist()   # mm
    [2.0, 2.828, 3.464, 4.0]
    """
    count = int(positive("shells", shells, "-"))
    edge = float(positive("radius", radius, "m"))
    return np.asarray(edge * np.sqrt(np.arange(1, count + 1) / count), dtype=np.float64)


@lru_cache(maxsize=16)
def _impacts(shells: int) -> tuple[Float, Float]:
    """Impact parameters over the radius and weights: Gauss in each zone, its square-root end removed."""
    node, weight = np.polynomial.legendre.leggauss(_IMPACTS)
    part, weight = 0.5 * (node + 1.0), 0.5 * weight
    edges = np.sqrt(np.arange(shells + 1) / shells)
    span = np.diff(edges)[:, None]
    return (edges[1:, None] - span * part**2).ravel(), (2.0 * span * part * weight).ravel()


@lru_cache(maxsize=16)
def _crossings(shells: int) -> tuple[Float, Float]:
    """Where rays cross the shells: half-chords (impact, shell) inside each radius, the weights of the impacts."""
    impact, weight = _impacts(shells)
    outer = np.arange(1, shells + 1) / shells
    return np.sqrt(np.maximum(outer - impact[:, None] ** 2, 0.0)), weight


def shell_absorptance(optical_radius: ArrayLike, shells: int = 1) -> Float:
    """Share of diffuse light falling on a cylinder that each of its equal-area shells absorbs.

    Parameters
    ----------
    optical_radius : float or array (...)
        Absorption coefficient times radius. [-]
    shells : int
        Number of equal-area shells. [-]

    Returns
    -------
    absorptance : array (..., shells)
        Share absorbed in each shell, the innermost first; their sum is the absorptance of the cylinder. [-]

    Raises
    ------
    DomainError
        If the optical radius is negative or there is no shell.

    Notes
    -----
    Valid: endless cylinder in light of the same radiance from all directions, no refraction at its surface;
    error below 1e-6. The weak limit is 2 k R in all (mean chord 4 V / S), shared equally; the strong limit is 1.
    Not covered: a step of index at the surface, which gathers light towards the axis; ends; focusing.
    Equation: a_z = (4 / pi R) integral_0^R db [Ki_3(k s_1) - Ki_3(k s_2)] over both crossings of shell z, s the
    distance along the chord in the cross-section. Source: Beer-Lambert law over isotropic chords, derived here.

    Examples
    --------
    >>> weak = shell_absorptance(1e-6, 2)
    >>> bool(np.allclose(weak, 1e-6, rtol=1e-5))
    True
    >>> round(float(shell_absorptance(1e4)[0]), 6)
    1.0
    """
    count = int(positive("shells", shells, "-"))
    depth = not_negative("optical_radius", optical_radius, "-")
    inside, weight = _crossings(count)
    entry = inside[:, -1:]
    near, far = entry - inside, entry + inside
    reach = np.concatenate([near[:, ::-1], far], axis=1)  # from the surface in, through the middle, out again
    lost = np.diff(
        _absorbed_along(depth[..., None, None] * reach), axis=-1
    )  # Z - 1 shells inwards, the innermost crossed, Z - 1 outwards
    middle = count - 1
    inward, outward = lost[..., :middle][..., ::-1], lost[..., middle + 1 :]
    per_shell = np.concatenate([lost[..., middle : middle + 1], inward + outward], axis=-1)
    shares = (4.0 / np.pi) * np.einsum("i,...iz->...z", weight, per_shell)
    return np.asarray(np.clip(shares, 0.0, 1.0), dtype=np.float64)  # rounding leaves dust below zero and above one


#: Optical radii between which the tabulated route interpolates, and points of its ladder.
_TABLE_LOW, _TABLE_HIGH, _TABLE_POINTS = 1e-4, 1e3, 113


@lru_cache(maxsize=8)
def _table(shells: int) -> CubicSpline:
    depth = np.geomspace(_TABLE_LOW, _TABLE_HIGH, _TABLE_POINTS)
    return CubicSpline(np.log(depth), shell_absorptance(depth, shells) / -np.expm1(-2.0 * depth)[:, None])


def tabulated_shell_absorptance(optical_radius: ArrayLike, shells: int = 1) -> Float:
    """`shell_absorptance` from a table made once for each number of shells.

    Parameters
    ----------
    optical_radius : float or array (...)
        Absorption coefficient times radius. [-]
    shells : int
        Number of equal-area shells. [-]

    Returns
    -------
    absorptance : array (..., shells)
        Share absorbed in each shell, the innermost first. [-]

    Raises
    ------
    DomainError
        If the optical radius is negative or there is no shell.

    Notes
    -----
    Valid: as `shell_absorptance`, from which it differs by less than 2e-6. Not covered: as there.
    Equation: cubic spline of a_z / (1 - exp(-2 k R)) over log(k R). Source: `shell_absorptance`.

    Examples
    --------
    >>> exact, quick = shell_absorptance(0.7, 4), tabulated_shell_absorptance(0.7, 4)
    >>> bool(np.allclose(exact, quick, atol=2e-6))
    True
    """
    count = int(positive("shells", shells, "-"))
    depth = not_negative("optical_radius", optical_radius, "-")
    ratio = _table(count)(np.log(np.clip(depth, _TABLE_LOW, _TABLE_HIGH)))
    return np.asarray(np.maximum(ratio, 0.0) * -np.expm1(-2.0 * depth)[..., None], dtype=np.float64)


def cylinder_absorptance(optical_radius: ArrayLike) -> Number:
    """Share of the diffuse light falling on a cylinder that it absorbs.

    Parameters
    ----------
    optical_radius : float or array (...)
        Absorption coefficient times radius. [-]

    Returns
    -------
    absorptance : same shape
        Absorbed share. [-]

    Raises
    ------
    DomainError
        If the optical radius is negative.

    Notes
    -----
    Valid: endless cylinder in light of the same radiance from all directions, no refraction at its surface.
    Not covered: ends, focusing. Equation: see `shell_absorptance`, one shell. Source: derived there.

    Examples
    --------
    >>> round(cylinder_absorptance(1e-3) / 2e-3, 3)   # weak limit: absorption coefficient times the mean chord 2 R
    0.999
    """
    return plain(shell_absorptance(optical_radius, 1)[..., 0])


def escape_probability(optical_radius: ArrayLike) -> Number:
    """Share of light emitted evenly inside a cylinder of liquid that leaves it unabsorbed.

    Parameters
    ----------
    optical_radius : float or array (...)
        Absorption coefficient at the emitted wavelength times radius. [-]

    Returns
    -------
    probability : same shape
        Share that escapes through the side. [-]

    Raises
    ------
    DomainError
        If the optical radius is negative.

    Notes
    -----
    Valid: endless cylinder, emission even over the volume and in all directions, no reflection at the surface.
    Not covered: total reflection, which keeps light in; emission gathered near the wall, which lets more out.
    Equation: p = a / (2 k R), a the absorptance in diffuse light. Source: reciprocity of emission and absorption.

    Examples
    --------
    >>> round(escape_probability(1e-6), 5)
    1.0
    """
    depth = np.maximum(not_negative("optical_radius", optical_radius, "-"), 1e-9)
    return plain(shell_absorptance(depth, 1)[..., 0] / (2.0 * depth))


def mean_chord(volume: ArrayLike, surface: ArrayLike) -> Number:
    """Mean length of the path of diffuse light through a convex body.

    Parameters
    ----------
    volume : float or array (...)
        Volume of the body. [m^3]
    surface : float or array, broadcasts
        Area through which the light enters and leaves. [m^2]

    Returns
    -------
    chord : broadcast shape
        Mean chord. [m]

    Raises
    ------
    DomainError
        If volume or surface is not positive.

    Notes
    -----
    Valid: convex body in isotropic light, straight rays. Not covered: refraction, which leaves the mean unchanged
    only for light of the same radiance inside. Equation: 4 V / S. Source: Cauchy's mean chord theorem.

    Examples
    --------
    >>> round(mean_chord(4.0 / 3.0 * np.pi * 0.5**3, 4.0 * np.pi * 0.5**2), 6)   # ball of diameter 1: 2/3
    0.666667
    """
    return plain(4.0 * positive("volume", volume, "m^3") / positive("surface", surface, "m^2"))
