"""Continuum of xenon flashlamps at moderate current density.

Source: Koechner, Solid-State Laser Engineering, chapter 6, after J. H. Goncz and P. B. Newell, "Spectra of pulsed and
continuous xenon discharges", J. Opt. Soc. Am. 56, 87 (1966), and lamp-maker guides; all from memory. Colour
temperature of the continuum about 7000 K at 1700 A/cm^2 and about 9500 K at 5300 A/cm^2; 40 to 60 % of the electrical
input of xenon lamps, 25 to 30 % of that of krypton lamps, is radiated between 0.2 and 1.0 um.

Fill and bore of these lamps are not known: 450 torr and 5 to 7 mm, as the law of resistivity goes with, are taken.
Abstracts on coaxial lamps (25 torr, microseconds) are not comparable: their plasma is an annulus of unknown thickness.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.optimize import minimize_scalar

from pulsewright import refdata
from pulsewright.physics.lamp.light import column_exitance
from pulsewright.physics.lamp.plasma import heavy_density
from pulsewright.physics.lamp.tables import PlasmaTables, plasma_tables, spectral_bands, steady_state

Float = NDArray[np.float64]
CENTRE, WIDTH = spectral_bands()
MODERATE = (1.7, 5.3)


@cache
def tables(gas: str) -> PlasmaTables:
    """Plasma of the reference row at 450 torr."""
    row = refdata.gas(gas)
    return plasma_tables(
        heavy_density(450.0 * 133.322368, 300.0),
        float(row.atomic_mass),
        [float(energy) for energy in row.ionisation_energies[: len(row.levels) - 1]],
        row.levels,
        float(row.momentum_transfer_cross_section),
        float(row.continuum_edge_energy),
        float(row.biberman_factor),
    )


def exitance(gas: str, kiloamperes: float, bore: float) -> Float:
    """Spectral exitance in steady balance at a current density in kA/cm^2."""
    found = tables(gas)
    density, _, temperature = steady_state(found, bore)
    place = np.interp(np.log(kiloamperes * 1e7), np.log(density), np.arange(len(density)))
    low, part = int(place), place % 1.0
    absorption = np.exp((1 - part) * found.log_absorption[0, low] + part * found.log_absorption[0, low + 1])
    kelvin = float(np.exp((1 - part) * np.log(temperature[low]) + part * np.log(temperature[low + 1])))
    return np.asarray(column_exitance(CENTRE, kelvin, absorption, bore))


def colour_temperature(spectrum: Float) -> float:
    """Temperature of the black body whose visible spectrum has the same shape."""
    seen = (CENTRE > 400e-9) & (CENTRE < 700e-9)

    def misfit(kelvin: float) -> float:
        return float(np.var(np.log(spectrum[seen] / column_exitance(CENTRE[seen], kelvin, 1e12, 1.0))))

    return float(minimize_scalar(misfit, bounds=(3e3, 6e4), method="bounded").x)


@pytest.mark.parametrize("bore", [5e-3, 7e-3])
@pytest.mark.parametrize(("kiloamperes", "printed"), [(1.7, 7000.0), (5.3, 9500.0)])
def test_colour_temperature_of_xenon(kiloamperes: float, printed: float, bore: float) -> None:
    """`about` is taken as 12 %: half of the step between the two printed figures."""
    assert colour_temperature(exitance("xenon", kiloamperes, bore)) == pytest.approx(printed, rel=0.12)


@pytest.mark.parametrize("kiloamperes", MODERATE)
def test_plasma_is_hotter_than_its_colour(kiloamperes: float) -> None:
    """Fact of a plasma thin in the blue: the colour is not the temperature of the electrons."""
    found = tables("xenon")
    density, _, temperature = steady_state(found, 5e-3)
    kelvin = float(np.interp(np.log(kiloamperes * 1e7), np.log(density), temperature))
    assert kelvin > 1.2 * colour_temperature(exitance("xenon", kiloamperes, 5e-3))


@pytest.mark.parametrize(
    ("gas", "printed", "low", "high"),
    [("xenon", (0.4, 0.6), 0.70, 0.90), ("krypton", (0.25, 0.3), 0.70, 0.90)],
)
@pytest.mark.parametrize("kiloamperes", MODERATE)
def test_known_deviation_of_the_radiated_fraction(
    gas: str, printed: tuple[float, float], low: float, high: float, kiloamperes: float
) -> None:
    """Too high by 1.2 to 2 for xenon, by 2.5 to 3.5 for krypton, though the heat conducted to the wall is counted.

    In a settled arc that heat is a few per cent. Left out are the electrodes, the cool layer that absorbs in front of
    the wall, what glass and electrodes intercept, what the plasma still holds when the current ends, and the lines,
    which for krypton lie beyond 0.75 um and matter below 1 kA/cm^2.
    """
    table, bore = tables(gas), 7e-3
    shares = []
    for factor in (0.0, 1.0):
        density, resistivity, temperature = steady_state(table, bore, factor)
        place = np.interp(np.log(kiloamperes * 1e7), np.log(density), np.arange(len(density)))
        eta = float(np.exp(np.interp(place, np.arange(len(density)), np.log(resistivity))))
        kelvin = float(np.interp(place, np.arange(len(density)), temperature))
        low_place = int(place)
        absorption = np.exp(
            (1 - place % 1) * table.log_absorption[0, low_place] + place % 1 * table.log_absorption[0, low_place + 1]
        )
        spectrum = np.asarray(column_exitance(CENTRE, kelvin, absorption, bore)) * WIDTH
        heat = eta * (kiloamperes * 1e7) ** 2 * bore / 4
        shares.append(float(spectrum[(CENTRE > 0.2e-6) & (CENTRE < 1.0e-6)].sum() / heat))
    assert low < shares[1] < high
    assert shares[1] > printed[1]
    assert 0.95 < shares[1] / shares[0] < 1.0
