"""Plots of the life of a fill: any record with arrays over the shot number, each with its low and high course."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

import numpy as np

from pulsewright.drawing.curves import display, words_of
from pulsewright.drawing.plot import Axis, Mark, Plot, curve

#: Every plot of a fill: id -> (title, array).
FILL_PLOTS: Mapping[str, tuple[str, str]] = {
    "fill_output": ("Output against shots on this fill", "output_energy"),
    "fill_dye": ("Dye that is left", "dye_left"),
    "fill_product": ("Absorption by products at the laser wavelength", "product_absorption"),
}


def fill_plots(found: Any) -> tuple[Plot, ...]:
    """Output, dye and products against shot number, with their bands and the shots at which to change."""
    return tuple(_plot(key, title, name, found) for key, (title, name) in FILL_PLOTS.items() if name in found.arrays)


def _plot(key: str, title: str, name: str, found: Any) -> Plot:
    arrays = found.arrays
    ends = [arrays[f"{name}_{end}"].values if f"{name}_{end}" in arrays else None for end in ("low", "high")]
    every = [part for part in (arrays[name].values, *ends) if part is not None]
    unit, scale = display(name, *every)
    low, high = (None if part is None else part / scale for part in ends)
    line = curve(name, words_of(name), arrays["shot_number"].values, arrays[name].values / scale, low=low, high=high)
    marks = _changes(found) if name == "output_energy" else ()
    return Plot(key, title, Axis("shots on this fill"), Axis(words_of(name), unit), (line,), marks)


def _changes(found: Any) -> tuple[Mark, ...]:
    """Shots at which the output has fallen to a part of its first; those beyond the axis are left out."""
    last = float(np.max(found.arrays["shot_number"].values))
    return tuple(
        Mark("x", float(row.shots), f"{100 * row.fraction:.3g} % left", "limit")
        for row in found.changes
        if row.shots is not None and row.shots <= last
    )
