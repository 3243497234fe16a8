"""Tuning elements: half the best transmission at half the width, the same in every order."""

from __future__ import annotations

import numpy as np
import pytest

from pulsewright.physics.resonator import tuning

BEST, WIDTH, PERIOD = 589e-9, 0.8e-9, 5e-9


@pytest.mark.parametrize("lost", [0.0, 0.2])
@pytest.mark.parametrize("side", [-0.5, 0.5])
def test_half_the_best_passes_at_half_the_width(lost: float, side: float) -> None:
    at = BEST + side * WIDTH
    single = np.exp(-tuning.tuned_loss(at, BEST, WIDTH, lost))
    etalon = np.exp(-tuning.periodic_loss(at, BEST, WIDTH, PERIOD, lost))
    assert (single, etalon) == pytest.approx((0.5 * (1 - lost), 0.5 * (1 - lost)), rel=1e-6)
    assert np.exp(-tuning.tuned_loss(BEST, BEST, WIDTH, lost)) == pytest.approx(1 - lost)


def test_an_etalon_passes_every_period_and_least_between() -> None:
    at = BEST + PERIOD * np.arange(-4, 5)
    np.testing.assert_allclose(tuning.periodic_loss(at, BEST, WIDTH, PERIOD), 0.0, atol=1e-12)
    between = np.exp(-np.asarray(tuning.periodic_loss(at + PERIOD / 2, BEST, WIDTH, PERIOD)))
    sharpness = np.sin(np.pi * WIDTH / (2 * PERIOD)) ** 2
    np.testing.assert_allclose(between, sharpness / (1 + sharpness), rtol=1e-6)


def test_two_passes_of_a_single_band_are_narrower_by_the_root_of_two() -> None:
    at = BEST + 0.5 * WIDTH / 2**0.5
    assert np.exp(-2 * np.asarray(tuning.tuned_loss(at, BEST, WIDTH))) == pytest.approx(0.5)
