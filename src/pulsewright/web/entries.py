"""Entries of a sheet as rows: what the file says, what the draft says, what may stand there, and what is absent."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any

from pulsewright import units

_NUMBER = re.compile(r"\s*([+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?)\s*(.*?)\s*\Z")
_MOST = re.compile(r"to (?:below )?([0-9.]+)\Z")
#: Kinds of key that are listed when the file does not have them.
_SHOWN_ABSENT = ("number", "count", "name", "file")


@dataclass(frozen=True, slots=True)
class Row:
    """One entry on a sheet."""

    path: str
    part: str
    words: str
    kind: str
    saved: str
    text: str
    changed: bool
    range: str
    allowed: str
    example: str
    basis: str
    source: str
    layer: str
    line: int
    choices: tuple[str, ...]
    modelled: tuple[str, ...]
    pinned: bool
    absent: bool

    @property
    def id(self) -> str:
        """Element id."""
        return "e-" + self.path.replace(".", "-")

    @property
    def estimate(self) -> bool:
        """Whether the value is a guess, and must look like one."""
        return self.kind in ("number", "count") and self.basis in ("estimated", "unknown", "")

    @property
    def about(self) -> str:
        """Basis, source and what is allowed, in words. A word without a basis needs none."""
        number = self.kind in ("number", "count")
        default = "default, not in the file" if self.layer == "default" else ""
        unknown = "basis not known" if number and not default else ""
        basis = self.basis if self.basis not in ("", "unknown") else unknown
        head = ", ".join(part for part in (basis, default) if part)
        told = f"{head}: {self.source}" if head and self.source else head or self.source
        allowed = f"Allowed: {self.allowed}" if self.allowed else ""
        return ". ".join(part for part in (told, allowed) if part)

    @property
    def can_pin(self) -> bool:
        """Whether a slider makes sense: a number that is not zero. The page makes it, from half to one and a half."""
        found = _NUMBER.match(self.saved)
        return self.kind == "number" and found is not None and float(found.group(1)) != 0.0

    @property
    def most(self) -> float | None:
        """Largest plain number allowed, where there is one."""
        found = _MOST.search(self.allowed)
        return None if found is None else float(found.group(1))


def places(build: Any) -> dict[str, str]:
    """Id of each optic to its place."""
    return {key: optic.place for key, optic in build.machine.optics.items()}


def all_rows(
    known: list[dict[str, Any]], build: Any, draft: Mapping[str, str], pins: tuple[str, ...]
) -> dict[str, Row]:
    """Every entry by path, in the order of the file; then what the file does not have."""
    return {raw["path"]: _row(_with_own(raw, build), draft, pins) for raw in [*known, *absent_rows(build)]}


def _with_own(raw: dict[str, Any], build: Any) -> dict[str, Any]:
    """The choice of the dye with the user's own dyes after those of the library."""
    if raw["path"] != "dye.name":
        return raw
    return {**raw, "choices": list(dict.fromkeys([*raw["choices"], *build.machine.dyes]))}


def _row(raw: Mapping[str, Any], draft: Mapping[str, str], pins: tuple[str, ...]) -> Row:
    path, saved = raw["path"], str(raw["text"])
    text = draft.get(path, saved)
    return Row(
        path=path,
        part=raw["part"],
        words=raw["words"],
        kind=raw["kind"],
        saved=saved,
        text=text,
        changed=path in draft and text != saved,
        range=_range(raw),
        allowed=raw["allowed"],
        example=raw["example"],
        basis=raw["basis"],
        source=raw["source"],
        layer="draft" if path in draft else raw["layer"],
        line=raw["line"],
        choices=_choices(raw),
        modelled=tuple(raw["modelled"]),
        pinned=path in pins,
        absent=raw["layer"] == "absent",
    )


def _choices(raw: Mapping[str, Any]) -> tuple[str, ...]:
    choices = tuple(raw["choices"])
    return choices if not choices or not raw["text"] or raw["text"] in choices else (*choices, str(raw["text"]))


def _range(raw: Mapping[str, Any]) -> str:
    """The spread, in the unit in which the quantity is shown; differences of temperature stay in K."""
    spread, unit, display = raw["spread"], raw["unit"], raw["display"]
    if not spread:
        return ""
    if unit == "K":
        return f"± {spread}"
    return f"± {units.format(units.parse(spread, unit), unit, 2, display=display)}"


def absent_rows(build: Any) -> Iterator[dict[str, Any]]:
    """Entries that the build file may have and has not, read off the records' own declarations."""
    for section in fields(build.machine):
        value = getattr(build.machine, section.name)
        parts = value.items() if isinstance(value, Mapping) else [("", value)]
        for key, record in parts:
            yield from _absent_of(build, section.name, key, record)


def _absent_of(build: Any, section: str, key: str, record: Any) -> Iterator[dict[str, Any]]:
    part = f"{section}.{key}" if key else section
    for item in fields(record):
        if "field" not in item.metadata:
            continue  # a measured curve beside the entries
        declared = replace(item.metadata["field"], key=item.name)
        path = f"{part}.{item.name}"
        if path not in build.entries and declared.kind in _SHOWN_ABSENT:
            yield {
                "path": path,
                "part": part,
                "words": declared.words,
                "kind": declared.kind,
                "text": "",
                "spread": None,
                "unit": declared.unit,
                "display": declared.unit,
                "allowed": declared.range_words,
                "example": declared.example,
                "basis": "unknown",
                "source": "",
                "layer": "absent",
                "line": 0,
                "choices": (),
                "modelled": (),
            }
