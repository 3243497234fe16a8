"""Surfactants that keep a dye apart in water."""

from __future__ import annotations

from pulsewright.refdata.rows import Surfactant

_ROWS = (Surfactant("none", (), "", None, "", "no surfactant"),)

SURFACTANTS: dict[str, Surfactant] = {row.name: row for row in _ROWS}
