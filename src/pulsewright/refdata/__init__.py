"""Reference data: dyes, solvents, gases, glasses, coatings and limits; each row sourced, with its validity and range.

Rows are frozen records in SI (see `rows`). A table is read when the first of its rows is asked for.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from difflib import get_close_matches
from functools import cache
from hashlib import sha256
from importlib import import_module
from typing import Any, TypeVar

from pulsewright.errors import BuildError, Finding
from pulsewright.refdata.rows import (
    TAGS,
    Atmosphere,
    Coating,
    Composition,
    Coolant,
    Curve,
    Datum,
    Dye,
    Filter,
    Gas,
    GasBlend,
    GaussianSum,
    Glass,
    Line,
    MeasuredSpectrum,
    Metal,
    Mixture,
    Molecule,
    Quencher,
    Row,
    Rule,
    Solvent,
    Surfactant,
    Townsend,
    Wall,
    data_of,
)

__all__ = [
    "TAGS",
    "Atmosphere",
    "Coating",
    "Composition",
    "Coolant",
    "Curve",
    "Datum",
    "Dye",
    "Filter",
    "Gas",
    "GasBlend",
    "GaussianSum",
    "Glass",
    "Line",
    "MeasuredSpectrum",
    "Metal",
    "Mixture",
    "Molecule",
    "Quencher",
    "Row",
    "Rule",
    "Solvent",
    "Surfactant",
    "Townsend",
    "Wall",
    "atmosphere",
    "breakdown",
    "coating",
    "coolant",
    "data_of",
    "dye",
    "filter_jacket",
    "fingerprint",
    "gas",
    "gas_parts",
    "glass",
    "metal",
    "mixture",
    "molecule",
    "names",
    "quencher",
    "row",
    "rule",
    "solubility",
    "solvent",
    "sources",
    "surfactant",
    "vapour",
    "wall",
]

#: Kind -> module and table.
_TABLES: Mapping[str, tuple[str, str]] = {
    "dye": ("dyes", "DYES"),
    "solvent": ("solvents", "SOLVENTS"),
    "mixture": ("mixtures", "MIXTURES"),
    "rule": ("rules", "RULES"),
    "half output dose": ("dye_life", "HALF_OUTPUT_DOSES"),
    "gas": ("gases", "GASES"),
    "vapour": ("molecules", "VAPOURS"),
    "molecule": ("molecules", "MOLECULES"),
    "breakdown": ("breakdowns", "BREAKDOWNS"),
    "glass": ("glasses", "GLASSES"),
    "coating": ("coatings", "COATINGS"),
    "coolant": ("glasses", "COOLANTS"),
    "filter": ("glasses", "FILTERS"),
    "wall": ("walls", "WALLS"),
    "surfactant": ("surfactants", "SURFACTANTS"),
    "atmosphere": ("quenchers", "ATMOSPHERES"),
    "quencher": ("quenchers", "QUENCHERS"),
    "metal": ("metals", "METALS"),
}

_R = TypeVar("_R")


def _table(kind: str) -> Mapping[str, Any]:
    module, table = _TABLES[kind]
    return getattr(import_module(f"pulsewright.refdata.{module}"), table)  # type: ignore[no-any-return]


def names() -> dict[str, tuple[str, ...]]:
    """Names of every row, by kind, in the spelling of the build file."""
    return {kind: tuple(_table(kind)) for kind in _TABLES}


def _unknown(kind: str, name: str, known: Iterable[str]) -> BuildError:
    choices = tuple(known)
    by_lower = {choice.lower(): choice for choice in choices}
    near = [by_lower[key] for key in get_close_matches(str(name).lower(), by_lower, n=3, cutoff=0.5)]
    step = f"Nearest: {', '.join(near)}" if near else "Choose one of them"
    return BuildError(Finding("error", kind, f"no {kind} is called {name!r}", f"known: {', '.join(choices)}", step))


def row(kind: str, name: str) -> Row:
    """The row of that kind and name; BuildError with the nearest names when there is none."""
    if kind not in _TABLES:
        raise _unknown("kind of reference row", kind, _TABLES)
    table = _table(kind)
    if name not in table:
        raise _unknown(kind, name, table)
    found: Row = table[name]
    return found


def _typed(kind: str, name: str, shape: type[_R]) -> _R:
    found = row(kind, name)
    assert isinstance(found, shape)
    return found


def dye(name: str) -> Dye:
    """A laser dye."""
    return _typed("dye", name, Dye)


def solvent(name: str) -> Solvent:
    """A dye solvent."""
    return _typed("solvent", name, Solvent)


def mixture(first: str, second: str) -> Mixture | None:
    """What is tabulated of two solvents mixed, in whatever order; None where nothing is."""
    table = _table("mixture")
    found: Mixture | None = table.get(f"{first} and {second}") or table.get(f"{second} and {first}")
    return found


def rule(name: str) -> Rule:
    """A rule of the trade that is one number."""
    return _typed("rule", name, Rule)


def solubility(name: str, solvent_name: str) -> Datum | None:
    """How much of a dye dissolves in a solvent, in mol/m^3; None where not known."""
    return dict(dye(name).solubility).get(solvent_name)


def gas(name: str) -> Gas:
    """A lamp filling of one kind of atom or molecule; a blend such as air is refused: see `gas_parts`."""
    found = row("gas", name)
    if isinstance(found, GasBlend):
        parts = ", ".join(found.gases)
        raise BuildError(Finding("error", "gas", f"{name!r} is a blend", f"Its parts: {parts}", "Ask for its parts"))
    return _typed("gas", name, Gas)


def gas_parts(name: str) -> tuple[tuple[Gas, float], ...]:
    """The rows that a lamp filling consists of, with their mole fractions in the cold gas."""
    found = row("gas", name)
    assert isinstance(found, Gas | GasBlend)
    return tuple((gas(part), fraction) for part, fraction in found.parts)


def vapour(name: str) -> Gas:
    """An element that a hot wall gives off and that no lamp is filled with."""
    return _typed("vapour", name, Gas)


def molecule(name: str) -> Molecule:
    """A molecule of two atoms that occurs in a lamp plasma."""
    return _typed("molecule", name, Molecule)


def breakdown(name: str) -> Townsend:
    """Townsend's constants of a lamp filling."""
    return _typed("breakdown", name, Townsend)


