"""Acceptance of bought or used capacitors, lamps and resistors: what to do, and what counts as passed.

Steps and criteria are common practice, no source, unless one is named. Each list starts with what can hurt. Local codes
and licensed practice decide.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from pulsewright.machine import Build, Machine
from pulsewright.physics.pulsed_power.dump import adiabatic_temperature_rise, dump_voltage
from pulsewright.physics.pulsed_power.storage import stored_energy
from pulsewright.quantities import show
from pulsewright.safety import words
from pulsewright.safety.bank_figures import divider_drain, drain_resistance

PRACTICE = "common practice, no source"
#: Part of the charge voltage at each step of a voltage test, and how long each is held [s]; common practice, no source.
STEPS, HOLD = (0.25, 0.5, 0.75, 1.0), 60.0
#: Where the build file states no spread, a part may be this far off; common practice, no source.
TOLERANCE = 0.1
#: Loss factor at 1 kHz above which a capacitor is turned down, by dielectric; common practice, no source.
LOSS_FACTOR = {"film": 1e-3, "paper in oil": 1e-2}
#: What a good power film capacitor shows, at 50 Hz and at 14 kHz: a maker's data sheet.
GOOD_LOSS_FACTOR = (1.5e-4, 4.0e-4)
#: Colour of the glow under a spark coil, by gas; common practice, no source.
GLOW = {
    "xenon": "pale blue to white",
    "krypton": "pale lilac to white",
    "argon": "violet",
    "nitrogen": "rose to violet",
    "oxygen": "pale yellow-grey",
    "air": "rose to violet",
}


@dataclass(frozen=True, slots=True)
class AcceptanceStep:
    """One test: what is done, what counts as passed, and where the criterion comes from."""

    words: str
    accept: str
    source: str = PRACTICE

    def __str__(self) -> str:
        return f"{self.words} Accept: {self.accept}" + ("" if self.source == PRACTICE else f" ({self.source})") + "."

    def as_dict(self) -> dict[str, str]:
        """For JSON."""
        return {"words": self.words, "accept": self.accept, "source": self.source}


@dataclass(frozen=True, slots=True)
class AcceptanceList:
    """The tests of one kind of part, with what can hurt."""

    title: str
    item: str
    caution: str
    steps: tuple[AcceptanceStep, ...]

    def as_dict(self) -> dict[str, object]:
        """For JSON."""
        steps = [step.as_dict() for step in self.steps]
        return {"title": self.title, "item": self.item, "caution": self.caution, "steps": steps}


def acceptance(build: Build, charge_voltage: float | None = None) -> tuple[AcceptanceList, ...]:
    """Lists for the parts of a machine: capacitors, lamps, resistors, at a charge voltage.

    Parameters
    ----------
    build : Build
        The machine.
    charge_voltage : float, optional
        Defaults to the build's. [V]

    Returns
    -------
    lists : tuple of AcceptanceList
        Three, with the machine's own numbers.
    """
    volts = build.machine.bank.charge_voltage if charge_voltage is None else charge_voltage
    return _capacitors(build, volts), _lamps(build, volts), _resistors(build, volts)


def _tolerance(build: Build, path: str) -> str:
    """Relative spread of an entry, in per cent."""
    entry = build.entries.get(path)
    spread = getattr(entry, "spread", None)
    part = spread / entry.value if spread and entry is not None and isinstance(entry.value, float) else TOLERANCE
    return words.share(part)


def steps_of(volts: float) -> str:
    """The voltages of a test with the share of the energy that belongs to each: half the voltage is a quarter of it."""
    return "; ".join(f"{words.voltage(part * volts)} ({words.setting(part)})" for part in STEPS)


def _capacitors(build: Build, volts: float) -> AcceptanceList:
    """The list of the bank; as long as the list is."""
    machine = build.machine
    farads, rating = machine.bank.capacitance, machine.bank.voltage_rating
    least = words.voltage(volts) if rating is None else words.voltage(rating)
    quarter = STEPS[0] * volts
    ohms = divider_drain(machine)
    left = quarter if math.isinf(ohms) else float(dump_voltage(ohms, farads, quarter, HOLD))
    resistance = LOSS_FACTOR["paper in oil"] / (2 * math.pi * 1e3 * farads)
    return AcceptanceList(
        "Capacitors, bought or used",
        "bank",
        f"{words.energy(float(stored_energy(farads, volts)))} at {words.voltage(volts)} kill. A capacitor on a shelf "
        "charges itself: a wire across it until it is built in. Old oil-filled cans may hold PCB. Test behind a "
        "barrier: a bad one bursts. Local codes and licensed practice decide.",
        (
            AcceptanceStep("Read the label, photograph it.", f"rated {least} or more, free of PCB by label or maker"),
            AcceptanceStep(
                "Straight edge on the faces; the can on white paper for a night; bushings under a lamp.",
                "faces flat within 1 mm, paper dry, no crack, no track of an arc, terminals tight",
            ),
            AcceptanceStep(
                "Capacitance on a bridge at 1 kHz, of each can and of the bank.",
                f"the bank {show('capacitance', farads)} within {_tolerance(build, 'bank.capacitance')}; cans alike "
                "within 5 %",
            ),
            AcceptanceStep(
                "Loss factor on the same bridge.",
                f"at most {LOSS_FACTOR['film']:g} for film, {LOSS_FACTOR['paper in oil']:g} for paper in oil (on this "
                f"bank {show('resistance', resistance)} in series); a good power film part shows "
                f"{GOOD_LOSS_FACTOR[0]:g} at 50 Hz and {GOOD_LOSS_FACTOR[1]:g} at 14 kHz, by a maker's data sheet",
            ),
            AcceptanceStep(
                f"Insulation: charge to {words.voltage(quarter)} ({words.setting(STEPS[0])}) "
                f"through 1 Mohm or more; supply off, and bleeder off "
                f"for this test alone; read after {words.time(HOLD)}; then dump, measure, short.",
                f"at least {words.voltage(0.9 * left)} left, nine tenths of what the divider alone would leave",
            ),
            AcceptanceStep(
                f"Voltage in steps, {words.time(HOLD)} each, from behind the barrier: {steps_of(volts)}. After each: "
                "dump, measure, short, look.",
                "charging current falls to a steady value at each step; no tick, no hiss, no smell, no warm can",
            ),
            AcceptanceStep(
                f"Ten shots at {words.voltage(0.5 * volts)}: {words.setting(0.5)}. Bridge again.",
                "capacitance and loss factor within 2 % and 20 % of before",
            ),
        ),
    )


def _glow(machine: Machine) -> str:
    gases = sorted({lamp.gas for lamp in machine.lamps.values()})
    return ", ".join(f"{gas} {GLOW[gas]}" if gas in GLOW else f"{gas}, its own colour" for gas in gases)


def _hold(machine: Machine) -> AcceptanceStep:
    """Leak test of lamps that are pumped in service, or the rest of a sealed one."""
    trigger = machine.trigger
    if trigger.method == "pressure drop" and trigger.leak is not None and trigger.volume is not None:
        rise = trigger.leak * 600.0 / trigger.volume
        return AcceptanceStep(
            "Pump down, valve shut, gauge read for 10 min.",
            f"rise of at most {show('fill_pressure', rise)}, the leak of the build file",
        )
    return AcceptanceStep(
        "Glow again after a week on the shelf.", "the same colour and reach: the seals hold", PRACTICE
    )


def _lamps(build: Build, volts: float) -> AcceptanceList:
    """The list of the lamps."""
    machine = build.machine
    half = f"{words.voltage(0.5 * volts)}: {words.setting(0.5)}"
    bores = sorted({show("bore", lamp.bore) for lamp in machine.lamps.values()})
    lamps = f"bore {', '.join(bores)} as in the build file, within {_tolerance_of_bore(build)}"
    return AcceptanceList(
        "Flashlamps, bought or used",
        "lamps",
        "A lamp under pressure bursts when knocked or clamped; face shield and gloves. It gives off ultraviolet and is "
        "loud. A spark coil shocks and burns, and its arc can pierce a thin seal. Local codes and licensed practice "
        "decide.",
        (
            AcceptanceStep(
                "Look along the tube against a lamp, then across under a lens: seals, pinch, bore.",
                "no crack, no craze, no white haze, no metal on the glass beyond a bore's width from an electrode",
            ),
            AcceptanceStep("Bore and arc length with gauge and rule.", lamps),
            AcceptanceStep(
                "Spark coil on one electrode in the dark, a second at a time, the other one earthed through the coil's "
                "own return.",
                f"a glow from end to end: {_glow(machine)}; rose where it should not be is air, none is air at full "
                "pressure or a far too high fill",
            ),
            _hold(machine),
            AcceptanceStep(
                "In the chamber: turn and slide it by hand.", "it floats: no clamp, no stress at a seal when it is warm"
            ),
            AcceptanceStep(
                f"Ten shots at {half}. Dump, measure, short; then look.",
                "fires every time; no new darkening, haze or crack; current trace alike within 5 %",
            ),
            AcceptanceStep(
                f"Ten shots at {words.voltage(0.75 * volts)}: {words.setting(0.75)}; "
                f" look; then the full voltage, and look.",
                "as before",
            ),
        ),
    )


def _tolerance_of_bore(build: Build) -> str:
    return " or ".join(sorted({_tolerance(build, f"lamps.{name}.bore") for name in build.machine.lamps}))


def _resistors(build: Build, volts: float) -> AcceptanceList:
    """The list of dump, bleeder and charging resistor; as long as the list is."""
    machine = build.machine
    farads = machine.bank.capacitance
    energy = float(stored_energy(farads, volts))
    named = {
        "dump": machine.dump.resistance,
        "bleeder": machine.bank.bleeder_resistance,
        "charging resistor": machine.charger.resistance if machine.charger.method == "resistor" else None,
    }
    values = ", ".join(f"{name} {show('resistance', ohms)}" for name, ohms in named.items() if ohms is not None)
    hot = "a hand near it, never on it"
    if machine.dump.volume is not None:
        rise = float(adiabatic_temperature_rise(energy, machine.dump.volume))
        hot = f"computed {rise:.2g} K warmer in all its volume"
    drain = drain_resistance(machine)
    constant = "" if math.isinf(drain) else f": computed {words.time(drain * farads)} with bleeder and divider"
    return AcceptanceList(
        "Resistors, bought or used",
        "dump",
        "A dump that breaks leaves the bank charged, and nothing shows it; a body that is overdriven bursts. Local "
        "codes and licensed practice decide.",
        (
            AcceptanceStep(
                "Look at bodies and end caps.", "no crack, no chip, no burnt mark, no loose cap, no print rubbed off"
            ),
            AcceptanceStep(
                "Value cold, on a bridge, each element of a chain.",
                (f"{values}; each " if values else "each ") + f"within {words.share(TOLERANCE)}",
            ),
            AcceptanceStep(
                "Voltage on each element of a chain, its share of the charge voltage.",
                f"at most the rating of the element; in all {words.voltage(volts)}",
            ),
            AcceptanceStep(
                f"Dump at {words.voltage(0.5 * volts)} ({words.setting(0.5)}), "
                f"then at {words.voltage(volts)}; short; value again at once ({hot}), and once more "
                "when cold.",
                f"hot within {words.share(TOLERANCE)} of cold, cold within 2 % of before",
            ),
            AcceptanceStep(
                "Bleeder: two readings of the meter a minute apart, charger off, dump off; time constant from both.",
                f"within 20 % of resistance times capacitance{constant}",
            ),
            AcceptanceStep(
                "Earth stick and shorting link: ohmmeter from tip to the single earth point; look at handle and cable.",
                "below 1 ohm, cable and clamp whole, handle dry and without a crack",
            ),
        ),
    )
