"""The discharge circuit of a build: capacitors, branches, switch and groups of like lamps."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass, replace

import numpy as np

from pulsewright.engine.circuit_coefficients import SPARK_GAPS
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.lamp_plasma import lamp_tables, wall_vapour
from pulsewright.engine.trigger import TriggerStage
from pulsewright.errors import DomainError
from pulsewright.machine.parts import Lamp
from pulsewright.physics.lamp.discharge import Branch, Crowbar, LampGroup, Network, SparkChannel, Switch, WallVapour
from pulsewright.physics.lamp.simmer import steady_arc
from pulsewright.physics.lamp.square_law import impedance_parameter
from pulsewright.physics.lamp.tables import PlasmaTables

#: Radius of a spark channel when the gap has just broken down [m]; ours: it is left behind within nanoseconds.
FIRST_CHANNEL = 50e-6
#: Air at atmospheric pressure and room temperature, which fills a gap unless it is known better. [kg/m^3]
GAP_GAS_DENSITY = 1.2


@dataclass(frozen=True, slots=True)
class LampCircuit:
    """What the discharge is computed from; `members` lamp ids per group, `exponent` of the steep law."""

    network: Network
    branches: tuple[Branch, ...]
    switch: Switch
    groups: tuple[LampGroup, ...]
    members: tuple[tuple[str, ...], ...]
    law: str
    exponent: float

    @property
    def inductance(self) -> float:
        """Largest inductance between capacitors and lamps [H]."""
        coils = (len(self.network.capacitance) - 1) * self.network.section_inductance
        return max(branch.inductance for branch in self.branches) + self.network.inductance + max(coils, 0.0)


def lamp_circuit(inputs: Inputs, trigger: TriggerStage) -> LampCircuit:
    """The circuit of a build, with what the trigger adds to each loop."""
    machine = inputs.machine
    apart = machine.loop.lamps_connected == "separate loops"
    members = tuple((name,) for name in machine.lamps) if apart else _alike(inputs, trigger)
    numbers = range(len(members)) if apart else [0] * len(members)
    law = machine.loop.lamp_law
    exponent = inputs.coefficient("lamp.steep_exponent") if law == "steep law" else 0.85
    return LampCircuit(
        network=_network(inputs),
        branches=_branches(inputs, trigger),
        switch=closed_switch(inputs, trigger),
        groups=tuple(_group(inputs, trigger, ids, branch) for ids, branch in zip(members, numbers, strict=True)),
        members=members,
        law=law,
        exponent=exponent,
    )


def _alike(inputs: Inputs, trigger: TriggerStage) -> tuple[tuple[str, ...], ...]:
    """Lamps that differ in nothing the plasma or the light sees, together."""
    found: OrderedDict[tuple[object, ...], list[str]] = OrderedDict()
    for name, lamp in inputs.machine.lamps.items():
        gas = lamp.gas, lamp.second_gas, lamp.second_gas_fraction, trigger.fill_pressure[name], lamp.dead_volume
        tube = lamp.shape, lamp.bore, lamp.inner_diameter, lamp.arc_length, lamp.envelope, lamp.wall_thickness
        rest = lamp.electrode_drop, lamp.wall_vapour, lamp.near_infrared_lines
        found.setdefault((*gas, *tube, *rest), []).append(name)
    return tuple(tuple(ids) for ids in found.values())


def _own_capacitances(inputs: Inputs) -> dict[str, float]:
    """Capacitance of each loop that has its own; together with the shared bank they make up the whole bank."""
    machine = inputs.machine
    if machine.loop.lamps_connected != "separate loops":
        return {}
    own = {name: machine.branches[name].capacitance for name in machine.lamps}
    found = {name: value for name, value in own.items() if value is not None}
    if len(found) == len(own):
        scale = machine.bank.capacitance / sum(found.values())
        return {name: scale * value for name, value in found.items()}
    return found


def _network(inputs: Inputs) -> Network:
    machine = inputs.machine
    loop, own = machine.loop, _own_capacitances(inputs)
    apart = loop.lamps_connected == "separate loops"
    if own and len(own) == len(machine.lamps):
        return Network(())
    sections = (loop.sections or 1) if loop.network == "pulse-forming network" else 1
    each = (machine.bank.capacitance - sum(own.values())) / sections
    return Network(
        capacitance=(each,) * sections,
        section_inductance=(loop.section_inductance or 0.0) if sections > 1 else 0.0,
        section_resistance=loop.section_resistance if sections > 1 else 0.0,
        inductance=loop.inductance if apart else 0.0,
        resistance=loop.resistance if apart else 0.0,
        crowbar=_crowbar(inputs),
    )


def _crowbar(inputs: Inputs) -> Crowbar | None:
    given = inputs.machine.crowbar
    if given.kind == "none":
        return None
    drop = given.drop
    if drop is None:
        drop = inputs.coefficient("crowbar.diode_drop" if given.kind == "clamp diode" else "crowbar.switch_drop")
    closing = 0.0 if given.closing_time is None else given.closing_time
    return Crowbar(given.kind, given.resistance, drop, closing)


def _branches(inputs: Inputs, trigger: TriggerStage) -> tuple[Branch, ...]:
    machine = inputs.machine
    loop = machine.loop
    if loop.lamps_connected != "separate loops":
        parallel = loop.lamps_connected == "parallel"
        whole = Branch(loop.inductance + trigger.inductance, loop.resistance + trigger.resistance, parallel=parallel)
        return (whole,)
    own = _own_capacitances(inputs)
    return tuple(
        Branch(
            machine.branches[name].inductance + trigger.inductance,
            machine.branches[name].resistance + trigger.resistance,
            machine.branches[name].delay,
            own.get(name),
        )
        for name in machine.lamps
    )


def closed_switch(inputs: Inputs, trigger: TriggerStage) -> Switch:
    """Losses of the closed switch: those that the build file gives, or else those of its kind.

    A spark gap burns a channel that widens like the spark of which Braginskii's law speaks, so that its resistance
    falls from kilovolts at tens of nanoseconds to the drop at its electrodes.
    """
    machine = inputs.machine
    given, kind = machine.switch, machine.switch.kind
    if given.drop is not None or kind == "none":
        return Switch(given.resistance, (given.drop or 0.0) + trigger.drop)
    if kind in SPARK_GAPS:
        held = machine.trigger.self_break_voltage or machine.bank.charge_voltage
        channel = SparkChannel(
            length=held / inputs.coefficient("switch.gap_field"),
            conductivity=inputs.coefficient("switch.gap_conductivity"),
            density=GAP_GAS_DENSITY,
            radius=FIRST_CHANNEL,
        )
        return Switch(given.resistance, inputs.coefficient("switch.gap_drop") + trigger.drop, channel)
    if kind == "thyratron":
        return Switch(given.resistance, inputs.coefficient("switch.thyratron_drop") + trigger.drop)
    resistance = given.resistance if given.resistance > 0 else inputs.coefficient("switch.hard_resistance")
    return Switch(resistance, trigger.drop)


def _group(inputs: Inputs, trigger: TriggerStage, ids: tuple[str, ...], branch: int) -> LampGroup:
    lamp, fill, law = inputs.machine.lamps[ids[0]], trigger.fill_pressure[ids[0]], inputs.machine.loop.lamp_law
    impedance, joining = float("nan"), float("inf")
    if law != "equilibrium plasma":
        impedance = float(impedance_parameter(lamp.arc_length, lamp.bore, fill, lamp.gas))
    vapour = None
    if lamp.wall_vapour == "ablated":
        made = wall_vapour(inputs, lamp)
        vapour = WallVapour(made.inertia, made.formation_energy)
    tables = lamp_tables(inputs, lamp, fill)
    radius, temperature = _start(inputs, trigger, lamp, tables)
    group = LampGroup(
        count=len(ids),
        length=lamp.arc_length,
        bore=lamp.bore,
        tables=tables,
        channel_radius=radius,
        channel_temperature=temperature,
        growth_factor=inputs.machine.trigger.growth_factor,
        electrode_drop=lamp.electrode_drop,
        impedance=impedance,
        branch=branch,
        inner_diameter=inner_diameter(lamp),
        joining_current=joining,
        wall_factor=inputs.coefficient("plasma.wall_factor"),
        vapour=vapour,
    )
    if law == "steep law":
        return replace(
            group, joining_current=inputs.coefficient("lamp.joining_current_density") * np.pi * group.full_square
        )
    return group


def _start(inputs: Inputs, trigger: TriggerStage, lamp: Lamp, tables: PlasmaTables) -> tuple[float, float]:
    """Radius [m] and temperature [K] of the channel in which the arc starts.

    A simmered lamp starts from the steady arc of its keep-alive current, where the tables know one; a pre-pulse starts
    from the channel of the build file, and the main pulse from what it leaves.
    """
    given = inputs.machine.trigger
    if trigger.simmer_current:
        bore = float(np.sqrt(lamp.bore**2 - inner_diameter(lamp) ** 2))
        try:
            return steady_arc(tables, trigger.simmer_current, bore)[:2]
        except DomainError:
            return trigger.channel_radius, trigger.channel_temperature
    if trigger.prepulse is not None:
        return given.channel_radius, given.channel_temperature
    return trigger.channel_radius, trigger.channel_temperature


def prepulse_circuit(inputs: Inputs, trigger: TriggerStage, circuit: LampCircuit) -> LampCircuit:
    """The small bank that fires first through all lamps, in series unless they stand side by side."""
    assert trigger.prepulse is not None
    loop = inputs.machine.loop
    parallel = loop.lamps_connected == "parallel"
    return replace(
        circuit,
        network=Network((trigger.prepulse.capacitance,)),
        branches=(Branch(trigger.prepulse.inductance, loop.resistance, parallel=parallel),),
        groups=tuple(replace(group, branch=0) for group in circuit.groups),
    )


def inner_diameter(lamp: Lamp) -> float:
    """Outside diameter of the inner tube, 0 for a linear lamp [m]."""
    return (lamp.inner_diameter or 0.0) if lamp.shape == "coaxial" else 0.0
