"""The pump chamber of a machine as a scene for rays, and its traced map, kept in memory and on disk by geometry."""

from __future__ import annotations

import os
from dataclasses import dataclass, fields
from functools import cache, lru_cache

import numpy as np
from numpy.typing import NDArray

from pulsewright import refdata
from pulsewright.engine.array_store import Arrays, is_stored, stored_arrays
from pulsewright.engine.cell_shape import is_slab, width
from pulsewright.engine.liquid import liquid
from pulsewright.machine.parts import Machine
from pulsewright.physics.chamber.cylinder import cylinder_absorptance
from pulsewright.physics.chamber.ray_geometry import CellBody, LampTube, Walls, ray_scene
from pulsewright.physics.chamber.ray_kernel import Scene
from pulsewright.physics.chamber.ray_map import RAYS, RayMap, trace_light
from pulsewright.physics.lamp.light import CHORD_FACTOR

Float = NDArray[np.float64]

#: Rungs of what is traced: absorption times thickness of the dye in octaves, and what the arcs take of light from all
#: sides, in which shares go nearly straight.
OPTICAL_DEPTHS = 2.0 ** np.arange(-8.0, 10.0)
DIFFUSE_RUNGS = np.array([0.0, 0.1, 0.35, 0.65, 0.9, 1.0])
#: Folder of the maps on disk.
FOLDER = "ray-maps"
#: Seed of the rays of a map. Another seed gives another map within its standard error.
SEED = 20251
#: A change of the dye's index by less than half of this does not ask for a new map.
INDEX_STEP = 1e-3
#: What the wall takes at a hit below which rays are fewer, and least part of them.
LONG_LIVED, LEAST_RAYS = 0.04, 0.125


@dataclass(frozen=True, slots=True)
class Recipe:
    """All that a traced map depends on; compares by value."""

    walls: Walls
    lamps: tuple[LampTube, ...]
    cell: CellBody
    shells: int
    rays: int = RAYS
    seed: int = SEED


def recipe(machine: Machine, shells: int) -> Recipe:
    """What rays see of a machine."""
    chamber, cell = machine.chamber, machine.cell
    index = machine.dye.refractive_index or liquid(machine).refractive_index
    diffuse = 1.0 if chamber.reflector == "close-wrapped diffuse" else 0.0
    walls = Walls(
        reflector=chamber.reflector,
        length=chamber.length,
        reflectivity=chamber.reflectivity,
        opening_fraction=chamber.opening_fraction,
        diffuse_fraction=diffuse if chamber.diffuse_fraction is None else chamber.diffuse_fraction,
        end_reflectivity=1.0 if chamber.end_reflectivity is None else chamber.end_reflectivity,
        index=float(refdata.coolant(chamber.coolant).refractive_index),
        semi_major=chamber.semi_major or 0.0,
        semi_minor=chamber.semi_minor or 0.0,
        diameter=chamber.diameter or 0.0,
        perimeter=chamber.perimeter or 0.0,
        lamp_distance=chamber.lamp_distance or 0.0,
    )
    lamps = tuple(
        LampTube(
            bore=lamp.bore,
            wall_thickness=lamp.wall_thickness,
            arc_length=lamp.arc_length,
            index=float(refdata.glass(lamp.envelope).refractive_index),
            inner_diameter=(lamp.inner_diameter or 0.0) if lamp.shape == "coaxial" else 0.0,
        )
        for lamp in machine.lamps.values()
    )
    body = CellBody(
        bore=cell.bore,
        wall_thickness=cell.wall_thickness,
        pumped_length=cell.pumped_length,
        glass_index=float(refdata.glass(cell.glass).refractive_index),
        dye_index=round(index / INDEX_STEP) * INDEX_STEP,
        width=width(cell) if is_slab(cell) else 0.0,
    )
    return Recipe(walls, lamps, body, shells, _rays(walls))


def _rays(walls: Walls) -> int:
    """Rays of a map: fewer where each lives long, since the wall keeps nearly all; long ways even themselves out."""
    taken = 1.0 - walls.reflectivity * (1.0 - walls.opening_fraction)
    return round(RAYS * min(max(taken / LONG_LIVED, LEAST_RAYS), 1.0))


def scene(given: Recipe) -> Scene:
    """The arrays that rays are traced through."""
    return ray_scene(given.walls, given.lamps, given.cell)


def _spelled(given: Recipe) -> str:
    """A recipe as the name of its file."""
    return f"{given!r} {OPTICAL_DEPTHS.tobytes().hex()} {arc_rungs().tobytes().hex()}"


def is_traced(machine: Machine, shells: int) -> bool:
    """Whether the chamber of a machine was traced before and is kept on disk, or is not traced at all."""
    return machine.chamber.light_method == "closed form" or is_stored(FOLDER, _spelled(recipe(machine, shells)))


def diffuse_absorptance(arc_absorptance: Float) -> Float:
    """What arcs take of light from all sides, from what they take along their effective chord."""
    depth = -np.log1p(-np.minimum(arc_absorptance, 1.0 - 1e-15)) / (2.0 * CHORD_FACTOR)
    return np.where(arc_absorptance < 1.0, cylinder_absorptance(depth), 1.0)


@cache
def arc_rungs() -> Float:
    """Absorptance along the effective chord at each of `DIFFUSE_RUNGS`."""
    fine = -np.expm1(-np.geomspace(1e-4, 30.0, 4001))
    inner = np.interp(DIFFUSE_RUNGS[1:-1], diffuse_absorptance(fine), fine)
    return np.array([0.0, *inner, 1.0])


@lru_cache(maxsize=64)
def traced_map(given: Recipe) -> RayMap:
    """The traced map of a chamber: from memory, from disk, else traced."""
    ladder = OPTICAL_DEPTHS / given.cell.bore

    def build() -> Arrays:
        found = trace_light(
            scene(given),
            ladder,
            arc_rungs(),
            shells=given.shells,
            rays=given.rays,
            seed=given.seed,
            threads=min(2, os.cpu_count() or 1),
        )
        return {field.name: np.asarray(getattr(found, field.name), dtype=np.float64) for field in fields(found)}

    def read() -> RayMap:
        values = stored_arrays(FOLDER, _spelled(given), build)
        plain = {name: float(values[name]) for name in ("imbalance",)} | {"rays": int(values["rays"])}
        return RayMap(**{name: plain.get(name, value) for name, value in values.items()})  # type: ignore[arg-type]

    return read()
