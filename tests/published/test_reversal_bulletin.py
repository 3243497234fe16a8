"""Engineering Bulletin 96-004, "The effect of reversal on capacitor life", November 2003 [source].

Reversal is the fraction of the first peak in reverse polarity; voltage and current of a ringing RLC circuit reverse
alike.
"""

from __future__ import annotations

import math

import pytest

from pulsewright.physics.pulsed_power.normalised import normalised_discharge
from pulsewright.physics.pulsed_power.stress import damped_sine_reversal


@pytest.mark.parametrize("resistance_ratio", [0.05, 0.2, 0.5, 1.0])
def test_voltage_and_current_reverse_alike_in_a_linear_circuit(resistance_ratio: float) -> None:
    shape = normalised_discharge(0.0, resistance_ratio=resistance_ratio)
    assert shape.current_reversal == pytest.approx(shape.voltage_reversal, rel=1e-7)
    assert shape.current_reversal == pytest.approx(float(damped_sine_reversal(resistance_ratio, 1.0)), rel=1e-7)


def test_undamped_circuit_reverses_in_full() -> None:
    assert normalised_discharge(0.0).voltage_reversal == pytest.approx(1.0, rel=1e-9)
    assert math.isclose(float(damped_sine_reversal(2.0, 1.0)), 0.0)  # and a critically damped one not at all
