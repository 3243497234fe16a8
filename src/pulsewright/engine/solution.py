"""The dye solution bound to the reference data: cross-sections, rates, absorption of the pump."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, fields, replace
from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray
from scipy import constants

from pulsewright import refdata
from pulsewright.engine.dye_of import dye_of, own_dye_choices
from pulsewright.engine.dye_state import DyeState, dye_state, state_findings
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.liquid import EDGE_DECADE, Liquid, liquid, liquid_findings
from pulsewright.engine.own_dye_findings import own_dye_findings
from pulsewright.engine.trapped import trapped_rates
from pulsewright.errors import DomainError, Finding, NotModelledError
from pulsewright.machine.parts import Machine
from pulsewright.physics.dye.cross_sections import DyeCrossSections, dye_cross_sections
from pulsewright.physics.dye.kinetics import DyeRates
from pulsewright.physics.dye.quenching import dissolved_gas, effective_triplet_lifetime
from pulsewright.physics.lamp.tables import spectral_bands
from pulsewright.refdata.rows import Dye, GaussianSum, MeasuredSpectrum

__all__ = ["Liquid", "Solution", "liquid", "oxygen_in_air", "refused", "solution"]

Float = NDArray[np.float64]

#: The laser bins end where stimulated emission falls to this part of its peak. They begin at its peak or, where the
#: dye's own absorption leaves room further to the blue, where that is this part of the emission: with less than
#: about a tenth of the dye excited nothing lases beyond.
LASER_BAND_FLOOR, LASER_BAND_ABSORPTION = 0.06, 0.1
#: Coefficients that the cross-sections read.
_COEFFICIENTS = (
    "dye.peak_molar_absorptivity",
    "dye.quantum_yield",
    "dye.lifetime",
    "dye.excited_state_absorption",
    "dye.triplet_absorption",
)
#: Points on which the laser band is looked for.
FINE = 451
#: Standard atmosphere [Pa] and the height over which pressure falls by e [m], isothermal at 288 K, textbook.
SEA_LEVEL = 101325.0
SCALE_HEIGHT = 8434.0
#: Temperature of the solvent rows [K], and how far a solution may be from it without a word [K].
ROOM_TEMPERATURE, FAR_FROM_ROOM = 293.15, 10.0


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """What the later stages need to know of the dye solution.

    `density` single dye molecules that are left [1/m^3]; `laser_wavelength` (K,) [m] with bin width `laser_width` [m];
    `pump_absorption` (L,) of all there is [1/m]; `dye_share` (L,) of what single molecules take of it [-]; `known` (L,)
    where the dye's absorption has data behind it; `oxygen` [mol/m^3]; `solvent` the liquid itself; `state` single,
    paired and bleached dye; `product_absorption` loss by what became of bleached dye [1/m]; `dimer_absorption` (K,)
    loss by pairs [1/m]; `choices` name the methods; `findings` what to know of it.
    """

    density: float
    index: float
    laser_wavelength: Float
    laser_width: float
    rates: DyeRates
    pump_absorption: Float
    dye_share: Float
    known: NDArray[np.bool_]
    oxygen: float
    triplet_lifetime: float
    zero_line: float
    solvent: Liquid
    state: DyeState
    product_absorption: float
    dimer_absorption: Float
    choices: dict[str, str]
    findings: tuple[Finding, ...]


def refused(machine: Machine) -> tuple[Finding, ...]:
    """What the solution needs and the reference data do not have, by name; an own dye that cannot amplify."""
    unfit = tuple(found for found in own_dye_findings(machine) if found.grade == "error")
    return (*unfit, *_missing(machine))


def _missing(machine: Machine) -> tuple[Finding, ...]:
    row = _row(machine)
    if row.emission is not None:
        return liquid_findings(machine)
    unknown = Finding(
        "error",
        "dye.name",
        f"the fluorescence spectrum of {row.name} is not known, so its gain is not modelled",
        "A dye whose emission is known",
        "Measure it and enter the dye as one of your own, [dyes.<id>], with emission_file",
    )
    return (unknown, *liquid_findings(machine))


def solution(inputs: Inputs) -> Solution:
    """Bind the dye solution of a build.

    Raises
    ------
    NotModelledError
        If the reference data lack what it needs, or an own dye cannot amplify.
    """
    machine = inputs.machine
    missing = _missing(machine)
    if missing:
        raise NotModelledError(*missing)
    solvent, row = liquid(machine), _row(machine)
    state = dye_state(machine, inputs.reference.get("reference.dye.dimer_constant"))
    centre, _ = spectral_bands()
    try:
        laser, pump = _spectra(_Asked(row, _read_by_spectra(inputs, solvent.refractive_index), inputs))
    except DomainError:
        raise NotModelledError(*refused(machine)) from None
    grid = laser.wavelength
    oxygen = _oxygen(inputs)
    dye_absorption = pump.absorption * state.monomers * constants.N_A
    paired = _paired_absorption(inputs, row, state, centre, solvent.refractive_index)
    total = dye_absorption + paired + _solvent_absorption(centre, solvent.ultraviolet_cutoff)
    width = float(grid[1] - grid[0])
    rates, lifetime, decay = _rates(inputs, laser, pump, dye_absorption, oxygen, width)
    return Solution(
        density=state.monomers * constants.N_A,
        index=solvent.refractive_index,
        laser_wavelength=grid,
        laser_width=width,
        rates=rates,
        pump_absorption=total,
        dye_share=np.divide(dye_absorption, total, out=np.zeros_like(total), where=total > 0),
        known=pump.known,
        oxygen=oxygen,
        triplet_lifetime=lifetime,
        zero_line=laser.zero_line,
        solvent=solvent,
        state=state,
        product_absorption=machine.dye.product_absorption,
        dimer_absorption=2.0 * state.dimers * constants.N_A * laser.absorption,
        choices=_choices(inputs, laser, state, decay),
        findings=(*state_findings(machine, row, state), *_liquid_notes(machine, solvent)),
    )


def _row(machine: Machine) -> Dye:
    return dye_of(machine)


def _choices(inputs: Inputs, laser: DyeCrossSections, state: DyeState, decay: str) -> dict[str, str]:
    found = {
        **own_dye_choices(inputs.machine),
        **laser.choices,
        "lifetime of S1 in the cell": decay,
        "dye molecules": state.choice,
    }
    if state.dimers > 0:
        found["absorption of pairs"] = "that of two single molecules, for pump light moved to the blue"
    return found


def _liquid_notes(machine: Machine, solvent: Liquid) -> Iterator[Finding]:
    """How a mixture was put together, and how far the solution is from the temperature of the rows."""
    if abs(machine.dye.temperature - ROOM_TEMPERATURE) > FAR_FROM_ROOM:
        yield Finding(
            "note",
            "dye.temperature",
            f"the solution is at {machine.dye.temperature - 273.15:.0f} degC; properties of {solvent.name} are those "
            "at 20 degC, the solubility of oxygen that at 25 degC",
            f"Within {FAR_FROM_ROOM:.0f} K",
            "Read heat, sound and oxygen as estimates",
        )
    if solvent.methods and set(solvent.methods) != {"refractive_index"}:
        rules = {name.replace("_", " "): words for name, words in solvent.methods.items() if name != "molar_mass"}
        told = ", ".join(f"{name}: {words.split(',')[0]}" for name, words in rules.items())
        yield Finding(
            "note",
            "dye.second_solvent",
            f"properties of {solvent.name} by volume are put together by rules and tables ({told})",
            "Each carries the error of its rule",
            "Read heat, sound and oxygen as estimates; give dye.refractive_index if it was measured",
        )


def _paired_absorption(inputs: Inputs, row: Dye, state: DyeState, wavelength: Float, index: float) -> Float:
    """Absorption of the pump by pairs: of two molecules each, the spectrum moved to the blue, in 1/m."""
    if state.dimers <= 0:
        return np.zeros_like(wavelength)
    shift = 0.0 if row.dimer_shift is None else float(row.dimer_shift)
    moved = _cross_sections(inputs, wavelength - shift, index)
    return np.asarray(2.0 * state.dimers * constants.N_A * moved.absorption)


@dataclass(frozen=True, slots=True)
class _Asked:
    """Inputs that compare by what the cross-sections read of them: the row itself, and numbers."""

    row: Dye
    read: tuple[float, ...]
    inputs: Inputs

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _Asked) and self.row is other.row and self.read == other.read

    def __hash__(self) -> int:
        return hash((id(self.row), self.read))


def _read_by_spectra(inputs: Inputs, index: float) -> tuple[float, ...]:
    return (index, inputs.machine.dye.temperature, inputs.bins, *(inputs.coefficient(name) for name in _COEFFICIENTS))


@lru_cache(maxsize=32)
def _spectra(asked: _Asked) -> tuple[DyeCrossSections, DyeCrossSections]:
    """Cross-sections on the laser bins and on the bands of the lamps' light; they do not depend on concentration."""
    inputs, index = asked.inputs, asked.read[0]
    centre, _ = spectral_bands()
    fine = np.linspace(*_emission_reach(asked.row), FINE)
    both = _cross_sections(inputs, np.concatenate([fine, centre]), index)
    grid = _laser_grid(_part(both, slice(FINE)), inputs.bins)
    return _cross_sections(inputs, grid, index), _part(both, slice(FINE, None))


