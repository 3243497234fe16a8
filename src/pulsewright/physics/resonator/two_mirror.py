"""Resonators of two spherical mirrors: stability, mode sizes, mode spacing, Fresnel number."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.physics._domain import Number, a_number, as_float, not_negative, plain, positive, refuse

SPEED_OF_LIGHT = 299_792_458.0


def mirror_parameter(length: ArrayLike, curvature: ArrayLike) -> Number:
    """Stability parameter g of one mirror of a resonator.

    Parameters
    ----------
    length : float or array (...)
        Distance between the mirrors. [m]
    curvature : float or array, broadcasts
        Radius of curvature, positive for a concave mirror; infinity for a flat one. [m]

    Returns
    -------
    parameter : broadcast shape
        g = 1 - L/R. [-]

    Raises
    ------
    DomainError
        If length is not positive, or curvature 0.

    Notes
    -----
    Valid: empty resonator. Not covered: lens in the medium.
    Equation: g = 1 - L/R. Source: Kogelnik and Li, Appl. Opt. 5, 1550 (1966).

    Examples
    --------
    >>> mirror_parameter(0.5, 1.0)
    0.5
    """
    radius = a_number("curvature", curvature, "m")
    refuse("curvature", radius, radius == 0, "any length but 0; infinity for a flat mirror", "m")
    return plain(1.0 - positive("length", length, "m") / radius)


def is_stable(first_parameter: ArrayLike, second_parameter: ArrayLike) -> bool | NDArray[np.bool_]:
    """Whether a two-mirror resonator keeps a paraxial ray.

    Parameters
    ----------
    first_parameter : float or array (...)
        g of one mirror. [-]
    second_parameter : float or array, broadcasts
        g of the other. [-]

    Returns
    -------
    stable : broadcast shape
        True for 0 < g1 g2 < 1; plane mirrors stand on the edge and give False. [-]

    Raises
    ------
    DomainError
        If an argument is not a number.

    Notes
    -----
    Valid: paraxial, aligned. Not covered: apertures, which let a resonator on the edge work.
    Equation: 0 < g1 g2 < 1. Source: Kogelnik and Li, Appl. Opt. 5, 1550 (1966).

    Examples
    --------
    >>> is_stable(1.0, 0.5), is_stable(1.0, 1.0)
    (True, False)
    """
    product = a_number("first_parameter", first_parameter, "-") * a_number("second_parameter", second_parameter, "-")
    stable = (product > 0) & (product < 1)
    return bool(stable) if stable.ndim == 0 else stable


def _stable_product(g1: NDArray[np.float64], g2: NDArray[np.float64]) -> NDArray[np.float64]:
    product = g1 * g2
    refuse(
        "first_parameter", product, ~((product > 0) & (product < 1)), "g1 g2 between 0 and 1, a stable resonator", ""
    )
    return product


def waist_radius(
    wavelength: ArrayLike, length: ArrayLike, first_parameter: ArrayLike, second_parameter: ArrayLike
) -> Number:
    """1/e^2 radius of the lowest mode of a stable resonator at its waist.

    Parameters
    ----------
    wavelength : float or array (...)
        Wavelength. [m]
    length : float or array, broadcasts
        Distance between the mirrors. [m]
    first_parameter : float or array, broadcasts
        g of one mirror. [-]
    second_parameter : float or array, broadcasts
        g of the other. [-]

    Returns
    -------
    radius : broadcast shape
        Waist radius. [m]

    Raises
    ------
    DomainError
        If a length is not positive or the resonator is not stable.

    Notes
    -----
    Valid: stable, empty resonator. Not covered: plane mirrors, which have no waist; the symmetric confocal case is
    the limit g1 = g2 -> 0.
    Equation: w0^2 = (lambda L/pi) sqrt(g1 g2 (1 - g1 g2))/|g1 + g2 - 2 g1 g2|.
    Source: Kogelnik and Li, Appl. Opt. 5, 1550 (1966).

    Examples
    --------
    >>> round(waist_radius(590e-9, 0.5, 1.0, 0.5) * 1e3, 4)
    0.3064
    """
    g1, g2 = as_float(first_parameter), as_float(second_parameter)
    product = _stable_product(g1, g2)
    scale = positive("wavelength", wavelength, "m") * positive("length", length, "m") / math.pi
    return plain(np.sqrt(scale * np.sqrt(product * (1 - product)) / np.abs(g1 + g2 - 2 * product)))


def mirror_spot_radius(
    wavelength: ArrayLike, length: ArrayLike, first_parameter: ArrayLike, second_parameter: ArrayLike
) -> Number:
    """1/e^2 radius of the lowest mode of a stable resonator on its first mirror.

    Parameters
    ----------
    wavelength : float or array (...)
        Wavelength. [m]
    length : float or array, broadcasts
        Distance between the mirrors. [m]
    first_parameter : float or array, broadcasts
        g of the mirror asked for. [-]
    second_parameter : float or array, broadcasts
        g of the other. [-]

    Returns
    -------
    radius : broadcast shape
        Spot radius on the first mirror. [m]

    Raises
    ------
    DomainError
        If a length is not positive or the resonator is not stable.

    Notes
    -----
    Valid: stable, empty resonator. Not covered: lens in the medium.
    Equation: w1^2 = (lambda L/pi) sqrt(g2/(g1 (1 - g1 g2))). Source: Kogelnik and Li, Appl. Opt. 5, 1550 (1966).

    Examples
    --------
    >>> round(mirror_spot_radius(590e-9, 0.5, 0.5, 1.0) * 1e3, 4)
    0.4334
    """
    g1, g2 = as_float(first_parameter), as_float(second_parameter)
    product = _stable_product(g1, g2)
    scale = positive("wavelength", wavelength, "m") * positive("length", length, "m") / math.pi
    return plain(np.sqrt(scale * np.sqrt(g2 / (g1 * (1 - product)))))


def rayleigh_length(radius: ArrayLike, wavelength: ArrayLike) -> Number:
    """Distance from the waist of a Gaussian beam at which its area has doubled.

    Parameters
    ----------
    radius : float or array (...)
        1/e^2 radius at the waist. [m]
    wavelength : float or array, broadcasts
        Wavelength. [m]

    Returns
    -------
    length : broadcast shape
        Rayleigh length. [m]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: fundamental mode. Not covered: several modes.
    Equation: pi w^2/lambda. Source: Kogelnik and Li, Appl. Opt. 5, 1550 (1966).

    Examples
    --------
    >>> round(rayleigh_length(waist_radius(590e-9, 0.5, 1.0, 0.5), 590e-9), 9)
    0.5
    """
    return plain(math.pi * positive("radius", radius, "m") ** 2 / positive("wavelength", wavelength, "m"))


def axial_mode_spacing(optical_length: ArrayLike) -> Number:
    """Frequency distance between neighbouring axial modes.

    Parameters
    ----------
    optical_length : float or array (...)
        Optical distance between the mirrors, index included. [m]

    Returns
    -------
    spacing : same shape
        Mode spacing. [Hz]

    Raises
    ------
    DomainError
        If optical_length is not positive.

    Notes
    -----
    Valid: standing-wave resonator. Not covered: ring, dispersion.
    Equation: c/(2 L). Source: textbook.

    Examples
    --------
    >>> round(axial_mode_spacing(0.5) / 1e6, 1)
    299.8
    """
    return plain(SPEED_OF_LIGHT / (2 * positive("optical_length", optical_length, "m")))


def transverse_mode_offset(
    optical_length: ArrayLike, first_parameter: ArrayLike, second_parameter: ArrayLike, order: ArrayLike = 0
) -> Number:
    """Frequency of a transverse mode above the axial comb of a stable resonator.

    Parameters
    ----------
    optical_length : float or array (...)
        Optical distance between the mirrors. [m]
    first_parameter : float or array, broadcasts
        g of one mirror. [-]
    second_parameter : float or array, broadcasts
        g of the other. [-]
    order : float or array, broadcasts
        Sum p + q of the transverse orders. [-]

    Returns
    -------
    offset : broadcast shape
        Frequency offset. [Hz]

    Raises
    ------
    DomainError
        If optical_length is not positive, order negative, or the resonator not stable.

    Notes
    -----
    Valid: stable resonator. Not covered: aberration.
    Equation: (c/2L)(p + q + 1) acos(+-sqrt(g1 g2))/pi, the sign that of g1. Source: Kogelnik and Li 1966.

    Examples
    --------
    >>> round(transverse_mode_offset(0.5, 1.0, 0.5) / axial_mode_spacing(0.5), 9)
    0.25
    """
    g1, g2 = as_float(first_parameter), as_float(second_parameter)
    phase = np.arccos(np.sign(g1) * np.sqrt(_stable_product(g1, g2))) / math.pi
    return plain(axial_mode_spacing(optical_length) * (not_negative("order", order, "-") + 1) * phase)


def fresnel_number(radius: ArrayLike, wavelength: ArrayLike, length: ArrayLike) -> Number:
    """Fresnel number of a resonator or of an aperture seen from a distance.

    Parameters
    ----------
    radius : float or array (...)
        Radius of the aperture, or half the width of a strip. [m]
    wavelength : float or array, broadcasts
        Wavelength. [m]
    length : float or array, broadcasts
        Distance between the mirrors. [m]

    Returns
    -------
    fresnel_number : broadcast shape
        N. [-]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: definition. Not covered: the equivalent number of unstable resonators.
    Equation: a^2/(lambda L). Source: Fox and Li, Bell Syst. Tech. J. 40, 453 (1961).

    Examples
    --------
    >>> round(fresnel_number(2.5e-3, 590e-9, 1.0), 1)
    10.6
    """
    wave, span = positive("wavelength", wavelength, "m"), positive("length", length, "m")
    return plain(positive("radius", radius, "m") ** 2 / (wave * span))
