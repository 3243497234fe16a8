"""Charge, hold and dump of a bank as a timeline, with every figure, rule and list that belongs to it.

Voltages are computed for whole, connected parts. After a dump no voltage is given: dielectric absorption gives charge
back, and only a measurement and a short say more. Local codes and licensed practice decide.
"""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pulsewright import safety
from pulsewright.errors import Finding, worst_first
from pulsewright.machine import Build, Machine
from pulsewright.physics.pulsed_power.dump import dump_time, dump_voltage
from pulsewright.physics.pulsed_power.storage import stored_energy
from pulsewright.records import Caution, Margin, NotJudged, Shot
from pulsewright.safety import words
from pulsewright.safety.acceptance import AcceptanceList, acceptance
from pulsewright.safety.bank_figures import charge_curve, drain_resistance, supply_figures
from pulsewright.safety.earthing import EarthingPlan, earthing_plan
from pulsewright.safety.sheet import Checklist
from pulsewright.studies.bank_numbers import Figure, figures
from pulsewright.studies.dump_rules import DumpBody, RuleRow, dump_bodies, rules

Float = NDArray[np.float64]

#: Time for which a charged bank waits before it is dumped, not fired; common practice, no source. [s]
HOLD = 60.0
#: Voltages that the timeline names on the way down: threshold of a shock (LBNL), the rules' 60 and 50, and below. [V]
NAMED = (100.0, 60.0, 50.0, 10.0, 1.0)
#: A charge that never ends is shown to this part of the voltage at which it settles.
SHOWN = 0.999
POINTS = 121


@dataclass(frozen=True, slots=True)
class Phase:
    """One stretch of the timeline."""

    name: str
    start: float
    stop: float
    words: str

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {"name": self.name, "start": self.start, "stop": self.stop, "words": self.words}


@dataclass(frozen=True, slots=True)
class Event:
    """One instant: voltage and energy as computed there. `way`: "charge", "hold", "dump" or "bleeder"."""

    time: float
    voltage: float
    energy: float
    words: str
    way: str

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {
            "time": self.time,
            "voltage": self.voltage,
            "energy": self.energy,
            "words": self.words,
            "way": self.way,
        }


