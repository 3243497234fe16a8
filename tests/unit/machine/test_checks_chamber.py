"""Reflector, lamps and cell that do not fit each other are told with numbers; what passes can be traced."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from pulsewright import machine
from pulsewright.errors import DomainError, Finding
from pulsewright.machine.checks_chamber import tightest
from pulsewright.physics.chamber.geometry import wrapped_perimeter
from pulsewright.physics.chamber.ray_geometry import CellBody, LampTube, Walls, ray_scene
from pulsewright.physics.chamber.ray_map import trace_light

TIDEWATER = machine.bench_text("tidewater")
LANTERNROOM = machine.bench_text("lanternroom")


def edited(text: str, section: str, **values: str) -> str:
    """A bench text with keys of one section set to TOML literals, or dropped when empty."""
    lines, inside, found = [], False, []
    for line in text.splitlines():
        if line.startswith("["):
            inside = line.startswith(f"[{section}]")
            found.append(line)
            if inside:
                found.extend(f"{key} = {value}" for key, value in values.items() if value)
            continue
        if not (inside and line.split("=")[0].strip() in values):
            found.append(line)
    return "\n".join([*lines, *found])


def findings(text: str, grade: str = "error") -> list[Finding]:
    return [finding for finding in machine.load_text(text).findings if finding.grade == grade]


CIRCLE = {"reflector": '"circular"', "semi_major": "", "semi_minor": ""}
WRAP = {"reflector": '"close-wrapped diffuse"', "semi_major": "", "semi_minor": ""}


@pytest.mark.parametrize(
    ("section", "values", "path", "words"),
    [
        # the focal lines lie 2 sqrt(25^2 - 24.6^2) mm apart
        ("chamber", {"semi_minor": '"24.6 mm"'}, "chamber.semi_minor", ["8.91 mm", "lamp east", "9.50 mm"]),
        ("chamber", {"semi_major": '"30 mm"', "semi_minor": '"12 mm"'}, "chamber.semi_minor", ["2.50 mm", "4.50 mm"]),
        ("chamber", {"semi_minor": '"26 mm"'}, "chamber.semi_minor", ["26 mm", "25 mm"]),
        ("cell", {"bore": '"40 mm"'}, "cell.bore", ["21.0 mm", "19.4 mm"]),
        ("cell", {"shape": '"slab"'}, "cell.width", ["needs its width"]),
        ("chamber", {"reflector": '"single ellipse"'}, "chamber.reflector", ["1 lamp", "2"]),
        ("chamber", {**CIRCLE, "diameter": '"20 mm"'}, "chamber.diameter", ["20.0 mm", "28.0 mm"]),
        ("chamber", {**CIRCLE, "diameter": '"60 mm"', "lamp_distance": '"8 mm"'}, "chamber.lamp_distance", ["1.50 mm"]),
        ("chamber", {**CIRCLE, "diameter": '"60 mm"', "lamp_distance": '"28 mm"'}, "chamber.diameter", ["65.0 mm"]),
        ("chamber", {**CIRCLE}, "chamber.diameter", ["needs its diameter"]),
        # lamps of 9 mm at 9.5 mm on both sides: 2 x 19 mm + pi x 9 mm, and a little for the cell of 10 mm between
        ("chamber", {**WRAP, "perimeter": '"50 mm"'}, "chamber.perimeter", ["50.0 mm", "66.3 mm"]),
    ],
)
def test_what_does_not_fit_is_told_with_numbers(
    section: str, values: dict[str, str], path: str, words: list[str]
) -> None:
    text = edited(TIDEWATER, section, **values)
    told = [finding for finding in findings(text) if finding.path == path]
    assert told, [str(finding) for finding in machine.load_text(text).findings]
    for word in words:
        assert any(word in f"{finding.message} {finding.allowed}" for finding in told), (word, told)
    assert all(finding.allowed and finding.next_step for finding in told)


def test_more_lamps_than_fit() -> None:
    lamp = TIDEWATER[TIDEWATER.index("[lamps.east]") : TIDEWATER.index("[lamps.west]")]
    more = "".join(lamp.replace("[lamps.east]", f"[lamps.more{i}]") for i in range(6))
    text = edited(TIDEWATER + "\n" + more, "chamber", **CIRCLE, diameter='"60 mm"', lamp_distance='"10 mm"')
    (told,) = [finding for finding in findings(text) if finding.path == "chamber.lamp_distance"]
    assert "8 lamps" in told.message
    assert "7.65 mm" in told.message  # 2 x 10 mm sin(22.5 deg)
    assert "9.00 mm" in told.message
    # without a distance they stand as near as they can
    free = edited(TIDEWATER + "\n" + more, "chamber", **CIRCLE, diameter='"60 mm"')
    assert findings(free) == []


@pytest.mark.parametrize(
    ("section", "values", "path", "word"),
    [
        ("lamps.sleeve", {"inner_diameter": '"11 mm"'}, "lamps.sleeve.inner_diameter", "12.0 mm"),
        ("chamber", {"perimeter": '"55 mm"'}, "chamber.perimeter", "59.7 mm"),
        ("chamber", {"reflector": '"single ellipse"', "semi_major": '"30 mm"', "semi_minor": '"25 mm"'},
         "chamber.reflector", "coaxial"),
        ("cell", {"shape": '"slab"', "width": '"9 mm"'}, "cell.shape", "coaxial"),
    ],
)  # fmt: skip
def test_coaxial_lamps(section: str, values: dict[str, str], path: str, word: str) -> None:
    told = [finding for finding in findings(edited(LANTERNROOM, section, **values)) if finding.path == path]
    assert told
    assert word in f"{told[0].message} {told[0].allowed}"


def test_two_coaxial_lamps_are_refused() -> None:
    lamp = LANTERNROOM[LANTERNROOM.index("[lamps.sleeve]") : LANTERNROOM.index("[chamber]")]
    text = LANTERNROOM + "\n" + lamp.replace("sleeve", "second")
    assert [finding.path for finding in findings(text)] == ["lamps.sleeve.shape"]


def test_values_that_are_not_used_are_told() -> None:
    (told,) = findings(edited(TIDEWATER, "cell", width='"9 mm"'), "warning")
    assert told.path == "cell.width"
    (told,) = findings(edited(LANTERNROOM, "chamber", lamp_distance='"9 mm"'), "warning")
    assert told.path == "chamber.lamp_distance"


def test_the_band_of_the_check_is_that_of_the_formula() -> None:
    tubes = [(0.0, 0.0, 5.0), (-9.0, 0.0, 4.0), (4.0, 8.0, 3.0)]
    x, y, radius = zip(*tubes, strict=True)
    assert tightest(tubes) == pytest.approx(wrapped_perimeter(x, y, radius), rel=5e-5)


# ---------------------------------------------------------------- any chamber that passes can be traced

lengths = st.floats(1.0, 40.0)


@st.composite
def texts(draw: st.DrawFn) -> str:
    """Chambers of any sizes, most of which do not fit."""
    reflector = draw(st.sampled_from(("double ellipse", "multiple ellipse", "circular", "close-wrapped diffuse")))
    a = draw(st.floats(8.0, 60.0))
    chamber = {
        "reflector": f'"{reflector}"',
        "semi_major": f'"{a:.4g} mm"',
        "semi_minor": f'"{a * draw(st.floats(0.3, 1.02)):.4g} mm"',
        "diameter": f'"{draw(st.floats(10.0, 120.0)):.4g} mm"',
        "perimeter": f'"{draw(st.floats(20.0, 300.0)):.4g} mm"',
        "lamp_distance": draw(st.sampled_from(("", f'"{draw(lengths):.4g} mm"'))),
        "reflectivity": f"{draw(st.floats(0.05, 1.0)):.3g}",
        "opening_fraction": f"{draw(st.floats(0.0, 0.5)):.3g}",
        "diffuse_fraction": draw(st.sampled_from(("", "0", "0.4", "1"))),
        "end_reflectivity": draw(st.sampled_from(("", "0.3"))),
        "coolant": draw(st.sampled_from(('"none"', '"water"'))),
    }
    flat = draw(st.booleans())
    cell = {
        "shape": '"slab"' if flat else '"cylinder"',
        "width": f'"{draw(lengths):.4g} mm"' if flat else "",
        "bore": f'"{draw(st.floats(0.5, 20.0)):.4g} mm"',
        "wall_thickness": f'"{draw(st.floats(0.2, 3.0)):.4g} mm"',
    }
    text = edited(edited(TIDEWATER, "chamber", **chamber), "cell", **cell)
    return edited(text, "lamps.east", bore=f'"{draw(st.floats(1.0, 15.0)):.4g} mm"')


@pytest.mark.slow
@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow])
@given(texts(), st.integers(0, 1000))
def test_a_chamber_is_refused_with_numbers_or_traced(text: str, seed: int) -> None:
    """No chamber gives NaN, shares outside 0 to 1, or light from nothing; what cannot be traced is told beforehand."""
    loaded = machine.load_text(text)
    if loaded.build is None:
        for finding in loaded.findings:
            assert "nan" not in str(finding).lower()
        return
    found = traced(loaded.build.machine, seed)
    assert found.imbalance < 1e-12
    for part in (found.dye, found.lamps, found.walls, found.openings, found.ends, found.standard_error):
        assert np.all(np.isfinite(part))
        assert np.all((part >= 0) & (part <= 1 + 1e-12))


def traced(parts: machine.Machine, seed: int = 1):  # type: ignore[no-untyped-def]
    """A quick trace of a machine's chamber, straight from its parts."""
    chamber, cell = parts.chamber, parts.cell
    walls = Walls(
        chamber.reflector, chamber.length, chamber.reflectivity, chamber.opening_fraction,
        chamber.diffuse_fraction or 0.0, 1.0 if chamber.end_reflectivity is None else chamber.end_reflectivity, 1.333,
        chamber.semi_major or 0.0, chamber.semi_minor or 0.0, chamber.diameter or 0.0, chamber.perimeter or 0.0,
        chamber.lamp_distance or 0.0,
    )  # fmt: skip
    lamps = [LampTube(lamp.bore, lamp.wall_thickness, lamp.arc_length, 1.46) for lamp in parts.lamps.values()]
    body = CellBody(cell.bore, cell.wall_thickness, cell.pumped_length, 1.46, 1.36, cell.width or 0.0)
    return trace_light(ray_scene(walls, lamps, body), [1.0, 300.0], [0.2, 1.0], shells=3, rays=64, seed=seed)


def test_a_wall_that_is_too_short_is_refused_by_the_formula_too() -> None:
    walls = Walls("close-wrapped diffuse", 0.1, 0.9, 0.0, 1.0, perimeter=30e-3)
    with pytest.raises(DomainError, match="does not go round"):
        ray_scene(walls, [LampTube(7e-3, 1e-3, 0.1, 1.46)], CellBody(8e-3, 1e-3, 0.1, 1.46, 1.36))
    ample = ray_scene(
        replace(walls, perimeter=60e-3), [LampTube(7e-3, 1e-3, 0.1, 1.46)], CellBody(8e-3, 1e-3, 0.1, 1.46, 1.36)
    )
    arcs = float(np.sum(2 * np.arccos(ample.arcs[:, 5]) * ample.arcs[:, 2]))
    lines = float(np.sum(ample.lines[:, 4] - ample.lines[:, 3]))
    assert arcs + lines == pytest.approx(60e-3 + 2 * math.pi * 1e-6, rel=1e-6)
