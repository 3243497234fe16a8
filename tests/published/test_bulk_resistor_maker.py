"""Maker of ceramic-carbon bulk resistors (hvrint.com), technical data and type table [source]."""

from __future__ import annotations

import pytest

from pulsewright.physics.pulsed_power.dump import (
    adiabatic_temperature_rise,
    body_cooling_time,
    body_derating,
    body_energy_rating,
    body_surface_power,
    body_time_constant,
)

CM3 = 1e-6
#: volume cm^3, energy at 25 C in J, power in W, time constant in s: the type table as printed.
TYPES = [(0.4, 100, 1.00, 100), (1.0, 250, 1.50, 165), (1.3, 325, 1.75, 185), (2.2, 550, 2.25, 245)]


@pytest.mark.parametrize(("volume", "energy", "power", "time_constant"), TYPES)
def test_energy_of_each_type(volume: float, energy: float, power: float, time_constant: float) -> None:
    assert body_energy_rating(volume * CM3) == pytest.approx(energy, rel=1e-9)  # 250 J/cm^3 is exact in the table


@pytest.mark.parametrize(("volume", "energy", "power", "time_constant"), TYPES)
def test_time_constant_of_each_type(volume: float, energy: float, power: float, time_constant: float) -> None:
    # The table rounds the time constant to 5 s.
    assert body_time_constant(energy, power) == pytest.approx(time_constant, abs=2.5)


def test_energy_limits_agree_with_the_temperature_limits() -> None:
    # 250 J/cm^3 from 25 C to 150 C (continuous), 350 J/cm^3 from 25 C to 200 C (infrequent), c = 2 J/(cm^3 K).
    assert adiabatic_temperature_rise(body_energy_rating(CM3), CM3) == pytest.approx(150 - 25, rel=1e-12)
    assert adiabatic_temperature_rise(body_energy_rating(CM3, "infrequent"), CM3) == pytest.approx(200 - 25, rel=1e-12)


def test_derating_at_its_printed_end() -> None:
    # (150 - Ta) is printed: nothing is left at 150 C, all at 25 C.
    assert body_derating(273.15 + 150) == pytest.approx(0.0, abs=1e-9)
    assert body_derating(273.15 + 25) == pytest.approx(1.0, rel=1e-9)


def test_surface_loss_at_the_ends_of_its_range() -> None:
    # 0.00026 dT^1.4 W/cm^2, dT 50 to 175 C.
    assert body_surface_power(50.0) == pytest.approx(0.00026 * 50**1.4 * 1e4, rel=1e-12)
    assert body_surface_power(175.0) == pytest.approx(0.00026 * 175**1.4 * 1e4, rel=1e-12)


@pytest.mark.parametrize(("volume", "energy", "power", "time_constant"), TYPES)
def test_full_cooling_takes_four_time_constants(
    volume: float, energy: float, power: float, time_constant: float
) -> None:
    # The table's energy over power is its time constant within 1 %.
    assert body_cooling_time(energy, power) == pytest.approx(4 * time_constant, rel=0.0105)
    assert adiabatic_temperature_rise(energy, volume * CM3) * 0.02 > 125 * 2.718281828**-4  # 2 % of the rise is left
