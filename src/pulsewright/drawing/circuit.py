"""The discharge circuit, and two small plans: the dye loop and the spot on the target."""

from __future__ import annotations

from pulsewright.drawing.bench import BenchShape
from pulsewright.drawing.pieces import arrow, coil, resistor, scale_bar
from pulsewright.drawing.scene import Circle, Item, Line, Path, Scene, Text, polyline, rectangle

TOP, FLOOR = 56.0, 216.0
BLEEDER, BANK, DUMP, SWITCH, NET, END = 95.0, 178.0, 240.0, 296.0, 332.0, 532.0


def circuit_scene(bench: BenchShape, width: float = 620.0, height: float = 270.0) -> Scene:
    """Charger, bank with bleeder and dump, switch, loop and lamps, each with its value."""
    items: list[Item] = [*_charger(bench), *_bank(bench), *_switch(bench)]
    items += _network(bench) if bench.network != "single mesh" else _mesh(bench)
    items += _lamps(bench, width - 60)
    items += [Line(40, FLOOR, width - 60, FLOOR), *_ground(BANK)]
    lamps = f"{len(bench.lamps)} lamp{'s' if len(bench.lamps) > 1 else ''} in {bench.lamps_connected}"
    words = (
        f"Charger {bench.say('charger')}; bank {bench.say('bank')}; bleeder {bench.say('bleeder')}; "
        f"dump {bench.say('dump')}; switch {bench.switch}; {bench.network}: {bench.say('inductance')}, "
        f"{bench.say('resistance')}; {lamps if len(bench.lamps) > 1 else 'one lamp'}. A drawing, not a wiring plan."
    )
    return Scene("circuit", width, height, "Discharge circuit", words, tuple(items))


def _charger(bench: BenchShape) -> list[Item]:
    return [
        Path(rectangle(18, 112, 44, 44, 3), "gas"),
        Text(40, 139, "+", "name", "middle"),
        Line(40, 112, 40, TOP),
        Line(40, 156, 40, FLOOR),
        Line(40, TOP, DUMP, TOP),
        Text(18, FLOOR + 44, f"charger: {bench.say('charger')}", "small"),
    ]


def _bank(bench: BenchShape) -> list[Item]:
    return [
        Line(BANK, TOP, BANK, 129),
        Line(BANK - 22, 129, BANK + 22, 129, "heavy"),
        Line(BANK - 22, 140, BANK + 22, 140, "heavy"),
        Line(BANK, 140, BANK, FLOOR),
        Text(BANK + 6, 116, bench.say("bank"), "text"),
        Line(BLEEDER, TOP, BLEEDER, FLOOR),
        _upright(BLEEDER, 135),
        Text(BLEEDER + 10, 182, "bleeder", "small"),
        Text(BLEEDER + 10, 196, bench.say("bleeder"), "small"),
        Line(DUMP, TOP, DUMP, 158),
        Path(polyline([(DUMP, 168), (DUMP - 10, 152)]), "ink"),
        Circle(DUMP, 168, 2, "solid"),
        Line(DUMP, 168, DUMP, FLOOR),
        _upright(DUMP, 190, 26),
        Text(DUMP + 10, 187, "dump", "small"),
        Text(DUMP + 10, 201, bench.say("dump"), "small"),
    ]


def _upright(x: float, y: float, length: float = 34.0) -> Item:
    return Path(rectangle(x - 6, y - length / 2, 12, length), "gas")


