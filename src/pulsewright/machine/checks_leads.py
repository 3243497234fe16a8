"""What the entries of leads, distances and the rated life must satisfy together."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from pulsewright.errors import Grade
from pulsewright.machine.tree import Reading

#: grade, path, message, allowed, next step
Fault = tuple[Grade, str, str, str, str]

#: Shape of a lead -> the dimensions it needs, with an example each.
NEEDS = {
    "coaxial": {"length": "500 mm", "inner_diameter": "10 mm", "outer_diameter": "30 mm"},
    "strips": {"length": "500 mm", "width": "50 mm", "gap": "2 mm"},
    "wire ring": {"ring_radius": "150 mm", "wire_radius": "3 mm"},
    "cable": {"length": "500 mm", "line_impedance": "50 ohm", "velocity_factor": "0.66"},
}
#: Dimensions from which a resistance is computed; without them the inductance alone is.
_MAY = {
    "coaxial": ("thickness",),
    "strips": ("thickness",),
    "cable": ("inner_diameter", "outer_diameter", "thickness"),
}
_DIMENSIONS = (*dict.fromkeys(key for keys in (*NEEDS.values(), *_MAY.values()) for key in keys),)


def _known(reading: Reading, path: str) -> bool:
    """Whether there is a value, or a fault already told."""
    return reading.get(path) is not None or any(finding.path == path for finding in reading.findings)


def _leads(reading: Reading) -> Iterator[Fault]:
    """Every lead has the dimensions of its shape, and they fit together."""
    for part in reading.ids.get("leads", ()):
        base = f"leads.{part}"
        shape = reading.get(f"{base}.shape")
        if shape is not None:
            yield from _missing(reading, base, shape)
            yield from _unused(reading, base, shape)
            yield from _inside(reading, base)


def _missing(reading: Reading, base: str, shape: str) -> Iterator[Fault]:
    for key, example in NEEDS[shape].items():
        if not _known(reading, f"{base}.{key}"):
            value = example if key == "velocity_factor" else f'"{example}"'
            message = f'a lead of shape "{shape}" needs its {key.replace("_", " ")}'
            yield "error", f"{base}.{key}", message, "A value", f"Add {key} = {value} under [{base}]"


def _unused(reading: Reading, base: str, shape: str) -> Iterator[Fault]:
    used = (*NEEDS[shape], *_MAY.get(shape, ()))
    for key in _DIMENSIONS:
        if key not in used and reading.get(f"{base}.{key}") is not None:
            message = f'a lead of shape "{shape}" has no {key.replace("_", " ")}, and the value is not used'
            yield "warning", f"{base}.{key}", message, f"Used: {', '.join(used)}", "Remove it or change the shape"


def _inside(reading: Reading, base: str) -> Iterator[Fault]:
    """An inner conductor fits into the outer one, a wire into its ring."""
    for small, large in (("inner_diameter", "outer_diameter"), ("wire_radius", "ring_radius")):
        a, b = reading.get(f"{base}.{small}"), reading.get(f"{base}.{large}")
        if a is not None and b is not None and a >= b:
            shown = [reading.entries[f"{base}.{key}"].text for key in (small, large)]
            message = f"{shown[0]} is not below the {large.replace('_', ' ')} of {shown[1]}"
            yield "error", f"{base}.{small}", message, f"Below {shown[1]}", "Check both, perhaps they are exchanged"


def _distances(reading: Reading) -> Iterator[Fault]:
    """Along a surface it is never shorter than through air."""
    air, surface = reading.get("loop.clearance"), reading.get("loop.creepage")
    if air is not None and surface is not None and surface < air:
        shown = reading.entries["loop.creepage"].text, reading.entries["loop.clearance"].text
        message = f"{shown[0]} along surfaces is shorter than the {shown[1]} through air"
        yield "warning", "loop.creepage", message, "At least the clearance", "Measure both between the same parts"


def _life(reading: Reading) -> Iterator[Fault]:
    """A rated life says nothing without the voltage and the reversal it holds for."""
    if reading.get("bank.life_rating") is None:
        return
    for key, example in (("voltage_rating", '"15 kV"'), ("reversal_rating", "0.2")):
        if not _known(reading, f"bank.{key}"):
            message = f"a rated life without its {key.replace('_', ' ')} cannot be carried to this bank"
            step = f"Add {key} = {example} or what it is under [bank]"
            yield "warning", f"bank.{key}", message, "The conditions of the rated life", step


#: In the order in which they are told.
CHECKS: tuple[Callable[[Reading], Iterator[Fault]], ...] = (_leads, _distances, _life)
