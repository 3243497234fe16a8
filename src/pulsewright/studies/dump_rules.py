"""What rules ask of a bank that is switched off, held against its drains; and bodies that would take its energy."""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Any

from pulsewright.machine import Machine
from pulsewright.physics.pulsed_power.discharge_rules import (
    DischargeRule,
    accessible_capacitance_limit,
    accessible_voltage_limit,
    high_voltage_capacitor_rule,
    low_voltage_capacitor_rule,
    machinery_discharge_rule,
)
from pulsewright.physics.pulsed_power.dump import (
    BODY_TYPES,
    adiabatic_temperature_rise,
    body_cooling_time,
    body_energy_rating,
    dump_time,
)
from pulsewright.physics.pulsed_power.storage import stored_energy
from pulsewright.quantities import show
from pulsewright.safety import words
from pulsewright.safety.bank_figures import drain_resistance, dump_rating

#: A low-voltage rule ends at this rating; later editions, earlier ones at 600 V. [V]
LOW_VOLTAGE = 1000.0


@dataclass(frozen=True, slots=True)
class RuleRow:
    """One rule: what it asks, what is computed, whether it applies, and whether the computed time keeps to it.

    `kept` is None where the rule does not apply or nothing drains the bank. It speaks of a computed time and never of
    what may be touched.
    """

    rule: str
    asks: str
    found: str
    applies: bool
    kept: bool | None
    words: str

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        names = ("rule", "asks", "found", "applies", "kept", "words")
        return {name: getattr(self, name) for name in names}


@dataclass(frozen=True, slots=True)
class DumpBody:
    """One body of bulk ceramic-carbon: how many alike take one dump at full charge, and what it does to them."""

    words: str
    volume: float
    energy_rating: float
    power_rating: float | None
    time_constant: float | None
    needed: int
    temperature_rise: float
    cooling_time: float | None
    source: str

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        names = ("words", "volume", "energy_rating", "power_rating", "time_constant", "needed", "temperature_rise")
        return {name: getattr(self, name) for name in (*names, "cooling_time", "source")}


def quickest_drain(machine: Machine) -> float:
    """Dump, bleeder and divider together, in ohm; infinite where there is none."""
    conductance = 1.0 / (machine.dump.resistance or math.inf) + 1.0 / drain_resistance(machine)
    return 1.0 / conductance if conductance else math.inf


def rules(machine: Machine, charge_voltage: float) -> tuple[RuleRow, ...]:
    """Every rule that this package knows, from the most that the charger reaches down."""
    full = max(machine.charger.voltage_max, charge_voltage)
    return tuple(_rows(machine, full))


def _timed(machine: Machine, full: float, name: str, asks: str, rule: DischargeRule, said: str) -> RuleRow:
    ohms = quickest_drain(machine)
    if math.isinf(ohms):
        return RuleRow(name, asks, "nothing that is listed drains the bank", rule.applies, None, said)
    late = float(dump_time(ohms, machine.bank.capacitance, max(full, rule.voltage_limit), rule.voltage_limit))
    found = f"{words.time(late)} to {words.voltage(rule.voltage_limit)}, computed"
    return RuleRow(name, asks, found, rule.applies, late <= rule.allowed_time if rule.applies else None, said)


def _rows(machine: Machine, full: float) -> Iterator[RuleRow]:
    farads = machine.bank.capacitance
    yield _timed(
        machine, full, "IEC 60204-1, clause 6.2.4", "60 V within 5 s, or a durable warning with the delay",
        machinery_discharge_rule(full, farads), "machinery; a charge of 60 uC and less is exempt",
    )  # fmt: skip
    yield _timed(
        machine, full, "California Title 8, section 2893", "50 V within 5 min, connected by itself",
        high_voltage_capacitor_rule(full), "an internal bleeder is no substitute for an external short and ground",
    )  # fmt: skip
    rating = machine.bank.voltage_rating or full
    if rating <= LOW_VOLTAGE:
        yield _timed(
            machine, full, "NEC 460.6", "50 V within 1 min", low_voltage_capacitor_rule(rating), "rated to 1000 V",
        )  # fmt: skip
    else:
        yield RuleRow(
            "NEC 460.6", "50 V within 1 min", f"rated {words.voltage(rating)}", False, None, "rated to 1000 V"
        )
    limit = float(accessible_capacitance_limit(full)) if full > 42.4 else math.inf
    behind = farads > limit
    yield RuleRow(
        "IEC 60335-1, clause 8.1.4",
        f"at most {show('capacitance', limit)} behind a part that may be touched" if math.isfinite(limit) else "none",
        f"{show('capacitance', farads)}: "
        + ("far above it" if farads > 10 * limit else "above it" if behind else "below it"),
        behind,
        False if behind else None,
        "no part of this bank may be touched, also not behind a protective impedance" if behind else "appliances",
    )
    touch = accessible_voltage_limit().direct
    yield RuleRow(
        "IEC 61010-1, clause 6.3 (from memory)",
        f"at most {words.voltage(touch)} direct where it can be touched",
        f"{words.voltage(full)} when charged",
        full > touch,
        False if full > touch else None,
        "the bank stands behind a closed, interlocked cover while it is charged",
    )


def dump_bodies(machine: Machine, charge_voltage: float) -> tuple[DumpBody, ...]:
    """The build's own body first, then the types of the maker's table, each for one dump at full charge."""
    full = max(machine.charger.voltage_max, charge_voltage)
    energy = float(stored_energy(machine.bank.capacitance, full))
    return (*_own(machine, energy), *(_body(machine, energy, row) for row in BODY_TYPES))


def _own(machine: Machine, energy: float) -> Iterator[DumpBody]:
    rating, volume = dump_rating(machine), machine.dump.volume
    if machine.dump.resistance is None or rating is None or volume is None:
        return
    needed = max(math.ceil(energy / rating[0] - 1e-9), 1) if rating[0] > 0 else 0
    rise = float(adiabatic_temperature_rise(energy, volume))
    yield DumpBody("the dump of the build file", volume, rating[0], None, None, needed, rise, None, rating[1])


def _body(machine: Machine, energy: float, row: tuple[float, float, float, float]) -> DumpBody:
    volume, joules, watts, constant = row
    rating = float(body_energy_rating(volume, machine.dump.duty, machine.room.temperature))
    needed = max(math.ceil(energy / rating - 1e-9), 1) if rating > 0 else 0
    rise = float(adiabatic_temperature_rise(energy / max(needed, 1), volume))
    cooling = float(body_cooling_time(joules, watts))
    said = f"type of {show('dead_volume', volume)}"
    return DumpBody(said, volume, rating, watts, constant, needed, rise, cooling, "hvrint.com, type table")
