"""How many shots a quartz lamp lasts at a fraction of its explosion energy.

A power of 8.5: the 27 to 38 % by which published explosion energies differ is a factor of 7 to 15 here.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.errors import DomainError
from pulsewright.physics._domain import Number, plain, positive

#: Below this fraction electrode sputter and gas loss end the lamp, long before the formula says
#: (encyclopaedia article "Flashtube").
LOWEST_FRACTION = 0.15
#: Above this fraction ablation can wear the wall until it ruptures (same article).
ABLATION_FRACTION = 0.30
#: Fractions and the decade of shots printed beside them in lamp-maker guides (from memory).
BRACKETS = (
    (1.0, 0.0, 1e1),
    (0.7, 1e1, 1e2),
    (0.5, 1e2, 1e3),
    (0.4, 1e3, 1e4),
    (0.3, 1e4, 1e5),
    (0.2, 1e5, 1e6),
)


def lamp_life(explosion_fraction: ArrayLike, exponent: float = 8.5, lowest_fraction: float = LOWEST_FRACTION) -> Number:
    """Expected number of shots of a quartz lamp, capped where the formula stops being believed.

    Parameters
    ----------
    explosion_fraction : float or array (...)
        Energy in the lamp over its explosion energy. [-]
    exponent : float
        Exponent of the law. [-]
    lowest_fraction : float
        Smaller fractions are counted as this one, which caps the result (1.0e7 shots). [-]

    Returns
    -------
    shots : same shape
        Expected shots, never below 0 and never above the cap. [-]

    Raises
    ------
    DomainError
        If a fraction or the exponent is not positive.

    Notes
    -----
    Valid: fractions 0.15 to 1, linear quartz lamps, free-running pulses of about 0.1 to 10 ms.
    Not covered: microsecond pulses and coaxial lamps (an extrapolation); electrode sputter and gas loss, which
    govern below 0.15; ablation of the wall, which can rupture it above 0.30.
    Equation: N = (E / Ex)^-8.5. Source: Koechner, Solid-State Laser Engineering, and lamp-maker guides (from memory);
    range: encyclopaedia article "Flashtube".

    Examples
    --------
    >>> round(lamp_life(0.5))
    362
    >>> lamp_life(0.01) == lamp_life(0.15)
    True
    """
    lowest = positive("lowest_fraction", lowest_fraction, "-")
    fraction = np.maximum(positive("explosion_fraction", explosion_fraction, "-"), lowest)
    return plain(fraction ** -positive("exponent", exponent, "-"))


class ShotRange(NamedTuple):
    """Fewest and most shots."""

    fewest: float
    most: float


def lamp_life_range(
    lamp_energy: float, lowest_explosion_energy: float, highest_explosion_energy: float, exponent: float = 8.5
) -> ShotRange:
    """Expected shots of a lamp over the range of its published explosion energies.

    Parameters
    ----------
    lamp_energy : float
        Energy in one lamp per pulse. [J]
    lowest_explosion_energy : float
        Lowest published explosion energy of that lamp and pulse. [J]
    highest_explosion_energy : float
        Highest published one. [J]
    exponent : float
        Exponent of the law. [-]

    Returns
    -------
    fewest : float
        Shots by the lowest explosion energy. [-]
    most : float
        Shots by the highest one. [-]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: fractions 0.15 to 1 (smaller ones are capped), linear quartz lamps, pulses of about 0.1 to 10 ms.
    Not covered: microsecond pulses and coaxial lamps; electrode wear below 0.15; ablation above 0.30.
    Equation: N = (E / Ex)^-8.5 at both ends. Source: Koechner, Solid-State Laser Engineering, and
    lamp-maker guides (from memory).

    Examples
    --------
    >>> life = lamp_life_range(100.0, 300.0, 414.0)
    >>> round(life.most / life.fewest, 1)
    15.5
    """
    energy = float(positive("lamp_energy", lamp_energy, "J"))
    low = float(positive("lowest_explosion_energy", lowest_explosion_energy, "J"))
    high = float(positive("highest_explosion_energy", highest_explosion_energy, "J"))
    return ShotRange(float(lamp_life(energy / low, exponent)), float(lamp_life(energy / high, exponent)))


def lamp_life_bracket(explosion_fraction: float) -> ShotRange:
    """Decade of shots that lamp-maker guides print for a fraction of the explosion energy.

    Parameters
    ----------
    explosion_fraction : float
        Energy in the lamp over its explosion energy, 0.2 to 1. [-]

    Returns
    -------
    fewest : float
        Lower end; between two printed fractions, that of the larger fraction. [-]
    most : float
        Upper end; between two printed fractions, that of the smaller fraction. [-]

    Raises
    ------
    DomainError
        Outside 0.2 to 1, where nothing is printed.

    Notes
    -----
    Valid: linear quartz lamps, free-running pulses of about 0.1 to 10 ms. Not covered: microsecond pulses.
    Equation: lookup: 1.0: 0-10; 0.7: 10-100; 0.5: 100-1000; 0.4: 1e3-1e4; 0.3: 1e4-1e5; 0.2: 1e5-1e6 shots.
    Source: lamp-maker guides (from memory).

    Examples
    --------
    >>> lamp_life_bracket(0.4)
    ShotRange(fewest=1000.0, most=10000.0)
    >>> lamp_life_bracket(0.35)
    ShotRange(fewest=1000.0, most=100000.0)
    """
    if not BRACKETS[-1][0] <= explosion_fraction <= BRACKETS[0][0]:
        raise DomainError(
            f"explosion_fraction is {explosion_fraction:g}",
            argument="explosion_fraction",
            allowed="Allowed: 0.2 to 1, where the guides print a decade",
            next_step="Use lamp_life and heed its range",
        )
    fewest = max(low for fraction, low, _ in BRACKETS if fraction >= explosion_fraction)
    most = min(high for fraction, _, high in BRACKETS if fraction <= explosion_fraction)
    return ShotRange(fewest, most)


def lamp_life_regime(explosion_fraction: float) -> str:
    """What ends a lamp at a fraction of its explosion energy, and so whether the life formula may be believed.

    Parameters
    ----------
    explosion_fraction : float
        Energy in the lamp over its explosion energy. [-]

    Returns
    -------
    regime : str
        One of `electrode wear`, `wall wear`, `ablation`, `explosion`.

    Raises
    ------
    DomainError
        If the fraction is not positive.

    Notes
    -----
    Valid: linear quartz lamps, free-running pulses; the bounds are rough. Not covered: microsecond pulses.
    Equation: below 0.15 electrode wear (the formula is far too optimistic), to 0.30 wall wear (it is fair), below 1
    ablation (the wall may rupture), from 1 explosion.
    Source: encyclopaedia article "Flashtube".

    Examples
    --------
    >>> lamp_life_regime(0.25)
    'wall wear'
    """
    fraction = float(positive("explosion_fraction", explosion_fraction, "-"))
    if fraction < LOWEST_FRACTION:
        return "electrode wear"
    if fraction <= ABLATION_FRACTION:
        return "wall wear"
    return "ablation" if fraction < 1.0 else "explosion"
