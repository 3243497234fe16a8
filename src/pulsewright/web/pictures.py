"""Drawings that move with the shot: the pump map on the dye, and the photon budget as a flow; a table behind each."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from typing import Any

import numpy as np

from pulsewright.drawing.field import field_scene, field_table
from pulsewright.drawing.fields import FIELD_TITLES, shot_fields
from pulsewright.drawing.flow import flow_scene, flow_table
from pulsewright.drawing.photons import photon_flow
from pulsewright.drawing.pump_map import PumpMap, pump_map_scene, pump_map_table
from pulsewright.drawing.svg import svg
from pulsewright.quantities import show as say
from pulsewright.records import Shot

#: Title of each picture.
PICTURES: Mapping[str, str] = {
    "pump_map": "Pump map on the dye",
    "photon_flow": "Where the absorbed photons went",
}


def picture(key: str, shot: Shot, machine: Any) -> dict[str, str]:
    """One picture of a shot: its drawing and its table; both empty where there is nothing to draw."""
    drawn = _MAKERS[key](shot, machine)
    return {"drawing": "", "table": ""} if drawn is None else {"drawing": drawn[0], "table": drawn[1]}


def _pump_map(shot: Shot, machine: Any) -> tuple[str, str] | None:
    edges, energy = (
        shot.arrays[key].values if key in shot.arrays else None for key in ("shell_radius", "absorbed_energy")
    )
    if edges is None or energy is None:
        return None
    plan = pump_map(edges, energy, machine.cell, method_words(shot))
    return svg(pump_map_scene(plan)), pump_map_table(plan)


def pump_map(edges: Any, energy: Any, cell: Any, method: str) -> PumpMap:
    """The pump map of a cell: equal volumes between the edges."""
    slab = cell.shape == "slab" and cell.width is not None
    area = cell.width * cell.bore if slab else math.pi * cell.bore**2 / 4
    density = np.asarray(energy) * len(energy) / (area * cell.pumped_length)
    return PumpMap(
        edges=(np.asarray(edges) * 1e3).tolist(),
        values=(density * 1e-6).tolist(),
        energies=np.asarray(energy).tolist(),
        width=cell.width * 1e3 if slab else None,
        method=method,
    )


def method_words(shot: Shot) -> str:
    """How the light was followed through the chamber, with its standard error where it was traced."""
    method = shot.provenance.choices.get("pump map", "")
    error = shot.summary.get("pump_standard_error")
    words = method[:1].upper() + method[1:] if method else "Method not known"
    if error is not None and error.value:
        return f"{words}; standard error {say('pump_standard_error', error.value)} of the energy taken up"
    return words


def _photon_flow(shot: Shot, _: Any) -> tuple[str, str] | None:
    flow = photon_flow(shot.budgets.get("photons", {}))
    return None if flow is None else (svg(flow_scene(flow)), flow_table(flow))


_MAKERS: Mapping[str, Callable[[Shot, Any], tuple[str, str] | None]] = {
    "pump_map": _pump_map,
    "photon_flow": _photon_flow,
}


def on_paper(shot: Shot, machine: Any) -> list[dict[str, str]]:
    """Every picture and fine map of a shot, for the printed document."""
    out = [{"title": title, **picture(key, shot, machine)} for key, title in PICTURES.items()]
    out += [
        {"title": plan.title, "drawing": svg(field_scene(plan)), "table": field_table(plan)}
        for plan in shot_fields(shot, tuple(FIELD_TITLES))
    ]
    return [one for one in out if one["drawing"]]
