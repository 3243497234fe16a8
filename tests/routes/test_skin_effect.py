"""Skin effect by other routes: Kelvin functions, the exact hollow cylinder, a diffusion equation solved by SciPy."""

from __future__ import annotations

import math

import numpy as np
import pytest
from scipy import constants
from scipy.integrate import solve_ivp
from scipy.special import bei, beip, ber, berp, ive, kve

from pulsewright.physics.pulsed_power.inductance import ring_inductance, solid_core_inductance
from pulsewright.physics.pulsed_power.skin_effect import (
    pulse_frequency,
    sheet_internal_inductance,
    sheet_resistance,
    skin_depth,
    wire_internal_inductance,
    wire_resistance,
)

COPPER = 1.68e-8
RADIUS = 1.5e-3


@pytest.mark.parametrize("frequency", [1e2, 3e3, 2e4, 1e5, 3e5])
def test_round_wire_against_kelvin_functions(frequency: float) -> None:
    # Z = rho m / (2 pi a) * (ber + j bei) / (bei' - j ber'), m a = sqrt(2) a / delta: the same solution written in
    # real functions
    q = math.sqrt(2.0) * RADIUS / float(skin_depth(COPPER, frequency))
    impedance = COPPER * q / (2 * math.pi * RADIUS**2) * (ber(q) + 1j * bei(q)) / (beip(q) - 1j * berp(q))
    assert wire_resistance(1.0, RADIUS, COPPER, frequency) == pytest.approx(impedance.real, rel=1e-9)
    reactance = 2 * math.pi * frequency * float(wire_internal_inductance(1.0, RADIUS, COPPER, frequency))
    assert reactance == pytest.approx(impedance.imag, rel=1e-9)


def test_round_wire_against_the_diffusion_equation() -> None:
    # E'' + E'/r = k^2 E, k^2 = 2 j / delta^2; the voltage a metre is E(a), the current the integral of E / rho
    frequency = 3e4
    depth = float(skin_depth(COPPER, frequency))

    square = 2j / depth**2

    def slopes(r: float, y: np.ndarray) -> np.ndarray:
        return np.array([y[1], square * y[0] - y[1] / r])

    first = 1e-3 * RADIUS
    start = np.array([1 + square * first**2 / 4, square * first / 2])  # regular on the axis
    run = solve_ivp(slopes, (first, RADIUS), start, method="DOP853", rtol=1e-10, atol=1e-12)
    field, slope = run.y[:, -1]
    # by Ampere's law the current is 2 pi a E'(a) / (rho k^2)
    current = 2 * math.pi * RADIUS * slope / (COPPER * square)
    impedance = field / current
    assert wire_resistance(1.0, RADIUS, COPPER, frequency) == pytest.approx(impedance.real, rel=1e-7)
    inside = float(wire_internal_inductance(1.0, RADIUS, COPPER, frequency))
    assert inside == pytest.approx(impedance.imag / (2 * math.pi * frequency), rel=1e-7)


@pytest.mark.parametrize("frequency", [1e2, 1e4, 1e5, 1e6])
def test_tube_against_the_exact_hollow_cylinder(frequency: float) -> None:
    # outer conductor of a coaxial pair, field on its inner face only; exact with modified Bessel functions of both
    # kinds. The sheet is right to the order of thickness over radius.
    inner, thickness = 15e-3, 0.5e-3
    outer = inner + thickness
    k = (1 + 1j) / float(skin_depth(COPPER, frequency))

    # scaled functions: ive(z) = I exp(-Re z), kve(z) = K exp(z); what the factors leave is written out
    def product(order_i: int, at_i: float, order_k: int, at_k: float) -> complex:
        left = np.exp(k.real * at_i - k * at_k - k.real * outer + k * inner)
        return complex(ive(order_i, k * at_i) * kve(order_k, k * at_k) * left)

    above = product(0, inner, 1, outer) + product(1, outer, 0, inner)
    below = product(1, outer, 1, inner) - product(1, inner, 1, outer)
    impedance = COPPER * k / (2 * math.pi * inner) * above / below
    width = 2 * math.pi * inner
    assert sheet_resistance(1.0, width, thickness, COPPER, frequency) == pytest.approx(impedance.real, rel=0.04)
    inside = float(sheet_internal_inductance(1.0, width, thickness, COPPER, frequency))
    assert inside == pytest.approx(impedance.imag / (2 * math.pi * frequency), rel=0.04)


def test_limits_of_slow_and_fast_currents() -> None:
    width, thickness = 50e-3, 1e-3
    assert wire_internal_inductance(1.0, RADIUS, COPPER, 1e-9) == pytest.approx(solid_core_inductance(1.0), rel=1e-9)
    assert wire_resistance(1.0, RADIUS, COPPER, 1e-9) == pytest.approx(COPPER / (math.pi * RADIUS**2), rel=1e-9)
    assert sheet_resistance(1.0, width, thickness, COPPER, 1e-9) == pytest.approx(COPPER / (width * thickness))
    slow = constants.mu_0 * thickness / (3 * width)
    assert sheet_internal_inductance(1.0, width, thickness, COPPER, 1e-9) == pytest.approx(slow, rel=1e-9)
    # fast: a skin of one depth on the surface, and inductance falling with the root of the frequency
    depth = float(skin_depth(COPPER, 1e8))
    assert wire_resistance(1.0, RADIUS, COPPER, 1e8) == pytest.approx(COPPER / (2 * math.pi * RADIUS * depth), rel=3e-3)
    assert sheet_resistance(1.0, width, thickness, COPPER, 1e8) == pytest.approx(COPPER / (width * depth), rel=1e-6)
    for function, shape in ((wire_internal_inductance, (RADIUS,)), (sheet_internal_inductance, (width, thickness))):
        ratio = float(function(1.0, *shape, COPPER, 1e10)) / float(function(1.0, *shape, COPPER, 1e8))
        assert ratio == pytest.approx(0.1, rel=1e-2)


def test_thick_tube_equals_a_wire_of_many_skins() -> None:
    # over a plane skin the curvature of a wire no longer counts
    frequency = 1e8
    sheet = sheet_resistance(1.0, 2 * math.pi * RADIUS, math.inf, COPPER, frequency)
    assert wire_resistance(1.0, RADIUS, COPPER, frequency) == pytest.approx(sheet, rel=3e-3)


def test_magnetic_metal_has_the_thinner_skin() -> None:
    assert skin_depth(COPPER, 1e5, 100.0) == pytest.approx(float(skin_depth(COPPER, 1e5)) / 10.0, rel=1e-12)


def test_ring_with_even_current_is_the_skin_ring_and_the_inside_of_its_wire() -> None:
    ring = 0.25
    inside = float(wire_internal_inductance(2 * math.pi * ring, 0.5e-3, COPPER, 1e-6))
    assert ring_inductance(ring, 0.5e-3, "even") == pytest.approx(
        float(ring_inductance(ring, 0.5e-3)) + inside, rel=1e-9
    )


def test_frequency_of_a_half_sine() -> None:
    time = np.linspace(0.0, 5e-6, 200_001)
    current = np.sin(math.pi * time / 5e-6)
    above = time[current >= 1 / 3]
    assert pulse_frequency(above[-1] - above[0]) == pytest.approx(1e5, rel=1e-4)
