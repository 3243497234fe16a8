"""Stages charge, discharge and light: from the bank to what leaves the lamps."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pulsewright import refdata
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.lamp_circuit import LampCircuit, lamp_circuit, prepulse_circuit
from pulsewright.engine.trigger import TriggerStage
from pulsewright.physics.lamp import light_kernel
from pulsewright.physics.lamp.discharge import FOLLOWED, ColumnStates, Discharge, LampGroup, discharge
from pulsewright.physics.lamp.light import CHORD_FACTOR
from pulsewright.physics.lamp.tables import spectral_bands
from pulsewright.physics.pulsed_power.storage import stored_energy

Float = NDArray[np.float64]

#: A discharge is followed for these multiples of the usual time while a current still flows that matters: both it and
#: the energy on the bank are above this part of their highest.
LONGER, UNSPENT = (1.0, 4.0, 16.0), 0.02
#: Steps allowed for the first of them and each branch; a branch that stays dark is stiff and needs most.
STEPS = 5_000
#: Where the trigger does not fire nothing flows: lamps are followed at this voltage, in V, and for this
#: part of the usual time; the bank keeps its own.
QUIET_VOLTAGE, QUIET_TIME = 1.0, 0.1
#: An arc has taken off when its current passes the first, in A, and, unless half of the bank is spent, the second as
#: a part of what the loop would carry without lamps, V / (sqrt(L / C) + R).
LEAST_CURRENT, LEAST_PART = 10.0, 0.01


@dataclass(frozen=True, slots=True, eq=False)
class DischargeStage:
    """The discharge with the lamp groups it was computed from; `members` lamp ids per group.

    `prepulse`: the discharge of a small bank that ran first through the same lamps.
    """

    stored_energy: float
    record: Discharge
    groups: tuple[LampGroup, ...]
    members: tuple[tuple[str, ...], ...]
    peak_current: float
    peak_current_density: tuple[float, ...]
    group_energy: tuple[float, ...]
    prepulse: Discharge | None = None


@dataclass(frozen=True, slots=True, eq=False)
class LightStage:
    """Light behind the lamp envelopes.

    `power` (T, L) [W] per band of all lamps; `absorptance` (T, L) of the lamps for light that comes back [-];
    `arc_absorptance` (T, L) of the arcs alone, spread over the surface of a full bore [-];
    `envelope_energy` absorbed in the glass [J]; `spectrum` (L,) energy per wavelength [J/m].
    """

    time: Float
    wavelength: Float
    width: Float
    power: Float
    absorptance: Float
    arc_absorptance: Float
    radiated_power: Float
    spectrum: Float
    envelope_energy: float


def discharge_stage(inputs: Inputs, trigger: TriggerStage) -> DischargeStage:
    """Discharge the bank through the lamps of the build, from where the trigger leaves them."""
    circuit = lamp_circuit(inputs, trigger)
    stored = float(stored_energy(inputs.machine.bank.capacitance, trigger.firing_voltage))
    before = _prepulse(inputs, trigger, circuit)
    record = _followed(inputs, trigger, circuit, None if before is None else before.final)
    if not trigger.fires:
        record = _untouched(record, trigger.firing_voltage, stored)
    return DischargeStage(
        stored_energy=stored,
        record=record,
        groups=circuit.groups,
        members=circuit.members,
        peak_current=float(np.max(np.abs(record.current))),
        peak_current_density=record.peak_current_density,
        group_energy=record.group_energy,
        prepulse=before,
    )


def _prepulse(inputs: Inputs, trigger: TriggerStage, circuit: LampCircuit) -> Discharge | None:
    """The small bank's discharge, up to the main pulse."""
    if trigger.prepulse is None or not trigger.fires:
        return None
    small = prepulse_circuit(inputs, trigger, circuit)
    return discharge(
        small.network,
        small.branches,
        small.groups,
        trigger.prepulse.voltage,
        small.switch,
        small.law,
        small.exponent,
        duration=trigger.prepulse.delay,
        most_steps=4 * STEPS,
        to_the_end=True,
    )


def _followed(inputs: Inputs, trigger: TriggerStage, circuit: LampCircuit, begin: ColumnStates | None) -> Discharge:
    """The discharge, followed longer where a heavily damped loop still carries current at the usual end."""
    scale = float(np.sqrt(circuit.inductance * inputs.machine.bank.capacitance))
    latest = max(branch.delay for branch in circuit.branches)
    for factor in LONGER if trigger.fires else (QUIET_TIME,):
        record = discharge(
            circuit.network,
            circuit.branches,
            circuit.groups,
            trigger.firing_voltage if trigger.fires else QUIET_VOLTAGE,
            circuit.switch,
            circuit.law,
            circuit.exponent,
            duration=factor * FOLLOWED * scale + latest,
            most_steps=int(factor * STEPS * len(circuit.branches)),
            begin=begin,
        )
        if not (took_off(inputs, record) and still_carries(record)):
            break
    return record


