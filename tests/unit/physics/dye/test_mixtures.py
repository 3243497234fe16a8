"""Mixing rules and pairing at their limits, and what they refuse."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pulsewright.errors import DomainError
from pulsewright.physics.dye import aggregation, mixture_vapour, mixtures

RULES = (
    (mixtures.ideal_density, 700.0, 1200.0),
    (mixtures.lorentz_lorenz_index, 1.3, 1.5),
    (mixtures.mixture_viscosity, 3e-4, 2e-2),
    (mixtures.mixture_specific_heat, 1700.0, 4200.0),
    (mixtures.mixture_expansion, 2e-4, 1.4e-3),
    (mixtures.mixture_index_coefficient, -5e-4, -1e-4),
    (mixture_vapour.mixture_gas_solubility, 2e-5, 9e-4),
    (mixture_vapour.mixture_vapour_pressure, 10.0, 3e4),
)


@pytest.mark.parametrize(("rule", "low", "high"), RULES, ids=lambda item: getattr(item, "__name__", ""))
@given(share=st.floats(0.0, 1.0), one=st.floats(0.0, 1.0), other=st.floats(0.0, 1.0))
def test_a_mean_lies_between_its_parts(rule, low, high, share, one, other) -> None:
    ends = [low + (high - low) * one, low + (high - low) * other]
    value = rule([share, 1 - share], ends)
    slack = 1e-9 * max(abs(end) for end in ends)
    assert min(ends) - slack <= value <= max(ends) + slack


@pytest.mark.parametrize("rule", [rule for rule, _, _ in RULES])
@pytest.mark.parametrize("bad", [[0.5, 0.6], [1.1, -0.1], [np.nan, 0.5], 1.0])
def test_fractions_that_are_none_are_refused(rule, bad) -> None:
    with pytest.raises(DomainError):
        rule(bad, [1.4, 1.3])


def test_fractions_there_and_back() -> None:
    mass = mixtures.mass_fractions([0.3, 0.7], [800.0, 1000.0])
    assert mass.sum() == pytest.approx(1.0)
    volume = mass / np.array([800.0, 1000.0])
    assert volume / volume.sum() == pytest.approx([0.3, 0.7])


def test_two_alike_solvents_are_one() -> None:
    assert mixtures.mixture_sound_speed([0.4, 0.6], [0.04] * 2, [800.0] * 2, [1200.0] * 2) == pytest.approx(1200.0)
    assert mixtures.mixture_thermal_conductivity([0.4, 0.6], [0.2, 0.2]) == pytest.approx(0.2)
    assert mixtures.mixture_cutoff([0.4, 0.6], [2.1e-7, 2.1e-7], 1e-8) == pytest.approx(2.1e-7)
    assert mixture_vapour.van_laar_activity([1.0, 0.0], [1.7, 0.9])[0] == pytest.approx(1.0)


def test_activities_obey_gibbs_and_duhem() -> None:
    """x1 dln(gamma1) + x2 dln(gamma2) = 0 along the composition, a law that the two constants do not enter."""
    share = np.linspace(0.01, 0.99, 981)
    fractions = np.stack([share, 1 - share], axis=-1)
    logs = np.log(mixture_vapour.van_laar_activity(fractions, [1.68, 0.92]))
    slopes = np.gradient(logs, share, axis=0)
    assert np.abs((fractions * slopes).sum(axis=-1))[1:-1].max() < 2e-3 * np.abs(slopes).max()


@given(concentration=st.floats(0.0, 10.0), constant=st.floats(0.0, 100.0))
def test_pairs_conserve_the_dye(concentration, constant) -> None:
    single = aggregation.free_monomers(concentration, constant)
    assert 0.0 <= single <= concentration
    assert single + 2 * constant * single**2 == pytest.approx(concentration, rel=1e-9, abs=1e-300)


def test_micelles_and_their_guests() -> None:
    assert aggregation.micelles(5.0, 8.2, 62) == 0.0
    assert aggregation.alone_in_micelle(0.0, 1.0) == 1.0
    assert np.all(np.diff(aggregation.alone_in_micelle([0.01, 0.1, 1.0], 1.0)) < 0)
    for constants in ((0.0, 0.5, 1.0), (1.0, 1.5, 1.0), (1.0, 0.5, 0.0)):
        with pytest.raises(DomainError):
            aggregation.mixed_dimer_constant(*constants)


def test_nomoto_is_the_cube_root_by_volume() -> None:
    """R = V c^(1/3) added by moles: the cube root of the speed goes by the parts of the volume, of any densities."""
    volume, density, mass = np.array([0.3, 0.7]), np.array([1113.4, 789.4]), np.array([0.062068, 0.046069])
    speed = np.array([1660.0, 1159.0])
    mole = mixtures.mole_fractions(mixtures.mass_fractions(volume, density), mass)
    found = mixtures.mixture_sound_speed(mole, mass, density, speed)
    assert found == pytest.approx(float(volume @ np.cbrt(speed)) ** 3, rel=1e-12)


def test_at_its_cutoff_a_mixture_absorbs_nine_tenths_in_a_centimetre() -> None:
    parts, edges, decade = np.array([0.2, 0.8]), np.array([330e-9, 310e-9]), 10e-9
    found = float(mixtures.mixture_cutoff(parts, edges, decade))
    assert float(parts @ 10 ** ((edges - found) / decade)) == pytest.approx(1.0, rel=1e-9)


def test_conductivity_of_filippov_lies_below_the_mean_by_mass() -> None:
    """Half and half: 0.18 of the difference below the mean."""
    assert mixtures.mixture_thermal_conductivity([0.5, 0.5], [0.2, 0.6]) == pytest.approx(0.4 - 0.18 * 0.4, rel=1e-12)
