"""Sparks: whether light breaks down air, or lights a plasma on a target. Orders of magnitude only."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, not_negative, plain, positive


class PlasmaRow(NamedTuple):
    """Irradiance range, in W/m^2, over which a spark turns from unlikely to likely."""

    place: str
    irradiance_low: float
    irradiance_high: float
    words: str
    source: str


class PlasmaVerdict(NamedTuple):
    """How likely a spark is at one place: `unlikely`, `possible` or `likely`."""

    row: PlasmaRow
    likelihood: str


#: For some 590 nm and 1 to 3 us; none was measured at exactly these.
PLASMA_ROWS = (
    PlasmaRow(
        "absorbing solid target",
        1e11,
        1e12,
        "luminous plume on absorbing ceramic or anodised metal, then a full surface plasma",
        "near-surface breakdown 1e7 to 1e8 W/cm^2 at microseconds: Raizer, Bunkin reviews, from memory",
    ),
    PlasmaRow(
        "dusty air",
        5e13,
        1e14,
        "spark at a focus in air with dust",
        "one 50 um carbon particle, 1.06 um, 100 ns, 5e9 W/cm^2: Appl. Phys. Lett. 25, 15 (1974)",
    ),
    PlasmaRow(
        "clean air",
        1e14,
        1e15,
        "spark at a focus in clean air",
        "gases 1e9 to 1e11 W/cm^2 (Great Soviet Encyclopedia); clean air 2.5e11 at 1.06 um, 100 ns: Appl. Phys. Lett. "
        "25, 15 (1974)",
    ),
)


def plasma_likelihood(irradiance: float) -> tuple[PlasmaVerdict, ...]:
    """How likely an irradiance is to light a plasma on a target, in dusty air and in clean air.

    Parameters
    ----------
    irradiance : float
        Peak irradiance at the place. [W/m^2]

    Returns
    -------
    verdicts : one a row
        Place, its range and `unlikely`, `possible` or `likely`.

    Raises
    ------
    DomainError
        If irradiance is negative.

    Notes
    -----
    Valid: about 590 nm, 1 to 3 us, orders of magnitude. Not covered: gas pressure, spot size, transparent targets.
    Equation: below, inside or above the range of `PLASMA_ROWS`. Source: beside each row.

    Examples
    --------
    >>> [(v.row.place, v.likelihood) for v in plasma_likelihood(1.3e12)][:2]
    [('absorbing solid target', 'likely'), ('dusty air', 'unlikely')]
    """
    value = float(not_negative("irradiance", irradiance, "W/m^2"))
    words = ("unlikely", "possible", "likely")
    return tuple(
        PlasmaVerdict(row, words[(value >= row.irradiance_low) + (value >= row.irradiance_high)]) for row in PLASMA_ROWS
    )


def scaled_breakdown_irradiance(
    irradiance: ArrayLike, duration_from: ArrayLike, duration_to: ArrayLike, exponent: ArrayLike = 0.5
) -> Number:
    """Breakdown irradiance of a gas carried to another pulse length.

    Parameters
    ----------
    irradiance : float or array (...)
        Breakdown irradiance where it was measured. [W/m^2]
    duration_from : float or array, broadcasts
        Pulse length there. [s]
    duration_to : float or array, broadcasts
        Pulse length asked for. [s]
    exponent : float or array, broadcasts
        Power of the pulse length: 0.5 for air, 0.7 published for argon at 0.35 um. [-]

    Returns
    -------
    irradiance : broadcast shape
        Breakdown irradiance at the other length. [W/m^2]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: air at 1.06 um from 40 ps to 31 ns; further is extrapolation. Not covered: dust, pressure, wavelength.
    Equation: I (t1/t2)^x. Source: Van Stryland et al., Phys. Rev. B 23 (1981): field ~ t^(-1/4), so irradiance
    ~ t^(-1/2).

    Examples
    --------
    >>> round(scaled_breakdown_irradiance(2e17, 1e-12, 1e-6) / 1e14, 6)
    2.0
    """
    ratio = positive("duration_from", duration_from, "s") / positive("duration_to", duration_to, "s")
    x = positive("exponent", exponent, "-")
    return plain(positive("irradiance", irradiance, "W/m^2") * np.power(ratio, x))


def plasma_coupling_fluence(duration: ArrayLike) -> Number:
    """Fluence on a solid target at which its plasma takes up momentum best: a measure of plasma onset.

    Parameters
    ----------
    duration : float or array (...)
        Pulse length. [s]

    Returns
    -------
    fluence : same shape
        Fluence on the target. [J/m^2]

    Raises
    ------
    DomainError
        If duration is not positive.

    Notes
    -----
    Valid: a fit over many wavelengths and materials, within about a factor of two. Not covered: a given material.
    Equation: F = 4.8e4 sqrt(tau) J/cm^2. Source: Phipps et al., J. Appl. Phys. 64, 1083 (1988), from memory.

    Examples
    --------
    >>> round(plasma_coupling_fluence(1e-6) / 1e4, 6)
    48.0
    """
    return plain(4.8e8 * np.sqrt(positive("duration", duration, "s")))
