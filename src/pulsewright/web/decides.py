"""The inputs that make most of the spread of the output: named on the shot's sheet, and in Heed where they are set."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pulsewright.quantities import show as say
from pulsewright.records import Shot
from pulsewright.web import show
from pulsewright.web.sheets import Sheet, sheet_of

_WHOLE = ("shot", "findings")


def decides(shot: Shot, sheet: Sheet, places: Mapping[str, str]) -> dict[str, str] | None:
    """The pieces of a sheet; None where the shot was computed without an interval."""
    if not shot.dominant:
        return None
    rows = [{"path": path, "share": f"{100 * part:.0f} %", "next_step": _next(path)} for path, part in shot.dominant]
    mine = [row for row in rows if sheet.id in _WHOLE or sheet_of(row["path"], places) == sheet.id]
    told = rows if sheet.id == "shot" else []
    return {
        "see": show.page("part_decides.html", rows=told, of=shot.dominant_of, sampled=_sampled(shot)),
        "heed": show.page("part_decides_heed.html", rows=mine, of=shot.dominant_of),
    }


def _next(path: str) -> str:
    """How the range of an input gets narrower."""
    if path.startswith("reference."):
        return "Measure it on this laser, or look for a better source; docs/reference-data.md says what it rests on"
    return "Measure it and enter the value with its spread and basis measured"


def _sampled(shot: Shot) -> str:
    """What the sampling found, where there was one."""
    found: Any = shot.sampling
    if found is None:
        return ""
    energy = shot.summary["output_energy"]
    ends = "" if energy.low is None else f", 90 % between {say('output_energy', energy.low)} and "
    ends += "" if energy.high is None else say("output_energy", energy.high)
    return f"{found.count} shots drawn from all ranges, seed {found.seed}{ends}; {100 * found.lasing_share:.0f} % lase"
