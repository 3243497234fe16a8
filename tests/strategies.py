"""Hypothesis strategies for build files: random, but sensible and valid."""

from __future__ import annotations

import tomllib
from collections.abc import Sequence
from typing import Any

import tomlkit
from hypothesis import strategies as st

from pulsewright import machine, units
from pulsewright.machine import Build
from pulsewright.quantities import QUANTITIES

Draw = st.DrawFn
#: Entries of a trigger: as the bench has it, simmered, or with a small bank first.
STARTS: tuple[dict[str, str], ...] = (
    {},
    {},
    {"method": "simmer", "simmer_current": "0.5 A"},
    {
        "method": "pre-pulse",
        "prepulse_capacitance": "100 nF",
        "prepulse_voltage": "9 kV",
        "prepulse_inductance": "2 uH",
        "prepulse_delay": "10 us",
    },
)
REFLECTORS = ("double ellipse", "single ellipse", "circular", "close-wrapped diffuse", "multiple ellipse")


def text_of(key: str, value: float, digits: int = 4) -> str:
    """A value as it would be typed."""
    row = QUANTITIES[key]
    return units.format(value, row.unit, digits, display=row.display)


def sized(key: str, low: str, high: str) -> st.SearchStrategy[str]:
    """Texts of a dimensional quantity between two others."""
    unit = QUANTITIES[key].unit
    span = st.floats(units.parse(low, unit), units.parse(high, unit))
    return span.map(lambda value: text_of(key, value))


def fraction(low: float, high: float) -> st.SearchStrategy[float]:
    """Bare numbers between two others, three decimals."""
    return st.floats(low, high).map(lambda value: min(max(round(value, 3), low), high))


@st.composite
def lamps(draw: Draw, gases: Sequence[str]) -> dict[str, Any]:
    """One linear lamp."""
    return {
        "shape": "linear",
        "gas": draw(st.sampled_from(gases)),
        "bore": draw(sized("bore", "4 mm", "15 mm")),
        "arc_length": draw(sized("arc_length", "60 mm", "400 mm")),
        "fill_pressure": {"value": draw(sized("fill_pressure", "50 torr", "500 torr")), "spread": "5 %"},
        "envelope": "clear fused silica",
        "wall_thickness": "1 mm",
        "electrode_drop": {"value": "15 V", "spread": "10 V", "basis": "estimated"},
    }


@st.composite
def circuits(draw: Draw, names: Sequence[str]) -> dict[str, Any]:
    """Network, connection of the lamps, switch and crowbar, as sections of a tree."""
    loop: dict[str, Any] = {
        "inductance": {"value": draw(sized("inductance", "0.3 uH", "5 uH")), "spread": "10 %"},
        "resistance": draw(sized("resistance", "1 mohm", "100 mohm")),
        "lamps_connected": draw(st.sampled_from(("series", "parallel", "separate loops"))),
        "lamp_law": draw(st.sampled_from(("equilibrium plasma",) * 4 + ("square-root law", "steep law"))),
        "network": draw(st.sampled_from(("single mesh", "single mesh", "pulse-forming network"))),
    }
    if loop["network"] == "pulse-forming network":
        loop["sections"] = draw(st.integers(2, 6))
        loop["section_inductance"] = draw(sized("inductance", "0.5 uH", "10 uH"))
        loop["section_resistance"] = draw(sized("resistance", "1 mohm", "50 mohm"))
    found: dict[str, Any] = {"loop": loop}
    if loop["lamps_connected"] == "separate loops":
        found["branches"] = {name: draw(branches()) for name in names}
    kind = draw(st.sampled_from(("none", "none", "clamp diode", "crowbar switch")))
    found["crowbar"] = {"kind": kind}
    if kind != "none":
        found["crowbar"]["resistance"] = draw(sized("resistance", "10 mohm", "50 mohm"))
    if kind == "crowbar switch":
        found["crowbar"]["closing_time"] = draw(sized("delay", "2 us", "30 us"))
    return found


@st.composite
def branches(draw: Draw) -> dict[str, Any]:
    """The loop of one lamp, on the shared bank."""
    return {
        "inductance": draw(sized("inductance", "0.3 uH", "5 uH")),
        "resistance": draw(sized("resistance", "1 mohm", "100 mohm")),
        "delay": draw(sized("delay", "0 us", "5 us")),
    }


