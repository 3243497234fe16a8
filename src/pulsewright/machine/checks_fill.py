"""What the entries of a lamp's fill must satisfy together."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from pulsewright.errors import Grade
from pulsewright.machine.tree import Reading

#: grade, path, message, allowed, next step
Fault = tuple[Grade, str, str, str, str]

#: Gases whose strong near-infrared lines are known.
LINED_GASES = ("xenon",)


def _second_gas(reading: Reading) -> Iterator[Fault]:
    """A second gas and its part of the pressure go together, and it is another gas."""
    for part in reading.ids.get("lamps", ()):
        base = f"lamps.{part}"
        second, share = reading.get(f"{base}.second_gas"), reading.get(f"{base}.second_gas_fraction")
        if second is not None and share is None:
            message = f"{second} is mixed in, but its part of the fill pressure is not given"
            step = "Enter second_gas_fraction, or remove second_gas"
            yield "error", f"{base}.second_gas", message, "A fraction between 0 and 1", step
        if share is not None and second is None:
            message = "a part of the fill pressure is given, but no second gas; the value is not used"
            step = "Enter second_gas, or remove it"
            yield "warning", f"{base}.second_gas_fraction", message, "Together with second_gas", step
        if second is not None and second == reading.get(f"{base}.gas"):
            message = f"{second} is mixed into {second}, which changes nothing"
            yield (
                "warning",
                f"{base}.second_gas",
                message,
                "Another gas than that of the fill",
                "Remove it or change it",
            )


def _lines(reading: Reading) -> Iterator[Fault]:
    """Lines can be added only where they are known."""
    for part in reading.ids.get("lamps", ()):
        base = f"lamps.{part}"
        fill = {reading.get(f"{base}.gas"), reading.get(f"{base}.second_gas")}
        if reading.get(f"{base}.near_infrared_lines") == "added" and not fill & set(LINED_GASES):
            message = f"no lines of {reading.get(f'{base}.gas')} are known, so none are added"
            step = 'Set near_infrared_lines = "left out"'
            yield "warning", f"{base}.near_infrared_lines", message, f"Lines of {', '.join(LINED_GASES)}", step


CHECKS: tuple[Callable[[Reading], Iterator[Fault]], ...] = (_second_gas, _lines)
