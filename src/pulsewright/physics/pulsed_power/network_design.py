"""Design of a pulse-forming network of equal sections for a lamp of the square-root law: long, flat pulses."""

from __future__ import annotations

import math
from typing import NamedTuple

from pulsewright.errors import DomainError
from pulsewright.physics._domain import not_negative, positive

#: Fewest sections for which the formulas of a network are used; one section is a single mesh, two hardly have a top.
FEWEST_SECTIONS = 3


class NetworkDesign(NamedTuple):
    """Circuit values of a network of equal sections and the flat of its pulse."""

    capacitance: float
    section_capacitance: float
    section_inductance: float
    line_impedance: float
    charge_voltage: float
    current: float


def network_length(section_inductance: float, section_capacitance: float, sections: int) -> float:
    """Length of the flat pulse of a network of equal sections.

    Parameters
    ----------
    section_inductance : float
        Inductance of one section. [H]
    section_capacitance : float
        Capacitance of one section. [F]
    sections : int
        Number of sections. [-]

    Returns
    -------
    pulse_length : float
        Width of the current at half its flat. [s]

    Raises
    ------
    DomainError
        If a value is not positive.

    Notes
    -----
    Valid: a matched load, five sections or more; with fewer the top is rounded. Not covered: mutual inductance between
    sections, losses.
    Equation: t = 2 n sqrt(L_n C_n). Source: Koechner, Solid-State Laser Engineering, chapter 6, multiple-mesh
    networks (from memory).

    Examples
    --------
    >>> round(network_length(60e-6, 11.667e-6, 6) * 1e6)   # us
    317
    """
    product = positive("section_inductance", section_inductance, "H") * positive(
        "section_capacitance", section_capacitance, "F"
    )
    return 2.0 * float(positive("sections", sections, "-")) * math.sqrt(float(product))


def network_current(impedance_parameter: float, charge_voltage: float, line_impedance: float) -> float:
    """Current on the flat of a network's pulse through a square-root-law lamp.

    Parameters
    ----------
    impedance_parameter : float
        K0 of all lamps together. [ohm*A^0.5]
    charge_voltage : float
        Voltage of the network before the switch closes. [V]
    line_impedance : float
        Impedance of the network, sqrt(L_n / C_n). [ohm]

    Returns
    -------
    current : float
        Current while the first wave runs down the network and back. [A]

    Raises
    ------
    DomainError
        If the voltage or the impedance is not positive, or K0 is negative.

    Notes
    -----
    Valid: during the first double transit. Not covered: what a mismatch reflects afterwards, loop resistance.
    Equation: V0 = Z I + K0 sqrt(I). Source: a line of impedance Z behind a lamp of the square-root law (algebra).

    Examples
    --------
    A matched lamp, K0 / sqrt(I) = Z, takes half the voltage:

    >>> round(network_current(40.0, 3200.0, 1.0), 6)
    1600.0
    """
    z = float(positive("line_impedance", line_impedance, "ohm"))
    k0 = float(not_negative("impedance_parameter", impedance_parameter, "ohm*A^0.5"))
    volts = float(positive("charge_voltage", charge_voltage, "V"))
    root = (math.sqrt(k0 * k0 + 4.0 * z * volts) - k0) / (2.0 * z)
    return root * root


def design_network(
    energy: float, pulse_length: float, impedance_parameter: float, sections: int, match: float = 1.0
) -> NetworkDesign:
    """Sections, voltage and current of a network that gives a square-root-law lamp a flat pulse.

    Parameters
    ----------
    energy : float
        Energy stored in all sections. [J]
    pulse_length : float
        Width of the current at half its flat. [s]
    impedance_parameter : float
        K0 of all lamps together. [ohm*A^0.5]
    sections : int
        Number of equal sections, 3 or more. [-]
    match : float
        Lamp resistance on the flat over the impedance of the network, 0.2 to 5; 1 empties it in one transit. [-]

    Returns
    -------
    capacitance : float
        Of all sections together. [F]
    section_capacitance : float
        Of one section. [F]
    section_inductance : float
        Of one section. [H]
    line_impedance : float
        sqrt(L_n / C_n). [ohm]
    charge_voltage : float
        Voltage of the network. [V]
    current : float
        On the flat. [A]

    Raises
    ------
    DomainError
        If a value is not positive, the match is outside its range, or there are fewer than 3 sections.

    Notes
    -----
    Valid: square-root law, pulses long against filling and heating of the bore; five sections or more for a flat top.
    Not covered: mutual inductance between sections, losses, the rounding of few sections.
    Equation: t = 2 n sqrt(L_n C_n), Z = sqrt(L_n / C_n), E = n C_n V0^2 / 2, V0 = Z I + K0 sqrt(I), K0 / sqrt(I) = m Z;
    so I^(3/2) = 4 E / (t m K0 (1 + 1/m)^2).
    Source: Koechner, Solid-State Laser Engineering, chapter 6 (from memory), with the lamp's resistance at its current.

    Examples
    --------
    >>> network = design_network(1260.0, 317e-6, 100.0, 6)
    >>> f"{network.section_capacitance * 1e6:.2f} uF, {network.section_inductance * 1e6:.1f} uH"
    '9.02 uF, 77.4 uH'
    >>> round(network.current * network.line_impedance / network.charge_voltage, 3)
    0.5
    """
    joules, length = float(positive("energy", energy, "J")), float(positive("pulse_length", pulse_length, "s"))
    k0 = float(positive("impedance_parameter", impedance_parameter, "ohm*A^0.5"))
    ratio = float(positive("match", match, "-"))
    if not 0.2 <= ratio <= 5.0:
        raise DomainError(f"match is {ratio:g}", argument="match", allowed="Allowed: 0.2 to 5", next_step="Try 1")
    if sections < FEWEST_SECTIONS:
        raise DomainError(
            f"{sections} sections",
            argument="sections",
            allowed=f"{FEWEST_SECTIONS} or more; a single mesh is designed by its damping",
            next_step="Take 5 or 6",
        )

    current = (4.0 * joules / (length * ratio * k0 * (1.0 + 1.0 / ratio) ** 2)) ** (2.0 / 3.0)
    impedance = k0 / current**0.5 / ratio
    capacitance = length / (2.0 * impedance)
    return NetworkDesign(
        capacitance,
        capacitance / sections,
        impedance**2 * capacitance / sections,
        impedance,
        impedance * current + k0 * current**0.5,
        current,
    )