def _untouched(record: Discharge, voltage: float, stored: float) -> Discharge:
    """The record of a bank that kept its voltage, because nothing fired."""
    spent = sum(energy for sink, energy in record.energies.items() if sink != "left on the bank")
    energies = {**record.energies, "left on the bank": stored - spent}
    kept = {key: np.full_like(getattr(record, key), voltage) for key in ("bank_voltage", "capacitor_voltage")}
    return replace(record, **kept, energies=energies)


def took_off(inputs: Inputs, record: Discharge) -> bool:
    """Whether the arc took off: a current worth the name, or most of the bank spent."""
    machine = inputs.machine
    peak = float(np.max(np.abs(record.current)))
    loops = [machine.branches[name] for name in machine.lamps if machine.loop.lamps_connected == "separate loops"]
    resistance = min((loop.resistance for loop in loops), default=machine.loop.resistance)
    inductance = machine.loop.inductance + max((loop.inductance for loop in loops), default=0.0)
    if machine.loop.network == "pulse-forming network":
        inductance += ((machine.loop.sections or 1) - 1) * (machine.loop.section_inductance or 0.0)
    impedance = float(np.sqrt(inductance / machine.bank.capacitance))
    shorted = float(record.bank_voltage[0]) / (impedance + resistance + machine.switch.resistance)
    kept = record.energies["left on the bank"] > 0.5 * sum(record.energies.values())
    return peak >= LEAST_CURRENT and not (kept and peak < LEAST_PART * shorted)


def still_carries(record: Discharge) -> bool:
    """Whether the computation ended while a current flowed that still matters."""
    left = record.energies["left on the bank"] > UNSPENT * sum(record.energies.values())
    current = np.abs(record.current)
    return record.outcome in ("time limit", "step limit") and left and bool(current[-1] > UNSPENT * current.max())


def light_stage(inputs: Inputs, before: DischargeStage) -> LightStage:
    """Spectral power of the lamps behind their envelopes."""
    record = before.record
    wavelength, width = spectral_bands()
    shape = (len(record.time), len(wavelength))
    total, outside = np.zeros(shape), np.zeros(shape)
    taken, weight = np.zeros(shape), 0.0
    in_arcs, surface = np.zeros(shape), 0.0
    for index, (group, members) in enumerate(zip(before.groups, before.members, strict=True)):
        power, absorptance = np.empty(shape), np.empty(shape)
        square = record.arc_radius[:, index] ** 2
        around = group.perimeter(square)
        # a column that is not round sends what a round one of the same mean chord sends, from its own perimeter
        radius = 2 * np.pi * square / around
        light_kernel.column_light(
            *group.log_state(record.energy_per_length[:, index], square, record.vapour[:, index]),
            radius,
            record.temperature[:, index],
            group.tables.log_absorption,
            np.array(group.tables.log_energy),
            np.array(group.tables.log_density),
            wavelength,
            width,
            CHORD_FACTOR,
            power,
            absorptance,
        )
        power *= (group.count * group.length * around / (2 * np.pi * radius))[:, None]
        lamp = inputs.machine.lamps[members[0]]
        through = glass_transmission(lamp.envelope, lamp.wall_thickness)
        total += power
        outside += power * through
        outer = lamp.bore + 2 * lamp.wall_thickness
        area = group.count * group.length * np.pi * outer
        # of the light that falls on the envelope the arc meets what its radius takes up of it; the glass is crossed
        # on the way in and out
        taken += area * (absorptance * (2 * radius / outer)[:, None] * through**2 + 1 - through**2)
        weight += area
        full = group.count * group.length * np.pi * (lamp.bore + (lamp.inner_diameter or 0.0))
        in_arcs += absorptance * (group.count * group.length * around)[:, None]
        surface += full
    energy = np.trapezoid(outside, record.time, axis=0)
    lost = float(np.trapezoid(np.sum(total - outside, axis=1), record.time))
    return LightStage(
        time=record.time,
        wavelength=wavelength,
        width=width,
        power=outside,
        absorptance=np.clip(taken / weight, 0.0, 1.0),
        arc_absorptance=np.clip(in_arcs / surface, 0.0, 1.0),
        radiated_power=np.sum(total, axis=1),
        spectrum=energy / width,
        envelope_energy=lost,
    )


@lru_cache(maxsize=32)
def glass_transmission(name: str, thickness: float) -> Float:
    """Internal transmission of a glass wall on the spectral bands; reflection is counted in the cavity."""
    wavelength, _ = spectral_bands()
    curve = refdata.glass(name).absorption_coefficient
    return np.asarray(np.exp(-np.interp(wavelength, curve.wavelength, curve.values) * thickness))
