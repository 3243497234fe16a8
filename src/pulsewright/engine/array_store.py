"""Arrays kept between runs, beside the compiled kernels: one file of named arrays for each recipe.

A file is written beside and renamed. One that cannot be read, or a folder that cannot be written, costs the time to
compute and nothing else.
"""

from __future__ import annotations

import hashlib
import os
import zipfile
from collections.abc import Callable, Mapping
from contextlib import suppress
from functools import cache
from pathlib import Path
from threading import get_ident

import numpy as np
from numpy.typing import NDArray

from pulsewright import numerics

Arrays = Mapping[str, NDArray[np.float64]]

#: Most files kept in a folder; the ones not used for longest go first. Most files one process writes.
MOST_FILES, MOST_WRITES = 256, 256
_SPOILT = (OSError, ValueError, KeyError, EOFError, TypeError, zipfile.BadZipFile)

_written: list[str] = []


def stored_arrays(folder: str, recipe: str, build: Callable[[], Arrays]) -> Arrays:
    """The arrays of a recipe: from its file when there is a sound one, else built and kept."""
    path = _place(folder, recipe)
    found = _read(path)
    if found is None:
        found = build()
        _keep(path, found)
    return found


def is_stored(folder: str, recipe: str) -> bool:
    """Whether a file of this recipe is kept."""
    return _place(folder, recipe).is_file()


@cache
def _sources() -> str:
    """Names the kernels that compute what is kept. Read once: sources do not change while they run."""
    return f"{numerics.kernel_fingerprint()} {np.__version__}"


def _place(folder: str, recipe: str) -> Path:
    name = hashlib.sha256(f"{_sources()} {recipe}".encode()).hexdigest()[:32]
    return numerics.cache_root() / folder / f"{name}.npz"


def _read(path: Path) -> Arrays | None:
    try:
        with path.open("rb") as file, np.load(file, allow_pickle=False) as kept:
            values = {name: kept[name] for name in kept.files}
        os.utime(path)
    except _SPOILT:
        return None
    sound = all(value.dtype == np.float64 and bool(np.all(np.isfinite(value))) for value in values.values())
    return values if values and sound else None


def _keep(path: Path, found: Arrays) -> None:
    if len(_written) >= MOST_WRITES:
        return
    beside = path.with_name(f".{path.stem}.{os.getpid()}.{get_ident()}.tmp")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        with beside.open("wb") as file:
            np.savez(file, **dict(found))  # type: ignore[arg-type]
        beside.replace(path)
        _written.append(path.stem)
        _prune(path.parent)
    except OSError:
        with suppress(OSError):
            beside.unlink()


def _prune(where: Path) -> None:
    ages = []
    for path in where.glob("*.npz"):
        with suppress(OSError):
            ages.append((path.stat().st_mtime_ns, path))
    for _, path in sorted(ages, reverse=True)[MOST_FILES:]:
        path.unlink(missing_ok=True)