@dataclass(frozen=True, slots=True, eq=False)
class ChargeAndDump:
    """Charge, hold and dump of one bank.

    `time` [s]; `voltage` [V]: with the dump, not a number once the dump is over; `bleeder_voltage` [V]: the same when
    the dump does not connect. `ratings`: bodies that would take this bank. `findings` and `margins` as in a shot.
    """

    start: Mapping[str, Any]
    time: Float
    voltage: Float
    bleeder_voltage: Float
    phases: tuple[Phase, ...]
    events: tuple[Event, ...]
    figures: tuple[Figure, ...]
    ratings: tuple[DumpBody, ...]
    rules: tuple[RuleRow, ...]
    checklists: tuple[Checklist, ...]
    acceptance: tuple[AcceptanceList, ...]
    earthing: EarthingPlan
    margins: tuple[Margin, ...]
    not_judged: tuple[NotJudged, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[Caution, ...]

    def as_dict(self) -> dict[str, Any]:
        """For JSON; a voltage that is not known is null there."""
        rows = ("phases", "events", "figures", "ratings", "rules", "acceptance", "margins", "not_judged")
        return {
            "start": dict(self.start),
            "time": self.time.tolist(),
            "voltage": self.voltage.tolist(),
            "bleeder_voltage": self.bleeder_voltage.tolist(),
            **{name: [row.as_dict() for row in getattr(self, name)] for name in rows},
            "checklists": [{"title": row.title, "lead": row.lead, "items": list(row.items)} for row in self.checklists],
            "earthing": {
                "rows": [row.as_dict() for row in self.earthing.rows],
                "rules": list(self.earthing.rules),
                "current_slope": self.earthing.slope,
                "slope_basis": self.earthing.slope_basis,
                "ground_bounce": self.earthing.bounce,
            },
            "findings": [row.as_dict() for row in self.findings],
            "cautions": [row.as_dict() for row in self.cautions],
        }


def charge_and_dump(
    build: Build, charge_voltage: float | None = None, shot: Shot | None = None, hold: float = HOLD
) -> ChargeAndDump:
    """Charge, hold and dump of a build's bank.

    Parameters
    ----------
    build : Build
        With every layer applied.
    charge_voltage : float, optional
        Defaults to the build's. [V]
    shot : Shot, optional
        A shot of it, for the steepest current and what it leaves on the bank.
    hold : float
        Time from the end of the charge to the dump. [s]
    """
    volts = build.machine.bank.charge_voltage if charge_voltage is None else charge_voltage
    line = _timeline(build.machine, volts, hold)
    plan = earthing_plan(build, volts, shot)
    at_volts = build.replace("bank.charge_voltage", volts)
    margins = safety.bank_margins(build, volts)
    found = [*build.findings, *_bank_findings(at_volts), *_limits(margins)]
    return ChargeAndDump(
        {"bench": build.name, "charge_voltage": volts, "hold": hold},
        *line.arrays(),
        tuple(line.phases),
        tuple(sorted(line.events, key=lambda event: event.time)),
        figures(build, volts, hold, plan, shot),
        dump_bodies(build.machine, volts),
        rules(build.machine, volts),
        _checklists(build, plan),
        acceptance(build, volts),
        plan,
        margins,
        safety.bank_not_judged(build, volts),
        tuple(worst_first(dict.fromkeys(found))),
        _cautions(at_volts),
    )


#: Sections whose findings belong here.
_SECTIONS = ("bank", "charger", "dump", "meter", "loop", "trigger")


def _bank_findings(build: Build) -> Iterator[Finding]:
    return (row for row in safety.findings(build) if row.path.split(".")[0] in _SECTIONS)


def _limits(margins: tuple[Margin, ...]) -> Iterator[Finding]:
    """Margins that are used up."""
    for row in margins:
        if row.ratio >= 1.0:
            message = f"{row.stress} is {row.ratio:.2f} of its limit"
            yield Finding("limit", row.item, message, f"Limit from {row.source}", f"What lowers it: {row.lower_by}")


def _cautions(build: Build) -> tuple[Caution, ...]:
    kept = [row for row in safety.cautions(build) if row.hazard in ("stored energy", "starts by itself")]
    return (
        *kept,
        Caution(
            "dielectric absorption",
            "An open bank gives itself charge back after a dump, for hours: how much is not computed and never small "
            "enough to trust.",
            "Short it, directly, before the first touch, and leave the short on until the next charge.",
        ),
        Caution(
            "divider and instrument",
            "A divider that reads zero proves nothing: a broken upper arm and a shorted lower one read zero too. An "
            "opened lower arm puts the bank on the instrument.",
            "Battery-fed or isolated instruments only, no laptop on its charger; a second way to measure before the "
            "short.",
        ),
    )


class _Timeline:
    """Stretches of time with their voltages, put together one after the other."""

    def __init__(self, machine: Machine) -> None:
        self.farads = machine.bank.capacitance
        self.parts: list[tuple[Float, Float, Float]] = []
        self.phases: list[Phase] = []
        self.events: list[Event] = []
        self.end = 0.0

    def phase(self, name: str, time: Float, voltage: Float, bleeder: Float, said: str) -> None:
        """Add a stretch; its times count from the end of the one before."""
        self.parts.append((self.end + time, voltage, bleeder))
        self.phases.append(Phase(name, self.end, self.end + float(time[-1]), said))
        self.end += float(time[-1])

    def event(self, time: float, volts: float, said: str, way: str) -> None:
        """Add an instant."""
        self.events.append(Event(time, volts, float(stored_energy(self.farads, volts)), said, way))

    def arrays(self) -> tuple[Float, Float, Float]:
        """Time, voltage with the dump, voltage with the bleeder alone."""
        time, voltage, bleeder = (np.concatenate(column) for column in zip(*self.parts, strict=True))
        return time, voltage, bleeder


def _timeline(machine: Machine, volts: float, hold: float) -> _Timeline:
    line = _Timeline(machine)
    reached = _charge(line, machine, volts)
    held = _hold(line, machine, reached, hold)
    begun = line.end
    if machine.dump.resistance is not None:
        _dump(line, machine, held)
    _bleed(line, machine, held, begun)
    return line


def _charge(line: _Timeline, machine: Machine, volts: float) -> float:
    """From empty to the charge voltage, or near to where it settles. Returns the voltage reached."""
    supply = supply_figures(machine, volts)
    never = not math.isfinite(supply.charge_time)
    goal = SHOWN * supply.settled_voltage if never else volts
    last = supply_figures(machine, goal).charge_time if never else supply.charge_time
    time = np.linspace(0.0, last, POINTS)
    voltage = np.asarray(charge_curve(machine)(time), dtype=np.float64)
    said = f"{machine.charger.method}, from an empty bank"
    line.event(0.0, 0.0, f"charge begins: {said}", "charge")
    half = supply_figures(machine, goal / 2.0).charge_time
    line.event(half, goal / 2.0, "half of that voltage: a quarter of the energy", "charge")
    if never:
        said += f"; it settles at {words.voltage(supply.settled_voltage)} and never reaches {words.voltage(volts)}"
        line.event(last, goal, f"as far as it goes: {words.voltage(volts)} is never reached", "charge")
    else:
        line.event(last, goal, "charge voltage reached: charger off", "charge")
    line.phase("charge", time, voltage, voltage, said)
    return goal


def _decay(machine: Machine, ohms: float, volts: float, time: Float) -> Float:
    if math.isinf(ohms):
        return np.full_like(time, volts)
    return np.asarray(dump_voltage(ohms, machine.bank.capacitance, volts, time), dtype=np.float64)


def _hold(line: _Timeline, machine: Machine, volts: float, hold: float) -> float:
    ohms = drain_resistance(machine)
    time = np.linspace(0.0, hold, POINTS)
    voltage = _decay(machine, ohms, volts, time)
    held = float(voltage[-1])
    part = held / volts
    drain = "bleeder and divider drain it" if math.isfinite(ohms) else "nothing that is listed drains it"
    line.phase("hold", time, voltage, voltage, f"charger off, charged: {drain}")
    left = f"{words.setting(part)} left"
    line.event(line.end, held, f"after {words.time(hold)} with the charger off: {left}", "hold")
    return held


def _passed(machine: Machine, ohms: float, volts: float) -> Iterator[tuple[float, float]]:
    """Named voltages below a voltage, each with the time a resistance takes to it."""
    for low in NAMED:
        if low < volts:
            yield low, float(dump_time(ohms, machine.bank.capacitance, volts, low))


def _dump(line: _Timeline, machine: Machine, volts: float) -> None:
    """The dump connects; its voltages are computed, and none is given after its end."""
    ohms = machine.dump.resistance or math.inf
    together = 1.0 / (1.0 / ohms + 1.0 / drain_resistance(machine))
    begun = line.end
    peak = f"{words.power(volts**2 / ohms)} and {words.current(volts / ohms)} at its start"
    line.event(begun, volts, f"dump connected: {peak}", "dump")
    passed = list(_passed(machine, together, volts))
    last = passed[-1][1] if passed else together * machine.bank.capacitance
    time = np.linspace(0.0, last, POINTS)
    for low, when in passed:
        line.event(begun + when, low, f"{words.voltage(low)} by the dump, computed: measure, short", "dump")
    bleeder = _decay(machine, drain_resistance(machine), volts, time)
    said = "dump connected; what follows is known by measurement only"
    line.phase("dump", time, _decay(machine, together, volts, time), bleeder, said)


def _bleed(line: _Timeline, machine: Machine, volts: float, begun: float) -> None:
    """The dump does not connect: the bleeder alone, to 50 V."""
    ohms = drain_resistance(machine)
    if math.isinf(ohms) or volts <= NAMED[2]:
        return
    passed = [(low, when) for low, when in _passed(machine, ohms, volts) if low >= NAMED[2]]
    for low, when in passed:
        said = f"{words.voltage(low)} by bleeder and divider alone, computed: measure, short"
        line.event(begun + when, low, said, "bleeder")
    after = line.end - begun
    last = passed[-1][1]
    if last <= after:
        return
    time = np.linspace(0.0, last - after, POINTS)[1:]
    dumped = machine.dump.resistance is not None
    bleeder = _decay(machine, ohms, volts, after + time)
    said = "if the dump does not connect: bleeder and divider alone" if dumped else "bleeder and divider alone"
    line.phase("bleeder", time, np.full_like(time, np.nan) if dumped else bleeder, bleeder, said)


def _checklists(build: Build, plan: EarthingPlan) -> tuple[Checklist, ...]:
    earthed = tuple(f"{row.part}: {row.words}." for row in plan.rows)
    found = safety.sheet(build)
    return (
        Checklist(
            "Earth stick and short",
            (
                "Charger off, key out. Dump. Wait for the meter to fall; one that never moved is a fault, not a zero.",
                "Earth stick at arm's length: through its resistor first, then directly, on every capacitor.",
                "Shorting link on, bolted. Only then hands. It stays on until the next charge.",
                "Stick, cable and link looked over and measured below 1 ohm this month.",
            ),
            "Never replaced by a computed voltage, nor by a reading alone.",
        ),
        Checklist("Earthing plan", earthed, "What goes to the single earth point, and how."),
        Checklist("Earth leads and instruments", plan.rules, "What the discharge does to them."),
        found.before,
        found.between,
        found.misfire,
        found.shut_down,
    )
