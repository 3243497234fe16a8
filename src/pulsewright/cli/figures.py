"""Figures that a verb writes: the curves of a shot or an envelope, in two columns under a title."""

from __future__ import annotations

from collections.abc import Sequence

from pulsewright.cli.show_envelope import volts_text
from pulsewright.cli.show_shot import shown
from pulsewright.drawing.curves import envelope_plots, shot_plots
from pulsewright.drawing.layout import layout
from pulsewright.drawing.plot import Plot
from pulsewright.drawing.scene import Group, Item, Scene, Text, moved
from pulsewright.drawing.svg import svg
from pulsewright.records import Envelope, Shot

COLUMNS = 2
MARGIN, GAP, HEAD, NAME = 20.0, 36.0, 44.0, 24.0


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
    scenes = [layout(plot) for plot in plots]
    across = max(scene.width for scene in scenes) + GAP
    down = max(scene.height for scene in scenes) + NAME + GAP
    items: list[Item] = [Text(MARGIN, MARGIN + 8.0, title, "name")]
    for i, scene in enumerate(scenes):
        items += _placed(scene, MARGIN + (i % COLUMNS) * across, HEAD + (i // COLUMNS) * down)
    rows = -(-len(scenes) // COLUMNS)
    words = " ".join(f"{scene.title}: {scene.description}" for scene in scenes)
    width, height = 2 * MARGIN - GAP + COLUMNS * across, HEAD + rows * down
    return svg(Scene(key, width, height, title, words, tuple(items)), standalone=True)


def _placed(scene: Scene, x: float, y: float) -> list[Item]:
    """A plot with its name above it, at a place."""
    drawn = tuple(moved(item, x, y + NAME) for item in scene.items)
    return [Text(x, y + 16.0, scene.title, "name"), Group(drawn, id=scene.id, title=scene.title)]
