"""Stages pump, gain and beam: from the light of the lamps to the target."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy import constants
from scipy.special import j0, j1

from pulsewright import refdata
from pulsewright.engine.electric import LightStage, glass_transmission
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.solution import Solution
from pulsewright.machine.parts import Chamber, Optic
from pulsewright.physics.beam import bore_filling
from pulsewright.physics.chamber import diffuse, geometry
from pulsewright.physics.dye.kinetics import Cavity, Gain, laser_kinetics
from pulsewright.physics.lamp import light_kernel
from pulsewright.physics.lamp.tables import spectral_bands
from pulsewright.physics.resonator.diffraction import plane_circular_diffraction_loss
from pulsewright.physics.resonator.two_mirror import fresnel_number

Float = NDArray[np.float64]

#: Absorption coefficients and lamp absorptances for which a pump map is made.
LADDER = np.geomspace(0.1, 1e5, 73)
LAMP_LADDER = np.linspace(0.0, 1.0, 33)
#: The kinetics run while the pump exceeds this part of its peak.
PUMP_FLOOR = 0.01
#: Shorter wavelengths are counted as ultraviolet where the dye's absorption is not known. [m]
VISIBLE = 400e-9
#: First zero of the Bessel function J0.
FIRST_ZERO = 2.404825557695773
#: Fresnel number above which plane mirrors let every shell lase by itself.
MANY_MODES = 5.0
#: The asymptotic diffraction loss passes one at Fresnel numbers far below those it is good for: it is cut here.
MOST_DIFFRACTION = 0.9


@dataclass(frozen=True, slots=True, eq=False)
class PumpStage:
    """Pump light in the dye.

    `power` (T, Z) taken by the dye [W]; `energy` (Z,) by shell [J];
    `rate` (M, Z) photons to S1 per ground-state molecule and second on the uniform axis `rate_time` (M,);
    `blind_energy` [J]: light in the cavity at wavelengths where the dye's absorption is not known.
    """

    time: Float
    power: Float
    energy: Float
    rate_time: Float
    rate: Float
    shell_radius: Float
    blind_energy: float
    transmitted_energy: float


@dataclass(frozen=True, slots=True, eq=False)
class GainStage:
    """What came out of the resonator. `wavelength` energy-weighted vacuum centroid, None without output."""

    record: Gain
    laser_wavelength: Float
    output_power: Float
    shell_power: Float
    output_spectrum: Float
    output_energy: float
    pulse_width: float | None
    peak_power: float
    wavelength: float | None
    photon_field: str
    round_trip_loss: float


@dataclass(frozen=True, slots=True, eq=False)
class BeamStage:
    """The beam on every surface, cavity first. `names` are optic ids, the last is `target`."""

    names: tuple[str, ...]
    distance: Float
    diameter: Float
    energy: Float
    fluence: Float
    irradiance: Float
    circulating: tuple[bool, ...]
    divergence_low: float
    divergence_high: float


def pump_stage(inputs: Inputs, light: LightStage, dye: Solution) -> PumpStage:
    """Absorbed light and pump rate in every equal-area shell."""
    machine = inputs.machine
    wavelength, _ = spectral_bands()
    reaching = light.power * _between(inputs)
    fraction = _fractions(inputs, dye.pump_absorption)
    photons = wavelength / (constants.h * constants.c)
    step = float(LAMP_LADDER[1])
    watts, rate = light_kernel.absorbed_in_shells(reaching * dye.dye_share, light.absorptance, fraction, step, photons)
    energy = np.trapezoid(watts, light.time, axis=0)
    radius, length = machine.cell.bore / 2, machine.cell.pumped_length
    volume = np.pi * radius**2 * length / inputs.shells
    time, uniform = _uniform(light.time, rate / (dye.density * volume))
    spectrum = np.asarray(np.trapezoid(reaching, light.time, axis=0))
    return PumpStage(
        time=light.time,
        power=watts,
        energy=energy,
        rate_time=time,
        rate=uniform,
        shell_radius=radius * np.sqrt(np.arange(1, inputs.shells + 1) / inputs.shells),
        blind_energy=float(np.sum(spectrum[~dye.known & (wavelength < VISIBLE)])),
        transmitted_energy=float(spectrum.sum()),
    )


def _between(inputs: Inputs) -> Float:
    """Transmission from lamp envelope to dye: coolant, filter, cell wall."""
    machine = inputs.machine
    wavelength, _ = spectral_bands()
    through = glass_transmission(machine.cell.glass, machine.cell.wall_thickness)
    curve = refdata.filter_jacket(machine.chamber.filter).transmission
    if curve is not None:
        through = through * np.interp(wavelength, curve.wavelength, curve.values)
    coolant = refdata.coolant(machine.chamber.coolant).absorption_coefficient
    if coolant is not None:
        depth = _coolant_path(machine.chamber)
        through = through * np.exp(-np.interp(wavelength, coolant.wavelength, coolant.values) * depth)
    return np.asarray(through)


def _coolant_path(chamber: Chamber) -> float:
    """Mean path through the coolant: one mean chord of the chamber cross-section, 4 area / perimeter, in m."""
    if chamber.semi_major and chamber.semi_minor:
        a, b = chamber.semi_major, chamber.semi_minor
        return float(2 * a * b / np.sqrt((a * a + b * b) / 2))
    if chamber.diameter:
        return chamber.diameter
    return (chamber.perimeter or 0.0) / np.pi


def _fractions(inputs: Inputs, absorption: Float) -> Float:
    """Fraction of the cavity's light that each shell takes: (L, A, Z).

    What is interpolated along the ladder is the fraction over that of one diameter, which hardly varies.
    """
    table = pump_map(inputs)
    diameter = inputs.machine.cell.bore
    position = np.interp(np.log(np.maximum(absorption, LADDER[0])), np.log(LADDER), np.arange(len(LADDER)))
    index = np.minimum(position.astype(int), len(LADDER) - 2)
    part = (position - index)[:, None, None]
    straight = -np.expm1(-LADDER * diameter)[:, None, None]
    ratio = table / straight
    found = (1 - part) * ratio[index] + part * ratio[index + 1]
    return np.ascontiguousarray(found * -np.expm1(-absorption * diameter)[:, None, None])


def pump_map(inputs: Inputs) -> Float:
    """Absorbed fraction against absorption coefficient, lamp absorptance and shell, cached by geometry."""
    machine, chamber = inputs.machine, inputs.machine.chamber
    lamps = tuple((lamp.bore + 2 * lamp.wall_thickness, lamp.arc_length) for lamp in machine.lamps.values())
    return _pump_map(
        geometry.chamber_wall_area(
            chamber.reflector,
            chamber.length,
            chamber.semi_major,
            chamber.semi_minor,
            chamber.diameter,
            chamber.perimeter,
        ),
        chamber.reflectivity,
        chamber.opening_fraction,
        sum(np.pi * d * length for d, length in lamps),
        machine.cell.bore / 2,
        machine.cell.pumped_length,
        inputs.shells,
    )


@lru_cache(maxsize=64)
def _pump_map(
    wall: float, reflectivity: float, opening: float, lamp: float, radius: float, length: float, shells: int
) -> Float:
    return diffuse.diffuse_pump_map(
        LADDER,
        LAMP_LADDER,
        radius=radius,
        pumped_length=length,
        wall_area=wall,
        reflectivity=reflectivity,
        opening_fraction=opening,
        lamp_area=lamp,
        shells=shells,
    )


def _uniform(time: Float, rate: Float, points: int = 300) -> tuple[Float, Float]:
    """The pump on a uniform axis over the time in which it matters."""
    total = rate.sum(axis=1)
    high = np.flatnonzero(total > PUMP_FLOOR * total.max()) if total.max() > 0 else np.array([0, len(time) - 1])
    first, last = time[max(high[0] - 1, 0)], time[min(high[-1] + 1, len(time) - 1)]
    axis = np.linspace(first, last, points)
    return axis, np.stack([np.interp(axis, time, column) for column in rate.T], axis=1)


def cavity(inputs: Inputs, dye: Solution) -> Cavity:
    """Mirrors, losses and the field's overlap with the shells."""
    machine = inputs.machine
    resonator = machine.resonator
    ones = np.ones_like(dye.laser_wavelength)
    rear, coupler = machine.optics[resonator.rear], machine.optics[resonator.coupler]
    length = resonator.length + (dye.index - 1) * machine.cell.length
    radius = machine.cell.bore / 2
    # the dye between pumped length and windows absorbs the laser's light and returns nothing
    ends = dye.rates.absorption * dye.density * max(machine.cell.length - machine.cell.pumped_length, 0.0)
    wavelength = float(dye.laser_wavelength.mean())
    return Cavity(
        optical_length=length,
        pumped_length=machine.cell.pumped_length,
        index=dye.index,
        rear=(rear.reflectivity or 0.0) * ones,
        coupler=(coupler.reflectivity or 0.0) * ones,
        loss=-np.log1p(-resonator.loss_per_pass) - np.log1p(-diffraction_loss(inputs, wavelength)) + ends,
        solid_angle=float(np.pi * (radius / resonator.length) ** 2),
        overlap=_overlap(inputs, wavelength),
    )


