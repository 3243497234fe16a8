"""Kimura, Kushner, Crawford and Byron, paper on a laser-triggered gap (archive.org) [source]: 50 kV, 18 kA, 100 ns;
several kilovolts stay across it during the flat of the current, not a few hundred volts.

The gap is taken as the package takes one: a channel that widens by Braginskii's law, as long as the gap field asks for.
"""

from __future__ import annotations

import math

from pulsewright import machine
from pulsewright.engine.coefficients import Coefficient, coefficients
from pulsewright.engine.lamp_circuit import FIRST_CHANNEL, GAP_GAS_DENSITY
from pulsewright.physics.lamp._circuit_rows import growth_scale

VOLTAGE, CURRENT, MIDDLE = 50e3, 18e3, 50e-9


def coefficient(name: str) -> Coefficient:
    """Of a bench with a spark gap whose drop is not given."""
    build = machine.load_text(machine.bench_text("tidewater"), "laser.toml").build
    assert build is not None
    return coefficients(build.override({"switch.drop": "unknown"}).machine)[f"reference.switch.{name}"]


def kept(field: float) -> float:
    """Voltage of the channel in the middle of a flat pulse, for a self-break field."""
    square = FIRST_CHANNEL**2 + growth_scale(GAP_GAS_DENSITY) * CURRENT ** (2 / 3) * MIDDLE
    resistance = VOLTAGE / field / (coefficient("gap_conductivity").value * math.pi * square)
    return CURRENT * resistance


def test_a_short_gap_keeps_several_kilovolts() -> None:
    # Length and pressure of that gap are not given; laser-triggered ones are pressurised and short.
    assert 2e3 < kept(coefficient("gap_field").high) < 9e3


def test_a_gap_in_air_known_deviation() -> None:
    """Known deviation: a gap in air at one atmosphere, as is taken by default, would keep 16 kV: twice and more.

    That it is long is the reason: 17 mm for 50 kV. That gap's own length is not given.
    """
    assert 12e3 < kept(coefficient("gap_field").value) < 20e3
