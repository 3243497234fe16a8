"""Litres, grams and doses of a fill over many shots, each with its range and source."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any, Protocol

from pulsewright import machine as machines
from pulsewright import refdata
from pulsewright.engine.dye_of import dye_of
from pulsewright.machine.parts import DyeLoop, Machine
from pulsewright.physics.dye import fill
from pulsewright.studies.fill_course import (
    CLOSED,
    FED,
    FRESH,
    REGENERATED,
    STAGNANT,
    State,
    bed_part,
    cell_content,
    dye_used_per_shot,
    shot_volume,
)
from pulsewright.studies.fill_wear import Worn


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure with its range; `quantity` is the row of the nomenclature in whose digits it is shown."""

    key: str
    words: str
    value: float | None
    low: float | None
    high: float | None
    unit: str
    quantity: str
    source: str

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {key: getattr(self, key) for key in self.__dataclass_fields__}


@dataclass(frozen=True, slots=True)
class Settled:
    """State and output that a course keeps in the end, at the short, central and long end of life; None without one."""

    short: tuple[State, float] | None
    central: tuple[State, float] | None
    long: tuple[State, float] | None


class Changed(Protocol):
    """When a fill is changed: a part of the first shot's output, and the shots to it."""

    @property
    def fraction(self) -> float:
        """Part of the output."""

    @property
    def shots(self) -> float | None:
        """Shots at the centre."""

    @property
    def shots_low(self) -> float | None:
        """Shots at the short end."""

    @property
    def shots_high(self) -> float | None:
        """Shots at the long end."""


BALANCE, COMPUTED = "balance of the solution", "computed from this shot"


def figures(
    build: machines.Build, part: str, shots: int, found: Worn, at: Changed, settled: Settled
) -> tuple[Figure, ...]:
    """Every figure of a fill."""
    machine, loop = build.machine, build.machine.loops[part]
    return (
        *_of_a_shot(found),
        *_half(machine, found),
        *_renewal(machine, loop),
        *_in_the_end(settled),
        *_needed(machine, loop, shots, found, at),
    )


def _of_a_shot(found: Worn) -> Iterator[Figure]:
    wears = found.wears
    yield _plain("lamp_energy", "energy into the lamps in a shot", found.lamp_energy, "J", "lamp_energy", COMPUTED)
    yield _plain("volume", "solution that shares it", found.volume, "m^3", "volume", BALANCE)
    yield _plain("dose_per_shot", "lamp energy per volume and shot", found.dose, "J/m^3", "dose", BALANCE)
    absorbed = float(found.light.sum())
    yield _plain("absorbed", "light taken up by the dye in a shot", absorbed, "J", "absorbed_energy", COMPUTED)
    words = "part of that light below 400 nm"
    yield _plain("ultraviolet_part", words, found.ultraviolet_part, "-", "fraction", COMPUTED)
    bleached = [wears[end].bleached_per_shot for end in ("long", "central", "short")]
    words = "part of the dye that a shot destroys"
    yield Figure(
        "bleached_per_shot", words, bleached[1], bleached[0], bleached[2], "-", "bleached_fraction", _said(found)
    )
    made = [wears[end].products_per_shot for end in ("long", "central", "short")]
    words = "absorption by products that a shot makes"
    source = found.half_dose_source
    yield Figure("products_per_shot", words, made[1], made[0], made[2], "1/m", "product_absorption", source)


def _said(found: Worn) -> str:
    return f"{found.bleaching.source} [{found.bleaching.tag}]"


def _half(machine: Machine, found: Worn) -> Iterator[Figure]:
    short, central, long = found.half_dose
    words = "dose that halves the output"
    yield Figure("half_output_dose", words, central, short, long, "J/m^3", "half_output_dose", found.half_dose_source)
    here = None if found.half_absorption is None else -math.expm1(-found.half_absorption * machine.cell.length)
    words = "absorption over the cell that halves the output of this head"
    yield Figure("half_absorption", words, here, None, None, "-", "half_output_absorption", COMPUTED)
    rule = refdata.rule("half output absorption").value
    words = "the same in published heads"
    source = f"{rule.source} [{rule.tag}]"
    yield Figure("half_absorption_rule", words, rule.value, rule.low, rule.high, "-", "half_output_absorption", source)


