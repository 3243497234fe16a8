"""The pump chamber in cross-section, to scale: reflector, lamps, cell."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pulsewright.drawing.bench import BenchShape, LampShape
from pulsewright.drawing.pieces import Points, arc_points, scale_bar
from pulsewright.drawing.scene import Circle, Item, Line, Path, Scene, Text, polyline


@dataclass(frozen=True, slots=True)
class Section:
    """The cross-section in metres, cell at the origin.

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
    """Places of everything in the cross-section."""
    chamber = bench.chamber
    if any(lamp.shape == "coaxial" for lamp in bench.lamps):
        return _coaxial(bench)
    if "ellipse" in chamber.reflector and chamber.semi_major and chamber.semi_minor:
        return _ellipses(bench, chamber.semi_major, chamber.semi_minor)
    return _round(bench)


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


def _round(bench: BenchShape) -> Section:
    """Circular reflector, or a close wrap whose places the file does not give."""
    cell = _outer(bench.cell.bore, bench.cell.wall_thickness)
    largest = max(_outer(lamp.bore, lamp.wall_thickness) for lamp in bench.lamps)
    wrap = cell + 2 * largest + 2e-3
    given = bench.chamber.diameter
    radius = given / 2 if given else max(wrap, (bench.chamber.perimeter or 0.0) / math.tau)
    away = min(max((radius + cell) / 2, cell + largest), max(radius - largest, 0.0))
    lamps = tuple((lamp, away * u, -away * v) for lamp, u, v in _directions(bench))
    return Section((arc_points(0, 0, radius, radius),), lamps, "Places of lamps and cell are not in the build file.")


def _coaxial(bench: BenchShape) -> Section:
    lamp = max(bench.lamps, key=lambda one: one.bore)
    radius = _outer(lamp.bore, lamp.wall_thickness)
    given = bench.chamber.diameter
    wall = given / 2 if given else max(1.15 * radius, (bench.chamber.perimeter or 0.0) / math.tau)
    return Section((arc_points(0, 0, wall, wall),), tuple((one, 0.0, 0.0) for one in bench.lamps), "")


def _outer(bore: float, wall: float) -> float:
    return bore / 2 + wall


def draw_chamber(bench: BenchShape, x: float, y: float, scale: float) -> list[Item]:
    """Reflector and what fills it, without lamps and cell; (x, y) is the cell's axis, `scale` px per m."""
    place = [[(x + scale * u, y + scale * v) for u, v in outline] for outline in section(bench).outlines]
    walls: list[Item] = [Path(polyline(points, closed=True), "wall") for points in place]
    filling = "liquid" if bench.chamber.coolant not in ("none", "") else "paper"
    inside: list[Item] = [Path(polyline(points, closed=True), filling) for points in place]
    return [*walls, *inside]


def draw_lamps(bench: BenchShape, x: float, y: float, scale: float) -> list[Item]:
    """The lamps: tube wall and bore; an annulus when coaxial."""
    out: list[Item] = []
    for lamp, u, v in section(bench).lamps:
        at = (x + scale * u, y + scale * v)
        out.append(Circle(*at, scale * _outer(lamp.bore, lamp.wall_thickness), "glass"))
        out.append(Circle(*at, scale * lamp.bore / 2, "plasma"))
        if lamp.inner_diameter:
            out.append(Circle(*at, scale * lamp.inner_diameter / 2, "glass"))
    return out


def draw_cell(bench: BenchShape, x: float, y: float, scale: float) -> list[Item]:
    """The dye cell in cross-section."""
    cell = bench.cell
    if cell.shape == "slab" and cell.width:
        return [
            _slab(x, y, scale, cell.width, cell.bore, cell.wall_thickness, "glass"),
            _slab(x, y, scale, cell.width, cell.bore, 0.0, "dye"),
        ]
    return [
        Circle(x, y, scale * _outer(cell.bore, cell.wall_thickness), "glass"),
        Circle(x, y, scale * cell.bore / 2, "dye"),
    ]


def _slab(x: float, y: float, scale: float, width: float, height: float, wall: float, role: str) -> Item:
    u, v = scale * (width / 2 + wall), scale * (height / 2 + wall)
    return Path(polyline([(x - u, y - v), (x + u, y - v), (x + u, y + v), (x - u, y + v)], closed=True), role)


def chamber_scene(bench: BenchShape, width: float = 460.0, height: float = 300.0) -> Scene:
    """The cross-section on a sheet of its own, to scale, with names and sizes."""
    plan = section(bench)
    scale = min((width - 60) / (2 * plan.half_width), (height - 90) / (2 * plan.half_height))
    x, y = width / 2, (height - 40) / 2
    items = [*draw_chamber(bench, x, y, scale), *draw_lamps(bench, x, y, scale), *draw_cell(bench, x, y, scale)]
    items += _names(plan, x, y, scale, height)
    items += scale_bar(12, height - 12, scale, 110)
    return Scene("chamber", width, height, "Pump chamber in cross-section", _describe(bench, plan), tuple(items))


def _names(plan: Section, x: float, y: float, scale: float, height: float) -> list[Item]:
    below = y + scale * plan.half_height + 20
    out: list[Item] = [Line(x, y, x, below - 12, "leader"), Text(x, below, "dye cell", "small", "middle")]
    for lamp, u, v in plan.lamps:
        at = x + scale * u
        if abs(u) * scale < 30:
            at = x - 0.5 * scale * plan.half_width
        side = y - scale * plan.half_height - 8 if v < -1e-9 else below
        out.append(Line(x + scale * u, y + scale * v, at, side - 12 if side > y else side + 4, "leader"))
        out.append(Text(at, min(side, height - 4), lamp.id, "small", "middle"))
    return out


def _describe(bench: BenchShape, plan: Section) -> str:
    chamber, cell = bench.chamber, bench.cell
    tubes = ", ".join(f"{lamp.id} {lamp.bore * 1e3:.3g} mm" for lamp in bench.lamps)
    half = chamber.semi_major, chamber.semi_minor
    sizes = f", half axes {half[0] * 1e3:.3g} and {half[1] * 1e3:.3g} mm" if half[0] and half[1] else ""
    filling = f"{chamber.coolant} round the lamps" if chamber.coolant != "none" else "no coolant"
    return (
        f"To scale. Reflector: {chamber.reflector}{sizes}, {filling}. Lamp bores: {tubes}. "
        f"Dye cell bore {cell.bore * 1e3:.3g} mm. {plan.placed}"
    ).strip()
