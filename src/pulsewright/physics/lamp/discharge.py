"""Discharge of a bank through lamps: from trigger to the end of the current."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from pulsewright.numerics.tables import hermite_resample
from pulsewright.physics.lamp import circuit_kernel as circuit
from pulsewright.physics.lamp import column_kernel as column
from pulsewright.physics.lamp import discharge_kernel
from pulsewright.physics.lamp._circuit_rows import branch_rows, check, circuit_row, lamp_rows, stacked
from pulsewright.physics.lamp.lamp_circuit import (
    FIRST_LAYER,
    LAWS,
    Branch,
    ColumnStates,
    Crowbar,
    LampGroup,
    Network,
    SparkChannel,
    Switch,
    WallVapour,
)

Float = NDArray[np.float64]

#: Usual time for which a discharge is followed, over sqrt(L C).
FOLLOWED = 40.0
OUTCOMES = ("energy spent", "time limit", "step limit", "not a number")


@dataclass(frozen=True, slots=True, eq=False)
class Discharge:
    """Waveforms on a time axis and the energies spent.

    Shapes: (time,) for the voltage of the last capacitor of the bank [V], current drawn by all branches [A], voltage
    of the lamps of the first branch without what their inductance induces [V]; (time, capacitor) for every capacitor,
    ladder first, then those of branches [V]; (time, coil) currents of the ladder's coils [A]; (time, branch) for
    current [A] and lamp voltage [V]; (time, group) for current of one lamp [A], energy per length [J/m], equivalent
    arc radius [m], temperature [K], vapour of the wall in heavy particles per length [1/m].
    `steepest_rise` of the size of each branch's current, at any instant [A/s].
    `peak_current_density` per group over the area of the bore [A/m^2]; per group `group_energy` into the columns and
    `wall_energy` that they conducted to the walls [J].
    `energies`: sink -> energy [J], adding up to the stored energy. `radiated_energy` by all columns [J].
    `plasma_energy`: what the columns still hold at the end beyond what they began with [J].
    `vapour_energy`: part of what the walls took, heat and light, that went into making vapour [J].
    `filled`: time at which each group's arc reached the wall [s], nan if never. `final`: states of the columns.
    """

    time: Float
    bank_voltage: Float
    current: Float
    lamp_voltage: Float
    capacitor_voltage: Float
    coil_current: Float
    branch_current: Float
    branch_voltage: Float
    group_current: Float
    energy_per_length: Float
    arc_radius: Float
    temperature: Float
    vapour: Float
    steepest_rise: tuple[float, ...]
    peak_current_density: tuple[float, ...]
    group_energy: tuple[float, ...]
    wall_energy: tuple[float, ...]
    energies: dict[str, float]
    radiated_energy: float
    plasma_energy: float
    vapour_energy: float
    action: float
    charge: float
    reversal: float
    filled: Float
    ended: float
    outcome: str
    counters: dict[str, int]
    final: ColumnStates


def discharge(
    network: Network,
    branches: Sequence[Branch],
    lamps: Sequence[LampGroup],
    charge_voltage: float,
    switch: Switch | None = None,
    law: str = "equilibrium plasma",
    exponent: float = 0.85,
    samples: int = 360,
    tolerance: float = 1e-6,
    stop_fraction: float = 1e-3,
    duration: float | None = None,
    most_steps: int = 5_000,
    begin: ColumnStates | None = None,
    to_the_end: bool = False,
) -> Discharge:
    """Discharge capacitors through lamps: single mesh or ladder, lamps in series, side by side or in separate loops.

    Parameters
    ----------
    network : Network
        Capacitors that the branches share, coils between them, crowbar.
    branches : sequence of Branch
        Loops from the last capacitor, or from one of their own, through lamps.
    lamps : sequence of LampGroup
        Lamps of all branches.
    charge_voltage : float
        Voltage of every capacitor when the first switch closes. [V]
    switch : Switch or None
        Closed switch of each branch; None for one without loss.
    law : {"equilibrium plasma", "square-root law", "steep law"}
        What gives the lamp voltage. By a law the plasma only turns power into light.
    exponent : float
        Exponent of the steep law above the joining current. [-]
    samples : int
        Points of the time axis, four fifths of them while current flows; where it flows for longer than the default
        duration, half of those over the first half of that. [-]
    tolerance : float
        Relative tolerance of a step. [-]
    stop_fraction : float
        A faint current goes out when capacitors and inductances together hold less than this part of the stored
        energy; the end is when all are out and the light has fallen to 1 % of its highest power. [-]
    duration : float or None
        Longest time followed; default 40 sqrt(L C) and the longest delay. [s]
    most_steps : int
        Steps after which to give up. [-]
    begin : ColumnStates or None
        States of the columns; default the channels that the lamps name.
    to_the_end : bool
        Follow the whole duration, even after light and current are gone.

    Returns
    -------
    discharge : Discharge
        Waveforms, energies per sink and counters.

    Raises
    ------
    DomainError
        If a capacitance, inductance or the voltage is not positive, or a branch has no lamp or no capacitor.

    Notes
    -----
    Valid: lamps already broken down when their switch closes; arc in equilibrium, gas at the density of the cold fill.
    Not covered: shock and ion acoustic waves, the pressure that drives gas into dead volumes, magnetic coupling.
    Equation: C dV/dt = -I; d(L I)/dt = V - R I - sum V_lamp - V_switch sgn I, L with mu0 l / (2 pi) ln(a_bore / a) of
    each arc; dU/dt = eta I^2 / A + (I^2 / 2) dL/dt - s (F + q); d(a^2)/dt = g^2 (0.93 mm)^2 (rho/1.29)^(-1/3)
    |I_kA|^(2/3) per us up to the bore; then q = f S / delta, d(delta^2)/dt = pi a up to the settled layer; wall vapour
    by q + F_absorbed beyond what conduction into the glass carries off at the vaporising temperature.
    Source: energy and circuit balance; growth law of free sparks, Braginskii, Sov. Phys. JETP 7, 1068 (1958) (constant
    from memory, for air; none is established for lamps, so the factor g carries a range); `wall` for the layer.

    Examples
    --------
    >>> from pulsewright.physics.lamp.tables import plasma_tables
    >>> t = plasma_tables(3.2e24, 2.18e-25, [1.943e-18], [[(1.0, 0.0)], [(6.0, 0.0)]], 2.5e-19, 4.8e-19)
    >>> group = LampGroup(2, 0.15, 7e-3, t, 5e-4, 8000.0, 1.0, 15.0)
    >>> d = discharge(Network((4e-6,)), [Branch(1.5e-6, 0.03)], [group], 9500.0, Switch(0.015, 150.0))
    >>> bool(abs(sum(d.energies.values()) / 180.5 - 1) < 1e-3)
    True
    """
    check(network, branches, lamps, charge_voltage)
    switch = switch or Switch()
    capacitors, rows = branch_rows(network, branches)
    fills = tuple(dict.fromkeys(lamp.tables for lamp in lamps))
    tables, axes = stacked(fills)
    states = 3 if all(lamp.vapour is None for lamp in lamps) else 5
    sizes = np.array(
        [len(network.capacitance), len(capacitors), len(branches), len(lamps), states, switch.channel is not None]
    )
    net = (sizes, circuit_row(network, switch, law, exponent), capacitors, rows, lamp_rows(lamps, fills), tables, axes)
    start = _start(sizes, charge_voltage, lamps, law, switch, begin)
    fastest, slowest = _scales(network, branches, capacitors)
    longest = FOLLOWED * slowest + max(branch.delay for branch in branches)
    settings = np.array([tolerance, duration or longest, stop_fraction, 1e-5 * fastest, to_the_end])
    times, reached, slopes, filled, ended, counters, outcome = discharge_kernel.integrate(
        start, net, settings, FIRST_LAYER, most_steps
    )
    grid = _time_axis(float(times[-1]), float(ended), samples, longest)
    sampled = np.empty((samples, reached.shape[1]))
    hermite_resample(times, reached, slopes, grid, sampled)
    ends = filled, float(ended), OUTCOMES[outcome], counters
    return _named(grid, sampled, reached, _steepest(reached, slopes, sizes), lamps, net, ends)


def _steepest(reached: Float, slopes: Float, sizes: NDArray[np.int64]) -> tuple[float, ...]:
    """Steepest rise of the size of each branch's current over the steps, from the equations and not from points."""
    _, currents, gaps, _, _ = circuit.places(sizes)
    flowing, slope = reached[:, currents:gaps], slopes[:, currents:gaps]
    away = np.where(flowing == 0.0, np.abs(slope), np.sign(flowing) * slope)
    return tuple(float(value) for value in away.max(axis=0))


