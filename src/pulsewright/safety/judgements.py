"""What a machine's safety numbers are held against: discharge rules, bodies of resistors, air, eyewear.

Each rule is a minimum for a product, named with its source; none is a rule for access. Local codes
and licensed practice decide.
"""

from __future__ import annotations

from collections.abc import Iterator

from pulsewright import refdata
from pulsewright.errors import Finding, worst_first
from pulsewright.machine import Build
from pulsewright.physics.air.oxygen import OXYGEN_ENRICHED
from pulsewright.physics.air.vapour import HAZARDOUS_SHARE, PROCESS_SHARE
from pulsewright.physics.exposure.corrections import OBTAIN_THE_STANDARD
from pulsewright.physics.pulsed_power.discharge_rules import high_voltage_capacitor_rule, machinery_discharge_rule
from pulsewright.physics.pulsed_power.hazards import direct_current_hazard, stored_energy_hazards
from pulsewright.records import Margin, NotJudged, Shot
from pulsewright.safety import words
from pulsewright.safety.bank_figures import dump_rating
from pulsewright.safety.bank_findings import bank_findings
from pulsewright.safety.bank_findings import located as _at
from pulsewright.safety.bank_margins import bank_margins, bank_not_judged
from pulsewright.safety.figures import BeamFigures, Figures, SolventFigures, charge_figures, figures
from pulsewright.safety.hazards import SELF_STARTING, charging_current

_TITLE_8 = "California Title 8, section 2893: 50 V within 5 min, connected by itself"
_IEC_60204 = "IEC 60204-1, clause 6.2.4: 60 V within 5 s, or a durable warning with the delay"
_NEVER = "A computed time is never a proof: measure and short"


def findings(build: Build, shot: Shot | None = None) -> tuple[Finding, ...]:
    """What is wrong with the safety of a machine, or what a careful person would want to know.

    Parameters
    ----------
    build : Build
        The machine.
    shot : Shot, optional
        A shot of it, for charge voltage, energy and wavelength of the beam.

    Returns
    -------
    findings : tuple of Finding
        Worst first; grades `limit`, `warning` and `note`.
    """
    numbers = figures(build, shot)
    found = (
        *_drains(build, numbers),
        *_bodies(build, numbers),
        *bank_findings(build),
        *_supply(build),
        *_trigger(build),
        *_vapour(build, numbers.solvent),
        *_gas(build, numbers.solvent),
        *_air(build),
        *_eyes(build, numbers.beam),
    )
    return tuple(worst_first(found))


def _drains(build: Build, numbers: Figures) -> Iterator[Finding]:
    """Bleeder and dump against the discharge rules."""
    charge = numbers.charge
    if not stored_energy_hazards(charge.full_voltage, charge.full_energy).reflex:
        return
    bleeder, dump = numbers.bleeder, numbers.dump
    if bleeder is None:
        message = "no bleeder is listed, so nothing drains the bank when the dump fails"
        yield _at(
            build, "bank.bleeder_resistance", "warning", message, "A bleeder always connected", "Fit one, enter it"
        )
    if dump is None:
        message = "no dump resistor is listed, so a charge that does not fire drains through the bleeder alone"
        step = "Fit one that connects itself when power fails, enter it"
        yield _at(build, "dump.resistance", "warning", message, "A dump that takes the whole charge", step)
    if bleeder is None and dump is None:
        return
    quickest = min((d for d in (bleeder, dump) if d is not None), key=lambda d: d.times[0])
    path = "bank.bleeder_resistance" if quickest is bleeder else "dump.resistance"
    title_8 = high_voltage_capacitor_rule(charge.full_voltage)
    if title_8.applies and quickest.times[0] > title_8.allowed_time:
        message = f"from {words.voltage(charge.full_voltage)} to 50 V takes {words.time(quickest.times[0])}"
        yield _at(build, path, "limit", message, f"At most 5 min ({_TITLE_8})", "Fit a dump of lower resistance")
    elif bleeder is not None and bleeder.times[0] > title_8.allowed_time:
        message = f"if the dump fails, the bleeder alone takes {words.time(bleeder.times[0])} to 50 V"
        step = f"Wait that long, or lower the bleeder. {_NEVER}"
        yield _at(build, "bank.bleeder_resistance", "warning", message, f"At most 5 min ({_TITLE_8})", step)
    machinery = machinery_discharge_rule(charge.full_voltage, charge.capacitance)
    if machinery.applies and quickest.times[1] > machinery.allowed_time:
        message = f"from {words.voltage(charge.full_voltage)} to 60 V takes {words.time(quickest.times[1])}"
        yield _at(
            build, path, "warning", message, f"At most 5 s ({_IEC_60204})", "Fit a quicker dump, or post the delay"
        )


def _bodies(build: Build, numbers: Figures) -> Iterator[Finding]:
    """What the resistors must stand."""
    full = words.voltage(numbers.charge.full_voltage)
    if numbers.bleeder is not None:
        message = f"the bleeder gives off {words.power(numbers.bleeder.power)} as long as {full} stand on it"
        step = "Check power and voltage rating of the part, each element of a chain"
        yield _at(build, "bank.bleeder_resistance", "note", message, "", step)
    dump, rating = numbers.dump, dump_rating(build.machine)
    energy = numbers.charge.full_energy
    if dump is not None and rating is not None and energy > rating[0]:
        warmer = "" if dump.temperature_rise is None else f", {dump.temperature_rise:.0f} K warmer"
        message = f"a dump from {full} puts {words.energy(energy)} into the body{warmer}"
        allowed = f"At most {words.energy(rating[0])}: {rating[1]}"
        path = "dump.energy_rating" if build.machine.dump.energy_rating is not None else "dump.volume"
        yield _at(build, path, "limit", message, allowed, "Use a larger body or share the energy")


