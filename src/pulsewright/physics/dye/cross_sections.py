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
from pulsewright.physics._domain import as_float, increasing, not_negative, positive
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
#: How far to the blue of its fluorescence the band lies from which a dye fluoresces. [m]
_STOKES = 150e-9
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


@dataclass(frozen=True, slots=True)
class _Spectrum:
    """A spectrum of either kind, its peak or highest component being 1: fitted components, or a table."""

    rows: Float | None
    table: tuple[Float, Float] | None
    shift: float

    def at(self, wavelength: Float) -> Float:
        """Values; nothing outside a table."""
        if self.rows is not None:
            return as_float(gaussian_sum_spectrum(wavelength, self.rows, self.shift))
        assert self.table is not None
        return np.interp(wavelength - self.shift, *self.table, left=0.0, right=0.0)

    def reddest(self) -> float:
        """Beyond it there is next to nothing, in m."""
        if self.rows is not None:
            return float(self.rows[:, 1].max()) + 100e-9
        assert self.table is not None
        return float(self.table[0][-1]) + self.shift

    def peak(self) -> float:
        """Wavelength of the highest component, or of the highest point of the table, in m."""
        if self.rows is not None:
            return float(self.rows[int(np.argmax(self.rows[:, 0])), 1])
        assert self.table is not None
        return float(self.table[0][int(np.argmax(self.table[1]))]) + self.shift

    def main_band(self, emission_peak: float) -> float:
        """Wavelength of the absorption band from which the dye fluoresces, the ultraviolet ones apart, in m."""
        if self.table is None:
            return self.peak()
        place = self.table[0] + self.shift
        near = (place > emission_peak - _STOKES) & (place < emission_peak)
        return float(place[int(np.argmax(np.where(near, self.table[1], -1.0)))])

    def area(self) -> float:
        """Integral over wavelength, in m."""
        if self.rows is not None:
            return _band_area(tuple(tuple(float(value) for value in row) for row in self.rows))
        assert self.table is not None
        return float(np.trapezoid(self.table[1], self.table[0]))


def _spectrum(
    what: str, components: ArrayLike | None, wavelength: ArrayLike | None, values: ArrayLike | None, shift: float
) -> _Spectrum:
    """The spectrum from its components or its table; one of the two must be given."""
    if (components is None) == (wavelength is None) or (wavelength is None) != (values is None):
        raise DomainError(
            f"the {what} needs its components or a table, not both",
            argument=f"{what}_components",
            allowed=f"allowed: {what}_components, or {what}_wavelength with {what}_values",
            next_step="give one of the two",
        )
    if components is not None or wavelength is None or values is None:
        assert components is not None
        return _Spectrum(np.atleast_2d(as_float(components)), None, shift)
    place, height = increasing(f"{what}_wavelength", as_float(wavelength), "m"), as_float(values)
    height = not_negative(f"{what}_values", height, "-")
    if height.shape != place.shape or not height.max() > 0:
        raise DomainError(
            f"the table of the {what} has {height.size} values for {place.size} wavelengths, or no value above 0",
            argument=f"{what}_values",
            allowed="allowed: one value a wavelength, the highest above 0",
            next_step="check the table",
        )
    return _Spectrum(None, (place, height), shift)


def emission_shape(
    wavelength: ArrayLike,
    emission_components: ArrayLike | None = None,
    emission_shift: float = 0.0,
    *,
    emission_wavelength: ArrayLike | None = None,
    emission_values: ArrayLike | None = None,
) -> Float:
    """Fluorescence per wavelength of a Gaussian-sum fit or a table, normalised over its whole band.

    Parameters
    ----------
    wavelength : array (points)
        Vacuum wavelength; need not reach across the band. [m]
    emission_components : array (components, 3), optional
        Rows of amplitude [-], centre wavelength [m] and standard deviation in wavenumber [1/m]. [mixed]
    emission_shift : float
        Displacement to longer wavelengths. [m]
    emission_wavelength : array (table), optional
        Instead of components: wavelengths of a measured spectrum, increasing. [m]
    emission_values : array (table), optional
        Quanta per wavelength interval there, in any scale; none outside the table. [-]

    Returns
    -------
    emission : array (points)
        Share of the quanta per wavelength. [1/m]

    Raises
    ------
    DomainError
        If a wavelength, centre or width is not positive, or not exactly one of components and table is given.

    Notes
    -----
    Valid: fits and records per unit wavelength. Not covered: reabsorption; fluorescence outside the table.
    Equation: y / integral of y over wavelength, of components taken on 2001 points over six widths, of a table by
    trapezoids. Source: definition.

    Examples
    --------
    >>> shape = emission_shape(np.array([590e-9]), [[1.0, 590e-9, 6e4]])
    >>> round(float(shape[0]) * 1e-9, 3)   # per nm; a narrow band has 1 / (sqrt(2 pi) s lambda^2) = 0.0191
    0.019
    """
    spectrum = _spectrum("emission", emission_components, emission_wavelength, emission_values, emission_shift)
    return spectrum.at(positive("wavelength", wavelength, "m")) / spectrum.area()


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


