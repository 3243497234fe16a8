"""What differs between two builds."""

from __future__ import annotations

from dataclasses import dataclass

from pulsewright.machine.build import Build


@dataclass(frozen=True, slots=True)
class Difference:
    """One entry that differs; a text is empty where the entry does not exist."""

    path: str
    key: str
    a: float | str | None
    b: float | str | None
    text_a: str
    text_b: str


def compare(a: Build, b: Build) -> tuple[Difference, ...]:
    """Entries whose value differs, in the order of the schema; spelling alone is no difference."""
    rows = []
    for path in dict.fromkeys((*a.entries, *b.entries)):
        one, other = a.entries.get(path), b.entries.get(path)
        if one is not None and other is not None and one.value == other.value:
            continue
        present = one or other
        assert present is not None
        rows.append(
            Difference(
                path,
                present.key,
                one.value if one else None,
                other.value if other else None,
                one.text if one else "",
                other.text if other else "",
            )
        )
    return tuple(rows)
