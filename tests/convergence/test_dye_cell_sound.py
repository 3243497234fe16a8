"""Observed order of the sound in the dye cell: a smooth problem on finer and finer grids."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.special import j0, jn_zeros

from pulsewright import machine
from pulsewright.engine import heat
from pulsewright.engine.chain import Chain
from pulsewright.engine.inputs import inputs_of
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


@pytest.mark.slow
def test_a_shot_is_resolved(monkeypatch: pytest.MonkeyPatch) -> None:
    """Twice the shells and cells move the wavefront by less than one per cent, its moments by less than three."""
    loaded = machine.load_text(machine.bench_text("tidewater"), "laser.toml")
    assert loaded.build is not None
    usual = heat.heat_stage(Chain().run(inputs_of(loaded.build)))
    monkeypatch.setattr(heat, "CELLS", 2 * heat.CELLS)
    fine = heat.heat_stage(Chain().run(inputs_of(loaded.build, shells=16)))
    np.testing.assert_allclose(usual.errors.rms[40:], fine.errors.rms[40:], rtol=0.01)
    np.testing.assert_allclose(usual.errors.rest[40:], fine.errors.rest[40:], rtol=0.02)
    assert usual.spoilt_time is not None
    assert usual.widened_time is not None
    start = usual.heat_time[0]
    assert usual.spoilt_time - start == pytest.approx((fine.spoilt_time or 0.0) - start, rel=0.01)
    assert usual.widened_time - start == pytest.approx((fine.widened_time or 0.0) - start, rel=0.03)
