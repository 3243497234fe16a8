"""A shot in words and tables."""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence
from dataclasses import replace

from pulsewright import quantities, units
from pulsewright.cli import text
from pulsewright.cli.text import Column
from pulsewright.errors import GRADES, Finding, worst_first
from pulsewright.records import SAMPLED, Caution, Margin, NotJudged, Sampling, Shot, Value

#: Summary keys in the order of the chain; a key that stands nowhere here comes under the last heading.
GROUPS: tuple[tuple[str, tuple[str, ...]], ...] = (
    (
        "Charge and discharge",
        (
            "charge_voltage",
            "stored_energy",
            "charge_time",
            "firing_voltage",
            "firing_pressure",
            "trigger_delay",
            "trigger_jitter",
            "peak_current",
            "peak_current_density",
            "reversal",
            "voltage_reversal",
            "charge_per_shot",
            "action_integral",
            "steepest_rise",
            "capacitor_life",
        ),
    ),
    (
        "Lamps",
        (
            "lamp_energy",
            "explosion_fraction",
            "explosion_at_third_maximum",
            "explosion_at_three_time_scales",
            "explosion_at_time_scale",
            "wall_loading",
            "lamp_life",
        ),
    ),
    (
        "Light and pump",
        (
            "peak_temperature",
            "radiated_energy",
            "radiated_fraction",
            "band_fraction",
            "absorbed_pump_energy",
            "pump_standard_error",
        ),
    ),
    ("Output", ("output_energy", "pulse_width", "peak_power", "wavelength", "efficiency", "locked_fraction")),
    ("Beam", ("divergence_low", "divergence_high")),
    (
        "Heat and sound in the dye",
        (
            "widened_time",
            "spoilt_time",
            "energy_before_spoilt",
            "axis_reached",
            "shock_arrival",
            "waiting_time",
            "flush_volume",
        ),
    ),
)
OTHERS = "Also"
#: Keys that say more in other words than their own; two blanks first: a line that belongs to the one above.
WORDS = {
    "firing_pressure": "lamp pressure at firing",
    "reversal": "reversal of the current",
    "voltage_reversal": "reversal of the voltage",
    "explosion_fraction": "part of explosion energy",
    "explosion_at_third_maximum": "  by t at a third of the peak",
    "explosion_at_three_time_scales": "  by t = 3 sqrt(L C)",
    "explosion_at_time_scale": "  by t = sqrt(L C)",
    "radiated_fraction": "radiated part of lamp energy",
    "band_fraction": "the same within 0.2 to 1 um",
    "divergence_low": "divergence, at least",
    "divergence_high": "divergence, at most",
    "pump_standard_error": "  its error by traced rays",
    "locked_fraction": "part in the injected line",
    "widened_time": "heat widens the beam from",
    "spoilt_time": "wavefront within limit until",
    "energy_before_spoilt": "  output up to then",
    "axis_reached": "sound reaches the axis at",
    "shock_arrival": "lamp pressure in the dye at",
    "waiting_time": "wait before the next shot",
    "flush_volume": "  or dye to flush through",
}
#: What stands for the number of a moment that does not come, or a time that nobody has to wait.
ABSENT = {"widened_time": "never", "spoilt_time": "never", "waiting_time": "none"}
#: What a heading needs said below it.
EXPLAINED = {
    "Heat and sound in the dye": (
        "The limit of the wavefront, 1/14 wave rms in a pass, is that of a diffraction-limited beam. A multimode beam "
        "loses nothing there; it grows wider only from where heat bends its rays beyond the divergence at most."
    )
}
#: Sources of margins below this ratio are left to --json, unless there are few rows.
CITED, FEW = 0.3, 12
#: What is counted, where the number has no unit.
COUNTED = {"capacitor_life": "shots", "lamp_life": "shots"}


