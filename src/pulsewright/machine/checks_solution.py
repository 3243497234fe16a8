"""What the entries of the dye solution must satisfy together: solvents, surfactant, amounts, temperature."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from pulsewright import refdata
from pulsewright.errors import Grade
from pulsewright.machine.schema import names
from pulsewright.machine.tree import Reading
from pulsewright.quantities import show

#: grade, path, message, allowed, next step
Fault = tuple[Grade, str, str, str, str]

#: Where nothing is known of a dye's solubility, more than this is doubted: laser dyes are used at 1e-5 to 1e-2 mol/L.
#: Common practice, no source. [mol/m^3]
DOUBTED_CONCENTRATION = 50.0
#: Index of a liquid: helium has 1.02, diiodomethane 1.74. From memory. Solutions lie near their solvent's.
LEAST_INDEX, MOST_INDEX, NEAR_INDEX = 1.0, 1.8, 0.06
#: The solvent in which surfactants matter.
WATER = "water"


def _solvents(reading: Reading) -> Iterator[Fault]:
    """A second solvent and its part of the volume go together, and it is another solvent."""
    second, share = reading.get("dye.second_solvent"), reading.get("dye.second_solvent_fraction")
    if second is not None and "dye.second_solvent_fraction" not in reading.entries:
        message = f"{second} is mixed in, but its part of the volume is not given"
        step = "Add second_solvent_fraction = 0.3 or what it is under [dye], or remove second_solvent"
        yield "error", "dye.second_solvent", message, "A fraction between 0 and 1", step
    if second is not None and share is None and "dye.second_solvent_fraction" in reading.entries:
        message = f"{second} is mixed in, and its part of the volume is unknown"
        step = "Give your best estimate with a spread"
        yield "error", "dye.second_solvent_fraction", message, "A fraction between 0 and 1", step
    if share is not None and second is None:
        message = "a part of the volume is given, but no second solvent; the value is not used"
        step = "Name it in dye.second_solvent, or remove the fraction"
        yield "warning", "dye.second_solvent_fraction", message, "Together with second_solvent", step
    if second is not None and second == reading.get("dye.solvent"):
        message = f"{second} is mixed into {second}, which changes nothing"
        yield "warning", "dye.second_solvent", message, "Another solvent than the first", "Remove it or change it"


def _parts(reading: Reading) -> tuple[str, ...]:
    """Names of the solvents."""
    found = (reading.get("dye.solvent"), reading.get("dye.second_solvent"))
    return tuple(name for name in found if name in names("solvent"))


def _surfactant(reading: Reading) -> Iterator[Fault]:
    name, amount = reading.get("dye.surfactant"), reading.get("dye.surfactant_concentration")
    if name is None or amount is None:
        return
    text = reading.entries["dye.surfactant_concentration"].text
    if name == "none" and amount > 0:
        message = f"{text} is given, but no surfactant is named; the value is not used"
        yield "warning", "dye.surfactant_concentration", message, "0 mol/L without one", "Name it in dye.surfactant"
    if name != "none" and amount == 0:
        message = f"{name} is named, but its concentration is 0"
        step = 'Add surfactant_concentration = "0.1 mol/L" or what it is under [dye]'
        yield "warning", "dye.surfactant_concentration", message, "More than 0 mol/L with a surfactant", step
    parts = _parts(reading)
    if name != "none" and parts and WATER not in parts:
        message = f"{name} is added to {' and '.join(parts)}; it keeps dye molecules apart in water alone"
        step = "Set surfactant = none, or name water as a solvent"
        yield "warning", "dye.surfactant", message, "A surfactant with water", step


def _concentration(reading: Reading) -> Iterator[Fault]:
    """More dye than dissolves."""
    amount, name = reading.get("dye.concentration"), reading.get("dye.name")
    parts = _parts(reading)
    if amount is None or name is None or not parts:
        return
    text = reading.entries["dye.concentration"].text
    known = [found for part in parts if name in names("dye") and (found := refdata.solubility(name, part)) is not None]
    step = "Lower the concentration or choose another solvent"
    if len(known) == len(parts):
        most = max(datum.value if datum.high is None else datum.high for datum in known)
        usual = max(datum.value for datum in known)
        where = " and ".join(parts)
        allowed = f"At most {show('concentration', usual)}, {show('concentration', most)} at the very best"
        if amount > usual:
            grade: Grade = "limit" if amount > most else "warning"
            yield grade, "dye.concentration", f"{text} of {name} does not dissolve in {where}", allowed, step
    elif amount > DOUBTED_CONCENTRATION:
        message = f"{text} is more than laser dyes are known to dissolve to; the solubility of {name} is not known here"
        yield "warning", "dye.concentration", message, f"Up to {show('concentration', DOUBTED_CONCENTRATION)}", step


def _temperature(reading: Reading) -> Iterator[Fault]:
    """A solution that freezes or boils."""
    value, parts = reading.get("dye.temperature"), _parts(reading)
    if value is None or not parts:
        return
    text = reading.entries["dye.temperature"].text
    mixed = len(set(parts)) > 1
    rows = [refdata.solvent(part) for part in parts]
    boils, freezes = (
        min(rows, key=lambda row: float(row.boiling_point)),
        max(rows, key=lambda row: float(row.melting_point)),
    )
    boiling, freezing = float(boils.boiling_point), float(freezes.melting_point)
    grade: Grade = "warning" if mixed else "limit"
    part = " as a part of the mixture" if mixed else ""
    allowed = f"{show('temperature', freezing)} to {show('temperature', boiling)}"
    if value >= boiling:
        message = f"{boils.name}{part} boils at {show('temperature', boiling)}; {text} is given"
        yield grade, "dye.temperature", message, allowed, "Lower the temperature or choose another solvent"
    if value <= freezing:
        message = f"{freezes.name}{part} freezes at {show('temperature', freezing)}; {text} is given"
        yield grade, "dye.temperature", message, allowed, "Raise the temperature or choose another solvent"


def _index(reading: Reading) -> Iterator[Fault]:
    index, parts = reading.get("dye.refractive_index"), _parts(reading)
    if index is None:
        return
    allowed, step = f"{LEAST_INDEX:g} to {MOST_INDEX:g}", "Correct it, or remove it: that of the solvent is used then"
    if not LEAST_INDEX <= index <= MOST_INDEX:
        yield "error", "dye.refractive_index", f"no liquid has a refractive index of {index:g}", allowed, step
        return
    if not parts:
        return
    own = [float(refdata.solvent(part).refractive_index) for part in parts]
    low, high = min(own) - NEAR_INDEX, max(own) + NEAR_INDEX
    if not low <= index <= high:
        message = f"{index:g} is far from that of {' and '.join(parts)}, {' and '.join(f'{n:.4g}' for n in own)}"
        yield "warning", "dye.refractive_index", message, f"{low:.3g} to {high:.3g} for a dilute solution", step


CHECKS: tuple[Callable[[Reading], Iterator[Fault]], ...] = (
    _solvents,
    _surfactant,
    _concentration,
    _temperature,
    _index,
)
