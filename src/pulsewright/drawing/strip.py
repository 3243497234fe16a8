"""The strip: the whole laser in one line, drawn from the build file; every part is a link to its sheet."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from pulsewright.drawing.bench import UNJUDGED, BenchShape, State
from pulsewright.drawing.chamber import draw_cell, draw_chamber, draw_lamps
from pulsewright.drawing.labels import fit
from pulsewright.drawing.pieces import resistor, scale_bar
from pulsewright.drawing.scene import Circle, Group, Item, Line, Path, Scene, Text, polyline, rectangle
from pulsewright.drawing.section import section
from pulsewright.drawing.train import (
    Along,
    beam_profile,
    cavity_along,
    cavity_beam,
    draw_cell_side,
    draw_mirrors,
    draw_target,
    draw_train,
    train_beam,
    train_length,
)

WIDTH, HEIGHT = 1360.0, 272.0
AXIS, NAME_Y, STATE_Y, FEED_Y = 74.0, 164.0, 184.0, 212.0


@dataclass(frozen=True, slots=True)
class Place:
    """A part's column: its id, name, and where it stands."""

    id: str
    name: str
    x: float
    width: float


#: Main row, in the order of the shot. Places overlap nowhere, so that each is one target.
PLACES: tuple[Place, ...] = (
    Place("bank", "bank", 6, 132),
    Place("switch", "switch", 142, 104),
    Place("lamps", "lamps", 252, 142),
    Place("chamber", "chamber", 398, 142),
    Place("dye", "dye cell", 546, 172),
    Place("resonator", "resonator", 722, 180),
    Place("train", "train", 910, 276),
    Place("target", "target", 1190, 164),
)

#: What feeds the parts: id, sheet it opens, name, x, width, part it feeds.
FEEDS: tuple[tuple[Place, str, str], ...] = (
    (Place("charger", "charger", 6, 214), "bank", "bank"),
    (Place("coolant", "coolant", 300, 160), "chamber", "chamber"),
    (Place("bottles", "bottles", 470, 158), "loop", "dye"),
    (Place("pump", "pump", 632, 150), "loop", "dye"),
    (Place("gas", "gas", 786, 168), "dye", "dye"),
    (Place("air", "air", 1000, 170), "room", ""),
    (Place("room", "room", 1176, 178), "room", ""),
)

Link = Callable[[str], str]


def strip_scene(bench: BenchShape, states: Mapping[str, State], link: Link, *, selected: str = "") -> Scene:
    """Draw the strip.

    Parameters
    ----------
    bench : BenchShape
    states : mapping of str to State
        How each part stands; a part without one is shown as not judged.
    link : callable
        Sheet id to its address.
    selected : str
        Sheet that is open.
    """
    drawn = _drawings(bench)
    groups = [_part(place, drawn[place.id], states.get(place.id, UNJUDGED), link, selected) for place in PLACES]
    feeds = [_feed(place, sheet, bench, link, selected) for place, sheet, _ in FEEDS]
    items = (*_backdrop(bench), *groups, *_beam(bench), *feeds)
    words = "From left to right: " + ", ".join(f"{p.name} {states.get(p.id, UNJUDGED).word}" for p in PLACES) + "."
    return Scene("strip", WIDTH, HEIGHT, f"{bench.name}: the laser, part by part", words, items)


def _part(place: Place, drawing: Sequence[Item], state: State, link: Link, selected: str) -> Item:
    current = " selected" if place.id == selected else ""
    hit = Path(rectangle(place.x, 4, place.width, STATE_Y + 6, 6), "hit")
    middle = place.x + place.width / 2
    items = (
        hit,
        *drawing,
        Text(middle, NAME_Y, place.name, "name", "middle"),
        Group((Text(middle, STATE_Y, state.text, f"state {state.grade}", "middle"),), id=f"state-{place.id}"),
    )
    return Group(items, id=f"part-{place.id}", title="", role=f"part{current}", href=link(place.id))


