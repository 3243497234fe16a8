"""What reflector, lamps and cell must satisfy together: that each has its dimensions and that all of them fit."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from itertools import pairwise

from pulsewright.errors import Grade
from pulsewright.machine.tree import Reading
from pulsewright.quantities import show

#: grade, path, message, allowed, next step
Fault = tuple[Grade, str, str, str, str]

_NEEDS = {
    "double ellipse": ("semi_major", "semi_minor"),
    "single ellipse": ("semi_major", "semi_minor"),
    "multiple ellipse": ("semi_major", "semi_minor"),
    "circular": ("diameter",),
    "close-wrapped diffuse": ("perimeter",),
}
_LAMPS = {"double ellipse": 2, "single ellipse": 1}
#: Measures of one part that differ by less than this are the same. [m]
SAME = 1e-6
#: Directions over which the tightest band is summed: good to 1e-5, like the slack that the check leaves.
_DIRECTIONS = 512


@dataclass(frozen=True, slots=True)
class Bodies:
    """Cell and lamps as they stand: half-sides of the cell with its wall, equal for a tube; lamps: id, x, y, radius."""

    half: float
    side: float
    flat: bool
    lamps: tuple[tuple[str, float, float, float], ...]
    coaxial: str

    @property
    def tubes(self) -> list[tuple[float, float, float]]:
        """What a wrap goes round: circles, and the edges of a slab."""
        lamps = [(x, y, radius) for _, x, y, radius in self.lamps]
        if self.flat:
            return [*((x, y, 0.0) for x in (-self.half, self.half) for y in (-self.side, self.side)), *lamps]
        return [(0.0, 0.0, self.half), *lamps]

    def gap(self, x: float, y: float, radius: float) -> float:
        """Room between the cell and a tube at some place, in m; below 0 when they overlap."""
        if not self.flat:
            return math.hypot(x, y) - self.half - radius
        dx, dy = abs(x) - self.half, abs(y) - self.side
        return math.hypot(max(dx, 0.0), max(dy, 0.0)) + min(max(dx, dy), 0.0) - radius


def _faulty(reading: Reading, path: str) -> bool:
    return any(finding.path == path for finding in reading.findings)


def _dimensions(reading: Reading) -> Iterator[Fault]:
    reflector = reading.get("chamber.reflector")
    for key in _NEEDS.get(reflector, ()):
        if reading.get(f"chamber.{key}") is None and not _faulty(reading, f"chamber.{key}"):
            step = f'Add {key} = "25 mm" or what it is under [chamber]'
            yield "error", f"chamber.{key}", f"a {reflector} reflector needs its {key}", "A length", step
    a, b = reading.get("chamber.semi_major"), reading.get("chamber.semi_minor")
    if a is not None and b is not None and b > a:
        long = reading.entries["chamber.semi_major"].text
        message = f"{reading.entries['chamber.semi_minor'].text} is above the half of the long axis of {long}"
        yield "error", "chamber.semi_minor", message, f"At most {long}", "Exchange the two"
    yield from _number_of_lamps(reading, reflector)


def _number_of_lamps(reading: Reading, reflector: str | None) -> Iterator[Fault]:
    lamps = reading.ids.get("lamps", ())
    wanted = _LAMPS.get(str(reflector))
    if wanted and lamps and len(lamps) != wanted:
        message = f"a {reflector} reflector holds {wanted} lamp{'s' if wanted > 1 else ''}; the file lists {len(lamps)}"
        step = "Choose another reflector or change the lamps"
        yield "error", "chamber.reflector", message, f"{wanted} in [lamps.*]", step
    sleeves = [part for part in lamps if reading.get(f"lamps.{part}.shape") == "coaxial"]
    if sleeves and len(lamps) > 1:
        message = f"a coaxial lamp stands round the cell and leaves no room for others; the file lists {len(lamps)}"
        yield "error", f"lamps.{sleeves[0]}.shape", message, "One coaxial lamp, or linear ones", "Take the others out"
    if sleeves and str(reflector).endswith("ellipse"):
        message = f"a coaxial lamp stands round the cell; a {reflector} has its lamps in other focal lines"
        allowed = "circular or close-wrapped diffuse with a coaxial lamp"
        yield "error", "chamber.reflector", message, allowed, "Choose one of these"


def _cell(reading: Reading) -> Iterator[Fault]:
    shape, width = reading.get("cell.shape"), reading.get("cell.width")
    if shape == "slab" and width is None and not _faulty(reading, "cell.width"):
        step = 'Add width = "20 mm" or what it is under [cell]'
        yield "error", "cell.width", "a slab of dye needs its width", "A length", step
    if shape == "cylinder" and width is not None:
        message = "a round cell has no width, and the value is not used"
        yield "warning", "cell.width", message, "Only in slabs", "Remove it or set cell.shape"


def _sleeve(reading: Reading) -> Iterator[Fault]:
    """A coaxial lamp has the cell inside its inner tube."""
    bore, wall = reading.get("cell.bore"), reading.get("cell.wall_thickness")
    for part in reading.ids.get("lamps", ()):
        inner = reading.get(f"lamps.{part}.inner_diameter")
        if reading.get(f"lamps.{part}.shape") != "coaxial" or inner is None or bore is None or wall is None:
            continue
        path = f"lamps.{part}.inner_diameter"
        if reading.get("cell.shape") == "slab":
            message = "a slab of dye inside a coaxial lamp is not computed"
            yield "error", "cell.shape", message, "A round cell, or linear lamps", "Choose one of these"
        elif inner < bore + 2 * wall - SAME:
            text, outside = show("inner_diameter", inner), show("length", bore + 2 * wall)
            message = f"an inner tube of {text} outside does not go round a cell of {outside}"
            step = "Where the inner tube is the cell's own wall, its outside is bore plus two walls"
            yield "error", path, message, f"At least {outside}", step


def _focal_room(reading: Reading) -> Iterator[Fault]:
    """Ellipses: lamps and cell stand in the focal lines, clear of each other and of the wall."""
    a, b = reading.get("chamber.semi_major"), reading.get("chamber.semi_minor")
    elliptic = str(reading.get("chamber.reflector")).endswith("ellipse")
    bodies = placed(reading)
    if not elliptic or bodies is None or bodies.coaxial or a is None or b is None or b > a:
        return
    apart, behind = 2.0 * math.sqrt(a * a - b * b), a - math.sqrt(a * a - b * b)
    path, step = "chamber.semi_minor", "Check the axes of the ellipse, the bores and the walls"
    for part, x, y, radius in bodies.lamps:
        if (short := bodies.gap(x, y, radius)) < -SAME:
            gap, least = show("length", apart), show("length", apart - short)
            message = f"the focal lines lie {gap} apart; lamp {part} and the cell need {least}"
            yield "error", path, message, "A distance between the focal lines of at least the two outside radii", step
        if radius > behind + SAME:
            message = f"behind lamp {part} there are {show('length', behind)}; its outside radius is "
            yield "error", path, f"{message}{show('length', radius)}", "An ellipse in which the lamp has room", step
    count = len(bodies.lamps)
    nearest = (b * b / a) / (1.0 - math.sqrt(1.0 - (b / a) ** 2) * math.cos(math.pi / max(count, 1)))
    reach = math.hypot(bodies.half, bodies.side) if bodies.flat else bodies.half
    if reach > nearest + SAME:
        message = f"the cell reaches {show('length', reach)} from its axis, the wall of the chamber "
        yield "error", "cell.bore", f"{message}{show('length', nearest)}", "A cell inside the reflector", step
    yield from _neighbours(bodies, path)


def _room(reading: Reading) -> Iterator[Fault]:
    """Circular reflectors and wraps: lamps beside the cell, all of it inside the wall."""
    reflector, bodies = reading.get("chamber.reflector"), placed(reading)
    if bodies is None or str(reflector).endswith("ellipse"):
        return
    distance = reading.get("chamber.lamp_distance")
    for part, x, y, radius in bodies.lamps:
        if not bodies.coaxial and (short := bodies.gap(x, y, radius)) < -SAME:
            message = (
                f"at {show('length', math.hypot(x, y))} from the axis lamp {part} reaches {show('length', -short)}"
            )
            step = "Move the lamps outwards, or leave lamp_distance out: they then touch the cell"
            yield "error", "chamber.lamp_distance", f"{message} into the cell", "Lamps beside the cell", step
    if distance is not None and not bodies.coaxial:
        yield from _neighbours(bodies, "chamber.lamp_distance")
    if distance is not None and bodies.coaxial:
        message = "a coaxial lamp stands round the cell, and the distance is not used"
        yield "warning", "chamber.lamp_distance", message, "Only with linear lamps", "Remove it"
    yield from _inside(reading, bodies)


def _neighbours(bodies: Bodies, path: str) -> Iterator[Fault]:
    """Lamps at equal angles must not overlap."""
    around = [*bodies.lamps, bodies.lamps[0]] if len(bodies.lamps) > 1 else []
    for one, other in pairwise(around):
        apart, needed = math.hypot(one[1] - other[1], one[2] - other[2]), one[3] + other[3]
        if apart < needed - SAME:
            message = f"{len(bodies.lamps)} lamps stand {show('length', apart)} from one to the next"
            words = f"{message}; lamps {one[0]} and {other[0]} need {show('length', needed)}"
            yield "error", path, words, "Fewer or thinner lamps, or more room", "Check bores, walls and distances"
            return


def _inside(reading: Reading, bodies: Bodies) -> Iterator[Fault]:
    reflector = reading.get("chamber.reflector")
    diameter, perimeter = reading.get("chamber.diameter"), reading.get("chamber.perimeter")
    if reflector == "circular" and diameter is not None:
        single = len(bodies.lamps) == 1 and not bodies.coaxial
        x, y = (bodies.lamps[0][1] / 2, bodies.lamps[0][2] / 2) if single else (0.0, 0.0)
        reach = max(math.hypot(px - x, py - y) + radius for px, py, radius in bodies.tubes)
        if 2 * reach > diameter + SAME:
            message = f"a diameter of {show('diameter', diameter)} does not hold cell and lamps"
            allowed = f"At least {show('diameter', 2 * reach)}"
            yield "error", "chamber.diameter", message, allowed, "Check diameter, bores and walls"
    if reflector == "close-wrapped diffuse" and perimeter is not None:
        least = tightest(bodies.tubes)
        if perimeter < least * (1 - 1e-4):
            message = f"a wall of {show('perimeter', perimeter)} does not go round cell and lamps"
            allowed = f"At least {show('perimeter', least)}"
            yield "error", "chamber.perimeter", message, allowed, "Give the length of the wall round the cross-section"


def _lengths(reading: Reading) -> Iterator[Fault]:
    length = reading.get("chamber.length")
    for part in reading.ids.get("lamps", ()):
        arc = reading.get(f"lamps.{part}.arc_length")
        if arc is not None and length is not None and arc > length * (1 + 1e-9):
            share = 100 * (1 - length / arc)
            message = f"an arc of {show('arc_length', arc)} is longer than the chamber of {show('length', length)}"
            words = f"{message}: {share:.2g} % of its light is made outside and lost"
            yield "warning", f"lamps.{part}.arc_length", words, "Arcs inside the chamber", "Check which one is right"


def placed(reading: Reading) -> Bodies | None:
    """Where everything stands; None while a dimension is missing."""
    bore, wall, shape = (reading.get(f"cell.{key}") for key in ("bore", "wall_thickness", "shape"))
    width = reading.get("cell.width")
    parts = reading.ids.get("lamps", ())
    sizes = [(reading.get(f"lamps.{part}.bore"), reading.get(f"lamps.{part}.wall_thickness")) for part in parts]
    flat = shape == "slab"
    if bore is None or wall is None or not parts or any(None in size for size in sizes) or (flat and width is None):
        return None
    half = bore / 2 + wall
    coaxial = next((part for part in parts if reading.get(f"lamps.{part}.shape") == "coaxial"), "")
    bodies = Bodies(half, width / 2 + wall if flat and width else half, flat, (), coaxial)
    found = []
    for i, (part, (inside, tube)) in enumerate(zip(parts, sizes, strict=True)):
        radius, turn = inside / 2 + tube, math.pi - math.tau * i / len(parts)
        away = 0.0 if coaxial else _distance(reading, bodies, radius, turn, len(parts))
        if away is None:
            return None
        found.append((part, away * math.cos(turn), away * math.sin(turn), radius))
    return Bodies(half, bodies.side, flat, tuple(found), coaxial)


def _distance(reading: Reading, bodies: Bodies, radius: float, turn: float, count: int) -> float | None:
    """From the cell's axis to a lamp's: as the reflector or the file says, else touching cell and neighbours."""
    if str(reading.get("chamber.reflector")).endswith("ellipse"):
        a, b = reading.get("chamber.semi_major"), reading.get("chamber.semi_minor")
        return None if a is None or b is None or b > a else 2.0 * math.sqrt(a * a - b * b)
    given: float | None = reading.get("chamber.lamp_distance")
    if given is not None:
        return given
    low, high = 0.0, bodies.half + bodies.side + radius
    for _ in range(50):
        middle = 0.5 * (low + high)
        touches = bodies.gap(middle * math.cos(turn), middle * math.sin(turn), radius) < 0
        low, high = (middle, high) if touches else (low, middle)
    return max(high, radius / math.sin(math.pi / count) if count > 1 else 0.0) + SAME


def tightest(tubes: list[tuple[float, float, float]]) -> float:
    """Length of the tightest band round some tubes, in m: the mean of its reach over all directions, times 2 pi."""
    total = 0.0
    for i in range(_DIRECTIONS):
        angle = i * math.tau / _DIRECTIONS
        c, s = math.cos(angle), math.sin(angle)
        total += max(x * c + y * s + radius for x, y, radius in tubes)
    return total * math.tau / _DIRECTIONS


CHECKS: tuple[Callable[[Reading], Iterator[Fault]], ...] = (
    _dimensions,
    _cell,
    _sleeve,
    _focal_room,
    _room,
    _lengths,
)
