"""Capacitors to build a bank from: standard values, or the user's own stock as a text or TOML file; and the banks that
they make in series and parallel.
"""

from __future__ import annotations

import csv
import difflib
import tomllib
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from pulsewright import quantities
from pulsewright.errors import BuildError, Finding, QuantityError

#: The standard series of 20 % values: six a decade.
E6 = (1.0, 1.5, 2.2, 3.3, 4.7, 6.8)
#: Decades of standard values that are tried. [F]
DECADES = (1e-8, 1e-7, 1e-6, 1e-5, 1e-4)
#: Larger files, longer lists and more arrangements are refused or not tried.
LARGEST_FILE, MOST_LINES, MOST_BANKS = 1 << 20, 500, 4000
#: Parts of a list up to which groups of two different parts side by side are tried too.
MOST_MIXED = 25

COLUMNS = (
    "part",
    "capacitance",
    "voltage_rating",
    "count",
    "inductance",
    "peak_current_rating",
    "reversal_rating",
    "life_rating",
)
NEEDED = ("capacitance", "voltage_rating")
_EXAMPLE = "capacitance; voltage_rating; count; inductance"


@dataclass(frozen=True, slots=True)
class Capacitor:
    """One kind of capacitor: `count` of them are there. SI values; None where not known."""

    part: str
    capacitance: float
    voltage_rating: float
    count: int
    inductance: float = 0.0
    peak_current_rating: float | None = None
    reversal_rating: float | None = None
    life_rating: float | None = None
    line: int = 0


@dataclass(frozen=True, slots=True)
class Group:
    """Strings of `in_series` alike, `in_parallel` of them side by side."""

    capacitor: Capacitor
    in_series: int
    in_parallel: int

    @property
    def parts(self) -> int:
        """Capacitors in it."""
        return self.in_series * self.in_parallel

    @property
    def capacitance(self) -> float:
        """Of the whole group."""
        return self.capacitor.capacitance * self.in_parallel / self.in_series

    @property
    def words(self) -> str:
        """In words."""
        one = self.capacitor
        value = f"{quantities.show('capacitance', one.capacitance)} {quantities.show('voltage', one.voltage_rating)}"
        name = f"{value} ({one.part})" if one.part else value
        if self.in_series == 1:
            return name if self.in_parallel == 1 else f"{self.in_parallel} in parallel of {name}"
        strings = f"{self.in_series} in series of {name}"
        return strings if self.in_parallel == 1 else f"{self.in_parallel} strings in parallel, each {strings}"


@dataclass(frozen=True, slots=True)
class BankParts:
    """A bank: groups side by side."""

    groups: tuple[Group, ...]

    @property
    def capacitance(self) -> float:
        """Of the bank."""
        return sum(group.capacitance for group in self.groups)

    @property
    def voltage_rating(self) -> float:
        """Of the weakest group; strings are taken to share the voltage equally."""
        return min(group.capacitor.voltage_rating * group.in_series for group in self.groups)

    @property
    def parts(self) -> int:
        """Capacitors in it."""
        return sum(group.parts for group in self.groups)

    @property
    def inductance(self) -> float:
        """Of the capacitors themselves."""
        each = [group.capacitor.inductance * group.in_series / group.in_parallel for group in self.groups]
        return 0.0 if 0.0 in each else 1.0 / sum(1.0 / value for value in each)

    @property
    def peak_current_rating(self) -> float | None:
        """Current at which the first group reaches its rating; groups share it as their capacitances."""
        shares = [
            group.capacitor.peak_current_rating * group.in_parallel * self.capacitance / group.capacitance
            for group in self.groups
            if group.capacitor.peak_current_rating is not None
        ]
        return min(shares) if len(shares) == len(self.groups) else None

    @property
    def reversal_rating(self) -> float | None:
        """The lowest of its parts."""
        return _lowest([group.capacitor.reversal_rating for group in self.groups])

    @property
    def life_rating(self) -> float | None:
        """The lowest of its parts."""
        return _lowest([group.capacitor.life_rating for group in self.groups])

    @property
    def words(self) -> str:
        """In words."""
        return " beside ".join(group.words for group in self.groups)


