"""The square-root law of a lamp: [computed] figures of the fact sheet and identities."""

from __future__ import annotations

import math

import numpy as np
import pytest

from pulsewright.physics.lamp.blackbody import blackbody_exitance, minimum_temperature
from pulsewright.physics.lamp.resistivity import (
    spitzer_resistivity,
    square_law_field,
    square_law_floor_current_density,
    square_law_power_density,
    square_law_resistivity,
    square_law_wall_flux,
)
from pulsewright.physics.lamp.square_law import (
    impedance_parameter,
    narrow_arc_impedance_parameter,
    parallel_impedance_parameter,
    series_impedance_parameter,
    square_law_voltage,
)
from pulsewright.physics.pulsed_power.circuit import damping_parameter, general_damping_parameter

EV = 11604.518121550082
#: j A/cm^2, rho ohm cm, E V/cm, P W/cm^3 [computed]; the last row lies outside the law.
PER_LENGTH = [
    (400, "0.0565", "22.6", "9.04e3"),
    (1000, "0.03573", "35.7", "3.57e4"),
    (1700, "0.02741", "46.6", "7.92e4"),
    (5300, "0.01552", "82.3", "4.36e5"),
    (10000, "0.01130", "113.0", "1.13e6"),
    (30000, "0.00652", "195.7", "5.87e6"),
]


def half_digit(printed: str) -> float:
    mantissa, _, power = printed.partition("e")
    return 0.501 * 10.0 ** (-len(mantissa.partition(".")[2]) + (int(power) if power else 0))


@pytest.mark.parametrize("row", PER_LENGTH, ids=[str(row[0]) for row in PER_LENGTH])
def test_per_length_table(row: tuple[float, str, str, str]) -> None:
    density = row[0] * 1e4
    found = (
        float(square_law_resistivity(density)) * 100,
        float(square_law_field(density)) / 100,
        float(square_law_power_density(density)) / 1e6,
    )
    for value, printed in zip(found, row[1:], strict=True):
        assert value == pytest.approx(float(printed), abs=half_digit(printed))


def test_voltage_from_resistivity_and_from_impedance_parameter() -> None:
    # K0 = 1.13 (2 / sqrt(pi)) l/d = 1.2751 l/d: 1.13, 1.27 and 1.28 are one number, rounded.
    bore, arc, current = 7e-3, 0.15, 5e3
    density = current / (math.pi * bore**2 / 4)
    k0 = float(square_law_field(density)) * arc / math.sqrt(current)
    assert k0 / (arc / bore) == pytest.approx(1.2751, abs=6e-5)
    printed = [1.27, 1.28]
    spread = [float(impedance_parameter(arc, bore, 450 * 101325 / 760, impedance_constant=c)) / k0 for c in printed]
    assert spread == pytest.approx([0.996, 1.004], abs=6e-4)


def test_pressure_exponent() -> None:
    ratio = impedance_parameter(0.1, 5e-3, 2e4) / impedance_parameter(0.1, 5e-3, 1e4)
    assert math.log2(ratio) == pytest.approx(0.2, rel=1e-12)


def test_several_lamps() -> None:
    # Each of n in parallel carries I/n; n in series share the voltage.
    current = 1000.0
    assert parallel_impedance_parameter(20.0, 4) * math.sqrt(current) == pytest.approx(20.0 * math.sqrt(current / 4))
    assert series_impedance_parameter(20.0, 4) * math.sqrt(current) == pytest.approx(4 * 20.0 * math.sqrt(current))


def test_narrow_arc_is_a_lamp_of_that_bore() -> None:
    full = impedance_parameter(0.1, 8e-3, 3e4)
    assert narrow_arc_impedance_parameter(full, 8e-3, 2e-3) == pytest.approx(impedance_parameter(0.1, 2e-3, 3e4))


@pytest.mark.parametrize(("electronvolts", "printed"), [(1, "0.0208"), (1.5, "0.0113"), (2, "0.0074"), (3, "0.0040")])
def test_spitzer(electronvolts: float, printed: str) -> None:
    found = spitzer_resistivity(electronvolts * EV, 4.0, 1.0) * 100
    assert found == pytest.approx(float(printed), abs=half_digit(printed))


def test_law_falls_below_spitzer_at_2_4e4() -> None:
    # (1.13 / 0.00735)^2 = 2.4e4 A/cm^2
    floor = spitzer_resistivity(2 * EV)
    assert square_law_floor_current_density(floor) / 1e4 == pytest.approx(2.4e4, abs=0.05e4)


@pytest.mark.parametrize(
    ("density", "kelvin", "colour", "share"), [(1700, 8.2e3, 7000, 0.53), (5300, 1.26e4, 9500, 0.33)]
)
def test_flux_and_temperature(density: float, kelvin: float, colour: float, share: float) -> None:
    # d = 1.3 cm; colour temperatures of the sheet correspond to 53 % and 33 % of that flux.
    flux = float(square_law_wall_flux(density * 1e4, 13e-3))
    assert minimum_temperature(flux) == pytest.approx(kelvin, abs=51)
    assert blackbody_exitance(colour) / flux == pytest.approx(share, abs=0.0051)


def test_voltage_follows_the_sign_of_the_current() -> None:
    current = np.array([-100.0, 0.0, 100.0])
    assert np.asarray(square_law_voltage(20.0, current)) == pytest.approx([-200.0, 0.0, 200.0])


@pytest.mark.parametrize("reference", [10.0, 1000.0])
def test_general_damping_gives_back_the_square_root_one(reference: float) -> None:
    volts = float(square_law_voltage(28.8, reference))
    found = general_damping_parameter(volts, reference, 0.5, 9.5e3, 0.6)
    assert found == pytest.approx(float(damping_parameter(28.8, 9.5e3, 0.6)), rel=1e-12)
