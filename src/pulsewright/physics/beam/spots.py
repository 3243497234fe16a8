"""What burn spots say: divergence from two of them, waist and threshold from their growth with energy."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.errors import DomainError
from pulsewright.physics._domain import Number, not_negative, plain, positive, within


def divergence_from_two_spots(
    first_diameter: ArrayLike, second_diameter: ArrayLike, separation: ArrayLike
) -> tuple[Number, Number]:
    """Interval that holds the full divergence angle of a beam of which two spots are known.

    Parameters
    ----------
    first_diameter : float or array (...)
        Beam diameter at the first plane. [m]
    second_diameter : float or array, broadcasts
        Beam diameter at the second plane, by the same definition. [m]
    separation : float or array, broadcasts
        Distance between the planes, nothing with power between them. [m]

    Returns
    -------
    divergence_low : broadcast shape
        The usual quotient, right only when both planes lie far from the waist on one side of it. [rad]
    divergence_high : broadcast shape
        Waist between the planes, both far from it. [rad]

    Raises
    ------
    DomainError
        If a diameter or separation is not positive.

    Notes
    -----
    Valid: any position of the waist. Not covered: a burn threshold that makes the spots smaller than the beam.
    Equation: d = sqrt(d0^2 + Theta^2 (z - z0)^2) gives |d2 - d1|/s <= Theta <= (d1 + d2)/s.
    Source: the quotient is from memory as the rule of the trade; the bounds follow from the hyperbola.

    Examples
    --------
    >>> [round(angle, 6) for angle in divergence_from_two_spots(0.008, 0.010, 2.0)]
    [0.001, 0.009]
    """
    d1, d2 = positive("first_diameter", first_diameter, "m"), positive("second_diameter", second_diameter, "m")
    s = positive("separation", separation, "m")
    return plain(np.abs(d2 - d1) / s), plain((d1 + d2) / s)


def divergence_from_focal_spot(spot_diameter: ArrayLike, focal_length: ArrayLike) -> Number:
    """Full divergence angle from the spot in the focal plane of a lens.

    Parameters
    ----------
    spot_diameter : float or array (...)
        Beam diameter in the focal plane. [m]
    focal_length : float or array, broadcasts
        Focal length of the lens. [m]

    Returns
    -------
    divergence : broadcast shape
        Full divergence angle in front of the lens. [rad]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: spot in the focal plane, wherever the waist is. Not covered: aberration of the lens.
    Equation: Theta = d_f/f. Source: second moments (ISO 11146-1); from memory.

    Examples
    --------
    >>> divergence_from_focal_spot(0.001, 0.5)
    0.002
    """
    return plain(positive("spot_diameter", spot_diameter, "m") / positive("focal_length", focal_length, "m"))


def burn_spot_diameter(energy: ArrayLike, threshold_energy: ArrayLike, beam_radius: ArrayLike) -> Number:
    """Diameter of the mark that a Gaussian pulse leaves on a target of known threshold.

    Parameters
    ----------
    energy : float or array (...)
        Energy of the pulse. [J]
    threshold_energy : float or array, broadcasts
        Energy at which a mark just appears. [J]
    beam_radius : float or array, broadcasts
        1/e^2 radius of the beam on the target. [m]

    Returns
    -------
    diameter : broadcast shape
        Diameter of the mark; 0 below threshold. [m]

    Raises
    ------
    DomainError
        If energy is negative, or threshold_energy or beam_radius not positive.

    Notes
    -----
    Valid: Gaussian profile, sharp threshold. Not covered: heat spreading, incubation, ring-shaped beams.
    Equation: D^2 = 2 w^2 ln(E/E_th). Source: Liu, Opt. Lett. 7, 196 (1982).

    Examples
    --------
    >>> round(burn_spot_diameter(1.5, 1.0, 100e-6) * 1e6, 2)
    90.05
    """
    ratio = not_negative("energy", energy, "J") / positive("threshold_energy", threshold_energy, "J")
    w = positive("beam_radius", beam_radius, "m")
    return plain(w * np.sqrt(2 * np.log(np.maximum(ratio, 1.0))))


def radius_and_threshold_from_burns(energy: ArrayLike, diameter: ArrayLike) -> tuple[float, float]:
    """Beam radius and threshold energy from mark diameters at several energies (the D-squared method).

    Parameters
    ----------
    energy : array (mark)
        Energies, at least two different ones. [J]
    diameter : array (mark)
        Diameters of the marks. [m]

    Returns
    -------
    beam_radius : float
        1/e^2 radius of the beam on the target. [m]
    threshold_energy : float
        Energy at which a mark just appears. [J]

    Raises
    ------
    DomainError
        If an entry is not positive, fewer than two energies differ, or the marks do not grow with energy.

    Notes
    -----
    Valid: Gaussian profile; biased for beams with Airy rings (Garcia-Lechuga and Grojo, Open Res. Europe 1:7, 2021).
    Not covered: weights, uncertainty of the answer.
    Equation: least squares of D^2 = 2 w^2 ln(E/E_th). Source: Liu, Opt. Lett. 7, 196 (1982).

    Examples
    --------
    >>> w, e = radius_and_threshold_from_burns([471.3e-6, 1256.8e-6], [90.05e-6, 166.51e-6])
    >>> round(w * 1e6, 1), round(e * 1e6, 1)
    (100.0, 314.2)
    """
    e = np.atleast_1d(positive("energy", energy, "J"))
    d = np.atleast_1d(positive("diameter", diameter, "m"))
    if e.shape != d.shape or len(np.unique(e)) < 2:
        raise DomainError(
            f"{len(e)} energies and {len(d)} diameters",
            argument="energy",
            allowed="as many of each, at least two energies different",
            next_step="measure marks at more energies",
        )
    x = np.log(e)
    slope = float(np.sum((x - x.mean()) * d**2) / np.sum((x - x.mean()) ** 2))
    if slope <= 0:
        raise DomainError(
            "the marks do not grow with energy",
            argument="diameter",
            allowed="diameters that grow with energy",
            next_step="check which mark belongs to which energy",
        )
    return math.sqrt(slope / 2), math.exp(float(x.mean()) - float(np.mean(d**2)) / slope)


def incubated_threshold(fluence: ArrayLike, shots: ArrayLike, incubation_coefficient: ArrayLike) -> Number:
    """Damage threshold after several shots on one place.

    Parameters
    ----------
    fluence : float or array (...)
        Threshold of a single shot. [J/m^2]
    shots : float or array, broadcasts
        Number of shots on the same place. [-]
    incubation_coefficient : float or array, broadcasts
        1 where shots do not accumulate, below 1 where they do. [-]

    Returns
    -------
    threshold : broadcast shape
        Threshold for that number of shots. [J/m^2]

    Raises
    ------
    DomainError
        If fluence is not positive, shots below 1, or the coefficient outside 0 to 1.

    Notes
    -----
    Valid: empirical. Not covered: conditioning, a floor for many shots.
    Equation: F_1 N^(S-1). Source: quoted from Lenzner on a secondary page.

    Examples
    --------
    >>> round(incubated_threshold(1.0, 100, 0.9), 4)
    0.631
    """
    n = within("shots", shots, 1.0, math.inf, "-")
    s = within("incubation_coefficient", incubation_coefficient, 0.0, 1.0, "-")
    return plain(positive("fluence", fluence, "J/m^2") * n ** (s - 1))
