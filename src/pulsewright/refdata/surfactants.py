"""Surfactants that keep a dye apart in water."""

from __future__ import annotations

from pulsewright.refdata.rows import Datum, Surfactant, about

_TABLES = "usual tables of surfactants"


def _critical(value: float, low: float, high: float, tag: str) -> Datum:
    return Datum(value, "mol/m^3", low, high, tag, _TABLES, "water, 25 degC, no salt")


def _size(value: float, low: float, high: float) -> Datum:
    return Datum(value, "-", low, high, "memory-m", _TABLES, "just above the critical concentration")


def _mass(value: float, part: float = 1e-3) -> Datum:
    return about(value * 1e-3, "kg/mol", part, "memory-h", "molecular formula; chains of technical grades vary")


_ROWS = (
    Surfactant("none", (), "", None, "", "No surfactant."),
    Surfactant(
        "lauryldimethylamine oxide",
        ("LDAO",),
        "1643-20-5",
        _critical(1.7, 1.0, 2.2, "memory-m"),
        "Irritates skin, harms eyes; foams; very poisonous to water life.",
        "1.5 to 4 % by mass used with rhodamine 6G in water.",
        _mass(229.4),
        _size(76.0, 65.0, 85.0),
    ),
    Surfactant(
        "sodium dodecyl sulfate",
        ("SDS", "sodium lauryl sulfate"),
        "151-21-3",
        _critical(8.2, 7.0, 8.4, "memory-h"),
        "The dust can burn and irritates airways; harms eyes; foams; comes out of solution below about 15 degC.",
        "Rhodamine 6G breaks down faster in it than in methanol under 308 nm (Mialocq 1990); below its critical "
        "concentration it clumps with dyes of positive charge.",
        _mass(288.4),
        _size(62.0, 55.0, 70.0),
    ),
    Surfactant(
        "octylphenol ethoxylate",
        (),
        "9002-93-1",
        _critical(0.24, 0.2, 0.35, "memory-m"),
        "Harms eyes; disrupts hormones of water life: not down the drain, restricted in places.",
        "Absorbs below about 290 nm; not counted.",
        _mass(640.0, 0.05),
        _size(130.0, 100.0, 155.0),
    ),
)

SURFACTANTS: dict[str, Surfactant] = {row.name: row for row in _ROWS}
