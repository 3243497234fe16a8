"""From a build to what the schematics need: plain values and short texts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Any, TypeVar

import numpy as np

from pulsewright import units
from pulsewright.drawing.bench import (
    BenchShape,
    BranchShape,
    CellShape,
    ChamberShape,
    LampShape,
    OpticShape,
    RayPicture,
)
from pulsewright.quantities import show
from pulsewright.records import Shot

T = TypeVar("T")


def bench_shape(build: Any, shot: Shot | None = None, rays: Any = None) -> BenchShape:
    """What drawings show of a build; the beam's width along the train is the shot's, where there is one.

    `rays`: some that were traced, for the chamber.
    """
    m = build.machine
    return BenchShape(
        name=build.name,
        lamps=tuple(_pick(LampShape, lamp, id=key) for key, lamp in m.lamps.items()),
        chamber=_pick(ChamberShape, m.chamber),
        cell=_pick(CellShape, m.cell),
        resonator_length=m.resonator.length,
        rear=m.resonator.rear,
        coupler=m.resonator.coupler,
        optics=tuple(_pick(OpticShape, optic, id=key) for key, optic in m.optics.items()),
        target_distance=m.target.distance,
        lamps_connected=m.loop.lamps_connected,
        network=m.loop.network,
        sections=m.loop.sections,
        switch=m.switch.kind,
        charge_method=m.charger.method,
        trigger=m.trigger.method,
        crowbar=m.crowbar.kind,
        branches=tuple(_branch(key, branch) for key, branch in m.branches.items()),
        circuit_notes=circuit_notes(m),
        loop_method=next((loop.method for loop in m.loops.values()), ""),
        words=_words(m),
        beam=_beam(shot),
        rays=None if rays is None else ray_picture(rays),
    )


def ray_picture(rays: Any) -> RayPicture:
    """Rays as the drawing has them: plain numbers."""

    def points(line: Any) -> tuple[tuple[float, float], ...]:
        return tuple((float(x), float(y)) for x, y in line)

    return RayPicture(
        tuple(points(path) for path in rays.paths),
        tuple(tuple(np.asarray(one).tolist()) for one in rays.weights),
        tuple(points(outline) for outline in rays.outlines),
        tuple(rays.lamps),
    )


def _pick(kind: type[T], record: Any, **more: Any) -> T:
    """A drawing's record from a build's record of the same field names."""
    wanted = [field.name for field in fields(kind) if field.name not in more]  # type: ignore[arg-type]
    return kind(**more, **{name: getattr(record, name) for name in wanted})


def _beam(shot: Shot | None) -> tuple[tuple[float, float], ...]:
    if shot is None or "surface_diameter" not in shot.arrays:
        return ()
    along, across = shot.arrays["surface_distance"].values, shot.arrays["surface_diameter"].values
    return tuple(zip(along.tolist(), across.tolist(), strict=True))


def _words(m: Any) -> Mapping[str, str]:
    loop = next(iter(m.loops.values()), None)
    target = m.target.material or "target not named"
    return {
        **_circuit_words(m),
        "bank": show("capacitance", _shared_capacitance(m)),
        "charger": f"{m.charger.method}, to {show('voltage_max', m.charger.voltage_max)}",
        "coolant": "none" if m.chamber.coolant == "none" else m.chamber.coolant,
        "bottles": "no loop" if loop is None else f"{_known('volume', loop.volume)}, {loop.method}",
        "pump": "no loop" if loop is None else _pump(loop),
        "gas": f"{m.dye.atmosphere} over the dye",
        "air": _air_changes(m.room.air_changes),
        "room": f"{_room_volume(m.room.volume)}, {show('temperature', m.room.temperature)}",
        "dye": f"{m.dye.name} in {m.dye.solvent}",
        "target": target if m.target.distance is None else f"{target} at {show('distance', m.target.distance)}",
    }


def _circuit_words(m: Any) -> Mapping[str, str]:
    """Values beside the symbols of the circuit."""
    each = _shared_capacitance(m) / m.loop.sections if m.loop.sections else None
    trigger, earth = m.trigger, m.loop.earth_inductance
    return {
        "bleeder": show("bleeder_resistance", m.bank.bleeder_resistance),
        "dump": show("resistance", m.dump.resistance),
        "inductance": show("inductance", m.loop.inductance),
        "resistance": show("resistance", m.loop.resistance),
        "section_inductance": show("section_inductance", m.loop.section_inductance),
        "section_capacitance": show("capacitance", each),
        "charging_resistance": show("resistance", m.charger.resistance),
        "upper_resistance": show("upper_resistance", m.meter.upper_resistance),
        "lower_resistance": show("lower_resistance", m.meter.lower_resistance),
        "crowbar": show("resistance", m.crowbar.resistance),
        "simmer": show("simmer_current", trigger.simmer_current),
        "prepulse": show("prepulse_capacitance", trigger.prepulse_capacitance),
        "earth_inductance": "" if earth is None else show("earth_inductance", earth),
    }


def _shared_capacitance(m: Any) -> float:
    """The bank without the capacitors of single loops, which are part of its capacitance."""
    whole: float = m.bank.capacitance
    if m.loop.lamps_connected != "separate loops":
        return whole
    own = sum(branch.capacitance or 0.0 for branch in m.branches.values())
    return whole - own if own < whole else whole


def _branch(key: str, branch: Any) -> BranchShape:
    own = branch.capacitance
    return BranchShape(
        id=key,
        inductance=show("inductance", branch.inductance),
        resistance=show("resistance", branch.resistance),
        delay="no delay" if branch.delay == 0.0 else f"after {show('delay', branch.delay)}",
        capacitance="" if own is None else show("capacitance", own),
    )


def circuit_notes(m: Any) -> tuple[str, ...]:
    """What the circuit says below its drawing: supply, trigger, crowbar, leads, and how the meter is fed."""
    leads = [f"{key} ({_lead(lead)})" for key, lead in m.leads.items()]
    rows = (
        ("charger", _charger(m.charger)),
        ("meter", "" if m.meter.supply == "not stated" else f"its instrument is fed by {m.meter.supply}"),
        ("trigger", _trigger(m.trigger)),
        ("crowbar", _crowbar(m.crowbar)),
        ("own capacitors", _own_banks(m)),
        ("leads", ", ".join(leads)),
    )
    return tuple(f"{name}: {words}" for name, words in rows if words)


def _charger(charger: Any) -> str:
    size = {"constant current": ("current", charger.current), "constant power": ("power", charger.power)}
    parts = [charger.method]
    if charger.method in size:
        key, value = size[charger.method]
        parts.append(show(key, value))
    parts.append(f"to {show('voltage_max', charger.voltage_max)}")
    if charger.line_voltage is not None:
        parts.append(f"from {show('line_voltage', charger.line_voltage)} at the wall")
    if charger.fuse_rating is not None:
        parts.append(f"fuse {show('fuse_rating', charger.fuse_rating)}")
    return ", ".join(parts)


def _trigger(trigger: Any) -> str:
    known: tuple[tuple[str, str], ...]
    known = (("pulse_voltage", "pulse of"), ("prepulse_voltage", "charged to"), ("prepulse_delay", "main pulse after"))
    if trigger.method == "pressure drop":
        known = (("start_pressure", "pumped from"), ("stop_pressure", "towards"))
    rows = [f"{words} {show(key, getattr(trigger, key))}" for key, words in known if getattr(trigger, key) is not None]
    return ", ".join([trigger.method, *rows])


def _crowbar(crowbar: Any) -> str:
    if crowbar.kind != "crowbar switch":
        return ""
    return f"closes {show('closing_time', crowbar.closing_time)} after the trigger"


def _own_banks(m: Any) -> str:
    if m.loop.lamps_connected != "separate loops" or all(b.capacitance is None for b in m.branches.values()):
        return ""
    return "how they are charged and kept apart is not in the build file (dashed)"


def _lead(lead: Any) -> str:
    length = "" if lead.length is None else f" {show('length', lead.length)}"
    return f"{lead.shape}{length}"


def _pump(loop: Any) -> str:
    return "no pump" if loop.method == "stagnant" else _known("flow", loop.flow)


def _known(key: str, value: float | None) -> str:
    return f"{key} not known" if value is None else show(key, value)


def _air_changes(rate: float | None) -> str:
    return "air changes not known" if rate is None else f"{rate * 3600:.3g} changes an hour"


def _room_volume(volume: float | None) -> str:
    return "volume not known" if volume is None else units.format(volume, "m^3")
