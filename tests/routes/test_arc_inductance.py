"""Inductance of an arc that widens [computed]: L = 0.2 l ln(b/a) uH falls, and dL/dt acts as a negative resistance."""

from __future__ import annotations

import math

import pytest

from pulsewright.physics.pulsed_power.inductance import arc_growth_resistance, arc_inductance, coaxial_inductance


def test_formula_in_microhenry() -> None:
    assert arc_inductance(0.15, 1e-3, 20e-3) * 1e6 == pytest.approx(0.2 * 0.15 * math.log(20), rel=1e-6)
    assert arc_inductance(0.15, 1e-3, 20e-3) == pytest.approx(float(coaxial_inductance(0.15, 2e-3, 40e-3)), rel=1e-12)


def test_growth_is_the_derivative() -> None:
    speed, step = 800.0, 1e-9
    early, late = (float(arc_inductance(0.15, 2e-3 + sign * speed * step, 20e-3)) for sign in (-1, 1))
    resistance = float(arc_growth_resistance(0.15, 2e-3, speed))
    assert (late - early) / (2 * step) == pytest.approx(resistance, rel=1e-6)
    assert resistance < 0
