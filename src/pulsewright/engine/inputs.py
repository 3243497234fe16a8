"""What one shot is computed from: a machine, reference coefficients, a charge voltage."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cache
from typing import Any, Protocol

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr, ndtri

from pulsewright import machine as machines
from pulsewright.engine.coefficients import Coefficient, coefficients
from pulsewright.engine.dye_of import own_coefficient
from pulsewright.machine.parts import Machine
from pulsewright.machine.schema import address
from pulsewright.machine.values import Entry

Floats = NDArray[np.float64]

#: Default resolution of a shot.
SHELLS = 8
BINS = 60


class TableSource(Protocol):
    """Gives plasma tables without solving the plasma, or None."""

    def tables(self, asked: Any) -> Any:
        """Tables of one lamp, for what `engine.lamp_plasma.Asked` says."""


@dataclass(frozen=True, slots=True, eq=False)
class Inputs:
    """Everything a shot depends on. `reference`: path -> value, SI. `tables`: where plasmas need not be solved anew.

    `traced_for`: the machine whose chamber the rays are traced in, when it is not the one computed: its map is then
    moved by the closed form, so that studies which vary an entry never trace anew. `quick`: the closed form, whatever
    the build says.
    """

    build: machines.Build
    reference: Mapping[str, float]
    charge_voltage: float
    shells: int = SHELLS
    bins: int = BINS
    tolerance: float = 1e-3
    tables: TableSource | None = None
    traced_for: Machine | None = None
    quick: bool = False

    @property
    def machine(self) -> Machine:
        """Typed records of the build."""
        return self.build.machine

    def coefficient(self, name: str) -> float:
        """Value of `reference.name`, or of the entry of the user's own dye that gives it."""
        found = self.reference.get(f"reference.{name}")
        return own_coefficient(self.machine, name) if found is None else found

    def varied(self, path: str, value: float) -> Inputs:
        """The same with one entry or coefficient changed."""
        return self.changed({path: value})

    def changed(self, values: Mapping[str, float]) -> Inputs:
        """The same with several entries or coefficients changed."""
        reference = {path: value for path, value in values.items() if path in self.reference}
        entries = {path: value for path, value in values.items() if path not in reference}
        voltage = entries.pop("bank.charge_voltage", self.charge_voltage)
        return replace(
            self,
            build=self.build.replace_all(entries) if entries else self.build,
            reference={**self.reference, **reference} if reference else self.reference,
            charge_voltage=voltage,
            traced_for=(self.traced_for or self.machine) if entries else self.traced_for,
        )


@dataclass(frozen=True, slots=True)
class Uncertain:
    """One uncertain input: value, one standard deviation down and up, and its spread between `least` and `most`.

    `distribution`: `normal`, `uniform` or `log-normal`; of each the value is the median, and the halves below and above
    it may differ in width.
    """

    path: str
    value: float
    down: float
    up: float
    distribution: str = "normal"
    least: float = -math.inf
    most: float = math.inf

    def quantile(self, probability: Floats) -> Floats:
        """Values below which these parts of all cases lie; what would pass `least` or `most` is drawn inside them."""
        value, down, up = self.value, self.down, self.up
        if self.distribution == "uniform":
            low, high = max(value - math.sqrt(3) * down, self.least), min(value + math.sqrt(3) * up, self.most)
            return np.asarray(low + probability * (high - low))
        if self.distribution == "log-normal":
            down, up = -math.log1p(-down / value), math.log1p(up / value)
            ends = [math.log(end / value) if end > 0 else -math.inf for end in (self.least, self.most)]
        else:
            ends = [self.least - value, self.most - value]
        first, last = (_share_below(end, down, up) for end in ends)
        deviate = ndtri(first + probability * (last - first))
        moved = deviate * np.where(deviate < 0, down, up)
        return np.asarray(value * np.exp(moved) if self.distribution == "log-normal" else value + moved)


def _share_below(end: float, down: float, up: float) -> float:
    """Part of a distribution of two half normals about zero that lies below an end."""
    width = down if end < 0 else up
    return float(ndtr(end / width)) if width > 0 else float(end >= 0)


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
        if entry.spread and isinstance(entry.value, float):
            value = inputs.charge_voltage if path == "bank.charge_voltage" else entry.value
            found.append(_entry(path, entry, value))
    for path, item in coefficients(inputs.machine).items():
        found.append(_coefficient(path, item))
    return tuple(item for item in found if item.down > 0 or item.up > 0)


#: Keys whose value cannot pass one, beside those that declare a highest value.
_FRACTIONS = ("reflectivity", "transmission", "opening_fraction", "loss_per_pass")
#: What must be above zero is never drawn below this part of its value.
_LEAST_PART = 0.05


def _entry(path: str, entry: Entry, value: float) -> Uncertain:
    deviation = entry.standard_deviation or 0.0
    least, most = _ends(path, value)
    down = deviation if least == -math.inf else min(deviation, 0.9 * value)
    up = max(min(deviation, most - value), 0.0)
    return Uncertain(path, value, down, up, entry.distribution, least, most)


def _ends(path: str, value: float) -> tuple[float, float]:
    """Lowest and highest value drawn for an entry: just inside of what it may have."""
    found = address(path)
    most = value + 0.999 * (_highest(path) - value)
    if found is not None and found.field.signed:
        return -math.inf, most
    return (0.0 if found is not None and found.field.zero else _LEAST_PART * value), most


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
    most = math.inf
    if path.endswith(("quantum_yield", "triplet_yield")):
        most = max(0.999, item.value)
        up = min(up, most - item.value)
    least = _LEAST_PART * item.value if item.value > 0 and item.distribution == "normal" else -math.inf
    if item.value > 0:
        down = min(down, 0.9 * item.value)
    return Uncertain(path, item.value, down, up, item.distribution, least, most)
