"""Output of a head over concentration, coupler and bore: real shots on a grid, the best place, how flat it is there."""

from __future__ import annotations

import itertools
import math
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from threading import Lock
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import make_interp_spline

from pulsewright.engine.cell_shape import is_slab
from pulsewright.engine.chain import Chain, Stages
from pulsewright.engine.inputs import Inputs
from pulsewright.studies.pulse_figures import Progress, computed

Float = NDArray[np.float64]

#: Points a side of the grid that is laid about the best place, and how often it is laid, each time narrower.
ZOOM, ZOOMS = 5, 2
#: Parts of the best output by which flatness is told.
PARTS = (0.05, 0.10)
#: Points a side on which the interpolated map is read.
FINE = 241


@dataclass(frozen=True, slots=True)
class Place:
    """One laser: concentration [mol/m^3], reflectivity of the coupler, bore [m], and what a shot of it gives.

    `ratio`: highest stress over limit of the optics, None where none is judged. `evenness`: light in the innermost
    shell over that in the outermost; of a slab, in its darkest layer over its brightest.
    """

    concentration: float
    reflectivity: float
    bore: float
    output_energy: float
    ratio: float | None
    evenness: float
    efficiency: float

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {key: getattr(self, key) for key in self.__dataclass_fields__}


@dataclass(frozen=True, slots=True)
class Flat:
    """Between which values of one entry the output stays within a part of the best, the others best for each.

    `low_open`, `high_open`: the range goes on beyond the axis.
    """

    part: float
    entry: str
    low: float
    high: float
    low_open: bool
    high_open: bool

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {key: getattr(self, key) for key in self.__dataclass_fields__}


Score = Callable[[Place], float]


def energy_of(place: Place) -> float:
    """Output of a place."""
    return place.output_energy


def energy_within(place: Place) -> float:
    """Output of a place whose optics are inside their limits; nothing elsewhere."""
    return place.output_energy if place.ratio is None or place.ratio < 1.0 else 0.0


@dataclass(slots=True)
class Head:
    """The user's head, computed at any concentration, coupler and bore; counts the shots.

    `base`: inputs at the build's own bore. `values`: entries or coefficients that are changed throughout. The chamber
    is traced once for each bore.
    """

    base: Inputs
    chain: Chain
    values: Mapping[str, float] = field(default_factory=dict)
    shots: int = 0
    _bores: dict[float, Inputs] = field(default_factory=dict, repr=False)
    _lock: Lock = field(default_factory=Lock, repr=False)

    def inputs(self, concentration: float, reflectivity: float, bore: float) -> Inputs:
        """Inputs of a shot there."""
        coupler = self.base.machine.resonator.coupler
        places = {"dye.concentration": concentration, f"optics.{coupler}.reflectivity": reflectivity}
        return self._of_bore(bore).changed({**self.values, **places})

    def with_values(self, values: Mapping[str, float]) -> Head:
        """The same head with some values changed throughout; its chambers are those that are traced already."""
        return Head(self.base, self.chain, values, _bores=self._bores, _lock=self._lock)

    def _of_bore(self, bore: float) -> Inputs:
        with self._lock:
            if bore not in self._bores:
                own = bore == self.base.machine.cell.bore
                build = self.base.build if own else self.base.build.replace("cell.bore", bore)
                self._bores[bore] = self.base if own else replace(self.base, build=build)
            return self._bores[bore]

    def __call__(self, point: tuple[float, float, float]) -> Place:
        """A shot at (bore, concentration, reflectivity)."""
        bore, concentration, reflectivity = point
        stages = self.chain.run(self.inputs(concentration, reflectivity, bore))
        with self._lock:
            self.shots += 1
        return place_of(stages, concentration, reflectivity, bore)


def place_of(stages: Stages, concentration: float, reflectivity: float, bore: float) -> Place:
    """What one shot gives."""
    found = [row for row in stages.stresses if row.item.startswith("optics.") and row.limit]
    ratios = [row.value / row.limit for row in found if row.limit]
    return Place(
        concentration=concentration,
        reflectivity=reflectivity,
        bore=bore,
        output_energy=stages.gain.output_energy,
        ratio=max(ratios, default=None),
        evenness=_evenness(stages),
        efficiency=stages.gain.output_energy / stages.discharge.stored_energy,
    )


def _evenness(stages: Stages) -> float:
    energy = stages.pump.energy
    inner, outer = float(energy[0]), float(energy[-1])
    if is_slab(stages.inputs.machine.cell):
        inner, outer = float(energy.min()), float(energy.max())
    return inner / outer if outer > 0 else math.nan


# The grid --------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, eq=False)
class DyeMap:
    """Places over (bore, concentration, reflectivity), each axis in the order given."""

    bore: Float
    concentration: Float
    reflectivity: Float
    places: Sequence[Place]

    def array(self, read: Callable[[Place], float]) -> Float:
        """One figure over the axes (B, C, R)."""
        shape = (self.bore.size, self.concentration.size, self.reflectivity.size)
        return np.array([read(place) for place in self.places], dtype=float).reshape(shape)

    def best(self, score: Score = energy_of) -> Place:
        """The place with the highest score; the first of equal ones."""
        return max(self.places, key=score)

    def best_of_bores(self) -> tuple[Place, ...]:
        """The best place of each bore."""
        each = self.concentration.size * self.reflectivity.size
        return tuple(
            max(self.places[begin : begin + each], key=energy_of) for begin in range(0, len(self.places), each)
        )


