"""Figures of stress and life of one shot: rows of its summary, and what to know about leads and ringing."""

from __future__ import annotations

from collections.abc import Iterator

from pulsewright import units
from pulsewright.engine.chain import Stages
from pulsewright.engine.coefficients import life_exponent
from pulsewright.engine.electric import took_off
from pulsewright.engine.leads import Leads, leads
from pulsewright.engine.stress import (
    SCALE,
    THIRD,
    THREE,
    LampLoad,
    bank_life,
    bank_load,
    half_cycles,
    lamp_loads,
    switch_load,
)
from pulsewright.errors import Finding
from pulsewright.quantities import show
from pulsewright.records import Value

_NO_LAW = "the published laws are for linear lamps"
_NO_SCALE = "sqrt(L C) has no meaning in this circuit"
#: Part of the entered value beyond which leads are said to have more than that.
_ALLOWANCE = 1.05
#: Heat taken up by silica within microseconds that is enough for its vapour to become the plasma. [J/m^2]
ABLATION_LOAD = 1.0e4


def summary_rows(stages: Stages) -> dict[str, Value]:
    """Rows of the summary: reversal, charge, action, rise, explosion fractions, wall loading, lives."""
    load = bank_load(stages.inputs, stages.discharge)
    lamps = lamp_loads(stages.inputs, stages.trigger, stages.discharge, stages.light)
    return {
        "voltage_reversal": Value(load.voltage_reversal, "-"),
        "charge_per_shot": Value(load.charge, "C"),
        "action_integral": Value(load.action_integral, "A^2*s"),
        "steepest_rise": Value(switch_load(stages.discharge).steepest_rise, "A/s"),
        **_explosion(lamps),
        "wall_loading": Value(max(lamp.wall_loading for lamp in lamps), "J/m^2"),
        "lamp_life": _lamp_life(stages, lamps),
        "capacitor_life": _capacitor_life(stages, load.voltage_reversal),
    }


def _worst(lamps: tuple[LampLoad, ...]) -> LampLoad | None:
    """The lamp nearest its explosion energy; None where the laws apply to none."""
    judged = [lamp for lamp in lamps if lamp.explosion is not None]
    return max(judged, key=lambda lamp: lamp.energy / lamp.explosion.lowest if lamp.explosion else 0.0, default=None)


def _explosion(lamps: tuple[LampLoad, ...]) -> dict[str, Value]:
    """Explosion fraction by each published constant with its own definition of pulse length, and their range."""
    worst = _worst(lamps)
    found = None if worst is None else worst.explosion
    keys = (("third_maximum", THIRD), ("three_time_scales", THREE), ("time_scale", SCALE))
    if worst is None or found is None:
        names = ("explosion_fraction", *(f"explosion_at_{key}" for key, _ in keys))
        return {name: Value(None, "-", reason=_NO_LAW) for name in names}
    whole = worst.energy / found.lowest
    rows = {
        "explosion_fraction": Value(
            whole, "-", worst.energy / (found.lowest * (1 + found.spread)), whole, span="published"
        )
    }
    for key, definition in keys:
        energy = found.energies.get(definition)
        rows[f"explosion_at_{key}"] = (
            Value(None, "-", reason=_NO_SCALE) if energy is None else Value(worst.energy / energy, "-")
        )
    return rows


def _lamp_life(stages: Stages, lamps: tuple[LampLoad, ...]) -> Value:
    worst = _worst(lamps)
    life = None if worst is None else worst.life(life_exponent(stages.inputs.reference, "lamp"))
    if life is None:
        return Value(None, "-", reason=_NO_LAW if worst is None else "no energy reaches the lamps")
    return Value((life.fewest * life.most) ** 0.5, "-", life.fewest, life.most, span="published")


def _capacitor_life(stages: Stages, voltage_reversal: float) -> Value:
    life = bank_life(stages.inputs, voltage_reversal)
    if life is None:
        bank, keys = stages.inputs.machine.bank, ("life_rating", "voltage_rating", "reversal_rating")
        missing = [f"bank.{key}" for key in keys if getattr(bank, key) is None]
        return Value(None, "-", reason=f"{' and '.join(missing)} {'is' if len(missing) == 1 else 'are'} not known")
    return Value((life.fewest * life.most) ** 0.5, "-", life.fewest, life.most, span="published")


def findings(stages: Stages) -> Iterator[Finding]:
    """What a careful person would want to know of ringing, of life, and of the leads."""
    if took_off(stages.inputs, stages.discharge.record):
        yield from _ringing(stages)
        for load in lamp_loads(stages.inputs, stages.trigger, stages.discharge, stages.light):
            yield from _wall(stages, load)
            yield from _life(load)
    if stages.inputs.machine.leads:
        yield from _leads(stages, leads(stages.inputs, stages.discharge))


