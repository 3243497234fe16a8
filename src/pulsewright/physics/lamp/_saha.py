"""Ionisation ladder of one element for a given electron density: what `plasma` and `mixture` share."""

from __future__ import annotations

from collections.abc import Sequence
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


def ladder_rows(
    temperature: Float, electrons: Float, length: Float, energies: Float, levels: Sequence[Levels]
) -> tuple[Float, Float]:
    """Densities per charge over that of the neutral atom (P, Z + 1), and the atom's partition function (P,)."""
    kt, states = constants.k * temperature, thermal_states(temperature)
    rows, atom = [np.ones_like(kt)], np.ones_like(kt)
    for z, energy in enumerate(energies):
        lowering = np.minimum((z + 1) * COULOMB / length, MAXIMUM_LOWERING * energy)
        below = level_sum(temperature, levels[z], energy - lowering)
        above = level_sum(temperature, levels[z + 1])
        rows.append(rows[-1] * states * above / below * np.exp(-(energy - lowering) / kt) / electrons)
        if z == 0:
            atom = below
    return np.stack(rows, axis=1), atom
