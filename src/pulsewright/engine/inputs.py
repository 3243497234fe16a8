"""What one shot is computed from: a machine, reference coefficients, a charge voltage."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

from pulsewright import machine as machines
from pulsewright.engine.coefficients import NINETY, Coefficient, coefficients
from pulsewright.machine.parts import Machine
from pulsewright.machine.schema import address

#: Default resolution of a shot.
SHELLS = 8
BINS = 60


@dataclass(frozen=True, slots=True, eq=False)
class Inputs:
    """Everything a shot depends on. `reference`: path -> value, SI."""

    build: machines.Build
    reference: Mapping[str, float]
    charge_voltage: float
    shells: int = SHELLS
    bins: int = BINS
    tolerance: float = 1e-3

    @property
    def machine(self) -> Machine:
        """Typed records of the build."""
        return self.build.machine

    def coefficient(self, name: str) -> float:
        """Value of `reference.name`."""
        return self.reference[f"reference.{name}"]

    def varied(self, path: str, value: float) -> Inputs:
        """The same with one entry or coefficient changed."""
        if path in self.reference:
            return replace(self, reference={**self.reference, path: value})
        if path == "bank.charge_voltage":
            return replace(self, charge_voltage=value)
        return replace(self, build=self.build.replace(path, value))


@dataclass(frozen=True, slots=True)
class Uncertain:
    """One uncertain input: value and one standard deviation down and up."""

    path: str
    value: float
    down: float
    up: float


def inputs_of(build: machines.Build, charge_voltage: float | None = None, **resolution: Any) -> Inputs:
    """Bind a build to the reference data. Charge voltage defaults to the build's, in V."""
    voltage = build.machine.bank.charge_voltage if charge_voltage is None else charge_voltage
    reference = {path: item.value for path, item in coefficients(build.machine).items()}
    return Inputs(build, reference, voltage, **resolution)


def uncertain_inputs(inputs: Inputs) -> tuple[Uncertain, ...]:
    """Every input with a stated spread: entries of the build file, then reference coefficients.

    A spread that would leave the physical range (a negative resistance, a reflectivity above one) is cut there.
    """
    found = []
    for path, entry in inputs.build.entries.items():
        spread = getattr(entry, "spread", None)
        if spread and isinstance(entry.value, float):
            found.append(_entry(path, entry.value, spread / NINETY))
    for path, item in coefficients(inputs.machine).items():
        found.append(_coefficient(path, item))
    return tuple(item for item in found if item.down > 0 or item.up > 0)


#: Keys whose value cannot pass one, beside those that declare a highest value.
_FRACTIONS = ("reflectivity", "transmission", "opening_fraction", "loss_per_pass")


def _entry(path: str, value: float, deviation: float) -> Uncertain:
    up = min(deviation, 0.999 * (_highest(path) - value))
    return Uncertain(path, value, min(deviation, 0.9 * value), max(up, 0.0))


@cache
def _highest(path: str) -> float:
    """Highest value that an entry may have."""
    found = address(path)
    ends = [] if found is None else [end for end in (found.field.most, found.field.below) if end is not None]
    if path.rsplit(".", 1)[-1] in _FRACTIONS:
        ends.append(1.0)
    return min(ends, default=math.inf)


def _coefficient(path: str, item: Coefficient) -> Uncertain:
    down, up = item.deviations
    if path.endswith(("quantum_yield", "triplet_yield")):
        up = min(up, max(0.999 - item.value, 0.0))
    return Uncertain(path, item.value, min(down, 0.9 * item.value), up)
