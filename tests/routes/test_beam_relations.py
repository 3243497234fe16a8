"""Closed relations of beams against computed figures and numerical integrals."""

from __future__ import annotations

import math
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import j1, jn_zeros

from pulsewright.physics.beam import circulating_fluence, divergence_interval, mean_fluence, peak_irradiance
from pulsewright.physics.beam.caustic import fit_gaussian_caustic, fit_second_moment_caustic
from pulsewright.physics.beam.damage import highest_scaled_threshold, scaled_threshold
from pulsewright.physics.beam.gaussian import (
    airy_encircled_fraction,
    aperture_transmission,
    full_width_at_half_maximum,
    gaussian_peak_fluence,
    knife_edge_distance,
    slit_far_field_fraction,
)
from pulsewright.physics.beam.ghosts import double_reflection_focus, ghost_fluence
from pulsewright.physics.beam.matrices import compose, thin_lens
from pulsewright.physics.beam.metals import melt_fluence
from pulsewright.physics.beam.plasma import plasma_coupling_fluence, plasma_likelihood
from pulsewright.physics.beam.spots import burn_spot_diameter, radius_and_threshold_from_burns

PHYS4430 = Path(__file__).parents[1] / "published" / "data" / "phys4430_beam_widths.csv"


def test_refits_of_the_open_caustic() -> None:
    # [computed] of the data set of tests/published/test_phys4430_beam_widths.py
    z, w = np.loadtxt(PHYS4430, delimiter=",", skiprows=1, unpack=True)
    w, wave = w * 1e-6, 632.8e-9
    fixed = fit_gaussian_caustic(z, w, wave)
    assert fixed.waist_radius * 1e6 == pytest.approx(93.93, abs=0.005)
    assert fixed.waist_radius_deviation * 1e6 == pytest.approx(0.12, abs=0.005)
    assert fixed.waist_position == pytest.approx(0.33957, abs=5e-6)
    assert fixed.waist_position_deviation == pytest.approx(0.00033, abs=5e-6)
    free = fit_gaussian_caustic(z, w, wave, free_beam_propagation_ratio=True)
    assert free.beam_propagation_ratio == pytest.approx(0.988, abs=5e-4)
    assert free.beam_propagation_ratio_deviation == pytest.approx(0.018, abs=5e-4)
    assert free.waist_radius * 1e6 == pytest.approx(92.7, abs=0.05)
    assert free.waist_radius_deviation * 1e6 == pytest.approx(1.8, abs=0.05)
    plain = fit_second_moment_caustic(z, 2 * w, wave, relative_weights=False)
    assert plain.waist_position == pytest.approx(0.3394, abs=5e-5)
    assert plain.divergence * 1e3 == pytest.approx(4.293, abs=5e-4)
    assert plain.beam_propagation_ratio == pytest.approx(0.970, abs=5e-4)
    weighted = fit_second_moment_caustic(z, 2 * w, wave)
    assert weighted.waist_position == pytest.approx(0.3400, abs=5e-5)
    assert weighted.divergence * 1e3 == pytest.approx(4.283, abs=5e-4)
    assert weighted.beam_propagation_ratio == pytest.approx(0.990, abs=5e-4)


@pytest.mark.parametrize(
    ("ratio", "percent", "half_digit"),
    [
        (0.5, 39.35, 0.005),
        (0.589, 50.0, 0.05),
        (1.0, 86.47, 0.005),
        (1.25, 95.61, 0.005),
        (1.52, 99.0, 0.05),
        (math.pi / 2, 99.28, 0.005),
        (2.0, 99.966, 0.0005),
    ],
)
def test_aperture_table(ratio: float, percent: float, half_digit: float) -> None:
    assert 100 * aperture_transmission(ratio, 1.0) == pytest.approx(percent, abs=half_digit)
    by_integral = quad(lambda r: 4 * r * math.exp(-2 * r * r), 0, ratio)[0]
    assert aperture_transmission(ratio, 1.0) == pytest.approx(by_integral, rel=1e-9)


@pytest.mark.parametrize(("low", "high", "factor"), [(0.1, 0.9, 1.2816), (0.16, 0.84, 0.9945), (0.2, 0.8, 0.8416)])
def test_knife_edge_constants(low: float, high: float, factor: float) -> None:
    assert knife_edge_distance(1.0, low, high) == pytest.approx(factor, abs=5e-5)
    assert full_width_at_half_maximum(1.0) == pytest.approx(1.1774, abs=5e-5)


