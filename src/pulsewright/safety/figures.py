"""The numbers of one machine that a careful person asks for: charge, dump, beam, solvent, air.

Everything is computed from the build file, and from a shot where there is one. A time in which a
bank comes down is a computed one and never a proof: measure and short.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import lru_cache

from pulsewright.engine.dye_of import dye_of
from pulsewright.engine.liquid import dangerous_part
from pulsewright.machine import Build, Machine
from pulsewright.physics.air.clearing import clearing_time
from pulsewright.physics.air.vapour import vapour_volume
from pulsewright.physics.beam import divergence_interval
from pulsewright.physics.exposure.classes import CLASS_3B_ENERGY, pulsed_visible_class
from pulsewright.physics.exposure.corrections import EDITIONS
from pulsewright.physics.exposure.distances import (
    corneal_exposure,
    diffuse_hazard_distance,
    nominal_hazard_distance,
    optical_density,
)
from pulsewright.physics.exposure.eyewear import eyewear_letters, eyewear_scale_number
from pulsewright.physics.exposure.permissible import EYE_APERTURE, eye_exposure_limit
from pulsewright.physics.pulsed_power.dump import (
    adiabatic_temperature_rise,
    dump_time,
    resistor_power,
)
from pulsewright.physics.pulsed_power.storage import stored_energy
from pulsewright.records import Shot
from pulsewright.safety.bank_figures import dump_rating

#: Share of the stored energy taken as light where no shot was computed: about the best of such lasers, from memory.
ASSUMED_EFFICIENCY = 0.02
#: Pulse length taken there: the limits of the eye are at their lowest for it.
ASSUMED_DURATION = 1e-6
#: Two nominally equal heads can differ by this; taken where a shot carries no interval.
HEAD_TO_HEAD = 2.0
#: Volume changes of the cell between shots: 1.5 to 3 usual, from memory; three leave 5 % where the cell mixes.
FLUSH_CHANGES = 3.0
#: Voltages to which bleeder and dump are timed: California Title 8 section 2893 and IEC 60204-1.
LOW_VOLTAGES = (50.0, 60.0)
EDITION = EDITIONS[0]


@dataclass(frozen=True, slots=True)
class ChargeFigures:
    """The bank at the voltage it is set to and at the most its charger reaches."""

    charge_voltage: float
    full_voltage: float
    capacitance: float
    stored_energy: float
    full_energy: float


@dataclass(frozen=True, slots=True)
class DrainFigures:
    """What one resistor across the bank does, from full charge. Times in the order of `LOW_VOLTAGES`."""

    resistance: float
    times: tuple[float, ...]
    power: float
    temperature_rise: float | None = None
    energy_rating: float | None = None


@dataclass(frozen=True, slots=True)
class EditionFigures:
    """Exposure of the eye by one edition of the limits."""

    edition: str
    limit: float
    density: float
    distance_low: float
    distance_high: float
    diffuse_distance: float


@dataclass(frozen=True, slots=True)
class BeamFigures:
    """The beam that eyewear and distances are worked out for, and how it is known."""

    energy: float
    wavelength: float
    duration: float
    basis: str
    laser_class: str
    letters: tuple[str, ...]
    scale_number: int
    editions: tuple[EditionFigures, ...]


@dataclass(frozen=True, slots=True)
class SolventFigures:
    """The solvent of all loops together, and the air it would need if all of it evaporated."""

    name: str
    volume: float | None
    flash_point: float | None
    lower_limit: float | None
    vapour: float | None
    share_of_limit: float | None
    room_volume: float | None
    air_changes: float | None
    clearing_time: float | None


@dataclass(frozen=True, slots=True)
class FlushFigures:
    """Fresh dye between shots, one loop: time for `FLUSH_CHANGES` volumes of the cell; None without flow."""

    loop: str
    method: str
    flow: float | None
    time: float | None


@dataclass(frozen=True, slots=True)
class Figures:
    """All of them. `beam` is None where the limits of exposure that this package knows do not reach."""

    charge: ChargeFigures
    bleeder: DrainFigures | None
    dump: DrainFigures | None
    beam: BeamFigures | None
    solvent: SolventFigures
    flush: tuple[FlushFigures, ...]


def figures(build: Build, shot: Shot | None = None) -> Figures:
    """Every number of a machine that the safety sheet shows."""
    charge = charge_figures(build, shot)
    return Figures(
        charge,
        _bleeder(build.machine, charge),
        _dump(build.machine, charge),
        beam_figures(build, shot),
        solvent_figures(build.machine),
        _flush(build.machine),
    )


def charge_figures(build: Build, shot: Shot | None = None) -> ChargeFigures:
    """Stored energy at the charge voltage of the shot, or of the build, and at the most the charger reaches."""
    machine = build.machine
    said = None if shot is None else shot.start.get("charge_voltage")
    voltage = float(machine.bank.charge_voltage if said is None else said)
    full = max(machine.charger.voltage_max, voltage)
    farads = machine.bank.capacitance
    return ChargeFigures(
        voltage, full, farads, float(stored_energy(farads, voltage)), float(stored_energy(farads, full))
    )


def _drain_times(resistance: float, charge: ChargeFigures) -> tuple[float, ...]:
    return tuple(
        float(dump_time(resistance, charge.capacitance, max(charge.full_voltage, low), low)) for low in LOW_VOLTAGES
    )


def _bleeder(machine: Machine, charge: ChargeFigures) -> DrainFigures | None:
    resistance = machine.bank.bleeder_resistance
    if resistance is None:
        return None
    return DrainFigures(
        resistance, _drain_times(resistance, charge), float(resistor_power(charge.full_voltage, resistance))
    )


def _dump(machine: Machine, charge: ChargeFigures) -> DrainFigures | None:
    resistance, volume = machine.dump.resistance, machine.dump.volume
    if resistance is None:
        return None
    return DrainFigures(
        resistance,
        _drain_times(resistance, charge),
        float(resistor_power(charge.full_voltage, resistance)),
        None if volume is None else float(adiabatic_temperature_rise(charge.full_energy, volume)),
        None if (rating := dump_rating(machine)) is None else rating[0],
    )


def _predicted(shot: Shot) -> tuple[float, float, float, str] | None:
    """Energy, wavelength and duration of the shot's output on the careful side, None without output."""
    energy, wave, width = (shot.summary.get(key) for key in ("output_energy", "wavelength", "pulse_width"))
    if energy is None or wave is None or width is None or not (energy.value and wave.value and width.value):
        return None
    most = HEAD_TO_HEAD * energy.value if energy.high is None else max(energy.high, energy.value)
    shortest = width.value if not width.low or width.low <= 0 else min(width.low, width.value)
    end = "twice the predicted energy" if energy.high is None else "upper end of the predicted 90 % interval"
    return most, wave.value, shortest, end


