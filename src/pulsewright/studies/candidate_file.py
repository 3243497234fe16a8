"""A sized candidate as a complete build file: an example bench with bank, loop and lamps replaced, ids kept."""

from __future__ import annotations

import math
from collections.abc import Iterator
from typing import Any

import tomlkit

from pulsewright import machine as machines
from pulsewright import units
from pulsewright.errors import BuildError
from pulsewright.studies.sizing_rules import LampChoice
from pulsewright.studies.stock import BankParts

#: Significant digits of what is sized; the simulation uses what the file says.
DIGITS = 4
SOURCE = "sized; not measured yet"
#: What a candidate does not know better. Common practice, no source.
CAPACITANCE_SPREAD, INDUCTANCE_SPREAD, RESISTANCE_SPREAD = "10 %", "10 %", "50 %"
WALL = "1 mm"
#: Room beyond the arc: dye in the cell, chamber, and from the cell to the mirrors. [m]
CELL_MORE, CHAMBER_MORE, MIRRORS_MORE = 20e-3, 10e-3, 0.2


def rounded(value: float) -> float:
    """A sized value at the digits that the file holds."""
    return float(f"{value:.{DIGITS - 1}e}")


def candidate_text(
    base: str,
    name: str,
    words: str,
    lamp: LampChoice,
    bank: BankParts,
    circuit: dict[str, float],
    sections: int | None = None,
    trigger: str | None = None,
    channel_radius: float | None = None,
) -> str:
    """The build file of a candidate.

    Parameters
    ----------
    base : str
        Example bench that gives everything but bank, loop and lamps.
    name, words : str
        Of the bench.
    lamp, bank : LampChoice, BankParts
        What it is built from; of a network, the bank is one section's.
    circuit : dict
        SI values: capacitance, charge_voltage, inductance, resistance, and for a network section_inductance.
    sections : int, optional
        Of a network.
    trigger : str, optional
        Method, instead of the base's.
    channel_radius : float, optional
        Channel that it leaves, instead of the base's. [m]
    """
    document = tomlkit.parse(machines.bench_text(base))
    document["name"] = name
    document["words"] = words
    for section in ("branches", "leads", "crowbar", "breakdowns"):
        document.pop(section, None)
    document["bank"] = _bank(document["bank"], bank, circuit, sections)
    document["loop"] = _loop(lamp, circuit, sections)
    ids = _ids(list(document["lamps"]), lamp.count)
    document["lamps"] = tomlkit.table(is_super_table=True)
    for one in ids:
        document["lamps"][one] = _lamp(lamp)
    if trigger is not None:
        document["trigger"]["method"] = trigger
    if channel_radius is not None:
        document["trigger"]["channel_radius"] = _value(channel_radius, "m", display="mm")
    _charger(document, circuit["charge_voltage"])
    _room_for(document, lamp)
    text = tomlkit.dumps(document)
    loaded = machines.load_text(text)
    if loaded.build is None:
        raise BuildError(*loaded.findings)
    return text


def _value(value: float, unit: str, spread: str = "", display: str = "") -> Any:
    table = tomlkit.inline_table()
    table["value"] = units.format(value, unit, None, display=display) if unit != "-" else value
    if spread:
        table["spread"] = spread
    table["basis"] = "estimated"
    table["source"] = SOURCE
    return table


def _bank(old: Any, bank: BankParts, circuit: dict[str, float], sections: int | None) -> Any:
    table = tomlkit.table()
    table["capacitance"] = _value(circuit["capacitance"], "F", CAPACITANCE_SPREAD)
    table["charge_voltage"] = _value(circuit["charge_voltage"], "V")
    table["voltage_rating"] = _value(bank.voltage_rating, "V")
    for key, unit in (("peak_current_rating", "A"), ("reversal_rating", "-"), ("life_rating", "-")):
        rating = getattr(bank, key)
        if rating is not None:
            table[key] = _value(rating, unit)
    for key in ("bleeder_resistance", "bleeder_power_rating"):
        if key in old:
            table[key] = old[key]
    each = f"{sections} sections, each {bank.words}" if sections else bank.words
    table["part"] = each
    return table


