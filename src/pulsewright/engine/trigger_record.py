"""What the trigger stage hands on: how one shot starts."""

from __future__ import annotations

from collections.abc import Hashable, Mapping
from dataclasses import dataclass
from typing import NamedTuple

from pulsewright.errors import Finding
from pulsewright.physics.pulsed_power.pressure_drop import Firing

#: Outcomes of the stage.
FIRES, FIRES_EARLY, DOES_NOT_FIRE = "fires", "fires early", "does not fire"


class Range(NamedTuple):
    """A value with its 90 % interval, SI."""

    value: float
    low: float
    high: float


class Prepulse(NamedTuple):
    """A small bank that fires into the lamps first; `delay` from it to the main pulse."""

    capacitance: float
    voltage: float
    inductance: float
    delay: float


@dataclass(frozen=True, slots=True)
class PressureDrop:
    """A shot by pressure drop in full.

    `firing` what happens and the chances of each failure; `rest_pressure` at which pumping ends, leak counted [Pa];
    `time_constant` of the pump [s]; `curve_words` what the breakdown curve rests on, `curve_spread` its 90 %
    half-width in ln V; `repeat_period` shortest, charge, pump and fill [s], None where a part of it is not given.
    """

    firing: Firing
    rest_pressure: float
    time_constant: float
    curve_words: str
    curve_spread: float
    repeat_period: float | None


@dataclass(frozen=True, slots=True)
class TriggerStage:
    """How one shot starts.

    `firing_voltage` the voltage of the bank when it fires [V]; `delay` from the command, for pressure drop from the
    start of pumping, to the current, `jitter` its standard deviation, `rise_time` of the current, each in s or None
    where it is not known; `fill_pressure` of each lamp when it fires [Pa]; `inductance` [H], `resistance` [ohm] and
    `drop` [V] are what the method adds to the loop; `hold_off` the voltage that the lamps hold off by themselves [V];
    `source` what delay and jitter rest on.
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
    delay_range: tuple[float, float] | None = None
    jitter_range: tuple[float, float] | None = None
    hold_off: Range | None = None
    pressure_drop: PressureDrop | None = None
    findings: tuple[Finding, ...] = ()
    source: str = ""

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
