"""Whether a sized optimum is firm: the best place again at the ends of what dominates the uncertainty."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from pulsewright.engine.coefficients import coefficients
from pulsewright.studies.dye_map import DyeMap, Head, Place, coupling_axis, dye_map, polished, reflectivity_of
from pulsewright.studies.pulse_figures import Progress

#: What dominates the output of a dye laser and its optimum: losses of the excited dye, and of a pass.
DOMINATING = (
    "reference.dye.excited_state_absorption",
    "reference.dye.triplet_absorption",
    "reference.dye.intersystem_crossing_rate",
    "resonator.loss_per_pass",
)
#: Points a side of the coarser map at each end.
SIDE = 6
#: The optimum is firm where, at every end that lases, the sized values keep this part of what could be had there.
FIRM = 0.9


@dataclass(frozen=True, slots=True)
class End:
    """The best place at one end of one range, and what the sized values keep of its output there.

    `kept` None: nothing lases there with any values of the map.
    """

    path: str
    end: str
    value: float
    concentration: float
    reflectivity: float
    output_energy: float
    kept: float | None

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {key: getattr(self, key) for key in self.__dataclass_fields__}


def ends_of(head: Head) -> tuple[tuple[str, str, float], ...]:
    """Path, end and value of every end that is looked at."""
    return tuple(_ends(head))


def _ends(head: Head) -> Iterator[tuple[str, str, float]]:
    known = coefficients(head.base.machine)
    for path in DOMINATING:
        if path in known:
            item = known[path]
            pairs = (("low", item.low), ("high", item.high))
        else:
            entry = head.base.build.entries.get(path)
            if entry is None or not entry.spread or not isinstance(entry.value, float):
                continue
            pairs = (("low", max(entry.value - entry.spread, 0.0)), ("high", min(entry.value + entry.spread, 0.99)))
        middle = head.base.reference.get(path, math.nan)
        yield from ((path, end, value) for end, value in pairs if value != middle)


def at_end(
    head: Head, end: tuple[str, str, float], sized: Place, found: DyeMap, progress: Progress | None = None
) -> tuple[End, int]:
    """The best place at one end, at the sized bore; with the number of shots it took."""
    path, which, value = end
    there = head.with_values({path: value})
    concentrations = _coarser(np.log(found.concentration))
    couplings = _coarser(coupling_axis(found.reflectivity))
    grid = dye_map(there, np.array([sized.bore]), np.exp(concentrations), reflectivity_of(couplings), progress)
    best = polished(there, grid.best(), grid, zooms=1)
    mine = there((sized.bore, sized.concentration, sized.reflectivity))
    best = max((best, mine), key=lambda place: place.output_energy)
    kept = mine.output_energy / best.output_energy if best.output_energy > 0 else None
    row = End(path, which, value, best.concentration, best.reflectivity, best.output_energy, kept)
    return row, there.shots


def _coarser(axis: np.ndarray[Any, np.dtype[np.float64]]) -> np.ndarray[Any, np.dtype[np.float64]]:
    return np.linspace(axis.min(), axis.max(), min(SIDE, axis.size))


def firm(ends: tuple[End, ...]) -> bool:
    """Whether the sized values are near the best at every end that lases."""
    return all(row.kept >= FIRM for row in ends if row.kept is not None)
