"""A single mesh of capacitor, inductor and lamp: its scales, its pulse, and its design for a wanted damping.

The lamp follows the square-root law V = K0 sqrt(|I|) sgn(I). That is quick sizing, and the second route beside the
plasma model; it holds where the pulse is long against filling and heating of the bore.
"""

from __future__ import annotations

from typing import NamedTuple

import numpy as np
from numpy.typing import ArrayLike

from pulsewright.physics._domain import Number, not_negative, plain, positive, within
from pulsewright.physics.pulsed_power.normalised import HIGHEST_DAMPING, normalised_discharge
from pulsewright.physics.pulsed_power.pulse_length import time_scale_for_pulse_length

#: Below this a loop would ring a hundred times before the lamp had taken the energy: no design.
LOWEST_DAMPING = 0.01


def time_scale(inductance: ArrayLike, capacitance: ArrayLike) -> Number:
    """Time scale of a single mesh.

    Parameters
    ----------
    inductance : float or array (...)
        Inductance of the whole loop. [H]
    capacitance : float or array, broadcasts
        Capacitance of the bank. [F]

    Returns
    -------
    time_scale : broadcast shape
        T, a third of the pulse length by the 3 T convention. [s]

    Raises
    ------
    DomainError
        If an argument is negative.

    Notes
    -----
    Valid: lumped, constant inductance. Not covered: the arc's own inductance, which falls as the arc widens.
    Equation: T = sqrt(L C). Source: Markiewicz and Emmett, IEEE J. Quantum Electron. QE-2, 707 (1966).

    Examples
    --------
    >>> round(time_scale(1.5e-6, 4.0e-6) * 1e6, 3)   # us
    2.449
    """
    return plain(np.sqrt(not_negative("inductance", inductance, "H") * not_negative("capacitance", capacitance, "F")))


def circuit_impedance(inductance: ArrayLike, capacitance: ArrayLike) -> Number:
    """Characteristic impedance of a single mesh.

    Parameters
    ----------
    inductance : float or array (...)
        Inductance of the whole loop. [H]
    capacitance : float or array, broadcasts
        Capacitance of the bank. [F]

    Returns
    -------
    circuit_impedance : broadcast shape
        Z0; without damping the peak current is V0 / Z0. [ohm]

    Raises
    ------
    DomainError
        If inductance is negative or capacitance is not positive.

    Notes
    -----
    Valid: lumped, constant inductance. Not covered: the arc's own inductance, which falls as the arc widens.
    Equation: Z0 = sqrt(L / C). Source: Markiewicz and Emmett, IEEE J. Quantum Electron. QE-2, 707 (1966).

    Examples
    --------
    >>> round(circuit_impedance(58.020e-6, 172.355e-6), 4)
    0.5802
    """
    return plain(np.sqrt(not_negative("inductance", inductance, "H") / positive("capacitance", capacitance, "F")))


def damping_parameter(
    impedance_parameter: ArrayLike, charge_voltage: ArrayLike, circuit_impedance: ArrayLike
) -> Number:
    """Damping parameter of a single mesh through a square-root-law lamp.

    Parameters
    ----------
    impedance_parameter : float or array (...)
        K0 of all lamps together. [ohm*A^0.5]
    charge_voltage : float or array, broadcasts
        Voltage of the bank before the switch closes. [V]
    circuit_impedance : float or array, broadcasts
        Characteristic impedance sqrt(L / C). [ohm]

    Returns
    -------
    damping_parameter : broadcast shape
        alpha; near 0.8 the pulse is short and hardly reverses. [-]

    Raises
    ------
    DomainError
        If K0 is negative, or voltage or impedance is not positive.

    Notes
    -----
    Valid: square-root law, no loop resistance. Not covered: fast pre-ionised and low-fill lamps, whose exponent is
    steeper: see `general_damping_parameter`.
    Equation: alpha = K0 / sqrt(V0 Z0). Source: Markiewicz and Emmett, IEEE J. Quantum Electron. QE-2, 707 (1966).

    Examples
    --------
    >>> round(damping_parameter(20.0, 1077.22, 0.58020), 4)
    0.8
    """
    product = positive("charge_voltage", charge_voltage, "V") * positive("circuit_impedance", circuit_impedance, "ohm")
    return plain(not_negative("impedance_parameter", impedance_parameter, "ohm*A^0.5") / np.sqrt(product))


