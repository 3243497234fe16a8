"""Diffraction loss: Vainshtein's closed form against the table's columns and against the integral equations."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy.special import jv

from pulsewright.physics.resonator.diffraction import (
    confocal_circular_diffraction_loss,
    confocal_strip_diffraction_loss,
    plane_circular_diffraction_loss,
    plane_circular_diffraction_loss_fit,
    plane_strip_diffraction_loss,
)

# [computed] N: strip exact, round exact, Vainshtein strip, Vainshtein round, 20.7 N^-1.4; per cent per transit.
PLANE = {
    0.5: ("17.40", "36.79", "18.2", "42.6", "54.6"),
    1: ("8.00", "17.52", "7.86", "18.4", "20.7"),
    2: ("3.30", "7.58", "3.21", "7.53", "7.84"),
    4: ("1.30", "2.89", "1.26", "2.95", "2.97"),
    5: ("0.910", "2.18", "0.925", "2.17", "2.18"),
    8: ("0.488", "1.17", "0.479", "1.12", "1.13"),
    10: ("0.363", "0.831", "0.349", "0.818", "0.824"),
    50: ("0.034", "0.083", "0.034", "0.080", "0.087"),
}
# [computed] N: strip, round; fraction per transit of symmetric confocal mirrors.
CONFOCAL = {0.5: ("1.895e-2", "9.271e-2"), 0.8: ("6.162e-4", "4.448e-3"), 1.2: ("5.157e-6", "4.767e-5")}


def half_digit(printed: str) -> float:
    mantissa, _, power = printed.partition("e")
    return 0.5 * 10.0 ** -len(mantissa.partition(".")[2]) * 10.0 ** int(power or 0)


def plane_strip_loss(n: float, nodes: int = 160) -> float:
    """Lowest even mode of the integral equation, by Gauss-Legendre quadrature."""
    x, w = np.polynomial.legendre.leggauss(nodes)
    kernel = np.sqrt(1j * n) * np.exp(-1j * math.pi * n * (x[:, None] - x[None, :]) ** 2) * w
    return 1 - float(np.max(np.abs(np.linalg.eigvals(kernel)))) ** 2


def round_loss(n: float, confocal: bool, nodes: int = 160) -> float:
    """Lowest mode of round mirrors: Bessel kernel on the radius."""
    x, w = np.polynomial.legendre.leggauss(nodes)
    r, w = (x + 1) / 2, w / 2
    kernel = 2 * math.pi * n * jv(0, 2 * math.pi * n * r[:, None] * r[None, :]) * (r * w)
    curved = 0.0 if confocal else math.pi * n
    return 1 - float(np.max(np.abs(np.linalg.eigvals(kernel * np.exp(-1j * curved * (r[:, None] ** 2 + r**2)))))) ** 2


@pytest.mark.parametrize("n", PLANE)
def test_closed_forms_against_the_columns(n: float) -> None:
    _, _, strip, circular, fit = PLANE[n]
    assert 100 * plane_strip_diffraction_loss(n) == pytest.approx(float(strip), abs=half_digit(strip))
    assert 100 * plane_circular_diffraction_loss(n) == pytest.approx(float(circular), abs=half_digit(circular))
    if n != 5:  # see the next test
        assert 100 * plane_circular_diffraction_loss_fit(n) == pytest.approx(float(fit), abs=half_digit(fit))


def test_one_cell_of_the_fit_known_deviation() -> None:
    """Known deviation: the table has 2.18 at N = 5, where 20.7 * 5^-1.4 is 2.1748: a slip of rounding in the table."""
    assert 0.9970 < 100 * plane_circular_diffraction_loss_fit(5.0) / 2.18 < 0.9980


@pytest.mark.slow
@pytest.mark.parametrize("n", [0.5, 1, 2, 4, 5, 8, 10])
def test_integral_equations_against_the_columns(n: float) -> None:
    strip, circular, *_ = PLANE[n]
    assert 100 * plane_strip_loss(n) == pytest.approx(float(strip), abs=half_digit(strip))
    assert 100 * round_loss(n, confocal=False) == pytest.approx(float(circular), abs=half_digit(circular))


@pytest.mark.parametrize("n", [1.0, 1.7, 3.3, 6.0, 12.0, 20.0])
def test_closed_forms_against_the_integral_equations(n: float) -> None:
    assert plane_strip_diffraction_loss(n) == pytest.approx(plane_strip_loss(n), rel=0.08)
    assert plane_circular_diffraction_loss(n) == pytest.approx(round_loss(n, confocal=False), rel=0.08)


@pytest.mark.parametrize("n", CONFOCAL)
def test_confocal_integral_equation_against_the_column(n: float) -> None:
    circular = CONFOCAL[n][1]
    assert round_loss(n, confocal=True) == pytest.approx(float(circular), abs=half_digit(circular))


def test_asymptotes_lie_above_the_confocal_columns_by_what_is_stated() -> None:
    for n, strip_high, round_high in ((0.8, 1.11, 1.22), (1.2, 1.07, 1.12)):
        strip, circular = (float(value) for value in CONFOCAL[n])
        assert confocal_strip_diffraction_loss(n) / strip == pytest.approx(strip_high, abs=0.005)
        assert confocal_circular_diffraction_loss(n) / circular == pytest.approx(round_high, abs=0.005)
