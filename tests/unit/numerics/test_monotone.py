"""The monotone cubic against SciPy's, and what it promises."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.interpolate import PchipInterpolator

from pulsewright.numerics.monotone import monotone_cubic

POINTS = np.array([0.0, 0.3, 1.0, 1.1, 2.0, 4.0, 4.5])


@pytest.mark.parametrize("seed", range(4))
def test_is_scipys(seed: int) -> None:
    values = np.random.default_rng(seed).normal(size=(len(POINTS), 3))
    values[2, 0] = values[3, 0]
    wanted = np.linspace(0.0, 4.5, 101)
    assert monotone_cubic(POINTS, values, wanted) == pytest.approx(PchipInterpolator(POINTS, values)(wanted), abs=1e-12)


def test_passes_through_its_points_and_keeps_rising() -> None:
    values = np.array([0.0, 0.0, 1.0, 5.0, 5.1, 5.1, 9.0])
    assert monotone_cubic(POINTS, values, POINTS) == pytest.approx(values, abs=1e-12)
    assert np.all(np.diff(monotone_cubic(POINTS, values, np.linspace(0, 4.5, 400))) >= -1e-12)