def test_power_in_bucket() -> None:
    # [computed] 83.8 % inside the first dark ring, 91.0 % inside the second
    first, second = (float(zero) / math.pi for zero in jn_zeros(1, 2))
    assert 100 * airy_encircled_fraction(first, 1.0, 1.0) == pytest.approx(83.8, abs=0.05)
    assert 100 * airy_encircled_fraction(second, 1.0, 1.0) == pytest.approx(91.0, abs=0.05)
    by_integral = quad(lambda v: 2 * j1(v) ** 2 / v, 1e-12, math.pi * first)[0]
    assert airy_encircled_fraction(first, 1.0, 1.0) == pytest.approx(by_integral, rel=1e-9)
    low, _ = divergence_interval(0.008, 590e-9, 0.4)
    assert airy_encircled_fraction(low / 2, 0.008, 590e-9) == pytest.approx(0.838, abs=5e-4)


def test_slit_in_the_far_field_by_integration() -> None:
    by_integral = quad(lambda x: np.sinc(x) ** 2, -0.7, 0.7)[0]
    assert slit_far_field_fraction(0.7, 1.0, 1.0) == pytest.approx(by_integral, rel=1e-9)


def test_burn_spots_as_computed() -> None:
    # [computed] w0 = 100 um, F_th = 2 J/cm^2: E_th = 314.2 uJ; 90.05 and 166.51 um at 1.5 and 4 times
    threshold = math.pi * (100e-6) ** 2 / 2 * 2e4
    assert threshold * 1e6 == pytest.approx(314.2, abs=0.05)
    assert gaussian_peak_fluence(threshold, 100e-6) == pytest.approx(2e4, rel=1e-12)
    marks = burn_spot_diameter([1.5 * threshold, 4 * threshold], threshold, 100e-6)
    assert marks * 1e6 == pytest.approx([90.05, 166.51], abs=0.005)
    radius, found = radius_and_threshold_from_burns([1.5 * threshold, 4 * threshold], marks)
    assert (radius, found) == pytest.approx((100e-6, threshold), rel=1e-9)


def test_burn_spot_is_where_the_fluence_falls_to_the_threshold() -> None:
    energy, threshold_energy, w = 3.0e-3, 0.7e-3, 80e-6
    radius = burn_spot_diameter(energy, threshold_energy, w) / 2
    local = gaussian_peak_fluence(energy, w) * math.exp(-2 * (radius / w) ** 2)
    assert local == pytest.approx(gaussian_peak_fluence(threshold_energy, w), rel=1e-12)


@pytest.mark.parametrize(("index", "divisor"), [(1.5, 7.0), (1.4584, 7.36)])
@pytest.mark.parametrize("bending", [-1.0, 0.0, 0.4, 1.0, 2.5])
def test_ghost_focus_of_a_lens_of_any_bending(index: float, divisor: float, bending: float) -> None:
    # [computed] f/7 and f/7.36; second route: refract, reflect twice inside, refract, surface by surface
    assert 1 / double_reflection_focus(1.0, index) == pytest.approx(divisor, abs=0.005)
    total = 1 / (index - 1)  # c1 - c2 of a lens of focal length 1
    c1, c2 = total * (1 + bending) / 2, total * (bending - 1) / 2
    into, out = thin_lens(1 / ((index - 1) * c1 or 1e-300)), thin_lens(1 / (-(index - 1) * c2 or 1e-300))
    back, forth = thin_lens(1 / (-2 * index * c2 or 1e-300)), thin_lens(1 / (2 * index * c1 or 1e-300))
    power = -compose([into, back, forth, out])[1, 0]
    assert 1 / power == pytest.approx(double_reflection_focus(1.0, index), rel=1e-9)


def test_ghost_fluences() -> None:
    # [computed] bare glass 4 %: 1.6e-3; 0.5 %: 2.5e-5
    assert ghost_fluence(1.0, 0.04, 0.04, 1.0, 1.0) == pytest.approx(1.6e-3, rel=1e-12)
    assert ghost_fluence(1.0, 0.005, 0.005, 1.0, 1.0) == pytest.approx(2.5e-5, rel=1e-12)
    assert ghost_fluence(1.0, 0.04, 0.04, 2.0, 1.0) == pytest.approx(6.4e-3, rel=1e-12)


