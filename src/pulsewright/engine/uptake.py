"""Which part of the lamps' light each shell of the dye takes, at every wavelength: by rays or by the closed form."""

from __future__ import annotations

from collections.abc import Hashable
from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from pulsewright import refdata
from pulsewright.engine import cell_shape
from pulsewright.engine.chamber_rays import (
    DIFFUSE_RUNGS,
    OPTICAL_DEPTHS,
    Recipe,
    diffuse_absorptance,
    recipe,
    traced_map,
)
from pulsewright.engine.electric import glass_transmission
from pulsewright.engine.inputs import Inputs
from pulsewright.machine.parts import Machine
from pulsewright.physics.chamber import cylinder, diffuse, geometry, slab
from pulsewright.physics.chamber.ray_map import RayMap, medium_transmission
from pulsewright.physics.lamp.tables import spectral_bands

Float = NDArray[np.float64]

#: Absorption coefficients and lamp absorptances for which a pump map is made. [1/m], [-]
LADDER = np.geomspace(0.1, 1e5, 73)
LAMP_LADDER = np.linspace(0.0, 1.0, 33)
#: Ways in which a map is made, as the record names them.
TRACED, CLOSED, MOVED = "ray tracing", "closed form", "ray tracing, moved by the closed form"


@dataclass(frozen=True, slots=True, eq=False)
class Uptake:
    """`fraction` (L, A, Z) of the lamps' light that each shell takes, over `LAMP_LADDER`; `error` (L, A) its relative
    standard error; `cut` (L, A) what was given up of the lamps' light; `through` (L,) what glasses, coolant and filter
    leave; `method` how it was found.
    """

    fraction: Float
    error: Float
    cut: Float
    through: Float
    method: str

    @property
    def traced(self) -> bool:
        """Whether the lamps' absorptance is that of the arcs alone; otherwise of whole lamps."""
        return self.method != CLOSED


def method_of(inputs: Inputs) -> str:
    """How the pump map of these inputs is made."""
    if inputs.quick or inputs.machine.chamber.light_method == "closed form":
        return CLOSED
    base = inputs.traced_for
    if base is None or _seen(base) == _seen(inputs.machine):
        return TRACED
    return TRACED if recipe(base, inputs.shells) == recipe(inputs.machine, inputs.shells) else MOVED


def _seen(machine: Machine) -> Hashable:
    """Parts that rays meet; equal parts need no recipe to tell that their maps are the same."""
    dye = machine.dye
    liquid = (dye.solvent, dye.second_solvent, dye.second_solvent_fraction, dye.refractive_index)
    return machine.chamber, machine.cell, tuple(machine.lamps.items()), liquid


def uptake_key(inputs: Inputs) -> Hashable:
    """What the map depends on beside machine and dye: for which it was traced, how it is made, measured curves."""
    method = method_of(inputs)
    base = _seen(inputs.traced_for) if method == MOVED and inputs.traced_for is not None else None
    return base, method, inputs.machine.curves.get("chamber.filter_file")


def uptake(inputs: Inputs, absorption: Float) -> Uptake:
    """The map at the absorption of a solution, (L,) in 1/m; kept for the last ones."""
    machine = inputs.machine
    key = (_seen(machine), uptake_key(inputs), inputs.shells, absorption.tobytes())
    return _kept(_Asked(key, inputs, absorption))


@dataclass(frozen=True, slots=True)
class _Asked:
    """Inputs that compare by what the map reads of them."""

    key: Hashable
    inputs: Inputs
    absorption: Float

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Asked) and self.key == other.key

    def __hash__(self) -> int:
        return hash(self.key)


