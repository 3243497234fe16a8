"""Heat from the plasma to the wall: conductivity, boundary layer, warming of the glass and when it vaporises."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import constants

from pulsewright.physics._domain import Number, not_negative, plain, positive, within

Float = NDArray[np.float64]

#: (k / e)^2, unit of the Lorenz number. [W ohm/K^2]
LORENZ_UNIT = (constants.k / constants.e) ** 2
#: Temperature at which the conductivity of the cold gas is quoted. [K]
REFERENCE_TEMPERATURE = 300.0


def thermal_conductivity(
    temperature: ArrayLike,
    resistivity: ArrayLike,
    neutral_fraction: ArrayLike,
    gas_conductivity: ArrayLike,
    conductivity_exponent: ArrayLike = 0.7,
    lorenz_factor: ArrayLike = 2.0,
) -> Number:
    """Thermal conductivity of a lamp plasma: electrons by the Wiedemann-Franz relation, and the atoms.

    Parameters
    ----------
    temperature : float or array (...)
        Plasma temperature. [K]
    resistivity : float or array, broadcasts
        Electrical resistivity at that temperature. [ohm*m]
    neutral_fraction : float or array, broadcasts
        Part of the heavy particles that is not ionised. [-]
    gas_conductivity : float or array, broadcasts
        Thermal conductivity of the gas at 300 K. [W/(m K)]
    conductivity_exponent : float or array, broadcasts
        Power of the temperature with which that rises; range 0.65 to 0.8. [-]
    lorenz_factor : float or array, broadcasts
        Lorenz number over (k/e)^2; range 1.6 to 3.3. [-]

    Returns
    -------
    conductivity : broadcast shape
        Thermal conductivity. [W/(m K)]

    Raises
    ------
    DomainError
        If an argument is out of its range.

    Notes
    -----
    Valid: collisional plasma in equilibrium.
    Not covered: heat carried by diffusing ion-electron or atom pairs that recombine, which adds about as much where the
    gas is half ionised or half dissociated; conduction by ions.
    Equation: L (k/e)^2 T / eta + x_a lambda_300 (T / 300 K)^s.
    Source: Wiedemann-Franz relation; L = 1.6 from Braginskii's 3.16 / 1.96 for singly charged ions, 2 for a mean free
    path that does not depend on energy, 3.3 = pi^2 / 3 for a degenerate gas (all from memory); power law of the gas:
    common fit to measured conductivities of the rare gases (from memory).

    Examples
    --------
    >>> round(thermal_conductivity(300.0, 1e30, 1.0, 5.5e-3), 6)
    0.0055
    """
    kelvin = positive("temperature", temperature, "K")
    atoms = within("neutral_fraction", neutral_fraction, 0.0, 1.0, "-")
    cold = not_negative("gas_conductivity", gas_conductivity, "W/(m K)")
    power = not_negative("conductivity_exponent", conductivity_exponent, "-")
    electrons = not_negative("lorenz_factor", lorenz_factor, "-") * LORENZ_UNIT * kelvin
    electrons = electrons / positive("resistivity", resistivity, "ohm*m")
    return plain(electrons + atoms * cold * (kelvin / REFERENCE_TEMPERATURE) ** power)


def cold_heat_potential(
    temperature: ArrayLike,
    gas_conductivity: ArrayLike,
    conductivity_exponent: ArrayLike = 0.7,
    wall_temperature: ArrayLike = 300.0,
) -> Number:
    """Integral of the thermal conductivity of a gas that is not ionised, from the wall to a temperature.

    Parameters
    ----------
    temperature : float or array (...)
        Upper end of the integral. [K]
    gas_conductivity : float or array, broadcasts
        Thermal conductivity of the gas at 300 K. [W/(m K)]
    conductivity_exponent : float or array, broadcasts
        Power of the temperature with which that rises. [-]
    wall_temperature : float or array, broadcasts
        Temperature of the wall. [K]

    Returns
    -------
    heat_potential : broadcast shape
        Conductivity integrated over temperature. [W/m]

    Raises
    ------
    DomainError
        If an argument is out of its range.

    Notes
    -----
    Valid: below about 3000 K for the rare gases. Not covered: ionised gas, dissociation.
    Equation: S = lambda_300 300 K / (s + 1) ((T / 300 K)^(s + 1) - (T_w / 300 K)^(s + 1)).
    Source: integral of the power law.

    Examples
    --------
    >>> round(cold_heat_potential(2500.0, 5.5e-3), 1)
    34.7
    """
    power = not_negative("conductivity_exponent", conductivity_exponent, "-") + 1.0
    cold = not_negative("gas_conductivity", gas_conductivity, "W/(m K)") * REFERENCE_TEMPERATURE / power
    upper = (positive("temperature", temperature, "K") / REFERENCE_TEMPERATURE) ** power
    return plain(
        cold * (upper - (positive("wall_temperature", wall_temperature, "K") / REFERENCE_TEMPERATURE) ** power)
    )


def boundary_layer_thickness(
    diffusivity: ArrayLike, duration: ArrayLike, bore: ArrayLike, largest_fraction: ArrayLike = 0.25
) -> Number:
    """Thickness of the cool layer that has formed at the wall since the arc reached it.

    Parameters
    ----------
    diffusivity : float or array (...)
        Of the plasma. [m^2/s]
    duration : float or array, broadcasts
        Time since the arc filled the bore. [s]
    bore : float or array, broadcasts
        Inside diameter of the lamp. [m]
    largest_fraction : float or array, broadcasts
        Thickness in a settled arc over the bore; range 0.1 to 0.5. [-]

    Returns
    -------
    layer : broadcast shape
        Temperature difference over the temperature slope at the wall. [m]

    Raises
    ------
    DomainError
        If an argument is negative, or the bore is not positive.

    Notes
    -----
    Valid: constant diffusivity. Not covered: turbulence, ablation, the shift of gas as the cool layer contracts.
    Equation: delta = min(sqrt(pi a t), f d), which is d(delta^2)/dt = pi a. Source: conduction into a half space after
    a step of temperature, textbook (Carslaw and Jaeger, Conduction of Heat in Solids, from memory); the bound is ours:
    a parabolic profile in a settled arc has a slope of 4 dT / d at the wall.

    Examples
    --------
    >>> round(boundary_layer_thickness(0.01, 10e-6, 7e-3) * 1e3, 2)   # mm
    0.56
    """
    time = not_negative("duration", duration, "s")
    free = np.sqrt(np.pi * not_negative("diffusivity", diffusivity, "m^2/s") * time)
    most = within("largest_fraction", largest_fraction, 0.0, 0.5, "-") * positive("bore", bore, "m")
    return plain(np.minimum(free, most))


def wall_heat_flux(heat_potential: ArrayLike, layer: ArrayLike, wall_factor: ArrayLike = 1.0) -> Number:
    """Heat that the plasma conducts to the wall.

    Parameters
    ----------
    heat_potential : float or array (...)
        Thermal conductivity integrated from wall to plasma temperature. [W/m]
    layer : float or array, broadcasts
        Thickness of the boundary layer. [m]
    wall_factor : float or array, broadcasts
        Real flux over this one; range 1/3 to 3. [-]

    Returns
    -------
    heat_flux : broadcast shape
        Power per wall area. [W/m^2]

    Raises
    ------
    DomainError
        If an argument is negative, or the layer is not positive.

    Notes
    -----
    Valid: laminar layer thin against the bore. Not covered: what the factor's range stands for: recombination in the
    layer, denser gas in it, radiation taken up in it, turbulence.
    Equation: q = f S / delta, S = integral of lambda dT. Source: Fourier's law; the heat-flux potential of arc theory.

    Examples
    --------
    >>> wall_heat_flux(5e3, 0.5e-3)   # 1 kW/cm^2
    10000000.0
    """
    potential = not_negative("heat_potential", heat_potential, "W/m")
    return plain(not_negative("wall_factor", wall_factor, "-") * potential / positive("layer", layer, "m"))


def surface_temperature_rise(
    heat_flux: ArrayLike,
    duration: ArrayLike,
    solid_conductivity: ArrayLike,
    solid_density: ArrayLike,
    heat_capacity: ArrayLike,
) -> Number:
    """Temperature rise of the inner surface of a wall under a constant heat flux.

    Parameters
    ----------
    heat_flux : float or array (...)
        Power per area taken up at the surface. [W/m^2]
    duration : float or array, broadcasts
        Time since the flux set in. [s]
    solid_conductivity : float or array, broadcasts
        Thermal conductivity of the glass. [W/(m K)]
    solid_density : float or array, broadcasts
        Density of the glass. [kg/m^3]
    heat_capacity : float or array, broadcasts
        Heat capacity per mass of the glass. [J/(kg K)]

    Returns
    -------
    temperature_rise : broadcast shape
        Above the temperature before. [K]

    Raises
    ------
    DomainError
        If an argument is negative, or a property of the glass is not positive.

    Notes
    -----
    Valid: heat taken up within a depth small against sqrt(a t), a wall thick against it (1 mm: below 0.1 s).
    Not covered: melting, vaporising, properties that change with temperature, light absorbed deeper down.
    Equation: dT = 2 q sqrt(t / (pi k rho c)). Source: conduction into a half space, textbook (Carslaw and Jaeger).

    Examples
    --------
    >>> round(surface_temperature_rise(1e9, 10e-6, 2.0, 2200.0, 1200.0), -1)   # 1 J/cm^2 in 10 us on silica
    1550.0
    """
    time = not_negative("duration", duration, "s")
    inertia = positive("solid_conductivity", solid_conductivity, "W/(m K)")
    inertia = inertia * positive("solid_density", solid_density, "kg/m^3")
    inertia = inertia * positive("heat_capacity", heat_capacity, "J/(kg K)")
    return plain(2.0 * not_negative("heat_flux", heat_flux, "W/m^2") * np.sqrt(time / (np.pi * inertia)))


def vaporising_fluence(
    duration: ArrayLike,
    temperature_rise: ArrayLike,
    solid_conductivity: ArrayLike,
    solid_density: ArrayLike,
    heat_capacity: ArrayLike,
) -> Number:
    """Energy per area, taken up evenly in time, that brings a surface to the temperature at which it vaporises.

    Parameters
    ----------
    duration : float or array (...)
        Time in which the energy is taken up. [s]
    temperature_rise : float or array, broadcasts
        From the starting temperature to that at which vapour leaves fast. [K]
    solid_conductivity : float or array, broadcasts
        Thermal conductivity of the glass. [W/(m K)]
    solid_density : float or array, broadcasts
        Density of the glass. [kg/m^3]
    heat_capacity : float or array, broadcasts
        Heat capacity per mass of the glass. [J/(kg K)]

    Returns
    -------
    fluence : broadcast shape
        Energy per area. [J/m^2]

    Raises
    ------
    DomainError
        If an argument is negative, or a property of the glass is not positive.

    Notes
    -----
    Valid: as `surface_temperature_rise`. Not covered: the heat of vaporisation, which is paid afterwards.
    Equation: F = dT sqrt(pi k rho c t) / 2. Source: `surface_temperature_rise` solved for q t.

    Examples
    --------
    >>> round(vaporising_fluence(4e-6, 2700.0, 2.0, 2200.0, 1200.0) / 1e4, 1)   # J/cm^2 for silica
    1.1
    """
    time = not_negative("duration", duration, "s")
    inertia = positive("solid_conductivity", solid_conductivity, "W/(m K)")
    inertia = inertia * positive("solid_density", solid_density, "kg/m^3")
    inertia = inertia * positive("heat_capacity", heat_capacity, "J/(kg K)")
    return plain(0.5 * not_negative("temperature_rise", temperature_rise, "K") * np.sqrt(np.pi * inertia * time))


def heat_potential_along(temperature: Float, conductivity: Float, start: float) -> Float:
    """Integral of the thermal conductivity along a temperature axis that begins with a known value.

    Parameters
    ----------
    temperature : array (T,)
        Increasing temperatures. [K]
    conductivity : array (T,)
        Thermal conductivity there. [W/(m K)]
    start : float
        Integral from the wall to the first temperature. [W/m]

    Returns
    -------
    heat_potential : array (T,)
        Integral from the wall to each temperature. [W/m]

    Notes
    -----
    Valid: steps small against the scale on which the conductivity changes. Not covered: errors of the step, 1e-3 on
    the axis of the plasma tables.
    Equation: S = S_0 + sum of trapezia. Source: definition.

    Examples
    --------
    >>> heat_potential_along(np.array([300.0, 400.0]), np.array([1.0, 1.0]), 5.0).tolist()
    [5.0, 105.0]
    """
    parts = 0.5 * (conductivity[1:] + conductivity[:-1]) * np.diff(temperature)
    return np.concatenate([[start], start + np.cumsum(parts)])
