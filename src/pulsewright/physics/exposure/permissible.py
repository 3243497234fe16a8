"""Maximum permissible exposure of eye and skin, 400 to 1400 nm.

The tables are carried from memory; only the continuity of their break points and a few published
worked examples are checked. Obtain the standard before relying on a number.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.errors import DomainError
from pulsewright.physics._choice import one_of
from pulsewright.physics._domain import Number, as_float, plain, positive, refuse, within
from pulsewright.physics.exposure.corrections import (
    EDITIONS,
    SMALLEST_SUBTENSE,
    extended_source_factor,
    near_infrared_factor,
    water_absorption_factor,
)

#: Diameter over which the exposure of the eye is averaged, 400 to 1400 nm. [m]
EYE_APERTURE = 7e-3
#: The same for skin. [m]
SKIN_APERTURE = 3.5e-3
SHORTEST = {EDITIONS[0]: 1e-13, EDITIONS[1]: 1e-9}
LONGEST = 3e4


class _Row(NamedTuple):
    """One wavelength row: plateau [J/m^2], its end [s], and the factor of t^0.75 [J/(m^2 s^0.75)]."""

    plateau: float
    end: float
    rise: float


_VISIBLE = {EDITIONS[0]: _Row(2e-3, 5e-6, 18.0), EDITIONS[1]: _Row(5e-3, 18e-6, 18.0)}
_INFRARED = {EDITIONS[0]: _Row(2e-2, 13e-6, 90.0), EDITIONS[1]: _Row(5e-2, 50e-6, 90.0)}


def _thermal(t: NDArray[np.float64], row: _Row) -> NDArray[np.float64]:
    """Radiant exposure to 10 s for a small source without C4, C7."""
    plateau = np.where(t < 1e-11, row.plateau / 2, row.plateau)  # below 10 ps, which only the 2014 table has
    return np.where(t <= row.end, plateau, row.rise * np.minimum(t, 10.0) ** 0.75)


def _photochemical(nm: NDArray[np.float64], t: NDArray[np.float64]) -> NDArray[np.float64]:
    """Photochemical radiant exposure below 600 nm beyond 10 s, infinite elsewhere."""
    c3 = 10 ** (0.02 * np.maximum(nm - 450, 0.0))
    limit = np.where(t <= 100, 100.0 * c3, c3 * t)
    return np.where((t > 10) & (nm <= 600), limit, np.inf)


def eye_exposure_limit(
    wavelength: ArrayLike,
    duration: ArrayLike,
    angular_subtense: ArrayLike = SMALLEST_SUBTENSE,
    edition: str = "IEC 60825-1:2014",
) -> Number:
    """Maximum permissible exposure of the eye in one pulse, 400 to 1400 nm.

    Parameters
    ----------
    wavelength : float or array (...)
        Wavelength. [m]
    duration : float or array, broadcasts
        Duration of the pulse or of the exposure. [s]
    angular_subtense : float or array, broadcasts
        Angle that the apparent source takes up at the eye. [rad]
    edition : {'IEC 60825-1:2014', '2006/25/EC'}
        Edition of the table; for a microsecond visible pulse they differ by 2.5.

    Returns
    -------
    limit : broadcast shape
        Radiant exposure at the cornea, averaged over 7 mm. [J/m^2]

    Raises
    ------
    DomainError
        If wavelength lies outside 400 to 1400 nm, duration outside 100 fs (2014) or 1 ns (older) to 30 000 s, the
        source is extended and looked at for more than 10 s, or the edition is not known.

    Notes
    -----
    Valid: one exposure; trains by `repetitive_exposure_limit`. Not covered: extended sources beyond 10 s, the anterior
    eye above 1200 nm.
    Equation: 2014: 2e-3 C4 C6 J/m^2 to 5 us, then 18 t^0.75 C4 C6; above 1050 nm 2e-2 C7 C6 to 13 us, then
    90 t^0.75 C7 C6; older: 5e-3 to 18 us and 5e-2 to 50 us; beyond 10 s 10 C4 C7 W/m^2, below 600 nm also
    100 C3 J/m^2 and C3 W/m^2.
    Source: IEC 60825-1:2014 table A.1 and Directive 2006/25/EC annex II, both from memory, break points checked.

    Examples
    --------
    >>> round(eye_exposure_limit(488e-9, 0.25), 2)
    6.36
    >>> eye_exposure_limit(590e-9, 1e-6), eye_exposure_limit(590e-9, 1e-6, edition="2006/25/EC")
    (0.002, 0.005)
    """
    named = one_of("edition", edition, EDITIONS)
    wave = within("wavelength", wavelength, 400e-9, 1400e-9, "m")
    t = within("duration", duration, SHORTEST[named], LONGEST, "s")
    alpha = as_float(angular_subtense)
    refuse("duration", t, (t > 10) & (alpha > SMALLEST_SUBTENSE), "10 s for an extended source", "s")
    wave, t, alpha = np.broadcast_arrays(wave, t, alpha)
    infrared = wave >= 1050e-9
    c4, c7 = as_float(near_infrared_factor(wave)), as_float(water_absorption_factor(wave, named))
    short = np.where(infrared, _thermal(t, _INFRARED[named]) * c7, _thermal(t, _VISIBLE[named]) * c4)
    short = short * as_float(extended_source_factor(alpha, t, named))
    thermal = np.where(t > 10, 10.0 * c4 * c7 * t, short)
    return plain(np.minimum(thermal, _photochemical(wave * 1e9, t)))


def skin_exposure_limit(wavelength: ArrayLike, duration: ArrayLike) -> Number:
    """Maximum permissible exposure of the skin in one pulse, 400 to 1400 nm.

    Parameters
    ----------
    wavelength : float or array (...)
        Wavelength. [m]
    duration : float or array, broadcasts
        Duration of the pulse or of the exposure. [s]

    Returns
    -------
    limit : broadcast shape
        Radiant exposure averaged over 3.5 mm. [J/m^2]

    Raises
    ------
    DomainError
        If wavelength lies outside 400 to 1400 nm, or duration outside 100 fs to 30 000 s.

    Notes
    -----
    Valid: one exposure of a small area. Not covered: large areas beyond 10 s.
    Equation: 2e11 C4 t J/m^2 below 1 ns; 200 C4 to 100 ns; 1.1e4 C4 t^0.25 to 10 s; 2000 C4 t above.
    Source: IEC 60825-1, from memory.

    Examples
    --------
    >>> round(skin_exposure_limit(590e-9, 1e-6))
    348
    """
    c4 = as_float(near_infrared_factor(wavelength))
    t = within("duration", duration, 1e-13, LONGEST, "s")
    long = np.where(t < 10, 1.1e4 * t**0.25, 2000.0 * t)
    return plain(c4 * np.where(t < 1e-9, 2e11 * t, np.where(t < 1e-7, 200.0, long)))


class RepetitiveLimit(NamedTuple):
    """Limit of each pulse of a train, and the rule that gave it."""

    limit: float
    rule: str


def _pulse_count_factor(named: str, duration: float, end: float, alpha: float, exposure: float, number: float) -> float:
    """C5 of the edition."""
    fourth_root = math.sqrt(math.sqrt(number))
    if named == EDITIONS[1]:
        return 1 / fourth_root
    if duration <= end:
        return 1.0 if exposure <= 0.25 or number <= 600 else max(5 / fourth_root, 0.4)
    if alpha <= 5e-3 or alpha > 0.1:
        return 1.0
    largest = float(np.clip(0.2 * np.sqrt(duration), 0.005, 0.1))
    return max(1 / fourth_root, 0.4 if alpha <= largest else 0.2)


def repetitive_exposure_limit(
    wavelength: float,
    duration: float,
    frequency: float,
    time: float,
    angular_subtense: float = SMALLEST_SUBTENSE,
    edition: str = "IEC 60825-1:2014",
) -> RepetitiveLimit:
    """Maximum permissible exposure of the eye by each pulse of a regular train.

    Parameters
    ----------
    wavelength : float
        Wavelength. [m]
    duration : float
        Duration of one pulse. [s]
    frequency : float
        Pulses per second. [Hz]
    time : float
        Duration of the whole exposure. [s]
    angular_subtense : float
        Angle that the apparent source takes up at the eye. [rad]
    edition : {'IEC 60825-1:2014', '2006/25/EC'}
        Edition of the table.

    Returns
    -------
    limit : float
        Radiant exposure of one pulse. [J/m^2]
    rule : str
        `single pulse`, `average` or `pulse count`: the most restrictive. [-]

    Raises
    ------
    DomainError
        If an argument lies outside its domain, or pulses are longer than their distance.

    Notes
    -----
    Valid: regular trains. Not covered: irregular trains, pulses closer than the end of the plateau, which count as one.
    Equation: least of H(t), H(T)/N and H(t) C5; C5 = N^(-1/4) (older); 2014: 1 to 5 mrad, then as the source.
    Source: older: optique-ingenieur.org, exercise B; 2014: from memory.

    Examples
    --------
    >>> limit = repetitive_exposure_limit(488e-9, 10e-9, 1e6, 0.25, edition="2006/25/EC")
    >>> f"{limit.limit:.3e}", limit.rule
    ('2.546e-05', 'average')
    """
    named = one_of("edition", edition, EDITIONS)
    rate, whole = float(positive("frequency", frequency, "Hz")), float(positive("time", time, "s"))
    if duration * rate > 1 or whole < duration:
        raise DomainError(
            f"pulses of {duration:g} s at {rate:g} Hz, seen for {whole:g} s",
            argument="frequency",
            allowed="pulses shorter than their distance and than the exposure",
            next_step="lower frequency or duration",
        )
    number = max(1.0, rate * whole)
    single = float(eye_exposure_limit(wavelength, duration, angular_subtense, named))
    average = float(eye_exposure_limit(wavelength, whole, angular_subtense, named)) / number
    end = (_INFRARED if wavelength >= 1050e-9 else _VISIBLE)[named].end
    counted = single * _pulse_count_factor(named, duration, end, angular_subtense, whole, number)
    rules = ((single, "single pulse"), (average, "average"), (counted, "pulse count"))
    return RepetitiveLimit(*min(rules, key=lambda rule: rule[0]))
