"""Oxygen and carbon dioxide in the air of a room."""

from __future__ import annotations

from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, not_negative, plain, positive, within

#: Oxygen in dry air, volume fraction.
AIR_OXYGEN = 0.2095
#: Below this air counts as oxygen-deficient: 29 CFR 1910.146(b), 1910.134.
OXYGEN_DEFICIENT = 0.195
#: Above this air counts as oxygen-enriched: 29 CFR 1910.146(b).
OXYGEN_ENRICHED = 0.235
#: Carbon dioxide, 8 h mean, 15 min, and immediately dangerous: NIOSH IDLH documentation 124-38-9 (1994).
CARBON_DIOXIDE_LIMITS = {"8 h mean": 5000e-6, "short term": 30_000e-6, "immediately dangerous": 40_000e-6}
#: DGUV Information 205-034: free floor per mass of carbon dioxide that may escape, over a height of 2 m. [m^2/kg]
FLOOR_PER_MASS = 5.5
CREDITED_HEIGHT = 2.0


def oxygen_after_dilution(added_fraction: ArrayLike) -> Number:
    """Oxygen in air that has been mixed with another gas.

    Parameters
    ----------
    added_fraction : float or array (...)
        Volume fraction of the added gas in the mixture. [-]

    Returns
    -------
    oxygen_fraction : same shape
        Volume fraction of oxygen. [-]

    Raises
    ------
    DomainError
        If added_fraction lies outside 0 to 1.

    Notes
    -----
    Valid: even mixing; the added gas takes the place of air, not of oxygen alone. Not covered: layers of heavy gas.
    Equation: 0.2095 (1 - x). Source: mass balance.

    Examples
    --------
    >>> round(oxygen_after_dilution(0.05), 4)
    0.199
    """
    return plain(AIR_OXYGEN * (1 - within("added_fraction", added_fraction, 0.0, 1.0, "-")))


def added_gas_for_oxygen(oxygen_fraction: ArrayLike = OXYGEN_DEFICIENT) -> Number:
    """Volume fraction of another gas that brings the oxygen of air down to a value.

    Parameters
    ----------
    oxygen_fraction : float or array (...)
        Volume fraction of oxygen reached. [-]

    Returns
    -------
    added_fraction : same shape
        Volume fraction of the added gas. [-]

    Raises
    ------
    DomainError
        If oxygen_fraction lies outside 0 to that of air.

    Notes
    -----
    Valid: even mixing. For carbon dioxide its own toxicity binds first: an oxygen meter alone does not protect.
    Not covered: layers of heavy gas.
    Equation: 1 - y/0.2095. Source: mass balance.

    Examples
    --------
    >>> round(added_gas_for_oxygen(), 3)
    0.069
    """
    return plain(1 - within("oxygen_fraction", oxygen_fraction, 0.0, AIR_OXYGEN, "-") / AIR_OXYGEN)


def oxygen_condition(oxygen_fraction: float) -> str:
    """What air of a given oxygen content is called.

    Parameters
    ----------
    oxygen_fraction : float
        Volume fraction of oxygen. [-]

    Returns
    -------
    condition : str
        `deficient`, `usual` or `enriched`. [-]

    Raises
    ------
    DomainError
        If oxygen_fraction lies outside 0 to 1.

    Notes
    -----
    Valid: near atmospheric pressure. Not covered: altitude.
    Equation: below 19.5 %; above 23.5 %. Source: 29 CFR 1910.146(b), 1910.134.

    Examples
    --------
    >>> oxygen_condition(0.19), oxygen_condition(0.2095), oxygen_condition(0.3)
    ('deficient', 'usual', 'enriched')
    """
    oxygen = float(within("oxygen_fraction", oxygen_fraction, 0.0, 1.0, "-"))
    if oxygen < OXYGEN_DEFICIENT:
        return "deficient"
    return "enriched" if oxygen > OXYGEN_ENRICHED else "usual"


def carbon_dioxide_floor_area(mass: ArrayLike) -> Number:
    """Free floor area that a store or extinguisher of carbon dioxide needs.

    Parameters
    ----------
    mass : float or array (...)
        Mass of carbon dioxide that may escape. [kg]

    Returns
    -------
    area : same shape
        Free floor area. [m^2]

    Raises
    ------
    DomainError
        If mass is negative.

    Notes
    -----
    Valid: rooms of at least 2 m height: the layer up to 2 m stays just under 5 vol-%. Not covered: pits, cellars.
    Equation: 5.5 m^2/kg. Source: DGUV Information 205-034.

    Examples
    --------
    >>> carbon_dioxide_floor_area(5.0)
    27.5
    """
    return plain(FLOOR_PER_MASS * not_negative("mass", mass, "kg"))


def gas_layer_fraction(volume: ArrayLike, floor_area: ArrayLike, height: ArrayLike = CREDITED_HEIGHT) -> Number:
    """Volume fraction of a heavy gas that stays in the lower layer of a room.

    Parameters
    ----------
    volume : float or array (...)
        Volume of gas released. [m^3]
    floor_area : float or array, broadcasts
        Free floor area. [m^2]
    height : float or array, broadcasts
        Height of the layer. [m]

    Returns
    -------
    fraction : broadcast shape
        Gas released over volume of the layer. [-]

    Raises
    ------
    DomainError
        If volume is negative or another argument not positive.

    Notes
    -----
    Valid: gas small against the layer. Not covered: the higher content near the floor and the source.
    Equation: V/(A h). Source: definition; DGUV Information 205-034 credits 2 m.

    Examples
    --------
    >>> round(gas_layer_fraction(0.547, 5.5), 4)
    0.0497
    """
    layer = positive("floor_area", floor_area, "m^2") * positive("height", height, "m")
    return plain(not_negative("volume", volume, "m^3") / layer)
