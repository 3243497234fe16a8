"""What a lamp is filled with, from build file and reference data to plasma tables; and what its wall gives off."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cache, lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from pulsewright import refdata
from pulsewright.engine.coefficients import PLASMA_LINES, PLASMA_OF_GAS, elements_of
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.table_store import stored_tables
from pulsewright.machine.parts import Lamp, Machine
from pulsewright.physics.lamp import mixture
from pulsewright.physics.lamp.dead_volume import pressure_transit_time, remaining_fill
from pulsewright.physics.lamp.light import CHORD_FACTOR
from pulsewright.physics.lamp.lines import Line
from pulsewright.physics.lamp.plasma import heavy_density
from pulsewright.physics.lamp.tables import PlasmaTables, mixture_tables, spectral_bands
from pulsewright.refdata.rows import Gas, Molecule

Float = NDArray[np.float64]

#: Densities tabulated when the wall gives vapour: each twice the one before, 256 times the fill at most, and none
#: above a sixth of that of solid silica. [1/m^3]
RUNGS, DENSEST = 9, 1e28


@dataclass(frozen=True, slots=True)
class Recipe:
    """Everything the tables of one lamp depend on.

    `opaque_below` [m] is 0 when the wall gives no vapour, `line_chord` [m] when no lines are added.
    """

    species: mixture.Species
    fill: mixture.Content
    number_density: float
    vapour: mixture.Content | None
    range_factor: float
    fill_temperature: float
    gas_conductivity: float
    conductivity_exponent: float
    opaque_below: float
    line_chord: float

    @property
    def rungs(self) -> int:
        """Densities tabulated: the fill's, and doublings of it where vapour can come."""
        if self.vapour is None:
            return 1
        return int(np.clip(np.floor(np.log2(DENSEST / self.number_density)) + 1, 3, RUNGS))

    def tables(self) -> PlasmaTables:
        """Compute them."""
        return mixture_tables(
            self.species,
            self.fill,
            self.number_density,
            self.vapour,
            self.rungs,
            self.range_factor,
            self.fill_temperature,
            self.gas_conductivity,
            self.conductivity_exponent,
            surface_absorptance=surface_absorptance(self.opaque_below),
            line_chord=self.line_chord,
        )


@dataclass(frozen=True, slots=True)
class WallVapour:
    """What it takes to bring vapour off the wall.

    `inertia`: (pi / 4) k rho c dT^2, the square of the fluence that brings the surface to vaporising, over the time it
    takes [J^2/(m^4 s)]; `formation_energy` per nucleus of vapour [J].
    """

    inertia: float
    formation_energy: float


class Asked(NamedTuple):
    """What the tables of one lamp are asked for: gases and their parts of the pressure, that pressure [Pa], glass.

    `envelope` is empty unless the wall gives vapour, `chord` 0 unless lines are added; `values` of the coefficients.
    """

    fills: tuple[tuple[str, float], ...]
    pressure: float
    envelope: str
    chord: float
    values: tuple[tuple[str, float], ...]

    @property
    def density(self) -> float:
        """Nuclei per volume [1/m^3]."""
        return heavy_density(self.pressure, dict(self.values)["plasma.fill_temperature"]) * _nuclei(self.fills)


def lamp_tables(inputs: Inputs, lamp: Lamp, fill_pressure: float) -> PlasmaTables:
    """Plasma tables of one lamp at the pressure at which it fires, kept by fill and coefficients."""
    asked = asked_tables(inputs, lamp, fill_pressure)
    near = None if inputs.tables is None else inputs.tables.tables(asked)
    return _tables(asked) if near is None else near


def asked_tables(inputs: Inputs, lamp: Lamp, fill_pressure: float) -> Asked:
    """What the tables of one lamp depend on."""
    vapour, elements = lamp.wall_vapour == "ablated", elements_of(lamp)
    lined = lamp.near_infrared_lines == "added" and "xenon" in elements
    named = [f"{name}.{field}" for name in elements for field in PLASMA_OF_GAS]
    named += ["plasma.range_factor", "plasma.fill_temperature"]
    named += [f"{lamp.envelope}.opaque_below"] if vapour else []
    named += [f"xenon.{field}" for field in PLASMA_LINES] if lined else []
    values = tuple((name, inputs.coefficient(name)) for name in named)
    chord = CHORD_FACTOR * filled_diameter(lamp) if lined else 0.0
    held = fill_pressure * bore_share(inputs, lamp)
    return Asked(_fills(lamp), held, lamp.envelope if vapour else "", chord, values)


