"""Walls of pump chambers: perimeters of ellipses and of what wraps lamps and cell; areas."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import special

from pulsewright.errors import DomainError
from pulsewright.physics._choice import one_of
from pulsewright.physics._domain import Number, as_float, not_negative, plain, positive, refuse

Float = NDArray[np.float64]

#: Shapes of reflector, in the spelling of the build file.
REFLECTORS = ("double ellipse", "single ellipse", "multiple ellipse", "circular", "close-wrapped diffuse")

#: Directions over which the wrap is summed; a multiple of 4. The error is below 1e-6 of the perimeter.
_DIRECTIONS = 4096


def ellipse_focal_distance(semi_major: ArrayLike, semi_minor: ArrayLike) -> Number:
    """Distance of each focal line of an ellipse from its axis.

    Parameters
    ----------
    semi_major : float or array (...)
        Half of the long axis. [m]
    semi_minor : float or array, broadcasts
        Half of the short axis. [m]

    Returns
    -------
    distance : broadcast shape
        Distance from the centre to a focus. [m]

    Raises
    ------
    DomainError
        If an axis is not positive or the short one is the longer.

    Notes
    -----
    Valid: any ellipse. Not covered: other curves. Equation: c = sqrt(a^2 - b^2). Source: definition.

    Examples
    --------
    >>> round(ellipse_focal_distance(25e-3, 24e-3) * 1e3, 6)
    7.0
    """
    long, short = _axes(semi_major, semi_minor)
    return plain(np.sqrt(long * long - short * short))


def _axes(semi_major: ArrayLike, semi_minor: ArrayLike) -> tuple[Float, Float]:
    long, short = positive("semi_major", semi_major, "m"), positive("semi_minor", semi_minor, "m")
    refuse("semi_minor", np.broadcast_arrays(short, long)[0], short > long, "at most semi_major", "m")
    return long, short


def ellipse_pair_perimeter(semi_major: ArrayLike, semi_minor: ArrayLike, centre_distance: ArrayLike) -> Number:
    """Outline of two equal ellipses side by side along their long axes, without what lies inside the other.

    Parameters
    ----------
    semi_major : float or array (...)
        Half of the long axis. [m]
    semi_minor : float or array, broadcasts
        Half of the short axis. [m]
    centre_distance : float or array, broadcasts
        Distance between the centres: 0 gives one ellipse, twice the focal distance a double ellipse with a shared
        focus, twice the long half-axis or more two whole ellipses. [m]

    Returns
    -------
    perimeter : broadcast shape
        Length of the outline. [m]

    Raises
    ------
    DomainError
        If an axis is not positive, the short one is the longer, or the distance is negative.

    Notes
    -----
    Valid: any. Not covered: the slot that lets light cross where lamps stand in the way.
    Equation: 4 a (E(m) + E(t, m)), sin t = d / 2a, m = 1 - b^2/a^2. Source: arc length of an ellipse from the end of
    its short axis, elliptic integrals of the second kind.

    Examples
    --------
    >>> round(ellipse_pair_perimeter(1.0, 1.0, 0.0) / np.pi, 6)   # one circle
    2.0
    >>> round(ellipse_pair_perimeter(1.0, 1.0, 2.0) / np.pi, 6)   # two that touch
    4.0
    """
    long, short = _axes(semi_major, semi_minor)
    gap = not_negative("centre_distance", centre_distance, "m")
    parameter = 1.0 - (short / long) ** 2
    angle = np.arcsin(np.minimum(0.5 * gap / long, 1.0))
    return plain(4.0 * long * (special.ellipe(parameter) + special.ellipeinc(angle, parameter)))


def ellipse_ring_perimeter(semi_major: ArrayLike, semi_minor: ArrayLike, lamp_count: int) -> Number:
    """Outline of equal ellipses at equal angles round a focal line that they share, one a lamp.

    Parameters
    ----------
    semi_major : float or array (...)
        Half of the long axis. [m]
    semi_minor : float or array, broadcasts
        Half of the short axis. [m]
    lamp_count : int
        Number of ellipses. [-]

    Returns
    -------
    perimeter : broadcast shape
        Length of the outline. [m]

    Raises
    ------
    DomainError
        If an axis is not positive, the short one is the longer, or there is no lamp.

    Notes
    -----
    Valid: any number, error below 1e-6 up to an eccentricity of 0.9. Not covered: slots where lamps stand in the way.
    Equation: n times the length of r = p / (1 - e cos t), p = b^2 / a, between t = -pi/n and pi/n. Source: ellipse in
    polar coordinates about a focus, textbook.

    Examples
    --------
    >>> round(ellipse_ring_perimeter(25e-3, 22e-3, 2) / ellipse_pair_perimeter(25e-3, 22e-3, 2 * 11.874342e-3), 6)
    1.0
    """
    long, short = _axes(semi_major, semi_minor)
    count = int(positive("lamp_count", lamp_count, "-"))
    node, weight = np.polynomial.legendre.leggauss(96)
    angle = node * (np.pi / count)
    eccentricity = np.sqrt(1.0 - (short / long) ** 2)[..., None]
    under = 1.0 - eccentricity * np.cos(angle)
    reach = (short * short / long)[..., None] / under
    slope = -reach * eccentricity * np.sin(angle) / under
    return plain(np.pi * np.sum(weight * np.hypot(reach, slope), axis=-1))


def wrapped_perimeter(centre_x: ArrayLike, centre_y: ArrayLike, radius: ArrayLike) -> float:
    """Length of a band drawn tightly round lamps and cell.

    Parameters
    ----------
    centre_x : array (tubes)
        Positions of the axes in the cross-section. [m]
    centre_y : array (tubes)
        The other coordinate. [m]
    radius : array (tubes)
        Outside radius of each tube. [m]

    Returns
    -------
    perimeter : float
        Length of the band. [m]

    Raises
    ------
    DomainError
        If a radius is not positive or the lists differ in length.

    Notes
    -----
    Valid: convex wrap, error below 1e-6. Not covered: a wrap that follows hollows.
    Equation: integral over all directions of the width h(t) = max_i (x_i cos t + y_i sin t + r_i). Source: Cauchy.

    Examples
    --------
    Two tubes of radius 5 that touch: belt of 2 pi r + 4 r.

    >>> round(wrapped_perimeter([0.0, 10.0], [0.0, 0.0], [5.0, 5.0]), 3)
    51.416
    """
    tubes = [as_float(centre_x), as_float(centre_y), positive("radius", radius, "m")]
    if len({tube.shape for tube in tubes}) != 1 or tubes[0].ndim != 1:
        raise DomainError(
            "positions and radii differ in number",
            argument="radius",
            allowed="allowed: one position and one radius a tube",
            next_step="give lists of one length",
        )
    angle = np.arange(_DIRECTIONS) * (2.0 * np.pi / _DIRECTIONS)
    reach = np.cos(angle)[:, None] * tubes[0] + np.sin(angle)[:, None] * tubes[1] + tubes[2]
    return float(np.max(reach, axis=1).mean() * 2.0 * np.pi)


def _missing(argument: str, reflector: str) -> DomainError:
    return DomainError(
        f"a {reflector} reflector needs its {argument}",
        argument=argument,
        allowed="allowed: a length",
        next_step=f"give {argument}",
    )


def chamber_wall_area(
    reflector: str,
    length: float,
    semi_major: float | None = None,
    semi_minor: float | None = None,
    diameter: float | None = None,
    perimeter: float | None = None,
    lamp_count: int = 2,
) -> float:
    """Area of the reflecting wall of a pump chamber, ends left out.

    Parameters
    ----------
    reflector : str
        `double ellipse`, `single ellipse`, `multiple ellipse`, `circular` or `close-wrapped diffuse`.
    length : float
        Inside length of the chamber. [m]
    semi_major : float, optional
        Half of the long axis, for the ellipses. [m]
    semi_minor : float, optional
        Half of the short axis, for the ellipses. [m]
    diameter : float, optional
        Inside diameter, for `circular`. [m]
    perimeter : float, optional
        Length of the wall round the cross-section, for `close-wrapped diffuse`. [m]
    lamp_count : int, optional
        Number of lamps, for `multiple ellipse`. [-]

    Returns
    -------
    area : float
        Area of the wall. [m^2]

    Raises
    ------
    DomainError
        If the reflector is unknown or lacks a dimension.

    Notes
    -----
    Valid: straight chamber. Ends count among the openings, by the meaning of the opening fraction.
    Not covered: ellipses that do not share a focus.
    Equation: perimeter times length; a double ellipse has its centres two focal distances apart. Source: geometry.

    Examples
    --------
    >>> round(chamber_wall_area("circular", 0.1, diameter=0.06) * 1e4, 2)   # cm^2
    188.5
    """
    one_of("reflector", reflector, REFLECTORS)
    run = float(positive("length", length, "m"))
    if reflector == "close-wrapped diffuse":
        if perimeter is None:
            raise _missing("perimeter", reflector)
        return run * float(positive("perimeter", perimeter, "m"))
    if reflector == "circular":
        if diameter is None:
            raise _missing("diameter", reflector)
        return run * float(np.pi * positive("diameter", diameter, "m"))
    if semi_major is None or semi_minor is None:
        raise _missing("semi_major" if semi_major is None else "semi_minor", reflector)
    if reflector == "multiple ellipse":
        return run * float(ellipse_ring_perimeter(semi_major, semi_minor, lamp_count))
    apart = 2.0 * float(ellipse_focal_distance(semi_major, semi_minor)) if reflector == "double ellipse" else 0.0
    return run * float(ellipse_pair_perimeter(semi_major, semi_minor, apart))


def cylinder_side_area(diameter: ArrayLike, length: ArrayLike) -> Number:
    """Curved surface of a tube, lamp or cell.

    Parameters
    ----------
    diameter : float or array (...)
        Diameter. [m]
    length : float or array, broadcasts
        Length. [m]

    Returns
    -------
    area : broadcast shape
        Area without the ends. [m^2]

    Raises
    ------
    DomainError
        If diameter or length is not positive.

    Notes
    -----
    Valid: any. Not covered: ends. Equation: pi d l. Source: geometry.

    Examples
    --------
    >>> round(cylinder_side_area(7e-3, 150e-3) * 1e4, 2)   # cm^2
    32.99
    """
    return plain(np.pi * positive("diameter", diameter, "m") * positive("length", length, "m"))