def _drawings(bench: BenchShape) -> dict[str, list[Item]]:
    x, y, scale = _chamber_place(bench)
    along = _cavity(bench)
    return {
        "bank": _bank(bench),
        "switch": _switch(bench),
        "chamber": [*draw_cell(bench, x, y, scale), *scale_bar(404, 144, scale, 70)],
        "lamps": [*draw_lamps(bench, x, y, scale)],
        "dye": [*draw_cell_side(bench, along), Text(632, 126, fit(bench.say("dye"), 170, 11), "small", "middle")],
        "resonator": [*draw_mirrors(bench, along), *scale_bar(800, 144, along.scale, 64)],
        "train": _train(bench),
        "target": _target(bench),
    }


def _chamber_place(bench: BenchShape) -> tuple[float, float, float]:
    plan = section(bench)
    return 396.0, AXIS, min(124.0 / plan.half_width, 58.0 / plan.half_height)


def _cavity(bench: BenchShape) -> Along:
    return cavity_along(bench, 566.0, 320.0, AXIS, 34.0)


def _bank(bench: BenchShape) -> list[Item]:
    x = 72.0
    plates: list[Item] = [Line(x - 26, y, x + 26, y, "heavy") for y in (AXIS - 5, AXIS + 7)]
    leads = "M72 69L72 34L138 34M72 81L72 114L138 114"
    return [
        Path(leads, "ink"),
        *plates,
        Text(x + 32, AXIS + 5, fit(bench.say("bank"), 46, 11), "small"),
        _charge_signs(x),
    ]


def _charge_signs(x: float) -> Item:
    return Path(
        polyline([(x - 40, AXIS - 14), (x - 32, AXIS - 14)]) + polyline([(x - 36, AXIS - 18), (x - 36, AXIS - 10)]),
        "thin",
    )


def _switch(bench: BenchShape) -> list[Item]:
    x, y = 194.0, 34.0
    leads: list[Item] = [Line(138, y, x - 15, y), Line(x + 15, y, 252, y), Line(138, 114, 252, 114)]
    kind = bench.switch
    words = Text(x, AXIS + 6, kind if len(kind) < 18 else kind.split(" ", 1)[0], "small", "middle")
    tail: list[Item] = (
        [words] if len(kind) < 18 else [words, Text(x, AXIS + 19, kind.split(" ", 1)[1], "small", "middle")]
    )
    if "gap" in kind:
        return [*leads, Circle(x - 9, y, 6, "metal"), Circle(x + 9, y, 6, "metal"), *tail]
    if kind == "none":
        return [*leads, Line(x - 15, y, x + 15, y), *tail]
    return [
        *leads,
        Circle(x, y, 16, "gas"),
        Line(x - 15, y, x - 5, y, "heavy"),
        Line(x + 5, y - 8, x + 5, y + 8, "heavy"),
        Line(x + 5, y, x + 15, y),
        *tail,
    ]


def _lamp_leads(bench: BenchShape, x: float, y: float, scale: float) -> list[Item]:
    """Leads from the loop to the lamps; behind the chamber, so only their outer ends show."""
    left = x - scale * section(bench).half_width
    return [
        Path(polyline([(252, 34), (min(270, left), 34), (left + 4, y - 10)]), "thin"),
        Path(polyline([(252, 114), (min(270, left), 114), (left + 4, y + 10)]), "thin"),
    ]


def _train_along(bench: BenchShape) -> Along:
    start = _cavity(bench).at(bench.resonator_length) + 7
    end = 1262.0 if bench.target_distance is not None else 1170.0
    widest = max(d for _, d in beam_profile(bench))
    return Along(start, (end - start) / train_length(bench), AXIS, 17.0 / max(widest, 1e-6))


def _train(bench: BenchShape) -> list[Item]:
    along = _train_along(bench)
    optics = draw_train(bench, along, 30)
    if not optics:
        optics = [Text(1048, AXIS + 40, "no optics in the train", "small", "middle")]
    return [*optics, *scale_bar(1000, 144, along.scale, 90)]


def _target(bench: BenchShape) -> list[Item]:
    if bench.target_distance is None:
        return [*draw_target(1262, AXIS, 34), Text(1272, 126, "distance not known", "small", "middle")]
    return [*draw_target(1262, AXIS, 34), Text(1272, 126, fit(bench.say("target"), 160, 11), "small", "middle")]


