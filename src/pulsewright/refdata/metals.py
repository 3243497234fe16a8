"""Metals that leads are made of: resistivity at room temperature and permeability."""

from __future__ import annotations

from pulsewright.refdata.rows import Datum, Metal

_TABLES = "handbook tables, from memory"
_ROOM = "20 degC; a lead warmed by 100 K has some 40 % more"
_NOT_MAGNETIC = Datum(1.0, "-", 1.0, 1.0, "memory-h", _TABLES)

_ROWS = (
    Metal("copper", Datum(1.72e-8, "ohm*m", 1.68e-8, 1.8e-8, "memory-h", _TABLES, _ROOM), _NOT_MAGNETIC),
    Metal(
        "brass",
        Datum(6.4e-8, "ohm*m", 5.5e-8, 8.0e-8, "memory-m", _TABLES, _ROOM),
        _NOT_MAGNETIC,
        "By composition.",
    ),
    Metal(
        "aluminium",
        Datum(2.8e-8, "ohm*m", 2.65e-8, 5.0e-8, "memory-h", _TABLES, _ROOM),
        _NOT_MAGNETIC,
        "Pure metal at the lower end, hard alloys at the upper one.",
    ),
    Metal(
        "steel",
        Datum(1.6e-7, "ohm*m", 1.0e-7, 7.5e-7, "memory-m", _TABLES, _ROOM),
        Datum(100.0, "-", 1.0, 1000.0, "memory-l", _TABLES, "weak fields; it saturates at kiloamperes"),
        "Mild steel; stainless steel has the highest resistivity and is hardly magnetic.",
    ),
)

METALS = {row.name: row for row in _ROWS}
