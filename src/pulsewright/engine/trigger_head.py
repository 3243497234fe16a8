"""What every way to start a discharge looks at, and how a stage is made, refused or brought forward."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace
from functools import cached_property
from typing import Any

from pulsewright.engine.inputs import Inputs
from pulsewright.engine.lamp_breakdown import hold_off, lamp_curve
from pulsewright.engine.trigger_record import DOES_NOT_FIRE, FIRES, FIRES_EARLY, Range, TriggerStage
from pulsewright.errors import Finding, Grade
from pulsewright.machine.parts import Machine
from pulsewright.quantities import show

#: Rise of an undamped current from 10 to 90 % of its peak, in sqrt(L C): asin 0.9 - asin 0.1.
RISE = math.asin(0.9) - math.asin(0.1)
#: Part of the bore that a channel left by the trigger may fill.
WIDEST = 0.9

#: Channel of a lamp in which nothing flows, cold enough to give no light worth the name. [K]
QUIET_TEMPERATURE = 7000.0
#: Methods in whose loop nothing but the lamps holds the voltage off; pressure drop lives on it and sees to it itself.
WITHOUT_SWITCH = ("external wire", "series injection")


@dataclass(frozen=True)
class Head:
    """What every method looks at: inputs of the shot, and the lamps' own breakdown."""

    inputs: Inputs

    @property
    def machine(self) -> Machine:
        """The build."""
        return self.inputs.machine

    @property
    def voltage(self) -> float:
        """Charge voltage, in V."""
        return self.inputs.charge_voltage

    @cached_property
    def hold_off(self) -> Range:
        """Standing voltage the lamps hold off, in V."""
        return hold_off(self.machine)

    @cached_property
    def least(self) -> float:
        """Lowest estimate of the voltage that breaks one lamp down, in V: in series they go one after the other."""
        return self.hold_off.low / lamp_curve(self.machine).lamps

    @property
    def fills(self) -> dict[str, float]:
        """Fill of each lamp, in Pa."""
        return {name: lamp.fill_pressure for name, lamp in self.machine.lamps.items()}

    @property
    def length(self) -> float:
        """Longest arc, in m."""
        return max(lamp.arc_length for lamp in self.machine.lamps.values())

    @property
    def narrowest(self) -> float:
        """Largest radius that a channel may have, in m."""
        return WIDEST * min(lamp.bore for lamp in self.machine.lamps.values()) / 2

    def stands(self, method: str) -> bool:
        """Whether the voltage of the bank stands on the lamps while it is charged."""
        chosen = method == self.machine.trigger.method
        return method in WITHOUT_SWITCH and not (chosen and self.machine.switch.kind != "none")

    def rise_time(self, added: float) -> float:
        """Rise of the current from 10 to 90 %, of the loop alone, in s; of several loops, that of the slowest."""
        loop, capacitance = self.machine.loop, self.machine.bank.capacitance
        inductance = loop.inductance
        if loop.network == "pulse-forming network" and loop.sections and loop.section_inductance:
            capacitance, inductance = capacitance / loop.sections, inductance + loop.section_inductance
        loops = [(inductance, capacitance)]
        if loop.lamps_connected == "separate loops":
            loops = [
                (own.inductance, own.capacitance)
                if own.capacitance is not None
                else (own.inductance + inductance, capacitance)
                for own in (self.machine.branches[name] for name in self.machine.lamps)
            ]
        return RISE * max(math.sqrt((henries + added) * farads) for henries, farads in loops)


def started(
    head: Head, method: str, words: str, delay: Range | None, jitter: Range | None, source: str, **more: Any
) -> TriggerStage:
    """A stage that fires as meant, unless the lamps do not let it: then what they do instead."""
    trigger = head.machine.trigger
    stage = TriggerStage(
        method=method,
        outcome=FIRES,
        words=words,
        next_step="",
        firing_voltage=head.voltage,
        delay=None if delay is None else delay.value,
        jitter=None if jitter is None else jitter.value,
        delay_range=None if delay is None else (delay.low, delay.high),
        jitter_range=None if jitter is None else (jitter.low, jitter.high),
        rise_time=head.rise_time(float(more.get("inductance", 0.0))),
        fill_pressure=head.fills,
        channel_radius=trigger.channel_radius,
        channel_temperature=trigger.channel_temperature,
        hold_off=head.hold_off,
        source=source,
    )
    return _held(head, replace(stage, **more))


def refused(stage: TriggerStage, words: str, next_step: str) -> TriggerStage:
    """The same, not firing."""
    return replace(
        stage, outcome=DOES_NOT_FIRE, words=words, next_step=next_step, delay=None, jitter=None, rise_time=None,
        delay_range=None, jitter_range=None, channel_temperature=min(stage.channel_temperature, QUIET_TEMPERATURE),
    )  # fmt: skip


def early(stage: TriggerStage, voltage: float, words: str, next_step: str, **more: Any) -> TriggerStage:
    """The same, firing at a lower voltage, while it is charged."""
    return replace(
        stage, outcome=FIRES_EARLY, words=words, next_step=next_step, firing_voltage=voltage, delay=None, jitter=None,
        delay_range=None, jitter_range=None, **more,
    )  # fmt: skip


def _held(head: Head, stage: TriggerStage) -> TriggerStage:
    """Lamps on which the bank stands must hold it off."""
    held = head.hold_off
    if not head.stands(stage.method):
        return stage
    if head.voltage >= held.value:
        return early(
            stage,
            held.value,
            f"the bank stands on the lamps, which break down at about {show('voltage', held.value)} "
            f"({show('voltage', held.low)} to {show('voltage', held.high)}), while it is charged",
            "Lower the charge voltage, raise the fill pressure, or put a switch into the loop",
        )
    if head.voltage >= held.low:
        return told(
            stage,
            "warning",
            "trigger.method",
            "the bank stands on the lamps, and it is not sure that they hold off "
            f"{show('charge_voltage', head.voltage)}: estimates of their breakdown run from "
            f"{show('voltage', held.low)} to {show('voltage', held.high)}",
            f"Below {show('voltage', held.low)}",
            "Measure the breakdown voltage of the head, or put a switch into the loop; stay out from the first volt",
        )
    return stage


def told(stage: TriggerStage, grade: Grade, path: str, message: str, allowed: str = "", step: str = "") -> TriggerStage:
    """The same with a finding more."""
    return replace(stage, findings=(*stage.findings, Finding(grade, path, message, allowed, step)))


def broken(head: Head, stage: TriggerStage, applied: float, what: str, path: str) -> TriggerStage:
    """The lamps must break down under what is applied to them."""
    if applied >= head.least:
        return stage
    return refused(
        stage,
        f"the lamps cannot break down: {what} of {show('voltage', applied)} is below the lowest estimate of the "
        f"breakdown voltage of one lamp, {show('voltage', head.least)}",
        f"Raise {path}, lower the fill pressure, or keep the lamps alight with simmer",
    )
