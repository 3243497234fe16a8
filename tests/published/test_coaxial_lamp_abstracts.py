"""Coaxial and annular lamps: abstracts [source]. Orders of magnitude only: no circuit is given with them.

Furumoto and Ceccon, "Optical pumps for organic dye lasers", Appl. Opt. 8, 1613 (1969): current rise typically 140 ns
for energies to 100 J, set mainly by the external inductance. "An intense microsecond flash lamp", scilit record
acb463d9: 600 J, xenon 25 torr, light 0.9 us at half maximum, afterglow below 1 % within 4.4 us of the start.
"""

from __future__ import annotations

import numpy as np
import pytest

from pulsewright.physics.pulsed_power.inductance import arc_inductance
from pulsewright.physics.pulsed_power.normalised import normalised_current, normalised_discharge
from pulsewright.physics.pulsed_power.storage import capacitance_for_energy


@pytest.mark.parametrize("voltage", [15e3, 20e3, 30e3])
@pytest.mark.parametrize("alpha", [0.6, 0.8, 1.0])
def test_rise_of_140_ns_at_100_j_asks_for_the_inductance_of_a_short_coaxial_head(alpha: float, voltage: float) -> None:
    scale = 140e-9 / normalised_discharge(alpha).normalised_rise_time
    inductance = scale**2 / float(capacitance_for_energy(100.0, voltage))
    head = float(arc_inductance(0.15, 8e-3, 15e-3))  # lamps of that time: assumed, from memory
    assert head < inductance < 10 * head


def left_at_4_4_us(alpha: float) -> float:
    """Largest current from 4.4 us on over the peak, for a current as long as the light."""
    shape = normalised_discharge(alpha)
    scale = 0.9e-6 / shape.normalised_width_half
    tail = np.abs(normalised_current(np.linspace(4.4e-6, 8e-6, 50) / scale, alpha))
    return float(np.max(tail)) / shape.normalised_peak


@pytest.mark.parametrize("alpha", [0.9, 1.0])
def test_annular_lamp_is_dark_at_4_4_us_when_about_critically_damped(alpha: float) -> None:
    assert 0 < left_at_4_4_us(alpha) < 0.01


def test_overdamped_current_known_deviation() -> None:
    """Known deviation: an overdamped current leaves more than the 1 % of the abstract, twice that at alpha = 1.2.

    Either that lamp was near critical damping, or its light falls faster than its current; no circuit is given.
    """
    assert 0.015 < left_at_4_4_us(1.2) < 0.025
