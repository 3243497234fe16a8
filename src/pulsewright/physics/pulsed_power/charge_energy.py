"""Where the energy of one charge goes: into the bank, the charging resistor, and what drains the bank meanwhile."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.physics._domain import Number, as_float, plain
from pulsewright.physics.pulsed_power.charge_curve import (
    constant_current_time,
    constant_power_time,
    drained_resistor_time,
)

#: A drain that takes less than this part of the current is left out: its share is lost in the rounding.
_NEGLIGIBLE = 1e-8


class ChargeEnergy(NamedTuple):
    """Energies of one charge; the first is the sum of the others. Infinite where the voltage is never reached."""

    supplied: Number
    stored: Number
    resistor_loss: Number
    drained: Number


def _open(drain_resistance: ArrayLike | None) -> ArrayLike:
    """The drain, infinite where there is none."""
    return np.inf if drain_resistance is None else drain_resistance


def _split(supplied: NDArray[np.float64], stored: NDArray[np.float64], drained: NDArray[np.float64]) -> ChargeEnergy:
    with np.errstate(invalid="ignore"):
        loss = np.where(np.isfinite(supplied), supplied - stored - drained, np.inf)
    return ChargeEnergy(plain(supplied), plain(stored), plain(loss), plain(drained))


def constant_current_energy(
    capacitance: ArrayLike,
    charge_voltage: ArrayLike,
    charging_current: ArrayLike,
    drain_resistance: ArrayLike | None = None,
) -> ChargeEnergy:
    """Energies of one charge with a constant current.

    Parameters
    ----------
    capacitance : float or array (...)
        Total capacitance. [F]
    charge_voltage : float or array, broadcasts
        Voltage to reach. [V]
    charging_current : float or array, broadcasts
        Current of the supply. [A]
    drain_resistance : float or array, optional
        Bleeder and divider together, broadcasts; none when left out. [ohm]

    Returns
    -------
    supplied : broadcast shape
        From the output of the supply. [J]
    stored : broadcast shape
        In the bank at the end. [J]
    resistor_loss : broadcast shape
        0: there is no charging resistor. [J]
    drained : broadcast shape
        Into bleeder and divider. [J]

    Raises
    ------
    DomainError
        If the voltage is negative, or another argument is not positive.

    Notes
    -----
    Valid: as `constant_current_time`. Not covered: losses inside the supply, see `line_energy`.
    Equation: supplied = I INT v dt = I R (I t - C V); stored C V^2 / 2; drained the rest.
    Source: algebra from the first-order circuit.

    Examples
    --------
    >>> energies = constant_current_energy(4.0e-6, 10e3, 20e-3, 20e6)
    >>> round(energies.stored, 1), round(energies.drained, 2)
    (200.0, 3.4)
    """
    seconds = as_float(constant_current_time(capacitance, charge_voltage, charging_current, drain_resistance))
    farads, volts, amperes, ohms = map(
        as_float, (capacitance, charge_voltage, charging_current, _open(drain_resistance))
    )
    stored = np.broadcast_to(farads * volts**2 / 2.0, np.broadcast_shapes(seconds.shape, farads.shape))
    matters = volts > _NEGLIGIBLE * amperes * ohms
    some = np.where(matters, ohms, 1.0)
    supplied = np.where(matters, amperes * some * (amperes * seconds - farads * volts), stored)
    return _split(
        supplied, np.broadcast_to(farads * volts**2 / 2.0, supplied.shape), supplied - farads * volts**2 / 2.0
    )


def constant_power_energy(
    capacitance: ArrayLike,
    charge_voltage: ArrayLike,
    supply_power: ArrayLike,
    drain_resistance: ArrayLike | None = None,
) -> ChargeEnergy:
    """Energies of one charge at constant power.

    Parameters
    ----------
    capacitance : float or array (...)
        Total capacitance. [F]
    charge_voltage : float or array, broadcasts
        Voltage to reach. [V]
    supply_power : float or array, broadcasts
        Power that the supply delivers. [W]
    drain_resistance : float or array, optional
        Bleeder and divider together, broadcasts; none when left out. [ohm]

    Returns
    -------
    supplied : broadcast shape
        From the output of the supply. [J]
    stored : broadcast shape
        In the bank at the end. [J]
    resistor_loss : broadcast shape
        0: there is no charging resistor. [J]
    drained : broadcast shape
        Into bleeder and divider. [J]

    Raises
    ------
    DomainError
        If the voltage is negative, or another argument is not positive.

    Notes
    -----
    Valid: as `constant_power_time`. Not covered: losses inside the supply, see `line_energy`.
    Equation: supplied = P t; stored C V^2 / 2; drained the rest. Source: energy balance.

    Examples
    --------
    >>> round(constant_power_energy(4.0e-6, 10e3, 100.0).supplied, 1)
    200.0
    """
    seconds = as_float(constant_power_time(capacitance, charge_voltage, supply_power, drain_resistance))
    supplied = as_float(supply_power) * seconds
    stored = np.broadcast_to(as_float(capacitance) * as_float(charge_voltage) ** 2 / 2.0, supplied.shape)
    return _split(supplied, stored, supplied - stored)


def drained_resistor_energy(
    supply_voltage: ArrayLike,
    resistance: ArrayLike,
    capacitance: ArrayLike,
    charge_voltage: ArrayLike,
    drain_resistance: ArrayLike | None = None,
) -> ChargeEnergy:
    """Energies of one charge through a resistor from a fixed voltage.

    Parameters
    ----------
    supply_voltage : float or array (...)
        Voltage of the supply. [V]
    resistance : float or array, broadcasts
        Charging resistor. [ohm]
    capacitance : float or array, broadcasts
        Total capacitance. [F]
    charge_voltage : float or array, broadcasts
        Voltage to reach. [V]
    drain_resistance : float or array, optional
        Bleeder and divider together, broadcasts; none when left out. [ohm]

    Returns
    -------
    supplied : broadcast shape
        From the output of the supply. [J]
    stored : broadcast shape
        In the bank at the end. [J]
    resistor_loss : broadcast shape
        Heat in the charging resistor: as much as is stored, or more, when the bank nears the supply voltage. [J]
    drained : broadcast shape
        Into bleeder and divider. [J]

    Raises
    ------
    DomainError
        If the charge voltage is negative, or another argument is not positive.

    Notes
    -----
    Valid: as `drained_resistor_time`; the charge ends at the voltage. Not covered: heat while the bank is held there.
    Equation: supplied = V INT i dt; drained = INT v^2 dt / Rd; stored C v^2 / 2; resistor the rest.
    Source: algebra from the first-order circuit.

    Examples
    --------
    To half of the supply voltage the resistor burns three times what is stored:

    >>> energies = drained_resistor_energy(10e3, 100e3, 4.0e-6, 5e3)
    >>> round(energies.stored, 1), round(energies.resistor_loss, 1)
    (50.0, 150.0)
    """
    seconds = as_float(drained_resistor_time(supply_voltage, resistance, capacitance, charge_voltage, drain_resistance))
    supply, ohms, farads, volts, drain = map(
        as_float, (supply_voltage, resistance, capacitance, charge_voltage, _open(drain_resistance))
    )
    kept = 1.0 / (1.0 + ohms / drain)
    settled, constant = supply * kept, kept * ohms * farads
    with np.errstate(invalid="ignore"):
        part = volts / settled
        area = settled * (seconds - constant * part)  # INT v dt
        squares = settled**2 * (seconds - 2.0 * constant * part + constant * part * (2.0 - part) / 2.0)
    supplied = supply * (farads * volts + np.where(np.isinf(drain), 0.0, area / drain))
    supplied = np.where(np.isfinite(seconds), supplied, np.inf)
    drained = np.where(np.isinf(drain), 0.0, squares / drain)
    return _split(supplied, np.broadcast_to(farads * volts**2 / 2.0, supplied.shape), drained)
