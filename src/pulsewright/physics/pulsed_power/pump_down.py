"""Pumping a lamp down: the speed that reaches it, where a leak stops the pressure, pressure and time."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, not_negative, plain, positive, refuse


def effective_pump_speed(pump_speed: ArrayLike, conductance: ArrayLike) -> Number:
    """Volume flow of a pump that is left at the far end of a line.

    Parameters
    ----------
    pump_speed : float or array (...)
        Volume flow of the pump itself. [m^3/s]
    conductance : float or array, broadcasts
        Conductance of the line between lamp and pump. [m^3/s]

    Returns
    -------
    pump_speed : broadcast shape
        Volume flow at the lamp. [m^3/s]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: one line, speed and conductance that do not change with pressure. Not covered: a conductance that rises with
    pressure, as that of a narrow line in viscous flow does: take it at the pressure at which the lamp fires.
    Equation: 1/S_eff = 1/S + 1/C. Source: definition of conductance.

    Examples
    --------
    A line as good as the pump halves it:

    >>> effective_pump_speed(2.0e-4, 2.0e-4)
    0.0001
    """
    pump, line = positive("pump_speed", pump_speed, "m^3/s"), positive("conductance", conductance, "m^3/s")
    return plain(1.0 / (1.0 / pump + 1.0 / line))


def leak_stop_pressure(stop_pressure: ArrayLike, leak: ArrayLike, pump_speed: ArrayLike) -> Number:
    """Pressure at which pumping comes to rest when gas leaks in.

    Parameters
    ----------
    stop_pressure : float or array (...)
        Pressure the pump reaches without the leak. [Pa]
    leak : float or array, broadcasts
        Gas that leaks in, pressure times volume flow. [Pa*m^3/s]
    pump_speed : float or array, broadcasts
        Volume flow at the lamp. [m^3/s]

    Returns
    -------
    stop_pressure : broadcast shape
        Pressure in the lamp at rest. [Pa]

    Raises
    ------
    DomainError
        If pressure or leak is negative, or the speed is not positive.

    Notes
    -----
    Valid: a leak that does not depend on the pressure inside, as through a hole from the room.
    Not covered: gas given off by walls, which falls with time.
    Equation: p = p_u + Q / S. Source: balance of gas.

    Examples
    --------
    >>> leak_stop_pressure(100.0, 1.0e-2, 1.0e-4)
    200.0
    """
    raised = not_negative("leak", leak, "Pa*m^3/s") / positive("pump_speed", pump_speed, "m^3/s")
    return plain(not_negative("stop_pressure", stop_pressure, "Pa") + raised)


def pump_down_pressure(
    time: ArrayLike, start_pressure: ArrayLike, stop_pressure: ArrayLike, pump_speed: ArrayLike, volume: ArrayLike
) -> Number:
    """Pressure in a lamp that is pumped.

    Parameters
    ----------
    time : float or array (...)
        Time since the valve to the pump opened. [s]
    start_pressure : float or array, broadcasts
        Pressure then. [Pa]
    stop_pressure : float or array, broadcasts
        Pressure at rest, leak included. [Pa]
    pump_speed : float or array, broadcasts
        Volume flow at the lamp. [m^3/s]
    volume : float or array, broadcasts
        Volume that is pumped: lamps, line, buffer. [m^3]

    Returns
    -------
    pressure : broadcast shape
        Pressure in the lamp. [Pa]

    Raises
    ------
    DomainError
        If time or stop pressure is negative, or another argument is not positive.

    Notes
    -----
    Valid: constant speed at the lamp, gas at one temperature and one pressure everywhere.
    Not covered: the time the valve takes; a pressure difference along the lamp; gas given off by walls.
    Equation: p = p_u + (p_0 - p_u) exp(-S t / V). Source: balance of gas.

    Examples
    --------
    >>> round(pump_down_pressure(1.5, 400.0, 0.0, 1.0 / 3000.0, 0.5e-3), 1)   # one time constant
    147.2
    """
    start, rest = (
        positive("start_pressure", start_pressure, "Pa"),
        not_negative("stop_pressure", stop_pressure, "Pa"),
    )
    rate = positive("pump_speed", pump_speed, "m^3/s") / positive("volume", volume, "m^3")
    return plain(rest + (start - rest) * np.exp(-rate * not_negative("time", time, "s")))


def pump_down_time(
    pressure: ArrayLike, start_pressure: ArrayLike, stop_pressure: ArrayLike, pump_speed: ArrayLike, volume: ArrayLike
) -> Number:
    """Time to pump a lamp down to a pressure.

    Parameters
    ----------
    pressure : float or array (...)
        Pressure to reach, between start and rest. [Pa]
    start_pressure : float or array, broadcasts
        Pressure when the valve to the pump opens. [Pa]
    stop_pressure : float or array, broadcasts
        Pressure at rest, leak included. [Pa]
    pump_speed : float or array, broadcasts
        Volume flow at the lamp. [m^3/s]
    volume : float or array, broadcasts
        Volume that is pumped. [m^3]

    Returns
    -------
    time : broadcast shape
        Time since the valve opened. [s]

    Raises
    ------
    DomainError
        If the pressure is never reached, or an argument has the wrong sign.

    Notes
    -----
    Valid: as `pump_down_pressure`. Not covered: a pressure at or below that at rest: it is never reached.
    Equation: t = (V / S) ln((p_0 - p_u) / (p - p_u)). Source: balance of gas.

    Examples
    --------
    >>> round(pump_down_time(40.0, 400.0, 0.0, 1.0 / 3000.0, 0.5e-3), 3)
    3.454
    """
    start, rest = (
        positive("start_pressure", start_pressure, "Pa"),
        not_negative("stop_pressure", stop_pressure, "Pa"),
    )
    wanted = positive("pressure", pressure, "Pa")
    shown, wrong = np.broadcast_arrays(wanted, (wanted <= rest) | (wanted > start))
    refuse("pressure", shown, wrong, "above the pressure at rest and at most the start pressure", "Pa")
    constant = positive("volume", volume, "m^3") / positive("pump_speed", pump_speed, "m^3/s")
    return plain(constant * np.log((start - rest) / (wanted - rest)))
