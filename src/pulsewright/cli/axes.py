"""Axes of a map as options give them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

import click

from pulsewright.cli.ranges import Floats, values
from pulsewright.errors import Finding, QuantityError
from pulsewright.quantities import QUANTITIES


def axes_of(named: Mapping[tuple[str, str], str], others: Iterable[str]) -> dict[str, Floats]:
    """Path to SI values: of (option, path) -> range, then of `PATH=RANGE` words.

    Raises
    ------
    QuantityError
        If a range cannot be read, or the last word of a path is no quantity.
    """
    found = {path: values(option, path.rpartition(".")[2], words) for (option, path), words in named.items()}
    for pair in others:
        path, equals, words = pair.partition("=")
        path, words = path.strip(), words.strip()
        if not equals or not path or not words:
            raise click.UsageError(f"--axis {pair!r}: write PATH=RANGE, for instance lamps.*.bore='4 mm:8 mm:5'.")
        if path in found:
            raise click.UsageError(f"--axis {path}: given twice. Give it once.")
        key = path.rpartition(".")[2]
        if key not in QUANTITIES:
            allowed, step = "The path of a number of the build file", "See docs/build-file.md for every path"
            raise QuantityError(Finding("error", path, f'"{path}" is no number of the build file', allowed, step))
        found[path] = values("--axis " + path, key, words)
    return found
