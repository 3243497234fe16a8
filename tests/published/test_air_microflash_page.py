"""Hobby page njnoordhoek.com, air microflash [secondary]: 20 kV on 0.05 uF is 10 J; in 0.5 us 20 MW."""

from __future__ import annotations

import pytest

from pulsewright.physics.pulsed_power.storage import stored_energy


def test_energy_and_power() -> None:
    energy = stored_energy(0.05e-6, 20e3)
    assert energy == pytest.approx(10.0, abs=0.5)
    assert energy / 0.5e-6 == pytest.approx(20e6, abs=0.5e6)