def _scales(network: Network, branches: Sequence[Branch], capacitors: Float) -> tuple[float, float]:
    """Shortest and longest sqrt(L C) of the circuit."""
    inductances = [branch.inductance for branch in branches]
    coils = (len(network.capacitance) - 1) * network.section_inductance
    fastest = np.sqrt(min(inductances) * capacitors.min())
    return float(fastest), float(np.sqrt((max(inductances) + network.inductance + coils) * capacitors.sum()))


def _start(
    sizes: NDArray[np.int64],
    voltage: float,
    lamps: Sequence[LampGroup],
    law: str,
    switch: Switch,
    begin: ColumnStates | None,
) -> Float:
    """First state: charged capacitors, no current, the channels that the trigger left or what came before."""
    coils, _, gaps, columns, tail = circuit.places(sizes)
    start = np.zeros(tail + 2 * len(lamps) + circuit.LOSSES)
    start[:coils] = voltage
    if switch.channel is not None:
        start[gaps:columns] = switch.channel.radius**2
    for index, lamp in enumerate(lamps):
        at = columns + index * sizes[circuit.STATES]
        square = min(lamp.channel_radius**2, lamp.full_square) if law == LAWS[0] else lamp.full_square
        layer, energy = FIRST_LAYER, lamp.tables.energy_at(lamp.channel_temperature) * lamp.tables.number_density
        start[at : at + 3] = energy * np.pi * square, square, layer
        if begin is not None:
            given = begin.energy_per_length, begin.square, begin.layer, begin.vapour, begin.taken
            start[at : at + sizes[circuit.STATES]] = [values[index] for values in given][: sizes[circuit.STATES]]
    return start


