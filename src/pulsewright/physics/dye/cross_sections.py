"""The cross-sections of a dye over a wavelength grid, assembled from its coefficients."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import constants

from pulsewright.errors import DomainError
from pulsewright.physics._choice import one_of
from pulsewright.physics._domain import as_float, not_negative, positive
from pulsewright.physics.dye.spectroscopy import (
    cross_section_from_absorptivity,
    gaussian_sum_spectrum,
    stimulated_emission_cross_section,
    thermal_absorption,
    zero_line,
)

Float = NDArray[np.float64]

#: How the red tail of the absorption may be found.
TAILS = ("thermal relation", "table")

#: The fit gives way to the table between these parts of the peak, on the red side.
_JOIN_FROM, _JOIN_TO = 0.1, 0.01
#: Temperature taken for a recorded tail: room temperature, the records do not say. [K]
_RECORDED_AT = 293.15


@dataclass(frozen=True, slots=True, eq=False)
class DyeCrossSections:
    """Cross-sections on a wavelength grid, in m^2, with what is known and how it was found.

    `absorption` is 0 where `known` is False; there the truth lies between 0 and `absorption_bound`.
    `zero_line` is the wavelength at which absorption and stimulated emission are equal. [m]
    `choices` names the method behind each part.
    """

    wavelength: Float
    absorption: Float
    absorption_bound: Float
    known: NDArray[np.bool_]
    emission: Float
    emission_shape: Float
    excited_state_absorption: Float
    triplet_absorption: Float
    zero_line: float
    choices: Mapping[str, str]


def emission_shape(wavelength: ArrayLike, components: ArrayLike, shift: float = 0.0) -> Float:
    """Fluorescence per wavelength of a Gaussian-sum fit, normalised over its whole band.

    Parameters
    ----------
    wavelength : array (points)
        Vacuum wavelength; need not reach across the band. [m]
    components : array (components, 3)
        Rows of amplitude [-], centre wavelength [m] and standard deviation in wavenumber [1/m]. [mixed]
    shift : float
        Displacement to longer wavelengths. [m]

    Returns
    -------
    emission : array (points)
        Share of the quanta per wavelength. [1/m]

    Raises
    ------
    DomainError
        If a wavelength, centre or width is not positive.

    Notes
    -----
    Valid: fits made per unit wavelength. Not covered: reabsorption.
    Equation: y / integral of y over wavelength, taken on 2001 points over six widths. Source: definition.

    Examples
    --------
    >>> shape = emission_shape(np.array([590e-9]), [[1.0, 590e-9, 6e4]])
    >>> round(float(shape[0]) * 1e-9, 3)   # per nm; a narrow band has 1 / (sqrt(2 pi) s lambda^2) = 0.0191
    0.019
    """
    rows = np.atleast_2d(as_float(components))
    area = _band_area(tuple(tuple(float(value) for value in row) for row in rows))
    here = as_float(gaussian_sum_spectrum(wavelength, rows, shift))
    return np.asarray(here / area, dtype=np.float64)


@lru_cache(maxsize=64)
def _band_area(components: tuple[tuple[float, ...], ...]) -> float:
    """Integral of a fit over wavelength: the same for every shot with one dye."""
    rows = np.array(components)
    reddest = max(float(np.min(1.0 / rows[:, 1] - 6.0 * rows[:, 2])), 2e5)
    bluest = float(np.max(1.0 / rows[:, 1] + 6.0 * rows[:, 2]))
    wavenumber = np.linspace(reddest, bluest, 2001)
    shape = gaussian_sum_spectrum(1.0 / wavenumber, rows)
    return float(np.trapezoid(shape / wavenumber**2, wavenumber))


def _joined(
    wavelength: Float, fit: Float, peak: float, grid: Float, coarse: Float, table: tuple[Float, Float]
) -> Float:
    """The fit, passing over in the logarithm to the table where it falls from a tenth to a hundredth of the peak."""
    red = int(np.argmax(coarse))
    start = grid[red + int(np.argmax(coarse[red:] < _JOIN_FROM * coarse[red]))]
    stop = grid[red + int(np.argmax(coarse[red:] < _JOIN_TO * coarse[red]))]
    logs = np.log(peak) + np.interp(wavelength, table[0], np.log(table[1]))
    part = np.clip((wavelength - start) / (stop - start), 0.0, 1.0)
    return np.asarray(np.exp((1.0 - part) * np.log(np.maximum(fit, 1e-60)) + part * logs), dtype=np.float64)


def _tail_table(tail_wavelength: ArrayLike | None, tail_values: ArrayLike | None) -> tuple[Float, Float]:
    if tail_wavelength is None or tail_values is None:
        raise DomainError(
            "the tail is to be taken from a table, but none is given",
            argument="tail",
            allowed="allowed: tail_wavelength and tail_values with it",
            next_step="give the table or choose 'thermal relation'",
        )
    return positive("tail_wavelength", tail_wavelength, "m"), positive("tail_values", tail_values, "-")


def _warmed(grid: Float, zero: float, temperature: float) -> Float:
    """Factor on the absorption beyond the zero line between the temperature of a record and that of the solution."""
    inverse = 1.0 / float(positive("temperature", temperature, "K")) - 1.0 / _RECORDED_AT
    beyond = np.minimum(1.0 / grid - 1.0 / zero, 0.0)
    return np.asarray(np.exp(constants.h * constants.c / constants.k * inverse * beyond), dtype=np.float64)


def _flat(argument: str, value: float, grid: Float) -> Float:
    return np.full(grid.shape, float(not_negative(argument, value, "m^2")))


def _band_grid(rows: Float, glow: Float) -> Float:
    """Fine grid from the main absorption band to beyond the emission, without the ultraviolet bands."""
    main = rows[int(np.argmax(rows[:, 0])), 1]
    return np.linspace(main - 20e-9, float(glow[:, 1].max()) + 100e-9, 1201)


def dye_cross_sections(
    wavelength: ArrayLike,
    *,
    absorption_components: ArrayLike,
    peak_molar_absorptivity: float,
    known_from: float,
    unknown_molar_absorptivity: float,
    emission_components: ArrayLike,
    quantum_yield: float,
    lifetime: float,
    refractive_index: float,
    temperature: float,
    excited_state_absorption: float,
    triplet_absorption: float,
    absorption_shift: float = 0.0,
    emission_shift: float = 0.0,
    tail: str = "thermal relation",
    tail_wavelength: ArrayLike | None = None,
    tail_values: ArrayLike | None = None,
) -> DyeCrossSections:
    """Every cross-section of a dye on a wavelength grid, for the laser band and the pump bands alike.

    Parameters
    ----------
    wavelength : array (points)
        Vacuum wavelength. [m]
    absorption_components : array (components, 3)
        Gaussian-sum fit of the absorption: amplitude [-], centre wavelength [m], deviation in wavenumber
        [1/m]. [mixed]
    peak_molar_absorptivity : float
        Decadic molar absorptivity where the fit is 1. [m^2/mol]
    known_from : float
        Shortest wavelength that data support. [m]
    unknown_molar_absorptivity : float
        Upper bound of the absorptivity outside the known window. [m^2/mol]
    emission_components : array (components, 3)
        Gaussian-sum fit of the fluorescence per wavelength, as above. [mixed]
    quantum_yield : float
        Fluorescence quantum yield. [-]
    lifetime : float
        Intrinsic fluorescence lifetime. [s]
    refractive_index : float
        Index of the solution. [-]
    temperature : float
        Temperature of the solution. [K]
    excited_state_absorption : float
        From the first excited singlet, at laser wavelengths, taken flat. [m^2]
    triplet_absorption : float
        From the lowest triplet, at laser wavelengths, taken flat. [m^2]
    absorption_shift : float
        Solvent shift of the absorption fit. [m]
    emission_shift : float
        Solvent shift of the emission fit. [m]
    tail : str
        `thermal relation` or `table`: how the absorption beyond the band is found.
    tail_wavelength : array (table), optional
        Wavelengths of the tail table, increasing. [m]
    tail_values : array (table), optional
        Absorption relative to the peak. [-]

    Returns
    -------
    cross_sections : DyeCrossSections
        Arrays on the grid. [m^2]

    Raises
    ------
    DomainError
        If a coefficient is out of its domain, the tail is unknown, or the bands do not cross.

    Notes
    -----
    Valid: the laser band, and the pump bands inside the known window.
    Not covered: excited-state absorption at pump wavelengths, spectral shape of the excited-state absorptions.
    Equation: absorption from the fit; beyond the zero line sigma_e exp((h c / k T)(1/lambda - 1/lambda_0)), or from the
    table, joined in the logarithm where the fit falls from 0.1 to 0.01 of its peak and carried from T_0 = 293.15 K
    (room temperature; records do not say) by exp((h c / k)(1/T - 1/T_0)(1/lambda - 1/lambda_0)), the same relation;
    emission by Fuechtbauer-Ladenburg.
    Source: see `spectroscopy`.

    Examples
    --------
    >>> band = dye_cross_sections(
    ...     np.array([530e-9, 590e-9]), absorption_components=[[1.0, 530e-9, 6e4]], peak_molar_absorptivity=1.05e4,
    ...     known_from=480e-9, unknown_molar_absorptivity=5e3,
    ...     emission_components=[[1.0, 560e-9, 6e4]], quantum_yield=0.95, lifetime=3.9e-9, refractive_index=1.36,
    ...     temperature=293.15, excited_state_absorption=0.4e-20, triplet_absorption=0.5e-20)
    >>> round(float(band.absorption[0]) * 1e20, 2)
    4.01
    """
    one_of("tail", tail, TAILS)
    grid = positive("wavelength", wavelength, "m")
    rows = np.atleast_2d(as_float(absorption_components))
    glow = np.atleast_2d(as_float(emission_components))
    peak = float(cross_section_from_absorptivity(peak_molar_absorptivity))

    def absorbed(at: Float) -> Float:
        return peak * as_float(gaussian_sum_spectrum(at, rows, absorption_shift))

    def emitted(at: Float) -> Float:
        shape = emission_shape(at, glow, emission_shift)
        return as_float(stimulated_emission_cross_section(at, shape, quantum_yield, lifetime, refractive_index))

    fine = _band_grid(rows, glow)
    coarse = absorbed(fine)
    zero = zero_line(fine, coarse, emitted(fine))
    absorption, emission = absorbed(grid), emitted(grid)
    if tail == "table":
        recorded = _joined(grid, absorption, peak, fine, coarse, _tail_table(tail_wavelength, tail_values))
        absorption = recorded * _warmed(grid, zero, temperature)
    else:
        thermal = as_float(thermal_absorption(np.maximum(grid, zero), emission, zero, temperature))
        absorption = np.where(grid > zero, thermal, absorption)
    known = grid >= known_from
    bound = float(cross_section_from_absorptivity(unknown_molar_absorptivity))
    return DyeCrossSections(
        wavelength=grid,
        absorption=np.where(known, absorption, 0.0),
        absorption_bound=np.where(known, absorption, bound),
        known=known,
        emission=emission,
        emission_shape=emission_shape(grid, glow, emission_shift),
        excited_state_absorption=_flat("excited_state_absorption", excited_state_absorption, grid),
        triplet_absorption=_flat("triplet_absorption", triplet_absorption, grid),
        zero_line=zero,
        choices={
            "absorption tail": tail,
            "stimulated emission": "Fuechtbauer-Ladenburg with the intrinsic lifetime",
            "excited-state and triplet absorption": "flat over the laser band",
        },
    )
