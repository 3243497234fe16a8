"""One scene record for schematics and plots alike: shapes with roles, never with colours.

A role is a word ("ink", "ghost", "beam"). The SVG writer gives every role ink-on-white
attributes, and the page's style sheet gives it the colour of the look in use; so one
scene serves the command, the report, the printer and the page.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Any, Literal

Anchor = Literal["start", "middle", "end"]


@dataclass(frozen=True, slots=True)
class Line:
    """A straight line."""

    x1: float
    y1: float
    x2: float
    y2: float
    role: str = "ink"


@dataclass(frozen=True, slots=True)
class Path:
    """Any outline; `d` in the path language of SVG, made by the helpers below."""

    d: str
    role: str = "ink"


@dataclass(frozen=True, slots=True)
class Band:
    """A filled area between two edges, for an interval."""

    d: str
    role: str = "band"


@dataclass(frozen=True, slots=True)
class Circle:
    """A circle."""

    x: float
    y: float
    radius: float
    role: str = "ink"


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text; `y` is its base line."""

    x: float
    y: float
    words: str
    role: str = "text"
    anchor: Anchor = "start"


@dataclass(frozen=True, slots=True)
class Group:
    """Shapes that belong together; with `href` it is a link and must have a title."""

    items: tuple[Item, ...]
    id: str = ""
    title: str = ""
    role: str = ""
    href: str = ""


Item = Line | Path | Band | Circle | Text | Group


@dataclass(frozen=True, slots=True)
class Scene:
    """A drawing: size in px, what it shows in words, and its shapes.

    `title` and `description` are what a screen reader says; a scene without them is refused.
    """

    id: str
    width: float
    height: float
    title: str
    description: str
    items: tuple[Item, ...]

    def __post_init__(self) -> None:
        if not self.title or not self.description:
            raise ValueError(f"scene {self.id}: title and description must not be empty")

    def as_dict(self) -> dict[str, Any]:
        """For JSON; the page's own drawing module reads the same form."""
        return {
            "id": self.id,
            "width": self.width,
            "height": self.height,
            "title": self.title,
            "description": self.description,
            "items": [_plain(item) for item in self.items],
        }

    @property
    def has_links(self) -> bool:
        """Whether any group is a link."""
        return any(item.href for item in walk(self.items) if isinstance(item, Group))


def _plain(item: Item) -> dict[str, Any]:
    out: dict[str, Any] = {"shape": type(item).__name__.lower()}
    for name in item.__dataclass_fields__:
        value = getattr(item, name)
        out[name] = [_plain(inner) for inner in value] if name == "items" else value
    return out


def walk(items: Iterable[Item]) -> Iterable[Item]:
    """Every shape, groups before what they hold."""
    for item in items:
        yield item
        if isinstance(item, Group):
            yield from walk(item.items)


def number(value: float) -> str:
    """A coordinate as text: two decimals at most, no trailing zeros, no minus zero."""
    text = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if text in ("-0", "") else text


def polyline(points: Sequence[tuple[float, float]], *, closed: bool = False) -> str:
    """Path through points. A point that is not finite lifts the pen."""
    out: list[str] = []
    pen = "M"
    for x, y in points:
        if not (math.isfinite(x) and math.isfinite(y)):
            pen = "M"
            continue
        out.append(f"{pen}{number(x)} {number(y)}")
        pen = "L"
    return "".join(out) + ("Z" if closed and out else "")


def rectangle(x: float, y: float, width: float, height: float, radius: float = 0.0) -> str:
    """Path of a rectangle, with rounded corners if asked."""
    if radius <= 0.0:
        return polyline([(x, y), (x + width, y), (x + width, y + height), (x, y + height)], closed=True)
    r = min(radius, width / 2, height / 2)
    n = number
    arc = f"a{n(r)} {n(r)} 0 0 1 "
    return (
        f"M{n(x + r)} {n(y)}h{n(width - 2 * r)}{arc}{n(r)} {n(r)}v{n(height - 2 * r)}{arc}{n(-r)} {n(r)}"
        f"h{n(2 * r - width)}{arc}{n(-r)} {n(-r)}v{n(2 * r - height)}{arc}{n(r)} {n(-r)}Z"
    )


def moved(item: Item, dx: float, dy: float) -> Item:
    """The same shape elsewhere. Paths with arcs are moved through their first point only when relative."""
    if isinstance(item, Line):
        return replace(item, x1=item.x1 + dx, x2=item.x2 + dx, y1=item.y1 + dy, y2=item.y2 + dy)
    if isinstance(item, Circle | Text):
        return replace(item, x=item.x + dx, y=item.y + dy)
    if isinstance(item, Group):
        return replace(item, items=tuple(moved(inner, dx, dy) for inner in item.items))
    return replace(item, d=_moved_path(item.d, dx, dy))


def _moved_path(d: str, dx: float, dy: float) -> str:
    out: list[str] = []
    for command, rest in _commands(d):
        if command in "ML":
            x, y = (float(part) for part in rest.split())
            out.append(f"{command}{number(x + dx)} {number(y + dy)}")
        else:
            out.append(command + rest)
    return "".join(out)


def _commands(d: str) -> list[tuple[str, str]]:
    """Split a path made here: absolute M and L, relative lower-case commands, Z."""
    out: list[tuple[str, str]] = []
    start = 0
    for i in range(1, len(d) + 1):
        if i == len(d) or (d[i].isalpha() and d[i] != "e"):
            out.append((d[start], d[start + 1 : i]))
            start = i
    return out
