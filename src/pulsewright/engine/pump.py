"""Stage pump: light of the lamps taken up by the dye."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import constants

from pulsewright.engine import cell_shape
from pulsewright.engine.electric import LightStage
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.solution import Solution
from pulsewright.engine.uptake import LAMP_LADDER, uptake
from pulsewright.physics.lamp import light_kernel
from pulsewright.physics.lamp.tables import spectral_bands

Float = NDArray[np.float64]

#: The kinetics run while the pump exceeds this part of its peak.
PUMP_FLOOR = 0.01
#: Shorter wavelengths are counted as ultraviolet where the dye's absorption is not known. [m]
VISIBLE = 400e-9


@dataclass(frozen=True, slots=True, eq=False)
class PumpStage:
    """Pump light in the dye.

    `power` (T, Z) taken by the dye [W]; `energy` (Z,) by shell [J]; `absorbed_spectrum` (L, Z) [J/m];
    `rate` (M, Z) photons to S1 per ground-state molecule and second on the uniform axis `rate_time` (M,);
    `blind_energy` [J]: light that would reach the cell at wavelengths where the dye's absorption is not known;
    `method` how the map was made, `standard_error` of the absorbed energy by its rays, relative [-]; `given_up` part of
    the lamps' light that no ray brought to an end [-].
    `shell_radius` (Z,) outer radii, of a slab the far sides of its layers [m].
    """

    time: Float
    power: Float
    energy: Float
    rate_time: Float
    rate: Float
    shell_radius: Float
    blind_energy: float
    transmitted_energy: float
    absorbed_spectrum: Float
    method: str
    standard_error: float
    given_up: float


def pump_stage(inputs: Inputs, light: LightStage, dye: Solution) -> PumpStage:
    """Absorbed light and pump rate in every shell of equal volume."""
    machine = inputs.machine
    wavelength, width = spectral_bands()
    found = uptake(inputs, dye.pump_absorption)
    lamps = light.arc_absorptance if found.traced else light.absorptance
    photons = wavelength / (constants.h * constants.c)
    step = float(LAMP_LADDER[1])
    watts, rate, sorted_energy = light_kernel.absorbed_in_shells(
        light.power * dye.dye_share, lamps, found.fraction, step, photons, light.time
    )
    energy = np.trapezoid(watts, light.time, axis=0)
    time, uniform = _uniform(light.time, rate / (dye.density * cell_shape.cell_volume(machine.cell) / inputs.shells))
    spectrum = np.asarray(np.trapezoid(light.power, light.time, axis=0)) * found.through
    return PumpStage(
        time=light.time,
        power=watts,
        energy=energy,
        rate_time=time,
        rate=uniform,
        shell_radius=cell_shape.zone_edges(machine.cell, inputs.shells),
        blind_energy=float(np.sum(spectrum[~dye.known & (wavelength < VISIBLE)])),
        transmitted_energy=float(spectrum.sum()),
        absorbed_spectrum=np.einsum("la,laz->lz", sorted_energy, found.fraction) / width[:, None],
        method=found.method,
        standard_error=_relative_error(sorted_energy, found.fraction, found.error),
        given_up=float(np.sum(sorted_energy * found.cut) / max(float(sorted_energy.sum()), 1e-300)),
    )


def _relative_error(energy: Float, fraction: Float, error: Float) -> float:
    """Standard error of the absorbed energy: one set of rays serves every wavelength, so the errors add straight."""
    absorbed = energy * fraction.sum(axis=-1)
    total = float(absorbed.sum())
    return float(np.sum(absorbed * error) / total) if total > 0 else 0.0


def _uniform(time: Float, rate: Float, points: int = 300) -> tuple[Float, Float]:
    """The pump on a uniform axis over the time in which it matters."""
    total = rate.sum(axis=1)
    high = np.flatnonzero(total > PUMP_FLOOR * total.max()) if total.max() > 0 else np.array([0, len(time) - 1])
    first, last = time[max(high[0] - 1, 0)], time[min(high[-1] + 1, len(time) - 1)]
    axis = np.linspace(first, last, points)
    return axis, np.stack([np.interp(axis, time, column) for column in rate.T], axis=1)
