"""Which wish is in the way where no bank is inside the limits, and by how much."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from pulsewright.errors import Finding
from pulsewright.quantities import show
from pulsewright.studies.candidate import WORDS
from pulsewright.studies.sizing_rules import LIMITS, MATCH, Screen
from pulsewright.studies.wish import Wish

NEXT = {
    "damping": "Allow a wider range of alpha, another pulse length, or other lamps: K0 goes as arc length over bore",
    "match": "Allow other lamps or another capacitance a section: the lamp's K0 / sqrt(I) must meet the network",
    "charge_voltage": "Widen the range of charge voltage, or allow other capacitances",
    "inductance": "Wish for a longer pulse, or build the loop with less inductance",
    "voltage_rating": "Take capacitors of a higher rating, put more in series, or allow more capacitance",
    "explosion_fraction": "Wish for less energy or a longer pulse, or take more, wider or longer lamps",
    "peak_current": "Take capacitors of a higher peak current, put more in parallel, or wish for a longer pulse",
    "voltage_reversal": "Wish for a higher alpha, or take capacitors that stand more reversal",
}


def obstacles(wish: Wish, screen: Screen) -> list[Finding]:
    """Findings that say what to ease: each wish that is alone in the way of some bank; else all of the nearest one."""
    ratios = {key: screen.ratios[key].ravel() for key in LIMITS}
    missed = np.array([ratios[key] > 1.0 for key in LIMITS])
    count = missed.sum(axis=0)
    alone = list(_alone(wish, screen, ratios, missed, count))
    if alone:
        return alone
    if not count.any():  # inside by the table, and outside by the last digit
        message = "no bank is inside every limit by the last digit, though some are within a part in a thousand"
        return [Finding("limit", "wish", message, "A little room in each wish", "Widen the range of alpha")]
    excess = np.sum(np.log(np.maximum(np.array(list(ratios.values())), 1.0)), axis=0)
    nearest = int(np.argmin(excess))
    return [
        _finding(wish, screen, key, nearest, "together with others ")
        for i, key in enumerate(LIMITS)
        if missed[i, nearest]
    ]


def _alone(
    wish: Wish, screen: Screen, ratios: dict[str, np.ndarray], missed: np.ndarray, count: np.ndarray
) -> Iterator[Finding]:
    for i, key in enumerate(LIMITS):
        only = np.flatnonzero(missed[i] & (count == 1))
        if len(only):
            yield _finding(wish, screen, key, int(only[np.argmin(ratios[key][only])]), "")


def _finding(wish: Wish, screen: Screen, key: str, flat: int, how: str) -> Finding:
    """One wish, with the bank that misses it least."""
    row, column = np.unravel_index(flat, screen.charge_voltage.shape)
    ratio = float(screen.ratios[key][row, column])
    name = "match" if key == "damping" and wish.sections is not None else key
    lamp, bank = screen.lamps[int(row)], screen.banks[int(column)]
    each = f"{show('bore', lamp.bore)} by {show('arc_length', lamp.arc_length)}"
    who = f"{bank.words} with {lamp.count} of {each}"
    message = (
        f"nothing is inside every limit; {how}{WORDS[name]} is in the way: nearest {_value(screen, key, row, column)} "
        f"({ratio:.3g} times what is allowed; {who})"
    )
    step = NEXT[name]
    if key == "explosion_fraction":  # it goes as one over bore times arc length
        step += f": {ratio:.2g} times as much bore times arc length in all"
    if name == "inductance":  # at a given capacitance it goes as the square of the pulse length
        step += f": {show('width_half', wish.pulse_length * ratio**0.5)} would do with this bank"
    return Finding("limit", name, message, f"Allowed: {_allowed(wish, key, bank.inductance)}", step)


def _value(screen: Screen, key: str, row: np.integer, column: np.integer) -> str:
    if key in ("charge_voltage", "voltage_rating"):
        return show("charge_voltage", float(screen.charge_voltage[row, column]))
    if key == "inductance":
        return show("inductance", float(screen.inductance[row, column]))
    value = float(screen.values[key][row, column])
    return show("peak_current", value) if key == "peak_current" else f"{value:.3g}"


def _allowed(wish: Wish, key: str, inductance: float) -> str:
    low, high = MATCH if wish.sections is not None else wish.damping
    words = {
        "damping": f"{low:g} to {high:g}",
        "charge_voltage": " to ".join(show("charge_voltage", volts) for volts in wish.charge_voltages),
        "inductance": f"at least {show('inductance', wish.least_inductance + inductance)}",
        "voltage_rating": f"{wish.rating_part:g} of the capacitors' rating",
        "explosion_fraction": f"{wish.explosion_fraction:g} of the lowest published explosion energy",
        "peak_current": "the capacitors' rating",
        "voltage_reversal": "the capacitors' rating",
    }
    return words[key]
