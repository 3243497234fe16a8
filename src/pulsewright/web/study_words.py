"""What the studies say, as pieces of HTML. Every unknown is said to be one."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from pulsewright import units
from pulsewright.quantities import QUANTITIES
from pulsewright.quantities import show as say
from pulsewright.records import Value
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
            "delay": with_range("trigger_delay", row.delay, row.delay_low, row.delay_high),
            "jitter": with_range("trigger_jitter", row.jitter, row.jitter_low, row.jitter_high),
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
    return show.page("study_triggers.html", rows=rows, self_repeating=chosen in SELF_REPEATING, caution=found.caution)


def pump_down(found: Any) -> str:
    """What a head that is pumped does: outcome, instant, jitter by cause, failures; or that nothing is pumped."""
    if isinstance(found, str):
        return show.page("study_pump_down.html", method=found, found=None, rows=[], parts=[], failures=[])
    low, high = found.jitter_range or (None, None)
    at = f"{say('charge_voltage', found.firing_voltage)}, {say('fill_pressure', found.firing_pressure)}"
    rows = (
        ("fires at", "it does not fire" if found.firing_voltage is None else at),
        ("delay from the start of pumping", say("trigger_delay", found.delay)),
        ("jitter", with_range("trigger_jitter", found.jitter, low, high)),
        ("shortest time from shot to shot", say("repeat_period", found.repeat_period)),
        ("the breakdown curve rests on", found.curve_words),
    )
    parts = sorted(found.jitter_parts.items(), key=lambda row: -row[1])
    return show.page(
        "study_pump_down.html",
        method="",
        found=found,
        rows=rows,
        parts=[(cause, say("trigger_jitter", size)) for cause, size in parts],
        failures=[(row, f"{100 * row.chance:.2g} %") for row in found.failures],
    )


def lamp_law(found: Any, current_density: float | None) -> str:
    """Resistivity of each kind of lamp at the current density of the shot, beside law and Spitzer."""
    rows = [] if current_density is None else [_operating(found, lamp, current_density) for lamp in found.curves]
    density = "" if current_density is None else say("peak_current_density", current_density)
    return show.page("study_lamp_law.html", found=found, rows=rows, density=density)


def _operating(found: Any, lamp: Any, current_density: float) -> dict[str, str]:
    """One kind of lamp where the shot stands, read off its curves."""

    def at(name: str) -> float:
        values = np.interp(np.log(current_density), np.log(found.current_density), getattr(lamp, name))
        return float(values)

    law, plasma = at("law"), at("resistivity")
    against = f"{100 * (plasma / law - 1):+.0f} %" if math.isfinite(law) else "no law is published for this gas"
    return {
        "lamps": ", ".join(lamp.lamps),
        "kind": f"{lamp.gas}, {say('bore', lamp.bore)}, {say('fill_pressure', lamp.fill_pressure)}",
        "plasma": with_range("resistivity", plasma, at("resistivity_low"), at("resistivity_high")),
        "law": say("resistivity", law) if math.isfinite(law) else "not known",
        "spitzer": say("resistivity", at("spitzer")),
        "against": against,
        "temperature": say("peak_temperature", at("temperature")),
        "radiated": f"{100 * at('radiated_fraction'):.0f} %, {100 * at('band_fraction'):.0f} % from 0.2 to 1 um",
    }


def charge(found: Any, *, whole: bool = False) -> str:
    """Charge, hold and dump: what happens when, every figure, what rules ask, and the lists. `whole`: lists open."""
    begins = {phase.name: phase.start for phase in found.phases}
    begun = begins.get("dump", found.phases[-1].start)
    starts = {"charge": 0.0, "hold": begins.get("hold", 0.0), "dump": begun, "bleeder": begun}
    events = [
        {
            "way": event.way,
            "time": say("time", event.time - starts[event.way]),
            "voltage": say("voltage", event.voltage),
            "energy": say("energy", event.energy),
            "words": event.words,
        }
        for event in sorted(found.events, key=lambda one: (_WAYS.index(one.way), one.time))
    ]
    groups: dict[str, list[dict[str, str]]] = {}
    for row in found.figures:
        groups.setdefault(row.group, []).append(_figure(row))
    bodies = [_body(one) for one in found.ratings]
    return show.page("study_charge.html", found=found, events=events, groups=groups, bodies=bodies, whole=whole)


_WAYS = ("charge", "hold", "dump", "bleeder")


def _figure(row: Any) -> dict[str, str]:
    """One figure: its value with range and limit, or that it is not known and what to enter."""
    return {
        "words": row.words,
        "value": _value(row.quantity, row.value, row.unit),
        "band": show.band(Value(row.value, row.unit, row.low, row.high), row.quantity),
        "limit": "" if row.limit is None else _value(row.quantity, row.limit, row.unit),
        "source": row.source,
        "next_step": row.next_step,
    }


def _value(quantity: str, value: float | None, unit: str) -> str:
    if value is None or not math.isfinite(value):
        return "not known" if value is None else "never"
    return say(quantity, value) if quantity in QUANTITIES else units.format(value, unit)


def _body(one: Any) -> dict[str, str]:
    """One body that would take the energy of a dump."""
    cooling = "not known" if one.cooling_time is None else say("time", one.cooling_time)
    return {
        "words": one.words,
        "rating": say("energy", one.energy_rating),
        "needed": f"{one.needed}",
        "rise": say("temperature_rise", one.temperature_rise),
        "cooling": cooling,
        "source": one.source,
    }
