"""The plot record: axes, curves, bands, ghosts, measured dots and marks, in display units."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any, Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

#: `line` predicted; `ghost` the saved build behind a draft; `dots` measured.
CurveRole = Literal["line", "ghost", "dots"]
Pack = Callable[[NDArray[np.float64]], Any]


@dataclass(frozen=True, slots=True)
class Axis:
    """A quantity and its unit. The axis ends at `low` and `high` where given, and curves are cut there."""

    words: str
    unit: str = ""
    low: float | None = None
    high: float | None = None
    log: bool = False
    from_zero: bool = True

    @property
    def title(self) -> str:
        """Quantity and unit, as the axis carries them."""
        return f"{self.words} ({self.unit})" if self.unit else self.words


@dataclass(frozen=True, slots=True, eq=False)
class Curve:
    """One line with its name at its end; `low` and `high` bound its 90 % interval.

    `style` picks weight and dash, so that lines differ without colour.
    """

    id: str
    words: str
    x: NDArray[np.float64]
    y: NDArray[np.float64]
    role: CurveRole = "line"
    style: int = 0
    low: NDArray[np.float64] | None = None
    high: NDArray[np.float64] | None = None


@dataclass(frozen=True, slots=True)
class Mark:
    """A line across the plot at one value of `axis`, with its words."""

    axis: Literal["x", "y"]
    at: float
    words: str
    role: str = "limit"


@dataclass(frozen=True, slots=True, eq=False)
class Plot:
    """A plot before it has a size. `note` says what a reader must know, for instance that it is stale."""

    id: str
    title: str
    x: Axis
    y: Axis
    curves: tuple[Curve, ...]
    marks: tuple[Mark, ...] = ()
    note: str = ""

    def as_dict(self, pack: Pack = lambda values: values.tolist()) -> dict[str, Any]:
        """For JSON; `pack` turns an array into what stands for it (a list, or a place in a binary block)."""
        return {
            "id": self.id,
            "title": self.title,
            "description": describe(self),
            "x": axis_dict(self.x),
            "y": axis_dict(self.y),
            "curves": [_curve_dict(curve, pack) for curve in self.curves],
            "marks": [{"axis": m.axis, "at": m.at, "words": m.words, "role": m.role} for m in self.marks],
            "note": self.note,
        }


def axis_dict(axis: Axis) -> dict[str, Any]:
    """An axis for JSON."""
    return {name: getattr(axis, name) for name in ("words", "unit", "low", "high", "log", "from_zero")}


def _curve_dict(curve: Curve, pack: Pack) -> dict[str, Any]:
    out: dict[str, Any] = {"id": curve.id, "words": curve.words, "role": curve.role, "style": curve.style}
    out["x"], out["y"] = pack(curve.x), pack(curve.y)
    if curve.low is not None and curve.high is not None:
        out["low"], out["high"] = pack(curve.low), pack(curve.high)
    return out


def curve(
    key: str,
    words: str,
    x: ArrayLike,
    y: ArrayLike,
    *,
    role: CurveRole = "line",
    style: int = 0,
    low: ArrayLike | None = None,
    high: ArrayLike | None = None,
) -> Curve:
    """A curve from anything array-like. Lengths must agree."""
    along = np.asarray(x, dtype=np.float64)
    parts = [None if part is None else np.asarray(part, dtype=np.float64) for part in (y, low, high)]
    if any(part is not None and part.shape != along.shape for part in parts) or along.ndim != 1:
        raise ValueError(f"curve {key}: x, y and band must be one-dimensional and of one length")
    up, lower, upper = parts
    assert up is not None
    return Curve(key, words, along, up, role, style, lower, upper)


def three(value: float) -> str:
    """A number to three significant digits, for words."""
    return f"{value:.3g}" if np.isfinite(value) else "not known"


def describe(plot: Plot) -> str:
    """What a plot shows, in a sentence a line: the highest point, and the last."""
    parts = [f"{plot.y.title} against {plot.x.title}."]
    for line in plot.curves:
        finite = np.isfinite(line.y) & np.isfinite(line.x)
        if line.role == "ghost" or not finite.any():
            continue
        top = int(np.argmax(np.where(finite, line.y, -np.inf)))
        last = int(np.flatnonzero(finite)[-1])
        parts.append(
            f"{line.words}: highest {three(line.y[top])} at {three(line.x[top])}, last {three(line.y[last])}"
            f" at {three(line.x[last])}."
        )
    parts.extend(f"{mark.words} at {three(mark.at)}." for mark in plot.marks)
    return " ".join(parts + ([plot.note] if plot.note else []))


def rows(plot: Plot) -> list[tuple[str, float, float, float | None, float | None]]:
    """Every point of every curve: name, x, y, low, high."""
    out: list[tuple[str, float, float, float | None, float | None]] = []
    for line in plot.curves:
        name = f"{line.words} (saved build)" if line.role == "ghost" else line.words
        for i in range(line.x.size):
            low = None if line.low is None else float(line.low[i])
            high = None if line.high is None else float(line.high[i])
            out.append((name, float(line.x[i]), float(line.y[i]), low, high))
    return out
