"""What one shot does to the dye: molecules destroyed by the light they take up, and products that absorb."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pulsewright import machine as machines
from pulsewright import refdata
from pulsewright.engine.chain import Stages
from pulsewright.engine.dye_of import dye_of
from pulsewright.physics.dye import photochemistry
from pulsewright.refdata import dye_life
from pulsewright.refdata.rows import Datum
from pulsewright.studies.fill_course import State, Wear, fill_volume
from pulsewright.studies.fill_output import Outputs, half_output_absorption

Float = NDArray[np.float64]

#: Light of shorter wavelength is called ultraviolet. [m]
ULTRAVIOLET = 400e-9
#: No more than this of a fill is taken as destroyed by one shot.
MOST_BLEACHED = 0.999

ENDS = ("short", "central", "long")
MEASURED_HERE, REMEMBERED = "measured on this head", "from the dose of a row"


@dataclass(frozen=True, slots=True)
class Worn:
    """Wear of one shot at the short, central and long end of life, and what it rests on.

    `lamp_energy` [J]; `dose` lamp energy per volume and shot [J/m^3]; `volume` that shares it [m^3]; `light` absorbed
    by the dye by band [J] at `wavelength` [m]; `half_dose` short, central, long [J/m^3] with its support; `bleaching`
    as used; `half_absorption` by products at half the output of this head [1/m], None where it cannot be told.
    """

    wears: Mapping[str, Wear]
    lamp_energy: float
    dose: float
    volume: float
    wavelength: Float
    light: Float
    half_dose: tuple[float, float, float]
    half_dose_source: str
    half_dose_known: str
    bleaching: Datum
    bleaching_known: bool
    half_absorption: float | None

    @property
    def ultraviolet_part(self) -> float:
        """Part of the light absorbed that is ultraviolet."""
        whole = float(self.light.sum())
        return float(self.light[self.wavelength < ULTRAVIOLET].sum()) / whole if whole > 0 else 0.0


def worn(build: machines.Build, part: str, stages: Stages, outputs: Outputs) -> Worn:
    """Wear of one shot of this build, with the ranges of bleaching and dose taken together at their ends."""
    machine = build.machine
    volume = fill_volume(machine, machine.loops[part])
    record = stages.discharge.record
    energy = record.energies["lamp column"] + record.energies["electrodes"]
    wavelength, light = stages.light.wavelength, absorbed_light(stages)
    datum, known = bleaching_of(machine)
    amount = machine.dye.concentration * (1.0 - machine.dye.bleached_fraction) * volume
    bleached = [
        min(float(photochemistry.bleached_amount(light, wavelength, chance)) / amount, MOST_BLEACHED)
        for chance in reversed(ends_of(datum))
    ]
    doses, source, method = half_doses(build)
    dose = float(photochemistry.dose_per_shot(energy, volume))
    half = half_output_absorption(outputs, 1.0, State(1.0, 0.0))
    made = [_products(machine, dose, one) for one in doses]
    lost = [_calibrated(dose, one, gone, outputs) for one, gone in zip(doses, bleached, strict=True)]
    if method == REMEMBERED:
        lost = [max(lost[0], made[0]), lost[1], min(lost[2], made[2])]
    wears = dict(zip(ENDS, (Wear(*row) for row in zip(bleached, made, lost, strict=True)), strict=True))
    return Worn(wears, energy, dose, volume, wavelength, light, doses, source, method, datum, known, half)


def absorbed_light(stages: Stages) -> Float:
    """Light taken up by the dye in each band of the lamps' light, in J."""
    return np.asarray(stages.pump.absorbed_spectrum.sum(axis=1) * stages.light.width)


def bleaching_of(machine: machines.Machine) -> tuple[Datum, bool]:
    """Molecules destroyed per absorbed photon, and whether anything is known of this dye."""
    datum = dye_of(machine).bleaching_probability
    return (dye_life.UNKNOWN_BLEACHING, False) if datum is None else (datum, True)


def half_doses(build: machines.Build) -> tuple[tuple[float, float, float], str, str]:
    """Dose to half the output at the short, central and long end, where it comes from, and how it is meant."""
    given = build.machine.dye.half_output_dose
    if given is not None:
        entry = build.entries["dye.half_output_dose"]
        spread = min(entry.spread or 0.0, 0.99 * given)
        source = f"dye.half_output_dose ({entry.basis}: {entry.source})".replace(": )", ")")
        return (given - spread, given, given + spread), source, MEASURED_HERE
    datum = dye_life.half_output_dose(build.machine.dye.name).value
    return ends_of(datum), f"{datum.source} [{datum.tag}]", REMEMBERED


def ends_of(datum: Datum) -> tuple[float, float, float]:
    """Low, central and high value."""
    low = datum.value if datum.low is None else datum.low
    return low, datum.value, datum.value if datum.high is None else datum.high


def _products(machine: machines.Machine, dose: float, half: float) -> float:
    """Absorption by products that one shot makes in the fill, from the absorption seen at half output [1/m]."""
    limit = refdata.rule("half output absorption").value.value
    return float(photochemistry.products_per_dose(dose, limit / half, machine.cell.length))


def _calibrated(dose: float, half: float, bleached: float, outputs: Outputs) -> float:
    """Absorption a shot that halves the output of this head after the dose that is known to halve it [1/m].

    It stands for all that products do; nothing where bleaching alone halves the output by then.
    """
    shots = half / dose
    left = max((1.0 - bleached) ** shots, 1.0 - MOST_BLEACHED)
    made = half_output_absorption(outputs, left, State(1.0, 0.0))
    return 0.0 if made is None else made / shots
