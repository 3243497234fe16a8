"""Numbers the chain takes from reference data rather than from the build file, with range and source.

Paths start with `reference.`; they can be varied like entries of the build file, which is how their ranges
reach the interval of a result.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from pulsewright import refdata
from pulsewright.machine.parts import Machine
from pulsewright.refdata.rows import Datum

#: Half-width of a 90 % interval in standard deviations of a normal distribution.
NINETY = 1.6448536269514722
#: Ranges wider than this factor are taken as log-normal: their middle is a matter of magnitude.
WIDE = 4.0


@dataclass(frozen=True, slots=True)
class Coefficient:
    """One number from reference data with its 90 % interval."""

    path: str
    value: float
    low: float
    high: float
    unit: str
    source: str

    @property
    def distribution(self) -> str:
        """`log-normal` where the range spans more than `WIDE`, else `normal`."""
        return "log-normal" if self.low > 0 and self.high > WIDE * self.low else "normal"

    @property
    def deviations(self) -> tuple[float, float]:
        """One standard deviation downwards and upwards."""
        if self.distribution == "log-normal":
            down = (self.low / self.value) ** (1 / NINETY)
            return self.value * (1 - down), self.value * ((self.high / self.value) ** (1 / NINETY) - 1)
        return (self.value - self.low) / NINETY, (self.high - self.value) / NINETY


#: Model choices that are numbers. Each is documented where the physics function takes it.
_CHOICES = (
    Datum(
        3.0, "-", 1.5, 4.0, "memory-m", "distance of closest approach in the Coulomb logarithm, thermal energy over kT"
    ),
    Datum(300.0, "K", 290.0, 310.0, "assumed", "gas temperature at which a lamp's fill pressure is quoted"),
)
_CHOICE_NAMES = ("plasma.range_factor", "plasma.fill_temperature")

_GAS = ("biberman_factor", "continuum_edge_energy", "momentum_transfer_cross_section")
_DYE = (
    "peak_molar_absorptivity",
    "quantum_yield",
    "lifetime",
    "excited_state_absorption",
    "triplet_absorption",
    "intersystem_crossing_rate",
    "triplet_lifetime",
    "oxygen_triplet_quenching",
    "oxygen_singlet_quenching",
    "oxygen_triplet_yield",
)


def coefficients(machine: Machine) -> Mapping[str, Coefficient]:
    """Every reference coefficient that the chain reads for this machine, by path."""
    return {item.path: item for item in _all(machine)}


def _all(machine: Machine) -> Iterator[Coefficient]:
    for name, datum in zip(_CHOICE_NAMES, _CHOICES, strict=True):
        yield _of(name, datum)
    for gas in sorted({lamp.gas for lamp in machine.lamps.values()}):
        for field in _GAS:
            yield _of(f"{gas}.{field}", getattr(refdata.gas(gas), field))
    dye = refdata.dye(machine.dye.name)
    for field in _DYE:
        yield _of(f"dye.{field}", getattr(dye, field))
    if dye.trapped_lifetime is not None:
        yield _of("dye.trapped_lifetime", dye.trapped_lifetime)
    yield _of("solvent.oxygen_mole_fraction", refdata.solvent(machine.dye.solvent).oxygen_mole_fraction)
    rate = refdata.quencher(machine.dye.quencher).triplet_quenching_rate
    if rate is not None:
        yield _of("quencher.triplet_quenching_rate", rate)


def _of(name: str, datum: Datum) -> Coefficient:
    low = datum.value if datum.low is None else datum.low
    high = datum.value if datum.high is None else datum.high
    return Coefficient(f"reference.{name}", datum.value, low, high, datum.unit, f"{datum.source} [{datum.tag}]")