def _band_grid(band: _Spectrum, glow: _Spectrum) -> Float:
    """Fine grid from the main absorption band to beyond the emission, without the ultraviolet bands."""
    return np.linspace(band.main_band(glow.peak()) - 20e-9, glow.reddest(), 1201)


def dye_cross_sections(
    wavelength: ArrayLike,
    *,
    peak_molar_absorptivity: float,
    known_from: float,
    unknown_molar_absorptivity: float,
    quantum_yield: float,
    lifetime: float,
    refractive_index: float,
    temperature: float,
    excited_state_absorption: float,
    triplet_absorption: float,
    absorption_components: ArrayLike | None = None,
    absorption_wavelength: ArrayLike | None = None,
    absorption_values: ArrayLike | None = None,
    emission_components: ArrayLike | None = None,
    emission_wavelength: ArrayLike | None = None,
    emission_values: ArrayLike | None = None,
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
    peak_molar_absorptivity : float
        Decadic molar absorptivity where fit or table is 1. [m^2/mol]
    known_from : float
        Shortest wavelength that data support. [m]
    unknown_molar_absorptivity : float
        Upper bound of the absorptivity outside the known window. [m^2/mol]
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
    absorption_components : array (components, 3), optional
        Gaussian-sum fit of the absorption: amplitude [-], centre wavelength [m], deviation in wavenumber
        [1/m]. [mixed]
    absorption_wavelength : array (table), optional
        Instead of components: wavelengths of a measured absorption spectrum, increasing. [m]
    absorption_values : array (table), optional
        Absorption there over that at the peak of the band that fluoresces. [-]
    emission_components : array (components, 3), optional
        Gaussian-sum fit of the fluorescence per wavelength, as above. [mixed]
    emission_wavelength : array (table), optional
        Instead of components: wavelengths of a measured fluorescence spectrum, increasing. [m]
    emission_values : array (table), optional
        Quanta per wavelength interval there, in any scale. [-]
    absorption_shift : float
        Solvent shift of the absorption. [m]
    emission_shift : float
        Solvent shift of the emission. [m]
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
        If a coefficient is out of its domain, the tail is unknown, the bands do not cross, or a spectrum has not
        exactly one of components and table.

    Notes
    -----
    Valid: the laser band, and the pump bands inside the known window.
    Not covered: excited-state absorption at pump wavelengths, spectral shape of the excited-state absorptions; what a
    table does not reach counts as none, but beyond the zero line.
    Equation: absorption from fit or table; beyond the zero line sigma_e exp((h c / k T)(1/lambda - 1/lambda_0)), or
    from the tail table, joined in the logarithm where the fit falls from 0.1 to 0.01 of its peak and carried from
    T_0 = 293.15 K (room temperature; records do not say) by exp((h c / k)(1/T - 1/T_0)(1/lambda - 1/lambda_0)), the
    same relation; emission by Fuechtbauer-Ladenburg.
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
    band = _spectrum("absorption", absorption_components, absorption_wavelength, absorption_values, absorption_shift)
    glow = _spectrum("emission", emission_components, emission_wavelength, emission_values, emission_shift)
    area = glow.area()
    peak = float(cross_section_from_absorptivity(peak_molar_absorptivity))

    def absorbed(at: Float) -> Float:
        return peak * band.at(at)

    def emitted(at: Float) -> Float:
        shape = glow.at(at) / area
        return as_float(stimulated_emission_cross_section(at, shape, quantum_yield, lifetime, refractive_index))

    fine = _band_grid(band, glow)
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
        emission_shape=glow.at(grid) / area,
        excited_state_absorption=_flat("excited_state_absorption", excited_state_absorption, grid),
        triplet_absorption=_flat("triplet_absorption", triplet_absorption, grid),
        zero_line=zero,
        choices={
            "absorption tail": tail,
            "stimulated emission": "Fuechtbauer-Ladenburg with the intrinsic lifetime",
            "excited-state and triplet absorption": "flat over the laser band",
        },
    )
