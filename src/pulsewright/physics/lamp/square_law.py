"""The square-root law of a flashlamp, V = K0 sqrt(|I|) sgn(I), and what belongs to it.

Quick sizing, and the second route beside the plasma model. It is a law of the filled, heated bore; it is not a law of
nature, of a spark gap, or of a lamp in its first microseconds.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike
from scipy import constants

from pulsewright.errors import Finding, NotModelledError
from pulsewright.physics._domain import Number, a_number, not_negative, plain, positive, refuse

#: Fill pressure at which the pressure factor is 1 [Pa]: 450 torr for xenon, 805 torr for krypton (hobby page on
#: flashlamps; lamp-maker guides, from memory).
REFERENCE_PRESSURE = {"xenon": 450.0 * 101325.0 / 760.0, "krypton": 805.0 * 101325.0 / 760.0}
#: K0 = 1.28 l/d (p / p_ref)^0.2 [ohm A^0.5]; 1.27 is also printed, and 1.2751 follows from the resistivity.
IMPEDANCE_CONSTANT = 1.28
#: 1.13 ohm cm (A/cm^2)^0.5 in SI.
RESISTIVITY_CONSTANT = 1.13 * 1e-2 * 1e2
#: Current densities for which the resistivity was found [A/m^2]: 400 to 10000 A/cm^2.
LOWEST_CURRENT_DENSITY, HIGHEST_CURRENT_DENSITY = 400e4, 10000e4


def impedance_parameter(
    arc_length: ArrayLike,
    bore: ArrayLike,
    fill_pressure: ArrayLike,
    gas: str = "xenon",
    impedance_constant: ArrayLike = IMPEDANCE_CONSTANT,
) -> Number:
    """Impedance parameter K0 of a lamp, from its size and fill.

    Parameters
    ----------
    arc_length : float or array (...)
        Distance between the electrodes. [m]
    bore : float or array, broadcasts
        Inside diameter of the lamp. [m]
    fill_pressure : float or array, broadcasts
        Pressure of the cold fill. [Pa]
    gas : {"xenon", "krypton"}
        Gas of the fill; for any other a measured K0 is needed.
    impedance_constant : float or array, broadcasts
        Factor of the law; 1.27 to 1.28 are printed. [ohm*A^0.5]

    Returns
    -------
    impedance_parameter : broadcast shape
        K0 of one lamp. [ohm*A^0.5]

    Raises
    ------
    DomainError
        If an argument is not positive.
    NotModelledError
        For any gas but xenon and krypton: their pressure constants are not known.

    Notes
    -----
    Valid: bore filled by the arc, about 400 to 10000 A/cm^2, hundreds of torr.
    Not covered: simmer, which lowers K0; fast pre-ionised discharges (exponent 0.85); ablating and low-fill lamps.
    Equation: K0 = 1.28 (l/d) (p/p_ref)^0.2, p_ref = 450 torr (Xe), 805 torr (Kr).
    Source: J. H. Goncz, J. Appl. Phys. 36, 742 (1965), for the law; constant and pressure: hobby page on flashlamps;
    lamp-maker guides (from memory).

    Examples
    --------
    The source's 90 mm by 4 mm lamp at 450 torr, 28.8:

    >>> round(impedance_parameter(90e-3, 4e-3, 450 * 101325 / 760), 3)
    28.8
    """
    if gas not in REFERENCE_PRESSURE:
        raise NotModelledError(
            Finding(
                "error",
                "gas",
                f"gas is {gas!r}: the pressure constant of its square-root law is not known",
                "xenon and krypton",
                "Measure K0 on the lamp and give it",
            )
        )
    ratio = positive("arc_length", arc_length, "m") / positive("bore", bore, "m")
    factor = (positive("fill_pressure", fill_pressure, "Pa") / REFERENCE_PRESSURE[gas]) ** 0.2
    return plain(positive("impedance_constant", impedance_constant, "ohm*A^0.5") * ratio * factor)


def series_impedance_parameter(impedance_parameter: ArrayLike, lamps: ArrayLike) -> Number:
    """Impedance parameter of equal lamps in series.

    Parameters
    ----------
    impedance_parameter : float or array (...)
        K0 of one lamp. [ohm*A^0.5]
    lamps : float or array, broadcasts
        Number of lamps. [-]

    Returns
    -------
    impedance_parameter : broadcast shape
        K0 of all together. [ohm*A^0.5]

    Raises
    ------
    DomainError
        If an argument is negative or there is less than one lamp.

    Notes
    -----
    Valid: equal lamps. Not covered: lamps that light one after the other.
    Equation: K = n K0. Source: algebra from V = K0 sqrt(I).

    Examples
    --------
    >>> series_impedance_parameter(20.0, 2)
    40.0
    """
    return plain(not_negative("impedance_parameter", impedance_parameter, "ohm*A^0.5") * _count(lamps))


def parallel_impedance_parameter(impedance_parameter: ArrayLike, lamps: ArrayLike) -> Number:
    """Impedance parameter of equal lamps in parallel that share the current equally.

    Parameters
    ----------
    impedance_parameter : float or array (...)
        K0 of one lamp. [ohm*A^0.5]
    lamps : float or array, broadcasts
        Number of lamps. [-]

    Returns
    -------
    impedance_parameter : broadcast shape
        K0 of all together. [ohm*A^0.5]

    Raises
    ------
    DomainError
        If an argument is negative or there is less than one lamp.

    Notes
    -----
    Valid: equal sharing, which needs ballast or separate triggers. Not covered: a lamp that takes it all.
    Equation: K = K0 / sqrt(n), and not K0 / n. Source: algebra from V = K0 sqrt(I).

    Examples
    --------
    >>> parallel_impedance_parameter(20.0, 4)
    10.0
    """
    return plain(not_negative("impedance_parameter", impedance_parameter, "ohm*A^0.5") / np.sqrt(_count(lamps)))


def narrow_arc_impedance_parameter(impedance_parameter: ArrayLike, bore: ArrayLike, arc_diameter: ArrayLike) -> Number:
    """Impedance parameter while the arc is narrower than the bore.

    Parameters
    ----------
    impedance_parameter : float or array (...)
        K0 of the filled bore. [ohm*A^0.5]
    bore : float or array, broadcasts
        Inside diameter of the lamp. [m]
    arc_diameter : float or array, broadcasts
        Diameter of the arc, at most the bore. [m]

    Returns
    -------
    impedance_parameter : broadcast shape
        K0 at that arc diameter. [ohm*A^0.5]

    Raises
    ------
    DomainError
        If a length is not positive, or the arc is wider than the bore.

    Notes
    -----
    Valid: as far as K0 goes as 1/d inside one lamp. Not covered: how the arc grows: that must be measured or modelled.
    Equation: K = K0 d / d_arc. Source: algebra from K0 in proportion to l/d.

    Examples
    --------
    >>> narrow_arc_impedance_parameter(20.0, 8e-3, 2e-3)
    80.0
    """
    arc = positive("arc_diameter", arc_diameter, "m")
    full = positive("bore", bore, "m")
    shown, wrong = np.broadcast_arrays(arc, arc > full)
    refuse("arc_diameter", shown, wrong, "at most the bore", "m")
    return plain(not_negative("impedance_parameter", impedance_parameter, "ohm*A^0.5") * full / arc)


def square_law_voltage(impedance_parameter: ArrayLike, current: ArrayLike) -> Number:
    """Voltage across a lamp by the square-root law.

    Parameters
    ----------
    impedance_parameter : float or array (...)
        K0. [ohm*A^0.5]
    current : float or array, broadcasts
        Current, of either sign. [A]

    Returns
    -------
    voltage : broadcast shape
        Voltage, of the sign of the current. [V]

    Raises
    ------
    DomainError
        If K0 is negative.

    Notes
    -----
    Valid: filled bore, about 400 to 10000 A/cm^2. Not covered: free arcs and spark gaps, whose voltage hardly rises
    with the current; electrode drop; extinction.
    Equation: V = K0 sqrt(|I|) sgn(I). Source: J. H. Goncz, J. Appl. Phys. 36, 742 (1965).

    Examples
    --------
    >>> square_law_voltage(20.0, -400.0)
    -400.0
    """
    amperes = a_number("current", current, "A")
    k0 = not_negative("impedance_parameter", impedance_parameter, "ohm*A^0.5")
    return plain(k0 * np.sign(amperes) * np.sqrt(np.abs(amperes)))


def steep_law_voltage(
    impedance_parameter: ArrayLike, current: ArrayLike, joining_current: ArrayLike, exponent: ArrayLike = 0.85
) -> Number:
    """Voltage across a lamp whose law turns steeper above a current: fast pre-ionised discharges.

    Parameters
    ----------
    impedance_parameter : float or array (...)
        K0 of the square-root law below the joining current. [ohm*A^0.5]
    current : float or array, broadcasts
        Current, of either sign. [A]
    joining_current : float or array, broadcasts
        Current at which the laws join; published: between 0.6 and 2 kA/cm^2. [A]
    exponent : float or array, broadcasts
        Exponent above it. [-]

    Returns
    -------
    voltage : broadcast shape
        Voltage, of the sign of the current. [V]

    Raises
    ------
    DomainError
        If K0 is negative, or the joining current or exponent is not positive.

    Notes
    -----
    Valid: fast discharges with pre-ionisation. Not covered: where exactly the laws join: a range is published.
    Equation: V = K0 sqrt(I) to I_j, then K0 sqrt(I_j) (I / I_j)^0.85.
    Source: abstract "The plasma z-pinch effect on the I-V characteristic of fast discharge flash tubes": 0.85
    (credited to Marotta) above about 2 kA/cm^2, 0.5 (Goncz) below about 0.6 kA/cm^2; the continuous join is ours.

    Examples
    --------
    >>> steep_law_voltage(20.0, 400.0, 400.0), round(steep_law_voltage(20.0, 4000.0, 400.0))
    (400.0, 2832)
    """
    size = np.abs(a_number("current", current, "A"))
    join = positive("joining_current", joining_current, "A")
    steep = np.sqrt(join) * (size / join) ** positive("exponent", exponent, "-")
    root = np.where(size <= join, np.sqrt(size), steep)
    k0 = not_negative("impedance_parameter", impedance_parameter, "ohm*A^0.5")
    return plain(k0 * np.sign(np.asarray(current, dtype=np.float64)) * root)


def current_density(current: ArrayLike, bore: ArrayLike) -> Number:
    """Current density in a filled round bore.

    Parameters
    ----------
    current : float or array (...)
        Current. [A]
    bore : float or array, broadcasts
        Inside diameter of the lamp. [m]

    Returns
    -------
    current_density : broadcast shape
        Current per cross-section. [A/m^2]

    Raises
    ------
    DomainError
        If the bore is not positive.

    Notes
    -----
    Valid: bore filled evenly. Not covered: a narrow arc in a wide bore, early in the pulse.
    Equation: j = 4 I / (pi d^2). Source: definition.

    Examples
    --------
    >>> round(current_density(5e3, 7e-3) / 1e4)   # A/cm^2
    12992
    """
    return plain(4.0 * a_number("current", current, "A") / (np.pi * positive("bore", bore, "m") ** 2))


def square_law_resistivity(current_density: ArrayLike) -> Number:
    """Resistivity of xenon plasma in a filled bore by the square-root law.

    Parameters
    ----------
    current_density : float or array (...)
        Current per cross-section. [A/m^2]

    Returns
    -------
    resistivity : same shape
        Resistivity. [ohm*m]

    Raises
    ------
    DomainError
        If the current density is not positive.

    Notes
    -----
    Valid: xenon near 450 torr, 400 to 10000 A/cm^2; `square_law_covers` tells.
    Not covered: above 2.4e4 A/cm^2 it falls below the fully ionised (Spitzer) value at 2 eV: see `spitzer_resistivity`.
    Equation: rho = 1.13 / sqrt(j), ohm cm and A/cm^2.
    Source: Koechner, Solid-State Laser Engineering, after J. H. Goncz, J. Appl. Phys. 36, 742 (1965) (from memory).

    Examples
    --------
    >>> round(square_law_resistivity(1000e4) * 100, 5)   # ohm cm
    0.03573
    """
    return plain(RESISTIVITY_CONSTANT / np.sqrt(positive("current_density", current_density, "A/m^2")))


def square_law_covers(current_density: ArrayLike) -> bool:
    """Whether the square-root law was found at this current density.

    Parameters
    ----------
    current_density : float
        Current per cross-section. [A/m^2]

    Returns
    -------
    covered : bool
        False outside 400 to 10000 A/cm^2. [-]

    Raises
    ------
    DomainError
        If the current density is not positive.

    Notes
    -----
    Valid: the bounds are about. Not covered: fill pressure and bore.
    Equation: 400 <= j <= 10000 A/cm^2. Source: Koechner, Solid-State Laser Engineering (from memory).

    Examples
    --------
    >>> square_law_covers(13e7)
    False
    """
    density = float(positive("current_density", current_density, "A/m^2"))
    return LOWEST_CURRENT_DENSITY <= density <= HIGHEST_CURRENT_DENSITY


def square_law_field(current_density: ArrayLike) -> Number:
    """Electric field along xenon plasma in a filled bore by the square-root law.

    Parameters
    ----------
    current_density : float or array (...)
        Current per cross-section. [A/m^2]

    Returns
    -------
    electric_field : same shape
        Voltage per length. [V/m]

    Raises
    ------
    DomainError
        If the current density is not positive.

    Notes
    -----
    Valid: as `square_law_resistivity`. Not covered: as there; electrode drop.
    Equation: E = 1.13 sqrt(j), V/cm and A/cm^2. Source: algebra from `square_law_resistivity`.

    Examples
    --------
    >>> round(square_law_field(1700e4) / 100, 1)   # V/cm
    46.6
    """
    return plain(RESISTIVITY_CONSTANT * np.sqrt(positive("current_density", current_density, "A/m^2")))


def square_law_power_density(current_density: ArrayLike) -> Number:
    """Heat per volume in xenon plasma in a filled bore by the square-root law.

    Parameters
    ----------
    current_density : float or array (...)
        Current per cross-section. [A/m^2]

    Returns
    -------
    power_density : same shape
        Power per volume. [W/m^3]

    Raises
    ------
    DomainError
        If the current density is not positive.

    Notes
    -----
    Valid: as `square_law_resistivity`. Not covered: as there.
    Equation: P = 1.13 j^1.5, W/cm^3 and A/cm^2. Source: algebra from `square_law_resistivity`.

    Examples
    --------
    >>> round(square_law_power_density(1000e4) / 1e6)   # W/cm^3
    35734
    """
    return plain(RESISTIVITY_CONSTANT * positive("current_density", current_density, "A/m^2") ** 1.5)


def square_law_wall_flux(current_density: ArrayLike, bore: ArrayLike) -> Number:
    """Power through the wall of a filled bore if all the heat of the square-root law leaves radially.

    Parameters
    ----------
    current_density : float or array (...)
        Current per cross-section. [A/m^2]
    bore : float or array, broadcasts
        Inside diameter of the lamp. [m]

    Returns
    -------
    radiated_flux : broadcast shape
        Power per wall area, the most that can be radiated in balance. [W/m^2]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: steady balance of heating and loss. Not covered: heat stored in the plasma, loss to the electrodes.
    Equation: F = 1.13 j^1.5 d / 4, W/cm^2, A/cm^2, cm. Source: algebra from `square_law_power_density`.

    Examples
    --------
    >>> round(square_law_wall_flux(1700e4, 13e-3) / 1e4)   # W/cm^2
    25742
    """
    return plain(np.asarray(square_law_power_density(current_density)) * positive("bore", bore, "m") / 4.0)


def spitzer_resistivity(
    temperature: ArrayLike, coulomb_logarithm: ArrayLike = 4.0, ion_charge: ArrayLike = 1.0
) -> Number:
    """Resistivity of a fully ionised plasma along the field, the floor below which no lamp law should fall.

    Parameters
    ----------
    temperature : float or array (...)
        Electron temperature. [K]
    coulomb_logarithm : float or array, broadcasts
        Coulomb logarithm. [-]
    ion_charge : float or array, broadcasts
        Charge number of the ions. [-]

    Returns
    -------
    resistivity : broadcast shape
        Resistivity, whatever the current density. [ohm*m]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: fully ionised, Coulomb logarithm well above 1. Not covered: neutrals, dense plasma: see the plasma model.
    Equation: eta = 5.2e-3 Z lnL / T^1.5 ohm cm, T in eV. Source: NRL Plasma Formulary (from memory).

    Examples
    --------
    >>> round(spitzer_resistivity(2 * 11604.518) * 100, 4)   # ohm cm at 2 eV
    0.0074
    """
    electronvolts = constants.k * positive("temperature", temperature, "K") / constants.e
    factor = positive("ion_charge", ion_charge, "-") * positive("coulomb_logarithm", coulomb_logarithm, "-")
    return plain(5.2e-5 * factor / electronvolts**1.5)


def square_law_floor_current_density(resistivity: ArrayLike) -> Number:
    """Current density above which the square-root law falls below a given floor of resistivity.

    Parameters
    ----------
    resistivity : float or array (...)
        Floor, for instance the Spitzer value. [ohm*m]

    Returns
    -------
    current_density : same shape
        Where the law meets the floor. [A/m^2]

    Raises
    ------
    DomainError
        If the resistivity is not positive.

    Notes
    -----
    Valid: xenon near 450 torr. Not covered: the passage from one regime to the other, which is gradual.
    Equation: j = (1.13 / rho)^2, A/cm^2 and ohm cm. Source: algebra from `square_law_resistivity`.

    Examples
    --------
    >>> round(square_law_floor_current_density(0.00735e-2) / 1e4, -2)   # A/cm^2
    23600.0
    """
    return plain((RESISTIVITY_CONSTANT / positive("resistivity", resistivity, "ohm*m")) ** 2)


def _count(lamps: ArrayLike) -> np.ndarray:
    number = a_number("lamps", lamps, "-")
    refuse("lamps", number, number < 1.0, "1 or more", "-")
    return number
