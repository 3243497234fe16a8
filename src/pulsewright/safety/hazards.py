"""Cautions: each hazard that a machine has, once and short, with what to do.

Thresholds decide whether a hazard is there. Local codes and licensed practice decide what is allowed.
"""

from __future__ import annotations

from collections.abc import Iterator

import numpy as np

from pulsewright import refdata
from pulsewright.engine.dye_of import dye_of
from pulsewright.engine.liquid import dangerous_part, parts_of
from pulsewright.machine import Build, Machine
from pulsewright.physics.pulsed_power.hazards import direct_current_hazard, stored_energy_hazards
from pulsewright.records import Caution, Shot
from pulsewright.safety import words
from pulsewright.safety.figures import BeamFigures, ChargeFigures, beam_figures, charge_figures

#: Light shorter than this makes ozone of air (from memory).
OZONE_WAVELENGTH = 242e-9
#: Methods by which a shot can happen without anyone deciding it.
SELF_STARTING = {
    "pressure drop": "It fires when the lamp pressure meets the voltage on it",
    "overvoltage gap": "It fires when the gap breaks down, also while charging",
    "external wire": "The bank stands on the lamps, which may break down before they are triggered",
    "series injection": "The bank stands on the lamps, which may break down before they are triggered",
}
_DEFER = "Local codes and licensed practice decide."


def cautions(build: Build, shot: Shot | None = None) -> tuple[Caution, ...]:
    """Hazards of a machine, each once.

    Parameters
    ----------
    build : Build
        The machine.
    shot : Shot, optional
        A shot of it, for charge voltage, energy and wavelength of the beam.

    Returns
    -------
    cautions : tuple of Caution
        Stored energy first; empty fields never.
    """
    machine = build.machine
    return (
        *_stored_energy(machine, charge_figures(build, shot)),
        *_self_starting(machine),
        *_beam(beam_figures(build, shot)),
        *_lamp(machine),
        *_solvent(machine),
        *_atmosphere(machine),
        *_dye(machine),
    )


def charging_current(machine: Machine) -> float | None:
    """Most current in A that the charger can give, as far as the build file says."""
    charger = machine.charger
    if charger.method == "resistor" and charger.resistance:
        return charger.voltage_max / charger.resistance
    if charger.method == "constant power" and charger.power:
        return charger.power / charger.voltage_max
    return charger.current


def _stored_energy(machine: Machine, charge: ChargeFigures) -> Iterator[Caution]:
    found = stored_energy_hazards(charge.full_voltage, charge.full_energy)
    current = charging_current(machine)
    supply = current is not None and direct_current_hazard(machine.charger.voltage_max, current)
    if found.shock or supply:
        kills = "kills" if found.shock else "can kill"
        blast = " Above 10 kJ an arc also burns and bursts." if found.arc_flash else ""
        held = f"{words.energy(charge.full_energy)} at {words.voltage(charge.full_voltage)} {kills}."
        yield Caution(
            "stored energy",
            held + " A bank can hold charge, and regain it, after it was drained." + blast,
            "Dump, measure, short and ground before touching anything; keep the short on; never work alone. " + _DEFER,
        )
    elif found.reflex or found.thermal:
        what = "startles and makes you fall" if found.reflex else "burns when shorted"
        yield Caution(
            "stored energy",
            f"{words.energy(charge.full_energy)} at {words.voltage(charge.full_voltage)} {what}.",
            "Dump, measure and short before touching anything. " + _DEFER,
        )


def _self_starting(machine: Machine) -> Iterator[Caution]:
    why = SELF_STARTING.get(machine.trigger.method)
    if why is not None:
        yield Caution(
            "starts by itself",
            f"{why}: no human decides that shot.",
            "Treat it as firing at any moment from the first volt: eyewear on, path closed, everyone clear.",
        )


