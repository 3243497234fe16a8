"""Text of two columns, wavelength and value, to arrays; every fault is told with its line.

numpy is loaded when the first file is read: a build without files does not need it.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import TYPE_CHECKING, NoReturn

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Float = NDArray[np.float64]

#: Fewest points of a curve; fewer show no shape.
LEAST_POINTS = 5
#: Wavelengths that any measured curve may have. [m]
SHORTEST, LONGEST = 100e-9, 20e-6
#: Lines looked at to find out what stands between the columns.
_LOOKED_AT = 40

#: How many of a unit are one metre.
_UNITS = {"nm": 1e9, "um": 1e6, "m": 1.0}
_UNIT = re.compile(r"(?<![a-z])(nm|[u\u00b5\u03bc]m)(?![a-z])|[(\[/]\s*(m)\s*(?:[)\]]|\Z)|\A\s*(m)\s*\Z")
_OTHER_UNIT = re.compile(r"\u00e5|\u212b|angstr|cm\s*\^?-1|cm\u207b\u00b9|1/cm|wavenumber|\bev\b|hz\b|frequency")
_PERCENT = re.compile(r"%|per ?cent")
_COMMA_IN_NUMBER = re.compile(r"\s*[-+]?\d+,\d+\s+[-+]?\d+,\d+\s*\Z")


@dataclass(frozen=True, slots=True)
class Told:
    """One thing to tell about a file: as a finding, without the entry that names the file."""

    grade: str
    message: str
    allowed: str
    next_step: str
    line: int = 0


class UnusableError(Exception):
    """The file cannot be used; `told` says why."""

    def __init__(self, message: str, allowed: str, next_step: str, line: int = 0) -> None:
        self.told = Told("error", message, allowed, next_step, line)
        super().__init__(message)


@dataclass(slots=True)
class Columns:
    """The two columns as they stand in the file: wavelength in m, values bare. All are finite."""

    wavelength: Float
    values: Float
    per_cent: bool
    lines: list[str] = field(repr=False)
    first: int = 0

    def line(self, row: int) -> int:
        """Line of a row, from 1."""
        filled = -1
        for number, text in enumerate(self.lines):
            filled += bool(text.strip())
            if filled == row:
                return self.first + number + 1
        return 0


def read_columns(content: bytes) -> Columns:
    """The two columns of a file.

    Raises
    ------
    UnusableError
        With the first fault and its line.
    """
    lines = _lines(content)
    start = next((at for at, line in enumerate(lines) if line.strip()), None)
    if start is None:
        raise UnusableError("the file has no rows", _FORM, "Export the curve again as text")
    header = ""
    if _is_words(lines[start]):
        header, start = lines[start], start + 1
        _refuse_preamble(lines, start)
    body = lines[start:]
    sample = [line for line in body[: 4 * _LOOKED_AT] if line.strip()][:_LOOKED_AT]
    delimiter, decimal_comma = _delimiter(sample, start + 1)
    body = body if sample else []
    if decimal_comma:
        body = "\n".join(body).replace(",", ".").split("\n")
    table = _table(body, delimiter, start)
    if len(table) < LEAST_POINTS:
        rows = "row" if len(table) == 1 else "rows"
        allowed = f"At least {LEAST_POINTS} rows of wavelength and value"
        raise UnusableError(f"the file has {len(table)} {rows}, which show no curve", allowed, "Export the whole curve")
    per_metre, per_cent = _units(header, delimiter, start)
    columns = Columns(table[:, 0] / per_metre, table[:, 1], per_cent, body, start)
    _refuse_bad_wavelength(columns, table[:, 0], header, per_metre)
    return columns


_FORM = "Rows of wavelength and value, such as 532.5, 0.87; comment lines begin with #"


# Text ------------------------------------------------------------------------------------------


def _lines(content: bytes) -> list[str]:
    """Lines without comments; they count as in an editor."""
    if content.startswith((b"\xff\xfe", b"\xfe\xff")):
        raise UnusableError("the file is UTF-16 text", "UTF-8", "Save it again as UTF-8", 1)
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as wrong:
        line = content.count(b"\n", 0, wrong.start) + 1
        raise UnusableError("the file is not UTF-8 text", "Text of two columns in UTF-8", _SAVE_AGAIN, line) from None
    if "\0" in text:
        line = text.count("\n", 0, text.index("\0")) + 1
        raise UnusableError("the file is not a text file", "Text of two columns in UTF-8", _SAVE_AGAIN, line)
    if "\r" in text:
        text = text.replace("\r\n", "\n").replace("\r", "\n")
    lines = text.split("\n")
    return [line.partition("#")[0] for line in lines] if "#" in text else lines


_SAVE_AGAIN = "Export the curve as text, or save it again as UTF-8"


def _is_words(line: str) -> bool:
    """Whether a line is a header: neither its first word is a number nor its last, NaN and the like included."""
    words = [word for word in re.split(r"[;,\s]+", line) if word]
    return bool(words) and _number(words[0]) is None and _number(words[-1]) is None


def _refuse_preamble(lines: list[str], start: int) -> None:
    """Refuse several lines of words before the rows: which of them names the columns is not for us to guess."""
    before = [start - 1]
    for at in range(start, min(start + 4 * _LOOKED_AT, len(lines))):
        if lines[at].strip():
            if not _is_words(lines[at]):
                break
            before.append(at)
    else:
        return
    if len(before) > 1:
        message = f"{len(before)} lines stand before the first row"
        step = f"Write # at the start of lines {before[0] + 1} to {before[-1] + 1}, but of one that names the columns"
        raise UnusableError(message, "One header line, and comment lines that begin with #", step, before[0] + 1)


def _number(word: str) -> float | None:
    """The number in a field; None when there is none. Spelling as numpy reads it: ASCII, no underscores."""
    word = word.strip()
    if not word.isascii() or "_" in word:
        return None
    try:
        return float(word)
    except ValueError:
        return None


def _delimiter(sample: list[str], line: int) -> tuple[str, bool]:
    """What stands between the columns (blanks: an empty text), and whether commas are decimal."""
    commas = any("," in row for row in sample)
    for mark in (";", "\t"):
        if any(mark in row for row in sample):
            return mark, commas
    if commas and any(_COMMA_IN_NUMBER.match(row) or row.count(",") == 3 for row in sample):
        message = "commas stand both between the columns and inside the numbers, or blanks part decimal commas"
        step = "Part the columns by ; or a tab, or write 532.5 instead of 532,5"
        raise UnusableError(message, "A decimal comma only with ; or tab between the columns", step, line)
    return ("," if commas else ""), False


# Numbers ---------------------------------------------------------------------------------------


def _table(body: list[str], delimiter: str, before: int) -> Float:
    """Both columns as numbers; all finite."""
    import numpy as np  # noqa: PLC0415  see the module's head

    table = np.empty((0, 2))
    try:
        if body:
            table = np.loadtxt(body, comments=None, delimiter=delimiter or None, ndmin=2)
    except ValueError:
        return _row_by_row(body, delimiter, before)
    if table.shape[1] != 2 or not np.isfinite(table).all():
        return _row_by_row(body, delimiter, before)
    return table


def _row_by_row(body: list[str], delimiter: str, before: int) -> Float:
    """The same with the first fault found; only for files that the fast way does not take."""
    import numpy as np  # noqa: PLC0415  see the module's head

    rows: list[tuple[float, float]] = []
    for number, text in enumerate(body, before + 1):
        if text.strip():
            rows.append(_row(text, delimiter, number))
    return np.array(rows, dtype=np.float64).reshape(-1, 2)


def _row(text: str, delimiter: str, line: int) -> tuple[float, float]:
    fields = [word.strip() for word in (text.split(delimiter) if delimiter else text.split())]
    while len(fields) > 2 and not fields[-1]:
        fields.pop()
    if len(fields) > 2:
        message = f"this line has {len(fields)} columns"
        raise UnusableError(message, "Two columns: wavelength and value", "Keep these two and remove the others", line)
    for place, word in zip(("first", "second"), (*fields, "", "")[:2], strict=True):
        _refuse_no_number(place, word, line)
    return float(fields[0]), float(fields[1])


def _refuse_no_number(place: str, word: str, line: int) -> None:
    """Refuse a field that is empty, text, or no finite number."""
    step = "Fill it in, or remove the line: the curve is interpolated across"
    if not word:
        raise UnusableError(f"the {place} column is empty here", "A number in each column", step, line)
    value = _number(word)
    if value is None:
        step = "Write a number, or # before a line that is no row"
        raise UnusableError(f'"{_short(word)}" in the {place} column is not a number', _FORM, step, line)
    if not abs(value) < 1e300:
        message = f'"{_short(word)}" in the {place} column is not a finite number'
        raise UnusableError(message, "A number in each column", step, line)


def _short(word: str) -> str:
    shown = "".join(letter if letter.isprintable() else "?" for letter in word)
    return shown if len(shown) <= 40 else f"{shown[:30]}..."


# Units -----------------------------------------------------------------------------------------


def _units(header: str, delimiter: str, line: int) -> tuple[float, bool]:
    """How many of the first column's unit are a metre, and whether the header says that the second is in per cent."""
    words = header.lower()
    parts = words.split(delimiter) if delimiter else [words]
    if _OTHER_UNIT.search(parts[0]):
        step = "Convert it: 1e7 / (1/cm) and 0.1 Angstrom are nm, 1239.84 / eV is nm"
        message = f'the first column is "{_short(header.strip())}", which is no wavelength in nm'
        raise UnusableError(message, "Vacuum wavelength in nm, um or m", step, line)
    found = _UNIT.search(parts[0])
    unit = "nm" if found is None else "".join(word for word in found.groups() if word)
    return _UNITS[unit.replace("\u00b5", "u").replace("\u03bc", "u")], bool(_PERCENT.search(words))


