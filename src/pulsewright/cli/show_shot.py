"""A shot in words and tables."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from pulsewright import quantities, units
from pulsewright.cli import text
from pulsewright.cli.text import Column
from pulsewright.errors import Finding, worst_first
from pulsewright.records import Caution, Margin, NotJudged, Shot, Value

#: Summary keys in the order of the chain; a key that stands nowhere here comes under the last heading.
GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "Discharge",
        (
            "charge_voltage",
            "stored_energy",
            "peak_current",
            "peak_current_density",
            "reversal",
            "lamp_energy",
            "explosion_fraction",
        ),
    ),
    ("Light and pump", ("radiated_energy", "absorbed_pump_energy")),
    ("Output", ("output_energy", "pulse_width", "peak_power", "wavelength", "efficiency")),
    ("Beam", ("divergence_low", "divergence_high")),
)
OTHERS = "Also"


def page(shot: Shot) -> str:
    """The whole shot: outcome, summary, margins, what is not judged, findings, cautions."""
    parts = [
        head(shot),
        summary(shot),
        margins(shot.margins),
        not_judged(shot.not_judged),
        reasons(shot),
        findings(shot.findings),
        cautions(shot.cautions),
        provenance(shot),
    ]
    return "\n".join(part for part in parts if part)


def head(shot: Shot) -> str:
    """Name, charge voltage and outcome."""
    name = str(shot.start.get("bench", "bench"))
    charge = shot.summary.get("charge_voltage")
    at = "" if charge is None else f" at {shown('charge_voltage', charge)}"
    reason = f" {shot.reason.rstrip('.')}." if shot.reason else ""
    lines = [text.strong(f"{name}: one {shot.kind} shot{at}"), text.wrap(f"Outcome: {shot.outcome}.{reason}")]
    changed = shot.start.get("overrides") or {}
    if changed:
        told = ", ".join(f"{path} = {value}" for path, value in changed.items())
        lines.append(text.wrap(f"Overridden for this shot: {told}"))
    return "\n".join(lines)


def shown(key: str, value: Value) -> str:
    """A value in the unit and digits of its quantity."""
    if value.value is None:
        return "not known"
    return number(key, value.value, value.unit)


def number(key: str, value: float, unit: str) -> str:
    """A number of a quantity; one without a key is shown as quantities of its unit are, where it is per area."""
    if key in quantities.QUANTITIES:
        return quantities.show(key, value)
    rows = quantities.QUANTITIES.values()
    display = next((row.display for row in rows if row.unit == unit and row.display != unit), "")
    return units.format(value, unit, display=display if unit.endswith("/m^2") else "")


def words(key: str) -> str:
    """The key as words; JSON, Python and the build file spell it the same way."""
    return key.replace("_", " ")


def summary(shot: Shot) -> str:
    """The summary, grouped in the order of the chain, numbers and units each in their column."""
    placed = {key for _, keys in GROUPS for key in keys}
    others = tuple(key for key in shot.summary if key not in placed)
    groups = [(title, [key for key in keys if key in shot.summary]) for title, keys in (*GROUPS, (OTHERS, others))]
    rows = {key: summary_row(key, shot.summary[key]) for _, keys in groups for key in keys}
    labels = max((len(row[0]) for row in rows.values()), default=0)
    numbers = max((len(row[1]) for row in rows.values()), default=0)
    lines: list[str] = []
    for title, keys in groups:
        if keys:
            lines.append(text.heading(title))
            lines.extend(summary_line(rows[key], min(labels, 40), numbers) for key in keys)
    return "\n".join(lines)


def summary_row(key: str, value: Value) -> tuple[str, str, str, str]:
    """Words, number, unit, and the interval or the reason."""
    amount, unit = ("not known", "") if value.value is None else text.split_unit(shown(key, value))
    if value.value is None:
        return words(key), amount, unit, value.reason
    if value.low is None or value.high is None:
        return words(key), amount, unit, ""
    interval = text.span(number(key, value.low, value.unit), number(key, value.high, value.unit))
    return words(key), amount, unit, f"90 %: {interval}"


def summary_line(row: tuple[str, str, str, str], labels: int, numbers: int) -> str:
    """One aligned line of the summary; a long label or reason is carried over."""
    label, amount, unit, note = row
    if not unit and note and amount == "not known":
        return text.wrap(f"{amount}: {note}", first=f"  {label:<{labels}}  ", rest=" " * (labels + 4))
    line = f"  {label:<{labels}}  {amount:>{numbers}} {unit:<7} {note}".rstrip()
    if len(line) <= text.width():
        return line
    rest = f"{'':{labels + 4}}{amount:>{numbers}} {unit:<7} {note}".rstrip()
    return text.wrap(label, first="  ", rest="    ") + "\n" + rest


def margins(rows: Sequence[Margin]) -> str:
    """The margin table, worst first, with its sources below it."""
    if not rows:
        return ""
    ordered = sorted(rows, key=lambda row: -row.ratio)
    sources = list(dict.fromkeys(row.source for row in ordered if row.source))
    columns = (
        Column("", "left"),
        Column("ratio", "right"),
        Column("chance", "right"),
        Column("item: what is judged", flexible=True),
        Column("stress", "right"),
        Column("limit", "right"),
    )
    table = text.table(columns, [margin_cells(row, sources) for row in ordered], indent="")
    lines = [text.heading("Margins, worst first"), table, ""]
    lines.append(text.wrap(legend(ordered)))
    lines.extend(text.wrap(source, first=f"  [{i + 1}] ") for i, source in enumerate(sources))
    lines.extend(advice(ordered))
    return "\n".join(lines)


def legend(rows: Iterable[Margin]) -> str:
    """What the columns mean; the signs only where they occur."""
    rows = list(rows)
    said = "ratio = stress over limit; at 1 the limit is reached. chance: that this shot exceeds the limit."
    if any(row.ratio >= 1.0 for row in rows):
        said += " > marks a limit that is exceeded."
    if any(row.extrapolated for row in rows):
        said += " ~ marks a limit extrapolated beyond the range of its source."
    return said


def margin_cells(row: Margin, sources: list[str]) -> tuple[str, ...]:
    """The cells of one row."""
    sign = (">" if row.ratio >= 1.0 else " ") + ("~" if row.extrapolated else "")
    cited = f" [{sources.index(row.source) + 1}]" if row.source else ""
    return (
        sign.rstrip(),
        ratio(row.ratio),
        chance(row.probability),
        f"{row.item}: {row.stress}{cited}",
        number(row.quantity, row.stress_value, row.unit),
        number(row.quantity, row.limit, row.unit),
    )


def ratio(value: float) -> str:
    """A ratio, two decimals, or more where it is tiny."""
    return "<0.01" if 0 < value < 0.005 else f"{value:.2f}"


def chance(probability: float) -> str:
    """A probability in per cent; never shown as certain."""
    if math.isnan(probability):
        return "?"
    percent = 100.0 * probability
    if percent < 0.1:
        return "<0.1 %"
    return ">99.9 %" if percent > 99.9 else f"{percent:.1f} %" if percent < 10 else f"{percent:.0f} %"


def advice(ordered: Sequence[Margin]) -> list[str]:
    """What would lower the stress of every exceeded row, else of the worst."""
    pressing = [row for row in ordered if row.ratio >= 1.0] or list(ordered[:1])
    return [
        text.wrap(f"{row.lower_by.rstrip('.')}.", first=f"  To lower {row.item}: ", rest="    ")
        for row in pressing
        if row.lower_by
    ]


def not_judged(rows: Sequence[NotJudged]) -> str:
    """Items without a known limit."""
    if not rows:
        return ""
    lines = [text.heading("Not judged: no limit is known")]
    lines.extend(
        text.wrap(
            f"{row.stress}. {row.reason.rstrip('.')}. {row.next_step.rstrip('.')}.",
            first=f"  {row.item}: ",
            rest="    ",
        )
        for row in rows
    )
    return "\n".join(lines)


def reasons(shot: Shot) -> str:
    """Which entries the width of the output interval comes from."""
    if not shot.sensitivities:
        return ""
    told = [f"{path} {number('output_energy', abs(change), 'J')}" for path, change in shot.sensitivities[:5]]
    return (
        text.heading("What the output interval comes from")
        + "\n"
        + text.wrap(f"for one standard deviation each: {'; '.join(told)}.", first="  ")
    )


def findings(rows: Sequence[Finding]) -> str:
    """Findings, worst first."""
    return f"{text.heading('Findings')}\n{text.findings(worst_first(rows))}" if rows else ""


def cautions(rows: Sequence[Caution], told: frozenset[str] = frozenset()) -> str:
    """Each caution once; those in `told` have been said already."""
    fresh = {row.hazard: row for row in rows if row.hazard not in told}
    if not fresh:
        return ""
    lines = [text.heading("Cautions")]
    lines.extend(
        text.wrap(f"{row.words.rstrip('.')}. {row.do.rstrip('.')}.", first=f"  {row.hazard}: ", rest="    ")
        for row in fresh.values()
    )
    return "\n".join(lines)


def provenance(shot: Shot) -> str:
    """One line of what this was made from."""
    made = shot.provenance
    versions = ", ".join(f"{name} {version}" for name, version in made.versions.items())
    return "\n" + text.wrap(f"Values {made.values_fingerprint[:12]}; {versions}. --json gives sources and choices.")