@lru_cache(maxsize=64)
def _kept(asked: _Asked) -> Uptake:
    inputs, absorption = asked.inputs, asked.absorption
    method = method_of(inputs)
    if method == CLOSED:
        fraction = fractions(closed_map(inputs.machine, inputs.shells), absorption, inputs.machine.cell.bore)
        through = _between(inputs.machine)
        fraction *= through[:, None, None]
        fraction *= _wall_colour(inputs.machine, fraction.sum(axis=-1), absorption)[:, :, None]
        nothing = np.zeros(fraction.shape[:2])
        return Uptake(np.ascontiguousarray(fraction), nothing, nothing, through, CLOSED)
    given = recipe(inputs.machine if inputs.traced_for is None else inputs.traced_for, inputs.shells)
    found = traced_map(given)
    table = _filled(given)
    if method == MOVED:
        base = closed_map(inputs.traced_for or inputs.machine, inputs.shells)
        table = table * np.divide(
            closed_map(inputs.machine, inputs.shells), base, out=np.ones_like(base), where=base > 0
        )
        table /= np.maximum(table.sum(axis=-1, keepdims=True), 1.0)  # a share stays one
    fraction = fractions(table, absorption, inputs.machine.cell.bore)
    depth = absorption * given.cell.bore
    left = _spectral(inputs.machine, found, depth)
    fraction *= left[:, :, None]
    relative = np.divide(
        found.standard_error, found.dye.sum(axis=-1), out=np.zeros_like(found.lamps), where=found.dye.sum(axis=-1) > 0
    )
    return Uptake(
        np.ascontiguousarray(fraction),
        _along(relative[None], depth)[0],
        _along(found.cut[None], depth)[0],
        np.minimum(left[:, len(LAMP_LADDER) // 2], 1.0),
        method,
    )


def fractions(table: Float, absorption: Float, thickness: float) -> Float:
    """A map (K, A, Z) over `LADDER` at given absorption: (L, A, Z).

    What is interpolated along the ladder is the fraction over that of one straight way through the dye, which hardly
    varies.
    """
    position = np.interp(np.log(np.maximum(absorption, LADDER[0])), np.log(LADDER), np.arange(len(LADDER)))
    index = np.minimum(position.astype(int), len(LADDER) - 2)
    part = (position - index)[:, None, None]
    straight = -np.expm1(-LADDER * thickness)[:, None, None]
    ratio = table / straight
    found = (1 - part) * ratio[index] + part * ratio[index + 1]
    return np.ascontiguousarray(found * -np.expm1(-absorption * thickness)[:, None, None])


@lru_cache(maxsize=64)
def _filled(given: Recipe) -> Float:
    """A traced map on the full ladders: (K, A, Z). Splines over the logarithm of depth and over lamp absorptance."""
    found = traced_map(given)
    bore = given.cell.bore
    ratio = found.dye / -np.expm1(-OPTICAL_DEPTHS)[:, None, None]
    depth = np.clip(LADDER * bore, OPTICAL_DEPTHS[0], OPTICAL_DEPTHS[-1])
    over_depth = CubicSpline(np.log(OPTICAL_DEPTHS), ratio, axis=0)(np.log(depth))
    # the reciprocal of all that the dye takes goes nearly straight: what else takes light is in it as a sum
    whole = over_depth.sum(axis=-1, keepdims=True)
    place = diffuse_absorptance(LAMP_LADDER)
    taken = 1.0 / CubicSpline(DIFFUSE_RUNGS, 1.0 / np.maximum(whole, 1e-12), axis=1)(place)
    split = CubicSpline(DIFFUSE_RUNGS, over_depth / np.maximum(whole, 1e-12), axis=1)(place)
    return np.asarray(np.maximum(split, 0.0) * taken * -np.expm1(-LADDER * bore)[:, None, None])


def _along(values: Float, depth: Float) -> Float:
    """Something traced (X, K, A) at the depths of a spectrum and on the ladder of lamps: (X, L, A). Straight lines."""
    index, part = _depth_rungs(depth)
    lower, share = _lamp_rungs(LAMP_LADDER.tobytes())
    over_lamps = (1 - share) * values[:, :, lower] + share * values[:, :, lower + 1]
    return np.asarray((1 - part) * over_lamps[:, index] + part * over_lamps[:, index + 1])


def _counted(once: Float, counts: Float, depth: Float) -> Float:
    """What is left (L, A) of light that meets something 0, 1, 2 ... times by shares (N, K, A), `once` (L,) each time.

    The sum over the times comes first: it stands between the rungs as the shares do.
    """
    summed = np.tensordot(once[:, None] ** np.arange(len(counts)), counts, 1)  # (L, K, A)
    index, part = _depth_rungs(depth)
    lower, share = _lamp_rungs(LAMP_LADDER.tobytes())
    each = np.arange(len(once))
    over_depth = (1 - part) * summed[each, index] + part * summed[each, index + 1]
    return np.asarray((1 - share) * over_depth[:, lower] + share * over_depth[:, lower + 1])


def _depth_rungs(depth: Float) -> tuple[NDArray[np.int_], Float]:
    """Traced depth below each (L,), and the part of the way to the next (L, 1)."""
    place = np.interp(
        np.log(np.clip(depth, OPTICAL_DEPTHS[0], None)), np.log(OPTICAL_DEPTHS), np.arange(float(len(OPTICAL_DEPTHS)))
    )
    index = np.minimum(place.astype(int), len(OPTICAL_DEPTHS) - 2)
    return index, (place - index)[:, None]


@lru_cache(maxsize=4)
def _lamp_rungs(ladder: bytes) -> tuple[NDArray[np.int_], Float]:
    """Traced rung below each of a ladder of lamps, and the part of the way to the next."""
    place = diffuse_absorptance(np.frombuffer(ladder))
    rung = np.interp(place, DIFFUSE_RUNGS, np.arange(float(len(DIFFUSE_RUNGS))))
    lower = np.minimum(rung.astype(int), len(DIFFUSE_RUNGS) - 2)
    return lower, rung - lower


def _spectral(machine: Machine, found: RayMap, depth: Float) -> Float:
    """What coolant, glasses, filter and the colour of the wall leave of the dye's light: (L, A)."""
    wavelength, _ = spectral_bands()
    chamber = machine.chamber
    envelopes = [_curve(refdata.glass(lamp.envelope).absorption_coefficient) for lamp in machine.lamps.values()]
    media = (
        _curve(refdata.coolant(chamber.coolant).absorption_coefficient),
        _curve(refdata.glass(machine.cell.glass).absorption_coefficient),
        np.mean(envelopes, axis=0),
    )
    mean = _along(found.path_mean, depth)
    left = np.ones((len(wavelength), len(LAMP_LADDER)))
    for kappa, way, shares in zip(media, mean, found.path_left, strict=True):
        left *= medium_transmission(kappa[:, None], way, _along(shares, depth))
    for once, counts in ((filter_transmission(machine), found.passes), (wall_colour(machine), found.bounces)):
        if once is not None:
            left *= _counted(once, counts, depth)
    return left


def _curve(curve: refdata.rows.Curve | None) -> Float:
    """A curve on the spectral bands; nothing where there is none."""
    wavelength, _ = spectral_bands()
    if curve is None:
        return np.zeros_like(wavelength)
    return np.asarray(np.interp(wavelength, curve.wavelength, curve.values))


def filter_transmission(machine: Machine) -> Float | None:
    """Transmission of one pass of the filter on the spectral bands; the measured one where a file is named."""
    wavelength, _ = spectral_bands()
    measured = machine.curves.get("chamber.filter_file")
    if measured is not None:
        return np.asarray(np.interp(wavelength, measured.wavelength, measured.values))
    row = refdata.filter_jacket(machine.chamber.filter).transmission
    return None if row is None else _curve(row)


def wall_colour(machine: Machine) -> Float | None:
    """Reflectivity of the wall over the one in the build file, on the spectral bands; None where it is grey.

    No wall reflects more than falls on it.
    """
    row = refdata.wall(machine.chamber.wall).reflectivity
    return None if row is None else np.minimum(_curve(row), 1.0 / machine.chamber.reflectivity)


def _between(machine: Machine) -> Float:
    """Transmission from lamp envelope to dye for the closed form: coolant, filter, cell wall, each passed once."""
    through = glass_transmission(machine.cell.glass, machine.cell.wall_thickness).copy()
    jacket = filter_transmission(machine)
    if jacket is not None:
        through *= jacket
    coolant = refdata.coolant(machine.chamber.coolant).absorption_coefficient
    return np.asarray(through * np.exp(-_curve(coolant) * coolant_path(machine)))


def coolant_path(machine: Machine) -> float:
    """Way through the coolant for the closed form: a mean chord of the chamber's section, 4 area / perimeter, in m."""
    chamber = machine.chamber
    if chamber.semi_major and chamber.semi_minor:
        a, b = chamber.semi_major, chamber.semi_minor
        return float(2 * a * b / np.sqrt((a * a + b * b) / 2))
    if chamber.diameter:
        return chamber.diameter
    return (chamber.perimeter or 0.0) / np.pi


def _wall_colour(machine: Machine, share: Float, absorption: Float) -> Float:
    """What a coloured wall changes in the closed form, (L, A): the balance with another wall in it."""
    colour = wall_colour(machine)
    if colour is None:
        return np.ones_like(share)
    chamber = machine.chamber
    taken = cell_shape.lit_area(machine.cell) * _dye_absorptance(machine, absorption, 1).sum(axis=-1)
    gained = _wall_area(machine) * (1 - chamber.opening_fraction) * chamber.reflectivity * (1 - colour)
    through = np.maximum(_between(machine), 1e-300)
    over = np.divide(gained, taken, out=np.zeros_like(taken), where=taken > 0)
    return np.asarray(1.0 / np.maximum(1.0 + over[:, None] * share / through[:, None], 0.1))


def _wall_area(machine: Machine) -> float:
    chamber = machine.chamber
    return geometry.chamber_wall_area(
        chamber.reflector,
        chamber.length,
        chamber.semi_major,
        chamber.semi_minor,
        chamber.diameter,
        chamber.perimeter,
        lamp_count=len(machine.lamps),
    )


def _dye_absorptance(machine: Machine, absorption: Float, shells: int) -> Float:
    cell = machine.cell
    if cell_shape.is_slab(cell):
        return slab.layer_absorptance(absorption * cell.bore, shells)
    return cylinder.shell_absorptance(absorption * cell.bore / 2, shells)


def closed_map(machine: Machine, shells: int) -> Float:
    """The closed form on the full ladders: (K, A, Z)."""
    chamber = machine.chamber
    lamps = sum(
        np.pi * (lamp.bore + 2 * lamp.wall_thickness + (lamp.inner_diameter or 0.0)) * lamp.arc_length
        for lamp in machine.lamps.values()
    )
    return _closed_map(
        _wall_area(machine),
        chamber.reflectivity,
        chamber.opening_fraction,
        float(lamps),
        machine.cell.bore,
        cell_shape.lit_area(machine.cell),
        cell_shape.is_slab(machine.cell),
        shells,
    )


@lru_cache(maxsize=64)
def _closed_map(
    wall: float, reflectivity: float, opening: float, lamp: float, bore: float, lit: float, flat: bool, shells: int
) -> Float:
    absorbed = _ladder_absorptance(bore, flat, shells)
    shares = diffuse.light_shares(absorbed[:, None, :], LAMP_LADDER[None, :], lit, lamp, wall, reflectivity, opening)
    return shares.dye


@lru_cache(maxsize=64)
def _ladder_absorptance(bore: float, flat: bool, shells: int) -> Float:
    if flat:
        return slab.layer_absorptance(LADDER * bore, shells)
    return cylinder.shell_absorptance(LADDER * bore / 2, shells)
