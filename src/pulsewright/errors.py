"""Exceptions, and the one record in which every fault of a file, an entry or a result is told.

A `Finding` says where, what, what is allowed and the next step. Nothing on a higher
floor invents another way of complaining.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import asdict, dataclass
from typing import Any, Literal

Grade = Literal["error", "limit", "warning", "note"]

#: Worst first. `error`: cannot be computed; `limit`: a limit is exceeded.
GRADES: tuple[Grade, ...] = ("error", "limit", "warning", "note")


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that is wrong, or that a careful person would want to know.

    Parameters
    ----------
    grade : str
        `error` (cannot be computed), `limit` (a limit is exceeded), `warning`, `note`.
    path : str
        Entry or item it speaks of, in build-file spelling, for instance `bank.charge_voltage`.
    message : str
        What is wrong, with value and unit.
    allowed : str
        What is allowed. May be empty for a note.
    next_step : str
        One thing to do. May be empty for a note.
    file : str
        File name, empty when the fault is not in a file.
    line : int
        Line in `file`, from 1; 0 when not known.
    """

    grade: Grade
    path: str
    message: str
    allowed: str = ""
    next_step: str = ""
    file: str = ""
    line: int = 0

    def __str__(self) -> str:
        place = f"{self.file}:{self.line} " if self.file and self.line else (f"{self.file} " if self.file else "")
        where = f"{place}{self.path}".strip()
        words = [_sentence(part) for part in (self.message, self.allowed, self.next_step) if part]
        return f"{where}: {' '.join(words)}" if where else " ".join(words)

    def as_dict(self) -> dict[str, Any]:
        """The same, for JSON."""
        return asdict(self)


def _sentence(text: str) -> str:
    """The text with one mark at its end."""
    bare = text.rstrip(".")
    return bare if bare.endswith(("?", ":")) else bare + "."


def worst_first(findings: Iterable[Finding]) -> list[Finding]:
    """Sort findings: errors, limits, warnings, notes; within a grade by file, line, path."""
    return sorted(findings, key=lambda f: (GRADES.index(f.grade), f.file, f.line, f.path))


class PulsewrightError(Exception):
    """Base of everything this package raises on purpose; carries its findings."""

    def __init__(self, *findings: Finding) -> None:
        self.findings: tuple[Finding, ...] = findings
        super().__init__("\n".join(str(f) for f in findings))


class DomainError(PulsewrightError, ValueError):
    """An argument lies outside the domain of a formula."""

    def __init__(self, message: str, *, argument: str = "", allowed: str = "", next_step: str = "") -> None:
        super().__init__(Finding("error", argument, message, allowed, next_step))


class QuantityError(PulsewrightError, ValueError):
    """A text that should be a value with a unit is not one."""


class BuildError(PulsewrightError):
    """The build file, or a change asked of it, cannot be used."""


class NotModelledError(PulsewrightError):
    """A valid choice that this version does not compute; named, never ignored."""


class ConflictError(PulsewrightError):
    """The file was changed by someone else since it was read; nothing was written."""
