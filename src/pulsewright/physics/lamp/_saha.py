"""Ionisation ladder of one element for a given electron density: what `plasma` and `mixture` share."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import constants

Float = NDArray[np.float64]
Levels = Sequence[tuple[float, float]]

#: e^2 / (4 pi eps0). [J m]
COULOMB = constants.e**2 / (4 * np.pi * constants.epsilon_0)
#: Largest part of an ionisation energy that the Debye field may take away; beyond it the theory has no meaning.
MAXIMUM_LOWERING = 0.8


def level_sum(temperature: ArrayLike, levels: Levels, ceiling: ArrayLike = np.inf) -> Any:
    """Sum of weights times Boltzmann factors of the levels below the ceiling."""
    kt = constants.k * np.asarray(temperature, dtype=float)
    total = np.zeros(np.broadcast(kt, np.asarray(ceiling, dtype=float)).shape)
    for degeneracy, energy in levels:
        total = total + np.where(np.less(energy, ceiling), degeneracy * np.exp(-energy / kt), 0.0)
    return total


def thermal_states(temperature: Float) -> Float:
    """Two spin states times the states of free electrons per volume, in 1/m^3."""
    kt = constants.k * temperature
    return np.asarray(2 * (2 * np.pi * constants.m_e * kt / constants.h**2) ** 1.5)


@dataclass(frozen=True, slots=True, eq=False)
class Ladder:
    """What the ionisation of one element needs at fixed temperatures, made once for all rounds of an iteration.

    `climbs` per step (P,): free-electron states times the ion's partition function times exp(-I / kT); `factors` per
    charge, one row a level (levels, P), and the `places` of the levels (levels, 1) [J].
    """

    temperature: Float
    energies: Float
    climbs: tuple[Float, ...]
    factors: tuple[Float, ...]
    places: tuple[Float, ...]


def ladder_of(temperature: Float, energies: Float, levels: Sequence[Levels]) -> Ladder:
    """Prepare the ladder of one element with successive ionisation `energies` [J] and the levels of atom and ions."""
    kt, states = constants.k * temperature, thermal_states(temperature)
    climbs = tuple(
        np.asarray(states * level_sum(temperature, levels[z + 1]) * np.exp(-energy / kt))
        for z, energy in enumerate(energies)
    )
    tables = [np.array(levels[z], dtype=float) for z in range(len(energies))]
    factors = tuple(np.asarray(rows[:, :1] * np.exp(-rows[:, 1:] / kt)) for rows in tables)
    return Ladder(temperature, energies, climbs, factors, tuple(rows[:, 1:] for rows in tables))


def ladder_rows(ladder: Ladder, electrons: Float, length: Float) -> tuple[Float, Float]:
    """Densities per charge over that of the neutral atom (P, Z + 1), and the atom's partition function (P,)."""
    kt = constants.k * ladder.temperature
    rows, atom = [np.ones_like(kt)], np.ones_like(kt)
    for z, energy in enumerate(ladder.energies):
        lowering = np.minimum((z + 1) * COULOMB / length, MAXIMUM_LOWERING * energy)
        below = np.sum(ladder.factors[z], axis=0, where=ladder.places[z] < energy - lowering)
        rows.append(rows[-1] * ladder.climbs[z] / below * np.exp(lowering / kt) / electrons)
        if z == 0:
            atom = below
    return np.stack(rows, axis=1), atom
