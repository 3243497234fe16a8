"""The stress table: every judged and unjudged stress of the pulse power, worst first, as one table."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from pulsewright.records import NotJudged, Shot
from pulsewright.web import show
from pulsewright.web.sheets import Sheet, sheet_of


def stress_table(shot: Shot, sheet: Sheet, places: Mapping[str, str]) -> str:
    """The table of one sheet; empty where the sheet has none."""
    if not sheet.stresses:
        return ""
    judged = [row for row in shot.margins if sheet_of(row.item, places) in sheet.stresses]
    unjudged = [one for one in shot.not_judged if sheet_of(one.item, places) in sheet.stresses]
    return show.page("part_stress.html", rows=show.margin_rows(judged), unjudged=_alike(unjudged))


def _alike(unjudged: list[NotJudged]) -> list[dict[str, Any]]:
    """What could not be judged; items that stand alike share a row."""
    rows: dict[tuple[str, str], dict[str, Any]] = {}
    for one in unjudged:
        key = (one.stress, one.reason)
        if key in rows:
            rows[key]["item"] += f", {one.item}"
        else:
            rows[key] = one.as_dict()
    return list(rows.values())
