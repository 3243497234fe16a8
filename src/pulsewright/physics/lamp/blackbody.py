"""Light of a black surface: Planck's spectrum, its bands, and the temperature that a flux asks for."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import constants

from pulsewright.physics._domain import Number, not_negative, plain, positive, refuse

#: h c / k [m K].
SECOND_RADIATION_CONSTANT = constants.h * constants.c / constants.k
#: Wien's displacement constant [m K], CODATA.
WIEN_CONSTANT = constants.physical_constants["Wien wavelength displacement law constant"][0]
_SERIES_JOIN = 1.0
_TERMS = np.arange(1, 41, dtype=np.float64)
#: x/(e^x - 1) = sum B_n x^n / n!: even terms from n = 2, as used below.
_BERNOULLI = (1.0 / 6.0, -1.0 / 30.0, 1.0 / 42.0, -1.0 / 30.0, 5.0 / 66.0, -691.0 / 2730.0, 7.0 / 6.0, -3617.0 / 510.0)


def planck_exitance(wavelength: ArrayLike, temperature: ArrayLike) -> Number:
    """Spectral exitance of a black surface, per wavelength.

    Parameters
    ----------
    wavelength : float or array (...)
        Vacuum wavelength. [m]
    temperature : float or array, broadcasts
        Temperature of the surface. [K]

    Returns
    -------
    spectral_exitance : broadcast shape
        Power per area and wavelength into the half space. [W/m^3]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: black at that wavelength. Not covered: a plasma that is thin there, which gives less.
    Equation: M = 2 pi h c^2 / (lambda^5 (exp(h c / (lambda k T)) - 1)). Source: Planck's law, CODATA constants.

    Examples
    --------
    >>> round(planck_exitance(500e-9, 9500.0) / 1e13, 2)   # kW/cm^2 per um
    60.85
    """
    lam = positive("wavelength", wavelength, "m")
    x = SECOND_RADIATION_CONSTANT / (lam * positive("temperature", temperature, "K"))
    with np.errstate(over="ignore"):
        return plain(2.0 * np.pi * constants.h * constants.c**2 / lam**5 / np.expm1(x))


def blackbody_exitance(temperature: ArrayLike) -> Number:
    """Exitance of a black surface over all wavelengths.

    Parameters
    ----------
    temperature : float or array (...)
        Temperature of the surface. [K]

    Returns
    -------
    exitance : same shape
        Power per area into the half space. [W/m^2]

    Raises
    ------
    DomainError
        If the temperature is negative.

    Notes
    -----
    Valid: black at every wavelength; an upper bound for any thermal plasma of that temperature.
    Not covered: plasma that is thin at some wavelengths.
    Equation: M = sigma T^4. Source: Stefan-Boltzmann law, CODATA constants.

    Examples
    --------
    >>> round(blackbody_exitance(12000.0) / 1e4, -2)   # W/cm^2
    117600.0
    """
    return plain(constants.sigma * not_negative("temperature", temperature, "K") ** 4)


def blackbody_band_fraction(
    shortest_wavelength: ArrayLike, longest_wavelength: ArrayLike, temperature: ArrayLike
) -> Number:
    """Fraction of black-body power inside a band of wavelengths.

    Parameters
    ----------
    shortest_wavelength : float or array (...)
        Short end of the band; 0 is allowed. [m]
    longest_wavelength : float or array, broadcasts
        Long end of the band; infinity is allowed. [m]
    temperature : float or array, broadcasts
        Temperature of the surface. [K]

    Returns
    -------
    band_fraction : broadcast shape
        Power in the band over sigma T^4. [-]

    Raises
    ------
    DomainError
        If a wavelength is negative, the band is reversed, or the temperature is not positive.

    Notes
    -----
    Valid: black at every wavelength of the band; absolute error below 1e-10. Not covered: thin plasma.
    Equation: F(0 to lambda) = (15 / pi^4) sum_n exp(-n x) (x^3/n + 3 x^2/n^2 + 6 x/n^3 + 6/n^4), x = h c / (lambda k
    T); below x = 1 the integral of the Bernoulli series instead. The band is a difference of two.
    Source: integral of Planck's law term by term, textbook.

    Examples
    --------
    >>> round(blackbody_band_fraction(200e-9, 1100e-9, 7000.0), 4)
    0.8358
    """
    low = not_negative("shortest_wavelength", shortest_wavelength, "m")
    high = not_negative("longest_wavelength", longest_wavelength, "m")
    shown, wrong = np.broadcast_arrays(high, high < low)
    refuse("longest_wavelength", shown, wrong, "at least the shortest one", "m")
    kelvin = positive("temperature", temperature, "K")
    return plain(_fraction_below(high, kelvin) - _fraction_below(low, kelvin))


def minimum_temperature(radiated_flux: ArrayLike) -> Number:
    """Lowest temperature a radiating plasma can have for the power it sends out.

    Parameters
    ----------
    radiated_flux : float or array (...)
        Power per area that leaves as light. [W/m^2]

    Returns
    -------
    temperature : same shape
        Black at every wavelength it is this hot; otherwise hotter. [K]

    Raises
    ------
    DomainError
        If the flux is negative.

    Notes
    -----
    Valid: thermal radiation. Not covered: heat that leaves otherwise, which does not count.
    Equation: T = (F / sigma)^(1/4). Source: Stefan-Boltzmann law, CODATA constants.

    Examples
    --------
    >>> round(minimum_temperature(2.5741e8), -2)
    8200.0
    """
    return plain((not_negative("radiated_flux", radiated_flux, "W/m^2") / constants.sigma) ** 0.25)


def peak_wavelength(temperature: ArrayLike) -> Number:
    """Wavelength at which the spectrum of a black surface, per wavelength, is highest.

    Parameters
    ----------
    temperature : float or array (...)
        Temperature of the surface. [K]

    Returns
    -------
    wavelength : same shape
        Vacuum wavelength of the peak. [m]

    Raises
    ------
    DomainError
        If the temperature is not positive.

    Notes
    -----
    Valid: black surface, spectrum per wavelength. Not covered: spectrum per frequency or photon, which peaks elsewhere.
    Equation: lambda = b / T, b = 2.898 mm K. Source: Wien's displacement law, CODATA constants.

    Examples
    --------
    >>> round(peak_wavelength(12000.0) * 1e9)   # nm
    241
    """
    return plain(WIEN_CONSTANT / positive("temperature", temperature, "K"))


def _fraction_below(wavelength: NDArray[np.float64], temperature: NDArray[np.float64]) -> NDArray[np.float64]:
    """Fraction of the power at wavelengths below the given one."""
    with np.errstate(divide="ignore"):
        x = np.asarray(SECOND_RADIATION_CONSTANT / (wavelength * temperature))
    far = np.clip(x, _SERIES_JOIN, 700.0)[..., None]
    terms = far**3 / _TERMS + 3.0 * far**2 / _TERMS**2 + 6.0 * far / _TERMS**3 + 6.0 / _TERMS**4
    tail = 15.0 / np.pi**4 * np.sum(np.exp(-_TERMS * far) * terms, axis=-1)
    near = np.minimum(x, _SERIES_JOIN)
    return np.where(x > _SERIES_JOIN, tail, 1.0 - 15.0 / np.pi**4 * _integral_near_zero(near))


def _integral_near_zero(x: NDArray[np.float64]) -> NDArray[np.float64]:
    """Integral of u^3 / (e^u - 1) from 0 to x, x at most 1: x^3/3 - x^4/8 + sum B_2k x^(2k+3) / ((2k+3) (2k)!)."""
    total = x**3 / 3.0 - x**4 / 8.0
    factorial = 1.0
    for k, number in enumerate(_BERNOULLI, start=1):
        factorial *= (2 * k - 1) * (2 * k)
        total = total + number * x ** (2 * k + 3) / ((2 * k + 3) * factorial)
    return np.asarray(total)
