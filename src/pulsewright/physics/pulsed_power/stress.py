"""What a current pulse does to the parts it passes: charge, action, slope."""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, a_number, not_negative, plain, positive, within


def half_sine_action(peak_current: ArrayLike, half_period: ArrayLike) -> Number:
    """Action integral of one half sine of current.

    Parameters
    ----------
    peak_current : float or array (...)
        Highest current. [A]
    half_period : float or array, broadcasts
        Time between the zeros of the current. [s]

    Returns
    -------
    action_integral : broadcast shape
        Integral of the current squared. [A^2*s]

    Raises
    ------
    DomainError
        If the time is negative.

    Notes
    -----
    Valid: undamped half cycle. Not covered: damping: see `damped_sine_action`.
    Equation: I^2 t / 2. Source: integral of sin^2.

    Examples
    --------
    >>> half_sine_action(1e3, 2e-3)
    1000.0
    """
    return plain(a_number("peak_current", peak_current, "A") ** 2 * not_negative("half_period", half_period, "s") / 2.0)


def damped_sine_action(charge_voltage: ArrayLike, capacitance: ArrayLike, resistance: ArrayLike) -> Number:
    """Action integral of a whole discharge through a fixed resistance: every joule ends in it.

    Parameters
    ----------
    charge_voltage : float or array (...)
        Voltage of the bank before the switch closes. [V]
    capacitance : float or array, broadcasts
        Capacitance of the bank. [F]
    resistance : float or array, broadcasts
        Resistance of the whole loop. [ohm]

    Returns
    -------
    action_integral : broadcast shape
        Integral of the current squared over all half cycles. [A^2*s]

    Raises
    ------
    DomainError
        If capacitance is negative or resistance is not positive.

    Notes
    -----
    Valid: linear loop, whatever its inductance, from ringing to overdamped. Not covered: lamps and arcs, whose
    resistance changes with the current.
    Equation: INT I^2 dt = C V0^2 / (2 R). Source: energy balance.

    Examples
    --------
    >>> damped_sine_action(10e3, 4e-6, 0.5)
    400.0
    """
    energy = not_negative("capacitance", capacitance, "F") * a_number("charge_voltage", charge_voltage, "V") ** 2 / 2.0
    return plain(energy / positive("resistance", resistance, "ohm"))


def damped_half_sine_action(
    charge_voltage: ArrayLike, capacitance: ArrayLike, resistance: ArrayLike, reversal: ArrayLike
) -> Number:
    """Action integral of the first half cycle of a ringing discharge through a fixed resistance.

    Parameters
    ----------
    charge_voltage : float or array (...)
        Voltage of the bank before the switch closes. [V]
    capacitance : float or array, broadcasts
        Capacitance of the bank. [F]
    resistance : float or array, broadcasts
        Resistance of the whole loop. [ohm]
    reversal : float or array, broadcasts
        Voltage left in reverse over the charge voltage. [-]

    Returns
    -------
    action_integral : broadcast shape
        Integral of the current squared up to the first current zero. [A^2*s]

    Raises
    ------
    DomainError
        If the reversal is outside 0 to 1, capacitance is negative or resistance is not positive.

    Notes
    -----
    Valid: linear loop, current interrupted at its first zero. Not covered: lamps and arcs.
    Equation: INT I^2 dt = C V0^2 (1 - R^2) / (2 R_loop). Source: energy balance.

    Examples
    --------
    >>> damped_half_sine_action(10e3, 4e-6, 0.5, 0.5)
    300.0
    """
    kept = within("reversal", reversal, 0.0, 1.0, "-") ** 2
    return plain(np.asarray(damped_sine_action(charge_voltage, capacitance, resistance)) * (1.0 - kept))


def damped_sine_reversal(resistance: ArrayLike, circuit_impedance: ArrayLike) -> Number:
    """Reversal of a discharge through a fixed resistance: each half cycle over the one before.

    Parameters
    ----------
    resistance : float or array (...)
        Resistance of the whole loop. [ohm]
    circuit_impedance : float or array, broadcasts
        Characteristic impedance sqrt(L / C). [ohm]

    Returns
    -------
    reversal : broadcast shape
        Reversed peak over the peak before it, of voltage and current alike; 0 when overdamped. [-]

    Raises
    ------
    DomainError
        If the resistance is negative or the impedance is not positive.

    Notes
    -----
    Valid: linear loop. Not covered: lamps, which reverse less or not at all: see `normalised_discharge`.
    Equation: exp(-pi z / sqrt(1 - z^2)), z = R / (2 Z0). Source: textbook, damped oscillation.

    Examples
    --------
    >>> round(damped_sine_reversal(0.2, 1.0), 4)
    0.7292
    """
    half = positive("circuit_impedance", circuit_impedance, "ohm") * 2.0
    z = not_negative("resistance", resistance, "ohm") / half
    inside = np.sqrt(np.maximum(1.0 - z**2, 0.0))
    exponent = np.divide(np.pi * z, inside, out=np.full(z.shape, np.inf), where=inside > 0.0)
    return plain(np.exp(-exponent))


def passed_charge(capacitance: ArrayLike, charge_voltage: ArrayLike, reversal: ArrayLike = 0.0) -> Number:
    """Charge that passes the switch in the first half cycle.

    Parameters
    ----------
    capacitance : float or array (...)
        Capacitance of the bank. [F]
    charge_voltage : float or array, broadcasts
        Voltage of the bank before the switch closes. [V]
    reversal : float or array, broadcasts
        Voltage left in reverse over the charge voltage. [-]

    Returns
    -------
    charge_per_shot : broadcast shape
        Charge passed up to the first current zero. [C]

    Raises
    ------
    DomainError
        If capacitance is negative or the reversal is outside 0 to 1.

    Notes
    -----
    Valid: linear dielectric. Not covered: later half cycles, which add to the wear of a switch.
    Equation: Q = C V0 (1 + R). Source: definition of capacitance.

    Examples
    --------
    >>> round(passed_charge(4e-6, 10e3, 0.25), 12)
    0.05
    """
    volts = a_number("charge_voltage", charge_voltage, "V") * (1.0 + within("reversal", reversal, 0.0, 1.0, "-"))
    return plain(not_negative("capacitance", capacitance, "F") * volts)


def initial_current_slope(charge_voltage: ArrayLike, inductance: ArrayLike) -> Number:
    """Steepest rise of the current, at the instant the switch closes.

    Parameters
    ----------
    charge_voltage : float or array (...)
        Voltage of the bank before the switch closes. [V]
    inductance : float or array, broadcasts
        Inductance of the whole loop. [H]

    Returns
    -------
    current_slope : broadcast shape
        Rise of the current per time. [A/s]

    Raises
    ------
    DomainError
        If the inductance is not positive.

    Notes
    -----
    Valid: a switch that closes at once. Not covered: closing time and drop of a gap, which kept several kilovolts in a
    50 kV, 100 ns example.
    Equation: dI/dt = V0 / L. Source: definition of inductance.

    Examples
    --------
    >>> initial_current_slope(10e3, 1e-6)
    10000000000.0
    """
    return plain(a_number("charge_voltage", charge_voltage, "V") / positive("inductance", inductance, "H"))
