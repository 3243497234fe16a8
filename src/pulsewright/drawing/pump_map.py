"""Where in the dye the pump light stays: the cell enlarged, each shell or layer in a step of ink with its value."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from html import escape

import numpy as np

from pulsewright.drawing.plot import three
from pulsewright.drawing.scene import Circle, Item, Line, Path, Scene, Text, rectangle
from pulsewright.drawing.tones import Tones, key_items, tones_of

RADIUS = 104.0
TOP, WIDTH, HEIGHT = 44.0, 620.0, 282.0


@dataclass(frozen=True, slots=True)
class PumpMap:
    """The map before it has a size.

    Parameters
    ----------
    edges : sequence of float
        Outer radii of shells, rising; for a slab distances of layers from its first face. [mm]
    values : sequence of float
        Energy taken up per volume. [J/cm^3]
    energies : sequence of float
        Energy taken up. [J]
    width : float or None
        Width of a slab; None for a cylinder. [mm]
    method : str
        How the light was followed, with its standard error.
    """

    edges: Sequence[float]
    values: Sequence[float]
    energies: Sequence[float]
    width: float | None
    method: str

    @property
    def evenness(self) -> float:
        """Least over most."""
        most = max(self.values, default=0.0)
        return min(self.values) / most if most > 0.0 else 0.0


def part_words(index: int, plan: PumpMap) -> str:
    """Name of a shell or layer."""
    count = len(plan.values)
    if plan.width is not None:
        return f"layer {index + 1}"
    return "axis" if index == 0 else ("wall" if index == count - 1 else f"shell {index + 1}")


def pump_map_scene(plan: PumpMap) -> Scene:
    """Draw the map; names and values stand beside it, joined to their shells by thin lines."""
    tones = tones_of(np.array(plan.values))
    draw = _shells if plan.width is None else _layers
    items: list[Item] = [*draw(plan, tones), *key_items(WIDTH - 70, TOP + 4, 2 * RADIUS - 8, tones, "")]
    items.append(Text(0, 14, "pump energy taken up per volume (J/cm³)", "axis-title"))
    items.append(Text(0, HEIGHT - 4, plan.method, "small"))
    return Scene("pump-map", WIDTH, HEIGHT, "Pump map on the dye", pump_map_words(plan), tuple(items))


def _shells(plan: PumpMap, tones: Tones) -> list[Item]:
    x, y = 20 + RADIUS, TOP + RADIUS
    scale = RADIUS / plan.edges[-1]
    steps = tones.of(np.array(plan.values))
    out: list[Item] = []
    for i in reversed(range(len(plan.edges))):  # larger circles first; paper below, so that steps of ink do not add
        radius = scale * plan.edges[i]
        out += [Circle(x, y, radius, "paper"), Circle(x, y, radius, f"tone tone{int(steps[i])}")]
        out.append(Circle(x, y, radius, "thin"))
    inner = [0.0, *plan.edges[:-1]]
    places = []
    for i, (low, high) in enumerate(zip(inner, plan.edges, strict=True)):
        turn = math.radians(-62 + 124 * i / max(len(plan.edges) - 1, 1))
        middle = scale * (low + high) / 2
        places.append((x + middle * math.cos(turn), y + middle * math.sin(turn)))
    return [*out, *_values(plan, places, x + RADIUS + 28)]


def _layers(plan: PumpMap, tones: Tones) -> list[Item]:
    assert plan.width is not None
    thick = plan.edges[-1]
    scale = min(2 * RADIUS / thick, 2 * RADIUS / plan.width)
    x, y, wide = 20.0, TOP + RADIUS - scale * thick / 2, scale * plan.width
    steps = tones.of(np.array(plan.values))
    out: list[Item] = []
    places = []
    for i, (low, high) in enumerate(zip([0.0, *plan.edges[:-1]], plan.edges, strict=True)):
        out.append(Path(rectangle(x, y + scale * low, wide, scale * (high - low)), f"tone tone{int(steps[i])}"))
        places.append((x + wide, y + scale * (low + high) / 2))
    out.append(Path(rectangle(x, y, wide, scale * thick), "thin"))
    return [*out, *_values(plan, places, x + wide + 40)]


def _values(plan: PumpMap, places: Sequence[tuple[float, float]], x: float) -> list[Item]:
    """Names and values in a column, each joined to its shell."""
    pitch = min(26.0, 2 * RADIUS / max(len(places), 1))
    top = TOP + RADIUS - pitch * (len(places) - 1) / 2
    out: list[Item] = []
    for i, (px, py) in enumerate(places):
        y = top + pitch * i
        out.append(Circle(px, py, 2.2, "dot"))
        out.append(Line(px + 2, py, x - 6, y, "leader"))
        out.append(Text(x, y + 4, f"{part_words(i, plan)}  {three(plan.values[i])}", "label"))
    return out


def pump_map_words(plan: PumpMap) -> str:
    """The map in words."""
    parts = [f"{part_words(i, plan)} {three(value)}" for i, value in enumerate(plan.values)]
    return (
        f"Pump energy taken up per volume, in J/cm³: {', '.join(parts)}. "
        f"Least over most {three(plan.evenness)}. {plan.method}."
    )


def pump_map_table(plan: PumpMap) -> str:
    """The map as an HTML table."""
    inner = [0.0, *plan.edges[:-1]]
    body = "".join(
        f'<tr><th scope="row">{part_words(i, plan)}</th><td>{three(low)} to {three(high)}</td>'
        f"<td>{three(plan.values[i])}</td><td>{three(plan.energies[i])}</td></tr>"
        for i, (low, high) in enumerate(zip(inner, plan.edges, strict=True))
    )
    where = "radius (mm)" if plan.width is None else "from the first face (mm)"
    heads = "".join(f'<th scope="col">{words}</th>' for words in ("part", where, "J/cm³", "J"))
    return (
        f"<table><caption>{escape(plan.method)}</caption><thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table>"
    )