def photon_field(inputs: Inputs, wavelength: float) -> str:
    """`by shell` or `single mode`, as the build says or, for `auto`, by the Fresnel number."""
    machine = inputs.machine
    if machine.resonator.photon_field != "auto":
        return machine.resonator.photon_field
    return "by shell" if bore_fresnel_number(inputs, wavelength) > MANY_MODES else "single mode"


def bore_fresnel_number(inputs: Inputs, wavelength: float) -> float:
    """Fresnel number of the bore over the length of the resonator."""
    return float(fresnel_number(inputs.machine.cell.bore / 2, wavelength, inputs.machine.resonator.length))


def diffraction_loss(inputs: Inputs, wavelength: float) -> float:
    """Part that the lowest mode of plane mirrors loses at the bore in one pass; nothing for shells by themselves."""
    if photon_field(inputs, wavelength) == "by shell":
        return 0.0
    return min(float(plane_circular_diffraction_loss(bore_fresnel_number(inputs, wavelength))), MOST_DIFFRACTION)


def _overlap(inputs: Inputs, wavelength: float) -> Float | None:
    """Field density of the lowest plane-mirror mode in each equal-area shell over its mean; None by shell.

    The lowest mode of plane circular mirrors is close to J0(2.405 r/a) (Fox and Li, Bell Syst. Tech. J. 40, 453, 1961).
    """
    if photon_field(inputs, wavelength) == "by shell":
        return None
    edge = np.sqrt(np.linspace(0, 1, inputs.shells * 16 + 1))
    middle = 0.5 * (edge[1:] + edge[:-1])
    density = j0(FIRST_ZERO * middle) ** 2
    shells = density.reshape(inputs.shells, 16).mean(axis=1)
    return np.asarray(shells / shells.mean())


