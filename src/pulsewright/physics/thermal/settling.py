"""How long heat and pressure take: conduction across the bore, sound from wall to axis."""

from __future__ import annotations

from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, not_negative, plain, positive

#: Square of the first zero of the Bessel function J0: decay of the slowest mode in a cylinder.
FIRST_MODE = 5.783185962946785


def thermal_diffusivity(thermal_conductivity: ArrayLike, density: ArrayLike, specific_heat: ArrayLike) -> Number:
    """Thermal diffusivity of a liquid.

    Parameters
    ----------
    thermal_conductivity : float or array (...)
        Thermal conductivity. [W/(m K)]
    density : float or array, broadcasts
        Density. [kg/m^3]
    specific_heat : float or array, broadcasts
        Specific heat at constant pressure. [J/(kg K)]

    Returns
    -------
    diffusivity : broadcast shape
        Thermal diffusivity. [m^2/s]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: liquid at rest. Not covered: convection. Equation: alpha = k / (rho c). Source: definition.

    Examples
    --------
    >>> round(thermal_diffusivity(0.164, 789.4, 2396.0) * 1e8, 2)   # ethanol
    8.67
    """
    capacity = positive("density", density, "kg/m^3") * positive("specific_heat", specific_heat, "J/(kg K)")
    return plain(positive("thermal_conductivity", thermal_conductivity, "W/(m K)") / capacity)


def thermal_settling_time(radius: ArrayLike, diffusivity: ArrayLike) -> Number:
    """Time in which heat in a stagnant bore falls to 37 % by conduction to its wall.

    Parameters
    ----------
    radius : float or array (...)
        Radius of the bore. [m]
    diffusivity : float or array, broadcasts
        Thermal diffusivity. [m^2/s]

    Returns
    -------
    time : broadcast shape
        Time constant of the slowest mode. [s]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: liquid at rest, wall held at its temperature; wait two to three time constants between shots.
    Not covered: convection, which disturbs the beam before it helps; flow.
    Equation: tau = r^2 / (5.78 alpha), 5.78 the square of the first zero of J0.
    Source: Carslaw and Jaeger, from memory.

    Examples
    --------
    >>> round(thermal_settling_time(5e-3, 8.67e-8))   # ethanol, 10 mm bore
    50
    """
    edge = positive("radius", radius, "m")
    return plain(edge * edge / (FIRST_MODE * positive("diffusivity", diffusivity, "m^2/s")))


def acoustic_transit_time(
    radius: ArrayLike, sound_speed: ArrayLike, wall_thickness: ArrayLike = 0.0, wall_sound_speed: ArrayLike = 5900.0
) -> Number:
    """Time a pressure wave takes from the wall of the bore to its axis.

    Parameters
    ----------
    radius : float or array (...)
        Radius of the bore. [m]
    sound_speed : float or array, broadcasts
        Sound speed of the liquid. [m/s]
    wall_thickness : float or array, broadcasts
        Thickness of the tube wall, for a wave that starts outside it. [m]
    wall_sound_speed : float or array, broadcasts
        Sound speed of the wall; fused silica 5900 m/s. [m/s]

    Returns
    -------
    time : broadcast shape
        Transit time. [s]

    Raises
    ------
    DomainError
        If radius or a sound speed is not positive, or the wall thickness negative.

    Notes
    -----
    Valid: weak waves. The outer part of the bore is spoilt earlier, in proportion to its depth.
    Not covered: strong shocks of coaxial lamps, which run faster. Equation: R / c + w / c_w. Source: definition.

    Examples
    --------
    >>> round(acoustic_transit_time(5e-3, 1159.0) * 1e6, 2)   # ethanol, 10 mm bore
    4.31
    """
    liquid = positive("radius", radius, "m") / positive("sound_speed", sound_speed, "m/s")
    wall = not_negative("wall_thickness", wall_thickness, "m") / positive("wall_sound_speed", wall_sound_speed, "m/s")
    return plain(liquid + wall)
