"""How one key of the build file is described: what may stand there, in what unit, with what default.

The parts in `parts.py` declare their keys with the functions below; reading, checking, saving,
documentation and the page all follow these declarations.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Literal

from pulsewright.quantities import QUANTITIES, Quantity, show

FieldKind = Literal["number", "count", "choice", "name", "reference", "file", "text"]

#: Basis of a value: how it came to be known.
BASES = ("measured", "data sheet", "estimated", "unknown")
#: Distributions a spread can belong to.
DISTRIBUTIONS = ("normal", "uniform")
#: Keys of a value written as a table.
VALUE_KEYS = ("value", "spread", "distribution", "basis", "source")


@dataclass(frozen=True, slots=True)
class Field:
    """One key of a part.

    Parameters
    ----------
    key : str
        Its name in the build file, the record and the nomenclature.
    kind : str
        `number` (with its unit), `count` (whole number), `choice`, `name` (of the reference data),
        `reference` (to the id of another part), `file` (name of a file in the bench folder),
        `text` (documentary: nothing is computed from it).
    words : str
        What it is.
    example : str
        A right spelling of the value, as it stands in the file.
    required : bool
        Must be in the file.
    default : object
        As it would stand in the file; None when there is none.
    choices : tuple of str
        Words allowed, for `choice`.
    modelled : frozenset of str
        The choices that this version computes; the others are valid and refused by name.
    target : str
        Reference-data kind of a `name`, or the section a `reference` points into.
    own : str
        Section whose ids a `name` may be as well.
    zero, signed : bool
        Whether 0 and negative numbers are allowed.
    most, below : float or None
        Largest number allowed; number that must not be reached.
    special : mapping of str to float
        Words that stand for a number, such as "flat".
    """

    kind: FieldKind
    words: str
    example: str
    key: str = ""
    required: bool = True
    default: Any = None
    choices: tuple[str, ...] = ()
    modelled: frozenset[str] = frozenset()
    target: str = ""
    own: str = ""
    zero: bool = False
    signed: bool = False
    most: float | None = None
    below: float | None = None
    special: Mapping[str, float] = field(default_factory=dict)

    @property
    def quantity(self) -> Quantity:
        """The nomenclature row of a number."""
        return QUANTITIES[self.key]

    @property
    def unit(self) -> str:
        """SI unit of a number; "-" for a count; empty for words."""
        if self.kind == "number":
            return self.quantity.unit
        return "-" if self.kind == "count" else ""

    @property
    def dimensional(self) -> bool:
        """Whether the value is text with a unit."""
        return self.kind == "number" and self.unit != "-"

    @property
    def documentary(self) -> bool:
        """Whether nothing is computed from it."""
        return self.kind == "text"

    @property
    def range_words(self) -> str:
        """Allowed range of a number, in words."""
        if self.kind not in ("number", "count"):
            return ""
        if self.signed:
            return "any sign" if self.zero else "any sign, not 0"
        low = "0" if self.zero else "above 0"
        if self.most is not None:
            return f"{low} to {self._limit(self.most)}"
        if self.below is not None:
            return f"{low} to below {self._limit(self.below)}"
        return "0 or more" if self.zero else "above 0"

    def _limit(self, value: float) -> str:
        return show(self.key, value) if self.dimensional else f"{value:g}"


def number(words: str, example: str, **rules: Any) -> Any:
    """A required number; bare when its quantity is dimensionless, otherwise text with unit."""
    return _declare(Field("number", words, example, **rules))


def optional(words: str, example: str, **rules: Any) -> Any:
    """A number that may be absent or "unknown"."""
    return _declare(Field("number", words, example, required=False, **rules))


def defaulted(words: str, default: Any, **rules: Any) -> Any:
    """A number with a default, which may be a table with spread and basis."""
    example = default["value"] if isinstance(default, dict) else default
    return _declare(Field("number", words, str(example), required=False, default=default, **rules))


def count(words: str, example: str, **rules: Any) -> Any:
    """A whole number that may be absent."""
    return _declare(Field("count", words, example, required=False, **rules))


def choice(
    words: str, choices: Iterable[str], modelled: Iterable[str] | None = None, default: str | None = None
) -> Any:
    """One of a few words; `modelled` are those this version computes (all when not given)."""
    allowed = tuple(choices)
    carried = frozenset(allowed if modelled is None else modelled)
    first = default or allowed[0]
    return _declare(
        Field("choice", words, first, required=default is None, default=default, choices=allowed, modelled=carried)
    )


def name(
    words: str, target: str, example: str, default: str | None = None, *, absent: bool = False, own: str = ""
) -> Any:
    """A name from the reference data, or the id of a part in the section `own`; `absent` when it need not be given."""
    required = default is None and not absent
    return _declare(Field("name", words, example, target=target, own=own, required=required, default=default))


def file(words: str, example: str) -> Any:
    """The name of a file of two columns in the bench folder, which may be absent."""
    return _declare(Field("file", words, example, required=False))


def reference(words: str, target: str, example: str) -> Any:
    """The id of a part in another section."""
    return _declare(Field("reference", words, example, target=target))


def text(words: str, example: str) -> Any:
    """Documentary text."""
    return _declare(Field("text", words, example, required=False))


def _declare(declared: Field) -> Any:
    return field(default=None, metadata={"field": declared})
