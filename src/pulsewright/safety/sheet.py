"""The sheet that goes with an advised voltage: the machine's own numbers, and what to do in which order.

Steps are common practice, no source; numbers are the machine's, with their source beside them. It
is made to be printed on one page, ticked by pen and hung where the laser is charged.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass

from pulsewright.machine import Build, Machine
from pulsewright.physics.exposure.corrections import OBTAIN_THE_STANDARD
from pulsewright.quantities import show
from pulsewright.records import Shot
from pulsewright.safety import words
from pulsewright.safety.figures import FLUSH_CHANGES, BeamFigures, DrainFigures, Figures, SolventFigures, figures
from pulsewright.safety.hazards import SELF_STARTING

#: Least wait after a misfire before anything is done, a choice of this package; local rules may ask for more.
MISFIRE_WAIT = 60.0
UNKNOWN = "not known"


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One number of the sheet."""

    words: str
    value: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Checklist:
    """One list of the sheet."""

    title: str
    items: tuple[str, ...]
    lead: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """Everything that the printed page says."""

    name: str
    words: str
    rows: tuple[SheetRow, ...]
    before: Checklist
    between: Checklist
    misfire: Checklist
    shut_down: Checklist
    notes: tuple[str, ...]
    fingerprint: str


def sheet(build: Build, shot: Shot | None = None) -> Sheet:
    """The safety sheet of a machine.

    Parameters
    ----------
    build : Build
        The machine.
    shot : Shot, optional
        A shot of it, for charge voltage, energy and wavelength of the beam.

    Returns
    -------
    sheet : Sheet
        Numbers and checklists; `report.safety_sheet` prints it.
    """
    numbers = figures(build, shot)
    machine = build.machine
    return Sheet(
        _short(build.name),
        _short(build.words, 150),
        (
            *_bank_rows(numbers),
            *_drain_rows("Dump", "dump", numbers.dump),
            *_drain_rows("Bleeder alone", "bleeder", numbers.bleeder),
            *_beam_rows(numbers.beam),
            *_solvent_rows(numbers.solvent),
            *_flush_rows(numbers),
        ),
        _before(machine, numbers),
        _between(machine, numbers),
        _misfire(machine, numbers),
        _shut_down(numbers),
        _notes(numbers),
        build.values_fingerprint,
    )


def _bank_rows(numbers: Figures) -> Iterator[SheetRow]:
    charge = numbers.charge
    full = f"full: {words.energy(charge.full_energy)} at {words.voltage(charge.full_voltage)}; set: "
    full += words.setting(charge.charge_voltage / charge.full_voltage)
    yield SheetRow("Stored", f"{words.energy(charge.stored_energy)} at {words.voltage(charge.charge_voltage)}", full)


def _drain_rows(title: str, part: str, drain: DrainFigures | None) -> Iterator[SheetRow]:
    if drain is None:
        yield SheetRow(title, UNKNOWN, f"no {part} is listed in the build file")
        return
    power = f"{'standing' if part == 'bleeder' else 'peak'} {words.power(drain.power)}"
    if part == "dump":
        power += ", body " + (
            "not known" if drain.temperature_rise is None else f"{drain.temperature_rise:.2g} K warmer"
        )
    low, next_low = (words.time(time) for time in drain.times)
    yield SheetRow(f"{title}, to 50 V / 60 V", f"{low} / {next_low}", f"computed, never a proof; {power}")


def _beam_rows(beam: BeamFigures | None) -> Iterator[SheetRow]:
    if beam is None:
        yield SheetRow("Eyewear", UNKNOWN, "no wavelength within 400 to 1400 nm is known for this dye")
        return
    known = f"{words.energy(beam.energy)}, {words.wavelength(beam.wavelength)}, {words.time(beam.duration)}"
    yield SheetRow(f"Beam, class {beam.laser_class}", known, beam.basis)
    for row in beam.editions:
        yield SheetRow(
            f"Eyewear, {row.edition}",
            f"optical density {row.density:.1f} or more",
            f"reaches {words.length(row.distance_low)} to {words.length(row.distance_high)}; from a matt wall "
            f"{words.length(row.diffuse_distance)}",
        )
    letters = " and ".join(f"{letter} LB{beam.scale_number}" for letter in beam.letters)
    yield SheetRow("Eyewear, EN 207", letters, "for one pulse; several in 5 s need more")


