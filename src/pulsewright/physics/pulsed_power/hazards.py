"""Which kinds of harm a stored energy can do, by thresholds in use at US DOE laboratories.

Below a threshold is not harmless. Local codes and licensed practice decide.
"""

from __future__ import annotations

from typing import NamedTuple

from pulsewright.physics._domain import not_negative


class StoredEnergyHazards(NamedTuple):
    """Kinds of harm whose threshold is passed."""

    shock: bool
    arc_flash: bool
    thermal: bool
    reflex: bool


def stored_energy_hazards(voltage: float, stored_energy: float) -> StoredEnergyHazards:
    """Kinds of harm that a charged capacitor can do, by laboratory thresholds.

    Parameters
    ----------
    voltage : float
        Voltage on the capacitor. [V]
    stored_energy : float
        Energy in it. [J]

    Returns
    -------
    shock : bool
        At least 100 V and at least 10 J. [-]
    arc_flash : bool
        At least 100 V and at least 10 kJ: arc flash and blast. [-]
    thermal : bool
        Below 100 V and above 100 J: burns from a short. [-]
    reflex : bool
        Above 400 V and above 0.25 J: startle and fall. [-]

    Raises
    ------
    DomainError
        If an argument is negative.

    Notes
    -----
    Valid: as a sorting of hazards. Not covered: what protects: that takes a written procedure and trained people.
    Equation: the thresholds above. Source: LBNL Electrical Safety Manual, Tables 2.2.13, 2.3.3 and 2.3.5; reflex: web
    page quoting DOE practice.

    Examples
    --------
    >>> stored_energy_hazards(9.5e3, 180.0)
    StoredEnergyHazards(shock=True, arc_flash=False, thermal=False, reflex=True)
    """
    volts = float(not_negative("voltage", voltage, "V"))
    joules = float(not_negative("stored_energy", stored_energy, "J"))
    high = volts >= 100.0
    return StoredEnergyHazards(
        high and joules >= 10.0, high and joules >= 10e3, not high and joules > 100.0, volts > 400.0 and joules > 0.25
    )


def direct_current_hazard(supply_voltage: float, supply_current: float) -> bool:
    """Whether a direct-current supply, such as a charger, can give a hazardous shock, by a laboratory threshold.

    Parameters
    ----------
    supply_voltage : float
        Highest voltage of the supply. [V]
    supply_current : float
        Highest current it can give. [A]

    Returns
    -------
    hazard : bool
        At least 100 V and at least 40 mA. [-]

    Raises
    ------
    DomainError
        If an argument is negative.

    Notes
    -----
    Valid: as a sorting of hazards. Not covered: its output capacitors, which are judged as stored energy.
    Equation: V >= 100 V and I >= 40 mA. Source: LBNL Electrical Safety Manual.

    Examples
    --------
    The recorded incident of a 5 kV, 200 mA supply:

    >>> direct_current_hazard(5e3, 0.2)
    True
    """
    volts = float(not_negative("supply_voltage", supply_voltage, "V"))
    return volts >= 100.0 and float(not_negative("supply_current", supply_current, "A")) >= 40e-3
