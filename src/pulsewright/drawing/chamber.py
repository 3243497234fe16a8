"""The pump chamber in cross-section, to scale: reflector, coolant, lamps, cell, and some rays whose light fades."""

from __future__ import annotations

from collections.abc import Sequence

from pulsewright.drawing.bench import BenchShape, RayPicture
from pulsewright.drawing.labels import text_width
from pulsewright.drawing.pieces import scale_bar
from pulsewright.drawing.scene import Circle, Item, Line, Path, Scene, Text, number, polyline
from pulsewright.drawing.section import Section, outer, section

#: Weights between which a leg of a ray is drawn with one strength; what is weaker is left out.
STRENGTHS = (0.8, 0.6, 0.4, 0.2, 0.1, 0.03)


def draw_chamber(bench: BenchShape, x: float, y: float, scale: float) -> list[Item]:
    """Reflector and what fills it, without lamps and cell; (x, y) is the cell's axis, `scale` px per m."""
    place = [[(x + scale * u, y + scale * v) for u, v in outline] for outline in section(bench).outlines]
    walls: list[Item] = [Path(polyline(points, closed=True), "wall") for points in place]
    filling = "liquid" if bench.chamber.coolant not in ("none", "") else "paper"
    inside: list[Item] = [Path(polyline(points, closed=True), filling) for points in place]
    return [*walls, *inside]


def draw_lamps(bench: BenchShape, x: float, y: float, scale: float) -> list[Item]:
    """The lamps: tube wall and bore; an annulus when coaxial, with the coolant round the cell inside it."""
    out: list[Item] = []
    for lamp, u, v in section(bench).lamps:
        at = (x + scale * u, y + scale * v)
        out.append(Circle(*at, scale * outer(lamp.bore, lamp.wall_thickness), "glass"))
        out.append(Circle(*at, scale * lamp.bore / 2, "plasma"))
        if lamp.inner_diameter:
            out.append(Circle(*at, scale * lamp.inner_diameter / 2, "glass"))
            inside = lamp.inner_diameter / 2 - lamp.wall_thickness
            if inside > outer(bench.cell.bore, bench.cell.wall_thickness):
                filling = "liquid-line" if bench.chamber.coolant not in ("none", "") else "gas"
                out.append(Circle(*at, scale * inside, filling))
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
        Circle(x, y, scale * outer(cell.bore, cell.wall_thickness), "glass"),
        Circle(x, y, scale * cell.bore / 2, "dye"),
    ]


def _slab(x: float, y: float, scale: float, width: float, height: float, wall: float, role: str) -> Item:
    u, v = scale * (width / 2 + wall), scale * (height / 2 + wall)
    return Path(polyline([(x - u, y - v), (x + u, y - v), (x + u, y + v), (x - u, y + v)], closed=True), role)


def chamber_scene(bench: BenchShape, width: float = 620.0, height: float = 360.0) -> Scene:
    """The cross-section on a sheet of its own, to scale, with names and sizes; rays where the bench has some."""
    plan = section(bench)
    left, right, top, bottom = _extent(plan)
    scale = min((width - 60) / (right - left), (height - 110) / (bottom - top))
    x, y = width / 2 - scale * (left + right) / 2, 34 + (height - 110) / 2 - scale * (top + bottom) / 2
    items = [*draw_chamber(bench, x, y, scale), *draw_lamps(bench, x, y, scale), *draw_cell(bench, x, y, scale)]
    if bench.rays is not None:
        items += draw_rays(bench.rays, x, y, scale)
    items += _names(plan, x, y, scale, height)
    items += scale_bar(12, height - 12, scale, 110)
    items.append(Text(width - 8, height - 8, _ray_words(bench.rays), "small", "end"))
    return Scene("chamber", width, height, "Pump chamber in cross-section", _describe(bench, plan), tuple(items))


def _extent(plan: Section) -> tuple[float, float, float, float]:
    """Ends of the reflector, cell at the origin: left, right, top, bottom."""
    across = [x for outline in plan.outlines for x, _ in outline]
    down = [y for outline in plan.outlines for _, y in outline]
    return min(across), max(across), min(down), max(down)


