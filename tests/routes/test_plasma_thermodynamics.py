"""Ionisation, dissociation and energy of a lamp plasma against relations that the model does not use."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import constants
from scipy.optimize import brentq

from pulsewright import refdata
from pulsewright.engine.coefficients import PLASMA_OF_GAS
from pulsewright.engine.lamp_plasma import element_row, recipe
from pulsewright.physics.lamp import mixture, plasma

TORR = 133.322368


def made_of(name: str, torr: float):  # type: ignore[no-untyped-def]
    values = {f"{name}.{field}": float(getattr(element_row(name), field)) for field in PLASMA_OF_GAS}
    values |= {"plasma.range_factor": 3.0, "plasma.fill_temperature": 300.0}
    return recipe(((name, 1.0),), torr * TORR, "", 0.0, values)


@pytest.mark.parametrize("kelvin", [9e3, 14e3, 22e3])
@pytest.mark.parametrize("torr", [30.0, 450.0])
def test_ionisation_is_the_root_of_saha_s_equations(kelvin: float, torr: float) -> None:
    """Xenon to two charges, written out: one unknown, the electron density, found as a root.

    Each ion's field of charge lowers the step above it: e^2 for the atom's, 2 e^2 for the first ion's, over the length
    that electrons and ions screen together.
    """
    row, n = refdata.gas("xenon"), torr * TORR / (constants.k * 300.0)
    steps = [float(energy) for energy in row.ionisation_energies[:2]]
    levels = row.levels[:3]
    kt = constants.k * kelvin
    states = 2.0 * (2.0 * np.pi * constants.m_e * kt) ** 1.5 / constants.h**3

    def ladder(electrons: float, doubles: float) -> tuple[float, float, float]:
        """Atoms, ions of one charge and of two, per atom."""
        squares = electrons + (electrons - 2 * doubles) + 4 * doubles
        length = (constants.epsilon_0 * kt / (constants.e**2 * squares)) ** 0.5
        found = [1.0]
        for z, step in enumerate(steps):
            less = (z + 1) * constants.e**2 / (4 * np.pi * constants.epsilon_0 * length)
            sums = [
                sum(g * np.exp(-energy / kt) for g, energy in levels[charge] if energy < limit)
                for charge, limit in ((z, step - less), (z + 1, np.inf))
            ]
            found.append(found[-1] * states * sums[1] / sums[0] * np.exp(-(step - less) / kt) / electrons)
        return found[0], found[1], found[2]

    def doubles_at(electrons: float) -> float:
        doubles = 0.0
        for _ in range(200):
            rows = ladder(electrons, doubles)
            doubles = 0.5 * (doubles + min(n * rows[2] / sum(rows), electrons / 2))
        return doubles

    def missing(electrons: float) -> float:
        rows = ladder(electrons, doubles_at(electrons))
        return n * (rows[1] + 2 * rows[2]) / sum(rows) - electrons

    root = brentq(missing, 1e-6 * n, 1.999 * n, rtol=1e-13)
    found = plasma.saha_composition(np.array([kelvin]), n, steps, levels)
    assert found.electron_density[0] == pytest.approx(root, rel=1e-7)


@pytest.mark.parametrize(("name", "kelvin"), [("nitrogen", 4500.0), ("oxygen", 3000.0)])
def test_energy_of_a_molecule_follows_from_how_its_balance_shifts_with_temperature(name: str, kelvin: float) -> None:
    """Van 't Hoff at constant volume: k T^2 d ln(n_A^2 / n_AA) / dT is the energy that one more broken bond costs.

    The energy of a molecule is what two densities at one temperature, one more dissociated, leave for it.
    """
    made = made_of(name, 100.0)
    step = 1e-3 * kelvin
    hot = np.array([kelvin - step, kelvin + step, kelvin, kelvin])
    density = np.array([1e23, 1e23, 1e22, 1e24])
    found = mixture.mixture_composition(hot, density, np.ones((4, 1)), made.species)
    atoms, pairs = found.populations[0][:, 0], found.molecules[:, 0]
    law = np.log(atoms**2 / pairs)
    cost = constants.k * kelvin**2 * (law[1] - law[0]) / (2 * step)
    each_atom, each_pair = np.linalg.solve(np.column_stack([atoms, pairs])[2:], found.energy[2:])
    assert each_atom == pytest.approx(1.5 * constants.k * kelvin, rel=1e-3)
    # the atom's own low levels, whose energy is left out, are what remains
    assert cost == pytest.approx(2 * each_atom - each_pair, abs=0.08 * constants.k * kelvin)


@pytest.mark.parametrize(("name", "halves"), [("xenon", 3.0), ("nitrogen", 5.0), ("oxygen", 5.0)])
def test_cold_gas_takes_the_heat_of_a_rare_gas_or_of_a_stiff_molecule(name: str, halves: float) -> None:
    """3/2 k or 5/2 k for each free particle."""
    made = made_of(name, 100.0)
    cold = [made.fill.cold_energy(made.species, kelvin) for kelvin in (300.0, 301.0)]
    assert (cold[1] - cold[0]) / made.fill.particles() == pytest.approx(halves / 2 * constants.k, rel=1e-6)
