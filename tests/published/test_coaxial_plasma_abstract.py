"""Barikhin and Kryshalovich, J. Eng. Phys. Thermophys. 74 (2001), abstract [source]: xenon at 1 to 10 torr, conduction
becomes purely collisional (by charges) as the temperature rises. A trend: no figure is given.
"""

from __future__ import annotations

import numpy as np
import pytest

from pulsewright import refdata
from pulsewright.physics.lamp.plasma import coulomb_logarithm, heavy_density, plasma_resistivity, saha_composition

TORR = 133.322368


@pytest.mark.parametrize("torr", [1.0, 10.0])
def test_collisions_with_atoms_die_out(torr: float) -> None:
    row = refdata.gas("xenon")
    kelvin = np.array([7e3, 9e3, 12e3, 16e3, 20e3])
    energies = [float(energy) for energy in row.ionisation_energies[: len(row.levels) - 1]]
    found = saha_composition(kelvin, heavy_density(torr * TORR), energies, row.levels)
    charge = found.charge_square_density / found.electron_density
    logarithm = coulomb_logarithm(kelvin, found.screening_length)
    section = float(row.momentum_transfer_cross_section)
    both = plasma_resistivity(kelvin, found.electron_density, found.densities[:, 0], charge, logarithm, section)
    charges = plasma_resistivity(kelvin, found.electron_density, 0.0 * kelvin, charge, logarithm, section)
    share = 1.0 - charges / both
    assert np.all(np.diff(share) < 0)
    assert share[-1] < 1e-3 < share[0]
