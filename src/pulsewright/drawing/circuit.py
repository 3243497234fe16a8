"""The discharge circuit: charger, divider and meter, bleeder, dump, bank or network, switch, loop and lamps.

One wire at the top, one at the bottom; the parts are set from left to right in the order in which the energy passes.
"""

from __future__ import annotations

from collections.abc import Callable, Sequence
from textwrap import wrap

from pulsewright.drawing import symbols
from pulsewright.drawing.bench import BenchShape, BranchShape
from pulsewright.drawing.labels import text_width
from pulsewright.drawing.scene import Item, Line, Scene, Text
from pulsewright.drawing.symbols import Pen, node

TOP, LEAST_HEIGHT, LAMP_ROOM = 66.0, 172.0, 52.0
#: A row of a lamp's own loop, and what its own capacitor adds.
ROW, OWN_BANK = 86.0, 38.0
#: A network with more sections than this is drawn with a gap; the words say how many there are.
MOST_SECTIONS = 8
#: Mean width of a letter of the notes, in px.
NOTE_LETTER = 6.2
DOWN, UP = 1, 3
Draw = Callable[[Pen, float], list[Item]]


class _Rail:
    """Two wires that grow to the right as parts are set between or into them."""

    def __init__(self, floor: float) -> None:
        self.floor = floor
        self.x = 40.0
        self.items: list[Item] = []

    @property
    def height(self) -> float:
        return self.floor - TOP

    def wire(self, to: float, *, floor: bool = True) -> None:
        """Both wires, or the upper one, on to a place."""
        self.items.append(Line(self.x, TOP, to, TOP))
        if floor:
            self.items.append(Line(self.x, self.floor, to, self.floor))
        self.x = to

    def shunt(self, draw: Draw, words: Sequence[str] = (), *, left: float = 20.0, lower: bool = False) -> float:
        """A branch between the wires with its words to the right of it; the place it stands at."""
        at = self.x + left
        room = max([text_width(line, 12) for line in words] or [0.0])
        self.wire(at)
        self.items += [*draw(Pen(at, TOP, DOWN), self.height), node(at, TOP), node(at, self.floor)]
        first = TOP + self.height * (0.72 if lower else 0.5) - 7 * len(words) + 11
        for i, line in enumerate(words):
            self.items.append(Text(at + 20, first + 14 * i, line, "label" if i else "small"))
        self.wire(at + (22 + room if words else 0.0))
        return at

    def series(self, draw: Draw, length: float, below: str = "", above: Sequence[str] = ()) -> None:
        """A part in the upper wire with its words below or above it."""
        width = max([length, text_width(below, 12) + 14, *(text_width(line, 11) + 8 for line in above)])
        self.items += draw(Pen(self.x, TOP), width)
        middle = self.x + width / 2
        if below:
            self.items.append(Text(middle, TOP + 26, below, "label", "middle"))
        for i, line in enumerate(above):
            self.items.append(Text(middle, TOP - 24 - 13 * (len(above) - 1 - i), line, "small", "middle"))
        self.items.append(Line(self.x, self.floor, self.x + width, self.floor))
        self.x += width


def circuit_scene(bench: BenchShape) -> Scene:
    """The whole circuit with its values."""
    rail = _Rail(TOP + _height(bench))
    _charging_side(rail, bench)
    earth = _store(rail, bench)
    _across_the_bank(rail, bench)
    right = _separate(rail, bench) if bench.lamps_connected == "separate loops" else _one_loop(rail, bench)
    items = [*rail.items, *symbols.earth(earth, rail.floor), Text(earth + 18, rail.floor + 18, _earth(bench), "small")]
    width = max(right + 24, 560.0)
    notes = [row for line in bench.circuit_notes for row in wrap(line, int((width - 28) / NOTE_LETTER))]
    items += [Text(14, rail.floor + 46 + 16 * i, row, "small") for i, row in enumerate(notes)]
    height = rail.floor + 40 + 16 * len(notes)
    return Scene("circuit", width, height, "Discharge circuit", circuit_words(bench), tuple(items))


def _height(bench: BenchShape) -> float:
    count = len(bench.lamps)
    if bench.lamps_connected == "separate loops":
        rows = sum(ROW + (OWN_BANK if bench.branch(lamp.id).capacitance else 0.0) for lamp in bench.lamps)
        return max(LEAST_HEIGHT, rows)
    return max(LEAST_HEIGHT, LAMP_ROOM * count) if bench.lamps_connected == "series" else LEAST_HEIGHT


def _earth(bench: BenchShape) -> str:
    lead = bench.words.get("earth_inductance", "")
    return f"earth, by a lead of {lead}" if lead else "earth"


