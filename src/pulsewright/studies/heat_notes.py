"""Heat, sound and index of one shot for its record: numbers, arrays, budget, and what a careful person should know."""

from __future__ import annotations

import math
from collections.abc import Iterator
from functools import lru_cache

from pulsewright.engine.chain import Stages
from pulsewright.engine.heat import HeatStage, heat_stage
from pulsewright.engine.heat_after import HeatAfter, heat_after
from pulsewright.engine.liquid import liquid
from pulsewright.engine.solution import SCALE_HEIGHT, SEA_LEVEL
from pulsewright.errors import Finding
from pulsewright.physics.thermal.wavefront import energy_until
from pulsewright.quantities import show
from pulsewright.records import Array, Value

#: Part of the output that may come after the beam has widened, or lamp pressure arrived, before it is told. [-]
TOLD = 0.1
#: Part of it from which on most of the pulse is touched, and a note becomes a warning. [-]
MOST = 0.5
UNITS = {
    "spoilt_time": "s",
    "widened_time": "s",
    "energy_before_spoilt": "J",
    "axis_reached": "s",
    "shock_arrival": "s",
    "waiting_time": "s",
    "flush_volume": "m^3",
}


@lru_cache(maxsize=8)
def heat(stages: Stages) -> HeatStage:
    """Heat of this shot, computed once."""
    return heat_stage(stages)


@lru_cache(maxsize=8)
def after(stages: Stages) -> HeatAfter:
    """What this shot leaves behind."""
    return heat_after(stages.inputs.machine, heat(stages))


def summary_rows(stages: Stages) -> dict[str, Value]:
    """When heat spoils the pulse, and how long the next shot has to wait."""
    if not stages.trigger.fires:
        return {key: Value(None, unit, reason="it does not fire") for key, unit in UNITS.items()}
    found, left = heat(stages), after(stages)
    lases = stages.gain.wavelength is not None
    even = f"the wavefront stays within {found.limit:.3g} waves rms"
    narrow = "rays stay within the divergence at most"
    return {
        "spoilt_time": Value(found.spoilt_time, "s", reason="" if found.spoilt_time is not None else even),
        "widened_time": Value(found.widened_time, "s", reason="" if found.widened_time is not None else narrow),
        "energy_before_spoilt": Value(
            found.energy_before_spoilt if lases else None, "J", reason="" if lases else "nothing comes out"
        ),
        "axis_reached": Value(found.axis_reached, "s"),
        "shock_arrival": Value(
            found.push_arrival, "s", reason="" if found.push_arrival is not None else _no_push(stages)
        ),
        "waiting_time": Value(left.waiting_time, "s", reason="" if left.waiting_time is not None else "fresh fill"),
        "flush_volume": Value(left.flush_volume, "m^3"),
    }


def _no_push(stages: Stages) -> str:
    if any(lamp.shape == "coaxial" for lamp in stages.inputs.machine.lamps.values()):
        return "the lamp does not push on the cell"
    return "modelled of coaxial lamps only"


def arrays(stages: Stages) -> dict[str, Array]:
    """Index against time and radius, and what it does to the wavefront in one pass."""
    found = heat(stages)
    return {
        "heat_time": Array(found.heat_time, "s", ("heat_time",)),
        "heat_radius": Array(found.heat_radius, "m", ("heat_radius",)),
        "index_change": Array(found.index_change, "-", ("heat_time", "heat_radius")),
        "wavefront_error": Array(found.errors.rms, "-", ("heat_time",)),
        "wavefront_rest": Array(found.errors.rest, "-", ("heat_time",)),
    }


def budget(stages: Stages) -> dict[str, float]:
    """Where the pump energy that the dye took up went, in J; it adds up to `absorbed`."""
    return dict(heat(stages).budget)


def heat_findings(stages: Stages) -> Iterator[Finding]:
    """Where heat, sound, the next shot or a coolant of another temperature spoil the beam."""
    if not stages.trigger.fires:
        return
    found, left = heat(stages), after(stages)
    if stages.gain.wavelength is not None and stages.gain.output_energy > 0:
        yield from _spoilt(stages, found)
    yield from _next_shot(stages, left)
    yield from _tension(stages, found)
    if left.mismatch_waves > found.limit:
        warmer = "warmer" if left.mismatch > 0 else "colder"
        yield Finding(
            "warning",
            "chamber.coolant_temperature",
            f"the coolant is {abs(left.mismatch):.2g} K {warmer} than the dye: the layer at the wall makes "
            f"{left.mismatch_waves:.2g} waves rms, {left.waves_per_tenth:.2g} for each 0.1 K",
            f"{found.limit:.3g} waves rms, that is {0.1 * found.limit / left.waves_per_tenth:.1g} K",
            "Cool dye and lamps from one bath, or flow the dye faster",
        )


