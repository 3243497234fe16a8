"""One candidate for a bank: its circuit, what the rule and the plasma say of it, and what it misses."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cache
from typing import Any

import numpy as np

from pulsewright import machine as machines
from pulsewright.errors import DomainError
from pulsewright.physics.lamp.square_law import square_law_voltage
from pulsewright.physics.pulsed_power.capacitor_life import capacitor_life_range
from pulsewright.physics.pulsed_power.circuit import SingleMeshPulse, circuit_impedance, single_mesh_pulse, time_scale
from pulsewright.physics.pulsed_power.explosion import ExplosionRange, explosion_energy_range, explosion_law_covers
from pulsewright.physics.pulsed_power.lamp_life import lamp_life_range
from pulsewright.physics.pulsed_power.network_design import network_current, network_length
from pulsewright.quantities import show
from pulsewright.studies.candidate_file import rounded
from pulsewright.studies.sizing_rules import LEAST_REVERSAL, LIMITS, MATCH, STRESSES, LampChoice
from pulsewright.studies.stock import BankParts
from pulsewright.studies.wish import Wish, definition_of

#: Figures that stand side by side: by the rule, and by the plasma.
COMPARED = (
    "lamp_energy",
    "peak_current",
    "peak_current_density",
    "rise_time",
    "width_half",
    "width_third",
    "reversal",
    "voltage_reversal",
    "explosion_fraction",
)
#: Rounds in which voltage and inductance are trimmed until energy and length by the rule are as wished, to a part.
ROUNDS, CLOSE = 4, 1e-3
#: Departures of the plasma from the wish that are told.
TOLD = 0.1
#: A pulse this many times as long as wanted is told with what shortens it; ours.
MUCH_LONGER = 1.5
SHORTER = "less fill, more voltage over the arc, or the wide channel of a simmer shorten it (see study take-off)"
#: Current densities in which the square-root law was found; [A/m^2], Koechner, after Goncz (from memory).
LAW_SPAN = (4e6, 1e8)
WORDS = {
    "damping": "damping alpha",
    "match": "lamp resistance over network impedance",
    "charge_voltage": "charge voltage",
    "inductance": "inductance",
    "voltage_rating": "charge voltage against the capacitors' rating",
    "explosion_fraction": "energy of one lamp over its explosion energy",
    "peak_current": "peak current against the capacitors' rating",
    "voltage_reversal": "reversal against the capacitors' rating",
}


@dataclass(frozen=True, slots=True)
class Circuit:
    """Circuit values as the build file holds them; of a network `inductance` is the front section's coil with leads."""

    capacitance: float
    charge_voltage: float
    inductance: float
    resistance: float
    section_inductance: float | None
    damping: float
    figures: Mapping[str, float]

    def as_dict(self) -> dict[str, float]:
        """The values of the build file."""
        found = {key: getattr(self, key) for key in ("capacitance", "charge_voltage", "inductance", "resistance")}
        return found if self.section_inductance is None else {**found, "section_inductance": self.section_inductance}


@dataclass(frozen=True, slots=True)
class Start:
    """What starts the plasma of a candidate; None is as in the base. `channel_radius` in m."""

    trigger: str | None = None
    channel_radius: float | None = None

    @property
    def told(self) -> bool:
        """Whether it departs from the base."""
        return self.trigger is not None

    @property
    def words(self) -> str:
        """In words; empty where it is the base's."""
        if self.channel_radius is None:
            return f"started by: {self.trigger}" if self.trigger else ""
        channel = f"a channel of radius {show('channel_radius', self.channel_radius)}"
        if self.trigger == "ideal":
            return (
                f"from lamps that conduct already in {channel}, as behind a simmer or a pre-pulse: choose such a start"
            )
        return f"started by: {self.trigger or 'as the base'}, leaving {channel}"


@dataclass(frozen=True, slots=True)
class Judged:
    """One wish or limit against what the candidate has; `ratio` above 1 where it is missed."""

    key: str
    words: str
    text: str
    allowed: str
    ratio: float


