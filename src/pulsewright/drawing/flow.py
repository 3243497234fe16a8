"""Where a whole goes, as a flow: bands whose widths are shares, parting from left to right, each named at its end."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from html import escape

from pulsewright.drawing.labels import spread, text_width
from pulsewright.drawing.scene import Item, Line, Path, Scene, Text, number, rectangle

#: Height of the whole, least distance of names at the ends, least width that a band is drawn with. [px]
WHOLE, PITCH, THIN = 210.0, 17.0, 0.8
TOP, FOOT = 44.0, 22.0


@dataclass(frozen=True, slots=True)
class Branch:
    """One band: its name, its share of the whole, and what it parts into; `role` how it is filled."""

    words: str
    share: float
    parts: tuple[Branch, ...] = ()
    role: str = "flow"
    note: str = ""


@dataclass(frozen=True, slots=True)
class Flow:
    """A flow before it has a size. `sources` come in at the left and add up to the shares of `branches`."""

    id: str
    title: str
    sources: tuple[Branch, ...]
    branches: tuple[Branch, ...]
    note: str = ""


def share_words(share: float) -> str:
    """A share in per cent."""
    if share == 0.0:
        return "0 %"
    return "below 0.01 %" if 0.0 < share < 1e-4 else f"{100 * share:.3g} %"


def leaves(branches: Sequence[Branch]) -> Iterator[Branch]:
    """Bands that part no further, top to bottom."""
    for branch in branches:
        if branch.parts:
            yield from leaves(branch.parts)
        else:
            yield branch


def flow_scene(flow: Flow, width: float = 620.0) -> Scene:
    """Draw a flow at a width: sources at the left, one knot, ends at the right, further knots between."""
    ends = list(leaves(flow.branches))
    total = max(sum(one.share for one in flow.branches), 1e-12)
    unit = WHOLE / total
    height = max(TOP + WHOLE + PITCH * 2, TOP + PITCH * (len(ends) + 1)) + FOOT
    left = 2.0
    right = width - max(text_width(_named(one)) for one in ends) - 44
    knot = left + 26
    places = _end_places(ends, unit, height - FOOT - 8)
    items: list[Item] = []
    y = TOP + (height - TOP - FOOT - WHOLE) / 2
    items += _sources(flow.sources, left, knot, y, unit)
    items += _branches(flow.branches, iter(places), knot, right, y, unit)
    for branch, (middle, label) in zip(ends, places, strict=True):
        if abs(label - middle) > 2:
            items.append(Line(right + 2, middle, right + 14, label, "leader"))
        items.append(Text(right + 17, label + 4, _named(branch), "label"))
    return Scene(f"flow-{flow.id}", width, height, flow.title, flow_words(flow), tuple(items))


def _named(branch: Branch) -> str:
    return f"{branch.words} {share_words(branch.share)}"


def _end_places(ends: Sequence[Branch], unit: float, floor: float) -> list[tuple[float, float]]:
    """Middle of each end's band and of its name: bands in a column with gaps, names apart."""
    tall = [max(one.share * unit, THIN) for one in ends]
    room = floor - TOP
    gap = max(3.0, (room - sum(tall)) / max(len(ends), 1))
    scale = min(1.0, (room - 3.0 * len(ends)) / sum(tall)) if sum(tall) + gap * len(ends) > room + 1e-6 else 1.0
    middles, y = [], TOP + gap / 2
    for size in tall:
        middles.append(y + scale * size / 2)
        y += scale * size + gap
    names = spread(middles, PITCH, TOP + 4, floor)
    return [(middle, middle if name is None else name) for middle, name in zip(middles, names, strict=True)]


def _sources(sources: Sequence[Branch], left: float, knot: float, y: float, unit: float) -> list[Item]:
    """Bars at the left; the first named above, the others below."""
    out: list[Item] = [Text(left, y - 22, _named(sources[0]), "label")] if sources else []
    for source in sources:
        out.append(Path(rectangle(left, y, knot - left, max(source.share * unit, THIN)), source.role))
        y += source.share * unit
    out += [Text(left, y + PITCH * n, _named(source), "label") for n, source in enumerate(sources[1:], start=1)]
    return out


def _branches(
    branches: Sequence[Branch], places: Iterator[tuple[float, float]], x: float, right: float, y: float, unit: float
) -> list[Item]:
    """Bands from x to the right end; one that parts runs level to a knot of its own."""
    out: list[Item] = []
    for branch in branches:
        size = branch.share * unit
        if branch.parts:
            knot = x + max(0.42 * (right - x), min(text_width(_named(branch)) + 40, 0.6 * (right - x)))
            out.append(_band(x, y, knot, y, max(size, THIN), branch.role))
            out.append(Text(x + 10, y - 6, _named(branch), "label"))
            out += _branches(branch.parts, places, knot, right, y, unit)
        else:
            middle, _ = next(places)
            thick = max(size, THIN)
            out.append(_band(x, y, right, middle - thick / 2, thick, branch.role))
        y += size
    return out


def _band(x1: float, y1: float, x2: float, y2: float, thick: float, role: str) -> Path:
    """A band of one thickness from (x1, y1) to (x2, y2), both its upper edge."""
    n, bend = number, 0.5 * (x1 + x2)
    return Path(
        f"M{n(x1)} {n(y1)}C{n(bend)} {n(y1)} {n(bend)} {n(y2)} {n(x2)} {n(y2)}L{n(x2)} {n(y2 + thick)}"
        f"C{n(bend)} {n(y2 + thick)} {n(bend)} {n(y1 + thick)} {n(x1)} {n(y1 + thick)}Z",
        role,
    )


def _lines(branches: Sequence[Branch], depth: int = 0) -> Iterator[tuple[int, Branch]]:
    for branch in branches:
        yield depth, branch
        yield from _lines(branch.parts, depth + 1)


def flow_words(flow: Flow) -> str:
    """The flow in words."""
    into = ", ".join(_named(one) for one in flow.sources)
    out = ", ".join(_named(one) for one in leaves(flow.branches))
    return f"In: {into}. Out: {out}. {flow.note}".strip()


def flow_table(flow: Flow) -> str:
    """The flow as an HTML table; what a band parts into stands below it."""
    rows = [(0, one, "in") for one in flow.sources] + [(depth, one, "out") for depth, one in _lines(flow.branches)]
    body = "".join(
        f'<tr><th scope="row">{"– " * depth}{escape(one.words)}</th><td>{way}</td><td>{share_words(one.share)}</td>'
        f"<td>{escape(one.note)}</td></tr>"
        for depth, one, way in rows
    )
    heads = "".join(f'<th scope="col">{words}</th>' for words in ("what", "way", "of what the dye absorbed", "meaning"))
    return f"<table><caption>{escape(flow.title)}</caption><thead><tr>{heads}</tr></thead><tbody>{body}</tbody></table>"
