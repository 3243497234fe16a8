"""A fine map: a quantity over two axes in steps of ink, with its key, and curves on the same axis below it.

The page reads values off under the pointer or by two sliders; the same numbers stand in a table behind.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, field
from html import escape
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pulsewright.drawing.labels import text_width
from pulsewright.drawing.layout import Scale, scale
from pulsewright.drawing.plot import Axis, Curve, Mark, axis_dict, three
from pulsewright.drawing.scene import Item, Line, Path, Scene, Text, number, polyline
from pulsewright.drawing.ticks import linear_ticks
from pulsewright.drawing.tones import TONES, Tones, key_items, tones_of

Float = NDArray[np.float64]
TOP, FOOT, GAP = 30.0, 40.0, 34.0
MAP_HEIGHT, BELOW_HEIGHT = 220.0, 84.0


@dataclass(frozen=True, slots=True, eq=False)
class Field:
    """A map before it has a size, in display units.

    Parameters
    ----------
    x, y : Axis
        Axes of the map.
    x_edges, y_edges : array
        Edges of its cells, rising; one more than there are cells.
    values : array (Y, X)
        Not finite where there is none.
    unit, words : str
        Of what the map shows.
    below : tuple of Curve
        Curves on the same x axis below the map; `below_axis` is theirs.
    marks : tuple of Mark
        Lines across the map, at x or y.
    note : str
        What a reader must know.
    """

    id: str
    title: str
    words: str
    unit: str
    x: Axis
    y: Axis
    x_edges: Float
    y_edges: Float
    values: Float
    below: tuple[Curve, ...] = ()
    below_axis: Axis = field(default_factory=lambda: Axis(""))
    marks: tuple[Mark, ...] = ()
    note: str = ""

    @property
    def quantity(self) -> str:
        """What the map shows, with its unit."""
        return f"{self.words} ({self.unit})" if self.unit else self.words


@dataclass(frozen=True, slots=True)
class Frame:
    """Where a map lies in its scene: scales, and the scale of the curves below, if any."""

    xs: Scale
    ys: Scale
    below: Scale | None


def frame_of(plan: Field, width: float) -> Frame:
    """Places of the axes at a width."""
    floor = TOP + MAP_HEIGHT
    y_low, y_high = float(plan.y_edges[0]), float(plan.y_edges[-1])
    count = max(2, int(MAP_HEIGHT / 42))
    ys = Scale(y_low, y_high, floor, TOP, False, tuple(linear_ticks(y_low, y_high, count)))
    below = None
    if plan.below:
        ends = np.concatenate([line.y[np.isfinite(line.y)] for line in plan.below])
        low, high = min(float(ends.min(initial=0.0)), 0.0), float(ends.max(initial=0.0))
        top = floor + GAP
        below = scale(plan.below_axis, low, high if high > low else low + 1.0, top + BELOW_HEIGHT, top, tight=False)
    ticks = [text for _, text in ys.ticks] + [text for _, text in (below.ticks if below else ())]
    left = math.ceil(max(text_width(text) for text in ticks) + 12.0)
    right = width - _key_room(plan)
    x_low, x_high = float(plan.x_edges[0]), float(plan.x_edges[-1])
    xs = Scale(x_low, x_high, left, right, False, tuple(linear_ticks(x_low, x_high, max(2, int((right - left) / 70)))))
    return Frame(xs, ys, below)


def _key_room(plan: Field) -> float:
    return max(92.0, text_width(plan.quantity) - 10.0)


def field_scene(plan: Field, width: float = 620.0) -> Scene:
    """Draw a map at a width."""
    place = frame_of(plan, width)
    xs = place.xs
    tones = tones_of(plan.values)
    items: list[Item] = [*_cells(plan, place, tones), *_axes(plan, place), *_marks(plan, place)]
    items += key_items(xs.end + 16, TOP, MAP_HEIGHT, tones, "")
    items.append(Text(width, 14, plan.quantity, "axis-title", "end"))
    items += _curves(plan, place)
    height = TOP + MAP_HEIGHT + FOOT + (GAP + BELOW_HEIGHT if place.below else 0.0)
    return Scene(f"field-{plan.id}", width, height, plan.title, field_words(plan), tuple(items))


def _cells(plan: Field, place: Frame, tones: Tones) -> list[Item]:
    """One path a step of ink; neighbours of one step in a row are one rectangle."""
    steps = tones.of(plan.values)
    across, down = place.xs(plan.x_edges), place.ys(plan.y_edges)
    parts: list[list[str]] = [[] for _ in range(TONES)]
    for j, row in enumerate(steps):
        changes = np.flatnonzero(np.diff(row)) + 1
        starts, stops = [0, *changes.tolist()], [*changes.tolist(), len(row)]
        top, tall = float(down[j + 1]), number(float(down[j] - down[j + 1]))
        for start, stop in zip(starts, stops, strict=True):
            if row[start] > 0:
                wide = number(float(across[stop] - across[start]))
                parts[row[start]].append(f"M{number(float(across[start]))} {number(top)}h{wide}v{tall}h-{wide}Z")
    return [Path("".join(one), f"tone tone{i}") for i, one in enumerate(parts) if one]


def _axes(plan: Field, place: Frame) -> list[Item]:
    xs, ys = place.xs, place.ys
    last = place.below.start if place.below else ys.start
    out: list[Item] = [Text(0, 14, plan.y.title, "axis-title")]
    for value, text in ys.ticks:
        out.append(Line(xs.start - 4, ys.at(value), xs.start, ys.at(value), "axis"))
        out.append(Text(xs.start - 7, ys.at(value) + 4, text, "tick", "end"))
    for value, text in xs.ticks:
        out.append(Line(xs.at(value), last, xs.at(value), last + 4, "axis"))
        out.append(Text(xs.at(value), last + 17, text, "tick", "middle"))
    out.append(
        Path(
            polyline([(xs.start, ys.end), (xs.end, ys.end), (xs.end, ys.start), (xs.start, ys.start)], closed=True),
            "thin",
        )
    )
    out.append(Text(xs.end, last + 33, plan.x.title, "axis-title", "end"))
    return out


def _marks(plan: Field, place: Frame) -> list[Item]:
    """Lines across map and curves; words of upright ones in rows below the top, on paper so that they read."""
    out: list[Item] = []
    bottom = place.below.start if place.below else place.ys.start
    for row, mark in enumerate(one for one in plan.marks if one.axis == "x" and place.xs.holds(one.at)):
        x, long = place.xs.at(mark.at), text_width(mark.words, 11.0)
        start = x + 4 if x + 8 + long < place.xs.end else x - 4 - long
        y = place.ys.end + 13 + 15 * row
        out.append(Line(x, place.ys.end, x, bottom, mark.role))
        out.append(
            Path(
                polyline(
                    [(start - 2, y - 11), (start + long, y - 11), (start + long, y + 3), (start - 2, y + 3)],
                    closed=True,
                ),
                "paper",
            )
        )
        out.append(Text(start, y, mark.words, "mark"))
    for mark in plan.marks:
        if mark.axis == "y" and place.ys.holds(mark.at):
            y, long = place.ys.at(mark.at), text_width(mark.words, 11.0)
            out.append(Line(place.xs.start, y, place.xs.end, y, mark.role))
            at = place.xs.end - 4 - long
            out.append(
                Path(
                    polyline([(at - 2, y - 15), (at + long, y - 15), (at + long, y - 2), (at - 2, y - 2)], closed=True),
                    "paper",
                )
            )
            out.append(Text(at, y - 4, mark.words, "mark"))
    return out


def _curves(plan: Field, place: Frame) -> list[Item]:
    below, xs = place.below, place.xs
    if below is None:
        return []
    out: list[Item] = [Text(0, below.end - 8, plan.below_axis.title, "axis-title")]
    for value, text in below.ticks:
        out.append(Line(xs.start, below.at(value), xs.end, below.at(value), "grid"))
        out.append(Text(xs.start - 7, below.at(value) + 4, text, "tick", "end"))
    out.append(Line(xs.start, below.start, xs.end, below.start, "axis"))
    for i, line in enumerate(plan.below):
        inside = (line.x >= xs.low) & (line.x <= xs.high) & np.isfinite(line.y)
        points = list(zip(xs(line.x[inside]).tolist(), below(line.y[inside]).tolist(), strict=True))
        out.append(Path(polyline(points), "ghost" if line.role == "ghost" else f"curve s{line.style}"))
        out.append(
            Text(
                xs.end + 8,
                below.end + 12 + 15 * i,
                line.words,
                "label ghost-label" if line.role == "ghost" else "label",
            )
        )
    return out


def field_words(plan: Field) -> str:
    """The map in words: where it is strongest, its marks, its note."""
    parts = [f"{plan.quantity} over {plan.x.title} and {plan.y.title}."]
    finite = np.isfinite(plan.values)
    if finite.any():
        j, i = np.unravel_index(int(np.argmax(np.where(finite, plan.values, -np.inf))), plan.values.shape)
        x, y = middles(plan.x_edges)[i], middles(plan.y_edges)[j]
        parts.append(f"Highest {three(float(plan.values[j, i]))} at {three(float(x))} and {three(float(y))}.")
    parts += [f"{mark.words} at {three(mark.at)}." for mark in plan.marks]
    return " ".join([*parts, plan.note]).strip()


def middles(edges: Float) -> Float:
    """Middles of cells."""
    return 0.5 * (edges[1:] + edges[:-1])


def edges_of(places: Float, low: float | None = None, high: float | None = None) -> Float:
    """Edges of cells round given places; the outer ones mirrored, or as given."""
    inner = 0.5 * (places[1:] + places[:-1])
    first = 2 * places[0] - inner[0] if low is None else low
    last = 2 * places[-1] - inner[-1] if high is None else high
    return np.concatenate([[first], inner, [last]])


def field_dict(plan: Field, drawing: str, width: float, pack: Callable[[Float], Any]) -> dict[str, Any]:
    """For JSON: the drawing, where its frame lies, and the numbers to be read off."""
    place = frame_of(plan, width)
    return {
        "id": plan.id,
        "title": plan.title,
        "drawing": drawing,
        "width": width,
        "words": plan.words,
        "unit": plan.unit,
        "x": axis_dict(plan.x),
        "y": axis_dict(plan.y),
        "frame": [place.xs.start, place.xs.end, place.ys.start, place.ys.end],
        "x_edges": pack(plan.x_edges),
        "y_edges": pack(plan.y_edges),
        "values": pack(plan.values),
        "note": plan.note,
    }


def field_table(plan: Field, most: int = 10) -> str:
    """The map as an HTML table of picked rows and columns: a row for each `y`, the highest first."""
    columns = _picked(len(plan.x_edges) - 1, most)
    lines = _picked(len(plan.y_edges) - 1, most)
    x, y = middles(plan.x_edges), middles(plan.y_edges)
    heads = "".join(f'<th scope="col">{three(float(x[i]))}</th>' for i in columns)
    body = "".join(
        f'<tr><th scope="row">{three(float(y[j]))}</th>'
        + "".join(f"<td>{cell_words(plan, float(plan.values[j, i]))}</td>" for i in columns)
        + "</tr>"
        for j in reversed(lines)
    )
    corner = f'<th scope="col">{escape(plan.y.title)} \\ {escape(plan.x.title)}</th>'
    caption = f"<caption>{escape(plan.title)}: {escape(plan.quantity)}</caption>"
    return f"<table>{caption}<thead><tr>{corner}{heads}</tr></thead><tbody>{body}</tbody></table>"


def cell_words(plan: Field, value: float) -> str:
    """A value of the map in words; what is a millionth of the largest is zero."""
    most = float(np.abs(plan.values[np.isfinite(plan.values)]).max(initial=0.0))
    return "0" if abs(value) < 1e-6 * most else three(value)


def _picked(count: int, most: int) -> list[int]:
    """Evenly picked places, both ends among them."""
    return sorted({round(i) for i in np.linspace(0, count - 1, min(count, most)).tolist()})
