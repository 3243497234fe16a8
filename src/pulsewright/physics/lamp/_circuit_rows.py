"""How a discharge circuit is handed to its kernel: rows of numbers, in the order that the kernel names."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pulsewright.errors import DomainError
from pulsewright.physics.lamp import circuit_kernel as circuit
from pulsewright.physics.lamp import column_kernel as column
from pulsewright.physics.lamp.lamp_circuit import CROWBARS, FIRST_LAYER, LAWS, Branch, LampGroup, Network, Switch
from pulsewright.physics.lamp.tables import PlasmaTables

Float = NDArray[np.float64]

#: Growth of the square of a channel's radius per |I|^(2/3) in air of 1.29 kg/m^3 [m^2/s/A^(2/3)]: Braginskii, Sov.
#: Phys. JETP 7, 1068 (1958), a[mm] = 0.93 (rho / 1.29)^(-1/6) I[kA]^(1/3) t[us]^(1/2), free spark, constant from
#: memory.
GROWTH_SCALE = (0.93e-3) ** 2 * 1e6 / 1e3 ** (2.0 / 3.0)
REFERENCE_DENSITY = 1.29


def check(network: Network, branches: Sequence[Branch], lamps: Sequence[LampGroup], charge_voltage: float) -> None:
    """Refuse a circuit that has no shot to compute."""
    capacitors = [*network.capacitance, *(b.capacitance for b in branches if b.capacitance is not None)]
    inductances = [branch.inductance for branch in branches]
    if len(network.capacitance) > 1:
        inductances.append(network.section_inductance)
    if not lamps or not branches or not capacitors or min(*capacitors, *inductances, charge_voltage) <= 0:
        raise DomainError(
            f"C = {capacitors} F, L = {inductances} H, V = {charge_voltage:g} V, {len(lamps)} groups of lamps",
            argument="charge_voltage",
            allowed="Capacitances, inductances and voltage above zero, a branch and at least one lamp",
            next_step="Give all of them",
        )
    if {lamp.branch for lamp in lamps} != set(range(len(branches))):
        raise DomainError(
            f"lamps stand in branches {sorted({lamp.branch for lamp in lamps})} of {len(branches)}",
            argument="lamps",
            allowed="A lamp in every branch, and no other number",
            next_step="Number the branches from 0",
        )
    if not network.capacitance and any(branch.capacitance is None for branch in branches):
        raise DomainError(
            "a branch has neither a capacitor of its own nor a bank",
            argument="branches",
            allowed="A capacitance of its own, or a network with at least one capacitor",
            next_step="Give one of the two",
        )


def growth_scale(density: float, factor: float = 1.0) -> float:
    """Growth of the square of a channel's radius per |I|^(2/3) [m^2/s/A^(2/3)] in gas of a density [kg/m^3]."""
    return float(factor**2 * GROWTH_SCALE * (density / REFERENCE_DENSITY) ** (-1.0 / 3.0))


def lamp_rows(lamps: Sequence[LampGroup], tables: tuple[PlasmaTables, ...]) -> Float:
    """Rows of the kernel's lamp table."""
    rows = np.empty((len(lamps), column.LAMP_COLUMNS))
    for row, lamp in zip(rows, lamps, strict=True):
        turn, round_, widen = lamp.band
        settled = lamp.layer_fraction * 4 * np.pi * lamp.full_square / lamp.wall_perimeter
        vapour = lamp.vapour
        row[:] = (
            lamp.count,
            lamp.length,
            lamp.full_square,
            growth_scale(lamp.tables.mass_density, lamp.growth_factor),
            lamp.electrode_drop,
            lamp.impedance,
            lamp.joining_current,
            lamp.branch,
            tables.index(lamp.tables),
            turn,
            round_,
            widen,
            lamp.wall_perimeter,
            lamp.tables.number_density,
            max(settled**2, FIRST_LAYER),
            lamp.wall_factor,
            np.inf if vapour is None else vapour.inertia,
            np.inf if vapour is None else vapour.formation_energy,
        )
    return rows


@lru_cache(maxsize=32)
def stacked(tables: tuple[PlasmaTables, ...]) -> tuple[tuple[Float, Float, Float], tuple[Float, Float, Float]]:
    """Tables of several fills side by side, and their axes: energy, density, radius."""
    rungs = max(len(table.temperature) for table in tables)

    def over_rungs(values: Float) -> Float:
        return values if len(values) == rungs else np.repeat(values, rungs, axis=0)

    def scalars(table: PlasmaTables) -> Float:
        return np.stack([table.log_resistivity, table.log_heat_potential, table.log_diffusivity], axis=-1)

    ladder = next(table.log_density for table in tables if len(table.temperature) == rungs)
    return (
        np.stack([over_rungs(scalars(table)) for table in tables]),
        np.stack([over_rungs(table.log_exitance) for table in tables]),
        np.stack([over_rungs(table.log_wall_exitance) for table in tables]),
    ), (
        np.array([table.log_energy for table in tables]),
        np.array([table.log_density if len(table.temperature) == rungs else ladder for table in tables]),
        np.array(tables[0].log_radius),
    )


def circuit_row(network: Network, switch: Switch, law: str, exponent: float) -> Float:
    """The kernel's circuit row."""
    row = np.zeros(circuit.CIRCUIT_COLUMNS)
    row[circuit.COMMON_INDUCTANCE], row[circuit.COMMON_RESISTANCE] = network.inductance, network.resistance
    row[circuit.SWITCH_RESISTANCE], row[circuit.SWITCH_DROP] = switch.resistance, switch.drop
    row[circuit.SECTION_INDUCTANCE] = network.section_inductance
    row[circuit.SECTION_RESISTANCE] = network.section_resistance
    if network.crowbar is not None:
        row[circuit.CROWBAR] = CROWBARS.index(network.crowbar.kind)
        row[circuit.CROWBAR_RESISTANCE], row[circuit.CROWBAR_DROP] = network.crowbar.resistance, network.crowbar.drop
        row[circuit.CROWBAR_TIME] = network.crowbar.closing_time
    row[circuit.LAW] = 0.0 if law == LAWS[0] else 1.0
    row[circuit.EXPONENT] = exponent
    if switch.channel is not None:
        row[circuit.GAP_GROWTH] = growth_scale(switch.channel.density)
        row[circuit.GAP] = switch.channel.length / (np.pi * switch.channel.conductivity)
    return row


def branch_rows(network: Network, branches: Sequence[Branch]) -> tuple[Float, Float]:
    """Capacitances, ladder first, and the kernel's rows of the branches."""
    capacitors = list(network.capacitance)
    rows = np.empty((len(branches), circuit.BRANCH_COLUMNS))
    for row, branch in zip(rows, branches, strict=True):
        supply = len(network.capacitance) - 1
        if branch.capacitance is not None:
            supply = len(capacitors)
            capacitors.append(branch.capacitance)
        row[:] = branch.inductance, branch.resistance, branch.delay, supply, branch.parallel
    return np.array(capacitors), rows
