"""What a careful person should know about the light between lamps and dye in one computed shot."""

from __future__ import annotations

from collections.abc import Iterator

from pulsewright import units
from pulsewright.engine import cell_shape
from pulsewright.engine.chain import Stages
from pulsewright.engine.dye_of import dye_of
from pulsewright.engine.uptake import CLOSED
from pulsewright.errors import Finding

#: Part of the lamps' light below which none is said to reach the dye. [-]
NO_LIGHT = 1e-9
#: Part of the lamps' light that may be given up before it is said. [-]
GIVEN_UP = 1e-3


def chamber_findings(stages: Stages) -> Iterator[Finding]:
    """How the light was followed, and what stands between it and the dye."""
    chamber, pump = stages.inputs.machine.chamber, stages.pump
    sent = float((stages.light.spectrum * stages.light.width).sum())
    if sent > 0 and float(pump.energy.sum()) <= NO_LIGHT * sent:
        yield Finding(
            "warning",
            "chamber",
            f"of {units.format(sent, 'J')} that the lamps send out no light is taken up by the dye",
            "Some per cent and more",
            "Check filter, coolant, refractive indices, concentration and wavelengths of the dye",
        )
    if pump.given_up > GIVEN_UP:
        yield Finding(
            "warning",
            "chamber.reflectivity",
            f"{100 * pump.given_up:.2g} % of the lamps' light goes round without end and was given up",
            f"At most {100 * GIVEN_UP:g} %: something in the chamber takes light at every wavelength",
            "Give the wall a reflectivity that is measured, and the openings for lamps and cell",
        )
    if pump.method == CLOSED and chamber.reflector != "close-wrapped diffuse":
        yield Finding(
            "note",
            "chamber.light_method",
            f"a {chamber.reflector} reflector is computed as a diffuse cavity of the same wall, which does not focus",
            "The closed form is exact only for an integrating sphere",
            'Set light_method = "ray tracing" to follow the light',
        )
    if pump.method != CLOSED and chamber.diffuse_fraction is None and chamber.reflector != "close-wrapped diffuse":
        yield Finding(
            "note",
            "chamber.diffuse_fraction",
            f"the {chamber.reflector} reflector is traced as a perfect mirror of its reflectivity, true to its shape",
            "What scatters or is out of shape sends less light to the cell",
            "Give diffuse_fraction, and read the absorbed energy as an upper bound in this respect",
        )
    if cell_shape.is_slab(stages.inputs.machine.cell):
        yield Finding(
            "note",
            "cell.shape",
            "behind the coupler the beam of a slab is followed as a round one of the slab's thickness",
            "A beam as wide as the slab",
            "Read fluences in the train as upper bounds, spots as those across the thickness",
        )
    yield from _blind(stages)
    yield from _shared(stages)


def choices(stages: Stages) -> dict[str, str]:
    """Approximations of the pump chamber that no entry of the build file decides."""
    closed = stages.pump.method == CLOSED
    return {
        "path through the coolant": "one mean chord of the chamber" if closed else "traced, apart from wall hits",
        "light of several lamps": "as if all were alike at every instant",
        "coolant": "fills the chamber between the tubes",
    }


def _blind(stages: Stages) -> Iterator[Finding]:
    """Light at wavelengths where the dye's absorption is not known."""
    if stages.pump.blind_energy > 0:
        row = dye_of(stages.inputs.machine)
        yield Finding(
            "note",
            "dye.name",
            f"absorption of {row.name} below {row.absorption.known_from * 1e9:.0f} nm is not known and counts as none; "
            f"{units.format(stages.pump.blind_energy, 'J')} of lamp light pass glasses, coolant and filter there",
            "The output is a lower bound in this respect",
            "Measure the absorption spectrum of the solution in the ultraviolet",
        )


def _shared(stages: Stages) -> Iterator[Finding]:
    """Which cell takes how much of the absorbed energy, which the record holds for all cells together."""
    whole = float(stages.pump.energy.sum())
    cells = {name: cell for name, cell in stages.inputs.machine.cells.items() if cell.pump_share > 0}
    first = whole * (1.0 - sum(cell.pump_share for cell in cells.values()))
    for name, cell in cells.items():
        yield Finding(
            "note",
            f"cells.{name}.pump_share",
            f"of {units.format(whole, 'J')} that the dye takes up, cell {name} takes "
            f"{units.format(whole * cell.pump_share, 'J')}, the first cell {units.format(first, 'J')}",
            "Light that goes to a further cell is taken up as in the first, whatever its concentration",
            "Where concentrations differ much, compute the cell by itself",
        )
