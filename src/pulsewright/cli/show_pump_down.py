"""The pump-down of a head in words and tables."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from pulsewright.cli import text
from pulsewright.cli.text import Column
from pulsewright.quantities import show

if TYPE_CHECKING:
    from pulsewright.workbench.maps import PumpDown

#: Rows of the timeline that are printed.
ROWS = 16


def page(found: PumpDown) -> str:
    """Outcome, figures, timeline, failures and the caution."""
    head = f"{found.bench}: pumped down until the lamps fire"
    told = f"{found.outcome}: {found.words}." + (f" {found.next_step}." if found.next_step else "")
    parts = [text.strong(head), text.wrap(told, first="  "), figures(found), text.heading("Timeline"), timeline(found)]
    parts += [text.heading("What can go wrong in one shot"), failures(found)]
    return "\n".join([*parts, text.heading("Caution"), text.wrap(found.caution, first="  ")])


def figures(found: PumpDown) -> str:
    """What it fires at, when, and how far that scatters."""
    rows = [
        ("fires at", show("charge_voltage", found.firing_voltage)),
        ("pressure", show("fill_pressure", found.firing_pressure)),
        ("delay", show("trigger_delay", found.delay)),
        ("jitter", show("trigger_jitter", found.jitter)),
        *((f"  by {cause}", show("trigger_jitter", size)) for cause, size in found.jitter_parts.items()),
        ("shot to shot", show("repeat_period", found.repeat_period)),
        ("curve", found.curve_words),
    ]
    return text.table((Column("figure"), Column("value")), rows)


def timeline(found: PumpDown) -> str:
    """Pressure, standing voltage and breakdown voltage at some instants, from the start of charging to the firing."""
    columns = (
        Column("time", "right"),
        Column("pressure", "right"),
        Column("on them", "right"),
        Column("breaks", "right"),
    )
    step = max(1, (len(found.time) - 1) // (ROWS - 1))
    rows = [
        (
            show("time", float(found.time[i])),
            show("fill_pressure", float(found.pressure[i])),
            show("voltage", float(found.voltage[i])),
            ""
            if found.breakdown_voltage[i] != found.breakdown_voltage[i]
            else show("voltage", float(found.breakdown_voltage[i])),
        )
        for i in range(0, len(found.time), step)
        if found.fires_at is None or found.time[i] < found.fires_at
    ]
    if found.fires_at is not None and found.firing_pressure is not None and found.firing_voltage is not None:
        volts = show("voltage", found.firing_voltage)
        rows.append((show("time", found.fires_at), show("fill_pressure", found.firing_pressure), volts, "fires"))
    return text.table(columns, rows)


def _known(volts: float) -> str:
    return show("voltage", volts) if math.isfinite(volts) else "never"


def failures(found: PumpDown) -> str:
    """Each failure with its chance and what helps."""
    if not found.failures:
        return "  none that is modelled has a chance above 0.01 %"
    lines = (f"{100 * row.chance:.2g} %: {row.words}. {row.next_step}." for row in found.failures)
    return "\n".join(text.wrap(line, first="  ") for line in lines)
