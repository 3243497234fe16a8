"""Taking the energy off a bank: bleeder, dump resistor, and what the resistor's body stands.

Nothing here says that a bank is empty. A model that reads a low voltage is no measurement; dielectric absorption
gives voltage back to an open bank. Measure, then short and ground it before any work, as local codes and licensed
practice require.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.physics._choice import one_of
from pulsewright.physics._domain import Number, a_number, not_negative, plain, positive, refuse, within

#: Heat that ceramic-carbon bulk takes per volume, starting from 25 C, by duty [J/m^3] (hvrint.com, technical data).
BODY_ENERGY_DENSITY = {"continuous": 250e6, "infrequent": 350e6}
#: Body temperature that goes with it, operating limit by duty [K] (same source: 150 C and 200 C).
BODY_TEMPERATURE = {"continuous": 423.15, "infrequent": 473.15}
#: Volume [m^3], energy at 25 C [J], power [W] and time constant [s] of the source's types, as printed.
BODY_TYPES = (
    (0.4e-6, 100.0, 1.00, 100.0),
    (1.0e-6, 250.0, 1.50, 165.0),
    (1.3e-6, 325.0, 1.75, 185.0),
    (2.2e-6, 550.0, 2.25, 245.0),
)
#: Its heat capacity per volume [J/(m^3 K)] (same source).
BODY_HEAT_CAPACITY = 2.0e6


def dump_time(resistance: ArrayLike, capacitance: ArrayLike, voltage: ArrayLike, final_voltage: ArrayLike) -> Number:
    """Time for a resistor to bring a bank down to a named voltage.

    Parameters
    ----------
    resistance : float or array (...)
        Bleeder or dump resistance. [ohm]
    capacitance : float or array, broadcasts
        Total capacitance. [F]
    voltage : float or array, broadcasts
        Voltage at the start. [V]
    final_voltage : float or array, broadcasts
        Voltage to come down to. [V]

    Returns
    -------
    dump_time : broadcast shape
        Time to that voltage. [s]

    Raises
    ------
    DomainError
        If an argument is not positive, or the final voltage is above the starting one.

    Notes
    -----
    Valid: resistor whole and connected, resistance independent of voltage.
    Not covered: recovery by dielectric absorption; a broken resistor. Measure, short and ground before any work.
    Equation: t = R C ln(V0 / Vf). Source: textbook, first-order circuit.

    Examples
    --------
    From 10 kV to 60 V takes 5.116 time constants:

    >>> round(dump_time(1e6, 1e-6, 10e3, 60.0), 3)
    5.116
    """
    start = positive("voltage", voltage, "V")
    end = positive("final_voltage", final_voltage, "V")
    refuse("final_voltage", np.broadcast_arrays(end, start)[0], end > start, "at most the voltage at the start", "V")
    product = positive("resistance", resistance, "ohm") * positive("capacitance", capacitance, "F")
    return plain(product * np.log(start / end))


def dump_voltage(resistance: ArrayLike, capacitance: ArrayLike, voltage: ArrayLike, time: ArrayLike) -> Number:
    """Voltage left on a bank after a resistor has been across it for a time.

    Parameters
    ----------
    resistance : float or array (...)
        Bleeder or dump resistance. [ohm]
    capacitance : float or array, broadcasts
        Total capacitance. [F]
    voltage : float or array, broadcasts
        Voltage at the start. [V]
    time : float or array, broadcasts
        Time since the resistor was connected. [s]

    Returns
    -------
    voltage_left : broadcast shape
        Voltage still there. [V]

    Raises
    ------
    DomainError
        If resistance or capacitance is not positive, or time is negative.

    Notes
    -----
    Valid: resistor whole and connected, resistance independent of voltage.
    Not covered: recovery by dielectric absorption; a broken resistor. Measure, short and ground before any work.
    Equation: v = V0 exp(-t / (R C)). Source: textbook, first-order circuit.

    Examples
    --------
    >>> round(dump_voltage(1e6, 1e-6, 10e3, 5.116), 1)
    60.0
    """
    product = positive("resistance", resistance, "ohm") * positive("capacitance", capacitance, "F")
    return plain(a_number("voltage", voltage, "V") * np.exp(-not_negative("time", time, "s") / product))


def dump_resistance(
    capacitance: ArrayLike, voltage: ArrayLike, final_voltage: ArrayLike, allowed_time: ArrayLike
) -> Number:
    """Largest resistance that still brings a bank down to a voltage within an allowed time.

    Parameters
    ----------
    capacitance : float or array (...)
        Total capacitance. [F]
    voltage : float or array, broadcasts
        Voltage at the start. [V]
    final_voltage : float or array, broadcasts
        Voltage to come down to. [V]
    allowed_time : float or array, broadcasts
        Time allowed. [s]

    Returns
    -------
    resistance : broadcast shape
        Largest bleeder or dump resistance. [ohm]

    Raises
    ------
    DomainError
        If an argument is not positive, or the final voltage is not below the starting one.

    Notes
    -----
    Valid: resistor whole and connected. Not covered: tolerance of the parts: leave a margin.
    Equation: R = t / (C ln(V0 / Vf)). Source: textbook, first-order circuit.

    Examples
    --------
    >>> round(dump_resistance(4.0e-6, 10e3, 60.0, 5.0))
    244332
    """
    start = positive("voltage", voltage, "V")
    end = positive("final_voltage", final_voltage, "V")
    refuse("final_voltage", np.broadcast_arrays(end, start)[0], end >= start, "below the voltage at the start", "V")
    logarithm = np.log(start / end)
    return plain(positive("allowed_time", allowed_time, "s") / (positive("capacitance", capacitance, "F") * logarithm))


def resistor_power(voltage: ArrayLike, resistance: ArrayLike) -> Number:
    """Power in a resistor across a bank: peak power of a dump at its start, standing power of a bleeder.

    Parameters
    ----------
    voltage : float or array (...)
        Voltage across the resistor. [V]
    resistance : float or array, broadcasts
        Its resistance. [ohm]

    Returns
    -------
    power : broadcast shape
        Heat per time. [W]

    Raises
    ------
    DomainError
        If resistance is not positive.

    Notes
    -----
    Valid: resistance independent of voltage. Not covered: voltage rating of the body.
    Equation: P = V^2 / R. Source: Ohm's law.

    Examples
    --------
    >>> resistor_power(10e3, 20e6)
    5.0
    """
    return plain(a_number("voltage", voltage, "V") ** 2 / positive("resistance", resistance, "ohm"))


def adiabatic_temperature_rise(
    energy: ArrayLike, volume: ArrayLike, volumetric_heat_capacity: ArrayLike = BODY_HEAT_CAPACITY
) -> Number:
    """Temperature rise of a body that takes energy faster than it can lose it.

    Parameters
    ----------
    energy : float or array (...)
        Energy put in. [J]
    volume : float or array, broadcasts
        Active volume that it is spread over. [m^3]
    volumetric_heat_capacity : float or array, broadcasts
        Heat capacity per volume; the default is that of ceramic-carbon bulk. [J/(m^3 K)]

    Returns
    -------
    temperature_rise : broadcast shape
        Rise above the start. [K]

    Raises
    ------
    DomainError
        If energy is negative, or volume or heat capacity is not positive.

    Notes
    -----
    Valid: pulses short against the thermal time constant of the body, heat spread evenly.
    Not covered: film and small composition resistors, which fail far earlier; hot spots at the contacts.
    Equation: dT = E / (V c). Source: heat balance; c = 2 J/(cm^3 K): hvrint.com, technical data of bulk resistors.

    Examples
    --------
    The source's 250 J/cm^3 limit is 125 K, from 25 C to its 150 C:

    >>> adiabatic_temperature_rise(250.0, 1.0e-6)
    125.0
    """
    capacity = positive("volume", volume, "m^3") * positive(
        "volumetric_heat_capacity", volumetric_heat_capacity, "J/(m^3 K)"
    )
    return plain(not_negative("energy", energy, "J") / capacity)


def body_energy_rating(volume: ArrayLike, duty: str = "continuous", ambient_temperature: ArrayLike = 298.15) -> Number:
    """Energy that a ceramic-carbon bulk resistor takes in one insertion.

    Parameters
    ----------
    volume : float or array (...)
        Active volume of the body. [m^3]
    duty : {"continuous", "infrequent"}
        Whether shots repeat as often as cooling allows, or are rare.
    ambient_temperature : float or array, broadcasts
        Temperature of the body before it; no credit is given below 25 C. [K]

    Returns
    -------
    energy_rating : broadcast shape
        Largest energy per insertion; 0 for a body at its limit of temperature. [J]

    Raises
    ------
    DomainError
        If volume or temperature is not positive, or the duty is neither word.

    Notes
    -----
    Valid: ceramic-carbon bulk (solid-body) resistors.
    Not covered: film and wire-wound resistors; voltage and peak-current rating.
    Equation: E = 250 J/cm^3 V (continuous duty, body to 150 C), 350 J/cm^3 V (infrequent, body to 200 C), times what
    is left of the way from 25 C to that limit.
    Source: hvrint.com, technical data and type table of bulk resistors; derating for infrequent duty by its own limit.

    Examples
    --------
    The source's type table prints 325 J for 1.3 cm^3:

    >>> body_energy_rating(1.3e-6)
    325.0
    """
    word = one_of("duty", duty, BODY_ENERGY_DENSITY)
    density, most = BODY_ENERGY_DENSITY[word], BODY_TEMPERATURE[word]
    start = np.maximum(positive("ambient_temperature", ambient_temperature, "K"), 298.15)
    left = np.maximum(most - start, 0.0) / (most - 298.15)
    return plain(density * positive("volume", volume, "m^3") * left)


def body_surface_power(temperature_rise: ArrayLike) -> Number:
    """Heat that the surface of a ceramic-carbon bulk resistor loses to still air.

    Parameters
    ----------
    temperature_rise : float or array (...)
        Surface above ambient, 50 to 175 K. [K]

    Returns
    -------
    surface_power : same shape
        Heat per surface and time. [W/m^2]

    Raises
    ------
    DomainError
        Outside 50 to 175 K, where the source gives no figure.

    Notes
    -----
    Valid: temperature rise 50 to 175 K, free convection and radiation in air. Not covered: forced air, oil.
    Equation: P = 0.00026 dT^1.4 W/cm^2. Source: hvrint.com, technical data of bulk resistors.

    Examples
    --------
    >>> round(body_surface_power(125.0) / 1e4, 3)   # W/cm^2
    0.224
    """
    rise = within("temperature_rise", temperature_rise, 50.0, 175.0, "K")
    watts_per_square_centimetre = 0.00026 * rise**1.4
    return plain(1e4 * watts_per_square_centimetre)


def body_time_constant(energy_rating: ArrayLike, power_rating: ArrayLike) -> Number:
    """Thermal time constant of a resistor body from its two ratings.

    Parameters
    ----------
    energy_rating : float or array (...)
        Largest energy per insertion. [J]
    power_rating : float or array, broadcasts
        Largest steady power at the same body temperature. [W]

    Returns
    -------
    time_constant : broadcast shape
        Time in which a heated body falls to 37 % of its rise; wait four of them before it counts as cold. [s]

    Raises
    ------
    DomainError
        If a rating is not positive.

    Notes
    -----
    Valid: both ratings belong to the same body temperature and mounting. Not covered: forced cooling.
    Equation: tau = E_max / P_max. Source: hvrint.com, technical data of bulk resistors.

    Examples
    --------
    The source's type table prints 165 s for 250 J and 1.50 W:

    >>> round(body_time_constant(250.0, 1.50), 1)
    166.7
    """
    return plain(positive("energy_rating", energy_rating, "J") / positive("power_rating", power_rating, "W"))


def body_cooling_time(energy_rating: ArrayLike, power_rating: ArrayLike) -> Number:
    """Time to wait before a resistor body that took a full dump counts as cold again.

    Parameters
    ----------
    energy_rating : float or array (...)
        Largest energy per insertion. [J]
    power_rating : float or array, broadcasts
        Largest steady power at the same body temperature. [W]

    Returns
    -------
    cooling_time : broadcast shape
        Four thermal time constants. [s]

    Raises
    ------
    DomainError
        If a rating is not positive.

    Notes
    -----
    Valid: both ratings belong to the same body temperature and mounting; less than 2 % of the rise is left then.
    Not covered: forced cooling; a body boxed in, which cools more slowly.
    Equation: t = 4 E_max / P_max. Source: hvrint.com, technical data of bulk resistors.

    Examples
    --------
    >>> round(body_cooling_time(250.0, 1.50), 1)
    666.7
    """
    return plain(4.0 * np.asarray(body_time_constant(energy_rating, power_rating)))


def body_derating(ambient_temperature: ArrayLike) -> Number:
    """Part of the ratings at 25 C that a ceramic-carbon bulk resistor keeps in warmer surroundings.

    Parameters
    ----------
    ambient_temperature : float or array (...)
        Temperature of the surroundings, or of a body that has not cooled, 25 to 150 C. [K]

    Returns
    -------
    derating : same shape
        Factor on energy and power rating. [-]

    Raises
    ------
    DomainError
        Below 25 C (no credit is given) or above 150 C.

    Notes
    -----
    Valid: continuous duty, body limit 150 C. Not covered: infrequent duty with its limit of 200 C.
    Equation: f = (150 - Ta) / 125, Ta in degrees Celsius. Source: hvrint.com, technical data (numerator); the 125
    follows from its end points 25 and 150 C.

    Examples
    --------
    >>> body_derating(273.15 + 87.5)
    0.5
    """
    celsius = within("ambient_temperature", ambient_temperature, 298.15, 423.15, "K") - 273.15
    return plain((150.0 - celsius) / 125.0)
