"""Spectra: what they refuse, their shapes, and identities between them."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from dye_spectra import cross_sections
from hypothesis import given
from hypothesis import strategies as st
from scipy import constants

from pulsewright import refdata
from pulsewright.errors import DomainError
from pulsewright.physics.dye import photochemistry, quenching, spectroscopy
from pulsewright.physics.dye.cross_sections import emission_shape
from pulsewright.physics.dye.trapping import trapped_lifetime

NM = 1e-9
GRID = np.linspace(400, 900, 501) * NM


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: spectroscopy.gaussian_sum_spectrum(-1.0, [[1.0, 5e-7, 1e5]]), "wavelength"),
        (lambda: spectroscopy.gaussian_sum_spectrum(5e-7, [[1.0, 5e-7, 0.0]]), "width of a component"),
        (lambda: spectroscopy.cross_section_from_absorptivity(-1.0), "molar_absorptivity"),
        (lambda: spectroscopy.absorptivity_from_cross_section(float("nan")), "cross_section"),
        (lambda: spectroscopy.stimulated_emission_cross_section(5e-7, 1e7, 1.2, 4e-9, 1.36), "quantum_yield"),
        (lambda: spectroscopy.stimulated_emission_cross_section(5e-7, 1e7, 0.9, 0.0, 1.36), "lifetime"),
        (lambda: spectroscopy.normalised_emission(GRID[::-1], GRID), "wavelength"),
        (lambda: spectroscopy.normalised_emission(GRID, 0 * GRID), "integral of the emission"),
        (lambda: spectroscopy.thermal_absorption(5e-7, 1e-20, 5e-7, 0.0), "temperature"),
        (lambda: spectroscopy.zero_line(GRID, GRID, GRID), "cross_section"),
        (lambda: trapped_lifetime(4e-9, 1.0, 1.0), "1 - quantum_yield fraction"),
        (lambda: spectroscopy.radiative_rate(1.5, 4e-9), "quantum_yield"),
        (lambda: spectroscopy.nonradiative_rate(0.9, -1e-9), "lifetime"),
        (lambda: quenching.dissolved_gas(1e-3, 1.0, 1e5, 2e5, 800.0, 0.046), "vapour_pressure"),
        (lambda: quenching.dissolved_gas(1e-3, 1.1, 1e5, 0.0, 800.0, 0.046), "gas_fraction"),
        (lambda: quenching.effective_triplet_lifetime(0.0, 1.0, 1.0), "triplet_lifetime"),
        (lambda: quenching.singlet_loss(4e-9, -1.0, 1e6), "oxygen"),
        (lambda: quenching.triplet_formation_rate(1e6, 1.0, 1e6, 1.5), "oxygen_triplet_yield"),
        (lambda: photochemistry.bleached_fraction(1.0, 5e-7, 2.0, 1.0), "bleaching_probability"),
        (lambda: photochemistry.half_output_dose(0.0), "absorption_per_dose"),
    ],
)
def test_refuses_by_name(call: Callable[[], object], argument: str) -> None:
    with pytest.raises(DomainError) as caught:
        call()
    assert caught.value.findings[0].path == argument


def test_shapes_follow_the_arguments() -> None:
    two = spectroscopy.gaussian_sum_spectrum(GRID.reshape(3, 167), [[1.0, 5e-7, 5e4], [0.5, 6e-7, 5e4]])
    assert np.shape(two) == (3, 167)
    assert isinstance(spectroscopy.radiative_rate(0.9, 4e-9), float)
    assert np.shape(spectroscopy.radiative_rate(0.9, np.full(4, 4e-9))) == (4,)


@given(st.floats(450e-9, 650e-9), st.floats(2e4, 2e5), st.floats(-10e-9, 10e-9))
def test_emission_shape_has_unit_area(centre: float, width: float, shift: float) -> None:
    grid = np.linspace(200e-9, 3e-6, 28_001)
    shape = emission_shape(grid, [[0.7, centre, width]], shift)
    assert np.trapezoid(shape, grid) == pytest.approx(1.0, rel=1e-3)


@given(st.floats(0.1, 0.99), st.floats(1e-9, 1e-8), st.floats(0.0, 0.9))
def test_rates_add_up(quantum_yield: float, lifetime: float, trapped: float) -> None:
    total = spectroscopy.radiative_rate(quantum_yield, lifetime) + spectroscopy.nonradiative_rate(
        quantum_yield, lifetime
    )
    assert total == pytest.approx(1 / lifetime, rel=1e-12)
    longer = trapped_lifetime(lifetime, quantum_yield, trapped)
    assert 1 / longer == pytest.approx(
        spectroscopy.radiative_rate(quantum_yield, lifetime) * (1 - trapped)
        + spectroscopy.nonradiative_rate(quantum_yield, lifetime),
        rel=1e-9,
    )


@pytest.mark.parametrize("dye", [name for name in refdata.names()["dye"] if refdata.dye(name).emission is not None])
def test_cross_sections_of_every_dye(dye: str) -> None:
    row = refdata.dye(dye)
    grid = np.linspace(200, 900, 1401) * NM
    made = cross_sections(dye, "ethanol", grid)
    assert np.all(np.isfinite(made.absorption))
    assert np.all(made.absorption >= 0)
    assert np.all(made.emission >= 0)
    assert np.all(made.absorption[~made.known] == 0)
    assert np.all(made.absorption_bound >= made.absorption)
    assert np.array_equal(made.known, grid >= row.absorption.known_from)
    at = cross_sections(dye, "ethanol", np.array([made.zero_line]), "thermal relation")
    assert at.absorption[0] == pytest.approx(at.emission[0], rel=2e-3)
    # gain without triplets exists: stimulated emission beats excited-state absorption somewhere
    assert made.emission.max() > float(row.excited_state_absorption)
    red = grid > made.zero_line + 5 * NM
    assert np.all(made.absorption[red] < made.emission[red] + 1e-30)


def test_thermal_tail_obeys_detailed_balance() -> None:
    grid = np.linspace(560, 620, 31) * NM
    cold = cross_sections("rhodamine B", "ethanol", grid, temperature=283.15)
    ratio = np.log(cold.absorption / cold.emission)
    slope = np.polyfit(1 / grid, ratio, 1)[0]
    assert slope == pytest.approx(constants.h * constants.c / (constants.k * 283.15), rel=1e-9)


def test_emission_goes_with_the_radiative_rate_and_inversely_with_the_square_of_the_index() -> None:
    at = np.array([590 * NM])
    base = cross_sections("rhodamine 6G", "ethanol", at).emission[0]
    assert cross_sections("rhodamine 6G", "ethanol", at, lifetime=7.8e-9).emission[0] == pytest.approx(base / 2)
    doubled = cross_sections("rhodamine 6G", "ethanol", at, refractive_index=2 * 1.3611).emission[0]
    assert doubled == pytest.approx(base / 4)


def test_absorption_is_smooth_across_the_join_to_the_measured_tail() -> None:
    grid = np.arange(540, 620, 0.25) * NM
    fall = np.diff(np.log(cross_sections("rhodamine 6G", "ethanol", grid).absorption))
    assert np.all(fall < 0)
    assert fall.min() > -0.12  # no step: at most 12 % a quarter of a nanometre


def test_unknown_tail_and_missing_table_are_named() -> None:
    at = np.array([590 * NM])
    with pytest.raises(DomainError, match="tail is 'thermal'"):
        cross_sections("rhodamine 6G", "ethanol", at, "thermal")
    with pytest.raises(DomainError, match="none is given"):
        cross_sections("rhodamine B", "ethanol", at, "table")
