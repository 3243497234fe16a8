"""Numbers given on the command line: text with a unit, refused by the option's own name."""

from __future__ import annotations

from dataclasses import replace

from pulsewright import quantities
from pulsewright.errors import QuantityError


def voltage(option: str, words: str) -> float:
    """Read a charge voltage, in V.

    Raises
    ------
    QuantityError
        If it is not one; the finding names the option.
    """
    try:
        return quantities.read("charge_voltage", words)
    except QuantityError as fault:
        raise QuantityError(*(replace(row, path=option) for row in fault.findings)) from fault