def page(shot: Shot) -> str:
    """The whole shot: outcome, summary, margins, what is not judged, cautions, findings, and the verdict last."""
    parts = [
        head(shot),
        summary(shot),
        margins(shot.margins),
        not_judged(shot.not_judged),
        reasons(shot),
        findings(beside_margins(shot)),
        cautions(shot.cautions),
        provenance(shot),
        verdict(shot),
    ]
    return "\n".join(part for part in parts if part)


def head(shot: Shot) -> str:
    """Name, charge voltage and outcome."""
    name = str(shot.start.get("bench", "bench"))
    charge = shot.summary.get("charge_voltage")
    at = "" if charge is None else f" at {shown('charge_voltage', charge)}"
    reason = f" ({shot.reason.rstrip('.')})" if shot.reason else ""
    lines = [text.strong(f"{name}: one {shot.kind} shot{at}"), text.wrap(f"Outcome: {shot.outcome}{reason}.")]
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
    """The key as words; most stand as JSON, Python and the build file spell them."""
    return WORDS.get(key, key.replace("_", " "))


def summary(shot: Shot) -> str:
    """The summary, grouped in the order of the chain, numbers and units each in their column."""
    placed = {key for _, keys in GROUPS for key in keys}
    others = tuple(key for key in shot.summary if key not in placed)
    groups = [(title, [key for key in keys if key in shot.summary]) for title, keys in (*GROUPS, (OTHERS, others))]
    rows = {
        key: summary_row(key, shot.summary[key], (shot.reason, f"it {shot.outcome}"))
        for _, keys in groups
        for key in keys
    }
    labels = max((len(row[0]) for row in rows.values()), default=0)
    numbers = max((len(row[1]) for row in rows.values()), default=0)
    lines: list[str] = []
    for title, keys in groups:
        if keys:
            lines.append(text.heading(title))
            lines.extend(summary_line(rows[key], min(labels, 40), numbers) for key in keys)
        if title in EXPLAINED and any(shot.summary[key].value is not None for key in keys):
            lines.append(text.wrap(EXPLAINED[title], first="  "))
    return "\n".join(lines)


def summary_row(key: str, value: Value, told: tuple[str, ...]) -> tuple[str, str, str, str]:
    """Words, number, unit, and the interval or the reason; a reason `told` already is not said again."""
    if value.value is None and value.reason and value.reason in told:
        return words(key), "none", "", ""
    amount, unit = (ABSENT.get(key, "not known"), "") if value.value is None else text.split_unit(shown(key, value))
    if value.value is None:
        return words(key), amount, unit, value.reason
    unit = unit or COUNTED.get(key, "")
    ends = [] if value.low is None or value.high is None else [value.low, value.high]
    low, *high = dict.fromkeys(number(key, end, value.unit) for end in ends) or [""]
    span = "sampled" if value.span == SAMPLED else value.span
    return words(key), amount, unit, f"{span}: {text.span(low, high[0])}" if high else ""


def summary_line(row: tuple[str, str, str, str], labels: int, numbers: int) -> str:
    """One aligned line of the summary; a long label or reason is carried over."""
    label, amount, unit, note = row
    if not unit and note and amount in ("not known", *ABSENT.values()):
        return text.wrap(f"{amount}: {note}", first=f"  {label:<{labels}}  ", rest=" " * (labels + 4))
    line = f"  {label:<{labels}}  {amount:>{numbers}} {unit:<7} {note}".rstrip()
    if len(line) <= text.width():
        return line
    rest = f"{'':{labels + 4}}{amount:>{numbers}} {unit:<7} {note}".rstrip()
    return text.wrap(label, first="  ", rest="    ") + "\n" + rest


