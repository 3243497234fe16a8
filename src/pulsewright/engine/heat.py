"""Heat, sound and index in the dye cell: what a shot's own heat does to its wavefront, and when the next may follow.

Not a stage of the chain: nothing in the shot depends on it, so it is computed when a shot is put together.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy import constants

from pulsewright import refdata
from pulsewright.engine.cell_shape import cell_volume, is_slab
from pulsewright.engine.chain import Stages
from pulsewright.engine.lamp_pressure import push_on_inner_tube
from pulsewright.engine.liquid import Liquid, liquid
from pulsewright.engine.resonator import cavity
from pulsewright.machine.parts import Machine
from pulsewright.physics.thermal.heat_source import HeatSource, PhotonEnergies, heat_source, shells_to_cells
from pulsewright.physics.thermal.radial_sound import (
    Sound,
    Wall,
    gruneisen_parameter,
    index_slopes,
    radial_sound,
    tube_wall,
)
from pulsewright.physics.thermal.wavefront import (
    MARECHAL,
    ApertureErrors,
    aperture_errors,
    energy_until,
    first_crossing,
    ray_angle,
)

Float = NDArray[np.float64]

#: Energy of T1 over that of S1. Xanthenes: phosphorescence near 1.9 eV against 2.3 eV of S1, from memory; it only
#: shifts heat by the lifetime of the triplet.
TRIPLET_ENERGY = 0.8
#: Poisson's ratio of envelope glasses: fused silica 0.17, borosilicate 0.20 (from memory); of little weight.
POISSON = 0.17
#: Acoustic impedances: air, 1.2 kg/m^3 times 343 m/s; water, 998 kg/m^3 times 1482 m/s, textbook. [Pa s/m]
AIR_IMPEDANCE, WATER_IMPEDANCE = 412.0, 1.479e6
#: Cells from axis to wall (twice as many across a slab); fewer where a pulse lasts for many passes of sound.
CELLS, FEW_CELLS, MANY_PASSES = 48, 32, 60.0
#: Pulses so long that they would need more steps are followed on fewer cells, but not fewer than these.
MOST_STEPS, LEAST_CELLS = 30_000, 24
#: Points of the time axis, and how far it goes beyond the pump, in transits of sound from wall to axis.
SAMPLES, BEYOND = 161, 2.0
#: Channels of the photon budget that leave the dye as directed light, counted at the mean photon of the laser.
LIGHT = ("output", "cavity loss", "amplified spontaneous emission", "parasitic light")
#: Beyond this part of the way from the axis to the wall is the outer part.
OUTER = 0.9


@dataclass(frozen=True, slots=True, eq=False)
class HeatStage:
    """Heat of one shot, the sound it makes, and the wavefront after one pass of the pumped length.

    `heat_time` (M,) [s since the switch closed]; `heat_radius` (N,) from the axis, in a slab from one face [m], with
    `weight` (N,) of the cross-section; `index_change` (M, N) [-]; `errors` (M,) in waves of `wavelength`.
    `first_disturbed`: the path at the edge differs by the limit; `spoilt_time`: the rms of the whole aperture does;
    `widened_time`: `ray_angle` (M,) by which rays are bent in a pass, rms [rad], exceeds half of the largest credible
    divergence, so that the beam is wider than that of an undisturbed head.
    `axis_reached`: sound from the wall since the pump began; `push_arrival`: a pressure of a coaxial lamp at the dye
    that would by itself make the limit; `peak_push` its highest [Pa]. `lowest_pressure` and `highest_pressure` in the
    dye, above that at rest [Pa].
    `shell_heat` (Z,) [J]; `budget` of the energy taken up [J].
    """

    heat_time: Float
    heat_radius: Float
    weight: Float
    index_change: Float
    errors: ApertureErrors
    wavelength: float
    limit: float
    first_disturbed: float | None
    axis_reached: float
    push_arrival: float | None
    peak_push: float
    lowest_pressure: float
    highest_pressure: float
    spoilt_time: float | None
    ray_angle: Float
    widened_time: float | None
    energy_before_spoilt: float
    energy_after_spoilt: float
    shell_heat: Float
    budget: dict[str, float]
    steps: int

    @property
    def wavefront_error(self) -> Float:
        """Root mean square over the aperture with the mean removed, in waves."""
        return self.errors.rms


def heat_stage(stages: Stages, limit: float = MARECHAL, medium: Liquid | None = None, even: bool = False) -> HeatStage:
    """Heat, sound and wavefront of one shot.

    Parameters
    ----------
    stages : Stages
        What the shot computed.
    limit : float
        Error of the wavefront, rms in waves after one pass, from which on the pulse is called spoilt. [-]
    medium : Liquid, optional
        Another liquid of the same shot, to compare; else that of the build.
    even : bool
        Spread the same heat evenly over the cell, to see what its unevenness does.
    """
    machine = stages.inputs.machine
    found = medium or liquid(machine)
    source = heat_of(stages, even)
    wavelength = stages.gain.wavelength or float(stages.dye.laser_wavelength.mean())
    sound, push, temperature = _sound(stages, found, source)
    index, slope = _index(found, sound, temperature)
    length = path_length(machine)
    stiffness = found.density * found.sound_speed**2
    pressure = stiffness * (sound.compression + found.expansion * temperature)
    per_pascal = slope * length / (stiffness * wavelength)  # waves
    across = sound.radius - machine.cell.bore / 2 if is_slab(machine.cell) else sound.radius
    waves = index * (length / wavelength)
    errors = aperture_errors(waves, across, sound.weight)
    angle = ray_angle(index * length, sound.radius, sound.weight)
    time = source.time[0] + sound.time
    spoilt = first_crossing(time, errors.rms, limit)
    before = _output_before(stages, spoilt)
    return HeatStage(
        heat_time=time,
        heat_radius=sound.radius,
        weight=sound.weight,
        index_change=index,
        errors=errors,
        wavelength=wavelength,
        limit=limit,
        first_disturbed=_first_disturbed(time, waves, np.abs(across) / (machine.cell.bore / 2), sound.weight, limit),
        axis_reached=float(source.time[0]) + machine.cell.bore / 2 / found.sound_speed,
        push_arrival=_arrival(source, push, limit / per_pascal if per_pascal > 0 else np.inf),
        peak_push=float(push.max()),
        lowest_pressure=float(pressure.min()),
        highest_pressure=float(pressure.max()),
        spoilt_time=spoilt,
        ray_angle=angle,
        widened_time=first_crossing(time, angle, stages.beam.divergence_high / 2),
        energy_before_spoilt=before,
        energy_after_spoilt=max(stages.gain.output_energy - before, 0.0),
        shell_heat=source.heat[-1],
        budget={name: float(getattr(source, name)[-1].sum()) for name in _BUDGET},
        steps=sound.steps,
    )


def _output_before(stages: Stages, spoilt: float | None) -> float:
    """Output up to a moment; all of it where that never comes, in J."""
    gain = stages.gain
    if spoilt is None or gain.output_energy <= 0:
        return gain.output_energy
    return energy_until(gain.record.time, gain.output_power, spoilt)


_BUDGET = ("absorbed", "fluorescence", "light", "stored", "heat")


def first_share(machine: Machine) -> float:
    """Part of the lamps' light that goes to the first of several cells."""
    return max(1.0 - sum(cell.pump_share for cell in machine.cells.values()), 0.0)


