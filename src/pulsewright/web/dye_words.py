"""Words of the dye's own studies: its spectra, and its pulse against the acoustic clock. Every unknown is said."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

import numpy as np

from pulsewright import units
from pulsewright.quantities import QUANTITIES
from pulsewright.quantities import show as say
from pulsewright.web import show


def dye_spectra(found: Any, laser: float | None) -> str:
    """Cross-sections at the laser line, where data end, how each part is found."""
    wavelength = laser if laser is not None else found.zero_line
    rows = [
        (words, _area(float(np.interp(wavelength, found.wavelength, getattr(found, name)))))
        for name, words in _CROSS_SECTIONS
    ]
    at = f"at the centre of the output, {wavelength * 1e9:.1f} nm" if laser is not None else "where both curves cross"
    zones = [f"{zone.low * 1e9:.0f} to {zone.high * 1e9:.0f} nm: {zone.words}" for zone in found.unknown]
    return show.page("study_dye_spectra.html", found=found, rows=rows, at=at, zones=zones)


_CROSS_SECTIONS = (
    ("absorption", "absorption of the ground state"),
    ("emission", "stimulated emission"),
    ("excited_state_absorption", "absorption of the excited state"),
    ("triplet_absorption", "absorption of the triplet"),
)


def _area(value: float) -> str:
    return "not known" if not math.isfinite(value) else f"{value / 1e-4:.3g} cm²"


def pulse_quality(found: Any) -> str:
    """Moments of the shot, what heat does to it, other liquids, what would help."""
    events = [
        {"time": "never" if row.time is None else say("time", row.time), "words": _with(row.words, row.reason)}
        for row in found.events
        if row.time is not None or row.key != "lamp_pressure"
    ]
    figures = [{"words": row.words, "text": _figure(row)} for row in found.figures]
    tables = (
        ("Other liquids, heated by this very shot", _rows(found.liquids), "liquid"),
        ("What would help", _rows(found.remedies), "change"),
    )
    limit = f"{found.limit:.3g}"
    return show.page(
        "study_pulse_quality.html", found=found, events=events, figures=figures, tables=tables, limit=limit
    )


def _with(words: str, reason: str) -> str:
    return f"{words} ({reason})" if reason else words


def _figure(row: Any) -> str:
    if row.value is None or not math.isfinite(row.value):
        return f"not known: {row.reason}" if row.value is None and row.reason else "not known"
    return say(row.quantity, row.value) if row.quantity in QUANTITIES else units.format(row.value, row.unit)


def _rows(rows: Iterable[Any]) -> list[dict[str, str]]:
    return [
        {
            "words": row.words,
            "note": row.note,
            "spoilt": "never" if row.spoilt_time is None else say("time", row.spoilt_time),
            "before": "none" if row.energy_before_spoilt is None else say("output_energy", row.energy_before_spoilt),
            "output": "as it is" if row.output_energy is None else say("output_energy", row.output_energy),
            "error": f"{row.error:.3g}",
            "transit": say("time", row.transit),
            "wait": "not known" if row.wait is None else say("waiting_time", row.wait),
        }
        for row in rows
    ]
