"""Bars with their names and values: budgets, the energy chain, what the output hangs on."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

from pulsewright.drawing.labels import text_width
from pulsewright.drawing.scene import Item, Line, Path, Scene, Text, rectangle

ROW = 26.0
#: A log scale of bars reaches this far below the longest.
DECADES = 4.0


@dataclass(frozen=True, slots=True)
class Bar:
    """One bar: name, size (its sign is left to the text), and its value in words."""

    words: str
    size: float
    text: str


def bars_scene(key: str, title: str, bars: Sequence[Bar], *, log: bool = False, width: float = 560.0) -> Scene:
    """Horizontal bars, one below the other; lengths over the longest, or its logarithm when `log`."""
    longest = max((abs(bar.size) for bar in bars if math.isfinite(bar.size)), default=0.0)
    left = max((text_width(bar.words) for bar in bars), default=0.0) + 12
    right = max((text_width(bar.text) for bar in bars), default=0.0) + 12
    room = max(width - left - right, 40.0)
    items: list[Item] = [Line(left, 2, left, ROW * len(bars) + 2, "axis")]
    for i, bar in enumerate(bars):
        length = room * _part(abs(bar.size), longest, log=log)
        y = ROW * i + 4
        items.append(Text(left - 8, y + 15, bar.words, "tick", "end"))
        items.append(Path(rectangle(left, y + 3, length, ROW - 12), "bar"))
        items.append(Text(left + length + 6, y + 15, bar.text, "label"))
    scale = "Lengths on a logarithmic scale over four decades. " if log else ""
    words = scale + "; ".join(f"{bar.words} {bar.text}" for bar in bars) + "."
    return Scene(key, width, ROW * len(bars) + 8, title, words if bars else "Nothing to show.", tuple(items))


def _part(size: float, longest: float, *, log: bool) -> float:
    """Length of a bar over the longest."""
    if not (math.isfinite(size) and size > 0.0 and longest > 0.0):
        return 0.0
    return max(0.0, 1.0 + math.log10(size / longest) / DECADES) if log else size / longest
