"""Templates, and the pieces of a sheet that are sent as HTML."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from functools import cache
from typing import Any

import numpy as np
from jinja2 import Environment, PackageLoader, StrictUndefined

from pulsewright import units
from pulsewright.drawing.bars import Bar, bars_scene
from pulsewright.drawing.curves import ENVELOPE_TITLES, SHOT_PLOTS, display
from pulsewright.drawing.fill_plots import FILL_PLOTS
from pulsewright.drawing.study_plots import STUDY_TITLES
from pulsewright.drawing.svg import svg
from pulsewright.errors import Finding, worst_first
from pulsewright.quantities import QUANTITIES, show
from pulsewright.records import Caution, Envelope, Margin, NotJudged, Shot, Value
from pulsewright.web.line import margin_grade, margin_words, stop_rows, threshold_words
from pulsewright.web.sheets import Sheet, general_cautions, sheet_of, sheet_of_hazard

MOST_SENSITIVITIES = 8


@cache
def environment() -> Environment:
    """The page's templates; every text is escaped, an unknown name is a fault."""
    found = Environment(
        loader=PackageLoader("pulsewright.web", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    found.filters["dot"] = dot
    found.globals["plot_title"] = plot_title
    return found


def plot_title(key: str) -> str:
    """Title of a plot of a shot, an envelope or a study."""
    if key in FILL_PLOTS:
        return FILL_PLOTS[key][0]
    return SHOT_PLOTS[key][0] if key in SHOT_PLOTS else {**ENVELOPE_TITLES, **STUDY_TITLES}[key]


def page(name: str, /, **fields: Any) -> str:
    """A filled template."""
    return environment().get_template(name).render(**fields)


def dot(words: str) -> str:
    """A sentence with one full stop at its end."""
    return words.rstrip(". ") + "."


def say(value: Value, key: str) -> str:
    """A value of a summary in words."""
    if value.value is None or not math.isfinite(value.value):
        words = _NEVER.get(key, "not known")
        return f"{words}: {value.reason}" if value.reason and key not in _SAID_BY_NAME else words
    return show(key, value.value) if key in QUANTITIES else units.format(value.value, value.unit)


#: What has no value because it does not come to pass, rather than because nobody knows.
_NEVER = {"spoilt_time": "never", "widened_time": "never", "energy_before_spoilt": "none", "waiting_time": "none"}
_SAID_BY_NAME = ("widened_time",)
#: An error of a number has no interval of its own; what only a coaxial lamp does is not told of others.
_WITHOUT_BAND = ("pump_standard_error",)
_WHERE_KNOWN = ("shock_arrival",)


def band(value: Value, key: str) -> str:
    """The 90 % interval of a value in words, in one unit; empty where there is none."""
    if value.low is None or value.high is None or key not in QUANTITIES or key in _WITHOUT_BAND:
        return ""
    unit, scale = display(key, np.array([value.low, value.high]))
    low, high = (units.format(end / scale, "-") for end in (value.low, value.high))
    return f"{low} to {high}{' ' if unit else ''}{unit}, {value.span}"


def numbers(shot: Shot, sheet: Sheet) -> str:
    """The sheet's numbers."""
    rows = [
        {
            "words": QUANTITIES[key].words if key in QUANTITIES else key.replace("_", " "),
            "text": say(shot.summary[key], key),
            "band": band(shot.summary[key], key),
        }
        for key in sheet.numbers
        if key in shot.summary and not (key in _WHERE_KNOWN and shot.summary[key].value is None)
    ]
    return page("part_numbers.html", rows=rows, outcome=shot.outcome, reason=shot.reason, sheet=sheet)


def budget(shot: Shot, sheet: Sheet) -> str:
    """The sheet's budget, and on the shot's own sheet what the output hangs on, as drawings."""
    figures: list[dict[str, str]] = []
    if sheet.budget == "chain":
        figures.append(_bars("chain", "Energy down the chain, lengths logarithmic", _chain(shot), log=True))
        if shot.sensitivities:
            title = "What the output hangs on: change for one standard deviation"
            figures.append(_bars("sensitivities", title, _sensitivities(shot)))
    elif sheet.budget in shot.budgets:
        figures.append(_bars("budget", _BUDGETS[sheet.budget], _budget(shot.budgets[sheet.budget], sheet.budget)))
    return page("part_figures.html", figures=figures)


_BUDGETS = {
    "discharge": "Where the stored energy went",
    "lamp column": "Where the energy of the lamp column went",
    "photons": "Where the absorbed photons went",
}
_CHAIN = {
    "stored_energy": "stored",
    "lamp_energy": "into the lamps",
    "radiated_energy": "radiated",
    "absorbed_pump_energy": "absorbed by the dye",
    "output_energy": "output",
}


def _bars(key: str, title: str, bars: Sequence[Bar], *, log: bool = False) -> dict[str, str]:
    return {"title": title, "drawing": svg(bars_scene(key, title, bars, log=log))}


def _chain(shot: Shot) -> list[Bar]:
    found = [(words, key, shot.summary[key]) for key, words in _CHAIN.items() if key in shot.summary]
    return [Bar(words, value.value or 0.0, say(value, key)) for words, key, value in found]


def _budget(rows: Mapping[str, float], name: str) -> list[Bar]:
    if name != "photons":
        return [Bar(words, float(size), show("stored_energy", float(size))) for words, size in rows.items()]
    whole = float(rows.get("absorbed", 0.0)) or 1.0
    return [Bar(words, float(size), _part(float(size) / whole)) for words, size in rows.items() if words != "absorbed"]


def _part(fraction: float) -> str:
    return "0 %" if fraction == 0.0 else ("below 0.001 %" if 0.0 < fraction < 1e-5 else f"{100 * fraction:.3g} %")


def _sensitivities(shot: Shot) -> list[Bar]:
    rows = shot.sensitivities[:MOST_SENSITIVITIES]
    return [
        Bar(path, change, f"{'+' if change > 0 else '−'}{show('output_energy', abs(change))}") for path, change in rows
    ]


def margin_rows(margins: Iterable[Margin]) -> list[dict[str, Any]]:
    """Margins as words, worst first; items that stand alike share a row."""
    rows: dict[tuple[str, ...], dict[str, Any]] = {}
    for row in sorted(margins, key=lambda one: (-one.ratio, one.item)):
        words = _margin(row)
        alike = tuple(str(words[key]) for key in ("stress", "ratio_text", "limit_text", "probability", "source"))
        if alike in rows:
            rows[alike]["item"] += f", {row.item}"
        else:
            rows[alike] = words
    return list(rows.values())


def _margin(row: Margin) -> dict[str, Any]:
    return {
        "item": row.item,
        "stress": row.stress,
        "stress_text": _stress(row.stress_value, row),
        "limit_text": _stress(row.limit, row),
        "ratio_text": f"{row.ratio:.2f}",
        "bar": round(120 * min(row.ratio, 1.5) / 1.5, 1),
        "probability": _chance(row.probability),
        "grade": margin_grade(row),
        "words": margin_words(row),
        "source": row.source,
        "lower_by": row.lower_by,
        "extrapolated": row.extrapolated,
    }


def _stress(value: float, row: Margin) -> str:
    if row.quantity in QUANTITIES:
        return show(row.quantity, value)
    shown = {"J/m^2": "J/cm^2", "W/m^2": "MW/cm^2", "A/m^2": "kA/cm^2"}.get(row.unit, "")
    return units.format(value, row.unit, display=shown)


def _chance(probability: float) -> str:
    if not math.isfinite(probability):
        return "not known"
    return "fewer than 0.1 %" if probability < 1e-3 else f"{100 * probability:.2g} %"


def heed(
    sheet: Sheet,
    places: Mapping[str, str],
    *,
    margins: Iterable[Margin] = (),
    unjudged: Iterable[NotJudged] = (),
    findings: Iterable[Finding] = (),
    cautions: Iterable[Caution] | None = None,
) -> str:
    """The third part of a sheet: what belongs to it, worst first. On the shot's own sheet: what is near a limit.

    Without `cautions`, before a shot is known, those that hold in general are told.
    """
    told = general_cautions(sheet.id) if cautions is None else cautions
    whole = sheet.id in ("shot", "findings", "envelope")
    near = [row for row in margins if sheet.id != "shot" or margin_grade(row) != "sound"]
    return page(
        "part_heed.html",
        sheet=sheet,
        margins=margin_rows(row for row in near if whole or sheet_of(row.item, places) == sheet.id),
        unjudged=[one for one in unjudged if sheet.id != "shot" and (whole or sheet_of(one.item, places) == sheet.id)],
        findings=worst_first(
            {f.path + f.message: f for f in findings if _told(f, sheet, places, whole=whole)}.values()
        ),
        cautions=[one for one in told if sheet_of_hazard(one.hazard) == sheet.id],
        waiting=cautions is None,
    )


def _told(finding: Finding, sheet: Sheet, places: Mapping[str, str], *, whole: bool) -> bool:
    if sheet.id == "shot":
        return finding.grade in ("error", "limit") or not sheet_of(finding.path, places)
    return whole or sheet_of(finding.path, places) == sheet.id


def stops(envelope: Envelope) -> str:
    """Everything that stops the charge voltage from going higher, lowest voltage first."""
    highest = show("highest_voltage_within_limits", envelope.highest_voltage_within_limits)
    rows, threshold = stop_rows(envelope.stops), threshold_words(envelope)
    return page("part_stops.html", stops=rows, envelope=envelope, threshold=threshold, highest=highest)
