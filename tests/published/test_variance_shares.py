"""Shares of the variance by samples, against functions whose first-order indices are known exactly.

Ishigami function, a = 7, b = 0.1: T. Ishigami and T. Homma, An importance quantification technique in uncertainty
analysis for computer models, Proc. ISUMA '90 (1990); indices 0.3139, 0.4424, 0 as printed in A. Saltelli et al.,
Global Sensitivity Analysis: The Primer (2008), from memory; their closed form stands beside them.
G-function of Sobol': A. Saltelli and I. M. Sobol', Reliab. Eng. Syst. Saf. 50, 225 (1995), from memory; for
a = (0, 1, 4.5, 9, 99, 99, 99, 99) the printed indices are 0.716, 0.179, 0.0237, 0.0072 and 0.0001.
"""

from __future__ import annotations

import numpy as np
import pytest

from pulsewright.studies.dominant import bins_for, first_order_shares, largest
from pulsewright.studies.sampling import latin_hypercube

COUNT = 4096
#: Two standard errors of an index from this many samples in 32 bins, and what 32 bins leave inside of one.
ALLOWED = 0.02


def drawn(inputs: int, count: int = COUNT, seed: int = 0) -> np.ndarray:
    return latin_hypercube([f"x{place}" for place in range(inputs)], count, seed)


def ishigami(unit: np.ndarray) -> np.ndarray:
    x = np.pi * (2.0 * unit - 1.0)
    return np.asarray(np.sin(x[:, 0]) + 7.0 * np.sin(x[:, 1]) ** 2 + 0.1 * x[:, 2] ** 4 * np.sin(x[:, 0]))


@pytest.mark.parametrize("seed", [0, 1])
def test_ishigami(seed: int) -> None:
    unit = drawn(3, seed=seed)
    shares = first_order_shares(unit, ishigami(unit))
    assert shares == pytest.approx([0.3139, 0.4424, 0.0], abs=ALLOWED)
    # closed form: V1 = (1 + b pi^4 / 5)^2 / 2, V2 = a^2 / 8, V = V1 + V2 + b^2 pi^8 (1/18 - 1/50)
    first, second = 0.5 * (1 + 0.1 * np.pi**4 / 5) ** 2, 49.0 / 8.0
    total = first + second + 0.01 * np.pi**8 * (1 / 18 - 1 / 50)
    assert [first / total, second / total] == pytest.approx([0.3139, 0.4424], abs=5e-5)


def test_ishigami_names_the_inputs_in_order() -> None:
    unit = drawn(3, 400)
    named = largest(("x0", "x1", "x2"), first_order_shares(unit, ishigami(unit)), 2)
    assert [path for path, _ in named] == ["x1", "x0"]


def test_g_function_of_sobol() -> None:
    scale = np.array([0.0, 1.0, 4.5, 9.0, 99.0, 99.0, 99.0, 99.0])
    unit = drawn(8)
    result = np.prod((np.abs(4 * unit - 2) + scale) / (1 + scale), axis=1)
    shares = first_order_shares(unit, result)
    assert shares[:4] == pytest.approx([0.716, 0.179, 0.0237, 0.0072], abs=ALLOWED)
    assert np.all(shares[4:] < ALLOWED)


def test_a_sum_shares_its_variance_by_the_squares_of_its_factors() -> None:
    factors = np.array([4.0, 3.0, 2.0, 1.0, 0.0])
    unit = drawn(5)
    shares = first_order_shares(unit, unit @ factors)
    assert shares == pytest.approx(factors**2 / np.sum(factors**2), abs=ALLOWED)


def test_an_input_that_does_nothing_has_no_share_on_average() -> None:
    unit = drawn(40, 400)
    shares = first_order_shares(unit, unit[:, 0])
    # binning leaves 1 / K^2 of a straight line inside its bins
    assert shares[0] == pytest.approx(1.0, abs=1.5 / bins_for(400) ** 2)
    assert np.mean(shares[1:]) < 0.015


def test_what_does_not_vary_has_no_shares() -> None:
    assert np.all(first_order_shares(drawn(3, 100), np.full(100, 5.0)) == 0.0)
    assert largest(("x",), np.zeros(1)) == ()