def draw_rays(rays: RayPicture, x: float, y: float, scale: float) -> list[Item]:
    """Legs of rays by what is left of their light: one path a strength, the weakest first."""
    legs: list[list[str]] = [[] for _ in STRENGTHS]
    for path, weights in zip(rays.paths, rays.weights, strict=True):
        for i, weight in enumerate(weights):
            strength = next((n for n, least in enumerate(STRENGTHS) if weight >= least), None)
            if strength is not None:
                legs[strength].append(_leg(path[i : i + 2], x, y, scale))
    found = [Path("".join(one), f"ray ray{n}") for n, one in enumerate(legs) if one]
    return list(reversed(found))


def _leg(ends: Sequence[tuple[float, float]], x: float, y: float, scale: float) -> str:
    """One leg; rays have y upwards, paper downwards."""
    (x1, y1), (x2, y2) = ends
    start = f"M{number(x + scale * x1)} {number(y - scale * y1)}"
    return f"{start}L{number(x + scale * x2)} {number(y - scale * y2)}"


def _ray_words(rays: RayPicture | None) -> str:
    return "" if rays is None else f"{len(rays.paths)} of the traced rays, fainter as their light is taken up"


def _names(plan: Section, x: float, y: float, scale: float, height: float) -> list[Item]:
    _, _, top, bottom = _extent(plan)
    below, above = y + scale * bottom + 22, y + scale * top - 10
    out: list[Item] = [Line(x, y, x, below - 12, "leader"), Text(x, below, "dye cell", "small", "middle")]
    if all(abs(u) + abs(v) < 1e-9 for _, u, v in plan.lamps):
        at = x - 0.55 * scale * plan.half_width
        words = ", ".join(lamp.id for lamp, _, _ in plan.lamps)
        lamp = plan.lamps[0][0]
        ring = scale * (lamp.bore + (lamp.inner_diameter or 0.0)) / 4
        return [*out, Line(x - ring, y, at, above + 4, "leader"), Text(at, above, words, "small", "middle")]
    low = [(lamp.id, x + scale * u, y + scale * v) for lamp, u, v in plan.lamps if v >= -1e-9]
    high = [(lamp.id, x + scale * u, y + scale * v) for lamp, u, v in plan.lamps if v < -1e-9]
    return [*out, *_row_of_names(low, min(below, height - 24), 12, taken=x), *_row_of_names(high, above, -4)]


def _row_of_names(
    lamps: Sequence[tuple[str, float, float]], y: float, lift: float, taken: float | None = None
) -> list[Item]:
    """Names of lamps in one row, each joined to its lamp, none over another or over what stands at `taken`."""
    out: list[Item] = []
    last = -1e9
    for name, x, lamp_y in sorted(lamps, key=lambda one: one[1]):
        half = text_width(name, 11.0) / 2
        at = max(x, last + half + 10)
        if taken is not None and abs(at - taken) < half + 34:
            at = taken - half - 34 if x < taken - 1 and last < taken - 2 * half - 34 else taken + half + 34
        last = at + half
        out += [Line(x, lamp_y, at, y - lift, "leader"), Text(at, y, name, "small", "middle")]
    return out


def _describe(bench: BenchShape, plan: Section) -> str:
    chamber, cell = bench.chamber, bench.cell
    tubes = ", ".join(f"{lamp.id} {lamp.bore * 1e3:.3g} mm" for lamp in bench.lamps)
    half = chamber.semi_major, chamber.semi_minor
    sizes = f", half axes {half[0] * 1e3:.3g} and {half[1] * 1e3:.3g} mm" if half[0] and half[1] else ""
    filling = f"{chamber.coolant} round the lamps" if chamber.coolant != "none" else "no coolant"
    jacket = "" if chamber.filter in ("none", "") else f"Filter between lamps and cell, not drawn: {chamber.filter}. "
    dye = f"Dye cell bore {cell.bore * 1e3:.3g} mm. "
    if cell.shape == "slab" and cell.width:
        dye = f"Dye slab {cell.width * 1e3:.3g} mm wide, {cell.bore * 1e3:.3g} mm thick. "
    return (
        f"To scale. Reflector: {chamber.reflector}{sizes}, {filling}. Lamp bores: {tubes}. "
        f"{dye}{jacket}{plan.placed} {_ray_words(bench.rays)}"
    ).strip()
