"""Divider, earth leads and wall power: identities, limits and refusals."""

from __future__ import annotations

import numpy as np
import pytest

from pulsewright.errors import DomainError
from pulsewright.physics.pulsed_power.charge_curve import constant_current_voltage, drained_resistor_voltage
from pulsewright.physics.pulsed_power.divider import (
    bank_voltage_from_reading,
    divider_loading_error,
    divider_ratio,
    open_arm_voltage,
    upper_arm_voltage,
)
from pulsewright.physics.pulsed_power.earthing import ground_bounce, loop_pickup
from pulsewright.physics.pulsed_power.wall_power import line_current, line_energy, mean_power, shortest_period


def test_reading_and_upper_arm_add_up_to_the_bank() -> None:
    arms = (1e9, 1e6, 10e6)
    reading = 10e3 / float(divider_ratio(*arms))
    assert reading + float(upper_arm_voltage(10e3, *arms)) == pytest.approx(10e3, rel=1e-12)
    assert bank_voltage_from_reading(reading, *arms) == pytest.approx(10e3, rel=1e-12)


def test_forgotten_load_hides_voltage() -> None:
    # A lower arm as high as the instrument's input: half of the reading is lost.
    error = float(divider_loading_error(1e9, 10e6, 10e6))
    assert error == pytest.approx(-0.4975, abs=5e-5)
    assert divider_loading_error(1e9, 100e3, np.inf) == 0.0


def test_open_arm_is_the_full_voltage_on_an_open_input() -> None:
    assert open_arm_voltage(12e3, 1e9) == 12e3
    assert open_arm_voltage(12e3, 1e9, 1e9) == 6e3


def test_pickup_is_that_of_the_field_of_a_straight_wire() -> None:
    # B = mu0 I / (2 pi r), summed over the loop
    edges = np.linspace(0.05, 0.25, 200001)
    middle = (edges[:-1] + edges[1:]) / 2
    flux = 0.3 * np.sum(2e-7 / middle * np.diff(edges))
    assert loop_pickup(0.3, 0.05, 0.2, 6e9) == pytest.approx(6e9 * flux, rel=1e-8)
    assert loop_pickup(0.3, 0.05, 0.0, 6e9) == 0.0


def test_bounce_follows_sign_and_size() -> None:
    assert np.asarray(ground_bounce(300e-9, [6e9, -6e9])) == pytest.approx([1800.0, -1800.0])


def test_wall_power_of_a_bench() -> None:
    energy = float(line_energy(180.0, 0.8))
    assert mean_power(energy, 30.0) == pytest.approx(7.5)
    assert line_current(energy, 230.0, 0.7) == pytest.approx(225 / 161, rel=1e-12)
    assert shortest_period(energy, 7.5) == pytest.approx(30.0)


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: line_energy(1.0, 0.0), "conversion_efficiency"),
        (lambda: line_energy(1.0, 1.1), "conversion_efficiency"),
        (lambda: line_current(1.0, 0.0), "line_voltage"),
        (lambda: line_current(1.0, 230.0, 2.0), "power_factor"),
        (lambda: mean_power(1.0, 0.0), "repeat_period"),
        (lambda: shortest_period(1.0, 0.0), "power_rating"),
        (lambda: divider_ratio(0.0, 1.0), "upper_resistance"),
        (lambda: divider_ratio(1.0, np.nan), "lower_resistance"),
        (lambda: ground_bounce(-1e-9, 1.0), "earth_inductance"),
        (lambda: loop_pickup(1.0, 0.0, 1.0, 1.0), "distance"),
        (lambda: constant_current_voltage(1.0, 0.0, 1.0), "capacitance"),
        (lambda: drained_resistor_voltage(1e3, 0.0, 1e-6, 1.0), "resistance"),
    ],
)
def test_refusals_name_the_argument(call: object, argument: str) -> None:
    with pytest.raises(DomainError) as refused:
        call()  # type: ignore[operator]
    assert refused.value.findings[0].path == argument
