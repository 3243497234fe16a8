"""The pulse-quality study in words and tables."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pulsewright.cli import text
from pulsewright.cli.text import Column
from pulsewright.quantities import show

if TYPE_CHECKING:
    from pulsewright.workbench.maps import PulseQuality, QualityRow

_COLUMNS = (
    Column("", flexible=True),
    Column("sound", "right"),
    Column("spoilt", "right"),
    Column("widened", "right"),
    Column("waves", "right"),
    Column("output", "right"),
    Column("wait", "right"),
)


def page(found: PulseQuality) -> str:
    """Timeline, figures, other liquids, what was tried, and what is left out."""
    volts = show("charge_voltage", found.charge_voltage)
    parts = [text.strong(f"{found.bench} at {volts}: one shot against the acoustic clock")]
    limit = (
        f"Spoilt: more than {found.limit:.3g} waves rms in one pass at {show('wavelength', found.wavelength)}, for a "
        'beam that has to be as fine as diffraction lets it. A multimode beam notices only from "widened" on: there '
        "heat bends rays by more than half its divergence."
    )
    parts += [text.wrap(limit, first="  "), text.heading("Timeline"), _timeline(found)]
    parts += [text.heading("Figures"), _figures(found)]
    parts += [text.heading("Other liquids, heated by this very shot"), _table(found.liquids)]
    parts += [text.heading("The build with one thing changed"), _table(found.remedies)]
    legend = "sound: from wall to axis; waves: rms at the end of the output; wait: until the dye is even again."
    parts += ["", text.wrap(legend)]
    parts += ["", *(text.finding(row) for row in found.findings)] if found.findings else []
    parts += [text.heading("Not modelled"), *(text.wrap(words, first="- ") for words in found.not_modelled)]
    return "\n".join(parts)


def _timeline(found: PulseQuality) -> str:
    rows = [
        (show("time", row.time) if row.time is not None else "-", _words(row.words, row.reason)) for row in found.events
    ]
    return text.table((Column("time", "right"), Column("", flexible=True)), rows)


def _figures(found: PulseQuality) -> str:
    rows = [
        (row.words, show(row.quantity, row.value) if row.value is not None else f"- ({row.reason})")
        for row in found.figures
    ]
    return text.table((Column("", flexible=True), Column("")), rows).lstrip("\n")


def _words(words: str, reason: str) -> str:
    return f"{words}: {reason}" if reason else words


def _table(rows: tuple[QualityRow, ...]) -> str:
    return text.table(
        _COLUMNS,
        [
            (
                _words(row.words, row.note),
                show("time", row.transit),
                _moment(row.spoilt_time),
                _moment(row.widened_time),
                show("wavefront_error", row.error),
                "same" if row.output_energy is None else show("output_energy", row.output_energy),
                "-" if row.wait is None else show("waiting_time", row.wait),
            )
            for row in rows
        ],
    )


def _moment(time: float | None, none: str = "never") -> str:
    return none if time is None else show("time", time)
