"""Pump-down of a head that is triggered by a pressure drop: pressure and voltage against the breakdown curve."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pulsewright.engine.inputs import inputs_of
from pulsewright.engine.trigger import Head, PressureDrop, TriggerStage, trigger_stage
from pulsewright.engine.trigger_pressure import FAILURES, METHOD, System, system
from pulsewright.errors import BuildError, Finding
from pulsewright.machine import Build
from pulsewright.physics.pulsed_power.breakdown_curve import BreakdownCurve

Float = NDArray[np.float64]

POINTS = 241
#: The timeline goes this far beyond the instant at which it fires; where it never fires, this many time constants of
#: the pump.
BEYOND, CONSTANTS = 1.25, 8.0
#: Chances below this are not told apart from none.
LEAST_CHANCE = 1e-4
CAUTION = (
    "From the first volt on the lamps can break down at any moment: a leak, a faster pump or light on the electrodes "
    "is enough. A system that repeats by itself fires without a human decision."
)


@dataclass(frozen=True, slots=True)
class Failure:
    """One way in which it goes wrong, the chance of it in one shot, and what helps."""

    words: str
    chance: float
    next_step: str


@dataclass(frozen=True, slots=True, eq=False)
class PumpDown:
    """A shot by pressure drop against time, and its breakdown curve.

    `time` from the start of charging [s]; along it `pressure` in the lamps [Pa], the `voltage` that stands on them and
    the `breakdown_voltage` at that pressure [V], nan where there is none. `curve_voltage` over `curve_pressure`, with
    its 90 % range; `measured` pairs of pressure and voltage. `fires_at` on the same time, it and the firing voltage and
    pressure None where it does not fire.
    `jitter_parts` by cause [s].
    """

    bench: str
    time: Float
    pressure: Float
    voltage: Float
    breakdown_voltage: Float
    curve_pressure: Float
    curve_voltage: Float
    curve_low: Float
    curve_high: Float
    measured: tuple[tuple[float, float], ...]
    outcome: str
    words: str
    next_step: str
    fires_at: float | None
    firing_voltage: float | None
    firing_pressure: float | None
    delay: float | None
    jitter: float | None
    jitter_range: tuple[float, float] | None
    jitter_parts: Mapping[str, float]
    repeat_period: float | None
    curve_words: str
    failures: tuple[Failure, ...]
    caution: str = CAUTION

    def as_dict(self) -> dict[str, Any]:
        """For JSON; a value that does not exist is null there."""
        arrays = ("time", "pressure", "voltage", "breakdown_voltage", "curve_pressure", "curve_voltage")
        plain = ("outcome", "words", "next_step", "fires_at", "firing_voltage", "firing_pressure", "delay", "jitter")
        return {
            "kind": "pump-down",
            "bench": self.bench,
            **{name: _plain(getattr(self, name)) for name in (*arrays, "curve_low", "curve_high")},
            "measured": [list(pair) for pair in self.measured],
            **{name: getattr(self, name) for name in plain},
            "jitter_range": None if self.jitter_range is None else list(self.jitter_range),
            "jitter_parts": dict(self.jitter_parts),
            "repeat_period": self.repeat_period,
            "curve_words": self.curve_words,
            "failures": [
                {"words": row.words, "chance": row.chance, "next_step": row.next_step} for row in self.failures
            ],
            "caution": self.caution,
        }


def pump_down(build: Build, charge_voltage: float | None = None) -> PumpDown:
    """Pump-down of a build whose lamps are triggered by a pressure drop.

    Parameters
    ----------
    build : Build
        With every layer applied.
    charge_voltage : float, optional
        Defaults to the build's. [V]

    Raises
    ------
    BuildError
        If the build is triggered in another way, or does not say how it is pumped.
    """
    inputs = inputs_of(build, charge_voltage)
    head = Head(inputs)
    method = build.machine.trigger.method
    if method != METHOD:
        message = f"this head is started by {method}: nothing is pumped down"
        step = f'Set trigger.method to "{METHOD}" to see it pumped'
        raise BuildError(Finding("error", "trigger.method", message, f'Only "{METHOD}" is pumped down', step))
    found, stage = system(head), trigger_stage(inputs)
    if found is None or stage.pressure_drop is None:
        allowed = "start_pressure, stop_pressure, pump_speed and volume"
        raise BuildError(
            Finding("error", "trigger", "how the lamps are pumped is not in the file", allowed, "Enter these four")
        )
    return _told(build, found, stage, stage.pressure_drop)


def _told(build: Build, found: System, stage: TriggerStage, drop: PressureDrop) -> PumpDown:
    firing = drop.firing
    crossing = firing.crossing
    fires_at = crossing if firing.delay is None else firing.pump_start + firing.delay
    time, pressure, voltage = _timeline(found, firing.pump_start, fires_at)
    measured = tuple((row.breakdown_pressure, row.breakdown_voltage) for row in build.machine.breakdowns.values())
    along = _curve_pressures(found, measured)
    middle = _voltages(found.curve, along)
    factor = float(np.exp(found.curve.spread))
    return PumpDown(
        bench=build.name,
        time=time,
        pressure=pressure,
        voltage=voltage,
        breakdown_voltage=_voltages(found.curve, pressure),
        curve_pressure=along,
        curve_voltage=middle,
        curve_low=middle / factor,
        curve_high=middle * factor,
        measured=measured,
        outcome=stage.outcome,
        words=stage.words,
        next_step=stage.next_step,
        fires_at=fires_at,
        firing_voltage=firing.voltage if stage.fires else None,
        firing_pressure=firing.pressure if stage.fires else None,
        delay=firing.delay,
        jitter=firing.jitter,
        jitter_range=stage.jitter_range,
        jitter_parts=dict(firing.parts),
        repeat_period=drop.repeat_period,
        curve_words=found.curve.words,
        failures=tuple(_failures(firing.chances)),
    )


def _timeline(found: System, begin: float, fires_at: float | None) -> tuple[Float, Float, Float]:
    """Time, pressure and standing voltage, from the start of charging to a little beyond the firing."""
    constant = CONSTANTS * found.pumping.time_constant
    after = constant if fires_at is None else BEYOND * max(fires_at - begin, 0.0)
    full = found.charging.charge_time or 0.0
    time = np.linspace(0.0, max(full, begin + after, 1e-6), POINTS)
    pressure = np.array([found.pumping.pressure(max(t - begin, 0.0)) for t in time])
    voltage = np.array([found.charging.voltage(t) for t in time])
    return time, pressure, voltage


def _curve_pressures(found: System, measured: tuple[tuple[float, float], ...]) -> Float:
    """Pressures of the curve: from below its minimum to above where pumping begins, measured pairs inside."""
    low = min(
        0.3 * found.curve.lowest_pressure, *(0.8 * pressure for pressure, _ in measured), found.pumping.start_pressure
    )
    high = max(
        3.0 * found.curve.lowest_pressure, *(1.2 * pressure for pressure, _ in measured), found.pumping.start_pressure
    )
    return np.geomspace(low, high, POINTS)


def _voltages(curve: BreakdownCurve, pressures: Float) -> Float:
    found = np.array([curve.voltage(float(pressure)) for pressure in pressures])
    return np.where(np.isfinite(found), found, np.nan)


def _failures(chances: Mapping[str, float]) -> Iterator[Failure]:
    """Failures, most likely first."""
    for key, chance in sorted(chances.items(), key=lambda row: -row[1]):
        if key in FAILURES and chance >= LEAST_CHANCE:
            words, step = FAILURES[key]
            yield Failure(words, float(chance), step)


def _plain(values: Float) -> list[float | None]:
    return [float(value) if np.isfinite(value) else None for value in values]
