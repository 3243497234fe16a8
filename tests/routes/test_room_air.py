"""Room air: computed figures, and balances by another way."""

from __future__ import annotations

import math

import pytest
from scipy.integrate import solve_ivp

from pulsewright.physics.air.clearing import clearing_time, fraction_left
from pulsewright.physics.air.oxygen import added_gas_for_oxygen, gas_layer_fraction, oxygen_after_dilution
from pulsewright.physics.air.vapour import (
    dilution_air_volume,
    gas_volume,
    mass_concentration,
    steady_vapour_fraction,
    vapour_volume,
)

LITRE = 1e-3


@pytest.mark.parametrize(
    ("density", "molar_mass", "lower_limit", "litres", "cubic_metres"),
    [
        # [computed] densities and molar masses are handbook values
        (791.4, 32.042, 0.060, 594, 39.6),
        (789.3, 46.069, 0.033, 412, 49.9),
        (790.0, 58.080, 0.025, 327, 52.3),
        (785.0, 60.096, 0.020, 314, 62.8),
    ],
    ids=["methanol", "ethanol", "acetone", "2-propanol"],
)
def test_vapour_of_a_spilled_litre(
    density: float, molar_mass: float, lower_limit: float, litres: float, cubic_metres: float
) -> None:
    vapour = vapour_volume(LITRE, density, molar_mass * 1e-3)
    assert vapour / LITRE == pytest.approx(litres, abs=0.5)
    assert dilution_air_volume(vapour, lower_limit, 0.25) == pytest.approx(cubic_metres, abs=0.06)


def test_carbon_dioxide_and_oxygen() -> None:
    # [computed] 0.547 m^3/kg; 4.97 %; 19.90 % oxygen at 5 %; 6.9 % for 19.5 % oxygen
    gas = gas_volume(1.0, 0.04401)
    assert gas == pytest.approx(0.547, abs=5e-4)
    assert 100 * gas_layer_fraction(gas, 5.5) == pytest.approx(4.97, abs=5e-3)
    assert 100 * oxygen_after_dilution(0.05) == pytest.approx(19.90, abs=5e-3)
    assert 100 * added_gas_for_oxygen() == pytest.approx(6.9, abs=0.05)
    assert oxygen_after_dilution(added_gas_for_oxygen(0.19)) == pytest.approx(0.19, rel=1e-12)


def test_ethanol_in_milligrams() -> None:
    # [computed] 1 ppm at 25 degC: 1.883 or 1.884 mg/m^3, by the molar mass taken
    assert mass_concentration(1e-6, 46.069e-3) * 1e6 == pytest.approx(1.8835, abs=1e-3)


def test_clearing_and_steady_release_against_the_differential_equation() -> None:
    volume, air, vapour = 60.0, 0.1, 2e-5
    rising = solve_ivp(
        lambda _, x: [(vapour - (air + vapour) * x[0]) / volume], (0, 50 * volume / air), [0.0], rtol=1e-10, atol=1e-14
    )
    assert rising.y[0, -1] == pytest.approx(steady_vapour_fraction(vapour, air), rel=1e-6)
    time = clearing_time(air / volume, 0.02)
    falling = solve_ivp(lambda _, x: [-air / volume * x[0]], (0, time), [1.0], rtol=1e-10, atol=1e-14)
    assert falling.y[0, -1] == pytest.approx(0.02, rel=1e-6)


def test_one_volume_leaves_a_third() -> None:
    # [computed] 37 %
    assert 100 * fraction_left(1.0, 1.0) == pytest.approx(37, abs=0.5)
    assert fraction_left(2.0, 3.0, 2.0) == pytest.approx(math.exp(-3.0), rel=1e-12)
