"""The dye solution bound to the reference data: cross-sections, rates, absorption of the pump."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import constants

from pulsewright import refdata
from pulsewright.engine.inputs import Inputs
from pulsewright.physics.dye.cross_sections import DyeCrossSections, dye_cross_sections
from pulsewright.physics.dye.kinetics import DyeRates
from pulsewright.physics.dye.quenching import dissolved_gas, effective_triplet_lifetime
from pulsewright.physics.lamp.tables import spectral_bands

Float = NDArray[np.float64]

#: The laser bins end where stimulated emission falls to this part of its peak. They begin at its peak or, where the
#: dye's own absorption leaves room further to the blue, where that is this part of the emission: with less than
#: about a tenth of the dye excited nothing lases beyond.
LASER_BAND_FLOOR, LASER_BAND_ABSORPTION = 0.06, 0.1
#: Standard atmosphere [Pa] and the height over which pressure falls by e [m], isothermal at 288 K, textbook.
SEA_LEVEL = 101325.0
SCALE_HEIGHT = 8434.0


@dataclass(frozen=True, slots=True, eq=False)
class Solution:
    """What the later stages need to know of the dye solution.

    `density` dye molecules [1/m^3]; `laser_wavelength` (K,) [m] with bin width `laser_width` [m]; `pump_absorption`
    (L,) of dye and solvent together [1/m]; `dye_share` (L,) of what is absorbed [-]; `known` (L,) where the dye's
    absorption has data behind it; `oxygen` [mol/m^3]; `choices` name the methods.
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
    choices: dict[str, str]


def solution(inputs: Inputs) -> Solution:
    """Bind the dye solution of a build."""
    machine = inputs.machine
    solvent = refdata.solvent(machine.dye.solvent)
    index = float(solvent.refractive_index)
    density = machine.dye.concentration * constants.N_A
    grid = _laser_grid(inputs, index)
    laser = _cross_sections(inputs, grid, index)
    centre, _ = spectral_bands()
    pump = _cross_sections(inputs, centre, index)
    oxygen = _oxygen(inputs)
    dye_absorption = pump.absorption * density
    solvent_absorption = _solvent_absorption(centre, float(solvent.ultraviolet_cutoff))
    total = dye_absorption + solvent_absorption
    rates, lifetime = _rates(inputs, laser, oxygen, float(grid[1] - grid[0]))
    return Solution(
        density=density,
        index=index,
        laser_wavelength=grid,
        laser_width=float(grid[1] - grid[0]),
        rates=rates,
        pump_absorption=total,
        dye_share=np.divide(dye_absorption, total, out=np.zeros_like(total), where=total > 0),
        known=pump.known,
        oxygen=oxygen,
        triplet_lifetime=lifetime,
        zero_line=laser.zero_line,
        choices={**laser.choices, "lifetime of S1 in the cell": _lifetime_words(inputs)},
    )


def _cross_sections(inputs: Inputs, grid: Float, index: float) -> DyeCrossSections:
    row = refdata.dye(inputs.machine.dye.name)
    tail = row.tail
    return dye_cross_sections(
        grid,
        absorption_components=row.absorption.components,
        peak_molar_absorptivity=inputs.coefficient("dye.peak_molar_absorptivity"),
        known_from=row.absorption.known_from,
        unknown_molar_absorptivity=float(row.unknown_absorption_bound),
        emission_components=row.emission.components,
        quantum_yield=inputs.coefficient("dye.quantum_yield"),
        lifetime=inputs.coefficient("dye.lifetime"),
        refractive_index=index,
        temperature=inputs.machine.dye.temperature,
        excited_state_absorption=inputs.coefficient("dye.excited_state_absorption"),
        triplet_absorption=inputs.coefficient("dye.triplet_absorption"),
        absorption_shift=float(row.absorption.shift),
        emission_shift=float(row.emission.shift),
        tail="thermal relation" if tail is None else "table",
        tail_wavelength=None if tail is None else tail.wavelength,
        tail_values=None if tail is None else tail.values,
    )


