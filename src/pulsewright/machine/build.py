"""A build: the frozen machine, its entries, its layers and its fingerprints."""

from __future__ import annotations

import copyreg
import dataclasses
import json
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cached_property
from hashlib import sha256
from pathlib import Path
from types import MappingProxyType
from typing import Any

from pulsewright import units
from pulsewright.errors import BuildError, DomainError, Finding, QuantityError, worst_first
from pulsewright.machine.checks import check_together
from pulsewright.machine.named_files import read_files
from pulsewright.machine.parts import Machine
from pulsewright.machine.schema import SECTIONS, Address, address, nearest
from pulsewright.machine.tree import Reading, assemble, read_tree
from pulsewright.machine.values import Entry, Place, read_entry, read_spread

#: Layers above the saved file, lowest first.
LAYERS = ("learned", "draft", "override")


def read_only(items: dict[str, Any]) -> MappingProxyType[str, Any]:
    """A view that cannot be written to."""
    return MappingProxyType(items)


# A build goes to worker processes; a read-only view has no pickled form of its own.
copyreg.pickle(MappingProxyType, lambda view: (read_only, (dict(view),)))

_NO_CHANGES: Mapping[str, Mapping[str, str]] = MappingProxyType({})
_NO_VALUES: Mapping[str, float] = MappingProxyType({})
_NO_ENTRIES: Mapping[str, Entry] = MappingProxyType({})


@dataclass(frozen=True, eq=False)
class Build:
    """One laser as read from its file, with the layers above it.

    Parameters
    ----------
    name, words : str
        As in the file.
    machine : Machine
        The frozen SI records.
    entries : mapping of str to Entry
        By path, in the order of the schema; defaults included.
    findings : tuple of Finding
        Limits, warnings and notes; never errors.
    file : str
        Name of the file, for messages.
    changes : mapping of layer to {path: text}
        What lies above the saved file.
    folder : Path or None
        Where the file stands and measured files are looked for; None for a text that is not on disk.
    """

    name: str
    words: str
    machine: Machine
    entries: Mapping[str, Entry]
    findings: tuple[Finding, ...]
    file: str
    changes: Mapping[str, Mapping[str, str]] = field(repr=False)
    _tree: Mapping[str, Any] = field(repr=False)
    _lines: Mapping[str, int] = field(repr=False)
    _replaced: Mapping[str, float] = field(default_factory=lambda: _NO_VALUES, repr=False)
    folder: Path | None = None

    def override(self, changes: Mapping[str, str], layer: str = "override") -> Build:
        """The build with some entries set from text, everything checked again.

        Only the value changes; spread, basis and source of the entry stay. A spread that the
        file gives in per cent keeps the size it has for the saved value.

        Parameters
        ----------
        changes : mapping of str to str
            Path to text with unit; `path.spread`, `path.basis` and `path.source` work too.
        layer : str
            `learned`, `draft` or `override`; a lower layer never hides a higher one.

        Raises
        ------
        BuildError
            With every fault: unknown path, bad value, values that do not go together.
        """
        if layer not in LAYERS:
            known = f"Known: {', '.join(LAYERS)}"
            raise DomainError(
                f'"{layer}" is not a layer', argument="layer", allowed=known, next_step="Name one of these"
            )
        merged = {name: dict(self.changes.get(name, {})) for name in LAYERS}
        merged[layer].update(changes)
        kept = {path: value for path, value in self._replaced.items() if path not in changes}
        faults = [fault for path in changes if (fault := self._unknown(path)) is not None]
        untouched = self._untouched(changes)
        reading, _ = read_layers(self._tree, self._lines, self.file, merged, faults, untouched, self.folder)
        errors = [finding for finding in reading.findings if finding.grade == "error"]
        if errors:
            raise BuildError(*worst_first(errors))
        build = _made(self.name, self.words, self._tree, reading, merged, self._lines)
        for path, value in kept.items():
            build = build.replace(path, value)
        return build

    def _untouched(self, changes: Mapping[str, str]) -> dict[str, Entry]:
        """Entries that read the same after these changes; they were read without a fault."""
        touched = {where.path for path in changes if (where := address(path)) is not None}
        touched.update(self._replaced)
        return {path: entry for path, entry in self.entries.items() if path not in touched}

    def replace(self, path: str, value: float) -> Build:
        """The build with one number set to an SI value; cheap, nothing is parsed or checked.

        Raises
        ------
        BuildError
            If the path is not a number of this build.
        """
        return self.replace_all({path: value})

    def replace_all(self, values: Mapping[str, float]) -> Build:
        """The build with several numbers set to SI values, as `replace`; each part is made anew once.

        Raises
        ------
        BuildError
            If a path is not a number of this build.
        """
        parts: dict[tuple[str, str], dict[str, float]] = {}
        entries = dict(self.entries)
        for path, value in values.items():
            entry, where = self.entries.get(path), address(path)
            if entry is None or where is None or isinstance(entry.value, str):
                raise BuildError(self._unknown(path) or _not_a_number(path))
            parts.setdefault((where.section.name, where.part), {})[where.field.key] = float(value)
            text = units.format(float(value), where.field.unit, None, display=where.field.quantity.display)
            entries[path] = dataclasses.replace(entry, value=float(value), text=text, layer="override")
        sections: dict[str, Any] = {}
        for (name, part), numbers in parts.items():
            section = sections.get(name, getattr(self.machine, name))
            record = dataclasses.replace(section[part] if part else section, **numbers)
            sections[name] = MappingProxyType({**section, part: record}) if part else record
        return dataclasses.replace(
            self,
            machine=dataclasses.replace(self.machine, **sections),
            entries=MappingProxyType(entries),
            _replaced={**self._replaced, **{path: float(value) for path, value in values.items()}},
        )

    def _unknown(self, path: str) -> Finding | None:
        return unknown_path(path, {name: tuple(getattr(self.machine, name)) for name in _families()})

    def _exact(self, entry: Entry) -> str:
        """One text for one value; of a file that is what stands in it, whatever its name."""
        curve = self.machine.curves.get(entry.path)
        return _canonical(entry.value) if curve is None else curve.sha256

    @cached_property
    def values_fingerprint(self) -> str:
        """Sixteen hexadecimal digits that change when any value does; order and spelling do not matter."""
        return _digest({entry.path: self._exact(entry) for entry in self.entries.values() if _computed(entry)})

    def full_fingerprint(self, reference_data: str, code: str) -> str:
        """The same over values with spread, basis, source and layer, reference data and code version."""
        rows = {
            entry.path: [
                self._exact(entry),
                _canonical(entry.spread),
                entry.distribution,
                entry.basis,
                entry.source,
                entry.layer,
            ]
            for entry in self.entries.values()
            if _computed(entry)
        }
        return _digest({"entries": rows, "reference data": reference_data, "code": code})


