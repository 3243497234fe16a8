"""Ways to start a discharge, pressure drop apart: each a model with firing voltage, delay, jitter and what it adds.

Figures without a source say so; each has a range, which is what the comparison of methods shows.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping
from dataclasses import replace

from pulsewright import refdata
from pulsewright.engine.trigger_head import Head, broken, early, refused, started, told
from pulsewright.engine.trigger_record import Prepulse, Range, TriggerStage
from pulsewright.machine.parts import Lamp
from pulsewright.physics.lamp.plasma import heavy_density
from pulsewright.physics.pulsed_power.trigger_timing import (
    overvoltage_firing_voltage,
    overvoltage_jitter,
    prefire_probability,
    prepulse_channel_radius,
    streamer_time,
    triggered_gap_delay,
)
from pulsewright.quantities import show

#: Standard deviation of a self-break voltage over its mean: 0.03 (0.01 to 0.1); common practice, no source.
SELF_BREAK_SPREAD = Range(0.03, 0.01, 0.1)
#: Working voltage over self-break: below the first a triggered gap does not fire (0.2 to 0.5), below the second it
#: jitters (0.4 to 0.6); assumed where no self-break is given. Common practice, no source.
LEAST_FRACTION, GOOD_FRACTION, ASSUMED_FRACTION = 0.3, 0.5, 0.7
#: Jitter over delay of a triggered gap: a tenth for one trigatron (source), more at low overvoltage; no source.
GAP_JITTER = Range(0.15, 0.1, 0.5)
#: Statistical lag of a lit, used gap under overvoltage: 100 ns (10 ns to 1 us). No source; less than 1 ns is published
#: for a short gap overvolted by a pulse of 50 ns.
GAP_LAG = Range(100e-9, 10e-9, 1e-6)
#: Anode delay of a hydrogen thyratron, from memory; its jitter 1 to 5 ns, from memory.
THYRATRON_DELAY, THYRATRON_JITTER = Range(200e-9, 50e-9, 600e-9), Range(3e-9, 1e-9, 5e-9)
#: A stack of transistors; from memory.
HARD_DELAY, HARD_JITTER = Range(200e-9, 50e-9, 1e-6), Range(5e-9, 1e-9, 20e-9)
#: Jitter of an external wire 0.1 to 1 us, of series injection about 0.1 us (from memory).
WIRE_JITTER, INJECTION_JITTER = Range(0.3e-6, 0.1e-6, 1e-6), Range(0.1e-6, 0.03e-6, 0.3e-6)
#: From the pulse to breakdown, by series injection: rise of the transformer; from memory.
INJECTION_DELAY = Range(0.5e-6, 0.1e-6, 2e-6)
#: Saturated inductance taken in a comparison where none is given: 10 uH (2 to 50 uH), from memory.
ASSUMED_SATURATED = 10e-6
#: Fill below which streamers along the glass are not to be relied on: 100 torr (50 to 200); from memory.
STREAMER_PRESSURE = 13.3e3
#: Keep-alive current to which the channel radius of the build file belongs, and the current taken where none is given:
#: 10 to 100 mA is typical of small dye lasers (hobby page quoting papers); 30 mA to 6 A (Arya et al. 2000).
SIMMER_REFERENCE = 0.1
SIMMER_USUAL = (10e-3, 6.0)

# Switches -----------------------------------------------------------------------------------------


def triggered_spark_gap(head: Head) -> TriggerStage:
    """A gap with a third electrode, held below its self-break, onto cold lamps."""
    return _onto_cold_lamps(head, _triggered(head))


def overvoltage_gap(head: Head) -> TriggerStage:
    """A gap without a trigger, which fires when its voltage is high enough, onto cold lamps."""
    return _onto_cold_lamps(head, _overvolted(head))


def thyratron(head: Head) -> TriggerStage:
    """A hydrogen thyratron, onto cold lamps."""
    return _onto_cold_lamps(head, _thyratron(head))


def _onto_cold_lamps(head: Head, stage: TriggerStage) -> TriggerStage:
    """The voltage that the switch lets through must break the lamps down."""
    if not stage.fires:
        return stage
    return broken(head, stage, stage.firing_voltage, "the voltage", "bank.charge_voltage")


def _triggered(head: Head) -> TriggerStage:
    method, breaks = "triggered spark gap", head.machine.trigger.self_break_voltage
    fraction = ASSUMED_FRACTION if breaks is None else head.voltage / breaks
    middle = float(triggered_gap_delay(max(fraction, LEAST_FRACTION)))
    spread = 3.0 if breaks is not None else 6.0
    delay = Range(middle, middle / spread, middle * spread)
    jitter = Range(*(middle * part for part in GAP_JITTER))
    words = "its trigger pulse closes the gap"
    if breaks is None:
        words += f"; taken at {100 * ASSUMED_FRACTION:.0f} % of its self-break, which is not given"
    source = (
        "delay tens of ns at low overvoltage, from memory; its law, common practice, no source; "
        "a trigatron at megavolts 5.1 +- 0.5 ns (El'chaninov et al.)"
    )
    stage = started(head, method, words, delay, jitter, source)
    return stage if breaks is None else _gap_range(head, stage, breaks, fraction)


def _gap_range(head: Head, stage: TriggerStage, breaks: float, fraction: float) -> TriggerStage:
    """Where between too low and self-break the gap works."""
    at = f"{show('charge_voltage', head.voltage)} is {100 * fraction:.0f} % of its self-break"
    if fraction >= 1.0:
        return early(
            stage,
            breaks,
            f"the gap fires by itself at {show('voltage', breaks)} while the bank is charged, before it is triggered",
            "Widen the gap or raise its pressure, or lower the charge voltage",
        )
    if fraction < LEAST_FRACTION:
        return refused(
            stage,
            f"the gap does not fire when triggered: {at}, and it needs {100 * LEAST_FRACTION:.0f} % (20 to 50 %)",
            "Narrow the gap or lower its pressure, or raise the charge voltage",
        )
    chance = float(prefire_probability(head.voltage, breaks, SELF_BREAK_SPREAD.value))
    if chance > 0.01:
        message = (
            f"{at}: in {100 * chance:.0f} % of the charges it fires by itself (self-break taken to scatter by 3 %)"
        )
        stage = told(stage, "warning", "trigger.self_break_voltage", message, "Up to some 90 %", "Widen the gap")
    if fraction < GOOD_FRACTION:
        message = f"{at}: it fires late and with jitter, or not at all"
        step = "Narrow the gap, or lower its pressure"
        stage = told(stage, "warning", "trigger.self_break_voltage", message, "50 to 90 %", step)
        wide = Range(*(float(stage.delay or 0.0) * part for part in (0.5, 0.2, 1.0)))
        stage = replace(stage, jitter=wide.value, jitter_range=(wide.low, wide.high))
    return stage


def _overvolted(head: Head) -> TriggerStage:
    trigger, method = head.machine.trigger, "overvoltage gap"
    breaks, rise = trigger.self_break_voltage, trigger.gap_rise
    source = (
        "self-break scattering by 3 % (1 to 10 %) and lag of 100 ns (10 ns to 1 us): common practice, no source; a "
        "short gap overvolted by a pulse of 50 ns: below 1 ns (spark-channel abstract)"
    )
    if breaks is None:
        words = "the gap breaks down; its self-break is not given, so it is taken to fire at the charge voltage"
        return started(head, method, words, None, None, source)
    if head.voltage < breaks:
        return refused(
            started(head, method, "", None, None, source),
            f"the gap does not fire: {show('charge_voltage', head.voltage)} is below its self-break of "
            f"{show('voltage', breaks)}",
            "Raise the charge voltage, narrow the gap or lower its pressure",
        )
    return _by_self_break(head, breaks, rise, source)


def _by_self_break(head: Head, breaks: float, rise: float | None, source: str) -> TriggerStage:
    """Firing voltage, delay and jitter of a gap of known self-break, charged slowly or by a pulse."""
    method = "overvoltage gap"
    if rise is None:
        words = f"the gap fires by itself when the bank comes to {show('voltage', breaks)}"
        stage = started(head, method, words, None, None, source, firing_voltage=breaks)
        message = (
            "without gap_rise the gap is charged slowly: it fires when it breaks down, at no chosen moment, and its "
            "level drifts with wear"
        )
        step = "Give trigger.gap_rise if it is pulse-charged; else treat it as firing at any moment"
        stage = told(stage, "warning", "trigger.gap_rise", message, "", step)
        if head.voltage > breaks * (1 + 2 * SELF_BREAK_SPREAD.value):
            at = f"{show('voltage', breaks)}, below the {show('charge_voltage', head.voltage)} that was set"
            return early(
                stage, breaks, f"the gap fires while charging, at {at}", "Widen the gap or lower the set voltage"
            )
        return stage
    fires = min(float(overvoltage_firing_voltage(breaks, rise, GAP_LAG.value)), head.voltage)
    delay = Range(*(breaks / rise + lag for lag in GAP_LAG))
    jitter = Range(
        *(
            float(overvoltage_jitter(breaks, rise, spread, lag))
            for spread, lag in zip(SELF_BREAK_SPREAD, GAP_LAG, strict=True)
        )
    )
    words = f"pulse-charged, the gap fires at {show('voltage', fires)}"
    return started(head, method, words, delay, jitter, source, firing_voltage=fires)


def _thyratron(head: Head) -> TriggerStage:
    source = (
        "jitter 1 to 5 ns and anode delay, from memory; one type (CX1151 data sheet): 25 kV, 1.0 kA peak, 1.25 A mean, "
        "5 min warm-up"
    )
    words = "its grid pulse closes the thyratron"
    return started(head, "thyratron", words, THYRATRON_DELAY, THYRATRON_JITTER, source)


def ideal(head: Head) -> TriggerStage:
    """A switch that closes at once onto lamps already broken down."""
    nothing = Range(0.0, 0.0, 0.0)
    return started(head, "ideal", "the loop closes at once; lamps taken as broken down", nothing, nothing, "definition")


def main_switch(head: Head) -> TriggerStage:
    """Delay and jitter of the switch behind simmered or pre-pulsed lamps."""
    kind = head.machine.switch.kind
    if kind == "thyratron":
        return _thyratron(head)
    if kind == "hard switch":
        source = "delay and jitter of a stack of transistors, from memory"
        return started(head, "hard switch", "the stack closes", HARD_DELAY, HARD_JITTER, source)
    return _overvolted(head) if kind == "overvoltage gap" else _triggered(head)


# Through the lamps --------------------------------------------------------------------------------


def external_wire(head: Head) -> TriggerStage:
    """A high-voltage pulse on a wire round the envelope."""
    middle = float(streamer_time(head.length))
    stage = started(
        head,
        "external wire",
        "a streamer runs along the glass and bridges the lamp",
        Range(middle, middle / 2, 3 * middle),
        WIRE_JITTER,
        'streamers about 1 cm in 60 ns ("Flashtube", encyclopaedia, secondary); jitter 0.1 to 1 us, from memory',
    )
    stage = _wire_suits(head, stage)
    pulse = head.machine.trigger.pulse_voltage
    return stage if pulse is None else broken(head, stage, pulse, "a trigger pulse", "trigger.pulse_voltage")


def _wire_suits(head: Head, stage: TriggerStage) -> TriggerStage:
    coolant, lowest = head.machine.chamber.coolant, min(head.fills.values())
    if coolant != "none":
        stage = told(
            stage,
            "warning",
            "trigger.method",
            f"{coolant} round the lamps shields the gas from an external wire unless it hardly conducts",
            "Lamps cooled by air or by deionised liquid, watched",
            "Use series injection or a switch",
        )
    if lowest < STREAMER_PRESSURE:
        stage = told(
            stage,
            "warning",
            "trigger.method",
            f"at {show('fill_pressure', lowest)} streamers along the glass are not to be relied on",
            f"From about {show('fill_pressure', STREAMER_PRESSURE)} (50 to 200 torr, from memory)",
            "Use series injection or a switch",
        )
    return stage


def series_injection(head: Head) -> TriggerStage:
    """A transformer in the loop adds its pulse to the voltage of the bank, then saturates."""
    trigger = head.machine.trigger
    left = ASSUMED_SATURATED if trigger.saturated_inductance is None else trigger.saturated_inductance
    stage = started(
        head,
        "series injection",
        f"the transformer breaks the lamps down, then leaves {show('inductance', left)} in the loop",
        INJECTION_DELAY,
        INJECTION_JITTER,
        "jitter about 0.1 us and delay, from memory; its parts see the main current, often above 1500 A (secondary)",
        inductance=left,
    )
    pulse = trigger.pulse_voltage
    if pulse is None:
        return stage
    return broken(head, stage, pulse + head.voltage, "pulse and bank together", "trigger.pulse_voltage")


def simmer(head: Head) -> TriggerStage:
    """A keep-alive current holds the lamps conducting; a switch closes onto them."""
    trigger = head.machine.trigger
    switch = main_switch(head)
    current = SIMMER_REFERENCE if trigger.simmer_current is None else trigger.simmer_current
    radius = min(trigger.channel_radius * math.sqrt(current / SIMMER_REFERENCE), head.narrowest)
    stage = replace(
        switch,
        method="simmer",
        words=f"{show('simmer_current', current)} keep the lamps alight; the switch closes onto them",
        channel_radius=radius,
        simmer_current=current,
        source=f"10 to 100 mA typical (hobby page quoting papers); 30 mA to 6 A (Arya et al. 2000); {switch.source}",
    )
    stage = _filled_bore(head, stage)
    if not SIMMER_USUAL[0] <= current <= SIMMER_USUAL[1]:
        stage = told(
            stage,
            "warning",
            "trigger.simmer_current",
            f"a simmer of {show('simmer_current', current)} is outside what is published",
            "10 mA to 6 A",
            "Check the current",
        )
    return stage


def prepulse(head: Head) -> TriggerStage:
    """A small bank widens the channel; the main one follows."""
    trigger = head.machine.trigger
    switch = main_switch(head)
    small = (
        trigger.prepulse_capacitance,
        trigger.prepulse_voltage,
        trigger.prepulse_inductance,
        trigger.prepulse_delay,
    )
    source = f"fast systems and dye lasers named as users (secondary); {switch.source}"
    if None in small:
        return replace(switch, method="pre-pulse", words="a small bank fires first", source=source)
    record = Prepulse(*(float(value or 0.0) for value in small))
    stage = replace(
        switch,
        method="pre-pulse",
        words=f"{show('prepulse_capacitance', record.capacitance)} at {show('prepulse_voltage', record.voltage)} widen "
        "the channel first",
        channel_radius=min(_widened(head, record), head.narrowest),
        prepulse=record,
        delay=None if switch.delay is None else switch.delay + record.delay,
        delay_range=None
        if switch.delay_range is None
        else (switch.delay_range[0] + record.delay, switch.delay_range[1] + record.delay),
        source=source,
    )
    return broken(head, _filled_bore(head, stage), record.voltage, "a pre-pulse", "trigger.prepulse_voltage")


def _filled_bore(head: Head, stage: TriggerStage) -> TriggerStage:
    """What a channel kept or widened beforehand does is not in the laws of a filled bore."""
    law = head.machine.loop.lamp_law
    if law == "equilibrium plasma":
        return stage
    message = f"the {law} takes a filled bore: the lower lamp voltage that {stage.method} brings is not in it"
    step = 'Set loop.lamp_law = "equilibrium plasma"'
    return told(stage, "note", "loop.lamp_law", message, "The plasma starts in the channel that it leaves", step)


def _widened(head: Head, record: Prepulse) -> float:
    """Radius of the channel after the pre-pulse, in the lamp where it grows least, in m."""
    trigger = head.machine.trigger
    radii = [
        prepulse_channel_radius(
            trigger.channel_radius,
            record.capacitance,
            record.voltage,
            record.inductance,
            _mass_density(head, lamp),
            trigger.growth_factor,
        )
        for lamp in head.machine.lamps.values()
    ]
    return float(min(radii))


def _mass_density(head: Head, lamp: Lamp) -> float:
    """Mass per volume of the cold fill, in kg/m^3."""
    second = lamp.second_gas_fraction or 0.0 if lamp.second_gas else 0.0
    fills = [(lamp.gas, 1.0 - second), *([(lamp.second_gas, second)] if lamp.second_gas else [])]
    mass = sum(
        part * share * float(gas.atomic_mass) * (2 if gas.molecule else 1)
        for name, part in fills
        for gas, share in refdata.gas_parts(name)
    )
    return mass * heavy_density(lamp.fill_pressure, head.inputs.coefficient("plasma.fill_temperature"))


METHODS: Mapping[str, Callable[[Head], TriggerStage]] = {
    "triggered spark gap": triggered_spark_gap,
    "overvoltage gap": overvoltage_gap,
    "thyratron": thyratron,
    "ideal": ideal,
    "external wire": external_wire,
    "series injection": series_injection,
    "simmer": simmer,
    "pre-pulse": prepulse,
}
