"""How far a beam stays hazardous, and how dense eyewear must be."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, not_negative, plain, positive, within
from pulsewright.physics.exposure.permissible import EYE_APERTURE


def corneal_exposure(energy: ArrayLike, diameter: ArrayLike) -> Number:
    """Radiant exposure of the eye by a beam that hits it, averaged over the limiting aperture.

    Parameters
    ----------
    energy : float or array (...)
        Energy of the pulse. [J]
    diameter : float or array, broadcasts
        1/e diameter of the beam; taken as 7 mm when smaller. [m]

    Returns
    -------
    exposure : broadcast shape
        Radiant exposure. [J/m^2]

    Raises
    ------
    DomainError
        If energy is negative or diameter not positive.

    Notes
    -----
    Valid: 400 to 1400 nm, even beam. Not covered: optical aids, which gather more; hot spots wider than 7 mm.
    Equation: Q/(pi d^2/4), d not below 7 mm. Source: limiting aperture of IEC 60825-1, from memory.

    Examples
    --------
    >>> round(corneal_exposure(1.0, 0.002))
    25984
    """
    d = np.maximum(positive("diameter", diameter, "m"), EYE_APERTURE)
    return plain(not_negative("energy", energy, "J") / (math.pi * d**2 / 4))


def optical_density(exposure: ArrayLike, limit: ArrayLike) -> Number:
    """Least optical density that brings an exposure down to its limit.

    Parameters
    ----------
    exposure : float or array (...)
        Radiant exposure without eyewear. [J/m^2]
    limit : float or array, broadcasts
        Maximum permissible exposure. [J/m^2]

    Returns
    -------
    optical_density : broadcast shape
        Optical density; 0 where the limit is kept without. [-]

    Raises
    ------
    DomainError
        If exposure is negative or limit not positive.

    Notes
    -----
    Valid: attenuation only; eyewear must also survive the beam, see `eyewear_scale_number`. Not covered: bleaching of
    absorbers in short pulses.
    Equation: log10(H/MPE). Source: definition.

    Examples
    --------
    >>> round(optical_density(12.5e4, 5e-2), 1)
    6.4
    """
    ratio = not_negative("exposure", exposure, "J/m^2") / positive("limit", limit, "J/m^2")
    return plain(np.log10(np.maximum(ratio, 1.0)))


def nominal_hazard_distance(
    energy: ArrayLike, limit: ArrayLike, divergence: ArrayLike, diameter: ArrayLike = 0.0
) -> Number:
    """Distance at which a diverging beam has thinned to the permissible exposure.

    Parameters
    ----------
    energy : float or array (...)
        Energy of the pulse; or power, with a limit in W/m^2. [J]
    limit : float or array, broadcasts
        Maximum permissible exposure. [J/m^2]
    divergence : float or array, broadcasts
        Full 1/e divergence angle. [rad]
    diameter : float or array, broadcasts
        1/e diameter where the beam leaves the laser. [m]

    Returns
    -------
    distance : broadcast shape
        Nominal ocular hazard distance; 0 where the limit is kept at once. [m]

    Raises
    ------
    DomainError
        If energy or diameter is negative, or limit or divergence not positive.

    Notes
    -----
    Valid: vacuum, far field. Not covered: air, windows, mirrors on the way, optical aids.
    Equation: (sqrt(4 Q/(pi MPE)) - a)/phi. Source: IEC 60825-1 and ANSI Z136.1, from memory.

    Examples
    --------
    >>> round(nominal_hazard_distance(1.0, 2e-3, 2e-3) / 1e3, 1)
    12.6
    """
    ratio = not_negative("energy", energy, "J") / positive("limit", limit, "J/m^2")
    wide = np.sqrt(4 * ratio / math.pi) - not_negative("diameter", diameter, "m")
    return plain(np.maximum(wide, 0.0) / positive("divergence", divergence, "rad"))


def lens_hazard_distance(energy: ArrayLike, limit: ArrayLike, focal_length: ArrayLike, diameter: ArrayLike) -> Number:
    """Distance behind the focus of a lens at which the beam has thinned to the permissible exposure.

    Parameters
    ----------
    energy : float or array (...)
        Energy of the pulse; or power, with a limit in W/m^2. [J]
    limit : float or array, broadcasts
        Maximum permissible exposure. [J/m^2]
    focal_length : float or array, broadcasts
        Focal length of the lens. [m]
    diameter : float or array, broadcasts
        1/e diameter of the beam on the lens. [m]

    Returns
    -------
    distance : broadcast shape
        Hazard distance. [m]

    Raises
    ------
    DomainError
        If energy is negative or another argument not positive.

    Notes
    -----
    Valid: divergence behind the lens much larger than the beam's own. Not covered: air, optical aids.
    Equation: (f/b) sqrt(4 Q/(pi MPE)). Source: ANSI Z136.1, from memory.

    Examples
    --------
    >>> round(lens_hazard_distance(100.0, 16.0, 25.4e-3, 6.3e-3), 1)
    11.4
    """
    ratio = not_negative("energy", energy, "J") / positive("limit", limit, "J/m^2")
    opening = positive("focal_length", focal_length, "m") / positive("diameter", diameter, "m")
    return plain(opening * np.sqrt(4 * ratio / math.pi))


def diffuse_hazard_distance(
    energy: ArrayLike, limit: ArrayLike, reflectivity: ArrayLike = 1.0, angle: ArrayLike = 0.0
) -> Number:
    """Distance from a matt surface at which its scattered light keeps to the permissible exposure.

    Parameters
    ----------
    energy : float or array (...)
        Energy of the pulse on the surface; or power, with a limit in W/m^2. [J]
    limit : float or array, broadcasts
        Maximum permissible exposure, of a small source. [J/m^2]
    reflectivity : float or array, broadcasts
        Fraction of the light scattered. [-]
    angle : float or array, broadcasts
        Viewing angle from the normal of the surface. [rad]

    Returns
    -------
    distance : broadcast shape
        Hazard distance. [m]

    Raises
    ------
    DomainError
        If energy is negative, limit not positive, reflectivity outside 0 to 1, or angle outside 0 to pi/2.

    Notes
    -----
    Valid: Lambert surface, spot small against the distance. Not covered: gloss; the relief that a large spot gives.
    Equation: sqrt(rho Q cos(theta)/(pi MPE)). Source: ANSI Z136.1, from memory.

    Examples
    --------
    >>> round(diffuse_hazard_distance(1.0, 2e-3), 1)
    12.6
    """
    ratio = not_negative("energy", energy, "J") / positive("limit", limit, "J/m^2")
    rho = within("reflectivity", reflectivity, 0.0, 1.0, "-")
    tilt = np.cos(within("angle", angle, 0.0, math.pi / 2, "rad"))
    return plain(np.sqrt(rho * ratio * tilt / math.pi))
