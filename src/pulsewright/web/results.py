"""The reply of long work that is done, by what was computed."""

from __future__ import annotations

from collections.abc import Sequence

from pulsewright.drawing.fill_plots import fill_plots
from pulsewright.drawing.plot import Plot
from pulsewright.records import Envelope, Shot
from pulsewright.web import fill_words
from pulsewright.web.desk import Desk
from pulsewright.web.jobs import Job
from pulsewright.web.maps import map_words
from pulsewright.web.reply import envelope_reply, shot_reply
from pulsewright.web.size import size_words
from pulsewright.web.wire import Block


def result_reply(desk: Desk, job: Job, view: str, now: float | None) -> bytes:
    """What the page is sent when long work has ended; `now` is the charge voltage of the slider, in V."""
    if isinstance(job.result, Envelope):
        return envelope_reply(desk, job.result, job.draft, view, now)
    if isinstance(job.result, Shot):
        return shot_reply(desk, job.result, job.draft, view, drawings=False)
    if job.kind == "size":
        return Block().frame({"sha": desk.bench.text_sha256, "sizing": size_words(job.result), "plots": []})
    if job.kind == "fill":
        return _work(desk, "fill", fill_words.fill(job.result), fill_plots(job.result))
    if job.kind == "size-dye":
        saved = {row["path"]: str(row["text"]) for row in desk.bench.entry_rows()}
        return _work(desk, "size_dye", fill_words.size_dye(job.result, saved))
    volts = desk.bench.draft(job.draft).machine.bank.charge_voltage
    return _work(desk, "map", map_words(job.result, 1.0 if now is None else now / volts))


def _work(desk: Desk, work: str, words: str, plots: Sequence[Plot] = ()) -> bytes:
    """Words and plots of work that stands on a sheet."""
    block = Block()
    drawn = [plot.as_dict(block.place) for plot in plots]
    return block.frame({"sha": desk.bench.text_sha256, "work": work, "words": words, "plots": drawn})
