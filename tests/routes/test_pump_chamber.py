"""Diffuse light in chamber and cell by second ways: Monte Carlo, plain quadrature, textbook limits."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import integrate

from pulsewright.physics.chamber.cylinder import (
    chord_attenuation,
    cylinder_absorptance,
    escape_probability,
    mean_chord,
    shell_absorptance,
    shell_radii,
    tabulated_shell_absorptance,
)
from pulsewright.physics.chamber.diffuse import diffuse_pump_map, integrating_sphere_multiplier, light_shares
from pulsewright.physics.chamber.geometry import (
    chamber_wall_area,
    ellipse_focal_distance,
    ellipse_pair_perimeter,
    wrapped_perimeter,
)


@pytest.mark.parametrize("depth", [1e-3, 0.05, 0.5, 2.0, 10.0])
def test_absorptance_of_a_cylinder_by_plain_quadrature(depth: float) -> None:
    def absorbed(slope: float, impact: float) -> float:
        chord = 2 * np.sqrt(1 - impact**2) / np.sin(slope)
        return float(np.sin(slope) ** 2 * -np.expm1(-depth * chord))

    whole, _ = integrate.dblquad(absorbed, 0, 1, 1e-12, np.pi / 2, epsabs=1e-10, epsrel=1e-10)
    assert cylinder_absorptance(depth) == pytest.approx(4 / np.pi * whole, rel=1e-6)


@pytest.mark.parametrize("chord", [0.0, 0.01, 1.0, 7.0, 40.0])
def test_chord_attenuation_by_its_other_integral(chord: float) -> None:
    direct, _ = integrate.quad(lambda t: np.cos(t) ** 2 * np.exp(-chord / np.cos(t)), 0, np.pi / 2, epsabs=1e-15)
    assert chord_attenuation(chord) == pytest.approx(direct, rel=1e-9, abs=1e-14)


def test_shells_by_throwing_rays() -> None:
    """Rays of a diffuse field on the side of a cylinder, absorbed along the way; three standard errors."""
    generator = np.random.default_rng(20240611)
    rays, depth, shells = 400_000, 0.8, 4
    # Lambertian rays at the surface point (1, 0), in the cross-section and along the axis
    sine = np.sqrt(generator.random(rays))
    turn = 2 * np.pi * generator.random(rays)
    inward, across, along = np.sqrt(1 - sine**2), sine * np.cos(turn), sine * np.sin(turn)
    flat = np.hypot(inward, across)
    impact, slope = across / flat, np.sqrt(1 - along**2)
    start = generator.exponential(size=rays) / depth * slope  # flat distance to absorption
    ended = start < 2 * np.sqrt(1 - impact**2)
    place = np.hypot(np.sqrt(1 - impact[ended] ** 2) - start[ended], impact[ended])
    counts = np.histogram(place**2, bins=np.linspace(0, 1, shells + 1))[0] / rays
    error = np.sqrt(counts * (1 - counts) / rays)
    assert np.all(np.abs(counts - shell_absorptance(depth, shells)) < 3 * error)


@pytest.mark.parametrize("shells", [1, 3, 8, 20])
def test_weak_and_strong_limits(shells: int) -> None:
    radius, weak = 4e-3, 1e-4
    chord = mean_chord(np.pi * radius**2, 2 * np.pi * radius)  # 4 V / S of an endless cylinder
    assert chord == pytest.approx(2 * radius, rel=1e-14)
    thin = shell_absorptance(weak * radius, shells)
    assert thin == pytest.approx(np.full(shells, weak * chord / shells), rel=1e-5)
    thick = shell_absorptance(1e5, shells)
    assert thick.sum() == pytest.approx(1.0, abs=1e-6)
    assert thick[-1] == pytest.approx(1.0, abs=1e-6)


def test_shells_add_up_whatever_their_number() -> None:
    depth = np.geomspace(1e-3, 30, 25)
    parts = shell_absorptance(depth, 8)
    assert parts.sum(axis=-1) == pytest.approx(np.asarray(cylinder_absorptance(depth)), rel=1e-6)
    halves = parts.reshape(-1, 4, 2).sum(axis=-1)
    assert halves == pytest.approx(shell_absorptance(depth, 4), rel=1e-5, abs=1e-9)


def test_table_follows_the_quadrature() -> None:
    depth = np.concatenate([[0.0], np.geomspace(1e-7, 1e5, 300)])
    assert np.abs(tabulated_shell_absorptance(depth, 8) - shell_absorptance(depth, 8)).max() < 2e-6


def test_escape_by_emitting_rays() -> None:
    """Reciprocity against rays that start evenly in the volume."""
    generator = np.random.default_rng(7)
    rays, depth = 200_000, 1.3
    radius, turn = np.sqrt(generator.random(rays)), 2 * np.pi * generator.random(rays)
    slope = np.sqrt(1 - (2 * generator.random(rays) - 1) ** 2)
    along = radius * np.cos(turn)
    flat = -along + np.sqrt(1 - (radius * np.sin(turn)) ** 2)
    left = np.exp(-depth * flat / slope)
    assert escape_probability(depth) == pytest.approx(left.mean(), abs=3 * left.std() / np.sqrt(rays))


def test_equal_areas() -> None:
    edges = np.concatenate([[0.0], shell_radii(4e-3, 8)])
    assert np.diff(edges**2) == pytest.approx(np.full(8, 16e-6 / 8), rel=1e-12)


def test_every_sink_adds_up() -> None:
    generator = np.random.default_rng(3)
    shells = generator.random((50, 6)) / 6
    shares = light_shares(
        shells,
        generator.random(50),
        4e-3,
        7e-3,
        0.03,
        0.85,
        0.05,
        generator.random(50),
        10 * generator.random(50),
        1e-4,
    )
    assert np.abs(shares.total() - 1).max() < 1e-12
    parts = (shares.dye, shares.jacket, shares.lamps, shares.walls, shares.openings, shares.coolant)
    assert min(float(part.min()) for part in parts) > 0


def test_balance_by_following_the_bounces() -> None:
    """The shares are the sum over bounces of a diffuse enclosure, each surface met in proportion to its area."""
    cell, lamp, wall, mirror, opening = 3.8e-3, 6.6e-3, 0.025, 0.85, 0.05
    dye, gas, jacket = np.array([0.1, 0.25]), 0.4, 0.9
    area = cell + lamp + wall
    light, found = 1.0, np.zeros(2)
    while light > 1e-14:
        met = light / area
        found += met * cell * jacket * dye
        left = cell * jacket**2 * (1 - dye.sum()) + lamp * (1 - gas) + wall * (1 - opening) * mirror
        light = met * left
    shares = light_shares(dye, gas, cell, lamp, wall, mirror, opening, jacket)
    assert shares.dye == pytest.approx(found, rel=1e-10)


def test_integrating_sphere() -> None:
    """A grey port in a sphere: flux on it is M times the input times its area over the wall's, by the bounce sum."""
    reflectivity, opening = 0.97, 0.03
    first_bounce = sum(reflectivity ** (n + 1) * (1 - opening) ** n for n in range(4000))
    assert integrating_sphere_multiplier(reflectivity, opening) == pytest.approx(first_bounce, rel=1e-12)
    # what the wall keeps of its own diffuse light, by the balance of the chamber
    shares = light_shares([0.0], 0.0, 1e-9, 0.0, 1.0, reflectivity, opening)
    lost = 1 - reflectivity * (1 - opening)
    assert shares.openings == pytest.approx(opening / lost, rel=1e-6)


