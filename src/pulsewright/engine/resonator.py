"""The resonator of a build bound to the gain: bins, mirrors, losses, further cells, parasitic path, injected line."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy import constants
from scipy.interpolate import PchipInterpolator
from scipy.special import erf, j0

from pulsewright.engine.cell_shape import cell_area, half_width, is_slab
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.solution import Solution
from pulsewright.machine.parts import FurtherCell
from pulsewright.physics.dye.kinetics import Cavity, Column, DyeRates, Parasitic
from pulsewright.physics.resonator import diffraction, tuning
from pulsewright.physics.resonator.two_mirror import fresnel_number

Float = NDArray[np.float64]

#: First zero of the Bessel function J0.
FIRST_ZERO = 2.404825557695773
#: Fresnel number above which plane mirrors let every shell lase by itself.
MANY_MODES = 5.0
#: The asymptotic diffraction loss passes one at Fresnel numbers far below those it is good for: it is cut here.
MOST_DIFFRACTION = 0.9


@dataclass(frozen=True, slots=True, eq=False)
class LaserBins:
    """The bins of the laser: `wavelength` and `width` (K,) [m], rates of the dye on them, `extra` absorption of the
    solution beside the dye's ground state (K,) [1/m].
    """

    wavelength: Float
    width: Float
    rates: DyeRates
    extra: Float


def laser_bins(inputs: Inputs, dye: Solution) -> LaserBins:
    """Bins of the dye, or, with a tuning element, bins that stand dense about its band."""
    resonator = inputs.machine.resonator
    extra = dye.product_absorption + dye.dimer_absorption
    uniform = np.full_like(dye.laser_wavelength, dye.laser_width)
    centre, width = resonator.tuned_wavelength, resonator.tuned_width
    if resonator.tuning == "free running" or centre is None or width is None:
        return LaserBins(dye.laser_wavelength, uniform, dye.rates, extra * np.ones_like(uniform))
    low, high = dye.laser_wavelength[0] - 0.5 * dye.laser_width, dye.laser_wavelength[-1] + 0.5 * dye.laser_width
    centres = np.array([centre])
    if resonator.tuning == "etalon" and resonator.tuning_period is not None:
        centres = tuning.pass_bands(low, high, centre, resonator.tuning_period)
        centres = centres if len(centres) else np.array([centre])
    edges = tuning.tuned_edges(low, high, inputs.bins, centres, width)
    middle = 0.5 * (edges[1:] + edges[:-1])
    return _on_bins(dye, middle, np.diff(edges), extra)


def _on_bins(dye: Solution, wavelength: Float, width: Float, extra: Float | float) -> LaserBins:
    """The dye's cross-sections, which are smooth, carried to other bins."""
    names = ("emission", "absorption", "excited_absorption", "triplet_absorption", "emission_share")
    columns = [getattr(dye.rates, name) for name in names] + [extra * np.ones_like(dye.laser_wavelength)]
    found = PchipInterpolator(dye.laser_wavelength, np.stack(columns, axis=1), extrapolate=True)(wavelength)
    found = np.maximum(found, 0.0).T
    rates = replace(
        dye.rates, **dict(zip(names[:-1], found, strict=False)), emission_share=found[4] / dye.laser_width * width
    )
    return LaserBins(wavelength, width, rates, found[5])


def reflectivity(inputs: Inputs, part: str, wavelength: Float) -> Float:
    """Of a mirror at the bins: its curve where one was measured, otherwise its one number."""
    curve = inputs.machine.curves.get(f"optics.{part}.reflectivity_file")
    if curve is not None:
        return np.asarray(curve.at(wavelength))
    return np.full_like(wavelength, inputs.machine.optics[part].reflectivity or 0.0)


def cavity(inputs: Inputs, dye: Solution, bins: LaserBins | None = None) -> Cavity:
    """Mirrors, losses, the field's overlap with the shells, and what else stands in the path."""
    machine, resonator = inputs.machine, inputs.machine.resonator
    bins = laser_bins(inputs, dye) if bins is None else bins
    rear, coupler = (reflectivity(inputs, part, bins.wavelength) for part in (resonator.rear, resonator.coupler))
    rear = 0.0 * rear if resonator.blocked == "rear" else rear
    closed = resonator.blocked == "coupler"
    coupler = 0.0 * coupler if closed else coupler
    area = cell_area(machine.cell)
    in_dye = _unlit_loss(inputs, dye, bins)
    dye_length = machine.cell.length + sum(cell.length for cell in machine.cells.values())
    middle = float(dye.laser_wavelength.mean())
    windows = -np.log1p(-resonator.loss_per_pass) - np.log1p(-diffraction_loss(inputs, middle))
    return Cavity(
        optical_length=resonator.length + (dye.index - 1) * dye_length,
        pumped_length=machine.cell.pumped_length,
        index=dye.index,
        rear=rear,
        coupler=coupler,
        loss=windows + in_dye + tuning_loss(inputs, bins.wavelength),
        solid_angle=float(area / resonator.length**2),
        overlap=_overlap(inputs, middle),
        further=tuple(
            Column(lit_length(cell), (cell.concentration or machine.dye.concentration) / machine.dye.concentration)
            for cell in machine.cells.values()
        ),
        source=_source(inputs, bins, rear),
        parasitic=_parasitic(inputs, dye, in_dye, dye_length, area),
        radius=float(np.sqrt(area / np.pi)),
        closed=closed,
    )


def lit_length(cell: FurtherCell) -> float:
    """Length of a further cell whose populations are followed: the pumped one, or all where nothing pumps it, in m."""
    return cell.pumped_length if cell.pumped_length > 0 else cell.length


