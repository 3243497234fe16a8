"""A sized dye in words and tables."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from pulsewright.cli import text
from pulsewright.cli.text import Column
from pulsewright.quantities import show
from pulsewright.workbench.sizing import DyeSizing, Place

#: Most columns of the map.
COLUMNS = 7


def page(found: DyeSizing) -> str:
    """The whole sizing."""
    title = f"{found.bench}: dye, coupler and bore at {show('charge_voltage', found.charge_voltage)}"
    parts = [text.strong(title), "", places(found)]
    if found.best.output_energy > 0:
        parts += ["", *_told(found)]
        parts += [text.heading(f"Output at a bore of {show('bore', found.best.bore)}"), table(found)]
        parts += [text.heading("Best of each bore"), bores(found)]
        parts += [text.heading("At the ends of what is known"), ends(found)]
    if found.findings:
        parts += [text.heading("Findings"), text.findings(found.findings)]
    parts += ["", *(text.wrap(note, first="- ") for note in found.notes)]
    parts += [text.wrap(words, first="Caution: ", rest="  ") for words in found.cautions]
    return "\n".join(parts)


def places(found: DyeSizing) -> str:
    """The bench as it is, the best, and the best inside the limits."""
    rows = [("as it is", found.here)]
    if found.best.output_energy > 0:
        rows.append(("best", found.best))
    if found.best_within is not None and found.best_within != found.best:
        rows.append(("inside the limits", found.best_within))
    columns = [Column(""), *(Column(word, "right") for word in ("dye", "coupler", "bore", "output", "limit", "even"))]
    return text.table(columns, [[name, *_cells(place)] for name, place in rows], indent="")


def _cells(place: Place) -> Iterator[str]:
    yield show("concentration", place.concentration)
    yield f"{place.reflectivity:.3g}"
    yield show("bore", place.bore)
    yield show("output_energy", place.output_energy)
    yield "-" if place.ratio is None else f"{place.ratio:.2f}"
    yield f"{place.evenness:.2f}"


def _told(found: DyeSizing) -> Iterator[str]:
    for part in sorted({row.part for row in found.flat}):
        rows = [row for row in found.flat if row.part == part]
        spans = []
        for row in rows:
            low, high = (show(row.entry, value) for value in (row.low, row.high))
            spans.append(f"{row.entry} {_open(low, row.low_open)} to {_open(high, row.high_open)}")
        yield text.wrap(f"within {100 * part:.0f} % of the best: {'; '.join(spans)}", first="  ")
    if found.threshold_voltage is None:
        yield text.wrap("threshold: it lases down to the lowest voltage looked at", first="  ")
    else:
        volts = show("threshold_voltage", found.threshold_voltage)
        yield text.wrap(f"threshold at {volts}; charged to {found.threshold_margin or 0.0:.2f} of it", first="  ")
    for margin in found.stops[:1]:
        yield text.wrap(
            f"what stops it first: {margin.item}, {margin.stress}, {margin.ratio:.2f} of its limit", first="  "
        )
    yield text.wrap("limit: highest stress of the optics over its limit; even: light at the axis over that at the wall")


def _open(value: str, is_open: bool) -> str:
    return f"{value} and beyond" if is_open else value


def table(found: DyeSizing) -> str:
    """Output over coupler (across) and concentration (down), at the best bore."""
    at = int(np.argmin(np.abs(found.bore - found.best.bore)))
    across = _chosen(found.reflectivity.size)
    columns = [Column("dye", "right"), *(Column(f"R {found.reflectivity[i]:.2f}", "right") for i in across)]
    rows = [
        [show("concentration", float(value)), *(_output(float(found.output_energy[at, row, i])) for i in across)]
        for row, value in enumerate(found.concentration)
    ]
    return text.table(columns, rows)


def _chosen(size: int) -> list[int]:
    return sorted({int(i) for i in np.rint(np.linspace(0, size - 1, min(size, COLUMNS)))})


def _output(energy: float) -> str:
    return "." if energy <= 0 else show("output_energy", energy)


def bores(found: DyeSizing) -> str:
    """The best place of each bore."""
    columns = [Column(word, "right") for word in ("dye", "coupler", "bore", "output", "limit", "even")]
    return text.table(columns, [list(_cells(place)) for place in found.best_of_bore])


def ends(found: DyeSizing) -> str:
    """The best again at each end of what dominates."""
    columns = [Column("what"), Column("end"), *(Column(word, "right") for word in ("dye", "coupler", "output", "kept"))]
    rows = []
    for row in found.ends:
        lases = row.kept is not None
        rows.append(
            [
                row.path.removeprefix("reference.dye.").removeprefix("resonator.").replace("_", " "),
                row.end,
                show("concentration", row.concentration) if lases else "-",
                f"{row.reflectivity:.3g}" if lases else "-",
                show("output_energy", row.output_energy),
                "nothing lases" if row.kept is None else f"{100 * row.kept:.0f} %",
            ]
        )
    told = "firm: the sized values stay near the best at every end that lases" if found.firm else "not firm"
    return text.table(columns, rows) + "\n" + text.wrap(told, first="  ")
