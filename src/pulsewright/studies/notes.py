"""What a careful person should know about one computed shot: where the model is stretched, and what it leaves out."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

import numpy as np

from pulsewright import quantities, units
from pulsewright.engine.chain import Stages
from pulsewright.engine.dye_of import dye_of
from pulsewright.engine.electric import still_carries, took_off
from pulsewright.engine.own_dye_findings import own_dye_findings
from pulsewright.engine.resonator import bore_fresnel_number
from pulsewright.errors import Finding
from pulsewright.records import Margin
from pulsewright.studies import gain_notes
from pulsewright.studies.chamber_notes import chamber_findings
from pulsewright.studies.lamp_notes import plasma_findings
from pulsewright.studies.trigger_notes import trigger_findings

#: Current density up to which the resistivity was held against the published law. [A/m^2]
CHECKED_CURRENT_DENSITY = 1.0e8
#: Temperature up to which the ions in the tables (three charges) and the bands of light (from 50 nm) suffice. [K]
HOTTEST_PLASMA = 4.0e4
#: Part of the electrical input that xenon lamps are said to radiate in a band: its limits [m], the highest part [-].
LIGHT_BAND, PUBLISHED_LIGHT = (200e-9, 1000e-9), 0.6
#: Part of the stored energy above which the energy of the starting channel is told. [-]
FREE_ENERGY = 0.02


def _shown(value: float, row: Margin) -> str:
    """A stress in the unit and digits of its quantity; where it has none, fluences per square centimetre."""
    if row.quantity in quantities.QUANTITIES:
        return quantities.show(row.quantity, value)
    return units.format(value, row.unit, display="J/cm^2" if row.unit == "J/m^2" else "")


def limit_findings(margins: Sequence[Margin]) -> Iterator[Finding]:
    """One finding for every limit that is exceeded."""
    for row in margins:
        if row.ratio > 1:
            yield Finding(
                "limit",
                row.item,
                f"{row.stress} of {_shown(row.stress_value, row)} is above {_shown(row.limit, row)}",
                f"Limit from {row.source}",
                f"What lowers it: {row.lower_by}",
            )


def model_findings(stages: Stages) -> Iterator[Finding]:
    """Where the model is stretched in this shot, part by part."""
    yield from trigger_findings(stages)
    if not stages.trigger.fires:
        return  # nothing flows: there is no plasma, light or dye to speak of
    yield from _lamp_findings(stages)
    yield from chamber_findings(stages)
    yield from _dye_findings(stages)
    yield from _resonator_findings(stages)
    yield from _gain_findings(stages)


def _lamp_findings(stages: Stages) -> Iterator[Finding]:
    record = stages.discharge.record
    for group, members in enumerate(stages.discharge.members):
        density, hottest = stages.discharge.peak_current_density[group], float(record.temperature[:, group].max())
        for name in members:
            yield from _plasma_range(name, density, hottest)
    yield from plasma_findings(stages)
    yield from _light_share(stages)
    yield from _given_by_trigger(stages)
    if not took_off(stages.inputs, record):
        return
    if still_carries(record):
        yield Finding(
            "warning",
            "loop",
            f"current still flows after {units.format(float(record.time[-1]), 's')}, where the computation ends; "
            f"{units.format(record.energies['left on the bank'], 'J')} are left on the bank",
            "What follows is not in light and output",
            "Lower the resistance of the loop, or read light and output as lower bounds",
        )


def _plasma_range(name: str, density: float, hottest: float) -> Iterator[Finding]:
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
    if hottest > HOTTEST_PLASMA:
        yield Finding(
            "warning",
            f"lamps.{name}",
            f"the plasma reaches {hottest:.0f} K; ions of more than three charges and light below 50 nm are not "
            "modelled, so current and light mean little here",
            f"Up to about {HOTTEST_PLASMA:.0f} K",
            "Lower the charge voltage, or use more fill pressure or a larger bore",
        )


def _light_share(stages: Stages) -> Iterator[Finding]:
    """Light behind the envelopes between 0.2 and 1 um over what went into the lamps."""
    light, energies = stages.light, stages.discharge.record.energies
    inside = (light.wavelength > LIGHT_BAND[0]) & (light.wavelength < LIGHT_BAND[1])
    given = energies["lamp column"] + energies["electrodes"]
    share = float((light.spectrum * light.width)[inside].sum()) / given
    if share > PUBLISHED_LIGHT:
        yield Finding(
            "note",
            "lamps",
            f"{100 * share:.0f} % of the energy of the lamps leaves as light between 0.2 and 1 um",
            "40 to 60 % is published for xenon lamps of slower pulses (from memory); the cool layer that takes up "
            "light in front of the wall is not modelled",
            "Light and output may be high in that ratio",
        )


def _given_by_trigger(stages: Stages) -> Iterator[Finding]:
    """Energy of the plasma with which the arcs start, which nothing has paid for."""
    groups, first = stages.discharge.groups, stages.discharge.record.energy_per_length[0]
    given = float(sum(group.count * group.length * energy for group, energy in zip(groups, first, strict=True)))
    if given > FREE_ENERGY * stages.discharge.stored_energy:
        yield Finding(
            "note",
            "trigger.channel_radius",
            f"the plasma with which the arcs start holds {units.format(given, 'J')}, which the bank does not pay: "
            f"{100 * given / stages.discharge.stored_energy:.0f} % of the stored energy",
            "The square-root law starts with a filled bore; the plasma with the channel of the trigger",
            "Light is too high by up to that much: use a narrower channel, or the equilibrium plasma",
        )


def _dye_findings(stages: Stages) -> Iterator[Finding]:
    """What is carried over from another solution, and what the row of the dye warns of."""
    yield from stages.dye.findings
    dye = stages.inputs.machine.dye
    row = dye_of(stages.inputs.machine)
    yield from own_dye_findings(stages.inputs.machine)
    if dye.solvent not in row.absorption.solvent:
        yield Finding(
            "note",
            "dye.solvent",
            f"spectra, yield and rates of {row.name} are those in {row.absorption.solvent}, used unchanged in "
            f"{dye.solvent}",
            "Bands shift by some 5 to 10 nm between solvents, those of coumarins and DCM by more; dyes may clump in "
            "water",
            "Read wavelength and output as an estimate",
        )
    if dye.name not in stages.inputs.machine.dyes and row.notes and (row.tail is None or dye.solvent == "water"):
        yield Finding("note", "dye.name", f"{row.name}: {row.notes}")


def _resonator_findings(stages: Stages) -> Iterator[Finding]:
    machine = stages.inputs.machine
    bore = machine.cell.bore
    for name, optic in machine.optics.items():
        if optic.place != "cavity":
            continue
        if np.isfinite(optic.curvature):
            yield Finding(
                "note",
                f"optics.{name}",
                "its curvature is not used: the field is that of plane mirrors",
                "Modes of curved mirrors are not modelled yet",
                "Read beam and divergence as an estimate",
            )
        if optic.transmission is not None:
            yield Finding(
                "note",
                f"optics.{name}",
                "its transmission is not used: losses inside the cavity are those of resonator.loss_per_pass",
                "",
                "Make sure that resonator.loss_per_pass contains it",
            )
        if optic.diameter is not None and optic.diameter < bore:
            yield Finding(
                "warning",
                f"optics.{name}",
                f"its clear diameter of {quantities.show('length', optic.diameter)} is less than the bore of the cell; "
                "the field is computed as filling the bore",
                f"At least {quantities.show('length', bore)}",
                "Use a larger optic, or read output as an upper bound",
            )
    number = bore_fresnel_number(stages.inputs, float(stages.dye.laser_wavelength.mean()))
    if stages.gain.photon_field == "single mode" and number < 1.0:
        yield Finding(
            "note",
            "resonator.length",
            f"the Fresnel number of the bore is {number:.2g}: the diffraction loss of the mode is a rough guide there",
            "1 and more",
            "Read threshold and output as an estimate",
        )
    yield from gain_notes.findings(stages)


def _gain_findings(stages: Stages) -> Iterator[Finding]:
    if stages.gain.record.outcome != "done":
        yield Finding(
            "error",
            "resonator",
            f"the kinetics stopped early ({stages.gain.record.outcome})",
            "Populations and photons must be followed to the end of the pump",
            "Report the build file: this should not happen",
        )
    if stages.gain.wavelength is None and stages.gain.record.peak_net_gain >= 0:
        yield Finding(
            "warning",
            "resonator.coupler",
            "the coupler reflects everything: it lases inside and nothing comes out",
            "A reflectivity below 1",
            "Enter the reflectivity of the output coupler",
        )