def general_damping_parameter(
    reference_voltage: ArrayLike,
    reference_current: ArrayLike,
    exponent: ArrayLike,
    charge_voltage: ArrayLike,
    circuit_impedance: ArrayLike,
) -> Number:
    """Damping parameter of a single mesh through a lamp with any exponent, V = V_r (I / I_r)^n.

    Parameters
    ----------
    reference_voltage : float or array (...)
        Lamp voltage at the reference current. [V]
    reference_current : float or array, broadcasts
        Current at which that voltage was taken. [A]
    exponent : float or array, broadcasts
        Exponent n of the lamp law. [-]
    charge_voltage : float or array, broadcasts
        Voltage of the bank before the switch closes. [V]
    circuit_impedance : float or array, broadcasts
        Characteristic impedance sqrt(L / C). [ohm]

    Returns
    -------
    damping_parameter : broadcast shape
        alpha' of the normalised equation with that exponent; 0.5 gives back the square-root one. [-]

    Raises
    ------
    DomainError
        If an argument is not positive (the reference voltage may be 0).

    Notes
    -----
    Valid: a lamp that follows one power law throughout. Not covered: a law that changes on the way.
    Equation: alpha' = K (V0 / Z0)^n / V0, K = V_r / I_r^n. Source: algebra from the normalised equation of
    Markiewicz and Emmett, IEEE J. Quantum Electron. QE-2, 707 (1966).

    Examples
    --------
    K0 = 20 ohm*A^0.5 written as 200 V at 100 A:

    >>> round(general_damping_parameter(200.0, 100.0, 0.5, 1077.22, 0.58020), 4)
    0.8
    """
    voltage = positive("charge_voltage", charge_voltage, "V")
    undamped = voltage / positive("circuit_impedance", circuit_impedance, "ohm")
    times = undamped / positive("reference_current", reference_current, "A")
    lamp = not_negative("reference_voltage", reference_voltage, "V") * times ** positive("exponent", exponent, "-")
    return plain(lamp / voltage)


class SingleMesh(NamedTuple):
    """Circuit values of a single mesh."""

    capacitance: Number
    inductance: Number
    charge_voltage: Number


def design_single_mesh(
    energy: float,
    pulse_length: float,
    impedance_parameter: float,
    damping_parameter: float = 0.8,
    definition: str = "three time scales",
) -> SingleMesh:
    """Circuit values that give a square-root-law lamp a wanted energy, pulse length and damping.

    Parameters
    ----------
    energy : float
        Energy stored in the bank. [J]
    pulse_length : float
        Duration of the current pulse by the named definition. [s]
    impedance_parameter : float
        K0 of all lamps together. [ohm*A^0.5]
    damping_parameter : float
        alpha, 0.01 to 20; 0.8 is called critically damped in practice (reversal 0.2 % of the peak). [-]
    definition : {"time scale", "three time scales", "tenth maximum", "third maximum", "half maximum"}
        What the pulse length means: sqrt(L C), 3 sqrt(L C), or a width of the current at a fraction of its peak.

    Returns
    -------
    capacitance : float
        Capacitance of the bank. [F]
    inductance : float
        Inductance of the whole loop. [H]
    charge_voltage : float
        Voltage of the bank. [V]

    Raises
    ------
    DomainError
        If an argument is not positive, alpha is outside its range, or the definition is not one of these words.

    Notes
    -----
    Valid: square-root law from the first instant, no loop resistance, constant inductance.
    Not covered: filling and heating of the bore, which low-fill microsecond lamps are governed by.
    Equation: C^3 = 2 E0 alpha^4 T^2 / K0^4, L = T^2 / C, V0 = sqrt(2 E0 / C); with tp = 3 T the factor 2 alpha^4 / 9
    is 0.0910 at alpha = 0.8, printed as 0.09.
    Source: Markiewicz and Emmett, IEEE J. Quantum Electron. QE-2, 707 (1966); Koechner, Solid-State Laser
    Engineering, chapter 6 (from memory).

    Examples
    --------
    >>> mesh = design_single_mesh(100.0, 300e-6, 20.0)
    >>> f"{mesh.capacitance * 1e6:.3f} uF, {mesh.inductance * 1e6:.3f} uH, {mesh.charge_voltage:.2f} V"
    '172.355 uF, 58.020 uH, 1077.22 V'
    """
    joules = float(positive("energy", energy, "J"))
    alpha = float(within("damping_parameter", damping_parameter, LOWEST_DAMPING, HIGHEST_DAMPING, "-"))
    k0 = float(positive("impedance_parameter", impedance_parameter, "ohm*A^0.5"))
    scale = time_scale_for_pulse_length(pulse_length, alpha, definition)
    capacitance = (2.0 * joules * alpha**4 * scale**2 / k0**4) ** (1.0 / 3.0)
    return SingleMesh(capacitance, scale**2 / capacitance, (2.0 * joules / capacitance) ** 0.5)


class SingleMeshPulse(NamedTuple):
    """The current pulse of a single mesh through a square-root-law lamp."""

    damping_parameter: float
    peak_current: float
    time_of_peak: float
    width_half: float
    width_third: float
    width_tenth: float
    rise_time: float
    current_reversal: float
    voltage_reversal: float
    lamp_energy: float
    action_integral: float


