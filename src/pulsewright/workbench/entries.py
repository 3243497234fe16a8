"""Entries of a build as rows for a form."""

from __future__ import annotations

from typing import Any

from pulsewright import units
from pulsewright.machine import Build, Entry, address
from pulsewright.machine.schema import SchemaRow, schema_rows


def entry_rows(build: Build) -> list[dict[str, Any]]:
    """One row an entry, in the order of the build file."""
    known = {row.path: row for row in schema_rows()}
    rows = (_row(path, entry, known, build) for path, entry in build.entries.items())
    return [row for row in rows if row is not None]


def _row(path: str, entry: Entry, known: dict[str, SchemaRow], build: Build) -> dict[str, Any] | None:
    where = address(path)
    if where is None:
        return None
    section = where.section
    pattern = f"{section.name}.<id>.{where.field.key}" if section.many else f"{section.name}.{where.field.key}"
    schema = known[pattern]
    spread = None if not entry.spread else units.format(entry.spread, schema.unit)
    return {
        "path": path,
        "part": f"{section.name}.{where.part}" if where.part else section.name,
        "key": where.field.key,
        "words": schema.words,
        "kind": schema.kind,
        "text": entry.text,
        "value": entry.value,
        "unit": schema.unit,
        "display": schema.display,
        "spread": spread,
        "basis": entry.basis,
        "source": entry.source,
        "layer": entry.layer,
        "line": entry.line,
        "choices": [*_own_ids(schema, build), *schema.choices],
        "modelled": list(schema.modelled),
        "allowed": schema.allowed,
        "example": schema.example,
        "required": schema.required,
        "editable": True,
    }


def _own_ids(schema: SchemaRow, build: Build) -> list[str]:
    """Ids of the build's own parts that may stand there beside names of the reference data."""
    return list(getattr(build.machine, schema.own)) if schema.own else []
