"""The liquid that holds the dye: one solvent or two mixed, every property with its range."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, fields
from functools import lru_cache
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from pulsewright import quantities, refdata
from pulsewright.errors import Finding, NotModelledError
from pulsewright.machine.parts import Machine
from pulsewright.numerics.monotone import monotone_cubic
from pulsewright.physics.dye import mixture_vapour, mixtures
from pulsewright.refdata.rows import Composition, Datum, Mixture, Row, Solvent

Float = NDArray[np.float64]

#: Step over which a solvent's edge falls by ten [m]: common practice, no source.
EDGE_DECADE = 10e-9
#: How far off a mixing rule may be, low and high as factors: of alike solvents, and with water in it. Bounds of the
#: misses against the handbook tables in `refdata.mixtures`, and of the trade's experience with the rules (no source).
RULE_ERRORS: Mapping[str, tuple[tuple[float, float], tuple[float, float]]] = MappingProxyType(
    {
        "density": ((0.995, 1.005), (0.995, 1.06)),
        "specific_heat": ((0.97, 1.05), (0.98, 1.18)),
        "viscosity": ((0.8, 1.25), (0.8, 3.5)),
        "thermal_conductivity": ((0.93, 1.07), (0.95, 1.10)),
        "expansion": ((0.93, 1.10), (0.74, 1.35)),
        "sound_speed": ((0.97, 1.03), (0.97, 1.22)),
        "refractive_index": ((0.9985, 1.0015), (0.9985, 1.015)),
        "index_temperature_coefficient": ((0.90, 1.15), (0.74, 1.45)),
        "vapour_pressure": ((0.9, 1.15), (0.8, 1.9)),
        "oxygen_mole_fraction": ((0.75, 1.35), (0.6, 1.5)),
        "ultraviolet_cutoff": ((0.98, 1.02), (0.98, 1.02)),
        "molar_mass": ((1.0, 1.0), (1.0, 1.0)),
    }
)
#: Error left where activities are known, instead of that of Raoult's rule.
ACTIVITY_ERROR = (0.9, 1.1)


@dataclass(frozen=True, slots=True)
class Liquid:
    """The solvent or mixture of a dye solution at 20 degC, in SI.

    `oxygen_mole_fraction`: dissolved under 101.325 kPa of oxygen. `ranges`: 90 % interval of each property by its name.
    `methods`: how each was found, where it is not the row of one solvent.
    """

    name: str
    molar_mass: float
    density: float
    specific_heat: float
    viscosity: float
    thermal_conductivity: float
    expansion: float
    sound_speed: float
    refractive_index: float
    index_temperature_coefficient: float
    vapour_pressure: float
    oxygen_mole_fraction: float
    ultraviolet_cutoff: float
    ranges: Mapping[str, tuple[float, float]]
    methods: Mapping[str, str]


PROPERTIES = tuple(field.name for field in fields(Liquid) if field.name not in ("name", "ranges", "methods"))


def parts_of(machine: Machine) -> tuple[tuple[Solvent, ...], tuple[float, ...]]:
    """Solvents of a machine's dye, and their parts of the volume before mixing."""
    dye = machine.dye
    first = refdata.solvent(dye.solvent)
    share = dye.second_solvent_fraction or 0.0
    if dye.second_solvent is None or share == 0.0 or dye.second_solvent == dye.solvent:
        return (first,), (1.0,)
    return (first, refdata.solvent(dye.second_solvent)), (1.0 - share, share)


def rows_of(machine: Machine) -> tuple[Row, ...]:
    """Every row of the reference data that the liquid of a machine rests on, for the provenance of a result."""
    rows, _ = parts_of(machine)
    mixed = refdata.mixture(*(row.name for row in rows)) if len(rows) == 2 else None
    added = refdata.quencher(machine.dye.quencher), refdata.surfactant(machine.dye.surfactant)
    return (*rows, *added, *(() if mixed is None else (mixed,)))


def water_fraction(machine: Machine) -> float:
    """Part of the volume that is water."""
    rows, shares = parts_of(machine)
    return sum(share for row, share in zip(rows, shares, strict=True) if row.name == "water")


def liquid_findings(machine: Machine) -> tuple[Finding, ...]:
    """What of the solvent is not known and a shot needs, by name."""
    return tuple(
        Finding(
            "error",
            "dye.solvent" if row.name == machine.dye.solvent else "dye.second_solvent",
            f"{quantities.QUANTITIES[name].words} of {row.name} is not known, so a shot is not modelled",
            "A solvent whose properties are known",
            "Choose another solvent, or add the value with its source to the reference data",
        )
        for row in parts_of(machine)[0]
        for name in PROPERTIES
        if getattr(row, name) is None and not (name == "refractive_index" and machine.dye.refractive_index)
    )


