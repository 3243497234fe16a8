"""The earthing plan of a machine: one point, what goes there, what the discharge does to it, where instruments go.

The plan is made from the build file. Its rules are common practice, no source. Local codes and licensed practice
decide; nothing here allows a protective earth to be lifted.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pulsewright.machine import Build, Machine
from pulsewright.physics.pulsed_power.earthing import ground_bounce, loop_pickup
from pulsewright.physics.pulsed_power.stress import initial_current_slope
from pulsewright.quantities import show
from pulsewright.records import Shot
from pulsewright.safety import words

#: A loop of instrument leads to give an idea: length along the lead, distance from it, width, in m. An example.
LOOP = (0.1, 0.1, 0.1)


@dataclass(frozen=True, slots=True)
class EarthRow:
    """One part and the way it is earthed."""

    part: str
    words: str

    def as_dict(self) -> dict[str, str]:
        """For JSON."""
        return {"part": self.part, "words": self.words}


@dataclass(frozen=True, slots=True)
class EarthingPlan:
    """Parts and rules, with the steepest current and the voltages it makes; `bounce` None without a known lead."""

    rows: tuple[EarthRow, ...]
    rules: tuple[str, ...]
    slope: float
    slope_basis: str
    bounce: float | None
    pickup: float


def steepest_rise(machine: Machine, charge_voltage: float, shot: Shot | None = None) -> tuple[float, str]:
    """Steepest change of the loop current in A/s, and how it is known: the shot's own, or V / L as a bound."""
    found = None if shot is None else shot.summary.get("steepest_rise")
    if found is not None and found.value is not None and found.value > 0:
        return float(found.value), "from the shot's current"
    return float(initial_current_slope(charge_voltage, machine.loop.inductance)), "bound without lamps, V / L"


def earthing_plan(build: Build, charge_voltage: float | None = None, shot: Shot | None = None) -> EarthingPlan:
    """The earthing plan of a machine.

    Parameters
    ----------
    build : Build
        The machine.
    charge_voltage : float, optional
        Defaults to the build's. [V]
    shot : Shot, optional
        A shot of it, for the steepest current.

    Returns
    -------
    plan : EarthingPlan
        What goes where, and the voltages that earth leads and loops of instrument leads see.
    """
    machine = build.machine
    volts = machine.bank.charge_voltage if charge_voltage is None else charge_voltage
    slope, basis = steepest_rise(machine, volts, shot)
    lead = machine.loop.earth_inductance
    bounce = None if lead is None else float(ground_bounce(lead, slope))
    return EarthingPlan(
        tuple(_rows(machine)),
        tuple(_rules(machine, slope, basis, bounce)),
        slope,
        basis,
        bounce,
        float(loop_pickup(*LOOP, slope)),
    )


def _rows(machine: Machine) -> Iterator[EarthRow]:
    yield EarthRow("bank", "its return bar carries the single earth point; case of every can to it")
    returns = ", ".join(machine.lamps)
    if machine.loop.lamps_connected == "separate loops":
        yield EarthRow(f"lamps {returns}", "each return straight to the return bar, one for each loop")
    else:
        yield EarthRow(
            f"lamps {returns}", "return to the return bar, close beside the lead that feeds them; not by a case"
        )
    yield EarthRow(
        "chamber, frame, dye plumbing", "one wide strap to the single point; no second path by hoses or bench"
    )
    yield EarthRow("charger", "return and case by its own lead to the single point; its mains plug keeps its earth")
    if machine.dump.resistance is not None:
        yield EarthRow("dump", "foot to the return bar by a lead that carries nothing else")
    if machine.meter.upper_resistance is not None:
        yield EarthRow(
            "meter", "foot of the lower arm to the single point; coaxial lead from there, shield open at no end"
        )
    yield EarthRow("trigger", _trigger(machine))
    yield EarthRow("earth stick, shorting link", "on the return bar, flexible copper of 16 mm^2 or more, hung in sight")


_TRIGGERS = {
    "triggered spark gap": "its transformer stands off the full voltage; case to the single point; light guide in",
    "overvoltage gap": "none to wire; the gap floats with the bank, its shield to the single point",
    "thyratron": "heater and grid supplies stand off what the cathode rises to; light guide in",
    "external wire": "its transformer stands off the full voltage; return to the single point; light guide in",
    "series injection": "its winding carries the main current; core and case to the single point; light guide in",
    "simmer": "its supply stands off the full voltage through its diodes; return to the single point",
    "pre-pulse": "its bank is a bank: own bleeder, own dump, own short; return to the single point",
    "pressure drop": "pump, gauge and valves insulated from the lamp's hot end; metal lines to the single point",
    "ideal": "light guide in",
}


def _trigger(machine: Machine) -> str:
    return _TRIGGERS[machine.trigger.method]


def _rules(machine: Machine, slope: float, basis: str, bounce: float | None) -> Iterator[str]:
    yield "One earth point for bank, chamber, charger and instruments; protective earths stay connected, always."
    steep = f"The current rises by {show('current_slope', slope)} ({basis})"
    if bounce is None:
        each = float(ground_bounce(100e-9, slope))
        yield f"{steep}: each 100 nH that it shares with an earth lead lifts it by {words.voltage(each)}."
    else:
        lead = show("earth_inductance", machine.loop.earth_inductance)
        yield f"{steep}: the shared lead of {lead} lifts by {words.voltage(bounce)}; no instrument shares it."
    pickup = float(loop_pickup(*LOOP, slope))
    yield (
        f"An open loop of leads, 100 mm by 100 mm, 100 mm off the discharge lead, picks up {words.voltage(pickup)}: "
        "twist or coax, short, far away."
    )
    yield (
        "Both ends of a probe see the lift alike, and its clip is earth at the mains plug: signals come through "
        "a current transformer or a fibre, not through a clip on the bank."
    )
    yield (
        "Instruments on divider or loop run from batteries or an isolated supply rated for the full voltage. "
        "A laptop or a USB scope on its charger is a shock path from the bank through the mains earth or through you."
    )
    if machine.trigger.method not in ("pressure drop", "overvoltage gap"):
        yield "The trigger comes through a light guide or an isolating transformer rated above the charge voltage."
    yield "Nothing is plugged, clipped or turned while the bank may hold charge."
