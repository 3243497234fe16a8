"""Delay of a breakdown: the density integrates to the law it comes from."""

from __future__ import annotations

import numpy as np
import pytest

from pulsewright.physics.pulsed_power.statistical_lag import (
    breakdown_delay,
    breakdown_delay_density,
    breakdown_jitter,
    breakdown_probability,
)

FORMATIVE, SPREAD, MEAN = 200e-9, 20e-9, 300e-9


def test_density_has_the_right_area_mean_and_spread() -> None:
    time = np.linspace(0.0, 10e-6, 200001)
    density = np.asarray(breakdown_delay_density(time, FORMATIVE, SPREAD, MEAN))
    assert np.trapezoid(density, time) == pytest.approx(1.0, abs=1e-9)
    mean = np.trapezoid(density * time, time)
    assert mean == pytest.approx(FORMATIVE + MEAN, rel=1e-6)
    spread = np.sqrt(np.trapezoid(density * (time - mean) ** 2, time))
    assert spread == pytest.approx(float(breakdown_jitter(SPREAD, MEAN)), rel=1e-6)


def test_density_far_before_and_after_stays_finite() -> None:
    density = np.asarray(breakdown_delay_density([0.0, 1.0], 1e-3, 1e-9, 1e-6))
    assert np.all(density == 0.0)


def test_narrow_spread_gives_the_derivative_of_the_law() -> None:
    time = np.array([300e-9, 600e-9])
    step = 1e-12
    slope = (
        np.asarray(breakdown_probability(time + step, FORMATIVE, MEAN))
        - np.asarray(breakdown_probability(time - step, FORMATIVE, MEAN))
    ) / (2 * step)
    assert np.asarray(breakdown_delay_density(time, FORMATIVE, 1e-12, MEAN)) == pytest.approx(slope, rel=1e-4)


@pytest.mark.parametrize("probability", [0.0, 0.5, 0.99, 0.999999])
def test_delay_undoes_the_probability(probability: float) -> None:
    delay = breakdown_delay(probability, FORMATIVE, MEAN)
    assert breakdown_probability(delay, FORMATIVE, MEAN) == pytest.approx(probability, abs=1e-12)


def test_nothing_breaks_down_before_the_formative_lag() -> None:
    assert breakdown_probability(0.99 * FORMATIVE, FORMATIVE, MEAN) == 0.0