def dye_map(
    work: Callable[[tuple[float, float, float]], Place],
    bores: Float,
    concentrations: Float,
    reflectivities: Float,
    progress: Progress | None = None,
) -> DyeMap:
    """Every place of a grid; on all cores, those of one bore and concentration together, since they share the pump."""
    points = list(itertools.product(bores.tolist(), concentrations.tolist(), reflectivities.tolist()))
    found = computed(points, work, progress, chunk=max(reflectivities.size, 1))
    return DyeMap(bores, concentrations, reflectivities, found)


def polished(
    work: Callable[[tuple[float, float, float]], Place],
    start: Place,
    found: DyeMap,
    score: Score = energy_of,
    zooms: int = ZOOMS,
) -> Place:
    """The best place near one of the grid, at its bore: finer grids about it, each half as wide as the steps before."""
    best = start
    steps = _step(np.log(found.concentration)), _step(coupling_axis(found.reflectivity))
    for _ in range(zooms):
        concentrations = _about(math.log(best.concentration), steps[0], np.log(found.concentration))
        couplings = _about(float(coupling_axis(best.reflectivity)), steps[1], coupling_axis(found.reflectivity))
        grid = dye_map(work, np.array([best.bore]), np.exp(concentrations), reflectivity_of(couplings))
        best = max((best, grid.best(score)), key=score)
        steps = steps[0] / 2, steps[1] / 2
    return best


def coupling_axis(reflectivity: float | Float) -> Float:
    """Logarithm of the coupling -ln R: the axis on which reflectivities are evenly laid out."""
    return np.asarray(np.log(-np.log(reflectivity)))


def reflectivity_of(axis: Float) -> Float:
    """Reflectivity at a place of that axis."""
    return np.asarray(np.exp(-np.exp(axis)))


def _step(axis: Float) -> float:
    return float(np.max(np.abs(np.diff(axis)))) if axis.size > 1 else 0.0


def _about(middle: float, step: float, axis: Float) -> Float:
    """Points about a place, inside the axis."""
    if step == 0.0:
        return np.array([middle])
    spread = np.linspace(middle - step, middle + step, ZOOM)
    return np.unique(np.clip(spread, axis.min(), axis.max()))


# Flatness --------------------------------------------------------------------------------------


def flatness(energy: Float, axes: Mapping[str, Float], best: float) -> tuple[Flat, ...]:
    """Ranges of each entry within which the output stays near the best, the others best for each value.

    `energy` over the axes in their order; an axis of one value has no range. Between the points the map is read as a
    cubic spline over the logarithm of concentration and bore and over that of the coupling.
    """
    scales = {name: _scale(name, values) for name, values in axes.items()}
    rows = []
    for index, (name, values) in enumerate(axes.items()):
        if values.size > 1:
            fine, profile = _profile(energy, list(scales.values()), index)
            rows += [_range(part, name, fine, profile, best) for part in PARTS]
    return tuple(sorted(rows, key=lambda row: row.part))


def _scale(name: str, values: Float) -> Float:
    return coupling_axis(values) if name == "reflectivity" else np.log(values)


def _unscaled(name: str, place: float) -> float:
    return float(reflectivity_of(np.asarray(place))) if name == "reflectivity" else math.exp(place)


def _profile(energy: Float, scales: list[Float], kept: int) -> tuple[Float, Float]:
    """Highest output at each place of one axis, on a fine grid; the others' bores are those that can be had."""
    values = energy
    for axis, scale in enumerate(scales):
        if scale.size > 1 and (axis == kept or axis > 0):
            values = _splined(scale, values, axis)
    others = tuple(axis for axis in range(values.ndim) if axis != kept)
    fine = np.linspace(scales[kept].min(), scales[kept].max(), FINE)
    return fine, np.max(values, axis=others)


def _splined(scale: Float, values: Float, axis: int) -> Float:
    order = np.argsort(scale)
    spline = make_interp_spline(scale[order], np.take(values, order, axis=axis), k=min(3, scale.size - 1), axis=axis)
    return np.asarray(np.maximum(spline(np.linspace(scale.min(), scale.max(), FINE)), 0.0))


def _range(part: float, name: str, fine: Float, profile: Float, best: float) -> Flat:
    """Where the profile passes a level on both sides of its peak; of several hills, the one about the peak."""
    peak = int(np.argmax(profile))
    level = (1.0 - part) * min(best, float(profile[peak]))
    low, low_open = _edge(fine[: peak + 1][::-1], profile[: peak + 1][::-1], level)
    high, high_open = _edge(fine[peak:], profile[peak:], level)
    ends = [(_unscaled(name, low), low_open), (_unscaled(name, high), high_open)]
    (first, first_open), (last, last_open) = sorted(ends)
    return Flat(part, name, first, last, first_open, last_open)


def _edge(places: Float, values: Float, level: float) -> tuple[float, bool]:
    """First place outwards at which values fall through a level; the last one, open, where they do not."""
    below = np.flatnonzero(values < level)
    if not below.size:
        return float(places[-1]), True
    index = int(below[0])
    above, under = values[index - 1], values[index]
    part = (above - level) / (above - under) if above > under else 0.0
    return float(places[index - 1] + part * (places[index] - places[index - 1])), False


def plain_axes(found: DyeMap) -> dict[str, Float]:
    """The axes of a map by the name of their entry, in the order of its arrays."""
    return {"bore": found.bore, "concentration": found.concentration, "reflectivity": found.reflectivity}


def at_ends(place: Place, found: DyeMap) -> Iterator[tuple[str, str]]:
    """Entries whose best value lies at an end of its axis."""
    for name, values in plain_axes(found).items():
        value = getattr(place, name)
        if values.size > 1 and value <= values.min() * (1 + 1e-9):
            yield name, "lowest"
        elif values.size > 1 and value >= values.max() * (1 - 1e-9):
            yield name, "highest"
