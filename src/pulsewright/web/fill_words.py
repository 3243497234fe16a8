"""Words of the life of a fill and of sizing the dye, as pieces of HTML. Every unknown is said to be one."""

from __future__ import annotations

import json
import math
from collections.abc import Mapping
from typing import Any

import numpy as np

from pulsewright import units
from pulsewright.drawing.curves import display, words_of
from pulsewright.drawing.heat import Heat, heat_scene, heat_table
from pulsewright.drawing.svg import svg
from pulsewright.drawing.ticks import power_label
from pulsewright.quantities import QUANTITIES
from pulsewright.quantities import show as say
from pulsewright.records import Value
from pulsewright.web import show

#: Marks of a sizing map.
BEST, OVER, DARK = "★", "■", "○"
LEGEND = "★ best; ■ an optic over its limit; ○ does not lase; framed: within a twentieth of the best; ring: this build."
#: The flat region: this part of the best output and more.
FLAT = 0.95


def fill(found: Any) -> str:
    """When to change, litres and grams, what a filter does, what is not known."""
    changes = [
        {
            "fraction": f"{100 * row.fraction:.3g} %",
            "shots": row.reason or "not reached" if row.shots is None else shot_count(row.shots),
            "range": _ends(row.shots_low, row.shots_high),
            "dose": "" if row.dose is None else _dose(row.dose),
        }
        for row in found.changes
    ]
    figures = [
        {
            "words": row.words,
            "value": _value(row.quantity, row.value, row.unit),
            "band": show.band(Value(row.value, row.unit, row.low, row.high), row.quantity),
            "source": row.source,
        }
        for row in found.figures
    ]
    return show.page("study_fill.html", found=found, changes=changes, figures=figures, filter=_filter(found.filter))


def _ends(low: float | None, high: float | None) -> str:
    if low is None and high is None:
        return ""
    ends = ["never" if end is None else shot_count(end) for end in (low, high)]
    return ends[0] if ends[0] == ends[1] else f"{ends[0]} to {ends[1]}"


def shot_count(count: float) -> str:
    """A number of shots to three digits, in thousands."""
    return f"{float(f'{count:.3g}'):,.0f}".replace(",", "\u202f") if count >= 1.0 else "the first"


def _dose(dose: float) -> str:
    return units.format(dose, "J/m^3", display="kJ/L")


def _value(quantity: str, value: float | None, unit: str) -> str:
    if value is None:
        return "not known"
    return say(quantity, value) if quantity in QUANTITIES else units.format(value, unit)


def _filter(row: Any) -> dict[str, str] | None:
    """What an ultraviolet filter costs in pump light and output, and what it gives in life."""
    if row is None:
        return None
    taken, output, ultraviolet = row.absorbed_pump_energy, row.output_energy, row.ultraviolet_energy
    return {
        "name": row.name,
        "taken": f"{say('absorbed_pump_energy', taken[0])} without, {say('absorbed_pump_energy', taken[1])} with it",
        "output": f"{say('output_energy', output[0])} without, {say('output_energy', output[1])} with it",
        "ultraviolet": f"{say('absorbed_pump_energy', ultraviolet[0])} without, "
        f"{say('absorbed_pump_energy', ultraviolet[1])} with it",
        "life": row.life,
    }


def dye_heats(found: Any) -> tuple[Heat, ...]:
    """A map of output for each bore."""
    unit, scale = display("output_energy", found.output_energy)
    c_unit, c_scale = _round_scale("concentration", found.concentration)
    best = float(np.nanmax(found.output_energy)) if np.isfinite(found.output_energy).any() else 0.0
    out = []
    for b, bore in enumerate(np.atleast_1d(found.bore).tolist()):
        energy, ratio = found.output_energy[b].T, found.ratio[b].T  # rows: reflectivity, columns: concentration
        marks = [
            [_mark(float(energy[j, i]), float(ratio[j, i]), best) for i in range(energy.shape[1])]
            for j in range(energy.shape[0])
        ]
        out.append(
            Heat(
                id=f"bore_{b}",
                title=f"Output, bore {say('bore', bore)} ({unit})",
                x_words=f"{words_of('concentration')} ({c_unit})",
                y_words="reflectivity of the coupler",
                x=(found.concentration / c_scale).tolist(),
                y=np.asarray(found.reflectivity).tolist(),
                values=(energy / scale).tolist(),
                marks=marks,
                legend=LEGEND,
                here=_here(found, bore, c_scale),
                inside=(energy >= FLAT * best).tolist() if best > 0 else (),
            )
        )
    return tuple(out)


