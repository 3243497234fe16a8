"""Stage gain: populations and photons between the mirrors."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import constants
from scipy.special import j0

from pulsewright.engine.inputs import Inputs
from pulsewright.engine.pump import PumpStage
from pulsewright.engine.solution import Solution
from pulsewright.physics.dye.kinetics import Cavity, Gain, laser_kinetics
from pulsewright.physics.resonator.diffraction import plane_circular_diffraction_loss
from pulsewright.physics.resonator.two_mirror import fresnel_number

Float = NDArray[np.float64]

#: First zero of the Bessel function J0.
FIRST_ZERO = 2.404825557695773
#: Fresnel number above which plane mirrors let every shell lase by itself.
MANY_MODES = 5.0
#: The asymptotic diffraction loss passes one at Fresnel numbers far below those it is good for: it is cut here.
MOST_DIFFRACTION = 0.9


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
