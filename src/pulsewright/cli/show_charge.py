"""How a study of charge and dump is printed."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from pulsewright import units
from pulsewright.cli import text
from pulsewright.cli.text import Column
from pulsewright.quantities import QUANTITIES, show

NEVER = (
    "Every voltage and time here is computed for whole, connected parts. None is a proof: dump, measure, short and "
    "ground, and leave the short on."
)
_GROUPS = {
    "charge": "Charge",
    "wall": "From the wall",
    "meter": "Divider and meter",
    "bleeder": "Bleeder",
    "dump": "Dump",
    "earth": "Earth leads",
    "shot": "After the shot",
}


def page(found: Any) -> str:
    """Timeline, figures, rules, bodies, margins, findings and cautions."""
    start = found.start
    title = f"Charge and dump of {start['bench']} at {show('charge_voltage', start['charge_voltage'])}"
    parts = [text.strong(title), text.wrap(NEVER), text.heading("Timeline"), _events(found)]
    for group, heading in _GROUPS.items():
        rows = [row for row in found.figures if row.group == group]
        if rows:
            parts += [text.heading(heading), *_figures(rows)]
    parts += [text.heading("What rules ask, from the most that the charger reaches"), *_rules(found)]
    parts += [text.heading("Bodies that take one such dump (bulk ceramic-carbon)"), _bodies(found)]
    parts += [text.heading("Margins"), *_margins(found)]
    if found.findings:
        parts += [text.heading("Findings"), text.findings(found.findings)]
    parts += [text.heading("Cautions"), *_cautions(found)]
    parts.append("\n" + text.wrap("Lists to work by: --lists. Local codes and licensed practice decide."))
    return "\n".join(parts)


def lists(found: Any) -> str:
    """Checklists, earthing plan and acceptance tests."""
    parts = [text.wrap(NEVER)]
    for row in found.checklists:
        parts.append(text.heading(row.title))
        if row.lead:
            parts.append(text.wrap(row.lead))
        parts += [text.wrap(item, first="  [ ] ") for item in row.items]
    for row in found.acceptance:
        parts += [text.heading(row.title), text.wrap(row.caution)]
        parts += [text.wrap(str(step), first="  [ ] ") for step in row.steps]
    parts.append("\n" + text.wrap("Steps and criteria: common practice, no source, unless one is named."))
    return "\n".join(parts)


def _events(found: Any) -> str:
    """Events in order; from the dump on, time counts from its start."""
    begun = next((row.time for row in found.events if row.way == "dump"), None)
    rows = []
    for row in found.events:
        after = begun is not None and row.time > begun and row.way in ("dump", "bleeder")
        time = f"+ {units.format(row.time - (begun or 0.0), 's')}" if after else units.format(row.time, "s")
        rows.append((time, show("voltage", row.voltage), show("energy", row.energy), row.words))
    columns = (
        Column("time", "right"),
        Column("voltage", "right"),
        Column("energy", "right"),
        Column("", flexible=True),
    )
    return text.table(columns, rows)


def _state(row: Any) -> str:
    return "never reached" if row.source == "never reached" else "not known"


def _shown(row: Any, value: float) -> str:
    return show(row.quantity, value) if row.quantity in QUANTITIES else units.format(value, row.unit)


def _figures(rows: list[Any]) -> Iterator[str]:
    """A table; what is not known and why stands below it, each next step once."""
    told = []
    for row in rows:
        if row.value is not None:
            band = "" if row.low is None else text.span(_shown(row, row.low), _shown(row, row.high))
            limit = "" if row.limit is None else f"limit {_shown(row, row.limit)}"
            told.append((row.words, _shown(row, row.value), band, limit))
    if told:
        yield text.table(
            (Column("", flexible=True), Column("value", "right"), Column("90 %", "right"), Column("")), told
        )
    for alike in text.gathered((row for row in rows if row.value is None), lambda row: (_state(row), row.next_step)):
        names = "; ".join(row.words for row in alike)
        yield text.wrap(text.sentences(f"{_state(alike[0])}: {names}", alike[0].next_step), first="  ")


def _rules(found: Any) -> Iterator[str]:
    for row in found.rules:
        kept = {True: "kept", False: "not kept", None: "not judged, nothing drains the bank"}[row.kept]
        state = kept if row.applies else "does not apply"
        yield text.wrap(f"{row.rule}: {row.asks}. Here {row.found}: {state} ({row.words}).", first="  ", rest="    ")
    yield text.wrap("Each is a minimum for a product; none is a rule for access.", first="  ")


def _bodies(found: Any) -> str:
    rows = [
        (
            row.words,
            show("energy_rating", row.energy_rating),
            str(row.needed),
            show("temperature_rise", row.temperature_rise),
            "" if row.cooling_time is None else units.format(row.cooling_time, "s"),
        )
        for row in found.ratings
    ]
    columns = (
        Column("body", flexible=True),
        Column("takes", "right"),
        Column("needed", "right"),
        Column("warmer by", "right"),
        Column("cold after", "right"),
    )
    return text.table(columns, rows)


def _margins(found: Any) -> Iterator[str]:
    rows = [
        (
            row.item,
            row.stress,
            f"{row.ratio:.3g}",
            units.format(row.stress_value, row.unit),
            units.format(row.limit, row.unit),
        )
        for row in sorted(found.margins, key=lambda row: -row.ratio)
    ]
    if rows:
        columns = (Column("item"), Column("stress", flexible=True), Column("ratio", "right"), Column("", "right"))
        yield text.table((*columns, Column("limit", "right")), rows)
    for row in found.not_judged:
        yield text.wrap(
            text.sentences(f"not judged: {row.item}, {row.stress}: {row.reason}", row.next_step), first="  "
        )


def _cautions(found: Any) -> Iterator[str]:
    for row in found.cautions:
        yield text.wrap(f"{row.words} {row.do}", first="  ")
