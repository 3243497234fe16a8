"""What the values of bank, charger, dump and meter must satisfy together; those of the trigger stand beside.

To add a check, add its function to `CHECKS`; `machine.checks` runs them.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from pulsewright.errors import Grade
from pulsewright.machine import checks_loops, checks_trigger
from pulsewright.machine.tree import Reading
from pulsewright.quantities import show

#: grade, path, message, allowed, next step
Fault = tuple[Grade, str, str, str, str]

#: A charge that ends nearer than this to the voltage at which the bank settles takes seven time constants and more.
_NEAR = 1e-3


def _alone(reading: Reading, path: str, needed: str, words: str) -> Iterator[Fault]:
    """A warning when one value is given and the one that it goes with is not."""
    if reading.get(path) is not None and reading.get(needed) is None:
        message = f"{words}, but {needed} is not given, so it is not judged"
        yield "warning", path, message, f"Together with {needed}", f"Enter {needed}, or remove {path}"


def _ratings(reading: Reading) -> Iterator[Fault]:
    """Ratings without the part they belong to."""
    yield from _alone(reading, "bank.bleeder_power_rating", "bank.bleeder_resistance", "a bleeder's rating is given")
    yield from _alone(reading, "dump.energy_rating", "dump.resistance", "a dump's rating is given")
    yield from _alone(reading, "dump.volume", "dump.resistance", "the body of a dump is given")
    yield from _alone(reading, "charger.fuse_rating", "charger.line_voltage", "a fuse is given")
    for key in ("lower_resistance", "upper_voltage_rating", "upper_power_rating"):
        yield from _alone(reading, f"meter.{key}", "meter.upper_resistance", "part of a divider is given")
    yield from _alone(
        reading, "meter.upper_resistance", "meter.lower_resistance", "the upper arm of a divider is given"
    )


def _charging_resistor(reading: Reading) -> Iterator[Fault]:
    """Keys of a charging resistor where there is none."""
    method = reading.get("charger.method")
    if method in (None, "resistor"):
        return
    for key in ("resistance", "resistor_energy_rating", "resistor_power_rating"):
        if reading.get(f"charger.{key}") is not None:
            message = f"a charger with {method} has no charging resistor, and the value is not used"
            step = "Remove it, or set charger.method"
            yield "warning", f"charger.{key}", message, 'Only with method = "resistor"', step


def _drain(reading: Reading) -> float:
    """Bleeder and divider together, in ohm; infinite where neither is known."""
    arms = [reading.get(f"meter.{key}") for key in ("upper_resistance", "lower_resistance")]
    drains = [reading.get("bank.bleeder_resistance"), None if None in arms else sum(arms)]
    return 1.0 / total if (total := math.fsum(1.0 / ohms for ohms in drains if ohms)) else math.inf


def _settles(reading: Reading) -> float | None:
    """Voltage at which the bank settles with the charger left on; None where the charger is not known."""
    drain, most = _drain(reading), reading.get("charger.voltage_max")
    method = reading.get("charger.method")
    current, power, ohms = (reading.get(f"charger.{key}") for key in ("current", "power", "resistance"))
    if most is None:
        return None
    if method == "constant current" and current:
        return float(min(most, current * drain))
    if method == "constant power" and power:
        return float(min(most, math.sqrt(power * drain)))
    if method == "resistor" and ohms:
        return float(most / (1.0 + ohms / drain))
    return None


_REACH = {
    "constant current": ("charger.current", "a larger current"),
    "constant power": ("charger.power", "more power"),
    "resistor": ("charger.resistance", "a lower charging resistor"),
}


def _reach(reading: Reading) -> Iterator[Fault]:
    """Whether the charger ever brings the bank to its voltage, against what drains it."""
    volts, most = reading.get("bank.charge_voltage"), reading.get("charger.voltage_max")
    settled, method = _settles(reading), reading.get("charger.method")
    if volts is None or settled is None or volts > most or volts < settled * (1.0 - _NEAR):
        return
    if settled == most and method != "resistor":
        return  # it goes there at full current
    path, remedy = _REACH[method]
    drain = _drain(reading)
    against = f" against {show('resistance', drain)} of bleeder and divider" if math.isfinite(drain) else ""
    where = f"the bank settles at {show('charge_voltage', settled)}{against}"
    allowed = f"A charge voltage below {show('charge_voltage', settled)}"
    step = f"Lower bank.charge_voltage, or use {remedy}, a supply of higher voltage, or a higher bleeder"
    if volts >= settled:
        yield "limit", path, f"{where} and never reaches {show('charge_voltage', volts)}", allowed, step
    else:
        message = f"{where}, within a thousandth of the charge voltage: the end of the charge takes very long"
        yield "warning", path, message, allowed, step


def _divider(reading: Reading) -> Iterator[Fault]:
    """A divider that reads more than half of the bank."""
    upper, lower = reading.get("meter.upper_resistance"), reading.get("meter.lower_resistance")
    if upper is not None and lower is not None and lower >= upper:
        message = (
            f"the lower arm of {show('resistance', lower)} is not below the upper one of {show('resistance', upper)}"
        )
        step = "Exchange the two, or check their prefixes"
        yield "error", "meter.lower_resistance", message, "Far less than the upper arm", step


CHECKS: tuple[Callable[[Reading], Iterator[Fault]], ...] = (
    _ratings,
    _charging_resistor,
    _reach,
    _divider,
    *checks_loops.CHECKS,
    *checks_trigger.CHECKS,
)
