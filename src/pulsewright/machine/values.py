"""One value of the build file: from what stands there to an SI entry, or to findings."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, NoReturn

from pulsewright import units
from pulsewright.errors import Finding, QuantityError
from pulsewright.machine.fields import BASES, DISTRIBUTIONS, VALUE_KEYS, Field
from pulsewright.machine.schema import allowed_words, nearest
from pulsewright.quantities import QUANTITIES, absurd, show

#: Half-width of the central 90 % in standard deviations: normal, and uniform (0.9 of sqrt 3).
_NORMAL = 1.6448536269514722
_UNIFORM = 0.9 * math.sqrt(3.0)
#: Longest name of a file, folders inside the bench folder included.
LONGEST_NAME = 200


@dataclass(frozen=True, slots=True)
class Entry:
    """One value of a build with everything known about it.

    Parameters
    ----------
    path : str
        For instance `lamps.east.bore`.
    key : str
        Row of the nomenclature, the last word of the path.
    value : float, str or None
        SI value, word, or None when stated to be unknown.
    text : str
        As written.
    unit : str
        SI unit of the value; empty for words.
    spread : float or None
        Half-width of the 90 % interval, in `unit`.
    distribution : str
        `normal` or `uniform`.
    basis : str
        `measured`, `data sheet`, `estimated` or `unknown`.
    source : str
    layer : str
        `default`, `saved`, `learned`, `draft` or `override`.
    line : int
        Line in the build file; 0 when it does not stand there.
    """

    path: str
    key: str
    value: float | str | None
    text: str
    unit: str = ""
    spread: float | None = None
    distribution: str = "normal"
    basis: str = "unknown"
    source: str = ""
    layer: str = "saved"
    line: int = 0

    @property
    def standard_deviation(self) -> float | None:
        """Standard deviation that belongs to the spread; None without a spread."""
        if self.spread is None:
            return None
        return self.spread / (_UNIFORM if self.distribution == "uniform" else _NORMAL)

    @property
    def shown(self) -> str:
        """The value in the unit and digits of its quantity."""
        if isinstance(self.value, str):
            return self.value
        if self.unit == "-" and self.text.isdecimal():
            return self.text
        if self.value is not None and math.isinf(self.value):
            return self.text
        return show(self.key, self.value)

    @property
    def shown_spread(self) -> str:
        """The spread in the unit and digits of the quantity; empty without one."""
        if self.spread is None:
            return ""
        row = QUANTITIES[self.key]
        display = "" if units.read_unit(row.display).offset else row.display
        return units.format(self.spread, row.unit, row.digits, display=display)


@dataclass(frozen=True, slots=True)
class Place:
    """Where a value stands, for its findings."""

    path: str
    file: str = ""
    lines: Mapping[str, int] | None = None
    line: int = 0

    def finding(self, message: str, allowed: str, next_step: str, sub: str = "") -> Finding:
        """An error finding at this place, or at a sub-key of it."""
        path = f"{self.path}.{sub}" if sub else self.path
        line = (self.lines or {}).get(path) or self.line
        return Finding("error", path, message, allowed, next_step, self.file if line else "", line)


def read_entry(
    field: Field, raw: Any, place: Place, layer: str, own: tuple[str, ...] = ()
) -> tuple[Entry | None, list[Finding]]:
    """Entry of what stands at a key, and its faults; the entry is None when the value is faulty.

    References are not followed here: they need the other parts. `own`: ids that a name may be as well.
    """
    given = raw if isinstance(raw, dict) else {"value": raw}
    findings = list(_stray_keys(given, field, place)) if isinstance(raw, dict) else []
    if "value" not in given:
        step = f"Write {field.key} = {{ value = {literal(field)}, ... }}"
        return None, [*findings, place.finding("the table has no value", "A value with what is known about it", step)]
    sub = "value" if isinstance(raw, dict) else ""
    try:
        value, text = _read_value(field, given["value"], own)
    except QuantityError as refused:
        return None, [*findings, *(_at(place, sub, finding) for finding in refused.findings)]
    entry = Entry(place.path, field.key, value, text, field.unit, layer=layer, line=place.line)
    if isinstance(raw, dict):
        entry, faults = _with_knowledge(entry, field, given, place)
        findings += faults
    return entry, findings


def _at(place: Place, sub: str, finding: Finding) -> Finding:
    found = place.finding(finding.message, finding.allowed, finding.next_step, sub)
    return replace(found, path=place.path)


def _stray_keys(given: Mapping[str, Any], field: Field, place: Place) -> Iterator[Finding]:
    allowed = VALUE_KEYS if field.kind == "number" else ("value", "basis", "source")
    for key in given:
        if key not in allowed:
            near = nearest(key, allowed)
            step = f'Perhaps "{near}" was meant' if near else "Remove it"
            yield place.finding(f'"{key}" is not known in a value', f"Known: {', '.join(allowed)}", step, key)


# The value itself ------------------------------------------------------------------------------


def _read_value(field: Field, raw: Any, own: tuple[str, ...]) -> tuple[float | str | None, str]:
    if field.kind == "number":
        return _read_number(field, raw)
    if field.kind == "count":
        return _read_count(field, raw)
    if not isinstance(raw, str):
        _refuse(f"{_spell(raw)} is not text", _allowed(field), f"Write {field.key} = {literal(field)}")
    if field.kind in ("choice", "name"):
        _check_word(field, raw, own)
    if field.kind == "file":
        _check_file_name(field, raw)
    return raw, raw


def _read_number(field: Field, raw: Any) -> tuple[float | None, str]:
    if isinstance(raw, bool) or not isinstance(raw, (int, float, str)):
        _refuse(f"{_spell(raw)} is not a number", _allowed(field), f"Write {field.key} = {literal(field)}")
    if isinstance(raw, str):
        word = raw.strip()
        if word in field.special:
            return field.special[word], word
        if word == "unknown":
            return _unknown(field)
        value = _parse(field, raw)
    elif field.dimensional:
        bare = _short(str(raw))
        right = f'{field.key} = "{bare} {field.unit}"'
        example = f"{field.key} = {literal(field)}"
        message = f"{bare} has no unit; {_with_article(units.kind(field.unit) or field.quantity.words)} is wanted"
        _refuse(message, f"Text with a unit, such as {example}", f"If {field.unit} was meant, write {right}")
    else:
        value = float(raw) if abs(raw) < 1e300 else math.inf
    _check_range(field, value, str(raw))
    return value, str(raw)


def _parse(field: Field, text: str) -> float:
    try:
        return units.parse(text, field.unit)
    except QuantityError as refused:
        if not field.special:
            raise
        words = ", ".join(f'"{word}"' for word in field.special)
        (first, *_) = refused.findings
        raise QuantityError(replace(first, allowed=f"{first.allowed}, or {words}")) from None


def _unknown(field: Field) -> tuple[None, str]:
    if field.required or field.default is not None:
        step = f"Give your best estimate with a spread: {{ value = {literal(field)}, spread = ... }}"
        _refuse(f"the {field.quantity.words} cannot be unknown", _allowed(field), step)
    return None, "unknown"


def _read_count(field: Field, raw: Any) -> tuple[float, str]:
    value = int(raw) if isinstance(raw, str) and raw.strip().isdecimal() and len(raw) < 9 else raw
    if isinstance(value, bool) or not isinstance(value, int):
        _refuse(f"{_spell(raw)} is not a whole number", _allowed(field), f"Write {field.key} = {literal(field)}")
    _check_range(field, value, str(raw))
    return value, str(raw)


def _check_range(field: Field, value: float, text: str) -> None:
    """Refuse what is not finite, has the wrong sign, or is absurdly large or small."""
    step = f"Write a value such as {literal(field)}"
    text = text.strip()
    if not math.isfinite(value):
        _refuse(f"{text} is not a finite number", _allowed(field), step)
    too_low = not field.signed and (value < 0 or (value == 0 and not field.zero))
    if too_low or (field.signed and value == 0 and not field.zero):
        _refuse(f"{text} is not possible for the {field.quantity.words}", _allowed(field), step)
    over = (field.most is not None and value > field.most) or (field.below is not None and value >= field.below)
    if over:
        _refuse(f"{text} is too large for the {field.quantity.words}", _allowed(field), step)
    refused = absurd(field.key, value, text)
    if refused is not None:
        raise QuantityError(refused)


def _check_word(field: Field, word: str, own: tuple[str, ...]) -> None:
    words = (*own, *allowed_words(field))
    if word in words:
        return
    near = nearest(word, words)
    what = f"a known {field.target}" if field.kind == "name" else f"one of the words of {field.key}"
    made = f", or make it with [{field.own}.<id>]" if field.own else ""
    step = f'Perhaps "{near}" was meant' if near else f"Write {field.key} = {literal(field)}{made}"
    _refuse(f'"{_short(word)}" is not {what}', f"Known: {', '.join(words)}", step)


def _check_file_name(field: Field, name: str) -> None:
    """Refuse a name that cannot be of a file inside the bench folder, on any system."""
    step = f"Copy the file into the bench folder and write {field.key} = {literal(field)}"
    parts = name.replace("\\", "/").split("/")
    if not name.strip() or len(name) > LONGEST_NAME or not name.isprintable():
        _refuse(f"{_spell(name)} is no file name", _allowed(field), step)
    if not parts[0] or ".." in parts or ":" in name:
        _refuse(f'"{_short(name)}" leads out of the bench folder', _allowed(field), step)
    if "\\" in name:
        _refuse(f'"{_short(name)}" has a backslash', "A / between folder and file", f'Write "{"/".join(parts)}"')


# What is known about it ------------------------------------------------------------------------


def _with_knowledge(entry: Entry, field: Field, given: Mapping[str, Any], place: Place) -> tuple[Entry, list[Finding]]:
    findings: list[Finding] = []
    words: dict[str, Any] = {}
    for key, allowed in (("basis", BASES), ("distribution", DISTRIBUTIONS), ("source", ())):
        raw = given.get(key)
        if raw is None:
            continue
        if not isinstance(raw, str) or (allowed and raw not in allowed):
            near = nearest(raw, allowed) if isinstance(raw, str) else ""
            step = (
                f'Perhaps "{near}" was meant' if near else f'Write {key} = "{(allowed or ("where it comes from",))[0]}"'
            )
            what = f"Known: {', '.join(allowed)}" if allowed else "Text"
            findings.append(place.finding(f"{_spell(raw)} is not a {key}", what, step, key))
        else:
            words[key] = raw
    spread = None
    if "spread" in given and entry.value is not None and field.kind == "number":
        try:
            spread = read_spread(field, given["spread"], entry.value)
        except QuantityError as refused:
            findings += [place.finding(f.message, f.allowed, f.next_step, "spread") for f in refused.findings]
    return replace(entry, spread=spread, **words), findings


def read_spread(field: Field, raw: Any, value: float | str) -> float:
    """SI half-width of the 90 % interval; "5 %" of a dimensional value is a fraction of that value."""
    allowed = f"A half-width in the unit of the value, or per cent of it, for instance spread = {literal(field)}"
    if isinstance(raw, str) and raw.rstrip().endswith("%") and field.dimensional and isinstance(value, float):
        spread = units.parse(raw, "-") * abs(value)
    elif isinstance(raw, str):
        spread = units.parse(raw, field.unit, difference=True)
    elif field.dimensional or isinstance(raw, bool) or not isinstance(raw, (int, float)):
        step = f'Write spread = "{_short(str(raw))} {field.unit}" if that was meant'
        _refuse(f"{_spell(raw)} has no unit", allowed, step)
    else:
        spread = float(raw)
    if not math.isfinite(spread) or spread < 0:
        _refuse(f"{_spell(raw)} is not possible for a spread", allowed, "Write 0 or more")
    return spread


# Words -----------------------------------------------------------------------------------------


def literal(field: Field, text: str = "") -> str:
    """A value as it is written in the file: text in quotes, numbers bare."""
    text = text or field.example
    bare = field.kind == "count" or (field.kind == "number" and not field.dimensional)
    return text if bare else f'"{text}"'


def _allowed(field: Field) -> str:
    if field.kind in ("choice", "name"):
        return f"Known: {', '.join(allowed_words(field))}"
    if field.kind == "number":
        limits = f", {field.range_words}" if field.range_words else ""
        special = "".join(f', or "{word}"' for word in field.special)
        what = _with_article(units.kind(field.unit) or "value") if field.dimensional else "a number"
        return f"{what[0].upper()}{what[1:]}{limits}, such as {literal(field)}{special}"
    if field.kind == "file":
        return f"Name of a file in the bench folder, such as {literal(field)}"
    return "A whole number, 1 or more" if field.kind == "count" else "Text in quotes"


def _with_article(word: str) -> str:
    return f"{'an' if word[0] in 'aeiou' else 'a'} {word}"


def _spell(raw: Any) -> str:
    if isinstance(raw, bool):
        return "true" if raw else "false"
    if isinstance(raw, dict):
        return "a table"
    if isinstance(raw, list):
        return "a list"
    return f'"{_short(raw)}"' if isinstance(raw, str) else _short(str(raw))


def _short(word: str) -> str:
    return word if len(word) <= 60 else f"{word[:40]}..."


def _refuse(message: str, allowed: str, next_step: str) -> NoReturn:
    raise QuantityError(Finding("error", "", message, allowed, next_step))
