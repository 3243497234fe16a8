"""What a careful person should know about the plasma of one shot: its gas, what left the bore, what the wall gave."""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from pulsewright import quantities
from pulsewright.engine.chain import Stages
from pulsewright.engine.lamp_plasma import bore_share
from pulsewright.errors import Finding
from pulsewright.machine.parts import Lamp

#: Gases for which a published law of resistivity exists.
CHECKED_GASES = ("xenon", "krypton")
#: Gases of molecules, whose cold channel the equilibrium plasma lets die where fields may keep it alight.
MOLECULAR_GASES = ("air", "nitrogen", "oxygen")
_HOT_ELECTRONS = "; electrons hotter than the gas, which are not modelled, may keep an arc alive that dies here"
#: Fill pressures between which the resistivity was held against the published law. [Pa]
CHECKED_PRESSURE = (13.3e3, 133.4e3)
#: Part of the fill whose loss to the dead volume is told. [-]
LOST = 0.02
#: Vapour over the fill above which the square-root law and its pressure exponent mean nothing. [-]
MUCH_VAPOUR = 0.3


def plasma_findings(stages: Stages) -> Iterator[Finding]:
    """Fill, dead volume and wall vapour of every lamp."""
    for group, members in enumerate(stages.discharge.members):
        for name in members:
            lamp = stages.inputs.machine.lamps[name]
            yield from _pressure(name, stages.trigger.fill_pressure[name])
            yield from _gas(name, lamp)
            yield from _dead_volume(name, bore_share(stages.inputs, lamp))
            if lamp.wall_vapour == "ablated":
                yield from _vapour(name, *vapour_over_fill(stages, group))


def vapour_over_fill(stages: Stages, group: int) -> tuple[float, float]:
    """Highest wall vapour over the fill in the arc of one group, and the highest for which there are tables."""
    record, tables = stages.discharge.record, stages.discharge.groups[group].tables
    fill = np.pi * record.arc_radius[:, group] ** 2 * tables.number_density
    first, step = tables.log_density
    most = float(np.exp(first + step * (tables.temperature.shape[0] - 1))) - 1.0
    return float(np.max(record.vapour[:, group] / fill)), most


def _pressure(name: str, pressure: float) -> Iterator[Finding]:
    low, high = CHECKED_PRESSURE
    if not low <= pressure <= high:
        yield Finding(
            "note",
            f"lamps.{name}",
            f"a fill of {quantities.show('fill_pressure', pressure)} is outside the range in which the "
            "plasma was held against anything published",
            f"{quantities.show('fill_pressure', low)} to {quantities.show('fill_pressure', high)}",
            "Treat current and light as uncertain by half; measure the current",
        )


def _gas(name: str, lamp: Lamp) -> Iterator[Finding]:
    if lamp.gas not in CHECKED_GASES or lamp.second_gas is not None:
        gas = lamp.gas if lamp.second_gas is None else f"{lamp.gas} with {lamp.second_gas}"
        yield Finding(
            "note",
            f"lamps.{name}",
            f"no published resistivity is known for {gas}; its plasma is computed like that of xenon, unchecked",
            f"Checked: {' and '.join(CHECKED_GASES)}, pure",
            f"Measure the current{_HOT_ELECTRONS if lamp.gas in MOLECULAR_GASES else ''}",
        )


def _dead_volume(name: str, share: float) -> Iterator[Finding]:
    if share < 1.0 - LOST:
        yield Finding(
            "note",
            f"lamps.{name}",
            f"the pulse is long enough for the hot gas to push {100 * (1 - share):.0f} % of the fill into the dead "
            "volume; one density, that of the settled arc, is taken for the whole shot",
            "The first tens of microseconds, before the pressures are equal, have the whole fill",
            'Compare a shot with dead_volume = "0 cm^3": the truth lies between',
        )


def _vapour(name: str, reached: float, most: float) -> Iterator[Finding]:
    if reached > MUCH_VAPOUR:
        yield Finding(
            "warning",
            f"lamps.{name}",
            f"vapour of the wall reaches {reached:.2g} times the fill: the plasma is then silicon and oxygen, nearly "
            "ohmic, and the loop can ring; neither the pressure exponent 0.2 nor the alpha rule holds",
            "The source of vapour follows the heat that the glass cannot carry off; nothing published checks it",
            "Treat current and light as uncertain by half; measure the current",
        )
    if reached > most:
        yield Finding(
            "warning",
            f"lamps.{name}",
            f"vapour of the wall reaches {reached:.2g} times the fill; the tables end at {most:.0f} times",
            f"Up to {most:.0f} times the fill",
            "Use more fill pressure, a larger bore or less energy; the plasma beyond means little",
        )
