from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pulsewright.errors import DomainError
from pulsewright.physics.beam.damage import (
    exceedance_probability,
    exceedance_probability_over_shots,
    highest_scaled_threshold,
    log_standard_deviation,
    scaled_threshold,
)

factors = st.floats(0.05, 20.0)
spreads = st.floats(0.01, 1.5)


def test_nothing_changes_where_the_test_was_made() -> None:
    assert scaled_threshold(1e5, 1064e-9, 10e-9, 1064e-9, 10e-9) == (1e5, False)


def test_exponent_is_the_careful_one_in_each_direction() -> None:
    longer = scaled_threshold(1.0, 1e-6, 1e-8, 1e-6, 1e-7).threshold
    shorter = scaled_threshold(1.0, 1e-6, 1e-8, 1e-6, 1e-9).threshold
    redder = scaled_threshold(1.0, 5e-7, 1e-8, 1e-6, 1e-8).threshold
    bluer = scaled_threshold(1.0, 1e-6, 1e-8, 5e-7, 1e-8).threshold
    assert longer == pytest.approx(10**0.1)
    assert shorter == pytest.approx(10**-0.6)
    assert redder == pytest.approx(2**0.5)
    assert bluer == pytest.approx(0.5)


@given(factors, factors)
def test_scaled_thresholds_bracket_every_published_exponent(time_factor: float, wave_factor: float) -> None:
    where = (1.0, 1e-6, 1e-8, 1e-6 * wave_factor, 1e-8 * time_factor)
    low, high = scaled_threshold(*where).threshold, highest_scaled_threshold(*where)
    for x in (0.1, 0.3, 0.5, 0.6):
        for y in (0.5, 0.75, 1.0):
            answer = time_factor**x * wave_factor**y
            assert low <= answer * (1 + 1e-12)
            assert high >= answer * (1 - 1e-12)


@pytest.mark.parametrize(("ratio", "flag"), [(10.0, False), (10.5, True), (0.1, False), (0.09, True)])
def test_more_than_a_decade_is_extrapolated(ratio: float, flag: bool) -> None:
    assert scaled_threshold(1.0, 1e-6, 1e-8, 1e-6, 1e-8 * ratio).extrapolated is flag


def test_arrays_come_back_as_arrays() -> None:
    threshold, far = scaled_threshold([1.0, 2.0], 1e-6, 1e-8, 1e-6, [1e-8, 1e-5])
    assert np.shape(threshold) == (2,)
    assert np.asarray(far).tolist() == [False, True]


@pytest.mark.parametrize("place", range(5))
def test_every_argument_must_be_positive(place: int) -> None:
    arguments = [1.0, 1e-6, 1e-8, 1e-6, 1e-8]
    arguments[place] = 0.0
    with pytest.raises(DomainError):
        scaled_threshold(*arguments)


@given(spreads)
def test_spread_is_half_the_width_of_the_central_interval(spread: float) -> None:
    sigma = log_standard_deviation(spread)
    low, high = math.exp(-1.6448536 * sigma), math.exp(1.6448536 * sigma)
    assert (high - low) / 2 == pytest.approx(spread, rel=1e-6)


def test_probability_without_spreads_is_a_step() -> None:
    assert exceedance_probability([0.5, 1.0, 1.0001], 1.0, 0.0, 0.0).tolist() == [0.0, 0.0, 1.0]
    assert exceedance_probability(0.0, 1.0, 0.5, 0.5) == 0.0


@given(st.floats(0.1, 10.0), spreads, spreads)
def test_probability_is_symmetric_about_the_limit_and_rises_with_stress(ratio: float, s: float, t: float) -> None:
    above, below = exceedance_probability(ratio, 1.0, s, t), exceedance_probability(1.0, ratio, s, t)
    assert above + below == pytest.approx(1.0, abs=1e-12)
    assert exceedance_probability(1.1 * ratio, 1.0, s, t) >= above


def test_probability_agrees_with_drawing_numbers() -> None:
    random = np.random.default_rng(7)
    stress = 0.8 * np.exp(log_standard_deviation(0.3) * random.standard_normal(400_000))
    limit = 1.0 * np.exp(log_standard_deviation(0.5) * random.standard_normal(400_000))
    assert exceedance_probability(0.8, 1.0, 0.3, 0.5) == pytest.approx(np.mean(stress > limit), abs=0.003)


def test_over_shots_equals_one_shot_for_one_and_independent_shots_for_a_known_limit() -> None:
    once = exceedance_probability(0.7, 1.0, 0.3, 0.0)
    assert exceedance_probability_over_shots(0.7, 1.0, 0.3, 0.0, 50) == pytest.approx(1 - (1 - once) ** 50, rel=1e-9)
    both = exceedance_probability(0.7, 1.0, 0.3, 0.4)
    assert exceedance_probability_over_shots(0.7, 1.0, 0.3, 0.4, 1) == pytest.approx(both, rel=1e-9)


def test_over_shots_an_uncertain_limit_is_met_once_not_anew() -> None:
    both = exceedance_probability(0.5, 1.0, 0.1, 0.6)
    over = exceedance_probability_over_shots(0.5, 1.0, 0.1, 0.6, 1000)
    assert both < over < 1 - (1 - both) ** 1000
    assert exceedance_probability_over_shots(0.5, 1.0, 0.1, 0.6, 0) == 0.0


@given(st.floats(0.2, 3.0), st.integers(1, 10_000))
def test_over_shots_never_falls_with_their_number(ratio: float, shots: int) -> None:
    p = exceedance_probability_over_shots(ratio, 1.0, 0.3, 0.3, [shots, 2 * shots])
    assert 0 <= p[0] <= p[1] + 1e-12 <= 1 + 1e-9