def margins(rows: Sequence[Margin]) -> str:
    """The margin table, worst first, equal rows of several items together, with the sources below it."""
    if not rows:
        return ""
    groups = text.gathered(sorted(rows, key=lambda row: -row.ratio), alike)
    cited = [group[0] for group in groups if group[0].source and (group[0].ratio >= CITED or len(groups) <= FEW)]
    sources = list(dict.fromkeys(row.source for row in cited))
    columns = (
        Column("", "left"),
        Column("ratio", "right"),
        Column("chance", "right"),
        Column("item: what is judged", flexible=True),
        Column("stress", "right"),
        Column("limit", "right"),
    )
    table = text.table(columns, [margin_cells(group, sources) for group in groups], indent="")
    lines = [text.heading("Margins, worst first"), table, "", text.wrap(legend(rows))]
    if len(cited) < len(groups):
        lines.append(text.wrap(f"Sources of limits used up to less than {CITED:g}: --json."))
    lines.extend(text.wrap(source, first=f"  [{i + 1}] ") for i, source in enumerate(sources))
    return "\n".join(lines + advice([row for group in groups for row in group]))


def alike(row: Margin) -> tuple[str, ...]:
    """What rows must share, as shown, to stand in one line."""
    stress, limit = number(row.quantity, row.stress_value, row.unit), number(row.quantity, row.limit, row.unit)
    return (row.stress, stress, limit, ratio(row.ratio), chance(row.probability), row.source)


def named(items: Iterable[str]) -> str:
    """Items with the same to say of them."""
    return ", ".join(dict.fromkeys(items))


def legend(rows: Iterable[Margin]) -> str:
    """What the columns mean; the signs only where they occur."""
    rows = list(rows)
    said = "ratio = stress over limit; at 1 the limit is reached. chance: that this shot exceeds the limit."
    if any(row.ratio >= 1.0 for row in rows):
        said += " > marks a limit that is exceeded."
    if any(row.extrapolated for row in rows):
        said += " ~ marks a limit extrapolated beyond the range of its source."
    return said


def margin_cells(group: Sequence[Margin], sources: list[str]) -> tuple[str, ...]:
    """The cells of one line."""
    row = group[0]
    sign = (">" if row.ratio >= 1.0 else " ") + ("~" if row.extrapolated else "")
    cited = f" [{sources.index(row.source) + 1}]" if row.source in sources else ""
    return (
        sign.rstrip(),
        ratio(row.ratio),
        chance(row.probability),
        f"{named(other.item for other in group)}: {row.stress}{cited}",
        number(row.quantity, row.stress_value, row.unit),
        number(row.quantity, row.limit, row.unit),
    )


def ratio(value: float) -> str:
    """A ratio with two decimals; none where it is large."""
    if value >= 100:
        return f"{value:.0f}" if value < 1e4 else f"{value:.1e}"
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
    groups = text.gathered((row for row in pressing if row.lower_by), lambda row: row.lower_by)
    return [
        text.wrap(
            f"To lower {named(row.item for row in group)}: {text.sentences(group[0].lower_by)}", first="  ", rest="    "
        )
        for group in groups
    ]


def not_judged(rows: Sequence[NotJudged]) -> str:
    """Items without a known limit."""
    if not rows:
        return ""
    lines = [text.heading("Not judged: no limit is known")]
    for group in text.gathered(rows, lambda row: (row.stress, row.reason, row.next_step)):
        row = group[0]
        said = "" if row.reason.rstrip(".") == "no limit is known" else row.reason
        told = f"{named(other.item for other in group)}, {row.stress}: {text.sentences(said, row.next_step)}"
        lines.append(text.wrap(told, first="  ", rest="    "))
    return "\n".join(lines)


def reasons(shot: Shot) -> str:
    """Which entries the width of the output interval comes from, and how the interval was found."""
    parts = [dominant(shot.dominant, shot.dominant_of)]
    if shot.sensitivities:
        told = [f"{path} {number('output_energy', abs(change), 'J')}" for path, change in shot.sensitivities[:5]]
        parts.append(text.wrap(f"for one standard deviation each: {'; '.join(told)}.", first="  "))
    if shot.sampling is not None:
        parts.append(text.wrap(sampled(shot.sampling), first="  "))
    told = [part for part in parts if part]
    return "\n".join([text.heading("What the output interval comes from"), *told]) if told else ""


