"""Breakdown of a uniform gas gap: Paschen's law in both published forms, and air near one atmosphere.

No single set of constants fits both ends. For a lamp these are a guide only: its field is not uniform before
breakdown, and wall, light and nearby conductors shift it. Constants of gases are arguments.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike
from scipy.special import lambertw

from pulsewright.physics._domain import Number, plain, positive, refuse

_TORR = 101325.0 / 760.0
_ATMOSPHERE = 101325.0
#: Air, V = a p d / (ln(p d) + b): a in V/(Pa m), b for p d in atm m (hobby page, which prints a without its 1e6).
AIR_SLOPE = 43.66e6 / _ATMOSPHERE
AIR_LOGARITHM = 12.8


class PaschenMinimum(NamedTuple):
    """Lowest breakdown voltage and the pressure times gap at which it stands."""

    pressure_gap_product: Number
    voltage: Number


def _feedback(secondary_emission: ArrayLike) -> np.ndarray:
    """ln(1 + 1/gamma): how many e-foldings an avalanche needs to renew itself."""
    return np.asarray(np.log1p(1.0 / positive("secondary_emission", secondary_emission, "-")))


def paschen_voltage(
    pressure: ArrayLike,
    gap: ArrayLike,
    ionisation_constant: ArrayLike,
    field_constant: ArrayLike,
    secondary_emission: ArrayLike = 0.01,
) -> Number:
    """Breakdown voltage of a uniform gap by Paschen's law.

    Parameters
    ----------
    pressure : float or array (...)
        Gas pressure; away from 293 K scale it by 293 / T. [Pa]
    gap : float or array, broadcasts
        Distance between the electrodes. [m]
    ionisation_constant : float or array, broadcasts
        Townsend constant A of the gas. [1/(Pa m)]
    field_constant : float or array, broadcasts
        Townsend constant B of the gas. [V/(Pa m)]
    secondary_emission : float or array, broadcasts
        Electrons freed at the cathode per ion, 0.001 to 0.1. [-]

    Returns
    -------
    voltage : broadcast shape
        Breakdown voltage. [V]

    Raises
    ------
    DomainError
        If an argument is not positive, or p d is too small for the law to have a solution.

    Notes
    -----
    Valid: uniform field, right of the minimum, within the range of E/p for which A and B were fitted.
    Not covered: lamps (long tubes: ionisation wave, wall, light), left of the minimum (nearly vertical here, measured
    otherwise), statistical lag; near 1 atm of air it is 17 % high: use `air_gap_voltage`.
    Equation: V = B p d / (ln(A p d) - ln(ln(1 + 1/gamma))).
    Source: Paschen's law with Townsend's constants, as in Lieberman and Lichtenberg, Principles of Plasma Discharges,
    2nd edition (2005), chapter 14 (as quoted).

    Examples
    --------
    Air, A = 15 1/(cm torr), B = 365 V/(cm torr), at 100 torr cm:

    >>> per_cm_torr = 100.0 / (101325.0 / 760.0)
    >>> round(paschen_voltage(100 * 101325.0 / 760.0, 0.01, 15 * per_cm_torr, 365 * per_cm_torr))
    6311
    """
    product = positive("pressure", pressure, "Pa") * positive("gap", gap, "m")
    a = positive("ionisation_constant", ionisation_constant, "1/(Pa m)")
    logarithm = np.log(a * product / _feedback(secondary_emission))
    shown, wrong = np.broadcast_arrays(product, logarithm <= 0.0)
    refuse("pressure", shown, wrong, "a product p d at which the law has a solution, above ln(1 + 1/gamma) / A", "Pa m")
    return plain(positive("field_constant", field_constant, "V/(Pa m)") * product / logarithm)


def paschen_minimum(
    ionisation_constant: ArrayLike, field_constant: ArrayLike, secondary_emission: ArrayLike = 0.01
) -> PaschenMinimum:
    """Lowest breakdown voltage that Paschen's law gives, and where it stands.

    Parameters
    ----------
    ionisation_constant : float or array (...)
        Townsend constant A of the gas. [1/(Pa m)]
    field_constant : float or array, broadcasts
        Townsend constant B of the gas. [V/(Pa m)]
    secondary_emission : float or array, broadcasts
        Electrons freed at the cathode per ion. [-]

    Returns
    -------
    pressure_gap_product : broadcast shape
        Pressure times gap at the minimum. [Pa*m]
    voltage : broadcast shape
        Breakdown voltage there. [V]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: as a property of the formula. Not covered: measured minima: for Ar, He and N2 the formula with gamma = 0.01
    gives 40 to 120 % more than measured tables (from memory).
    Equation: (p d)_min = e ln(1 + 1/gamma) / A, V_min = e B ln(1 + 1/gamma) / A. Source: algebra from Paschen's law.

    Examples
    --------
    >>> per_cm_torr = 100.0 / (101325.0 / 760.0)
    >>> round(paschen_minimum(15 * per_cm_torr, 365 * per_cm_torr).voltage)
    305
    """
    product = np.e * _feedback(secondary_emission) / positive("ionisation_constant", ionisation_constant, "1/(Pa m)")
    return PaschenMinimum(plain(product), plain(positive("field_constant", field_constant, "V/(Pa m)") * product))


def paschen_pressure(
    voltage: ArrayLike,
    gap: ArrayLike,
    ionisation_constant: ArrayLike,
    field_constant: ArrayLike,
    secondary_emission: ArrayLike = 0.01,
) -> Number:
    """Pressure at which a uniform gap breaks down at a given voltage, coming from high pressure.

    Parameters
    ----------
    voltage : float or array (...)
        Voltage standing across the gap. [V]
    gap : float or array, broadcasts
        Distance between the electrodes. [m]
    ionisation_constant : float or array, broadcasts
        Townsend constant A of the gas. [1/(Pa m)]
    field_constant : float or array, broadcasts
        Townsend constant B of the gas. [V/(Pa m)]
    secondary_emission : float or array, broadcasts
        Electrons freed at the cathode per ion. [-]

    Returns
    -------
    pressure : broadcast shape
        Pressure on the right branch of Paschen's curve. [Pa]

    Raises
    ------
    DomainError
        If an argument is not positive, or the voltage is below the minimum.

    Notes
    -----
    Valid: uniform field. A lamp pumped down from 1 atm at a standing voltage meets this branch first.
    Not covered: lamps: measure the breakdown pressure on the actual head; shields, light and walls shift it.
    Equation: V = B x / ln(A x / G), x = p d, G = ln(1 + 1/gamma), solved with the lower branch of Lambert's W.
    Source: algebra from Paschen's law.

    Examples
    --------
    Air, 15 kV across 10 cm:

    >>> per_cm_torr = 100.0 / (101325.0 / 760.0)
    >>> round(paschen_pressure(15e3, 0.10, 15 * per_cm_torr, 365 * per_cm_torr) / (101325.0 / 760.0), 1)   # torr
    28.0
    """
    a = positive("ionisation_constant", ionisation_constant, "1/(Pa m)")
    b = positive("field_constant", field_constant, "V/(Pa m)")
    volts = positive("voltage", voltage, "V")
    slope = b * _feedback(secondary_emission) / (a * volts)
    shown, wrong = np.broadcast_arrays(volts, slope > 1.0 / np.e)
    refuse("voltage", shown, wrong, "at least the minimum of Paschen's curve", "V")
    product = -volts / b * np.real(lambertw(-slope, k=-1))
    return plain(product / positive("gap", gap, "m"))


def paschen_logarithm(ionisation_constant: ArrayLike, secondary_emission: ArrayLike = 0.01) -> Number:
    """Constant C of the two-constant form V = B p d / (C + ln(p d)), for p d in torr cm.

    Parameters
    ----------
    ionisation_constant : float or array (...)
        Townsend constant A of the gas. [1/(Pa m)]
    secondary_emission : float or array, broadcasts
        Electrons freed at the cathode per ion. [-]

    Returns
    -------
    paschen_logarithm : broadcast shape
        C for p d in torr cm. [-]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: uniform field, right of the minimum. Not covered: a misprint in circulation that leaves out the logarithm.
    Equation: C = ln(A / ln(1 + 1/gamma)), A in 1/(cm torr). Source: Bazelyan, page 32 (as quoted): air, A = 15,
    gamma = 0.01, C = 1.18.

    Examples
    --------
    The source prints 1.18:

    >>> round(paschen_logarithm(15 * 100.0 / (101325.0 / 760.0)), 4)
    1.1787
    """
    per_cm_torr = positive("ionisation_constant", ionisation_constant, "1/(Pa m)") * _TORR / 100.0
    return plain(np.log(per_cm_torr / _feedback(secondary_emission)))


def two_constant_voltage(
    pressure: ArrayLike,
    gap: ArrayLike,
    slope_constant: ArrayLike = AIR_SLOPE,
    logarithm_constant: ArrayLike = AIR_LOGARITHM,
) -> Number:
    """Breakdown voltage of a uniform gap by the two-constant form of Paschen's law, by default for air.

    Parameters
    ----------
    pressure : float or array (...)
        Gas pressure at 293 K. [Pa]
    gap : float or array, broadcasts
        Distance between the electrodes. [m]
    slope_constant : float or array, broadcasts
        Constant a; the default is 43.66e6 V/(atm m). [V/(Pa m)]
    logarithm_constant : float or array, broadcasts
        Constant b, for p d in atm m. [-]

    Returns
    -------
    voltage : broadcast shape
        Breakdown voltage. [V]

    Raises
    ------
    DomainError
        If an argument is not positive, or p d is too small for the form to have a solution.

    Notes
    -----
    Valid: around the minimum, for air near 7.5 um at 1 atm.
    Not covered: centimetre gaps at 1 atm, where it gives 53 kV for the measured 30 kV; use `air_gap_voltage`.
    Equation: V = a p d / (ln(p d) + b), p in atm, d in m. Source: hobby page (prints a = 43.66 without its 1e6).

    Examples
    --------
    Two sources give 327 V at 7.5 um and 1 atm:

    >>> round(two_constant_voltage(101325.0, 7.5e-6), 1)
    327.6
    """
    product = positive("pressure", pressure, "Pa") * positive("gap", gap, "m")
    below = np.log(product / _ATMOSPHERE) + positive("logarithm_constant", logarithm_constant, "-")
    shown, wrong = np.broadcast_arrays(product, below <= 0.0)
    refuse("pressure", shown, wrong, "a product p d at which the form has a solution, above exp(-b) atm m", "Pa m")
    return plain(positive("slope_constant", slope_constant, "V/(Pa m)") * product / below)


def two_constant_minimum(
    slope_constant: ArrayLike = AIR_SLOPE, logarithm_constant: ArrayLike = AIR_LOGARITHM
) -> PaschenMinimum:
    """Lowest breakdown voltage of the two-constant form of Paschen's law, by default for air.

    Parameters
    ----------
    slope_constant : float or array (...)
        Constant a; the default is 43.66e6 V/(atm m). [V/(Pa m)]
    logarithm_constant : float or array, broadcasts
        Constant b, for p d in atm m. [-]

    Returns
    -------
    pressure_gap_product : broadcast shape
        Pressure times gap at the minimum. [Pa*m]
    voltage : broadcast shape
        Breakdown voltage there. [V]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: air. Not covered: other gases unless their constants are given.
    Equation: p d = e^(1 - b) atm m, V = a e^(1 - b). Source: algebra from V = a p d / (ln(p d) + b), constants of a
    hobby page.

    Examples
    --------
    >>> round(two_constant_minimum().voltage, 1)
    327.6
    """
    product = _ATMOSPHERE * np.exp(1.0 - positive("logarithm_constant", logarithm_constant, "-"))
    return PaschenMinimum(plain(product), plain(positive("slope_constant", slope_constant, "V/(Pa m)") * product))


def air_gap_voltage(pressure: ArrayLike, gap: ArrayLike, temperature: ArrayLike = 293.0) -> Number:
    """Breakdown voltage of a uniform gap in air near one atmosphere.

    Parameters
    ----------
    pressure : float or array (...)
        Air pressure. [Pa]
    gap : float or array, broadcasts
        Distance between the electrodes. [m]
    temperature : float or array, broadcasts
        Air temperature. [K]

    Returns
    -------
    voltage : broadcast shape
        Breakdown voltage. [V]

    Raises
    ------
    DomainError
        If an argument is not positive, or the gap is below 0.1 mm at 1 atm or the same density times gap.

    Notes
    -----
    Valid: gaps of 1 mm to 10 cm at about 1 atm, uniform field, clean and dry; spark gaps. Not covered: points, edges
    and dirty surfaces, which break down far lower; low pressure; safety distances: those are `clearance`.
    Equation: V[kV] = 24.22 x + 6.08 sqrt(x), x = 293 p d / (760 T), p in torr, d in cm.
    Source: hobby page; measured beside it: nitrogen, 1 cm, 101.3 kPa, about 30.4 kV (Taylor and Francis chapter, doi
    10.1201/9780203025260-14, abstract). The lower bound of x, 0.01, is ours.

    Examples
    --------
    >>> round(air_gap_voltage(101325.0, 0.01))
    30300
    """
    torr = positive("pressure", pressure, "Pa") / _TORR
    centimetres = positive("gap", gap, "m") * 100.0
    x = 293.0 * torr * centimetres / (760.0 * positive("temperature", temperature, "K"))
    refuse("gap", x, x < 0.01, "a density times gap of at least 0.01 cm at 1 atm and 293 K", "cm at 1 atm")
    return plain(1e3 * (24.22 * x + 6.08 * np.sqrt(x)))


def air_gap_voltage_linear(pressure: ArrayLike, gap: ArrayLike) -> Number:
    """Breakdown voltage of a millimetre gap in air by a straight line.

    Parameters
    ----------
    pressure : float or array (...)
        Air pressure at room temperature. [Pa]
    gap : float or array, broadcasts
        Distance between the electrodes. [m]

    Returns
    -------
    voltage : broadcast shape
        Breakdown voltage. [V]

    Raises
    ------
    DomainError
        If an argument is not positive.

    Notes
    -----
    Valid: gaps of millimetres to a centimetre near 1 atm, uniform field. Not covered: smaller and larger gaps.
    Equation: V[kV] = 30 p d + 1.35, p in atm, d in cm. Source: hobby page.

    Examples
    --------
    >>> round(air_gap_voltage_linear(101325.0, 0.01))
    31350
    """
    atmospheres = positive("pressure", pressure, "Pa") / _ATMOSPHERE
    return plain(1e3 * (30.0 * atmospheres * positive("gap", gap, "m") * 100.0 + 1.35))
