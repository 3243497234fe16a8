"""Stresses of what holds the bank off until the shot: the gap below its self-break, or the lamps themselves."""

from __future__ import annotations

import math
from collections.abc import Iterator

from pulsewright.engine.coefficients import NINETY
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.margin_row import Stress
from pulsewright.engine.trigger_methods import SELF_BREAK_SPREAD
from pulsewright.engine.trigger_record import Range, TriggerStage
from pulsewright.quantities import show

#: Methods that trigger a gap which holds the bank off by itself.
_TRIGGERED = ("triggered spark gap", "simmer", "pre-pulse")


def trigger_stresses(inputs: Inputs, trigger: TriggerStage) -> Iterator[Stress]:
    """What holds the charge voltage off, each row the same for every voltage of a build."""
    machine = inputs.machine
    breaks = machine.trigger.self_break_voltage
    gap = machine.switch.kind == "triggered spark gap" and trigger.method in _TRIGGERED
    if gap and breaks is not None:
        yield Stress(
            "switch",
            "voltage on the gap before it is triggered",
            inputs.charge_voltage,
            "voltage",
            breaks,
            NINETY * SELF_BREAK_SPREAD.value,
            "trigger.self_break_voltage, scattering by 3 % (common practice, no source)",
            "a wider gap, more pressure in it, a lower charge voltage",
        )
    stands = trigger.method == "pressure drop" or (
        trigger.method in ("external wire", "series injection") and machine.switch.kind == "none"
    )
    if stands and trigger.hold_off is not None:
        yield Stress(
            "lamps",
            "voltage that stands on them while charging",
            inputs.charge_voltage,
            "voltage",
            trigger.hold_off.value,
            _half_width(trigger.hold_off),
            f"breakdown of the lamps, {show('voltage', trigger.hold_off.low)} to "
            f"{show('voltage', trigger.hold_off.high)}: Paschen's law, moved to measured pairs where there are any",
            "a lower charge voltage, more pressure in the lamps while charging, a switch in the loop",
        )


def _half_width(held: Range) -> float:
    """Relative half-width of a log-normal range, its wider side counted."""
    widest = max(math.log(held.value / held.low), math.log(held.high / held.value))
    return math.sinh(min(widest, 10.0))