def _time_axis(last: float, ended: float, samples: int, usual: float) -> Float:
    """Even while current flows, thinning out over the afterglow; where it flows longer, from half the usual time on."""
    burns = min(last, ended)  # the first where it never ends
    tail = samples // 5 if ended < last else 0
    body = samples - tail - 1
    grid = np.empty(samples)
    if burns > 1.01 * usual:
        early = body // 2
        step = 0.5 * usual / early
        grid[: early + 1] = step * np.arange(early + 1)
        grid[early + 1 : body + 1] = 0.5 * usual + np.cumsum(_growing(step, burns - 0.5 * usual, body - early))
    else:
        grid[: body + 1] = burns / body * np.arange(body + 1)
    grid[body] = burns
    if tail:
        step = burns / body
        growth = np.log((last - burns) / step + 1) / tail
        grid[-tail:] = burns + step * np.expm1(growth * np.arange(1, tail + 1))
        grid[-1] = last
    return grid


def _growing(step: float, length: float, count: int) -> Float:
    """Steps that grow by one factor from one before them and fill a length; even where they need not grow."""
    if length <= count * step:
        return np.full(count, length / count)
    powers = np.arange(1, count + 1)
    factor = brentq(lambda part: step * np.sum(part**powers) - length, 1.0, (length / step) ** (1.0 / count) + 1e-9)
    return np.asarray(step * factor**powers)


def _temperature(lamps: Sequence[LampGroup], energy: Float, square: Float, vapour: Float) -> Float:
    """Temperature (T, G) of the columns from their tables."""
    found = np.empty_like(energy)
    for group, lamp in enumerate(lamps):
        x, y = lamp.log_state(energy[:, group], square[:, group], vapour[:, group])
        table = lamp.tables
        if len(table.temperature) == 1:
            found[:, group] = np.interp(x, table.energy_axis, table.temperature[0])
            continue
        rungs = np.array([np.interp(x, table.energy_axis, row) for row in table.temperature])
        place = np.clip((y - table.log_density[0]) / table.log_density[1], 0.0, len(rungs) - 1.0)
        below = np.minimum(place.astype(int), len(rungs) - 2)
        part, index = place - below, np.arange(len(x))
        found[:, group] = (1 - part) * rungs[below, index] + part * rungs[below + 1, index]
    return found


