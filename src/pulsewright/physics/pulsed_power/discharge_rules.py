"""What rules ask of stored charge: how low a voltage must be, and how soon.

Each is a minimum for a product, and none is a rule for access. Before any work: measure, short and ground; local
codes and licensed practice decide.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.physics._choice import one_of
from pulsewright.physics._domain import Number, not_negative, plain, refuse, within

#: Editions differ in the highest rating: 600 V, later 1000 V.
_LOW_VOLTAGE = 1000.0


#: Current through a protective impedance into a person: IEC 60335-1, clause 8.1.4 [A].
_ACCESSIBLE_CURRENT = {"direct": 2e-3, "alternating": 0.7e-3}
#: Effective, peak and direct voltage that may be touched, by edition: IEC 61010-1, clause 6.3, from memory [V].
_ACCESSIBLE_VOLTAGE = {"second": (33.0, 46.7, 70.0), "third": (30.0, 42.4, 60.0)}


class DischargeRule(NamedTuple):
    """What a rule asks: the voltage to come down to, the time allowed, and whether it applies at all."""

    voltage_limit: float
    allowed_time: float
    applies: bool


def machinery_discharge_rule(voltage: float, capacitance: float, exposed_pins: bool = False) -> DischargeRule:
    """What IEC 60204-1 asks of charge left on a machine after it is switched off.

    Parameters
    ----------
    voltage : float
        Voltage on the live part when switched off. [V]
    capacitance : float
        Capacitance behind it. [F]
    exposed_pins : bool
        Whether pins of a plug are laid open by pulling it, with no IP2X protection.

    Returns
    -------
    voltage_limit : float
        Voltage to come down to. [V]
    allowed_time : float
        Time allowed. [s]
    applies : bool
        False at 60 V and below, and for charges to 60 uC (not for exposed pins). [-]

    Raises
    ------
    DomainError
        If an argument is negative.

    Notes
    -----
    Valid: machinery. Not covered: where it cannot be met, a durable warning with the delay time is asked for; access
    for work. A minimum for a product, not a rule for access.
    Equation: to 60 V within 5 s, exposed plug pins within 1 s; exempt to C V = 60 uC.
    Source: IEC 60204-1, clause 6.2.4 (as quoted at cmph-safety.tech and sdev.dk).

    Examples
    --------
    >>> machinery_discharge_rule(10e3, 4e-6)
    DischargeRule(voltage_limit=60.0, allowed_time=5.0, applies=True)
    """
    volts = float(not_negative("voltage", voltage, "V"))
    charge = float(not_negative("capacitance", capacitance, "F")) * volts
    exempt = volts <= 60.0 or (charge <= 60e-6 * (1.0 + 1e-12) and not exposed_pins)
    return DischargeRule(60.0, 1.0 if exposed_pins else 5.0, not exempt)


def low_voltage_capacitor_rule(voltage_rating: float) -> DischargeRule:
    """What the US National Electrical Code asks of capacitors in installations of low voltage.

    Parameters
    ----------
    voltage_rating : float
        Rated voltage, to 1000 V (to 600 V in earlier editions). [V]

    Returns
    -------
    voltage_limit : float
        Voltage to come down to after disconnection. [V]
    allowed_time : float
        Time allowed. [s]
    applies : bool
        False at 50 V and below. [-]

    Raises
    ------
    DomainError
        If the rating is negative or above 1000 V.

    Notes
    -----
    Valid: capacitors of fixed installations. Not covered: higher voltage: see `high_voltage_capacitor_rule`.
    Equation: to 50 V within 1 min. Source: NEC 460.6 (as quoted at ecmweb.com).

    Examples
    --------
    >>> low_voltage_capacitor_rule(480.0)
    DischargeRule(voltage_limit=50.0, allowed_time=60.0, applies=True)
    """
    volts = float(within("voltage_rating", voltage_rating, 0.0, _LOW_VOLTAGE, "V"))
    return DischargeRule(50.0, 60.0, volts > 50.0)


def high_voltage_capacitor_rule(voltage: float) -> DischargeRule:
    """What California asks of high-voltage capacitors after disconnection.

    Parameters
    ----------
    voltage : float
        Voltage on the capacitor. [V]

    Returns
    -------
    voltage_limit : float
        Voltage to come down to. [V]
    allowed_time : float
        Time allowed. [s]
    applies : bool
        False at 50 V and below. [-]

    Raises
    ------
    DomainError
        If the voltage is negative.

    Notes
    -----
    Valid: high-voltage capacitors of installations; the discharge circuit must connect itself.
    Not covered: work on the part: an internal bleeder is no substitute for an external short and ground.
    Equation: to 50 V within 5 min. Source: California Code of Regulations, Title 8, section 2893.

    Examples
    --------
    >>> high_voltage_capacitor_rule(10e3)
    DischargeRule(voltage_limit=50.0, allowed_time=300.0, applies=True)
    """
    return DischargeRule(50.0, 300.0, float(not_negative("voltage", voltage, "V")) > 50.0)


def accessible_capacitance_limit(peak_voltage: ArrayLike) -> Number:
    """Largest capacitance behind a part that may be touched, by the rule for household appliances.

    Parameters
    ----------
    peak_voltage : float or array (...)
        Peak voltage of the part, above 42.4 V. [V]

    Returns
    -------
    capacitance : same shape
        Largest capacitance. [F]

    Raises
    ------
    DomainError
        At 42.4 V and below, where the clause sets no limit.

    Notes
    -----
    Valid: parts made accessible behind protective impedance. Not covered: the limits of current, 2 mA DC and 0.7 mA
    peak AC; anything in a laboratory that is not such a part.
    Equation: to 450 V 0.1 uF; to 15 kV 45 uC, C = Q / V; above 350 mJ, C = 2 E / V^2.
    Source: IEC 60335-1, clause 8.1.4 (as quoted in a forum).

    Examples
    --------
    >>> round(accessible_capacitance_limit(15e3) * 1e9, 6)   # nF
    3.0
    """
    volts = not_negative("peak_voltage", peak_voltage, "V")
    refuse("peak_voltage", volts, volts <= 42.4, "above 42.4 V", "V")
    by_charge = np.where(volts <= 450.0, 0.1e-6, 45e-6 / volts)
    return plain(np.where(volts > 15e3, 2.0 * 0.350 / volts**2, by_charge))


def accessible_current_limit(waveform: str = "direct") -> float:
    """Largest current that a part behind protective impedance may give, by the rule for household appliances.

    Parameters
    ----------
    waveform : {"direct", "alternating"}
        Direct current, or the peak of an alternating one.

    Returns
    -------
    current : float
        Largest current. [A]

    Raises
    ------
    DomainError
        If the waveform is neither word.

    Notes
    -----
    Valid: parts made accessible behind protective impedance.
    Not covered: stored charge, see `accessible_capacitance_limit`; what a person feels or stands; anything in a
    laboratory that is not such a part.
    Equation: 2 mA direct, 0.7 mA peak alternating. Source: IEC 60335-1, clause 8.1.4 (as quoted in a forum).

    Examples
    --------
    >>> accessible_current_limit("direct")
    0.002
    """
    return _ACCESSIBLE_CURRENT[one_of("waveform", waveform, _ACCESSIBLE_CURRENT)]


class AccessibleVoltage(NamedTuple):
    """Voltages that a part of laboratory equipment may have where it can be touched."""

    effective: float
    peak: float
    direct: float


def accessible_voltage_limit(edition: str = "third") -> AccessibleVoltage:
    """Voltage that parts of laboratory equipment may have where they can be touched, in normal condition.

    Parameters
    ----------
    edition : {"second", "third"}
        Edition of the standard.

    Returns
    -------
    effective : float
        Alternating, effective value. [V]
    peak : float
        Alternating, peak. [V]
    direct : float
        Direct. [V]

    Raises
    ------
    DomainError
        If the edition is neither word.

    Notes
    -----
    Valid: dry places, normal condition. Not covered: wet places, single faults, stored charge: obtain the standard.
    Equation: the figures. Source: IEC 61010-1, clause 6.3 (from memory).

    Examples
    --------
    >>> accessible_voltage_limit().direct
    60.0
    """
    return AccessibleVoltage(*_ACCESSIBLE_VOLTAGE[one_of("edition", edition, _ACCESSIBLE_VOLTAGE)])
