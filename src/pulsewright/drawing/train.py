"""Side views along the beam, to scale in length: the resonator, and the train to the target."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pulsewright.drawing.bench import BenchShape, OpticShape
from pulsewright.drawing.labels import spread
from pulsewright.drawing.pieces import dimension, lens, mirror, plate, scale_bar
from pulsewright.drawing.scene import Item, Line, Path, Scene, Text, polyline, rectangle


@dataclass(frozen=True, slots=True)
class Along:
    """Length along the beam to px: `start` is where distance 0 stands."""

    start: float
    scale: float
    axis: float
    across: float

    def at(self, distance: float) -> float:
        """Place of a distance [m]."""
        return self.start + self.scale * distance


def cavity_along(bench: BenchShape, x: float, width: float, axis: float, tallest: float) -> Along:
    """Scale of the resonator between two px places; 0 is the rear mirror. Heights are drawn larger."""
    scale = width / bench.resonator_length
    tube = bench.cell.bore + 2 * bench.cell.wall_thickness
    return Along(x, scale, axis, min(tallest / tube, 4 * scale))


def cavity_windows(bench: BenchShape) -> tuple[OpticShape, ...]:
    """Optics inside the cavity other than its two mirrors, in the order of the file."""
    mirrors = (bench.rear, bench.coupler)
    return tuple(o for o in bench.optics if o.place == "cavity" and o.id not in mirrors)


def draw_cell_side(bench: BenchShape, along: Along) -> list[Item]:
    """The dye cell from the side, in the middle of the resonator, with its windows at the ends."""
    cell, y = bench.cell, along.axis
    middle = along.at(bench.resonator_length / 2)
    half, pumped = along.scale * cell.length / 2, along.scale * cell.pumped_length / 2
    outer = along.across * (cell.bore / 2 + cell.wall_thickness)
    inner = along.across * cell.bore / 2
    items: list[Item] = [
        Path(rectangle(middle - half, y - outer, 2 * half, 2 * outer), "glass"),
        Path(rectangle(middle - half, y - inner, 2 * half, 2 * inner), "dye"),
    ]
    items += [
        Line(middle + side * pumped, y - outer - 5, middle + side * pumped, y + outer + 5, "hidden") for side in (-1, 1)
    ]
    ends = cavity_windows(bench)[:2]
    items += [plate(middle + side * (half + 3), y, outer + 4) for side, _ in zip((-1, 1), ends, strict=False)]
    return items


def draw_mirrors(bench: BenchShape, along: Along) -> list[Item]:
    """Rear mirror and output coupler; hollow when concave."""
    half = along.across * (bench.cell.bore / 2 + bench.cell.wall_thickness) + 12
    out: list[Item] = []
    for key, distance, facing in ((bench.rear, 0.0, 1), (bench.coupler, bench.resonator_length, -1)):
        optic = bench.optic(key)
        curved = optic is not None and math.isfinite(optic.curvature)
        sag = 0.0 if optic is None or not curved else math.copysign(4.0, optic.curvature)
        out.append(mirror(along.at(distance), along.axis, half, facing=facing, sag=sag))
    return out


def cavity_beam(bench: BenchShape, along: Along) -> Item:
    """The beam inside the cavity, as wide as the bore."""
    half = along.across * bench.cell.bore / 2
    left, right = along.at(0.0), along.at(bench.resonator_length)
    return Path(rectangle(left, along.axis - half, right - left, 2 * half), "beam-fill")


def beam_profile(bench: BenchShape) -> tuple[tuple[float, float], ...]:
    """Distance and diameter along the train: of the shot where known, else the bore all the way."""
    if bench.beam:
        return tuple(sorted(point for point in bench.beam if point[0] >= 0.0)) or _as_wide_as_bore(bench)
    return _as_wide_as_bore(bench)


def _as_wide_as_bore(bench: BenchShape) -> tuple[tuple[float, float], ...]:
    return ((0.0, bench.cell.bore), (train_length(bench), bench.cell.bore))


def train_length(bench: BenchShape) -> float:
    """Distance that the train view covers, in m."""
    known = [o.distance for o in bench.train() if o.distance is not None]
    return max([*known, bench.target_distance or 0.0, 0.1])


def train_beam(bench: BenchShape, along: Along, least: float = 1.2) -> Item:
    """The beam along the train, with its width; at least `least` px so that it is seen."""
    points = [(along.at(z), max(along.across * d / 2, least)) for z, d in beam_profile(bench)]
    upper = [(x, along.axis - half) for x, half in points]
    lower = [(x, along.axis + half) for x, half in reversed(points)]
    return Path(polyline([*upper, *lower], closed=True), "beam-fill")


def draw_optic(optic: OpticShape, x: float, axis: float, half: float) -> Item:
    """One optic of the train; a turning mirror is drawn tilted, the beam straight on (unfolded)."""
    if optic.kind == "lens":
        return lens(x, axis, half, converging=(optic.focal_length or 1.0) > 0)
    if optic.kind == "mirror":
        return plate(x, axis, half, turn=optic.angle, thick=5.0, role="metal")
    return plate(x, axis, half, turn=optic.angle)


def draw_train(bench: BenchShape, along: Along, half: float) -> list[Item]:
    """Every optic of the train whose distance is known."""
    return [
        draw_optic(optic, along.at(optic.distance), along.axis, half)
        for optic in bench.train()
        if optic.distance is not None
    ]


def draw_target(x: float, axis: float, half: float) -> list[Item]:
    """The target: a plate, hatched behind."""
    out: list[Item] = [Path(rectangle(x, axis - half, 9, 2 * half), "gas")]
    steps = int(2 * half // 7)
    for i in range(steps + 1):
        y = axis - half + 7 * i
        out.append(Line(x, min(y + 7, axis + half), x + 9, y, "thin"))
    return out


def resonator_scene(bench: BenchShape, width: float = 620.0, height: float = 210.0) -> Scene:
    """The resonator on a sheet of its own: length to scale, heights enlarged and said so."""
    along = cavity_along(bench, 44, width - 88, height / 2 - 12, 58)
    cell = bench.cell
    left, right = along.at(0), along.at(bench.resonator_length)
    items: list[Item] = [Line(left - 16, along.axis, right + 30, along.axis, "no-beam"), *draw_cell_side(bench, along)]
    items += [cavity_beam(bench, along), *draw_mirrors(bench, along)]
    items += dimension(left, right, height - 40, f"{bench.resonator_length * 1e3:.4g} mm mirror to mirror")
    middle, pumped = (left + right) / 2, along.scale * cell.pumped_length / 2
    items += dimension(middle - pumped, middle + pumped, 26, f"{cell.pumped_length * 1e3:.4g} mm pumped")
    items += [
        Text(left, height / 2 + 52, bench.rear, "small", "middle"),
        Text(right, height / 2 + 52, bench.coupler, "small", "middle"),
    ]
    items += scale_bar(12, height - 10, along.scale, 110, f"heights {along.across / along.scale:.2g} times larger")
    words = (
        f"Length to scale: mirrors {bench.resonator_length * 1e3:.4g} mm apart, dye {cell.length * 1e3:.4g} mm long, "
        f"pumped over {cell.pumped_length * 1e3:.4g} mm, bore {cell.bore * 1e3:.3g} mm. "
        f"Heights {along.across / along.scale:.2g} times larger. "
        "The cell stands in the middle; its place is not in the build file."
    )
    return Scene("resonator", width, height, "Resonator from the side", words, tuple(items))


def train_scene(bench: BenchShape, width: float = 620.0, height: float = 230.0) -> Scene:
    """The beam train, unfolded, to scale in length, with the beam's width enlarged."""
    far = train_length(bench)
    widest = max([d for _, d in beam_profile(bench)] + [bench.cell.bore])
    along = Along(40, (width - 110) / far, height / 2 - 30, 54 / widest)
    items: list[Item] = [Line(20, along.axis, width - 30, along.axis, "no-beam"), train_beam(bench, along)]
    items.append(mirror(along.at(0), along.axis, 40, facing=-1))
    items += draw_train(bench, along, 40)
    places = [(along.at(o.distance), f"{o.id}, {o.distance:.3g} m") for o in bench.train() if o.distance is not None]
    if bench.target_distance is not None:
        items += draw_target(along.at(bench.target_distance), along.axis, 44)
        places.append((along.at(bench.target_distance), f"target, {bench.target_distance:.3g} m"))
    items += _hung([(along.at(0), bench.coupler), *places], along.axis + 48, width)
    items += scale_bar(12, height - 10, along.scale, 120, f"beam width {along.across / along.scale:.2g} times larger")
    return Scene("train", width, height, "Beam train, unfolded", _train_words(bench), tuple(items))


def _hung(places: Sequence[tuple[float, str]], y: float, width: float) -> list[Item]:
    """Names under their places, moved apart sideways."""
    spots = spread([x for x, _ in places], 100.0, 40.0, width - 50)
    out: list[Item] = []
    for (x, words), spot in zip(places, spots, strict=True):
        if spot is not None:
            out += [Line(x, y, spot, y + 16, "leader"), Text(spot, y + 29, words, "small", "middle")]
    return out


def _train_words(bench: BenchShape) -> str:
    stops = [f"{o.id} ({o.kind}) at {o.distance:.3g} m" for o in bench.train() if o.distance is not None]
    target = "target at " + (
        f"{bench.target_distance:.3g} m" if bench.target_distance is not None else "a distance not known"
    )
    width = "as computed for the shot" if bench.beam else "not known, drawn as wide as the bore"
    return f"From the output coupler: {', '.join([*stops, target])}. Turning mirrors are unfolded. Beam width {width}."
