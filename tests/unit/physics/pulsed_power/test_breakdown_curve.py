"""Breakdown curve of lamps: its branches, and what measured pairs do to it."""

from __future__ import annotations

import math

import pytest

from pulsewright.physics.pulsed_power.breakdown_curve import (
    AWAY_SPREAD,
    LEAST_SPREAD,
    ONE_PAIR_SPREAD,
    UNMEASURED_FACTOR,
    BreakdownCurve,
    calibrated_curve,
    gas_curve,
)

GAP = 0.1
BASE = BreakdownCurve(1000.0, 1.0, GAP)  # V = 1000 x / (1 + ln x), x in Pa m; minimum of 1000 V at 10 Pa
Pairs = list[tuple[float, float]]


def pairs_of(curve: BreakdownCurve, *pressures: float) -> Pairs:
    return [(pressure, curve.voltage(pressure)) for pressure in pressures]


def test_minimum_and_branches() -> None:
    assert BASE.lowest_pressure == pytest.approx(10.0)
    assert BASE.lowest_voltage == pytest.approx(1000.0)
    for volts in (1001.0, 5e3, 1e5):
        left, right = BASE.left_pressure(volts), BASE.right_pressure(volts)
        assert left is not None
        assert right is not None
        assert left < 10.0 < right
        assert BASE.voltage(left) == pytest.approx(volts, rel=1e-9)
        assert BASE.voltage(right) == pytest.approx(volts, rel=1e-9)
    assert BASE.right_pressure(999.0) is None
    assert BASE.left_pressure(999.0) is None
    assert BASE.voltage(0.0) == math.inf
    assert BASE.voltage(1.0) == math.inf  # x = 0.1: the law has no solution


def test_slope_is_that_of_the_curve() -> None:
    for pressure in (20.0, 400.0, 9e3):
        step = 1e-5 * pressure
        rise = (BASE.voltage(pressure + step) - BASE.voltage(pressure - step)) / (2 * step)
        assert BASE.slope(pressure) == pytest.approx(rise, rel=1e-6)


def test_lamps_in_series_share_the_voltage() -> None:
    one, three = (gas_curve(10.0, 200.0, 0.01, GAP, lamps) for lamps in (1, 3))
    assert three.voltage(500.0) == pytest.approx(3 * one.voltage(500.0))
    assert three.right_pressure(9e3) == pytest.approx(one.right_pressure(3e3))


def test_nothing_measured_leaves_a_wide_range() -> None:
    assert BASE.spread == pytest.approx(math.log(UNMEASURED_FACTOR))
    assert calibrated_curve(BASE, []) == BASE


def test_one_pair_scales() -> None:
    moved = calibrated_curve(BASE, [(400.0, 2 * BASE.voltage(400.0))])
    assert moved.voltage(90.0) == pytest.approx(2 * BASE.voltage(90.0))
    assert moved.spread == ONE_PAIR_SPREAD
    assert "1 measured pair" in moved.words


def test_pairs_close_together_scale_by_their_mean() -> None:
    volts = BASE.voltage(400.0)
    moved = calibrated_curve(BASE, [(400.0, 1.05 * volts), (400.0, 0.95 * volts)])
    assert moved.logarithm_constant == BASE.logarithm_constant
    assert moved.voltage(400.0) == pytest.approx(math.sqrt(1.05 * 0.95) * volts)
    deviation = abs(math.log(1.05 / 0.95)) / 2 * math.sqrt(2.0)
    assert moved.spread == pytest.approx(6.3138 * deviation, rel=1e-4)  # Student's t of two readings, from tables
    apart = calibrated_curve(BASE, [(400.0, 1.5 * volts), (400.0, 0.5 * volts)])
    assert apart.spread == BASE.spread, "never wider than unmeasured"


@pytest.mark.parametrize("count", [2, 5])
def test_two_constants_are_found_again(count: int) -> None:
    true = BreakdownCurve(1700.0, 0.4, GAP)
    moved = calibrated_curve(BASE, pairs_of(true, *(300.0 * 2**part for part in range(count))))
    assert moved.field_constant == pytest.approx(1700.0, rel=1e-6)
    assert moved.logarithm_constant == pytest.approx(0.4, rel=1e-6)
    assert moved.spread == (ONE_PAIR_SPREAD if count == 2 else LEAST_SPREAD)


def test_pairs_that_no_curve_fits_scale_it() -> None:
    """A voltage that falls with pressure right of the minimum: not two constants, but a scale and a wide spread."""
    moved = calibrated_curve(BASE, [(300.0, 9e3), (900.0, 5e3)])
    assert moved.logarithm_constant == BASE.logarithm_constant
    assert moved.spread > 0.5


def test_pairs_left_of_the_minimum_follow_the_logarithm() -> None:
    """V = a + b log(pd), as published there."""
    a, b = 2000.0, -4000.0
    pairs = [(pressure, a + b * math.log(pressure * GAP)) for pressure in (1.0, 3.0, 6.0)]
    moved = calibrated_curve(BASE, pairs)
    assert moved.left == pytest.approx((a, b))
    assert moved.voltage(2.0) == pytest.approx(a + b * math.log(0.2))
    assert moved.left_pressure(6e3) == pytest.approx(math.exp((6e3 - a) / b) / GAP)
    assert moved.voltage(100.0) == BASE.voltage(100.0)


def test_one_pair_left_of_the_minimum_goes_through_the_minimum() -> None:
    moved = calibrated_curve(BASE, [(2.0, 9e3)])
    assert moved.voltage(2.0) == pytest.approx(9e3)
    assert moved.voltage(9.9999) == pytest.approx(BASE.lowest_voltage, rel=1e-2)


def test_scaling_takes_both_branches() -> None:
    moved = calibrated_curve(BASE, [(1.0, 2e4), (3.0, 1e4)]).scaled(1.5)
    assert moved.voltage(1.0) == pytest.approx(3e4)
    assert moved.voltage(500.0) == pytest.approx(1.5 * BASE.voltage(500.0))


def test_range_widens_away_from_what_was_measured() -> None:
    moved = calibrated_curve(BASE, pairs_of(BASE, 200.0, 400.0, 800.0))
    inside, near, far = (moved.spread_at(pressure) for pressure in (400.0, 1600.0, 1e6))
    assert inside == moved.spread_at(200.0) == LEAST_SPREAD
    assert near == pytest.approx(math.hypot(LEAST_SPREAD, AWAY_SPREAD * math.log(2.0)))
    assert moved.spread_at(100.0) == pytest.approx(near)
    assert far == pytest.approx(math.log(UNMEASURED_FACTOR))
    assert BASE.spread_at(400.0) == BASE.spread_at(1e6) == BASE.spread


@pytest.mark.parametrize("pair", [(0.0, 1e3), (1e3, 0.0), (-1.0, 1e3), (math.nan, 1e3)])
def test_pairs_must_be_positive(pair: tuple[float, float]) -> None:
    with pytest.raises(ValueError, match="above zero"):
        calibrated_curve(BASE, [pair])
