"""The exponential without calls against the library's, over its range, near zero, and beyond."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numba import njit
from numpy.typing import NDArray

from pulsewright.numerics import exponential

Float = NDArray[np.float64]


@njit
def over(x: Float, exp: Float, expm1: Float) -> None:
    """Both, in a loop that the compiler makes vector instructions of."""
    for i in range(x.shape[0]):
        exp[i] = exponential.exp(x[i])
        expm1[i] = exponential.expm1(x[i])


def both(x: Float) -> tuple[Float, Float]:
    exp, expm1 = np.empty_like(x), np.empty_like(x)
    over(x, exp, expm1)
    return exp, expm1


@pytest.mark.parametrize(
    ("low", "high"), [(-700, 700), (-40, 40), (-1, 1), (-0.4, -0.3), (0.3, 0.4), (-1e-6, 1e-6), (-1e-300, 1e-300)]
)
def test_agrees_with_the_library_to_a_few_last_digits(low: float, high: float) -> None:
    x = np.concatenate([np.random.default_rng(1).uniform(low, high, 4001), [low, high]])
    exp, expm1 = both(x)
    assert exp == pytest.approx(np.exp(x), rel=1e-15, abs=0)
    assert expm1 == pytest.approx(np.expm1(x), rel=1e-15, abs=0)


def test_one_number_alone_is_the_same_as_in_a_loop() -> None:
    x = np.linspace(-5, 5, 33)
    exp, expm1 = both(x)
    assert [exponential.exp(value) for value in x] == pytest.approx(exp, rel=3e-16)
    assert [exponential.expm1(value) for value in x] == pytest.approx(expm1, rel=3e-16, abs=1e-300)


def test_stays_at_its_ends_beyond_them_and_knows_no_number() -> None:
    exp, expm1 = both(np.array([np.nan, 1e4, np.inf, -1e4, -np.inf, 0.0] * 5))
    assert np.isnan(exp[0])
    assert np.isnan(expm1[0])
    assert exp[1] == exp[2] == pytest.approx(math.exp(700.0), rel=1e-13)
    assert exp[3] == exp[4] == pytest.approx(math.exp(-700.0), rel=1e-13)
    assert expm1[3] == expm1[4] == -1.0
    assert (exp[5], expm1[5]) == (1.0, 0.0)
