"""Charge, action and slope against integrals over the waveform."""

from __future__ import annotations

import math

import numpy as np
import pytest

from pulsewright.physics.pulsed_power.circuit import single_mesh_pulse
from pulsewright.physics.pulsed_power.inductance import arc_growth_resistance, arc_inductance
from pulsewright.physics.pulsed_power.normalised import normalised_current
from pulsewright.physics.pulsed_power.stress import (
    damped_half_sine_action,
    damped_sine_action,
    damped_sine_reversal,
    half_sine_action,
    initial_current_slope,
    passed_charge,
)

C, L, V, R = 4e-6, 1.5e-6, 10e3, 0.3
Z0, T = math.sqrt(L / C), math.sqrt(L * C)


def current(time: np.ndarray) -> np.ndarray:
    decay, root = R / (2 * L), math.sqrt(1 / (L * C) - (R / (2 * L)) ** 2)
    return np.asarray(V / (root * L) * np.exp(-decay * time) * np.sin(root * time))


def test_action_of_a_ringing_discharge() -> None:
    time = np.linspace(0, 60 * T, 400001)
    whole = np.trapezoid(current(time) ** 2, time)
    assert damped_sine_action(V, C, R) == pytest.approx(whole, rel=1e-6)
    half = math.pi / math.sqrt(1 / (L * C) - (R / (2 * L)) ** 2)
    time = np.linspace(0, half, 100001)
    reversal = damped_sine_reversal(R, Z0)
    first = np.trapezoid(current(time) ** 2, time)
    assert damped_half_sine_action(V, C, R, reversal) == pytest.approx(first, rel=1e-6)
    assert passed_charge(C, V, reversal) == pytest.approx(np.trapezoid(current(time), time), rel=1e-6)
    assert initial_current_slope(V, L) == pytest.approx(current(np.array([1e-12]))[0] / 1e-12, rel=1e-4)


def test_action_of_a_half_sine() -> None:
    time = np.linspace(0, 10e-6, 100001)
    squared = (3e3 * np.sin(math.pi * time / 10e-6)) ** 2
    assert half_sine_action(3e3, 10e-6) == pytest.approx(np.trapezoid(squared, time), rel=1e-9)


def test_action_of_a_lamp_pulse() -> None:
    pulse = single_mesh_pulse(C, L, V, 40.0)
    assert 0.4 < pulse.damping_parameter < 0.6
    times = np.linspace(0.0, 4.0, 40001)
    amperes = normalised_current(times, pulse.damping_parameter) * V / Z0
    assert pulse.action_integral == pytest.approx(np.trapezoid(amperes**2, times * T), rel=1e-6)
    assert pulse.peak_current == pytest.approx(float(amperes.max()), rel=1e-6)


def test_growing_arc_loses_inductance_at_the_rate_told() -> None:
    step = 1e-9
    later = arc_inductance(0.15, 2e-3 + 1e3 * step, 20e-3)
    before = arc_inductance(0.15, 2e-3 - 1e3 * step, 20e-3)
    assert arc_growth_resistance(0.15, 2e-3, 1e3) == pytest.approx((later - before) / (2 * step), rel=1e-6)