def _not_a_number(path: str) -> Finding:
    allowed, step = "A number that the build has", "Use override, which takes text"
    return Finding("error", path, "this entry is not a number of the build", allowed, step)


def _computed(entry: Entry) -> bool:
    where = address(entry.path)
    return where is None or not where.field.documentary


def _canonical(value: float | str | None) -> str:
    """One text for one value: exact, and the same for 0.0 and -0.0 and for whole numbers and floats."""
    if value is None:
        return "unknown"
    return value if isinstance(value, str) else (float(value) + 0.0).hex()


def _digest(rows: Mapping[str, Any]) -> str:
    return sha256(json.dumps(rows, sort_keys=True, ensure_ascii=True).encode()).hexdigest()[:16]


def _families() -> tuple[str, ...]:
    return tuple(section.name for section in SECTIONS.values() if section.many)


def unknown_path(path: str, ids: Mapping[str, tuple[str, ...]]) -> Finding | None:
    """A finding with the nearest path when an entry does not exist in a build with these ids."""
    where = address(path)
    if where is not None and (not where.section.many or where.part in ids.get(where.section.name, ())):
        return None
    near = nearest(path, known_paths(ids))
    step = f'Perhaps "{near}" was meant' if near else "See docs/build-file.md for every path"
    message = f'there is no entry "{path[:80]}" in this build'
    return Finding("error", path, message, _known_here(path, ids), step)


def _known_here(path: str, ids: Mapping[str, tuple[str, ...]]) -> str:
    """What exists at the place where a path goes wrong."""
    words = path.split(".")
    section = SECTIONS.get(words[0])
    if section is None:
        return f"Tables: {', '.join(SECTIONS)}"
    parts = ids.get(section.name, ())
    if section.many and (len(words) < 2 or words[1] not in parts):
        return f"Ids in {section.header()}: {', '.join(parts) or 'none'}"
    return f"Keys in {section.header(words[1] if section.many else '')}: {', '.join(section.fields)}"


