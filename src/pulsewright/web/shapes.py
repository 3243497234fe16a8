"""From a build to what the schematics need: plain values and short texts."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import fields
from typing import Any, TypeVar

from pulsewright import units
from pulsewright.drawing.bench import BenchShape, CellShape, ChamberShape, LampShape, OpticShape
from pulsewright.quantities import show
from pulsewright.records import Shot

T = TypeVar("T")


def bench_shape(build: Any, shot: Shot | None = None) -> BenchShape:
    """What drawings show of a build; the beam's width along the train is the shot's, where there is one."""
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
        loop_method=next((loop.method for loop in m.loops.values()), ""),
        words=_words(m),
        beam=_beam(shot),
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
    network = m.loop.network != "single mesh"
    inductance = (
        show("section_inductance", m.loop.section_inductance) if network else show("inductance", m.loop.inductance)
    )
    return {
        "bank": show("capacitance", m.bank.capacitance),
        "charger": f"{m.charger.method}, to {show('voltage_max', m.charger.voltage_max)}",
        "bleeder": show("bleeder_resistance", m.bank.bleeder_resistance),
        "dump": show("resistance", m.dump.resistance),
        "inductance": inductance,
        "resistance": show("resistance", m.loop.resistance),
        "coolant": "none" if m.chamber.coolant == "none" else m.chamber.coolant,
        "bottles": "no loop" if loop is None else f"{_known('volume', loop.volume)}, {loop.method}",
        "pump": "no loop" if loop is None else _pump(loop),
        "gas": f"{m.dye.atmosphere} over the dye",
        "air": _air_changes(m.room.air_changes),
        "room": f"{_room_volume(m.room.volume)}, {show('temperature', m.room.temperature)}",
        "dye": f"{m.dye.name} in {m.dye.solvent}",
        "target": target if m.target.distance is None else f"{target} at {show('distance', m.target.distance)}",
    }


def _pump(loop: Any) -> str:
    return "no pump" if loop.method == "stagnant" else _known("flow", loop.flow)


def _known(key: str, value: float | None) -> str:
    return f"{key} not known" if value is None else show(key, value)


def _air_changes(rate: float | None) -> str:
    return "air changes not known" if rate is None else f"{rate * 3600:.3g} changes an hour"


def _room_volume(volume: float | None) -> str:
    return "volume not known" if volume is None else units.format(volume, "m^3")
