"""Studies that stand on a sheet: cheap ones, asked again with the draft when it rests.

A study is one verb of the bench, its words as HTML, and its plots. One that is refused says why in its place.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from pulsewright.drawing.plot import Plot
from pulsewright.errors import PulsewrightError
from pulsewright.web import show, study_words
from pulsewright.web.desk import Desk
from pulsewright.web.sheets import Sheet
from pulsewright.web.wire import Block

Draft = Mapping[str, str]


@dataclass(frozen=True, slots=True)
class Study:
    """One study: its title, what it asks of a bench, its words and plots from what was answered."""

    title: str
    ask: Callable[[Any, Draft], Any]
    words: Callable[[Any], str]
    plots: Callable[[Any], tuple[Plot, ...]] = lambda _: ()
    #: Ids of the plots, so that a sheet can hold their places.
    places: tuple[str, ...] = ()


STUDIES: Mapping[str, Study] = {
    "triggers": Study(
        "Ways to start the discharge, for this head",
        lambda bench, draft: bench.triggers(overrides=draft),
        study_words.triggers,
    ),
}


def studies_reply(desk: Desk, draft: Draft, sheet: Sheet) -> bytes:
    """Every study of a sheet, in one reply."""
    block = Block()
    words: dict[str, str] = {}
    plots: list[dict[str, Any]] = []
    for key in sheet.studies:
        words[key], drawn = answered(desk, key, draft)
        plots += [plot.as_dict(block.place) for plot in drawn]
    return block.frame({"sha": desk.bench.text_sha256, "studies": words, "plots": plots})


def answered(desk: Desk, key: str, draft: Draft) -> tuple[str, tuple[Plot, ...]]:
    """Words and plots of one study; where it is refused, why."""
    study = STUDIES[key]
    try:
        found = study.ask(desk.bench, draft)
    except PulsewrightError as refused:
        return show.page("study_refused.html", findings=refused.findings), ()
    return study.words(found), study.plots(found)