def _backdrop(bench: BenchShape) -> list[Item]:
    """What lies behind the parts: reflector, leads, feed lines and the axis on which the beam will lie."""
    x, y, scale = _chamber_place(bench)
    out: list[Item] = [*_lamp_leads(bench, x, y, scale), *draw_chamber(bench, x, y, scale)]
    out.append(Line(552, AXIS, 1262, AXIS, "no-beam"))
    for place, _, part in FEEDS:
        goal = next((one for one in PLACES if one.id == part), None)
        if goal is not None:
            x = min(max(place.x + place.width / 2, goal.x + 12), goal.x + goal.width - 12)
            out.append(Path(polyline([(place.x + place.width / 2, FEED_Y + 4), (x, 194)]), "feed"))
    return out


def _beam(bench: BenchShape) -> list[Item]:
    return [
        Group(
            (cavity_beam(bench, _cavity(bench)), train_beam(bench, _train_along(bench))), id="strip-beam", role="beam"
        )
    ]


def _feed(place: Place, sheet: str, bench: BenchShape, link: Link, selected: str) -> Item:
    current = " selected" if sheet == selected and place.id == sheet else ""
    items = (
        Path(rectangle(place.x, FEED_Y, place.width, 54, 6), "hit"),
        *_ICONS.get(place.id, _box_icon)(place.x + 22, FEED_Y + 27),
        Text(place.x + 44, FEED_Y + 24, place.name, "feed-name"),
        Text(place.x + 44, FEED_Y + 41, fit(bench.say(place.id), place.width - 48, 11), "small"),
    )
    return Group(items, id=f"feed-{place.id}", role=f"part feed-part{current}", href=link(sheet))


def _box_icon(x: float, y: float) -> list[Item]:
    return [Path(rectangle(x - 12, y - 10, 24, 20, 2), "gas"), resistor(x, y, 12, 6)]


def _bottles(x: float, y: float) -> list[Item]:
    def one(left: float) -> str:
        return polyline(
            [
                (left + 3, y - 13),
                (left + 3, y - 8),
                (left, y - 4),
                (left, y + 13),
                (left + 11, y + 13),
                (left + 11, y - 4),
                (left + 8, y - 8),
                (left + 8, y - 13),
            ],
            closed=True,
        )

    return [
        Path(one(x - 13), "gas"),
        Path(one(x + 2), "gas"),
        Path(rectangle(x - 13, y + 3, 11, 10), "dye"),
        Path(rectangle(x + 2, y + 3, 11, 10), "dye"),
    ]


def _pump(x: float, y: float) -> list[Item]:
    return [Circle(x, y, 12, "gas"), Path(polyline([(x - 7, y - 9), (x + 12, y), (x - 7, y + 9)], closed=True), "thin")]


def _cylinder(x: float, y: float) -> list[Item]:
    return [Path(rectangle(x - 6, y - 8, 12, 22, 5), "gas"), Path(rectangle(x - 2, y - 14, 4, 6), "metal")]


def _drop(x: float, y: float) -> list[Item]:
    from_tip = [(x, y - 14), (x + 9, y + 2), (x + 8, y + 8), (x, y + 13), (x - 8, y + 8), (x - 9, y + 2)]
    return [Path(polyline(from_tip, closed=True), "liquid-line")]


def _air(x: float, y: float) -> list[Item]:
    wave = "q4 -5 8 0q4 5 8 0q4 -5 8 0"
    return [Path(f"M{x - 12:g} {y + dy:g}{wave}", "thin") for dy in (-7, 0, 7)]


def _room(x: float, y: float) -> list[Item]:
    return [
        Path(
            polyline([(x - 13, y + 12), (x - 13, y - 4), (x, y - 13), (x + 13, y - 4), (x + 13, y + 12)], closed=True),
            "gas",
        ),
        Path(rectangle(x - 4, y, 8, 12), "thin"),
    ]


_ICONS: Mapping[str, Callable[[float, float], list[Item]]] = {
    "coolant": _drop,
    "bottles": _bottles,
    "pump": _pump,
    "gas": _cylinder,
    "air": _air,
    "room": _room,
}
