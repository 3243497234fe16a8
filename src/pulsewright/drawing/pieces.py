"""Small drawn things that several schematics share: scale bars, dimensions, mirrors, lenses, arrows."""

from __future__ import annotations

import math
from collections.abc import Sequence

from pulsewright.drawing.scene import Item, Line, Path, Text, number, polyline

Points = list[tuple[float, float]]


def arc_points(
    x: float,
    y: float,
    a: float,
    b: float,
    *,
    turn: float = 0.0,
    start: float = 0.0,
    stop: float = math.tau,
    count: int = 72,
) -> Points:
    """Points of an ellipse with half axes a, b, its long axis turned by `turn` (rad, counter-clockwise on paper)."""
    out: Points = []
    for i in range(count + 1):
        t = start + (stop - start) * i / count
        u, v = a * math.cos(t), b * math.sin(t)
        out.append((x + u * math.cos(turn) - v * math.sin(turn), y - u * math.sin(turn) - v * math.cos(turn)))
    return out


def length_words(metres: float) -> str:
    """A length as a scale bar says it: whole mm below a metre, m above."""
    return f"{metres:g} m" if metres >= 1.0 else f"{round(metres * 1e3, 6):g} mm"


def round_down(value: float) -> float:
    """Largest of 1, 2, 5 times a power of ten that is not above a value."""
    power = 10.0 ** math.floor(math.log10(value) + 1e-12)
    return next(factor * power for factor in (5.0, 2.0, 1.0) if factor * power <= value * (1.0 + 1e-9))


def scale_bar(x: float, y: float, scale: float, room: float, note: str = "") -> list[Item]:
    """A bar of a round length, at most `room` px long; `scale` in px per m."""
    length = round_down(room / scale)
    end = x + length * scale
    words = length_words(length) + (f", {note}" if note else "")
    ticks: list[Item] = [Line(at, y - 3, at, y + 3, "dimension") for at in (x, end)]
    return [Line(x, y, end, y, "dimension"), *ticks, Text(end + 5, y + 4, words, "small")]


def dimension(x1: float, x2: float, y: float, words: str) -> list[Item]:
    """A horizontal dimension line with its words above the middle."""
    ends: list[Item] = [Line(x, y - 4, x, y + 4, "dimension") for x in (x1, x2)]
    return [Line(x1, y, x2, y, "dimension"), *ends, Text((x1 + x2) / 2, y - 5, words, "small", "middle")]


def mirror(x: float, y: float, half: float, *, facing: int, sag: float = 0.0, thick: float = 7.0) -> Item:
    """A mirror across a horizontal beam. `facing` +1: reflecting face to the right; `sag` px hollows it."""
    face: Points = []
    for i in range(13):
        v = -half + 2 * half * i / 12
        face.append((x - facing * sag * (1 - (v / half) ** 2), y + v))
    back = x - facing * thick
    return Path(polyline([*face, (back, y + half), (back, y - half)], closed=True), "metal")


def lens(x: float, y: float, half: float, *, converging: bool = True, thick: float = 5.0) -> Item:
    """A lens across a horizontal beam: bulging when converging, hollow when diverging."""
    left: Points = []
    right: Points = []
    for i in range(13):
        v = -half + 2 * half * i / 12
        bulge = 1 - (v / half) ** 2 if converging else (v / half) ** 2
        edge = 1.0 + thick * bulge
        left.append((x - edge, y + v))
        right.append((x + edge, y + v))
    return Path(polyline([*left, *reversed(right)], closed=True), "glass")


def plate(x: float, y: float, half: float, *, turn: float = 0.0, thick: float = 4.0, role: str = "glass") -> Item:
    """A flat plate or flat mirror across a horizontal beam, turned by `turn` (rad)."""
    c, s = math.cos(turn), math.sin(turn)
    corners = [(-thick / 2, -half), (thick / 2, -half), (thick / 2, half), (-thick / 2, half)]
    return Path(polyline([(x + u * c - v * s, y + u * s + v * c) for u, v in corners], closed=True), role)


def coil(x: float, y: float, turns: int, width: float) -> Item:
    """An inductor, drawn along x."""
    step = width / turns
    n = number
    arcs = "".join(f"a{n(step / 2)} {n(step / 2)} 0 0 1 {n(step)} 0" for _ in range(turns))
    return Path(f"M{n(x)} {n(y)}{arcs}", "ink")


def resistor(x: float, y: float, width: float, height: float = 12.0) -> Item:
    """A resistor as a box, centred on (x, y)."""
    return Path(polyline(_box(x - width / 2, y - height / 2, width, height), closed=True), "gas")


def _box(x: float, y: float, w: float, h: float) -> Points:
    return [(x, y), (x + w, y), (x + w, y + h), (x, y + h)]


def arrow(points: Sequence[tuple[float, float]], role: str = "thin") -> list[Item]:
    """A polyline with a small arrow head at its end."""
    (x0, y0), (x1, y1) = points[-2], points[-1]
    angle = math.atan2(y1 - y0, x1 - x0)
    head = [(x1 - 6 * math.cos(angle + s), y1 - 6 * math.sin(angle + s)) for s in (0.45, -0.45)]
    return [Path(polyline(points), role), Path(polyline([head[0], (x1, y1), head[1]]), role)]
