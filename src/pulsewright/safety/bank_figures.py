"""Numbers of charging, dumping and reading a bank, from the build file: every one with the words it goes by.

Everything is computed for parts that are whole and connected. None of it says in what state a bank is: measure, short
and ground, as local codes and licensed practice require.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

from pulsewright.machine import Build, Machine
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
from pulsewright.physics.pulsed_power.divider import (
    divider_loading_error,
    divider_ratio,
    open_arm_voltage,
    upper_arm_voltage,
)
from pulsewright.physics.pulsed_power.dump import body_energy_rating, resistor_power
from pulsewright.physics.pulsed_power.wall_power import line_current, line_energy, mean_power, shortest_period


@dataclass(frozen=True, slots=True)
class SupplyFigures:
    """One charge from empty and what it draws from the wall; infinite where the voltage is never reached.

    Powers and currents at a repeat period are None where it, or the line voltage, is not in the build file.
    """

    settled_voltage: float
    charge_time: float
    stored_energy: float
    supplied_energy: float
    resistor_loss: float
    drained_energy: float
    peak_power: float
    line_energy: float
    peak_line_power: float
    peak_line_current: float | None
    mean_line_power: float | None
    mean_line_current: float | None
    resistor_power: float | None
    shortest_period: float
    shortest_reason: str


@dataclass(frozen=True, slots=True)
class MeterFigures:
    """The divider at the charge voltage; `loading_error` is None where the input of the instrument is not known."""

    ratio: float
    unloaded_ratio: float
    loading_error: float | None
    reading: float
    upper_voltage: float
    upper_power: float
    open_voltage: float
    fault_current: float
    drain_resistance: float


def divider_drain(machine: Machine) -> float:
    """Resistance of the divider across the bank; infinite where there is none."""
    meter = machine.meter
    if meter.upper_resistance is None or meter.lower_resistance is None:
        return math.inf
    lower = 1.0 / (1.0 / meter.lower_resistance + 1.0 / (meter.input_resistance or math.inf))
    return meter.upper_resistance + lower


def drain_resistance(machine: Machine) -> float:
    """Bleeder and divider together, in ohm; infinite where there is neither."""
    conductance = 1.0 / (machine.bank.bleeder_resistance or math.inf) + 1.0 / divider_drain(machine)
    return 1.0 / conductance if conductance else math.inf


def charge_curve(machine: Machine) -> Callable[[Any], Any]:
    """Voltage of the bank against time since the charge began."""
    charger, farads, drain = machine.charger, machine.bank.capacitance, drain_resistance(machine)
    if charger.method == "constant current":
        return lambda time: constant_current_voltage(charger.current or 0.0, farads, time, drain)
    if charger.method == "constant power":
        return lambda time: constant_power_voltage(charger.power or 0.0, farads, time, drain)
    ohms, volts = charger.resistance or 0.0, charger.voltage_max
    return lambda time: drained_resistor_voltage(volts, ohms, farads, time, drain)


def _charge(machine: Machine, volts: float) -> tuple[float, float, ChargeEnergy, float]:
    """Voltage it settles at, time to the voltage, energies, and highest power from the charger."""
    charger, farads, drain = machine.charger, machine.bank.capacitance, drain_resistance(machine)
    most = charger.voltage_max
    if charger.method == "constant current":
        amperes = charger.current or 0.0
        time = constant_current_time(farads, volts, amperes, drain)
        energy = constant_current_energy(farads, volts, amperes, drain)
        return min(most, amperes * drain), float(time), energy, amperes * volts
    if charger.method == "constant power":
        watts = charger.power or 0.0
        time = constant_power_time(farads, volts, watts, drain)
        return (
            min(most, math.sqrt(watts * drain)),
            float(time),
            constant_power_energy(farads, volts, watts, drain),
            watts,
        )
    ohms = charger.resistance or 0.0
    time = drained_resistor_time(most, ohms, farads, volts, drain)
    energy = drained_resistor_energy(most, ohms, farads, volts, drain)
    return float(drained_resistor_voltage(most, ohms, farads, math.inf, drain)), float(time), energy, most**2 / ohms


def supply_figures(machine: Machine, charge_voltage: float) -> SupplyFigures:
    """What one charge to a voltage takes, and what it draws from the wall."""
    charger = machine.charger
    settled, time, energy, peak = _charge(machine, charge_voltage)
    reached = charge_voltage <= charger.voltage_max and math.isfinite(time)
    time = time if reached else math.inf
    supplied, loss = (float(e) if reached else math.inf for e in (energy.supplied, energy.resistor_loss))
    wall = float(line_energy(supplied, charger.conversion_efficiency)) if reached else math.inf
    peak_wall = peak / charger.conversion_efficiency
    period = charger.repeat_period
    mean = None if period is None or not reached else float(mean_power(wall, period))
    shortest, reason = _shortest(machine, time, loss)
    return SupplyFigures(
        settled,
        time,
        float(energy.stored),
        supplied,
        loss,
        float(energy.drained) if reached else math.inf,
        peak,
        wall,
        peak_wall,
        _amperes(machine, peak_wall),
        mean,
        None if mean is None else _amperes(machine, mean),
        None if period is None or not reached else float(mean_power(loss, period)),
        shortest,
        reason,
    )


def _amperes(machine: Machine, watts: float) -> float | None:
    volts = machine.charger.line_voltage
    return None if volts is None else float(line_current(watts, volts, machine.charger.power_factor))


def _shortest(machine: Machine, time: float, loss: float) -> tuple[float, str]:
    """Shortest time from shot to shot that the charger allows, and what sets it."""
    rating = machine.charger.resistor_power_rating
    if machine.charger.method == "resistor" and rating is not None and math.isfinite(loss):
        cooling = float(shortest_period(loss, rating))
        if cooling > time:
            return cooling, "mean power of the charging resistor"
    return time, "time of the charge itself"


def meter_figures(machine: Machine, charge_voltage: float) -> MeterFigures | None:
    """The divider at a voltage; None where its arms are not known."""
    meter = machine.meter
    upper, lower = meter.upper_resistance, meter.lower_resistance
    if upper is None or lower is None:
        return None
    load = meter.input_resistance or math.inf
    ratio = float(divider_ratio(upper, lower, load))
    across = float(upper_arm_voltage(charge_voltage, upper, lower, load))
    return MeterFigures(
        ratio,
        float(divider_ratio(upper, lower)),
        None if meter.input_resistance is None else float(divider_loading_error(upper, lower, load)),
        charge_voltage / ratio,
        across,
        float(resistor_power(across, upper)),
        float(open_arm_voltage(charge_voltage, upper, load)),
        charge_voltage / upper,
        divider_drain(machine),
    )


def dump_rating(machine: Machine) -> tuple[float, str] | None:
    """Energy that the body of the dump takes at once, with its source; None where neither it nor its size is known."""
    dump = machine.dump
    if dump.energy_rating is not None:
        return dump.energy_rating, "dump.energy_rating, from its data sheet"
    if dump.volume is None:
        return None
    limit = float(body_energy_rating(dump.volume, dump.duty, machine.room.temperature))
    density, degrees = ("250", "150") if dump.duty == "continuous" else ("350", "200")
    words = f"bulk ceramic-carbon body, {density} J/cm^3 from 25 degC to {degrees} degC in {dump.duty} duty"
    return limit, f"{words} (hvrint.com, technical data)"


Numbers = Mapping[str, float | None]
#: Sections whose entries move these numbers, and keys whose value cannot pass one.
_SECTIONS = ("bank", "charger", "dump", "meter")
_FRACTIONS = ("conversion_efficiency", "power_factor")


def ranges(
    build: Build, numbers: Callable[[Machine, float], Numbers], charge_voltage: float
) -> dict[str, tuple[float, float]]:
    """90 % interval of each number from the spreads of the entries, each moved alone, squares added.

    A number that no entry moves, or that becomes infinite or unknown on the way, has no interval.
    """
    middle = {key: value for key, value in numbers(build.machine, charge_voltage).items() if _known(value)}
    squares = {key: [0.0, 0.0] for key in middle}
    for machine, volts in _moved(build, charge_voltage):
        for key, value in numbers(machine, volts).items():
            before = middle.get(key)
            if before is None:
                continue
            if value is None or not math.isfinite(value):
                squares[key] = [math.inf, math.inf]
            else:
                squares[key][value > before] += (value - before) ** 2
    return {
        key: (_down(value, math.sqrt(squares[key][0])), value + math.sqrt(squares[key][1]))
        for key, value in middle.items()
        if value is not None and 0.0 < sum(squares[key]) < math.inf
    }


def _down(value: float, change: float) -> float:
    """The lower end; what is positive stays so, however wide a spread is."""
    return max(value - change, 0.0) if value >= 0 else value - change


def _moved(build: Build, charge_voltage: float) -> Iterator[tuple[Machine, float]]:
    """The machine with one entry at either end of its spread, with the charge voltage that goes with it."""
    machine = build.machine
    for path, entry in build.entries.items():
        section, _, key = path.partition(".")
        spread = getattr(entry, "spread", None)
        if not spread or section not in _SECTIONS or not isinstance(entry.value, float):
            continue
        for change in (-spread, spread):
            if path == "bank.charge_voltage":
                yield machine, max(charge_voltage + change, 0.0)
                continue
            value = min(max(entry.value + change, 0.1 * entry.value), 1.0 if key in _FRACTIONS else math.inf)
            part: Any = replace(getattr(machine, section), **{key: value})
            yield replace(machine, **{section: part}), charge_voltage


def _known(value: float | None) -> bool:
    return value is not None and math.isfinite(value)