def _spectrum(kind: str, spectrum: GaussianSum | MeasuredSpectrum) -> dict[str, Any]:
    """Arguments of the cross-sections for one spectrum."""
    shift = {f"{kind}_shift": float(spectrum.shift)}
    if isinstance(spectrum, GaussianSum):
        return {f"{kind}_components": spectrum.components, **shift}
    return {f"{kind}_wavelength": spectrum.wavelength, f"{kind}_values": spectrum.values, **shift}


def _cross_sections(inputs: Inputs, grid: Float, index: float) -> DyeCrossSections:
    row = _row(inputs.machine)
    assert row.emission is not None
    tail = row.tail
    return dye_cross_sections(
        grid,
        **_spectrum("absorption", row.absorption),
        **_spectrum("emission", row.emission),
        **{name.removeprefix("dye."): inputs.coefficient(name) for name in _COEFFICIENTS},
        known_from=row.absorption.known_from,
        unknown_molar_absorptivity=float(row.unknown_absorption_bound),
        refractive_index=index,
        temperature=inputs.machine.dye.temperature,
        tail="thermal relation" if tail is None else "table",
        tail_wavelength=None if tail is None else tail.wavelength,
        tail_values=None if tail is None else tail.values,
    )


def cross_sections(inputs: Inputs, wavelength: Float) -> DyeCrossSections:
    """Cross-sections of the dye as a shot of these inputs uses them, at any vacuum wavelengths [m]."""
    return _cross_sections(inputs, wavelength, liquid(inputs.machine).refractive_index)


