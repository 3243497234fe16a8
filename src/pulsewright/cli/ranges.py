"""Ranges and lists given on the command line: "1 uF:10 uF:20" and "5 mm, 7 mm", refused by the option's own name."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pulsewright import quantities, units
from pulsewright.errors import Finding, QuantityError

Floats = NDArray[np.float64]
#: More values than this on one axis are a slip.
MOST_VALUES = 100_000


def values(option: str, key: str, words: str) -> Floats:
    """Values of a quantity: one, a list with commas, or FIRST:LAST:NUMBER, with :log behind it in equal factors.

    Raises
    ------
    QuantityError
        If it is none of these; the finding names the option.
    """
    pieces = [piece.strip() for piece in words.split(":")]
    if len(pieces) == 1:
        return np.array([value(option, key, piece) for piece in words.split(",")])
    factors = len(pieces) == 4 and pieces[3] == "log"
    if len(pieces) != 3 and not factors:
        raise _refused(option, words, "FIRST:LAST:NUMBER, a list with commas, or one value", _example(key))
    first, last = value(option, key, pieces[0]), value(option, key, pieces[1])
    if not pieces[2].isascii() or not pieces[2].isdigit() or not 1 <= int(pieces[2]) <= MOST_VALUES:
        raise _refused(option, words, f"A whole number of values from 1 to {MOST_VALUES}", _example(key))
    if factors and not (first > 0 and last > 0):
        raise _refused(option, words, "Both ends above zero for equal factors", _example(key))
    count = int(pieces[2])
    return np.geomspace(first, last, count) if factors else np.linspace(first, last, count)


def span(option: str, key: str, words: str) -> tuple[float, float]:
    """A lower and an upper end, "5 kV:12 kV"; one value is both.

    Raises
    ------
    QuantityError
        If it is not that; the finding names the option.
    """
    pieces = [piece.strip() for piece in words.split(":")]
    if len(pieces) > 2:
        raise _refused(option, words, "LOWEST:HIGHEST", f"Write {option} with two ends")
    ends = [value(option, key, piece) for piece in pieces]
    return ends[0], ends[-1]


def value(option: str, key: str, words: str) -> float:
    """One value of a quantity.

    Raises
    ------
    QuantityError
        If it is not one; the finding names the option.
    """
    try:
        return quantities.read(key, words)
    except QuantityError as fault:
        raise QuantityError(*(replace(row, path=option) for row in fault.findings)) from fault


def _example(key: str) -> str:
    unit = quantities.QUANTITIES[key].display
    spelled = (units.spellings(unit) or (unit,))[0] if unit != "-" else ""
    return f'Write for instance "1 {spelled}:10 {spelled}:20"'


def _refused(option: str, words: str, allowed: str, step: str) -> QuantityError:
    return QuantityError(Finding("error", option, f'"{words}" cannot be read', f"Allowed: {allowed}", step))
