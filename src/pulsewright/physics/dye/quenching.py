"""Oxygen in the dye, and what it and added quenchers do to the excited states."""

from __future__ import annotations

from numpy.typing import ArrayLike
from scipy import constants

from pulsewright.physics._domain import Number, not_negative, plain, positive, refuse, within


def dissolved_gas(
    mole_fraction: ArrayLike,
    gas_fraction: ArrayLike,
    total_pressure: ArrayLike,
    vapour_pressure: ArrayLike,
    solvent_density: ArrayLike,
    solvent_molar_mass: ArrayLike,
) -> Number:
    """Concentration of a gas dissolved in a solvent that is in balance with the gas above it.

    Parameters
    ----------
    mole_fraction : float or array (...)
        Mole fraction of the gas in the liquid under 101.325 kPa of that gas. [-]
    gas_fraction : float or array, broadcasts
        Mole fraction of the gas in the dry atmosphere above the liquid. [-]
    total_pressure : float or array, broadcasts
        Pressure above the liquid, solvent vapour included. [Pa]
    vapour_pressure : float or array, broadcasts
        Vapour pressure of the solvent; 0 leaves the vapour out. [Pa]
    solvent_density : float or array, broadcasts
        Density of the solvent. [kg/m^3]
    solvent_molar_mass : float or array, broadcasts
        Molar mass of the solvent. [kg/mol]

    Returns
    -------
    concentration : broadcast shape
        Dissolved gas. [mol/m^3]

    Raises
    ------
    DomainError
        If a value is negative, a fraction is above 1 or the vapour pressure exceeds the total pressure.

    Notes
    -----
    Valid: dilute solution, liquid in balance with the gas, near the temperature of the solubility.
    Not covered: supersaturation after pumping or warming, slow uptake in a closed loop.
    Equation: x = x_1 y (p - p_v) / 101325 Pa, c = x / (1 - x) rho / M. Source: Henry's law.

    Examples
    --------
    >>> round(dissolved_gas(4.15e-4, 1.0, 101325.0, 0.0, 791.0, 0.032042), 1)   # oxygen in methanol
    10.2
    """
    share = within("mole_fraction", mole_fraction, 0.0, 0.5, "-") * within("gas_fraction", gas_fraction, 0.0, 1.0, "-")
    dry = positive("total_pressure", total_pressure, "Pa") - not_negative("vapour_pressure", vapour_pressure, "Pa")
    refuse("vapour_pressure", dry, dry < 0.0, "at most the total pressure", "Pa above it")
    dissolved = share * dry / constants.atm
    density = positive("solvent_density", solvent_density, "kg/m^3")
    return plain(dissolved / (1.0 - dissolved) * density / positive("solvent_molar_mass", solvent_molar_mass, "kg/mol"))


def effective_triplet_lifetime(
    triplet_lifetime: ArrayLike,
    oxygen: ArrayLike,
    oxygen_rate: ArrayLike,
    quencher: ArrayLike = 0.0,
    quencher_rate: ArrayLike = 0.0,
) -> Number:
    """Lifetime of the dye's triplet state with oxygen and an added quencher.

    Parameters
    ----------
    triplet_lifetime : float or array (...)
        Lifetime without oxygen or quencher. [s]
    oxygen : float or array, broadcasts
        Dissolved oxygen. [mol/m^3]
    oxygen_rate : float or array, broadcasts
        Quenching rate of the triplet by oxygen. [m^3/(mol s)]
    quencher : float or array, broadcasts
        Concentration of the added quencher. [mol/m^3]
    quencher_rate : float or array, broadcasts
        Quenching rate of the triplet by the added quencher. [m^3/(mol s)]

    Returns
    -------
    lifetime : broadcast shape
        Effective triplet lifetime. [s]

    Raises
    ------
    DomainError
        If the lifetime is not positive or another value negative.

    Notes
    -----
    Valid: quencher in excess of triplets. Not covered: oxygen used up by a strong shot, triplet-triplet annihilation.
    Equation: 1/tau = 1/tau_0 + k_O2 [O2] + k_q [Q]. Source: Stern-Volmer kinetics.

    Examples
    --------
    Rhodamine 6G in alcohol saturated with air, rule of thumb 0.32 to 0.37 us:

    >>> round(effective_triplet_lifetime(100e-6, 1.9, 1.5e6) * 1e6, 2)
    0.35
    """
    rate = 1.0 / positive("triplet_lifetime", triplet_lifetime, "s")
    by_oxygen = not_negative("oxygen", oxygen, "mol/m^3") * not_negative("oxygen_rate", oxygen_rate, "m^3/(mol s)")
    by_quencher = not_negative("quencher", quencher, "mol/m^3") * not_negative(
        "quencher_rate", quencher_rate, "m^3/(mol s)"
    )
    return plain(1.0 / (rate + by_oxygen + by_quencher))


