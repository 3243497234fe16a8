"""The table of every key of the build file, as it stands in docs/build-file.md."""

from __future__ import annotations

import sys
from pathlib import Path

from pulsewright.machine.schema import SECTIONS, SchemaRow, schema_rows

BEGIN = "<!-- rows of the schema: begin -->"
END = "<!-- rows of the schema: end -->"


def markdown() -> str:
    """One table a section, in the order of the build file."""
    rows = schema_rows()
    return "\n".join(_section(name, [row for row in rows if row.section == name]) for name in SECTIONS)


def _section(name: str, rows: list[SchemaRow]) -> str:
    section = SECTIONS[name]
    needed = "required" if section.required else "may be left out"
    head = [f"### `{section.header()}`", "", f"{section.words[0].upper()}{section.words[1:]}; {needed}.", ""]
    table = ["| key | what it is | what may stand there | default |", "|---|---|---|---|"]
    return "\n".join([*head, *table, *map(_line, rows), ""])


def _line(row: SchemaRow) -> str:
    default = f"`{row.default}`" if row.default else ("required" if row.required else "")
    return f"| `{row.key}` | {row.words} | {_allowed(row)} | {default} |"


def _allowed(row: SchemaRow) -> str:
    if row.kind == "choice":
        return ", ".join(word if word in row.modelled else f"{word} (not modelled yet)" for word in row.choices)
    if row.kind == "name":
        own = f", or an id of `[{row.own}.<id>]`" if row.own else ""
        return ", ".join(row.choices) + own
    if row.kind == "text":
        return "text; nothing is computed from it"
    if row.kind == "file":
        return f'name of a file in the bench folder, such as `"{row.example}"`'
    if row.kind == "reference":
        return "id of an optic"
    example = row.example if row.kind == "count" or row.unit == "-" else f'"{row.example}"'
    return f"{row.allowed or 'whole number, 1 or more'}, such as `{example}`"


def rewrite(path: Path) -> None:
    """Put the table into a document, between its marks."""
    text = path.read_text(encoding="utf-8")
    start, end = text.index(BEGIN) + len(BEGIN), text.index(END)
    path.write_text(f"{text[:start]}\n\n{markdown()}\n{text[end:]}", encoding="utf-8")


if __name__ == "__main__":
    rewrite(Path(sys.argv[1]))