def path_length(machine: Machine) -> float:
    """Length of dye as warm as that of the first cell which one pass meets, in m.

    Cells share one bore, so what light they take bends the same way: in proportion to their light.
    """
    part = first_share(machine)
    return machine.cell.pumped_length / part if part > 0.0 else machine.cell.pumped_length


def heat_of(stages: Stages, even: bool = False) -> HeatSource:
    """Heat of the dye by shell, on the time axis of the gain; `even` spreads it over all shells alike."""
    record, density = stages.gain.record, stages.dye.density
    shells = record.inversion.shape[1]
    molecules = density * cell_volume(stages.inputs.machine.cell) / shells
    ground = 1.0 - record.inversion - record.triplets
    power = _at(record.time, stages.pump.time, stages.pump.power) * (first_share(stages.inputs.machine) * ground)
    singlets, triplets = record.inversion * molecules, record.triplets * molecules
    source = heat_source(
        record.time,
        power,
        singlets,
        triplets,
        stages.dye.rates.radiative,
        _light_rate(stages),
        photon_energies(stages),
    )
    mean = np.broadcast_to(source.heat.mean(axis=1, keepdims=True), source.heat.shape)
    return replace(source, heat=mean) if even else source


def _index(found: Liquid, sound: Sound, temperature: Float) -> tuple[Float, float]:
    """Change of index, and its slope with the logarithm of density."""
    slope, own = index_slopes(found.refractive_index, found.expansion, found.index_temperature_coefficient)
    return slope * sound.compression + own * temperature, slope


def photon_energies(stages: Stages) -> PhotonEnergies:
    """Energies of excitations and photons of this shot.

    What escapes as fluorescence is what the dye does not take back: the part of its band in which it can lase.
    """
    dye, gain = stages.dye, stages.gain
    quantum = constants.h * constants.c
    share = dye.rates.emission_share
    glow = quantum * float(share @ (1.0 / dye.laser_wavelength)) / float(share.sum())
    singlet = quantum / dye.zero_line
    leaving = gain.record.spectrum.sum(axis=1)
    laser = glow if leaving.sum() <= 0 else quantum * float(leaving @ (1.0 / gain.laser_wavelength) / leaving.sum())
    return PhotonEnergies(singlet, TRIPLET_ENERGY * singlet, glow, laser)


