"""What is wrong with the reading and earthing of a bank, or what a careful person would want to know."""

from __future__ import annotations

from collections.abc import Iterator

from pulsewright.errors import Finding, Grade
from pulsewright.machine import Build
from pulsewright.physics.pulsed_power.discharge_rules import accessible_current_limit
from pulsewright.physics.pulsed_power.hazards import stored_energy_hazards
from pulsewright.physics.pulsed_power.storage import stored_energy
from pulsewright.safety import words
from pulsewright.safety.bank_figures import MeterFigures, meter_figures

#: A forgotten load of the instrument is told from this part of the voltage on; a choice of this package.
LOADING = 0.01
_SHOCK_PATH = "Use a battery-fed instrument, or an isolated supply rated for the full voltage"


def located(build: Build, path: str, grade: Grade, message: str, allowed: str, next_step: str) -> Finding:
    """A finding with the line of its entry, where the file has one."""
    entry = build.entries.get(path)
    line = 0 if entry is None else entry.line
    return Finding(grade, path, message, allowed, next_step, build.file if line else "", line)


def bank_findings(build: Build) -> Iterator[Finding]:
    """Findings on divider and instrument, at the most that the charger reaches."""
    machine = build.machine
    full = max(machine.charger.voltage_max, machine.bank.charge_voltage)
    if not stored_energy_hazards(full, float(stored_energy(machine.bank.capacitance, full))).reflex:
        return
    meter = meter_figures(machine, full)
    if meter is None:
        message = "no divider is listed, so nothing in this file tells what stands on the bank"
        step = "Enter meter.upper_resistance and meter.lower_resistance"
        yield located(build, "meter.upper_resistance", "note", message, "A divider always connected", step)
        return
    yield from _fed(build)
    yield from _loaded(build, meter)
    yield from _opened(build, meter)


def _fed(build: Build) -> Iterator[Finding]:
    supply = build.machine.meter.supply
    if supply in ("battery", "isolated"):
        return
    how = "fed from the mains" if supply == "mains" else "fed in a way that is not stated"
    message = f"the instrument on the divider is {how}; on the mains, a laptop on its charger too, it is a shock path"
    yield located(build, "meter.supply", "warning", message, "Battery or isolated", _SHOCK_PATH)


def _loaded(build: Build, meter: MeterFigures) -> Iterator[Finding]:
    if meter.loading_error is None:
        message = "the input of the instrument is not known: the bank holds more than the unloaded divider says"
        step = "Enter meter.input_resistance"
        yield located(build, "meter.input_resistance", "warning", message, "A value from its data sheet", step)
    elif meter.loading_error < -LOADING:
        message = (
            f"the instrument loads the divider: by the unloaded ratio of {meter.unloaded_ratio:.5g} the bank is read "
            f"{words.share(-meter.loading_error)} too low"
        )
        step = f"Multiply its reading by {meter.ratio:.5g}"
        yield located(build, "meter.input_resistance", "note", message, f"Within {words.share(LOADING)}", step)


def _opened(build: Build, meter: MeterFigures) -> Iterator[Finding]:
    """The lower arm opens: the voltage on the instrument, and the current into whoever holds it."""
    limit = accessible_current_limit("direct")
    grade: Grade = "warning" if meter.fault_current > limit else "note"
    message = (
        f"if the lower arm opens, {words.voltage(meter.open_voltage)} stand on the instrument, the full voltage if its "
        f"input opens too, and {1e3 * meter.fault_current:.2g} mA can flow into a hand"
    )
    allowed = f"At most {1e3 * limit:.2g} mA behind a protective impedance (IEC 60335-1, clause 8.1.4)"
    step = "Put a second resistor and a surge arrester across the lower arm, at the divider itself"
    yield located(build, "meter.lower_resistance", grade, message, allowed, step)
