"""Constants of Paschen's law for air: Bazelyan, page 32, as quoted [secondary]: A = 15 1/(cm torr), B = 365
V/(cm torr), gamma = 0.01, C = 1.18 in V = B p d / (C + ln(p d)).
"""

from __future__ import annotations

import math

import pytest

from pulsewright import refdata
from pulsewright.physics.pulsed_power.breakdown import paschen_logarithm, paschen_voltage

TORR = 101325.0 / 760.0
PER_CM_TORR = 100.0 / TORR


def test_constants_of_air_in_the_reference_data() -> None:
    row = refdata.breakdown("air")
    found = (float(row.ionisation_constant), float(row.field_constant), float(row.secondary_emission))
    assert found == pytest.approx((15 * PER_CM_TORR, 365 * PER_CM_TORR, 0.01), rel=1e-9)


def test_two_constant_form() -> None:
    assert paschen_logarithm(15 * PER_CM_TORR, 0.01) == pytest.approx(1.18, abs=0.005)


def test_printed_constant_gives_the_same_voltage_as_the_full_form() -> None:
    # C to three digits is good for 0.5 % of C + ln(p d) at 3 torr cm.
    for product in (3.0, 30.0, 300.0):
        printed = 365 * product / (1.18 + math.log(product))
        full = paschen_voltage(product * TORR, 0.01, 15 * PER_CM_TORR, 365 * PER_CM_TORR, 0.01)
        assert full == pytest.approx(printed, rel=0.005 / (1.18 + math.log(product)))


def test_misprint_without_the_logarithm_is_not_followed() -> None:
    # One web page prints C = A / ln(1 + 1/gamma), which gives 3.25.
    assert paschen_logarithm(15 * PER_CM_TORR, 0.01) < 3.25 / 2
