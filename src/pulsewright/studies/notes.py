"""What a careful person should know about one computed shot: where the model is stretched, and what it leaves out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from pulsewright import quantities, refdata, units
from pulsewright.engine.chain import Stages
from pulsewright.errors import Finding
from pulsewright.records import Margin

#: Heat absorbed by silica within microseconds that is enough for its vapour to become the plasma. [J/m^2]
ABLATION_LOAD = 1.0e4
#: Current density up to which the resistivity was held against the published law. [A/m^2]
CHECKED_CURRENT_DENSITY = 1.0e8
#: Pulses longer than this lose heat to the wall by conduction, which is not counted. [s]
CONDUCTION_TIME = 1.0e-4


def limit_findings(margins: Sequence[Margin]) -> Iterator[Finding]:
    """One finding for every limit that is exceeded."""
    for row in margins:
        if row.ratio > 1:
            yield Finding(
                "limit",
                row.item,
                f"{row.stress} of {units.format(row.stress_value, row.unit)} "
                f"is above {units.format(row.limit, row.unit)}",
                f"Limit from {row.source}",
                f"What lowers it: {row.lower_by}",
            )


def model_findings(stages: Stages) -> Iterator[Finding]:
    """Where the model is stretched in this shot, part by part."""
    yield from _lamp_findings(stages)
    yield from _chamber_findings(stages)
    yield from _gain_findings(stages)


def _lamp_findings(stages: Stages) -> Iterator[Finding]:
    machine = stages.inputs.machine
    for group, members in enumerate(stages.discharge.members):
        for name in members:
            lamp = machine.lamps[name]
            wall = np.pi * lamp.bore * lamp.arc_length * sum(len(ids) for ids in stages.discharge.members)
            load = stages.light.envelope_energy / wall
            density = stages.discharge.peak_current_density[group]
            if load > 0.2 * ABLATION_LOAD:
                yield Finding(
                    "warning",
                    f"lamps.{name}",
                    f"the envelope absorbs {units.format(load, 'J/m^2')} of light in this shot; "
                    "vapour of the wall is not modelled",
                    "It matters from about 1 J/cm^2 within microseconds",
                    "Treat current and light as uncertain by half; measure the current",
                )
            if density > CHECKED_CURRENT_DENSITY:
                yield Finding(
                    "note",
                    f"lamps.{name}",
                    f"peak current density {quantities.show('peak_current_density', density)} is beyond the "
                    "range in which the "
                    "resistivity was held against the published law (1 to 10 kA/cm^2 at 450 torr)",
                    "The plasma turns ohmic there and the Coulomb logarithm decides, by some 40 %",
                    "One current trace of this head is worth more than the model",
                )
    if stages.discharge.record.ended > CONDUCTION_TIME:
        yield Finding(
            "note",
            "lamps",
            f"current flows for {units.format(stages.discharge.record.ended, 's')}; "
            "conduction of heat to the wall is not modelled",
            "Light is then too high by up to some 20 % (estimate)",
            "Compare with a measured lamp energy",
        )


def _chamber_findings(stages: Stages) -> Iterator[Finding]:
    reflector = stages.inputs.machine.chamber.reflector
    if reflector != "close-wrapped diffuse":
        yield Finding(
            "note",
            "chamber.reflector",
            f"a {reflector} reflector is computed as a diffuse cavity of the same wall; focusing is not modelled yet",
            "The closed form is exact only for an integrating sphere",
            "Read the absorbed energy as an estimate",
        )
    if stages.pump.blind_energy > 0:
        row = refdata.dye(stages.inputs.machine.dye.name)
        yield Finding(
            "note",
            "dye.name",
            f"absorption of {row.name} below {row.absorption.known_from * 1e9:.0f} nm is not known and counts as none; "
            f"{units.format(stages.pump.blind_energy, 'J')} of lamp light reaches the cell there",
            "The output is a lower bound in this respect",
            "Measure the absorption spectrum of the solution in the ultraviolet",
        )


def _gain_findings(stages: Stages) -> Iterator[Finding]:
    if stages.gain.record.outcome != "done":
        yield Finding(
            "error",
            "resonator",
            f"the kinetics stopped early ({stages.gain.record.outcome})",
            "Populations and photons must be followed to the end of the pump",
            "Report the build file: this should not happen",
        )
    if stages.gain.wavelength is None:
        return
    machine = stages.inputs.machine
    solvent = refdata.solvent(machine.dye.solvent)
    arrival = machine.cell.bore / 2 / float(solvent.sound_speed)
    width = stages.gain.pulse_width or 0.0
    if width > arrival:
        yield Finding(
            "note",
            "cell.bore",
            f"the pulse of {units.format(width, 's')} outlasts the {units.format(arrival, 's')} that sound needs "
            "from wall to axis; "
            "the loss of optical quality that heat then brings is not modelled yet",
            "",
            "Expect a shorter pulse and a wider beam than computed",
        )
