"""Uniform gap at one atmosphere: Taylor and Francis chapter, doi 10.1201/9780203025260-14, abstract [source].

Measured in nitrogen, 1 cm, 101.3 kPa: about 30.4 kV; near-linear in the gap from 0.1 to 5 cm. Beside it stand three
forms for air: hobby pages [secondary] and Paschen's law with Bazelyan's constants [secondary].
"""

from __future__ import annotations

import numpy as np

from pulsewright.physics.pulsed_power.breakdown import (
    air_gap_voltage,
    air_gap_voltage_linear,
    paschen_voltage,
    two_constant_voltage,
)

PRESSURE, GAP = 101.3e3, 1e-2
MEASURED = 30.4e3
PER_CM_TORR = 100.0 / (101325.0 / 760.0)


def test_square_root_form_known_deviation() -> None:
    """Known deviation: 30.3 kV for air, 0.2 to 0.5 % below "about 30.4" for nitrogen; the digits allow 0.2 %."""
    assert 0.995 < air_gap_voltage(PRESSURE, GAP) / MEASURED < 0.998


def test_straight_line_known_deviation() -> None:
    """Known deviation: 31.35 kV, 3 % high: its constants are for millimetre gaps."""
    assert 1.025 < air_gap_voltage_linear(PRESSURE, GAP) / MEASURED < 1.035


def test_paschen_law_known_deviation() -> None:
    """Known deviation: constants for low pressure give 35.5 kV, 17 % high, and the two-constant form 53 kV."""
    paschen = paschen_voltage(PRESSURE, GAP, 15 * PER_CM_TORR, 365 * PER_CM_TORR)
    assert 1.15 < paschen / MEASURED < 1.19
    assert 1.72 < two_constant_voltage(PRESSURE, GAP) / MEASURED < 1.78


def test_near_linear_from_a_millimetre_to_five_centimetres() -> None:
    gaps = np.linspace(1e-3, 5e-2, 50)
    voltages = np.asarray(air_gap_voltage(PRESSURE, gaps))
    slope, start = np.polyfit(gaps, voltages, 1)
    assert np.max(np.abs(voltages - slope * gaps - start)) < 0.02 * voltages[-1]
    assert start > 0  # and so the field falls as the gap grows
