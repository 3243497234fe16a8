"""Amplified spontaneous emission: mean path, table, closed form of a line, and what it does to the gain."""

from __future__ import annotations

from dataclasses import replace

import kinetics_by_scipy as second
import numpy as np
import pytest
from numpy.typing import NDArray

from pulsewright.physics.dye import amplified_kernel
from pulsewright.physics.dye.amplified import (
    AmplifiedDecay,
    amplified_decay,
    linford_amplification,
    mean_amplified_path,
)
from pulsewright.physics.dye.kinetics import DyeRates, Gain, laser_kinetics

Float = NDArray[np.float64]

BINS = 20
DYE = second.dye(BINS)
SIGMA = np.stack([DYE.emission, DYE.absorption, DYE.excited_absorption, DYE.triplet_absorption])
LENGTH, RADIUS, CONE = 0.15, 4e-3, 0.01
DENSITY = np.array([second.DENSITY])
TIME = np.linspace(0.0, 8e-6, 161)


def rays(gain: float, aspect: float, cone: float, count: int = 400_000) -> tuple[float, float]:
    """Mean of (e^(gL) - 1) / g over points and directions drawn at random in a cylinder of length one; its error."""
    random = np.random.default_rng(11)
    radius, along = aspect * np.sqrt(random.random(count)), random.random(count)
    cosine, turn = random.uniform(-1, 1, count), 2 * np.pi * random.random(count)
    sine = np.sqrt(1 - cosine**2)
    wall = (-radius * np.cos(turn) + np.sqrt(aspect**2 - (radius * np.sin(turn)) ** 2)) / sine
    path = np.minimum(wall, np.where(cosine > 0, 1 - along, along) / np.abs(cosine))
    value = np.expm1(gain * path) / gain
    value[sine / np.abs(cosine) < cone] = 0.0
    return float(value.mean()), float(value.std() / np.sqrt(count))


@pytest.mark.parametrize("aspect", [0.02, 0.3])
@pytest.mark.parametrize("gain", [-5.0, 0.5, 3.0, 6.0])
@pytest.mark.parametrize("cone", [0.0, 0.02])
def test_mean_path_is_that_of_rays_drawn_at_random(aspect: float, gain: float, cone: float) -> None:
    found, error = rays(gain, aspect, cone)
    assert mean_amplified_path(gain, aspect, cone) == pytest.approx(found, abs=4 * error, rel=2e-3)


def test_an_endless_cylinder_has_the_mean_path_of_its_radius() -> None:
    """4/3 of the radius, from points evenly inside: mean chord 2 R, mean squared chord 16/3 R^2 (textbook)."""
    assert mean_amplified_path(0.0, 1e-4) == pytest.approx(4 / 3 * 1e-4, rel=5e-3)


def test_a_very_flat_disc_amplifies_only_across() -> None:
    """Radius much beyond the length: (e^(g L) - 1) / g over a slab, by plain integration over angle and depth."""
    gain = 0.5
    cosine, depth = np.meshgrid(np.linspace(2e-3, 1, 4000), np.linspace(0, 1, 201), indexing="ij")
    inner = np.trapezoid(np.expm1(gain * np.minimum(depth / cosine, 40.0)) / gain, depth[0], axis=1)
    slab = np.trapezoid(np.where(np.isfinite(inner), inner, 0.0), cosine[:, 0])
    assert mean_amplified_path(gain, 40.0) > 0.8 * slab


@pytest.mark.parametrize(("gain_length", "near"), [(0.05, 0.01), (1.0, 0.09), (3.0, 0.13), (8.0, 0.06), (20.0, 0.025)])
def test_the_sum_over_a_line_is_near_linfords_closed_form(gain_length: float, near: float) -> None:
    """Light of a narrow cone from the end, bin by bin along the axis.

    Known deviation: the closed form is exact for small and large gain and lower than the integral between, by 12 %.

    Linford, Peressini, Sooy and Spaeth, Appl. Opt. 13, 379 (1974), from memory.
    """
    u = np.linspace(-6, 6, 4001)
    line = np.exp(-(u**2))
    steps = np.linspace(0.0, 1.0, 2001)
    # slow: what each slice emits, amplified to the end, slice by slice
    slices = np.array([np.trapezoid(np.exp(gain_length * g * (1 - steps)), steps) for g in line])
    direct = np.trapezoid(slices * line, u) / np.trapezoid(line, u)
    ratio = direct / linford_amplification(gain_length)
    assert 1.0 - 1e-4 < ratio < 1.0 + near
    if gain_length == 3.0:
        assert ratio > 1.1


def table(**finer: int) -> AmplifiedDecay:
    return amplified_decay(SIGMA, DYE.emission_share, DYE.radiative, DENSITY, LENGTH, RADIUS, CONE, **finer)