def _spoilt(stages: Stages, found: HeatStage) -> Iterator[Finding]:
    output = stages.gain.output_energy
    late = _part_after(stages, found.widened_time)
    if found.widened_time is not None and late > TOLD:
        yield Finding(
            "warning" if late > MOST else "note",
            "cell.bore",
            f"from {show('time', found.widened_time)} on the heat of the pump bends rays by more than half of "
            f"{show('divergence_high', stages.beam.divergence_high)}, the divergence of bore over length; "
            f"{_percent(late)} of the output comes after that, in a beam that grows wider",
            "Its energy is computed without that; what grows is the spot at a focus",
            "Where the spot matters: pump more evenly, shorten the pulse, or take a solvent whose index changes less",
        )
    elif found.spoilt_time is not None and found.energy_before_spoilt < (1 - TOLD) * output:
        yield Finding(
            "note",
            "cell.bore",
            f"from {show('time', found.spoilt_time)} on the wavefront is off by more than {found.limit:.2g} waves rms "
            f"in a pass; {show('output_energy', found.energy_before_spoilt)} of {show('output_energy', output)} come "
            "before",
            "1/14 wave: diffraction-limited (Marechal)",
            "It matters where the beam has to be better than bore over length",
        )
    pushed = _part_after(stages, found.push_arrival)
    if found.push_arrival is not None and pushed > TOLD:
        wide = found.widened_time is not None
        yield Finding(
            "warning" if wide else "note",
            "lamps",
            f"pressure of the coaxial lamp, up to {found.peak_push / 1e5:.2g} bar, reaches the dye through its tube at "
            f"{show('time', found.push_arrival)}; {_percent(pushed)} of the output comes after that",
            "The outermost dye is disturbed at once, the axis after the time that sound takes to it"
            + ("" if wide else "; the rays stay within the divergence of bore over length"),
            "Where the wavefront matters: a thicker inner tube, a lower charge voltage, or a faster pulse",
        )


def _percent(part: float) -> str:
    """A part in per cent, whole where it is more than a few."""
    return f"{100 * part:.0f} %" if part > 0.0995 else f"{100 * part:.2g} %"


def _tension(stages: Stages, found: HeatStage) -> Iterator[Finding]:
    """Where sound pulls on the dye by more than the air over it holds."""
    room = room_pressure(stages)
    vapour = liquid(stages.inputs.machine).vapour_pressure
    if room + found.lowest_pressure >= vapour:
        return
    yield Finding(
        "note",
        "cell.bore",
        f"sound pulls the pressure in the dye down to {(room + found.lowest_pressure) / 1e5:.2g} bar, below the "
        f"{vapour / 1e5:.2g} bar of its vapour; it was pressed up to {(room + found.highest_pressure) / 1e5:.2g} bar",
        "A liquid full of gas or dust may tear there; a clean one stands tens of bar for microseconds (from memory)",
        "Bubbles that linger after the shot would show it; they are not modelled",
    )


def room_pressure(stages: Stages) -> float:
    """Pressure of the room, in Pa."""
    return SEA_LEVEL * math.exp(-stages.inputs.machine.room.altitude / SCALE_HEIGHT)


def _part_after(stages: Stages, moment: float | None) -> float:
    if moment is None:
        return 0.0
    gain = stages.gain
    return 1.0 - energy_until(gain.record.time, gain.output_power, moment) / gain.output_energy


def _next_shot(stages: Stages, left: HeatAfter) -> Iterator[Finding]:
    """The repeat period against what the dye needs to become even again."""
    machine = stages.inputs.machine
    period = machine.charger.repeat_period
    if left.how == "fill" and left.passes is not None and left.passes < left.volumes:
        yield Finding(
            "note",
            "loops",
            f"a fresh fill of {left.passes:.2g} cell volumes leaves part of the warm dye in the cell",
            f"{left.volumes:.2g} cell volumes, {show('flush_volume', left.flush_volume)}, where it mixes well",
            "Renew more for each shot",
        )
    if period is None or left.waiting_time is None or left.waiting_time <= period:
        return
    step = "Wait longer between shots"
    if left.how == "flow":
        step += f", or flow {60e3 * left.flush_volume / period:.2g} L/min"
    else:
        step += ", or let the dye flow"
    yield Finding(
        "warning",
        "charger.repeat_period",
        f"the next shot comes after {show('repeat_period', period)}, while the dye needs "
        f"{show('waiting_time', left.waiting_time)} to become even again (by {left.how})",
        f"At least {show('waiting_time', left.waiting_time)}",
        step,
    )
