"""A sizing in words and tables: each candidate with the rule and the plasma side by side."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from pulsewright.cli import text
from pulsewright.cli.text import Column
from pulsewright.quantities import show
from pulsewright.workbench.sizing import Candidate, Judged, Sizing

WORDS = {
    "lamp_energy": "energy into the lamps",
    "peak_current": "peak current",
    "peak_current_density": "peak current density",
    "rise_time": "rise, 10 to 90 %",
    "width_half": "width at half the peak",
    "width_third": "width at a third",
    "reversal": "reversed current",
    "voltage_reversal": "reversed bank voltage",
    "explosion_fraction": "part of explosion energy",
}


def page(found: Sizing) -> str:
    """The whole sizing."""
    wish = found.wish
    title = f"Banks for {show('lamp_energy', wish.energy)} into the lamps in {show('width_half', wish.pulse_length)}"
    counts = f"{text.counted(found.considered, 'combination')} looked at, {found.inside} inside every limit"
    parts = [text.strong(title), text.wrap(f"pulse length: {definition(found)}; {counts} by the rule")]
    if found.findings:
        parts += ["", text.findings(found.findings)]
    for candidate in found.candidates:
        parts += ["", *_candidate(candidate)]
    parts += ["", text.wrap(f"Order: {found.score}")]
    parts += [text.wrap(note, first="- ") for note in found.notes]
    parts += [text.wrap(caution, first="Caution: ", rest="  ") for caution in found.cautions]
    return "\n".join(parts)


def definition(found: Sizing) -> str:
    """What the pulse length means, in words."""
    words = {
        "time scale": "sqrt(L C)",
        "three time scales": "three sqrt(L C)",
        "tenth maximum": "width at a tenth of the peak",
        "third maximum": "width at a third of the peak",
        "half maximum": "width at half the peak",
    }
    return words[found.definition]


def _candidate(one: Candidate) -> Iterator[str]:
    yield text.wrap(one.words, first=f"{one.number}. ")
    circuit = one.circuit
    inductance = f"L {show('inductance', circuit.inductance)}"
    if circuit.section_inductance is not None:
        inductance = f"L {show('section_inductance', circuit.section_inductance)} a section"
    name = "match" if one.sections else "alpha"
    settings = [
        f"C {show('capacitance', circuit.capacitance)}",
        inductance,
        f"V {show('charge_voltage', circuit.charge_voltage)}",
        f"{name} {circuit.damping:.2f}",
    ]
    yield text.wrap("; ".join(settings), first="   ")
    if one.tie:
        yield text.wrap(one.tie, first="   ")
    yield ""
    yield _figures(one)
    yield ""
    yield from (text.wrap(line, first="   ") for line in _told(one))


def _figures(one: Candidate) -> str:
    rule, plasma = one.circuit.figures, one.plasma
    columns = [Column(""), Column("rule", "right"), Column("plasma", "right")]
    rows = [[words, _cell(rule, key), _cell(plasma, key)] for key, words in WORDS.items()]
    return text.table(columns, rows, indent="   ")


def _cell(figures: Mapping[str, float], key: str) -> str:
    value = figures.get(key, math.nan)
    return show(key, value) if math.isfinite(value) else "-"


def _told(one: Candidate) -> Iterator[str]:
    low, high = (show("explosion_energy", float(value)) for value in (one.explosion.lowest, one.explosion.highest))
    extrapolated = ", an extrapolation for so short a pulse" if one.life_extrapolated else ""
    lowest = f"lowest with t as {one.explosion_definition}"
    yield f"lamp: explosion at {text.span(low, high)}, {lowest}; {_shots(one.life)} shots by the formula{extrapolated}"
    if one.capacitor_life is not None:
        yield f"capacitors: {_shots(one.capacitor_life)} shots by the published forms"
    yield f"margins: {'; '.join(_margin(row) for row in one.judged)}"
    yield from (f"misses: {miss}" for miss in one.misses)
    plasma = [f"{one.outcome}{f': {one.trigger_words}' if one.trigger_words else ''}", one.start.words]
    if one.plasma_charge_voltage is not None:
        plasma.append(f"the wanted energy at {show('charge_voltage', one.plasma_charge_voltage)}")
    yield f"plasma: {'; '.join(words for words in plasma if words)}"
    yield from one.remarks


def _margin(row: Judged) -> str:
    return f"{row.words} {row.text} ({row.allowed})"


def _shots(ends: tuple[float, float]) -> str:
    low, high = (show("lamp_life", value) for value in ends)
    return low if low == high else f"{low} to {high}"
