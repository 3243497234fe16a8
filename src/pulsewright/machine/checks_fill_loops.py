"""What the entries of a dye loop must satisfy together, and with the cell that it feeds."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator

from pulsewright.errors import Grade
from pulsewright.machine.tree import Reading
from pulsewright.quantities import show

#: grade, path, message, allowed, next step
Fault = tuple[Grade, str, str, str, str]

#: Ways of renewal that take a part of the solution away for each shot.
FED = ("bleed and feed", "fresh fill")
#: What a carbon bed must be known by, with an example.
BED = (("bed_flow", "0.5 L/min"), ("bed_product_removal", "0.9"), ("bed_dye_removal", "0.9"))
_MANY = 2


def _faulty(reading: Reading, path: str) -> bool:
    return any(finding.path == path for finding in reading.findings)


def cell_volume(reading: Reading) -> float | None:
    """Solution in the first cell, in m^3; None where its shape is not known."""
    bore, width, length = (reading.get(f"cell.{key}") for key in ("bore", "width", "length"))
    if bore is None or length is None:
        return None
    if reading.get("cell.shape") == "slab":
        return None if width is None else float(bore * width * length)
    return float(math.pi * bore**2 / 4 * length)


def _loops(reading: Reading) -> Iterator[tuple[str, str]]:
    """Path and method of every loop."""
    for part in reading.ids.get("loops", ()):
        yield f"loops.{part}", str(reading.get(f"loops.{part}.method") or "")


def _stagnant(reading: Reading) -> Iterator[Fault]:
    for base, method in _loops(reading):
        if method == "stagnant" and reading.get(f"{base}.flow"):
            message = f"a stagnant fill has no flow; {reading.entries[f'{base}.flow'].text} is given"
            step = "Remove the flow or change the method"
            yield "warning", f"{base}.flow", message, "No flow, or another method", step


def _not_used(reading: Reading) -> Iterator[Fault]:
    """Values that this way of renewal does not read."""
    for base, method in _loops(reading):
        if method and method not in FED and reading.get(f"{base}.volume_per_shot") is not None:
            message = f"{method}: nothing is renewed shot by shot, and the volume of a shot is not used"
            step = 'Remove it, or set method = "bleed and feed" or "fresh fill"'
            yield "warning", f"{base}.volume_per_shot", message, f"Only with {' or '.join(FED)}", step
        for key, _ in BED:
            if method and method != "regenerated" and reading.get(f"{base}.{key}") is not None:
                message = f"{method}: there is no carbon bed, and its {key.removeprefix('bed_').replace('_', ' ')}"
                step = 'Remove it, or set method = "regenerated"'
                yield "warning", f"{base}.{key}", f"{message} is not used", "Only when regenerated", step


def _bed(reading: Reading) -> Iterator[Fault]:
    """A bed that is not known; the single shot does not need it."""
    for base, method in _loops(reading):
        if method != "regenerated":
            continue
        for key, example in BED:
            if reading.get(f"{base}.{key}") is None and not _faulty(reading, f"{base}.{key}"):
                message = f"a carbon bed needs its {key.removeprefix('bed_').replace('_', ' ')} before its fill is told"
                allowed = "A value measured on this bed: no figures of carbon beds for dye are published"
                yield "warning", f"{base}.{key}", message, allowed, f'Add {key} = "{example}" or what was measured'
        flow, through = reading.get(f"{base}.flow"), reading.get(f"{base}.bed_flow")
        if flow is not None and through is not None and through > flow:
            message = f"{show('bed_flow', through)} through the bed is more than the {show('flow', flow)} of the loop"
            yield "warning", f"{base}.bed_flow", message, "At most the flow of the loop", "Check which of them is right"
        if reading.get("charger.repeat_period") is None and not _faulty(reading, "charger.repeat_period"):
            message = "what a bed takes out between shots needs the time from one shot to the next"
            step = 'Add repeat_period = "30 s" or what it is under [charger]'
            yield "warning", "charger.repeat_period", message, "A time", step


def _volumes(reading: Reading) -> Iterator[Fault]:
    cell = cell_volume(reading)
    for base, method in _loops(reading):
        volume, shot = reading.get(f"{base}.volume"), reading.get(f"{base}.volume_per_shot")
        if volume is None and method in ("closed loop", "bleed and feed", "regenerated"):
            if not _faulty(reading, f"{base}.volume"):
                message = f"{method}: how long the fill lasts depends on how much of it there is"
                step = 'Add volume = "6 L" or what it is'
                yield "note", f"{base}.volume", message, "Solution in the whole loop", step
        elif volume is not None and cell is not None and volume < cell:
            message = f"{show('volume', volume)} is less than the cell alone holds, {show('volume_per_shot', cell)}"
            yield (
                "error",
                f"{base}.volume",
                message,
                "At least what the cell holds",
                "Enter the whole loop, cell included",
            )
        if method not in FED or shot is None:
            continue
        yield from _one_shot(base, method, shot, volume, cell)


def _one_shot(base: str, method: str, shot: float, volume: float | None, cell: float | None) -> Iterator[Fault]:
    path, step = f"{base}.volume_per_shot", "Lower it, or enter the whole volume"
    if volume is not None and shot > volume:
        words = "the loop holds" if method == "bleed and feed" else "there is"
        message = f"{show('volume_per_shot', shot)} a shot is more than {words}, {show('volume', volume)}"
        yield "error", path, message, f"At most {show('volume', volume)}", step
    elif method == "fresh fill" and cell is not None and shot < cell:
        poured, held = show("volume_per_shot", shot), show("volume_per_shot", cell)
        message = f"{poured} a shot does not fill the cell, which holds {held}: old solution stays"
        yield "warning", path, message, "At least one volume of the cell", "Renew more for each shot"


def _several(reading: Reading) -> Iterator[Fault]:
    parts = reading.ids.get("loops", ())
    if len(parts) >= _MANY:
        message = (
            f"{len(parts)} dye loops are given: the life of the fill is told of {parts[0]}, or of one that is named"
        )
        step = "Keep one loop for the dye, or name it: study fill --loop"
        yield "note", f"loops.{parts[1]}", message, "One loop feeds the cell", step


CHECKS: tuple[Callable[[Reading], Iterator[Fault]], ...] = (_stagnant, _not_used, _bed, _volumes, _several)
