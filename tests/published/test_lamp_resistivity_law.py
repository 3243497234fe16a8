"""Resistivity of a lamp's plasma in steady balance of heating and radiation, against the published square-root law.

Source: 1.13 / sqrt(j) ohm cm, j in A/cm^2, xenon, said to hold from about 400 to 10 000 A/cm^2: Koechner, Solid-State
Laser Engineering, chapter 6, after J. H. Goncz, "Resistivity of xenon plasma", J. Appl. Phys. 36, 742 (1965); from
memory. Fill pressure to the power 0.2, counted from 450 torr for xenon and 805 torr for krypton: lamp-maker form,
quoted on a hobby page on flashlamps. Tolerances: 20 %, and 0.15 to 0.25 for the exponent, are what this project asks
of the model; nothing in it was fitted to the law.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from pulsewright import refdata
from pulsewright.physics.lamp.plasma import heavy_density
from pulsewright.physics.lamp.resistivity import spitzer_resistivity
from pulsewright.physics.lamp.tables import PlasmaTables, plasma_tables, steady_state

TORR = 133.322368
#: 1 kA/cm^2 in A/m^2, 1 ohm cm in ohm m.
KILOAMPERE, OHM_CM = 1e7, 1e-2


@cache
def tables(gas: str, torr: float, range_factor: float = 3.0) -> PlasmaTables:
    """Plasma of the reference row at a fill, cold at 300 K."""
    row = refdata.gas(gas)
    return plasma_tables(
        heavy_density(torr * TORR, 300.0),
        float(row.atomic_mass),
        [float(energy) for energy in row.ionisation_energies[: len(row.levels) - 1]],
        row.levels,
        float(row.momentum_transfer_cross_section),
        float(row.continuum_edge_energy),
        float(row.biberman_factor),
        range_factor,
    )


def resistivity(gas: str, torr: float, kiloamperes: float, bore: float = 5e-3, range_factor: float = 3.0) -> float:
    """Resistivity in ohm cm at a current density in kA/cm^2."""
    density, found, _ = steady_state(tables(gas, torr, range_factor), bore)
    assert np.all(np.diff(density) > 0)
    return float(np.exp(np.interp(np.log(kiloamperes * KILOAMPERE), np.log(density), np.log(found)))) / OHM_CM


def law(kiloamperes: float, torr: float = 450.0, reference: float = 450.0) -> float:
    """Published resistivity in ohm cm."""
    return 1.13 / np.sqrt(1e3 * kiloamperes) * (torr / reference) ** 0.2


@pytest.mark.parametrize(("kiloamperes", "printed"), [(1.0, 0.0357), (3.0, 0.0206), (10.0, 0.0113)])
def test_xenon_at_450_torr_and_5_mm(kiloamperes: float, printed: float) -> None:
    assert law(kiloamperes) == pytest.approx(printed, abs=5e-5)
    assert resistivity("xenon", 450.0, kiloamperes) == pytest.approx(printed, rel=0.2)


@pytest.mark.parametrize("kiloamperes", [1.0, 3.0, 10.0])
@pytest.mark.parametrize("bore", [3e-3, 5e-3, 10e-3])
def test_other_bores_at_450_torr(kiloamperes: float, bore: float) -> None:
    """The law knows the bore only through the area."""
    assert resistivity("xenon", 450.0, kiloamperes, bore) == pytest.approx(law(kiloamperes), rel=0.2)


@pytest.mark.parametrize("kiloamperes", [1.0, 3.0, 10.0])
@pytest.mark.parametrize("bore", [3e-3, 5e-3, 10e-3])
@pytest.mark.parametrize("torr", [200.0, 450.0, 1000.0])
def test_xenon_over_bores_pressures_and_current_densities(torr: float, bore: float, kiloamperes: float) -> None:
    """What is asked of the model: 25 % of the law with p^0.2 over 3 to 10 mm, 1 to 10 kA/cm^2, 200 to 1000 torr."""
    assert resistivity("xenon", torr, kiloamperes, bore) == pytest.approx(law(kiloamperes, torr), rel=0.25)


@pytest.mark.parametrize("kiloamperes", [1.0, 3.0, 10.0])
@pytest.mark.parametrize("bore", [3e-3, 5e-3, 10e-3])
def test_xenon_at_100_torr(bore: float, kiloamperes: float) -> None:
    """35 % at 100 torr, where the law is unproven and fast lamps are filled."""
    assert resistivity("xenon", 100.0, kiloamperes, bore) == pytest.approx(law(kiloamperes, 100.0), rel=0.35)


@pytest.mark.parametrize("kiloamperes", [1.0, 3.0, 10.0])
@pytest.mark.parametrize("bore", [3e-3, 5e-3, 10e-3])
@pytest.mark.parametrize("torr", [200.0, 805.0, 1000.0])
def test_krypton_over_bores_pressures_and_current_densities(torr: float, bore: float, kiloamperes: float) -> None:
    """The same for krypton, counted from its own constant of 805 torr."""
    assert resistivity("krypton", torr, kiloamperes, bore) == pytest.approx(law(kiloamperes, torr, 805.0), rel=0.25)


@pytest.mark.parametrize("torr", [100.0, 450.0])
def test_conduction_to_the_wall_hardly_moves_the_balance(torr: float) -> None:
    """The check is held with heat and radiation alone; conduction, even threefold, moves it by less than 4 %."""
    found = tables("xenon", torr)
    for kiloamperes in (1.0, 3.0, 10.0):
        density, eta, _ = steady_state(found, 5e-3, wall_factor=3.0)
        walled = float(np.exp(np.interp(np.log(kiloamperes * KILOAMPERE), np.log(density), np.log(eta)))) / OHM_CM
        plain = resistivity("xenon", torr, kiloamperes)
        assert walled != plain
        assert walled == pytest.approx(plain, rel=0.04)


@pytest.mark.parametrize(("torr", "low", "high"), [(100.0, 1.0, 1.1), (450.0, 1.0, 1.2)])
def test_above_the_range_of_the_law_the_plasma_is_spitzers(torr: float, low: float, high: float) -> None:
    """30 kA/cm^2: within a fifth of the fully ionised value at its own temperature, charge and Coulomb logarithm."""
    found = tables("xenon", torr)
    density, eta, kelvin = steady_state(found, 5e-3)
    place = int(np.searchsorted(density, 30.0 * KILOAMPERE))
    charge = found.electron_density[0, place] / found.number_density
    floor = spitzer_resistivity(kelvin[place], found.logarithm[0, place], charge)
    assert low < eta[place] / floor < high


def test_exponent_of_pressure() -> None:
    """0.2 published; 100 to 1000 torr at 3 kA/cm^2."""
    exponent = np.log10(resistivity("xenon", 1000.0, 3.0) / resistivity("xenon", 100.0, 3.0))
    assert 0.15 < exponent < 0.25


@pytest.mark.parametrize("kiloamperes", [1.0, 3.0, 10.0])
def test_krypton_at_its_own_pressure_constant(kiloamperes: float) -> None:
    """The same law holds for krypton with 805 torr in place of 450 torr."""
    assert resistivity("krypton", 805.0, kiloamperes) == pytest.approx(law(kiloamperes, 805.0, 805.0), rel=0.2)


@pytest.mark.parametrize(
    ("torr", "kiloamperes", "low", "high"),
    [
        (100.0, 1.0, 0.83, 0.95),
        (100.0, 10.0, 1.05, 1.25),
        (1000.0, 1.0, 0.95, 1.10),
        (1000.0, 10.0, 0.85, 1.00),
    ],
)
def test_known_deviation_away_from_450_torr(torr: float, kiloamperes: float, low: float, high: float) -> None:
    """The model's slope in current density turns with pressure; the law's does not.

    At 100 torr xenon is nearly all singly ionised at 1 kA/cm^2 and then only gets hotter, so that it nears the ohmic
    plasma from below; at 1000 torr it is still ionising at 10 kA/cm^2. The law was found near 450 torr and is
    unproven at 100 torr, where fast lamps are filled.
    """
    assert low < resistivity("xenon", torr, kiloamperes) / law(kiloamperes, torr) < high


@pytest.mark.parametrize(
    ("torr", "low", "high"), [(100.0, 1.6, 1.9), (450.0, 1.0, 1.2), (1000.0, 0.75, 0.92)], ids=["100", "450", "1000"]
)
def test_known_deviation_above_the_range_of_the_law(torr: float, low: float, high: float) -> None:
    """30 kA/cm^2, three times beyond the law: the plasma is fully ionised and ohmic there, as fast discharges are.

    The law falls below the resistivity of a fully ionised plasma at 2 eV above 24 kA/cm^2, so it cannot hold.
    """
    assert low < resistivity("xenon", torr, 30.0) / law(30.0, torr) < high


def test_known_deviation_from_the_coulomb_logarithm() -> None:
    """Closest approach at kT instead of 3 kT, the other common choice: a fifth inside the law, a third far above it."""
    inside = resistivity("xenon", 450.0, 3.0, range_factor=1.0) / resistivity("xenon", 450.0, 3.0)
    above = resistivity("xenon", 450.0, 50.0, range_factor=1.0) / resistivity("xenon", 450.0, 50.0)
    assert 0.70 < inside < 0.90
    assert 0.60 < above < 0.80
