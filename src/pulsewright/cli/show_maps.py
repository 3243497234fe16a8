"""Maps in words and tables, and as CSV."""

from __future__ import annotations

import difflib
import io
import math
from collections.abc import Iterable

import numpy as np
from numpy.typing import NDArray

from pulsewright.cli import text
from pulsewright.cli.text import Column
from pulsewright.errors import Finding, PulsewrightError
from pulsewright.quantities import QUANTITIES, show
from pulsewright.workbench.maps import BankMap, TakeOffMap

#: Rows printed of a map; CSV and JSON have every point.
ROWS = 24
#: Columns printed of a map of the bank.
PRINTED = ("peak_current", "rise_time", "width_half", "lamp_energy", "in_band_energy", "reversal", "explosion_fraction")
HEADS = {
    "bank.capacitance": "C",
    "bank.charge_voltage": "V",
    "loop.inductance": "L",
    "peak_current": "peak",
    "rise_time": "rise",
    "width_half": "width",
    "lamp_energy": "lamps",
    "in_band_energy": "band",
    "reversal": "rev.",
    "explosion_fraction": "expl.",
}
MARKS = {"takes off": " ", "hardly takes off": "~", "does not": "-"}
QUANTITIES_OF_TAKE_OFF = (
    "filling_time",
    "time_of_peak",
    "peak_current",
    "law_fraction",
    "half_current_delay",
    "light_rise_time",
    "unconverted_fraction",
)


def bank_page(found: BankMap) -> str:
    """A map of the bank as a table, one point a row, thinned where there are many."""
    rows = list(found.rows())
    every = -(-len(rows) // ROWS)
    shown = rows[::every]
    columns = [Column(HEADS.get(axis.path, axis.path), "right") for axis in found.axes]
    columns += [Column(HEADS[key], "right") for key in PRINTED]
    cells = []
    for place, figures, outcome in shown:
        axis_cells = [show(axis.key, value) for axis, value in zip(found.axes, place, strict=True)]
        if outcome == "takes off":
            cells.append([*axis_cells, *(_cell(key, figures[key]) for key in PRINTED)])
        else:
            cells.append([*axis_cells, outcome, *("" for _ in PRINTED[1:])])
    thinned = f", every {every}th printed; --csv and --json have all" if every > 1 else ""
    parts = [
        text.strong(f"{found.bench}: discharge and light at {text.counted(len(rows), 'point')}{thinned}"),
        "",
        text.table(columns, cells, indent=""),
        "",
        text.wrap(
            "peak, rise (10 to 90 %), width (half): current; lamps: energy into them; band: light of 0.2 to 1 um "
            "behind the envelopes; rev.: reversed current; expl.: of the lowest published explosion energy."
        ),
        _notes(found.notes, found.cautions),
    ]
    return "\n".join(parts)


def _cell(key: str, value: float) -> str:
    return "-" if not math.isfinite(value) else show(key, value)


def _notes(notes: Iterable[str], cautions: Iterable[str]) -> str:
    told = [text.wrap(note, first="- ") for note in notes]
    return "\n".join(["", *told, *(text.wrap(words, first="Caution: ", rest="  ") for words in cautions)])


def csv_of(found: BankMap) -> str:
    """Every point of a map, one a line, SI."""
    out = io.StringIO()
    heads = [f"{axis.path} [{axis.unit}]" for axis in found.axes]
    heads += [f"{key} [{QUANTITIES[key].unit}]" for key in found.values]
    out.write(",".join([*heads, "outcome"]) + "\n")
    for place, figures, outcome in found.rows():
        cells = [repr(value) if math.isfinite(value) else "" for value in (*place, *figures.values())]
        out.write(",".join([*cells, outcome]) + "\n")
    return out.getvalue()


def refuse_unknown_quantity(key: str) -> None:
    """Refuse a quantity that the take-off map does not have.

    Raises
    ------
    PulsewrightError
        With the nearest name.
    """
    if key in QUANTITIES_OF_TAKE_OFF:
        return
    near = difflib.get_close_matches(key, QUANTITIES_OF_TAKE_OFF, n=1, cutoff=0.4)
    step = f"Perhaps {near[0]} was meant" if near else "Choose one of these"
    allowed = f"One of {', '.join(QUANTITIES_OF_TAKE_OFF)}"
    raise PulsewrightError(Finding("error", "--show", f'the map has no "{key}"', allowed, step))


def take_off_page(found: TakeOffMap, wanted: str | None) -> str:
    """A take-off map as a table: fill pressure across, field or bore down, one quantity, the outcome as a mark."""
    key = wanted or ("law_fraction" if np.isfinite(found.values["law_fraction"]).any() else "filling_time")
    columns = [Column(_head(found.y.key), "right")]
    columns += [Column(_number(found.x.key, value), "right") for value in found.x.values]
    rows = [
        [
            _number(found.y.key, other),
            *(
                _marked(found.values[key][row, column], str(found.outcome[row, column]))
                for column in range(found.x.values.size)
            ),
        ]
        for row, other in enumerate(found.y.values)
    ]
    unit = _unit(key, found.values[key])
    rows = [[row[0], *(_scaled(cell, unit) for cell in row[1:])] for row in rows]
    quantity = QUANTITIES[key]
    title = f"{found.bench}: {quantity.words}{f' [{unit[0]}]' if unit[0] != '-' else ''}"
    here = f"{show('fill_pressure', found.here[0])} and {show(found.y.key, found.here[1])}"
    parts = [
        text.strong(title),
        f"fill pressure across [{QUANTITIES['fill_pressure'].display}]; this bench stands at {here}",
        "",
        text.table(columns, rows, indent=""),
        "",
        text.wrap(_legend(found, key)),
        *(text.finding(row) for row in found.findings),
        _notes(found.notes, found.cautions),
    ]
    return "\n".join(parts)


def _legend(found: TakeOffMap, key: str) -> str:
    """The signs that occur."""
    outcomes = {str(outcome) for outcome in found.outcome.ravel()}
    told = [f"{mark} {words}" for words, mark in MARKS.items() if words in outcomes and mark.strip()]
    told = [words.replace("does not", "does not take off") for words in told]
    told += [f"* {words}" for words in sorted(outcomes - set(MARKS))]
    if not np.isfinite(found.values[key]).all():
        told.append(". none or not known")
    return "; ".join(told) or "everywhere it takes off"


def _head(key: str) -> str:
    return f"{'field' if key == 'lamp_field' else key} [{QUANTITIES[key].display}]"


def _number(key: str, value: float) -> str:
    """A value in the display unit of its quantity, without the unit."""
    return text.split_unit(show(key, value))[0]


def _unit(key: str, values: NDArray[np.float64]) -> tuple[str, float]:
    """One unit for a whole table, and its size: that in which the middle value is shown."""
    known = values[np.isfinite(values) & (values != 0)]
    if not known.size:
        return "-", 1.0
    middle = float(np.sort(np.abs(known))[known.size // 2])
    shown, unit = text.split_unit(show(key, middle))
    return (unit or "-"), middle / float(shown)


def _marked(value: float, outcome: str) -> str:
    return f"{MARKS.get(outcome, '*')}{float(value)!r}"


def _scaled(cell: str, unit: tuple[str, float]) -> str:
    mark, value = cell[0], float(cell[1:])
    if not math.isfinite(value):
        return f"{mark}."
    return f"{mark.strip()}{value / _power(unit[1]):.3g}"


def _power(size: float) -> float:
    """The power of ten of a unit; of one that is no power of ten, its own size."""
    near = 10.0 ** round(math.log10(size))
    return near if abs(size / near - 1) < 0.02 else size
