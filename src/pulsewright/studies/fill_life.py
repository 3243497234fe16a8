"""Life of the dye fill over many shots: its state, the output with it, when to change it, what it takes."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pulsewright import machine as machines
from pulsewright.engine.chain import Chain
from pulsewright.engine.inputs import inputs_of
from pulsewright.errors import BuildError, Finding, worst_first
from pulsewright.records import Array, Caution
from pulsewright.studies import fill_course, fill_words
from pulsewright.studies.fill_course import Course, State
from pulsewright.studies.fill_filter import FilterPrice, filter_price
from pulsewright.studies.fill_output import Outputs, along, ordered, sampled, shots_to
from pulsewright.studies.fill_use import Figure, Settled, figures
from pulsewright.studies.fill_wear import Worn, worn
from pulsewright.studies.pulse_figures import Progress
from pulsewright.studies.shot import refuse_unmodelled

Float = NDArray[np.float64]

MOST_SHOTS = 1_000_000_000
#: Parts of the first shot's output at which it is told when the fill reaches them.
TOLD = (0.9, 0.5)
#: The fill is counted as changed here when no other part is asked for.
CHANGED_AT = 0.5


@dataclass(frozen=True, slots=True)
class Change:
    """Shots until the output has fallen to a part of the first shot's: central, and at the ends of what is known.

    None: it never does; `reason` says why. `dose`: lamp energy per volume at the central number. [J/m^3]
    """

    fraction: float
    shots: float | None
    shots_low: float | None
    shots_high: float | None
    dose: float | None
    reason: str = ""

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {key: getattr(self, key) for key in self.__dataclass_fields__}


@dataclass(frozen=True, slots=True, eq=False)
class FillLife:
    """A fill over many shots. Arrays on the axis `shot_number`: output, dye left, absorption by products.

    Each array has `_low` and `_high`: the ends of what is known of bleaching and products, taken together.
    """

    bench: str
    loop: str
    method: str
    shots: int
    arrays: Mapping[str, Array]
    changes: tuple[Change, ...]
    figures: tuple[Figure, ...]
    filter: FilterPrice | None
    unknown: tuple[str, ...]
    findings: tuple[Finding, ...]
    computed: int
    notes: tuple[str, ...] = fill_words.NOTES
    cautions: tuple[Caution, ...] = fill_words.CAUTIONS

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {
            "kind": "fill life",
            "bench": self.bench,
            "loop": self.loop,
            "method": self.method,
            "shots": self.shots,
            "arrays": {name: array.as_dict() for name, array in self.arrays.items()},
            "changes": [row.as_dict() for row in self.changes],
            "figures": [row.as_dict() for row in self.figures],
            "filter": None if self.filter is None else self.filter.as_dict(),
            "unknown": list(self.unknown),
            "computed": self.computed,
            "findings": [row.as_dict() for row in self.findings],
            "notes": list(self.notes),
            "cautions": [row.as_dict() for row in self.cautions],
        }


def fill_life(
    build: machines.Build,
    chain: Chain | None = None,
    shots: int = 1000,
    fraction: float | None = None,
    loop: str | None = None,
    progress: Progress | None = None,
) -> FillLife:
    """Follow the fill of a build over many shots at its charge voltage.

    Parameters
    ----------
    build : Build
        With every layer applied. Its `dye.bleached_fraction` and `dye.product_absorption` say how old the fill is.
    chain : Chain, optional
        Keeps stages between shots.
    shots : int
        How many.
    fraction : float, optional
        Part of the first shot's output at which the fill is changed, beside 0.9 and 0.5. [-]
    loop : str, optional
        Id of the dye loop; the first when not given.
    progress : callable, optional
        Called with (done, total); may raise to stop the work.

    Raises
    ------
    BuildError
        If a number is out of range, there is no such loop, or what a way of renewal needs is missing.
    NotModelledError
        If the build asks for something in the shot that this version does not compute.
    """
    _refuse_numbers(shots, fraction)
    refuse_unmodelled(build)
    part = fill_course.chosen_loop(build, loop)
    fill_course.refuse_unknown(build.machine, part)
    base = inputs_of(build)
    outputs = Outputs(base, chain or Chain(), progress)
    stages = outputs.chain.run(base)
    found = worn(build, part, stages, outputs)
    machine, dye_loop = build.machine, build.machine.loops[part]
    courses = tuple(fill_course.course(machine, dye_loop, wear, end == "short") for end, wear in found.wears.items())
    numbers = sampled(shots)
    parts = sorted({*TOLD, *(() if fraction is None else (fraction,))}, reverse=True)
    changes = tuple(_change(one, courses, outputs, found) for one in parts)
    at = next(row for row in changes if row.fraction == (CHANGED_AT if fraction is None else fraction))
    arrays = _arrays(courses, outputs, numbers)
    settled = Settled(*(tuple(_settled(one, outputs) for one in courses)))
    told = figures(build, part, shots, found, at, settled)
    priced = filter_price(build, stages, outputs.chain)
    return FillLife(
        bench=build.name,
        loop=part,
        method=dye_loop.method,
        shots=shots,
        arrays=arrays,
        changes=changes,
        figures=told,
        filter=priced,
        unknown=tuple(fill_words.unknown(build, found)),
        findings=tuple(worst_first(dict.fromkeys(_findings(build, part, stages, found)))),
        computed=len(outputs.known),
    )


def _refuse_numbers(shots: int, fraction: float | None) -> None:
    if not 1 <= shots <= MOST_SHOTS:
        allowed = f"A whole number from 1 to {MOST_SHOTS}"
        raise BuildError(
            Finding("error", "--shots", f"{shots} shots cannot be followed", allowed, "Give another number")
        )
    if fraction is not None and not (math.isfinite(fraction) and 0.0 < fraction < 1.0):
        message = f"{fraction:g} is no part of the first shot's output at which a fill is changed"
        raise BuildError(Finding("error", "--fraction", message, "A number between 0 and 1", "Give for instance 0.8"))


def _arrays(courses: tuple[Course, ...], outputs: Outputs, numbers: Float) -> dict[str, Array]:
    axes = ("shot_number",)
    states = [[one.state(float(number) - 1.0) for number in numbers] for one in courses]
    several = {
        "output_energy": ("J", [along(one, outputs, numbers) for one in courses]),
        "dye_left": ("-", [np.array([state.dye_left for state in row]) for row in states]),
        "product_absorption": ("1/m", [np.array([state.product_absorption for state in row]) for row in states]),
    }
    arrays = {"shot_number": Array(numbers, "-", axes)}
    for name, (unit, curves) in several.items():
        low, central, high = ordered(curves)
        arrays[name] = Array(central, unit, axes)
        arrays[f"{name}_low"], arrays[f"{name}_high"] = Array(low, unit, axes), Array(high, unit, axes)
    return arrays


def _change(part: float, courses: tuple[Course, ...], outputs: Outputs, found: Worn) -> Change:
    first = outputs(courses[1].acting(0.0))
    if first <= 0.0:
        return Change(part, None, None, None, None, "the first shot does not lase, so there is no output to lose")
    ends = [shots_to(one, outputs, part * outputs(one.acting(0.0))) for one in courses]
    short, central, long = ends
    if central is None:
        words = "the output settles above it"
        if courses[1].settled() is None:
            words = "not within the shots that are followed"
        elif courses[1].dye_renewed == courses[1].products_renewed == 1.0:
            words = "what is in the cell is always new"
        return Change(part, None, short, long, None, words)
    return Change(part, central, short, long, central * found.dose)


def _settled(one: Course, outputs: Outputs) -> tuple[State, float] | None:
    """State and output in the end; None where there is no end."""
    found = one.settled()
    return None if found is None else (found[0], outputs(found[1]))


def _findings(build: machines.Build, part: str, stages: Any, found: Worn) -> Iterator[Finding]:
    near = ("loops", "dye")
    yield from (row for row in build.findings if row.path.split(".")[0] in near)
    yield from fill_course.loop_findings(build.machine, part)
    yield from fill_words.findings(build, stages, found)