def test_pump_map_axes_and_balance() -> None:
    ladder, lamps = np.geomspace(1, 1e5, 11), np.linspace(0, 1, 5)
    made = diffuse_pump_map(
        ladder,
        lamps,
        radius=4e-3,
        pumped_length=0.15,
        wall_area=0.03,
        reflectivity=0.85,
        opening_fraction=0.05,
        lamp_area=8e-3,
        shells=8,
    )
    assert made.shape == (11, 5, 8)
    assert np.all(np.diff(made.sum(axis=-1), axis=0) > 0)  # more absorption, more light
    assert np.all(np.diff(made.sum(axis=-1), axis=1) < 0)  # blacker lamps, less
    cell = 2 * np.pi * 4e-3 * 0.15
    black = cell / (cell + 0.03 * (0.05 + 0.95 * 0.15))
    assert made[-1, 0].sum() == pytest.approx(black, rel=1e-5)


def arc_by_points(a: float, b: float, half: float) -> float:
    """Outline of two ellipses at +-half, each sampled where it lies outside the other."""
    turn = np.linspace(0, 2 * np.pi, 400_001)
    x, y = a * np.cos(turn) - half, b * np.sin(turn)
    outside = ((x - half) / a) ** 2 + (y / b) ** 2 > 1
    step = np.hypot(np.diff(x), np.diff(y))
    return 2 * float(step[outside[:-1] & outside[1:]].sum())


