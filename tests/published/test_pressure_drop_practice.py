"""Jitter of automated pressure-drop triggering: a few milliseconds. Common practice, no source: no data are published.

What "a few" is, and of which system, nobody says; so the check is one value, of a small automated one, between 1 and
10 ms. Lamp and line of 0.1 L behind a pump of 60 L/min, 30 torr of argon in 10 cm at 8 kV, a lit lamp that waits 1 ms
for its electron on average, settings that repeat to 0.3 % (0.1 to 1 %).
"""

from __future__ import annotations

import pytest

from pulsewright.physics.pulsed_power.breakdown_curve import gas_curve
from pulsewright.physics.pulsed_power.pressure_drop import (
    FIRES,
    Charging,
    Lags,
    Pumping,
    Repeats,
    pressure_drop_firing,
)

TORR = 101325.0 / 760.0
PER_CM_TORR = 100.0 / TORR


@pytest.mark.parametrize("repeats", [1e-3, 3e-3, 1e-2])
def test_few_milliseconds_when_automated(repeats: float) -> None:
    firing = pressure_drop_firing(
        gas_curve(11.5 * PER_CM_TORR, 176 * PER_CM_TORR, 0.01, 0.1, 1),
        Charging("constant current", 1e-6, 8e3, current=0.02),
        Pumping(400 * TORR, 1 * TORR, 1e-3, 1e-4),
        Lags(1e-3, 1e-5, 1e-5),
        Repeats(repeats, repeats, repeats),
    )
    assert firing.outcome == FIRES
    assert firing.jitter is not None
    assert 1e-3 < firing.jitter < 10e-3
