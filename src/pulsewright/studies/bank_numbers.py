"""Figures of charge, wall, meter, bleeder, dump and earth: each with its range, its limit and a next step."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any

from pulsewright.machine import Build, Machine
from pulsewright.physics.pulsed_power.dump import (
    adiabatic_temperature_rise,
    dump_time,
    dump_voltage,
    resistor_power,
)
from pulsewright.physics.pulsed_power.storage import stored_energy
from pulsewright.records import Shot
from pulsewright.safety.bank_figures import (
    drain_resistance,
    dump_rating,
    meter_figures,
    ranges,
    supply_figures,
)
from pulsewright.safety.earthing import EarthingPlan

#: Voltages to which bleeder and dump are timed, in V, with the rule that names each.
TIMED = ((60.0, "IEC 60204-1, clause 6.2.4"), (50.0, "California Title 8, section 2893"))


@dataclass(frozen=True, slots=True)
class Figure:
    """One number. `key` is unique; `quantity` its row of the nomenclature; value None where it is not known.

    `low`, `high`: 90 % interval from the spreads of the entries, None without one.
    """

    key: str
    group: str
    words: str
    value: float | None
    unit: str
    quantity: str
    low: float | None = None
    high: float | None = None
    limit: float | None = None
    source: str = ""
    next_step: str = ""

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        out: dict[str, Any] = {name: getattr(self, name) for name in ("key", "group", "words", "value", "unit")}
        out |= {"quantity": self.quantity, "limit": self.limit, "source": self.source, "next_step": self.next_step}
        if self.low is not None and self.high is not None:
            out["interval_90"] = [self.low, self.high]
        return out


#: key, group, words, unit, row of the nomenclature, source, next step
_ROWS = (
    ("charge_time", "charge", "time of the charge", "s", "charge_time", "closed form, drain counted", ""),
    ("settled_voltage", "charge", "voltage at which the bank settles, charger left on", "V", "charge_voltage", "", ""),
    ("stored_energy", "charge", "energy stored", "J", "stored_energy", "C V^2 / 2", ""),
    ("supplied_energy", "charge", "energy from the charger", "J", "energy", "", ""),
    ("resistor_loss", "charge", "burnt in the charging resistor", "J", "energy",
     "as much as is stored, or more", "A charger of constant current burns none"),
    ("drained_energy", "charge", "drained by bleeder and divider meanwhile", "J", "energy", "", ""),
    ("resistor_power", "charge", "mean power of the charging resistor", "W", "power", "",
     "Enter charger.repeat_period"),
    ("resistor_short_power", "charge", "the same with the bank shorted and the charger on", "W", "power",
     "what the resistor carries at a misfire with the charger left on", ""),
    ("shortest_period", "charge", "shortest time from shot to shot, charger alone", "s", "repeat_period", "", ""),
    ("highest_rate", "charge", "highest repeat rate, charger alone", "Hz", "frequency", "", ""),
    ("line_energy", "wall", "energy from the wall for one charge", "J", "energy", "conversion_efficiency", ""),
    ("peak_line_power", "wall", "highest power from the wall", "W", "power", "conversion_efficiency", ""),
    ("mean_line_power", "wall", "mean power from the wall", "W", "power", "", "Enter charger.repeat_period"),
    ("peak_line_current", "wall", "highest line current", "A", "current", "power_factor", "Enter charger.line_voltage"),
    ("mean_line_current", "wall", "mean line current", "A", "current", "power_factor",
     "Enter charger.line_voltage and charger.repeat_period"),
    ("divider_ratio", "meter", "volts on the bank for each volt read", "-", "ratio", "instrument counted",
     "Enter the [meter]"),
    ("loading_error", "meter", "error when the instrument's load is forgotten", "-", "",
     "the bank holds more than is read", "Enter meter.input_resistance"),
    ("reading", "meter", "reading at the charge voltage", "V", "reading", "", "Enter the [meter]"),
    ("upper_voltage", "meter", "voltage on the upper arm", "V", "voltage", "", "Enter the [meter]"),
    ("upper_power", "meter", "power of the upper arm", "W", "power", "", "Enter the [meter]"),
    ("open_voltage", "meter", "on the instrument, when the lower arm opens", "V", "voltage",
     "the full voltage if its input opens too", "Enter the [meter]"),
    ("fault_current", "meter", "through the upper arm into a hand", "A", "current", "", "Enter the [meter]"),
    ("meter_constant", "meter", "time constant of bank and divider alone", "s", "time", "", "Enter the [meter]"),
    ("bleeder_power", "bleeder", "standing power of the bleeder", "W", "power", "",
     "Fit one, enter bank.bleeder_resistance"),
    ("drain_constant", "bleeder", "time constant of bank, bleeder and divider", "s", "time", "",
     "Fit one, enter bank.bleeder_resistance"),
    ("held_voltage", "bleeder", "voltage after the hold", "V", "voltage", "", ""),
    *((f"bleeder_time_{low:.0f}", "bleeder", f"to {low:.0f} V without the dump, computed", "s", "time", rule,
       "Measure and short; a computed time is never a proof") for low, rule in TIMED),
    ("dump_energy", "dump", "energy of one dump", "J", "stored_energy", "", "Fit one, enter dump.resistance"),
    ("dump_power", "dump", "highest power of the dump", "W", "power", "", "Fit one, enter dump.resistance"),
    ("dump_current", "dump", "highest current of the dump", "A", "current", "", "Fit one, enter dump.resistance"),
    ("dump_rise", "dump", "its body warmer by, adiabatic", "K", "temperature_rise", "hvrint.com: 2 J/(cm^3 K)",
     "Enter dump.volume"),
    *((f"dump_time_{low:.0f}", "dump", f"to {low:.0f} V by the dump, computed", "s", "time", rule,
       "Measure and short; a computed time is never a proof") for low, rule in TIMED),
    ("full_dump_energy", "dump", "energy of a dump at the most that the charger reaches", "J", "stored_energy", "", ""),
)  # fmt: skip


def _drain_times(machine: Machine, volts: float, ohms: float, name: str) -> Iterator[tuple[str, float | None]]:
    for low, _ in TIMED:
        known = math.isfinite(ohms) and volts > 0
        late = dump_time(ohms, machine.bank.capacitance, max(volts, low), low) if known else None
        yield f"{name}_time_{low:.0f}", None if late is None else float(late)


def numbers(machine: Machine, charge_voltage: float, hold: float) -> dict[str, float | None]:
    """Every number, by key; infinite where a charge never ends, None where the build file does not say enough."""
    farads, drain = machine.bank.capacitance, drain_resistance(machine)
    supply, meter = supply_figures(machine, charge_voltage), meter_figures(machine, charge_voltage)
    held = charge_voltage if math.isinf(drain) else float(dump_voltage(drain, farads, charge_voltage, hold))
    bleeder = machine.bank.bleeder_resistance
    names = ("charge_time", "settled_voltage", "stored_energy", "supplied_energy", "resistor_loss", "drained_energy")
    walls = ("shortest_period", "line_energy", "peak_line_power", "mean_line_power", "peak_line_current")
    found: dict[str, float | None] = {name: getattr(supply, name) for name in (*names, *walls, "mean_line_current")}
    resistor = machine.charger.method == "resistor"
    found["resistor_loss"] = supply.resistor_loss if resistor else 0.0
    found["resistor_power"] = supply.resistor_power if resistor else 0.0
    ohms = machine.charger.resistance if resistor else None
    found["resistor_short_power"] = float(resistor_power(machine.charger.voltage_max, ohms)) if ohms else None
    found["highest_rate"] = 1.0 / supply.shortest_period if 0 < supply.shortest_period < math.inf else None
    found["divider_ratio"] = None if meter is None else meter.ratio
    for name in ("loading_error", "reading", "upper_voltage", "upper_power", "open_voltage", "fault_current"):
        found[name] = None if meter is None else getattr(meter, name)
    found["meter_constant"] = None if meter is None else meter.drain_resistance * farads
    found["bleeder_power"] = None if bleeder is None else float(resistor_power(charge_voltage, bleeder))
    found["drain_constant"] = drain * farads if math.isfinite(drain) else None
    found["held_voltage"] = held
    return (
        found | dict(_drain_times(machine, charge_voltage, drain, "bleeder")) | _dump_numbers(machine, charge_voltage)
    )


def _dump_numbers(machine: Machine, charge_voltage: float) -> dict[str, float | None]:
    farads, ohms, volume = machine.bank.capacitance, machine.dump.resistance, machine.dump.volume
    full = max(machine.charger.voltage_max, charge_voltage)
    together = math.inf if ohms is None else 1.0 / (1.0 / ohms + 1.0 / drain_resistance(machine))
    times = dict(_drain_times(machine, charge_voltage, together, "dump"))
    if ohms is None:
        return {**times, "dump_energy": None, "dump_power": None, "dump_current": None, "dump_rise": None}
    energy = float(stored_energy(farads, charge_voltage))
    return {
        **times,
        "dump_energy": energy,
        "dump_power": float(resistor_power(charge_voltage, ohms)),
        "dump_current": charge_voltage / ohms,
        "dump_rise": None if volume is None else float(adiabatic_temperature_rise(energy, volume)),
        "full_dump_energy": float(stored_energy(farads, full)),
    }


def _limits(machine: Machine) -> Mapping[str, float | None]:
    """Limits that stand in the build file or follow from it, by key."""
    charger, meter, rating = machine.charger, machine.meter, dump_rating(machine)
    body = None if rating is None else rating[0]
    return {
        "charge_time": charger.repeat_period,
        "shortest_period": charger.repeat_period,
        "resistor_loss": charger.resistor_energy_rating,
        "resistor_power": charger.resistor_power_rating,
        "resistor_short_power": charger.resistor_power_rating,
        "peak_line_current": charger.fuse_rating,
        "mean_line_current": charger.fuse_rating,
        "upper_voltage": meter.upper_voltage_rating,
        "upper_power": meter.upper_power_rating,
        "bleeder_power": machine.bank.bleeder_power_rating,
        "dump_energy": body,
        "full_dump_energy": body,
        "dump_time_60": 5.0,
        "bleeder_time_50": 300.0,
        "dump_time_50": 300.0,
    }


def figures(
    build: Build, charge_voltage: float, hold: float, plan: EarthingPlan, shot: Shot | None = None
) -> tuple[Figure, ...]:
    """Every figure of the study, in the order of the work; what does not exist in this machine is left out."""
    reckon = partial(numbers, hold=hold)
    found = reckon(build.machine, charge_voltage)
    spans = ranges(build, reckon, charge_voltage)
    limits = _limits(build.machine)
    rows = []
    for key, group, said, unit, quantity, source, step in _ROWS:
        value = found.get(key)
        if key.startswith("resistor_") and build.machine.charger.method != "resistor":
            continue
        known = value is not None and math.isfinite(value)
        low, high = spans.get(key, (None, None)) if known else (None, None)
        why = source if known or value is None else "never reached"
        told = step if value is None or "_time_" in key or key == "resistor_loss" else ""
        rows.append(
            Figure(key, group, said, value if known else None, unit, quantity, low, high, limits.get(key), why, told)
        )
    return (*rows, *_earth(build, plan), *_after_shot(shot))


def _earth(build: Build, plan: EarthingPlan) -> Iterator[Figure]:
    step = "" if build.machine.loop.earth_inductance is not None else "Enter loop.earth_inductance"
    loop = "picked up by an open loop of leads, 100 mm by 100 mm, 100 mm off"
    how, apart = "mutual inductance of a wire and a rectangle", "Coaxial leads, short, far from the discharge"
    for key, said, value, unit, quantity, source, remedy in (
        ("current_slope", "steepest rise of the current", plan.slope, "A/s", "current_slope", plan.slope_basis, ""),
        ("ground_bounce", "lift of the shared earth lead", plan.bounce, "V", "voltage", "L dI/dt", step),
        ("loop_pickup", loop, plan.pickup, "V", "voltage", how, apart),
    ):
        yield Figure(key, "earth", said, value, unit, quantity, source=source, next_step=remedy)


def _after_shot(shot: Shot | None) -> Iterator[Figure]:
    """What the model leaves on the bank at the end of a shot; a lamp goes out sooner and leaves more."""
    if shot is None or "bank_voltage" not in shot.arrays:
        return
    left = abs(float(shot.arrays["bank_voltage"].values[-1]))
    source = "end of the computed discharge; a lamp goes out sooner, at a voltage that is not known"
    step = "Treat the bank as charged after every shot"
    said = "left on the bank after the shot, at least"
    yield Figure("residual_voltage", "shot", said, left, "V", "voltage", source=source, next_step=step)