@pytest.mark.parametrize("share", [0.2, 0.5, 0.9])
def test_outline_of_two_ellipses_by_points(share: float) -> None:
    a, b = 25e-3, 22e-3
    assert ellipse_pair_perimeter(a, b, 2 * share * a) == pytest.approx(arc_by_points(a, b, share * a), rel=1e-4)


def test_outline_limits() -> None:
    # circles: 4 r (pi/2 + asin(d / 2r)) in closed form; far apart, two whole ellipses
    assert ellipse_pair_perimeter(2.0, 2.0, 1.0) == pytest.approx(8 * (np.pi / 2 + np.arcsin(0.25)), rel=1e-12)
    whole = ellipse_pair_perimeter(3.0, 2.0, 0.0)
    ramanujan = np.pi * (3 * 5.0 - np.sqrt((3 * 3 + 2) * (3 + 3 * 2)))  # good to 1e-5 here
    assert whole == pytest.approx(ramanujan, rel=1e-5)
    assert ellipse_pair_perimeter(3.0, 2.0, 50.0) == pytest.approx(2 * float(whole), rel=1e-12)


def test_double_ellipse_of_the_demo_size() -> None:
    a, b, length = 25e-3, 22e-3, 0.16
    focal = ellipse_focal_distance(a, b)
    assert chamber_wall_area("double ellipse", length, a, b) == pytest.approx(
        length * arc_by_points(a, b, float(focal)), rel=1e-4
    )
    one = chamber_wall_area("single ellipse", length, a, b)
    assert one < chamber_wall_area("double ellipse", length, a, b) < 2 * one


def test_belt_round_two_unequal_tubes() -> None:
    large, small, apart = 6.0, 3.0, 12.0
    tilt = np.arcsin((large - small) / apart)
    belt = 2 * apart * np.cos(tilt) + np.pi * (large + small) + 2 * tilt * (large - small)
    assert wrapped_perimeter([0, apart], [0, 0], [large, small]) == pytest.approx(belt, rel=1e-6)


def test_a_weak_filling_takes_what_the_mean_chord_says() -> None:
    """In a sphere the mean way from wall to wall is 4 R / 3: for each hit the filling takes kappa 4 R / 3."""
    radius, kappa, reflectivity = 0.05, 0.3, 0.9
    found = light_shares(
        np.zeros(1),
        0.0,
        1e-12,
        0.0,
        4 * np.pi * radius**2,
        reflectivity,
        0.0,
        coolant_absorption=kappa,
        coolant_volume=4 / 3 * np.pi * radius**3,
    )
    assert found.coolant / found.walls == pytest.approx(kappa * 4 * radius / 3 / (1 - reflectivity), rel=1e-9)
