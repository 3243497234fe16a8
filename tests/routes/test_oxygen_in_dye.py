"""Oxygen in the solvents and what it does: [computed from memory] figures of the fact sheet."""

from __future__ import annotations

import pytest

from pulsewright import refdata
from pulsewright.physics.dye.photochemistry import bleached_fraction
from pulsewright.physics.dye.quenching import (
    dissolved_gas,
    effective_triplet_lifetime,
    singlet_loss,
    steady_triplet_ratio,
    triplet_formation_rate,
)

ATMOSPHERE = 101325.0

#: solvent -> mol/m3 at 1 atm of oxygen, in air with vapour, in air without.
OXYGEN = {
    "methanol": (10.2, 1.8, 2.1),
    "ethanol": (9.9, 1.9, 2.1),
    "water": (1.27, 0.26, None),
    "acetone": (11.3, 1.65, 2.4),
}


def oxygen(solvent: str, gas_fraction: float, vapour: bool) -> float:
    row = refdata.solvent(solvent)
    return float(
        dissolved_gas(
            float(row.oxygen_mole_fraction),
            gas_fraction,
            ATMOSPHERE,
            float(row.vapour_pressure) if vapour else 0.0,
            float(row.density),
            float(row.molar_mass),
        )
    )


@pytest.mark.parametrize("solvent", OXYGEN)
def test_dissolved_oxygen(solvent: str) -> None:
    pure, air, dry = OXYGEN[solvent]
    # 1 % for the density at 20 against 25 degC, and half of the last printed digit
    assert oxygen(solvent, 1.0, False) == pytest.approx(pure, abs=0.01 * pure + 0.05)
    assert oxygen(solvent, 0.2095, True) == pytest.approx(air, abs=0.01 * air + 0.05)
    if dry is not None:
        assert oxygen(solvent, 0.2095, False) == pytest.approx(dry, abs=0.01 * dry + 0.05)


def test_triplet_lifetimes_in_air_and_oxygen() -> None:
    rate, long = 1.5e6, 1.0  # 1.5e9 L/(mol s); nothing but oxygen
    assert effective_triplet_lifetime(long, 2.1, rate) * 1e6 == pytest.approx(0.32, abs=0.005)
    assert effective_triplet_lifetime(long, 1.8, rate) * 1e6 == pytest.approx(0.37, abs=0.005)
    assert 0.06 < effective_triplet_lifetime(long, 9.9, rate) * 1e6 < 0.08
    assert effective_triplet_lifetime(long, 0.26, rate) * 1e6 == pytest.approx(2.6, abs=0.05)


def test_triplet_quenching_is_seven_times_weaker_in_water_than_in_alcohol() -> None:
    ratio = oxygen("ethanol", 0.2095, True) / oxygen("water", 0.2095, True)
    assert ratio == pytest.approx(7.0, abs=0.6)


def test_singlets_lost_to_oxygen() -> None:
    # 5e9 to 1.5e10 L/(mol s), 4 ns: 4 to 11 % in air-saturated methanol, 15 to 35 % under pure oxygen
    low, high = 5e6, 1.5e7
    assert singlet_loss(4e-9, 2.1, low) == pytest.approx(0.04, abs=0.005)
    assert singlet_loss(4e-9, 2.1, high) == pytest.approx(0.11, abs=0.005)
    assert singlet_loss(4e-9, 9.9, low) == pytest.approx(0.15, abs=0.025)
    assert singlet_loss(4e-9, 9.9, high) == pytest.approx(0.35, abs=0.025)


def test_all_oxygen_quenching_into_triplets_would_forbid_lasing() -> None:
    """The bound of the model page: with y = 1 triplet absorption beats the gain; with the row's share it does not."""
    row = refdata.dye("rhodamine 6G")
    oxygen_air = oxygen("ethanol", 0.2095, True)
    lifetime = effective_triplet_lifetime(float(row.triplet_lifetime), oxygen_air, float(row.oxygen_triplet_quenching))
    net = 1.56e-20 - float(row.excited_state_absorption)

    def triplet_loss(share: float) -> float:
        formed = triplet_formation_rate(
            float(row.intersystem_crossing_rate), oxygen_air, float(row.oxygen_singlet_quenching), share
        )
        return float(steady_triplet_ratio(formed, lifetime)) * float(row.triplet_absorption)

    assert triplet_loss(1.0) > net
    assert triplet_loss(float(row.oxygen_triplet_yield)) < net


@pytest.mark.parametrize(("probability", "percent"), [(1e-7, 0.02), (1e-6, 0.2), (1e-5, 2.0), (1e-4, 22.0)])
def test_worked_scale_of_bleaching(probability: float, percent: float) -> None:
    # 1 MJ of lamp input per litre, 5 % absorbed as 530 nm photons, 1 L at 1e-4 mol/L [computed]
    lost = bleached_fraction(0.05 * 1e6, 530e-9, probability, 1e-4)
    assert 100 * lost == pytest.approx(percent, rel=0.12 if percent < 20 else 0.03)


def test_one_in_a_thousand_uses_the_fill_up() -> None:
    assert bleached_fraction(0.05 * 1e6, 530e-9, 1e-3, 1e-4) > 1.0


#: solvent -> mol/m3 of carbon dioxide at 1 atm [computed from memory].
CARBON_DIOXIDE = {"methanol": 170.0, "ethanol": 110.0, "water": 34.0, "acetone": 270.0}


@pytest.mark.parametrize("solvent", CARBON_DIOXIDE)
def test_dissolved_carbon_dioxide(solvent: str) -> None:
    row = refdata.solvent(solvent)
    given = row.carbon_dioxide_mole_fraction
    assert given is not None
    found = dissolved_gas(float(given), 1.0, ATMOSPHERE, 0.0, float(row.density), float(row.molar_mass))
    # two digits are printed
    assert found == pytest.approx(CARBON_DIOXIDE[solvent], rel=0.05)