def _refuse_bad_wavelength(columns: Columns, bare: Float, header: str, per_metre: float) -> None:
    """Refuse wavelengths that cannot be: not positive, or in another unit than the file says."""
    wavelength = columns.wavelength
    shortest, longest = int(wavelength.argmin()), int(wavelength.argmax())
    if bare[shortest] <= 0:
        message = f"a wavelength of {bare[shortest]:g} is not possible"
        step = "Correct the line; the first column is the wavelength"
        raise UnusableError(message, "Above 0", step, columns.line(shortest))
    if wavelength[shortest] >= SHORTEST and wavelength[longest] <= LONGEST and not _in_angstrom(bare, per_metre):
        return
    row = shortest if wavelength[shortest] < SHORTEST else longest
    unit = next(name for name, size in _UNITS.items() if size == per_metre)
    says = f"the header says {unit}" if _UNIT.search(header.lower()) else "without a unit in a header line it is nm"
    message = f"wavelengths of {bare[shortest]:g} to {bare[longest]:g} are no {unit}, and {says}"
    _refuse_unit(message, float(bare[shortest]), float(bare[longest]), columns.line(row))


def _in_angstrom(bare: Float, per_metre: float) -> bool:
    """Nanometres from 1900 to 12000 alone: no lamp pumps a dye there, and they are light's in Angstrom."""
    return per_metre == 1e9 and float(bare.min()) >= 1900.0


def _refuse_unit(message: str, low: float, high: float, line: int) -> NoReturn:
    allowed = f"Vacuum wavelength, {SHORTEST * 1e9:g} nm to {LONGEST * 1e6:g} um"
    looks = "Give the wavelength in nm"
    if high < 1e-4:
        looks = "This looks like m: write a header line such as: wavelength (m), value"
    elif high <= 20.0 and low >= 0.1:
        looks = "This looks like um: write a header line such as: wavelength (um), value"
    elif low >= 100.0 and high <= 1900.0:
        looks = "This looks like nm: write a header line such as: wavelength (nm), value"
    elif low >= 1000.0 and high <= 12_000.0:
        looks = f"This looks like Angstrom: divide by 10, so that {low:g} becomes {low / 10:g} nm"
    elif low >= 1000.0 and high <= 100_000.0:
        looks = f"This looks like wavenumbers in 1/cm: {low:g} 1/cm is {1e7 / low:.1f} nm"
    raise UnusableError(message, allowed, looks, line)
