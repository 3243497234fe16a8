"""What is said of a fill beside its figures: findings, what is not known, notes, cautions."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from pulsewright import machine as machines
from pulsewright.engine.cell_shape import lit_area
from pulsewright.engine.chain import Stages
from pulsewright.errors import Finding
from pulsewright.quantities import show
from pulsewright.records import Caution
from pulsewright.studies.fill_course import FRESH, REGENERATED, cell_content
from pulsewright.studies.fill_wear import MEASURED_HERE

if TYPE_CHECKING:
    from pulsewright.studies.fill_wear import Worn

#: Above this irradiance bleaching takes two steps and grows. Eggeling et al., Anal. Chem. 70 (1998) 2651. [W/m^2]
TWO_STEPS = 1e7
DABCO = "DABCO"
NOTES = (
    (
        "The three courses take the ranges of bleaching and of the dose to half output together at their ends: the "
        "outer ones are bounds, not a 90 % interval."
    ),
    (
        "Short end and centre let the output of this head be halved by the dose that is known or remembered, as "
        "published for more than thirty dyes whatever the head (Fletcher); the long end lets the products do no more "
        "than absorb, as they are computed here, where that takes longer."
    ),
    (
        "Output is computed by whole shots at a few states of the fill and interpolated between them; lamps and optics "
        "stay as they are."
    ),
    (
        "Bleaching: molecules destroyed per photon absorbed, in any band. Products: absorption at the laser wavelength "
        "in proportion to the lamp energy per volume."
    ),
    (
        "What a fill is worth is seen at the cell: measure its transmission at the laser wavelength over 10 to 30 cm; "
        "when it has dropped by about 1 % a cell length, output is near half (Fletcher)."
    ),
)
CAUTIONS = (
    Caution(
        "spent dye",
        "Spent solution is flammable and holds dye and products whose toxicity is not known",
        "Wear gloves, collect it in a labelled solvent can, and follow the local rules on its disposal",
    ),
)


def findings(build: machines.Build, stages: Stages, found: Worn) -> Iterator[Finding]:
    """What a careful person would want to know before reading the numbers."""
    if stages.gain.output_energy <= 0:
        message = "this shot does not lase, so no output can be told against the number of shots"
        step = "Run shot to see why, and raise the charge voltage or the mirrors' reflectivity"
        yield Finding("warning", "bank.charge_voltage", message, "A shot that lases", step)
    if found.half_dose_known != MEASURED_HERE:
        low, _, high = found.half_dose
        message = (
            f"the dose to half output is a bracket, {show('half_output_dose', low)} to "
            f"{show('half_output_dose', high)}: {found.half_dose_source}"
        )
        step = "Count shots until the output is halved, and enter dye.half_output_dose"
        yield Finding("note", "dye.half_output_dose", message, "A dose measured on this head", step)
    if not found.bleaching_known:
        message = (
            f"no figure is known of how {build.machine.dye.name} bleaches; the bracket spans all dyes that have one"
        )
        yield Finding(
            "note", "dye.name", message, "0.1 to 1000 in a million photons", "Follow its absorbance over shots"
        )
    yield from _bright(build, stages)
    yield from _strong(build, found)


def _bright(build: machines.Build, stages: Stages) -> Iterator[Finding]:
    irradiance = float(stages.pump.power.sum(axis=1).max()) / lit_area(build.machine.cell)
    if irradiance > TWO_STEPS:
        message = (
            f"pump light of {irradiance / TWO_STEPS:.2g} kW/cm^2 at the cell: above 1 kW/cm^2 dyes bleach in two "
            "steps, faster than told here; by how much is not known"
        )
        allowed = "Figures of bleaching hold below it (Eggeling et al. 1998)"
        yield Finding("note", "dye.name", message, allowed, "Take the short end of the range, and measure")


def _strong(build: machines.Build, found: Worn) -> Iterator[Finding]:
    """A shot that uses up much of what it meets."""
    dose = found.lamp_energy / cell_content(build.machine)
    if dose > 0.2 * found.half_dose[0]:
        message = (
            f"one shot gives the solution in the cell {show('dose', dose)}, which may be a good part of the dose that "
            f"halves the output ({show('half_output_dose', found.half_dose[0])} at the short end)"
        )
        yield Finding("note", "cell.length", message, "A small part of it", "Do not fire twice into the same solution")


def unknown(build: machines.Build, found: Worn) -> Iterator[str]:
    """What nobody has told, by name."""
    machine = build.machine
    if found.half_dose_known != MEASURED_HERE:
        yield f"dose to half output of {machine.dye.name} in this head"
    yield "bleaching by band: one figure stands for visible and ultraviolet light, which destroys more"
    yield "how far lasing protects the dye, as it does (Ray et al., Appl. Opt. 44 (2005) 7814); what oxygen does to it"
    if machine.dye.quencher == DABCO:
        yield "DABCO: at 0.010 mol/L more than 3 times the life above 90 % of the output (US 4,428,859); not counted"
    yield "evaporation, water drawn from the air, leaks, dust and what hoses and pump give off are not modelled"
    if any(loop.method == REGENERATED for loop in machine.loops.values()):
        yield "what the carbon bed does as it fills up; no figures of carbon beds for dye are published"
    if any(loop.method == FRESH for loop in machine.loops.values()):
        yield "whether spent solution could be used again"