def _supply(build: Build) -> Iterator[Finding]:
    charger, current = build.machine.charger, charging_current(build.machine)
    rating = charger.resistor_power_rating
    if charger.method == "resistor" and charger.resistance and rating is not None:
        burnt = charger.voltage_max**2 / charger.resistance
        if burnt > rating:
            message = f"shorted with the charger on, the charging resistor burns {words.power(burnt)}"
            allowed = f"At most {words.power(rating)} for long, its rating"
            step = "Let the dump and the short switch the charger off by themselves; fuse its output"
            yield _at(build, "charger.resistor_power_rating", "note", message, allowed, step)
    if current is not None and direct_current_hazard(charger.voltage_max, current):
        message = f"the charger itself gives {1e3 * current:.0f} mA at {words.voltage(charger.voltage_max)}"
        allowed = "Below 40 mA or 100 V: no hazard from the supply alone (LBNL Electrical Safety Manual)"
        yield _at(build, "charger.voltage_max", "warning", message, allowed, "Guard its output as a lethal one")


def _trigger(build: Build) -> Iterator[Finding]:
    why = SELF_STARTING.get(build.machine.trigger.method)
    if why is not None:
        step = "Keep everyone clear, eyewear on, from the first volt until the bank is dumped and shorted"
        yield _at(build, "trigger.method", "warning", f"{why}, without a human decision", "", step)


def _vapour(build: Build, solvent: SolventFigures) -> Iterator[Finding]:
    if solvent.lower_limit is None:
        return
    if solvent.share_of_limit is None:
        path = "loops" if solvent.volume is None else "room.volume"
        message = "how much vapour a spill makes in this room cannot be judged"
        yield _at(build, path, "warning", message, "Volume of every loop and of the room", f"Enter {path}")
        return
    if solvent.share_of_limit <= HAZARDOUS_SHARE:
        return
    message = (
        f"{words.volume(solvent.volume or 0.0)} of {solvent.name}, spilled and evaporated, is "
        f"{words.share(solvent.share_of_limit)} of its lower explosive limit in this room"
    )
    limit, source = (
        (PROCESS_SHARE, "the level for processes, NFPA practice")
        if solvent.share_of_limit > PROCESS_SHARE
        else (HAZARDOUS_SHARE, "above it an atmosphere is hazardous, 29 CFR 1910.146")
    )
    step = "Keep less in the room, in a tray and closed; ventilate; no spark near the floor"
    yield _at(build, "room.volume", "warning", message, f"At most {words.share(limit)} ({source})", step)


def _gas(build: Build, solvent: SolventFigures) -> Iterator[Finding]:
    oxygen = float(refdata.atmosphere(build.machine.dye.atmosphere).oxygen_fraction)
    if oxygen > OXYGEN_ENRICHED and solvent.lower_limit is not None:
        message = f"{words.share(oxygen)} oxygen stands over {solvent.name}, an enriched mixture with its vapour"
        allowed = f"At most {words.share(OXYGEN_ENRICHED)} oxygen (29 CFR 1910.146)"
        step = "Sparge with air instead, or take expert advice on the headspace, its vent and its earthing"
        yield _at(build, "dye.atmosphere", "warning", message, allowed, step)


def _air(build: Build) -> Iterator[Finding]:
    changes = build.machine.room.air_changes
    if not changes:
        said = "not known" if changes is None else "0"
        message = f"the air changes of the room are {said}"
        yield _at(build, "room.air_changes", "warning", message, "A measured rate", "Have it measured, enter it")


def _eyes(build: Build, beam: BeamFigures | None) -> Iterator[Finding]:
    if beam is None:
        message = "eyewear was not worked out: no wavelength within 400 to 1400 nm is known for this dye"
        yield _at(build, "dye.name", "warning", message, "400 to 1400 nm", "Ask for the limits at its wavelength")
        return
    by_edition = "; ".join(
        f"{row.edition}: optical density {row.density:.1f}, hazard distance {words.length(row.distance_low)} to "
        f"{words.length(row.distance_high)}, {words.length(row.diffuse_distance)} from a matt surface"
        for row in beam.editions
    )
    letters = " and ".join(f"{letter} LB{beam.scale_number}" for letter in beam.letters)
    message = (
        f"eyewear for {words.energy(beam.energy)} near {words.wavelength(beam.wavelength)} ({beam.basis}). {by_edition}"
    )
    yield _at(build, "resonator", "note", message, f"EN 207: {letters}", OBTAIN_THE_STANDARD)


def margins(build: Build, shot: Shot | None = None) -> tuple[Margin, ...]:
    """Stresses that only safety judges, at the charge voltage of the shot or of the build.

    Parameters
    ----------
    build : Build
        The machine.
    shot : Shot, optional
        A shot of it; its charge voltage counts.

    Returns
    -------
    margins : tuple of Margin
        Empty where the build file does not say enough; see `not_judged`.
    """
    return bank_margins(build, charge_figures(build, shot).charge_voltage)


def not_judged(build: Build, shot: Shot | None = None) -> tuple[NotJudged, ...]:
    """Safety items whose limit the build file does not give."""
    return bank_not_judged(build, charge_figures(build, shot).charge_voltage)
