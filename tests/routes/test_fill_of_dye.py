"""State of a fill of dye: step by step against the closed form, and the limits that are exact."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import constants
from scipy.integrate import solve_ivp

from pulsewright.physics.dye import fill, photochemistry

CASES = [(0.0, 0.0), (1e-9, 0.0), (0.003, 0.0), (0.003, 1e-9), (0.003, 0.02), (0.3, 0.4), (1.0, 0.5), (0.02, 1.0)]


@pytest.mark.parametrize(("bleached", "renewed"), CASES)
def test_closed_form_of_the_dye_is_the_recursion(bleached: float, renewed: float) -> None:
    left = 0.9
    for shot in range(400):
        assert fill.dye_after_shots(shot, bleached, renewed, 0.9) == pytest.approx(left, rel=1e-12)
        left = float(fill.dye_after_shot(left, bleached, renewed))


@pytest.mark.parametrize("renewed", [0.0, 1e-12, 1e-6, 0.02, 0.7, 1.0])
def test_closed_form_of_the_products_is_the_recursion(renewed: float) -> None:
    level = 0.05
    for shot in range(400):
        assert fill.products_after_shots(shot, 3e-4, renewed, 0.05) == pytest.approx(level, rel=1e-12)
        level = float(fill.products_after_shot(level, 3e-4, renewed))


def test_without_bleed_a_loop_is_closed() -> None:
    shots = np.array([0.0, 1.0, 10.0, 1e6])
    assert fill.dye_after_shots(shots, 1e-6, 0.0) == pytest.approx((1 - 1e-6) ** shots, rel=1e-9)
    assert fill.products_after_shots(shots, 1e-7, 0.0) == pytest.approx(1e-7 * shots)


def test_with_everything_renewed_every_shot_is_the_first() -> None:
    shots = np.arange(1, 50)
    assert np.all(fill.dye_after_shots(shots, 0.2, 1.0, 0.3) == 1.0)
    assert np.all(fill.products_after_shots(shots, 0.2, 1.0, 0.3) == 0.0)
    assert fill.dye_after_shots(0, 0.2, 1.0, 0.3) == pytest.approx(0.3)
    assert fill.products_after_shots(0, 0.2, 1.0, 0.3) == 0.3


@pytest.mark.parametrize(("bleached", "renewed"), [(0.01, 0.01), (0.5, 0.1), (1e-6, 1e-3)])
def test_many_shots_reach_the_equilibrium_and_stay_there(bleached: float, renewed: float) -> None:
    dye, products = fill.dye_at_equilibrium(bleached, renewed), fill.products_at_equilibrium(2e-3, renewed)
    assert fill.dye_after_shots(1e6, bleached, renewed) == pytest.approx(dye, rel=1e-9)
    assert fill.products_after_shots(1e6, 2e-3, renewed) == pytest.approx(products, rel=1e-9)
    assert fill.dye_after_shot(dye, bleached, renewed) == pytest.approx(dye, rel=1e-12)
    assert fill.products_after_shot(products, 2e-3, renewed) == pytest.approx(products, rel=1e-12)


def test_small_steps_are_the_stirred_vessel_of_the_textbook() -> None:
    """dd/dn = -b d + r (1 - d), da/dn = g - r a, integrated by SciPy."""
    b, r, g = 2e-7, 5e-7, 1e-7
    flow = solve_ivp(lambda _, y: [-b * y[0] + r * (1 - y[0]), g - r * y[1]], (0, 3e6), [1.0, 0.0], rtol=1e-10)
    assert fill.dye_after_shots(3e6, b, r) == pytest.approx(flow.y[0, -1], rel=1e-5)
    assert fill.products_after_shots(3e6, g, r) == pytest.approx(flow.y[1, -1], rel=1e-5)


def test_a_bed_is_a_stirred_vessel_with_a_side_stream() -> None:
    flow, volume, removal, time = 8e-6, 6e-3, 0.9, 300.0
    emptied = solve_ivp(lambda _, y: -removal * flow / volume * y, (0, time), [1.0], rtol=1e-10, atol=0)
    assert 1 - fill.removed_by_bed(flow, time, volume, removal) == pytest.approx(emptied.y[0, -1], rel=1e-8)
    assert fill.removed_by_bed(flow, time, volume, 0.0) == 0.0


def test_a_real_flush_lies_between_its_bounds() -> None:
    """Vessels in series, of the same volume in all: one is well mixed, many are swept from end to end."""
    volumes = np.linspace(0.0, 3.0, 13)
    swept = fill.carried_over_fraction(volumes, 1.0)
    mixed = fill.carried_over_fraction(volumes, 1.0, "well mixed")
    for vessels in (2, 5, 20):
        inside = [_held(vessels, float(passed)) for passed in volumes]
        assert np.all(np.asarray(inside) >= swept - 1e-9)
        assert np.all(np.asarray(inside) <= mixed + 1e-9)


def _held(vessels: int, passed: float) -> float:
    """Part of the old fill still inside n stirred vessels in series, averaged over where it was."""
    total = 0.0
    for ahead in range(1, vessels + 1):
        terms = [(vessels * passed) ** k / float(np.prod(np.arange(1, k + 1), dtype=float)) for k in range(ahead)]
        total += float(np.exp(-vessels * passed) * np.sum(terms))
    return total / vessels


def test_bands_of_one_probability_are_one_band() -> None:
    energy, wavelength = np.array([1.0, 2.0, 3.0]), np.array([300e-9, 450e-9, 530e-9])
    photons = np.sum(energy * wavelength) / (constants.h * constants.c)
    found = photochemistry.bleached_amount(energy, wavelength, 1e-6)
    assert found == pytest.approx(1e-6 * photons / constants.N_A, rel=1e-12)
    one = photochemistry.bleached_fraction(5e4, 530e-9, 1e-5, 1e-4)
    assert photochemistry.bleached_amount([5e4], 530e-9, 1e-5) / 1e-4 == pytest.approx(one, rel=1e-12)


def test_half_output_dose_and_absorption_per_dose_are_each_others_inverse() -> None:
    made = photochemistry.products_per_dose(photochemistry.half_output_dose(2e-11), 2e-11, 0.15)
    assert made * 0.15 == pytest.approx(0.012, rel=1e-12)
    assert photochemistry.transferred_half_output_dose(4e8, 3e-11, 3e-11) == 4e8
