"""The reference rows as text, for the documentation: every value with range, support and source."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import fields

from pulsewright.refdata import names, row
from pulsewright.refdata.rows import Composition, Curve, Datum, MeasuredSpectrum, Row, Sourced, data_of

_HEAD = ("| value | SI | 90 % range | unit | support | source and validity |", "|---|---|---|---|---|---|")


def _number(value: float | None) -> str:
    return "not known" if value is None else f"{value:.6g}"


def _line(name: str, item: Sourced) -> str:
    words = name.replace("_", " ")
    if isinstance(item, Datum):
        span = "not known" if item.low is None else f"{_number(item.low)} to {_number(item.high)}"
        told = f"{item.source}; {item.valid}" if item.valid else item.source
        return f"| {words} | {_number(item.value)} | {span} | {item.unit} | {item.tag} | {told} |"
    if isinstance(item, Curve):
        first, last = item.wavelength[0] * 1e9, item.wavelength[-1] * 1e9
        span = f"{first:.0f} to {last:.0f} nm"
        told = f"{item.source}; {item.valid}" if item.valid else item.source
        return f"| {words} | {len(item.values)} points | {span} | {item.unit} | {item.tag} | {told} |"
    if isinstance(item, Composition):
        span = f"mass fraction {item.mass_fraction[0]:g} to {item.mass_fraction[-1]:g}, each within {item.spread:g}"
        told = f"{item.source}; {item.valid}" if item.valid else item.source
        values = ", ".join(f"{value:g}" for value in item.values)
        return f"| {words} | {values} | {span} | {item.unit} | {item.tag} | {told} |"
    window = f"data from {item.known_from * 1e9:.0f} to {item.known_to * 1e9:.0f} nm"
    if isinstance(item, MeasuredSpectrum):
        return f"| {words} | {len(item.values)} points | {window} | - | {item.tag} | {item.source}; in {item.solvent} |"
    told = f"{item.source}; in {item.solvent}, rms {item.rms:g}"
    return f"| {words} | {len(item.components)} Gaussians | {window} | - | {item.tag} | {told} |"


def _unknown(found: Row) -> Iterator[str]:
    for field in fields(found):
        if getattr(found, field.name) is None:
            yield field.name.replace("_", " ")


def _section(kind: str, name: str) -> Iterator[str]:
    found = row(kind, name)
    yield f"### {kind}: {name}"
    yield ""
    for key in ("words", "hazards", "notes"):
        told = getattr(found, key, "")
        if told:
            yield told
            yield ""
    lines = [_line(label, item) for label, item in data_of(found)]
    if lines:
        yield from (*_HEAD, *lines, "")
    blank = ", ".join(_unknown(found))
    if blank:
        yield f"Not known or not there: {blank}."
        yield ""


def reference_sheet() -> str:
    """Every row of every kind as Markdown, in the order of the tables."""
    lines = [line for kind, members in names().items() for name in members for line in _section(kind, name)]
    return "\n".join(lines).rstrip("\n") + "\n"
