"""The chain itself: runs the stages in order and keeps what each computed, keyed by what it read."""

from __future__ import annotations

from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterator
from dataclasses import dataclass, fields
from threading import Lock
from typing import Any

from pulsewright.engine.beam import BeamStage, beam_stage
from pulsewright.engine.cell_shape import cell_area
from pulsewright.engine.dye_of import dye_key
from pulsewright.engine.electric import DischargeStage, LightStage, discharge_stage, light_stage
from pulsewright.engine.gain import GainStage, gain_stage
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.margins import Stress, stresses
from pulsewright.engine.margins_electric import electric_stresses
from pulsewright.engine.margins_trigger import trigger_stresses
from pulsewright.engine.pump import PumpStage, pump_stage
from pulsewright.engine.solution import Solution, solution
from pulsewright.engine.trigger import TriggerStage, trigger_stage
from pulsewright.engine.uptake import uptake_key
from pulsewright.machine.parts import Machine

#: Results kept per stage.
KEPT = 48


@dataclass(frozen=True, slots=True, eq=False)
class Stages:
    """Everything one shot computed."""

    inputs: Inputs
    trigger: TriggerStage
    discharge: DischargeStage
    light: LightStage
    dye: Solution
    pump: PumpStage
    gain: GainStage
    beam: BeamStage
    stresses: tuple[Stress, ...]


class StageKey:
    """What a stage reads, hashed once: a later key contains it, and each is looked up several times."""

    __slots__ = ("_hash", "parts")

    def __init__(self, *parts: Any) -> None:
        self.parts = parts
        self._hash = hash(parts)

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return isinstance(other, StageKey) and self._hash == other._hash and self.parts == other.parts


class Same:
    """The very same records: a build that has an entry changed has another record where that entry stands."""

    __slots__ = ("_hash", "parts")

    def __init__(self, *parts: object) -> None:
        self.parts = parts
        self._hash = hash(tuple(map(id, parts)))

    def __hash__(self) -> int:
        return self._hash

    def __eq__(self, other: object) -> bool:
        return (
            isinstance(other, Same)
            and len(self.parts) == len(other.parts)
            and all(mine is its for mine, its in zip(self.parts, other.parts, strict=True))
        )


class Chain:
    """Runs shots; a stage whose inputs are unchanged is taken from memory.

    Counters: `runs` per stage name says how often a stage was really computed.
    """

    def __init__(self) -> None:
        self._kept: dict[str, OrderedDict[Hashable, Any]] = {}
        self._lock = Lock()
        self.runs: dict[str, int] = {}

    def _stage(self, name: str, key: Hashable, compute: Callable[[], Any]) -> Any:
        with self._lock:
            kept = self._kept.setdefault(name, OrderedDict())
            if key in kept:
                kept.move_to_end(key)
                return kept[key]
        value = compute()
        with self._lock:
            self.runs[name] = self.runs.get(name, 0) + 1
            kept[key] = value
            while len(kept) > KEPT:
                kept.popitem(last=False)
        return value

    def discharge(self, inputs: Inputs) -> tuple[TriggerStage, DischargeStage]:
        """The first stages of one shot, up to the waveforms of the loop."""
        trigger = self._trigger(inputs)
        return trigger, self._discharge(inputs, trigger, stage_keys(inputs, trigger)["discharge"])

    def _trigger(self, inputs: Inputs) -> TriggerStage:
        found: TriggerStage = self._stage("trigger", trigger_key(inputs), lambda: trigger_stage(inputs))
        return found

    def _discharge(self, inputs: Inputs, trigger: TriggerStage, key: Hashable) -> DischargeStage:
        found: DischargeStage = self._stage("discharge", key, lambda: discharge_stage(inputs, trigger))
        return found

    def electric(self, inputs: Inputs) -> tuple[TriggerStage, DischargeStage, LightStage]:
        """The stages up to what leaves the lamps; nothing of dye, cell or mirrors is read."""
        trigger, discharge = self.discharge(inputs)
        key = stage_keys(inputs, trigger)["light"]
        light: LightStage = self._stage("light", key, lambda: light_stage(inputs, discharge))
        return trigger, discharge, light

    def run(self, inputs: Inputs) -> Stages:
        """All stages of one shot."""
        trigger = self._trigger(inputs)
        keys = stage_keys(inputs, trigger)
        discharge = self._discharge(inputs, trigger, keys["discharge"])
        light = self._stage("light", keys["light"], lambda: light_stage(inputs, discharge))
        dye = self._stage("dye", keys["dye"], lambda: solution(inputs))
        pump = self._stage("pump", keys["pump"], lambda: pump_stage(inputs, light, dye))
        gain = self._stage("gain", keys["gain"], lambda: gain_stage(inputs, pump, dye))
        beam = beam_stage(inputs, gain)
        loads = Same(trigger, discharge, light, *_electric_parts(inputs))
        electric = self._stage("loads", loads, lambda: tuple(electric_stresses(inputs, trigger, discharge, light)))
        found = (*stresses(inputs, electric, gain, beam), *trigger_stresses(inputs, trigger))
        return Stages(inputs, trigger, discharge, light, dye, pump, gain, beam, found)


