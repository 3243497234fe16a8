"""The line that never leaves the screen, and how each part stands."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from pulsewright.drawing.bench import State
from pulsewright.drawing.colour import beam_colour
from pulsewright.errors import Finding
from pulsewright.quantities import show
from pulsewright.records import Envelope, Margin, NotJudged, Shot, Stop
from pulsewright.web.sheets import SHEETS, sheet_of

#: A margin this close to its limit, or this likely beyond it, is said to be near.
NEAR_RATIO, NEAR_PROBABILITY = 0.8, 0.05
_GRADES = ("error", "over", "near", "warning", "sound", "open")
_WORDS = {
    "error": "not computed",
    "over": "over a limit",
    "near": "near a limit",
    "warning": "see findings",
    "sound": "within limits",
    "open": "not judged",
}


def full_voltage(build: Any) -> float:
    """The voltage at which the bank is full: what the charger reaches, or the rating where that is lower."""
    machine = build.machine
    rating = machine.bank.voltage_rating
    reach: float = machine.charger.voltage_max
    return reach if rating is None else min(reach, rating)


def charge_line(build: Any, draft_build: Any) -> dict[str, Any]:
    """Charge voltage and stored energy, as numbers and words. Half the voltage is a quarter of the energy."""
    bank = draft_build.machine.bank
    full, volts = full_voltage(draft_build), bank.charge_voltage
    part = volts / full
    return {
        "voltage": volts,
        "voltage_text": show("charge_voltage", volts),
        "saved": build.machine.bank.charge_voltage,
        "full": full,
        "full_text": show("charge_voltage", full),
        "stored_text": show("stored_energy", 0.5 * bank.capacitance * volts**2),
        "full_energy_text": show("stored_energy", 0.5 * bank.capacitance * full**2),
        "voltage_percent": f"{100 * part:.0f} %",
        "energy_percent": f"{100 * part**2:.0f} %",
    }


def output_line(shot: Shot) -> dict[str, Any]:
    """Predicted output; the page puts the band's words together, since it may carry an older one."""
    energy, wavelength = shot.summary["output_energy"], shot.summary["wavelength"].value
    lased = shot.outcome == "lased"
    return {
        "energy": energy.value,
        "low": energy.low,
        "high": energy.high,
        "span": energy.span,
        "lased": lased,
        "outcome": shot.outcome,
        "reason": shot.reason,
        "wavelength_text": show("wavelength", wavelength) if lased else "",
        "pulse_text": show("pulse_width", shot.summary["pulse_width"].value) if lased else "",
        "colour": beam_colour(wavelength) if lased else None,
        "invisible": lased and beam_colour(wavelength) is None,
    }


def stop_line(envelope: Envelope) -> dict[str, Any]:
    """What stops you, and at which voltage, with the awkward cases in words."""
    stop, threshold = envelope.limiting_item, envelope.threshold_voltage
    top = float(envelope.arrays["charge_voltage"].values[-1])
    unjudged = len({row.item for row in envelope.not_judged})
    out: dict[str, Any] = {
        "threshold": threshold,
        "threshold_text": threshold_words(envelope),
        "highest": envelope.highest_voltage_within_limits,
        "item": stop.item if stop else "",
        "unjudged": f"{unjudged} not judged" if unjudged else "",
    }
    if stop is None:
        words = f"nothing judged, up to {show('charge_voltage', top)}" if envelope.items else envelope.highest_reason
        return {**out, "text": words, "detail": envelope.highest_reason if envelope.items else "", "voltage": None}
    before = threshold is not None and stop.voltage < threshold
    detail = "before it lases: " if before else ""
    return {
        **out,
        "text": f"{stop.item} at {show('charge_voltage', stop.voltage)}",
        "detail": f"{detail}{stop.stress}",
        "voltage": stop.voltage,
        "lower_by": stop.lower_by,
    }


def threshold_words(envelope: Envelope) -> str:
    """Where lasing starts, in words."""
    if envelope.threshold_voltage is None:
        return f"no threshold: {envelope.threshold_reason}" if envelope.threshold_reason else "no threshold found"
    return f"lases from {show('threshold_voltage', envelope.threshold_voltage)}"


def part_states(
    margins: Iterable[Margin], unjudged: Iterable[NotJudged], findings: Iterable[Finding], places: Mapping[str, str]
) -> dict[str, State]:
    """How each sheet's part stands: the worst of its margins and findings."""
    grades: dict[str, set[str]] = {key: set() for key in SHEETS}
    for row in margins:
        grades.setdefault(sheet_of(row.item, places), set()).add(margin_grade(row))
    for one in unjudged:
        grades.setdefault(sheet_of(one.item, places), set()).add("open")
    for finding in findings:
        grade = {"error": "error", "limit": "over", "warning": "warning"}.get(finding.grade)
        if grade is not None:
            grades.setdefault(sheet_of(finding.path, places), set()).add(grade)
    return {key: _worst(found) for key, found in grades.items() if key}


def margin_grade(row: Margin) -> str:
    """Grade of one margin."""
    if row.ratio >= 1.0:
        return "over"
    return "near" if row.ratio >= NEAR_RATIO or row.probability >= NEAR_PROBABILITY else "sound"


def margin_words(row: Margin) -> str:
    """Words of that grade, told of one item."""
    near = "near its limit" if row.ratio >= NEAR_RATIO else "may exceed it"
    return {"over": "over its limit", "near": near, "sound": "within its limit"}[margin_grade(row)]


def _worst(found: set[str]) -> State:
    grade = next((one for one in _GRADES if one in found), "open")
    return State(grade=grade, word=_WORDS[grade])


def stop_rows(stops: Iterable[Stop]) -> list[dict[str, str]]:
    """Every stop as words, lowest voltage first."""
    return [
        {
            "item": stop.item,
            "stress": stop.stress,
            "voltage": show("charge_voltage", stop.voltage),
            "source": stop.source,
            "lower_by": stop.lower_by,
        }
        for stop in stops
    ]