def _renewal(machine: Machine, loop: DyeLoop) -> Iterator[Figure]:
    """What is renewed behind each shot."""
    volume = shot_volume(machine, loop)
    if volume > 0:
        given = "one cell, since no volume is given" if loop.volume_per_shot is None else "volume_per_shot"
        yield _plain("volume_per_shot", "renewed for each shot", volume, "m^3", "volume_per_shot", given)
    if loop.method == FRESH:
        cell = cell_content(machine)
        swept = float(fill.carried_over_fraction(volume, cell))
        mixed = float(fill.carried_over_fraction(volume, cell, "well mixed"))
        words = "old solution left in the cell"
        yield Figure("carried_over", words, swept, swept, mixed, "-", "fraction", "swept from end to end; well mixed")
        if loop.volume is not None:
            words = "shots from the solution that is made ready"
            yield _plain("shots_of_supply", words, math.floor(loop.volume / volume), "-", "shots", BALANCE)
    if loop.method == REGENERATED:
        words = "part of the products that the bed takes out between shots"
        part = bed_part(machine, loop, "products")
        yield _plain("bed_products", words, part, "-", "fraction", "a bed that stays as it was measured")
        words = "part of the dye that it takes out"
        yield _plain("bed_dye", words, bed_part(machine, loop, "dye"), "-", "fraction", "the same")


def _in_the_end(settled: Settled) -> Iterator[Figure]:
    """State and output that the fill settles at."""
    if settled.central is None:
        return
    ends = [one for one in (settled.short, settled.central, settled.long) if one is not None]
    state, output = settled.central
    rows = (
        ("settled_dye", "dye left in the end", state.dye_left, [s.dye_left for s, _ in ends], "-", "dye_left"),
        (
            "settled_products",
            "absorption by products in the end",
            state.product_absorption,
            [s.product_absorption for s, _ in ends],
            "1/m",
            "product_absorption",
        ),
        ("settled_output", "output in the end", output, [energy for _, energy in ends], "J", "output_energy"),
    )
    for key, words, value, span, unit, quantity in rows:
        yield Figure(key, words, value, min(span), max(span), unit, quantity, "balance of wear and renewal")


# For so many shots -----------------------------------------------------------------------------


def _needed(machine: Machine, loop: DyeLoop, shots: int, found: Worn, at: Changed) -> Iterator[Figure]:
    """Solution and dye for the shots asked for."""
    volumes = _solution(machine, loop, shots, found, at)
    words = f"solution for {shots} shots"
    how = _how(loop, at)
    yield Figure("solution", words, *_ordered(volumes), "m^3", "volume", how)
    mass = float(dye_of(machine).molar_mass) * machine.dye.concentration
    grams = _dye(machine, loop, shots, found, volumes)
    yield Figure("dye_mass", f"dye for {shots} shots", *_ordered([mass * one for one in grams]), "kg", "dye_mass", how)
    if volumes[1] > 0:
        spent = [found.lamp_energy * shots / one for one in volumes]
        words = "lamp energy per volume of that solution"
        yield Figure("dose", words, *_ordered(spent), "J/m^3", "dose", BALANCE)


def _how(loop: DyeLoop, at: Changed) -> str:
    if loop.method in (CLOSED, STAGNANT):
        return f"changed each time the output has fallen to {100 * at.fraction:.3g} %"
    return {
        FED: "first fill and what is fed",
        FRESH: "what is let through",
        REGENERATED: "one fill; dye metered back for what bed and light take",
    }[loop.method]


def _solution(machine: Machine, loop: DyeLoop, shots: int, found: Worn, at: Changed) -> list[float]:
    """Volumes at the short, central and long end, in m^3."""
    if loop.method == FED:
        return [found.volume + shots * shot_volume(machine, loop)] * 3
    if loop.method == FRESH:
        return [shots * shot_volume(machine, loop)] * 3
    if loop.method == REGENERATED:
        return [found.volume] * 3
    return [found.volume * _fills(shots, one) for one in (at.shots_low, at.shots, at.shots_high)]


def _fills(shots: int, lasting: float | None) -> int:
    """How often a fill is made; at most once a shot."""
    if lasting is None:
        return 1
    return math.ceil(shots / max(math.floor(lasting), 1))


def _dye(machine: Machine, loop: DyeLoop, shots: int, found: Worn, volumes: list[float]) -> list[float]:
    """Volumes of new solution that hold the dye used: more than the solution where dye is metered back."""
    if loop.method != REGENERATED:
        return volumes
    wears = [found.wears[end].bleached_per_shot for end in ("short", "central", "long")]
    return [found.volume * (1.0 + shots * dye_used_per_shot(machine, loop, lost)) for lost in wears]


def _ordered(ends: list[float]) -> tuple[float, float, float]:
    """Central, lowest and highest of short, central and long."""
    return ends[1], min(ends), max(ends)


def _plain(key: str, words: str, value: float, unit: str, quantity: str, source: str) -> Figure:
    return Figure(key, words, value, None, None, unit, quantity, source)
