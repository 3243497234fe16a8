"""Stage trigger: what starts the discharge, when, at which voltage and fill, and what it adds to the loop."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from pulsewright.engine.inputs import Inputs

#: Outcomes of the stage.
FIRES, FIRES_EARLY, DOES_NOT_FIRE = "fires", "fires early", "does not fire"


class Prepulse(NamedTuple):
    """A small bank that fires into the lamps first; `delay` from it to the main pulse."""

    capacitance: float
    voltage: float
    inductance: float
    delay: float


@dataclass(frozen=True, slots=True)
class TriggerStage:
    """How one shot starts.

    `firing_voltage` the voltage of the bank when it fires [V]; `delay` from the command, for pressure drop from the
    start of pumping, to the current, `jitter` its standard deviation, `rise_time` of the current, each in s or None
    where it is not known; `fill_pressure` of each lamp when it fires [Pa]; `inductance` [H], `resistance` [ohm] and
    `drop` [V] are what the method adds to the loop.
    """

    method: str
    outcome: str
    words: str
    next_step: str
    firing_voltage: float
    delay: float | None
    jitter: float | None
    rise_time: float | None
    fill_pressure: Mapping[str, float]
    channel_radius: float
    channel_temperature: float
    inductance: float = 0.0
    resistance: float = 0.0
    drop: float = 0.0
    prepulse: Prepulse | None = None
    simmer_current: float | None = None

    @property
    def fires(self) -> bool:
        """Whether a current flows at all."""
        return self.outcome != DOES_NOT_FIRE

    @property
    def circuit(self) -> Hashable:
        """What the discharge reads of it."""
        return (
            self.fires,
            self.firing_voltage,
            tuple(self.fill_pressure.items()),
            self.channel_radius,
            self.channel_temperature,
            self.inductance,
            self.resistance,
            self.drop,
            self.prepulse,
            self.simmer_current,
        )


def trigger_stage(inputs: Inputs) -> TriggerStage:
    """How the discharge of one shot starts."""
    machine = inputs.machine
    trigger = machine.trigger
    return TriggerStage(
        method=trigger.method,
        outcome=FIRES,
        words=f"the {trigger.method} closes the loop",
        next_step="",
        firing_voltage=inputs.charge_voltage,
        delay=None,
        jitter=None,
        rise_time=None,
        fill_pressure={name: lamp.fill_pressure for name, lamp in machine.lamps.items()},
        channel_radius=trigger.channel_radius,
        channel_temperature=trigger.channel_temperature,
    )
