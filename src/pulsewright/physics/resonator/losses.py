"""Losses of a round trip, photon lifetime, output coupling, and the light that circulates inside."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.physics._domain import Number, a_number, not_negative, plain, positive, refuse
from pulsewright.physics.resonator.two_mirror import SPEED_OF_LIGHT


def _reflectivity(name: str, value: ArrayLike) -> NDArray[np.float64]:
    r = a_number(name, value, "-")
    refuse(name, r, (r <= 0) | (r > 1), "above 0 to 1", "-")
    return r


def round_trip_loss(
    rear_reflectivity: ArrayLike, coupler_reflectivity: ArrayLike, loss_per_pass: ArrayLike = 0.0
) -> Number:
    """Logarithmic loss of one round trip between two mirrors.

    Parameters
    ----------
    rear_reflectivity : float or array (...)
        Reflectivity of the rear mirror. [-]
    coupler_reflectivity : float or array, broadcasts
        Reflectivity of the coupler. [-]
    loss_per_pass : float or array, broadcasts
        Logarithmic loss of one pass by everything else. [-]

    Returns
    -------
    loss : broadcast shape
        Loss as an exponent: the light left after a round trip is exp(-loss). [-]

    Raises
    ------
    DomainError
        If a reflectivity lies outside 0 to 1 (0 excluded) or loss_per_pass is negative.

    Notes
    -----
    Valid: any losses, taken as exponents. Not covered: loss that depends on the light.
    Equation: -ln(R1 R2) + 2 a. Source: definition.

    Examples
    --------
    >>> round(round_trip_loss(1.0, 0.5, 0.03), 4)
    0.7531
    """
    r = _reflectivity("rear_reflectivity", rear_reflectivity)
    r = r * _reflectivity("coupler_reflectivity", coupler_reflectivity)
    return plain(-np.log(r) + 2 * not_negative("loss_per_pass", loss_per_pass, "-"))


def round_trip_time(optical_length: ArrayLike) -> Number:
    """Time that light needs for one round trip.

    Parameters
    ----------
    optical_length : float or array (...)
        Optical distance between the mirrors, index included. [m]

    Returns
    -------
    time : same shape
        Round-trip time. [s]

    Raises
    ------
    DomainError
        If optical_length is not positive.

    Notes
    -----
    Valid: standing-wave resonator. Not covered: group index.
    Equation: 2 L/c. Source: definition.

    Examples
    --------
    >>> round(round_trip_time(0.45) * 1e9, 3)
    3.002
    """
    return plain(2 * positive("optical_length", optical_length, "m") / SPEED_OF_LIGHT)


def photon_lifetime(
    optical_length: ArrayLike,
    rear_reflectivity: ArrayLike,
    coupler_reflectivity: ArrayLike,
    loss_per_pass: ArrayLike = 0.0,
) -> Number:
    """Time in which the light of an unpumped resonator falls to 1/e.

    Parameters
    ----------
    optical_length : float or array (...)
        Optical distance between the mirrors, index included. [m]
    rear_reflectivity : float or array, broadcasts
        Reflectivity of the rear mirror. [-]
    coupler_reflectivity : float or array, broadcasts
        Reflectivity of the coupler. [-]
    loss_per_pass : float or array, broadcasts
        Logarithmic loss of one pass by everything else. [-]

    Returns
    -------
    lifetime : broadcast shape
        Photon lifetime; infinity without any loss. [s]

    Raises
    ------
    DomainError
        If an argument lies outside its domain.

    Notes
    -----
    Valid: loss spread over the round trip. Not covered: build-up within one round trip.
    Equation: 2 L/(c (-ln(R1 R2) + 2 a)). Source: definition.

    Examples
    --------
    >>> round(photon_lifetime(0.45, 0.99, 0.5, 0.03) * 1e9, 3)
    3.934
    """
    loss = np.asarray(round_trip_loss(rear_reflectivity, coupler_reflectivity, loss_per_pass))
    with np.errstate(divide="ignore"):
        return plain(np.divide(round_trip_time(optical_length), loss))


def coupled_fraction(
    rear_reflectivity: ArrayLike, coupler_reflectivity: ArrayLike, loss_per_pass: ArrayLike = 0.0
) -> Number:
    """Fraction of the photons lost from a resonator that leave through the coupler.

    Parameters
    ----------
    rear_reflectivity : float or array (...)
        Reflectivity of the rear mirror. [-]
    coupler_reflectivity : float or array, broadcasts
        Reflectivity of the coupler. [-]
    loss_per_pass : float or array, broadcasts
        Logarithmic loss of one pass by everything else. [-]

    Returns
    -------
    fraction : broadcast shape
        Useful fraction of the loss. [-]

    Raises
    ------
    DomainError
        If an argument lies outside its domain, or nothing is lost at all.

    Notes
    -----
    Valid: what the coupler does not reflect it transmits. Not covered: absorption in the coupler.
    Equation: -ln R2/(-ln(R1 R2) + 2 a). Source: definition.

    Examples
    --------
    >>> coupled_fraction(1.0, 0.5, 0.0)
    1.0
    """
    loss = np.asarray(round_trip_loss(rear_reflectivity, coupler_reflectivity, loss_per_pass))
    refuse("coupler_reflectivity", loss, loss <= 0, "a resonator with some loss", "")
    return plain(-np.log(_reflectivity("coupler_reflectivity", coupler_reflectivity)) / loss)


def threshold_gain_per_pass(
    rear_reflectivity: ArrayLike, coupler_reflectivity: ArrayLike, loss_per_pass: ArrayLike = 0.0
) -> Number:
    """Logarithmic gain of one pass that just makes up for the losses.

    Parameters
    ----------
    rear_reflectivity : float or array (...)
        Reflectivity of the rear mirror. [-]
    coupler_reflectivity : float or array, broadcasts
        Reflectivity of the coupler. [-]
    loss_per_pass : float or array, broadcasts
        Logarithmic loss of one pass by everything else. [-]

    Returns
    -------
    gain : broadcast shape
        Gain of one pass as an exponent. [-]

    Raises
    ------
    DomainError
        If an argument lies outside its domain.

    Notes
    -----
    Valid: steady state. Not covered: gain that varies within a round trip.
    Equation: -ln(R1 R2)/2 + a. Source: definition.

    Examples
    --------
    >>> round(threshold_gain_per_pass(1.0, 0.5, 0.0), 4)
    0.3466
    """
    return plain(0.5 * np.asarray(round_trip_loss(rear_reflectivity, coupler_reflectivity, loss_per_pass)))


def circulating_factor(reflectivity: ArrayLike) -> Number:
    """Light inside a resonator, both directions added, over the light that leaves it.

    Parameters
    ----------
    reflectivity : float or array (...)
        Reflectivity of the coupler. [-]

    Returns
    -------
    factor : same shape
        Fluence on an optic inside the cavity over the fluence behind the coupler. [-]

    Raises
    ------
    DomainError
        If reflectivity lies outside 0 to 1 (1 excluded).

    Notes
    -----
    Valid: near the coupler, which transmits what it does not reflect. Not covered: spiking, standing wave, light sent
    back from outside.
    Equation: (1 + R)/(1 - R). Source: definition of the transmitted fraction.

    Examples
    --------
    >>> circulating_factor(0.5)
    3.0
    """
    r = a_number("reflectivity", reflectivity, "-")
    refuse("reflectivity", r, (r < 0) | (r >= 1), "0 to below 1", "-")
    return plain((1 + r) / (1 - r))
