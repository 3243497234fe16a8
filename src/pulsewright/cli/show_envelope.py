"""An envelope in words and tables."""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np

from pulsewright.cli import show_shot, text
from pulsewright.cli.show_shot import number
from pulsewright.cli.text import Column
from pulsewright.records import Envelope, EnvelopeSampling, SampledVoltage, Shot, Stop

#: Rows printed; JSON and the page have every point.
ROWS = 16
BAR = 12


def already_told(shot: Shot) -> frozenset[str]:
    """What a page of this shot has said, so that it need not be said again."""
    hazards = {row.hazard for row in shot.cautions}
    items = {f"item {row.item} {row.stress}" for row in shot.not_judged}
    return frozenset(hazards | items | {f"finding {row.grade} {row.path}" for row in shot.findings})


def page(envelope: Envelope, told: frozenset[str] = frozenset()) -> str:
    """The whole envelope: threshold, highest voltage, what stops it, the table."""
    unjudged = [row for row in envelope.not_judged if f"item {row.item} {row.stress}" not in told]
    parts = [
        head(envelope),
        answers(envelope),
        stops(envelope.stops),
        sampled(envelope.sampling),
        table(envelope),
        dominant(envelope),
        show_shot.not_judged(unjudged),
        findings(envelope, told),
        show_shot.cautions(envelope.cautions, told),
    ]
    return "\n".join(part for part in parts if part)


def findings(envelope: Envelope, told: frozenset[str]) -> str:
    """Errors, limits and warnings at the top of the range; notes are counted, since a shot prints them."""
    fresh = [row for row in envelope.findings if f"finding {row.grade} {row.path}" not in told]
    graded = [row for row in fresh if row.grade != "note"]
    notes = len(fresh) - len(graded)
    top = volts_text(envelope.arrays["charge_voltage"].values[-1])
    parts = [show_shot.findings(graded, f"Findings at {top}")]
    if notes:
        parts.append(
            text.wrap(f"{text.counted(notes, 'note')} at {top}: a shot at that voltage prints them.", first="\n")
        )
    return "\n".join(part for part in parts if part)


def head(envelope: Envelope) -> str:
    """Name and range."""
    volts = envelope.arrays["charge_voltage"].values
    span = text.span(volts_text(volts[0]), volts_text(volts[-1]))
    title = f"{envelope.start.get('bench', 'bench')}: envelope from {span}, {text.counted(len(volts), 'point')}"
    changed = envelope.start.get("overrides") or {}
    lines = ["", text.strong(title)]
    if changed:
        told = ", ".join(f"{path} = {value}" for path, value in changed.items())
        lines.append(text.wrap(f"Overridden: {told}"))
    return "\n".join(lines)


def volts_text(value: float) -> str:
    """A charge voltage in words."""
    return number("charge_voltage", float(value), "V")


def answers(envelope: Envelope) -> str:
    """Threshold, highest voltage and limiting item, each with its reason where there is no number."""
    highest, stop = envelope.highest_voltage_within_limits, envelope.limiting_item
    judged = ", of the judged items" if envelope.not_judged else ""
    rows = [
        ("threshold voltage", envelope.threshold_voltage, "", envelope.threshold_reason),
        ("highest voltage within limits", highest, judged, "" if highest and stop else envelope.highest_reason),
    ]
    label = max(len(words) for words, *_ in rows) + 2
    lines = [
        text.wrap(
            ". ".join(
                part for part in ("none" if value is None else volts_text(value) + noted, reason.rstrip(".")) if part
            ),
            first=f"  {words:<{label}}",
        )
        for words, value, noted, reason in rows
    ]
    lines.append(text.wrap(limiting(envelope.limiting_item), first=f"  {'limiting item':<{label}}"))
    return "\n".join(lines)


def limiting(stop: Stop | None) -> str:
    """The item that stops the voltage first."""
    if stop is None:
        return "none in this range"
    reached = f"{stop.stress} reaches {limit_text(stop)} at {volts_text(stop.voltage)}"
    return f"{stop.item}: {reached}. Source: {stop.source.rstrip('.')}."


def limit_text(stop: Stop) -> str:
    """Limit of a stop with its unit."""
    return number("", stop.limit, stop.unit)


def stops(rows: Sequence[Stop]) -> str:
    """Everything that reaches its limit in the range, lowest voltage first."""
    if not rows:
        return ""
    columns = (Column("at", "right"), Column("item: what reaches its limit", flexible=True), Column("limit", "right"))
    groups = text.gathered(rows, lambda row: (volts_text(row.voltage), row.stress, limit_text(row)))
    cells = [
        (
            volts_text(group[0].voltage),
            f"{show_shot.named(row.item for row in group)}: {group[0].stress}",
            limit_text(group[0]),
        )
        for group in groups
    ]
    lines = [text.heading("What stops you, going up"), text.table(columns, cells)]
    first = rows[0]
    if first.lower_by:
        lines.append(text.wrap(f"To lower {first.item}: {text.sentences(first.lower_by)}", first="  ", rest="    "))
    return "\n".join(lines)