def liquid(machine: Machine) -> Liquid:
    """Properties of the solvent of a machine's dye.

    Raises
    ------
    NotModelledError
        If a property that the chain needs is not known for a solvent of it.
    """
    missing = liquid_findings(machine)
    if missing:
        raise NotModelledError(*missing)
    return _liquid(*parts_of(machine), machine.dye.refractive_index)


def oxygen_solubility(machine: Machine) -> Datum | None:
    """Oxygen that the solvent takes up under 101.325 kPa of it; None where not known."""
    rows, _ = parts_of(machine)
    if len(rows) == 1 or any(row.oxygen_mole_fraction is None for row in rows):
        return rows[0].oxygen_mole_fraction if len(rows) == 1 else None
    if liquid_findings(machine):
        return None
    found = liquid(machine)
    low, high = found.ranges["oxygen_mole_fraction"]
    told = "; ".join(dict.fromkeys(row.oxygen_mole_fraction.source for row in rows if row.oxygen_mole_fraction))
    told = f"{found.methods['oxygen_mole_fraction']}; parts: {told}"
    return Datum(found.oxygen_mole_fraction, "-", low, high, "computed", told, "25 degC")


def dangerous_part(machine: Machine) -> tuple[Solvent, str]:
    """The part of the solvent that counts for fire and breath, and words where it stands for a mixture.

    Flash point and limits of a mixture are not interpolated: those of the part that flashes first stand for all of it.
    """
    rows, _ = parts_of(machine)
    worst = min(rows, key=lambda row: float(row.flash_point) if row.flash_point is not None else np.inf)
    if len(rows) == 1:
        return worst, ""
    other = next(row for row in rows if row is not worst)
    return worst, (
        f"Mixed with {other.name}; fire and breath are judged as if all of it were {worst.name}: how much later the "
        "mixture flashes is not worked out."
    )


@lru_cache(maxsize=64)
def _liquid(rows: tuple[Solvent, ...], shares: tuple[float, ...], index: float | None) -> Liquid:
    values, ranges, methods = _of_one(rows[0]) if len(rows) == 1 else _of_two(rows, shares)
    if index is not None:
        values["refractive_index"], ranges["refractive_index"] = index, (index, index)
        methods["refractive_index"] = "as given by dye.refractive_index"
    name = rows[0].name if len(rows) == 1 else f"{rows[0].name} with {100 * shares[1]:.3g} % of {rows[1].name}"
    return Liquid(name=name, ranges=MappingProxyType(ranges), methods=MappingProxyType(methods), **values)


Found = tuple[dict[str, float], dict[str, tuple[float, float]], dict[str, str]]


def _ends(datum: Datum) -> tuple[float, float]:
    value = datum.value
    return value if datum.low is None else datum.low, value if datum.high is None else datum.high


def _of_one(row: Solvent) -> Found:
    data = {name: getattr(row, name) for name in PROPERTIES if getattr(row, name) is not None}
    values = {name: float(datum) for name, datum in data.items()}
    return values, {name: _ends(datum) for name, datum in data.items()}, {}


def _of_two(rows: tuple[Solvent, ...], shares: tuple[float, ...]) -> Found:
    """Tables where there are some, rules elsewhere."""
    mix = _Mix(rows, shares)
    table = refdata.mixture(rows[0].name, rows[1].name)
    watery = int(any(row.name == "water" for row in rows))
    values: dict[str, float] = {}
    ranges: dict[str, tuple[float, float]] = {}
    methods: dict[str, str] = {}
    for name, (rule, words) in mix.rules(table).items():
        given: Composition | None = getattr(table, name, None)
        if given is not None and table is not None:
            values[name] = _tabulated(given, float(mix.mass[rows.index(_row_of(rows, table.parts[0]))]))
            ranges[name] = values[name] * (1 - given.spread), values[name] * (1 + given.spread)
            methods[name] = f"table, {given.source} [{given.tag}]"
            continue
        errors = ACTIVITY_ERROR if "activities" in words else RULE_ERRORS[name][watery]
        values[name] = rule()
        ranges[name] = mix.spread(name, values[name], errors)
        methods[name] = words
    return values, ranges, methods


def _row_of(rows: tuple[Solvent, ...], name: str) -> Solvent:
    return next(row for row in rows if row.name == name)