def _lowest(values: Sequence[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return min(known) if len(known) == len(values) else None


def standard_values(ratings: Sequence[float], most_parts: int, values: Sequence[float] = ()) -> tuple[Capacitor, ...]:
    """Capacitors of standard values at every rating: the E6 series, or the values given."""
    chosen = tuple(values) or tuple(value * decade for decade in DECADES for value in E6)
    return tuple(Capacitor("", value, rating, most_parts) for rating in ratings for value in chosen)


def banks(capacitors: Sequence[Capacitor], most_parts: int) -> tuple[BankParts, ...]:
    """Banks that these capacitors make, fewest parts first: alike in series and parallel, two kinds side by side."""
    groups = [group for capacitor in capacitors for group in _groups(capacitor, most_parts)]
    found = [BankParts((group,)) for group in groups]
    if len(capacitors) <= MOST_MIXED and any(one.line for one in capacitors):
        found += _mixed(groups, most_parts)
    return tuple(sorted(found, key=lambda bank: bank.parts)[:MOST_BANKS])


def _groups(capacitor: Capacitor, most_parts: int) -> Iterator[Group]:
    there = min(capacitor.count, most_parts)
    for in_series in range(1, there + 1):
        for in_parallel in range(1, there // in_series + 1):
            yield Group(capacitor, in_series, in_parallel)


def _mixed(groups: Sequence[Group], most_parts: int) -> Iterator[BankParts]:
    for i, first in enumerate(groups):
        for second in groups[i + 1 :]:
            if first.capacitor is not second.capacitor and first.parts + second.parts <= most_parts:
                yield BankParts((first, second))


# The user's list -------------------------------------------------------------------------------


def read_stock(path: str | Path) -> tuple[Capacitor, ...]:
    """Read a stock list: a text file with one part a line below a line of column names, or a TOML file.

    Raises
    ------
    BuildError
        With every fault and its line, or when the list is empty or cannot be read.
    """
    place = Path(path)
    try:
        if place.stat().st_size > LARGEST_FILE:
            raise BuildError(_fault(place.name, 0, "", "the file is too large for a stock list", "At most 1 MiB"))
        text = place.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as wrong:
        raise BuildError(_fault(place.name, 0, "", "the file is not a text file", "Text in UTF-8")) from wrong
    except OSError as wrong:
        why = wrong.strerror or type(wrong).__name__
        raise BuildError(
            _fault(place.name, 0, "", f"the stock list cannot be read: {why}", "A readable file")
        ) from wrong
    return stock_from_text(text, place.name)


def stock_from_text(text: str, file: str) -> tuple[Capacitor, ...]:
    """The same from a text; a name that ends in .toml is TOML."""
    rows = list(_toml_rows(text, file) if file.lower().endswith(".toml") else _text_rows(text, file))
    faults: list[Finding] = [row for row in rows if isinstance(row, Finding)]
    found: list[Capacitor] = []
    for row in rows[: MOST_LINES + 1]:
        if not isinstance(row, Finding):
            made = _capacitor(row[1], file, row[0])
            (faults if isinstance(made, Finding) else found).append(made)  # type: ignore[arg-type]
    if len(rows) > MOST_LINES:
        faults.append(_fault(file, 0, "", f"{len(rows)} parts", f"At most {MOST_LINES} parts"))
    if not rows:
        faults.append(_fault(file, 0, "", "the stock list is empty", f"A line of column names such as {_EXAMPLE}"))
    if faults:
        raise BuildError(*faults)
    return tuple(found)


def _fault(file: str, line: int, column: str, message: str, allowed: str, step: str = "") -> Finding:
    step = step or f'Write columns such as "{_EXAMPLE}" and one part a line, for instance "2 uF; 15 kV; 4; 40 nH"'
    return Finding("error", column or "stock", message, allowed, step, file, line)


def _text_rows(text: str, file: str) -> Iterator[tuple[int, dict[str, str]] | Finding]:
    lines = [
        (number, line)
        for number, line in enumerate(text.splitlines(), start=1)
        if line.strip() and not line.lstrip().startswith("#")
    ]
    if not lines:
        return
    number, head = lines[0]
    mark = next((mark for mark in ("\t", ";", ",", "|") if mark in head), ";")
    names = [name.strip().lower().replace(" ", "_") for name in _cells(head, mark)]
    yield from (wrong := list(_columns_wrong(names, file, number)))
    if wrong:
        return
    for number, line in lines[1:]:
        cells = [cell.strip() for cell in _cells(line, mark)]
        if len(cells) > len(names):
            yield _fault(file, number, "", f"{len(cells)} cells", f"{len(names)} cells, as in the first line")
            continue
        yield number, {name: cell for name, cell in zip(names, cells, strict=False) if cell}


def _cells(line: str, mark: str) -> list[str]:
    return next(csv.reader([line], delimiter=mark, skipinitialspace=True))


def _columns_wrong(names: Sequence[str], file: str, line: int) -> Iterator[Finding]:
    for name in names:
        if name not in COLUMNS:
            near = difflib.get_close_matches(name, COLUMNS, n=1, cutoff=0.5)
            step = f'Perhaps "{near[0]}" was meant' if near else ""
            yield _fault(
                file, line, name, f'"{name}" is no column of a stock list', f"Known: {', '.join(COLUMNS)}", step
            )
    for name in NEEDED:
        if name not in names:
            yield _fault(file, line, name, f"the column {name} is missing", f"Needed: {', '.join(NEEDED)}")


def _toml_rows(text: str, file: str) -> Iterator[tuple[int, dict[str, Any]] | Finding]:
    try:
        tree = tomllib.loads(text)
    except (ValueError, RecursionError) as wrong:
        yield _fault(file, 0, "", f"this is not TOML: {wrong}", "[capacitors.<id>] with capacitance and voltage_rating")
        return
    known = tree.get("capacitors", {})
    if not isinstance(known, dict) or set(tree) - {"capacitors"}:
        yield _fault(file, 0, "capacitors", "a stock list holds [capacitors.<id>] and nothing else", "Such tables")
        return
    for part, table in known.items():
        line = _line_of(text, part)
        if not isinstance(table, dict):
            yield _fault(file, line, f"capacitors.{part}", "this is not a table", "Its keys below the header")
            continue
        unknown = [_unknown_key(file, line, part, key) for key in table if key not in COLUMNS]
        yield from unknown
        if not unknown:
            yield line, {"part": part, **table}


def _unknown_key(file: str, line: int, part: str, key: str) -> Finding:
    near = difflib.get_close_matches(key, COLUMNS, n=1, cutoff=0.5)
    step = f'Perhaps "{near[0]}" was meant' if near else ""
    known = f"Known: {', '.join(COLUMNS)}"
    return _fault(file, line, f"capacitors.{part}.{key}", f'"{key}" is no key of a capacitor', known, step)


def _line_of(text: str, part: str) -> int:
    """Line of the header of a part; 0 when it is written another way."""
    heads = (f"[capacitors.{part}]", f'[capacitors."{part}"]')
    for number, line in enumerate(text.splitlines(), start=1):
        if line.split("#")[0].strip() in heads:
            return number
    return 0


def _capacitor(row: Mapping[str, Any], file: str, line: int) -> Capacitor | Finding:
    values: dict[str, float | None] = {}
    for key in COLUMNS[1:]:
        if key == "count":
            continue
        try:
            values[key] = quantities.read(key, str(row[key])) if key in row else None
        except QuantityError as fault:
            found = fault.findings[0]
            return Finding("error", key, found.message, found.allowed, found.next_step, file, line)
        value = values[key]
        if value is None and key in NEEDED:
            return _fault(file, line, key, f"the {key} is missing", "A value with its unit")
        if value is not None and not (value > 0 or (key in ("inductance", "reversal_rating") and value == 0)):
            return _fault(file, line, key, f"{row[key]} is not above zero", "A value above zero", "Correct this line")
    count = _count(row.get("count", 1))
    if count is None:
        return _fault(file, line, "count", f"{row['count']} is no number of parts", "A whole number from 1")
    return Capacitor(
        part=str(row.get("part", "")),
        capacitance=float(values["capacitance"] or 0.0),
        voltage_rating=float(values["voltage_rating"] or 0.0),
        count=count,
        inductance=float(values["inductance"] or 0.0),
        peak_current_rating=values["peak_current_rating"],
        reversal_rating=values["reversal_rating"],
        life_rating=values["life_rating"],
        line=line or 1,
    )


def _count(given: Any) -> int | None:
    try:
        number = int(str(given).strip())
    except ValueError:
        return None
    return number if 1 <= number <= 10_000 else None
