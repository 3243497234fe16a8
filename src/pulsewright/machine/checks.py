"""What the values of a build must satisfy together, and the choices this version does not compute."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from typing import TYPE_CHECKING, Any

from pulsewright.errors import Finding, Grade
from pulsewright.machine import (
    checks_chamber,
    checks_curves,
    checks_fill,
    checks_fill_loops,
    checks_leads,
    checks_own_dye,
    checks_pulse_power,
    checks_resonator,
    checks_solution,
)
from pulsewright.machine.schema import address
from pulsewright.machine.tree import Reading
from pulsewright.quantities import show

if TYPE_CHECKING:
    from pulsewright.machine.build import Build

#: Gases whose pressure constant in the square-root law is published.
SQUARE_ROOT_GASES = ("xenon", "krypton")

#: grade, path, message, allowed, next step
Fault = tuple[Grade, str, str, str, str]


def check_together(reading: Reading) -> None:
    """Add what is wrong with values taken together; a value that could not be read is passed over."""
    for check in _CHECKS:
        for grade, path, message, allowed, next_step in check(reading):
            reading.fault(path, message, allowed, next_step, grade)


def _shown(reading: Reading, path: str) -> str:
    """The text of an entry as written, with its unit."""
    return reading.entries[path].text


def _above(reading: Reading, grade: Grade, low: str, high: str, words: str, step: str) -> Iterator[Fault]:
    """A fault when the value at `low` is larger than the one at `high`."""
    a, b = reading.get(low), reading.get(high)
    if a is not None and b is not None and a > b:
        yield (
            grade,
            low,
            f"{_shown(reading, low)} is above {words} of {_shown(reading, high)}",
            f"At most {_shown(reading, high)}",
            step,
        )


def _charge_voltage(reading: Reading) -> Iterator[Fault]:
    charge = "bank.charge_voltage"
    lower = "Lower it or choose another part"
    yield from _above(reading, "limit", charge, "charger.voltage_max", "the charger's highest voltage", lower)
    yield from _above(reading, "limit", charge, "bank.voltage_rating", "this capacitor's rating", lower)


def _charger(reading: Reading) -> Iterator[Fault]:
    needed = {"constant current": "current", "constant power": "power", "resistor": "resistance"}
    method = reading.get("charger.method")
    key = needed.get(method, "")
    if key and f"charger.{key}" not in reading.entries and not _faulty(reading, f"charger.{key}"):
        example = {"current": '"15 mA"', "power": '"150 W"', "resistance": '"100 kohm"'}[key]
        yield (
            "error",
            f"charger.{key}",
            f"a charger with {method} needs its {key}",
            f"A {key}",
            f"Add {key} = {example} under [charger]",
        )


def _faulty(reading: Reading, path: str) -> bool:
    return any(finding.path == path for finding in reading.findings)


def _cell_length(reading: Reading) -> Iterator[Fault]:
    step = "Shorten the pumped length or lengthen the cell"
    yield from _above(reading, "error", "cell.pumped_length", "cell.length", "the cell's length", step)
    yield from _above(
        reading,
        "warning",
        "cell.pumped_length",
        "chamber.length",
        "the chamber's length",
        "Check which of the two is right",
    )
    yield from _above(
        reading,
        "error",
        "cell.length",
        "resonator.length",
        "the resonator's length",
        "Move the mirrors apart or shorten the cell",
    )


def _lamps(reading: Reading) -> Iterator[Fault]:
    for part in reading.ids.get("lamps", ()):
        base = f"lamps.{part}"
        coaxial = reading.get(f"{base}.shape") == "coaxial"
        inner, bore = reading.get(f"{base}.inner_diameter"), reading.get(f"{base}.bore")
        if coaxial and inner is None and not _faulty(reading, f"{base}.inner_diameter"):
            step = f'Add inner_diameter = "12 mm" or what it is under [{base}]'
            yield (
                "error",
                f"{base}.inner_diameter",
                "a coaxial lamp needs the outside diameter of its inner tube",
                "A length",
                step,
            )
        if inner is not None and bore is not None and inner >= bore:
            inside, outside = _shown(reading, f"{base}.inner_diameter"), _shown(reading, f"{base}.bore")
            message = f"{inside} leaves no room in a bore of {outside}"
            yield "error", f"{base}.inner_diameter", message, "Less than the bore", "Check both diameters"
        if inner is not None and reading.get(f"{base}.shape") == "linear":
            message = "a linear lamp has no inner tube, and the value is not used"
            yield "warning", f"{base}.inner_diameter", message, "Only in coaxial lamps", "Remove it or set shape"


def _network(reading: Reading) -> Iterator[Fault]:
    if reading.get("loop.network") != "pulse-forming network":
        return
    for key, example in (("sections", "6"), ("section_inductance", '"20 uH"')):
        if reading.get(f"loop.{key}") is None and not _faulty(reading, f"loop.{key}"):
            words = key.replace("_", " ")
            yield (
                "error",
                f"loop.{key}",
                f"a pulse-forming network needs its {words}",
                "A value",
                f"Add {key} = {example} under [loop]",
            )


def _trigger(reading: Reading) -> Iterator[Fault]:
    method, kind = reading.get("trigger.method"), reading.get("switch.kind")
    gaps = ("triggered spark gap", "overvoltage gap", "thyratron")
    if method in gaps and kind is not None and kind != method:
        message = f'the trigger is a {method}, the switch is "{kind}"'
        yield (
            "warning",
            "trigger.method",
            message,
            "The same word in both",
            f'Set switch.kind = "{method}" or another method',
        )
    for part in reading.ids.get("lamps", ()):
        radius, bore = reading.get("trigger.channel_radius"), reading.get(f"lamps.{part}.bore")
        if radius is not None and bore is not None and radius > bore / 2:
            channel = _shown(reading, "trigger.channel_radius")
            message = f"a channel of {channel} radius is wider than lamp {part}, whose bore is {show('bore', bore)}"
            yield "error", "trigger.channel_radius", message, "At most half the bore", "Lower the channel radius"


def _quencher(reading: Reading) -> Iterator[Fault]:
    quencher, amount = reading.get("dye.quencher"), reading.get("dye.quencher_concentration")
    if quencher == "none" and amount:
        text = _shown(reading, "dye.quencher_concentration")
        message = f"{text} is given, but no quencher is named"
        yield "warning", "dye.quencher_concentration", message, "0 mol/L without a quencher", "Name it in dye.quencher"
    if quencher not in (None, "none") and amount == 0:
        message = f"{quencher} is named, but its concentration is 0"
        step = 'Add quencher_concentration = "5e-3 mol/L" or what it is under [dye]'
        yield "warning", "dye.quencher_concentration", message, "More than 0 mol/L with a quencher", step


def _optics(reading: Reading) -> Iterator[Fault]:
    for part in reading.ids.get("optics", ()):
        base = f"optics.{part}"
        for fault in (*_optic_needs(reading, base), *_optic_damage(reading, base), *_optic_sum(reading, base)):
            if not _faulty(reading, fault[1]):
                yield fault


def _optic_needs(reading: Reading, base: str) -> Iterator[Fault]:
    if reading.get(f"{base}.place") == "train" and reading.get(f"{base}.distance") is None:
        step = f'Add distance = "600 mm" or what it is under [{base}]'
        yield "error", f"{base}.distance", "an optic in the train needs its distance", "A length along the beam", step
    if reading.get(f"{base}.kind") == "lens" and reading.get(f"{base}.focal_length") is None:
        step = f'Add focal_length = "500 mm" or what it is under [{base}]'
        yield "error", f"{base}.focal_length", "a lens needs its focal length", "A length, converging positive", step
    end, at = reading.get("target.distance"), reading.get(f"{base}.distance")
    if reading.get(f"{base}.place") == "train" and end is not None and at is not None and at > end:
        message = (
            f"{_shown(reading, f'{base}.distance')} lies behind the target at {_shown(reading, 'target.distance')}"
        )
        yield "warning", f"{base}.distance", message, "In front of the target", "Check both distances"


def _optic_damage(reading: Reading, base: str) -> Iterator[Fault]:
    if reading.get(f"{base}.damage_fluence") is None:
        return
    for key, example in (("damage_wavelength", "1064 nm"), ("damage_duration", "10 ns")):
        if reading.get(f"{base}.{key}") is None:
            message = f"a damage threshold without its {key.replace('_', ' ')} cannot be scaled to this pulse"
            yield (
                "error",
                f"{base}.{key}",
                message,
                "The conditions of the test",
                f'Add {key} = "{example}" or what it was under [{base}]',
            )


def _optic_sum(reading: Reading, base: str) -> Iterator[Fault]:
    r, t = reading.get(f"{base}.reflectivity"), reading.get(f"{base}.transmission")
    if r is not None and t is not None and r + t > 1.0 + 1e-9:
        message = f"reflectivity {r:g} and transmission {t:g} add up to {r + t:.4g}"
        yield "error", f"{base}.transmission", message, "A sum of at most 1", "Lower one of the two"


_CHECKS: tuple[Callable[[Reading], Iterator[Fault]], ...] = (
    _charge_voltage,
    _charger,
    _cell_length,
    _lamps,
    _network,
    _trigger,
    _quencher,
    _optics,
    *checks_chamber.CHECKS,
    *checks_pulse_power.CHECKS,
    *checks_leads.CHECKS,
    *checks_fill.CHECKS,
    *checks_fill_loops.CHECKS,
    *checks_solution.CHECKS,
    *checks_own_dye.CHECKS,
    *checks_curves.CHECKS,
    *checks_resonator.CHECKS,
)


def not_modelled(build: Build) -> tuple[Finding, ...]:
    """Choices of a valid build that this version does not compute, each by name."""
    return (*_choices(build), *_square_root_law(build))


def _choices(build: Build) -> Iterator[Finding]:
    for entry in build.entries.values():
        where = address(entry.path)
        if where is not None and where.field.kind == "choice" and entry.value not in where.field.modelled:
            carried = ", ".join(word for word in where.field.choices if word in where.field.modelled)
            message = f'"{entry.value}" is not modelled yet, so no shot is computed'
            yield _located(build, entry.path, "error", message, f"Computed: {carried}", "Choose one of these")


def _square_root_law(build: Build) -> Iterator[Finding]:
    """What the laws of quick sizing are not published for."""
    allowed, step = f"Computed: {' or '.join(SQUARE_ROOT_GASES)}", 'Set loop.lamp_law = "equilibrium plasma"'
    if build.machine.loop.lamp_law == "equilibrium plasma":
        return
    for part, lamp in build.machine.lamps.items():
        if lamp.gas not in SQUARE_ROOT_GASES:
            message = f"the square-root law has no published pressure constant for {lamp.gas} (lamp {part})"
            yield _located(build, "loop.lamp_law", "error", message, allowed, step)
        if lamp.second_gas is not None:
            message = f"the square-root law is published for pure gases; lamp {part} holds {lamp.second_gas} as well"
            yield _located(build, "loop.lamp_law", "error", message, "One gas for this law", step)
        if lamp.shape == "coaxial" or lamp.wall_vapour == "ablated":
            message = (
                f"the square-root law does not hold for lamp {part}, which is coaxial or lives on vapour of its wall"
            )
            yield _located(build, "loop.lamp_law", "error", message, "Linear lamps, no wall vapour", step)


def _located(build: Any, path: str, grade: Grade, message: str, allowed: str, next_step: str) -> Finding:
    line = build.entries[path].line
    return Finding(grade, path, message, allowed, next_step, build.file if line else "", line)