def _solvent_rows(solvent: SolventFigures) -> Iterator[SheetRow]:
    amount = UNKNOWN if solvent.volume is None else words.volume(solvent.volume)
    flash = "no flash point" if solvent.flash_point is None else f"flash point {words.celsius(solvent.flash_point)}"
    yield SheetRow("Solvent", f"{solvent.name}, {amount}", flash)
    changes = UNKNOWN if solvent.air_changes is None else f"{3600 * solvent.air_changes:.3g} per hour"
    clears = "" if solvent.clearing_time is None else f"99 % cleared in {words.time(solvent.clearing_time)}, well mixed"
    yield SheetRow("Air changes", changes, clears)
    if solvent.share_of_limit is not None:
        share = words.share(solvent.share_of_limit)
        yield SheetRow(
            "All of it evaporated", f"{share} of explosive limit", "the lower one, evenly mixed in this room"
        )


def _flush_rows(numbers: Figures) -> Iterator[SheetRow]:
    """One row whatever the number of loops: what is not known first, else the slowest."""
    if not numbers.flush:
        return
    slowest = max(numbers.flush, key=lambda flush: math.inf if flush.time is None else flush.time)
    if slowest.time is None:
        said = "rinse the cell by hand" if slowest.method in ("stagnant", "fresh fill") else UNKNOWN
        yield SheetRow("Fresh dye between shots", said, f"{_short(slowest.loop, 24)}: {slowest.method}")
        return
    note = f"{FLUSH_CHANGES:.0f} volumes of the cell, {_short(slowest.loop, 24)}: {slowest.method}"
    yield SheetRow("Fresh dye between shots", words.time(slowest.time), note)


def _eyewear(beam: BeamFigures | None) -> str:
    if beam is None:
        return "eyewear for the wavelength of this laser"
    density = max(row.density for row in beam.editions)
    return f"eyewear for {words.wavelength(beam.wavelength)}, optical density {density:.1f} or more"


def _before(machine: Machine, numbers: Figures) -> Checklist:
    ceiling = min(v for v in (machine.bank.voltage_rating, machine.charger.voltage_max) if v is not None)
    charge = words.voltage(numbers.charge.charge_voltage)
    started = SELF_STARTING.get(machine.trigger.method)
    items = [
        "Two people; both know this page. Door shut, sign on, everyone else out.",
        "Bank shorted, earth stick on. Bleeder, dump and their joints whole; dump tried today at low voltage.",
        f"{words.sentence(_eyewear(numbers.beam))}: on every face. Watches and rings off.",
        f"Beam closed from both mirrors to the target ({_short(machine.target.material)}); stop behind it.",
        "Chamber closed; coolant, if any, runs; lamps look clear. Ears covered.",
        _liquid(machine, numbers.solvent),
    ]
    if machine.dye.atmosphere != "air":
        items.append(f"{words.sentence(machine.dye.atmosphere)}: vented outside, bottle chained, room air watched.")
    if machine.trigger.start_pressure is not None and machine.trigger.method == "pressure drop":
        items.append(
            f"Lamp at {show('start_pressure', machine.trigger.start_pressure)} and holding before the first volt."
        )
    if started is not None:
        items.append(f"{started}: treat it as firing at any moment from the first volt.")
    items.append("Stand at the controls. Earth stick off, hung in its place. Say aloud: charging.")
    items.append(f"Set {charge}. Never above {words.voltage(ceiling)}, nor above what the envelope allows.")
    return Checklist("Before charging", tuple(items))


def _short(text: str, most: int = 48) -> str:
    """A text of the build file that must not break the page."""
    return text if len(text) <= most else text[: most - 3].rstrip() + "..."


