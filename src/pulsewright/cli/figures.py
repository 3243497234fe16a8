"""Figures that a verb writes: the curves of a shot or an envelope, one below the other."""

from __future__ import annotations

from collections.abc import Sequence

from pulsewright.cli.show_envelope import volts_text
from pulsewright.cli.show_shot import shown
from pulsewright.drawing.curves import envelope_plots, shot_plots
from pulsewright.drawing.layout import layout
from pulsewright.drawing.plot import Plot
from pulsewright.drawing.svg import stack, svg
from pulsewright.records import Envelope, Shot


def shot_figure(shot: Shot) -> str:
    """SVG of every curve of a shot, in the order of the chain."""
    charge = shot.summary.get("charge_voltage")
    at = "" if charge is None else f" at {shown('charge_voltage', charge)}"
    return _sheet("shot", f"{shot.start.get('bench', 'bench')}: one {shot.kind} shot{at}", shot_plots(shot))


def envelope_figure(envelope: Envelope) -> str:
    """SVG of output and margins against charge voltage."""
    volts = envelope.arrays["charge_voltage"].values
    title = f"{envelope.start.get('bench', 'bench')}: envelope from {volts_text(volts[0])} to {volts_text(volts[-1])}"
    return _sheet("envelope", title, envelope_plots(envelope))


def _sheet(key: str, title: str, plots: Sequence[Plot]) -> str:
    return svg(stack([layout(plot) for plot in plots], key=key, title=title), standalone=True)
