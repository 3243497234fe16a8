"""Circuit symbols, each drawn along a pen from one terminal to the other, lead wires included.

The shapes follow the trade's standard ones (IEC 60617, from memory): box for a resistor, half circles for an
inductor, plates for a capacitor, facing arrow heads for a spark gap, dashed grid in an envelope with a dot for a
thyratron.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pulsewright.drawing.scene import Circle, Item, Line, Path, Text, polyline

Points = Sequence[tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Pen:
    """A place and a direction: `u` runs along the way, `v` to its right-hand side.

    `turn` counts quarter turns: 0 to the right, 1 down, 2 to the left, 3 up.
    """

    x: float
    y: float
    turn: int = 0

    def at(self, u: float, v: float = 0.0) -> tuple[float, float]:
        """Place on the page."""
        dx, dy = ((u, v), (-v, u), (-u, -v), (v, -u))[self.turn]
        return self.x + dx, self.y + dy

    def line(self, u1: float, v1: float, u2: float, v2: float, role: str = "ink") -> Line:
        """A line between two points."""
        return Line(*self.at(u1, v1), *self.at(u2, v2), role)

    def path(self, points: Points, role: str = "ink", *, closed: bool = False) -> Path:
        """A line through points."""
        return Path(polyline([self.at(u, v) for u, v in points], closed=closed), role)

    def circle(self, u: float, v: float, radius: float, role: str = "ink") -> Circle:
        """A circle."""
        return Circle(*self.at(u, v), radius, role)

    def box(self, u: float, width: float, height: float, role: str = "gas") -> Path:
        """A rectangle that starts at `u`, centred on the way."""
        half = height / 2
        return self.path([(u, -half), (u + width, -half), (u + width, half), (u, half)], role, closed=True)


def _between(pen: Pen, length: float, body: float) -> tuple[float, float, list[Item]]:
    """Where a body of that length stands in the middle of the way, and the wires on both sides of it."""
    start, stop = (length - body) / 2, (length + body) / 2
    return start, stop, [pen.line(0, 0, start, 0), pen.line(stop, 0, length, 0)]


def resistor(pen: Pen, length: float, body: float = 30.0) -> list[Item]:
    """A box."""
    start, _, wires = _between(pen, length, body)
    return [*wires, pen.box(start, body, 12)]


def inductor(pen: Pen, length: float, turns: int = 4, radius: float = 5.5) -> list[Item]:
    """Half circles."""
    start, _, wires = _between(pen, length, 2 * radius * turns)
    points: list[tuple[float, float]] = []
    for turn in range(turns):
        middle = start + radius * (2 * turn + 1)
        points += [(middle - radius * math.cos(a), -radius * math.sin(a)) for a in _steps(math.pi, 12)]
    return [*wires, pen.path(points)]


def _steps(end: float, count: int) -> list[float]:
    return [end * i / count for i in range(count + 1)]


def capacitor(pen: Pen, length: float, half: float = 17.0) -> list[Item]:
    """Two plates."""
    start, stop, wires = _between(pen, length, 8)
    return [*wires, pen.line(start, -half, start, half, "heavy"), pen.line(stop, -half, stop, half, "heavy")]


def diode(pen: Pen, length: float, half: float = 8.0) -> list[Item]:
    """A triangle onto a bar; it conducts along the way."""
    start, stop, wires = _between(pen, length, 15)
    body = pen.path([(start, -half), (start, half), (stop, 0)], "metal", closed=True)
    return [*wires, body, pen.line(stop, -half, stop, half, "heavy")]


def gap(pen: Pen, length: float, *, triggered: bool = False) -> list[Item]:
    """Two arrow heads that face each other; a third electrode when triggered."""
    start, stop, wires = _between(pen, length, 34)
    middle = length / 2
    out: list[Item] = [*wires]
    for foot, tip in ((start, middle - 4), (stop, middle + 4)):
        out.append(pen.path([(foot, -7), (foot, 7), (tip, 0)], "solid", closed=True))
    if triggered:
        out += [pen.line(middle, 5, middle, 22), pen.path([(middle - 3, 11), (middle, 4), (middle + 3, 11)])]
    return out


def thyratron(pen: Pen, length: float) -> list[Item]:
    """Envelope with anode, dashed grid and cathode; the dot says that it is filled with gas."""
    start, stop, wires = _between(pen, length, 40)
    middle = length / 2
    cathode = [(stop - 12 + 5 * math.cos(a), 9 * math.sin(a)) for a in [math.pi / 2 - s for s in _steps(math.pi, 10)]]
    return [
        *wires,
        pen.circle(middle, 0, 20, "gas"),
        pen.line(start, 0, start + 10, 0),
        pen.line(start + 10, -9, start + 10, 9, "heavy"),
        pen.line(middle, -14, middle, 26, "hidden"),
        pen.path(cathode),
        pen.line(stop - 7, 0, stop, 0),
        pen.circle(middle + 6, 12, 1.8, "solid"),
    ]


def contact(pen: Pen, length: float, *, driven: bool = False) -> list[Item]:
    """An open contact; with a control box when a signal opens and closes it."""
    start, stop, wires = _between(pen, length, 24)
    out: list[Item] = [*wires, pen.path([(start, 0), (stop - 2, -11)]), pen.circle(stop, 0, 2, "solid")]
    middle = length / 2
    if driven:
        out.append(pen.line(middle, -5, middle, 12, "hidden"))
        out += [pen.path([(middle - 7, 12), (middle + 7, 12), (middle + 7, 22), (middle - 7, 22)], "gas", closed=True)]
    return out


def lamp(pen: Pen, length: float, body: float = 58.0) -> list[Item]:
    """A flashlamp: a tube with an electrode at each end."""
    start, stop, wires = _between(pen, length, body)
    half, rim = 9.0, 7.0
    tube = [(start + rim, -half), (stop - rim, -half), (stop, -half + rim), (stop, half - rim)]
    tube += [(stop - rim, half), (start + rim, half), (start, half - rim), (start, rim - half)]
    inner = min(12.0, body / 4)
    ends: list[Item] = [pen.line(start, 0, start + inner, 0, "heavy"), pen.line(stop - inner, 0, stop, 0, "heavy")]
    return [*wires, pen.path(tube, "glass", closed=True), *ends]


def wire_around(pen: Pen, length: float, body: float = 58.0) -> list[Item]:
    """A trigger wire wound on the outside of a lamp, drawn beside it."""
    start = (length - body) / 2
    turns = max(int(body / 9), 3)
    step = body / turns
    points = [(start + step * (i + 0.5), 11 if i % 2 else 16) for i in range(turns)]
    return [pen.path(points, "thin")]


def meter(pen: Pen, length: float, letter: str = "V") -> list[Item]:
    """A circle with a letter."""
    _, _, wires = _between(pen, length, 24)
    x, y = pen.at(length / 2)
    return [*wires, Circle(x, y, 12, "gas"), Text(x, y + 4, letter, "text", "middle")]


def current_source(pen: Pen, length: float) -> list[Item]:
    """A circle with a bar across the way."""
    _, _, wires = _between(pen, length, 24)
    return [*wires, pen.circle(length / 2, 0, 12, "gas"), pen.line(length / 2, -12, length / 2, 12)]


def converter(pen: Pen, length: float, side: float = 40.0) -> list[Item]:
    """A supply: a square parted by its diagonal, alternating current in, direct current out."""
    start, _, wires = _between(pen, length, side)
    x, y = pen.at(length / 2)
    half = side / 2
    return [
        *wires,
        pen.box(start, side, side),
        Line(x - half, y + half, x + half, y - half, "thin"),
        Text(x - 10, y - 3, "~", "name", "middle"),
        Text(x + 10, y + 14, "=", "name", "middle"),
    ]


def pump(x: float, y: float) -> list[Item]:
    """A vacuum pump: a circle with a wedge."""
    wedge = [(x - 8, y - 9), (x - 3, y + 11), (x + 3, y + 11), (x + 8, y - 9)]
    return [Circle(x, y, 12, "gas"), Path(polyline(wedge), "thin")]


def earth(x: float, y: float) -> list[Item]:
    """Earth: three bars, each shorter."""
    rows = ((12, 8), (8, 13), (4, 18))
    return [Line(x, y, x, y + 8), *[Line(x - half, y + dy, x + half, y + dy) for half, dy in rows]]


def node(x: float, y: float) -> Item:
    """A joint of wires."""
    return Circle(x, y, 2.4, "solid")
