"""Reading the docstring of a physics function: names, units, validity, equation, source.

The same reading serves the formula shelf and the test that holds every public physics function to the form.
"""

from __future__ import annotations

import ast
import inspect
import re
from collections.abc import Iterator
from dataclasses import dataclass

from pulsewright import units
from pulsewright.errors import QuantityError

SECTIONS = ("Parameters", "Returns", "Raises", "Notes", "Examples")
NOTES = ("Valid", "Not covered", "Equation", "Source")
#: In place of a unit: an array whose columns differ in unit; the words say which has which.
MIXED = "mixed"

_HEADING = re.compile(r"^([A-Z][A-Za-z ]*)\n-{3,}[ \t]*$", re.MULTILINE)
_UNIT = re.compile(r"\s*\[([^\[\]]+)\]\Z")
_CHOICES = re.compile(r"\{(.*)\}", re.DOTALL)
_ONE_NUMBER = re.compile(r"(float|int)\b(?! arrays?\b)")
_ONE_RESULT = re.compile(r"(float|int|bool|str)\b|(broadcast|same) shape\Z")
_NUMERIC = re.compile(r"\b(float|int|array|arrays|broadcast|same shape)\b")


@dataclass(frozen=True, slots=True)
class Entry:
    """One documented argument or result."""

    name: str
    type_words: str
    words: str
    unit: str
    choices: tuple[str, ...] = ()

    @property
    def numeric(self) -> bool:
        """Whether it is a number or an array of numbers, and so must carry a unit."""
        return _NUMERIC.search(self.type_words) is not None and not self.choices

    @property
    def one_number(self) -> bool:
        """Whether a single number will do."""
        return _ONE_NUMBER.match(self.type_words) is not None

    @property
    def one_value(self) -> bool:
        """Whether a single value that a text can give will do."""
        return self.one_number or bool(self.choices) or self.type_words.split(",")[0] in ("str", "bool")

    @property
    def one_result(self) -> bool:
        """Whether the result is one value when all arguments are."""
        return _ONE_RESULT.match(self.type_words) is not None


@dataclass(frozen=True, slots=True)
class Docstring:
    """A docstring taken apart. Missing parts are empty."""

    title: str
    order: tuple[str, ...]
    parameters: tuple[Entry, ...]
    results: tuple[Entry, ...]
    notes: dict[str, str]
    example: str

    @property
    def note_order(self) -> tuple[str, ...]:
        """Labels found in the notes, in order."""
        return tuple(self.notes)


def read_docstring(text: str) -> Docstring:
    """Take a docstring apart."""
    text = inspect.cleandoc(text)
    headings = list(_HEADING.finditer(text))
    head = text[: headings[0].start()] if headings else text
    ends = [*(found.start() for found in headings[1:]), len(text)][: len(headings)]
    bodies = {found.group(1): text[found.end() : end].strip("\n") for found, end in zip(headings, ends, strict=True)}
    return Docstring(
        " ".join(head.strip().split("\n\n")[0].split()),
        tuple(found.group(1) for found in headings),
        tuple(_entries(bodies.get("Parameters", ""))),
        tuple(_entries(bodies.get("Returns", ""))),
        _notes(bodies.get("Notes", "")),
        inspect.cleandoc(bodies.get("Examples", "")),
    )


def _entries(body: str) -> Iterator[Entry]:
    """Arguments or results: a line at the margin names them, indented lines describe them."""
    for block in re.split(r"\n(?=\S)", body):
        head, _, rest = block.partition("\n")
        names, colon, type_words = head.partition(" : ")
        if not head.strip():
            continue
        words = " ".join(rest.split())
        found = _UNIT.search(words)
        choices = _CHOICES.search(type_words)
        for name in names.split(","):
            yield Entry(
                name.strip() if colon else "",
                type_words.strip(),
                words[: found.start()] if found else words,
                found.group(1) if found else "",
                _choices(choices.group(0)) if choices else (),
            )


def _choices(text: str) -> tuple[str, ...]:
    try:
        return tuple(str(word) for word in ast.literal_eval("[" + text.strip("{}") + "]"))
    except (SyntaxError, ValueError):
        return ()


def _notes(body: str) -> dict[str, str]:
    """The labelled parts of the notes, in the order found."""
    parts = re.split(r"(?:^|(?<=[\s.;]))(" + "|".join(NOTES) + r"):\s", " ".join(body.split()) + " ")
    return {label: words.strip() for label, words in zip(parts[1::2], parts[2::2], strict=True)}


def faults(docstring: Docstring, names: tuple[str, ...]) -> list[str]:
    """What keeps a docstring from the form; `names` are the arguments of the signature."""
    found = [*_faults_of_form(docstring)]
    documented = tuple(entry.name for entry in docstring.parameters)
    if documented != names:
        found.append(f"documents {', '.join(documented) or 'no argument'}; the signature has {', '.join(names)}")
    for entry in (*docstring.parameters, *docstring.results):
        found += [f"{entry.name or 'a result'}: {fault}" for fault in _faults_of_entry(entry)]
    return found


def _faults_of_form(docstring: Docstring) -> Iterator[str]:
    if not docstring.title.endswith("."):
        yield "the first paragraph is not a sentence"
    wanted = [name for name in SECTIONS if name in docstring.order or name not in ("Parameters", "Raises")]
    if list(docstring.order) != wanted:
        yield f"has the sections {', '.join(docstring.order) or 'none'}; wanted {', '.join(wanted)}"
    if docstring.note_order != NOTES:
        yield f"has the notes {', '.join(docstring.note_order) or 'none'}; wanted {', '.join(NOTES)}"
    yield from (f"the note {label} is empty" for label, words in docstring.notes.items() if not words.strip(". "))
    if ">>>" not in docstring.example:
        yield "has no example"
    if "Returns" in docstring.order and not docstring.results:
        yield "has no result"


def _faults_of_entry(entry: Entry) -> Iterator[str]:
    if not entry.name:
        yield "has no name before its type"
    if not entry.words:
        yield "has no words"
    if entry.unit == MIXED:
        if "array" not in entry.type_words or entry.one_number:
            yield f"[{MIXED}] is for an array whose columns differ in unit"
    elif entry.unit:
        try:
            units.read_unit(entry.unit)
        except QuantityError as refused:
            yield f"unit [{entry.unit}]: {refused.findings[0].message}"
    elif entry.numeric:
        yield f"has no unit in brackets at the end ([{MIXED}] for an array whose columns differ in unit)"