def _loop(lamp: LampChoice, circuit: dict[str, float], sections: int | None) -> Any:
    table = tomlkit.table()
    table["network"] = "pulse-forming network" if sections else "single mesh"
    table["lamp_law"] = "equilibrium plasma"
    table["lamps_connected"] = lamp.connected
    table["inductance"] = _value(circuit["inductance"], "H", INDUCTANCE_SPREAD)
    table["resistance"] = (
        _value(circuit["resistance"], "ohm", RESISTANCE_SPREAD) if circuit["resistance"] > 0 else "0 ohm"
    )
    if sections:
        table["sections"] = sections
        table["section_inductance"] = _value(circuit["section_inductance"], "H", INDUCTANCE_SPREAD)
    return table


def _ids(there: list[str], count: int) -> list[str]:
    """Ids of the base first; more are numbered."""
    more = (f"lamp_{number}" for number in range(1, count + len(there) + 1))
    return [*there, *(one for one in more if one not in there)][:count]


def _lamp(lamp: LampChoice) -> Any:
    table = tomlkit.table()
    table["shape"] = "linear"
    table["gas"] = lamp.gas
    table["bore"] = _value(lamp.bore, "m", display="mm")
    table["arc_length"] = _value(lamp.arc_length, "m", display="mm")
    table["fill_pressure"] = _value(lamp.fill_pressure, "Pa", display="torr")
    table["envelope"] = "clear fused silica"
    table["wall_thickness"] = WALL
    return table


def _charger(document: Any, volts: float) -> None:
    """A charger that reaches the voltage: the base's, or one that is wished for."""
    loaded = machines.load_text(tomlkit.dumps(document))
    reach = loaded.build.machine.charger.voltage_max if loaded.build is not None else 0.0
    if volts > reach:
        document["charger"]["voltage_max"] = _value(rounded(1.1 * volts), "V")


def _room_for(document: Any, lamp: LampChoice) -> None:
    """Chamber, cell and mirrors for these lamps, where those of the base do not fit."""
    chamber, cell = document["chamber"], document["cell"]
    reflector = {1: "single ellipse", 2: "double ellipse"}.get(lamp.count, "close-wrapped diffuse")
    if chamber["reflector"] != reflector and not (lamp.count <= 2 and "semi_major" not in chamber):
        chamber["reflector"] = reflector
    if str(chamber["reflector"]).endswith("ellipse") and lamp.count != (1 if "single" in chamber["reflector"] else 2):
        chamber["reflector"] = "close-wrapped diffuse"
    if chamber["reflector"] == "close-wrapped diffuse" and "perimeter" not in chamber:
        chamber["perimeter"] = _value(rounded(_wrap(lamp)), "m", display="mm")
    arc = lamp.arc_length
    cell["pumped_length"] = _value(arc, "m", display="mm")
    for table, key, least in _lengths(document, arc):
        table[key] = _value(rounded(least), "m", display="mm")


def _wrap(lamp: LampChoice) -> float:
    """Length of a close wrap round lamps and cell: their outside diameters, twice round, in m."""
    across = lamp.count * (lamp.bore + 2e-3) + 10e-3
    return math.pi * across


def _lengths(document: Any, arc: float) -> Iterator[tuple[Any, str, float]]:
    """Lengths that must be at least so and are not, from the inside outwards."""
    for section, least in (("cell", arc + CELL_MORE), ("chamber", arc + CHAMBER_MORE)):
        if _length(document[section]["length"]) < least:
            yield document[section], "length", least
    if _length(document["resonator"]["length"]) < arc + CELL_MORE + MIRRORS_MORE:
        yield document["resonator"], "length", arc + CELL_MORE + MIRRORS_MORE


def _length(entry: Any) -> float:
    text = entry["value"] if isinstance(entry, dict) else entry
    return units.parse(str(text), "m")
