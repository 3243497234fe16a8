"""Domains and shapes of the closed relations."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pulsewright.errors import DomainError
from pulsewright.physics.beam import caustic, gaussian, ghosts, metals, plasma, spots

CALLS: list[tuple[Callable[..., Any], tuple[float, ...]]] = [
    (gaussian.aperture_transmission, (1e-3, 1e-3)),
    (gaussian.slit_transmission, (1e-3, 1e-3)),
    (gaussian.knife_edge_transmission, (1e-3, 1e-3)),
    (gaussian.knife_edge_distance, (1e-3, 0.1, 0.9)),
    (gaussian.full_width_at_half_maximum, (1e-3,)),
    (gaussian.gaussian_peak_fluence, (1.0, 1e-3)),
    (gaussian.airy_encircled_fraction, (1e-4, 8e-3, 590e-9)),
    (gaussian.slit_far_field_fraction, (1e-4, 8e-3, 590e-9)),
    (ghosts.ghost_fluence, (1e4, 0.04, 0.04, 8e-3, 1e-3)),
    (ghosts.double_reflection_focus, (0.5, 1.5)),
    (metals.melt_fluence, (0.05, 900.0, 400.0, 9e3, 400.0, 1e-6)),
    (plasma.scaled_breakdown_irradiance, (1e15, 1e-9, 1e-6, 0.5)),
    (plasma.plasma_coupling_fluence, (1e-6,)),
    (spots.divergence_from_focal_spot, (1e-3, 0.5)),
    (spots.burn_spot_diameter, (2e-3, 1e-3, 1e-4)),
    (spots.incubated_threshold, (1e4, 10.0, 0.9)),
    (caustic.gaussian_radius, (0.1, 1e-4, 0.0, 590e-9)),
]


@pytest.mark.parametrize(("function", "arguments"), CALLS, ids=lambda value: getattr(value, "__name__", ""))
def test_scalar_gives_float_and_array_gives_the_same_elements(
    function: Callable[..., Any], arguments: tuple[float, ...]
) -> None:
    one = function(*arguments)
    assert isinstance(one, float)
    for place in range(len(arguments)):
        spread = list(arguments)
        spread[place] = np.array([[arguments[place]], [arguments[place] * 0.97]])  # type: ignore[call-overload]
        many = function(*spread)
        assert np.shape(many) == (2, 1)
        assert many[0, 0] == pytest.approx(one, rel=1e-14)


@pytest.mark.parametrize(("function", "arguments"), CALLS, ids=lambda value: getattr(value, "__name__", ""))
def test_nan_is_refused_in_every_argument(function: Callable[..., Any], arguments: tuple[float, ...]) -> None:
    for place in range(len(arguments)):
        spoilt = list(arguments)
        spoilt[place] = math.nan
        with pytest.raises(DomainError):
            function(*spoilt)


@given(st.floats(1e-4, 1e-2), st.floats(1e-4, 2e-2), st.floats(-3.0, 3.0), st.floats(0.05, 5.0))
def test_interval_from_two_spots_holds_the_divergence(d0: float, theta: float, waist: float, apart: float) -> None:
    first, second = math.hypot(d0, theta * waist), math.hypot(d0, theta * (apart - waist))
    low, high = spots.divergence_from_two_spots(first, second, apart)
    assert low <= theta * (1 + 1e-9)
    assert high >= theta * (1 - 1e-9)


def test_burns_that_shrink_with_energy_are_refused() -> None:
    with pytest.raises(DomainError, match="do not grow"):
        spots.radius_and_threshold_from_burns([1.0, 2.0], [2e-4, 1e-4])
    with pytest.raises(DomainError, match="1 energies and 2 diameters"):
        spots.radius_and_threshold_from_burns([1.0], [2e-4, 1e-4])
    with pytest.raises(DomainError):
        spots.radius_and_threshold_from_burns([1.0, 1.0], [1e-4, 2e-4])


@given(
    st.floats(2e-5, 1e-3), st.floats(1e-5, 1e-1), st.lists(st.floats(1.1, 50.0), min_size=2, max_size=6, unique=True)
)
def test_burn_fit_gives_back_what_made_the_marks(radius: float, threshold: float, ratios: list[float]) -> None:
    if max(ratios) / min(ratios) < 1.05:
        return
    energies = np.array(ratios) * threshold
    found = spots.radius_and_threshold_from_burns(energies, spots.burn_spot_diameter(energies, threshold, radius))
    assert found == pytest.approx((radius, threshold), rel=1e-6)


def test_fits_of_a_caustic_give_back_what_made_it() -> None:
    z = np.linspace(-0.4, 0.8, 15)
    w = caustic.gaussian_radius(z, 150e-6, 0.13, 590e-9, 3.2)
    fit = caustic.fit_gaussian_caustic(z, w, 590e-9, free_beam_propagation_ratio=True)
    assert fit.waist_radius == pytest.approx(150e-6, rel=1e-6)
    assert fit.beam_propagation_ratio == pytest.approx(3.2, rel=1e-6)
    moments = caustic.fit_second_moment_caustic(z, 2 * w, 590e-9)
    assert moments.beam_propagation_ratio == pytest.approx(3.2, rel=1e-6)
    assert moments.waist_position == pytest.approx(0.13, rel=1e-6)
    assert moments.waist_diameter * moments.divergence == pytest.approx(4 * 590e-9 * 3.2 / math.pi, rel=1e-6)
    assert moments.rayleigh_length == pytest.approx(moments.waist_diameter / moments.divergence, rel=1e-9)


@pytest.mark.parametrize("widths", [[1e-3, 1e-3, 1e-3], [1e-3, 2e-3, 1e-3], [1e-3, 1e-3]])
def test_planes_that_are_no_beam_are_refused(widths: list[float]) -> None:
    with pytest.raises(DomainError):
        caustic.fit_second_moment_caustic(np.arange(len(widths)), widths, 590e-9)


def test_few_planes_are_refused() -> None:
    with pytest.raises(DomainError, match="3 positions and 3 widths"):
        caustic.fit_gaussian_caustic([0.0, 1.0, 2.0], [1e-3, 2e-3, 3e-3], 590e-9)


def test_likelihood_rises_with_irradiance() -> None:
    order = ("unlikely", "possible", "likely")
    for weak, strong in zip(plasma.plasma_likelihood(1e11), plasma.plasma_likelihood(1e16), strict=True):
        assert order.index(weak.likelihood) <= order.index(strong.likelihood)
        assert strong.likelihood == "likely"
    assert plasma.plasma_likelihood(1e11)[0].likelihood == "possible"
    assert plasma.plasma_likelihood(0.0)[0].likelihood == "unlikely"
    with pytest.raises(DomainError):
        plasma.plasma_likelihood(-1.0)
