"""What differs between two builds."""

from __future__ import annotations

from dataclasses import dataclass, replace

from pulsewright.machine.build import Build, known_paths
from pulsewright.machine.schema import SECTIONS
from pulsewright.machine.values import Entry


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
    families = [section.name for section in SECTIONS.values() if section.many]
    ids = {name: tuple(dict.fromkeys((*getattr(a.machine, name), *getattr(b.machine, name)))) for name in families}
    rows = (_row(path, _told(a, path), _told(b, path)) for path in known_paths(ids))
    return tuple(row for row in rows if row is not None)


def _told(build: Build, path: str) -> Entry | None:
    """The entry; of a measured file, what stands in it is told with its name."""
    entry, curve = build.entries.get(path), build.machine.curves.get(path)
    if entry is None or curve is None:
        return entry
    return replace(entry, value=curve.sha256, text=f"{curve.file} ({curve.rows} rows, {curve.sha256[:8]})")


def _row(path: str, one: Entry | None, other: Entry | None) -> Difference | None:
    present = one or other
    if present is None or (one is not None and other is not None and one.value == other.value):
        return None
    return Difference(
        path,
        present.key,
        one.value if one else None,
        other.value if other else None,
        one.text if one else "",
        other.text if other else "",
    )
