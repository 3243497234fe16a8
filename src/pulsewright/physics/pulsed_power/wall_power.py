"""What a charger draws from the wall: energy a shot, power, line current, and how often it can repeat."""

from __future__ import annotations

from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, not_negative, plain, positive, within


def line_energy(supplied_energy: ArrayLike, conversion_efficiency: ArrayLike) -> Number:
    """Energy that a charger takes from the wall for one charge.

    Parameters
    ----------
    supplied_energy : float or array (...)
        Energy from the output of the charger. [J]
    conversion_efficiency : float or array, broadcasts
        Output power over power from the wall, above 0 to 1. [-]

    Returns
    -------
    energy : broadcast shape
        Energy from the wall. [J]

    Raises
    ------
    DomainError
        If the energy is negative or the efficiency is outside 0 to 1, or 0.

    Notes
    -----
    Valid: efficiency as a mean over the charge. Not covered: what the charger draws while it holds or idles.
    Equation: E / eta. Source: definition of efficiency.

    Examples
    --------
    >>> line_energy(180.0, 0.8)
    225.0
    """
    share = within(
        "conversion_efficiency", positive("conversion_efficiency", conversion_efficiency, "-"), 0.0, 1.0, "-"
    )
    return plain(not_negative("supplied_energy", supplied_energy, "J") / share)


def line_current(power: ArrayLike, line_voltage: ArrayLike, power_factor: ArrayLike = 1.0) -> Number:
    """Effective current in the wall line.

    Parameters
    ----------
    power : float or array (...)
        Real power drawn from the wall. [W]
    line_voltage : float or array, broadcasts
        Voltage of the outlet, effective value, one phase. [V]
    power_factor : float or array, broadcasts
        Real over apparent power, above 0 to 1. [-]

    Returns
    -------
    current : broadcast shape
        Effective current. [A]

    Raises
    ------
    DomainError
        If the power is negative, the voltage not positive, or the factor outside 0 to 1, or 0.

    Notes
    -----
    Valid: one phase. Not covered: inrush when the charger is switched on; what else hangs on the line.
    Equation: I = P / (V cos phi). Source: definition of the power factor.

    Examples
    --------
    >>> round(line_current(225.0, 230.0, 0.7), 2)
    1.4
    """
    factor = within("power_factor", positive("power_factor", power_factor, "-"), 0.0, 1.0, "-")
    return plain(not_negative("power", power, "W") / (positive("line_voltage", line_voltage, "V") * factor))


def mean_power(energy: ArrayLike, repeat_period: ArrayLike) -> Number:
    """Mean power of something that takes an energy in each shot.

    Parameters
    ----------
    energy : float or array (...)
        Energy in each shot. [J]
    repeat_period : float or array, broadcasts
        Time from one shot to the next. [s]

    Returns
    -------
    power : broadcast shape
        Mean power. [W]

    Raises
    ------
    DomainError
        If the energy is negative or the period is not positive.

    Notes
    -----
    Valid: shots at equal times. Not covered: the peak within a shot, which fuses and bodies may feel.
    Equation: P = E / t. Source: definition.

    Examples
    --------
    >>> mean_power(180.0, 30.0)
    6.0
    """
    return plain(not_negative("energy", energy, "J") / positive("repeat_period", repeat_period, "s"))


def shortest_period(energy: ArrayLike, power_rating: ArrayLike) -> Number:
    """Shortest time from shot to shot at which a part keeps to its mean power.

    Parameters
    ----------
    energy : float or array (...)
        Energy that the part takes in each shot. [J]
    power_rating : float or array, broadcasts
        Mean power the part is rated for. [W]

    Returns
    -------
    repeat_period : broadcast shape
        Shortest period. [s]

    Raises
    ------
    DomainError
        If the energy is negative or the rating is not positive.

    Notes
    -----
    Valid: rating at the temperature and mounting in service. Not covered: energy that one shot may bring.
    Equation: t = E / P. Source: definition.

    Examples
    --------
    >>> shortest_period(180.0, 9.0)
    20.0
    """
    return plain(not_negative("energy", energy, "J") / positive("power_rating", power_rating, "W"))
