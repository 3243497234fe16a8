"""The waveforms of a shot as one CSV table."""

from __future__ import annotations

import csv
import io
import math
from collections.abc import Iterator

from pulsewright.records import Array, Shot


def shot_table(shot: Shot) -> str:
    """Every array of a shot in one table, a column each, SI units in the heading.

    Columns stand side by side, each group led by the axis it belongs to; an axis that is
    shorter than another leaves its cells empty. An array over time and shell becomes a column a shell.
    """
    columns = list(_columns(shot))
    length = max((len(values) for _, values in columns), default=0)
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow([heading for heading, _ in columns])
    for i in range(length):
        writer.writerow([_cell(values[i]) if i < len(values) else "" for _, values in columns])
    return out.getvalue()


def _cell(value: float) -> str:
    """The shortest text that reads back as the same number; empty where there is none."""
    return repr(value) if math.isfinite(value) else ""


def _columns(shot: Shot) -> Iterator[tuple[str, list[float]]]:
    for axis in _axes(shot):
        if axis in shot.arrays:
            yield from _split(axis, shot.arrays[axis])
        for name, array in shot.arrays.items():
            if name != axis and array.axes[:1] == (axis,):
                yield from _split(name, array)


def _axes(shot: Shot) -> list[str]:
    """First axes, each once, in the order they are met."""
    return list(dict.fromkeys(array.axes[0] for array in shot.arrays.values() if array.axes))


def _split(name: str, array: Array) -> Iterator[tuple[str, list[float]]]:
    if array.values.ndim == 1:
        yield f"{name} [{array.unit}]", array.values.tolist()
        return
    flat = array.values.reshape(len(array.values), -1)
    for i in range(flat.shape[1]):
        yield f"{name} {array.axes[-1]} {i + 1} [{array.unit}]", flat[:, i].tolist()
