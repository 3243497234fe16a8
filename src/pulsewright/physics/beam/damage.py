"""Optical damage: thresholds carried to another pulse and wavelength, and the chance of exceeding one."""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import ndtr

from pulsewright.physics._domain import Number, as_float, not_negative, plain, positive

#: Exponent of the threshold in pulse length: published values run from 0.10 (Rainer et al., ASTM STP, 1985,
#: coatings, 0.6 to 9 ns) to 0.6 (Stuart et al., Phys. Rev. B 53, 1749, 1996).
DURATION_EXPONENTS = (0.10, 0.6)
#: Exponent in wavelength: from memory, the rule of the trade for scaling makers' numbers.
WAVELENGTH_EXPONENTS = (0.5, 1.0)
#: One decade: beyond it a scaled threshold is called extrapolated.
DECADE = 10.0
#: Standard normal deviate of the upper end of a central 90 % interval.
Z_90 = 1.6448536269514722


class ScaledThreshold(NamedTuple):
    """A damage threshold carried elsewhere, the lowest that published exponents give, and how far it was carried."""

    threshold: Number
    extrapolated: bool | np.ndarray


def _lowest(ratio: np.ndarray, exponents: tuple[float, float]) -> np.ndarray:
    """Lowest factor ratio^x over the published exponents: the small one upwards, the large one downwards."""
    low, high = exponents
    return np.where(ratio >= 1.0, ratio**low, ratio**high)


def scaled_threshold(
    fluence: ArrayLike,
    wavelength_from: ArrayLike,
    duration_from: ArrayLike,
    wavelength_to: ArrayLike,
    duration_to: ArrayLike,
) -> ScaledThreshold:
    """Damage threshold carried to another wavelength and pulse length, taking the lowest published answer.

    Parameters
    ----------
    fluence : float or array (...)
        Threshold fluence where it was tested. [J/m^2]
    wavelength_from : float or array, broadcasts
        Wavelength of the test. [m]
    duration_from : float or array, broadcasts
        Pulse length of the test. [s]
    wavelength_to : float or array, broadcasts
        Wavelength of use. [m]
    duration_to : float or array, broadcasts
        Pulse length of use. [s]

    Returns
    -------
    threshold : broadcast shape
        The lowest threshold that the published exponents give. [J/m^2]
    extrapolated : broadcast shape
        True beyond one decade in pulse length or wavelength. [-]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: coatings and surfaces, pulses longer than about 50 ps, within one decade of the test. Not covered: spot
    size, defect-free bulk glass (exponent 1), average power beyond about 1 us, incubation.
    Equation: F (t2/t1)^x (l2/l1)^y; x = 0.10 towards longer pulses and 0.6 towards shorter; y = 0.5 towards longer
    wavelengths and 1 towards shorter.
    Source: x: Rainer, Vercimak, Milam, Carniglia and Hart, ASTM STP (1985), 0.10 to 0.51; Stuart et al., Phys. Rev. B
    53, 1749 (1996), 0.3 to 0.6. y: from memory.

    Examples
    --------
    >>> low, extrapolated = scaled_threshold(10e4, 1064e-9, 10e-9, 590e-9, 50e-9)
    >>> round(low), extrapolated
    (65134, False)
    """
    f = positive("fluence", fluence, "J/m^2")
    in_time = positive("duration_to", duration_to, "s") / positive("duration_from", duration_from, "s")
    in_wave = positive("wavelength_to", wavelength_to, "m") / positive("wavelength_from", wavelength_from, "m")
    threshold = f * _lowest(in_time, DURATION_EXPONENTS) * _lowest(in_wave, WAVELENGTH_EXPONENTS)
    far = np.maximum(np.abs(np.log10(in_time)), np.abs(np.log10(in_wave))) > math.log10(DECADE) * (1 + 1e-12)
    far = np.broadcast_to(far, threshold.shape)
    return ScaledThreshold(plain(threshold), bool(far) if far.ndim == 0 else far)


def highest_scaled_threshold(
    fluence: ArrayLike,
    wavelength_from: ArrayLike,
    duration_from: ArrayLike,
    wavelength_to: ArrayLike,
    duration_to: ArrayLike,
) -> Number:
    """Damage threshold carried to another wavelength and pulse length, taking the highest published answer.

    Parameters
    ----------
    fluence : float or array (...)
        Threshold fluence where it was tested. [J/m^2]
    wavelength_from : float or array, broadcasts
        Wavelength of the test. [m]
    duration_from : float or array, broadcasts
        Pulse length of the test. [s]
    wavelength_to : float or array, broadcasts
        Wavelength of use. [m]
    duration_to : float or array, broadcasts
        Pulse length of use. [s]

    Returns
    -------
    threshold : broadcast shape
        The highest threshold that the published exponents give; never a design value. [J/m^2]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: as `scaled_threshold`; shows how wide the published exponents leave the answer. Not covered: as there.
    Equation: F (t2/t1)^x (l2/l1)^y with the exponents that `scaled_threshold` does not take.
    Source: as `scaled_threshold`.

    Examples
    --------
    >>> round(highest_scaled_threshold(10e4, 1064e-9, 10e-9, 1064e-9, 1e-6))
    1584893
    """
    f = positive("fluence", fluence, "J/m^2")
    in_time = positive("duration_to", duration_to, "s") / positive("duration_from", duration_from, "s")
    in_wave = positive("wavelength_to", wavelength_to, "m") / positive("wavelength_from", wavelength_from, "m")
    return plain(f / (_lowest(1.0 / in_time, DURATION_EXPONENTS) * _lowest(1.0 / in_wave, WAVELENGTH_EXPONENTS)))