def _light_rate(stages: Stages) -> Float:
    """Laser photons that leave each shell of the first cell per second.

    Losses follow the output in time, and in a field that all shells share, each shell gives in proportion to its
    excited molecules and the field in it; so does each cell of several. Without any output they follow the excited
    molecules.
    """
    record = stages.gain.record
    leaving = sum(record.photons.get(name, 0.0) for name in LIGHT) - record.photons.get("injected light", 0.0)
    leaving *= _share_of_first(stages)
    weight = record.inversion
    if record.output_rate.shape[1] == record.inversion.shape[1]:
        shape = record.output_rate
    else:
        overlap = cavity(stages.inputs, stages.dye).overlap
        weight = weight if overlap is None else weight * overlap
        share = weight / np.maximum(weight.sum(axis=1, keepdims=True), 1e-300)
        shape = record.output_rate.sum(axis=1, keepdims=True) * share
    total = float(np.trapezoid(shape, record.time, axis=0).sum())
    if total <= 0.0:
        shape, total = weight, float(np.trapezoid(weight, record.time, axis=0).sum())
    return shape * (leaving / total) if total > 0.0 else np.zeros_like(weight)


def _share_of_first(stages: Stages) -> float:
    """Part of the directed light that the first of several cells gives: its part of the excited molecules."""
    record = stages.gain.record
    if not stages.inputs.machine.cells:
        return 1.0
    columns = cavity(stages.inputs, stages.dye)
    weight = columns.lengths * columns.densities
    others = float(record.further_inversion.sum(axis=(0, 2)) @ weight[1:])
    own = float(record.inversion.sum()) * float(weight[0])
    return own / (own + others) if own + others > 0.0 else 1.0


def _at(time: Float, known: Float, table: Float) -> Float:
    return np.stack([np.interp(time, known, column) for column in table.T], axis=1)


def _sound(stages: Stages, found: Liquid, source: HeatSource) -> tuple[Sound, Float, Float]:
    """Sound of this heat in this cell; the push of a coaxial lamp; temperature without expansion, at the samples."""
    machine = stages.inputs.machine
    passing = machine.cell.bore / 2 / found.sound_speed
    step = float(source.time[1] - source.time[0])
    more = int(np.ceil(BEYOND * passing / step))
    duration = float(source.time[-1] - source.time[0]) + more * step
    cells = CELLS if duration < MANY_PASSES * passing else FEW_CELLS
    cells = min(cells, max(int(MOST_STEPS * passing / duration), LEAST_CELLS))
    volume = cell_volume(machine.cell)
    heat = np.pad(source.heat, ((0, more), (0, 0)), mode="edge") / volume @ _spread(stages, cells).T
    time = source.time[0] + step * np.arange(len(heat))
    push = push_on_inner_tube(stages, time)
    sound = radial_sound(
        heat,
        duration,
        machine.cell.bore if is_slab(machine.cell) else machine.cell.bore / 2,
        found.density,
        found.sound_speed,
        float(gruneisen_parameter(found.expansion, found.sound_speed, found.specific_heat)),
        cell_wall(machine),
        "slab" if is_slab(machine.cell) else "cylinder",
        push,
        samples=SAMPLES,
    )
    rows = np.linspace(0.0, len(heat) - 1.0, SAMPLES)
    low = np.minimum(rows.astype(int), len(heat) - 2)
    given = heat[low] + (rows - low)[:, None] * (heat[low + 1] - heat[low])
    return sound, push, given / (found.density * found.specific_heat)


def _spread(stages: Stages, cells: int) -> Float:
    """Matrix from energies of shells over the whole volume to heat per volume in each cell."""
    shells = stages.gain.record.inversion.shape[1]
    return _matrix(shells, 2 * cells, True) if is_slab(stages.inputs.machine.cell) else _matrix(shells, cells, False)


@lru_cache(maxsize=32)
def _matrix(shells: int, cells: int, flat: bool) -> Float:
    return shells_to_cells(shells, cells, "slab" if flat else "cylinder")


def cell_wall(machine: Machine) -> Wall:
    """What the dye presses on: the tube with what lies behind it; a flat plate has mass but no hoop to hold it."""
    glass = refdata.glass(machine.cell.glass)
    coaxial = any(lamp.shape == "coaxial" for lamp in machine.lamps.values())
    outside = AIR_IMPEDANCE
    if machine.chamber.coolant != "none" and not coaxial:
        outside = WATER_IMPEDANCE
    thickness, density = machine.cell.wall_thickness, float(glass.density)
    if is_slab(machine.cell):
        return Wall(density * thickness, 0.0, outside)
    return tube_wall(machine.cell.bore, thickness, density, float(glass.sound_speed), POISSON, outside)


def _first_disturbed(time: Float, waves: Float, place: Float, weight: Float, limit: float) -> float | None:
    """When the outermost dye differs from the mean of what lies inside the outer part by the limit."""
    inside = place <= OUTER
    core = waves[:, inside] @ weight[inside] / weight[inside].sum()
    edge = waves[:, place >= place.max() * (1.0 - 1e-9)]
    return first_crossing(time, np.abs(edge - core[:, None]).max(axis=1), limit)


def _arrival(source: HeatSource, push: Float, enough: float) -> float | None:
    """When a pressure of a coaxial lamp that would by itself make the limit has come through the inner tube."""
    step = float(source.time[1] - source.time[0])
    return first_crossing(source.time[0] + step * np.arange(len(push)), push, enough)
