"""Closed relations of a Gaussian beam and of an evenly filled aperture, as used at the bench."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import erf, erfinv, j0, j1, sici

from pulsewright.physics._domain import Number, a_number, not_negative, plain, positive, refuse


def aperture_transmission(aperture_radius: ArrayLike, beam_radius: ArrayLike) -> Number:
    """Fraction of a Gaussian beam that passes a centred round aperture.

    Parameters
    ----------
    aperture_radius : float or array (...)
        Radius of the aperture. [m]
    beam_radius : float or array, broadcasts
        1/e^2 radius of the beam. [m]

    Returns
    -------
    transmission : broadcast shape
        Fraction of the power passed. [-]

    Raises
    ------
    DomainError
        If aperture_radius is negative or beam_radius not positive.

    Notes
    -----
    Valid: fundamental Gaussian. Not covered: diffraction ripple behind the edge.
    Equation: 1 - exp(-2 a^2/w^2). Source: Smith, *Modern Optical Engineering*, p. 197, eq. 9.24.

    Examples
    --------
    >>> round(aperture_transmission(1.0, 1.0), 4)
    0.8647
    """
    a, w = not_negative("aperture_radius", aperture_radius, "m"), positive("beam_radius", beam_radius, "m")
    return plain(-np.expm1(-2 * (a / w) ** 2))


def slit_transmission(half_width: ArrayLike, beam_radius: ArrayLike) -> Number:
    """Fraction of a Gaussian beam that passes a centred long slit.

    Parameters
    ----------
    half_width : float or array (...)
        Half the width of the slit. [m]
    beam_radius : float or array, broadcasts
        1/e^2 radius of the beam. [m]

    Returns
    -------
    transmission : broadcast shape
        Fraction of the power passed. [-]

    Raises
    ------
    DomainError
        If half_width is negative or beam_radius not positive.

    Notes
    -----
    Valid: fundamental Gaussian. Not covered: short slits.
    Equation: erf(sqrt(2) s/w). Source: Smith, *Modern Optical Engineering*, p. 197, eq. 9.25.

    Examples
    --------
    >>> round(slit_transmission(1.0, 1.0), 4)
    0.9545
    """
    s, w = not_negative("half_width", half_width, "m"), positive("beam_radius", beam_radius, "m")
    return plain(erf(math.sqrt(2) * s / w))


def knife_edge_transmission(position: ArrayLike, beam_radius: ArrayLike) -> Number:
    """Fraction of a Gaussian beam that passes a knife edge.

    Parameters
    ----------
    position : float or array (...)
        Distance of the edge beyond the axis; positive uncovers more. [m]
    beam_radius : float or array, broadcasts
        1/e^2 radius of the beam. [m]

    Returns
    -------
    transmission : broadcast shape
        Fraction of the power passed. [-]

    Raises
    ------
    DomainError
        If position is not a number or beam_radius not positive.

    Notes
    -----
    Valid: fundamental Gaussian. Not covered: detector smaller than the beam.
    Equation: (1 + erf(sqrt(2) x/w))/2. Source: integral of the Gaussian.

    Examples
    --------
    >>> knife_edge_transmission(0.0, 1.0)
    0.5
    """
    x, w = a_number("position", position, "m"), positive("beam_radius", beam_radius, "m")
    return plain(0.5 * (1 + erf(math.sqrt(2) * x / w)))


def knife_edge_distance(beam_radius: ArrayLike, fraction_low: ArrayLike, fraction_high: ArrayLike) -> Number:
    """Travel of a knife edge between two transmitted fractions of a Gaussian beam.

    Parameters
    ----------
    beam_radius : float or array (...)
        1/e^2 radius of the beam. [m]
    fraction_low : float or array, broadcasts
        Lower transmitted fraction. [-]
    fraction_high : float or array, broadcasts
        Higher transmitted fraction. [-]

    Returns
    -------
    distance : broadcast shape
        Travel of the edge. [m]

    Raises
    ------
    DomainError
        If beam_radius is not positive or a fraction lies outside 0 to 1.

    Notes
    -----
    Valid: fundamental Gaussian; 10 to 90 % gives 1.2816 w. Not covered: noise on the signal.
    Equation: w (erfinv(2 h - 1) - erfinv(2 l - 1))/sqrt(2). Source: inverse of `knife_edge_transmission`.

    Examples
    --------
    >>> round(knife_edge_distance(1.0, 0.1, 0.9), 4)
    1.2816
    """
    w = positive("beam_radius", beam_radius, "m")
    ends = []
    for name, value in (("fraction_low", fraction_low), ("fraction_high", fraction_high)):
        fraction = a_number(name, value, "-")
        refuse(name, fraction, (fraction <= 0) | (fraction >= 1), "between 0 and 1", "-")
        ends.append(erfinv(2 * fraction - 1))
    return plain(w * (ends[1] - ends[0]) / math.sqrt(2))


def full_width_at_half_maximum(beam_radius: ArrayLike) -> Number:
    """Full width at half maximum of a Gaussian beam.

    Parameters
    ----------
    beam_radius : float or array (...)
        1/e^2 radius of the beam. [m]

    Returns
    -------
    width : same shape
        Full width at half the peak. [m]

    Raises
    ------
    DomainError
        If beam_radius is not positive.

    Notes
    -----
    Valid: fundamental Gaussian. Not covered: other profiles.
    Equation: w sqrt(2 ln 2). Source: definition.

    Examples
    --------
    >>> round(full_width_at_half_maximum(1.0), 4)
    1.1774
    """
    return plain(positive("beam_radius", beam_radius, "m") * math.sqrt(2 * math.log(2)))


def gaussian_peak_fluence(energy: ArrayLike, beam_radius: ArrayLike) -> Number:
    """Fluence on the axis of a Gaussian beam.

    Parameters
    ----------
    energy : float or array (...)
        Energy of the pulse. [J]
    beam_radius : float or array, broadcasts
        1/e^2 radius of the beam. [m]

    Returns
    -------
    fluence : broadcast shape
        Peak fluence. [J/m^2]

    Raises
    ------
    DomainError
        If energy is negative or beam_radius not positive.

    Notes
    -----
    Valid: fundamental Gaussian: twice the mean over the 1/e^2 circle. Not covered: hot spots of a multimode beam.
    Equation: 2 E/(pi w^2). Source: integral of the Gaussian.

    Examples
    --------
    >>> round(gaussian_peak_fluence(314.2e-6, 100e-6) / 1e4, 3)
    2.0
    """
    w = positive("beam_radius", beam_radius, "m")
    return plain(2 * not_negative("energy", energy, "J") / (math.pi * w**2))


def airy_encircled_fraction(half_angle: ArrayLike, diameter: ArrayLike, wavelength: ArrayLike) -> Number:
    """Power in the bucket: fraction of the far field of an evenly filled round aperture inside a cone.

    Parameters
    ----------
    half_angle : float or array (...)
        Half angle of the cone about the axis. [rad]
    diameter : float or array, broadcasts
        Diameter of the filled aperture. [m]
    wavelength : float or array, broadcasts
        Wavelength. [m]

    Returns
    -------
    fraction : broadcast shape
        Fraction of the power inside the cone. [-]

    Raises
    ------
    DomainError
        If half_angle is negative, or diameter or wavelength not positive.

    Notes
    -----
    Valid: flat phase, small angles. Not covered: central obstruction, aberration.
    Equation: 1 - J0(v)^2 - J1(v)^2, v = pi D theta/lambda. Source: Rayleigh; textbook.

    Examples
    --------
    >>> round(airy_encircled_fraction(1.2197 * 590e-9 / 0.008, 0.008, 590e-9), 3)
    0.838
    """
    angle = not_negative("half_angle", half_angle, "rad")
    v = math.pi * positive("diameter", diameter, "m") * angle / positive("wavelength", wavelength, "m")
    return plain(1 - j0(v) ** 2 - j1(v) ** 2)


def slit_far_field_fraction(half_angle: ArrayLike, width: ArrayLike, wavelength: ArrayLike) -> Number:
    """Fraction of the far field of an evenly filled long slit within an angle of the axis.

    Parameters
    ----------
    half_angle : float or array (...)
        Angle to either side of the axis. [rad]
    width : float or array, broadcasts
        Width of the slit. [m]
    wavelength : float or array, broadcasts
        Wavelength. [m]

    Returns
    -------
    fraction : broadcast shape
        Fraction of the power between the two angles. [-]

    Raises
    ------
    DomainError
        If half_angle is negative, or width or wavelength not positive.

    Notes
    -----
    Valid: flat phase, small angles; a square aperture has the product of two. Not covered: aberration.
    Equation: (2/pi)(Si(2 v) - sin(v)^2/v), v = pi D theta/lambda. Source: integral of (sin v/v)^2.

    Examples
    --------
    >>> round(slit_far_field_fraction(590e-9 / 0.008, 0.008, 590e-9), 4)
    0.9028
    """
    angle = not_negative("half_angle", half_angle, "rad")
    v = math.pi * positive("width", width, "m") * angle / positive("wavelength", wavelength, "m")
    ripple = np.sin(v) ** 2 / np.where(v > 0, v, 1.0)
    return plain(2 / math.pi * (sici(2 * v)[0] - ripple))
