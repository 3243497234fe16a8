from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pulsewright.errors import DomainError
from pulsewright.physics.air import clearing, oxygen, vapour

CALLS: list[tuple[Callable[..., Any], tuple[float, ...]]] = [
    (clearing.clearing_time, (2e-3, 0.01, 2.0)),
    (clearing.fraction_left, (2e-3, 500.0, 2.0)),
    (clearing.particle_limit, (5.0, 0.5e-6)),
    (vapour.gas_volume, (1.0, 0.044, 293.0, 1e5)),
    (vapour.vapour_volume, (1e-3, 789.0, 0.046, 293.0, 1e5)),
    (vapour.dilution_air_volume, (0.4, 0.033, 0.25)),
    (vapour.steady_vapour_fraction, (1e-5, 0.1, 2.0)),
    (vapour.mass_concentration, (1e-6, 0.046, 298.0, 1e5)),
    (oxygen.oxygen_after_dilution, (0.05,)),
    (oxygen.added_gas_for_oxygen, (0.19,)),
    (oxygen.carbon_dioxide_floor_area, (5.0,)),
    (oxygen.gas_layer_fraction, (0.5, 5.5, 2.0)),
]
ids = {"ids": lambda value: getattr(value, "__name__", "")}


@pytest.mark.parametrize(("function", "arguments"), CALLS, **ids)
def test_scalar_gives_float_and_array_gives_the_same_elements(
    function: Callable[..., Any], arguments: tuple[float, ...]
) -> None:
    one = function(*arguments)
    assert isinstance(one, float)
    for place in range(len(arguments)):
        spread: list[Any] = list(arguments)
        spread[place] = np.array([[arguments[place]], [arguments[place] * 0.97]])
        many = function(*spread)
        assert np.shape(many) == (2, 1)
        assert many[0, 0] == pytest.approx(one, rel=1e-14)


@pytest.mark.parametrize(("function", "arguments"), CALLS, **ids)
def test_nan_is_refused_in_every_argument(function: Callable[..., Any], arguments: tuple[float, ...]) -> None:
    for place in range(len(arguments)):
        spoilt = list(arguments)
        spoilt[place] = math.nan
        with pytest.raises(DomainError):
            function(*spoilt)


@given(st.floats(1e-5, 1.0), st.floats(1e-6, 0.999), st.floats(1.0, 10.0))
def test_clearing_time_and_fraction_left_undo_each_other(rate: float, left: float, mixing: float) -> None:
    assert clearing.fraction_left(rate, clearing.clearing_time(rate, left, mixing), mixing) == pytest.approx(
        left, rel=1e-9
    )


@pytest.mark.parametrize(("left", "mixing"), [(0.0, 1.0), (1.1, 1.0), (0.1, 0.5)])
def test_clearing_outside_its_domain(left: float, mixing: float) -> None:
    with pytest.raises(DomainError):
        clearing.clearing_time(1e-3, left, mixing)


@pytest.mark.parametrize(("cleanliness", "size"), [(0.5, 0.5e-6), (10.0, 0.5e-6), (5.0, 0.05e-6), (5.0, 6e-6)])
def test_cleanliness_outside_its_domain(cleanliness: float, size: float) -> None:
    with pytest.raises(DomainError):
        clearing.particle_limit(cleanliness, size)


def test_dilution_keeps_to_its_share() -> None:
    air = vapour.dilution_air_volume(0.4, 0.033, 0.1)
    assert 0.4 / air == pytest.approx(0.1 * 0.033)
    for limit, share in ((0.0, 0.1), (0.03, 0.0), (1.5, 0.1), (0.03, 1.5)):
        with pytest.raises(DomainError):
            vapour.dilution_air_volume(0.4, limit, share)


def test_gas_takes_the_place_of_air() -> None:
    assert oxygen.oxygen_after_dilution([0.0, 1.0]).tolist() == [oxygen.AIR_OXYGEN, 0.0]  # type: ignore[union-attr]
    assert oxygen.oxygen_condition(oxygen.AIR_OXYGEN) == "usual"
    with pytest.raises(DomainError):
        oxygen.added_gas_for_oxygen(0.25)
    with pytest.raises(DomainError):
        oxygen.oxygen_condition(1.2)
