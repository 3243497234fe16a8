"""Two small plans: the dye loop, and the spot on the target."""

from __future__ import annotations

from pulsewright.drawing.bench import BenchShape
from pulsewright.drawing.pieces import arrow, scale_bar
from pulsewright.drawing.scene import Circle, Item, Path, Scene, Text, polyline, rectangle


def loop_scene(bench: BenchShape, width: float = 460.0, height: float = 210.0) -> Scene:
    """How the dye reaches the cell: store, pump, cell and back, by the method of the build file."""
    closed = bench.loop_method == "closed loop"
    items: list[Item] = [
        Path(rectangle(30, 84, 70, 76, 8), "gas"),
        Path(rectangle(30, 112, 70, 48), "dye"),
        Text(65, 178, bench.say("bottles"), "small", "middle"),
        Path(rectangle(width - 210, 54, 150, 22), "glass"),
        Path(rectangle(width - 206, 59, 142, 12), "dye"),
        Text(width - 135, 44, "dye cell", "small", "middle"),
    ]
    if bench.loop_method != "stagnant":
        items += arrow([(65, 84), (65, 65), (width - 212, 65)])
        items += [Circle(165, 65, 17, "gas"), Path(polyline([(156, 52), (181, 65), (156, 78)], closed=True), "thin")]
        items.append(Text(165, 102, bench.say("pump"), "small", "middle"))
        end = (102.0, 136.0) if closed else (width - 30, 136.0)
        items += arrow(
            [(width - 60, 65), (width - 30, 65), (width - 30, 136), end]
            if closed
            else [(width - 60, 65), (width - 30, 65), end]
        )
    method = bench.loop_method or "not known"
    words = f"Dye: {bench.say('dye')}. Method: {method}; {bench.say('bottles')}; {bench.say('pump')}."
    return Scene("loop", width, height, "Dye loop", words + " A drawing, not to scale.", tuple(items))


def target_scene(bench: BenchShape, width: float = 460.0, height: float = 250.0) -> Scene:
    """The beam's spot on the target beside its size at the output coupler, to one scale."""
    first = bench.cell.bore
    spot = bench.beam[-1][1] if bench.beam else None
    scale = 90.0 / max(first, spot or 0.0)
    y = height / 2 - 12
    items: list[Item] = [
        Circle(130, y, max(scale * first, 1.0), "beam-fill"),
        Text(130, height - 36, "at the coupler", "small", "middle"),
    ]
    if spot is None:
        items.append(Text(330, y, "spot not known", "text", "middle"))
    else:
        items.append(Circle(330, y, max(scale * spot, 1.0), "beam-fill"))
    items += [
        Text(330, height - 36, f"on the target, {bench.say('target')}", "small", "middle"),
        *scale_bar(12, height - 10, 2 * scale, 110),
    ]
    size = "not known" if spot is None else f"{spot * 1e3:.3g} mm"
    words = f"To scale. Beam {first * 1e3:.3g} mm across at the coupler; spot on the target {size}."
    return Scene("target", width, height, "Spot on the target", words, tuple(items))