def single_mesh_pulse(
    capacitance: float,
    inductance: float,
    charge_voltage: float,
    impedance_parameter: float,
    resistance: float = 0.0,
) -> SingleMeshPulse:
    """Current pulse of a single mesh through a square-root-law lamp.

    Parameters
    ----------
    capacitance : float
        Capacitance of the bank. [F]
    inductance : float
        Inductance of the whole loop. [H]
    charge_voltage : float
        Voltage of the bank before the switch closes. [V]
    impedance_parameter : float
        K0 of all lamps together. [ohm*A^0.5]
    resistance : float
        Resistance of the loop without the lamps. [ohm]

    Returns
    -------
    damping_parameter : float
        alpha. [-]
    peak_current : float
        Highest current. [A]
    time_of_peak : float
        From the closing of the switch. [s]
    width_half : float
        Width of the current at half its peak. [s]
    width_third : float
        Width at a third of the peak. [s]
    width_tenth : float
        Width at a tenth of the peak. [s]
    rise_time : float
        Rise from 10 to 90 %. [s]
    current_reversal : float
        Largest reversed current over the peak. [-]
    voltage_reversal : float
        Largest reversed capacitor voltage over the charge voltage. [-]
    lamp_energy : float
        Energy in the lamps up to the first current zero, or by 25 sqrt(L C). [J]
    action_integral : float
        Integral of the current squared over the same time. [A^2*s]

    Raises
    ------
    DomainError
        If a circuit value is not positive, or the damping parameter exceeds 20.

    Notes
    -----
    Valid: pulses long against filling and heating of the bore, 400 to 10000 A/cm^2.
    Not covered: low-fill microsecond lamps, extinction, electrode and switch drops; see the plasma model.
    Equation: L dI/dt + R I + sgn(I) K0 sqrt|I| + (1/C) INT I dt = V0, solved in normalised form.
    Source: Markiewicz and Emmett, IEEE J. Quantum Electron. QE-2, 707 (1966).

    Examples
    --------
    >>> pulse = single_mesh_pulse(172.355e-6, 58.020e-6, 1077.22, 20.0)
    >>> round(pulse.damping_parameter, 4), round(pulse.peak_current, 1)
    (0.8, 920.1)
    """
    volts = float(positive("charge_voltage", charge_voltage, "V"))
    ohms = float(circuit_impedance(positive("inductance", inductance, "H"), capacitance))
    scale = float(time_scale(inductance, capacitance))
    alpha = float(damping_parameter(impedance_parameter, volts, ohms))
    loss = float(not_negative("resistance", resistance, "ohm")) / ohms
    shape = normalised_discharge(alpha, resistance_ratio=loss)
    undamped = volts / ohms
    return SingleMeshPulse(
        alpha,
        undamped * shape.normalised_peak,
        scale * shape.normalised_peak_time,
        scale * shape.normalised_width_half,
        scale * shape.normalised_width_third,
        scale * shape.normalised_width_tenth,
        scale * shape.normalised_rise_time,
        shape.current_reversal,
        shape.voltage_reversal,
        0.5 * capacitance * volts**2 * shape.lamp_energy_share,
        undamped**2 * scale * shape.normalised_action,
    )


def late_tail_voltage(
    impedance_parameter: ArrayLike, capacitance: ArrayLike, charge_voltage: ArrayLike, time: ArrayLike
) -> Number:
    """Voltage that the square-root law leaves on the bank late in the pulse: it falls as 1/t and never reaches zero.

    Parameters
    ----------
    impedance_parameter : float or array (...)
        K0 of all lamps together. [ohm*A^0.5]
    capacitance : float or array, broadcasts
        Capacitance of the bank. [F]
    charge_voltage : float or array, broadcasts
        Voltage at time zero; infinity gives the limit K0^2 C / t. [V]
    time : float or array, broadcasts
        Time since then. [s]

    Returns
    -------
    voltage : broadcast shape
        Voltage still on the bank by this law. [V]

    Raises
    ------
    DomainError
        If an argument is negative, or capacitance, K0 or the voltage is zero.

    Notes
    -----
    Valid: after the peak, where the inductor no longer matters; a lower figure than a real lamp leaves.
    Not covered: extinction: a real lamp goes out and leaves more. A small model current never means a safe bank:
    measure, short and ground.
    Equation: C dV/dt = -(V / K0)^2, so 1/V = 1/V0 + t / (K0^2 C), and V -> K0^2 C / t.
    Source: algebra from V = K0 sqrt(I).

    Examples
    --------
    >>> round(late_tail_voltage(20.0, 4.0e-6, float("inf"), 0.1e-3), 9)
    16.0
    """
    slope = positive("impedance_parameter", impedance_parameter, "ohm*A^0.5") ** 2
    slope = slope * positive("capacitance", capacitance, "F")
    elapsed = not_negative("time", time, "s")
    return plain(1.0 / (1.0 / positive("charge_voltage", charge_voltage, "V") + elapsed / slope))
