"""Heat and sound: what they refuse, and simple proportions."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy import special

from pulsewright.errors import DomainError
from pulsewright.physics.thermal import heating, settling


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: heating.adiabatic_temperature_rise(-1.0, 800.0, 2000.0), "heat_density"),
        (lambda: heating.adiabatic_temperature_rise(1.0, 0.0, 2000.0), "density"),
        (lambda: heating.index_change(float("nan"), 1.0), "temperature_rise"),
        (lambda: heating.index_coefficient_from_expansion(0.9, 1e-3), "refractive_index"),
        (lambda: heating.wavefront_error(1e-4, 0.0, 590e-9), "length"),
        (lambda: settling.thermal_diffusivity(0.0, 800.0, 2000.0), "thermal_conductivity"),
        (lambda: settling.thermal_settling_time(0.0, 1e-7), "radius"),
        (lambda: settling.acoustic_transit_time(1e-3, 0.0), "sound_speed"),
        (lambda: settling.acoustic_transit_time(1e-3, 1000.0, -1e-3), "wall_thickness"),
    ],
)
def test_refuses_by_name(call: Callable[[], object], argument: str) -> None:
    with pytest.raises(DomainError) as caught:
        call()
    assert caught.value.findings[0].path == argument


def test_first_mode_is_the_square_of_the_bessel_zero() -> None:
    assert pytest.approx(float(special.jn_zeros(0, 1)[0]) ** 2, rel=1e-14) == settling.FIRST_MODE


def test_settling_time_against_conduction_on_a_grid() -> None:
    """Slowest decay of heat in a cylinder by finite volumes."""
    cells, alpha, radius = 200, 9e-8, 4e-3
    step = radius / cells
    faces = step * np.arange(cells + 1)
    volume = np.diff(faces**2) / 2
    flow = alpha * faces[1:-1] / step
    matrix = np.diag(-np.concatenate([flow, [0.0]]) - np.concatenate([[0.0], flow]))
    matrix += np.diag(flow, 1) + np.diag(flow, -1)
    matrix[-1, -1] -= alpha * faces[-1] / (step / 2)
    slowest = -np.max(np.linalg.eigvals(matrix / volume[:, None]).real)
    assert settling.thermal_settling_time(radius, alpha) == pytest.approx(1 / slowest, rel=1e-3)


def test_index_from_expansion_against_a_difference() -> None:
    """Lorentz-Lorenz: (n^2 - 1) / (n^2 + 2) is proportional to density."""
    index, beta, step = 1.36, 1.1e-3, 0.01
    ratio = (index**2 - 1) / (index**2 + 2) * (1 - beta * step)
    warmer = np.sqrt((1 + 2 * ratio) / (1 - ratio))
    expected = (warmer - index) / step
    assert heating.index_coefficient_from_expansion(index, beta) == pytest.approx(expected, rel=1e-4)


def test_wall_adds_to_the_transit() -> None:
    assert settling.acoustic_transit_time(5e-3, 1000.0, 1e-3, 5000.0) == pytest.approx(5.2e-6)
