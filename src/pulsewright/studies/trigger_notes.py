"""What a shot says of its trigger: the outcome where it does not fire as meant, and findings with their remedies."""

from __future__ import annotations

import math
from collections.abc import Iterator, Sequence

from pulsewright.engine.chain import Stages
from pulsewright.engine.trigger import DOES_NOT_FIRE, FIRES_EARLY, TriggerStage
from pulsewright.errors import Finding
from pulsewright.quantities import show
from pulsewright.records import Value


def trigger_outcome(stages: Stages) -> tuple[str, str] | None:
    """Outcome and reason of a shot that does not fire as meant; None where it does."""
    trigger = stages.trigger
    if trigger.outcome not in (DOES_NOT_FIRE, FIRES_EARLY):
        return None
    reason = f"{trigger.words}. {trigger.next_step}"
    if trigger.outcome == FIRES_EARLY:
        reason += f". What follows is the shot at {show('charge_voltage', trigger.firing_voltage)}"
    return trigger.outcome, reason


def trigger_findings(stages: Stages) -> Iterator[Finding]:
    """A limit where it does not fire as meant; what the model of its method has to say."""
    trigger = stages.trigger
    if trigger.outcome in (DOES_NOT_FIRE, FIRES_EARLY):
        allowed = "A shot fires at the charge voltage, when it is asked to"
        yield Finding("limit", "trigger.method", trigger.words, allowed, trigger.next_step)
    yield from trigger.findings
    yield from _shape(stages, trigger)
    yield from _several(stages, trigger)


def mistimed_findings(runs: Sequence[Stages]) -> Iterator[Finding]:
    """The charge voltages of an envelope at which it does not fire as meant, once for each outcome."""
    for outcome in (DOES_NOT_FIRE, FIRES_EARLY):
        found = [stages for stages in runs if stages.trigger.outcome == outcome]
        if not found:
            continue
        ends = [show("charge_voltage", stages.inputs.charge_voltage) for stages in (found[0], found[-1])]
        at = f"at {ends[0]}" if len(found) == 1 else f"between {ends[0]} and {ends[1]}"
        first = found[0].trigger
        yield Finding(
            "warning",
            "trigger.method",
            f"{at}, in {len(found)} of {len(runs)} voltages, it {outcome}; at the first of them {first.words}",
            "A shot fires at the charge voltage, when it is asked to",
            first.next_step,
        )


def _shape(stages: Stages, trigger: TriggerStage) -> Iterator[Finding]:
    """A mixed fill, whose breakdown is taken as that of its main gas; fills that differ from lamp to lamp."""
    if trigger.method in ("ideal", "simmer"):
        return
    lamps = stages.inputs.machine.lamps
    first, *others = lamps
    unlike = [name for name in others if lamps[name].gas != lamps[first].gas]
    if unlike:
        yield Finding(
            "warning",
            f"lamps.{unlike[0]}.gas",
            f"breakdown of all lamps is computed as that of {lamps[first].gas}, which lamp {first} holds; lamp "
            f"{unlike[0]} holds {lamps[unlike[0]].gas}",
            "One gas in all lamps that one voltage breaks down",
            "Measure the breakdown voltage of the head and enter [breakdowns.<id>]",
        )
    for name, lamp in lamps.items():
        if lamp.second_gas is not None:
            yield Finding(
                "note",
                f"lamps.{name}.second_gas",
                f"breakdown is computed as that of {lamp.gas} alone; a little of another gas can lower it much",
                "",
                "Measure the breakdown voltage of the head",
            )


def _several(stages: Stages, trigger: TriggerStage) -> Iterator[Finding]:
    """Loops with a switch each, which do not close at one moment."""
    machine = stages.inputs.machine
    if machine.loop.lamps_connected != "separate loops" or len(machine.lamps) < 2:
        return
    apart = "" if trigger.jitter is None else f" by some {show('trigger_jitter', trigger.jitter * math.sqrt(2.0))}"
    yield Finding(
        "note",
        "loop.lamps_connected",
        f"every loop has its own switch, and they close apart{apart} from shot to shot; here they close as the build "
        "file says",
        "",
        "Read the light of the lamps together as the sharpest they can give",
    )
    if trigger.prepulse is not None:
        yield Finding(
            "note",
            "trigger.method",
            "the pre-pulse is computed through all lamps in series, with the switch losses of the main loop",
            "",
            "Enter the pre-pulse bank as it stands across all lamps together",
        )


def trigger_summary(stages: Stages) -> dict[str, Value]:
    """Voltage and pressure at which it fires, its delay and jitter."""
    trigger = stages.trigger
    none = "" if trigger.fires else "it does not fire"
    return {
        "firing_voltage": Value(trigger.firing_voltage if trigger.fires else None, "V", reason=none),
        "firing_pressure": Value(max(trigger.fill_pressure.values()) if trigger.fires else None, "Pa", reason=none),
        "trigger_delay": _timed(trigger.delay, trigger.delay_range, none),
        "trigger_jitter": _timed(trigger.jitter, trigger.jitter_range, none),
    }


def _timed(value: float | None, ends: tuple[float, float] | None, none: str) -> Value:
    if value is None or ends is None:
        return Value(None, "s", reason=none or "it fires at no chosen moment, or the build file does not say enough")
    return Value(value, "s", *ends)
