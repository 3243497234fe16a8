"""Black-body light: [computed] bands of the fact sheet (0.2 % or half the last digit), and quadrature."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import constants
from scipy.integrate import quad
from scipy.special import zeta

from pulsewright.physics.lamp.blackbody import (
    blackbody_band_fraction,
    blackbody_exitance,
    minimum_temperature,
    peak_wavelength,
    planck_exitance,
)

NM = 1e-9
BANDS = [(0, 200), (200, 300), (300, 400), (400, 700), (700, 1100), (200, 1100)]
#: T, sigma T^4 W/cm^2, fractions of BANDS, (200-400)/(200-1100), peak nm [computed]
TABLE = [
    (6000, 7.349e3, (0.0021, 0.0372, 0.1009, 0.3757, 0.2672, 0.7810), 0.177, 483),
    (7000, 1.361e4, (0.0078, 0.0753, 0.1448, 0.3930, 0.2227, 0.8358), 0.263, 414),
    (8000, 2.323e4, (0.0197, 0.1205, 0.1778, 0.3829, 0.1831, 0.8644), 0.345, 362),
    (12000, 1.176e5, (0.1403, 0.2633, 0.2039, 0.2636, 0.0856, 0.8165), 0.572, 241),
    (15000, 2.871e5, (0.2732, 0.2911, 0.1735, 0.1859, 0.0521, 0.7026), 0.661, 193),
    (30000, 4.593e6, (0.7378, 0.1522, 0.0551, 0.0423, 0.0091, 0.2586), 0.801, 97),
]


@pytest.mark.parametrize("row", TABLE, ids=[str(row[0]) for row in TABLE])
def test_computed_bands(row: tuple[float, float, tuple[float, ...], float, float]) -> None:
    kelvin, flux, fractions, violet, peak = row
    assert blackbody_exitance(kelvin) / 1e4 == pytest.approx(flux, rel=2e-3)
    for (low, high), printed in zip(BANDS, fractions, strict=True):
        found = blackbody_band_fraction(low * NM, high * NM, kelvin)
        assert found == pytest.approx(printed, abs=max(2e-3 * printed, 0.501e-4))
    share = blackbody_band_fraction(200 * NM, 400 * NM, kelvin) / blackbody_band_fraction(200 * NM, 1100 * NM, kelvin)
    assert share == pytest.approx(violet, abs=max(2e-3 * violet, 0.501e-3))
    assert peak_wavelength(kelvin) / NM == pytest.approx(peak, abs=0.51)


def test_useful_light_above_9500_kelvin() -> None:
    """Of a black body: the share between 300 and 600 nm falls from there on, its power still rises [computed]."""
    kelvin = np.array([9500.0, 10500.0, 12000.0, 15000.0, 20000.0])
    share = np.asarray(blackbody_band_fraction(300 * NM, 600 * NM, kelvin))
    assert np.all(np.diff(share) < 0)
    assert np.all(np.diff(share * np.asarray(blackbody_exitance(kelvin))) > 0)
    assert abs(float(blackbody_band_fraction(300 * NM, 600 * NM, 9000.0)) - share[0]) < 0.005  # near its highest


@pytest.mark.parametrize("x", [0.01, 0.3, 0.99, 0.9999999, 1.0000001, 1.01, 3.0, 12.0, 40.0])
def test_fraction_against_quadrature(x: float) -> None:
    kelvin = 9500.0
    wavelength = constants.h * constants.c / (x * constants.k * kelvin)
    above = quad(lambda u: u**3 / math.expm1(u), 0.0, x, epsabs=1e-14, epsrel=1e-13)[0]
    exact = 1.0 - 15.0 / math.pi**4 * above
    assert abs(float(blackbody_band_fraction(0.0, wavelength, kelvin)) - exact) < 1e-11


def test_spectrum_adds_up_to_the_stefan_boltzmann_law() -> None:
    kelvin = 7000.0
    grid = np.geomspace(20 * NM, 5e-4, 40001)
    whole = np.trapezoid(np.asarray(planck_exitance(grid, kelvin)) * grid, np.log(grid))
    assert whole == pytest.approx(float(blackbody_exitance(kelvin)), rel=1e-6)


def test_spectrum_inside_a_band() -> None:
    grid = np.linspace(400 * NM, 700 * NM, 20001)
    band = np.trapezoid(np.asarray(planck_exitance(grid, 8000.0)), grid)
    share = float(blackbody_band_fraction(400 * NM, 700 * NM, 8000.0))
    assert band == pytest.approx(share * float(blackbody_exitance(8000.0)), rel=1e-8)


def test_median_wavelength_needs_no_constant() -> None:
    # x at which half the power lies on either side solves the dimensionless integral; sum 6/n^4 = 6 zeta(4) = pi^4/15.
    assert 6 * zeta(4) == pytest.approx(math.pi**4 / 15, rel=1e-14)
    assert blackbody_band_fraction(0.0, np.inf, 5000.0) == pytest.approx(1.0, abs=1e-14)


def test_peak_is_where_the_spectrum_is_highest() -> None:
    top = float(peak_wavelength(9500.0))
    around = np.asarray(planck_exitance(top * np.array([0.999, 1.0, 1.001]), 9500.0))
    assert around[1] > around[0]
    assert around[1] > around[2]


def test_minimum_temperature_undoes_the_exitance() -> None:
    kelvin = np.array([300.0, 7000.0, 30000.0])
    assert np.asarray(minimum_temperature(blackbody_exitance(kelvin))) == pytest.approx(kelvin, rel=1e-12)
