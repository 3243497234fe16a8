"""The cross-section of the pump chamber in metres: where reflector, lamps and cell are."""

from __future__ import annotations

import math
from collections.abc import Iterable
from dataclasses import dataclass
from itertools import pairwise

from pulsewright.drawing.bench import BenchShape, LampShape
from pulsewright.drawing.pieces import Points, arc_points


@dataclass(frozen=True, slots=True)
class Section:
    """The cross-section in metres, cell at the origin, y downwards as on paper.

    `outlines` are closed curves whose union is the inside of the reflector; `lamps` are
    (lamp, x, y); `placed` says which places are the drawing's choice, empty when none.
    """

    outlines: tuple[Points, ...]
    lamps: tuple[tuple[LampShape, float, float], ...]
    placed: str

    @property
    def half_width(self) -> float:
        """Largest distance from the axis, sideways."""
        return max(abs(x) for outline in self.outlines for x, _ in outline)

    @property
    def half_height(self) -> float:
        """Largest distance from the axis, up or down."""
        return max(abs(y) for outline in self.outlines for _, y in outline)


def section(bench: BenchShape) -> Section:
    """Places of everything in the cross-section: as they were traced, where rays are drawn."""
    plan = _placed(bench)
    rays = bench.rays
    if rays is None or not rays.outlines:
        return plan
    at = {name: (x, -y) for name, x, y in rays.lamps}
    lamps = tuple((lamp, *at.get(lamp.id, (x, y))) for lamp, x, y in plan.lamps)
    return Section(tuple([(x, -y) for x, y in outline] for outline in rays.outlines), lamps, plan.placed)


def _placed(bench: BenchShape) -> Section:
    """Places by the drawing's own rules."""
    chamber = bench.chamber
    if any(lamp.shape == "coaxial" for lamp in bench.lamps):
        return _coaxial(bench)
    if "ellipse" in chamber.reflector and chamber.semi_major and chamber.semi_minor:
        return _ellipses(bench, chamber.semi_major, chamber.semi_minor)
    return _wrap(bench) if chamber.reflector == "close-wrapped diffuse" else _round(bench)


def _directions(bench: BenchShape) -> list[tuple[LampShape, float, float]]:
    """Lamps evenly round the cell, the first to the left."""
    count = len(bench.lamps)
    turns = [math.pi - math.tau * i / count for i in range(count)]
    return [(lamp, math.cos(t), math.sin(t)) for lamp, t in zip(bench.lamps, turns, strict=True)]


def _ellipses(bench: BenchShape, a: float, b: float) -> Section:
    """One ellipse a lamp, all sharing the focus in which the cell stands."""
    focus = math.sqrt(max(a * a - b * b, 0.0))
    lamps = _directions(bench)
    outlines = tuple(arc_points(focus * u, -focus * v, a, b, turn=math.atan2(v, u)) for _, u, v in lamps)
    return Section(outlines, tuple((lamp, 2 * focus * u, -2 * focus * v) for lamp, u, v in lamps), "")


def outer(bore: float, wall: float) -> float:
    """Outer radius of a tube."""
    return bore / 2 + wall


def cell_reach(bench: BenchShape) -> float:
    """How far the cell with its wall reaches from its axis."""
    cell = bench.cell
    thick = outer(cell.bore, cell.wall_thickness)
    return (
        thick
        if not (cell.shape == "slab" and cell.width)
        else math.hypot(thick, outer(cell.width, cell.wall_thickness))
    )


def _placed_lamps(bench: BenchShape) -> tuple[tuple[tuple[LampShape, float, float], ...], str]:
    """Lamps at their distance from the cell; touching it where the file gives none."""
    given, cell = bench.chamber.lamp_distance, cell_reach(bench)
    lamps = []
    for lamp, u, v in _directions(bench):
        away = given or cell + outer(lamp.bore, lamp.wall_thickness)
        lamps.append((lamp, away * u, -away * v))
    return tuple(lamps), "" if given else "Lamps touch the cell: their distance is not in the build file."


def _round(bench: BenchShape) -> Section:
    """A circular reflector: round the cell; with one lamp its axis lies midway, since it images about its axis."""
    lamps, placed = _placed_lamps(bench)
    reach = max(math.hypot(x, y) + outer(one.bore, one.wall_thickness) for one, x, y in lamps)
    radius = bench.chamber.diameter / 2 if bench.chamber.diameter else 1.05 * reach
    x, y = (lamps[0][1] / 2, lamps[0][2] / 2) if len(lamps) == 1 else (0.0, 0.0)
    return Section((arc_points(x, y, radius, radius),), lamps, placed)


def _wrap(bench: BenchShape) -> Section:
    """A close wrap: a taut band round lamps and cell, moved outwards until its length is that of the file."""
    lamps, placed = _placed_lamps(bench)
    circles = [(0.0, 0.0, cell_reach(bench)), *((x, y, outer(one.bore, one.wall_thickness)) for one, x, y in lamps)]
    away = max(((bench.chamber.perimeter or 0.0) - _length(_taut(circles, 0.0))) / math.tau, 0.0)
    return Section((_taut(circles, away),), lamps, placed)


def _taut(circles: Iterable[tuple[float, float, float]], away: float) -> Points:
    """Convex hull of circles grown by `away`, closed."""
    points = [point for x, y, radius in circles for point in arc_points(x, y, radius + away, radius + away)[:-1]]
    hull = _hull(points)
    return [*hull, hull[0]]


def _hull(points: Points) -> Points:
    """Convex hull by monotone chains (Andrew, Inform. Process. Lett. 9, 216, 1979)."""
    ordered = sorted(set(points))

    def chain(line: Points) -> Points:
        out: Points = []
        for x, y in line:
            while len(out) > 1 and (out[-1][0] - out[-2][0]) * (y - out[-2][1]) <= (out[-1][1] - out[-2][1]) * (
                x - out[-2][0]
            ):
                out.pop()
            out.append((x, y))
        return out[:-1]

    return chain(ordered) + chain(ordered[::-1])


def _length(points: Points) -> float:
    return sum(math.dist(a, b) for a, b in pairwise(points))


def _coaxial(bench: BenchShape) -> Section:
    lamp = max(bench.lamps, key=lambda one: one.bore)
    radius = outer(lamp.bore, lamp.wall_thickness)
    given = bench.chamber.diameter
    wall = given / 2 if given else max(1.02 * radius, (bench.chamber.perimeter or 0.0) / math.tau)
    return Section((arc_points(0, 0, wall, wall),), tuple((one, 0.0, 0.0) for one in bench.lamps), "")
