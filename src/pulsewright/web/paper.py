"""The laser on paper: what the page shows, in one printable document drawn by the SVG writer."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import Any

from pulsewright.drawing.curves import envelope_plots, shot_plots
from pulsewright.drawing.layout import layout
from pulsewright.drawing.plot import Plot
from pulsewright.drawing.svg import svg, table_html
from pulsewright.errors import Finding, PulsewrightError, worst_first
from pulsewright.records import Envelope, Shot
from pulsewright.web import reply, show
from pulsewright.web.address import Address
from pulsewright.web.desk import Desk
from pulsewright.web.entries import all_rows
from pulsewright.web.line import charge_line, output_line, stop_line, stop_rows
from pulsewright.web.pictures import on_paper
from pulsewright.web.shapes import bench_shape
from pulsewright.web.sheets import SHEETS
from pulsewright.web.studies import STUDIES, answered

#: Longest wait for the envelope before the paper is printed without it, in s.
PATIENCE = 60.0


def paper_fields(desk: Desk, draft: Mapping[str, str]) -> dict[str, Any]:
    """Everything the printed document says. What cannot be computed is said, and the rest still prints."""
    build = desk.bench.draft(draft)
    shot, refused = _shot(desk, draft)
    envelope = _envelope(desk, draft) if shot is not None else None
    shape = bench_shape(build, shot)
    with_rays = bench_shape(build, shot, desk.rays(draft))
    beam = (output_line(shot)["colour"] if shot else None) or "none"
    findings = [*desk.bench.check(), *(shot.findings if shot else refused)]
    rows = all_rows(desk.bench.entry_rows(), build, draft, ())
    return {
        "name": build.name,
        "words": build.words,
        "file": desk.bench.file.name,
        "fingerprint": shot.provenance.full_fingerprint if shot else build.values_fingerprint,
        "versions": dict(shot.provenance.versions) if shot else {},
        "draft": [row for row in rows.values() if row.changed],
        "rows": [row for row in rows.values() if not row.absent and row.kind != "text"],
        "charge": charge_line(desk.bench.build, build),
        "strip": reply.strip(shape, reply.states_of(desk, shot), Address(), beam=beam),
        "drawings": {name: reply.drawing(name, with_rays, beam) for name in reply.DRAWINGS},
        "numbers": show.numbers(shot, SHEETS["shot"]) if shot else "",
        "budget": show.budget(shot, SHEETS["shot"]) if shot else "",
        "plots": _drawn([*(shot_plots(shot) if shot else ()), *(envelope_plots(envelope) if envelope else ())]),
        "pictures": on_paper(shot, build.machine) if shot else [],
        "studies": [_study(desk, key, draft) for key in STUDIES],
        "margins": show.margin_rows(shot.margins) if shot else [],
        "unjudged": list(shot.not_judged) if shot else [],
        "findings": worst_first({f.path + f.message: f for f in findings}.values()),
        "cautions": list(shot.cautions) if shot else [],
        "stop": stop_line(envelope) if envelope else None,
        "stops": stop_rows(envelope.stops) if envelope else [],
    }


def _shot(desk: Desk, draft: Mapping[str, str]) -> tuple[Shot | None, tuple[Finding, ...]]:
    try:
        job = desk.start("interval", draft)
        job.ended.wait(PATIENCE)
        return (job.result, ()) if isinstance(job.result, Shot) else (desk.shot(draft), ())
    except PulsewrightError as refused:
        return None, refused.findings


def _envelope(desk: Desk, draft: Mapping[str, str]) -> Envelope | None:
    job = desk.start("envelope", draft)
    job.ended.wait(PATIENCE)
    return job.result if isinstance(job.result, Envelope) else None


def _study(desk: Desk, key: str, draft: Mapping[str, str]) -> dict[str, Any]:
    """One study: its title, words and plots."""
    words, plots = answered(desk, key, draft, paper=True)
    return {"title": STUDIES[key].title, "words": words, "plots": _drawn(plots)}


def _drawn(plots: Iterable[Plot]) -> list[dict[str, str]]:
    return [
        {
            "title": plot.title,
            "drawing": svg(layout(plot, 500, 230), prefix=f"paper-{plot.id}"),
            "table": table_html(plot, most=12),
        }
        for plot in plots
    ]
