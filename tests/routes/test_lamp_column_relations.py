"""Relations that a lamp column must keep whatever its tables hold, and constants against their other names."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import constants

from pulsewright import refdata
from pulsewright.engine.coefficients import PLASMA_OF_GAS
from pulsewright.engine.lamp_plasma import element_row, recipe
from pulsewright.physics.lamp import lines
from pulsewright.physics.lamp.dead_volume import pressure_transit_time
from pulsewright.physics.lamp.simmer import steady_arc
from pulsewright.physics.lamp.tables import PlasmaTables

TORR = 133.322368


def tables(name: str, torr: float) -> PlasmaTables:
    values = {f"{name}.{field}": float(getattr(element_row(name), field)) for field in PLASMA_OF_GAS}
    values |= {"plasma.range_factor": 3.0, "plasma.fill_temperature": 300.0}
    return recipe(((name, 1.0),), torr * TORR, "", 0.0, values).tables()


@pytest.mark.parametrize("name", ["xenon", "nitrogen"])
def test_heat_spreads_as_conductivity_over_heat_capacity(name: str) -> None:
    """a = lambda / (n de/dT), lambda = dS/dT: along the axis of energy a is dS/de over the density."""
    found = tables(name, 100.0)
    energy = np.exp(found.energy_axis)
    by_slope = np.gradient(np.exp(found.log_heat_potential[0]), energy) / found.number_density
    assert np.exp(found.log_diffusivity[0])[5:-5] == pytest.approx(by_slope[5:-5], rel=0.05)


@pytest.mark.parametrize(("current", "torr"), [(0.1, 100.0), (1.0, 450.0), (6.0, 30.0)])
def test_a_keep_alive_arc_loses_what_it_takes(current: float, torr: float) -> None:
    """Field times current is light from its surface and heat through the gas round it; and no radius needs less."""
    found, bore = tables("xenon", torr), 7e-3
    radius, kelvin, field = steady_arc(found, current, bore)

    def along(values: np.ndarray) -> float:
        return float(np.exp(np.interp(np.log(kelvin), np.log(found.temperature[0]), values)))

    columns = found.log_radius[0] + found.log_radius[1] * np.arange(found.log_exitance.shape[2])
    column = [np.interp(np.log(radius), columns, row) for row in found.log_exitance[0]]
    light = 2 * np.pi * radius * along(np.array(column))
    heat = 2 * np.pi * along(found.log_heat_potential[0]) / np.log(bore / 2 / radius)
    assert field * current == pytest.approx(light + heat, rel=0.01)
    assert field == pytest.approx(current * along(found.log_resistivity[0]) / (np.pi * radius**2), rel=0.01)


def test_strength_of_a_line_goes_over_into_its_transition_probability() -> None:
    """Integral of the cross-section lambda^2 A g_u / (8 pi g_l), with A = 6.670e15 f g_l / (g_u lambda^2), lambda in
    angstrom: textbook, from memory. And one line of xenon, 823.4 nm: A = 2.86e7 1/s, g_u = g_l = 5, from memory.
    """
    for nanometres in (500.0, 900.0):
        probability = 6.670e15 / (10.0 * nanometres) ** 2
        assert (nanometres * 1e-9) ** 2 * probability / (8 * np.pi) == pytest.approx(lines.LINE_INTEGRAL, rel=2e-4)
    first = refdata.gas("xenon").lines[0]
    assert first.wavelength**2 * 2.86e7 / (8 * np.pi) == pytest.approx(
        lines.LINE_INTEGRAL * first.oscillator_strength, rel=0.01
    )


@pytest.mark.parametrize(("mass", "speed"), [(39.948, 308.0), (4.0026, 972.0)])
def test_pressure_runs_at_the_speed_of_sound(mass: float, speed: float) -> None:
    """Argon 308 m/s and helium 972 m/s at 0 degC, handbook, from memory; nothing ionised."""
    transit = float(pressure_transit_time(0.2, mass * constants.atomic_mass, 273.15, 1.0))
    assert 0.1 / transit == pytest.approx(speed, rel=3e-3)