def _round_scale(key: str, values: Any) -> tuple[str, float]:
    """Display unit of an axis with a power of ten, where its numbers would be small."""
    unit, scale = display(key, values)
    power = math.floor(math.log10(float(np.median(values)) / scale))
    return (unit, scale) if -2 < power < 3 else (f"{power_label(power)} {unit}", scale * 10.0**power)


def _mark(energy: float, ratio: float, best: float) -> str:
    if not energy > 0.0:
        return DARK
    over = OVER if ratio >= 1.0 else ""
    return f"{BEST if energy == best else ''}{over}"


def _here(found: Any, bore: float, scale: float) -> tuple[float, float] | None:
    place = found.here
    return (place.concentration / scale, place.reflectivity) if abs(place.bore / bore - 1) < 1e-6 else None


def size_dye(found: Any, saved: Mapping[str, str]) -> str:
    """Maps over concentration and coupler for each bore, the best places, how flat, how firm.

    `saved`: texts of the entries of the build, for the button that lays the best over the draft.
    """
    lays = [("Lay the best over the draft", found.changes)]
    if found.best_within is not None:
        within = {
            "dye.concentration": say("concentration", found.best_within.concentration),
            "cell.bore": say("bore", found.best_within.bore),
            f"optics.{found.coupler}.reflectivity": f"{found.best_within.reflectivity:.3g}",
        }
        lays.insert(0, ("Lay the best within the limits over the draft", within))
    buttons = [
        (words, json.dumps([[path, text, saved.get(path, "")] for path, text in changes.items()]))
        for words, changes in lays
    ]
    maps = [
        {"id": heat.id, "title": heat.title, "words": "", "drawing": svg(heat_scene(heat)), "table": heat_table(heat)}
        for heat in dye_heats(found)
    ]
    chosen = next((i for i, bore in enumerate(found.bore) if abs(found.best.bore / bore - 1) < 1e-6), 0)
    places = [("this build", found.here), ("best", found.best)]
    if found.best_within is not None:
        places.append(("best within the limits of the optics", found.best_within))
    flat = [
        {
            "part": f"{100 * (1 - row.part):.0f} % of the best and more",
            "entry": row.entry,
            "range": _flat_range(row),
        }
        for row in found.flat
    ]
    return show.page(
        "study_size_dye.html",
        found=found,
        maps=maps,
        chosen=chosen,
        places=[_place(words, place) for words, place in places],
        bores=[_place(say("bore", place.bore), place) for place in found.best_of_bore],
        flat=flat,
        ends=[_end(row) for row in found.ends],
        threshold="not known" if found.threshold_voltage is None else say("threshold_voltage", found.threshold_voltage),
        charge=say("charge_voltage", found.charge_voltage),
        buttons=buttons,
    )


def _place(words: str, place: Any) -> dict[str, str]:
    return {
        "words": words,
        "concentration": say("concentration", place.concentration),
        "reflectivity": f"{place.reflectivity:.3g}",
        "bore": say("bore", place.bore),
        "output": say("output_energy", place.output_energy),
        "ratio": "not judged" if place.ratio is None or not np.isfinite(place.ratio) else f"{place.ratio:.2f}",
        "evenness": f"{place.evenness:.2f}",
    }


def _flat_range(row: Any) -> str:
    key = row.entry.rsplit(".", 1)[-1]
    low, high = (say(key, end) if key in QUANTITIES else f"{end:.3g}" for end in (row.low, row.high))
    below, above = (" or less" if row.low_open else ""), (" or more" if row.high_open else "")
    return f"{low}{below} to {high}{above}"


def _end(row: Any) -> dict[str, str]:
    """Where the optimum goes when an uncertain input stands at one end of its range."""
    return {
        "path": row.path,
        "end": row.end,
        "concentration": say("concentration", row.concentration),
        "reflectivity": f"{row.reflectivity:.3g}",
        "output": say("output_energy", row.output_energy),
        "kept": "none: nothing lases" if row.kept is None else f"{100 * row.kept:.0f} %",
    }
