"""Skin effect: how a fast current keeps to the surface of a lead, what that costs in resistance, and what inductance
it leaves inside the metal.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike
from scipy import constants
from scipy.special import ive

from pulsewright.physics._domain import Number, not_negative, plain, positive

#: A half sine is above a third of its peak for this part of its length.
_THIRD_OF_HALF_SINE = 1.0 - 2.0 * math.asin(1.0 / 3.0) / math.pi
#: Argument above which the closed forms have reached their limit of a thick conductor.
_THICK = 20.0
#: Argument below which a conductor has the resistance and inductance of a steady current, to 1e-8.
_THIN = 1e-2
#: Radius over skin depth above which the impedance of a wire is proportional to it, to 1e-6.
_HUGE = 1e6


def pulse_frequency(width_third: ArrayLike) -> Number:
    """Frequency that stands for a current pulse where skin effect is judged.

    Parameters
    ----------
    width_third : float or array (...)
        Width of the current pulse at a third of its peak. [s]

    Returns
    -------
    frequency : same shape
        Frequency of the sine whose half cycle has that width. [Hz]

    Raises
    ------
    DomainError
        If the width is not positive.

    Notes
    -----
    Valid: a single hump or a slowly damped ringing. Not covered: the steep start, whose skin is thinner.
    Equation: f = (1 - 2 arcsin(1/3) / pi) / (2 t). Source: half sine; that one frequency may stand for the pulse is
    common practice, no source.

    Examples
    --------
    >>> round(pulse_frequency(6.2e-6) / 1e3, 1)   # kHz
    63.2
    """
    return plain(_THIRD_OF_HALF_SINE / (2.0 * positive("width_third", width_third, "s")))


def skin_depth(resistivity: ArrayLike, frequency: ArrayLike, relative_permeability: ArrayLike = 1.0) -> Number:
    """Depth at which a current density has fallen to 1/e of its value on the surface.

    Parameters
    ----------
    resistivity : float or array (...)
        Resistivity of the metal. [ohm*m]
    frequency : float or array, broadcasts
        Frequency of the current. [Hz]
    relative_permeability : float or array, broadcasts
        Relative permeability of the metal; 1 unless it is magnetic. [-]

    Returns
    -------
    skin_depth : broadcast shape
        Skin depth. [m]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: good conductors, steady sine. Not covered: magnetic saturation, which deepens the skin of steel.
    Equation: delta = sqrt(rho / (pi f mu0 mu_r)). Source: textbook, diffusion of a field into a conductor.

    Examples
    --------
    Copper at 1 MHz:

    >>> round(skin_depth(1.68e-8, 1e6) * 1e6, 1)   # um
    65.2
    """
    permeability = constants.mu_0 * positive("relative_permeability", relative_permeability, "-")
    rate = np.pi * positive("frequency", frequency, "Hz") * permeability
    return plain(np.sqrt(positive("resistivity", resistivity, "ohm*m") / rate))


def _wire(wire_radius: np.ndarray, depth: np.ndarray) -> np.ndarray:
    """Internal impedance of a round wire over its resistance to a steady current, complex."""
    skins = wire_radius / depth
    # the scaled functions share their factor, so the ratio does not overflow however thin the skin
    argument = (1.0 + 1.0j) * np.clip(skins, _THIN, _HUGE)
    ratio = 0.5 * argument * ive(0, argument) / ive(1, argument)
    return np.asarray(np.where(skins < _THIN, 1.0 + 0.25j * skins**2, ratio * np.maximum(skins / _HUGE, 1.0)))


def wire_resistance(
    length: ArrayLike,
    wire_radius: ArrayLike,
    resistivity: ArrayLike,
    frequency: ArrayLike,
    relative_permeability: ArrayLike = 1.0,
) -> Number:
    """Resistance of a solid round wire to a fast current.

    Parameters
    ----------
    length : float or array (...)
        Length of the wire. [m]
    wire_radius : float or array, broadcasts
        Radius of the wire. [m]
    resistivity : float or array, broadcasts
        Resistivity of the metal. [ohm*m]
    frequency : float or array, broadcasts
        Frequency of the current. [Hz]
    relative_permeability : float or array, broadcasts
        Relative permeability of the metal. [-]

    Returns
    -------
    resistance : broadcast shape
        Real part of the internal impedance. [ohm]

    Raises
    ------
    DomainError
        If the length is negative or another argument is not positive.

    Notes
    -----
    Valid: straight wire, its return at several diameters. Not covered: proximity of other wires, stranded wire.
    Equation: Z = rho l / (pi a^2) * (k a / 2) I0(k a) / I1(k a), k = (1 + j) / delta, I modified Bessel functions.
    Source: textbook, exact solution for a round wire.

    Examples
    --------
    3 mm copper wire, one metre: 2.4 mohm steady, 12 times that at 1 MHz:

    >>> [round(wire_resistance(1.0, 1.5e-3, 1.68e-8, f) * 1e3, 2) for f in (1e-3, 1e6)]
    [2.38, 27.93]
    """
    radius = positive("wire_radius", wire_radius, "m")
    steady = positive("resistivity", resistivity, "ohm*m") * not_negative("length", length, "m") / (np.pi * radius**2)
    depth = np.asarray(skin_depth(resistivity, frequency, relative_permeability))
    return plain(steady * _wire(radius, depth).real)


def wire_internal_inductance(
    length: ArrayLike,
    wire_radius: ArrayLike,
    resistivity: ArrayLike,
    frequency: ArrayLike,
    relative_permeability: ArrayLike = 1.0,
) -> Number:
    """Inductance of the field inside a solid round wire, which a fast current drives out.

    Parameters
    ----------
    length : float or array (...)
        Length of the wire. [m]
    wire_radius : float or array, broadcasts
        Radius of the wire. [m]
    resistivity : float or array, broadcasts
        Resistivity of the metal. [ohm*m]
    frequency : float or array, broadcasts
        Frequency of the current. [Hz]
    relative_permeability : float or array, broadcasts
        Relative permeability of the metal. [-]

    Returns
    -------
    inductance : broadcast shape
        To add to that outside the surface. [H]

    Raises
    ------
    DomainError
        If the length is negative or another argument is not positive.

    Notes
    -----
    Valid: straight wire, its return at several diameters. Not covered: proximity of other wires, stranded wire.
    Equation: L = Im Z / (2 pi f), Z as for `wire_resistance`; 50 nH/m for a slow current, towards 0 for a fast one.
    Source: textbook, exact solution for a round wire.

    Examples
    --------
    >>> slow, fast = (wire_internal_inductance(1.0, 1.5e-3, 1.68e-8, f) * 1e9 for f in (1.0, 1e6))
    >>> round(slow, 1), round(fast, 1)   # nH
    (50.0, 4.3)
    """
    radius = positive("wire_radius", wire_radius, "m")
    steady = positive("resistivity", resistivity, "ohm*m") * not_negative("length", length, "m") / (np.pi * radius**2)
    hertz = positive("frequency", frequency, "Hz")
    depth = np.asarray(skin_depth(resistivity, hertz, relative_permeability))
    return plain(steady * _wire(radius, depth).imag / (2.0 * np.pi * hertz))


def _sheet(thickness: np.ndarray, depth: np.ndarray) -> tuple[np.ndarray, np.ndarray]:
    """Real and imaginary part of (1 + j) coth((1 + j) t / delta): resistance and reactance of a sheet, skins."""
    twice = 2.0 * thickness / depth
    x = np.clip(twice, _THIN, _THICK)  # both quotients are 1 to 1e-8 from the upper end on
    below = np.cosh(x) - np.cos(x)
    thin = twice < _THIN
    resistive = np.where(thin, 2.0 / np.minimum(twice, _THIN), (np.sinh(x) + np.sin(x)) / below)
    return resistive, np.where(thin, twice / 3.0, (np.sinh(x) - np.sin(x)) / below)


def sheet_resistance(
    length: ArrayLike,
    width: ArrayLike,
    thickness: ArrayLike,
    resistivity: ArrayLike,
    frequency: ArrayLike,
    relative_permeability: ArrayLike = 1.0,
) -> Number:
    """Resistance of a sheet whose current keeps to one face: a strip beside its return, the tube of a coaxial pair.

    Parameters
    ----------
    length : float or array (...)
        Length along the current. [m]
    width : float or array, broadcasts
        Width across the current; the circumference of a tube. [m]
    thickness : float or array, broadcasts
        Thickness; infinity for a thick part. [m]
    resistivity : float or array, broadcasts
        Resistivity of the metal. [ohm*m]
    frequency : float or array, broadcasts
        Frequency of the current. [Hz]
    relative_permeability : float or array, broadcasts
        Relative permeability of the metal. [-]

    Returns
    -------
    resistance : broadcast shape
        Resistance of one sheet; a pair of strips has twice as much. [ohm]

    Raises
    ------
    DomainError
        If the length is negative or another argument is not positive.

    Notes
    -----
    Valid: field on one face only, width large against thickness or, for a tube, radius large against thickness.
    Not covered: crowding at the edges of a strip.
    Equation: R = rho l / (w delta) (sinh x + sin x) / (cosh x - cos x), x = 2 t / delta.
    Source: textbook, one-dimensional diffusion of a field into a sheet.

    Examples
    --------
    1 mm copper, 50 mm wide, one metre: 0.34 mohm steady, 5.2 mohm at 1 MHz:

    >>> [round(sheet_resistance(1.0, 50e-3, 1e-3, 1.68e-8, f) * 1e3, 2) for f in (1.0, 1e6)]
    [0.34, 5.15]
    """
    depth = np.asarray(skin_depth(resistivity, frequency, relative_permeability))
    resistive, _ = _sheet(positive("thickness", thickness, "m"), depth)
    metres = not_negative("length", length, "m")
    skin = positive("resistivity", resistivity, "ohm*m") * metres / (positive("width", width, "m") * depth)
    return plain(skin * resistive)


def sheet_internal_inductance(
    length: ArrayLike,
    width: ArrayLike,
    thickness: ArrayLike,
    resistivity: ArrayLike,
    frequency: ArrayLike,
    relative_permeability: ArrayLike = 1.0,
) -> Number:
    """Inductance of the field inside a sheet whose current keeps to one face.

    Parameters
    ----------
    length : float or array (...)
        Length along the current. [m]
    width : float or array, broadcasts
        Width across the current; the circumference of a tube. [m]
    thickness : float or array, broadcasts
        Thickness; infinity for a thick part. [m]
    resistivity : float or array, broadcasts
        Resistivity of the metal. [ohm*m]
    frequency : float or array, broadcasts
        Frequency of the current. [Hz]
    relative_permeability : float or array, broadcasts
        Relative permeability of the metal. [-]

    Returns
    -------
    inductance : broadcast shape
        To add to that between the faces; a pair of strips has twice as much. [H]

    Raises
    ------
    DomainError
        If the length is negative or another argument is not positive.

    Notes
    -----
    Valid: field on one face only, width large against thickness or, for a tube, radius large against thickness.
    Not covered: crowding at the edges of a strip.
    Equation: L = rho l / (w delta) (sinh x - sin x) / (cosh x - cos x) / (2 pi f), x = 2 t / delta; mu0 l t / (3 w)
    for a slow current, towards 0 for a fast one.
    Source: textbook, one-dimensional diffusion of a field into a sheet.

    Examples
    --------
    >>> [round(sheet_internal_inductance(1.0, 50e-3, 1e-3, 1.68e-8, f) * 1e9, 2) for f in (1.0, 1e6)]   # nH
    [8.38, 0.82]
    """
    hertz = positive("frequency", frequency, "Hz")
    depth = np.asarray(skin_depth(resistivity, hertz, relative_permeability))
    _, reactive = _sheet(positive("thickness", thickness, "m"), depth)
    metres = not_negative("length", length, "m")
    skin = positive("resistivity", resistivity, "ohm*m") * metres / (positive("width", width, "m") * depth)
    return plain(skin * reactive / (2.0 * np.pi * hertz))
