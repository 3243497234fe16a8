"""Beam widths along the axis: waist, divergence and beam propagation ratio from them."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy.optimize import least_squares

from pulsewright.errors import DomainError
from pulsewright.physics._domain import Number, a_number, plain, positive


class Caustic(NamedTuple):
    """A beam as ISO 11146 describes it; lengths [m], full angle [rad]."""

    waist_position: float
    waist_diameter: float
    divergence: float
    rayleigh_length: float
    beam_propagation_ratio: float


class GaussianFit(NamedTuple):
    """A waist found by least squares, each value with its standard deviation."""

    waist_radius: float
    waist_radius_deviation: float
    waist_position: float
    waist_position_deviation: float
    beam_propagation_ratio: float
    beam_propagation_ratio_deviation: float


def gaussian_radius(
    position: ArrayLike,
    waist_radius: ArrayLike,
    waist_position: ArrayLike,
    wavelength: ArrayLike,
    beam_propagation_ratio: ArrayLike = 1.0,
) -> Number:
    """1/e^2 radius of a beam along its axis.

    Parameters
    ----------
    position : float or array (...)
        Place along the axis. [m]
    waist_radius : float or array, broadcasts
        1/e^2 radius at the waist. [m]
    waist_position : float or array, broadcasts
        Place of the waist. [m]
    wavelength : float or array, broadcasts
        Wavelength. [m]
    beam_propagation_ratio : float or array, broadcasts
        M^2; 1 for a fundamental Gaussian. [-]

    Returns
    -------
    radius : broadcast shape
        Beam radius. [m]

    Raises
    ------
    DomainError
        If waist_radius, wavelength or beam_propagation_ratio is not positive.

    Notes
    -----
    Valid: paraxial; a real beam has M^2 of 1 or more. Not covered: astigmatism.
    Equation: w sqrt(1 + (M^2 lambda (z - z0)/(pi w^2))^2). Source: Kogelnik and Li 1966; ISO 11146-1.

    Examples
    --------
    >>> round(gaussian_radius(0.0, 93.9e-6, 0.3396, 632.8e-9) * 1e6, 1)
    734.5
    """
    z, w = a_number("position", position, "m"), positive("waist_radius", waist_radius, "m")
    away = z - a_number("waist_position", waist_position, "m")
    m2 = positive("beam_propagation_ratio", beam_propagation_ratio, "-")
    return plain(np.hypot(w, m2 * positive("wavelength", wavelength, "m") * away / (math.pi * w)))


def caustic_from_coefficients(constant: float, linear: float, quadratic: float, wavelength: float) -> Caustic:
    """Waist, divergence and beam propagation ratio from the hyperbola of squared diameters.

    Parameters
    ----------
    constant : float
        A of d^2 = A + B z + C z^2. [m^2]
    linear : float
        B of the same. [m]
    quadratic : float
        C of the same. [-]
    wavelength : float
        Wavelength. [m]

    Returns
    -------
    waist_position : float
        Place of the waist. [m]
    waist_diameter : float
        Second-moment diameter at the waist. [m]
    divergence : float
        Full divergence angle. [rad]
    rayleigh_length : float
        Distance from the waist at which the diameter has grown by sqrt(2). [m]
    beam_propagation_ratio : float
        M^2. [-]

    Raises
    ------
    DomainError
        If the coefficients are not those of a beam: C <= 0 or 4 A C <= B^2.

    Notes
    -----
    Valid: second-moment diameters. Not covered: general astigmatism.
    Equation: z0 = -B/2C, d0 = sqrt(4AC - B^2)/(2 sqrt C), Theta = sqrt C, M^2 = pi sqrt(4AC - B^2)/(8 lambda).
    Source: ISO 11146-1 (from memory).

    Examples
    --------
    >>> round(caustic_from_coefficients(1e-6, 0.0, 1e-6, 590e-9).rayleigh_length, 9)
    1.0
    """
    wave = float(positive("wavelength", wavelength, "m"))
    discriminant = 4 * constant * quadratic - linear**2
    if not (quadratic > 0 and discriminant > 0):
        raise DomainError(
            f"4 A C - B^2 is {discriminant:g} m^2 and C is {quadratic:g}",
            argument="quadratic",
            allowed="both above 0",
            next_step="measure more planes, on both sides of the waist",
        )
    root = math.sqrt(discriminant)
    return Caustic(
        waist_position=-linear / (2 * quadratic),
        waist_diameter=root / (2 * math.sqrt(quadratic)),
        divergence=math.sqrt(quadratic),
        rayleigh_length=root / (2 * quadratic),
        beam_propagation_ratio=math.pi * root / (8 * wave),
    )


def _rows(position: ArrayLike, width: ArrayLike, name: str, least: int) -> tuple[NDArray[np.float64], ...]:
    z, d = np.atleast_1d(a_number("position", position, "m")), np.atleast_1d(positive(name, width, "m"))
    if z.shape != d.shape or len(np.unique(z)) < least:
        raise DomainError(
            f"{len(z)} positions and {len(d)} widths",
            argument="position",
            allowed=f"as many of each, at least {least} different positions",
            next_step="measure more planes",
        )
    return z, d


def fit_second_moment_caustic(
    position: ArrayLike, diameter: ArrayLike, wavelength: float, relative_weights: bool = True
) -> Caustic:
    """Waist, divergence and beam propagation ratio from measured second-moment diameters.

    Parameters
    ----------
    position : array (plane)
        Places along the axis, at least three. [m]
    diameter : array (plane)
        Second-moment diameters there. [m]
    wavelength : float
        Wavelength. [m]
    relative_weights : bool
        True where every diameter is known to the same fraction, False where to the same length squared. [-]

    Returns
    -------
    waist_position : float
        Place of the waist. [m]
    waist_diameter : float
        Second-moment diameter at the waist. [m]
    divergence : float
        Full divergence angle. [rad]
    rayleigh_length : float
        Distance from the waist at which the diameter has grown by sqrt(2). [m]
    beam_propagation_ratio : float
        M^2. [-]

    Raises
    ------
    DomainError
        If fewer than three planes differ, a diameter is not positive, or the fit is not that of a beam.

    Notes
    -----
    Valid: ISO 11146-1 asks for at least ten planes, half inside one Rayleigh length, half beyond two. Without
    relative weights the wide planes rule the fit and bias it. Not covered: uncertainty of the answer.
    Equation: least squares of d^2 = A + B z + C z^2, weights 1/d^2 or 1. Source: ISO 11146-1 (from memory).

    Examples
    --------
    >>> z = [-2.0, -1.0, 0.0, 1.0, 2.0]
    >>> round(fit_second_moment_caustic(z, [(1e-6 + 4e-6 * x * x) ** 0.5 for x in z], 590e-9).divergence, 9)
    0.002
    """
    z, d = _rows(position, diameter, "diameter", 3)
    weights = 1 / d**2 if relative_weights else np.ones_like(d)
    constant, linear, quadratic = np.polynomial.polynomial.polyfit(z, d**2, 2, w=weights)
    # A curvature lost in rounding is none: the diameters do not tell a divergence.
    known = float(quadratic) if abs(quadratic) * np.ptp(z) ** 2 > 1e-9 * np.max(d**2) else 0.0
    return caustic_from_coefficients(float(constant), float(linear), known, wavelength)


def fit_gaussian_caustic(
    position: ArrayLike, radius: ArrayLike, wavelength: float, free_beam_propagation_ratio: bool = False
) -> GaussianFit:
    """Waist of a beam from measured 1/e^2 radii, by least squares of the radius.

    Parameters
    ----------
    position : array (plane)
        Places along the axis, at least four. [m]
    radius : array (plane)
        1/e^2 radii there. [m]
    wavelength : float
        Wavelength. [m]
    free_beam_propagation_ratio : bool
        True to fit M^2 too; else it is 1. [-]

    Returns
    -------
    waist_radius : float
        1/e^2 radius at the waist. [m]
    waist_radius_deviation : float
        Its standard deviation, from the scatter of the data. [m]
    waist_position : float
        Place of the waist. [m]
    waist_position_deviation : float
        Its standard deviation. [m]
    beam_propagation_ratio : float
        M^2, 1 where not fitted. [-]
    beam_propagation_ratio_deviation : float
        Its standard deviation, 0 where not fitted. [-]

    Raises
    ------
    DomainError
        If fewer than four planes differ or a radius is not positive.

    Notes
    -----
    Valid: the same scatter on every radius. Not covered: systematic error of the method by which radii were found.
    Equation: least squares of `gaussian_radius`; covariance s^2 (J^T J)^-1. Source: textbook.

    Examples
    --------
    >>> z = [0.0, 0.2, 0.4, 0.6, 0.8]
    >>> fit = fit_gaussian_caustic(z, gaussian_radius(z, 1e-4, 0.5, 632.8e-9), 632.8e-9)
    >>> round(fit.waist_radius * 1e6, 3), round(fit.waist_position, 6)
    (100.0, 0.5)
    """
    z, w = _rows(position, radius, "radius", 4)
    wave = float(positive("wavelength", wavelength, "m"))
    span, narrow = float(np.ptp(z)), float(np.min(w))

    def residual(unknown: NDArray[np.float64]) -> NDArray[np.float64]:
        ratio = unknown[2] if free_beam_propagation_ratio else 1.0
        spread = ratio * wave * (z - unknown[1] * span) / (math.pi * unknown[0] * narrow)
        return np.asarray(np.hypot(unknown[0] * narrow, spread) / narrow - w / narrow)

    start = [1.0, float(z[np.argmin(w)]) / span, 1.0][: 3 if free_beam_propagation_ratio else 2]
    fit = least_squares(residual, start, xtol=1e-14, ftol=1e-14, gtol=1e-14)
    variance = 2 * fit.cost / (len(z) - len(start))
    deviation = np.sqrt(np.diag(np.linalg.inv(fit.jac.T @ fit.jac)) * variance)
    free = free_beam_propagation_ratio
    return GaussianFit(
        waist_radius=abs(float(fit.x[0])) * narrow,
        waist_radius_deviation=float(deviation[0]) * narrow,
        waist_position=float(fit.x[1]) * span,
        waist_position_deviation=float(deviation[1]) * span,
        beam_propagation_ratio=float(fit.x[2]) if free else 1.0,
        beam_propagation_ratio_deviation=float(deviation[2]) if free else 0.0,
    )
