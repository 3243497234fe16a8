"""Delay and jitter of a breakdown: a formative lag, then the wait for an electron (Laue)."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import log_ndtr

from pulsewright.physics._domain import Number, a_number, not_negative, plain, positive, within


def breakdown_probability(time: ArrayLike, formative_lag: ArrayLike, statistical_lag: ArrayLike) -> Number:
    """Chance that a gap under overvoltage has broken down by a time.

    Parameters
    ----------
    time : float or array (...)
        Time since the voltage rose above breakdown. [s]
    formative_lag : float or array, broadcasts
        Time that a discharge needs once it has an electron. [s]
    statistical_lag : float or array, broadcasts
        Mean wait for that electron. [s]

    Returns
    -------
    probability : broadcast shape
        Chance of having broken down. [-]

    Raises
    ------
    DomainError
        If the statistical lag is not positive, or a time is negative.

    Notes
    -----
    Valid: constant overvoltage and electron supply. An untreated electrode in the dark waits about 1e-2 s on average,
    up to seconds: a gap that has not fired is not a safe gap.
    Not covered: a voltage or pressure that changes meanwhile; light, which shortens the wait.
    Equation: 1 - exp(-(t - tf) / ts) after tf (Laue). Source: Phys. Plasmas 13, 083502 (2006); M. Cernak, lecture
    FB240, Masaryk University.

    Examples
    --------
    >>> round(breakdown_probability(1.1e-2, 1e-3, 1e-2), 4)
    0.6321
    """
    wait = not_negative("time", time, "s") - not_negative("formative_lag", formative_lag, "s")
    mean = positive("statistical_lag", statistical_lag, "s")
    return plain(-np.expm1(-np.maximum(wait, 0.0) / mean))


def breakdown_delay(probability: ArrayLike, formative_lag: ArrayLike, statistical_lag: ArrayLike) -> Number:
    """Time by which a gap under overvoltage has broken down with a given chance.

    Parameters
    ----------
    probability : float or array (...)
        Chance of having broken down, below 1. [-]
    formative_lag : float or array, broadcasts
        Time that a discharge needs once it has an electron. [s]
    statistical_lag : float or array, broadcasts
        Mean wait for that electron. [s]

    Returns
    -------
    delay : broadcast shape
        Time since the voltage rose above breakdown. [s]

    Raises
    ------
    DomainError
        If the chance is not in 0 to below 1, or a lag has the wrong sign.

    Notes
    -----
    Valid: constant overvoltage and electron supply. Not covered: a wait without end: no time is certain.
    Equation: t = tf - ts ln(1 - P). Source: Laue law; Phys. Plasmas 13, 083502 (2006).

    Examples
    --------
    >>> round(breakdown_delay(0.99, 1e-3, 1e-2), 4)
    0.0471
    """
    chance = within("probability", probability, 0.0, float(np.nextafter(1.0, 0.0)), "-")
    mean = positive("statistical_lag", statistical_lag, "s")
    return plain(not_negative("formative_lag", formative_lag, "s") - mean * np.log1p(-chance))


def breakdown_jitter(formative_spread: ArrayLike, statistical_lag: ArrayLike) -> Number:
    """Standard deviation of the delay of a breakdown.

    Parameters
    ----------
    formative_spread : float or array (...)
        Standard deviation of the formative lag. [s]
    statistical_lag : float or array, broadcasts
        Mean wait for an electron. [s]

    Returns
    -------
    jitter : broadcast shape
        Standard deviation from shot to shot. [s]

    Raises
    ------
    DomainError
        If an argument is negative.

    Notes
    -----
    Valid: exponential wait and Gaussian formative lag, independent. Not covered: drift of voltage and pressure.
    Equation: sqrt(sf^2 + ts^2). Source: variance of the sum; distribution: Phys. Plasmas 13, 083502 (2006), verified
    there with 1000 shots a set in krypton at 2.6 mbar.

    Examples
    --------
    >>> breakdown_jitter(3e-9, 4e-9)
    5e-09
    """
    wait = not_negative("statistical_lag", statistical_lag, "s")
    return plain(np.hypot(not_negative("formative_spread", formative_spread, "s"), wait))


def breakdown_delay_density(
    time: ArrayLike, formative_lag: ArrayLike, formative_spread: ArrayLike, statistical_lag: ArrayLike
) -> Number:
    """Probability density of the delay of a breakdown: Gaussian formative lag convolved with an exponential wait.

    Parameters
    ----------
    time : float or array (...)
        Time since the voltage rose above breakdown. [s]
    formative_lag : float or array, broadcasts
        Mean formative lag. [s]
    formative_spread : float or array, broadcasts
        Its standard deviation. [s]
    statistical_lag : float or array, broadcasts
        Mean wait for an electron. [s]

    Returns
    -------
    probability_density : broadcast shape
        Probability per time. [1/s]

    Raises
    ------
    DomainError
        If a spread or lag is not positive.

    Notes
    -----
    Valid: constant overvoltage. Not covered: a voltage or pressure that changes meanwhile.
    Equation: Gauss(tf, sf) convolved with exp(-t / ts) / ts, in closed form with the normal integral.
    Source: Phys. Plasmas 13, 083502 (2006).

    Examples
    --------
    Far beyond the formative lag it is the exponential alone:

    >>> density = breakdown_delay_density(5e-6, 1e-7, 1e-9, 1e-6)
    >>> round(float(density / (np.exp(-4.9) / 1e-6)), 4)
    1.0
    """
    spread = positive("formative_spread", formative_spread, "s")
    mean = positive("statistical_lag", statistical_lag, "s")
    late = a_number("time", time, "s") - not_negative("formative_lag", formative_lag, "s")
    wait = spread**2 / (2.0 * mean**2) - late / mean
    return plain(np.exp(wait + log_ndtr(late / spread - spread / mean)) / mean)


def ionisation_wave_time(length: ArrayLike, wave_speed: ArrayLike) -> Number:
    """Time for the ionisation wave, which precedes breakdown of a long tube, to cross it.

    Parameters
    ----------
    length : float or array (...)
        Distance between the electrodes. [m]
    wave_speed : float or array, broadcasts
        Speed of the wave, 1e3 to 1e5 m/s in slow ramps to about 10 torr. [m/s]

    Returns
    -------
    crossing_time : broadcast shape
        Time to cross. [s]

    Raises
    ------
    DomainError
        If the length is negative or the speed is not positive.

    Notes
    -----
    Valid: long tubes (length large against diameter), to about 10 torr, ramps of 1 kV/us and slower.
    Not covered: its dependence on polarity, on a grounded conductor near the tube and on light: all matter.
    Equation: t = l / v. Source: Y. Ionikh, Plasma Phys. Rep. 46, 1015 (2020), abstract, for the speeds.

    Examples
    --------
    >>> ionisation_wave_time(0.1, 1e3)
    0.0001
    """
    return plain(not_negative("length", length, "m") / positive("wave_speed", wave_speed, "m/s"))