def _emission_reach(row: Dye) -> tuple[float, float]:
    """Wavelengths between which the laser band is looked for, in m."""
    assert row.emission is not None
    if isinstance(row.emission, GaussianSum):
        centres = [component[1] for component in row.emission.components]
        return min(centres) - 60e-9, max(centres) + 120e-9
    shift = float(row.emission.shift)
    return row.emission.wavelength[0] + shift, row.emission.wavelength[-1] + shift


def _part(bands: DyeCrossSections, part: slice) -> DyeCrossSections:
    """The same on a part of its wavelengths."""
    arrays = {field.name: getattr(bands, field.name) for field in fields(bands)}
    cut: dict[str, Any] = {name: value[part] for name, value in arrays.items() if isinstance(value, np.ndarray)}
    return replace(bands, **cut)


def _laser_grid(band: DyeCrossSections, bins: int) -> Float:
    """Uniform bins over the wavelengths at which the dye can lase, from its cross-sections on a fine grid."""
    fine = band.wavelength
    peak = int(np.argmax(band.emission))
    floor = LASER_BAND_FLOOR * band.emission[peak]
    last = peak + int(np.argmax(band.emission[peak:] < floor))
    stop = fine[last] if last > peak else fine[-1]
    clear = (band.emission >= floor) & (band.absorption <= LASER_BAND_ABSORPTION * band.emission)
    return np.linspace(fine[min(peak, int(np.argmax(clear)))], stop, bins)


