"""Stages charge, discharge and light: from the bank to what leaves the lamps."""

from __future__ import annotations

from collections import OrderedDict
from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

from pulsewright import refdata
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.trigger import TriggerStage
from pulsewright.machine.parts import Lamp
from pulsewright.physics.lamp import light_kernel
from pulsewright.physics.lamp.discharge import Discharge, LampGroup, discharge
from pulsewright.physics.lamp.light import CHORD_FACTOR
from pulsewright.physics.lamp.plasma import heavy_density
from pulsewright.physics.lamp.square_law import impedance_parameter
from pulsewright.physics.lamp.tables import PlasmaTables, plasma_tables, spectral_bands
from pulsewright.physics.pulsed_power.storage import stored_energy

Float = NDArray[np.float64]

#: A discharge is followed for this many sqrt(L C), and for these multiples of it while a current still flows
#: that matters: both it and the energy on the bank are above this part of their highest.
FOLLOWED, LONGER, UNSPENT = 40.0, (1.0, 4.0, 16.0), 0.02
#: Steps allowed for the first of them.
STEPS = 5_000
#: Where the trigger does not fire, nothing flows: the lamps are followed at this voltage, and the bank keeps its own. [V]
QUIET_VOLTAGE = 1.0
#: An arc has taken off when its current passes the first, in A, and, unless half of the bank is spent, the second as
#: a part of what the loop would carry without lamps, V / (sqrt(L / C) + R).
LEAST_CURRENT, LEAST_PART = 10.0, 0.01


@dataclass(frozen=True, slots=True, eq=False)
class DischargeStage:
    """The discharge with the lamp groups it was computed from; `members` lamp ids per group."""

    stored_energy: float
    record: Discharge
    groups: tuple[LampGroup, ...]
    members: tuple[tuple[str, ...], ...]
    peak_current: float
    peak_current_density: tuple[float, ...]
    group_energy: tuple[float, ...]


@dataclass(frozen=True, slots=True, eq=False)
class LightStage:
    """Light behind the lamp envelopes.

    `power` (T, L) [W] per band of all lamps; `absorptance` (T, L) of the lamps for light that comes back [-];
    `envelope_energy` absorbed in the glass [J]; `spectrum` (L,) energy per wavelength [J/m].
    """

    time: Float
    wavelength: Float
    width: Float
    power: Float
    absorptance: Float
    radiated_power: Float
    spectrum: Float
    envelope_energy: float


@lru_cache(maxsize=64)
def _tables(
    gas: str, pressure: float, biberman: float, edge: float, cross: float, span: float, kelvin: float
) -> PlasmaTables:
    row = refdata.gas(gas)
    return plasma_tables(
        heavy_density(pressure, kelvin),
        float(row.atomic_mass),
        [float(energy) for energy in row.ionisation_energies[: len(row.levels) - 1]],
        row.levels,
        cross,
        edge,
        biberman,
        span,
        kelvin,
    )


def lamp_tables(inputs: Inputs, lamp: Lamp, fill_pressure: float) -> PlasmaTables:
    """Plasma tables of one lamp at the pressure at which it fires, cached by gas, fill and coefficients."""
    gas = lamp.gas
    return _tables(
        gas,
        fill_pressure,
        inputs.coefficient(f"{gas}.biberman_factor"),
        inputs.coefficient(f"{gas}.continuum_edge_energy"),
        inputs.coefficient(f"{gas}.momentum_transfer_cross_section"),
        inputs.coefficient("plasma.range_factor"),
        inputs.coefficient("plasma.fill_temperature"),
    )


def discharge_stage(inputs: Inputs, trigger: TriggerStage) -> DischargeStage:
    """Discharge the bank through the lamps of the build, from where the trigger leaves them."""
    machine = inputs.machine
    square = machine.loop.lamp_law == "square-root law"
    alike: OrderedDict[tuple[object, ...], list[str]] = OrderedDict()
    for name, lamp in machine.lamps.items():
        tube = (lamp.bore, lamp.arc_length, lamp.envelope, lamp.wall_thickness)
        alike.setdefault((lamp.gas, trigger.fill_pressure[name], lamp.electrode_drop, *tube), []).append(name)
    groups = tuple(_group(inputs, trigger, ids, square) for ids in alike.values())
    stored = float(stored_energy(machine.bank.capacitance, trigger.firing_voltage))
    record = _followed(inputs, trigger, groups, square)
    if not trigger.fires:
        record = _untouched(record, trigger.firing_voltage, stored)
    peak = float(np.max(np.abs(record.current)))
    return DischargeStage(
        stored_energy=stored,
        record=record,
        groups=groups,
        members=tuple(tuple(ids) for ids in alike.values()),
        peak_current=peak,
        peak_current_density=record.peak_current_density,
        group_energy=record.group_energy,
    )


