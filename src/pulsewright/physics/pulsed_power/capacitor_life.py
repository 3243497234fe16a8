"""How voltage and reversal change the life of a capacitor. Two published forms for reversal disagree fourfold."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, plain, positive, refuse, within

_ALMOST_ONE = float(np.nextafter(1.0, 0.0))
#: Reversals between which the life forms are evaluated; they give endless life at 0 and none at 1. The lower end, below
#: which no more life is counted, is a cut of this program.
LOWEST_REVERSAL, HIGHEST_REVERSAL = 0.05, 0.99


def reversal_quality_factor(reversal: ArrayLike) -> Number:
    """Quality factor of a ringing circuit from its reversal.

    Parameters
    ----------
    reversal : float or array (...)
        Second peak over the first, in reverse polarity; between 0 and 1. [-]

    Returns
    -------
    quality_factor : same shape
        Q of a series RLC circuit with that reversal. [-]

    Raises
    ------
    DomainError
        If the reversal is not between 0 and 1 (both excluded).

    Notes
    -----
    Valid: a linear RLC circuit that rings; there voltage and current reverse alike.
    Not covered: a lamp, whose resistance rises as the current falls.
    Equation: Q = pi / (2 ln(1 / R)). Source: Engineering Bulletin 96-004, "The effect of reversal on capacitor life"
    (2003) for the definition of reversal; algebra of the damped oscillation, for Q well above 1/2.

    Examples
    --------
    >>> round(reversal_quality_factor(0.2), 3), round(reversal_quality_factor(0.85), 2)
    (0.976, 9.67)
    """
    r = within("reversal", reversal, 0.0, _ALMOST_ONE, "-")
    refuse("reversal", r, r == 0.0, "above 0 and below 1", "-")
    return plain(np.pi / (2.0 * np.log(1.0 / r)))


def reversal_life_ratio(reversal: ArrayLike, reversal_rating: ArrayLike, exponent: float = 1.6) -> Number:
    """Life of a capacitor over its rated life, from the ratio of reversals.

    Parameters
    ----------
    reversal : float or array (...)
        Voltage reversal in service, above 0 and to 1. [-]
    reversal_rating : float or array, broadcasts
        Voltage reversal at which the rated life was given. [-]
    exponent : float
        Exponent of the law. [-]

    Returns
    -------
    life_ratio : broadcast shape
        Life over rated life. [-]

    Raises
    ------
    DomainError
        If a reversal is outside 0 to 1, or 0.

    Notes
    -----
    Valid: film and paper pulse capacitors, as a rough rule; the gentler of two forms in circulation.
    Not covered: temperature, repetition, ringing at high frequency. `quality_life_ratio` is the other form; show both.
    Equation: N / N_r = (R_r / R)^1.6. Source: pupman.com mailing list, December 2018, message 00143; exponent 1.6 from
    memory.

    Examples
    --------
    The source prints "about one tenth" for 20 % to 85 %:

    >>> round(reversal_life_ratio(0.85, 0.20), 4)
    0.0988
    """
    actual = _reversal("reversal", reversal)
    rated = _reversal("reversal_rating", reversal_rating)
    return plain((rated / actual) ** positive("exponent", exponent, "-"))


def quality_life_ratio(reversal: ArrayLike, reversal_rating: ArrayLike, exponent: float = 1.6) -> Number:
    """Life of a capacitor over its rated life, from the quality factors that belong to the reversals.

    Parameters
    ----------
    reversal : float or array (...)
        Voltage reversal in service, between 0 and 1. [-]
    reversal_rating : float or array, broadcasts
        Voltage reversal at which the rated life was given. [-]
    exponent : float
        Exponent of the law. [-]

    Returns
    -------
    life_ratio : broadcast shape
        Life over rated life. [-]

    Raises
    ------
    DomainError
        If a reversal is not between 0 and 1 (both excluded).

    Notes
    -----
    Valid: film and paper pulse capacitors, as a rough rule; the harsher of two forms in circulation.
    Not covered: temperature, repetition. `reversal_life_ratio` is the other form; show both.
    Equation: N / N_r = (Q / Q_r)^-1.6, Q = pi / (2 ln(1 / R)). Source: technical data of a pulsed-power consultancy
    (NESS) for the variables; exponent 1.6 from memory.

    Examples
    --------
    >>> round(quality_life_ratio(0.85, 0.20), 4)   # 1/39
    0.0255
    """
    ratio = np.asarray(reversal_quality_factor(reversal)) / np.asarray(reversal_quality_factor(reversal_rating))
    return plain(ratio ** -positive("exponent", exponent, "-"))


def voltage_life_ratio(charge_voltage: ArrayLike, voltage_rating: ArrayLike, exponent: float = 7.5) -> Number:
    """Life of a capacitor over its rated life, from the voltage it is charged to.

    Parameters
    ----------
    charge_voltage : float or array (...)
        Voltage in service. [V]
    voltage_rating : float or array, broadcasts
        Voltage at which the rated life was given. [V]
    exponent : float
        Exponent of the law; 6 to 9 by dielectric. [-]

    Returns
    -------
    life_ratio : broadcast shape
        Life over rated life. [-]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: not far below the rating, where the figure grows without limit but the part does not.
    Not covered: use above the rating: life then is a matter of luck, and the part a hazard.
    Equation: N / N_r = (V / V_r)^-7.5. Source: exponent 6 to 9: hobby page (2018); 7.5 for impregnated kraft paper
    (from memory).

    Examples
    --------
    >>> round(voltage_life_ratio(9e3, 10e3), 2)
    2.2
    """
    ratio = positive("charge_voltage", charge_voltage, "V") / positive("voltage_rating", voltage_rating, "V")
    return plain(ratio ** -positive("exponent", exponent, "-"))


class CapacitorLife(NamedTuple):
    """Shots by the two forms for reversal."""

    by_reversal: Number
    by_quality: Number


def capacitor_life(
    life_rating: ArrayLike,
    charge_voltage: ArrayLike,
    voltage_rating: ArrayLike,
    reversal: ArrayLike,
    reversal_rating: ArrayLike,
    voltage_exponent: float = 7.5,
    reversal_exponent: float = 1.6,
) -> CapacitorLife:
    """Expected shots of a capacitor, by both published forms for reversal.

    Parameters
    ----------
    life_rating : float or array (...)
        Rated number of shots. [-]
    charge_voltage : float or array, broadcasts
        Voltage in service. [V]
    voltage_rating : float or array, broadcasts
        Voltage at which the rated life was given. [V]
    reversal : float or array, broadcasts
        Voltage reversal in service, between 0 and 1. [-]
    reversal_rating : float or array, broadcasts
        Voltage reversal at which the rated life was given. [-]
    voltage_exponent : float
        Exponent of the voltage; 6 to 9 by dielectric. [-]
    reversal_exponent : float
        Exponent of the reversal, in both forms. [-]

    Returns
    -------
    by_reversal : broadcast shape
        Shots, reversal counted as R^-1.6. [-]
    by_quality : broadcast shape
        Shots, reversal counted as Q^-1.6. [-]

    Raises
    ------
    DomainError
        If an argument is not positive or a reversal is not below 1.

    Notes
    -----
    Valid: rough, near the rating. Not covered: temperature, repetition, peak current beyond the rating.
    Equation: N = N_r (V / V_r)^-7.5 times (R_r / R)^1.6 or (Q / Q_r)^-1.6.
    Source: exponent of voltage 7.5 from memory (6 to 9: hobby page, 2018); the form R^-1.6: pupman.com mailing list,
    December 2018; the form Q^-1.6: technical data of a pulsed-power consultancy (NESS) for the variables, exponent
    from memory.

    Examples
    --------
    >>> life = capacitor_life(1e5, 10e3, 10e3, 0.85, 0.20)
    >>> round(life.by_reversal), round(life.by_quality)
    (9876, 2551)
    """
    by_voltage = np.asarray(voltage_life_ratio(charge_voltage, voltage_rating, voltage_exponent))
    shots = positive("life_rating", life_rating, "-") * by_voltage
    by_reversal = shots * np.asarray(reversal_life_ratio(reversal, reversal_rating, reversal_exponent))
    by_quality = shots * np.asarray(quality_life_ratio(reversal, reversal_rating, reversal_exponent))
    return CapacitorLife(plain(by_reversal), plain(by_quality))


class CapacitorLifeRange(NamedTuple):
    """Fewest and most shots, and those by either published form."""

    fewest: float
    most: float
    by_reversal: float
    by_quality: float


def capacitor_life_range(
    life_rating: float,
    charge_voltage: float,
    voltage_rating: float,
    reversal: float,
    reversal_rating: float,
    voltage_exponent: float = 7.5,
    reversal_exponent: float = 1.6,
) -> CapacitorLifeRange:
    """Expected shots of a capacitor as a range over the published forms, for any reversal.

    Parameters
    ----------
    life_rating : float
        Rated number of shots. [-]
    charge_voltage : float
        Voltage in service. [V]
    voltage_rating : float
        Voltage at which the rated life was given. [V]
    reversal : float
        Voltage reversal in service, 0 to 1. [-]
    reversal_rating : float
        Voltage reversal at which the rated life was given, 0 to 1. [-]
    voltage_exponent : float
        Exponent of the voltage; 6 to 9 by dielectric. [-]
    reversal_exponent : float
        Exponent of the reversal, in both forms. [-]

    Returns
    -------
    fewest : float
        Fewest shots; a reversal below the rated one is given no credit here. [-]
    most : float
        Most shots by either form. [-]
    by_reversal : float
        Shots, reversal counted as R^-1.6. [-]
    by_quality : float
        Shots, reversal counted as Q^-1.6. [-]

    Raises
    ------
    DomainError
        If life, a voltage or an exponent is not positive, or a reversal is outside 0 to 1.

    Notes
    -----
    Valid: rough, near the rating. Not covered: temperature, repetition, age on the shelf, peak current beyond the
    rating. Reversals are counted as 0.05 at least and 0.99 at most, where the forms would give endless life or none.
    Equation: as `capacitor_life`; fewest is the lowest of both forms and of the rated reversal.
    Source: as `capacitor_life`; the two ends are choices of this program.

    Examples
    --------
    >>> life = capacitor_life_range(1e5, 10e3, 10e3, 0.85, 0.20)
    >>> round(life.fewest), round(life.most)
    (2551, 9876)
    >>> round(capacitor_life_range(1e5, 10e3, 10e3, 0.0, 0.20).fewest)   # at the rating, no reversal
    100000
    """
    low, high = LOWEST_REVERSAL, HIGHEST_REVERSAL
    actual = float(np.clip(within("reversal", reversal, 0.0, 1.0, "-"), low, high))
    rated = float(np.clip(within("reversal_rating", reversal_rating, 0.0, 1.0, "-"), low, high))
    exponents = voltage_exponent, reversal_exponent
    forms = capacitor_life(life_rating, charge_voltage, voltage_rating, actual, rated, *exponents)
    ends = float(forms.by_reversal), float(forms.by_quality)
    as_rated = float(life_rating) * float(voltage_life_ratio(charge_voltage, voltage_rating, voltage_exponent))
    return CapacitorLifeRange(min(*ends, as_rated), max(ends), *ends)


def _reversal(argument: str, value: ArrayLike) -> np.ndarray:
    checked = within(argument, value, 0.0, 1.0, "-")
    refuse(argument, checked, checked == 0.0, "above 0 and to 1", "-")
    return checked