def _named(
    grid: Float,
    sampled: Float,
    reached: Float,
    steepest: tuple[float, ...],
    lamps: Sequence[LampGroup],
    net: tuple[Any, ...],
    ends: tuple[Float, float, str, NDArray[np.int64]],
) -> Discharge:
    """Give names to the kernel's columns and close the energy budget."""
    sizes, row, capacitors, branches, lamp_table, tables, axes = net
    ladder, count, groups, states = (
        int(sizes[i]) for i in (circuit.LADDER, circuit.BRANCHES, circuit.GROUPS, circuit.STATES)
    )
    coils, currents, gaps, columns, tail = circuit.places(sizes)
    found, parts = np.zeros((groups, column.FOUND)), np.zeros((count, circuit.BRANCH_FOUND))
    group_current, branch_voltage = np.empty((len(grid), groups)), np.empty((len(grid), count))
    circuit.observe(
        sampled,
        sizes,
        row,
        branches,
        lamp_table,
        np.zeros(groups),
        tables,
        axes,
        found,
        parts,
        group_current,
        branch_voltage,
    )
    energy, square = sampled[:, columns:tail:states], sampled[:, columns + 1 : tail : states]
    vapour = sampled[:, columns + 3 : tail : states] if states > 3 else np.zeros_like(energy)
    branch_current = sampled[:, currents:gaps]
    current = branch_current[:, 0] if count == 1 else branch_current.sum(axis=1)
    end = reached[-1]
    losses = end[tail + 2 * groups :]
    many = np.array([lamp.count * lamp.length for lamp in lamps])
    drawn = end[currents:gaps]
    shared = drawn[branches[:, circuit.SUPPLY] == ladder - 1].sum()
    field = parts[:, circuit.COIL] @ drawn**2 + row[circuit.COMMON_INDUCTANCE] * shared**2
    field += row[circuit.SECTION_INDUCTANCE] * np.sum(end[coils:currents] ** 2)
    energies = {
        "lamp column": float(end[tail : tail + groups].sum()),
        "electrodes": float(losses[circuit.ELECTRODE]),
        "switch": float(losses[circuit.SWITCH]),
        "loop resistance": float(losses[circuit.LOOP]),
        "crowbar": float(losses[circuit.SHORTED]),
        "sections": float(losses[circuit.SECTIONS]),
        "left on the bank": float(0.5 * capacitors @ end[:coils] ** 2),
        "left in the loop": float(0.5 * field),
    }
    if row[circuit.CROWBAR] < 0.5:
        del energies["crowbar"]
    if ladder < 2:
        del energies["sections"]
    filled, ended, outcome, counters = ends
    weight = _weights(grid)
    bores = np.array([np.pi * lamp.full_square for lamp in lamps])
    last = [end[columns + i : tail : states] for i in range(states)]
    return Discharge(
        time=grid,
        bank_voltage=sampled[:, max(ladder - 1, 0)],
        current=current,
        lamp_voltage=branch_voltage[:, 0],
        capacitor_voltage=sampled[:, :coils],
        coil_current=sampled[:, coils:currents],
        branch_current=branch_current,
        branch_voltage=branch_voltage,
        group_current=group_current,
        energy_per_length=energy,
        arc_radius=np.sqrt(square),
        temperature=_temperature(lamps, energy, square, vapour),
        vapour=vapour,
        steepest_rise=steepest,
        peak_current_density=tuple(float(value) for value in np.max(np.abs(group_current), axis=0) / bores),
        group_energy=tuple(float(value) for value in end[tail : tail + groups]),
        wall_energy=tuple(float(value) for value in end[tail + groups : tail + 2 * groups]),
        energies=energies,
        radiated_energy=float(losses[circuit.RADIATED]),
        plasma_energy=float(many @ (last[0] - reached[0, columns:tail:states])),
        vapour_energy=float(losses[circuit.FORMED]),
        action=float(weight @ current**2),
        charge=float(weight @ np.abs(current)),
        reversal=max(_reversal(drawn_from) for drawn_from in _drawn(branch_current, branches, ladder)),
        filled=filled,
        ended=ended,
        outcome=outcome,
        counters={
            "discharge steps": int(counters[0]),
            "discharge rejected": int(counters[1]),
            "discharge right-hand sides": int(counters[2]),
        },
        final=ColumnStates(*last, *[np.zeros(groups)] * (5 - states)),
    )


def _weights(time: Float) -> Float:
    """Of the trapezoidal rule."""
    weight = np.empty_like(time)
    weight[0], weight[-1] = time[1] - time[0], time[-1] - time[-2]
    weight[1:-1] = time[2:] - time[:-2]
    weight *= 0.5
    return weight


def _drawn(branch_current: Float, branches: Float, ladder: int) -> list[Float]:
    """Current drawn from the bank that branches share, where any does, and from each capacitor of a branch's own."""
    shared = branches[:, circuit.SUPPLY] == ladder - 1
    found = [branch_current[:, shared].sum(axis=1)] if shared.any() else []
    return [*found, *branch_current[:, ~shared].T]


def _reversal(current: Float) -> float:
    """Largest current the other way, after the first peak, over the largest."""
    peak, first = float(np.max(np.abs(current))), int(np.argmax(current >= 0.99 * np.max(current)))
    return max(0.0, -float(current[first:].min())) / peak if peak > 0 else 0.0


__all__ = [
    "OUTCOMES",
    "Branch",
    "ColumnStates",
    "Crowbar",
    "Discharge",
    "LampGroup",
    "Network",
    "SparkChannel",
    "Switch",
    "WallVapour",
    "discharge",
]
