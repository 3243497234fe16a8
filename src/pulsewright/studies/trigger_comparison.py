"""Every way to start the discharge, held against one head: a table to choose from."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import asdict, dataclass
from typing import Any

from pulsewright import machine as machines
from pulsewright.engine.inputs import inputs_of
from pulsewright.engine.lamp_breakdown import lamp_curve
from pulsewright.engine.trigger import FIRES, METHODS, Head, TriggerStage
from pulsewright.quantities import show
from pulsewright.studies import trigger_words
from pulsewright.studies.trigger_words import WORDS

#: Peak current up to which thyratrons of a laboratory go: one type 1.0 kA (data sheet), large ones some 10 kA (memory).
THYRATRON_CURRENT = 10e3
#: Part of the undamped peak V sqrt(C / L) that a well damped loop reaches (alpha 0.8: 0.4956, computed).
DAMPED_PEAK = 0.5
#: An added inductance that makes the rise longer than this many times suits the head no longer; ours.
MUCH_SLOWER = 1.5
#: Pressure drop suits a head that fires within this factor of the fill it was meant for; ours.
NEAR_FILL = 2.0
CAUTION = (
    "Every one of these sets off a bank that kills. Whatever the table says, treat the bank as able to fire at any "
    "moment from the first volt until it is dumped, measured, shorted and grounded. Local codes and licensed practice "
    "decide."
)


@dataclass(frozen=True, slots=True)
class TriggerRow:
    """One method. Delays and jitters in s with their 90 % ends, None where it fires at no chosen moment."""

    method: str
    chosen: bool
    suits: bool
    words: str
    delay: float | None
    delay_low: float | None
    delay_high: float | None
    jitter: float | None
    jitter_low: float | None
    jitter_high: float | None
    rise_time: float | None
    adds: str
    parts: str
    upkeep: str
    hazards: str
    source: str


@dataclass(frozen=True, slots=True)
class TriggerComparison:
    """The table for one head at one charge voltage [V], the method of its build file first."""

    bench: str
    charge_voltage: float
    rows: tuple[TriggerRow, ...]
    caution: str = CAUTION

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {
            "bench": self.bench,
            "charge_voltage": self.charge_voltage,
            "rows": [asdict(row) for row in self.rows],
            "caution": self.caution,
        }


def compare_triggers(build: machines.Build, charge_voltage: float | None = None) -> TriggerComparison:
    """Compare every way to start the discharge of a build.

    Parameters
    ----------
    build : Build
        With every layer applied.
    charge_voltage : float, optional
        Defaults to the build's. [V]

    Returns
    -------
    comparison : TriggerComparison
        One row a method, the chosen one first. Figures that the build does not give are usual ones, and say so.
    """
    head = Head(inputs_of(build, charge_voltage))
    chosen = build.machine.trigger.method
    order = sorted(METHODS, key=lambda method: method != chosen)
    return TriggerComparison(build.name, head.voltage, tuple(_row(head, method) for method in order))


def _row(head: Head, method: str) -> TriggerRow:
    stage = METHODS[method](head)
    against = [*_against(stage), *_OWN.get(method, _nothing)(head, stage)]
    told = stage.words if stage.outcome == FIRES else f"{stage.outcome}: {stage.words}. {stage.next_step}"
    words = WORDS[method]
    return TriggerRow(
        method=method,
        chosen=method == head.machine.trigger.method,
        suits=stage.outcome == FIRES and not against,
        words="; ".join([told, *against, *_beside(head, stage)]),
        delay=stage.delay,
        delay_low=stage.delay_range[0] if stage.delay_range else None,
        delay_high=stage.delay_range[1] if stage.delay_range else None,
        jitter=stage.jitter,
        jitter_low=stage.jitter_range[0] if stage.jitter_range else None,
        jitter_high=stage.jitter_range[1] if stage.jitter_range else None,
        rise_time=stage.rise_time,
        adds=words.adds,
        parts=words.parts,
        upkeep=words.upkeep,
        hazards=words.hazards,
        source=stage.source,
    )


def _against(stage: TriggerStage) -> list[str]:
    """What the model of a method without a switch warns of on this head."""
    if stage.method not in ("external wire", "series injection"):
        return []
    return [finding.message for finding in stage.findings if finding.grade == "warning"]


def _nothing(_head: Head, _stage: TriggerStage) -> list[str]:
    return []


def _thyratron(head: Head, _stage: TriggerStage) -> list[str]:
    loop, capacitance = head.machine.loop, head.machine.bank.capacitance
    peak = DAMPED_PEAK * head.voltage * math.sqrt(capacitance / loop.inductance)
    if loop.network == "single mesh" and peak > THYRATRON_CURRENT:
        return [f"about {show('peak_current', peak)} is more than thyratrons carry (1 to 10 kA)"]
    return []


def _injection(head: Head, stage: TriggerStage) -> list[str]:
    bare = head.rise_time(0.0)
    slower = head.rise_time(stage.inductance)
    if slower > MUCH_SLOWER * bare:
        return [f"its inductance slows the rise from {show('rise_time', bare)} to {show('rise_time', slower)}"]
    return []


def _pumped(head: Head, stage: TriggerStage) -> list[str]:
    """Where a head that was not made for it would fire."""
    if stage.pressure_drop is not None:
        return []
    at = lamp_curve(head.machine).right_pressure(head.voltage)
    if at is None:
        return ["its voltage is below the lowest breakdown voltage of the lamps"]
    fill = min(head.fills.values())
    if fill / NEAR_FILL < at < fill * NEAR_FILL:
        return []
    where = f"by the law of a uniform gap these lamps fire at {show('fill_pressure', at)}"
    return [f"{where}, not at their fill of {show('fill_pressure', fill)}: another lamp, another pulse"]


#: Method -> what stands against it on a head, beyond its own model.
_OWN: dict[str, Callable[[Head, TriggerStage], list[str]]] = {
    "thyratron": _thyratron,
    "series injection": _injection,
    "pressure drop": _pumped,
}


def _beside(head: Head, stage: TriggerStage) -> list[str]:
    """What the table says besides, that neither suits nor does not."""
    found = []
    if stage.method in trigger_words.NEED_SWITCH and head.machine.switch.kind == "none":
        found.append("it needs a main switch, which this head has not")
    if stage.pressure_drop is not None and stage.pressure_drop.repeat_period is not None:
        found.append(f"shot to shot {show('repeat_period', stage.pressure_drop.repeat_period)} at the least")
    return found
