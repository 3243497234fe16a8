"""The schema of the build file, read off the declarations in `parts.py`."""

from __future__ import annotations

import dataclasses
import difflib
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from types import MappingProxyType
from typing import Any

from pulsewright import refdata
from pulsewright.machine.fields import VALUE_KEYS, Field
from pulsewright.machine.parts import SECTION_ROWS

#: Schema of the build files this version writes.
SCHEMA = 1
#: Keys that stand before the first table.
TOP_KEYS = ("schema", "name", "words")


@dataclass(frozen=True, slots=True)
class Section:
    """One table of the build file, or one family of tables with ids."""

    name: str
    words: str
    record: type[Any]
    many: bool
    least: int
    fields: Mapping[str, Field]

    @property
    def required(self) -> bool:
        """Whether the file must have it: it holds a key that must be given."""
        return self.least > 0 if self.many else any(field.required for field in self.fields.values())

    def header(self, part: str = "") -> str:
        """The table header, for messages."""
        return f"[{self.name}.{part or '<id>'}]" if self.many else f"[{self.name}]"


def _section(name: str, record: type[Any], words: str, least: int | None) -> Section:
    fields = {
        item.name: dataclasses.replace(item.metadata["field"], key=item.name) for item in dataclasses.fields(record)
    }
    return Section(name, words, record, least is not None, least or 0, MappingProxyType(fields))


#: Every section, in the order of the build file.
SECTIONS: Mapping[str, Section] = MappingProxyType({row[0]: _section(*row) for row in SECTION_ROWS})


@dataclass(frozen=True, slots=True)
class Address:
    """A path taken apart: section, id (empty for a single part), key, and sub-key of a value table."""

    section: Section
    part: str
    field: Field
    sub: str = ""

    @property
    def path(self) -> str:
        """The path of the entry, without the sub-key."""
        return ".".join(word for word in (self.section.name, self.part, self.field.key) if word)


@lru_cache(maxsize=1024)
def address(path: str) -> Address | None:
    """Take a path apart; None when no such entry can exist. Ids are not looked up."""
    words = path.split(".")
    section = SECTIONS.get(words[0])
    if section is None:
        return None
    part = words[1] if section.many and len(words) > 1 else ""
    rest = words[2:] if section.many else words[1:]
    if not rest or len(rest) > 2 or rest[0] not in section.fields or (section.many and not part):
        return None
    sub = rest[1] if len(rest) == 2 else ""
    if sub and sub not in VALUE_KEYS:
        return None
    return Address(section, part, section.fields[rest[0]], "" if sub == "value" else sub)


def nearest(word: str, known: Iterable[str]) -> str:
    """The known word closest to one that is not known; empty when none is close."""
    folded = {candidate.casefold(): candidate for candidate in known}
    found = difflib.get_close_matches(word.casefold(), folded, n=1, cutoff=0.5)
    return folded[found[0]] if found else ""


@cache
def names(kind: str) -> tuple[str, ...]:
    """Names the reference data knows of one kind."""
    return refdata.names().get(kind, ())


def allowed_words(field: Field) -> tuple[str, ...]:
    """Words that may stand in a `choice` or `name`."""
    return names(field.target) if field.kind == "name" else field.choices


@dataclass(frozen=True, slots=True)
class SchemaRow:
    """One key of the build file, for the page and the documents."""

    path: str
    section: str
    key: str
    kind: str
    words: str
    own: str
    unit: str
    display: str
    choices: tuple[str, ...]
    modelled: tuple[str, ...]
    default: str
    required: bool
    example: str
    allowed: str


def schema_rows() -> tuple[SchemaRow, ...]:
    """Every key the build file knows, in its order; `path` has `<id>` where a part is named."""
    return tuple(_row(section, field) for section in SECTIONS.values() for field in section.fields.values())


def _row(section: Section, field: Field) -> SchemaRow:
    path = f"{section.name}.<id>.{field.key}" if section.many else f"{section.name}.{field.key}"
    modelled = tuple(word for word in field.choices if word in field.modelled) if field.kind == "choice" else ()
    return SchemaRow(
        path=path,
        section=section.name,
        key=field.key,
        kind=field.kind,
        words=field.words,
        own=field.own,
        unit=field.unit,
        display=field.quantity.display if field.kind == "number" else field.unit,
        choices=allowed_words(field),
        modelled=modelled,
        default=_default_text(field.default),
        required=field.required,
        example=field.example,
        allowed=field.range_words,
    )


def _default_text(default: Any) -> str:
    if default is None:
        return ""
    if not isinstance(default, dict):
        return str(default)
    spread = f" +- {default['spread']}" if "spread" in default else ""
    return f"{default['value']}{spread}"