def log_standard_deviation(spread: ArrayLike) -> Number:
    """Standard deviation of the logarithm of a log-normal quantity from its relative 90 % half-width.

    Parameters
    ----------
    spread : float or array (...)
        Half the width of the central 90 % interval, over the median. [-]

    Returns
    -------
    deviation : same shape
        Standard deviation of the natural logarithm. [-]

    Raises
    ------
    DomainError
        If spread is negative.

    Notes
    -----
    Valid: any spread, also above one. Not covered: other distributions.
    Equation: asinh(s)/1.645, since the interval is exp(+-1.645 sigma), of half-width sinh(1.645 sigma).
    Source: definition of the log-normal distribution.

    Examples
    --------
    >>> round(log_standard_deviation(0.5), 4)
    0.2926
    """
    return plain(np.arcsinh(not_negative("spread", spread, "-")) / Z_90)


def exceedance_probability(
    stress: ArrayLike, stress_limit: ArrayLike, stress_spread: ArrayLike, limit_spread: ArrayLike
) -> Number:
    """Probability that a log-normal stress exceeds a log-normal limit in one shot.

    Parameters
    ----------
    stress : float or array (...)
        Median stress, counted in the unit of the limit. [-]
    stress_limit : float or array, broadcasts
        Median limit, in the unit of the stress. [-]
    stress_spread : float or array, broadcasts
        Half the width of the central 90 % interval of the stress, over its median. [-]
    limit_spread : float or array, broadcasts
        The same for the limit. [-]

    Returns
    -------
    probability : broadcast shape
        Probability that the stress exceeds the limit; without spreads 0 up to the limit and 1 above it. [-]

    Raises
    ------
    DomainError
        If stress or a spread is negative, or stress_limit is not positive.

    Notes
    -----
    Valid: independent spreads. Not covered: other distributions.
    Equation: Phi(ln(stress/stress_limit)/sqrt(s1^2 + s2^2)), s from `log_standard_deviation`.
    Source: difference of two normal variables.

    Examples
    --------
    >>> exceedance_probability(2.0, 2.0, 0.3, 0.5)
    0.5
    >>> exceedance_probability(2.0, 2.0, 0.0, 0.0)
    0.0
    """
    ratio = not_negative("stress", stress, "-") / positive("stress_limit", stress_limit, "-")
    deviation = np.hypot(log_standard_deviation(stress_spread), log_standard_deviation(limit_spread))
    ratio, deviation = np.broadcast_arrays(ratio, deviation)
    with np.errstate(divide="ignore", invalid="ignore"):
        smooth = ndtr(np.log(ratio) / deviation)
    return plain(np.where(deviation > 0, smooth, (ratio > 1.0).astype(np.float64)))


def exceedance_probability_over_shots(
    stress: ArrayLike, stress_limit: ArrayLike, stress_spread: ArrayLike, limit_spread: ArrayLike, shots: ArrayLike
) -> Number:
    """Probability that the limit of one part is exceeded at least once in a number of shots.

    Parameters
    ----------
    stress : float or array (...)
        Median stress, counted in the unit of the limit. [-]
    stress_limit : float or array, broadcasts
        Median limit, in the unit of the stress. [-]
    stress_spread : float or array, broadcasts
        Relative 90 % half-width of the stress, drawn anew every shot. [-]
    limit_spread : float or array, broadcasts
        Relative 90 % half-width of the limit, drawn once: it is one and the same part. [-]
    shots : float or array, broadcasts
        Number of shots. [-]

    Returns
    -------
    probability : broadcast shape
        Probability that the limit is exceeded in at least one shot. [-]

    Raises
    ------
    DomainError
        If stress or a spread is negative, stress_limit not positive, or shots below 0.

    Notes
    -----
    Valid: shots independent but for the part they meet. Not covered: fatigue, incubation, cleaning by use.
    Equation: E over the limit of 1 - (1 - P(stress > limit))^N, integrated over +-8 standard deviations.
    Source: total probability.

    Examples
    --------
    >>> round(exceedance_probability_over_shots(1.0, 2.0, 0.3, 0.0, 1), 6) == round(
    ...     exceedance_probability(1.0, 2.0, 0.3, 0.0), 6)
    True
    """
    n = not_negative("shots", shots, "-")
    z = np.linspace(-8.0, 8.0, 1601)
    weights = np.exp(-0.5 * z**2) / np.sum(np.exp(-0.5 * z**2))
    deviation = as_float(log_standard_deviation(limit_spread))
    drawn = positive("stress_limit", stress_limit, "-")[..., None] * np.exp(deviation[..., None] * z)
    once = as_float(exceedance_probability(as_float(stress)[..., None], drawn, as_float(stress_spread)[..., None], 0.0))
    with np.errstate(divide="ignore"):
        log_never = np.maximum(np.log1p(-once), -1e6)  # finite, so that no shots give no chance
    return plain(np.sum(weights * -np.expm1(n[..., None] * log_never), axis=-1))