@dataclass(frozen=True, slots=True, eq=False)
class Candidate:
    """A bank for a wish. SI values; `rule` and `plasma` figures by key, `explosion` lowest and highest published."""

    lamp: LampChoice
    bank: BankParts
    circuit: Circuit
    sections: int | None
    judged: tuple[Judged, ...]
    misses: tuple[str, ...]
    explosion: ExplosionRange
    life: tuple[float, float]
    life_extrapolated: bool
    capacitor_life: tuple[float, float] | None
    number: int = 0
    tie: str = ""
    start: Start = Start()
    plasma: Mapping[str, float] = field(default_factory=dict)
    outcome: str = "not simulated"
    trigger_words: str = ""
    plasma_charge_voltage: float | None = None
    remarks: tuple[str, ...] = ()

    @property
    def charge_voltage(self) -> float:
        """Charge voltage, in V."""
        return self.circuit.charge_voltage

    @property
    def parts(self) -> int:
        """Capacitors in it."""
        return self.bank.parts * (self.sections or 1)

    @property
    def stress(self) -> float:
        """Largest stress over its limit."""
        return max((row.ratio for row in self.judged if row.key in STRESSES), default=0.0)

    @property
    def explosion_definition(self) -> str:
        """What the pulse length means in the published law that gives the lowest explosion energy."""
        forms = {
            "width at a third of the peak": self.explosion.by_third_maximum,
            "three sqrt(L C)": self.explosion.by_three_time_scales,
            "sqrt(L C)": self.explosion.by_time_scale,
        }
        if self.sections:
            return "length of the flat"
        return min(forms, key=lambda words: float(forms[words]))

    @property
    def excess(self) -> float:
        """Sum of what is missed, as logarithms."""
        return sum(math.log(max(row.ratio, 1.0)) for row in self.judged)

    @property
    def words(self) -> str:
        """Bank and lamps in words."""
        lamp = self.lamp
        each = f"{show('bore', lamp.bore)} by {show('arc_length', lamp.arc_length)}"
        fill = f"{lamp.gas} at {show('fill_pressure', lamp.fill_pressure)}"
        many = f"{lamp.count} lamps in {lamp.connected}" if lamp.count > 1 else "1 lamp"
        bank = f"{self.sections} sections, each {self.bank.words}" if self.sections else self.bank.words
        return f"{bank}; {many} of {each}, {fill}"

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        lamp = self.lamp
        return {
            "number": self.number,
            "words": self.words,
            "lamps": {key: getattr(lamp, key) for key in lamp.__slots__},
            "bank": {
                "parts": self.parts,
                "words": self.bank.words,
                "voltage_rating": self.bank.voltage_rating,
                "inductance": self.bank.inductance,
                "peak_current_rating": self.bank.peak_current_rating,
            },
            "circuit": self.circuit.as_dict(),
            "sections": self.sections,
            "damping": self.circuit.damping,
            "rule": dict(self.circuit.figures),
            "plasma": dict(self.plasma),
            "start": {"trigger": self.start.trigger, "channel_radius": self.start.channel_radius},
            "outcome": self.outcome,
            "trigger_words": self.trigger_words,
            "plasma_charge_voltage": self.plasma_charge_voltage,
            "explosion_energy": self.explosion._asdict(),
            "explosion_definition": self.explosion_definition,
            "life": list(self.life),
            "life_extrapolated": self.life_extrapolated,
            "capacitor_life": None if self.capacitor_life is None else list(self.capacitor_life),
            "stress": self.stress,
            "margins": [{key: getattr(row, key) for key in row.__slots__} for row in self.judged],
            "misses": list(self.misses),
            "remarks": list(self.remarks),
            "tie": self.tie,
        }


# The circuit -----------------------------------------------------------------------------------


@cache
def _switch_resistance(base: str) -> float:
    build = machines.load_text(machines.bench_text(base)).build
    return 0.0 if build is None else build.machine.switch.resistance


def refined_circuit(wish: Wish, lamp: LampChoice, bank: BankParts, volts: float, inductance: float) -> Circuit:
    """Voltage and inductance at which the rule gives the wanted energy and length, loop resistance included."""
    ohms = wish.resistance + _switch_resistance(wish.base)
    definition, capacitance = definition_of(wish.definition), rounded(bank.capacitance)
    pulse: SingleMeshPulse | None = None
    for left in range(ROUNDS, -1, -1):
        volts, inductance = rounded(volts), rounded(inductance)
        pulse = _pulse(lamp, capacitance, inductance, volts, ohms)
        if pulse is None:
            break
        short = wish.energy / pulse.lamp_energy
        stretch = wish.pulse_length / _length(pulse, definition, inductance, capacitance)
        if not left or max(abs(short - 1), abs(stretch - 1)) < CLOSE:
            break
        volts, inductance = volts * short**0.5, inductance * stretch**2
    alpha = _alpha(lamp, capacitance, inductance, volts)
    figures = _pulse_figures(lamp, pulse)
    if pulse is not None:
        scale = float(time_scale(inductance, capacitance))
        figures["explosion_fraction"] = _explosion_part(wish, lamp, scale, pulse.width_third)
    return Circuit(capacitance, volts, inductance, wish.resistance, None, alpha, figures)


def _pulse(
    lamp: LampChoice, capacitance: float, inductance: float, volts: float, ohms: float
) -> SingleMeshPulse | None:
    """The pulse by the rule; None for a circuit that is so far from the wish that the rule has no pulse for it."""
    try:
        return single_mesh_pulse(capacitance, inductance, volts, lamp.total_impedance, ohms)
    except DomainError:
        return None


