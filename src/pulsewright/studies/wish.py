"""What a bank is wished to do, and what is wrong with a wish before anything is computed."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict, dataclass
from typing import Any

from pulsewright import refdata
from pulsewright.errors import BuildError, Finding, PulsewrightError
from pulsewright.machine import BENCHES, nearest
from pulsewright.physics.pulsed_power.network_design import FEWEST_SECTIONS
from pulsewright.physics.pulsed_power.pulse_length import DEFINITIONS
from pulsewright.quantities import QUANTITIES, absurd, show
from pulsewright.studies.stock import Capacitor, standard_values

#: Gases whose pressure constant in the square-root law is published.
LAW_GASES = ("xenon", "krypton")
#: Ways to start that need nothing else from the build file; None keeps that of the base.
TRIGGERS = ("ideal", "triggered spark gap", "external wire")
#: Combinations of lamps that are tried at most.
MOST_LAMPS = 400

#: Short ways to write a definition of pulse length.
SHORT = {
    "3T": "three time scales",
    "T": "time scale",
    "1/3": "third maximum",
    "third": "third maximum",
    "1/2": "half maximum",
    "half": "half maximum",
    "FWHM": "half maximum",
    "1/10": "tenth maximum",
    "tenth": "tenth maximum",
}


@dataclass(frozen=True, slots=True)
class Wish:
    """What a bank shall do. SI values; a tuple of several values is a choice to be tried.

    `energy` into all lamps; `pulse_length` of the current by `definition`, one of the words of `pulse_length`;
    `damping` lowest and highest alpha wanted. Lamps: `gas`, `bores`, `arc_lengths`, `fill_pressures`, `counts` and how
    they are `connected`; `impedance_parameter` a measured K0 of one lamp, instead of the published law. Bank:
    `charge_voltages` lowest and highest, `capacitors` to build from, at most `most_parts` of them, each used to
    `rating_part` of its voltage rating; `least_inductance` of the loop without them, `resistance` of the loop.
    `sections` asks for a pulse-forming network instead of a single mesh. `base` is the example bench that gives the
    rest; `trigger` and `channel_radius` replace its method and channel: they decide whether the plasma takes off.
    """

    energy: float
    pulse_length: float
    definition: str = ""
    damping: tuple[float, float] = (0.7, 1.0)
    gas: str = "xenon"
    bores: tuple[float, ...] = (5e-3, 6e-3, 7e-3, 8e-3, 10e-3)
    arc_lengths: tuple[float, ...] = (75e-3, 100e-3, 150e-3, 200e-3)
    fill_pressures: tuple[float, ...] = (450 * 133.32236842105263,)
    counts: tuple[int, ...] = (1, 2)
    connected: tuple[str, ...] = ("series",)
    impedance_parameter: float | None = None
    charge_voltages: tuple[float, float] = (500.0, 20e3)
    capacitors: tuple[Capacitor, ...] = standard_values((5e3, 10e3, 20e3), 4)
    most_parts: int = 4
    rating_part: float = 0.9
    least_inductance: float = 0.3e-6
    resistance: float = 30e-3
    explosion_fraction: float = 0.3
    sections: int | None = None
    show: int = 6
    base: str = "tidewater"
    trigger: str | None = None
    channel_radius: float | None = None

    def as_dict(self) -> dict[str, Any]:
        """For JSON; of standard capacitors the values and ratings alone."""
        found = asdict(self)
        if not any(one.line for one in self.capacitors):
            values = sorted({one.capacitance for one in self.capacitors})
            ratings = sorted({one.voltage_rating for one in self.capacitors})
            found["capacitors"] = {"values": values, "voltage_ratings": ratings}
        return found


def definition_of(words: str) -> str:
    """The definition of pulse length that a word or its short form means.

    Raises
    ------
    BuildError
        If it is none, or not given: mixing definitions moves an explosion energy by 9 to 19 %.
    """
    full = SHORT.get(words.strip(), words.strip())
    if full in DEFINITIONS:
        return full
    known = "3T (three sqrt(L C), near the width at a tenth), 1/3 (width at a third of the peak), 1/2 (at half)"
    message = f'"{words}" is no definition of a pulse length' if words else "what the pulse length means is not said"
    step = "Say --length-means 3T, 1/3 or 1/2: mixing them moves the explosion energy by 9 to 19 %"
    raise BuildError(Finding("error", "definition", message, f"Allowed: {known}", step))


def check_wish(wish: Wish) -> None:
    """Refuse a wish that is none.

    Raises
    ------
    BuildError
        With every fault.
    """
    faults = list(_faults(wish))
    try:
        definition = definition_of(wish.definition)
    except PulsewrightError as fault:
        faults += fault.findings
    else:
        if wish.sections is not None and definition != "half maximum":
            allowed = "1/2: the width of the flat pulse at half its height"
            message = f"the {definition} of a pulse-forming network is not defined"
            faults.append(Finding("error", "definition", message, allowed, "Say --length-means 1/2"))
    if faults:
        raise BuildError(*faults)


def _faults(wish: Wish) -> Iterator[Finding]:
    yield from _positive("energy", "lamp_energy", (wish.energy,), "Wish for what the lamps shall get, such as 100 J")
    yield from _positive("pulse_length", "width_half", (wish.pulse_length,), "Wish for a length such as 5 us")
    yield from _positive("bore", "bore", wish.bores, "Name bores such as 7 mm")
    yield from _positive("arc_length", "arc_length", wish.arc_lengths, "Name arc lengths such as 150 mm")
    yield from _positive("fill_pressure", "fill_pressure", wish.fill_pressures, "Name fills such as 450 torr")
    yield from _positive("charge_voltage", "charge_voltage", wish.charge_voltages, "Give a range such as 5 kV:12 kV")
    yield from _positive("least_inductance", "inductance", (wish.least_inductance,), "Take some 300 nH")
    if wish.channel_radius is not None:
        yield from _positive(
            "channel_radius", "channel_radius", (wish.channel_radius,), "Take 0.5 mm, or more after a simmer"
        )
    yield from _ordered("damping", wish.damping, "0.7:1.0", 0.2, 3.0)
    yield from _ordered("charge_voltage", wish.charge_voltages, "5 kV:12 kV")
    yield from _words(wish)
    yield from _numbers(wish)


def _positive(path: str, key: str, values: tuple[float, ...], step: str) -> Iterator[Finding]:
    if not values:
        yield Finding("error", path, "nothing is named", f"One or more: {QUANTITIES[key].words}", step)
    for value in values:
        if not value > 0:
            yield Finding("error", path, f"{show(key, value)} is not above zero", "A value above zero", step)
        elif (far := absurd(key, value)) is not None:
            yield Finding("error", path, far.message, far.allowed, far.next_step)


def _ordered(
    path: str, ends: tuple[float, float], example: str, low: float = 0.0, high: float = float("inf")
) -> Iterator[Finding]:
    if not (low <= ends[0] <= ends[1] <= high):
        shown = f"{ends[0]:g} to {ends[1]:g}"
        span = f", within {low:g} to {high:g}" if high < float("inf") else ""
        allowed = f"A lower and an upper end in that order{span}"
        yield Finding("error", path, f"the range {shown} is not one", allowed, f"Write {example}")


def _words(wish: Wish) -> Iterator[Finding]:
    gases = refdata.names()["gas"]
    if wish.gas not in gases:
        near = nearest(wish.gas, gases)
        step = f"Perhaps {near} was meant" if near else "Choose one of these"
        yield Finding("error", "gas", f'there is no gas "{wish.gas}"', f"Known: {', '.join(gases)}", step)
    elif wish.gas not in LAW_GASES and wish.impedance_parameter is None:
        message = f"no square-root law is published for {wish.gas}, so there is no rule to size a bank by"
        step = "Give the K0 of one lamp as measured with --impedance, for instance 20"
        yield Finding("error", "gas", message, f"Published: {' and '.join(LAW_GASES)}", step)
    for word in wish.connected:
        if word not in ("series", "parallel"):
            yield Finding("error", "connected", f'"{word}" is no way to connect lamps', "series or parallel", "Say one")
    if wish.trigger is not None and wish.trigger not in TRIGGERS:
        allowed = f"{', '.join(TRIGGERS)}; others need more entries than a wish holds"
        yield Finding("error", "trigger", f'"{wish.trigger}" cannot be wished for', allowed, "Set it in the bench made")
    if wish.base not in BENCHES:
        near = nearest(wish.base, BENCHES)
        step = f"Perhaps {near} was meant" if near else "Take tidewater"
        yield Finding("error", "base", f'there is no example bench "{wish.base}"', ", ".join(BENCHES), step)


def _numbers(wish: Wish) -> Iterator[Finding]:
    if not wish.capacitors:
        step = "Give a stock list, standard values with a rating, or leave both out"
        yield Finding("error", "capacitors", "there are no capacitors to build from", "One or more", step)
    if not wish.counts or any(not 1 <= count <= 12 for count in wish.counts):
        yield Finding(
            "error",
            "lamps",
            f"a head of {' or '.join(map(str, wish.counts)) or 'no'} lamps",
            "1 to 12 lamps",
            "Take 1 or 2",
        )
    if wish.sections is not None and not FEWEST_SECTIONS <= wish.sections <= 100:
        allowed = f"{FEWEST_SECTIONS} to 100; fewer are a single mesh, which is designed by its damping"
        yield Finding("error", "sections", f"{wish.sections} sections", allowed, "Take 5 or 6, or leave it out")
    if not 1 <= wish.most_parts <= 64:
        yield Finding("error", "most_parts", f"{wish.most_parts} parts", "1 to 64", "Take 4")
    if not 1 <= wish.show <= 30:
        yield Finding("error", "show", f"{wish.show} candidates", "1 to 30", "Take 6")
    if not 0 < wish.rating_part <= 1:
        yield Finding("error", "rating_part", f"{wish.rating_part:g} of a rating", "Above 0 to 1", "Take 0.9")
    if not 0 < wish.explosion_fraction <= 1:
        yield Finding("error", "explosion_fraction", f"{wish.explosion_fraction:g}", "Above 0 to 1", "Take 0.3")
    if wish.resistance < 0:
        yield Finding("error", "resistance", show("resistance", wish.resistance), "0 or more", "Take 30 mohm")
    if wish.impedance_parameter is not None and not wish.impedance_parameter > 0:
        yield Finding("error", "impedance_parameter", f"{wish.impedance_parameter:g}", "Above zero", "Measure it")
    lamps = len(wish.bores) * len(wish.arc_lengths) * len(wish.fill_pressures) * len(wish.counts) * len(wish.connected)
    if lamps > MOST_LAMPS:
        message = f"{lamps} combinations of lamps"
        yield Finding("error", "lamps", message, f"At most {MOST_LAMPS}", "Name fewer bores, lengths or fills")
