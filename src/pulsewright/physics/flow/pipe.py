"""Flow in a round pipe: velocity, Reynolds number, friction, pressure drop."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.physics._domain import Number, as_float, not_negative, plain, positive, within

#: Reynolds numbers between which neither law holds.
LAMINAR_BELOW, TURBULENT_ABOVE = 2300.0, 4000.0


def flow_velocity(volume_flow: ArrayLike, diameter: ArrayLike) -> Number:
    """Mean velocity in a round pipe.

    Parameters
    ----------
    volume_flow : float or array (...)
        Volume flow. [m^3/s]
    diameter : float or array, broadcasts
        Inside diameter. [m]

    Returns
    -------
    velocity : broadcast shape
        Mean velocity. [m/s]

    Raises
    ------
    DomainError
        If the flow is negative or the diameter not positive.

    Notes
    -----
    Valid: full pipe. Not covered: pulsation. Equation: 4 Q / (pi d^2). Source: definition.

    Examples
    --------
    >>> round(flow_velocity(5e-5, 8e-3), 3)   # 3 L/min in 8 mm
    0.995
    """
    bore = positive("diameter", diameter, "m")
    return plain(4.0 * not_negative("volume_flow", volume_flow, "m^3/s") / (np.pi * bore * bore))


def reynolds_number(velocity: ArrayLike, diameter: ArrayLike, density: ArrayLike, viscosity: ArrayLike) -> Number:
    """Reynolds number of pipe flow.

    Parameters
    ----------
    velocity : float or array (...)
        Mean velocity. [m/s]
    diameter : float or array, broadcasts
        Inside diameter. [m]
    density : float or array, broadcasts
        Density of the liquid. [kg/m^3]
    viscosity : float or array, broadcasts
        Dynamic viscosity. [Pa s]

    Returns
    -------
    reynolds_number : broadcast shape
        Reynolds number; laminar below about 2300, turbulent above about 4000. [-]

    Raises
    ------
    DomainError
        If the velocity is negative or another argument not positive.

    Notes
    -----
    Valid: Newtonian liquid. Not covered: pipes that are not round. Equation: rho v d / mu. Source: definition.

    Examples
    --------
    >>> round(reynolds_number(1.0, 8e-3, 789.4, 1.194e-3))
    5289
    """
    moved = not_negative("velocity", velocity, "m/s") * positive("diameter", diameter, "m")
    return plain(moved * positive("density", density, "kg/m^3") / positive("viscosity", viscosity, "Pa s"))


def _turbulent(reynolds: NDArray[np.float64], roughness: NDArray[np.float64]) -> NDArray[np.float64]:
    """Colebrook's equation by fixed-point iteration on 1/sqrt(f), which contracts about tenfold a turn."""
    inverse = np.full(np.broadcast(reynolds, roughness).shape, 7.0)
    for _ in range(20):
        inverse = -2.0 * np.log10(roughness / 3.7 + 2.51 * inverse / reynolds)
    return np.asarray(inverse**-2.0)


def friction_factor(reynolds_number: ArrayLike, relative_roughness: ArrayLike = 0.0) -> Number:
    """Darcy friction factor of a round pipe.

    Parameters
    ----------
    reynolds_number : float or array (...)
        Reynolds number. [-]
    relative_roughness : float or array, broadcasts
        Height of the roughness over the inside diameter. [-]

    Returns
    -------
    friction_factor : broadcast shape
        Darcy friction factor. [-]

    Raises
    ------
    DomainError
        If the Reynolds number is not positive or the roughness outside 0 to 0.05.

    Notes
    -----
    Valid: developed flow. Between 2300 and 4000 the flow is undecided: the turbulent, larger value is given there.
    Not covered: entrance length, bends and fittings.
    Equation: 64 / Re below 2300; 1/sqrt(f) = -2 log10(e/3.7 + 2.51/(Re sqrt f)) above. Source: Hagen-Poiseuille;
    Colebrook, J. Inst. Civ. Eng. 11 (1939).

    Examples
    --------
    >>> friction_factor(1000.0)
    0.064
    """
    reynolds = positive("reynolds_number", reynolds_number, "-")
    rough = within("relative_roughness", relative_roughness, 0.0, 0.05, "-")
    turbulent = _turbulent(np.maximum(reynolds, LAMINAR_BELOW), rough)
    return plain(np.where(reynolds < LAMINAR_BELOW, 64.0 / reynolds, turbulent))


def pipe_pressure_drop(
    volume_flow: ArrayLike,
    diameter: ArrayLike,
    length: ArrayLike,
    density: ArrayLike,
    viscosity: ArrayLike,
    roughness: ArrayLike = 0.0,
) -> Number:
    """Pressure lost to friction along a straight round pipe.

    Parameters
    ----------
    volume_flow : float or array (...)
        Volume flow. [m^3/s]
    diameter : float or array, broadcasts
        Inside diameter. [m]
    length : float or array, broadcasts
        Length of the pipe. [m]
    density : float or array, broadcasts
        Density of the liquid. [kg/m^3]
    viscosity : float or array, broadcasts
        Dynamic viscosity. [Pa s]
    roughness : float or array, broadcasts
        Height of the roughness of the wall. [m]

    Returns
    -------
    pressure_drop : broadcast shape
        Pressure drop. [Pa]

    Raises
    ------
    DomainError
        If an argument is out of its domain.

    Notes
    -----
    Valid: steady developed flow. Not covered: bends, fittings, filters, entrance.
    Equation: dp = f (l/d) rho v^2 / 2. Source: Darcy-Weisbach.

    Examples
    --------
    >>> pipe_pressure_drop(0.0, 8e-3, 1.0, 789.4, 1.194e-3)
    0.0
    """
    velocity = as_float(flow_velocity(volume_flow, diameter))
    number = as_float(reynolds_number(velocity, diameter, density, viscosity))
    bore = positive("diameter", diameter, "m")
    # a pipe at rest has no Reynolds number; its loss is zero whatever the factor
    factor = friction_factor(np.maximum(number, 1e-12), not_negative("roughness", roughness, "m") / bore)
    head = as_float(density) * velocity * velocity / 2.0
    return plain(factor * positive("length", length, "m") / bore * head)