def _inner(lamp: Lamp) -> float:
    return (lamp.inner_diameter or 0.0) if lamp.shape == "coaxial" else 0.0


def filled_diameter(lamp: Lamp) -> float:
    """Four times the area over the perimeter of what a full arc occupies: the bore, or twice the gap of an annulus."""
    return lamp.bore - _inner(lamp)


def bore_share(inputs: Inputs, lamp: Lamp) -> float:
    """Part of the fill that stays in the bore: all of it without dead volume, or in a short pulse.

    The pulse is taken as 3 sqrt(L C) long. One density holds for the whole shot.
    """
    if lamp.dead_volume <= 0:
        return 1.0
    bore_volume = np.pi / 4 * (lamp.bore**2 - _inner(lamp) ** 2) * lamp.arc_length
    hot, cold = inputs.coefficient("plasma.settled_temperature"), inputs.coefficient("plasma.fill_temperature")
    parts = [(row, share * part) for gas, share in _fills(lamp) for row, part in refdata.gas_parts(gas)]
    atoms = [(float(row.atomic_mass), share * (2.0 if row.molecule else 1.0)) for row, share in parts]
    nuclei = sum(count for _, count in atoms)
    mass = sum(count * each for each, count in atoms) / nuclei
    transit = float(pressure_transit_time(lamp.arc_length, mass, hot))
    pulse = _pulse_length(inputs.machine, lamp)
    return float(remaining_fill(lamp.dead_volume / bore_volume, pulse / transit, 2.0 * nuclei * hot / cold))


def _pulse_length(machine: Machine, lamp: Lamp) -> float:
    """3 sqrt(L C) of the loop of a lamp in s; of lamps alike in loops of their own, the longest."""
    loop, capacitance = machine.loop, machine.bank.capacitance
    inductance = loop.inductance
    if machine.trigger.method == "series injection":
        inductance += machine.trigger.saturated_inductance or 0.0
    if loop.network == "pulse-forming network":
        inductance += ((loop.sections or 1) - 1) * (loop.section_inductance or 0.0)
    if loop.lamps_connected != "separate loops":
        return 3.0 * float(np.sqrt(inductance * capacitance))
    own = [machine.branches[name] for name, other in machine.lamps.items() if other == lamp]
    return max(
        3.0 * float(np.sqrt(one.inductance * one.capacitance))
        if one.capacitance is not None
        else 3.0 * float(np.sqrt((inductance + one.inductance) * capacitance))
        for one in own
    )


def _fills(lamp: Lamp) -> tuple[tuple[str, float], ...]:
    """Gases of the fill and their parts of the pressure."""
    if lamp.second_gas is None or not lamp.second_gas_fraction:
        return ((lamp.gas, 1.0),)
    return (lamp.gas, 1.0 - lamp.second_gas_fraction), (lamp.second_gas, lamp.second_gas_fraction)


@cache
def _nuclei(fills: tuple[tuple[str, float], ...]) -> float:
    """Nuclei per particle of the cold fill."""
    parts = [(row, share * fraction) for name, share in fills for row, fraction in refdata.gas_parts(name)]
    return sum(share * (2.0 if row.molecule else 1.0) for row, share in parts)


@lru_cache(maxsize=64)
def _tables(asked: Asked) -> PlasmaTables:
    made = recipe(*asked[:4], dict(asked.values))
    return stored_tables(made, made.tables)