def _oxygen(inputs: Inputs) -> float:
    """Oxygen dissolved in the solution at the pressure of the room, in mol/m^3."""
    pressure = SEA_LEVEL * float(np.exp(-inputs.machine.room.altitude / SCALE_HEIGHT))
    return _dissolved(inputs, inputs.machine.dye.atmosphere, pressure)


def oxygen_in_air(inputs: Inputs) -> float:
    """Oxygen in the same solvent under air at sea level, as lifetimes are mostly measured, in mol/m^3."""
    return _dissolved(inputs, "air", SEA_LEVEL)


def _dissolved(inputs: Inputs, atmosphere: str, pressure: float) -> float:
    solvent = liquid(inputs.machine)
    fraction = float(refdata.atmosphere(atmosphere).oxygen_fraction)
    if fraction <= 0:
        return 0.0
    return float(
        dissolved_gas(
            inputs.coefficient("solvent.oxygen_mole_fraction"),
            fraction,
            pressure,
            min(solvent.vapour_pressure, pressure),
            solvent.density,
            solvent.molar_mass,
        )
    )


def _solvent_absorption(wavelength: Float, cutoff: float) -> Float:
    """Solvent edge: absorbance of 1 per cm at the quoted cut-off, a decade per 10 nm; in 1/m.

    The cut-off is by convention the wavelength of absorbance 1 in 1 cm; the slope is common practice, no source.
    """
    return np.asarray(np.log(10.0) * 100.0 * 10.0 ** np.clip((cutoff - wavelength) / EDGE_DECADE, -6.0, 3.0))


def _rates(
    inputs: Inputs,
    laser: DyeCrossSections,
    pump: DyeCrossSections,
    absorption: Float,
    oxygen: float,
    width: float,
) -> tuple[DyeRates, float, str]:
    """Rates of S1 and T1, lifetime of T1, and words for that of S1.

    Lifetime and yield of the row were measured in air, so the share that oxygen takes there is taken off before what
    it takes in this solution is added; crossing to the triplet is always kept. In a filled cell part of the
    fluorescence is absorbed again, which lengthens the decay of S1; only the part that escapes counts as fluorescence,
    while light is emitted into the laser's bins, where little is absorbed again, at the full rate.
    """
    lifetime = inputs.coefficient("dye.lifetime")
    radiative = inputs.coefficient("dye.quantum_yield") / lifetime
    by_oxygen = inputs.coefficient("dye.oxygen_singlet_quenching")
    crossing = inputs.coefficient("dye.intersystem_crossing_rate")
    in_air = 1 / lifetime - radiative
    dark = max(in_air - by_oxygen * oxygen_in_air(inputs), crossing)
    trapped = trapped_rates(inputs, pump, absorption, radiative, in_air)
    triplet = effective_triplet_lifetime(
        inputs.coefficient("dye.triplet_lifetime"),
        oxygen,
        inputs.coefficient("dye.oxygen_triplet_quenching"),
        inputs.machine.dye.quencher_concentration,
        inputs.reference.get("reference.quencher.triplet_quenching_rate", 0.0),
    )
    rates = DyeRates(
        radiative=trapped.escaping,
        internal_conversion=dark - crossing,
        crossing=crossing,
        singlet_quenching=by_oxygen * oxygen,
        triplet_yield=inputs.coefficient("dye.oxygen_triplet_yield"),
        triplet_decay=1 / float(triplet),
        emission=laser.emission,
        absorption=laser.absorption,
        excited_absorption=laser.excited_state_absorption,
        triplet_absorption=laser.triplet_absorption,
        emission_share=laser.emission_shape * width,
        emitting=radiative,
    )
    return rates, float(triplet), trapped.words