def _charging_side(rail: _Rail, bench: BenchShape) -> None:
    rail.items += symbols.converter(Pen(rail.x, TOP, DOWN), rail.height)
    rail.wire(rail.x + 22)
    if bench.charge_method == "resistor":
        rail.series(symbols.resistor, 48, bench.say("charging_resistance"))
    _divider(rail, bench)
    rail.shunt(symbols.resistor, ("bleeder", bench.say("bleeder")))
    rail.shunt(_dump, ("dump", bench.say("dump")), lower=True)


def _divider(rail: _Rail, bench: BenchShape) -> None:
    """Upper arm, lower arm, and the meter across the lower arm."""
    at = rail.x + 20
    rail.wire(at)
    half = rail.height / 2
    joint, upper, lower = TOP + half, bench.say("upper_resistance"), bench.say("lower_resistance")
    rail.items += [
        *symbols.resistor(Pen(at, TOP, DOWN), half),
        *symbols.resistor(Pen(at, joint, DOWN), half),
        *symbols.meter(Pen(at + 32, joint, DOWN), half),
        Line(at, joint, at + 32, joint),
        *(node(x, y) for x, y in ((at, TOP), (at, joint), (at, rail.floor), (at + 32, rail.floor))),
        Text(at + 14, TOP + half / 2 - 3, "divider, meter", "small"),
        Text(at + 14, TOP + half / 2 + 11, upper, "label"),
        Text(at + 50, joint + half / 2 - 3, "lower arm", "small"),
        Text(at + 50, joint + half / 2 + 11, lower, "label"),
    ]
    rail.wire(
        at
        + max(
            14 + text_width("divider, meter", 11),
            14 + text_width(upper),
            50 + text_width("lower arm", 11),
            50 + text_width(lower),
        )
    )


def _dump(pen: Pen, length: float) -> list[Item]:
    half = length / 2
    below = Pen(*pen.at(half), pen.turn)
    return [*symbols.contact(pen, half), *symbols.resistor(below, half)]


def _store(rail: _Rail, bench: BenchShape) -> float:
    """The bank, or the network in its place; where its foot stands, which is the earth point."""
    if bench.all_own:
        rail.wire(rail.x + 18)
        return rail.x
    if bench.network == "single mesh":
        return rail.shunt(symbols.capacitor, ("bank", bench.say("bank")), left=28)
    count = bench.sections or 0
    shown = count if 0 < count <= MOST_SECTIONS else 4
    first = rail.shunt(symbols.capacitor, left=28)
    for i in range(1, shown):
        if shown != count and i == shown - 1:
            _gap(rail)
        rail.series(lambda pen, length: symbols.inductor(pen, length, radius=4.0), 42)
        rail.shunt(symbols.capacitor, left=8)
    words = _network_words(bench)
    rail.items.append(Text(first - 4, TOP - 20, words, "small"))
    rail.wire(max(rail.x + 12, first + text_width(words, 11) + 8))
    return first


def _network_words(bench: BenchShape) -> str:
    count = f"{bench.sections} capacitors" if bench.sections else "capacitors, how many is not known,"
    return f"{count} of {bench.say('section_capacitance')}, coils of {bench.say('section_inductance')} between"


def _gap(rail: _Rail) -> None:
    """Sections left out."""
    x = rail.x + 8
    rail.wire(x)
    rail.items += [
        Text(x + 13, TOP + 4, "...", "name", "middle"),
        Text(x + 13, rail.floor + 4, "...", "name", "middle"),
    ]
    rail.x = x + 26


def _across_the_bank(rail: _Rail, bench: BenchShape) -> None:
    if bench.crowbar == "clamp diode":
        rail.shunt(_clamp, ("clamp diode", bench.say("crowbar")), left=26)
    elif bench.crowbar == "crowbar switch":
        rail.shunt(_crowbar, ("crowbar", bench.say("crowbar")), left=26)


def _clamp(pen: Pen, length: float) -> list[Item]:
    """A diode that conducts when the bank reverses, and its resistance."""
    half = length / 2
    foot = Pen(*pen.at(length), UP)
    return [*symbols.resistor(pen, half, 24), *symbols.diode(foot, half)]


def _crowbar(pen: Pen, length: float) -> list[Item]:
    half = length / 2
    below = Pen(*pen.at(half), pen.turn)
    return [*symbols.gap(pen, half, triggered=True), *symbols.resistor(below, half, 24)]


def _switch(kind: str) -> Draw:
    if kind in ("triggered spark gap", "overvoltage gap"):
        return lambda pen, length: symbols.gap(pen, length, triggered=kind == "triggered spark gap")
    if kind == "hard switch":
        return lambda pen, length: symbols.contact(pen, length, driven=True)
    return symbols.thyratron if kind == "thyratron" else _plain