def dominant(rows: Sequence[tuple[str, float]], what: str) -> str:
    """The inputs that make most of the variance, with their shares."""
    if not rows:
        return ""
    told = ", ".join(f"{path} {100 * share:.0f} %" for path, share in rows)
    return text.wrap(f"most of the variance of the {what}: {told}.", first="  ")


def sampled(found: Sampling) -> str:
    """How the shot was sampled, and what linear sensitivities give instead."""
    said = f"{found.count} samples ({found.method}, seed {found.seed}, {found.resolution})"
    said += f": {100 * found.lasing_share:.0f} % lase"
    if found.failed:
        said += f", {found.failed} could not be computed"
    if found.linear is not None:
        low, high = (number("output_energy", end, "J") for end in found.linear)
        said += f". By linear sensitivities the output would lie at {text.span(low, high)}"
    return f"{said}. What is marked as sampled holds 90 % of the samples."


def beside_margins(shot: Shot) -> list[Finding]:
    """The findings without those that only say again that a margin is used up."""
    said = [(row.item, row.stress) for row in shot.margins if row.ratio >= 1.0]
    return [
        row
        for row in shot.findings
        if not (
            row.grade == "limit" and any(row.path == item and row.message.startswith(words) for item, words in said)
        )
    ]


def persons_first(rows: Iterable[Finding]) -> list[Finding]:
    """Worst first; among the warnings, what can hurt somebody stands before what spoils the shot."""
    hurts = ("room", "bank", "dump", "charger", "meter", "loop", "switch", "lamps", "trigger")

    def rank(row: Finding) -> tuple[int, bool]:
        return GRADES.index(row.grade), row.grade == "warning" and row.path.split(".")[0] not in hurts

    return sorted(worst_first(rows), key=rank)


def findings(rows: Sequence[Finding], title: str = "Findings") -> str:
    """Findings, worst first; the same words for several items stand once."""
    if not rows:
        return ""
    groups = text.gathered(
        persons_first(rows), lambda row: (row.grade, row.message, row.allowed, row.next_step, row.file, row.line)
    )
    told = [replace(group[0], path=named(row.path for row in group)) for group in groups]
    return f"{text.heading(title)}\n{text.findings(told)}"


def cautions(rows: Sequence[Caution], told: frozenset[str] = frozenset()) -> str:
    """Each caution once; those in `told` have been said already."""
    fresh = {row.hazard: row for row in rows if row.hazard not in told}
    if not fresh:
        return ""
    lines = [text.heading("Cautions")]
    lines.extend(
        text.wrap(text.sentences(row.words, row.do), first=f"  {row.hazard}: ", rest="    ") for row in fresh.values()
    )
    return "\n".join(lines)


def provenance(shot: Shot) -> str:
    """One line of what this was made from."""
    made = shot.provenance
    versions = ", ".join(f"{name} {version}" for name, version in made.versions.items())
    return "\n" + text.wrap(f"Values {made.values_fingerprint[:12]}; {versions}. --json gives sources and choices.")


def verdict(shot: Shot) -> str:
    """The last line: output, and how many limits are exceeded."""
    output = shot.summary.get("output_energy")
    told = [] if output is None or output.value is None else [f"output {shown('output_energy', output)}"]
    over = sum(row.ratio >= 1.0 for row in shot.margins)
    judged = f"{over or 'none'} of {text.counted(len(shot.margins), 'judged limit')} exceeded"
    unjudged = f"{len(shot.not_judged)} not judged" if shot.not_judged else ""
    worst = f"worst ratio {ratio(max(row.ratio for row in shot.margins))}" if shot.margins else ""
    return "\n" + text.strong(text.wrap(f"{'; '.join(part for part in [*told, judged, worst, unjudged] if part)}."))
