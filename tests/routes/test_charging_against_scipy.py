"""Charging against a drain: closed forms held against SciPy's integration of the same circuit."""

from __future__ import annotations

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from pulsewright.physics.pulsed_power.charge_curve import (
    constant_current_time,
    constant_current_voltage,
    constant_power_time,
    constant_power_voltage,
    drained_resistor_time,
    drained_resistor_voltage,
)
from pulsewright.physics.pulsed_power.charge_energy import (
    ChargeEnergy,
    constant_current_energy,
    constant_power_energy,
    drained_resistor_energy,
)
from pulsewright.physics.pulsed_power.charging import (
    charging_resistor_loss,
    constant_current_charge_time,
    constant_power_charge_time,
    resistor_charge_voltage,
)

CAPACITANCE, CURRENT, POWER, SUPPLY, RESISTANCE = 4e-6, 15e-3, 150.0, 12e3, 100e3
DRAINS = [2e6, 20e6, 1e12]
VOLTAGE = 9.5e3


def current(method: str, volts: float) -> float:
    """Current of the supply at a bank voltage."""
    if method == "constant current":
        return CURRENT
    return POWER / max(volts, 1e-3) if method == "constant power" else (SUPPLY - volts) / RESISTANCE


def integrated(method: str, drain: float, end: float, start: float = 0.0) -> np.ndarray:
    """Voltage, energy from the supply, energy in the charging resistor and in the drain, at the end."""

    def rate(_: float, y: np.ndarray) -> list[float]:
        volts = y[0]
        amperes = current(method, volts)
        source = SUPPLY if method == "resistor" else volts
        burnt = amperes**2 * RESISTANCE if method == "resistor" else 0.0
        return [(amperes - volts / drain) / CAPACITANCE, source * amperes, burnt, volts**2 / drain]

    run = solve_ivp(rate, (0, end), [start, 0, 0, 0], method="DOP853", rtol=1e-11, atol=1e-9)
    return np.asarray(run.y[:, -1])


def closed(method: str, drain: float) -> tuple[float, float, ChargeEnergy]:
    """Time to the voltage, voltage at that time, energies."""
    if method == "constant current":
        end = float(constant_current_time(CAPACITANCE, VOLTAGE, CURRENT, drain))
        volts = constant_current_voltage(CURRENT, CAPACITANCE, end, drain)
        return end, float(volts), constant_current_energy(CAPACITANCE, VOLTAGE, CURRENT, drain)
    if method == "constant power":
        end = float(constant_power_time(CAPACITANCE, VOLTAGE, POWER, drain))
        volts = constant_power_voltage(POWER, CAPACITANCE, end, drain)
        return end, float(volts), constant_power_energy(CAPACITANCE, VOLTAGE, POWER, drain)
    end = float(drained_resistor_time(SUPPLY, RESISTANCE, CAPACITANCE, VOLTAGE, drain))
    volts = drained_resistor_voltage(SUPPLY, RESISTANCE, CAPACITANCE, end, drain)
    return end, float(volts), drained_resistor_energy(SUPPLY, RESISTANCE, CAPACITANCE, VOLTAGE, drain)


@pytest.mark.parametrize("drain", DRAINS)
@pytest.mark.parametrize("method", ["constant current", "constant power", "resistor"])
def test_time_voltage_and_energies(method: str, drain: float) -> None:
    end, volts, energies = closed(method, drain)
    assert volts == pytest.approx(VOLTAGE, rel=1e-9)
    start = 1.0 if method == "constant power" else 0.0  # an ideal supply of power has no current at no voltage
    found = integrated(method, drain, end, start)
    assert found[0] == pytest.approx(VOLTAGE, rel=1e-6)
    assert float(energies.supplied) == pytest.approx(found[1], rel=1e-6)
    assert float(energies.resistor_loss) == pytest.approx(found[2], rel=1e-6, abs=1e-5)
    assert float(energies.drained) == pytest.approx(found[3], rel=1e-6, abs=1e-5)
    assert float(energies.supplied) == pytest.approx(sum(map(float, energies[1:])), rel=1e-12)


def test_without_a_drain_they_are_the_elementary_forms() -> None:
    assert constant_current_time(CAPACITANCE, VOLTAGE, CURRENT) == pytest.approx(
        float(constant_current_charge_time(CAPACITANCE, VOLTAGE, CURRENT)), rel=1e-12
    )
    assert constant_power_time(CAPACITANCE, VOLTAGE, POWER) == pytest.approx(
        float(constant_power_charge_time(CAPACITANCE, VOLTAGE, POWER)), rel=1e-12
    )
    times = np.linspace(0.0, 3.0, 7)
    elementary = np.asarray(resistor_charge_voltage(SUPPLY, RESISTANCE, CAPACITANCE, times))
    assert np.asarray(drained_resistor_voltage(SUPPLY, RESISTANCE, CAPACITANCE, times)) == pytest.approx(elementary)


def test_full_charge_burns_as_much_as_it_stores() -> None:
    near = 0.999999 * SUPPLY
    energies = drained_resistor_energy(SUPPLY, RESISTANCE, CAPACITANCE, near)
    assert energies.resistor_loss == pytest.approx(float(charging_resistor_loss(CAPACITANCE, near)), rel=1e-5)


def test_what_is_never_reached_takes_forever() -> None:
    drain = 0.5e6
    assert constant_current_time(CAPACITANCE, VOLTAGE, CURRENT, drain) == np.inf
    assert constant_power_time(CAPACITANCE, VOLTAGE, POWER, drain) == np.inf
    assert drained_resistor_time(SUPPLY, RESISTANCE, CAPACITANCE, 10e3, drain) == np.inf
    for energies in (
        constant_current_energy(CAPACITANCE, VOLTAGE, CURRENT, drain),
        drained_resistor_energy(SUPPLY, RESISTANCE, CAPACITANCE, 10e3, drain),
    ):
        assert energies.supplied == np.inf
        assert not np.isnan(float(energies.resistor_loss))


def test_small_drains_join_smoothly() -> None:
    drains = np.geomspace(1e9, 1e16, 40)
    excess = np.asarray(constant_current_time(CAPACITANCE, VOLTAGE, CURRENT, drains)) - CAPACITANCE * VOLTAGE / CURRENT
    assert np.all(np.diff(excess[:20]) < 0)
    drained = np.asarray(constant_current_energy(CAPACITANCE, VOLTAGE, CURRENT, drains).drained)
    expected = VOLTAGE**2 / drains * CAPACITANCE * VOLTAGE / CURRENT / 3  # v rises evenly
    assert drained == pytest.approx(expected, rel=1e-3, abs=1e-6 * 180)
