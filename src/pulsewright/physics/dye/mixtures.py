"""Two solvents mixed: what the mixture is, from what its parts are. Ideal rules; each says how far it is off."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, a_number, as_float, plain, positive, within
from pulsewright.physics.dye._fractions import Float, fractions

#: Part of the volume below which a solvent does not colour the mixture.
_TRACE = 1e-3


def mass_fractions(volume_fraction: ArrayLike, density: ArrayLike) -> Float:
    """Mass fractions of solvents measured out by volume.

    Parameters
    ----------
    volume_fraction : array (..., components)
        Part of the volume of each solvent, before mixing. [-]
    density : array (..., components)
        Density of each. [kg/m^3]

    Returns
    -------
    mass_fraction : array (..., components)
        Part of the mass of each. [-]

    Raises
    ------
    DomainError
        If the fractions do not add up to 1 or a density is not positive.

    Notes
    -----
    Valid: any. Not covered: volumes measured after mixing. Equation: w_i = v_i rho_i / sum v rho.
    Source: definition.

    Examples
    --------
    >>> mass_fractions([0.5, 0.5], [789.4, 998.2]).round(3)
    array([0.442, 0.558])
    """
    masses = fractions("volume_fraction", volume_fraction) * positive("density", density, "kg/m^3")
    return np.asarray(masses / masses.sum(axis=-1, keepdims=True))


def mole_fractions(mass_fraction: ArrayLike, molar_mass: ArrayLike) -> Float:
    """Mole fractions from mass fractions.

    Parameters
    ----------
    mass_fraction : array (..., components)
        Part of the mass of each solvent. [-]
    molar_mass : array (..., components)
        Molar mass of each. [kg/mol]

    Returns
    -------
    mole_fraction : array (..., components)
        Part of the molecules of each. [-]

    Raises
    ------
    DomainError
        If the fractions do not add up to 1 or a molar mass is not positive.

    Notes
    -----
    Valid: any. Not covered: association of molecules. Equation: x_i = (w_i / M_i) / sum w / M. Source: definition.

    Examples
    --------
    >>> mole_fractions([0.5, 0.5], [0.046069, 0.018015]).round(3)
    array([0.281, 0.719])
    """
    amounts = fractions("mass_fraction", mass_fraction) / positive("molar_mass", molar_mass, "kg/mol")
    return np.asarray(amounts / amounts.sum(axis=-1, keepdims=True))


def ideal_density(mass_fraction: ArrayLike, density: ArrayLike) -> Number:
    """Density of a mixture whose volumes add.

    Parameters
    ----------
    mass_fraction : array (..., components)
        Part of the mass of each solvent. [-]
    density : array (..., components)
        Density of each. [kg/m^3]

    Returns
    -------
    density : (...)
        Density of the mixture. [kg/m^3]

    Raises
    ------
    DomainError
        If the fractions do not add up to 1 or a density is not positive.

    Notes
    -----
    Valid: alike solvents to 0.5 %. Not covered: contraction; watery alcohols come out up to 3.6 % too light.
    Equation: 1/rho = sum w_i / rho_i. Source: definition of an ideal mixture.

    Examples
    --------
    >>> round(ideal_density([0.5, 0.5], [789.4, 998.2]), 1)   # 913.8 in tables: 3.5 % contraction
    881.6
    """
    volumes = fractions("mass_fraction", mass_fraction) / positive("density", density, "kg/m^3")
    return plain(1.0 / volumes.sum(axis=-1))


def lorentz_lorenz_index(
    volume_fraction: ArrayLike, refractive_index: ArrayLike, density_ratio: ArrayLike = 1.0
) -> Number:
    """Refractive index of a mixture from those of its parts.

    Parameters
    ----------
    volume_fraction : array (..., components)
        Part of the volume of each solvent, before mixing. [-]
    refractive_index : array (..., components)
        Index of each at one wavelength and temperature. [-]
    density_ratio : float or array (...)
        Density of the mixture over that of volumes that add. [-]

    Returns
    -------
    refractive_index : (...)
        Index of the mixture. [-]

    Raises
    ------
    DomainError
        If the fractions do not add up to 1, an index is below 1 or the ratio not positive.

    Notes
    -----
    Valid: to 0.0015 where the density ratio is known; without it watery alcohols come out 0.013 too low.
    Not covered: light absorbed by the mixture.
    Equation: (n^2 - 1)/(n^2 + 2) = r sum v_i (n_i^2 - 1)/(n_i^2 + 2). Source: Lorentz 1880, Lorenz 1880, textbook.

    Examples
    --------
    >>> round(lorentz_lorenz_index([0.5584, 0.4416], [1.3611, 1.3330], 913.8 / 881.6), 4)   # 1.3616 in tables
    1.3628
    """
    squares = within("refractive_index", refractive_index, 1.0, 10.0, "-") ** 2
    refraction = (fractions("volume_fraction", volume_fraction) * (squares - 1.0) / (squares + 2.0)).sum(axis=-1)
    whole = positive("density_ratio", density_ratio, "-") * refraction
    within("density_ratio", whole, 0.0, 0.95, "-")
    return plain(np.sqrt((1.0 + 2.0 * whole) / (1.0 - whole)))


def mixture_viscosity(mole_fraction: ArrayLike, viscosity: ArrayLike, interaction: ArrayLike = 0.0) -> Number:
    """Viscosity of a mixture of two solvents.

    Parameters
    ----------
    mole_fraction : array (..., 2)
        Part of the molecules of each solvent. [-]
    viscosity : array (..., 2)
        Viscosity of each. [Pa s]
    interaction : float or array (...)
        Measured interaction of the pair; 0 where none is known. [-]

    Returns
    -------
    viscosity : (...)
        Viscosity of the mixture. [Pa s]

    Raises
    ------
    DomainError
        If the fractions do not add up to 1 or a viscosity is not positive.

    Notes
    -----
    Valid: alike solvents to 15 % without an interaction. Not covered: watery alcohols, whose viscosity has a maximum
    two to three times above this rule.
    Equation: ln eta = sum x_i ln eta_i + x_1 x_2 G. Source: Grunberg and Nissan, Nature 164, 799 (1949), from memory.

    Examples
    --------
    >>> round(mixture_viscosity([0.5, 0.5], [0.585e-3, 1.194e-3]) * 1e3, 3)
    0.836
    """
    parts = fractions("mole_fraction", mole_fraction)
    logs = (parts * np.log(positive("viscosity", viscosity, "Pa s"))).sum(axis=-1)
    return plain(np.exp(logs + parts.prod(axis=-1) * a_number("interaction", interaction, "-")))


def mixture_sound_speed(
    mole_fraction: ArrayLike, molar_mass: ArrayLike, density: ArrayLike, sound_speed: ArrayLike
) -> Number:
    """Speed of sound in a mixture by the additive molar sound velocity.

    Parameters
    ----------
    mole_fraction : array (..., components)
        Part of the molecules of each solvent. [-]
    molar_mass : array (..., components)
        Molar mass of each. [kg/mol]
    density : array (..., components)
        Density of each. [kg/m^3]
    sound_speed : array (..., components)
        Speed of sound in each. [m/s]

    Returns
    -------
    sound_speed : (...)
        Speed of sound in the mixture. [m/s]

    Raises
    ------
    DomainError
        If the fractions do not add up to 1 or another argument is not positive.

    Notes
    -----
    Valid: alike solvents to 2 %. Not covered: watery alcohols, where sound is up to 20 % faster than in either part.
    Equation: c = (sum x R / sum x V)^3 with R = V c^(1/3), V = M / rho. Source: Nomoto, J. Phys. Soc. Jpn. 13, 1528
    (1958), from memory.

    Examples
    --------
    >>> round(mixture_sound_speed([0.5, 0.5], [0.032042, 0.046069], [791.0, 789.4], [1116.0, 1159.0]))
    1141
    """
    parts = fractions("mole_fraction", mole_fraction)
    volume = positive("molar_mass", molar_mass, "kg/mol") / positive("density", density, "kg/m^3")
    roots = volume * np.cbrt(positive("sound_speed", sound_speed, "m/s"))
    return plain(((parts * roots).sum(axis=-1) / (parts * volume).sum(axis=-1)) ** 3)


def mixture_specific_heat(mass_fraction: ArrayLike, specific_heat: ArrayLike) -> Number:
    """Heat capacity of a mixture, each part by its mass.

    Parameters
    ----------
    mass_fraction : array (..., components)
        Part of the mass of each solvent. [-]
    specific_heat : array (..., components)
        Specific heat capacity of each. [J/(kg K)]

    Returns
    -------
    specific_heat : (...)
        Specific heat capacity of the mixture. [J/(kg K)]

    Raises
    ------
    DomainError
        If the fractions do not add up to 1 or a heat capacity is not positive.

    Notes
    -----
    Valid: alike solvents to 3 %. Not covered: watery alcohols, which take up to 16 % more.
    Equation: c = sum w_i c_i. Source: definition of an ideal mixture.

    Examples
    --------
    >>> round(mixture_specific_heat([0.5, 0.5], [2396.0, 4184.0]))
    3290
    """
    heats = positive("specific_heat", specific_heat, "J/(kg K)")
    return plain((fractions("mass_fraction", mass_fraction) * heats).sum(axis=-1))


def mixture_thermal_conductivity(mass_fraction: ArrayLike, thermal_conductivity: ArrayLike) -> Number:
    """Thermal conductivity of a mixture of two liquids.

    Parameters
    ----------
    mass_fraction : array (..., 2)
        Part of the mass of each solvent. [-]
    thermal_conductivity : array (..., 2)
        Thermal conductivity of each. [W/(m K)]

    Returns
    -------
    thermal_conductivity : (...)
        Thermal conductivity of the mixture. [W/(m K)]

    Raises
    ------
    DomainError
        If the fractions do not add up to 1 or a conductivity is not positive.

    Notes
    -----
    Valid: two liquids, watery ones too, to some 10 %. Not covered: more than two.
    Equation: k = w_1 k_1 + w_2 k_2 - 0.72 w_1 w_2 |k_2 - k_1|. Source: Filippov and Novoselova 1955, as in Reid,
    Prausnitz, Poling, Properties of Gases and Liquids, from memory.

    Examples
    --------
    >>> round(mixture_thermal_conductivity([0.5, 0.5], [0.164, 0.598]), 3)
    0.303
    """
    parts = fractions("mass_fraction", mass_fraction)
    values = positive("thermal_conductivity", thermal_conductivity, "W/(m K)")
    apart = abs(values[..., 1] - values[..., 0])
    return plain((parts * values).sum(axis=-1) - 0.72 * parts.prod(axis=-1) * apart)


def mixture_expansion(volume_fraction: ArrayLike, expansion: ArrayLike) -> Number:
    """Volume expansion of a mixture whose volumes add.

    Parameters
    ----------
    volume_fraction : array (..., components)
        Part of the volume of each solvent, before mixing. [-]
    expansion : array (..., components)
        Volume expansion coefficient of each. [1/K]

    Returns
    -------
    expansion : (...)
        Volume expansion coefficient of the mixture. [1/K]

    Raises
    ------
    DomainError
        If the fractions do not add up to 1.

    Notes
    -----
    Valid: alike solvents to 5 %. Not covered: watery alcohols, which expand up to a quarter less than this with little
    alcohol and up to 30 % more with much.
    Equation: beta = sum v_i beta_i. Source: derivative of volumes that add.

    Examples
    --------
    >>> round(mixture_expansion([0.5, 0.5], [1.084e-3, 0.207e-3]) * 1e3, 3)
    0.645
    """
    return plain((fractions("volume_fraction", volume_fraction) * a_number("expansion", expansion, "1/K")).sum(axis=-1))


def mixture_index_coefficient(volume_fraction: ArrayLike, index_temperature_coefficient: ArrayLike) -> Number:
    """Change of refractive index with temperature of a mixture, each part by its volume.

    Parameters
    ----------
    volume_fraction : array (..., components)
        Part of the volume of each solvent, before mixing. [-]
    index_temperature_coefficient : array (..., components)
        dn/dT of each at constant pressure. [1/K]

    Returns
    -------
    index_temperature_coefficient : (...)
        dn/dT of the mixture. [1/K]

    Raises
    ------
    DomainError
        If the fractions do not add up to 1.

    Notes
    -----
    Valid: alike solvents to 10 %. Not covered: watery alcohols, whose index falls faster or slower, as they expand
    (anomalies: Jimenez Rioboo et al., Eur. Phys. J. E 2009, not read).
    Equation: dn/dT = sum v_i (dn/dT)_i. Source: derivative of additive refractions in first order.

    Examples
    --------
    >>> round(mixture_index_coefficient([0.5, 0.5], [-4.0e-4, -0.9e-4]) * 1e4, 2)
    -2.45
    """
    slopes = a_number("index_temperature_coefficient", index_temperature_coefficient, "1/K")
    return plain((fractions("volume_fraction", volume_fraction) * slopes).sum(axis=-1))


def mixture_cutoff(volume_fraction: ArrayLike, ultraviolet_cutoff: ArrayLike, decade_width: ArrayLike) -> Number:
    """Wavelength below which a mixture absorbs, from the edges of its parts.

    Parameters
    ----------
    volume_fraction : array (..., components)
        Part of the volume of each solvent; traces below 1e-3 are left out. [-]
    ultraviolet_cutoff : array (..., components)
        Wavelength at which 1 cm of each absorbs nine tenths. [m]
    decade_width : float or array (...)
        Step in wavelength over which absorption falls by ten. [m]

    Returns
    -------
    ultraviolet_cutoff : (...)
        The same wavelength of the mixture. [m]

    Raises
    ------
    DomainError
        If the fractions do not add up to 1 or a wavelength is not positive.

    Notes
    -----
    Valid: edges that fall exponentially; none is taken to rise above a thousand times its value at the cut-off, so that
    a trace does not count. Not covered: structure of the edges.
    Equation: the lambda at which sum v_i 10^((lambda_i - lambda)/d) = 1. Source: Beer's law with additive absorption.

    Examples
    --------
    >>> round(mixture_cutoff([0.9, 0.1], [190e-9, 210e-9], 10e-9) * 1e9, 1)
    200.4
    """
    edges = positive("ultraviolet_cutoff", ultraviolet_cutoff, "m")
    width = positive("decade_width", decade_width, "m")
    parts = fractions("volume_fraction", volume_fraction)
    parts = np.where(parts < _TRACE, 0.0, parts)
    last = np.where(parts > 0.0, edges, 0.0).max(axis=-1)
    sums = (parts * 10.0 ** ((edges - as_float(last)[..., None]) / width)).sum(axis=-1)
    return plain(last + width * np.log10(sums))