def pump_rates(inputs: Inputs, rate: Float) -> Float:
    """Pump rates of all cells (M, C, Z) from those of the first cell as if it had all the light (M, Z)."""
    machine = inputs.machine
    cells = machine.cells.values()
    first = machine.cell.pumped_length * machine.dye.concentration
    parts = [1.0 - sum(cell.pump_share for cell in cells)]
    for cell in cells:
        molecules = lit_length(cell) * (cell.concentration or machine.dye.concentration)
        parts.append(cell.pump_share * first / molecules if cell.pumped_length > 0 else 0.0)
    return np.asarray(rate[:, None, :] * np.maximum(np.array(parts), 0.0)[None, :, None])


def _unlit_loss(inputs: Inputs, dye: Solution, bins: LaserBins) -> Float:
    """Loss of a pass in dye beside the pumped lengths, which returns nothing, and by all else in the solution."""
    machine = inputs.machine
    absorption = bins.rates.absorption * dye.density
    lost = absorption * max(machine.cell.length - machine.cell.pumped_length, 0.0) + bins.extra * machine.cell.length
    for cell in machine.cells.values():
        ratio = (cell.concentration or machine.dye.concentration) / machine.dye.concentration
        lost = lost + ratio * absorption * max(cell.length - lit_length(cell), 0.0) + ratio * bins.extra * cell.length
    return np.asarray(lost)


def tuning_loss(inputs: Inputs, wavelength: Float) -> Float:
    """Loss of a pass in the tuning element at the bins; none when free running."""
    resonator = inputs.machine.resonator
    centre, width, period = resonator.tuned_wavelength, resonator.tuned_width, resonator.tuning_period
    if resonator.tuning == "free running" or centre is None or width is None:
        return np.zeros_like(wavelength)
    if resonator.tuning == "etalon" and period is not None:
        return np.asarray(tuning.periodic_loss(wavelength, centre, width, period, resonator.tuning_loss))
    return np.asarray(tuning.tuned_loss(wavelength, centre, width, resonator.tuning_loss))


def _source(inputs: Inputs, bins: LaserBins, rear: Float) -> Float | None:
    """Photons of an injected line that pass the rear mirror into each bin, per second."""
    resonator = inputs.machine.resonator
    power, centre = resonator.injection_power, resonator.injection_wavelength
    if not power or centre is None or resonator.blocked == "rear":
        return None
    edges = np.concatenate([bins.wavelength - 0.5 * bins.width, [bins.wavelength[-1] + 0.5 * bins.width[-1]]])
    scale = (resonator.injection_width or 0.0) / (2 * np.sqrt(np.log(2)))
    passed = 0.5 * (1 + erf((edges - centre) / scale)) if scale > 0 else np.asarray(edges >= centre, dtype=float)
    entering = power * centre / (constants.h * constants.c) * np.diff(passed) * (1 - rear)
    return entering if entering.sum() > 0 else None


def _parasitic(inputs: Inputs, dye: Solution, in_dye: Float, dye_length: float, area: float) -> Parasitic | None:
    """The path between the parasitic ends: longer than the dye, or the cell itself."""
    resonator, cell = inputs.machine.resonator, inputs.machine.cell
    if resonator.parasitic_reflectivity is None:
        return None
    length = resonator.parasitic_length or dye_length
    wet = min(max(length, cell.pumped_length), dye_length)
    return Parasitic(
        optical_length=max(length, cell.pumped_length) + (dye.index - 1) * wet,
        reflectivity=resonator.parasitic_reflectivity,
        loss=in_dye,
        solid_angle=float(area / length**2),
    )


def photon_field(inputs: Inputs, wavelength: float) -> str:
    """`by shell` or `single mode`, as the build says or, for `auto`, by the Fresnel number."""
    machine = inputs.machine
    if machine.resonator.photon_field != "auto":
        return machine.resonator.photon_field
    return "by shell" if bore_fresnel_number(inputs, wavelength) > MANY_MODES else "single mode"


def bore_fresnel_number(inputs: Inputs, wavelength: float) -> float:
    """Fresnel number of the bore, or of the thickness of a slab, over the length of the resonator."""
    return float(fresnel_number(half_width(inputs.machine.cell), wavelength, inputs.machine.resonator.length))


def diffraction_loss(inputs: Inputs, wavelength: float) -> float:
    """Part that the lowest mode of plane mirrors loses at the bore in one pass; nothing for shells by themselves."""
    if photon_field(inputs, wavelength) == "by shell":
        return 0.0
    number = bore_fresnel_number(inputs, wavelength)
    slab = is_slab(inputs.machine.cell)
    loss = (
        diffraction.plane_strip_diffraction_loss(number)
        if slab
        else diffraction.plane_circular_diffraction_loss(number)
    )
    return min(float(loss), MOST_DIFFRACTION)


def _overlap(inputs: Inputs, wavelength: float) -> Float | None:
    """Field density of the lowest plane-mirror mode in each zone of equal volume over its mean; None by shell.

    The lowest mode of plane circular mirrors is close to J0(2.405 r/a), that of strips to the cosine across them, with
    nothing at the edge (Fox and Li, Bell Syst. Tech. J. 40, 453, 1961).
    """
    if photon_field(inputs, wavelength) == "by shell":
        return None
    if is_slab(inputs.machine.cell):
        edge = np.linspace(0.0, 1.0, inputs.shells + 1)
        below = 0.5 * edge - np.sin(2 * np.pi * edge) / (4 * np.pi)
        return np.asarray(np.diff(below) / np.diff(below).mean())
    edge = np.sqrt(np.linspace(0, 1, inputs.shells * 16 + 1))
    middle = 0.5 * (edge[1:] + edge[:-1])
    density = j0(FIRST_ZERO * middle) ** 2
    shells = density.reshape(inputs.shells, 16).mean(axis=1)
    return np.asarray(shells / shells.mean())