def _ringing(stages: Stages) -> Iterator[Finding]:
    count = half_cycles(stages.discharge.record.current)
    if count > 1:
        load = bank_load(stages.inputs, stages.discharge)
        yield Finding(
            "note",
            "loop",
            f"the current rings: {count} half cycles pass a tenth of the first peak; the voltage of the bank reverses "
            f"by {100 * load.voltage_reversal:.0f} % of the charge voltage, the current by "
            f"{100 * load.current_reversal:.0f} % of its peak",
            "Ringing costs capacitors life, and switches and meters may not stand the reverse voltage",
            "Damp the loop: more resistance, less inductance, or a clamp diode",
        )


def _wall(stages: Stages, load: LampLoad) -> Iterator[Finding]:
    """Silica vaporises when its surface takes up too much within microseconds."""
    slow = load.explosion is not None and not load.explosion.extrapolated
    if slow or load.wall_loading <= ABLATION_LOAD:
        return
    computed = stages.inputs.machine.lamps[load.name].wall_vapour != "none"
    yield Finding(
        "note" if computed else "warning",
        f"lamps.{load.name}",
        f"its wall takes up {show('wall_loading', load.wall_loading)} in this shot: heat conducted, light taken up by "
        f"the glass, and what the plasma leaves; vapour of the wall is {'' if computed else 'not '}computed",
        "Silica vaporises from about 1 J/cm^2 within microseconds; its vapour then carries the current, and the bore "
        "goes cloudy",
        "Inspect the bore, and measure the current"
        if computed
        else "Treat current and light as uncertain by half and measure the current, or set wall_vapour of such lamps "
        'to "ablated"',
    )


def _life(load: LampLoad) -> Iterator[Finding]:
    """Where the laws of explosion and lamp life are stretched."""
    if load.explosion is None:
        return
    width = units.format(load.explosion.widths[THIRD], "s")
    if load.explosion.extrapolated:
        yield Finding(
            "note",
            f"lamps.{load.name}",
            f"explosion energy and lamp life are carried to a pulse of {width} at a third of its peak",
            "The laws were found for 0.1 to 10 ms; a microsecond lamp may fail by shock, which follows no such law",
            "Shield the lamps as if they burst, log shots, and inspect the bores",
        )
    if load.capped:
        fraction = load.energy / load.explosion.lowest
        yield Finding(
            "note",
            f"lamps.{load.name}",
            f"its energy is {100 * fraction:.2g} % of the lowest published explosion energy; the law of life is cut "
            "off at 15 %",
            "Below that the electrodes sputter and the gas is lost long before the wall is worn",
            "Expect fewer shots than the law gives: log them",
        )


def _leads(stages: Stages, found: Leads) -> Iterator[Finding]:
    loop = stages.inputs.machine.loop
    for row in found.rows:
        if row.inductance is None:
            yield Finding(
                "warning",
                f"leads.{row.name}",
                f"its inductance is not computed: {row.reason}",
                "The shapes for which a formula holds",
                "Split it into such shapes, or measure its inductance",
            )
        elif row.reason:
            yield Finding("note", f"leads.{row.name}", row.reason, "", "Enter what is missing for its resistance")
    rows = (
        ("inductance", found.inductance, loop.inductance),
        ("resistance", found.resistance, loop.resistance),
    )
    for key, sum_of_leads, entered in rows:
        if sum_of_leads > _ALLOWANCE * entered:
            yield Finding(
                "warning",
                f"loop.{key}",
                f"the leads alone have {show(key, sum_of_leads)}, more than the {show(key, entered)} entered for the "
                "whole loop",
                f"At least the {key} of the leads, lamps and capacitors with it",
                f"Correct the leads or loop.{key}",
            )
    if not any(row.inductance is not None for row in found.rows):
        return
    yield Finding(
        "note",
        "loop.inductance",
        f"the leads listed make {show('inductance', found.inductance)} of the "
        f"{show('inductance', loop.inductance)} entered ({100 * found.inductance / loop.inductance:.0f} %) and "
        f"{show('resistance', found.resistance)} of {show('resistance', loop.resistance)}, at "
        f"{show('frequency', found.frequency)}, the frequency of this pulse",
        "The entered values are computed with; lamps, capacitors and joints make up the rest",
        "Measure the ringing of the loop with the lamps shorted",
    )
