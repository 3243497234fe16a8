"""Figures of one discharge and its light, as the maps and the sizing tell them; and what they need of a build."""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Iterator, Mapping, Sequence
from concurrent.futures import FIRST_COMPLETED, Future, ThreadPoolExecutor, wait
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from pulsewright import machine as machines
from pulsewright import units
from pulsewright.engine.chain import Chain
from pulsewright.engine.electric import DischargeStage, LightStage, took_off
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.stress import LampLoad, bank_load, lamp_loads
from pulsewright.engine.trigger import DOES_NOT_FIRE, FIRES, TriggerStage
from pulsewright.errors import BuildError, Finding, NotModelledError
from pulsewright.quantities import QUANTITIES, show

Float = NDArray[np.float64]
Progress = Callable[[int, int], None]
Given = TypeVar("Given")
Found = TypeVar("Found")

#: The band that is called useful light: what published radiated fractions of lamps refer to. [m]
USEFUL_BAND = (0.2e-6, 1.0e-6)
#: More threads than this only wait for each other: a point is compiled code to a third or so.
MOST_THREADS = 4
#: Sections of a build that neither the discharge nor the light reads.
NOT_READ = ("chamber", "cell", "dye", "loops", "resonator", "optics", "target", "room")

#: Figures of one shot, in the order in which they are shown.
FIGURES = (
    "stored_energy",
    "lamp_energy",
    "radiated_energy",
    "in_band_energy",
    "peak_current",
    "peak_current_density",
    "time_of_peak",
    "rise_time",
    "width_half",
    "width_third",
    "reversal",
    "voltage_reversal",
    "explosion_fraction",
    "wall_loading",
    "peak_temperature",
)

TAKES_OFF, DOES_NOT, NOT_FOLLOWED = "takes off", "does not", "not followed to the end"


@dataclass(frozen=True, slots=True)
class Pulse:
    """One discharge: figures by key, nan where there is none, the outcome, and the trigger's words where it says so."""

    figures: dict[str, float]
    outcome: str
    words: str = ""
    next_step: str = ""


def refuse_unmodelled_discharge(build: machines.Build) -> None:
    """Raise for every choice that stands in the way of discharge and light; chamber, dye and mirrors do not matter."""
    found = (finding for finding in machines.not_modelled(build) if finding.grade == "error")
    refused = [finding for finding in found if not _beyond_the_light(build, finding)]
    if refused:
        raise NotModelledError(*refused)


def _beyond_the_light(build: machines.Build, finding: Finding) -> bool:
    """Whether a refusal is of what neither discharge nor light reads."""
    where = machines.address(finding.path)
    if where is None or where.section.name in NOT_READ:
        return True
    # a shape that is computed, refused for the chamber that it would stand in
    entry = build.entries.get(finding.path)
    return where.field.key == "shape" and entry is not None and entry.value in where.field.modelled


def pulse_of(inputs: Inputs, chain: Chain) -> Pulse:
    """Figures of the discharge and the light of one shot."""
    trigger, discharge, light = chain.electric(inputs)
    figures = pulse_figures(inputs, trigger, discharge, light)
    if trigger.outcome == DOES_NOT_FIRE:
        figures = {key: value if key == "stored_energy" else np.nan for key, value in figures.items()}
    if trigger.outcome != FIRES:
        return Pulse(figures, trigger.outcome, trigger.words, trigger.next_step)
    if not took_off(inputs, discharge.record):
        return Pulse(figures, DOES_NOT)
    cut = discharge.record.outcome in ("step limit", "not a number")
    return Pulse(figures, NOT_FOLLOWED if cut else TAKES_OFF)


def pulse_figures(
    inputs: Inputs, trigger: TriggerStage, discharge: DischargeStage, light: LightStage
) -> dict[str, float]:
    """The figures of `FIGURES`."""
    record = discharge.record
    current = np.abs(record.current)
    peak = int(np.argmax(current))
    loads = lamp_loads(inputs, trigger, discharge, light)
    values = (
        discharge.stored_energy,
        record.energies["lamp column"],
        record.radiated_energy,
        in_band(light),
        discharge.peak_current,
        max(discharge.peak_current_density),
        float(record.time[peak]),
        rise(record.time, current),
        width(record.time, current, 0.5),
        width(record.time, current, 1 / 3),
        record.reversal,
        bank_load(inputs, discharge).voltage_reversal,
        explosion_part(loads),
        max(load.wall_loading for load in loads),
        float(np.max(record.temperature)),
    )
    return dict(zip(FIGURES, values, strict=True))


def in_band(light: LightStage) -> float:
    """Energy behind the envelopes inside the useful band, in J; a band that is cut counts in part."""
    low, high = light.wavelength - light.width / 2, light.wavelength + light.width / 2
    inside = np.clip(np.minimum(high, USEFUL_BAND[1]) - np.maximum(low, USEFUL_BAND[0]), 0.0, None)
    return float(np.sum(light.spectrum * inside))


def explosion_part(loads: Sequence[LampLoad]) -> float:
    """Largest lamp energy over the lowest published explosion energy of that lamp; nan where no law applies."""
    parts = [load.energy / load.explosion.lowest for load in loads if load.explosion is not None]
    return max(parts, default=np.nan)