def _switch(bench: BenchShape) -> list[Item]:
    x = SWITCH
    leads: list[Item] = [Line(DUMP, TOP, x - 16, TOP), Line(x + 16, TOP, NET, TOP)]
    words: list[Item] = [Text(x, TOP - 22, bench.switch if bench.switch != "none" else "no switch", "small", "middle")]
    if "gap" in bench.switch:
        trigger: list[Item] = [Line(x, TOP + 4, x, TOP + 22, "thin")] if "triggered" in bench.switch else []
        return [*leads, *words, Circle(x - 9, TOP, 7, "metal"), Circle(x + 9, TOP, 7, "metal"), *trigger]
    if bench.switch == "none":
        return [*leads, *words, Line(x - 16, TOP, x + 16, TOP)]
    inside: list[Item] = [Line(x - 16, TOP, x - 5, TOP, "heavy"), Line(x + 5, TOP - 8, x + 5, TOP + 8, "heavy")]
    return [*leads, *words, Circle(x, TOP, 16, "gas"), *inside, Line(x + 5, TOP, x + 16, TOP)]


def _mesh(bench: BenchShape) -> list[Item]:
    return [
        coil(NET, TOP, 4, 64),
        Text(NET + 32, TOP + 22, bench.say("inductance"), "text", "middle"),
        Line(NET + 64, TOP, NET + 100, TOP),
        resistor(NET + 124, TOP, 48),
        Text(NET + 124, TOP + 22, bench.say("resistance"), "text", "middle"),
        Line(NET + 148, TOP, END, TOP),
    ]


def _network(bench: BenchShape) -> list[Item]:
    """Sections of a pulse-forming network; at most four are drawn, the words say how many there are."""
    count = bench.sections or 0
    shown = min(max(count, 2), 4)
    step = 200.0 / shown
    out: list[Item] = []
    for i in range(shown):
        x = NET + i * step
        out += [coil(x, TOP, 3, step - 8), Line(x + step - 8, TOP, x + step, TOP)]
        if i < shown - 1:
            foot = x + step - 4
            out += [Line(foot, TOP, foot, 118), Line(foot - 10, 118, foot + 10, 118, "heavy")]
            out += [Line(foot - 10, 126, foot + 10, 126, "heavy"), Line(foot, 126, foot, FLOOR)]
    sections = f"{count} sections" if count else "sections not known"
    return [*out, Text(NET + 100, TOP - 16, f"{sections}, {bench.say('inductance')} each", "small", "middle")]


def _lamps(bench: BenchShape, x: float) -> list[Item]:
    count = len(bench.lamps)
    if bench.lamps_connected == "series":
        return _in_series(bench, x, count)
    out: list[Item] = [Line(END, TOP, x, TOP)]
    first = x - 34.0 * (count - 1)
    for i, lamp in enumerate(bench.lamps):
        out += [Line(first + 34 * i, TOP, first + 34 * i, FLOOR), *_tube(first + 34 * i, (TOP + FLOOR) / 2, 70, "")]
        out.append(Text(first + 34 * i, FLOOR + 20, lamp.id, "small", "middle"))
    return out


def _in_series(bench: BenchShape, x: float, count: int) -> list[Item]:
    room = (FLOOR - TOP - 12) / count
    out: list[Item] = [Line(END, TOP, x, TOP), Line(x, TOP, x, FLOOR)]
    for i, lamp in enumerate(bench.lamps):
        out += _tube(x, TOP + 6 + room * (i + 0.5), min(room - 8, 70), lamp.id)
    return out


def _tube(x: float, y: float, length: float, words: str) -> list[Item]:
    cap = min(10.0, length / 4)
    out: list[Item] = [Path(rectangle(x - 9, y - length / 2, 18, length, 7), "glass")]
    for side in (-1, 1):
        end = y + side * length / 2
        out.append(Line(x, end, x, end - side * cap, "heavy"))
    return [*out, Text(x - 16, y + 4, words, "small", "end")] if words else out


def _ground(x: float) -> list[Item]:
    rows = ((14, 8), (9, 13), (4, 18))
    return [Line(x, FLOOR, x, FLOOR + 8), *[Line(x - w, FLOOR + dy, x + w, FLOOR + dy) for w, dy in rows]]


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
        Text(width - 135, height - 10, bench.loop_method or "method not known", "small", "middle"),
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