@st.composite
def chambers(draw: Draw, lamp_count: int, pumped: float) -> dict[str, Any]:
    """A pump chamber that holds so many lamps and is longer than the pumped length."""
    fitting = {1: REFLECTORS[1:4], 2: (REFLECTORS[0], *REFLECTORS[2:])}.get(lamp_count, REFLECTORS[2:])
    return {
        "reflector": draw(st.sampled_from(fitting)),
        "semi_major": "40 mm",
        "semi_minor": "35 mm",
        "diameter": "80 mm",
        "perimeter": draw(sized("perimeter", "150 mm", "300 mm")),
        "length": text_of("length", pumped + 0.01, 6),
        "reflectivity": {"value": draw(fraction(0.5, 0.98)), "spread": 0.05},
        "opening_fraction": {"value": draw(fraction(0.0, 0.2)), "spread": 0.02},
        "coolant": draw(st.sampled_from(("water", "none"))),
        "filter": draw(st.sampled_from(("none", "ultraviolet absorbing glass"))),
        "wall": draw(st.sampled_from(("grey", "aluminium", "barium sulphate"))),
        "light_method": draw(st.sampled_from(("ray tracing", "closed form"))),
    }


@st.composite
def valid_trees(
    draw: Draw, dyes: Sequence[str] = ("rhodamine 6G",), gases: Sequence[str] = ("xenon", "krypton", "argon")
) -> dict[str, Any]:
    """Trees of build files around tidewater that this version computes."""
    tree = tomllib.loads(machine.bench_text("tidewater"))
    pumped = round(draw(st.floats(0.06, 0.4)), 4)
    count = draw(st.integers(1, 3))
    tree["bank"]["capacitance"] = {"value": draw(sized("capacitance", "1 uF", "20 uF")), "spread": "5 %"}
    tree["bank"]["charge_voltage"] = draw(sized("charge_voltage", "3 kV", "15 kV"))
    tree["charger"]["voltage_max"] = "16 kV"
    names = ("east", "west", "north")[:count]
    tree.update(draw(circuits(names)))
    if draw(st.booleans()):
        del tree["switch"]["drop"]
    tree["trigger"].update(draw(st.sampled_from(STARTS)))
    ruled = tree["loop"]["lamp_law"] != "equilibrium plasma"
    held = tuple(gas for gas in gases if gas in ("xenon", "krypton")) if ruled else gases
    tree["lamps"] = {name: draw(lamps(held)) for name in names}
    tree["chamber"] = draw(chambers(count, pumped))
    tree["cell"]["bore"] = draw(sized("bore", "4 mm", "15 mm"))
    tree["cell"]["pumped_length"] = text_of("length", pumped, 6)
    tree["cell"]["length"] = text_of("length", pumped + 0.02, 6)
    tree["dye"].update(
        name=draw(st.sampled_from(dyes)),
        solvent=draw(st.sampled_from(("ethanol", "methanol"))),
        concentration={"value": draw(sized("concentration", "2e-5 mol/L", "2e-4 mol/L")), "spread": "5 %"},
        atmosphere=draw(st.sampled_from(("air", "oxygen", "argon", "nitrogen", "carbon dioxide"))),
    )
    tree["resonator"]["length"] = text_of("length", pumped + 0.05 + draw(st.floats(0, 0.5)), 6)
    tree["resonator"]["loss_per_pass"] = {"value": draw(fraction(0.0, 0.15)), "spread": 0.01}
    tree["optics"]["rear"]["reflectivity"] = draw(fraction(0.9, 1.0))
    tree["optics"]["coupler"]["reflectivity"] = draw(fraction(0.1, 0.95))
    return tree


def valid_texts(**choices: Any) -> st.SearchStrategy[str]:
    """Texts of build files; `choices` as of `valid_trees`."""
    return valid_trees(**choices).map(tomlkit.dumps)


def valid_builds(**choices: Any) -> st.SearchStrategy[Build]:
    """Builds that this version computes; `choices` as of `valid_trees`."""
    return valid_texts(**choices).map(_build)


def _build(text: str) -> Build:
    loaded = machine.load_text(text)
    assert loaded.build is not None, "\n".join(str(finding) for finding in loaded.findings)
    return loaded.build
