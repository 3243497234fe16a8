"""Accessible emission limits and the class of a pulsed visible laser."""

from __future__ import annotations

import math

from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, as_float, not_negative, plain, within
from pulsewright.physics.exposure.permissible import EYE_APERTURE, eye_exposure_limit

#: Area of the 7 mm aperture. [m^2]
APERTURE_AREA = math.pi * EYE_APERTURE**2 / 4
#: Class 3B ends here for pulses shorter than 0.06 s, 400 to 700 nm. [J]
CLASS_3B_ENERGY = 0.03


def class_1_energy(duration: ArrayLike) -> Number:
    """Accessible emission limit of class 1 for one visible pulse.

    Parameters
    ----------
    duration : float or array (...)
        Pulse length. [s]

    Returns
    -------
    energy : same shape
        Limit, 400 to 700 nm. [J]

    Raises
    ------
    DomainError
        If duration lies outside 10 ps to 10 s.

    Notes
    -----
    Valid: 400 to 700 nm, small source, IEC 60825-1:2014. Not covered: trains, extended sources.
    Equation: exposure limit of the eye times the area of 7 mm: 7.7e-8 J to 5 us, then 7e-4 t^0.75 J.
    Source: IEC 60825-1:2014, from memory.

    Examples
    --------
    >>> f"{class_1_energy(1e-6):.1e}"
    '7.7e-08'
    """
    t = within("duration", duration, 1e-11, 10.0, "s")
    return plain(as_float(eye_exposure_limit(550e-9, t)) * APERTURE_AREA)


def pulsed_visible_class(energy: float, duration: float) -> str:
    """Class of a laser that emits one visible pulse.

    Parameters
    ----------
    energy : float
        Energy of the pulse. [J]
    duration : float
        Pulse length. [s]

    Returns
    -------
    laser_class : str
        `1`, `3R`, `3B` or `4`. [-]

    Raises
    ------
    DomainError
        If energy is negative, or duration outside 10 ps to 0.06 s.

    Notes
    -----
    Valid: 400 to 700 nm, single pulses, bare beam. A rough guide: only the maker's classification by the standard
    counts. Not covered: enclosures, trains, class 2 (continuous light only).
    Equation: to the class 1 limit: 1; to five times: 3R; to 0.03 J: 3B; above: 4. Source: IEC 60825-1, from memory.

    Examples
    --------
    >>> pulsed_visible_class(0.8, 7e-6), pulsed_visible_class(0.02, 7e-6)
    ('4', '3B')
    """
    q = float(not_negative("energy", energy, "J"))
    limit = float(class_1_energy(within("duration", duration, 1e-11, 0.06, "s")))
    steps = ((limit, "1"), (5 * limit, "3R"), (CLASS_3B_ENERGY, "3B"))
    return next((name for end, name in steps if q <= end), "4")
