"""Explosion energy of a quartz lamp: three published constants, each with its own meaning of pulse length.

They disagree by 27 to 38 %, a factor of 7 to 15 in expected life, so the range is told and never one number alone.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, as_float, not_negative, plain, positive


@dataclass(frozen=True, slots=True)
class ExplosionForm:
    """A published explosion law Ex = k d l sqrt(t), its constant in J/(m^2 s^0.5), for bores up to the largest."""

    constant: float
    definition: str
    largest_bore: float
    source: str


_PER_CM2 = 1e4
#: The published forms; `definition` says what t means, words of `pulse_length.DEFINITIONS`.
FORMS = (
    ExplosionForm(
        90.0 / (1e-3 * 25.4e-3 * math.sqrt(1e-3)),
        "third maximum",
        math.inf,
        "hobby page on flashlamps: 90 d[mm] l[inch] sqrt(t[ms]), t the width at a third of the peak",
    ),
    ExplosionForm(
        12000.0 * _PER_CM2,
        "three time scales",
        math.inf,
        "Koechner, Solid-State Laser Engineering, chapter 6 (from memory): critically damped pulse",
    ),
    ExplosionForm(24600.0 * _PER_CM2, "time scale", 8e-3, "lamp-maker guides (from memory): bores to 8 mm"),
    ExplosionForm(21000.0 * _PER_CM2, "time scale", math.inf, "lamp-maker guides (from memory): larger bores, about"),
)

#: Pulse lengths for which the square-root-of-time law was found [s]; shorter ones are an extrapolation.
SHORTEST_PULSE, LONGEST_PULSE = 0.1e-3, 10e-3


def explosion_energy(
    bore: ArrayLike, arc_length: ArrayLike, pulse_length: ArrayLike, explosion_constant: ArrayLike = 1.2e8
) -> Number:
    """Energy at which one pulse bursts a quartz lamp, from a given constant.

    Parameters
    ----------
    bore : float or array (...)
        Inside diameter of the lamp. [m]
    arc_length : float or array, broadcasts
        Distance between the electrodes. [m]
    pulse_length : float or array, broadcasts
        Length of the current pulse, by the definition that belongs to the constant. [s]
    explosion_constant : float or array, broadcasts
        The constant; the default, 12000 in cm, s, belongs to t = 3 sqrt(L C). [J/(m^2 s^0.5)]

    Returns
    -------
    explosion_energy : broadcast shape
        Energy per lamp and pulse. [J]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: linear quartz lamps, free-running pulses of about 0.1 to 10 ms. A lamp near it is a grenade: shield it.
    Not covered: microsecond pulses (shock-driven failure follows no sqrt(t) law), coaxial lamps, other glasses.
    Equation: Ex = k d l sqrt(t). Published: 11205 (t at a third of the peak), 12000 (t = 3 sqrt(L C)), 24600
    (t = sqrt(L C), bores to 8 mm; about 21000 above), each in J/(cm^2 s^0.5).
    Source: hobby page on flashlamps; Koechner, Solid-State Laser Engineering, chapter 6, and lamp-maker guides (both
    from memory).

    Examples
    --------
    The source's 90 mm by 4 mm lamp at 1.671 ms; with its 0.039 inch a millimetre it prints 1633.4199 J:

    >>> as_printed = 90 * 0.039 / (1e-3 * 1e-3 * 1e-3**0.5)
    >>> round(explosion_energy(4e-3, 90e-3, 1.671e-3, as_printed), 4)
    1633.4199
    """
    area = positive("bore", bore, "m") * positive("arc_length", arc_length, "m")
    root = np.sqrt(positive("pulse_length", pulse_length, "s"))
    return plain(positive("explosion_constant", explosion_constant, "J/(m^2 s^0.5)") * area * root)


class ExplosionRange(NamedTuple):
    """Explosion energies by the published constants, each with its own pulse length."""

    lowest: Number
    highest: Number
    by_third_maximum: Number
    by_three_time_scales: Number
    by_time_scale: Number


def explosion_energy_range(
    bore: ArrayLike, arc_length: ArrayLike, time_scale: ArrayLike, width_third: ArrayLike
) -> ExplosionRange:
    """Explosion energy by every published constant, each with the pulse length that belongs to it.

    Parameters
    ----------
    bore : float or array (...)
        Inside diameter of the lamp. [m]
    arc_length : float or array, broadcasts
        Distance between the electrodes. [m]
    time_scale : float or array, broadcasts
        sqrt(L C) of the circuit. [s]
    width_third : float or array, broadcasts
        Width of the current pulse at a third of its peak. [s]

    Returns
    -------
    lowest : broadcast shape
        Lowest of the three, the one to judge by. [J]
    highest : broadcast shape
        Highest of the three. [J]
    by_third_maximum : broadcast shape
        Constant 11205 J/(cm^2 s^0.5) with the width at a third of the peak. [J]
    by_three_time_scales : broadcast shape
        Constant 12000 with 3 sqrt(L C). [J]
    by_time_scale : broadcast shape
        Constant 24600 to 8 mm bore, 21000 above, with sqrt(L C). [J]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: linear quartz lamps, free-running pulses of about 0.1 to 10 ms, single mesh; energy per lamp.
    Not covered: microsecond pulses (then it is an extrapolation), coaxial lamps, other glasses, worn lamps.
    Equation: Ex = k d l sqrt(t) for each constant.
    Source: hobby page on flashlamps (11205); Koechner, Solid-State Laser Engineering, chapter 6 (12000, from memory);
    lamp-maker guides (24600 and 21000, from memory).

    Examples
    --------
    At alpha = 0.8 the width at a third of the peak is 2.533 sqrt(L C); the spread is then 38 %:

    >>> energies = explosion_energy_range(5e-3, 75e-3, 100e-6, 2.5328 * 100e-6)
    >>> round(energies.highest / energies.lowest, 2)
    1.38
    """
    third, three, small, large = FORMS
    constant = np.where(positive("bore", bore, "m") <= small.largest_bore, small.constant, large.constant)
    scale = positive("time_scale", time_scale, "s")
    width = positive("width_third", width_third, "s")
    energies = (
        explosion_energy(bore, arc_length, width, third.constant),
        explosion_energy(bore, arc_length, 3.0 * scale, three.constant),
        explosion_energy(bore, arc_length, scale, constant),
    )
    stacked = np.stack(np.broadcast_arrays(*(as_float(energy) for energy in energies)))
    return ExplosionRange(plain(stacked.min(axis=0)), plain(stacked.max(axis=0)), *energies)


def explosion_fraction(lamp_energy: ArrayLike, explosion_energy: ArrayLike) -> Number:
    """Energy in one lamp over its explosion energy.

    Parameters
    ----------
    lamp_energy : float or array (...)
        Energy given to one lamp per pulse. [J]
    explosion_energy : float or array, broadcasts
        Explosion energy of that lamp for that pulse. [J]

    Returns
    -------
    explosion_fraction : broadcast shape
        At 1 the lamp bursts at the first shot. [-]

    Raises
    ------
    DomainError
        If the energy is negative or the explosion energy is not positive.

    Notes
    -----
    Valid: where the explosion energy is. Not covered: wear, faulty seals, over-tightened mounts.
    Equation: f = E / Ex. Source: definition.

    Examples
    --------
    30 % of the source's 1633.42 J lamp is 490.03 J:

    >>> round(explosion_fraction(490.026, 1633.42), 4)
    0.3
    """
    energy = not_negative("lamp_energy", lamp_energy, "J")
    return plain(energy / positive("explosion_energy", explosion_energy, "J"))


def explosion_law_covers(pulse_length: ArrayLike) -> bool:
    """Whether the square-root-of-time explosion law was found for pulses of this length.

    Parameters
    ----------
    pulse_length : float
        Length of the current pulse, by any definition. [s]

    Returns
    -------
    covered : bool
        False where the law is an extrapolation. [-]

    Raises
    ------
    DomainError
        If the pulse length is not positive.

    Notes
    -----
    Valid: the bounds are rough. Not covered: what happens instead; wall loading is judged there.
    Equation: 0.1 ms <= t <= 10 ms. Source: Koechner, Solid-State Laser Engineering, chapter 6, and lamp-maker guides
    (from memory); the CORD laser course, module 3-2, names two separate explosion mechanisms.

    Examples
    --------
    >>> explosion_law_covers(7e-6)
    False
    """
    length = float(positive("pulse_length", pulse_length, "s"))
    return SHORTEST_PULSE <= length <= LONGEST_PULSE


def wall_loading(lamp_energy: ArrayLike, bore: ArrayLike, arc_length: ArrayLike) -> Number:
    """Energy given to one lamp per area of its bore wall.

    Parameters
    ----------
    lamp_energy : float or array (...)
        Energy given to one lamp per pulse. [J]
    bore : float or array, broadcasts
        Inside diameter of the lamp. [m]
    arc_length : float or array, broadcasts
        Distance between the electrodes. [m]

    Returns
    -------
    wall_loading : broadcast shape
        Energy per wall area and pulse. [J/m^2]

    Raises
    ------
    DomainError
        If the energy is negative, or a length is not positive.

    Notes
    -----
    Valid: a filled bore. Not covered: how much of it the wall absorbs: most passes through as light.
    Equation: H = E / (pi d l). Source: definition.

    Examples
    --------
    >>> round(wall_loading(90.0, 7e-3, 150e-3) / 1e4, 3)   # J/cm^2
    2.728
    """
    area = np.pi * positive("bore", bore, "m") * positive("arc_length", arc_length, "m")
    return plain(not_negative("lamp_energy", lamp_energy, "J") / area)
