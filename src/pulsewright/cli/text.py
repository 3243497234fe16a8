"""Words and tables for the terminal: 80 columns, aligned, read well without colour."""

from __future__ import annotations

import os
import shutil
import sys
import textwrap
from collections.abc import Callable, Hashable, Iterable, Sequence
from dataclasses import dataclass
from typing import Literal, TypeVar

import click

from pulsewright.errors import Finding

WIDEST, NARROWEST = 80, 50

Row = TypeVar("Row")


def width() -> int:
    """Columns to use: the terminal's, but never more than 80."""
    return max(NARROWEST, min(WIDEST, shutil.get_terminal_size((WIDEST, 24)).columns))


def coloured() -> bool:
    """Whether colour may be added: a terminal, and NO_COLOR not set."""
    return sys.stdout.isatty() and not os.environ.get("NO_COLOR") and os.environ.get("TERM") != "dumb"


def strong(words: str, colour: str | None = None) -> str:
    """Emphasis, in a terminal only; it never carries meaning by itself."""
    return click.style(words, bold=True, fg=colour) if coloured() else words


def heading(words: str) -> str:
    """A heading with a blank line before it."""
    return "\n" + strong(words)


def wrap(words: str, *, first: str = "", rest: str | None = None) -> str:
    """Wrapped text; `first` starts the first line and `rest`, or as many blanks, every other."""
    hang = " " * len(first) if rest is None else rest
    return textwrap.fill(
        " ".join(words.split()),
        width=width(),
        initial_indent=first,
        subsequent_indent=hang,
        break_long_words=False,
        break_on_hyphens=False,
    )


@dataclass(frozen=True, slots=True)
class Column:
    """A column of a table: heading and alignment; `flexible` ones are wrapped to fit."""

    heading: str
    align: Literal["left", "right"] = "left"
    flexible: bool = False


def table(columns: Sequence[Column], rows: Sequence[Sequence[str]], *, indent: str = "  ") -> str:
    """A table with headings; at most one flexible column takes what width is left."""
    widths = [max([len(c.heading), *(len(row[i]) for row in rows)]) for i, c in enumerate(columns)]
    for i, column in enumerate(columns):
        if column.flexible:
            others = sum(widths) - widths[i] + 2 * (len(columns) - 1) + len(indent)
            widths[i] = max(len(column.heading), min(widths[i], width() - others), 12)
    lines = [_row(columns, widths, [column.heading for column in columns], indent)]
    for row in rows:
        lines.extend(_wrapped(columns, widths, row, indent))
    return "\n".join(lines)


def _wrapped(columns: Sequence[Column], widths: Sequence[int], row: Sequence[str], indent: str) -> list[str]:
    cells = [
        textwrap.wrap(cell, widths[i], break_on_hyphens=False) or [""] if columns[i].flexible else [cell]
        for i, cell in enumerate(row)
    ]
    height = max(len(cell) for cell in cells)
    return [_row(columns, widths, [cell[i] if i < len(cell) else "" for cell in cells], indent) for i in range(height)]


def _row(columns: Sequence[Column], widths: Sequence[int], cells: Sequence[str], indent: str) -> str:
    aligned = [
        cell.rjust(widths[i]) if columns[i].align == "right" else cell.ljust(widths[i]) for i, cell in enumerate(cells)
    ]
    return (indent + "  ".join(aligned)).rstrip()


def split_unit(shown: str) -> tuple[str, str]:
    """Number and unit of a shown value, so that each can be aligned: "9.50 kV" gives "9.50", "kV"."""
    number, _, unit = shown.partition(" ")
    return (number, unit) if number[:1].isdigit() or number[:1] in "-+." else (shown, "")


def span(low: str, high: str) -> str:
    """An interval; the unit is said once where it is the same."""
    (low_number, low_unit), (high_number, high_unit) = split_unit(low), split_unit(high)
    if low_unit == high_unit or low_number == "0":
        return f"{low_number} to {high_number} {high_unit}".strip()
    return f"{low} to {high}"


def finding(row: Finding) -> str:
    """One finding, its grade first, wrapped."""
    colour = {"error": "red", "limit": "red", "warning": "yellow"}.get(row.grade)
    filled = wrap(str(row), first=f"{row.grade:<8} ")
    return strong(filled[:8], colour) + filled[8:]


def findings(rows: Iterable[Finding]) -> str:
    """Findings, one below the other."""
    return "\n".join(finding(row) for row in rows)


def gathered(rows: Iterable[Row], key: Callable[[Row], Hashable]) -> list[list[Row]]:
    """Rows that say the same of several items, together, in the order in which they are first met."""
    found: dict[Hashable, list[Row]] = {}
    for row in rows:
        found.setdefault(key(row), []).append(row)
    return list(found.values())


def sentences(*parts: str) -> str:
    """Parts as sentences, each with one full stop."""
    return " ".join(part.rstrip(". ") + "." for part in parts if part.strip())


def counted(number: int, word: str) -> str:
    """A number with its noun."""
    return f"{number} {word}" if number == 1 else f"{number} {word}s"