def _plain(pen: Pen, length: float) -> list[Item]:
    return [pen.line(0, 0, length, 0)]


def _switch_words(kind: str) -> tuple[str, ...]:
    return ("no switch",) if kind == "none" else tuple(kind.split(" ", 1))


def _coil(bench: BenchShape) -> Draw:
    """The loop's inductance; with the second winding of a trigger transformer where the pulse goes in in series."""
    if bench.trigger != "series injection":
        return symbols.inductor

    def coupled(pen: Pen, length: float) -> list[Item]:
        x, y = pen.at(length / 2)
        core: list[Item] = [Line(x - 22, y - dy, x + 22, y - dy, "thin") for dy in (11, 14)]
        above = Pen(x + 30, y - 19, 2)
        second = symbols.inductor(above, 60)
        return [*symbols.inductor(pen, length), *core, *second, Text(x, y - 42, "trigger pulse", "small", "middle")]

    return coupled


def _one_loop(rail: _Rail, bench: BenchShape) -> float:
    """One switch and one loop; lamps in series or in parallel. The right-hand end."""
    rail.wire(rail.x + 6)
    rail.series(_switch(bench.switch), 56, above=_switch_words(bench.switch))
    if bench.trigger == "pre-pulse":
        rail.shunt(_prepulse, ("pre-pulse", bench.say("prepulse")), left=26)
    if bench.trigger == "simmer":
        rail.shunt(symbols.current_source, ("simmer", bench.say("simmer")), left=26)
    rail.series(_coil(bench), 62, bench.say("inductance"))
    rail.series(symbols.resistor, 52, bench.say("resistance"))
    end = _in_series(rail, bench) if bench.lamps_connected == "series" else _in_parallel(rail, bench)
    return _pumped(rail, end) if bench.trigger == "pressure drop" else end


def _prepulse(pen: Pen, length: float) -> list[Item]:
    half = length / 2
    below = Pen(*pen.at(half), pen.turn)
    return [*symbols.contact(pen, half), *symbols.capacitor(below, half, 13)]


def _in_series(rail: _Rail, bench: BenchShape) -> float:
    at = rail.x + 26
    rail.wire(at)
    room = rail.height / len(bench.lamps)
    for i, lamp in enumerate(bench.lamps):
        pen = Pen(at, TOP + room * i, DOWN)
        rail.items += _tube(bench, pen, room, min(58.0, room - 10))
        rail.items.append(Text(at + 22, TOP + room * (i + 0.5) + 4, lamp.id, "small"))
    return at + 24 + max(text_width(lamp.id, 11) for lamp in bench.lamps)


def _in_parallel(rail: _Rail, bench: BenchShape) -> float:
    for lamp in bench.lamps:
        wide = max(46.0, text_width(lamp.id, 11) + 14)
        at = rail.x + wide / 2
        rail.wire(at)
        rail.items += [*_tube(bench, Pen(at, TOP, DOWN), rail.height), node(at, TOP), node(at, rail.floor)]
        rail.items.append(Text(at, rail.floor + 18, lamp.id, "small", "middle"))
        rail.x = at
        if lamp is not bench.lamps[-1]:
            rail.wire(at + wide / 2)
    return rail.x + 30


def _tube(bench: BenchShape, pen: Pen, length: float, body: float = 58.0) -> list[Item]:
    wound = symbols.wire_around(pen, length, body) if bench.trigger == "external wire" else []
    return [*symbols.lamp(pen, length, body), *wound]


def _pumped(rail: _Rail, end: float) -> float:
    """The pump that lowers the pressure in the lamps until they fire."""
    return _pump_at(rail, rail.x + 9, end + 14, TOP + rail.height / 2 + 20)


def _pump_at(rail: _Rail, start: float, x: float, y: float) -> float:
    words = Text(x, y + 26, "pump", "small", "middle")
    rail.items += [Line(start, y, x - 12, y, "hidden"), *symbols.pump(x, y), words]
    return x + 20


def _separate(rail: _Rail, bench: BenchShape) -> float:
    """A loop a lamp, one below the other, between the wire of the bank and the common return on the right."""
    rail.wire(rail.x + 12)
    if not bench.all_own:
        rail.series(symbols.inductor, 58, bench.say("inductance"))
        rail.series(symbols.resistor, 50, bench.say("resistance"))
    rail.wire(rail.x + 12, floor=False)
    bus = rail.x
    rows, y = [], TOP
    for lamp in bench.lamps:
        branch = bench.branch(lamp.id)
        rows.append((y, branch))
        y += ROW + (OWN_BANK if branch.capacitance else 0.0)
    right = bus + _row_length(bench)
    for place, branch in rows:
        rail.items += _row(bench, branch, bus, right, place)
    rail.items += [
        Line(bus, TOP, bus, rows[-1][0]),
        Line(right, TOP, right, rail.floor),
        Line(bus - 12, rail.floor, right, rail.floor),
    ]
    rail.x = right
    return _pump_at(rail, right, right + 34, TOP + rail.height / 2) if bench.trigger == "pressure drop" else right


