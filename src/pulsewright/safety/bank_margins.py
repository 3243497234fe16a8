"""Margin rows of what charges, drains and reads the bank; items are sections of the build file."""

from __future__ import annotations

import math
from collections import OrderedDict
from collections.abc import Callable, Hashable, Iterator, Mapping
from dataclasses import dataclass, replace
from threading import Lock

from pulsewright.machine import Build, Machine
from pulsewright.physics.beam import exceedance_probability
from pulsewright.physics.pulsed_power.dump import resistor_power
from pulsewright.physics.pulsed_power.storage import stored_energy
from pulsewright.records import Margin, NotJudged
from pulsewright.safety.bank_figures import dump_rating, meter_figures, ranges, supply_figures


@dataclass(frozen=True, slots=True)
class _Row:
    """One stress of the bank's surroundings: where its limit stands, and when it is worth a word without one."""

    key: str
    item: str
    words: str
    unit: str
    limit: str
    lower_by: str
    quantity: str
    missed: Callable[[Machine], bool]
    next_step: str = ""


def _has_bleeder(machine: Machine) -> bool:
    return machine.bank.bleeder_resistance is not None


def _has_resistor(machine: Machine) -> bool:
    return machine.charger.method == "resistor"


def _has_dump(machine: Machine) -> bool:
    return machine.dump.resistance is not None


def _has_line(machine: Machine) -> bool:
    return machine.charger.line_voltage is not None or machine.charger.fuse_rating is not None


def _has_divider(machine: Machine) -> bool:
    return machine.meter.upper_resistance is not None and machine.meter.lower_resistance is not None


def _repeats(machine: Machine) -> bool:
    """A period is never missed: who gives none makes single shots."""
    return machine.charger.repeat_period is not None


def _resistor_repeats(machine: Machine) -> bool:
    return _has_resistor(machine) and (_repeats(machine) or machine.charger.resistor_power_rating is not None)


_LESS = "a lower charge voltage"
_ROWS = (
    _Row("dump_energy", "dump", "energy of one dump", "J", "", f"a larger body, {_LESS}", "stored_energy", _has_dump),
    _Row("bleeder_power", "bank", "standing power of the bleeder", "W", "bank.bleeder_power_rating",
         f"a higher bleeder resistance, {_LESS}", "power", _has_bleeder),
    _Row("resistor_loss", "charger", "energy into the charging resistor", "J", "charger.resistor_energy_rating",
         f"a larger resistor, a charger without one, {_LESS}", "energy", _has_resistor),
    _Row("resistor_power", "charger", "mean power of the charging resistor", "W", "charger.resistor_power_rating",
         "a longer repeat period, a larger resistor", "power", _resistor_repeats, "Enter charger.repeat_period and "),
    _Row("peak_line_current", "charger", "highest line current", "A", "charger.fuse_rating",
         "a smaller charging current, a charger of better power factor, another outlet", "current", _has_line,
         "Enter charger.line_voltage and "),
    _Row("charge_time", "charger", "charge time against the repeat period", "s", "charger.repeat_period",
         f"a stronger charger, a longer repeat period, {_LESS}", "charge_time", _repeats),
    _Row("upper_voltage", "meter", "voltage on the upper arm", "V", "meter.upper_voltage_rating",
         f"an upper arm rated higher, a chain of several, {_LESS}", "voltage", _has_divider),
    _Row("upper_power", "meter", "power of the upper arm", "W", "meter.upper_power_rating",
         f"a higher upper resistance, {_LESS}", "power", _has_divider),
)  # fmt: skip


def stresses(machine: Machine, charge_voltage: float) -> dict[str, float | None]:
    """Every stress that is judged here, by key; None where the build file does not say enough."""
    supply, meter = supply_figures(machine, charge_voltage), meter_figures(machine, charge_voltage)
    bleeder = machine.bank.bleeder_resistance
    resistor = machine.charger.method == "resistor"
    return {
        "dump_energy": None
        if machine.dump.resistance is None
        else float(stored_energy(machine.bank.capacitance, charge_voltage)),
        "bleeder_power": None if bleeder is None else float(resistor_power(charge_voltage, bleeder)),
        "resistor_loss": supply.resistor_loss if resistor else None,
        "resistor_power": supply.resistor_power if resistor else None,
        "peak_line_current": supply.peak_line_current,
        "charge_time": supply.charge_time,
        "upper_voltage": None if meter is None else meter.upper_voltage,
        "upper_power": None if meter is None else meter.upper_power,
    }