def _followed(inputs: Inputs, trigger: TriggerStage, groups: tuple[LampGroup, ...], square: bool) -> Discharge:
    """The discharge, followed longer where a heavily damped loop still carries current at the usual end."""
    machine = inputs.machine
    inductance = machine.loop.inductance + trigger.inductance
    scale = float(np.sqrt(inductance * machine.bank.capacitance))
    for factor in LONGER:
        record = discharge(
            machine.bank.capacitance,
            inductance,
            machine.loop.resistance + trigger.resistance,
            machine.switch.resistance,
            (machine.switch.drop or 0.0) + trigger.drop,
            trigger.firing_voltage if trigger.fires else QUIET_VOLTAGE,
            groups,
            machine.loop.lamps_connected == "parallel",
            square,
            duration=factor * FOLLOWED * scale,
            most_steps=int(factor * STEPS),
        )
        if not (took_off(inputs, record) and still_carries(record)):
            break
    return record


def _untouched(record: Discharge, voltage: float, stored: float) -> Discharge:
    """The record of a bank that kept its voltage, because nothing fired."""
    spent = sum(energy for sink, energy in record.energies.items() if sink != "left on the bank")
    energies = {**record.energies, "left on the bank": stored - spent}
    return replace(record, bank_voltage=np.full_like(record.bank_voltage, voltage), energies=energies)


def took_off(inputs: Inputs, record: Discharge) -> bool:
    """Whether the arc took off: a current worth the name, or most of the bank spent."""
    machine = inputs.machine
    peak = float(np.max(np.abs(record.current)))
    impedance = float(np.sqrt(machine.loop.inductance / machine.bank.capacitance))
    shorted = inputs.charge_voltage / (impedance + machine.loop.resistance + machine.switch.resistance)
    kept = record.energies["left on the bank"] > 0.5 * sum(record.energies.values())
    return peak >= LEAST_CURRENT and not (kept and peak < LEAST_PART * shorted)


def still_carries(record: Discharge) -> bool:
    """Whether the computation ended while a current flowed that still matters."""
    left = record.energies["left on the bank"] > UNSPENT * sum(record.energies.values())
    current = np.abs(record.current)
    return record.outcome in ("time limit", "step limit") and left and bool(current[-1] > UNSPENT * current.max())


def _group(inputs: Inputs, trigger: TriggerStage, ids: list[str], square: bool) -> LampGroup:
    lamp, fill = inputs.machine.lamps[ids[0]], trigger.fill_pressure[ids[0]]
    impedance = float("nan")
    if square:
        impedance = float(impedance_parameter(lamp.arc_length, lamp.bore, fill, lamp.gas))
    return LampGroup(
        count=len(ids),
        length=lamp.arc_length,
        bore=lamp.bore,
        tables=lamp_tables(inputs, lamp, fill),
        channel_radius=trigger.channel_radius,
        channel_temperature=trigger.channel_temperature,
        growth_factor=inputs.machine.trigger.growth_factor,
        electrode_drop=lamp.electrode_drop,
        impedance=impedance,
    )


def light_stage(inputs: Inputs, before: DischargeStage) -> LightStage:
    """Spectral power of the lamps behind their envelopes."""
    record = before.record
    wavelength, width = spectral_bands()
    shape = (len(record.time), len(wavelength))
    total, outside = np.zeros(shape), np.zeros(shape)
    taken, weight = np.zeros(shape), 0.0
    for index, (group, members) in enumerate(zip(before.groups, before.members, strict=True)):
        power, absorptance = np.empty(shape), np.empty(shape)
        radius = record.arc_radius[:, index]
        heavy = np.pi * radius**2 * group.tables.number_density
        light_kernel.column_light(
            np.log(np.maximum(record.energy_per_length[:, index] / heavy, 1e-60)),
            np.zeros_like(radius),
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
        power *= group.count * group.length
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
    energy = np.trapezoid(outside, record.time, axis=0)
    lost = float(np.trapezoid(np.sum(total - outside, axis=1), record.time))
    return LightStage(
        time=record.time,
        wavelength=wavelength,
        width=width,
        power=outside,
        absorptance=np.clip(taken / weight, 0.0, 1.0),
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
