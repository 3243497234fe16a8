"""What the values of the discharge circuit must satisfy together: loops of single lamps, network, crowbar, lamp law."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from pulsewright.errors import Grade
from pulsewright.machine.tree import Reading
from pulsewright.quantities import show

#: grade, path, message, allowed, next step
Fault = tuple[Grade, str, str, str, str]

#: Loops that all have capacitors of their own make up the bank to this part; computed in proportion.
OWN_BANKS_AGREE = 0.02
#: A crowbar discharges its capacitor in no less than this part of sqrt(L C): shorter times would need more steps of the
#: computation than are allowed, and leads of real ones are longer.
SHORTEST_CROWBAR = 1e-3
#: A loop may close this many of its sqrt(L C) after the trigger; later, its pulse has too few points in time.
LONGEST_DELAY = 50.0


def _apart(reading: Reading) -> bool:
    return bool(reading.get("loop.lamps_connected") == "separate loops")


def _branches(reading: Reading) -> Iterator[Fault]:
    """A loop for each lamp, and no other."""
    lamps, loops = reading.ids.get("lamps", ()), reading.ids.get("branches", ())
    if not _apart(reading):
        for part in loops:
            message = "loops of single lamps are given, but the lamps do not have separate loops, and they are not used"
            step = 'Set loop.lamps_connected = "separate loops", or remove them'
            yield "warning", f"branches.{part}.inductance", message, 'Only with "separate loops"', step
            break
        return
    for part in lamps:
        if part not in loops:
            step = f'Add [branches.{part}] with inductance = "1.5 uH" and resistance = "30 mohm" or what they are'
            message = f"lamp {part} has no loop, though the lamps have separate loops"
            yield "error", f"branches.{part}", message, "A table [branches.<lamp>] for each lamp", step
    for part in loops:
        if lamps and part not in lamps:
            message = f'there is no lamp "{part}" for this loop'
            yield "error", f"branches.{part}.inductance", message, f"Known: {', '.join(lamps)}", "Name it as its lamp"


def _own_banks(reading: Reading) -> Iterator[Fault]:
    """Capacitors of single loops are part of the bank."""
    whole, lamps = reading.get("bank.capacitance"), reading.ids.get("lamps", ())
    own = [reading.get(f"branches.{part}.capacitance") for part in lamps]
    given = [value for value in own if value is not None]
    if not _apart(reading) or whole is None or not given:
        return
    path, total = "bank.capacitance", sum(given)
    step = "Enter the sum in bank.capacitance, or correct the loops"
    if len(given) < len(own) and total >= whole:
        message = (
            f"loops with capacitors of their own hold {show('capacitance', total)} of {show('capacitance', whole)}"
        )
        yield "error", path, f"{message}, which leaves nothing for the others", "More than their sum", step
    if len(given) == len(own):
        if abs(total / whole - 1) > OWN_BANKS_AGREE:
            message = f"every loop has its own capacitor, {show('capacitance', total)} in all, not the bank's"
            yield "error", path, f"{message} {show('capacitance', whole)}", "Their sum", step
        yield from _no_shared_bank(reading)


def _no_shared_bank(reading: Reading) -> Iterator[Fault]:
    words = "every loop has a capacitor of its own, so there is no shared bank"
    if reading.get("loop.network") == "pulse-forming network":
        step = "Leave the capacitance out of one loop, or use a single mesh"
        yield "error", "loop.network", f"{words} to make sections of", "single mesh", step
    if reading.get("crowbar.kind") not in (None, "none"):
        step = 'Set crowbar.kind = "none", or leave the capacitance out of one loop'
        yield "error", "crowbar.kind", f"{words} for a crowbar to stand across", "none", step


def _unused_sections(reading: Reading) -> Iterator[Fault]:
    if reading.get("loop.network") == "pulse-forming network":
        if reading.get("loop.sections") == 1:
            step = 'Set loop.network = "single mesh"'
            yield "warning", "loop.sections", "a network of one section is a single mesh", "2 or more", step
        return
    for key in ("sections", "section_inductance"):
        if reading.get(f"loop.{key}") is not None:
            message = f"a single mesh has no sections, and {key.replace('_', ' ')} is not used"
            step = 'Remove it, or set loop.network = "pulse-forming network"'
            yield "warning", f"loop.{key}", message, "Only in a pulse-forming network", step


def _crowbar(reading: Reading) -> Iterator[Fault]:
    kind, closing = reading.get("crowbar.kind"), reading.get("crowbar.closing_time")
    if kind == "crowbar switch" and closing is None and not _faulty(reading, "crowbar.closing_time"):
        message, step = (
            "a crowbar switch needs the time at which it closes",
            'Add closing_time = "15 us" under [crowbar]',
        )
        yield "error", "crowbar.closing_time", message, "A time from the trigger", step
    if kind in ("none", "clamp diode") and closing is not None:
        message = f"{'no crowbar' if kind == 'none' else 'a clamp diode'} closes at a time, and the value is not used"
        step = 'Remove it, or set crowbar.kind = "crowbar switch"'
        yield "warning", "crowbar.closing_time", message, "Only with a crowbar switch", step
    yield from _unused_crowbar(reading, kind)
    resistance, whole = reading.get("crowbar.resistance"), reading.get("bank.capacitance")
    inductance = reading.get("loop.inductance")
    if kind in (None, "none") or None in (resistance, whole, inductance):
        return
    last = whole / (reading.get("loop.sections") or 1)
    least = SHORTEST_CROWBAR * (inductance / last) ** 0.5
    if resistance < least:
        message = f"a crowbar of {show('resistance', resistance)} empties its capacitor faster than is computed"
        allowed = f"{show('resistance', least)} or more; leads and arc of real ones are milliohms"
        yield "error", "crowbar.resistance", message, allowed, "Enter the resistance with its leads"


def _unused_crowbar(reading: Reading, kind: str | None) -> Iterator[Fault]:
    """Values of a crowbar that is not there."""
    for key in ("resistance", "drop"):
        entry = reading.entries.get(f"crowbar.{key}")
        if kind == "none" and entry is not None and entry.layer != "default" and entry.value is not None:
            message = f"there is no crowbar, and its {key} is not used"
            step = 'Set crowbar.kind = "clamp diode" or "crowbar switch", or remove it'
            yield "warning", f"crowbar.{key}", message, "Only with a crowbar", step


def _faulty(reading: Reading, path: str) -> bool:
    return any(finding.path == path for finding in reading.findings)


def _delays(reading: Reading) -> Iterator[Fault]:
    """Pulses so far apart that one axis of time does not resolve them."""
    lamps, whole, common = reading.ids.get("lamps", ()), reading.get("bank.capacitance"), reading.get("loop.inductance")
    if not _apart(reading) or None in (whole, common):
        return
    for part in lamps:
        base = f"branches.{part}"
        delay, own, inductance = (reading.get(f"{base}.{key}") for key in ("delay", "capacitance", "inductance"))
        if not delay or inductance is None:
            continue
        scale = ((inductance + (0.0 if own else common)) * (own or whole)) ** 0.5
        if delay > LONGEST_DELAY * scale:
            message = f"this loop closes {delay / scale:.0f} times its sqrt(L C) after the trigger"
            allowed = (
                f"At most {show('time', LONGEST_DELAY * scale)}; farther apart the pulses are not resolved together"
            )
            yield "error", f"{base}.delay", message, allowed, "Shorten it, or compute each pulse as a shot of its own"


CHECKS: tuple[Callable[[Reading], Iterator[Fault]], ...] = (
    _branches,
    _own_banks,
    _unused_sections,
    _crowbar,
    _delays,
)
