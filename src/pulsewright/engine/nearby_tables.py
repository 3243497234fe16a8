"""Plasma tables of many fills and coefficients close to one another, without solving each plasma anew.

Samples of a shot differ in fill pressure and in every coefficient of the plasma. Their tables are put together in
logarithms: the table of the density, interpolated along a ladder of densities, and what each coefficient by itself
adds to it, interpolated along a few of its values. Left out is what two coefficients do only together; how little
that is stands in docs/decisions/uncertainty.md, and a test holds it.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from functools import lru_cache
from threading import Lock
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from pulsewright.engine.inputs import Uncertain
from pulsewright.engine.lamp_plasma import Asked, recipe
from pulsewright.physics.lamp.tables import PlasmaTables

Float = NDArray[np.float64]

#: Step of the ladder, in the logarithm of density; four of its tables give one between them.
DENSITY_STEP = 0.08
#: Values of a coefficient at which its part is computed, in standard deviations of its range; held beyond the ends.
DEVIATES = (-2.8, -1.4, 1.4, 2.8)
#: Tables kept as logarithms, and those that are logarithms already.
_PLAIN = ("temperature", "electron_density", "logarithm")
_LOGS = (
    "log_resistivity",
    "log_heat_potential",
    "log_diffusivity",
    "log_exitance",
    "log_wall_exitance",
    "log_absorption",
)


@dataclass(frozen=True, slots=True)
class Family:
    """What does not change from sample to sample: gases, glass of the wall where it gives vapour, lines, middle values.

    `values` of the coefficients, in order; `spreads` of those that vary; `density` and `chord` of the middle.
    """

    fills: tuple[tuple[str, float], ...]
    envelope: str
    chord: float
    density: float
    values: tuple[tuple[str, float], ...]
    spreads: tuple[Uncertain, ...]

    def solved(self, log_density: float, **changed: float) -> PlasmaTables:
        """Tables at a density, in 1/m^3, with some coefficients changed."""
        values = {**dict(self.values), **{name.replace("__", "."): value for name, value in changed.items()}}
        made = recipe(self.fills, 1.0, self.envelope, self.chord, values)
        return replace(made, number_density=float(np.exp(log_density))).tables()


class NearbyTables:
    """Tables close to those asked for in the middle."""

    def __init__(self, middle: Iterable[Asked], spreads: Iterable[Uncertain]) -> None:
        known = {item.path.removeprefix("reference."): item for item in spreads}
        self._families: list[_Made] = []
        for asked in dict.fromkeys(middle):
            varying = tuple(known[name] for name, _ in asked.values if name in known)
            family = Family(asked.fills, asked.envelope, asked.chord, asked.density, asked.values, varying)
            self._families.append(_made(family))

    def tables(self, asked: Asked) -> PlasmaTables | None:
        """Tables of a fill; None where no middle is like it: another mixture or another length of lines."""
        alike = [
            made
            for made in self._families
            if (made.family.fills, made.family.envelope) == (asked.fills, asked.envelope)
            and abs(made.family.chord - asked.chord) <= 0.1 * asked.chord
        ]
        if not alike:
            return None
        nearest = min(alike, key=lambda made: abs(np.log(made.family.density / asked.density)))
        return nearest.at(asked)


class _Made:
    """One family with the tables solved for it."""

    def __init__(self, family: Family) -> None:
        self.family = family
        self._lock = Lock()
        self._rungs: dict[int, Float] = {}
        anchor = round(np.log(family.density) / DENSITY_STEP)
        self._pattern = family.solved(anchor * DENSITY_STEP)
        middle = self._rungs[anchor] = self._vector(self._pattern)
        self._nodes: dict[str, Float] = {}
        parts = []
        for item in family.spreads:
            name = item.path.removeprefix("reference.")
            places = item.quantile(ndtr(np.array(DEVIATES)))
            self._nodes[name] = np.array([places[0], places[1], item.value, places[2], places[3]])
            changed = (family.solved(anchor * DENSITY_STEP, **{name.replace(".", "__"): v}) for v in places)
            parts += [self._vector(tables) - middle for tables in changed]
        self._parts = np.array(parts).reshape(-1, len(middle))

    def at(self, asked: Asked) -> PlasmaTables:
        """Tables of one sample."""
        place = np.log(asked.density) / DENSITY_STEP
        first = int(np.floor(place)) - 1
        values = dict(asked.values)
        weights = [_lagrange(np.arange(4.0), place - first)]
        weights += [_lagrange(nodes, values[name])[[0, 1, 3, 4]] for name, nodes in self._nodes.items()]
        found = _sum(np.concatenate(weights[1:] or [np.zeros(0)]), self._parts)
        for step, weight in enumerate(weights[0]):
            found += weight * self._rung(first + step)
        return self._named(found, asked.density)

    def _rung(self, step: int) -> Float:
        with self._lock:
            if step not in self._rungs:
                self._rungs[step] = self._vector(self.family.solved(step * DENSITY_STEP))
            return self._rungs[step]

    def _vector(self, tables: PlasmaTables) -> Float:
        """Every table in one row of logarithms, on the energies of the pattern."""
        columns = [np.log(getattr(tables, name)) for name in _PLAIN] + [getattr(tables, name) for name in _LOGS]
        flat = np.concatenate([column.reshape(*column.shape[:2], -1) for column in columns], axis=2)
        place = (self._pattern.energy_axis - tables.log_energy[0]) / tables.log_energy[1]
        below = np.clip(np.floor(place).astype(int), 0, flat.shape[1] - 2)
        part = np.clip(place - below, 0.0, 1.0)[None, :, None]
        return np.asarray(((1 - part) * flat[:, below] + part * flat[:, below + 1]).ravel())

    def _named(self, vector: Float, density: float) -> PlasmaTables:
        shape = self._pattern.temperature.shape
        flat = vector.reshape(*shape, -1)
        found: dict[str, Any] = {name: np.exp(flat[..., index]) for index, name in enumerate(_PLAIN)}
        start = len(_PLAIN)
        for name in _LOGS:
            old = getattr(self._pattern, name)
            width = old.shape[2] if old.ndim == 3 else 1
            found[name] = np.ascontiguousarray(flat[..., start : start + width]).reshape(old.shape)
            start += width
        scale = density / self._pattern.number_density
        return replace(self._pattern, number_density=density, mass_density=scale * self._pattern.mass_density, **found)


@lru_cache(maxsize=4)
def _made(family: Family) -> _Made:
    return _Made(family)


def _sum(weights: Float, rows: Float) -> Float:
    """Weighted sum of rows. A product of matrices would wake threads for each sample."""
    return np.asarray(np.einsum("i,ij->j", weights, rows))


def _lagrange(nodes: Float, place: float) -> Float:
    """Weights of the polynomial through the nodes at a place, which is held between the first and the last."""
    place = float(np.clip(place, nodes[0], nodes[-1]))
    gaps = nodes[:, None] - nodes[None, :]
    np.fill_diagonal(gaps, 1.0)
    rises = np.where(np.eye(len(nodes), dtype=bool), 1.0, place - nodes[None, :])
    return np.asarray((rises / gaps).prod(axis=1))
