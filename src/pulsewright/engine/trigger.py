"""Stage trigger: what starts the discharge, when, at which voltage and fill, and what it adds to the loop."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from pulsewright.engine.inputs import Inputs
from pulsewright.engine.trigger_head import Head
from pulsewright.engine.trigger_methods import METHODS as _METHODS
from pulsewright.engine.trigger_pressure import pressure_drop
from pulsewright.engine.trigger_record import (
    DOES_NOT_FIRE,
    FIRES,
    FIRES_EARLY,
    Prepulse,
    PressureDrop,
    Range,
    TriggerStage,
)

__all__ = [
    "DOES_NOT_FIRE",
    "FIRES",
    "FIRES_EARLY",
    "METHODS",
    "Head",
    "Prepulse",
    "PressureDrop",
    "Range",
    "TriggerStage",
    "trigger_stage",
]

#: Method, in the spelling of the build file -> its model.
METHODS: Mapping[str, Callable[[Head], TriggerStage]] = {**_METHODS, "pressure drop": pressure_drop}


def trigger_stage(inputs: Inputs) -> TriggerStage:
    """How the discharge of one shot starts."""
    return METHODS[inputs.machine.trigger.method](Head(inputs))
