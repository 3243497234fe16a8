"""Some rays of the pump chamber and the outlines that they meet, for drawing."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pulsewright.engine.chamber_rays import recipe, scene
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.solution import Solution, solution
from pulsewright.engine.uptake import TRACED
from pulsewright.physics.chamber.ray_geometry import lamp_axes
from pulsewright.physics.chamber.ray_kernel import Scene
from pulsewright.physics.chamber.ray_map import ray_paths
from pulsewright.physics.lamp.tables import spectral_bands

Float = NDArray[np.float64]

#: Absorptance of the arcs at which rays are drawn.
ARC = 0.5
#: Corners of a drawn curve, a turn or an arc of a wrap.
_TURN, _ARC = 121, 25
#: The band in which a drawn ray is absorbed as at the dye's strongest. [m]
_VISIBLE = (400e-9, 750e-9)


@dataclass(frozen=True, slots=True)
class RaySample:
    """Rays and outlines in the section, cell axis at the origin, x to the right, y up, in m.

    `paths` (n, 2) corners of each ray from its lamp on; `weights` (n - 1,) what is left of it at the end of each leg,
    1 at the lamp; `absorption` of the dye for which it was followed [1/m]. `outlines` closed curves whose union is the
    inside of the reflector; `lamps` (id, x, y); `cell` closed outline of the dye; `kind` how they were made.
    """

    paths: tuple[Float, ...]
    weights: tuple[Float, ...]
    absorption: float
    outlines: tuple[Float, ...]
    lamps: tuple[tuple[str, float, float], ...]
    cell: Float
    kind: str


def ray_sample(inputs: Inputs, count: int = 40, seed: int = 0, dye: Solution | None = None) -> RaySample:
    """Rays through the chamber of some inputs, followed by the kernel that makes the pump map."""
    given = recipe(inputs.machine, inputs.shells)
    traced = scene(given)
    absorption = _strongest(solution(inputs) if dye is None else dye)
    paths, weights = ray_paths(traced, absorption, ARC, count, seed)
    axes = lamp_axes(given.walls, given.lamps, given.cell)
    lamps = tuple((name, float(x), float(y)) for name, (x, y) in zip(inputs.machine.lamps, axes, strict=True))
    return RaySample(paths, weights, absorption, chamber_outlines(traced), lamps, _cell(traced), TRACED)


def _strongest(dye: Solution) -> float:
    """The dye's strongest absorption of visible light, in 1/m."""
    wavelength, _ = spectral_bands()
    seen = (wavelength > _VISIBLE[0]) & (wavelength < _VISIBLE[1])
    return float(dye.pump_absorption[seen].max())


def chamber_outlines(traced: Scene) -> tuple[Float, ...]:
    """The reflector as closed curves: one for each ellipse, or the whole wrap."""
    turn = np.linspace(0.0, 2.0 * np.pi, _TURN)
    found = []
    for x, y, c, s, a, b in traced.ellipses:  # the axes stand there as 1 / a, 1 / b
        along, across = np.cos(turn) / a, np.sin(turn) / b
        found.append(np.stack([x + c * along - s * across, y + s * along + c * across], axis=1))
    if len(traced.arcs):
        found.append(_wrap(traced.arcs))
    return tuple(found)


def _wrap(arcs: Float) -> Float:
    """Arcs in the order in which they stand; the lines between them follow of themselves."""
    middle = np.arctan2(arcs[:, 4], arcs[:, 3])
    pieces = []
    for i in np.argsort(middle):
        x, y, radius = arcs[i, :3]
        half = np.arccos(np.clip(arcs[i, 5], -1.0, 1.0))
        turn = np.linspace(middle[i] - half, middle[i] + half, _ARC)
        pieces.append(np.stack([x + radius * np.cos(turn), y + radius * np.sin(turn)], axis=1))
    return np.concatenate([*pieces, pieces[0][:1]])


def _cell(traced: Scene) -> Float:
    """Outline of the dye."""
    half, side = traced.radius[0, 0], traced.side[0, 0]
    if side > 0:
        return np.array([[-half, -side], [half, -side], [half, side], [-half, side], [-half, -side]])
    turn = np.linspace(0.0, 2.0 * np.pi, _TURN)
    return np.asarray(half * np.stack([np.cos(turn), np.sin(turn)], axis=1))
