"""Discharge of a bank through lamps: from trigger to the end of the current."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pulsewright.errors import DomainError
from pulsewright.numerics.tables import hermite_resample
from pulsewright.physics.lamp import discharge_kernel
from pulsewright.physics.lamp.tables import PlasmaTables

Float = NDArray[np.float64]

OUTCOMES = ("energy spent", "time limit", "step limit", "not a number")


@dataclass(frozen=True, slots=True, eq=False)
class LampGroup:
    """Like lamps that share one current and one plasma state.

    `count` lamps of `length` [m] and `bore` [m]; starting `channel_radius` [m] and `channel_temperature` [K];
    `growth_factor` on the arc-growth law [-]; `electrode_drop` [V]; `impedance` K0 of one lamp for the square-root
    law [V/A^0.5].
    """

    count: int
    length: float
    bore: float
    tables: PlasmaTables
    channel_radius: float
    channel_temperature: float
    growth_factor: float
    electrode_drop: float
    impedance: float


@dataclass(frozen=True, slots=True, eq=False)
class Discharge:
    """Waveforms on a time axis and the energies spent.

    Shapes: (time,) for bank voltage [V], current [A], lamp voltage [V]; (time, group) for energy per length [J/m],
    arc radius [m], temperature [K]. `peak_current_density` per group over the bore area [A/m^2]; `group_energy`
    into the columns of each group [J].
    `energies`: sink -> energy [J], adding up to the stored energy.
    `plasma_energy`: what the columns still hold at the end beyond what the trigger gave them [J].
    `filled`: time at which each group's arc reached the wall [s], nan if never.
    """

    time: Float
    bank_voltage: Float
    current: Float
    lamp_voltage: Float
    energy_per_length: Float
    arc_radius: Float
    temperature: Float
    peak_current_density: tuple[float, ...]
    group_energy: tuple[float, ...]
    energies: dict[str, float]
    radiated_energy: float
    plasma_energy: float
    action: float
    charge: float
    reversal: float
    filled: Float
    ended: float
    outcome: str
    counters: dict[str, int]


def discharge(
    capacitance: float,
    inductance: float,
    loop_resistance: float,
    switch_resistance: float,
    switch_drop: float,
    charge_voltage: float,
    lamps: Sequence[LampGroup],
    parallel: bool = False,
    square_root_law: bool = False,
    samples: int = 360,
    tolerance: float = 1e-6,
    stop_fraction: float = 1e-3,
    duration: float | None = None,
    most_steps: int = 5_000,
) -> Discharge:
    """Discharge one bank through lamps in a single loop.

    Parameters
    ----------
    capacitance : float
        Bank capacitance. [F]
    inductance : float
        Whole loop, arcs at full bore included. [H]
    loop_resistance : float
        Loop without lamps and switch. [ohm]
    switch_resistance : float
        Resistive part of the switch. [ohm]
    switch_drop : float
        Constant part of the switch voltage. [V]
    charge_voltage : float
        Bank voltage when the switch closes. [V]
    lamps : sequence of LampGroup
        In series, or side by side when `parallel`.
    parallel : bool
        Lamps share the voltage instead of the current.
    square_root_law : bool
        Lamp voltage from K0 sqrt(|I|) instead of from the plasma; the plasma then only turns power into light.
    samples : int
        Points of the time axis, four fifths of them while current flows. [-]
    tolerance : float
        Relative tolerance of a step. [-]
    stop_fraction : float
        Stop when capacitor and inductor together hold less than this part of the stored energy, and the light has
        fallen to 3 % of its highest power. [-]
    duration : float or None
        Longest time followed; default 40 sqrt(L C). [s]
    most_steps : int
        Steps after which to give up. [-]

    Returns
    -------
    discharge : Discharge
        Waveforms, energies per sink and counters.

    Raises
    ------
    DomainError
        If capacitance, inductance or voltage is not positive, or there is no lamp.

    Notes
    -----
    Valid: lamps already broken down when the switch closes; arc in equilibrium; loop inductance constant.
    Not covered: inductance of the thin early arc, ablated wall vapour, ion acoustic waves, conduction to the wall.
    Equation: PHYSICS of the discharge: C dV/dt = -I; L dI/dt = V - R I - sum V_lamp - V_switch sgn I;
    dU/dt = eta I^2 / A - 2 pi a F; d(a^2)/dt = g^2 (0.93 mm)^2 (rho/1.29)^(-1/3) |I_kA|^(2/3) per us up to the bore.
    Source: energy and circuit balance; growth law of free sparks, Braginskii, Sov. Phys. JETP 7, 1068 (1958) (constant
    from memory, for air; none is established for lamps, so the factor g carries a range).

    Examples
    --------
    >>> from pulsewright.physics.lamp.tables import plasma_tables
    >>> t = plasma_tables(3.2e24, 2.18e-25, [1.943e-18], [[(1.0, 0.0)], [(6.0, 0.0)]], 2.5e-19, 4.8e-19)
    >>> group = LampGroup(2, 0.15, 7e-3, t, 5e-4, 8000.0, 1.0, 15.0, 40.0)
    >>> d = discharge(4e-6, 1.5e-6, 0.03, 0.015, 150.0, 9500.0, [group])
    >>> bool(abs(sum(d.energies.values()) / 180.5 - 1) < 1e-3)
    True
    """
    if not (capacitance > 0 and inductance > 0 and charge_voltage > 0) or not lamps:
        raise DomainError(
            f"C = {capacitance:g} F, L = {inductance:g} H, V = {charge_voltage:g} V, {len(lamps)} lamps",
            argument="charge_voltage",
            allowed="Capacitance, inductance and voltage above zero and at least one lamp",
            next_step="Give all three",
        )
    first = lamps[0].tables
    rows = np.array([_row(lamp) for lamp in lamps])
    if parallel and square_root_law:
        rows[:, -1] = _side_by_side(rows)
    start = np.zeros(2 + 3 * len(lamps) + discharge_kernel.LOSSES)
    start[0] = charge_voltage
    for group, lamp in enumerate(lamps):
        radius = lamp.bore / 2 if square_root_law else min(lamp.channel_radius, lamp.bore / 2)
        start[3 + 2 * group] = radius**2
        density = lamp.tables.energy_at(lamp.channel_temperature) * lamp.tables.number_density
        start[2 + 2 * group] = density * np.pi * radius**2
    circuit = np.array(
        [capacitance, inductance, loop_resistance, switch_resistance, switch_drop, parallel, square_root_law, 0.0],
        dtype=float,
    )
    stacked = (
        np.stack([lamp.tables.log_resistivity[0] for lamp in lamps]),
        np.stack([lamp.tables.log_exitance[0] for lamp in lamps]),
    )
    energy_axes = np.array([_volume_axis(lamp.tables) for lamp in lamps])
    scale = float(np.sqrt(inductance * capacitance))
    settings = np.array([tolerance, duration or 40 * scale, stop_fraction, 1e-5 * scale])
    times, states, slopes, filled, ended, counters, outcome = discharge_kernel.integrate(
        start, circuit, rows, stacked, energy_axes, np.array(first.log_radius), settings, most_steps
    )
    grid = _time_axis(float(times[-1]), float(ended), samples)
    sampled = np.empty((samples, states.shape[1]))
    hermite_resample(times, states, slopes, grid, sampled)
    return _named(grid, sampled, states, lamps, circuit, filled, float(ended), OUTCOMES[outcome], counters, start)


def _time_axis(last: float, ended: float, samples: int) -> Float:
    """Uniform while current flows, thinning out over the afterglow."""
    if not ended < last:
        return np.linspace(0.0, last, samples)
    tail = samples // 5
    burning = np.linspace(0.0, ended, samples - tail)
    step = burning[1]
    return np.concatenate([burning, ended + np.geomspace(step, last - ended + step, tail + 1)[1:] - step])


def _volume_axis(tables: PlasmaTables) -> tuple[float, float]:
    """First point and step of the axis in energy per volume of a column of fill density."""
    return tables.log_energy[0] + float(np.log(tables.number_density)), tables.log_energy[1]


def _row(lamp: LampGroup) -> list[float]:
    return [
        float(lamp.count),
        lamp.length,
        lamp.bore / 2,
        lamp.tables.mass_density,
        lamp.growth_factor,
        lamp.electrode_drop,
        lamp.impedance,
    ]


def _side_by_side(rows: Float) -> Float:
    """K0 of each lamp referred to the whole current: n alike in parallel make K0 / sqrt(n), not K0 / n.

    V = K sqrt(share) is the same for all, so the shares go as 1 / K^2 and V / share = K^2 sqrt(sum 1/K^2) / sqrt(I).
    """
    impedance = rows[:, -1]
    return np.asarray(impedance**2 * np.sqrt(np.sum(rows[:, 0] / impedance**2)))


def _named(
    grid: Float,
    sampled: Float,
    states: Float,
    lamps: Sequence[LampGroup],
    circuit: Float,
    filled: Float,
    ended: float,
    outcome: str,
    counters: NDArray[np.int64],
    start: Float,
) -> Discharge:
    """Give names to the kernel's columns and close the energy budget."""
    groups = len(lamps)
    base, tail = 2 + 2 * groups, 2 + 3 * groups
    current = sampled[:, 1]
    radius = np.sqrt(sampled[:, 3 : base + 1 : 2])
    energy = sampled[:, 2:base:2]
    temperature, conductance = np.empty_like(energy), np.empty_like(energy)
    for group, lamp in enumerate(lamps):
        axis = lamp.tables.energy_axis + np.log(lamp.tables.number_density)
        area = np.pi * radius[:, group] ** 2
        density = np.log(np.maximum(energy[:, group] / area, 1e-30))
        temperature[:, group] = np.interp(density, axis, lamp.tables.temperature[0])
        conductance[:, group] = area / (lamp.length * np.exp(np.interp(density, axis, lamp.tables.log_resistivity[0])))
    end = states[-1]
    begun = sum(lamp.count * lamp.length * start[2 + 2 * g] for g, lamp in enumerate(lamps))
    kept = sum(lamp.count * lamp.length * end[2 + 2 * g] for g, lamp in enumerate(lamps))
    energies = {
        "lamp column": float(end[base : base + groups].sum()),
        "electrodes": float(end[tail + 2]),
        "switch": float(end[tail + 1]),
        "loop resistance": float(end[tail]),
        "left on the bank": float(0.5 * circuit[0] * end[0] ** 2),
        "left in the loop": float(0.5 * circuit[1] * end[1] ** 2),
    }
    slope = np.gradient(current, grid)
    lamp_voltage = sampled[:, 0] - circuit[1] * slope - (circuit[2] + circuit[3]) * current
    lamp_voltage -= circuit[4] * np.tanh(current / discharge_kernel.SIGN_CURRENT)
    bores = np.array([np.pi * lamp.bore**2 / 4 for lamp in lamps])
    share = np.repeat(current[:, None], groups, axis=1)
    if circuit[5] > 0.5:
        if circuit[6] > 0.5:
            conductance = np.repeat([[lamp.impedance**-2 for lamp in lamps]], len(grid), axis=0)
        share = share * conductance / (conductance @ np.array([lamp.count for lamp in lamps]))[:, None]
    peak = float(np.max(np.abs(states[:, 1])))
    first_peak = int(np.argmax(states[:, 1]))
    reversed_peak = float(max(0.0, -states[first_peak:, 1].min())) if len(states) > first_peak else 0.0
    return Discharge(
        time=grid,
        bank_voltage=sampled[:, 0],
        current=current,
        lamp_voltage=lamp_voltage,
        energy_per_length=energy,
        arc_radius=radius,
        temperature=temperature,
        peak_current_density=tuple(float(np.max(np.abs(row))) for row in (share / bores).T),
        group_energy=tuple(float(value) for value in end[base : base + groups]),
        energies=energies,
        radiated_energy=float(end[tail + 3]),
        plasma_energy=kept - begun,
        action=float(np.trapezoid(current**2, grid)),
        charge=float(np.trapezoid(np.abs(current), grid)),
        reversal=reversed_peak / peak if peak > 0 else 0.0,
        filled=filled,
        ended=ended,
        outcome=outcome,
        counters={
            "discharge steps": int(counters[0]),
            "discharge rejected": int(counters[1]),
            "discharge right-hand sides": int(counters[2]),
        },
    )
