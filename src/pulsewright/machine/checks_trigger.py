"""What the values of a trigger must satisfy together: what each method needs, and what it does not use."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from pulsewright.errors import Grade
from pulsewright.machine.tree import Reading

#: grade, path, message, allowed, next step
Fault = tuple[Grade, str, str, str, str]

_EXAMPLES = {
    "start_pressure": '"400 torr"',
    "stop_pressure": '"1 torr"',
    "pump_speed": '"20 L/min"',
    "volume": '"0.5 L"',
    "saturated_inductance": '"5 uH"',
    "prepulse_capacitance": '"100 nF"',
    "prepulse_voltage": '"9 kV"',
    "prepulse_inductance": '"2 uH"',
    "prepulse_delay": '"20 us"',
}
#: Method -> keys without which it cannot be computed.
_NEEDS = {
    "pressure drop": ("start_pressure", "stop_pressure", "pump_speed", "volume"),
    "series injection": ("saturated_inductance",),
    "pre-pulse": ("prepulse_capacitance", "prepulse_voltage", "prepulse_inductance", "prepulse_delay"),
}
_PUMPED = (*_NEEDS["pressure drop"], "conductance", "leak", "fill_time", "pump_start", "repeatability")
#: Key -> methods that read it.
_READ_BY: dict[str, tuple[str, ...]] = {
    **dict.fromkeys((*_PUMPED, "statistical_lag"), ("pressure drop",)),
    **dict.fromkeys(_NEEDS["series injection"], ("series injection",)),
    **dict.fromkeys(_NEEDS["pre-pulse"], ("pre-pulse",)),
    "simmer_current": ("simmer",),
    "pulse_voltage": ("external wire", "series injection"),
    "self_break_voltage": ("triggered spark gap", "overvoltage gap", "simmer", "pre-pulse"),
    "gap_rise": ("overvoltage gap", "simmer", "pre-pulse"),
}


def _needs(reading: Reading) -> Iterator[Fault]:
    method = reading.get("trigger.method")
    for key in _NEEDS.get(method, ()):
        path = f"trigger.{key}"
        if reading.get(path) is None and not any(finding.path == path for finding in reading.findings):
            step = f"Add {key} = {_EXAMPLES[key]} or what it is under [trigger]"
            yield "error", path, f"{method} needs its {key.replace('_', ' ')}", "A value", step


def _not_read(reading: Reading) -> Iterator[Fault]:
    method = reading.get("trigger.method")
    if method is None:
        return
    for key, methods in _READ_BY.items():
        if reading.get(f"trigger.{key}") is not None and method not in methods:
            message = f"{method} does not read it, so it is not used"
            allowed = f"Read by {', '.join(methods)}"
            yield "note", f"trigger.{key}", message, allowed, "Remove it, or set trigger.method"


def _switch_behind(reading: Reading) -> Iterator[Fault]:
    """Lamps kept alight conduct: a switch must hold the bank off. Pumped lamps hold it off themselves."""
    method, kind = reading.get("trigger.method"), reading.get("switch.kind")
    if method in ("simmer", "pre-pulse") and kind == "none":
        message = f"lamps with {method} conduct before the shot: without a switch the bank cannot be charged"
        yield "error", "switch.kind", message, "A switch", 'Set switch.kind = "thyratron" or what it is'
    if method == "pressure drop" and kind not in (None, "none"):
        message = f'with pressure drop the bank stands on the lamps; the switch is "{kind}"'
        yield (
            "warning",
            "switch.kind",
            message,
            'switch.kind = "none"',
            "Set it, or name the method that fires the switch",
        )


def _pressures(reading: Reading) -> Iterator[Fault]:
    start, stop = reading.get("trigger.start_pressure"), reading.get("trigger.stop_pressure")
    if reading.get("trigger.method") == "pressure drop" and None not in (start, stop) and stop >= start:
        low, high = (reading.entries[f"trigger.{key}"].text for key in ("stop_pressure", "start_pressure"))
        message = f"{low} is not below the {high} from which the lamps are pumped"
        yield "error", "trigger.stop_pressure", message, f"Below {high}", "Check the two pressures"


def _pulse_charged(reading: Reading) -> Iterator[Fault]:
    if reading.get("trigger.gap_rise") is not None and reading.get("trigger.self_break_voltage") is None:
        message = "the rise is given, but not the voltage at which the gap breaks down: it is not used"
        step = 'Add self_break_voltage = "11 kV" or what it is under [trigger]'
        yield "warning", "trigger.gap_rise", message, "Together with trigger.self_break_voltage", step


CHECKS: tuple[Callable[[Reading], Iterator[Fault]], ...] = (
    _needs,
    _not_read,
    _switch_behind,
    _pressures,
    _pulse_charged,
)