def recipe(
    fills: tuple[tuple[str, float], ...], pressure: float, envelope: str, chord: float, values: Mapping[str, float]
) -> Recipe:
    """What is computed for fills (gas, part of the pressure).

    `envelope` names the glass when it gives vapour; `chord` is 0 when no lines are added.
    """
    parts: dict[str, float] = {}
    for name, share in fills:
        for row, fraction in refdata.gas_parts(name):
            parts[row.name] = parts.get(row.name, 0.0) + share * fraction
    glass = refdata.glass(envelope) if envelope else None
    names = list(parts)
    names += [name for name, _ in glass.vapour if name not in parts] if glass else []
    bonds = [refdata.molecule(name) for name in refdata.names()["molecule"]]
    bonds = [bond for bond in bonds if set(bond.atoms) <= set(names)]
    species = mixture.Species(
        tuple(_element(name, values, chord > 0) for name in names), tuple(_molecule(bond, names) for bond in bonds)
    )
    atoms = {name: share * (2.0 if element_row(name).molecule else 1.0) for name, share in parts.items()}
    nuclei = sum(atoms.values())
    molecules = {element_row(name).molecule: share for name, share in parts.items() if element_row(name).molecule}
    kelvin = values["plasma.fill_temperature"]
    return Recipe(
        species,
        _content(names, bonds, atoms, molecules),
        heavy_density(pressure, kelvin) * nuclei,
        None if glass is None else _content(names, bonds, dict(glass.vapour), dict(glass.vapour_molecules)),
        values["plasma.range_factor"],
        kelvin,
        sum(share * float(element_row(name).thermal_conductivity) for name, share in parts.items()),
        sum(share * float(element_row(name).conductivity_exponent) for name, share in parts.items()),
        values[f"{envelope}.opaque_below"] if envelope else 0.0,
        chord,
    )


def element_row(name: str) -> Gas:
    """Row of an element of the plasma: a fill, or what a wall gives off."""
    return refdata.gas(name) if name in refdata.names()["gas"] else refdata.vapour(name)


def _lines(row: Gas, values: Mapping[str, float]) -> tuple[Line, ...]:
    strength, broadening = (values[f"{row.name}.{field}"] for field in PLASMA_LINES)
    return tuple(
        Line(line.wavelength, strength * line.oscillator_strength, *line.lower, broadening * line.stark_width)
        for line in row.lines
    )


def _element(name: str, values: Mapping[str, float], lined: bool) -> mixture.Element:
    row = element_row(name)
    steps = len(row.levels) - 1
    return mixture.Element(
        float(row.atomic_mass),
        tuple(float(energy) for energy in row.ionisation_energies[:steps]),
        row.levels,
        values[f"{name}.momentum_transfer_cross_section"],
        values[f"{name}.continuum_edge_energy"],
        values[f"{name}.biberman_factor"],
        _lines(row, values) if lined and row.lines else (),
    )


def _molecule(bond: Molecule, names: list[str]) -> mixture.Molecule:
    first, second = bond.atoms
    return mixture.Molecule(
        (names.index(first), names.index(second)),
        float(bond.dissociation_energy),
        float(bond.rotational_constant),
        float(bond.vibrational_energy),
        2.0 if first == second else 1.0,
        bond.levels,
        float(bond.momentum_transfer_cross_section),
    )


def _content(
    names: list[str], bonds: list[Molecule], atoms: Mapping[str, float], molecules: Mapping[str, float]
) -> mixture.Content:
    total = sum(atoms.values())
    return mixture.Content(
        tuple(atoms.get(name, 0.0) / total for name in names),
        tuple(molecules.get(bond.name, 0.0) / total for bond in bonds),
    )


@cache
def surface_absorptance(opaque_below: float) -> Float | None:
    """Part of each spectral band that lies below a wavelength; None when that is 0."""
    if opaque_below <= 0:
        return None
    centre, width = spectral_bands()
    return np.clip((opaque_below - (centre - width / 2)) / width, 0.0, 1.0)


def wall_vapour(inputs: Inputs, lamp: Lamp) -> WallVapour:
    """What it takes to bring vapour off the wall of a lamp, which is cold at first."""
    glass = refdata.glass(lamp.envelope)
    hot = inputs.coefficient(f"{lamp.envelope}.vaporising_temperature")
    rise = hot - inputs.coefficient("plasma.fill_temperature")
    inertia = inputs.coefficient(f"{lamp.envelope}.thermal_conductivity") * float(glass.density)
    inertia *= float(glass.heat_capacity)
    unit = sum(count * float(element_row(name).atomic_mass) for name, count in glass.vapour)
    nuclei = sum(count for _, count in glass.vapour)
    energy = inputs.coefficient(f"{lamp.envelope}.vaporisation_energy")
    return WallVapour(np.pi / 4 * inertia * rise**2, energy * unit / nuclei)
