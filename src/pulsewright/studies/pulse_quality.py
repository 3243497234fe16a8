"""One shot against the acoustic clock: when its own heat spoils it, what would help, when the next may follow."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pulsewright.engine.chain import Chain, Stages
from pulsewright.engine.heat import HeatStage, heat_stage
from pulsewright.engine.heat_after import HeatAfter, heat_after
from pulsewright.engine.inputs import Inputs, inputs_of
from pulsewright.engine.liquid import Liquid, liquid
from pulsewright.errors import BuildError, Finding, PulsewrightError, worst_first
from pulsewright.machine import Build
from pulsewright.machine.parts import Machine
from pulsewright.physics.thermal.wavefront import MARECHAL
from pulsewright.studies.heat_notes import heat_findings
from pulsewright.studies.shot import refuse_unmodelled

Float = NDArray[np.float64]

#: Part of the peak power above which it lases, for start and end.
LASES = 0.01
#: Largest error that may be asked for as the limit, in waves. [-]
MOST = 1e4
#: Liquids compared, as (solvent, second solvent, its part of the volume).
LIQUIDS = (
    ("methanol", None, 0.0),
    ("ethanol", None, 0.0),
    ("ethylene glycol", None, 0.0),
    ("water", None, 0.0),
    ("water", "methanol", 0.5),
    ("water", "ethanol", 0.5),
    ("water", "ethylene glycol", 0.5),
)
#: What is tried on the build: words, and factors on entries. Half the capacitance at the same energy is a pulse shorter
#: by about 1.4; a wider bore takes the same light into more dye.
TRIED: tuple[tuple[str, Mapping[str, float]], ...] = (
    ("half the dye, for more even pumping", {"dye.concentration": 0.5}),
    ("a quarter of the dye", {"dye.concentration": 0.25}),
    ("half the capacitance, same energy: shorter pulse", {"bank.capacitance": 0.5, "bank.charge_voltage": 2**0.5}),
    ("bore half as wide again", {"cell.bore": 1.5}),
    ("charge voltage 15 % lower", {"bank.charge_voltage": 0.85}),
)
NOT_MODELLED = (
    "unevenness round the axis: lamps on two sides heat two sides, which bends the beam and makes it astigmatic",
    "in a slab, what changes along its width; its tilt of the wavefront counts as an error",
    "steepening of strong sound into shocks; the shock that a young arc sends through the cold gas of a coaxial lamp",
    "pressure that linear lamps send through a liquid coolant, or along the glass",
    "cavitation: where the pressure falls below that of the vapour the liquid may tear, and bubbles scatter",
    "sound along the cell from its open ends; it lets a long pulse expand evenly, which only shifts the phase",
    "convection after the shot, and the pattern that the flow itself makes",
    "light taken up by the solvent itself, infrared above all; heat of the pump once the gain is no longer followed",
)


@dataclass(frozen=True, slots=True)
class Event:
    """A moment of the shot. `time` since the switch closed [s], None with a reason."""

    key: str
    words: str
    time: float | None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class QualityFigure:
    """A number with its words, SI; `quantity` is its row of the nomenclature, empty where there is none."""

    key: str
    words: str
    value: float | None
    unit: str
    quantity: str = ""
    reason: str = ""


@dataclass(frozen=True, slots=True)
class QualityRow:
    """One alternative. `error`: rms waves at the end of the output; `wait` until the next shot, None where not known.

    `output_energy` is None where only the liquid is exchanged, in this very shot.
    """

    words: str
    spoilt_time: float | None
    widened_time: float | None
    energy_before_spoilt: float | None
    output_energy: float | None
    error: float
    focus: float
    transit: float
    wait: float | None
    note: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class PulseQuality:
    """Pulse quality of one shot. Arrays on `time` (M,) and `radius` (N,), SI; errors in waves of one pass."""

    bench: str
    charge_voltage: float
    wavelength: float
    limit: float
    lased: bool
    time: Float
    radius: Float
    index_change: Float
    wavefront_error: Float
    rest: Float
    focus: Float
    peak_to_valley: Float
    ray_angle: Float
    gain_time: Float
    output_power: Float
    shell_heat: Float
    budget: Mapping[str, float]
    events: tuple[Event, ...]
    figures: tuple[QualityFigure, ...]
    liquids: tuple[QualityRow, ...]
    remedies: tuple[QualityRow, ...]
    findings: tuple[Finding, ...]
    not_modelled: tuple[str, ...] = NOT_MODELLED

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        arrays = ("time", "radius", "index_change", "wavefront_error", "rest", "focus", "peak_to_valley", "ray_angle")
        rows = ("events", "figures", "liquids", "remedies")
        return {
            "kind": "pulse quality",
            **{name: getattr(self, name) for name in ("bench", "charge_voltage", "wavelength", "limit", "lased")},
            **{name: getattr(self, name).tolist() for name in (*arrays, "gain_time", "output_power", "shell_heat")},
            "budget": dict(self.budget),
            **{name: [_as_dict(row) for row in getattr(self, name)] for name in rows},
            "findings": [row.as_dict() for row in self.findings],
            "not_modelled": list(self.not_modelled),
        }


def _as_dict(row: Event | QualityFigure | QualityRow) -> dict[str, Any]:
    return {name: getattr(row, name) for name in type(row).__dataclass_fields__}


def pulse_quality(
    build: Build,
    chain: Chain,
    charge_voltage: float | None = None,
    limit: float | None = None,
    progress: Callable[[int, int], None] | None = None,
) -> PulseQuality:
    """Compute the quality of one shot's pulse.

    Parameters
    ----------
    build : Build
        With every layer applied.
    chain : Chain
        Keeps stages between shots.
    charge_voltage : float, optional
        Defaults to the build's. [V]
    limit : float, optional
        Error of the wavefront from which on the pulse is called spoilt, rms in waves of one pass; 1/14 when not
        given. [-]
    progress : callable, optional
        Called with (alternatives done, of how many); may raise to stop the work.

    Raises
    ------
    BuildError
        If the limit is not above 0.
    NotModelledError
        If the build asks for something that this version does not compute, by name.
    """
    limit = MARECHAL if limit is None else limit
    if not 0.0 < limit < MOST:
        message = f"a limit of {limit:g} waves is none"
        raise BuildError(Finding("error", "limit", message, f"Above 0, below {MOST:g}", "Give for instance 0.07"))
    refuse_unmodelled(build)
    inputs = inputs_of(build, charge_voltage)
    stages = chain.run(inputs)
    heat = heat_stage(stages, limit)
    left = heat_after(inputs.machine, heat)
    return PulseQuality(
        bench=build.name,
        charge_voltage=inputs.charge_voltage,
        wavelength=heat.wavelength,
        limit=limit,
        lased=stages.gain.output_energy > 0,
        time=heat.heat_time,
        radius=heat.heat_radius,
        index_change=heat.index_change,
        wavefront_error=heat.errors.rms,
        rest=heat.errors.rest,
        focus=heat.errors.focus,
        peak_to_valley=heat.errors.peak_to_valley,
        ray_angle=heat.ray_angle,
        gain_time=stages.gain.record.time,
        output_power=stages.gain.output_power,
        shell_heat=heat.shell_heat,
        budget=heat.budget,
        events=tuple(_events(stages, heat)),
        figures=tuple(_figures(stages, heat, left)),
        liquids=tuple(_liquids(stages, limit)),
        remedies=tuple(_remedies(stages, chain, limit, progress)),
        findings=tuple(worst_first(dict.fromkeys([*_dark(stages), *heat_findings(stages)]))),
    )


def _dark(stages: Stages) -> Iterator[Finding]:
    """Why a shot has no pulse to judge."""
    if not stages.trigger.fires:
        message = f"it {stages.trigger.outcome}: nothing is pumped, so nothing is heated"
        yield Finding("warning", "trigger.method", message, "A shot that fires", stages.trigger.next_step)
    elif stages.gain.output_energy <= 0:
        message = "nothing comes out: what is shown is the wavefront that a beam would have met"
        yield Finding("note", "resonator", message, "A shot that lases", "Raise the charge voltage")


def _lasing(stages: Stages) -> tuple[float, float, float] | None:
    """First, highest and last moment of the output."""
    gain = stages.gain
    if gain.output_energy <= 0:
        return None
    above = np.flatnonzero(gain.output_power > LASES * gain.output_power.max())
    time = gain.record.time
    return float(time[above[0]]), float(time[int(np.argmax(gain.output_power))]), float(time[above[-1]])


def _events(stages: Stages, heat: HeatStage) -> list[Event]:
    lasing = _lasing(stages)
    first, peak, last = lasing or (None, None, None)
    dark = "" if lasing else "nothing comes out"
    coaxial = any(lamp.shape == "coaxial" for lamp in stages.inputs.machine.lamps.values())
    rows = [
        Event("pump_start", "the pump begins", float(heat.heat_time[0])),
        Event("lasing_start", f"output passes {100 * LASES:g} % of its peak", first, dark),
        Event("output_peak", "highest output power", peak, dark),
        Event("lasing_end", f"output falls below {100 * LASES:g} % of its peak", last, dark),
        Event("first_disturbed", "the outer annulus is off by the limit", heat.first_disturbed, "it stays within it"),
        Event("spoilt", "the whole wavefront is off by the limit, rms", heat.spoilt_time, "it stays within it"),
        Event("widened", "heat bends rays beyond the beam's own divergence", heat.widened_time, "it never does"),
        Event("axis_reached", "sound of the first heat has come from the wall to the axis", heat.axis_reached),
        Event(
            "lamp_pressure",
            "pressure of the coaxial lamp has come through the tube",
            heat.push_arrival,
            "nothing arrives" if coaxial else "no coaxial lamp",
        ),
    ]
    told = [replace(row, reason="") if row.time is not None else row for row in rows]
    return sorted(told, key=lambda row: (row.time is None, row.time or 0.0))


def _figures(stages: Stages, heat: HeatStage, left: HeatAfter) -> Iterator[QualityFigure]:
    machine, dark = stages.inputs.machine, "nothing comes out"
    lases = stages.gain.output_energy > 0
    before = heat.energy_before_spoilt if lases else None
    later = heat.energy_after_spoilt if lases else None
    yield QualityFigure("output_energy", "output", stages.gain.output_energy, "J", "output_energy")
    yield QualityFigure(
        "energy_before_spoilt",
        "output before the wavefront is spoilt",
        before,
        "J",
        "output_energy",
        _none(before, dark),
    )
    yield QualityFigure("energy_after_spoilt", "output after that", later, "J", "output_energy", _none(later, dark))
    end = float(np.interp(_end(stages), heat.heat_time, heat.errors.rms))
    yield QualityFigure("error_at_end", "wavefront at the end of the output, rms waves", end, "-", "wavefront_error")
    rest = float(np.interp(_end(stages), heat.heat_time, heat.errors.rest))
    yield QualityFigure("rest_at_end", "the same, best focus removed", rest, "-", "wavefront_rest")
    yield QualityFigure("heat", "heat in the dye", heat.budget["heat"], "J", "absorbed_energy")
    high, low = heat.highest_pressure, heat.lowest_pressure
    yield QualityFigure("highest_pressure", "highest pressure above rest, ends closed", high, "Pa", "pressure")
    yield QualityFigure("lowest_pressure", "lowest pressure, the same way", low, "Pa", "pressure")
    yield QualityFigure("mean_rise", "mean rise of the dye", left.mean_rise, "K", "temperature_rise")
    yield QualityFigure("mean_waves", "waves of path by that rise, expanded", left.mean_waves, "-", "wavefront_error")
    wait, why = left.waiting_time, _none(left.waiting_time, "each shot has a fresh fill")
    yield QualityFigure("waiting_time", f"wait for the next, by {left.how}", wait, "s", "waiting_time", why)
    yield QualityFigure("flush_volume", "dye that has to pass first", left.flush_volume, "m^3", "flush_volume")
    yield QualityFigure("cell_volumes", "that in cell volumes", left.volumes, "-", "volumes")
    yield QualityFigure("time_constant", "conduction to the wall, at rest", left.time_constant, "s", "time_constant")
    if machine.chamber.coolant != "none":
        words = "waves rms for each 0.1 K between coolant and dye"
        yield QualityFigure("waves_per_tenth", words, left.waves_per_tenth, "-", "wavefront_error")


def _none(value: float | None, reason: str) -> str:
    return "" if value is not None else reason


def _end(stages: Stages) -> float:
    lasing = _lasing(stages)
    return lasing[2] if lasing else float(stages.gain.record.time[-1])


def _row(
    words: str, stages: Stages, heat: HeatStage, found: Liquid, output: float | None, note: str = ""
) -> QualityRow:
    machine = stages.inputs.machine
    return QualityRow(
        words=words,
        spoilt_time=heat.spoilt_time,
        widened_time=heat.widened_time,
        energy_before_spoilt=heat.energy_before_spoilt if stages.gain.output_energy > 0 else None,
        output_energy=output,
        error=float(np.interp(_end(stages), heat.heat_time, heat.errors.rms)),
        focus=float(np.interp(_end(stages), heat.heat_time, heat.errors.focus)),
        transit=machine.cell.bore / 2 / found.sound_speed,
        wait=heat_after(machine, heat, found).waiting_time,
        note=note,
    )


def _liquids(stages: Stages, limit: float) -> Iterator[QualityRow]:
    """Other liquids, heated alike by this very shot; what they do to dye and triplets is left as it is."""
    machine = stages.inputs.machine
    own = liquid(machine)
    yield _row(f"{own.name} (as built)", stages, heat_stage(stages, limit), own, stages.gain.output_energy)
    note = "the heat of this shot, spread evenly: what is left starts at the wall"
    even = heat_stage(stages, limit, even=True)
    yield _row(f"{own.name}, pumped evenly", stages, even, own, None, note)
    for first, second, share in LIQUIDS:
        found = _other(machine, first, second, share)
        if found is not None and found.name != own.name:
            yield _row(found.name, stages, heat_stage(stages, limit, found), found, None)


def _other(machine: Machine, first: str, second: str | None, share: float) -> Liquid | None:
    dye = replace(
        machine.dye, solvent=first, second_solvent=second, second_solvent_fraction=share or None, refractive_index=None
    )
    try:
        return liquid(replace(machine, dye=dye))
    except PulsewrightError:
        return None  # a property of it is not known


def _remedies(
    stages: Stages, chain: Chain, limit: float, progress: Callable[[int, int], None] | None
) -> Iterator[QualityRow]:
    """The build with one thing changed, computed anew."""
    for done, (words, factors) in enumerate(TRIED):
        if progress is not None:
            progress(done, len(TRIED))
        changed = _changed(stages.inputs, factors)
        found = chain.run(changed)
        note = "" if found.gain.output_energy > 0 else "does not lase"
        heat = heat_stage(found, limit)
        yield _row(words, found, heat, liquid(changed.machine), found.gain.output_energy, note)
    if progress is not None:
        progress(len(TRIED), len(TRIED))


def _changed(inputs: Inputs, factors: Mapping[str, float]) -> Inputs:
    for path, factor in factors.items():
        if path == "bank.charge_voltage":
            inputs = inputs.varied(path, inputs.charge_voltage * factor)
        else:
            section, key = path.split(".")
            inputs = inputs.varied(path, getattr(getattr(inputs.machine, section), key) * factor)
    return inputs
