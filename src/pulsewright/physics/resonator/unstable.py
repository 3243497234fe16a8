"""Unstable resonators: magnification, geometric loss, mirrors of the confocal kind."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.physics._domain import Number, a_number, plain, positive, refuse


def _magnification(magnification: ArrayLike) -> NDArray[np.float64]:
    m = a_number("magnification", magnification, "-")
    refuse("magnification", m, m <= 1, "above 1", "-")
    return m


def magnification(first_parameter: ArrayLike, second_parameter: ArrayLike) -> Number:
    """Magnification of a round trip in an unstable resonator.

    Parameters
    ----------
    first_parameter : float or array (...)
        g = 1 - L/R of one mirror. [-]
    second_parameter : float or array, broadcasts
        g of the other. [-]

    Returns
    -------
    magnification : broadcast shape
        Factor by which the beam grows in a round trip. [-]

    Raises
    ------
    DomainError
        If the resonator is stable (0 <= g1 g2 <= 1).

    Notes
    -----
    Valid: geometric optics, both branches. Not covered: diffraction.
    Equation: M = m + sqrt(m^2 - 1), m = |2 g1 g2 - 1|. Source: Siegman, Appl. Opt. 13, 353 (1974).

    Examples
    --------
    >>> magnification(0.75, 1.5)
    2.0
    """
    product = a_number("first_parameter", first_parameter, "-") * a_number("second_parameter", second_parameter, "-")
    refuse("first_parameter", product, (product >= 0) & (product <= 1), "g1 g2 below 0 or above 1", "")
    m = np.abs(2 * product - 1)
    return plain(m + np.sqrt(m**2 - 1))


def unstable_loss(magnification: ArrayLike) -> Number:
    """Geometric loss of a round trip in an unstable resonator with round or square mirrors.

    Parameters
    ----------
    magnification : float or array (...)
        Magnification of a round trip. [-]

    Returns
    -------
    loss : same shape
        Fraction of the power that leaves past the smaller mirror. [-]

    Raises
    ------
    DomainError
        If magnification is not above 1.

    Notes
    -----
    Valid: geometric optics; diffraction keeps somewhat more. Not covered: strip mirrors, see `unstable_strip_loss`.
    Equation: 1 - 1/M^2. Source: Siegman, Appl. Opt. 13, 353 (1974).

    Examples
    --------
    >>> unstable_loss(2.0)
    0.75
    """
    return plain(1 - 1 / _magnification(magnification) ** 2)


def unstable_strip_loss(magnification: ArrayLike) -> Number:
    """Geometric loss of a round trip in an unstable resonator with strip mirrors.

    Parameters
    ----------
    magnification : float or array (...)
        Magnification of a round trip. [-]

    Returns
    -------
    loss : same shape
        Fraction of the power that leaves past the smaller mirror. [-]

    Raises
    ------
    DomainError
        If magnification is not above 1.

    Notes
    -----
    Valid: geometric optics. Not covered: diffraction.
    Equation: 1 - 1/M. Source: Siegman, Appl. Opt. 13, 353 (1974).

    Examples
    --------
    >>> unstable_strip_loss(2.0)
    0.5
    """
    return plain(1 - 1 / _magnification(magnification))


def confocal_unstable_curvatures(magnification: ArrayLike, length: ArrayLike) -> tuple[Number, Number]:
    """Mirror curvatures of a positive-branch confocal unstable resonator.

    Parameters
    ----------
    magnification : float or array (...)
        Magnification of a round trip. [-]
    length : float or array, broadcasts
        Distance between the mirrors. [m]

    Returns
    -------
    first_curvature : broadcast shape
        Large mirror, concave. [m]
    second_curvature : broadcast shape
        Small mirror, convex, hence negative. [m]

    Raises
    ------
    DomainError
        If magnification is not above 1 or length not positive.

    Notes
    -----
    Valid: empty resonator, collimated output. Not covered: negative branch.
    Equation: R1 = 2 M L/(M - 1), R2 = -2 L/(M - 1). Source: Siegman, Appl. Opt. 13, 353 (1974).

    Examples
    --------
    >>> confocal_unstable_curvatures(2.0, 1.0)
    (4.0, -2.0)
    """
    m, span = _magnification(magnification), positive("length", length, "m")
    return plain(2 * m * span / (m - 1)), plain(-2 * span / (m - 1))


def equivalent_fresnel_number(
    radius: ArrayLike, wavelength: ArrayLike, length: ArrayLike, magnification: ArrayLike
) -> Number:
    """Equivalent Fresnel number of a confocal unstable resonator.

    Parameters
    ----------
    radius : float or array (...)
        Radius of the small (feedback) mirror. [m]
    wavelength : float or array, broadcasts
        Wavelength. [m]
    length : float or array, broadcasts
        Distance between the mirrors. [m]
    magnification : float or array, broadcasts
        Magnification of a round trip. [-]

    Returns
    -------
    fresnel_number : broadcast shape
        Equivalent Fresnel number; half-integers part the modes best. [-]

    Raises
    ------
    DomainError
        If a length is not positive or magnification not above 1.

    Notes
    -----
    Valid: positive branch, confocal. Not covered: other geometries.
    Equation: (M - 1)/2 a^2/(lambda L). Source: Siegman, from memory.

    Examples
    --------
    >>> round(equivalent_fresnel_number(2e-3, 590e-9, 0.5, 2.0), 2)
    6.78
    """
    m = _magnification(magnification)
    wave, span = positive("wavelength", wavelength, "m"), positive("length", length, "m")
    return plain((m - 1) / 2 * positive("radius", radius, "m") ** 2 / (wave * span))


def collimated_fresnel_number(equivalent_number: ArrayLike, magnification: ArrayLike) -> Number:
    """Collimated Fresnel number of an unstable resonator from its equivalent one.

    Parameters
    ----------
    equivalent_number : float or array (...)
        Equivalent Fresnel number. [-]
    magnification : float or array, broadcasts
        Magnification of a round trip. [-]

    Returns
    -------
    fresnel_number : broadcast shape
        Collimated Fresnel number. [-]

    Raises
    ------
    DomainError
        If equivalent_number is not positive or magnification not above 1.

    Notes
    -----
    Valid: as the source. Not covered: edge shaping.
    Equation: N_c = 2 M^2/(M^2 - 1) N_eq. Source: Siegman, Stanford report ADA021095 (1975).

    Examples
    --------
    >>> round(collimated_fresnel_number(1.5, 2.0), 9)
    4.0
    """
    m = _magnification(magnification)
    return plain(2 * m**2 / (m**2 - 1) * positive("equivalent_number", equivalent_number, "-"))