def _alpha(lamp: LampChoice, capacitance: float, inductance: float, volts: float) -> float:
    return float(lamp.total_impedance / math.sqrt(volts * float(circuit_impedance(inductance, capacitance))))


def _length(pulse: SingleMeshPulse, definition: str, inductance: float, capacitance: float) -> float:
    scale = float(time_scale(inductance, capacitance))
    if definition in ("time scale", "three time scales"):
        return scale if definition == "time scale" else 3 * scale
    widths = {"tenth maximum": pulse.width_tenth, "third maximum": pulse.width_third, "half maximum": pulse.width_half}
    return widths[definition]


def _pulse_figures(lamp: LampChoice, pulse: SingleMeshPulse | None) -> dict[str, float]:
    if pulse is None:
        return dict.fromkeys(COMPARED, np.nan)
    return {
        "lamp_energy": pulse.lamp_energy,
        "peak_current": pulse.peak_current,
        "peak_current_density": pulse.peak_current / lamp.area,
        "rise_time": pulse.rise_time,
        "width_half": pulse.width_half,
        "width_third": pulse.width_third,
        "reversal": pulse.current_reversal,
        "voltage_reversal": pulse.voltage_reversal,
        "explosion_fraction": np.nan,
    }


def _explosion_part(wish: Wish, lamp: LampChoice, scale: float, third: float) -> float:
    lowest = float(explosion_energy_range(lamp.bore, lamp.arc_length, scale, third).lowest)
    return wish.energy / lamp.count / lowest


def network_circuit(wish: Wish, lamp: LampChoice, bank: BankParts, volts: float, inductance: float) -> Circuit:
    """A network: the section's inductance gives the length, the voltage the energy."""
    sections = int(wish.sections or 1)
    each, volts, inductance = rounded(bank.capacitance), rounded(volts), rounded(inductance)
    impedance = float(circuit_impedance(inductance, each))
    current = network_current(lamp.total_impedance, volts, impedance)
    match = float(square_law_voltage(lamp.total_impedance, current)) / current / impedance
    length = network_length(inductance, each, sections)
    figures = {
        "lamp_energy": 0.5 * sections * each * volts**2,
        "peak_current": current,
        "peak_current_density": current / lamp.area,
        "rise_time": np.nan,
        "width_half": length,
        "width_third": np.nan,
        "reversal": np.nan,
        "voltage_reversal": max((1 - match) / (1 + match), 0.0),
        "explosion_fraction": _explosion_part(wish, lamp, length / 3, length),
    }
    total = rounded(each * sections)
    # the ladder has coils between its sections; the front section's coil, leads included, is that of the loop
    return Circuit(total, volts, inductance, wish.resistance, inductance, match, figures)


# What it misses --------------------------------------------------------------------------------


def judged_limits(wish: Wish, lamp: LampChoice, bank: BankParts, circuit: Circuit) -> Candidate:
    """The candidate with every wish and limit judged, and its lives."""
    rows = tuple(_judged(wish, bank, circuit))
    published = _published(wish, lamp, circuit)
    each = wish.energy / lamp.count
    shots = lamp_life_range(each, float(published.lowest), float(published.highest))
    third = circuit.figures["width_third"]
    return Candidate(
        lamp=lamp,
        bank=bank,
        circuit=circuit,
        sections=wish.sections,
        judged=rows,
        misses=tuple(_miss(row) for row in rows if row.ratio > 1.0),
        explosion=published,
        life=(shots.fewest, shots.most),
        life_extrapolated=not explosion_law_covers(third if third > 0 else wish.pulse_length),
        capacitor_life=_capacitor_life(bank, circuit),
        remarks=tuple(_law_span(circuit)),
    )


def _published(wish: Wish, lamp: LampChoice, circuit: Circuit) -> ExplosionRange:
    if circuit.section_inductance is None:
        scale = float(time_scale(circuit.inductance, circuit.capacitance))
        third = circuit.figures["width_third"]
        third = third if third > 0 else 2.5 * scale
    else:
        scale, third = wish.pulse_length / 3, wish.pulse_length
    return explosion_energy_range(lamp.bore, lamp.arc_length, scale, third)


def _capacitor_life(bank: BankParts, circuit: Circuit) -> tuple[float, float] | None:
    reversal = circuit.figures["voltage_reversal"]
    if bank.life_rating is None or bank.reversal_rating is None or not reversal >= 0:
        return None
    life = capacitor_life_range(
        bank.life_rating, circuit.charge_voltage, bank.voltage_rating, reversal, bank.reversal_rating
    )
    return life.fewest, life.most


