"""After the shot: how long until the dye is even enough for the next, and what a warmer or colder coolant does."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pulsewright.engine.cell_shape import cell_area, is_slab
from pulsewright.engine.heat import HeatStage, path_length
from pulsewright.engine.liquid import Liquid, liquid
from pulsewright.machine.parts import DyeLoop, Machine
from pulsewright.physics.flow.flush import flush_volumes
from pulsewright.physics.thermal.conduction import Shape, bore_temperature, mean_bore_temperature
from pulsewright.physics.thermal.settling import thermal_diffusivity, thermal_settling_time
from pulsewright.physics.thermal.wavefront import aperture_errors, conduction_wait

Float = NDArray[np.float64]

#: Points across the bore, and moments of a stagnant one, as Fourier numbers.
POINTS, MOMENTS = 200, np.geomspace(1e-4, 0.6, 40)
#: What a flush leaves of the mean heat may be spread as unevenly as can be: this part of it as rms.
UNEVEN = 0.5
#: A loop that keeps nothing moving through the cell.
STAGNANT = "stagnant"


@dataclass(frozen=True, slots=True)
class HeatAfter:
    """What one shot leaves behind, and what coolant and dye do to each other.

    `mean_rise` of the dye [K]; `mean_waves` of path by it once expanded; `time_constant` of conduction in the bore at
    rest [s]; `waiting_time` [s], None where the dye is not moved and conduction does not end it; `how`: `conduction`,
    `flow`, `fill` (a fill that each shot renews) or `nothing`; `volumes` of the cell that must pass, `flush_volume`
    [m^3], `passes`: cell volumes that pass between two shots, None where flow or period is not known.
    `waves_per_tenth`: rms error when coolant and dye differ by 0.1 K; `mismatch`: coolant less dye [K], with
    `mismatch_waves`.
    """

    mean_rise: float
    mean_waves: float
    time_constant: float
    waiting_time: float | None
    how: str
    volumes: float
    flush_volume: float
    passes: float | None
    waves_per_tenth: float
    mismatch: float
    mismatch_waves: float


def heat_after(machine: Machine, heat: HeatStage, medium: Liquid | None = None) -> HeatAfter:
    """Waiting time, flush and temperature matching of a build after one shot."""
    found = medium or liquid(machine)
    cell = machine.cell
    diffusivity = float(thermal_diffusivity(found.thermal_conductivity, found.density, found.specific_heat))
    constant = slowest_decay(machine, diffusivity)
    given = heat.budget["heat"] + heat.budget["stored"]
    rise = max(given, 0.0) / (cell_area(cell) * cell.pumped_length * found.density * found.specific_heat)
    per_kelvin = abs(found.index_temperature_coefficient) * path_length(machine) / heat.wavelength
    waves = rise * per_kelvin
    volumes = float(flush_volumes(min(heat.limit / (UNEVEN * waves), 1.0))) if waves > 0.0 else 0.0
    volume = cell_area(cell) * cell.length
    loop, flow = loop_of(machine)
    wait, how = float(conduction_wait(waves, constant, heat.limit)), "conduction"
    if flow > 0.0:
        wait, how = volumes * volume / flow, "flow"
    elif loop is not None and loop.method == "fresh fill":
        how = "fill"
    tenth = 0.1 * per_kelvin * layer_error(machine, diffusivity, flow)
    coolant = machine.chamber.coolant_temperature
    mismatch = 0.0 if coolant is None or machine.chamber.coolant == "none" else coolant - machine.dye.temperature
    return HeatAfter(
        mean_rise=rise,
        mean_waves=waves,
        time_constant=constant,
        waiting_time=None if how == "fill" else wait,
        how=how,
        volumes=volumes,
        flush_volume=volumes * volume,
        passes=_passes(machine, loop, flow, volume),
        waves_per_tenth=tenth,
        mismatch=mismatch,
        mismatch_waves=tenth * abs(mismatch) / 0.1,
    )


def loop_of(machine: Machine) -> tuple[DyeLoop | None, float]:
    """The loop that feeds the cell, the first of the file, and its flow in m^3/s."""
    loop = next(iter(machine.loops.values()), None)
    if loop is None or loop.method == STAGNANT:
        return loop, 0.0
    return loop, loop.flow or 0.0


def _passes(machine: Machine, loop: DyeLoop | None, flow: float, volume: float) -> float | None:
    """Cell volumes that pass from one shot to the next."""
    period = machine.charger.repeat_period
    if flow > 0.0:
        return None if period is None else flow * period / volume
    if loop is not None and loop.method == "fresh fill":
        return (loop.volume_per_shot or volume) / volume
    return None


def slowest_decay(machine: Machine, diffusivity: float) -> float:
    """Time constant of conduction to the walls, in s; between flat faces that of the slowest cosine."""
    if is_slab(machine.cell):
        return machine.cell.bore**2 / (np.pi**2 * diffusivity)
    return float(thermal_settling_time(machine.cell.bore / 2, diffusivity))


def layer_error(machine: Machine, diffusivity: float, flow: float) -> float:
    """Error of the wavefront over the waves that the whole difference of temperature would make, rms.

    With flow, of the layer at the wall that the dye keeps on its way through; at rest, the worst moment while the dye
    takes the temperature of its wall.
    """
    ratio = (np.arange(POINTS) + 0.5) / POINTS
    radius = machine.cell.bore / 2
    shape: Shape = "slab" if is_slab(machine.cell) else "cylinder"
    if flow > 0.0:
        through = cell_area(machine.cell) * machine.cell.length / flow
        share = mean_bore_temperature(ratio, diffusivity * through / radius**2, shape)
    else:
        share = bore_temperature(ratio, MOMENTS, shape)
    weight = np.ones(POINTS) if is_slab(machine.cell) else ratio
    return float(aperture_errors(share, ratio, weight).rms.max())
