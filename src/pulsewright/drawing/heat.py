"""A map over two axes: one cell a point, darker for more, its value written in it, marked where something is amiss.

Values stand in the cells, so that nothing is read off a shade; the same numbers stand in a table for a screen reader.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

from pulsewright.drawing.labels import text_width
from pulsewright.drawing.plot import three
from pulsewright.drawing.scene import Circle, Item, Line, Path, Scene, Text, rectangle

#: Steps of lightness; values stand in the cells as well.
SHADES = 6
CELL_HEIGHT, TOP, FOOT = 30.0, 30.0, 62.0


@dataclass(frozen=True, slots=True, eq=False)
class Heat:
    """A map before it has a size, in display units.

    Parameters
    ----------
    x_words, y_words : str
        Axis titles, unit included.
    x, y : sequence of float
        Places of the columns and rows.
    values : sequence of rows
        (Y, X); not finite where there is none.
    marks : sequence of rows
        (Y, X), a mark before the value; empty where nothing is amiss.
    legend : str
        What the marks mean.
    here : (x, y) or None
        Where the build stands.
    inside : sequence of rows
        (Y, X), whether a cell lies in the framed region; empty without one.
    """

    id: str
    title: str
    x_words: str
    y_words: str
    x: Sequence[float]
    y: Sequence[float]
    values: Sequence[Sequence[float]]
    marks: Sequence[Sequence[str]]
    legend: str = ""
    here: tuple[float, float] | None = None
    inside: Sequence[Sequence[bool]] = ()


def heat_scene(heat: Heat, width: float = 620.0) -> Scene:
    """Draw a map at a width; rows from the lowest value of `y` at the bottom."""
    left = max(text_width(three(value)) for value in heat.y) + 16
    step = (width - left - 8) / len(heat.x)
    floor = TOP + CELL_HEIGHT * len(heat.y)
    items: list[Item] = [Text(0, 14, heat.y_words, "axis-title")]
    for j, row in enumerate(heat.values):
        y = floor - CELL_HEIGHT * (j + 1)
        items.append(Text(left - 8, y + CELL_HEIGHT / 2 + 4, three(heat.y[j]), "tick", "end"))
        for i, value in enumerate(row):
            items += _cell(heat, left + step * i, y, step, value, heat.marks[j][i])
    for i, value in enumerate(heat.x):
        items.append(Text(left + step * (i + 0.5), floor + 16, three(value), "tick", "middle"))
    items.append(Line(left, floor, width - 8, floor, "axis"))
    items.append(Text(width - 8, floor + 34, heat.x_words, "axis-title", "end"))
    items += _frame(heat, left, step, floor)
    items += _here(heat, left, step, floor)
    items.append(Text(0, floor + 52, heat.legend, "small"))
    return Scene(f"map-{heat.id}", width, floor + FOOT, heat.title, heat_words(heat), tuple(items))


def _cell(heat: Heat, x: float, y: float, width: float, value: float, mark: str) -> list[Item]:
    words = " ".join(part for part in (mark, three(value) if math.isfinite(value) else "") if part) or "none"
    return [
        Path(rectangle(x + 0.5, y + 0.5, width - 1, CELL_HEIGHT - 1), f"shade shade{_shade(heat, value)}"),
        Text(x + width / 2, y + CELL_HEIGHT / 2 + 4, words, "label", "middle"),
    ]


def _shade(heat: Heat, value: float) -> int:
    """Step of lightness of a value, 0 to SHADES - 1; by its logarithm where the values span more than a decade."""
    finite = sorted(v for row in heat.values for v in row if math.isfinite(v))
    if not (math.isfinite(value) and finite and finite[-1] > finite[0]):
        return 0
    low, high = finite[0], finite[-1]
    if low > 0 and high > 10 * low:
        low, high, value = math.log(low), math.log(high), math.log(value)
    return min(SHADES - 1, int(SHADES * (value - low) / (high - low)))


def _frame(heat: Heat, left: float, step: float, floor: float) -> list[Item]:
    """A heavy line round the cells inside: drawn where a cell inside meets one outside."""

    def inside(i: int, j: int) -> bool:
        return 0 <= j < len(heat.inside) and 0 <= i < len(heat.inside[j]) and bool(heat.inside[j][i])

    out: list[Item] = []
    for j in range(len(heat.inside)):
        bottom, top = floor - CELL_HEIGHT * j, floor - CELL_HEIGHT * (j + 1)
        for i in range(len(heat.inside[j])):
            if not inside(i, j):
                continue
            x1, x2 = left + step * i, left + step * (i + 1)
            out += [
                Line(x1, y, x2, y, "heavy")
                for y, next_row in ((bottom, j - 1), (top, j + 1))
                if not inside(i, next_row)
            ]
            out += [
                Line(x, bottom, x, top, "heavy") for x, column in ((x1, i - 1), (x2, i + 1)) if not inside(column, j)
            ]
    return out


def _here(heat: Heat, left: float, step: float, floor: float) -> list[Item]:
    """A ring where the build stands; none outside the map."""
    if heat.here is None:
        return []
    column, row = _index(heat.x, heat.here[0]), _index(heat.y, heat.here[1])
    if column is None or row is None:
        return []
    return [Circle(left + step * (column + 0.5), floor - CELL_HEIGHT * (row + 0.5), 13, "ring")]


def _index(places: Sequence[float], value: float) -> float | None:
    """Place of a value between the columns, in columns; None more than half a column outside."""
    for i in range(len(places) - 1):
        low, high = places[i], places[i + 1]
        part = (value - low) / (high - low)
        if (0 <= part <= 1) or (i == 0 and -0.5 <= part < 0) or (i == len(places) - 2 and 1 < part <= 1.5):
            return i + part
    return None


def heat_words(heat: Heat) -> str:
    """The map in words."""
    cells = [
        (value, heat.x[i], heat.y[j])
        for j, row in enumerate(heat.values)
        for i, value in enumerate(row)
        if math.isfinite(value)
    ]
    parts = [f"{heat.title}. Columns: {heat.x_words}; rows: {heat.y_words}."]
    for word, pick in (("Lowest", min), ("highest", max)):
        if cells:
            value, x, y = pick(cells)
            parts.append(f"{word} {three(value)} at {three(x)} and {three(y)}.")
    if heat.here is not None:
        parts.append(f"This build stands at {three(heat.here[0])} and {three(heat.here[1])}.")
    marked = sum(1 for row in heat.marks for mark in row if mark)
    parts.append(f"{marked} of {len(heat.x) * len(heat.y)} points are marked. {heat.legend}")
    return " ".join(parts)


def heat_table(heat: Heat) -> str:
    """The map as an HTML table: a row for each `y`, the highest first, a column for each `x`."""
    heads = "".join(f'<th scope="col">{three(value)}</th>' for value in heat.x)
    lines = []
    for j in reversed(range(len(heat.y))):
        cells = "".join(f"<td>{escape(_words(heat, i, j))}</td>" for i in range(len(heat.x)))
        lines.append(f'<tr><th scope="row">{three(heat.y[j])}</th>{cells}</tr>')
    corner = f'<th scope="col">{escape(heat.y_words)} \\ {escape(heat.x_words)}</th>'
    caption = f"<caption>{escape(heat.title)}</caption>"
    return f"<table>{caption}<thead><tr>{corner}{heads}</tr></thead><tbody>{''.join(lines)}</tbody></table>"


def _words(heat: Heat, i: int, j: int) -> str:
    value, mark = heat.values[j][i], heat.marks[j][i]
    return " ".join(part for part in (mark, three(value) if math.isfinite(value) else "none") if part)