def _tabulated(table: Composition, share: float) -> float:
    at = np.array([share])
    return float(monotone_cubic(np.array(table.mass_fraction), np.array(table.values), at)[0])


class _Mix:
    """Two solvents with their fractions, ready for the rules."""

    def __init__(self, rows: tuple[Solvent, ...], shares: tuple[float, ...]) -> None:
        self.rows = rows
        self.volume = np.array(shares)
        self.mass = mixtures.mass_fractions(self.volume, self.of("density"))
        self.mole = mixtures.mole_fractions(self.mass, self.of("molar_mass"))

    def of(self, name: str) -> Float:
        """A property of every part."""
        return np.array([float(getattr(row, name)) for row in self.rows])

    def spread(self, name: str, value: float, errors: tuple[float, float]) -> tuple[float, float]:
        """Ends of the interval: ranges of the parts by volume, and the error of the rule, the larger magnitude last."""
        ends = np.array([_ends(getattr(row, name)) for row in self.rows])
        apart = np.abs(ends / self.of(name)[:, None] - 1.0)
        parts = float((self.volume * apart.max(axis=1)).sum())
        low, high = value * (errors[0] - parts), value * (errors[1] + parts)
        return min(low, high), max(low, high)

    def rules(self, table: Mixture | None) -> dict[str, tuple[Callable[[], float], str]]:
        """What each property is by rule, and the name of the rule."""
        return dict(self._rules(table))

    def _rules(self, table: Mixture | None) -> Iterator[tuple[str, tuple[Callable[[], float], str]]]:
        volume, mass, mole, of = self.volume, self.mass, self.mole, self.of
        yield "molar_mass", (lambda: float((mole * of("molar_mass")).sum()), "mean of the molecules")
        yield "density", (lambda: float(mixtures.ideal_density(mass, of("density"))), "volumes that add")
        heat = of("specific_heat")
        yield "specific_heat", (lambda: float(mixtures.mixture_specific_heat(mass, heat)), "by mass")
        thick = of("viscosity")
        yield "viscosity", (lambda: float(mixtures.mixture_viscosity(mole, thick)), "Grunberg-Nissan, no interaction")
        conducts = of("thermal_conductivity")
        filippov = mixtures.mixture_thermal_conductivity
        yield "thermal_conductivity", (lambda: float(filippov(mass, conducts)), "Filippov")
        grows = of("expansion")
        yield "expansion", (lambda: float(mixtures.mixture_expansion(volume, grows)), "by volume")
        sound = (mole, of("molar_mass"), of("density"), of("sound_speed"))
        yield "sound_speed", (lambda: float(mixtures.mixture_sound_speed(*sound)), "Nomoto")
        yield "refractive_index", (lambda: self._index(table), "Lorentz-Lorenz")
        slopes = of("index_temperature_coefficient")
        slope = mixtures.mixture_index_coefficient
        yield "index_temperature_coefficient", (lambda: float(slope(volume, slopes)), "by volume")
        words = "Raoult" if table is None or table.van_laar is None else "Raoult with van Laar activities"
        yield "vapour_pressure", (lambda: self._pressure(table), words)
        gas, dissolved = of("oxygen_mole_fraction"), mixture_vapour.mixture_gas_solubility
        yield "oxygen_mole_fraction", (lambda: float(dissolved(mole, gas)), "Krichevsky")
        edges = of("ultraviolet_cutoff")
        yield "ultraviolet_cutoff", (lambda: float(mixtures.mixture_cutoff(volume, edges, EDGE_DECADE)), "Beer's law")

    def _index(self, table: Mixture | None) -> float:
        ratio = 1.0
        if table is not None and table.density is not None:
            first = float(self.mass[self.rows.index(_row_of(self.rows, table.parts[0]))])
            ratio = _tabulated(table.density, first) / float(mixtures.ideal_density(self.mass, self.of("density")))
        return float(mixtures.lorentz_lorenz_index(self.volume, self.of("refractive_index"), ratio))

    def _pressure(self, table: Mixture | None) -> float:
        activity = np.ones(2)
        if table is not None and table.van_laar is not None:
            order = [self.rows.index(_row_of(self.rows, part)) for part in table.parts]
            constants = np.empty(2)
            constants[order] = [float(constant) for constant in table.van_laar]
            activity = mixture_vapour.van_laar_activity(self.mole, constants)
        return float(mixture_vapour.mixture_vapour_pressure(self.mole, self.of("vapour_pressure"), activity))