def _limit(build: Build, row: _Row) -> tuple[float, str, float] | None:
    """Limit, its source, and its relative 90 % half-width."""
    if row.key == "dump_energy":
        found = dump_rating(build.machine)
        paths = ("dump.energy_rating",) if build.machine.dump.energy_rating is not None else ("dump.volume",)
        return None if found is None else (*found, _spread(build, paths[0]))
    entry = build.entries.get(row.limit)
    if entry is None or not isinstance(entry.value, float):
        return None
    basis = f" ({entry.basis}: {entry.source})".replace(": )", ")") if entry.source else f" ({entry.basis})"
    return entry.value, row.limit + basis, _spread(build, row.limit)


def _spread(build: Build, path: str) -> float:
    entry = build.entries.get(path)
    if entry is None or entry.spread is None or not isinstance(entry.value, float) or not entry.value:
        return 0.0
    return entry.spread / abs(entry.value)


def bank_margins(build: Build, charge_voltage: float) -> tuple[Margin, ...]:
    """Margin rows of dump, bleeder, charger, wall line and divider at a charge voltage.

    A stress without a limit stands under `bank_not_judged`; one that is infinite, as the time of a charge that never
    ends, is told by the checks of the build file.
    """
    return tuple(_margins(build, stresses(build.machine, charge_voltage), _spreads(build, charge_voltage)))


#: Relative spreads are worked out at voltages this far apart (a ratio) and kept: they hardly change between.
_VOLTAGE_STEP = 1.1
_KEPT: OrderedDict[Hashable, Mapping[str, float]] = OrderedDict()
_MOST_KEPT = 128
_LOCK = Lock()


def _spreads(build: Build, charge_voltage: float) -> Mapping[str, float]:
    """Relative 90 % half-width of each stress, at the nearest of the voltages for which it is kept."""
    if charge_voltage <= 0:
        return {}
    volts = _VOLTAGE_STEP ** round(math.log(charge_voltage, _VOLTAGE_STEP))
    machine = build.machine
    bank = replace(machine.bank, charge_voltage=volts)
    moved = tuple((path, entry.spread) for path, entry in build.entries.items() if entry.spread)
    key = (bank, machine.charger, machine.dump, machine.meter, moved)
    with _LOCK:
        kept = _KEPT.get(key)
    if kept is None:
        middle = stresses(machine, volts)
        spans = ranges(build, stresses, volts)
        kept = {name: (high - low) / 2.0 / value for name, (low, high) in spans.items() if (value := middle[name])}
        with _LOCK:
            _KEPT[key] = kept
            while len(_KEPT) > _MOST_KEPT:
                _KEPT.popitem(last=False)
    return kept


def _margins(build: Build, found: dict[str, float | None], spreads: Mapping[str, float]) -> Iterator[Margin]:
    for row in _ROWS:
        stress, limit = found[row.key], _limit(build, row)
        if stress is None or limit is None or not math.isfinite(stress):
            continue
        spread = spreads.get(row.key, 0.0)
        chance = float(exceedance_probability(stress, limit[0], spread, limit[2])) if stress else 0.0
        yield Margin(
            row.item,
            row.words,
            stress,
            row.unit,
            limit[0],
            stress / limit[0],
            chance,
            limit[1],
            row.lower_by,
            row.quantity,
        )


def bank_not_judged(build: Build, charge_voltage: float) -> tuple[NotJudged, ...]:
    """The same parts where a limit, or what the stress is computed from, is not in the build file."""
    found, missing = stresses(build.machine, charge_voltage), []
    for row in _ROWS:
        if not row.missed(build.machine):
            continue
        limit = _limit(build, row)
        if limit is None:
            reason = "the volume of its body is not known" if row.key == "dump_energy" else "no limit is known"
            step = "Enter dump.energy_rating or dump.volume" if row.key == "dump_energy" else f"Enter {row.limit}"
            missing.append(NotJudged(row.item, row.words, reason, step))
        elif found[row.key] is None:
            step = (row.next_step + row.limit).replace(f" and {row.limit}", "")
            missing.append(NotJudged(row.item, row.words, "it cannot be computed from what is given", step))
    return tuple(missing)
