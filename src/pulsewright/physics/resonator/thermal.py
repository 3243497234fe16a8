"""A lens in the resonator, as warm dye makes one."""

from __future__ import annotations

from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, a_number, plain, positive, refuse


def radial_heat_focal_length(
    radius: ArrayLike, length: ArrayLike, index_slope: ArrayLike, temperature_rise: ArrayLike
) -> Number:
    """Focal length of a liquid column that is warmer at the wall or at the axis.

    Parameters
    ----------
    radius : float or array (...)
        Radius of the column. [m]
    length : float or array, broadcasts
        Length of the warmed column. [m]
    index_slope : float or array, broadcasts
        dn/dT of the liquid; -4e-4 for ethanol and methanol, -1e-4 for water. [1/K]
    temperature_rise : float or array, broadcasts
        Temperature at the axis above that at the wall, parabolic between. [K]

    Returns
    -------
    focal_length : broadcast shape
        Focal length; negative where a warm axis of a liquid of falling index diverges the light. [m]

    Raises
    ------
    DomainError
        If radius or length is not positive, or index_slope or temperature_rise is 0.

    Notes
    -----
    Valid: thin lens, parabolic profile. Not covered: thick column, convection, sound.
    Equation: f = a^2/(2 l (dn/dT) dT). Source: from memory.

    Examples
    --------
    >>> round(radial_heat_focal_length(4e-3, 0.15, -4e-4, 0.1), 2)
    -1.33
    """
    slope, rise = a_number("index_slope", index_slope, "1/K"), a_number("temperature_rise", temperature_rise, "K")
    refuse("index_slope", slope, slope == 0, "any but 0", "1/K")
    refuse("temperature_rise", rise, rise == 0, "any but 0", "K")
    return plain(positive("radius", radius, "m") ** 2 / (2 * positive("length", length, "m") * slope * rise))


def lens_resonator(
    first_length: ArrayLike,
    second_length: ArrayLike,
    first_curvature: ArrayLike,
    second_curvature: ArrayLike,
    focal_length: ArrayLike,
) -> tuple[Number, Number, Number]:
    """Two-mirror resonator that does the same as one with a thin lens inside.

    Parameters
    ----------
    first_length : float or array (...)
        Distance from the first mirror to the lens. [m]
    second_length : float or array, broadcasts
        Distance from the lens to the second mirror. [m]
    first_curvature : float or array, broadcasts
        Curvature of the first mirror, concave positive; infinity for a flat one. [m]
    second_curvature : float or array, broadcasts
        Curvature of the second. [m]
    focal_length : float or array, broadcasts
        Focal length of the lens, negative for a diverging one; infinity for none. [m]

    Returns
    -------
    first_parameter : broadcast shape
        Equivalent g of the first mirror. [-]
    second_parameter : broadcast shape
        Equivalent g of the second mirror. [-]
    length : broadcast shape
        Equivalent length; may be negative. [m]

    Raises
    ------
    DomainError
        If a length is not positive, or a curvature or focal_length 0.

    Notes
    -----
    Valid: thin lens, paraxial; stable where the product of the parameters lies between 0 and 1. Not covered:
    aberration, a lens that differs in two planes.
    Equation: g1* = g1 - D L2 (1 - L1/R1), g1 with L1 + L2; L* = L1 + L2 - D L1 L2; D = 1/f.
    Source: Kogelnik, Bell Syst. Tech. J. 44, 455 (1965), from memory.

    Examples
    --------
    >>> lens_resonator(0.5, 0.5, float("inf"), float("inf"), 1.0)
    (0.5, 0.5, 0.75)
    """
    l1, l2 = positive("first_length", first_length, "m"), positive("second_length", second_length, "m")
    r1, r2 = a_number("first_curvature", first_curvature, "m"), a_number("second_curvature", second_curvature, "m")
    refuse("first_curvature", r1, r1 == 0, "any length but 0; infinity for a flat mirror", "m")
    refuse("second_curvature", r2, r2 == 0, "any length but 0; infinity for a flat mirror", "m")
    f, whole = a_number("focal_length", focal_length, "m"), l1 + l2
    refuse("focal_length", f, f == 0, "any length but 0", "m")
    d = 1 / f
    g1 = 1 - whole / r1 - d * l2 * (1 - l1 / r1)
    g2 = 1 - whole / r2 - d * l1 * (1 - l2 / r2)
    return plain(g1), plain(g2), plain(whole - d * l1 * l2)