def _liquid(machine: Machine, solvent: SolventFigures) -> str:
    flows = [f"{name} {60e3 * loop.flow:.3g} L/min" for name, loop in machine.loops.items() if loop.flow]
    flow = f"flows ({_short(', '.join(flows))})" if flows else "in place"
    if solvent.flash_point is None:
        return f"Dye {flow}, no leak, nothing drips towards the bank."
    return f"Dye {flow}, no leak, tray under it; ventilation on; no flame, no spark; extinguisher at hand."


def _between(machine: Machine, numbers: Figures) -> Checklist:
    times = [flush.time for flush in numbers.flush if flush.time is not None]
    fresh = (
        f"Wait {words.time(max(times))} for fresh dye" if times else "Rinse the cell by hand, bank dumped and shorted"
    )
    charge = "Charge only to fire at once. Not fired within a minute: dump."
    if machine.trigger.method in SELF_STARTING:
        charge = "Charger off between shots: left on, it charges and fires again by itself."
    items = (
        "Meter of the bank read: below 50 V. Eyewear stays on; hands stay out.",
        f"{fresh}. Anything to touch, clean or turn: shut down first.",
        "Look, listen, smell: leak, haze or crack in a lamp, solvent, ozone, a new sound. Then shut down.",
        charge,
        "Shot written in the log; anything odd too.",
    )
    return Checklist("Between shots", items)


def _misfire(machine: Machine, numbers: Figures) -> Checklist:
    dump, bleeder = numbers.dump, numbers.bleeder
    self_starting = machine.trigger.method in SELF_STARTING
    wait = f"WAIT {words.time(MISFIRE_WAIT)}. Eyewear on, hands off, nobody moves in. It may still fire"
    wait += " by itself." if self_starting else "."
    if machine.trigger.method == "pressure drop":
        wait += " Leave the lamp's pump and valves as they are: passing its firing pressure fires it."
    drain = "CHARGER OFF and locked. No dump is listed: only the bleeder drains this bank."
    if dump is not None:
        down = words.time(dump.times[0])
        drain = f"DUMP from the controls; charger off and locked. {down} to 50 V: computed, never a proof."
    slow = f"Wait {words.time(bleeder.times[0])}" if bleeder is not None else "Keep the door shut"
    measure = (
        "MEASURE. The meter must fall to zero, and a broken meter reads zero too. It does not fall, or you doubt it: "
        f"nobody goes near. {slow}, measure again, call the responsible person."
    )
    short = "SHORT with the earth stick at arm's length: through its resistor first, then directly, every capacitor."
    approach = "ONLY THEN APPROACH. The bank regains charge by itself: the short stays on as long as hands are inside."
    lead = (
        "Charged and not fired: in this order, all of it, every time. Someone hurt: call, then charger off, dump and "
        "short before anyone touches them."
    )
    return Checklist("MISFIRE", (wait, drain, measure, short, approach), lead)


def _shut_down(numbers: Figures) -> Checklist:
    clear = numbers.solvent.clearing_time
    air = f" for {words.time(clear)} more" if clear is not None else ""
    items = [
        "Charger off, key out. Dump. Measure. Short; the earth stick stays on. Only now eyewear off.",
        f"Dye pump off, valves and bottles shut, spills wiped; ventilation on{air}."
        if numbers.solvent.flash_point is not None
        else "Dye pump off, valves and bottles shut, spills wiped.",
        "Lamps cool before they are touched. Waste into its labelled can.",
        "Log closed; what needs repair is marked on the machine.",
    ]
    return Checklist("Shut-down", tuple(items))


def _notes(numbers: Figures) -> tuple[str, ...]:
    permit = (
        "A sheet to work by, not a permit. Local codes and licensed practice decide; where they ask for more, do more. "
        "The program that printed it never charges, fires or interlocks anything."
    )
    rules = (
        "Rules behind the times: 50 V within 5 min (California Title 8, section 2893), 60 V within 5 s (IEC 60204-1, "
        "clause 6.2.4): minima for products, not for access. Steps: common practice, no source."
    )
    eyes = (
        f"{OBTAIN_THE_STANDARD} Reach: from the geometric to the diffraction-limited divergence. Eyewear: all of the "
        "light into a 7 mm pupil. A higher voltage, another dye: print a new sheet."
    )
    return (permit, rules, eyes) if numbers.beam is not None else (permit, rules)