def gain_stage(inputs: Inputs, pump: PumpStage, dye: Solution) -> GainStage:
    """Populations and photons through the pump pulse."""
    machine = inputs.machine
    volume = np.pi * machine.cell.bore**2 / 4 * machine.cell.pumped_length / inputs.shells
    mirrors = cavity(inputs, dye)
    record = laser_kinetics(pump.rate_time, pump.rate, dye.rates, mirrors, dye.density, volume, inputs.tolerance)
    photon = constants.h * constants.c / dye.laser_wavelength
    per_bin = record.spectrum.sum(axis=1)
    energy = float(per_bin @ photon)
    centroid = float(np.sum(per_bin * photon * dye.laser_wavelength) / energy) if energy > 0 else None
    mean_photon = energy / per_bin.sum() if energy > 0 else 0.0
    power = record.output_rate.sum(axis=1) * mean_photon
    lased = record.peak_net_gain >= 0.0
    return GainStage(
        record=record,
        laser_wavelength=dye.laser_wavelength,
        output_power=power,
        shell_power=record.output_rate * mean_photon,
        output_spectrum=per_bin * photon / dye.laser_width,
        output_energy=energy if lased else 0.0,
        pulse_width=full_width(record.time, power) if lased else None,
        peak_power=float(power.max()) if lased else 0.0,
        wavelength=centroid if lased else None,
        photon_field=photon_field(inputs, float(dye.laser_wavelength.mean())),
        round_trip_loss=_round_trip_loss(mirrors, per_bin),
    )


def _round_trip_loss(mirrors: Cavity, output: Float) -> float:
    """Logarithmic loss of a round trip at the wavelengths of the output; without output, the least of the band."""
    loss = -np.log(mirrors.rear * mirrors.coupler) + 2 * mirrors.loss
    return float(loss @ output / output.sum()) if output.sum() > 0 else float(loss.min())


def full_width(time: Float, power: Float) -> float | None:
    """Full width at half maximum: from the first rise through half to the last fall through it, in s."""
    half = 0.5 * power.max()
    above = np.flatnonzero(power >= half)
    if half <= 0 or len(above) == 0:
        return None
    first, last = int(above[0]), int(above[-1])
    start = time[first]
    if first > 0:
        start = np.interp(half, [power[first - 1], power[first]], [time[first - 1], time[first]])
    stop = time[last]
    if last < len(time) - 1:
        stop = np.interp(-half, [-power[last], -power[last + 1]], [time[last], time[last + 1]])
    return float(stop - start)


