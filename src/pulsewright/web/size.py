"""Sizing a bank on the page: a wish read from texts, and its candidates as a table."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from pulsewright import quantities
from pulsewright.errors import BuildError, Finding, QuantityError
from pulsewright.quantities import show as say
from pulsewright.web import show
from pulsewright.workbench.sizing import Sizing, Wish


@dataclass(frozen=True, slots=True)
class Field:
    """One entry of the wish. `quantity` empty for words; `several`: a list with commas is a choice to be tried."""

    key: str
    words: str
    text: str
    quantity: str = ""
    several: bool = False
    choices: tuple[str, ...] = ()


FIELDS = (
    Field("energy", "energy into all lamps", "150 J", "lamp_energy"),
    Field("pulse_length", "length of the current pulse", "10 us", "width_half"),
    Field("definition", "what that length is", "1/3", choices=("1/3", "1/2", "3T")),
    Field("gas", "gas of the lamps", "xenon", choices=("xenon", "krypton")),
    Field("bores", "bores to try", "5 mm, 6 mm, 7 mm, 8 mm, 10 mm", "bore", several=True),
    Field("arc_lengths", "arc lengths to try", "75 mm, 100 mm, 150 mm, 200 mm", "arc_length", several=True),
    Field("fill_pressures", "fills to try", "450 torr", "fill_pressure", several=True),
    Field("counts", "numbers of lamps to try", "1, 2", several=True),
    Field("connected", "how several are connected", "series", choices=("series", "parallel")),
    Field("lowest", "lowest charge voltage", "500 V", "charge_voltage"),
    Field("highest", "highest charge voltage", "20 kV", "charge_voltage"),
    Field("least_inductance", "least inductance of the loop", "0.3 uH", "inductance"),
)
MEANINGS = {"1/3": "width at a third of the peak", "1/2": "width at half the peak", "3T": "three sqrt(L C)"}


def read_wish(texts: Mapping[str, str]) -> Wish:
    """The wish of a form; what was left out is as the form proposes.

    Raises
    ------
    BuildError
        With every entry that cannot be read.
    """
    faults: list[Finding] = []
    found = {field.key: _read(field, texts.get(field.key, field.text), faults) for field in FIELDS}
    if faults:
        raise BuildError(*faults)
    return Wish(
        energy=found["energy"][0],
        pulse_length=found["pulse_length"][0],
        definition=found["definition"],
        gas=found["gas"],
        bores=found["bores"],
        arc_lengths=found["arc_lengths"],
        fill_pressures=found["fill_pressures"],
        counts=found["counts"],
        connected=(found["connected"],),
        charge_voltages=(found["lowest"][0], found["highest"][0]),
        least_inductance=found["least_inductance"][0],
    )


def _read(field: Field, text: str, faults: list[Finding]) -> Any:
    """One entry as the wish holds it; a fault is noted and nothing given."""
    if field.choices:
        if text not in field.choices:
            allowed = f"One of {', '.join(field.choices)}"
            faults.append(Finding("error", field.key, f'"{text[:40]}" is none of the choices', allowed, "Choose one"))
        return text
    pieces = [piece.strip() for piece in text.split(",")] if field.several else [text.strip()]
    if not field.quantity:
        return _counts(field, pieces, faults)
    values = []
    for piece in pieces:
        try:
            values.append(quantities.read(field.quantity, piece))
        except QuantityError as fault:
            one = fault.findings[0]
            faults.append(Finding("error", field.key, one.message, one.allowed, one.next_step or f"Write {field.text}"))
    return tuple(values)


def _counts(field: Field, pieces: list[str], faults: list[Finding]) -> tuple[int, ...]:
    if all(piece.isascii() and piece.isdigit() for piece in pieces):
        return tuple(int(piece) for piece in pieces)
    faults.append(Finding("error", field.key, f'"{", ".join(pieces)[:40]}" are no whole numbers', "1, 2", "Write 1, 2"))
    return ()


def size_words(found: Sizing) -> str:
    """The candidates, best first, rule and plasma side by side."""
    return show.page("part_sizing.html", found=found, rows=[_candidate(one) for one in found.candidates])


def _candidate(one: Any) -> dict[str, Any]:
    lamp, circuit = one.lamp, one.circuit
    figures = [
        {"words": words, "rule": say(key, circuit.figures.get(key)), "plasma": say(key, one.plasma.get(key))}
        for key, words in _FIGURES
        if key in circuit.figures
    ]
    wear = "" if one.capacitor_life is None else f"; capacitors {_shots(one.capacitor_life)}"
    return {
        "number": one.number,
        "bank": one.bank.words,
        "lamps": f"{lamp.count} of {say('bore', lamp.bore)} by {say('arc_length', lamp.arc_length)}, {lamp.gas}"
        f" {say('fill_pressure', lamp.fill_pressure)}" + (f", {lamp.connected}" if lamp.count > 1 else ""),
        "circuit": f"{say('capacitance', circuit.capacitance)}, {say('charge_voltage', circuit.charge_voltage)}, "
        f"{say('inductance', circuit.inductance)}; alpha {circuit.damping:.3g}",
        "figures": figures,
        "life": f"lamps {_shots(one.life)}{', carried over to short pulses' if one.life_extrapolated else ''}{wear}",
        "stress": f"{one.stress:.2f}",
        "misses": one.misses,
        "outcome": one.outcome,
        "remarks": one.remarks,
    }


_FIGURES = (
    ("lamp_energy", "energy into the lamps"),
    ("peak_current", "peak current"),
    ("peak_current_density", "current density"),
    ("rise_time", "rise"),
    ("width_third", "width at a third"),
    ("width_half", "width at half"),
    ("voltage_reversal", "reversal of the bank"),
    ("explosion_fraction", "of the explosion energy"),
)


def _shots(ends: tuple[float, float]) -> str:
    fewest, most = (say("lamp_life", end) for end in ends)
    return f"{fewest} shots" if fewest == most else f"{fewest} to {most} shots"