#: Lengths along a row: to the own capacitor, switch, inductance, resistance, lamp.
_OWN, _SWITCH, _COIL, _RESISTOR, _LAMP = 56.0, 92.0, 76.0, 84.0, 96.0


def _row_length(bench: BenchShape) -> float:
    own = _own_room(bench)
    return own + _SWITCH + _COIL + _RESISTOR + _LAMP


def _own_room(bench: BenchShape) -> float:
    texts = [branch.capacitance for branch in bench.branches if branch.capacitance]
    return _OWN + max(text_width(text) for text in texts) if texts else 0.0


def _row(bench: BenchShape, branch: BranchShape, bus: float, right: float, y: float) -> list[Item]:
    own = _own_room(bench)
    x = bus + own
    out: list[Item] = [node(bus, y), *_own_bank(branch, bus, right, y, own)]
    for draw, length, below, depth in (
        (_switch(bench.switch), _SWITCH, branch.delay, 38),
        (_coil(bench), _COIL, branch.inductance, 22),
        (symbols.resistor, _RESISTOR, branch.resistance, 22),
    ):
        out += [*draw(Pen(x, y), length), Text(x + length / 2, y + depth, below, "small", "middle")]
        x += length
    out += [*_tube(bench, Pen(x, y), right - x), node(right, y)]
    return [*out, Text(x + _LAMP / 2, y - 14, branch.id, "small", "middle")]


def _own_bank(branch: BranchShape, bus: float, right: float, y: float, own: float) -> list[Item]:
    """The capacitor of one loop, with its return; without one, the wire from the shared bank."""
    if not branch.capacitance:
        return [Line(bus, y, bus + own, y)]
    at, depth = bus + _OWN - 30, 62.0
    return [
        Line(bus, y, at, y, "hidden"),
        Line(at, y, bus + own, y),
        *symbols.capacitor(Pen(at, y, DOWN), depth, 13),
        Line(at, y + depth, right, y + depth),
        node(at, y),
        node(right, y + depth),
        Text(at + 18, y + depth / 2 + 14, branch.capacitance, "label"),
    ]


def circuit_words(bench: BenchShape) -> str:
    """The circuit in words, for who cannot see it."""
    parts = [
        f"Charger {bench.say('charger')}",
        f"divider {bench.say('upper_resistance')} over {bench.say('lower_resistance')} with a meter",
        f"bleeder {bench.say('bleeder')}",
        f"dump {bench.say('dump')} with its switch",
        _store_words(bench),
    ]
    if bench.crowbar != "none":
        parts.append(f"{bench.crowbar} across the bank, {bench.say('crowbar')}")
    parts.append("no switch, the lamps hold off the voltage" if bench.switch == "none" else f"switch {bench.switch}")
    if not bench.all_own:
        shared = "shared leads" if bench.lamps_connected == "separate loops" else "loop"
        parts.append(f"{shared} of {bench.say('inductance')} and {bench.say('resistance')}")
    parts += [_lamp_words(bench), _earth(bench)]
    return "; ".join([*parts, *bench.circuit_notes]) + ". A drawing, not a wiring plan."


def _store_words(bench: BenchShape) -> str:
    if bench.all_own:
        return "no shared bank"
    if bench.network == "single mesh":
        return f"bank {bench.say('bank')}"
    return f"{bench.network}: {_network_words(bench)}"


def _lamp_words(bench: BenchShape) -> str:
    names = ", ".join(lamp.id for lamp in bench.lamps)
    if len(bench.lamps) == 1 and bench.lamps_connected != "separate loops":
        return f"one lamp, {names}"
    if bench.lamps_connected != "separate loops":
        return f"{len(bench.lamps)} lamps in {bench.lamps_connected}: {names}"
    rows = [_branch_words(bench.branch(lamp.id)) for lamp in bench.lamps]
    return f"a loop of its own for each lamp: {'; '.join(rows)}"


def _branch_words(branch: BranchShape) -> str:
    bank = f", own capacitor {branch.capacitance}" if branch.capacitance else ""
    return f"{branch.id} {branch.inductance}, {branch.resistance}, {branch.delay or 'delay not known'}{bank}"
