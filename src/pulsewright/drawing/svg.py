"""Writes a scene as SVG: the same scene gives the same text, byte for byte.

Roles become classes and presentation attributes, never style attributes, so that the
output passes a strict content security policy and any style sheet may override it.
"""

from __future__ import annotations

import math
from html import escape

from pulsewright.drawing.plot import Plot, rows, three
from pulsewright.drawing.roles import PAPER, TYPE, attributes
from pulsewright.drawing.scene import Circle, Group, Item, Line, Scene, Text, number

NAMESPACE = "http://www.w3.org/2000/svg"


def svg(scene: Scene, *, standalone: bool = False, prefix: str = "", beam: str = "") -> str:
    """A scene as an SVG element, named and described for a screen reader.

    Parameters
    ----------
    scene : Scene
    standalone : bool
        A file of its own: XML head, type family and white paper are written too.
    prefix : str
        Prefix of element ids where one scene stands twice on a page.
    beam : str
        Colour of the beam, `#rrggbb`.
    """
    key = escape(prefix or scene.id, quote=True)
    role = "group" if scene.has_links else "img"
    head = (
        f'<svg xmlns="{NAMESPACE}" class="scene" viewBox="0 0 {number(scene.width)} {number(scene.height)}"'
        f' width="{number(scene.width)}" height="{number(scene.height)}" role="{role}"'
        f' aria-labelledby="{key}-t {key}-d" font-family="{escape(TYPE, quote=True)}" font-size="12">'
    )
    body = [
        head,
        f'<title id="{key}-t">{escape(scene.title)}</title>',
        f'<desc id="{key}-d">{escape(scene.description)}</desc>',
    ]
    if standalone:
        body.insert(0, '<?xml version="1.0" encoding="UTF-8"?>')
        body.append(f'<rect width="100%" height="100%" fill="{PAPER}"/>')
    body.extend(_item(item, beam) for item in scene.items)
    return "\n".join([*body, "</svg>"]) + ("\n" if standalone else "")


def _attrs(role: str, beam: str = "", **more: str) -> str:
    pairs = {**({"class": role} if role else {}), **more, **attributes(role, beam)}
    return "".join(f' {key}="{escape(value, quote=True)}"' for key, value in pairs.items())


def _item(item: Item, beam: str) -> str:
    if isinstance(item, Group):
        return _group(item, beam)
    if isinstance(item, Line):
        ends = {"x1": item.x1, "y1": item.y1, "x2": item.x2, "y2": item.y2}
        return f"<line{_attrs(item.role, **{k: number(v) for k, v in ends.items()})}/>"
    if isinstance(item, Circle):
        return f"<circle{_attrs(item.role, beam, cx=number(item.x), cy=number(item.y), r=number(item.radius))}/>"
    if isinstance(item, Text):
        return _text(item)
    return f"<path{_attrs(item.role, beam, d=item.d)}/>"


def _text(item: Text) -> str:
    more = {"x": number(item.x), "y": number(item.y)}
    if item.anchor != "start":
        more["text-anchor"] = item.anchor
    return f"<text{_attrs(item.role, **more)}>{escape(item.words)}</text>"


def _group(item: Group, beam: str) -> str:
    inner = "\n".join(_item(one, beam) for one in item.items)
    named = f' id="{escape(item.id, quote=True)}"' if item.id else ""
    kind = f' class="{escape(item.role, quote=True)}"' if item.role else ""
    title = f"<title>{escape(item.title)}</title>" if item.title else ""
    if item.href:
        return f'<a href="{escape(item.href, quote=True)}"{named}{kind}>{title}\n{inner}\n</a>'
    return f"<g{named}{kind}>{title}\n{inner}\n</g>"


def table_html(plot: Plot, *, most: int = 40) -> str:
    """The curve data as an HTML table: at most about `most` points of each curve, evenly picked."""
    points = [row for row in rows(plot) if math.isfinite(row[2])]
    by_name: dict[str, list[tuple[str, float, float, float | None, float | None]]] = {}
    for row in points:
        by_name.setdefault(row[0], []).append(row)
    body = [cells for group in by_name.values() for cells in group[:: max(1, -(-len(group) // most))]]
    lines = "".join(_table_row(*cells) for cells in body)
    heads = ("curve", plot.x.title, plot.y.title, "5 %", "95 %")
    head = "".join(f'<th scope="col">{escape(words)}</th>' for words in heads)
    return f"<table><caption>{escape(plot.title)}</caption><thead><tr>{head}</tr></thead><tbody>{lines}</tbody></table>"


def _table_row(name: str, x: float, y: float, low: float | None, high: float | None) -> str:
    band = "".join(f"<td>{'' if value is None else three(value)}</td>" for value in (low, high))
    return f'<tr><th scope="row">{escape(name)}</th><td>{three(x)}</td><td>{three(y)}</td>{band}</tr>'
