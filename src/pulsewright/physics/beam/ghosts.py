"""Ghosts: weak reflections that come to a focus."""

from __future__ import annotations

from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, a_number, not_negative, plain, positive, refuse, within


def ghost_fluence(
    fluence: ArrayLike,
    first_reflectivity: ArrayLike,
    second_reflectivity: ArrayLike,
    diameter: ArrayLike,
    ghost_diameter: ArrayLike,
) -> Number:
    """Fluence of a ghost that was reflected twice.

    Parameters
    ----------
    fluence : float or array (...)
        Fluence of the beam that makes the ghost. [J/m^2]
    first_reflectivity : float or array, broadcasts
        Reflectivity of the surface met first. [-]
    second_reflectivity : float or array, broadcasts
        Reflectivity of the surface met second. [-]
    diameter : float or array, broadcasts
        Diameter of the beam there. [m]
    ghost_diameter : float or array, broadcasts
        Diameter of the ghost where its fluence is asked. [m]

    Returns
    -------
    fluence : broadcast shape
        Fluence of the ghost. [J/m^2]

    Raises
    ------
    DomainError
        If fluence is negative, a reflectivity outside 0 to 1, or a diameter not positive.

    Notes
    -----
    Valid: geometric. Not covered: the size of the focus itself. Rule of the trade, from memory: keep optics where the
    ghost stays under a tenth of their threshold.
    Equation: F R1 R2 (d/d_g)^2. Source: geometry.

    Examples
    --------
    >>> round(ghost_fluence(1.0, 0.04, 0.04, 0.008, 0.008), 7)
    0.0016
    """
    r1 = within("first_reflectivity", first_reflectivity, 0.0, 1.0, "-")
    r2 = within("second_reflectivity", second_reflectivity, 0.0, 1.0, "-")
    gathering = (positive("diameter", diameter, "m") / positive("ghost_diameter", ghost_diameter, "m")) ** 2
    return plain(not_negative("fluence", fluence, "J/m^2") * r1 * r2 * gathering)


def double_reflection_focus(focal_length: ArrayLike, refractive_index: ArrayLike) -> Number:
    """Distance behind a thin lens at which its own double internal reflection comes to a focus.

    Parameters
    ----------
    focal_length : float or array (...)
        Focal length of the lens; negative for a diverging one. [m]
    refractive_index : float or array, broadcasts
        Refractive index of the glass. [-]

    Returns
    -------
    distance : broadcast shape
        Focal distance of the ghost, for collimated light. [m]

    Raises
    ------
    DomainError
        If focal_length is 0 or refractive_index not above 1.

    Notes
    -----
    Valid: thin lens of any bending, in air. Not covered: thickness, aberration.
    Equation: f (n - 1)/(3 n - 1). Source: thin-lens algebra, two surfaces each passed and met from inside.

    Examples
    --------
    >>> round(double_reflection_focus(0.7, 1.5), 9)
    0.1
    """
    f = a_number("focal_length", focal_length, "m")
    refuse("focal_length", f, f == 0, "any length but 0", "m")
    n = a_number("refractive_index", refractive_index, "-")
    refuse("refractive_index", n, n <= 1, "above 1", "-")
    return plain(f * (n - 1) / (3 * n - 1))