def trigger_key(inputs: Inputs) -> Hashable:
    """What the trigger reads: bank, charger, switch, loops and lamps with their measured breakdowns."""
    machine = inputs.machine
    return StageKey(
        inputs.charge_voltage,
        machine.bank.capacitance,
        machine.bank.bleeder_resistance,
        machine.meter,
        machine.charger,
        machine.switch.kind,
        machine.trigger,
        machine.loop,
        tuple(machine.branches.items()),
        machine.chamber.coolant,
        tuple(machine.lamps.items()),
        tuple(machine.breakdowns.items()),
        tuple(value for path, value in inputs.reference.items() if path.startswith(_TRIGGER_PATHS)),
    )


def stage_keys(inputs: Inputs, trigger: TriggerStage) -> dict[str, Hashable]:
    """What each stage after the trigger reads, as a key; a later stage's key contains those it is built on.

    The parts are frozen records that compare by value, so they stand in the keys themselves.
    """
    machine = inputs.machine
    others = (*_DYE_PATHS, *_TRIGGER_PATHS, *_LIFE_PATHS)
    plasma = tuple(value for path, value in inputs.reference.items() if not path.startswith(others))
    chemistry = tuple(value for path, value in inputs.reference.items() if path.startswith(_DYE_PATHS))
    discharge = StageKey(
        inputs.charge_voltage,
        machine.bank.capacitance,
        machine.switch,
        trigger.circuit,
        _channel(machine),
        machine.loop,
        tuple(machine.branches.items()),
        machine.crowbar,
        tuple(machine.lamps.items()),
        plasma,
        inputs.tables,
    )
    dye = StageKey(
        machine.dye, dye_key(machine), cell_area(machine.cell), machine.room.altitude, chemistry, inputs.bins
    )
    pump = StageKey(discharge, dye, machine.chamber, uptake_key(inputs), machine.cell, inputs.shells)
    ends = (machine.resonator.rear, machine.resonator.coupler)
    mirrors = tuple(
        (machine.optics[part].reflectivity, machine.curves.get(f"optics.{part}.reflectivity_file")) for part in ends
    )
    gain = StageKey(pump, machine.resonator, mirrors, tuple(machine.cells.values()), inputs.tolerance)
    return {"discharge": discharge, "light": discharge, "dye": dye, "pump": pump, "gain": gain}


def _channel(machine: Machine) -> Hashable:
    """What the discharge reads of the trigger's entries itself, and the voltage a spark gap is set for."""
    given = machine.trigger
    gap = given.self_break_voltage, machine.bank.charge_voltage
    return given.growth_factor, given.channel_radius, given.channel_temperature, gap


#: Sections that the stresses up to the lamps do not read.
_OPTICAL_SECTIONS = ("cell", "cells", "dye", "dyes", "loops", "resonator", "optics", "target", "curves")


def _electric_parts(inputs: Inputs) -> Iterator[object]:
    """What the stresses up to the lamps read beside the stages: every section but the optical ones, laws of life."""
    machine = inputs.machine
    yield from (getattr(machine, item.name) for item in fields(machine) if item.name not in _OPTICAL_SECTIONS)
    yield from (value for path, value in inputs.reference.items() if path.startswith(_LIFE_PATHS))


_DYE_PATHS = ("reference.dye.", "reference.solvent.", "reference.quencher.")
_TRIGGER_PATHS = ("reference.trigger.",)
#: Read by the margins alone.
_LIFE_PATHS = ("reference.life.",)
