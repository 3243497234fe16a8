"""The life of a fill in words and tables."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from pulsewright.cli import text
from pulsewright.cli.text import Column
from pulsewright.quantities import show
from pulsewright.workbench.maps import Change, FillLife

#: Shots that are printed.
ROWS = 9


def page(found: FillLife) -> str:
    """The whole study."""
    title = f"{found.bench}: {found.method}, loop {found.loop}, {text.counted(found.shots, 'shot')}"
    parts = [text.strong(title), "", course(found)]
    parts += [text.heading("When to change the fill"), *(_change(row) for row in found.changes)]
    parts += [text.heading("Figures"), figures(found)]
    parts += [text.heading("Filter against ultraviolet"), text.wrap(_filter(found), first="  ")]
    parts += [text.heading("Not known, not modelled"), *(text.wrap(words, first="- ") for words in found.unknown)]
    if found.findings:
        parts += [text.heading("Findings"), text.findings(found.findings)]
    parts += ["", *(text.wrap(note, first="- ") for note in found.notes)]
    parts += [text.wrap(f"{row.words}. {row.do}.", first="Caution: ", rest="  ") for row in found.cautions]
    return "\n".join(parts)


def course(found: FillLife) -> str:
    """Output, dye and products at some shots, spaced in equal factors."""
    number = found.arrays["shot_number"].values
    wanted = np.geomspace(1.0, number[-1], min(ROWS, number.size))
    chosen = sorted({int(np.argmin(np.abs(number - one))) for one in wanted})
    columns = [Column("shot", "right"), Column("output", "right"), Column("range"), Column("dye lost", "right")]
    columns += [Column("range"), Column("products", "right")]
    return text.table(columns, [[f"{number[i]:.0f}", *_cells(found, i)] for i in chosen], indent="")


def _cells(found: FillLife, index: int) -> Iterator[str]:
    def at(name: str) -> float:
        return float(found.arrays[name].values[index])

    low, high = (show("output_energy", at(f"output_energy_{end}")) for end in ("low", "high"))
    yield from (show("output_energy", at("output_energy")), text.span(low, high))
    least, most = (show("bleached_fraction", 1.0 - at(f"dye_left_{end}")) for end in ("high", "low"))
    yield from (show("bleached_fraction", 1.0 - at("dye_left")), text.span(least, most))
    yield show("product_absorption", at("product_absorption"))


def _change(row: Change) -> str:
    told = f"to {100 * row.fraction:.3g} % of the first shot: "
    ends = ["never" if end is None else _number(end) for end in (row.shots_low, row.shots_high)]
    if row.shots is None and ends == ["never", "never"]:
        return text.wrap(f"{told}never; {row.reason}", first="  ")
    centre = f"never, {row.reason}" if row.shots is None else f"after {_number(row.shots)} shots"
    dose = "" if row.dose is None else f", {show('dose', row.dose)} of lamp energy"
    return text.wrap(f"{told}{centre} ({ends[0]} to {ends[1]}){dose}", first="  ")


def _number(shots: float) -> str:
    """A number of shots to three digits."""
    if shots < 1000:
        return f"{math.floor(shots)}"
    size = 10 ** (math.floor(math.log10(shots)) - 2)
    return f"{math.floor(shots / size) * size:,}".replace(",", " ")


def figures(found: FillLife) -> str:
    """Every figure with its range and source."""
    rows = []
    for row in found.figures:
        span = ""
        if row.low is not None and row.high is not None and row.high > row.low:
            span = text.span(show(row.quantity, row.low), show(row.quantity, row.high))
        rows.append([row.words, show(row.quantity, row.value), span])
    return text.table([Column("", flexible=True), Column("", "right"), Column("range")], rows)


def _filter(found: FillLife) -> str:
    price = found.filter
    if price is None:
        return "another filter stands in the chamber; its price is not computed"
    pump, light = price.absorbed_pump_energy, price.output_energy
    words = "without it and with it" if not price.present else "without it and with it, as it is now"
    return (
        f"{price.name}, {words}: {show('absorbed_energy', pump[0])} and {show('absorbed_energy', pump[1])} into the "
        f"dye, {show('output_energy', light[0])} and {show('output_energy', light[1])} out. Life gained: {price.life}."
    )


def csv_of(found: FillLife) -> str:
    """The curves, one shot a line, SI."""
    names = list(found.arrays)
    lines = [",".join(f"{name} [{found.arrays[name].unit}]" for name in names)]
    table = np.stack([found.arrays[name].values for name in names], axis=1)
    lines += [",".join(repr(float(value)) for value in row) for row in table]
    return "\n".join(lines) + "\n"
