"""Bench folders: made from the example benches, complete or not at all."""

from __future__ import annotations

import os
import shutil
import tempfile
from collections.abc import Mapping
from pathlib import Path

from pulsewright import machine as machines
from pulsewright.errors import BuildError, Finding
from pulsewright.machine import BENCHES, nearest

BUILD_FILE = "laser.toml"


def new_bench(directory: str | Path, source: str = "tidewater") -> Path:
    """Make a bench folder from an example bench.

    Parameters
    ----------
    directory : str or Path
        The folder to make; it must not exist.
    source : str
        Name of the example bench.

    Returns
    -------
    path : Path
        The folder made.

    Raises
    ------
    BuildError
        If the folder exists, there is no such example bench, or the place cannot be written. Nothing is left behind.
    """
    place = Path(directory)
    if source not in BENCHES:
        close = nearest(source, BENCHES)
        step = f"Did you mean {close}" if close else f"Choose {BENCHES[0]}"
        raise BuildError(Finding("error", "--from", f"there is no example bench {source!r}", _known(), step))
    return make_bench(place, machines.bench_text(source))


def make_bench(directory: str | Path, text: str, beside: Mapping[str, bytes] | None = None) -> Path:
    """Make a bench folder that holds this build file, and beside it the measured files that it names.

    Raises
    ------
    BuildError
        If the folder exists or the place cannot be written. Nothing is left behind.
    """
    place = Path(directory)
    if place.exists() or place.is_symlink():
        raise BuildError(
            Finding(
                "error",
                str(place),
                "this folder exists already",
                "A name that is free: nothing is ever overwritten",
                "Choose another name, or open the folder that is there",
            )
        )
    try:
        _make(place, text, beside or {})
    except OSError as fault:
        raise BuildError(
            Finding(
                "error",
                str(place),
                f"the folder cannot be made: {fault.strerror or fault}",
                "A place that exists and can be written",
                "Choose another place",
            )
        ) from fault
    return place


def _make(place: Path, text: str, measured: Mapping[str, bytes]) -> None:
    """Fill a folder beside the place, then give it its name."""
    place.parent.mkdir(parents=True, exist_ok=True)
    beside = Path(tempfile.mkdtemp(prefix=f".{place.name}-", dir=place.parent))
    try:
        with (beside / BUILD_FILE).open("w", encoding="utf-8", newline="\n") as file:
            file.write(text)
            file.flush()
            os.fsync(file.fileno())
        for name, content in measured.items():
            (beside / name).parent.mkdir(parents=True, exist_ok=True)
            (beside / name).write_bytes(content)
        beside.chmod(0o755)
        beside.rename(place)
    except OSError:
        shutil.rmtree(beside, ignore_errors=True)
        raise


def _known() -> str:
    return f"Example benches: {', '.join(BENCHES)}"