def sampled(found: EnvelopeSampling | None) -> str:
    """Threshold and highest voltage by samples, and what stops how many of them."""
    if found is None:
        return ""
    said = f"{found.count} samples, the same at every voltage ({found.method}, seed {found.seed}, {found.resolution})"
    failed = f"; {found.failed} could not be computed" if found.failed else ""
    threshold, highest = found.threshold, found.highest
    rows = [
        ("threshold, 90 %", f"{ends(threshold)}; inside the range in {100 * threshold.share:.0f} % of the samples"),
        ("highest voltage within limits, 90 %", ends(highest)),
    ]
    label = max(len(words) for words, _ in rows) + 2
    lines = [text.heading("By samples"), text.wrap(f"{said}{failed}.", first="  ", rest="  ")]
    lines += [text.wrap(told, first=f"  {words:<{label}}") for words, told in rows]
    if found.stops:
        columns = (Column("met by", "right"), Column("item: what reaches its limit", flexible=True), Column("between"))
        groups = text.gathered(
            found.stops,
            lambda row: (row.stress, show_shot.chance(row.probability), volts_text(row.low), volts_text(row.high)),
        )
        cells = [
            (
                show_shot.chance(group[0].probability),
                f"{show_shot.named(row.item for row in group)}: {group[0].stress}",
                text.span(volts_text(group[0].low), volts_text(group[0].high)),
            )
            for group in groups
        ]
        lines.append(text.table(columns, cells))
    return "\n".join(lines)


def ends(found: SampledVoltage) -> str:
    """An interval of a voltage in words."""
    low = volts_text(found.low) if math.isfinite(found.low) else "below the range" if found.low < 0 else ""
    high = volts_text(found.high) if math.isfinite(found.high) else "below the range" if found.high < 0 else ""
    if not low:
        return "above the range"
    if math.isfinite(found.low) and math.isfinite(found.high):
        return text.span(low, high)
    return f"{low} to {high or 'above the range'}"


def dominant(envelope: Envelope) -> str:
    """The inputs that make most of the variance at the top of the range."""
    top = volts_text(envelope.arrays["charge_voltage"].values[-1])
    return show_shot.dominant(envelope.dominant, f"{envelope.dominant_of} at {top}")


def table(envelope: Envelope) -> str:
    """Output, pulse and worst margin against charge voltage, a row every few points."""
    arrays = envelope.arrays
    volts = arrays["charge_voltage"].values
    kept = np.unique(np.linspace(0, len(volts) - 1, min(ROWS, len(volts))).round().astype(int))
    top = float(np.nanmax(arrays["output_energy"].values, initial=0.0))
    columns = (
        Column("charge", "right"),
        Column("stored", "right"),
        Column("output", "right"),
        Column(""),
        Column("90 % interval", "right"),
        Column("pulse", "right"),
        Column("worst", "right"),
    )
    rows = [row(envelope, int(i), top) for i in kept]
    legend = "worst: highest ratio of stress to limit of the judged items; > marks 1 and above."
    return "\n".join([text.heading("Against charge voltage"), text.table(columns, rows), text.wrap(legend, first="  ")])


def row(envelope: Envelope, i: int, top: float) -> tuple[str, ...]:
    """The cells of one point."""
    output = cell(envelope, "output_energy", i)
    low, high = cell(envelope, "output_energy_low", i), cell(envelope, "output_energy_high", i)
    known = all(value is not None and math.isfinite(value) for value in (low, high)) and output
    ratios = envelope.arrays["ratio"].values[i]
    worst = float(np.nanmax(ratios)) if np.isfinite(ratios).any() else math.nan
    return (
        volts_text(envelope.arrays["charge_voltage"].values[i]),
        amount(envelope, "stored_energy", i),
        amount(envelope, "output_energy", i),
        bar(output, top),
        text.span(number("output_energy", low or 0.0, "J"), number("output_energy", high or 0.0, "J")) if known else "",
        amount(envelope, "pulse_width", i),
        "" if math.isnan(worst) else ("> " if worst >= 1.0 else "") + show_shot.ratio(worst),
    )


def cell(envelope: Envelope, name: str, i: int) -> float | None:
    """One number of a column, or None."""
    array = envelope.arrays.get(name)
    return None if array is None else float(array.values[i])


def amount(envelope: Envelope, name: str, i: int) -> str:
    """One number in words; blank where there is none."""
    value = cell(envelope, name, i)
    if value is None or not math.isfinite(value):
        return ""
    return number(name, value, envelope.arrays[name].unit)


def bar(value: float | None, top: float) -> str:
    """A bar as long as the value is high."""
    if value is None or not math.isfinite(value) or top <= 0.0:
        return ""
    return "#" * round(BAR * value / top)