def crossing(time: Float, values: Float, level: float, index: int) -> float:
    """Time between two samples, `index` and the one after it, at which a level is passed."""
    first, second = values[index], values[index + 1]
    part = 0.0 if second == first else (level - first) / (second - first)
    return float(time[index] + part * (time[index + 1] - time[index]))


def rises_to(time: Float, values: Float, part: float) -> float:
    """Time at which values first reach a part of their highest; nan when there is none."""
    level = part * values.max()
    above = np.flatnonzero(values >= level)
    if level <= 0 or len(above) == 0:
        return np.nan
    return float(time[0]) if above[0] == 0 else crossing(time, values, level, int(above[0]) - 1)


def rise(time: Float, values: Float) -> float:
    """Rise from 10 to 90 % of the highest value."""
    return rises_to(time, values, 0.9) - rises_to(time, values, 0.1)


def width(time: Float, values: Float, part: float) -> float:
    """Width at a part of the highest value, of the stretch that holds it; to the end where it does not fall so far."""
    level, peak = part * values.max(), int(np.argmax(values))
    if level <= 0:
        return np.nan
    under = np.flatnonzero(values[peak:] < level)
    end = float(time[-1]) if len(under) == 0 else crossing(time, values, level, peak + int(under[0]) - 1)
    before = np.flatnonzero(values[: peak + 1] < level)
    begin = float(time[0]) if len(before) == 0 else crossing(time, values, level, int(before[-1]))
    return end - begin


# Many points -----------------------------------------------------------------------------------


def threads() -> int:
    """Threads to compute with: one a core, as far as the compiled part of a point can keep them busy."""
    return min(os.cpu_count() or 1, MOST_THREADS)


def computed(
    points: Sequence[Given], work: Callable[[Given], Found], progress: Progress | None = None, chunk: int = 16
) -> list[Found]:
    """`work` of every point, in order; on all cores, since the compiled hearts give up the interpreter's lock.

    The first point is computed alone: it fills what the others share. `progress` is called in this thread with (done,
    total) and may raise to stop the work.
    """
    tell = progress or _silent
    if not points:
        return []
    found: list[Found] = [work(points[0])]
    tell(1, len(points))
    pieces = [points[begin : begin + chunk] for begin in range(1, len(points), chunk)]
    with ThreadPoolExecutor(threads()) as pool:
        running = {pool.submit(_piece, work, piece): i for i, piece in enumerate(pieces)}
        try:
            done = _gathered(running, len(points), tell)
        except BaseException:
            pool.shutdown(wait=True, cancel_futures=True)
            raise
    for i in range(len(pieces)):
        found += done[i]
    return found


def _piece(work: Callable[[Given], Found], points: Sequence[Given]) -> list[Found]:
    return [work(point) for point in points]


def _gathered(running: dict[Future[list[Found]], int], total: int, tell: Progress) -> dict[int, list[Found]]:
    done: dict[int, list[Found]] = {}
    waiting, finished = set(running), 1
    while waiting:
        ready, waiting = wait(waiting, return_when=FIRST_COMPLETED)
        for future in ready:
            done[running[future]] = future.result()
            finished += len(done[running[future]])
        tell(finished, total)
    return done


def _silent(_done: int, _total: int) -> None:
    """Progress that nobody follows."""


# Entries that are varied -----------------------------------------------------------------------


def paths_of(build: machines.Build, path: str) -> tuple[str, ...]:
    """The entries that a path means: `lamps.*.bore` is the bore of every lamp."""
    section, star, key = path.partition(".*.")
    if not star:
        return (path,)
    parts = getattr(build.machine, section, None)
    if not isinstance(parts, Mapping) or not parts:
        return (path,)
    return tuple(f"{section}.{part}.{key}" for part in parts)


def varied(inputs: Inputs, build: machines.Build, path: str, value: float) -> Inputs:
    """The same shot with one path, or the same key of every part, set."""
    for one in paths_of(build, path):
        inputs = inputs.varied(one, value)
    return inputs


def _spelled(key: str, value: float, unit: str) -> str:
    """A value as a person writes it, where that is the same number."""
    short = show(key, value) if key in QUANTITIES and math.isfinite(value) else ""
    if short and math.isclose(units.parse(short, unit or "-"), value, rel_tol=1e-12):
        return short
    return f"{value!r} {unit}".replace(" -", "").strip()


def check_values(build: machines.Build, path: str, values: Float, most: int) -> None:
    """Refuse an axis that is empty, too long, or leaves what the entry may be.

    Raises
    ------
    BuildError
        With every fault.
    """
    if not 1 <= values.size <= most:
        allowed, step = f"1 to {most} values", "Take fewer values"
        raise BuildError(Finding("error", path, f"an axis of {values.size} values", allowed, step))
    faults = list(_axis_faults(build, path, values))
    if faults:
        raise BuildError(*faults)


def _axis_faults(build: machines.Build, path: str, values: Float) -> Iterator[Finding]:
    for one in paths_of(build, path):
        entry = build.entries.get(one)
        where = machines.address(one)
        unit = where.field.unit if where is not None else ""
        if entry is not None and where is not None and where.field.kind != "number":
            allowed, step = "An entry that is a number with a unit", "Choose another entry for this axis"
            yield Finding("error", one, f"{where.field.kind} entries cannot be an axis", allowed, step)
            continue
        for value in {float(values.min()), float(values.max())}:
            try:
                build.override({one: _spelled(where.field.key if where else "", value, unit)})
            except BuildError as fault:
                yield from fault.findings
