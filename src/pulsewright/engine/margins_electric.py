"""Margins of bank, switch, lamps and the insulation of the loop."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from functools import lru_cache

from pulsewright.engine.coefficients import life_exponent
from pulsewright.engine.electric import DischargeStage, LightStage
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.margin_row import Stress, rating
from pulsewright.engine.stress import (
    SCALE,
    THIRD,
    THREE,
    BankLoad,
    LampLoad,
    SwitchLoad,
    bank_life,
    bank_load,
    lamp_loads,
    switch_load,
)
from pulsewright.engine.trigger import TriggerStage
from pulsewright.machine.parts import Machine
from pulsewright.physics.pulsed_power.clearance import TABLE_A2, TABLE_F2, clearance, creepage
from pulsewright.physics.pulsed_power.lamp_life import LOWEST_FRACTION
from pulsewright.quantities import show

LESS = "a lower charge voltage"
SLOWER = "a lower charge voltage, more inductance"
LIFE_USED = "life used by the planned shots"
#: Reversal that a capacitor rated for none is taken to stand: what a meter cannot tell from none.
NO_REVERSAL = 0.01
#: Constants of the published explosion laws in J/(cm^2 s^0.5), told beside their definition of pulse length.
_CONSTANTS = {
    THIRD: "11205, t at a third of the peak",
    THREE: "12000, t = 3 sqrt(L C)",
    SCALE: "24600 to 8 mm bore and 21000 above, t = sqrt(L C)",
}
#: Voltage to which the creepage rule was read from the table. [V]
_CREEPAGE_KNOWN = 10e3
#: Methods whose pulse adds to the voltage of the bank instead of standing alone.
_ADDED = ("series injection",)


def _percent(part: float) -> str:
    """A part in per cent: two digits of a small one, whole ones else."""
    return f"{100 * part:.2g} %" if part < 0.1 else f"{100 * part:.0f} %"


def electric_stresses(
    inputs: Inputs, trigger: TriggerStage, discharge: DischargeStage, light: LightStage
) -> Iterator[Stress]:
    """Every stress of one discharge, in the order in which the energy passes."""
    yield from _bank(inputs, bank_load(inputs, discharge))
    if inputs.machine.switch.kind != "none":
        yield from _switch(inputs, switch_load(discharge))
    for lamp in lamp_loads(inputs, trigger, discharge, light):
        yield from _lamp(inputs, lamp)
    yield from _insulation(inputs)


def _bank(inputs: Inputs, load: BankLoad) -> Iterator[Stress]:
    damped = "more loop resistance, less inductance, a clamp diode"
    volts = inputs.charge_voltage
    yield rating(inputs, "bank", "voltage", volts, "charge_voltage", "bank.voltage_rating", LESS)
    yield rating(inputs, "bank", "peak current", load.peak_current, "peak_current", "bank.peak_current_rating", SLOWER)
    row = rating(
        inputs,
        "bank",
        "voltage reversal",
        load.voltage_reversal,
        "voltage_reversal",
        "bank.reversal_rating",
        damped,
        f"of the voltage; the current reverses by {_percent(load.current_reversal)} of its peak",
    )
    if row.limit is not None and row.limit < NO_REVERSAL:
        told = f"{row.source}; up to {100 * NO_REVERSAL:g} % counts as none"
        row = replace(row, limit=NO_REVERSAL, limit_spread=0.0, source=told, limit_entry="")
    yield row
    yield _bank_life(inputs, load)


def _bank_life(inputs: Inputs, load: BankLoad) -> Stress:
    life = bank_life(inputs, load.voltage_reversal)
    if life is None:
        bank, keys = inputs.machine.bank, ("life_rating", "voltage_rating", "reversal_rating")
        missing = f"Enter {' and '.join(f'bank.{key}' for key in keys if getattr(bank, key) is None)}"
        reason = "the rated life, or the voltage and reversal it holds for, are not known"
        return Stress("bank", LIFE_USED, 0.0, "life_used", None, 0.0, "", "", next_step=missing, reason=reason)
    words = (
        f"{show('capacitor_life', life.by_reversal)} shots with the reversal to the power -1.6, "
        f"{show('capacitor_life', life.by_quality)} with the quality factor, voltage to the power -7.5 in both"
    )
    lower = "a lower charge voltage, less reversal"
    return _life(inputs, "bank", life.fewest, life.most, words, lower, extrapolated=False)


def _life(
    inputs: Inputs, item: str, fewest: float, most: float, words: str, lower_by: str, *, extrapolated: bool
) -> Stress:
    """Planned shots over the fewest expected; unjudged, with the expected range, where no shots are planned."""
    planned = inputs.machine.bank.planned_shots
    few, many = show("capacitor_life", fewest), show("capacitor_life", most)
    expected = f"{few} shots expected" if few == many else f"{few} to {many} shots expected"
    if planned is None:
        return Stress(
            item,
            LIFE_USED,
            0.0,
            "life_used",
            None,
            0.0,
            "",
            "",
            next_step="Enter bank.planned_shots",
            reason=f"{expected}; no planned shots are known",
        )
    spread = most / fewest - 1 if fewest > 0 else 0.0
    source = f"{expected}: {words}"
    return Stress(item, LIFE_USED, planned / fewest, "life_used", 1.0, spread, source, lower_by, extrapolated)


def _switch(inputs: Inputs, load: SwitchLoad) -> Iterator[Stress]:
    rows = (
        ("peak current", load.peak_current, "peak_current", "peak_current_rating", SLOWER),
        ("charge passed", load.charge, "charge_per_shot", "charge_rating", "less capacitance or voltage"),
        ("action integral", load.action_integral, "action_integral", "action_rating", "less capacitance or voltage"),
        ("steepest rise of the current", load.steepest_rise, "steepest_rise", "rise_rating", SLOWER),
    )
    for words, value, quantity, key, lower in rows:
        yield rating(inputs, "switch", words, value, quantity, f"switch.{key}", lower)


def _lamp(inputs: Inputs, load: LampLoad) -> Iterator[Stress]:
    item = f"lamps.{load.name}"
    yield _explosion(inputs, item, load)
    yield _wall(inputs, item, load)
    yield rating(
        inputs, item, "peak current of the electrodes", load.peak_current, "peak_current",
        f"{item}.peak_current_rating", SLOWER,
    )  # fmt: skip
    yield rating(
        inputs, item, "charge through the electrodes", load.charge, "charge_per_shot",
        f"{item}.charge_rating", "less capacitance or voltage",
    )  # fmt: skip
    yield _lamp_life(inputs, item, load)


def _explosion(inputs: Inputs, item: str, load: LampLoad) -> Stress:
    words, found = "energy against explosion", load.explosion
    if found is None:
        return Stress(
            item, words, load.energy, "lamp_energy", None, 0.0, "", "",
            next_step="Enter wall_loading_rating of each lamp: wall loading is judged instead",
            reason="the published laws are for linear lamps",
        )  # fmt: skip
    part = inputs.machine.lamps[load.name].explosion_fraction_rating
    told = ", ".join(
        f"{show('explosion_energy', joules)} by {_CONSTANTS[how]}" for how, joules in found.energies.items()
    )
    alone = "; sqrt(L C) has no meaning in this circuit" if len(found.energies) == 1 else ""
    return Stress(
        item,
        words,
        load.energy,
        "lamp_energy",
        part * found.lowest,
        found.spread,
        f"{part:g} of the lowest published explosion energy: {told} (hobby page on flashlamps; Koechner and lamp-maker "
        f"guides, from memory){alone}; found for 0.1 to 10 ms",
        "a lower charge voltage, a larger bore, a longer arc",
        extrapolated=found.extrapolated,
    )


def _wall(inputs: Inputs, item: str, load: LampLoad) -> Stress:
    counted = "heat conducted, light taken up by the glass, and what the plasma leaves"
    row = rating(
        inputs, item, "wall loading per shot", load.wall_loading, "wall_loading", f"{item}.wall_loading_rating",
        "a lower charge voltage, a larger bore, a longer arc", counted,
    )  # fmt: skip
    if row.limit is not None:
        return row
    reason = (
        f"no limit is known for {show('wall_loading', load.wall_loading)} ({counted}); about 1 J/cm^2 within "
        "microseconds makes silica vaporise"
    )
    step = "Enter wall_loading_rating of each lamp, or inspect the bore for haze and cracks"
    return Stress(item, row.words, row.value, row.quantity, None, 0.0, "", "", next_step=step, reason=reason)


def _lamp_life(inputs: Inputs, item: str, load: LampLoad) -> Stress:
    if load.explosion is None:
        reason = "the published law of life is for linear lamps"
        step = "Log shots, and inspect the bore for haze and cracks"
        return Stress(item, LIFE_USED, 0.0, "life_used", None, 0.0, "", "", next_step=step, reason=reason)
    life = load.life(life_exponent(inputs.reference, "lamp"))
    if life is None:
        return Stress(item, LIFE_USED, 0.0, "life_used", 1.0, 0.0, "no energy reaches the lamp", "")
    words = "(E/Ex)^-8.5 over the published explosion energies (Koechner and lamp-maker guides, from memory)"
    if load.capped:
        words += f", cut off at E/Ex = {LOWEST_FRACTION:g}, below which the electrodes wear out first"
    outside = load.explosion.extrapolated or load.capped
    lower = "a lower charge voltage, a larger bore, a longer arc"
    return _life(inputs, item, life.fewest, life.most, words, lower, extrapolated=outside)


def _insulation(inputs: Inputs) -> Iterator[Stress]:
    """Distances that the highest voltage needs, against those of the loop."""
    machine = inputs.machine
    volts, met = highest_voltage(machine, inputs.charge_voltage)
    needed, beyond = clearance_needed(volts, machine.room.altitude)
    source = (
        f"IEC 60664-1, table F.2, case A, for {met} of {show('voltage', volts)} at "
        f"{show('altitude', machine.room.altitude)} (partly from memory); not a distance for people"
    )
    yield _distance(inputs, "clearance", "distance needed through air", needed, source, beyond)
    along = float(creepage(inputs.charge_voltage))
    source = (
        f"10 mm for each kilovolt of {show('charge_voltage', inputs.charge_voltage)}: IEC 60664-1, table F.4, row of "
        "10 kV; clean and dry, no dye or solvent on the surface"
    )
    beyond = inputs.charge_voltage > _CREEPAGE_KNOWN
    yield _distance(inputs, "creepage", "distance needed along surfaces", along, source, beyond)


@lru_cache(maxsize=256)
def clearance_needed(voltage: float, altitude: float) -> tuple[float, bool]:
    """Distance through air in m, and whether it lies beyond the tables: then in proportion to the voltage."""
    highest, highest_place = 1e3 * TABLE_F2[-1][0], TABLE_A2[-1][0]
    distance = clearance(min(voltage, highest), altitude=min(max(altitude, -500.0), highest_place))
    return distance * max(1.0, voltage / highest), voltage > highest or altitude > highest_place


def highest_voltage(machine: Machine, charge_voltage: float) -> tuple[float, str]:
    """Highest voltage of the loop and what it is: that of the bank, or with what the trigger adds."""
    pulse = machine.trigger.pulse_voltage or 0.0
    if machine.trigger.method in _ADDED and pulse:
        return charge_voltage + pulse, "charge and trigger pulse together"
    return (pulse, "the trigger pulse") if pulse > charge_voltage else (charge_voltage, "the charge voltage")


def _distance(inputs: Inputs, key: str, words: str, needed: float, source: str, beyond: bool) -> Stress:
    given: float | None = getattr(inputs.machine.loop, key)
    entry = inputs.build.entries.get(f"loop.{key}")
    spread = (entry.spread or 0.0) / given if entry is not None and given else 0.0
    step = f"Measure it and enter loop.{key}"
    reason = f"{show(key, needed)} are needed; what there is is not known"
    lower = "more distance, a barrier, a lower charge voltage"
    return Stress("loop", words, needed, key, given, spread, source, lower, beyond, step, reason)
