"""Dissociation of nitrogen, oxygen and nitric oxide against tables of equilibrium constants.

Source: natural logarithms of equilibrium constants at 1 atm in the tables of thermodynamics textbooks (after the JANAF
tables), from memory. Tolerance: 0.05 where one bond breaks (5 %: stiff rotor, harmonic vibration, digits from memory);
0.15 for nitric oxide, whose heat of formation has moved by 0.8 kJ/mol since (two bonds, 0.1 at 2000 K).
"""

from __future__ import annotations

import numpy as np
import pytest
from scipy import constants

from pulsewright import refdata
from pulsewright.engine.coefficients import PLASMA_OF_GAS
from pulsewright.engine.lamp_plasma import recipe
from pulsewright.physics.lamp import mixture

ATMOSPHERE = 101325.0


def partial_pressures(name: str, kelvin: float, density: float = 1e24) -> dict[str, float]:
    """Pressures in atm of atoms and molecules in a gas of the named fill, at nuclei per volume."""
    names = {row.name for row, _ in refdata.gas_parts(name)}
    values = {f"{n}.{field}": float(getattr(refdata.gas(n), field)) for n in names for field in PLASMA_OF_GAS}
    values |= {"plasma.range_factor": 3.0, "plasma.fill_temperature": 300.0}
    made = recipe(((name, 1.0),), 1e4, "", 0.0, values)
    parts = np.array([made.fill.nuclei])
    found = mixture.mixture_composition(np.array([kelvin]), np.array([density]), parts, made.species)
    order = [row.name for row, _ in refdata.gas_parts(name)]
    bonds = [m for m in refdata.names()["molecule"] if set(refdata.molecule(m).atoms) <= names]
    scale = constants.k * kelvin / ATMOSPHERE
    atoms = {n: float(rows[0, 0]) * scale for n, rows in zip(order, found.populations, strict=True)}
    return atoms | {m: float(found.molecules[0, place]) * scale for place, m in enumerate(bonds)}


@pytest.mark.parametrize(
    ("name", "kelvin", "printed"),
    [
        ("O2", 2000.0, -14.619),
        ("O2", 3000.0, -4.357),
        ("N2", 2000.0, -41.645),
        ("N2", 3000.0, -22.359),
        ("N2", 4000.0, -12.671),
    ],
)
def test_breaking_one_bond(name: str, kelvin: float, printed: float) -> None:
    """ln(p_A^2 / p_A2), pressures in atm, of what a pure gas settles at."""
    atom = refdata.molecule(name).atoms[0]
    pressures = partial_pressures(atom, kelvin)
    assert np.log(pressures[atom] ** 2 / pressures[name]) == pytest.approx(printed, abs=0.05)


@pytest.mark.parametrize(("kelvin", "printed"), [(2000.0, -7.824), (3000.0, -4.205)])
def test_nitric_oxide_from_its_elements(kelvin: float, printed: float) -> None:
    """ln(p_NO^2 / (p_N2 p_O2)) in air."""
    pressures = partial_pressures("air", kelvin)
    found = np.log(pressures["NO"] ** 2 / (pressures["N2"] * pressures["O2"]))
    assert found == pytest.approx(printed, abs=0.15)
