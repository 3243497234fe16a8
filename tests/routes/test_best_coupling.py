"""The best output coupler: the kinetics scanned finely against the closed form of a steady four-level laser."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.optimize import minimize_scalar

from pulsewright.physics.dye.kinetics import Cavity, DyeRates, laser_kinetics
from pulsewright.physics.resonator.coupling import best_coupler_reflectivity

DENSITY, VOLUME, LENGTH, REAR = 3.6e22, 1e-6, 0.15, 0.99
ONE, NONE = np.ones(1), np.zeros(1)
EMISSION, LIFETIME = 1.5e-20, 4e-9


def output(coupler: float, pump: float, loss: float) -> float:
    """Photons a second through the coupler once a dye without any absorption of its own is in balance."""
    rates = DyeRates(0.9 / LIFETIME, 0.1 / LIFETIME, 0.0, 0.0, 0.0, 3e6, EMISSION * ONE, NONE, NONE, NONE, ONE)
    mirrors = Cavity(0.4, LENGTH, 1.36, REAR * ONE, coupler * ONE, -np.log1p(-loss) * ONE, 1e-8)
    time = np.linspace(0.0, 3e-6, 200)
    gain = laser_kinetics(time, np.full((200, 1), pump), rates, mirrors, DENSITY, VOLUME, 1e-6)
    return float(gain.output_rate[gain.time > 2.4e-6, 0].mean())


@pytest.mark.slow
@pytest.mark.parametrize(("passes", "loss"), [(0.6, 0.02), (0.3, 0.05), (2.0, 0.03)])
def test_the_kinetics_have_the_best_coupler_of_the_textbook(passes: float, loss: float) -> None:
    """Without loss by excited dye the mean-field laser is the four-level one: the optimum is the closed form."""
    # a part p of the dye excited without light gives the gain of a pass; few of the molecules, so the pump stays even
    excited = passes / (EMISSION * DENSITY * LENGTH)
    pump = excited / (1 - excited) / LIFETIME
    expected = float(best_coupler_reflectivity(passes, loss, REAR))
    found = minimize_scalar(
        lambda coupling: -output(float(np.exp(-coupling)), pump, loss), bounds=(1e-3, 2.0), options={"xatol": 1e-4}
    )
    assert -np.log(expected) == pytest.approx(found.x, rel=0.02)


def test_below_threshold_there_is_no_best_coupler() -> None:
    assert best_coupler_reflectivity(0.01, 0.02) == 1.0
    assert best_coupler_reflectivity(0.0, 0.0) == 1.0
    assert best_coupler_reflectivity(0.5, 1.0) == 1.0  # nothing comes back from a pass


def test_the_optimum_leaves_the_output_where_its_slope_is_zero() -> None:
    """P ~ t (2 g / (t + d) - 1): the closed form is where its derivative vanishes, by differences."""
    gain, loss = 0.5, 0.02
    inner = -2 * np.log1p(-loss)
    best = -np.log(float(best_coupler_reflectivity(gain, loss)))

    def power(coupling: float) -> float:
        return coupling * (2 * gain / (coupling + inner) - 1)

    step = 1e-5
    assert abs(power(best + step) - power(best - step)) / (2 * step) < 1e-6
    assert power(best) > max(power(0.9 * best), power(1.1 * best))
