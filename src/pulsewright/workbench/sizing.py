"""Sizing without a bench: candidates for a wish, and a bench folder of one of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import TYPE_CHECKING

import tomlkit

from pulsewright import machine as machines
from pulsewright.errors import BuildError, Finding
from pulsewright.studies.candidate import Candidate, Judged
from pulsewright.studies.candidate_file import SOURCE
from pulsewright.studies.dye_map import Place
from pulsewright.studies.size_bank import Sizing, build_text
from pulsewright.studies.size_bank import size_bank as sized
from pulsewright.studies.size_dye import DyeSizing
from pulsewright.studies.stock import Capacitor, read_stock, standard_values
from pulsewright.studies.wish import Wish
from pulsewright.workbench.folders import make_bench

if TYPE_CHECKING:
    from pulsewright.workbench.bench import Bench


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


def write_sized_dye(
    bench: Bench, sizing: DyeSizing, directory: str | Path, overrides: Mapping[str, str] | None = None
) -> Path:
    """Make a bench folder of a bench with its sized dye, coupler and bore; measured files are copied.

    Raises
    ------
    BuildError
        If nothing lases on the map, the folder exists, or the place cannot be written. Nothing is left behind.
    """
    if sizing.best.output_energy <= 0:
        message = "nothing lases on the map, so there is nothing to write"
        step = "Raise the charge voltage, or widen the ranges"
        raise BuildError(Finding("error", "--write", message, "A map on which something lases", step))
    path = f"optics.{sizing.coupler}.reflectivity"
    changes = {**(overrides or {}), **sizing.changes}
    for entry in sizing.changes:
        changes |= {f"{entry}.basis": "estimated", f"{entry}.source": SOURCE}
    text = machines.load(bench.file).text
    if path in sizing.changes:
        text = _without_curve(text, sizing.coupler)
    folder = bench.path
    text = machines.changed_text(text, changes, bench.file.name, folder)
    return make_bench(directory, text, _named_files(text, bench.file.name, folder))


def _without_curve(text: str, coupler: str) -> str:
    """The build file without the measured curve of the coupler, which one number replaces."""
    document = tomlkit.parse(text)
    document["optics"][coupler].pop("reflectivity_file", None)
    return tomlkit.dumps(document)


def _named_files(text: str, file: str, folder: Path) -> dict[str, bytes]:
    """Measured files of a build file that could be read, by name; one that nothing uses may be missing."""
    build = machines.load_text(text, file, folder).build
    names = () if build is None else {curve.file for curve in build.machine.curves.values()}
    return {name: (folder / name).read_bytes() for name in names}


__all__ = [
    "Candidate",
    "Capacitor",
    "DyeSizing",
    "Judged",
    "Place",
    "Sizing",
    "Wish",
    "read_stock",
    "size_bank",
    "standard_values",
    "write_candidate",
    "write_sized_dye",
]
