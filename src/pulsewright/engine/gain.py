"""Stage gain: populations and photons between the mirrors."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import constants

from pulsewright.engine import resonator
from pulsewright.engine.cell_shape import cell_volume
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.pump import PumpStage
from pulsewright.engine.resonator import LaserBins
from pulsewright.engine.solution import Solution
from pulsewright.physics.dye.kinetics import LEAST_REFLECTIVITY, Cavity, Gain, laser_kinetics

Float = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class GainStage:
    """What came out of the resonator. `wavelength` energy-weighted vacuum centroid, None without output.

    `bins` (K,) as `laser_wavelength`, with `laser_width` [m]. `spectral_power` (S, K) [W/m]: means over intervals about
    `spectrum_time` (S,) [s], whose sum times widths and intervals is the output. `mirrors`: what the kinetics were
    given, with the loss of the tuning element alone (K,) per pass; `coupler_reflectivity` at the wavelengths of the
    output. `locked_fraction` of the output in the bins of an injected line, None without one.
    `only_parasitic`: the parasitic path lases, the resonator does not.
    """

    record: Gain
    laser_wavelength: Float
    laser_width: Float
    bins: LaserBins
    mirrors: Cavity
    tuning_loss: Float
    output_power: Float
    shell_power: Float
    output_spectrum: Float
    spectrum_time: Float
    spectral_power: Float
    output_energy: float
    pulse_width: float | None
    peak_power: float
    wavelength: float | None
    photon_field: str
    round_trip_loss: float
    coupler_reflectivity: float
    locked_fraction: float | None
    only_parasitic: bool


def gain_stage(inputs: Inputs, pump: PumpStage, dye: Solution) -> GainStage:
    """Populations and photons through the pump pulse."""
    bins = resonator.laser_bins(inputs, dye)
    mirrors = resonator.cavity(inputs, dye, bins)
    record = laser_kinetics(
        pump.rate_time,
        resonator.pump_rates(inputs, pump.rate),
        bins.rates,
        mirrors,
        dye.density,
        cell_volume(inputs.machine.cell) / inputs.shells,
        inputs.tolerance,
    )
    photon = constants.h * constants.c / bins.wavelength
    per_bin = record.spectrum.sum(axis=1)
    energy = float(per_bin @ photon)
    centroid = float(np.sum(per_bin * photon * bins.wavelength) / energy) if energy > 0 else None
    mean_photon = energy / per_bin.sum() if energy > 0 else 0.0
    power = record.output_rate.sum(axis=1) * mean_photon
    lased = record.peak_net_gain >= 0.0
    edges = record.spectrum_edges
    return GainStage(
        record=record,
        laser_wavelength=bins.wavelength,
        laser_width=bins.width,
        bins=bins,
        mirrors=mirrors,
        tuning_loss=resonator.tuning_loss(inputs, bins.wavelength),
        output_power=power,
        shell_power=record.output_rate * mean_photon,
        output_spectrum=per_bin * photon / bins.width,
        spectrum_time=0.5 * (edges[1:] + edges[:-1]),
        spectral_power=record.spectral_rate * (photon / bins.width),
        output_energy=energy if lased else 0.0,
        pulse_width=full_width(record.time, power) if lased else None,
        peak_power=float(power.max()) if lased else 0.0,
        wavelength=centroid if lased else None,
        photon_field=resonator.photon_field(inputs, float(dye.laser_wavelength.mean())),
        round_trip_loss=_round_trip_loss(mirrors, per_bin),
        coupler_reflectivity=_weighted(mirrors.coupler, per_bin),
        locked_fraction=_locked(mirrors, per_bin),
        only_parasitic=not lased and record.parasitic_net_gain is not None and record.parasitic_net_gain >= 0.0,
    )


def _weighted(values: Float, output: Float) -> float:
    """Mean over the output; without output, the highest of the band."""
    return float(values @ output / output.sum()) if output.sum() > 0 else float(values.max())


def _locked(mirrors: Cavity, output: Float) -> float | None:
    """Part of the output in the bins into which a line is injected."""
    if mirrors.source is None:
        return None
    inside = mirrors.source >= 0.5 * mirrors.source.max()
    return float(output[inside].sum() / output.sum()) if output.sum() > 0 else 0.0


def _round_trip_loss(mirrors: Cavity, output: Float) -> float:
    """Logarithmic loss of a round trip at the wavelengths of the output; without output, the least of the band."""
    rear, coupler = np.maximum(mirrors.rear, LEAST_REFLECTIVITY), np.maximum(mirrors.coupler, LEAST_REFLECTIVITY)
    loss = -np.log(rear * coupler) + 2 * mirrors.loss
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
