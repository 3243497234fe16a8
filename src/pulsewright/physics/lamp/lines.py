"""Strong lines of an atom on top of its continuum, smeared over spectral bands the way their light gets out."""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import constants

from pulsewright.physics.lamp._saha import Levels, level_sum

Float = NDArray[np.float64]

#: e^2 / (4 eps0 m c): frequency integral of the cross-section of a line of oscillator strength 1. [m^2/s]
LINE_INTEGRAL = constants.e**2 / (4 * constants.epsilon_0 * constants.m_e * constants.c)
#: Electron density at which widths are quoted. [1/m^3]
WIDTH_DENSITY = 1e23
#: Width that is left without electrons: Doppler, resonance and neutral broadening together; from memory. [m]
LEAST_WIDTH = 1e-11
#: Distances from the centre of a line at which it is sampled, and how many on either side. [m]
_NEAREST, _FARTHEST, _SIDE = 2e-12, 4e-7, 60


class Line(NamedTuple):
    """A line: vacuum `wavelength` [m], absorption `oscillator_strength`, `weight` and `energy` [J] of its lower level.

    `width`: full width at half maximum at 1e23 electrons per m3, in proportion to their density. [m]
    """

    wavelength: float
    oscillator_strength: float
    weight: float
    energy: float
    width: float


def line_profile(wavelength: Float, centre: float, width: Float) -> Float:
    """Lorentzian per wavelength, of unit area.

    Parameters
    ----------
    wavelength : array (W,)
        Where it is wanted. [m]
    centre : float
        Wavelength at which it peaks. [m]
    width : array (N,)
        Full widths at half maximum. [m]

    Returns
    -------
    profile : array (N, W)
        Share of the line per wavelength. [1/m]

    Notes
    -----
    Valid: lines widened by electrons (impact approximation). Not covered: shift, asymmetry by ions, Doppler core.
    Equation: (w / 2 pi) / ((lambda - lambda_0)^2 + (w / 2)^2). Source: Griem, Plasma Spectroscopy (1964), from memory.

    Examples
    --------
    >>> round(float(line_profile(np.array([823e-9]), 823e-9, np.array([1e-9]))[0, 0]) * 1e-9, 4)   # 2 / (pi w)
    0.6366
    """
    away = np.asarray(wavelength) - centre
    half = 0.5 * np.asarray(width)[:, None]
    return np.asarray(half / np.pi / (away**2 + half**2))


def line_absorption(
    wavelength: Float,
    temperature: Float,
    electron_density: Float,
    atom_density: Float,
    lines: Sequence[Line],
    levels: Levels,
) -> Float:
    """Absorption coefficient of lines, stimulated emission taken off.

    Parameters
    ----------
    wavelength : array (W,)
        Vacuum wavelengths. [m]
    temperature : array (N,)
        Plasma temperature. [K]
    electron_density : array (N,)
        Free electrons per volume. [1/m^3]
    atom_density : array (N,)
        Neutral atoms per volume. [1/m^3]
    lines : sequence of Line
        Lines of that atom.
    levels : level list
        Of the atom, for its partition function.

    Returns
    -------
    absorption : array (N, W)
        Of all lines together. [1/m]

    Notes
    -----
    Valid: levels populated as in equilibrium, widths in proportion to the electron density.
    Not covered: merging of the lower level's lines with the continuum above some 1e25 electrons per m3.
    Equation: e^2 / (4 eps0 m c) f n_l phi (lambda^2 / c) (1 - exp(-h c / (lambda k T))), n_l = n_a g exp(-E / kT) / U.
    Source: Griem, Plasma Spectroscopy (1964), from memory.

    Examples
    --------
    >>> line = Line(823e-9, 1.0, 5.0, 0.0, 1e-9)
    >>> grid = np.linspace(800e-9, 846e-9, 20001)
    >>> k = line_absorption(grid, np.array([3e3]), np.array([1e23]), np.array([1e20]), [line], [(5.0, 0.0)])
    >>> area = np.trapezoid(k[0] * constants.c / grid**2, grid)
    >>> bool(abs(area / (LINE_INTEGRAL * 1e20) - 1) < 0.03)   # all but the far wings
    True
    """
    kt = constants.k * temperature
    atoms = atom_density / level_sum(temperature, levels)
    total = np.zeros((len(temperature), len(wavelength)))
    for line in lines:
        width = np.maximum(line.width * electron_density / WIDTH_DENSITY, LEAST_WIDTH)
        lower = (
            atoms
            * line.weight
            * np.exp(-line.energy / kt)
            * -np.expm1(-constants.h * constants.c / line.wavelength / kt)
        )
        area = LINE_INTEGRAL * line.oscillator_strength * lower * line.wavelength**2 / constants.c
        total += area[:, None] * line_profile(wavelength, line.wavelength, width)
    return total


def smeared_absorption(
    centre: Float,
    width: Float,
    temperature: Float,
    electron_density: Float,
    atom_density: Float,
    lines: Sequence[Line],
    levels: Levels,
    chord: float,
) -> Float:
    """Absorption coefficient per band that lets out as much light, over a chord, as the lines inside the band do.

    Parameters
    ----------
    centre : array (L,)
        Band centres. [m]
    width : array (L,)
        Band widths. [m]
    temperature : array (N,)
        Plasma temperature. [K]
    electron_density : array (N,)
        Free electrons per volume. [1/m^3]
    atom_density : array (N,)
        Neutral atoms per volume. [1/m^3]
    lines : sequence of Line
        Lines of that atom.
    levels : level list
        Of the atom.
    chord : float
        Length of plasma that the light crosses. [m]

    Returns
    -------
    absorption : array (N, L)
        To be added to the continuum's. [1/m]

    Notes
    -----
    Valid: exact for that chord; a continuum that is even inside a band.
    Not covered: other chords: a thinner arc lets out relatively more of a line that is black in its core.
    Equation: k = -ln(mean of exp(-k_lines s) over the band) / s. Source: definition.

    Examples
    --------
    >>> black = Line(823e-9, 1.0, 5.0, 0.0, 1e-10)
    >>> args = np.array([3e3]), np.array([1e23]), np.array([1e28]), [black], [(5.0, 0.0)]
    >>> thin = smeared_absorption(np.array([823e-9]), np.array([50e-9]), *args, 1e-3)[0, 0]
    >>> bool(thin < 1e-3 * line_absorption(np.array([823e-9]), *args).max())   # not the mean
    True
    """
    edges = np.concatenate([centre - width / 2, centre[-1:] + width[-1:] / 2])
    steps = np.geomspace(_NEAREST, _FARTHEST, _SIDE)
    places = [line.wavelength + sign * steps for line in lines for sign in (-1.0, 1.0)]
    grid = np.unique(np.concatenate([*places, [line.wavelength for line in lines], edges]))
    grid = grid[(grid >= edges[0]) & (grid <= edges[-1])]
    taken = -np.expm1(-chord * line_absorption(grid, temperature, electron_density, atom_density, lines, levels))
    parts = 0.5 * (taken[:, 1:] + taken[:, :-1]) * np.diff(grid)
    total = np.concatenate([np.zeros((len(parts), 1)), np.cumsum(parts, axis=1)], axis=1)
    at_edges = total[:, np.searchsorted(grid, edges)]
    mean = np.clip(np.diff(at_edges, axis=1) / width, 0.0, 1.0 - 1e-15)
    return np.asarray(-np.log1p(-mean) / chord)
