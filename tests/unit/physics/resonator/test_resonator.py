from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pulsewright.errors import DomainError
from pulsewright.physics.resonator import diffraction, losses, thermal, two_mirror, unstable

CALLS: list[tuple[Callable[..., Any], tuple[float, ...]]] = [
    (two_mirror.mirror_parameter, (0.5, 1.0)),
    (two_mirror.waist_radius, (590e-9, 0.5, 0.8, 0.5)),
    (two_mirror.mirror_spot_radius, (590e-9, 0.5, 0.8, 0.5)),
    (two_mirror.rayleigh_length, (1e-3, 590e-9)),
    (two_mirror.axial_mode_spacing, (0.5,)),
    (two_mirror.transverse_mode_offset, (0.5, 0.8, 0.5, 1.0)),
    (two_mirror.fresnel_number, (4e-3, 590e-9, 0.4)),
    (diffraction.plane_strip_diffraction_loss, (5.0,)),
    (diffraction.plane_circular_diffraction_loss, (5.0,)),
    (diffraction.plane_circular_diffraction_loss_fit, (5.0,)),
    (diffraction.confocal_circular_diffraction_loss, (0.9,)),
    (diffraction.confocal_strip_diffraction_loss, (0.9,)),
    (losses.round_trip_loss, (0.99, 0.5, 0.03)),
    (losses.round_trip_time, (0.45,)),
    (losses.photon_lifetime, (0.45, 0.99, 0.5, 0.03)),
    (losses.coupled_fraction, (0.99, 0.5, 0.03)),
    (losses.threshold_gain_per_pass, (0.99, 0.5, 0.03)),
    (losses.circulating_factor, (0.5,)),
    (unstable.magnification, (1.5, 0.9)),
    (unstable.unstable_loss, (2.0,)),
    (unstable.unstable_strip_loss, (2.0,)),
    (unstable.equivalent_fresnel_number, (2e-3, 590e-9, 0.5, 2.0)),
    (unstable.collimated_fresnel_number, (1.5, 2.0)),
    (thermal.radial_heat_focal_length, (4e-3, 0.15, -4e-4, 0.1)),
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


@pytest.mark.parametrize(
    ("g1", "g2", "stable"),
    [(1.0, 1.0, False), (0.0, 0.5, False), (-0.5, -0.5, True), (-0.5, 0.5, False), (1.5, 0.6, True)],
)
def test_stability(g1: float, g2: float, stable: bool) -> None:
    assert two_mirror.is_stable(g1, g2) is stable
    assert two_mirror.is_stable([g1, 0.5], [g2, 0.5]).tolist() == [stable, True]  # type: ignore[union-attr]


def test_plane_mirrors_have_no_waist() -> None:
    with pytest.raises(DomainError, match="g1 g2 between 0 and 1"):
        two_mirror.waist_radius(590e-9, 0.4, 1.0, 1.0)
    with pytest.raises(DomainError):
        two_mirror.mirror_spot_radius(590e-9, 0.4, 1.0, 1.0)


def test_stable_resonator_is_not_unstable() -> None:
    with pytest.raises(DomainError):
        unstable.magnification(0.5, 0.5)
    assert unstable.magnification(-0.5, 0.5) > 1  # negative branch


@pytest.mark.parametrize("curvature", [0.0, math.nan])
def test_mirror_without_a_radius_is_refused(curvature: float) -> None:
    with pytest.raises(DomainError):
        two_mirror.mirror_parameter(0.5, curvature)
    assert two_mirror.mirror_parameter(0.5, math.inf) == 1.0


@given(st.floats(0.01, 1.0), st.floats(0.01, 0.99), st.floats(0.0, 0.5), st.floats(0.05, 3.0))
def test_light_left_after_a_round_trip_follows_from_the_lifetime(
    rear: float, coupler: float, loss: float, length: float
) -> None:
    trip = losses.round_trip_time(length) / losses.photon_lifetime(length, rear, coupler, loss)
    assert math.exp(-trip) == pytest.approx(rear * coupler * math.exp(-2 * loss), rel=1e-9)
    assert 0 < losses.coupled_fraction(rear, coupler, loss) <= 1 + 1e-12
    assert losses.threshold_gain_per_pass(rear, coupler, loss) == pytest.approx(trip / 2, rel=1e-9)


def test_resonator_without_loss_keeps_its_light() -> None:
    assert losses.photon_lifetime(0.4, 1.0, 1.0, 0.0) == math.inf
    with pytest.raises(DomainError, match="some loss"):
        losses.coupled_fraction(1.0, 1.0, 0.0)


@pytest.mark.parametrize("reflectivity", [0.0, -0.1, 1.1])
def test_reflectivities_outside_their_domain(reflectivity: float) -> None:
    with pytest.raises(DomainError, match="reflectivity"):
        losses.round_trip_loss(0.99, reflectivity)


@pytest.mark.parametrize("order", [1, 2, 3])
def test_higher_modes_lose_more(order: int) -> None:
    assert diffraction.plane_strip_diffraction_loss(10.0, order + 1) > diffraction.plane_strip_diffraction_loss(
        10.0, order
    )
    lower = diffraction.plane_circular_diffraction_loss(10.0, order - 1)
    assert diffraction.plane_circular_diffraction_loss(10.0, order) > lower


def test_orders_outside_their_domain() -> None:
    with pytest.raises(DomainError):
        diffraction.plane_strip_diffraction_loss(10.0, 0)
    with pytest.raises(DomainError):
        diffraction.plane_circular_diffraction_loss(10.0, -1)
    with pytest.raises(DomainError):
        diffraction.confocal_circular_diffraction_loss(0.4)


def test_no_lens_leaves_the_resonator_as_it_is() -> None:
    g1, g2, length = thermal.lens_resonator(0.2, 0.3, 1.0, 2.0, math.inf)
    assert (g1, g2, length) == pytest.approx((0.5, 0.75, 0.5), rel=1e-12)
    with pytest.raises(DomainError):
        thermal.lens_resonator(0.2, 0.3, 1.0, 2.0, 0.0)


@pytest.mark.parametrize(("slope", "rise"), [(0.0, 0.1), (-4e-4, 0.0)])
def test_no_lens_without_slope_or_rise(slope: float, rise: float) -> None:
    with pytest.raises(DomainError):
        thermal.radial_heat_focal_length(4e-3, 0.15, slope, rise)
