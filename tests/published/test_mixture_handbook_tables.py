"""Mixing rules against concentration tables of the usual handbooks, from memory, 20 degC.

The tables stand in `refdata.mixtures` with their tags; each is held there against a property library in
`routes/test_solvents_by_more_libraries.py`. Watery alcohols contract, thicken and carry sound faster than any simple
rule says: those misses are known deviations, bounded on both sides, and a shot takes the table instead.
"""

from __future__ import annotations

import numpy as np
import pytest

from pulsewright import refdata
from pulsewright.physics.dye import mixtures
from pulsewright.physics.dye.mixture_vapour import mixture_vapour_pressure, van_laar_activity

FIRST = ("ethanol", "methanol", "ethylene glycol")


def parts(first: str, name: str) -> np.ndarray:
    return np.array([float(getattr(refdata.solvent(part), name)) for part in (first, "water")])


def mass(first: str) -> np.ndarray:
    share = np.array(table(first, "density").mass_fraction)
    return np.stack([share, 1 - share], axis=-1)


def table(first: str, name: str) -> refdata.Composition:
    row = refdata.mixture(first, "water")
    assert row is not None
    found = getattr(row, name)
    assert isinstance(found, refdata.Composition)
    return found


def mole(first: str) -> np.ndarray:
    return mixtures.mole_fractions(mass(first), parts(first, "molar_mass"))


@pytest.mark.parametrize("first", FIRST)
def test_index_from_the_tabulated_density(first: str) -> None:
    volume = mass(first) / parts(first, "density")
    volume /= volume.sum(axis=-1, keepdims=True)
    ideal = mixtures.ideal_density(mass(first), parts(first, "density"))
    ratio = np.array(table(first, "density").values) / ideal
    index = mixtures.lorentz_lorenz_index(volume, parts(first, "refractive_index"), ratio)
    # the rule's own 0.0015 of its docstring
    assert index == pytest.approx(np.array(table(first, "refractive_index").values), abs=0.0015)


@pytest.mark.parametrize(("first", "most"), [("ethanol", 1.0365), ("methanol", 1.0375), ("ethylene glycol", 1.0110)])
def test_known_deviation_contraction(first: str, most: float) -> None:
    # volumes do not add: 3.7 % with alcohols, 1.1 % with ethylene glycol
    ratio = np.array(table(first, "density").values) / mixtures.ideal_density(mass(first), parts(first, "density"))
    assert ratio.max() == pytest.approx(most, abs=0.002)
    assert ratio.min() > 0.9999


@pytest.mark.parametrize(
    ("first", "low", "high"), [("ethanol", 2.5, 3.0), ("methanol", 1.9, 2.3), ("ethylene glycol", 1.9, 2.3)]
)
def test_known_deviation_viscosity_maximum(first: str, low: float, high: float) -> None:
    # log-mole without an interaction lies below; ethanol has a maximum at 40 % by mass that no such rule can have
    ratio = np.array(table(first, "viscosity").values) / mixtures.mixture_viscosity(
        mole(first), parts(first, "viscosity")
    )
    assert low < ratio.max() < high
    assert ratio.min() > 0.99


def test_viscosity_maximum_of_watery_ethanol() -> None:
    values = table("ethanol", "viscosity").values
    assert values.index(max(values)) == 4  # 40 % by mass
    assert 2.3 < max(values) / values[-1] < 2.5


def test_known_deviation_heat_and_sound_of_watery_ethanol() -> None:
    # excess heat capacity and a maximum of sound speed, both of structure in the water
    heat = np.array(table("ethanol", "specific_heat").values)
    ratio = heat / mixtures.mixture_specific_heat(mass("ethanol"), parts("ethanol", "specific_heat"))
    assert 1.14 < ratio.max() < 1.19
    sound = mixtures.mixture_sound_speed(
        mole("ethanol"), *(parts("ethanol", name) for name in ("molar_mass", "density", "sound_speed"))
    )
    ratio = np.array(table("ethanol", "sound_speed").values) / sound
    assert 1.15 < ratio.max() < 1.21


def pressure(first: str, share: float) -> float:
    row = refdata.mixture(first, "water")
    assert row is not None
    assert row.van_laar is not None
    fractions = [share, 1 - share]
    activity = van_laar_activity(fractions, [float(constant) for constant in row.van_laar])
    return float(mixture_vapour_pressure(fractions, parts(first, "vapour_pressure"), activity))


def test_azeotrope_of_ethanol_and_water() -> None:
    """Near 25 degC the pressure is highest, flat, at 0.9 to 1.0 by mole; the azeotrope boils at 0.89 (from memory)."""
    shares = np.linspace(0.7, 1.0, 301)
    best = shares[np.argmax([pressure("ethanol", share) for share in shares])]
    assert 0.88 < best < 1.0


@pytest.mark.parametrize(("share", "kilopascal"), [(0.1, 5.5), (0.3, 6.9), (0.5, 7.3), (0.7, 7.7)])
def test_vapour_pressure_of_watery_ethanol(share: float, kilopascal: float) -> None:
    # total pressures at 25 degC as remembered, 8 %
    assert pressure("ethanol", share) / 1e3 == pytest.approx(kilopascal, rel=0.08)


def test_methanol_and_water_have_no_azeotrope() -> None:
    shares = np.linspace(0.0, 1.0, 101)
    assert np.all(np.diff([pressure("methanol", share) for share in shares]) > 0)


def test_known_deviation_raoult_alone() -> None:
    # without activities the pressure of watery ethanol comes out up to 50 % too low
    ideal = float(mixture_vapour_pressure([0.1, 0.9], parts("ethanol", "vapour_pressure")))
    assert 1.4 < pressure("ethanol", 0.1) / ideal < 1.6
