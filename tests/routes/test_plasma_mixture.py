"""The mixture of any elements against the single gas, against itself in other words, and against closed forms."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import constants

from pulsewright import refdata
from pulsewright.engine.coefficients import PLASMA_OF_GAS
from pulsewright.engine.lamp_plasma import element_row, recipe
from pulsewright.physics.lamp import light, mixture, plasma
from pulsewright.physics.lamp.tables import PlasmaTables, mixture_tables, plasma_tables, spectral_bands

Float = NDArray[np.float64]
TORR = 133.322368
RARE = ("helium", "neon", "argon", "krypton", "xenon")
FILLS = (*RARE, "nitrogen", "oxygen", "air")


def coefficients(*names: str, glass: str = "clear fused silica") -> dict[str, float]:
    values = {f"{n}.{field}": float(getattr(element_row(n), field)) for n in names for field in PLASMA_OF_GAS}
    edge = float(refdata.glass(glass).opaque_below)
    return {**values, "plasma.range_factor": 3.0, "plasma.fill_temperature": 300.0, f"{glass}.opaque_below": edge}


@cache
def tables(fills: tuple[tuple[str, float], ...], torr: float, envelope: str = "") -> PlasmaTables:
    names = {row.name for fill, _ in fills for row, _ in refdata.gas_parts(fill)} | {"silicon", "oxygen"}
    return recipe(fills, torr * TORR, envelope, 0.0, coefficients(*names)).tables()


@pytest.mark.parametrize("torr", [10.0, 450.0])
@pytest.mark.parametrize("name", RARE)
def test_one_gas_is_what_the_single_gas_gives(name: str, torr: float) -> None:
    """Saha ladder, energy, resistivity and light written for one gas, on temperatures between those of the table."""
    row = refdata.gas(name)
    density = plasma.heavy_density(torr * TORR, 300.0)
    kelvin = np.geomspace(4000.0, 60_000.0, 23)
    steps = len(row.levels) - 1
    alone = plasma.saha_composition(kelvin, density, [float(e) for e in row.ionisation_energies[:steps]], row.levels)
    atom = mixture.Element(
        float(row.atomic_mass), tuple(float(e) for e in row.ionisation_energies[:steps]), row.levels, 1e-19, 4e-19
    )
    species = mixture.Species((atom,))
    both = mixture.mixture_composition(kelvin, np.full(23, density), np.ones((23, 1)), species)
    assert both.electron_density == pytest.approx(alone.electron_density, rel=1e-9)
    assert both.populations[0] == pytest.approx(alone.densities, rel=1e-8, abs=1e-8 * density)
    cold = density * mixture.Content((1.0,)).cold_energy(species, 300.0)
    assert both.energy - cold == pytest.approx(plasma.plasma_energy(alone), rel=1e-9)
    squares = alone.charge_square_density
    eta = plasma.plasma_resistivity(
        kelvin, alone.electron_density, alone.densities[:, 0], squares / alone.electron_density, 2.0, 1e-19
    )
    assert mixture.mixture_resistivity(both, species, np.full(23, 2.0)) == pytest.approx(eta, rel=1e-9)


@pytest.mark.parametrize("name", ["xenon", "krypton", "argon"])
def test_binding_of_a_pure_fill_is_the_single_gas_table(name: str) -> None:
    row = refdata.gas(name)
    direct = plasma_tables(
        plasma.heavy_density(100 * TORR, 300.0),
        float(row.atomic_mass),
        [float(energy) for energy in row.ionisation_energies[: len(row.levels) - 1]],
        row.levels,
        float(row.momentum_transfer_cross_section),
        float(row.continuum_edge_energy),
        float(row.biberman_factor),
    )
    bound = tables(((name, 1.0),), 100.0)
    for field in ("temperature", "electron_density", "log_resistivity", "log_exitance", "log_absorption"):
        assert getattr(bound, field) == pytest.approx(getattr(direct, field), rel=1e-9), field
    assert bound.log_energy == direct.log_energy


def test_a_gas_mixed_into_itself_changes_nothing() -> None:
    whole, halves = tables((("argon", 1.0),), 100.0), tables((("argon", 0.5), ("argon", 0.5)), 100.0)
    assert halves.log_resistivity == pytest.approx(whole.log_resistivity, rel=1e-12)


def test_air_is_its_parts_mixed_by_hand() -> None:
    parts = tuple((row.name, share) for row, share in refdata.gas_parts("air"))
    assert tables(parts, 100.0).log_resistivity == pytest.approx(tables((("air", 1.0),), 100.0).log_resistivity)


def test_a_mixture_lies_between_its_gases_at_one_energy() -> None:
    """Where one gas is cooler at equal energy per heavy particle than the other, the mixture is in between."""
    axis = np.linspace(np.log(1e-19), np.log(1e-18), 20)
    low, half, high = (
        np.interp(axis, found.energy_axis, found.temperature[0])
        for found in (
            tables((("xenon", 1.0),), 100.0),
            tables((("xenon", 0.5), ("argon", 0.5)), 100.0),
            tables((("argon", 1.0),), 100.0),
        )
    )
    assert np.all(low <= half * (1 + 1e-6))
    assert np.all(half <= high * (1 + 1e-6))


def test_nitrogen_dissociates_as_the_quadratic_says() -> None:
    """n_N^2 / n_N2 = K of one temperature, with 2 n_N2 + n_N = n: the root, K being taken at another density."""
    kelvin, densities = 6500.0, np.array([1e23, 1e24, 1e25])
    made = recipe((("nitrogen", 1.0),), 100 * TORR, "", 0.0, coefficients("nitrogen"))
    found = mixture.mixture_composition(np.full(3, kelvin), densities, np.ones((3, 1)), made.species)
    atoms, pairs = found.populations[0][:, 0], found.molecules[:, 0]
    law = atoms[0] ** 2 / pairs[0]
    root = 0.25 * law * (np.sqrt(1 + 8 * densities / law) - 1)
    # a thousandth is ionised and the continuum lowers the atom's levels by a little
    assert atoms == pytest.approx(root, rel=5e-3)
    ions = found.populations[0][:, 1:].sum(axis=1)
    assert 2 * pairs + atoms + ions == pytest.approx(densities, rel=1e-9)


def test_cold_molecules_cost_their_bond_and_no_more() -> None:
    """Between cold molecules and warm atoms lies the bond, per atom half of it, and 3/2 kT each."""
    found = tables((("oxygen", 1.0),), 10.0)
    kelvin = 7000.0
    energy = found.energy_at(kelvin)
    bond = 0.5 * float(refdata.molecule("O2").dissociation_energy)
    start = 0.5 * 2.5 * constants.k * 300.0
    assert energy == pytest.approx(bond + 1.5 * constants.k * kelvin - start, rel=0.03)


@pytest.mark.parametrize("name", FILLS)
def test_no_fill_outshines_a_black_body(name: str) -> None:
    """T >= (F / sigma)^(1/4) at every energy and radius."""
    found = tables(((name, 1.0),), 450.0)
    flux = np.exp(found.log_exitance[0])
    assert np.all(found.temperature[0][:, None] >= (flux / constants.sigma) ** 0.25 * (1 - 1e-9))


@pytest.mark.parametrize("name", FILLS)
def test_every_fill_has_finite_rising_tables(name: str) -> None:
    for torr in (1.0, 7600.0):
        found = tables(((name, 1.0),), torr)
        for field in ("log_resistivity", "log_exitance", "log_absorption", "log_heat_potential", "log_diffusivity"):
            assert np.all(np.isfinite(getattr(found, field))), field
        assert np.all(np.diff(found.temperature[0]) > 0)
        assert np.all(np.diff(found.log_heat_potential[0]) > 0)


def test_vapour_ladder_starts_at_the_fill_and_ends_in_silica() -> None:
    with_wall = tables((("xenon", 1.0),), 100.0, "clear fused silica")
    alone = tables((("xenon", 1.0),), 100.0)
    assert with_wall.temperature.shape[0] == 9
    inside = (with_wall.energy_axis > alone.energy_axis[0]) & (with_wall.energy_axis < alone.energy_axis[-1])
    same = np.interp(with_wall.energy_axis[inside], alone.energy_axis, alone.log_resistivity[0])
    assert with_wall.log_resistivity[0, inside] == pytest.approx(same, abs=3e-3)
    made = recipe((("xenon", 1.0),), 100 * TORR, "clear fused silica", 0.0, coefficients("xenon", "silicon", "oxygen"))
    assert made.vapour is not None
    assert made.vapour.nuclei == pytest.approx((0.0, 1 / 3, 2 / 3))
    # the last rung, of which one nucleus in 256 is xenon, is nearly a fill of vapour alone at that density
    alone = mixture_tables(made.species, made.vapour, 256 * made.number_density)
    for energy in (3e-19, 1e-18, 3e-18):
        last = np.interp(np.log(energy), with_wall.energy_axis, with_wall.log_resistivity[8])
        assert last == pytest.approx(np.interp(np.log(energy), alone.energy_axis, alone.log_resistivity[0]), abs=0.03)


def test_ladder_ends_below_solid_density() -> None:
    values = coefficients("argon", "silicon", "oxygen")
    for torr, rungs in ((100.0, 9), (3000.0, 7), (1e6, 3)):
        made = recipe((("argon", 1.0),), torr * TORR, "clear fused silica", 0.0, values)
        assert made.rungs == rungs


def test_surface_takes_up_what_lies_below_its_edge() -> None:
    """Light of the first rung below 160 nm, summed by hand for one energy and radius."""
    found = tables((("xenon", 1.0),), 100.0, "clear fused silica")
    centre, width = spectral_bands()
    index, column = 120, 20
    radius = np.exp(found.log_radius[0] + column * found.log_radius[1])
    absorption = np.exp(found.log_absorption[0, index])
    spectrum = light.column_exitance(centre, found.temperature[0, index], absorption, 2 * radius)
    share = np.clip((160e-9 - (centre - width / 2)) / width, 0, 1)
    assert np.exp(found.log_wall_exitance[0, index, column]) == pytest.approx(
        np.sum(spectrum * width * share), rel=1e-6
    )
