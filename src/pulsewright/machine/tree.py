"""From the tree that TOML gives to entries and frozen parts, with every fault on the way."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from types import MappingProxyType
from typing import Any

from pulsewright.errors import Finding, Grade
from pulsewright.machine.curves import MeasuredCurve
from pulsewright.machine.fields import Field
from pulsewright.machine.parts import Machine
from pulsewright.machine.schema import SECTIONS, TOP_KEYS, Section, nearest
from pulsewright.machine.values import Entry, Place, literal, read_entry

_ID = re.compile(r"[A-Za-z][A-Za-z0-9_-]*\Z")


@dataclass(slots=True)
class Reading:
    """What was found in a tree: entries, ids of each section, measured curves, and faults.

    `kept`: entries already read from what stands there, taken as they are. `folder`: where the build file stands;
    None for a text that is not on disk.
    """

    file: str
    lines: Mapping[str, int]
    layers: Mapping[str, str]
    entries: dict[str, Entry] = field(default_factory=dict)
    ids: dict[str, tuple[str, ...]] = field(default_factory=dict)
    findings: list[Finding] = field(default_factory=list)
    kept: Mapping[str, Entry] = field(default_factory=dict)
    folder: Path | None = None
    curves: dict[str, MeasuredCurve] = field(default_factory=dict)

    def fault(self, path: str, message: str, allowed: str, next_step: str, grade: Grade = "error") -> None:
        """Add a finding, with the line of the entry or of the table that holds it."""
        above_the_file = path in self.layers
        line = 0 if above_the_file else self.line(path)
        file = "" if above_the_file else self.file
        self.findings.append(Finding(grade, path, message, allowed, next_step, file, line))

    def line(self, path: str) -> int:
        """Line of an entry, or of the nearest table above it; 0 when neither stands in the file."""
        while path:
            if path in self.lines:
                return self.lines[path]
            path = path.rpartition(".")[0]
        return 0

    def get(self, path: str) -> Any:
        """Value of an entry; None when it is absent, unknown or faulty."""
        entry = self.entries.get(path)
        return None if entry is None else entry.value


def read_tree(raw: Mapping[str, Any], reading: Reading) -> None:
    """Read every section of a tree into `reading`."""
    for key in raw:
        if key not in SECTIONS and key not in TOP_KEYS:
            near = nearest(key, (*SECTIONS, *TOP_KEYS))
            step = f'Perhaps "{near}" was meant' if near else "Remove it"
            reading.fault(key, f'"{key}" is not a known table', f"Known: {', '.join(SECTIONS)}", step)
    for key in ("name", "words"):
        if not isinstance(raw.get(key, ""), str):
            reading.fault(key, f"{key} is not text", "Text in quotes", f'Write {key} = "tidewater"')
    for section in SECTIONS.values():
        given = raw.get(section.name)
        if section.many and isinstance(given, dict):  # names may be ids of a section further down
            reading.ids[section.name] = tuple(part for part in given if _ID.match(part))
    for section in SECTIONS.values():
        for part, table in _parts(section, raw, reading):
            _read_part(section, part, table, reading)


def _parts(section: Section, raw: Mapping[str, Any], reading: Reading) -> Iterator[tuple[str, Mapping[str, Any]]]:
    """The tables of a section that can be read, by id."""
    given = raw.get(section.name)
    if not section.many:
        reading.ids[section.name] = ("",)
        if given is None and section.required:
            _missing_section(section, reading)
        elif given is not None and not isinstance(given, dict):
            _not_a_table(section, section.name, reading)
        else:
            yield "", given or {}
        return
    if given is not None and not isinstance(given, dict):
        _not_a_table(section, section.name, reading)
        return
    tables = {part: table for part, table in (given or {}).items() if _named(section, part, table, reading)}
    reading.ids[section.name] = tuple(tables)
    if len(given or {}) < section.least:
        _missing_section(section, reading)
    yield from tables.items()


def _named(section: Section, part: str, table: Any, reading: Reading) -> bool:
    path = f"{section.name}.{part}"
    if not isinstance(table, dict):
        _not_a_table(section, path, reading)
        return False
    if not _ID.match(part):
        allowed = "Letters, digits, _ and -, starting with a letter"
        step = f"Rename it, for instance {section.header('main')}"
        reading.fault(path, f'"{part[:40]}" cannot be an id', allowed, step)
        return False
    return True


def _not_a_table(section: Section, path: str, reading: Reading) -> None:
    part = _example_id(section) if section.many else ""
    what = f"Allowed: {section.words}, {'each a table with an id' if section.many else 'a table'}"
    reading.fault(path, f"{path} is not a table", what, f"Write {section.header(part)} and its keys below")


def _missing_section(section: Section, reading: Reading) -> None:
    header = section.header(_example_id(section) if section.many else "")
    needed = [key.key for key in section.fields.values() if key.required]
    if section.many and section.least > 0:
        count = "one" if section.least == 1 else str(section.least)
        message = f"there are {'no' if section.least == 1 else f'fewer than {count}'} {section.words}"
        allowed = f"At least {count}"
    else:
        message = f"the table {header} is missing ({section.words})"
        allowed = f"It needs: {', '.join(needed)}"
    reading.fault(section.name, message, allowed, f"Add {header} with {', '.join(needed)}")


def _example_id(section: Section) -> str:
    return {"lamps": "east", "loops": "main", "optics": "rear"}.get(section.name, "main")


def _read_part(section: Section, part: str, table: Mapping[str, Any], reading: Reading) -> None:
    base = f"{section.name}.{part}" if part else section.name
    for key in table:
        if key not in section.fields:
            near = nearest(key, section.fields)
            step = f'Perhaps "{near}" was meant' if near else "Remove it"
            known = f"Known in {section.header(part)}: {', '.join(section.fields)}"
            reading.fault(f"{base}.{key}", f'"{key}" is not a known key', known, step)
    for declared in section.fields.values():
        _read_key(declared, table, f"{base}.{declared.key}", section.header(part), reading)


def _read_key(key: Field, table: Mapping[str, Any], path: str, header: str, reading: Reading) -> None:
    if path in reading.kept:
        reading.entries[path] = reading.kept[path]
        return
    if key.key not in table:
        if key.required:
            what = f"{key.words[0].upper()}{key.words[1:]}"
            reading.fault(path, f"{key.key} is missing", what, f"Add {key.key} = {literal(key)} under {header}")
        elif key.default is not None:
            reading.entries[path] = _default_entry(key, path)
        return
    layer = reading.layers.get(path, "saved")
    in_file = layer == "saved"
    place = Place(path, reading.file, reading.lines, reading.line(path)) if in_file else Place(path)
    entry, faults = read_entry(key, table[key.key], place, layer, reading.ids.get(key.own, ()))
    reading.findings += faults
    if entry is not None:
        reading.entries[path] = entry


def _default_entry(key: Field, path: str) -> Entry:
    entry, faults = read_entry(key, key.default, Place(path), "default")
    assert entry is not None, faults
    return entry


def assemble(reading: Reading) -> Machine:
    """Frozen parts from entries; to be called when there is no error finding."""
    sections: dict[str, Any] = {}
    for section in SECTIONS.values():
        parts = {part: _record(section, part, reading.entries) for part in reading.ids[section.name]}
        sections[section.name] = MappingProxyType(parts) if section.many else parts[""]
    return Machine(**sections, curves=MappingProxyType(reading.curves))


def _record(section: Section, part: str, entries: Mapping[str, Entry]) -> Any:
    base = f"{section.name}.{part}." if part else f"{section.name}."
    values = {key: entries[base + key].value for key in section.fields if base + key in entries}
    for key, described in section.fields.items():
        if described.documentary:
            values.setdefault(key, "")
    return section.record(**values)
