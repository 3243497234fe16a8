"""Metal mirrors: the fluence at which the surface reaches its melting point."""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, a_number, plain, positive, refuse


def melt_fluence(
    absorptance: ArrayLike,
    temperature_rise: ArrayLike,
    thermal_conductivity: ArrayLike,
    density: ArrayLike,
    heat_capacity: ArrayLike,
    duration: ArrayLike,
) -> Number:
    """Upper bound of the damage fluence of a metal mirror: its surface reaches the melting point.

    Parameters
    ----------
    absorptance : float or array (...)
        Fraction of the light absorbed by the surface. [-]
    temperature_rise : float or array, broadcasts
        From room temperature to the melting point. [K]
    thermal_conductivity : float or array, broadcasts
        Of the metal. [W/(m K)]
    density : float or array, broadcasts
        Of the metal. [kg/m^3]
    heat_capacity : float or array, broadcasts
        Specific heat of the metal. [J/(kg K)]
    duration : float or array, broadcasts
        Length of the square pulse. [s]

    Returns
    -------
    fluence : broadcast shape
        Incident fluence at which the surface just melts. [J/m^2]

    Raises
    ------
    DomainError
        If an argument is not positive, or absorptance above 1.

    Notes
    -----
    Valid: square pulse, heat flowing straight inwards, constant properties: a bound, real coatings fail earlier.
    Not covered: thin film on glass, absorptance rising with temperature, fatigue.
    Equation: dT sqrt(pi k rho c tau)/(2 A). Source: heat conduction into a half space, textbook (from memory).

    Examples
    --------
    >>> round(melt_fluence(0.03, 940.0, 429.0, 10490.0, 235.0, 10e-9) / 1e4, 1)
    9.0
    """
    absorbed = a_number("absorptance", absorptance, "-")
    refuse("absorptance", absorbed, (absorbed <= 0) | (absorbed > 1), "above 0 to 1", "-")
    effusivity_squared = (
        positive("thermal_conductivity", thermal_conductivity, "W/(m K)")
        * positive("density", density, "kg/m^3")
        * positive("heat_capacity", heat_capacity, "J/(kg K)")
    )
    rise, tau = positive("temperature_rise", temperature_rise, "K"), positive("duration", duration, "s")
    return plain(rise * np.sqrt(math.pi * effusivity_squared * tau) / (2 * absorbed))
