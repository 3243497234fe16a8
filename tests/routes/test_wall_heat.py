"""Heat to the wall: closed forms against a conduction computed step by step, and orders of magnitude that are known."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from pulsewright import refdata
from pulsewright.physics.lamp import wall
from pulsewright.physics.lamp.dead_volume import pressure_transit_time, remaining_fill

Float = NDArray[np.float64]
SILICA = refdata.glass("clear fused silica")
PROPERTIES = (float(SILICA.thermal_conductivity), float(SILICA.density), float(SILICA.heat_capacity))


def conducted(diffusivity: float, time: float, surface: float | None, flux: float, conductivity: float) -> Float:
    """Temperatures in a half space by small explicit steps: surface held, or a flux into it; 0 at the start."""
    depth = 8 * np.sqrt(diffusivity * time)
    count = 400
    step = depth / count
    steps = int(np.ceil(time / (0.4 * step**2 / diffusivity)))
    number = diffusivity * time / steps / step**2
    kelvin = np.zeros(count)
    for _ in range(steps):
        outside = surface if surface is not None else kelvin[1] + 2 * step * flux / conductivity
        if surface is not None:
            kelvin[0] = surface
            kelvin[1:-1] += number * (kelvin[2:] - 2 * kelvin[1:-1] + kelvin[:-2])
        else:
            inner = number * (kelvin[2:] - 2 * kelvin[1:-1] + kelvin[:-2])
            kelvin[0] += number * (outside - 2 * kelvin[0] + kelvin[1])
            kelvin[1:-1] += inner
    return np.concatenate([[step], kelvin])


def test_layer_is_the_slope_of_a_half_space_after_a_step() -> None:
    """Thickness: temperature difference over slope at the surface."""
    diffusivity, time = 5e-3, 20e-6
    step, *kelvin = conducted(diffusivity, time, 1.0, 0.0, 1.0)
    slope = (-3 * kelvin[0] + 4 * kelvin[1] - kelvin[2]) / (2 * step)
    assert wall.boundary_layer_thickness(diffusivity, time, 1.0) == pytest.approx(-1.0 / slope, rel=3e-3)


def test_layer_grows_as_the_discharge_takes_it() -> None:
    """d(delta^2)/dt = pi a, up to the settled thickness."""
    early, late = (wall.boundary_layer_thickness(4e-3, t, 7e-3) for t in (10e-6, 11e-6))
    assert (late**2 - early**2) / 1e-6 == pytest.approx(np.pi * 4e-3, rel=1e-9)
    assert wall.boundary_layer_thickness(4e-3, 1.0, 7e-3, 0.3) == pytest.approx(2.1e-3)


def test_surface_of_glass_under_a_flux() -> None:
    conductivity, density, heat = PROPERTIES
    flux, time = 2e9, 5e-6
    diffusivity = conductivity / (density * heat)
    _, kelvin, *_ = conducted(diffusivity, time, None, flux, conductivity)
    assert wall.surface_temperature_rise(flux, time, *PROPERTIES) == pytest.approx(kelvin, rel=5e-3)


@pytest.mark.parametrize("time", [1e-6, 5e-6, 20e-6])
def test_vaporising_fluence_is_the_flux_that_reaches_the_temperature(time: float) -> None:
    rise = float(SILICA.vaporising_temperature) - 300.0
    fluence = wall.vaporising_fluence(time, rise, *PROPERTIES)
    assert wall.surface_temperature_rise(fluence / time, time, *PROPERTIES) == pytest.approx(rise, rel=1e-12)


def test_about_a_joule_per_square_centimetre_vaporises_silica_within_microseconds() -> None:
    """Order of magnitude on which the model of ablation rests: 1 J/cm^2, here within a factor of 2.5 at 1 to 10 us."""
    rise = float(SILICA.vaporising_temperature) - 300.0
    for time in (1e-6, 3e-6, 10e-6):
        assert 0.4e4 < wall.vaporising_fluence(time, rise, *PROPERTIES) < 2.5e4


def test_conductivity_of_a_fully_ionised_plasma() -> None:
    """Wiedemann and Franz by hand at 1 eV: 2 (k/e)^2 T / eta, (k/e) T = 1 V."""
    kelvin, eta = 11604.518, 2e-4
    by_hand = 2 * 1.0**2 / kelvin / eta
    assert wall.thermal_conductivity(kelvin, eta, 0.0, 5.6e-3) == pytest.approx(by_hand, rel=1e-6)


def test_potential_of_the_cold_gas_is_the_integral_of_its_conductivity() -> None:
    kelvin = np.linspace(300.0, 2500.0, 4001)
    along = np.asarray(wall.thermal_conductivity(kelvin, 1e300, 1.0, 17.7e-3, 0.7))
    assert wall.cold_heat_potential(2500.0, 17.7e-3, 0.7) == pytest.approx(np.trapezoid(along, kelvin), rel=1e-6)
    summed = wall.heat_potential_along(kelvin, along, 0.0)
    assert summed[-1] == pytest.approx(np.trapezoid(along, kelvin), rel=1e-12)


def test_flux_is_potential_over_layer_times_factor() -> None:
    assert wall.wall_heat_flux(4e3, 2e-4, 3.0) == pytest.approx(6e7)


def test_fill_that_stays_conserves_particles_at_equal_pressure() -> None:
    """Long after: bore and dead volume at one pressure hold what both held cold."""
    dead, hot = 0.2, 80.0
    share = remaining_fill(dead, 1e3, hot)
    outside = share * hot  # density behind the electrodes, cold, at the pressure of the bore
    assert share + dead * outside == pytest.approx(1 + dead, rel=1e-12)


def test_nothing_leaves_in_microseconds_and_nothing_without_dead_volume() -> None:
    transit = pressure_transit_time(0.15, 2.18e-25)
    assert 20e-6 < transit < 100e-6
    assert remaining_fill(0.2, 3e-6 / transit) > 0.9
    assert remaining_fill(0.0, 10.0) == 1.0
