"""Numbers the chain takes from reference data rather than from the build file, with range and source.

Paths start with `reference.`; they can be varied like entries of the build file, which is how their ranges
reach the interval of a result.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from pulsewright import refdata
from pulsewright.engine.circuit_coefficients import circuit_coefficients
from pulsewright.engine.dye_of import dye_of, given_by_entries
from pulsewright.engine.dye_state import dimer_constant
from pulsewright.engine.lamp_breakdown import breakdown_scale
from pulsewright.engine.liquid import oxygen_solubility
from pulsewright.machine.parts import Lamp, Machine
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
    Datum(
        1.0,
        "-",
        1.0 / 3.0,
        3.0,
        "memory-l",
        "heat conducted to the wall over that of a laminar layer; the range also stands for the Lorenz number, the "
        "conductivity of the gas, heat carried by recombining pairs, denser and turbulent layers",
    ),
)
_CHOICE_NAMES = ("plasma.range_factor", "plasma.fill_temperature", "plasma.wall_factor")

#: Exponents of the laws of life; they enter where a life is held against planned shots.
_LIFE = {
    "voltage": Datum(
        7.5, "-", 6.0, 9.0, "secondary", "capacitor life against voltage: 6 to 9, hobby page (2018); 7.5 from memory"
    ),
    "reversal": Datum(
        1.6, "-", 1.2, 2.0, "memory-m", "capacitor life against reversal or quality factor; its range is assumed"
    ),
    "lamp": Datum(8.5, "-", 7.5, 9.5, "memory-h", "lamp life: Koechner and lamp-maker guides; its range is assumed"),
}

#: Only where a lamp has a dead volume.
_SETTLED = Datum(
    12_000.0, "K", 9_000.0, 16_000.0, "memory-m", "temperature of a settled arc, which decides what fill is left in it"
)

#: Coefficients of each element in a plasma, and of a glass that gives vapour.
PLASMA_OF_GAS = ("biberman_factor", "continuum_edge_energy", "momentum_transfer_cross_section")
PLASMA_LINES = ("line_strength", "line_broadening")
_VAPOUR = ("opaque_below", "thermal_conductivity", "vaporising_temperature", "vaporisation_energy")
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
    yield from _of_lamps(machine)
    for name, datum in circuit_coefficients(machine):
        yield _of(name, datum)
    dye = dye_of(machine)
    given = given_by_entries(machine)
    for field in (field for field in _DYE if field not in given):
        yield _of(f"dye.{field}", getattr(dye, field))
    if dye.trapped_lifetime is not None:
        yield _of("dye.trapped_lifetime", dye.trapped_lifetime)
    pairing = dimer_constant(machine, dye)
    if pairing is not None:
        yield _of("dye.dimer_constant", pairing)
    dissolved = oxygen_solubility(machine)
    if dissolved is not None:
        yield _of("solvent.oxygen_mole_fraction", dissolved)
    rate = refdata.quencher(machine.dye.quencher).triplet_quenching_rate
    if rate is not None:
        yield _of("quencher.triplet_quenching_rate", rate)
    yield from _of_lives(machine)
    if machine.trigger.method == "pressure drop":
        yield _of("trigger.breakdown_scale", breakdown_scale(machine))


def elements_of(lamp: Lamp) -> tuple[str, ...]:
    """Names of the elements in a lamp's plasma: of its fill, then of the wall that gives vapour."""
    fills = [lamp.gas] if lamp.second_gas is None else [lamp.gas, lamp.second_gas]
    names = [row.name for fill in fills for row, _ in refdata.gas_parts(fill)]
    if lamp.wall_vapour == "ablated":
        names += [name for name, _ in refdata.glass(lamp.envelope).vapour]
    return tuple(dict.fromkeys(names))


def _of_lamps(machine: Machine) -> Iterator[Coefficient]:
    lamps = machine.lamps.values()
    for name in sorted({name for lamp in lamps for name in elements_of(lamp)}):
        row = refdata.gas(name) if name in refdata.names()["gas"] else refdata.vapour(name)
        for field in PLASMA_OF_GAS:
            yield _of(f"{name}.{field}", getattr(row, field))
    if any(lamp.dead_volume > 0 for lamp in lamps):
        yield _of("plasma.settled_temperature", _SETTLED)
    if any(lamp.near_infrared_lines == "added" and "xenon" in elements_of(lamp) for lamp in lamps):
        for field in PLASMA_LINES:
            yield _of(f"xenon.{field}", getattr(refdata.gas("xenon"), field))
    for name in sorted({lamp.envelope for lamp in lamps if lamp.wall_vapour == "ablated"}):
        for field in _VAPOUR:
            yield _of(f"{name}.{field}", getattr(refdata.glass(name), field))


def _of_lives(machine: Machine) -> Iterator[Coefficient]:
    bank = machine.bank
    if bank.planned_shots is None:
        return
    yield _of("life.lamp_exponent", _LIFE["lamp"])
    if None not in (bank.life_rating, bank.voltage_rating, bank.reversal_rating):
        yield _of("life.voltage_exponent", _LIFE["voltage"])
        yield _of("life.reversal_exponent", _LIFE["reversal"])


def life_exponent(reference: Mapping[str, float], law: str) -> float:
    """Exponent of a law of life: `voltage` and `reversal` of a capacitor, `lamp`; as varied, where it is."""
    return reference.get(f"reference.life.{law}_exponent", _LIFE[law].value)


def _of(name: str, datum: Datum) -> Coefficient:
    low = datum.value if datum.low is None else datum.low
    high = datum.value if datum.high is None else datum.high
    return Coefficient(f"reference.{name}", datum.value, low, high, datum.unit, f"{datum.source} [{datum.tag}]")