def _laser_grid(inputs: Inputs, index: float) -> Float:
    """Uniform bins over the wavelengths at which the dye can lase."""
    row = refdata.dye(inputs.machine.dye.name)
    centres = [component[1] for component in row.emission.components]
    fine = np.linspace(min(centres) - 60e-9, max(centres) + 120e-9, 451)
    band = _cross_sections(inputs, fine, index)
    peak = int(np.argmax(band.emission))
    floor = LASER_BAND_FLOOR * band.emission[peak]
    last = peak + int(np.argmax(band.emission[peak:] < floor))
    stop = fine[last] if last > peak else fine[-1]
    clear = (band.emission >= floor) & (band.absorption <= LASER_BAND_ABSORPTION * band.emission)
    return np.linspace(fine[min(peak, int(np.argmax(clear)))], stop, inputs.bins)


def _oxygen(inputs: Inputs) -> float:
    """Oxygen dissolved in the solution at the pressure of the room, in mol/m^3."""
    pressure = SEA_LEVEL * float(np.exp(-inputs.machine.room.altitude / SCALE_HEIGHT))
    return _dissolved(inputs, inputs.machine.dye.atmosphere, pressure)


def oxygen_in_air(inputs: Inputs) -> float:
    """Oxygen in the same solvent under air at sea level, as lifetimes are mostly measured, in mol/m^3."""
    return _dissolved(inputs, "air", SEA_LEVEL)


def _dissolved(inputs: Inputs, atmosphere: str, pressure: float) -> float:
    solvent = refdata.solvent(inputs.machine.dye.solvent)
    fraction = float(refdata.atmosphere(atmosphere).oxygen_fraction)
    if fraction <= 0:
        return 0.0
    return float(
        dissolved_gas(
            inputs.coefficient("solvent.oxygen_mole_fraction"),
            fraction,
            pressure,
            float(solvent.vapour_pressure),
            float(solvent.density),
            float(solvent.molar_mass),
        )
    )


def _solvent_absorption(wavelength: Float, cutoff: float) -> Float:
    """Solvent edge: absorbance of 1 per cm at the quoted cut-off, a decade per 10 nm; in 1/m.

    The cut-off is by convention the wavelength of absorbance 1 in 1 cm; the slope is common practice, no source.
    """
    return np.asarray(np.log(10.0) * 100.0 * 10.0 ** np.clip((cutoff - wavelength) / 10e-9, -6.0, 3.0))


def _rates(inputs: Inputs, laser: DyeCrossSections, oxygen: float, width: float) -> tuple[DyeRates, float]:
    """Rates of S1 and T1.

    Lifetime and yield of the row were measured in air, so the share that oxygen takes there is taken off before what
    it takes in this solution is added; crossing to the triplet is always kept. In a filled cell part of the
    fluorescence is absorbed again, which lengthens the decay of S1 (Hammond and Nelson, IEEE J. Quantum Electron. 16,
    1980: 3.5 to 4.8 ns, whatever the scale); where the row knows that lifetime, only the part that escapes counts as
    fluorescence.
    """
    lifetime = inputs.coefficient("dye.lifetime")
    radiative = inputs.coefficient("dye.quantum_yield") / lifetime
    by_oxygen = inputs.coefficient("dye.oxygen_singlet_quenching")
    crossing = inputs.coefficient("dye.intersystem_crossing_rate")
    in_air = 1 / lifetime - radiative
    dark = max(in_air - by_oxygen * oxygen_in_air(inputs), crossing)
    trapped = inputs.reference.get("reference.dye.trapped_lifetime")
    escaping = radiative if trapped is None else min(max(1 / trapped - in_air, 0.2 * radiative), radiative)
    triplet = effective_triplet_lifetime(
        inputs.coefficient("dye.triplet_lifetime"),
        oxygen,
        inputs.coefficient("dye.oxygen_triplet_quenching"),
        inputs.machine.dye.quencher_concentration,
        inputs.reference.get("reference.quencher.triplet_quenching_rate", 0.0),
    )
    rates = DyeRates(
        radiative=escaping,
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
    )
    return rates, float(triplet)


def _lifetime_words(inputs: Inputs) -> str:
    trapped = inputs.reference.get("reference.dye.trapped_lifetime")
    if trapped is None:
        return "as in dilute solution; radiation trapping is not known for this dye"
    return f"{trapped * 1e9:.1f} ns, lengthened by radiation trapping"
