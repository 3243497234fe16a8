"""The build file: one laser in one file, read into frozen SI records, and written back with care."""

from __future__ import annotations

from importlib.resources import files

from pulsewright.errors import BuildError, Finding
from pulsewright.machine.build import LAYERS, Build
from pulsewright.machine.checks import not_modelled
from pulsewright.machine.compare import Difference, compare
from pulsewright.machine.fields import BASES, DISTRIBUTIONS, Field
from pulsewright.machine.file import LARGEST_FILE, Loaded, changed_text, load, load_text, save
from pulsewright.machine.parts import (
    Bank,
    Cell,
    Chamber,
    Charger,
    Dump,
    Dye,
    DyeLoop,
    Lamp,
    Loop,
    Machine,
    Optic,
    Resonator,
    Room,
    Switch,
    Target,
    Trigger,
)
from pulsewright.machine.schema import SCHEMA, SECTIONS, SchemaRow, Section, address, nearest, schema_rows
from pulsewright.machine.values import Entry

__all__ = [
    "BASES",
    "BENCHES",
    "DISTRIBUTIONS",
    "LARGEST_FILE",
    "LAYERS",
    "SCHEMA",
    "SECTIONS",
    "Bank",
    "Build",
    "Cell",
    "Chamber",
    "Charger",
    "Difference",
    "Dump",
    "Dye",
    "DyeLoop",
    "Entry",
    "Field",
    "Lamp",
    "Loaded",
    "Loop",
    "Machine",
    "Optic",
    "Resonator",
    "Room",
    "SchemaRow",
    "Section",
    "Switch",
    "Target",
    "Trigger",
    "address",
    "bench_text",
    "changed_text",
    "compare",
    "load",
    "load_text",
    "nearest",
    "not_modelled",
    "save",
    "schema_rows",
]

#: The example benches, invented; the first is the demo.
BENCHES = ("tidewater", "lanternroom", "longwave", "millpond")


def bench_text(name: str) -> str:
    """The build file of an example bench.

    Raises
    ------
    BuildError
        If there is no such bench.
    """
    if name not in BENCHES:
        near = nearest(name, BENCHES)
        step = f'Perhaps "{near}" was meant' if near else "Choose one of them"
        message = f'there is no example bench "{name}"'
        raise BuildError(Finding("error", "", message, f"Known: {', '.join(BENCHES)}", step))
    return (files("pulsewright.machine") / "benches" / f"{name}.toml").read_text(encoding="utf-8")
