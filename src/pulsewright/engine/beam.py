"""Stage beam: from the output coupler to the target."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import constants
from scipy.special import j1

from pulsewright.engine.cell_shape import cell_area
from pulsewright.engine.gain import GainStage
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.resonator import FIRST_ZERO
from pulsewright.machine.parts import Optic
from pulsewright.physics.beam import bore_filling

Float = NDArray[np.float64]


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


def beam_stage(inputs: Inputs, gain: GainStage) -> BeamStage:
    """Beam size, fluence and irradiance on every surface: cavity at circulating fluence, then the train."""
    machine = inputs.machine
    bore, length = machine.cell.bore, machine.resonator.length
    wavelength = gain.wavelength or float(gain.laser_wavelength.mean())
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
    cavity_energy = np.full(len(inside), circulating_energy(gain, gain.coupler_reflectivity, gain.round_trip_loss))
    area = cell_area(machine.cell)
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
