"""From a plot record and a size to a scene. `web/static/plot.js` follows the same rules; a test compares them."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from pulsewright.drawing.labels import spread, text_width
from pulsewright.drawing.plot import Axis, Curve, Mark, Plot, describe
from pulsewright.drawing.scene import Band, Circle, Item, Line, Path, Scene, Text, polyline
from pulsewright.drawing.ticks import linear_ticks, log_range, log_ticks, padded

TOP, BOTTOM, GAP, STYLES = 26.0, 38.0, 15.0, 6


@dataclass(frozen=True, slots=True)
class Scale:
    """Maps values of an axis to px; `ticks` are (value, text)."""

    low: float
    high: float
    start: float
    end: float
    log: bool
    ticks: tuple[tuple[float, str], ...]

    def __call__(self, values: NDArray[np.float64]) -> NDArray[np.float64]:
        """Places of values, in px."""
        low, high = self.low, self.high
        if self.log:
            with np.errstate(invalid="ignore", divide="ignore"):
                values = np.log10(np.where(values > 0.0, values, np.nan))
            low, high = math.log10(low), math.log10(high)
        return self.start + (values - low) / (high - low) * (self.end - self.start)

    def at(self, value: float) -> float:
        """One value."""
        return float(self(np.array([value]))[0])

    def holds(self, value: float) -> bool:
        """Whether a value lies on the axis."""
        return self.low <= value <= self.high


def within(plot: Plot) -> Plot:
    """The plot with its curves cut at the ends of the x axis, where those are given."""
    low = -math.inf if plot.x.low is None else plot.x.low
    high = math.inf if plot.x.high is None else plot.x.high

    def cut(line: Curve) -> Curve:
        keep = (line.x >= low) & (line.x <= high)
        low_edge, high_edge = (None if edge is None else edge[keep] for edge in (line.low, line.high))
        return replace(line, x=line.x[keep], y=line.y[keep], low=low_edge, high=high_edge)

    return replace(plot, curves=tuple(cut(line) for line in plot.curves))


def extent(axis: Axis, arrays: list[NDArray[np.float64]], marks: list[float]) -> tuple[float, float]:
    """Lowest and highest value that an axis must show, before it is given room."""
    flat = np.concatenate([*arrays, np.array(marks, dtype=np.float64)]) if arrays or marks else np.zeros(0)
    flat = flat[np.isfinite(flat)]
    if axis.log:
        flat = flat[flat > 0.0]
    if flat.size == 0:
        return (0.1, 1.0) if axis.log else (0.0, 1.0)
    low, high = float(flat.min()), float(flat.max())
    if axis.from_zero and not axis.log:
        low, high = min(low, 0.0), max(high, 0.0)
    return (low if axis.low is None else axis.low), (high if axis.high is None else axis.high)


def scale(axis: Axis, low: float, high: float, start: float, end: float, *, tight: bool) -> Scale:
    """Scale of an axis over px. `tight`: the axis ends where the data ends."""
    count = max(2, int(abs(end - start) / (70.0 if tight else 42.0)))
    if axis.log:
        low, high = log_range(low, high)
        return Scale(low, high, start, end, True, tuple(log_ticks(low, high, count)))
    if not tight or high <= low:
        low, high = padded(low, high, zero=axis.from_zero)
    return Scale(low, high, start, end, False, tuple(linear_ticks(low, high, count)))


def layout(plot: Plot, width: float = 560.0, height: float = 260.0) -> Scene:
    """Draw a plot at a size, as a scene."""
    words, plot = describe(plot), within(plot)
    xs, ys = _scales(plot, width, height)
    items: list[Item] = [*_frame(plot, xs, ys), *_marks(plot, xs, ys)]
    for line in sorted(plot.curves, key=lambda c: c.role != "ghost"):
        items.extend(_curve(line, xs, ys))
    items.extend(_end_labels(plot, xs, ys))
    return Scene(plot.id, width, height, plot.title, words, tuple(items))


def _scales(plot: Plot, width: float, height: float) -> tuple[Scale, Scale]:
    ends = [arr for c in plot.curves for arr in (c.y, c.low, c.high) if arr is not None]
    y_range = extent(plot.y, ends, [m.at for m in plot.marks if m.axis == "y"])
    x_range = extent(plot.x, [c.x for c in plot.curves], [m.at for m in plot.marks if m.axis == "x"])
    ys = scale(plot.y, *y_range, height - BOTTOM, TOP, tight=False)
    left = math.ceil(max([text_width(text) for _, text in ys.ticks] or [0.0]) + 12.0)
    right = width - min(_label_room(plot), 0.32 * width)
    return scale(plot.x, *x_range, left, right, tight=True), ys


def _label_room(plot: Plot) -> float:
    """Room at the right for names at line ends."""
    return math.ceil(max([text_width(c.words) for c in plot.curves if _labelled(c)] or [0.0]) + 22.0)


def _labelled(line: Curve) -> bool:
    return bool(line.words) and line.role != "dots" and bool(np.isfinite(line.y).any())


def _frame(plot: Plot, xs: Scale, ys: Scale) -> list[Item]:
    out: list[Item] = []
    for value, text in ys.ticks:
        y = ys.at(value)
        out.append(Line(xs.start, y, xs.end, y, "grid"))
        out.append(Text(xs.start - 7, y + 4, text, "tick", "end"))
    for value, text in xs.ticks:
        x = xs.at(value)
        out.append(Line(x, ys.start, x, ys.start + 4, "axis"))
        out.append(Text(x, ys.start + 17, text, "tick", "middle"))
    out.append(Line(xs.start, ys.start, xs.end, ys.start, "axis"))
    out.append(Text(max(0.0, xs.start - 40), 12, plot.y.title, "axis-title"))
    out.append(Text(xs.end, ys.start + 33, plot.x.title, "axis-title", "end"))
    return out


def _marks(plot: Plot, xs: Scale, ys: Scale) -> list[Item]:
    out: list[Item] = []
    for mark in plot.marks:
        if mark.axis == "y" and ys.holds(mark.at):
            place = ys.at(mark.at)
            out.append(Line(xs.start, place, xs.end, place, mark.role))
            out.append(Text(xs.start + 4, place - 4, mark.words, "mark"))
    upright = [mark for mark in plot.marks if mark.axis == "x" and xs.holds(mark.at)]
    for mark, (start, row) in zip(upright, _mark_rows(upright, xs), strict=True):
        place = xs.at(mark.at)
        out.append(Line(place, ys.end, place, ys.start, mark.role))
        out.append(Text(start, ys.end + 8 + 13 * row, mark.words, "mark"))
    return out


def _mark_rows(marks: list[Mark], xs: Scale) -> list[tuple[float, int]]:
    """Where the words of upright marks start, and in which row, so that none covers another."""
    places = [xs.at(mark.at) for mark in marks]
    ends: list[float] = []
    out: list[tuple[float, int]] = []
    for mark, place in zip(marks, places, strict=True):
        length = text_width(mark.words, 11.0)
        start = _beside(place, length, xs, [other for other in places if other != place])
        row = next((i for i, end in enumerate(ends) if end + 6 <= start), len(ends))
        ends[row : row + 1] = [start + length]
        out.append((start, row))
    return out


def _beside(place: float, length: float, xs: Scale, others: list[float]) -> float:
    """Words stand to the right of their line, to the left where the right has no room or another line in it."""
    right, left = place + 4, place - 4 - length
    fits = right + length <= xs.end + 20
    crossed = any(right <= other <= right + length for other in others)
    free = left >= xs.start and not any(left <= other <= left + length for other in others)
    return left if not fits or (crossed and free) else right


def _curve(line: Curve, xs: Scale, ys: Scale) -> list[Item]:
    x, y = xs(line.x), ys(line.y)
    if line.role == "dots":
        return _dots(line, x, y, ys)
    out: list[Item] = []
    if line.low is not None and line.high is not None:
        out.append(Band(_band(x, ys(line.low), ys(line.high), ys)))
    points = list(zip(x.tolist(), y.tolist(), strict=True))
    role = "ghost" if line.role == "ghost" else f"curve s{line.style % STYLES}"
    out.append(Path(polyline(points), role))
    return out


def _dots(line: Curve, x: NDArray[np.float64], y: NDArray[np.float64], ys: Scale) -> list[Item]:
    out: list[Item] = []
    for i in range(x.size):
        if not (np.isfinite(x[i]) and np.isfinite(y[i])):
            continue
        if line.low is not None and line.high is not None:
            out.append(Line(float(x[i]), ys.at(float(line.low[i])), float(x[i]), ys.at(float(line.high[i])), "whisker"))
        out.append(Circle(float(x[i]), float(y[i]), 4.0, "dot"))
    return out


def _band(x: NDArray[np.float64], low: NDArray[np.float64], high: NDArray[np.float64], ys: Scale) -> str:
    keep = np.isfinite(x) & np.isfinite(high)
    low = np.where(np.isfinite(low), low, ys.start)
    upper = list(zip(x[keep].tolist(), high[keep].tolist(), strict=True))
    lower = list(zip(x[keep].tolist(), low[keep].tolist(), strict=True))
    return polyline([*upper, *reversed(lower)], closed=True)


def _end_labels(plot: Plot, xs: Scale, ys: Scale) -> list[Item]:
    lines = [c for c in plot.curves if _labelled(c)]
    lines.sort(key=lambda c: c.role == "ghost")
    ends = [_end(c, xs, ys) for c in lines]
    places = spread([y for _, y in ends], GAP, ys.end + 4, ys.start)
    out: list[Item] = []
    for line, (x, y), place in zip(lines, ends, places, strict=True):
        if place is None:
            continue
        if abs(place - y) > 3 or xs.end - x > 3:
            out.append(Line(x + 2, y, xs.end + 7, place, "leader"))
        role = "label ghost-label" if line.role == "ghost" else "label"
        out.append(Text(xs.end + 9, place + 4, line.words, role))
    return out


def _end(line: Curve, xs: Scale, ys: Scale) -> tuple[float, float]:
    x, y = xs(line.x), ys(line.y)
    last = int(np.flatnonzero(np.isfinite(x) & np.isfinite(y))[-1]) if (np.isfinite(x) & np.isfinite(y)).any() else 0
    lowest = ys.start if not np.isfinite(y[last]) else float(y[last])
    return float(x[last]) if np.isfinite(x[last]) else xs.end, min(max(lowest, ys.end), ys.start)
