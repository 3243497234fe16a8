"""Interpolation in uniform tables against SciPy's cubics, and what happens at and beyond the ends."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.interpolate import CubicHermiteSpline, RegularGridInterpolator

from pulsewright.numerics import tables

Float = NDArray[np.float64]

FIRST, STEP, COUNT = -2.0, 0.25, 21
AXIS = FIRST + STEP * np.arange(COUNT)
RANDOM = np.random.default_rng(3)


def hermite(values: Float) -> CubicHermiteSpline:
    """The cubic with central slopes; at the ends as if the last value were there twice."""
    padded = np.concatenate([values[:1], values, values[-1:]])
    return CubicHermiteSpline(AXIS, values, (padded[2:] - padded[:-2]) / (2 * STEP))


def test_lookup_is_the_cubic_with_central_slopes() -> None:
    stacked = RANDOM.normal(size=(3, COUNT))
    places = np.linspace(AXIS[0], AXIS[-1], 200)
    for row in range(3):
        found = [tables.lookup(stacked, row, x, FIRST, STEP) for x in places]
        assert found == pytest.approx(hermite(stacked[row])(places), abs=1e-12)


def test_lookup_takes_the_end_values_beyond_the_ends() -> None:
    stacked = RANDOM.normal(size=(2, COUNT))
    for x, there in ((-1e9, 0), (AXIS[0] - 0.1, 0), (AXIS[0], 0), (AXIS[-1], -1), (AXIS[-1] + 0.1, -1), (1e9, -1)):
        assert tables.lookup(stacked, 1, x, FIRST, STEP) == pytest.approx(stacked[1, there], abs=1e-13)


def test_not_a_number_is_read_within_the_table() -> None:
    """A place that is no number must not read memory that is not the table's."""
    index, part = tables.locate(np.nan, FIRST, STEP, COUNT)
    assert (index, part) == (0, 0.0)


def test_lookup_2d_reproduces_products_of_quadratics() -> None:
    """Away from the ends the cubic is exact for polynomials of second degree in each direction."""
    second_first, second_step = 1.0, 0.5
    other = second_first + second_step * np.arange(12)
    plane = (1 + AXIS[:, None] - 0.3 * AXIS[:, None] ** 2) * (2 - other + 0.1 * other**2)
    stacked = np.stack([np.zeros_like(plane), plane])
    for x, y in ((-1.1, 2.3), (0.0, 3.9), (1.93, 5.49)):
        exact = (1 + x - 0.3 * x**2) * (2 - y + 0.1 * y**2)
        found = tables.lookup_2d(stacked, 1, x, FIRST, STEP, y, second_first, second_step)
        assert found == pytest.approx(exact, rel=1e-12)


def test_lookup_2d_is_two_lookups() -> None:
    """The tensor product: along one axis, then along the other."""
    other = 3.0 + 0.2 * np.arange(9)
    stacked = RANDOM.normal(size=(1, COUNT, 9))
    for x, y in ((-1.97, 3.01), (0.4, 4.44), (2.99, 3.7), (9.0, 9.0), (-9.0, 3.3)):
        lines = np.array([[tables.lookup(stacked[0].T.copy(), j, x, FIRST, STEP) for j in range(9)]])
        expected = tables.lookup(lines, 0, y, other[0], 0.2)
        assert tables.lookup_2d(stacked, 0, x, FIRST, STEP, y, other[0], 0.2) == pytest.approx(expected, abs=1e-12)


def test_lookup_2d_passes_through_its_points() -> None:
    other = 3.0 + 0.2 * np.arange(9)
    stacked = RANDOM.normal(size=(1, COUNT, 9))
    linear = RegularGridInterpolator((AXIS, other), stacked[0])
    for x in AXIS[::4]:
        for y in other[::3]:
            found = tables.lookup_2d(stacked, 0, x, FIRST, STEP, y, other[0], 0.2)
            assert found == pytest.approx(float(linear((x, y))), abs=1e-9)


def test_hermite_resample_is_scipys_cubic() -> None:
    times = np.cumsum(RANDOM.uniform(0.1, 1.0, 30))
    values, slopes = RANDOM.normal(size=(30, 4)), RANDOM.normal(size=(30, 4))
    wanted = np.sort(np.concatenate([np.linspace(times[0], times[-1], 101), times]))
    out = np.empty((len(wanted), 4))
    tables.hermite_resample(times, values, slopes, wanted, out)
    assert out == pytest.approx(CubicHermiteSpline(times, values, slopes)(wanted), abs=1e-11)


def test_hermite_resample_holds_the_ends() -> None:
    times, values, slopes = np.array([0.0, 1.0]), np.array([[2.0], [5.0]]), np.array([[7.0], [7.0]])
    out = np.empty((2, 1))
    tables.hermite_resample(times, values, slopes, np.array([-1.0, 3.0]), out)
    assert out[:, 0] == pytest.approx([2.0, 5.0])