def known_paths(ids: Mapping[str, tuple[str, ...]]) -> list[str]:
    """Every path that a build with these ids can have."""
    return [
        ".".join(word for word in (section.name, part, key) if word)
        for section in SECTIONS.values()
        for part in (ids.get(section.name, ()) if section.many else ("",))
        for key in section.fields
    ]


# Layers ----------------------------------------------------------------------------------------


def read_layers(
    tree: Mapping[str, Any],
    lines: Mapping[str, int],
    file: str,
    changes: Mapping[str, Mapping[str, str]] = _NO_CHANGES,
    faults: list[Finding] | None = None,
    kept: Mapping[str, Entry] = _NO_ENTRIES,
    folder: Path | None = None,
) -> tuple[Reading, Mapping[str, Any]]:
    """Read a tree with the layers above it laid over; the reading holds every fault."""
    layers: dict[str, str] = {}
    refused = {fault.path for fault in faults or ()}
    merged: Mapping[str, Any] = tree
    for layer in LAYERS:
        for path, text in changes.get(layer, {}).items():
            where = address(path)
            if path not in refused and where is not None:
                merged = _laid_over(merged, where, text)
                layers[where.path] = layer
    unmoved = {path: line for path, line in lines.items() if path not in layers}
    reading = Reading(file, unmoved, layers, kept=kept, folder=folder)
    reading.findings += faults or []
    read_tree(merged, reading)
    read_files(reading)
    check_together(reading)
    return reading, merged


def _laid_over(tree: Mapping[str, Any], where: Address, text: str) -> Mapping[str, Any]:
    """A tree with one entry changed; tables on the way are copied, the rest is shared."""
    names = [word for word in (where.section.name, where.part) if word]
    table = dict(tree)
    root = table
    for word in names:
        inner = table.get(word)
        table[word] = dict(inner) if isinstance(inner, dict) else {}
        table = table[word]
    key = where.field.key
    table[key] = with_text(where, table.get(key), text)
    return root


def with_text(where: Address, old: Any, text: str) -> Any:
    """What stands at a key after its value, or one sub-key of it, is set from text."""
    if where.sub:
        base = dict(old) if isinstance(old, dict) else {"value": _base_value(where, old)}
        return {**base, where.sub: text}
    if not isinstance(old, dict):
        default = where.field.default
        return {**default, "value": text} if old is None and isinstance(default, dict) else text
    return {**old, "value": text, **_absolute_spread(where, old)}


def _base_value(where: Address, old: Any) -> Any:
    if old is not None:
        return old
    default = where.field.default
    return default["value"] if isinstance(default, dict) else default


def _absolute_spread(where: Address, old: Mapping[str, Any]) -> dict[str, str]:
    """A spread in per cent of the old value, as the absolute spread it was."""
    spread = old.get("spread")
    if not (isinstance(spread, str) and spread.rstrip().endswith("%") and where.field.dimensional):
        return {}
    entry, _ = read_entry(where.field, old.get("value"), Place(where.path), "saved")
    if entry is None or not isinstance(entry.value, float):
        return {}
    display = where.field.quantity.display
    if units.read_unit(display).offset:
        display = ""  # a difference of temperatures is in kelvin
    try:
        half_width = read_spread(where.field, spread, entry.value)
    except QuantityError:
        return {}
    return {"spread": units.format(half_width, where.field.unit, None, display=display)}


def made(tree: Mapping[str, Any], lines: Mapping[str, int], reading: Reading) -> Build:
    """The build of a reading without errors."""
    return _made(str(tree.get("name", "")), str(tree.get("words", "")), tree, reading, _NO_CHANGES, lines)


def _made(
    name: str,
    words: str,
    tree: Mapping[str, Any],
    reading: Reading,
    changes: Mapping[str, Mapping[str, str]],
    lines: Mapping[str, int],
) -> Build:
    return Build(
        name,
        words,
        assemble(reading),
        MappingProxyType(reading.entries),
        tuple(worst_first(reading.findings)),
        reading.file,
        MappingProxyType({layer: MappingProxyType(dict(rows)) for layer, rows in changes.items() if rows}),
        tree,
        lines,
        folder=reading.folder,
    )