def singlet_loss(lifetime: ArrayLike, oxygen: ArrayLike, oxygen_rate: ArrayLike) -> Number:
    """Share of the excited singlet state that oxygen takes.

    Parameters
    ----------
    lifetime : float or array (...)
        Fluorescence lifetime without oxygen. [s]
    oxygen : float or array, broadcasts
        Dissolved oxygen. [mol/m^3]
    oxygen_rate : float or array, broadcasts
        Quenching rate of the singlet by oxygen. [m^3/(mol s)]

    Returns
    -------
    loss : broadcast shape
        Share of the excited molecules quenched by oxygen, without lasing. [-]

    Raises
    ------
    DomainError
        If the lifetime is not positive or another value negative.

    Notes
    -----
    Valid: spontaneous decay only. Not covered: a laser above threshold, where the loss is smaller.
    Equation: k [O2] tau / (1 + k [O2] tau). Source: Stern-Volmer kinetics.

    Examples
    --------
    Methanol saturated with air, 5e9 L/(mol s), 4 ns:

    >>> round(singlet_loss(4e-9, 1.8, 5e6), 3)
    0.035
    """
    product = (
        positive("lifetime", lifetime, "s")
        * not_negative("oxygen", oxygen, "mol/m^3")
        * not_negative("oxygen_rate", oxygen_rate, "m^3/(mol s)")
    )
    return plain(product / (1.0 + product))


def triplet_formation_rate(
    intersystem_crossing_rate: ArrayLike, oxygen: ArrayLike, oxygen_rate: ArrayLike, oxygen_triplet_yield: ArrayLike
) -> Number:
    """Rate at which an excited singlet becomes a triplet, with what oxygen adds.

    Parameters
    ----------
    intersystem_crossing_rate : float or array (...)
        Intersystem crossing of the dye alone. [1/s]
    oxygen : float or array, broadcasts
        Dissolved oxygen. [mol/m^3]
    oxygen_rate : float or array, broadcasts
        Quenching rate of the singlet by oxygen. [m^3/(mol s)]
    oxygen_triplet_yield : float or array, broadcasts
        Share of the quenched singlets that become triplets. [-]

    Returns
    -------
    rate : broadcast shape
        Triplets formed per excited singlet and time. [1/s]

    Raises
    ------
    DomainError
        If a value is negative or the share above 1.

    Notes
    -----
    Valid: diffusion-controlled quenching. Not covered: triplets fed from higher singlet states.
    Equation: k_ST + y k_O2 [O2]. Source: balance; the share y is not established for laser dyes, and 1 is its bound.

    Examples
    --------
    >>> triplet_formation_rate(2e6, 2.0, 5e6, 0.1)
    3000000.0
    """
    share = within("oxygen_triplet_yield", oxygen_triplet_yield, 0.0, 1.0, "-")
    quenched = not_negative("oxygen", oxygen, "mol/m^3") * not_negative("oxygen_rate", oxygen_rate, "m^3/(mol s)")
    return plain(not_negative("intersystem_crossing_rate", intersystem_crossing_rate, "1/s") + share * quenched)


def steady_triplet_ratio(formation_rate: ArrayLike, triplet_lifetime: ArrayLike) -> Number:
    """Triplets per excited singlet once formation and decay balance.

    Parameters
    ----------
    formation_rate : float or array (...)
        Triplets formed per excited singlet and time. [1/s]
    triplet_lifetime : float or array, broadcasts
        Effective triplet lifetime. [s]

    Returns
    -------
    ratio : broadcast shape
        Triplet density over singlet density. [-]

    Raises
    ------
    DomainError
        If the rate is negative or the lifetime not positive.

    Notes
    -----
    Valid: pulses long against the triplet lifetime. Lasing lasts only while the ratio times the triplet absorption
    stays below stimulated emission less excited-state absorption.
    Not covered: short pulses, triplet-triplet annihilation.
    Equation: n_T / n_1 = k tau_T. Source: balance of the triplet level.

    Examples
    --------
    >>> steady_triplet_ratio(2e6, 0.5e-6)
    1.0
    """
    rate = not_negative("formation_rate", formation_rate, "1/s")
    return plain(rate * positive("triplet_lifetime", triplet_lifetime, "s"))
