from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pulsewright.errors import DomainError
from pulsewright.physics.beam.matrices import SecondMoments, compose, free_space, moments_of_waist, thin_lens, transform
from pulsewright.physics.beam.train import clip, clipped_fraction, propagate

NONE = math.inf
lengths = st.floats(0.01, 5.0)
powers = st.one_of(st.just(math.inf), st.floats(0.1, 5.0), st.floats(-5.0, -0.1))


def test_free_flight_adds_divergence_in_quadrature() -> None:
    diameters, lost = propagate(0.003, 0.004, [0.0, 1.0], [NONE, NONE], [NONE, NONE])
    assert diameters == pytest.approx([0.003, 0.005], rel=1e-12)
    assert lost.tolist() == [0.0, 0.0]


def test_focus_of_a_lens_at_the_waist_is_focal_length_times_divergence() -> None:
    diameters, _ = propagate(0.008, 0.002, [0.0, 0.5], [0.5, NONE], [NONE, NONE])
    assert diameters[1] == pytest.approx(0.5 * 0.002, rel=1e-12)


def test_two_lenses_a_sum_of_focal_lengths_apart_expand_the_beam() -> None:
    diameters, _ = propagate(0.004, 0.0, [0.0, 0.4], [-0.2, 0.6], [NONE, NONE])
    assert diameters[1] == pytest.approx(0.012, rel=1e-12)
    after, _ = propagate(0.004, 0.0, [0.0, 0.4, 5.0], [-0.2, 0.6, NONE], [NONE] * 3)
    assert after[2] == pytest.approx(0.012, rel=1e-12)


def test_no_surface_gives_empty_answers_and_arrays_broadcast() -> None:
    diameters, lost = propagate([0.004, 0.008], 0.001, [], [], [])
    assert diameters.shape == lost.shape == (2, 0)
    diameters, _ = propagate([[0.004], [0.008]], [0.001, 0.002, 0.003], [1.0, 2.0], [NONE, 0.5], [NONE, NONE])
    assert diameters.shape == (2, 3, 2)
    single, _ = propagate(0.008, 0.002, [1.0, 2.0], [NONE, 0.5], [NONE, NONE])
    assert diameters[1, 1] == pytest.approx(single, rel=1e-14)


@given(st.lists(st.tuples(lengths, powers), min_size=1, max_size=5), st.floats(1e-4, 1e-2), st.floats(1e-4, 2e-2))
def test_unclipped_train_conserves_the_beam_product_and_falls_with_divergence(
    parts: list[tuple[float, float]], diameter: float, divergence: float
) -> None:
    moments, largest = moments_of_waist(diameter, divergence), 0.0
    for length, focal_length in parts:
        moments = transform(transform(moments, free_space(length)), thin_lens(focal_length))
        largest = max(largest, moments[0] * moments[2])
    xx, xt, tt = moments
    # xx*tt and xt^2 can be far larger, anywhere on the way, than their difference: rounding is set by them.
    assert xx * tt - xt**2 == pytest.approx((diameter * divergence) ** 2, rel=1e-9, abs=1e-12 * largest)
    places, lenses = np.cumsum([length for length, _ in parts]), [f for _, f in parts]
    widths, _ = propagate(diameter, [divergence, 1.5 * divergence], places, lenses, [NONE] * len(parts))
    assert np.all(widths[1] >= widths[0] * (1 - 1e-12))


def test_train_equals_one_composed_matrix() -> None:
    matrix = compose([free_space(0.7), thin_lens(0.3), free_space(0.2), thin_lens(-0.4), free_space(1.1)])
    (a, b), _ = matrix
    widths, _ = propagate(0.006, 0.003, [0.7, 0.9, 2.0], [0.3, -0.4, NONE], [NONE] * 3)
    assert widths[2] == pytest.approx(math.hypot(a * 0.006, b * 0.003), rel=1e-12)


def test_aperture_clips_area_and_passes_on_its_own_diameter() -> None:
    widths, lost = propagate(0.008, 0.0, [0.5, 1.0], [NONE, NONE], [0.004, NONE])
    assert lost.tolist() == pytest.approx([0.75, 0.0])
    assert widths.tolist() == pytest.approx([0.008, 0.004])
    assert clipped_fraction(0.004, 0.008) == 0.0


def test_clipping_keeps_curvature_and_local_spread() -> None:
    converging = transform(moments_of_waist(0.008, 0.002), thin_lens(0.5))
    behind = clip(converging, 0.002)
    assert behind.diameter_squared == pytest.approx(4e-6)
    assert behind.product / behind.diameter_squared == pytest.approx(-1 / 0.5)
    spread = behind.divergence_squared - behind.product**2 / behind.diameter_squared
    assert spread == pytest.approx(0.002**2)
    # so the focus stays where and as small as it was
    at_focus = transform(behind, free_space(0.5))
    assert math.sqrt(at_focus.diameter_squared) == pytest.approx(0.5 * 0.002)


def test_wide_aperture_changes_nothing() -> None:
    moments = SecondMoments(6.4e-5, -1e-4, 3e-4)
    assert clip(moments, 0.02) == pytest.approx(moments)


@pytest.mark.parametrize(
    ("change", "argument"),
    [
        ({"diameter": 0.0}, "diameter"),
        ({"diameter": math.nan}, "diameter"),
        ({"divergence": -1e-3}, "divergence"),
        ({"distances": [2.0, 1.0]}, "distances"),
        ({"distances": [-1.0, 1.0]}, "distances"),
        ({"distances": [1.0]}, "distances"),
        ({"focal_lengths": [0.0, 1.0]}, "focal_lengths"),
        ({"focal_lengths": [math.nan, 1.0]}, "focal_lengths"),
        ({"apertures": [0.0, 1.0]}, "apertures"),
    ],
)
def test_unusable_arguments_are_refused_by_name(change: dict[str, object], argument: str) -> None:
    usable: dict[str, object] = {
        "diameter": 0.008,
        "divergence": 0.002,
        "distances": [1.0, 2.0],
        "focal_lengths": [NONE, 0.5],
        "apertures": [NONE, NONE],
    }
    with pytest.raises(DomainError) as caught:
        propagate(**(usable | change))  # type: ignore[arg-type]
    assert caught.value.findings[0].path == argument


def test_free_space_refuses_negative_and_lens_refuses_zero() -> None:
    with pytest.raises(DomainError, match="length: -1 m"):
        free_space(-1.0)
    with pytest.raises(DomainError, match="focal_length: 0 m"):
        thin_lens(0.0)