def glass(name: str) -> Glass:
    """An envelope, cell or window glass."""
    return _typed("glass", name, Glass)


def coating(name: str) -> Coating:
    """An optical surface with its damage threshold."""
    return _typed("coating", name, Coating)


def coolant(name: str) -> Coolant:
    """What fills the chamber around the lamps."""
    return _typed("coolant", name, Coolant)


def filter_jacket(name: str) -> Filter:
    """A filter jacket between lamp and dye."""
    return _typed("filter", name, Filter)


def atmosphere(name: str) -> Atmosphere:
    """The gas over the dye."""
    return _typed("atmosphere", name, Atmosphere)


def quencher(name: str) -> Quencher:
    """A triplet quencher added to the dye."""
    return _typed("quencher", name, Quencher)


def wall(name: str) -> Wall:
    """A surface of the pump chamber's wall."""
    return _typed("wall", name, Wall)


def surfactant(name: str) -> Surfactant:
    """A surfactant in a watery dye solution."""
    return _typed("surfactant", name, Surfactant)


def metal(name: str) -> Metal:
    """A metal that leads are made of."""
    return _typed("metal", name, Metal)


def sources(*rows: Row) -> tuple[str, ...]:
    """Every source behind the rows given, each once, with how well it is supported: for the provenance of a result."""
    found: dict[str, None] = {}
    for given in rows:
        for _, datum in data_of(given):
            found[f"{datum.source} [{datum.tag}]"] = None
    return tuple(found)


@cache
def fingerprint() -> str:
    """SHA-256 over every row; it changes when any reference value, range or source changes."""
    text = "\n".join(repr(_table(kind)[name]) for kind, members in names().items() for name in members)
    return sha256(text.encode()).hexdigest()