def beam_stage(inputs: Inputs, gain: GainStage) -> BeamStage:
    """Beam size, fluence and irradiance on every surface: cavity at circulating fluence, then the train."""
    machine = inputs.machine
    bore, length = machine.cell.bore, machine.resonator.length
    wavelength = gain.wavelength or float(gain.laser_wavelength.mean())
    coupler = machine.optics[machine.resonator.coupler]
    inside = [name for name, optic in machine.optics.items() if optic.place == "cavity"]
    train = sorted(
        (
            (name, optic)
            for name, optic in machine.optics.items()
            if optic.place == "train" and optic.distance is not None
        ),
        key=lambda pair: pair[1].distance or 0.0,
    )
    places: list[tuple[str, float, float, float, float]] = [_surface(name, optic) for name, optic in train]
    if machine.target.distance is not None:
        places.append(("target", machine.target.distance, np.inf, np.inf, 1.0))
    # the hot-spot factor is peak over mean of the whole beam; the shells set a floor under it
    factor = max(machine.resonator.hot_spot_factor, profile_factor(gain))
    low, high = bore_filling.divergence_interval(bore, wavelength, length)
    names = tuple(inside) + tuple(place[0] for place in places)
    cavity_energy = np.full(len(inside), circulating_energy(gain, coupler.reflectivity or 0.0, gain.round_trip_loss))
    area = np.pi * bore**2 / 4
    cavity_fluence = cavity_energy * factor / area
    scale = gain.peak_power / gain.output_energy if gain.output_energy > 0 else 0.0
    if places:
        distance, focal, aperture, through = (
            np.array(column, dtype=float) for column in zip(*(p[1:] for p in places), strict=True)
        )
        beam = bore_filling.first_version(
            gain.output_energy, gain.peak_power, wavelength, bore, length, distance, focal, aperture, through, factor
        )
        parts = (distance, beam.diameter_low, beam.energy, beam.fluence)
    else:
        parts = (np.zeros(0), np.zeros(0), np.zeros(0), np.zeros(0))
    fluence = np.concatenate([cavity_fluence, parts[3]])
    return BeamStage(
        names=names,
        distance=np.concatenate([np.zeros(len(inside)), parts[0]]),
        diameter=np.concatenate([np.full(len(inside), bore), parts[1]]),
        energy=np.concatenate([cavity_energy, parts[2]]),
        fluence=fluence,
        irradiance=fluence * scale,
        circulating=tuple([True] * len(inside) + [False] * len(places)),
        divergence_low=float(low),
        divergence_high=float(high),
    )


def circulating_energy(gain: GainStage, reflectivity: float, round_trip_loss: float) -> float:
    """Energy that passes an optic inside the cavity, both ways, per shot, in J.

    The larger of output x (1 + R) / (1 - R) and 2 (output + lost) / round-trip loss, which also holds for R = 1.
    """
    photons = gain.record.photons
    lost = photons["output"] + photons["cavity loss"]
    if gain.record.peak_net_gain < 0 or lost <= 0:
        return 0.0
    wavelength = gain.wavelength or float(gain.laser_wavelength.mean())
    stored = 2 * lost * constants.h * constants.c / wavelength / round_trip_loss
    at_coupler = gain.output_energy * (1 + reflectivity) / (1 - reflectivity) if reflectivity < 1 else 0.0
    return float(max(stored, at_coupler))


def _surface(name: str, optic: Optic) -> tuple[str, float, float, float, float]:
    """Id, distance, focal length, aperture and throughput of one optic of the train."""
    focal = np.inf
    if optic.kind == "lens" and optic.focal_length:
        focal = optic.focal_length
    elif optic.kind == "mirror" and np.isfinite(optic.curvature):
        focal = optic.curvature / 2
    through = optic.reflectivity if optic.kind == "mirror" else optic.transmission
    return name, optic.distance or 0.0, focal, optic.diameter or np.inf, 1.0 if through is None else through


def profile_factor(gain: GainStage) -> float:
    """Highest over mean fluence of the near field, across the shells or of the single mode: at least one."""
    if gain.photon_field == "single mode":
        return float(1.0 / j1(FIRST_ZERO) ** 2)  # of J0^2 over its disc
    by_shell = gain.record.spectrum.sum(axis=0)
    if by_shell.size < 2 or by_shell.sum() <= 0:
        return 1.0
    return float(by_shell.max() / by_shell.mean())
