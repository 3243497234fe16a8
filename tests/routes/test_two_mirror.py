"""Mode sizes: closed forms against computed figures, and against the beam that repeats itself after a round trip."""

from __future__ import annotations

import cmath
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pulsewright.physics.beam.matrices import compose, free_space, thin_lens
from pulsewright.physics.resonator.thermal import lens_resonator
from pulsewright.physics.resonator.two_mirror import (
    fresnel_number,
    is_stable,
    mirror_parameter,
    mirror_spot_radius,
    rayleigh_length,
    waist_radius,
)
from pulsewright.physics.resonator.unstable import (
    confocal_unstable_curvatures,
    magnification,
    unstable_loss,
    unstable_strip_loss,
)


def test_symmetric_confocal_as_the_limit_of_small_parameters() -> None:
    # [computed] 632.8 nm, 1 m: 0.3174 mm, 0.4488 mm
    assert waist_radius(632.8e-9, 1.0, 1e-6, 1e-6) * 1e3 == pytest.approx(0.3174, abs=5e-5)
    assert mirror_spot_radius(632.8e-9, 1.0, 1e-6, 1e-6) * 1e3 == pytest.approx(0.4488, abs=5e-5)


def test_plano_concave() -> None:
    # [computed] 590 nm, 0.5 m, R = 1 m: 0.3064 mm flat, 0.4334 mm curved, z_R = 0.500 m
    flat, curved = mirror_parameter(0.5, math.inf), mirror_parameter(0.5, 1.0)
    assert mirror_spot_radius(590e-9, 0.5, flat, curved) * 1e3 == pytest.approx(0.3064, abs=5e-5)
    assert mirror_spot_radius(590e-9, 0.5, curved, flat) * 1e3 == pytest.approx(0.4334, abs=5e-5)
    waist = waist_radius(590e-9, 0.5, flat, curved)
    assert rayleigh_length(waist, 590e-9) == pytest.approx(math.sqrt(0.5 * 0.5), rel=1e-9)


@given(st.floats(0.1, 2.0), st.floats(0.3, 20.0), st.floats(0.3, 20.0), st.booleans())
def test_mode_repeats_itself_after_a_round_trip(length: float, r1: float, r2: float, convex: bool) -> None:
    r2 = -r2 if convex else r2
    g1, g2 = mirror_parameter(length, r1), mirror_parameter(length, r2)
    # Near the edges of stability the round trip magnifies rounding beyond any tolerance.
    if not 0.01 < g1 * g2 < 0.99 or abs(g1) < 0.02 or abs(g2) < 0.02:
        return
    (a, b), (_, d) = compose([thin_lens(r1), free_space(length), thin_lens(r2 / 2), free_space(length), thin_lens(r1)])
    assert is_stable(g1, g2)
    # 1/q = (D - A)/2B - i sqrt(1 - m^2)/|B|; with half of the first mirror at each end the wave front there is flat
    half_trace = (a + d) / 2
    assert half_trace == pytest.approx(2 * g1 * g2 - 1, abs=1e-9)
    inverse_q = (d - a) / (2 * b) - 1j * cmath.sqrt(1 - half_trace**2) / abs(b)
    radius = math.sqrt(590e-9 / (math.pi * -inverse_q.imag))
    assert mirror_spot_radius(590e-9, length, g1, g2) == pytest.approx(radius, rel=1e-7)


def test_lens_in_the_resonator_against_its_matrix() -> None:
    l1, l2, r1, r2, power = 0.3, 0.7, 2.0, 5.0, 0.8
    (a, b), (_, d) = compose([free_space(l1), thin_lens(1 / power), free_space(l2)])
    g1, g2, length = lens_resonator(l1, l2, r1, r2, 1 / power)
    assert (g1, g2, length) == pytest.approx((a - b / r1, d - b / r2, b), rel=1e-12)


def test_fresnel_number_of_a_thin_tube() -> None:
    # [computed] a = 2.5 mm, 1 m, 590 nm: 10.6
    assert fresnel_number(2.5e-3, 590e-9, 1.0) == pytest.approx(10.6, abs=0.05)


@pytest.mark.parametrize(
    ("m", "round_percent", "strip_percent"), [(1.5, 55.6, 33.3), (2.0, 75.0, 50.0), (3.0, 88.9, 66.7)]
)
def test_unstable_resonators(m: float, round_percent: float, strip_percent: float) -> None:
    # [computed] losses; the confocal mirrors must give the magnification back
    assert 100 * unstable_loss(m) == pytest.approx(round_percent, abs=0.05)
    assert 100 * unstable_strip_loss(m) == pytest.approx(strip_percent, abs=0.05)
    r1, r2 = confocal_unstable_curvatures(m, 1.0)
    assert r1 + r2 == pytest.approx(2.0, rel=1e-12)
    assert magnification(mirror_parameter(1.0, r1), mirror_parameter(1.0, r2)) == pytest.approx(m, rel=1e-9)


def test_unstable_curvatures_as_computed() -> None:
    # [computed] M = 2, L = 1 m: 4 m and -2 m, g1 g2 = 1.125
    r1, r2 = confocal_unstable_curvatures(2.0, 1.0)
    assert (r1, r2) == (4.0, -2.0)
    assert mirror_parameter(1.0, r1) * mirror_parameter(1.0, r2) == pytest.approx(1.125, rel=1e-12)
