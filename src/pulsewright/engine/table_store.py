"""Plasma tables kept between runs, beside the compiled kernels.

A file is named by a hash of everything its tables depend on: arguments, sizes, and the sources that compute them. It
is written beside and renamed. A file that cannot be read, or a folder that cannot be written, costs a few
milliseconds and nothing else.
"""

from __future__ import annotations

import hashlib
import os
import zipfile
from collections.abc import Callable
from contextlib import suppress
from dataclasses import fields
from functools import cache
from pathlib import Path
from threading import get_ident
from typing import Any

import numpy as np

from pulsewright import numerics
from pulsewright.physics.lamp import tables
from pulsewright.physics.lamp.tables import PlasmaTables

#: Most files kept; the ones not used for longest go first.
MOST_FILES = 64
#: Most files one process writes: a study that varies every coefficient of every shot must not fill the disk.
MOST_WRITES = 64
_SPOILT = (OSError, ValueError, KeyError, EOFError, TypeError, zipfile.BadZipFile)
_SOURCES = ("_saha", "plasma", "mixture", "light", "lines", "wall", "tables")

_written: list[str] = []


def stored_tables(recipe: object, build: Callable[[], PlasmaTables]) -> PlasmaTables:
    """The tables of a recipe: from its file when there is a sound one, else built and kept."""
    path = folder() / f"{digest(recipe)}.npz"
    found = _read(path)
    if found is None:
        found = build()
        _keep(path, found)
    return found


def folder() -> Path:
    """Where the files are."""
    return numerics.cache_root() / "plasma-tables"


def digest(recipe: object) -> str:
    """Name of the file of a recipe: changes with any number in it, the sizes of the tables, and the sources."""
    centre, width = tables.spectral_bands()
    text = f"{_sources()} {np.__version__} {tables.SIZES} {recipe!r}".encode()
    return hashlib.sha256(text + centre.tobytes() + width.tobytes()).hexdigest()[:32]


@cache
def _sources() -> str:
    """Hash of every source that takes part in computing tables."""
    package = Path(numerics.__file__).resolve().parent
    total = hashlib.sha256()
    for path in (package / "monotone.py", *(package.parent / "physics" / "lamp" / f"{name}.py" for name in _SOURCES)):
        total.update(path.read_bytes() if path.exists() else b"none")
    return total.hexdigest()


def _read(path: Path) -> PlasmaTables | None:
    try:
        with path.open("rb") as file, np.load(file, allow_pickle=False) as kept:
            values = {name: kept[name] for name in kept.files}
        os.utime(path)
        return _sound(values)
    except _SPOILT:
        return None


def _sound(values: dict[str, np.ndarray]) -> PlasmaTables | None:
    """The record, unless something is missing, of another shape, or not a number."""
    scalars = {"number_density", "mass_density"}
    axes = {"log_energy", "log_density", "log_radius"}
    given: dict[str, object] = {}
    for field in fields(PlasmaTables):
        value = values[field.name]
        if not np.all(np.isfinite(value)):
            return None
        if field.name in scalars:
            given[field.name] = float(value)
        elif field.name in axes:
            first, step = value
            given[field.name] = (float(first), float(step))
        elif value.ndim not in (2, 3) or value.shape[:2] != values["temperature"].shape:
            return None
        else:
            given[field.name] = value
    return PlasmaTables(**given)  # type: ignore[arg-type]


def _keep(path: Path, found: PlasmaTables) -> None:
    if len(_written) >= MOST_WRITES:
        return
    beside = path.with_name(f".{path.stem}.{os.getpid()}.{get_ident()}.tmp")
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        values: dict[str, Any] = {field.name: np.asarray(getattr(found, field.name)) for field in fields(found)}
        with beside.open("wb") as file:
            np.savez(file, **values)
        beside.replace(path)
        _written.append(path.stem)
        _prune(path.parent)
    except OSError:
        with suppress(OSError):
            beside.unlink()


def _prune(where: Path) -> None:
    """Remove what was not used for longest, beyond the number that is kept."""
    ages = []
    for path in where.glob("*.npz"):
        try:
            ages.append((path.stat().st_mtime_ns, path))
        except OSError:
            continue
    for _, path in sorted(ages, reverse=True)[MOST_FILES:]:
        path.unlink(missing_ok=True)
