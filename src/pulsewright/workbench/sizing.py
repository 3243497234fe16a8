"""Sizing without a bench: candidates for a wish, and a bench folder of one of them."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from pulsewright.errors import BuildError, Finding
from pulsewright.studies.candidate import Candidate, Judged
from pulsewright.studies.size_bank import Sizing, build_text
from pulsewright.studies.size_bank import size_bank as sized
from pulsewright.studies.stock import Capacitor, read_stock, standard_values
from pulsewright.studies.wish import Wish
from pulsewright.workbench.folders import make_bench


def size_bank(wish: Wish, simulate: bool = True, progress: Callable[[int, int], None] | None = None) -> Sizing:
    """Candidates for a bank that does what is wished, best first; each is simulated with the plasma model.

    Raises
    ------
    BuildError
        If the wish is none, with every fault.
    """
    return sized(wish, simulate, progress=progress)


def write_candidate(sizing: Sizing, number: int, directory: str | Path) -> Path:
    """Make a bench folder of a candidate: the example bench of the wish with bank, loop and lamps replaced.

    Raises
    ------
    BuildError
        If there is no such candidate, the folder exists, or the place cannot be written. Nothing is left behind.
    """
    place = Path(directory)
    for candidate in sizing.candidates:
        if candidate.number == number:
            return make_bench(place, build_text(candidate, sizing.wish, place.name))
    count = len(sizing.candidates)
    raise BuildError(
        Finding("error", "candidate", f"there is no candidate {number}", f"1 to {count}", "Name one that is listed")
    )


__all__ = [
    "Candidate",
    "Capacitor",
    "Judged",
    "Sizing",
    "Wish",
    "read_stock",
    "size_bank",
    "standard_values",
    "write_candidate",
]
