"""What a shot's heat does to the dye: temperature, refractive index, wavefront."""

from __future__ import annotations

from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, a_number, as_float, not_negative, plain, positive, refuse


def adiabatic_temperature_rise(heat_density: ArrayLike, density: ArrayLike, specific_heat: ArrayLike) -> Number:
    """Temperature rise of a liquid that keeps all the heat put into it.

    Parameters
    ----------
    heat_density : float or array (...)
        Heat per volume. [J/m^3]
    density : float or array, broadcasts
        Density of the liquid. [kg/m^3]
    specific_heat : float or array, broadcasts
        Specific heat at constant pressure. [J/(kg K)]

    Returns
    -------
    rise : broadcast shape
        Temperature rise. [K]

    Raises
    ------
    DomainError
        If the heat is negative, or density or specific heat not positive.

    Notes
    -----
    Valid: within one shot, before conduction and flow act; rises of a few kelvin.
    Not covered: boiling, temperature dependence of the specific heat.
    Equation: dT = q / (rho c). Source: definition.

    Examples
    --------
    1 J/cm^3 in methanol:

    >>> round(adiabatic_temperature_rise(1e6, 791.0, 2505.0), 2)
    0.5
    """
    capacity = positive("density", density, "kg/m^3") * positive("specific_heat", specific_heat, "J/(kg K)")
    return plain(not_negative("heat_density", heat_density, "J/m^3") / capacity)


def index_change(temperature_rise: ArrayLike, index_temperature_coefficient: ArrayLike) -> Number:
    """Change of refractive index once a heated liquid has expanded.

    Parameters
    ----------
    temperature_rise : float or array (...)
        Temperature rise. [K]
    index_temperature_coefficient : float or array, broadcasts
        Change of index with temperature at constant pressure, negative for liquids. [1/K]

    Returns
    -------
    change : broadcast shape
        Change of index. [-]

    Raises
    ------
    DomainError
        If an argument is not a number.

    Notes
    -----
    Valid: after the pressure has relaxed, that is later than the sound's way through the heated region.
    Not covered: within the pulse, where the index follows density and hardly changes yet.
    Equation: dn = (dn/dT) dT. Source: definition.

    Examples
    --------
    >>> round(index_change(0.5, -3.95e-4) * 1e4, 2)
    -1.98
    """
    rise = a_number("temperature_rise", temperature_rise, "K")
    return plain(rise * a_number("index_temperature_coefficient", index_temperature_coefficient, "1/K"))


def index_coefficient_from_expansion(refractive_index: ArrayLike, expansion: ArrayLike) -> Number:
    """Change of index with temperature that expansion alone would give.

    Parameters
    ----------
    refractive_index : float or array (...)
        Index of the liquid. [-]
    expansion : float or array, broadcasts
        Volume expansion coefficient. [1/K]

    Returns
    -------
    coefficient : broadcast shape
        Change of index with temperature. [1/K]

    Raises
    ------
    DomainError
        If the index is below 1.

    Notes
    -----
    Valid: an upper bound of the magnitude for organic liquids, some 10 % above what is measured.
    Not covered: change of the molecular polarisability with temperature (it decides in water near 4 degC).
    Equation: dn/dT = -beta (n^2 - 1)(n^2 + 2) / (6 n). Source: Lorentz-Lorenz relation.

    Examples
    --------
    Methanol:

    >>> round(index_coefficient_from_expansion(1.3288, 1.184e-3) * 1e4, 2)
    -4.28
    """
    index = as_float(refractive_index)
    refuse("refractive_index", index, ~(index >= 1.0), "1 or above", "-")
    square = index * index
    return plain(-a_number("expansion", expansion, "1/K") * (square - 1.0) * (square + 2.0) / (6.0 * index))


def wavefront_error(index_difference: ArrayLike, length: ArrayLike, wavelength: ArrayLike) -> Number:
    """Difference of optical path between two rays, counted in wavelengths.

    Parameters
    ----------
    index_difference : float or array (...)
        Difference of refractive index between the two rays. [-]
    length : float or array, broadcasts
        Length over which it acts. [m]
    wavelength : float or array, broadcasts
        Vacuum wavelength. [m]

    Returns
    -------
    waves : broadcast shape
        Path difference over wavelength, signed. [-]

    Raises
    ------
    DomainError
        If length or wavelength is not positive.

    Notes
    -----
    Valid: index constant along each ray. Not covered: bending of the rays. Equation: dn l / lambda. Source: definition.

    Examples
    --------
    >>> round(wavefront_error(-2.0e-4, 0.30, 590e-9))
    -102
    """
    path = a_number("index_difference", index_difference, "-") * positive("length", length, "m")
    return plain(path / positive("wavelength", wavelength, "m"))
