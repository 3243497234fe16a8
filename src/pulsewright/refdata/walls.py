"""Surfaces of pump chamber walls: how their reflectivity goes with wavelength."""

from __future__ import annotations

from pulsewright.refdata.rows import Wall

_ROWS = (Wall("grey", "the same reflectivity at every wavelength", None),)

WALLS: dict[str, Wall] = {row.name: row for row in _ROWS}
