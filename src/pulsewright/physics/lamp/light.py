"""Continuum light of a lamp plasma: absorption coefficient and exitance of a column."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import constants

Float = NDArray[np.float64]

#: Ratio of the effective chord to the diameter of a radiating column; 0.9 to 1 is quoted (PHYSICS: 0.95, from memory).
CHORD_FACTOR = 0.95


def continuum_absorption(
    wavelength: ArrayLike,
    temperature: ArrayLike,
    electron_density: ArrayLike,
    charge_square_density: ArrayLike,
    edge_energy: float,
    biberman_factor: float = 1.5,
) -> Any:
    """Absorption coefficient of the free-free and free-bound continuum.

    Parameters
    ----------
    wavelength : float or array (...)
        Vacuum wavelength. [m]
    temperature : float or array, broadcasts
        Plasma temperature. [K]
    electron_density : float or array, broadcasts
        Free electrons per volume. [1/m^3]
    charge_square_density : float or array, broadcasts
        Sum of ion densities times charge squared. [1/m^3]
    edge_energy : float
        Photo-ionisation energy of the lowest closely spaced manifold, above which recombination adds no more. [J]
    biberman_factor : float
        Departure of the real atom from a hydrogenic one, taken the same at every wavelength; range 1 to 2.5. [-]

    Returns
    -------
    absorption : broadcast shape
        Absorption coefficient with stimulated emission taken off. [1/m]

    Notes
    -----
    Valid: wavelengths from about 0.2 to 2 um in a singly to doubly ionised plasma.
    Not covered: lines (the near-infrared lines of xenon), bound-free from the ground level, molecular bands.
    Equation: 3.69e-2 xi n_e sum(n z^2) T^-0.5 nu^-3 exp(min(h nu, E_edge) / kT) (1 - exp(-h nu / kT)), SI.
    Source: Kramers-Unsoeld; Rybicki and Lightman, Radiative Processes in Astrophysics (1979), eq. 5.18a for the
    free-free coefficient 3.7e8 cgs (from memory).

    Examples
    --------
    >>> ff = continuum_absorption(1e-3, 1e4, 1e20, 1e20, 0.0, 1.0)   # radio waves: free-free, Rayleigh-Jeans
    >>> nu = constants.c / 1e-3
    >>> bool(abs(ff / (0.0177e-10 * 1e20 * 1e20 / (1e4**1.5 * nu**2)) - 1) < 0.01)   # same book, eq. 5.19b
    True
    """
    frequency = constants.c / np.asarray(wavelength, dtype=float)
    temperature = np.asarray(temperature, dtype=float)
    photon = constants.h * frequency
    kt = constants.k * temperature
    pairs = np.asarray(electron_density) * np.asarray(charge_square_density)
    boost = np.exp(np.minimum(photon, edge_energy) / kt)
    value = 3.69e-2 * biberman_factor * pairs / np.sqrt(temperature) / frequency**3 * boost * -np.expm1(-photon / kt)
    return float(value) if np.ndim(value) == 0 else value


def column_exitance(wavelength: ArrayLike, temperature: ArrayLike, absorption: ArrayLike, diameter: ArrayLike) -> Any:
    """Spectral exitance of a uniform cylindrical column at its surface.

    Parameters
    ----------
    wavelength : float or array (...)
        Vacuum wavelength. [m]
    temperature : float or array, broadcasts
        Plasma temperature. [K]
    absorption : float or array, broadcasts
        Absorption coefficient. [1/m]
    diameter : float or array, broadcasts
        Diameter of the column. [m]

    Returns
    -------
    exitance : broadcast shape
        Power per surface and wavelength. [W/m^3]

    Notes
    -----
    Valid: uniform temperature across the column; exact when black, within 5 % of the exact cylinder integral else.
    Not covered: cool layer at the wall, axial gradients.
    Equation: M = pi B (1 - exp(-kappa 0.95 d)), B the Planck radiance. Source: mean chord of a cylinder in diffuse
    light is d; 0.95 d matches intermediate depth (Hottel, mean beam length, from memory).

    Examples
    --------
    >>> from scipy.constants import sigma
    >>> grid = np.geomspace(5e-8, 2e-4, 20000)
    >>> black = np.trapezoid(column_exitance(grid, 9500.0, 1e9, 1e-2), grid)
    >>> bool(abs(black / (sigma * 9500.0**4) - 1) < 1e-4)
    True
    """
    wavelength = np.asarray(wavelength, dtype=float)
    exponent = constants.h * constants.c / (wavelength * constants.k * np.asarray(temperature, dtype=float))
    radiance = 2 * constants.h * constants.c**2 / wavelength**5 / np.expm1(np.minimum(exponent, 700.0))
    value = np.pi * radiance * -np.expm1(-np.asarray(absorption) * CHORD_FACTOR * np.asarray(diameter))
    return float(value) if np.ndim(value) == 0 else value