def direct(s1: float, t1: float) -> float:
    """Decay per S1 straight from the paths of all bins."""
    deep, s0 = second.DENSITY * LENGTH, 1 - s1 - t1
    pair = deep * (SIGMA[0] * s1 - SIGMA[1] * s0)
    path = mean_amplified_path(pair - deep * (SIGMA[2] * s1 + SIGMA[3] * t1), RADIUS / LENGTH, CONE)
    return float(DYE.radiative * np.sum(DYE.emission_share * np.maximum(pair, 0) * path))


@pytest.mark.parametrize(("s1", "t1"), [(0.01, 0.0), (0.03, 0.01), (0.05, 0.05), (0.08, 0.02), (0.12, 0.15)])
def test_the_table_is_the_direct_sum(s1: float, t1: float) -> None:
    """Within 5e-3 of the decay, itself hundredths of that of S1; a finer table is nearer.

    Where bins are just inverted the table has a corner, and it is right to 3e-5 of the radiative rate.
    """
    truth = direct(s1, t1)
    assert table().at(0, s1, t1) == pytest.approx(truth, rel=5e-3, abs=3e-5 * DYE.radiative)
    fine = table(s1_points=180, t1_points=100, groups=100)
    assert fine.at(0, s1, t1) == pytest.approx(truth, rel=1e-3, abs=2e-5 * DYE.radiative)


@pytest.mark.parametrize(("s1", "t1"), [(0.031, 0.012), (0.077, 0.05), (0.4, 0.3), (1.3, 0.2)])
def test_slopes_are_those_of_the_interpolant(s1: float, t1: float) -> None:
    """Also beyond the table's end."""
    made, small = table(), 1e-6

    def rate(a: float, b: float) -> tuple[float, float, float]:
        return amplified_kernel.amplified_decay(made.rate, 0, made.step[0], made.step[1], a, b)

    _, by_s1, by_t1 = rate(s1, t1)
    assert by_s1 == pytest.approx((rate(s1 + small, t1)[0] - rate(s1 - small, t1)[0]) / (2 * small), rel=1e-6)
    size = rate(s1, t1)[0]
    assert by_t1 == pytest.approx((rate(s1, t1 + small)[0] - rate(s1, t1 - small)[0]) / (2 * small), abs=1e-6 * size)


def run(times: float, radius: float | None, coupler: float = 0.6, length: float = 0.15, dye: DyeRates = DYE) -> Gain:
    mirrors = replace(second.cavity(BINS, coupler=coupler), radius=radius, pumped_length=length)
    rate = times * second.threshold_rate(DYE, second.cavity(BINS))
    pump = rate * np.exp(-(((TIME - 4e-6) / 1.8e-6) ** 2))[:, None]
    return laser_kinetics(TIME, pump, dye, mirrors, second.DENSITY, second.ZONE_VOLUME, 1e-5, most_steps=100_000)


def test_it_takes_from_the_output_and_the_photons_close() -> None:
    without, with_it = run(3.0, None), run(3.0, RADIUS)
    assert without.photons["amplified spontaneous emission"] == 0.0
    assert 0 < with_it.photons["amplified spontaneous emission"] < 0.05 * with_it.photons["absorbed"]
    assert 0.8 * without.photons["output"] < with_it.photons["output"] < without.photons["output"]
    p = with_it.photons
    left = ("fluorescence", "internal conversion", "crossing to triplets", "oxygen quenching", "stimulated emission")
    ends = sum(p[name] for name in (*left, "amplified spontaneous emission"))
    lost = ("ground re-absorption", "excited-state absorption", "triplet absorption", "output", "cavity loss")
    field = p["stimulated emission"] + p["seed"] - sum(p[name] for name in lost)
    kept = p["absorbed"] + p["ground re-absorption"] - ends + field
    assert abs(kept - with_it.stored) < 1e-6 * p["absorbed"]


def test_without_mirrors_it_clamps_the_gain() -> None:
    """A column without feedback would be inverted in proportion to its pump; its own light holds it."""
    dye = second.dye(BINS, crossing=0.0, singlet_quenching=0.0)
    decay = dye.radiative + dye.internal_conversion
    found = []
    for times in (60.0, 120.0):
        clamped = run(times, RADIUS, 0.0, dye=dye)
        rate = times * second.threshold_rate(DYE, second.cavity(BINS))
        assert clamped.inversion.max() < 0.75 * rate / (rate + decay)
        assert clamped.photons["amplified spontaneous emission"] > 0.3 * clamped.photons["absorbed"]
        found.append(float(clamped.inversion.max()))
    assert found[1] < 1.15 * found[0], "twice the pump hardly raises the inversion"


def test_it_is_left_out_where_it_cannot_matter() -> None:
    """A column of two millimetres at a hundredth of threshold: the table is not even looked at."""
    thin = run(0.0005, RADIUS, length=0.002)
    assert thin.photons["amplified spontaneous emission"] == 0.0
    assert run(0.5, RADIUS).photons["amplified spontaneous emission"] > 0.0
