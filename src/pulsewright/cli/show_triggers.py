"""The comparison of triggers in words and tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pulsewright.cli import text
from pulsewright.cli.text import Column
from pulsewright.quantities import show

if TYPE_CHECKING:
    from pulsewright.workbench.maps import TriggerComparison, TriggerRow


def page(found: TriggerComparison) -> str:
    """The table of figures, then each method in words, then the caution."""
    head = f"{found.bench}: ways to start the discharge at {show('charge_voltage', found.charge_voltage)}"
    parts = [text.strong(head), figures(found.rows)]
    parts += [method(row) for row in found.rows]
    parts += [text.heading("Caution"), text.wrap(found.caution, first="  ")]
    return "\n".join(parts)


def figures(rows: tuple[TriggerRow, ...]) -> str:
    """Delay, jitter and rise of every method, the chosen one marked."""
    columns = (Column("method"), Column("suits"), Column("delay"), Column("jitter"), Column("rise", "right"))
    cells = [
        (
            f"{row.method}{' *' if row.chosen else ''}",
            "yes" if row.suits else "no",
            interval("trigger_delay", row.delay, row.delay_low, row.delay_high),
            interval("trigger_jitter", row.jitter, row.jitter_low, row.jitter_high),
            "" if row.rise_time is None else show("rise_time", row.rise_time),
        )
        for row in rows
    ]
    legend = "* as in the build file; delay and jitter: 90 % range; rise: of the loop alone, 10 to 90 %"
    if any(row.delay is None for row in rows):
        legend += "; -: at no chosen moment, not at all, or the build file does not say enough"
    return text.table(columns, cells) + "\n" + text.wrap(legend, first="  ")


def interval(key: str, value: float | None, low: float | None, high: float | None) -> str:
    """The range of a time, in words where there is none."""
    if value is None or low is None or high is None:
        return "-"
    if low == high:
        return show(key, value)
    return text.span(show(key, low), show(key, high))


def method(row: TriggerRow) -> str:
    """One method in words."""
    lines = (
        ("Here", row.words),
        ("Adds", row.adds),
        ("Parts", row.parts),
        ("Upkeep", row.upkeep),
        ("Hazards", row.hazards),
        ("Source", row.source),
    )
    told = [text.wrap(words, first=f"  {label + ':':<9}") for label, words in lines if words]
    return "\n".join([text.heading(row.method), *told])
