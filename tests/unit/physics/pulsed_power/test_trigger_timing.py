"""Timing of triggers: closed forms against sums, and what orders of magnitude allow."""

from __future__ import annotations

import math

import pytest
from scipy.integrate import quad

from pulsewright.physics.lamp._circuit_rows import growth_scale
from pulsewright.physics.pulsed_power.trigger_timing import prepulse_channel_radius, triggered_gap_delay


@pytest.mark.parametrize("density", [0.7, 1.29, 3.0])
def test_a_prepulse_widens_its_channel_by_the_law_of_the_arc(density: float) -> None:
    """Growth of the square, |I|^(2/3), summed over half a sine of half the undamped peak."""
    capacitance, volts, inductance = 100e-9, 9e3, 2e-6
    swing = math.sqrt(inductance * capacitance)
    peak = 0.5 * volts * math.sqrt(capacitance / inductance)
    grown, _ = quad(lambda t: (peak * math.sin(t / swing)) ** (2 / 3), 0.0, math.pi * swing)
    by_hand = math.sqrt(0.5e-3**2 + growth_scale(density, 1.2) * grown)
    found = prepulse_channel_radius(0.5e-3, capacitance, volts, inductance, density, 1.2)
    assert found == pytest.approx(by_hand, rel=1e-6)


def test_growth_is_braginskii_s_in_his_units() -> None:
    """a[mm] = 0.93 (rho / 1.29)^(-1/6) I[kA]^(1/3) t[us]^(1/2), constant from memory: 8 kA, 4 us, 64 times the air."""
    square = growth_scale(64 * 1.29) * 8e3 ** (2 / 3) * 4e-6
    assert math.sqrt(square) * 1e3 == pytest.approx(0.93 / 2 * 2 * 2)


def test_gap_delay_spans_what_practice_names() -> None:
    """Some 10 ns near self-break and some 300 ns at three tenths: common practice, no source."""
    assert 5e-9 < triggered_gap_delay(1.0) < 12e-9
    assert triggered_gap_delay(0.3) == pytest.approx(300e-9, rel=0.1)
