"""Older build files are brought up to this version's schema when they are read."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from pulsewright.errors import Finding
from pulsewright.machine.schema import SCHEMA

Tree = Mapping[str, Any]

#: Schema number -> what turns such a tree into one of the next number. Schema 1 is the first.
MIGRATIONS: Mapping[int, Callable[[Tree], Tree]] = {}


def migrate(
    tree: Tree,
    file: str,
    line: int = 0,
    *,
    schema: int = SCHEMA,
    migrations: Mapping[int, Callable[[Tree], Tree]] = MIGRATIONS,
) -> tuple[Tree, Finding | None]:
    """The tree in the wanted schema, or a finding when its own is missing, wrong or newer."""
    given = tree.get("schema")
    step = f"Write schema = {schema} before the first table"
    if given is None:
        return tree, Finding("error", "schema", "the schema number is missing", f"schema = {schema}", step, file, line)
    if isinstance(given, bool) or not isinstance(given, int) or given < 1:
        message = f"{str(given)[:40]!r} is not a schema number"
        return tree, Finding("error", "schema", message, f"A whole number from 1 to {schema}", step, file, line)
    if given > schema:
        message = f"schema {given} was written by a newer version; this one reads up to schema {schema}"
        return tree, Finding(
            "error", "schema", message, f"schema = 1 to {schema}", "Install the newer version", file, line
        )
    for number in range(given, schema):
        tree = {**migrations[number](tree), "schema": number + 1}
    return tree, None
