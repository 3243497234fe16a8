"""What the studies say, as pieces of HTML. Every unknown is said to be one."""

from __future__ import annotations

from typing import Any

from pulsewright.quantities import show as say
from pulsewright.web import show

#: Words of a method that fires by itself, in which nobody decides the instant.
SELF_REPEATING = ("pressure drop", "overvoltage gap")


def with_range(key: str, value: float | None, low: float | None, high: float | None) -> str:
    """A value with its range; what is not known is said to be."""
    if value is None:
        return "not known"
    ends = "" if low is None or high is None or low == high else f" ({say(key, low)} to {say(key, high)})"
    return f"{say(key, value)}{ends}"


def triggers(found: Any) -> str:
    """The comparison of the ways to start the discharge; the chosen one first, then those that suit this head."""
    rows = [
        {
            "method": row.method,
            "stands": "chosen" if row.chosen else ("suits this head" if row.suits else "does not suit"),
            "chosen": row.chosen,
            "suits": row.suits,
            "words": row.words,
            "delay": with_range("delay", row.delay, row.delay_low, row.delay_high),
            "jitter": with_range("jitter", row.jitter, row.jitter_low, row.jitter_high),
            "rise": say("rise_time", row.rise_time),
            "adds": row.adds,
            "parts": row.parts,
            "upkeep": row.upkeep,
            "hazards": row.hazards,
            "source": row.source,
        }
        for row in sorted(found.rows, key=lambda one: (not one.chosen, not one.suits))
    ]
    chosen = next((row["method"] for row in rows if row["chosen"]), "")
    return show.page("study_triggers.html", rows=rows, self_repeating=chosen in SELF_REPEATING)
