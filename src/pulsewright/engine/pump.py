"""Stage pump: light of the lamps taken up by the dye."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray
from scipy import constants

from pulsewright import refdata
from pulsewright.engine.electric import LightStage, glass_transmission
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.solution import Solution
from pulsewright.machine.parts import Chamber
from pulsewright.physics.chamber import diffuse, geometry
from pulsewright.physics.lamp import light_kernel
from pulsewright.physics.lamp.tables import spectral_bands

Float = NDArray[np.float64]

#: Absorption coefficients and lamp absorptances for which a pump map is made.
LADDER = np.geomspace(0.1, 1e5, 73)
LAMP_LADDER = np.linspace(0.0, 1.0, 33)
#: The kinetics run while the pump exceeds this part of its peak.
PUMP_FLOOR = 0.01
#: Shorter wavelengths are counted as ultraviolet where the dye's absorption is not known. [m]
VISIBLE = 400e-9


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
