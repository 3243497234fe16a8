"""The square-root law of a flashlamp, V = K0 sqrt(|I|) sgn(I), and what belongs to it.

Quick sizing, and the second route beside the plasma model. It is a law of the filled, heated bore; it is not a law of
nature, of a spark gap, or of a lamp in its first microseconds.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.errors import Finding, NotModelledError
from pulsewright.physics._domain import Number, a_number, not_negative, plain, positive, refuse

#: Fill pressure at which the pressure factor is 1 [Pa]: 450 torr for xenon, 805 torr for krypton (hobby page on
#: flashlamps; lamp-maker guides, from memory).
REFERENCE_PRESSURE = {"xenon": 450.0 * 101325.0 / 760.0, "krypton": 805.0 * 101325.0 / 760.0}
#: K0 = 1.28 l/d (p / p_ref)^0.2 [ohm A^0.5]; 1.27 is also printed, and 1.2751 follows from the resistivity.
IMPEDANCE_CONSTANT = 1.28


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


def _count(lamps: ArrayLike) -> np.ndarray:
    number = a_number("lamps", lamps, "-")
    refuse("lamps", number, number < 1.0, "1 or more", "-")
    return number