def _beam(beam: BeamFigures | None) -> Iterator[Caution]:
    if beam is None:
        yield Caution(
            "beam",
            "How hazardous this beam is was not worked out.",
            "Treat it as class 4: eyewear for its wavelength, path closed. " + _DEFER,
        )
    elif beam.laser_class in ("3B", "4"):
        wave = words.wavelength(beam.wavelength)
        more = " The matt reflection blinds too; it burns skin and sets fires." if beam.laser_class == "4" else ""
        yield Caution(
            "beam",
            f"Class {beam.laser_class} beam near {wave}: one pulse, direct or mirrored, blinds.{more}",
            f"Eyewear for {wave} on everyone; close the path, both ends of the resonator and every reflection. "
            + _DEFER,
        )
    elif beam.laser_class == "3R":
        yield Caution("beam", "The beam can harm the eye.", "Close the path; do not look into it. " + _DEFER)


def _lamp(machine: Machine) -> Iterator[Caution]:
    yield Caution(
        "lamp",
        "A flashlamp can burst, is hot after firing, gives off ultraviolet, and is loud.",
        "Fire only with the chamber closed; wear face shield and gloves when handling; cover eyes, skin and ears.",
    )
    if _ozone(machine):
        yield Caution(
            "ozone",
            "The envelope passes light that makes ozone of the air round the lamps.",
            "Draw the chamber's air off to the outside; stop when you smell it.",
        )


def _ozone(machine: Machine) -> bool:
    """Whether a lamp in air lets through half or more of the light at the ozone limit."""
    if machine.chamber.coolant != "none":
        return False
    for lamp in machine.lamps.values():
        curve = refdata.glass(lamp.envelope).absorption_coefficient
        absorption = float(np.interp(OZONE_WAVELENGTH, curve.wavelength, curve.values))
        if absorption * lamp.wall_thickness < np.log(2.0):
            return True
    return False


def _solvent(machine: Machine) -> Iterator[Caution]:
    row, mixed = dangerous_part(machine)
    if row.flash_point is not None:
        flash = float(row.flash_point)
        over = machine.dye.temperature >= flash or machine.room.temperature >= flash
        ready = "its vapour can be lit at this temperature" if over else "its vapour can be lit once it is warm"
        yield Caution(
            "solvent",
            f"{words.sentence(row.name)}, flash point {words.celsius(flash)}: {ready}. {row.hazards}",
            "No flame or spark, gap and contacts included, near it; tray under it; ventilate; extinguisher at hand. "
            + _DEFER,
        )
    else:
        yield Caution("solvent", row.hazards, "Keep leaks away from the bank and its leads.")

    other = next((part for part in parts_of(machine)[0] if part is not row), None)
    if other is not None:
        own = "" if other.name == "water" else f" {words.sentence(other.name)}: {other.hazards}"
        yield Caution(
            "mixed solvent",
            f"{mixed}{own}",
            "Treat the mixture as either part by itself, whichever is worse. " + _DEFER,
        )


def _atmosphere(machine: Machine) -> Iterator[Caution]:
    row = refdata.atmosphere(machine.dye.atmosphere)
    if row.name == "air":
        return
    if row.name == "oxygen":
        do = "Oil-free parts only; vent outside; no spark, no flame; bottle chained and shut when idle. "
    else:
        do = "Vent outside; watch oxygen, and carbon dioxide itself where it is used; bottle chained, shut when idle. "
    yield Caution("gas", row.hazards, do + _DEFER)


def _dye(machine: Machine) -> Iterator[Caution]:
    quencher, surfactant = refdata.quencher(machine.dye.quencher), refdata.surfactant(machine.dye.surfactant)
    own = dye_of(machine).hazards or "Some laser dyes are mutagenic, most are little studied."
    extra = f" {words.sentence(quencher.name)}: {quencher.hazards}" if quencher.hazards else ""
    yield Caution(
        "dye",
        f"{words.sentence(machine.dye.name)}: {own}{extra}",
        "Gloves and goggles; weigh powder under a hood; label and collect waste. Read the safety data sheets.",
    )
    if surfactant.hazards and surfactant.name != "none":
        yield Caution(
            "surfactant",
            f"{words.sentence(surfactant.name)}: {surfactant.hazards}",
            "Gloves and goggles; weigh powder under a hood; collect waste, none into the drain. " + _DEFER,
        )
