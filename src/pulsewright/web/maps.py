"""Maps as pieces of HTML: one drawing and one table for each quantity, one of them shown at a time."""

from __future__ import annotations

from typing import Any

import numpy as np

from pulsewright.drawing.curves import display, words_of
from pulsewright.drawing.heat import Heat, heat_scene, heat_table
from pulsewright.drawing.svg import svg
from pulsewright.quantities import QUANTITIES
from pulsewright.web import show

TAKES_OFF, HARDLY = "takes off", "hardly takes off"
_MARKS = {TAKES_OFF: "", HARDLY: "◆"}
LEGEND = "◆ hardly takes off; ✕ does not, or not as it should; dashed ring: this build."


def heats(found: Any, charge: float = 1.0) -> tuple[Heat, ...]:
    """A map for each quantity. `charge`: charge voltage of now over the one the map was asked with."""
    (x_unit, x_scale), (y_unit, y_scale) = (display(axis.key, axis.values) for axis in (found.x, found.y))
    marks = [[_MARKS.get(str(one), "✕") for one in row] for row in found.outcome]
    x, y = found.here
    here = (x / x_scale, y * (charge if found.y.key == "lamp_field" else 1.0) / y_scale)
    out = []
    for key, values in found.values.items():
        unit, scale = display(key, values)
        out.append(
            Heat(
                id=key,
                title=f"{words_of(key)} ({unit})" if unit else words_of(key),
                x_words=f"{words_of(found.x.key)} ({x_unit})",
                y_words=f"{words_of(found.y.key)} ({y_unit})",
                x=(found.x.values / x_scale).tolist(),
                y=(found.y.values / y_scale).tolist(),
                values=(np.asarray(values) / scale).tolist(),
                marks=marks,
                legend=LEGEND,
                here=here,
            )
        )
    return tuple(out)


def map_words(found: Any, charge: float = 1.0) -> str:
    """The whole map: a choice of the quantity, its drawing, its table, outcomes, notes and cautions."""
    rows = [
        {
            "id": heat.id,
            "title": heat.title,
            "words": QUANTITIES[heat.id].words,
            "drawing": svg(heat_scene(heat)),
            "table": heat_table(heat),
        }
        for heat in heats(found, charge)
    ]
    outcomes, counts = np.unique(found.outcome, return_counts=True)
    told = [f"{count} {outcome}" for outcome, count in zip(outcomes.tolist(), counts.tolist(), strict=True)]
    return show.page("study_map.html", rows=rows, found=found, outcomes=", ".join(told))
