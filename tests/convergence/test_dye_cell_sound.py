"""Observed order of the sound in the dye cell: a smooth problem on finer and finer grids."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import j0, jn_zeros

from pulsewright.physics.thermal.radial_sound import Wall, radial_sound


@pytest.mark.parametrize("wall", [Wall(rigid=True), Wall()], ids=["rigid", "free"])
def test_second_order(wall: Wall) -> None:
    """A mode of the bore after two periods, against its exact shape."""
    zero = jn_zeros(1 if wall.rigid else 0, 2)[1]
    errors = []
    for cells in (20, 40, 80, 160):
        r = (np.arange(cells) + 0.5) / cells
        first = 1e5 * j0(zero * r)
        none = np.zeros((2, cells))
        period = 2 * np.pi * 4e-3 / (1159.0 * zero)
        found = radial_sound(
            none, 2.25 * period, 4e-3, 789.0, 1159.0, 0.6, wall, initial_pressure=first, samples=2, courant=0.9
        )
        now = first + 789.0 * 1159.0**2 * found.compression[-1]  # a quarter period on: nothing but error
        errors.append(float(np.sqrt(now * now @ found.weight)) / 1e5)
    orders = np.log2(np.array(errors[:-1]) / np.array(errors[1:]))
    assert np.all(orders > 1.8), orders
    assert errors[-1] < 1e-3
