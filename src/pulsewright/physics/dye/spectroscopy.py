"""Spectra of dyes: absorptivity, cross-sections, radiative rates, the thermal link of absorption and emission."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import constants

from pulsewright.errors import DomainError
from pulsewright.physics._domain import Number, as_float, increasing, not_negative, plain, positive, within

Float = NDArray[np.float64]


def gaussian_sum_spectrum(wavelength: ArrayLike, components: ArrayLike, shift: float = 0.0) -> Number:
    """Spectrum made of Gaussians in wavenumber.

    Parameters
    ----------
    wavelength : float or array (...)
        Vacuum wavelength. [m]
    components : array (components, 3)
        For each Gaussian its height [-], the wavelength of its peak [m], its standard deviation in wavenumber
        [1/m]. [mixed]
    shift : float
        Displacement of the whole spectrum to longer wavelengths (solvent shift). [m]

    Returns
    -------
    spectrum : (...)
        Sum of the Gaussians. [-]

    Raises
    ------
    DomainError
        If a wavelength, centre or width is not positive.

    Notes
    -----
    Valid: inside the window of the data behind the fit.
    Not covered: wings; a Gaussian falls too fast below about a thousandth of the peak.
    Equation: y = sum a_i exp(-((1/lambda - 1/lambda_i)/s_i)^2 / 2); an emission fit made per unit wavelength
    stays per unit wavelength, no factor lambda^2 enters. Source: definition of the fit.

    Examples
    --------
    >>> gaussian_sum_spectrum(532e-9, [[1.0, 532e-9, 1.2e5]])
    1.0
    """
    place = positive("wavelength", wavelength, "m") - shift
    positive("wavelength less shift", place, "m")
    rows = np.atleast_2d(as_float(components))
    detuning = 1.0 / place[..., None] - 1.0 / positive("centre of a component", rows[:, 1], "m")
    scaled = detuning / positive("width of a component", rows[:, 2], "1/m")
    return plain(np.sum(rows[:, 0] * np.exp(-0.5 * scaled * scaled), axis=-1))


def cross_section_from_absorptivity(molar_absorptivity: ArrayLike) -> Number:
    """Absorption cross-section of one molecule from the decadic molar absorptivity.

    Parameters
    ----------
    molar_absorptivity : float or array (...)
        Decadic molar absorptivity. [m^2/mol]

    Returns
    -------
    cross_section : same shape
        Napierian cross-section. [m^2]

    Raises
    ------
    DomainError
        If the absorptivity is negative.

    Notes
    -----
    Valid: any; 1 L/(mol cm) is 0.1 m^2/mol. Not covered: aggregates.
    Equation: sigma = ln(10) eps / N_A. Source: definition.

    Examples
    --------
    Rhodamine 6G from its first excited state, 4.4e4 L/(mol cm) is 1.68e-20 m^2 (Beaumont, Johnson and Parsons 1993):

    >>> round(cross_section_from_absorptivity(4.4e3) * 1e20, 2)
    1.68
    """
    return plain(not_negative("molar_absorptivity", molar_absorptivity, "m^2/mol") * (np.log(10.0) / constants.N_A))


def absorptivity_from_cross_section(cross_section: ArrayLike) -> Number:
    """Decadic molar absorptivity from the cross-section of one molecule.

    Parameters
    ----------
    cross_section : float or array (...)
        Napierian cross-section. [m^2]

    Returns
    -------
    molar_absorptivity : same shape
        Decadic molar absorptivity. [m^2/mol]

    Raises
    ------
    DomainError
        If the cross-section is negative.

    Notes
    -----
    Valid: any. Not covered: aggregates. Equation: eps = sigma N_A / ln(10). Source: definition.

    Examples
    --------
    >>> round(absorptivity_from_cross_section(4.0e-20))
    10462
    """
    return plain(not_negative("cross_section", cross_section, "m^2") * (constants.N_A / np.log(10.0)))


def stimulated_emission_cross_section(
    wavelength: ArrayLike,
    emission: ArrayLike,
    quantum_yield: ArrayLike,
    lifetime: ArrayLike,
    refractive_index: ArrayLike,
) -> Number:
    """Stimulated-emission cross-section from the fluorescence spectrum.

    Parameters
    ----------
    wavelength : float or array (...)
        Vacuum wavelength. [m]
    emission : float or array, broadcasts
        Fluorescence in quanta per wavelength, normalised so that its integral over wavelength is 1. [1/m]
    quantum_yield : float or array, broadcasts
        Fluorescence quantum yield. [-]
    lifetime : float or array, broadcasts
        Intrinsic fluorescence lifetime; not the longer one seen where light is reabsorbed. [s]
    refractive_index : float or array, broadcasts
        Index of the solution. [-]

    Returns
    -------
    cross_section : broadcast shape
        Stimulated-emission cross-section. [m^2]

    Raises
    ------
    DomainError
        If an argument is negative, lifetime or index not positive, or the quantum yield above 1.

    Notes
    -----
    Valid: random orientation, one emitting state.
    Not covered: polarised pumping; emission spectra distorted by reabsorption within some 15 nm of the absorption band.
    Equation: sigma = lambda^4 E phi / (8 pi n^2 c tau). Source: Fuechtbauer-Ladenburg relation, as in
    Peterson, Methods of Experimental Physics 15A (1979), from memory.

    Examples
    --------
    >>> area = stimulated_emission_cross_section(560e-9, 2.0e7, 0.95, 3.9e-9, 1.43)
    >>> round(area * 1e20, 2)
    3.11
    """
    place = positive("wavelength", wavelength, "m")
    rate = within("quantum_yield", quantum_yield, 0.0, 1.0, "-") / positive("lifetime", lifetime, "s")
    index = positive("refractive_index", refractive_index, "-")
    shape = not_negative("emission", emission, "1/m")
    return plain(place**4 * shape * rate / (8.0 * np.pi * constants.c * index * index))


def normalised_emission(wavelength: ArrayLike, emission: ArrayLike) -> Number:
    """Fluorescence spectrum scaled so that its integral over wavelength is one.

    Parameters
    ----------
    wavelength : array (points)
        Vacuum wavelength, increasing, reaching across the whole emission band. [m]
    emission : array (points)
        Fluorescence in quanta per wavelength; its scale does not matter. [1/m]

    Returns
    -------
    emission : array (points)
        Normalised fluorescence. [1/m]

    Raises
    ------
    DomainError
        If the wavelengths do not increase or the integral is not positive.

    Notes
    -----
    Valid: grid fine against the structure of the spectrum (trapezium rule). Not covered: a band cut off by the grid.
    Equation: E = y / integral of y. Source: definition.

    Examples
    --------
    >>> grid = np.linspace(500e-9, 700e-9, 2001)
    >>> shape = normalised_emission(grid, gaussian_sum_spectrum(grid, [[1.0, 590e-9, 6e4]]))
    >>> round(float(np.trapezoid(shape, grid)), 6)
    1.0
    """
    place = increasing("wavelength", wavelength, "m")
    shape = not_negative("emission", emission, "1/m")
    area = float(np.trapezoid(shape, place))
    positive("integral of the emission", area, "m")
    return plain(shape / area)


def thermal_absorption(
    wavelength: ArrayLike, emission_cross_section: ArrayLike, zero_line: ArrayLike, temperature: ArrayLike
) -> Number:
    """Absorption on the red side of the zero line from stimulated emission and temperature.

    Parameters
    ----------
    wavelength : float or array (...)
        Vacuum wavelength. [m]
    emission_cross_section : float or array, broadcasts
        Stimulated-emission cross-section there. [m^2]
    zero_line : float or array, broadcasts
        Wavelength at which absorption and stimulated emission are equal. [m]
    temperature : float or array, broadcasts
        Temperature of the solution. [K]

    Returns
    -------
    cross_section : broadcast shape
        Absorption cross-section of the ground state. [m^2]

    Raises
    ------
    DomainError
        If wavelength, zero line or temperature is not positive.

    Notes
    -----
    Valid: both electronic states in thermal balance with the solvent before they emit or absorb; rhodamines within
    about a factor 2 down to 1e-4 of the peak.
    Not covered: dyes whose solvent shell rearranges after excitation (coumarins, DCM): a rough guide there.
    Equation: sigma_a = sigma_e exp((h c / k T)(1/lambda - 1/lambda_0)). Source: Kennard 1918, Stepanov 1957,
    McCumber, Phys. Rev. 136, A954 (1964), from memory.

    Examples
    --------
    >>> thermal_absorption(550e-9, 2.0e-20, 550e-9, 293.15)
    2e-20
    """
    place = positive("wavelength", wavelength, "m")
    zero = positive("zero_line", zero_line, "m")
    scale = constants.h * constants.c / (constants.k * positive("temperature", temperature, "K"))
    boost = np.exp(np.minimum(scale * (1.0 / place - 1.0 / zero), 700.0))
    return plain(not_negative("emission_cross_section", emission_cross_section, "m^2") * boost)


def zero_line(wavelength: ArrayLike, cross_section: ArrayLike, emission_cross_section: ArrayLike) -> float:
    """Wavelength between the two bands at which absorption and stimulated emission are equal.

    Parameters
    ----------
    wavelength : array (points)
        Vacuum wavelength, increasing. [m]
    cross_section : array (points)
        Absorption cross-section. [m^2]
    emission_cross_section : array (points)
        Stimulated-emission cross-section. [m^2]

    Returns
    -------
    zero_line : float
        Wavelength of the crossing between the two maxima, interpolated linearly. [m]

    Raises
    ------
    DomainError
        If the bands do not cross between their maxima.

    Notes
    -----
    Valid: one absorption band to the blue of one emission band; give a grid that holds no other band.
    Not covered: overlapping electronic bands. Equation: sigma_a(lambda_0) = sigma_e(lambda_0).
    Source: definition, as used with the thermal relation.

    Examples
    --------
    >>> grid = np.linspace(500e-9, 600e-9, 1001)
    >>> blue = gaussian_sum_spectrum(grid, [[1.0, 530e-9, 5e4]])
    >>> red = gaussian_sum_spectrum(grid, [[1.0, 560e-9, 5e4]])
    >>> round(zero_line(grid, blue, red) * 1e9, 1)
    544.6
    """
    place = increasing("wavelength", wavelength, "m")
    difference = as_float(cross_section) - as_float(emission_cross_section)
    start, stop = int(np.argmax(as_float(cross_section))), int(np.argmax(as_float(emission_cross_section)))
    inside = difference[start : stop + 1]
    below = np.flatnonzero(inside < 0.0)
    if start >= stop or inside[0] <= 0.0 or below.size == 0:
        raise DomainError(
            "absorption and emission do not cross between their maxima",
            argument="cross_section",
            allowed="allowed: an absorption band to the blue of the emission band",
            next_step="check the spectra and the grid",
        )
    i = start + int(below[0])
    part = difference[i - 1] / (difference[i - 1] - difference[i])
    return float(place[i - 1] + part * (place[i] - place[i - 1]))


def radiative_rate_from_absorption(
    wavelength: ArrayLike, cross_section: ArrayLike, emission: ArrayLike, refractive_index: float
) -> float:
    """Radiative rate of the excited state from the strength of the absorption band.

    Parameters
    ----------
    wavelength : array (points)
        Vacuum wavelength, increasing, across both bands. [m]
    cross_section : array (points)
        Absorption cross-section of the lowest band only. [m^2]
    emission : array (points)
        Fluorescence in quanta per wavelength; its scale does not matter. [1/m]
    refractive_index : float
        Index of the solution. [-]

    Returns
    -------
    radiative_rate : float
        Rate of spontaneous emission. [1/s]

    Raises
    ------
    DomainError
        If the wavelengths do not increase or the emission is nowhere positive.

    Notes
    -----
    Valid: the same electronic transition absorbs and emits, little change of geometry; about 15 % for rhodamines.
    Not covered: charge-transfer dyes.
    Equation: k_r = 8 pi c n^2 (integral E / integral E lambda^3) integral sigma / lambda.
    Source: Strickler and Berg, J. Chem. Phys. 37, 814 (1962), written for cross-sections, from memory.

    Examples
    --------
    A band that is narrow and absorbs where it emits has the closed form 8 pi c n^2 sigma_0 sqrt(2 pi) s / lambda^2:

    >>> grid = np.linspace(549e-9, 551e-9, 4001)
    >>> line = gaussian_sum_spectrum(grid, [[1.0, 550e-9, 500.0]])
    >>> closed = 8 * np.pi * constants.c * 1.36**2 * 4e-20 * np.sqrt(2 * np.pi) * 500.0 / 550e-9**2
    >>> round(float(radiative_rate_from_absorption(grid, 4e-20 * line, line, 1.36) / closed), 5)
    1.0
    """
    place = increasing("wavelength", wavelength, "m")
    glow = not_negative("emission", emission, "1/m")
    weight = positive("integral of the emission", float(np.trapezoid(glow, place)), "-")
    strength = np.trapezoid(not_negative("cross_section", cross_section, "m^2") / place, place)
    index = float(positive("refractive_index", refractive_index, "-"))
    mean_cube = np.trapezoid(glow * place**3, place) / weight
    return float(8.0 * np.pi * constants.c * index * index * strength / mean_cube)


def radiative_rate(quantum_yield: ArrayLike, lifetime: ArrayLike) -> Number:
    """Radiative rate from quantum yield and lifetime.

    Parameters
    ----------
    quantum_yield : float or array (...)
        Fluorescence quantum yield. [-]
    lifetime : float or array, broadcasts
        Fluorescence lifetime. [s]

    Returns
    -------
    radiative_rate : broadcast shape
        Rate of spontaneous emission. [1/s]

    Raises
    ------
    DomainError
        If the yield is outside 0 to 1 or the lifetime not positive.

    Notes
    -----
    Valid: yield and lifetime of the same solution, without reabsorption. Not covered: several emitting states.
    Equation: k_r = phi / tau. Source: definition.

    Examples
    --------
    >>> round(radiative_rate(0.95, 3.9e-9) / 1e8, 2)
    2.44
    """
    return plain(within("quantum_yield", quantum_yield, 0.0, 1.0, "-") / positive("lifetime", lifetime, "s"))


def nonradiative_rate(quantum_yield: ArrayLike, lifetime: ArrayLike) -> Number:
    """Rate of all losses of the excited state that give no light.

    Parameters
    ----------
    quantum_yield : float or array (...)
        Fluorescence quantum yield. [-]
    lifetime : float or array, broadcasts
        Fluorescence lifetime. [s]

    Returns
    -------
    nonradiative_rate : broadcast shape
        Internal conversion, intersystem crossing and quenching together. [1/s]

    Raises
    ------
    DomainError
        If the yield is outside 0 to 1 or the lifetime not positive.

    Notes
    -----
    Valid: yield and lifetime of one solution, without reabsorption; measured in air, they hold the oxygen loss.
    Not covered: several emitting states. Equation: k_nr = (1 - phi) / tau. Source: definition.

    Examples
    --------
    >>> round(nonradiative_rate(0.95, 3.9e-9) / 1e7, 2)
    1.28
    """
    return plain((1.0 - within("quantum_yield", quantum_yield, 0.0, 1.0, "-")) / positive("lifetime", lifetime, "s"))