@pytest.mark.parametrize(
    ("absorptance", "rise", "conductivity", "density", "heat", "duration", "printed", "half_digit"),
    [
        # [computed]; handbook properties of the metals, from memory
        (0.03, 940.0, 429.0, 10490.0, 235.0, 10e-9, 9.0, 0.05),
        (0.03, 940.0, 429.0, 10490.0, 235.0, 1e-6, 90.0, 0.5),
        (0.09, 640.0, 237.0, 2700.0, 900.0, 10e-9, 1.5, 0.05),
        (0.09, 640.0, 237.0, 2700.0, 900.0, 1e-6, 15.0, 0.5),
    ],
    ids=["silver 10 ns", "silver 1 us", "aluminium 10 ns", "aluminium 1 us"],
)
def test_melt_bounds(
    absorptance: float,
    rise: float,
    conductivity: float,
    density: float,
    heat: float,
    duration: float,
    printed: float,
    half_digit: float,
) -> None:
    fluence = melt_fluence(absorptance, rise, conductivity, density, heat, duration)
    assert fluence / 1e4 == pytest.approx(printed, abs=half_digit)


def test_melt_bound_against_a_numerical_slab() -> None:
    k, rho, c, tau, absorbed = 237.0, 2700.0, 900.0, 1e-7, 0.09
    fluence = melt_fluence(absorbed, 640.0, k, rho, c, tau)
    depth, cells, steps = 12 * math.sqrt(k / (rho * c) * tau), 400, 4000
    dx, dt = depth / cells, tau / steps
    number = k / (rho * c) * dt / dx**2
    system = np.diag(np.full(cells, 1 + 2 * number)) - number * (np.eye(cells, k=1) + np.eye(cells, k=-1))
    system[0, 0] = system[-1, -1] = 1 + number
    step, source = np.linalg.inv(system), np.zeros(cells)
    source[0] = absorbed * fluence / tau * dt / (rho * c * dx)
    heat = np.zeros(cells)
    for _ in range(steps):
        heat = step @ (heat + source)
    surface = 1.5 * heat[0] - 0.5 * heat[1]
    assert surface == pytest.approx(640.0, rel=0.005)


def test_two_decades_in_pulse_length() -> None:
    # [computed] 10 ns to 1 us: 4.0 at 0.3 and 10 at 0.5 lie between our lowest and highest
    where = (1.0, 1064e-9, 10e-9, 1064e-9, 1e-6)
    low, extrapolated = scaled_threshold(*where)
    assert low == pytest.approx(100**0.1, rel=1e-12)
    assert low < 4.0
    assert highest_scaled_threshold(*where) > 10.0
    assert extrapolated


def test_plasma_figures_as_computed() -> None:
    # [computed] 48 J/cm^2 at 1 us, 4.8 at 10 ns; 1 MW into 1 mm is 1.3e8 W/cm^2; 0.16 mm reaches dusty air
    assert plasma_coupling_fluence([1e-6, 10e-9]) / 1e4 == pytest.approx([48.0, 4.8], rel=1e-9)
    spot = peak_irradiance(1e6, 1e-3, 1.0)
    assert spot / 1e4 == pytest.approx(1.3e8, abs=0.05e8)
    verdicts = {v.row.place: v.likelihood for v in plasma_likelihood(spot)}
    assert verdicts == {"absorbing solid target": "likely", "dusty air": "unlikely", "clean air": "unlikely"}
    assert peak_irradiance(1e6, 0.16e-3, 1.0) / 1e4 == pytest.approx(5e9, rel=0.01)


def test_light_inside_the_cavity_from_the_mirror_losses() -> None:
    # What passes the coupler is (1 - R) of what meets it; both ways through an optic add.
    r, energy = 0.7, 0.4
    forward = energy / (1 - r)
    assert circulating_fluence(energy, r, 0.008, 1.0) == pytest.approx(
        mean_fluence(forward, 0.008) + mean_fluence(r * forward, 0.008), rel=1e-12
    )
