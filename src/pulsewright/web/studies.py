"""Studies that stand on a sheet: cheap ones, asked again with the draft when it rests.

A study is one verb of the bench, its words as HTML, and its plots. One that is refused says why in its place.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from typing import Any

from pulsewright.drawing.plot import Plot
from pulsewright.drawing.study_plots import (
    LAMP_KINDS,
    charge_plots,
    dye_spectra_plots,
    lamp_law_plots,
    pump_down_plots,
)
from pulsewright.errors import PulsewrightError
from pulsewright.web import dye_words, show, study_words
from pulsewright.web.desk import Desk
from pulsewright.web.sheets import Sheet
from pulsewright.web.wire import Block

Draft = Mapping[str, str]
PRESSURE_DROP = "pressure drop"


@dataclass(frozen=True, slots=True)
class Study:
    """One study: its title, what it asks of the desk, its words and plots from what was answered."""

    title: str
    ask: Callable[[Desk, Draft], Any]
    words: Callable[[Any], str]
    plots: Callable[[Any], tuple[Plot, ...]] = lambda _: ()
    #: Ids of the plots, so that a sheet can hold their places.
    places: tuple[str, ...] = ()
    #: Its words on paper, where they differ.
    on_paper: Callable[[Any], str] | None = None


def _charge(desk: Desk, draft: Draft) -> Any:
    """Charge and dump of a draft, with its shot where there is one."""
    try:
        shot = desk.shot(draft)
    except PulsewrightError:
        shot = None
    return desk.bench.charge_and_dump(overrides=draft, shot=shot)


def _lamp_law(desk: Desk, draft: Draft) -> Any:
    """The law of the lamps, and the current density that this shot reaches."""
    found = desk.bench.lamp_law(overrides=draft)
    try:
        return found, desk.shot(draft).summary["peak_current_density"].value
    except PulsewrightError:
        return found, None


def _dye_spectra(desk: Desk, draft: Draft) -> Any:
    """The dye's spectra, and the centre of the output of this shot."""
    found = desk.bench.dye_spectra(overrides=draft)
    try:
        return found, desk.shot(draft).summary["wavelength"].value
    except PulsewrightError:
        return found, None


def _pump_down(desk: Desk, draft: Draft) -> Any:
    """The pump-down of a draft; the name of its method where nothing is pumped."""
    method: str = desk.bench.draft(draft).machine.trigger.method
    return desk.bench.pump_down(overrides=draft) if method == PRESSURE_DROP else method


STUDIES: Mapping[str, Study] = {
    "charge": Study(
        "Charge, hold and dump",
        _charge,
        study_words.charge,
        charge_plots,
        ("charge_up", "charge_dump", "charge_bleeder"),
        lambda found: study_words.charge(found, whole=True),
    ),
    "lamp_law": Study(
        "The lamp in steady balance, beside the published law",
        _lamp_law,
        lambda found: study_words.lamp_law(*found),
        lambda found: lamp_law_plots(*found),
        tuple(f"{name}_{i}" for i in range(LAMP_KINDS) for name in ("lamp_law", "lamp_fraction")),
    ),
    "pulse_quality": Study(
        "The pulse against the acoustic clock",
        lambda desk, draft: desk.bench.pulse_quality(overrides=draft),
        dye_words.pulse_quality,
    ),
    "dye_spectra": Study(
        "What the dye takes up and gives, and where data end",
        _dye_spectra,
        lambda found: dye_words.dye_spectra(*found),
        lambda found: dye_spectra_plots(*found),
        ("dye_cross_sections", "dye_laser_band"),
    ),
    "pump_down": Study(
        "Pressure drop: pumped down until the lamps fire",
        _pump_down,
        study_words.pump_down,
        lambda found: () if isinstance(found, str) else pump_down_plots(found),
        ("pump_down", "breakdown_curve"),
    ),
    "triggers": Study(
        "Ways to start the discharge, for this head",
        lambda desk, draft: desk.bench.triggers(overrides=draft),
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


def answered(desk: Desk, key: str, draft: Draft, *, paper: bool = False) -> tuple[str, tuple[Plot, ...]]:
    """Words and plots of one study; where it is refused, why."""
    study = STUDIES[key]
    words = study.on_paper if paper and study.on_paper else study.words
    try:
        found = study.ask(desk, draft)
    except PulsewrightError as refused:
        return show.page("study_refused.html", findings=refused.findings), ()
    return words(found), study.plots(found)
