"""engineeringtoolbox.com, page on capacitors, energy and power [source]."""

from __future__ import annotations

import pytest

from pulsewright.physics.pulsed_power.storage import stored_energy


def test_ten_microfarad_at_230_volt() -> None:
    # printed: 0.26 J
    assert stored_energy(10e-6, 230.0) == pytest.approx(0.26, abs=0.005)


def test_power_when_released_in_five_microseconds_known_deviation() -> None:
    """Printed: 52 kW. Known deviation: that is the rounded 0.26 J over 5 us; with 0.2645 J it is 1.7 % more."""
    assert 1.016 < stored_energy(10e-6, 230.0) / 5e-6 / 52e3 < 1.019
