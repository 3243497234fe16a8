"""Inductance of the shapes a discharge loop is made of."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike
from scipy import constants

from pulsewright.physics._choice import one_of
from pulsewright.physics._domain import Number, a_number, not_negative, plain, positive, refuse

#: 1.75 for a current spread evenly over the wire, 2 for one on its skin.
RING_TERMS = {"even": 1.75, "skin": 2.0}
_PER_LENGTH = constants.mu_0 / (2.0 * np.pi)


def _log_ratio(outer: np.ndarray, inner: np.ndarray, argument: str) -> np.ndarray:
    shown, wrong = np.broadcast_arrays(outer, outer <= inner)
    refuse(argument, shown, wrong, "larger than the inner one", "m")
    return np.asarray(np.log(outer / inner))


def coaxial_inductance(length: ArrayLike, inner_diameter: ArrayLike, outer_diameter: ArrayLike) -> Number:
    """Inductance of a coaxial pair with its current on the facing surfaces.

    Parameters
    ----------
    length : float or array (...)
        Length of the pair. [m]
    inner_diameter : float or array, broadcasts
        Outside diameter of the inner conductor. [m]
    outer_diameter : float or array, broadcasts
        Inside diameter of the outer conductor. [m]

    Returns
    -------
    inductance : broadcast shape
        Inductance of the pair. [H]

    Raises
    ------
    DomainError
        If a diameter is not positive or the outer one is not larger.

    Notes
    -----
    Valid: long against the diameter, fast pulses (skin depth small). Not covered: end connections.
    Equation: L = (mu0 / 2 pi) l ln(b / a), 200 nH/m times the logarithm. Source: textbook.

    Examples
    --------
    >>> round(coaxial_inductance(1.0, 5.10e-3, 10.5e-3) * 1e9, 2)   # nH
    144.43
    """
    inner = positive("inner_diameter", inner_diameter, "m")
    logarithm = _log_ratio(positive("outer_diameter", outer_diameter, "m"), inner, "outer_diameter")
    return plain(_PER_LENGTH * not_negative("length", length, "m") * logarithm)


def solid_core_inductance(length: ArrayLike) -> Number:
    """Inductance inside a solid round conductor that a slow current fills evenly.

    Parameters
    ----------
    length : float or array (...)
        Length of the conductor. [m]

    Returns
    -------
    inductance : same shape
        To add to that between the surfaces. [H]

    Raises
    ------
    DomainError
        If the length is negative.

    Notes
    -----
    Valid: skin depth large against the radius. Not covered: fast pulses, where it vanishes.
    Equation: L = mu0 l / (8 pi), 50 nH/m whatever the radius. Source: textbook.

    Examples
    --------
    >>> round(solid_core_inductance(1.0) * 1e9, 3)   # nH
    50.0
    """
    return plain(_PER_LENGTH / 4.0 * not_negative("length", length, "m"))


def strip_inductance(length: ArrayLike, width: ArrayLike, gap: ArrayLike) -> Number:
    """Inductance of two wide parallel strips that carry the current there and back.

    Parameters
    ----------
    length : float or array (...)
        Length of the pair. [m]
    width : float or array, broadcasts
        Width of each strip. [m]
    gap : float or array, broadcasts
        Distance between the facing surfaces. [m]

    Returns
    -------
    inductance : broadcast shape
        Inductance of the pair. [H]

    Raises
    ------
    DomainError
        If length or gap is negative, or the width is not above ten gaps (fringing).

    Notes
    -----
    Valid: width large against the gap. Not covered: fringing, which lowers it by about 14 % at w = 10 s (from memory).
    Equation: L = mu0 l s / w, once and not twice. Source: textbook; forum page on strip lines.

    Examples
    --------
    >>> round(strip_inductance(1.0, 10e-3, 0.1e-3) * 1e9, 2)   # nH
    12.57
    """
    spacing = not_negative("gap", gap, "m")
    breadth = positive("width", width, "m")
    shown, wrong = np.broadcast_arrays(breadth, breadth < 10.0 * spacing)
    refuse("width", shown, wrong, "at least ten times the gap", "m")
    return plain(constants.mu_0 * not_negative("length", length, "m") * spacing / breadth)


def strip_line_impedance(width: ArrayLike, gap: ArrayLike) -> Number:
    """Wave impedance of two wide parallel strips in air or vacuum.

    Parameters
    ----------
    width : float or array (...)
        Width of each strip. [m]
    gap : float or array, broadcasts
        Distance between the facing surfaces. [m]

    Returns
    -------
    line_impedance : broadcast shape
        Wave impedance. [ohm]

    Raises
    ------
    DomainError
        If the gap is negative or the width is not above ten gaps.

    Notes
    -----
    Valid: width large against the gap, no solid dielectric. Not covered: fringing.
    Equation: Z = sqrt(mu0 / eps0) s / w = 376.73 s / w. Source: textbook.

    Examples
    --------
    >>> round(strip_line_impedance(10e-3, 0.1e-3), 3)
    3.767
    """
    return plain(constants.c * np.asarray(strip_inductance(1.0, width, gap)))


def cable_inductance(length: ArrayLike, line_impedance: ArrayLike, velocity_factor: ArrayLike) -> Number:
    """Inductance of a cable from its wave impedance and velocity factor.

    Parameters
    ----------
    length : float or array (...)
        Length of the cable. [m]
    line_impedance : float or array, broadcasts
        Wave impedance. [ohm]
    velocity_factor : float or array, broadcasts
        Speed of a wave on it over that of light. [-]

    Returns
    -------
    inductance : broadcast shape
        Inductance with the far end shorted, pulse long against the transit. [H]

    Raises
    ------
    DomainError
        If the length is negative, or another argument is not positive.

    Notes
    -----
    Valid: lossless line. Not covered: pulses as short as the transit time.
    Equation: L = l Z / (f c). Source: textbook, transmission line.

    Examples
    --------
    >>> round(cable_inductance(1.0, 50.0, 0.66) * 1e9, 1)   # nH, RG-58 type
    252.7
    """
    speed = constants.c * positive("velocity_factor", velocity_factor, "-")
    return plain(not_negative("length", length, "m") * positive("line_impedance", line_impedance, "ohm") / speed)


def ring_inductance(ring_radius: ArrayLike, wire_radius: ArrayLike, current_distribution: str = "skin") -> Number:
    """Inductance of a ring of round wire.

    Parameters
    ----------
    ring_radius : float or array (...)
        Radius of the ring to the middle of the wire. [m]
    wire_radius : float or array, broadcasts
        Radius of the wire. [m]
    current_distribution : {"even", "skin"}
        Whether the current fills the wire (slow) or runs on its skin (fast).

    Returns
    -------
    inductance : broadcast shape
        Inductance of the ring. [H]

    Raises
    ------
    DomainError
        If a radius is not positive, or the wire is not thin against the ring (a tenth).

    Notes
    -----
    Valid: wire radius below a tenth of the ring's. Not covered: several turns; a loop that is not round.
    Equation: L = mu0 R (ln(8 R / a) - 1.75), 2 in place of 1.75 for a current on the skin.
    Source: Rosa and Grover, NBS Bulletin 8 (1912) (from memory); forum page for the 1.75.

    Examples
    --------
    Rosa and Grover's ring, R = 25 cm and a = 0.05 cm, 654.40 pi cm (1 cm = 1 nH):

    >>> round(ring_inductance(0.25, 0.0005, "even") * 1e6, 4)   # uH
    2.0559
    """
    term = RING_TERMS[one_of("current_distribution", current_distribution, RING_TERMS)]
    ring = positive("ring_radius", ring_radius, "m")
    wire = positive("wire_radius", wire_radius, "m")
    shown, wrong = np.broadcast_arrays(wire, wire > 0.1 * ring)
    refuse("wire_radius", shown, wrong, "at most a tenth of the ring radius", "m")
    return plain(constants.mu_0 * ring * (np.log(8.0 * ring / wire) - term))


def arc_inductance(arc_length: ArrayLike, arc_radius: ArrayLike, return_radius: ArrayLike) -> Number:
    """Inductance of an arc with a coaxial return conductor.

    Parameters
    ----------
    arc_length : float or array (...)
        Length of the arc. [m]
    arc_radius : float or array, broadcasts
        Radius of the arc, which grows during the pulse. [m]
    return_radius : float or array, broadcasts
        Radius of the return conductor. [m]

    Returns
    -------
    inductance : broadcast shape
        Inductance of arc and return. [H]

    Raises
    ------
    DomainError
        If a radius is not positive, or the return is not larger than the arc.

    Notes
    -----
    Valid: current on the surface of the arc, return all round it. Not covered: a return on one side only, which
    gives more.
    Equation: L = 0.2 uH/m l ln(b / a). Source: textbook, coaxial pair.

    Examples
    --------
    >>> round(arc_inductance(0.15, 1e-3, 20e-3) * 1e9, 2)   # nH
    89.87
    """
    inner = positive("arc_radius", arc_radius, "m")
    logarithm = _log_ratio(positive("return_radius", return_radius, "m"), inner, "return_radius")
    return plain(_PER_LENGTH * not_negative("arc_length", arc_length, "m") * logarithm)


def arc_growth_resistance(arc_length: ArrayLike, arc_radius: ArrayLike, arc_growth_speed: ArrayLike) -> Number:
    """Rate of change of the inductance of a growing arc: a negative resistance in the circuit.

    Parameters
    ----------
    arc_length : float or array (...)
        Length of the arc. [m]
    arc_radius : float or array, broadcasts
        Radius of the arc. [m]
    arc_growth_speed : float or array, broadcasts
        Rate of change of that radius. [m/s]

    Returns
    -------
    resistance : broadcast shape
        dL/dt, negative while the arc grows. [ohm]

    Raises
    ------
    DomainError
        If the radius is not positive or the length is negative.

    Notes
    -----
    Valid: coaxial return at a fixed radius. Not covered: energy that the growing arc takes from the field.
    Equation: dL/dt = -(mu0 / 2 pi) l a' / a. Source: algebra from L = (mu0 / 2 pi) l ln(b / a); that the term can
    outweigh the external circuit: abstract "The plasma z-pinch effect on the I-V characteristic of fast discharge
    flash tubes".

    Examples
    --------
    >>> round(arc_growth_resistance(0.15, 1e-3, 1e3), 4)
    -0.03
    """
    speed = a_number("arc_growth_speed", arc_growth_speed, "m/s") / positive("arc_radius", arc_radius, "m")
    return plain(-_PER_LENGTH * not_negative("arc_length", arc_length, "m") * speed)