def _judged(wish: Wish, bank: BankParts, circuit: Circuit) -> Iterator[Judged]:
    figures, volts = circuit.figures, circuit.charge_voltage
    network = circuit.section_inductance is not None
    low, high = MATCH if network else wish.damping
    key = "match" if network else "damping"
    yield _row("damping", f"{circuit.damping:.3g}", f"{low:g} to {high:g}", _span(circuit.damping, low, high), key)
    low, high = wish.charge_voltages
    span = f"{show('charge_voltage', low)} to {show('charge_voltage', high)}"
    yield _row("charge_voltage", show("charge_voltage", volts), span, _span(volts, low, high))
    inductance = circuit.section_inductance if circuit.section_inductance is not None else circuit.inductance
    least = wish.least_inductance + bank.inductance
    yield _row(
        "inductance", show("inductance", inductance), f"at least {show('inductance', least)}", least / inductance
    )
    rating = wish.rating_part * bank.voltage_rating
    yield _row("voltage_rating", show("charge_voltage", volts), f"at most {show('voltage', rating)}", volts / rating)
    part = figures["explosion_fraction"]
    allowed = f"at most {wish.explosion_fraction:g}"
    yield _row("explosion_fraction", f"{part:.3g}", allowed, part / wish.explosion_fraction if part > 0 else np.inf)
    yield from _ratings(bank, figures)


def _ratings(bank: BankParts, figures: Mapping[str, float]) -> Iterator[Judged]:
    current, most = figures["peak_current"], bank.peak_current_rating
    if most is not None and current > 0:
        yield _row("peak_current", show("peak_current", current), f"at most {show('current', most)}", current / most)
    reversal, rated = figures["voltage_reversal"], bank.reversal_rating
    if rated is not None and reversal >= 0:
        limit = max(rated, LEAST_REVERSAL)
        yield _row("voltage_reversal", f"{reversal:.3g}", f"at most {limit:.3g}", reversal / limit)


def _span(value: float, low: float, high: float) -> float:
    return max(value / high, low / value)


def _row(key: str, text: str, allowed: str, ratio: float, words: str = "") -> Judged:
    assert key in LIMITS
    return Judged(key, WORDS[words or key], text, allowed, float(ratio))


def _miss(row: Judged) -> str:
    return f"{row.words} {row.text}, allowed {row.allowed} ({row.ratio:.3g} times)"


def _law_span(circuit: Circuit) -> Iterator[str]:
    density = circuit.figures["peak_current_density"]
    if density > 0 and not LAW_SPAN[0] <= density <= LAW_SPAN[1]:
        shown = show("peak_current_density", density)
        yield f"{shown} is outside the 0.4 to 10 kA/cm^2 in which the square-root law was found"


def side_by_side(one: Candidate, wish: Wish, figures: Mapping[str, float]) -> Candidate:
    """The candidate with what the plasma gives, and in what that departs from the wish."""
    plasma = {key: figures[key] for key in (*COMPARED, "in_band_energy", "peak_temperature", "time_of_peak")}
    return replace(one, plasma=plasma, remarks=(*one.remarks, *_departures(one, wish, plasma)))


def _departures(one: Candidate, wish: Wish, plasma: Mapping[str, float]) -> Iterator[str]:
    energy = plasma["lamp_energy"]
    if abs(energy / wish.energy - 1) > TOLD:
        yield f"by the plasma the lamps get {show('lamp_energy', energy)}, {_percent(energy / wish.energy)}"
    yield from _longer(one, wish, plasma)
    if plasma["explosion_fraction"] > wish.explosion_fraction:
        yield f"by the plasma one lamp gets {plasma['explosion_fraction']:.3g} of its explosion energy"
    rated = one.bank.reversal_rating
    if rated is not None and plasma["voltage_reversal"] > max(rated, LEAST_REVERSAL):
        yield f"by the plasma the bank reverses to {plasma['voltage_reversal']:.3g}, above its rating of {rated:g}"


def _longer(one: Candidate, wish: Wish, plasma: Mapping[str, float]) -> Iterator[str]:
    """Where the pulse by the plasma has another length: than wished, or where that has no width, than by the rule."""
    key = {"half maximum": "width_half", "third maximum": "width_third"}.get(definition_of(wish.definition), "")
    wanted, than = (
        (wish.pulse_length, "than wished") if key else (one.circuit.figures["width_half"], "than by the rule")
    )
    key = key or "width_half"
    if not (plasma[key] > 0 and wanted > 0) or abs(plasma[key] / wanted - 1) <= TOLD:
        return
    at = "a third" if key == "width_third" else "half"
    told = f"by the plasma the pulse lasts {show(key, plasma[key])} at {at} of its peak, "
    remedy = f"; {SHORTER}" if plasma[key] > MUCH_LONGER * wanted else ""
    yield told + _percent(plasma[key] / wanted, than) + remedy


def _percent(ratio: float, than: str = "than wished") -> str:
    words = "more" if ratio > 1 else "less"
    return f"{100 * abs(ratio - 1):.0f} % {words} {than}"