def _beam_basis(build: Build, shot: Shot | None) -> tuple[float, float, float, str] | None:
    """Energy, wavelength and duration with words; None where nothing is known of the wavelength."""
    predicted = None if shot is None else _predicted(shot)
    if predicted is not None:
        return predicted
    reach = dye_of(build.machine).laser_range
    if reach is None:
        return None
    bound = ASSUMED_EFFICIENCY * charge_figures(build).full_energy
    return bound, reach.value, ASSUMED_DURATION, "no output predicted: 2 % of the full charge assumed"


@lru_cache(maxsize=2)
def beam_figures(build: Build, shot: Shot | None = None) -> BeamFigures | None:
    """Eyewear and distances for the beam of the shot, or for a bound where none was computed."""
    basis = _beam_basis(build, shot)
    if basis is None or not 400e-9 <= basis[1] <= 1400e-9:
        return None
    energy, wave, duration, words = basis
    machine = build.machine
    exposure = float(corneal_exposure(energy, EYE_APERTURE))  # a lens may gather all of it
    letters = eyewear_letters(duration)
    visible = wave <= 700e-9 and 1e-11 <= duration <= 0.06
    return BeamFigures(
        energy,
        wave,
        duration,
        words,
        pulsed_visible_class(energy, duration) if visible else ("4" if energy > CLASS_3B_ENERGY else "not worked out"),
        letters,
        max(eyewear_scale_number(letter, exposure) for letter in letters),
        tuple(_edition(name, machine, energy, wave, duration, exposure) for name in EDITIONS),
    )


def _edition(
    name: str, machine: Machine, energy: float, wave: float, duration: float, exposure: float
) -> EditionFigures:
    limit = float(eye_exposure_limit(wave, max(duration, 1e-9), edition=name))
    narrow, wide = (float(angle) for angle in divergence_interval(machine.cell.bore, wave, machine.resonator.length))
    return EditionFigures(
        name,
        limit,
        float(optical_density(exposure, limit)),
        float(nominal_hazard_distance(energy, limit, wide, machine.cell.bore)),
        float(nominal_hazard_distance(energy, limit, narrow, machine.cell.bore)),
        float(diffuse_hazard_distance(energy, limit)),
    )


def solvent_figures(machine: Machine) -> SolventFigures:
    """Solvent, flash point, vapour of the whole fill against the room, and how long the room takes to clear."""
    (row, _), room = dangerous_part(machine), machine.room
    volumes = [loop.volume for loop in machine.loops.values()]
    volume = None if not volumes or None in volumes else math.fsum(v for v in volumes if v is not None)
    vapour = None
    if volume is not None and row.flammable_low is not None:
        vapour = float(vapour_volume(volume, float(row.density), float(row.molar_mass), room.temperature))
    share = None
    if vapour is not None and row.flammable_low is not None and room.volume is not None:
        share = vapour / room.volume / float(row.flammable_low)
    changes = room.air_changes or None
    return SolventFigures(
        row.name,
        volume,
        None if row.flash_point is None else float(row.flash_point),
        None if row.flammable_low is None else float(row.flammable_low),
        vapour,
        share,
        room.volume,
        room.air_changes,
        None if changes is None else float(clearing_time(changes, 0.01)),
    )


def _flush(machine: Machine) -> tuple[FlushFigures, ...]:
    cell = math.pi / 4 * machine.cell.bore**2 * machine.cell.length
    return tuple(
        FlushFigures(name, loop.method, loop.flow, FLUSH_CHANGES * cell / loop.flow if loop.flow else None)
        for name, loop in machine.loops.items()
    )
