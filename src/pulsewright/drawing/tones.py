"""Steps of ink for fine maps: more ink for more, so that a map reads by lightness alone, with the values of its steps.

In a light look more ink is darker, in a dark one lighter; the key beside the map says what each step is worth.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pulsewright.drawing.scene import Item, Path, Text, rectangle

#: Steps of ink, the emptiest among them.
TONES = 8
SWATCH = 14.0
#: Negative values up to this part of the largest are shown as zero is.
NEAR_ZERO = 0.3

Float = NDArray[np.float64]


@dataclass(frozen=True, slots=True)
class Tones:
    """Bounds between the steps, TONES - 1 of them, rising; `low` and `high` are the ends of what is shown."""

    bounds: tuple[float, ...]
    low: float
    high: float

    def of(self, values: Float) -> NDArray[np.intp]:
        """Step of each value, 0 to TONES - 1; -1 where there is none."""
        steps = np.searchsorted(np.array(self.bounds), values, side="right")
        return np.where(np.isfinite(values), steps, -1)


def tones_of(values: Float) -> Tones:
    """Equal steps over what a map holds, from zero; from the least where that lies far below. Only what is finite."""
    finite = values[np.isfinite(values)]
    low, high = min(float(finite.min(initial=0.0)), 0.0), max(float(finite.max(initial=0.0)), 0.0)
    if low > -NEAR_ZERO * high:
        low = 0.0  # what is slightly negative has no ink, as zero has
    if not low < high:
        high = low + 1.0
    return Tones(tuple(np.linspace(low, high, TONES + 1)[1:-1].tolist()), low, high)


def key_items(x: float, y: float, height: float, tones: Tones, title: str) -> list[Item]:
    """The key: steps from the least below to the most above, with the value at each bound."""
    step = height / TONES
    out: list[Item] = [Text(x, y - 8, title, "axis-title")]
    out += [Path(rectangle(x, y + height - step * (i + 1), SWATCH, step), f"tone tone{i}") for i in range(TONES)]
    out.append(Path(rectangle(x, y, SWATCH, height), "thin"))
    for i, value in enumerate((tones.low, *tones.bounds, tones.high)):
        out.append(Text(x + SWATCH + 6, y + height - step * i + 4, _step_words(value, tones), "tick"))
    return out


def _step_words(value: float, tones: Tones) -> str:
    """A bound in words; what is a thousandth of the ends is zero."""
    if abs(value) < 1e-9 * max(abs(tones.low), abs(tones.high)):
        return "0"
    return f"{value:.3g}" if math.isfinite(value) else "not known"
