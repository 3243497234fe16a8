"""Leads of the loop: figures from their shapes, what they explain of the loop, and what a build file may hold."""

from __future__ import annotations

import copy
import math
import tomllib
from typing import Any

import numpy as np
import pytest
import tomlkit

from pulsewright import machine
from pulsewright.engine.chain import Chain
from pulsewright.engine.inputs import inputs_of
from pulsewright.engine.leads import Leads, leads
from pulsewright.physics.pulsed_power.inductance import (
    cable_inductance,
    coaxial_inductance,
    ring_inductance,
    strip_inductance,
)
from pulsewright.studies.shot import compute_shot

STRIPS = {"shape": "strips", "length": "600 mm", "width": "60 mm", "gap": "3 mm", "thickness": "1 mm"}
RING = {"shape": "wire ring", "ring_radius": "100 mm", "wire_radius": "2 mm"}
COAXIAL = {"shape": "coaxial", "length": "300 mm", "inner_diameter": "10 mm", "outer_diameter": "30 mm"}
CABLE = {"shape": "cable", "length": "1 m", "line_impedance": "50 ohm", "velocity_factor": 0.66}


def loaded(**parts: dict[str, Any]) -> machine.Loaded:
    """The demo bench with leads."""
    tree = copy.deepcopy(tomllib.loads(machine.bench_text("tidewater")))
    tree["leads"] = copy.deepcopy(parts)
    return machine.load_text(tomlkit.dumps(tree), "laser.toml")


def build_of(**parts: dict[str, Any]) -> machine.Build:
    """The same, sound enough to compute with."""
    found = loaded(**parts)
    assert found.build is not None, found.findings
    return found.build


def figures(**parts: dict[str, Any]) -> Leads:
    """Figures of the leads in a shot of the demo bench."""
    inputs = inputs_of(build_of(**parts))
    return leads(inputs, Chain().discharge(inputs)[1])


def test_inductance_is_that_between_the_conductors_and_a_little_inside_them() -> None:
    outside = {
        "bar": strip_inductance(0.6, 60e-3, 3e-3),
        "loop": ring_inductance(0.1, 2e-3),
        "pair": coaxial_inductance(0.3, 10e-3, 30e-3),
        "cable": cable_inductance(1.0, 50.0, 0.66),
    }
    found = figures(bar=STRIPS, loop=RING, pair=COAXIAL, cable=CABLE)
    assert 20e3 < found.frequency < 100e3
    for row in found.rows:
        assert row.inductance is not None
        inside = row.inductance / float(outside[row.name]) - 1
        assert (inside == pytest.approx(0.0, abs=1e-12)) if row.name == "cable" else (0.0 < inside < 0.15), row.name
    assert found.inductance == pytest.approx(sum(row.inductance or 0.0 for row in found.rows))


def test_resistance_is_that_of_the_skin() -> None:
    bar, ring = figures(bar=STRIPS, loop=RING).rows
    frequency = figures(bar=STRIPS).frequency
    depth = math.sqrt(1.72e-8 / (math.pi * frequency * 4e-7 * math.pi))
    assert bar.resistance == pytest.approx(2 * 0.6 * 1.72e-8 / (60e-3 * depth), rel=0.05)  # two strips
    assert ring.resistance == pytest.approx(0.2 * math.pi * 1.72e-8 / (2 * math.pi * 2e-3 * depth), rel=0.15)


def test_skin_of_thick_strips_keeps_as_much_reactance_as_resistance() -> None:
    """Half space: resistance and reactance of the skin are equal, in each of the two strips."""
    thick = {key: value for key, value in STRIPS.items() if key != "thickness"}
    found = figures(bar=thick)
    (bar,) = found.rows
    assert bar.inductance is not None
    assert bar.resistance is not None
    inside = bar.inductance - float(strip_inductance(0.6, 60e-3, 3e-3))
    assert 2 * math.pi * found.frequency * inside == pytest.approx(bar.resistance, rel=1e-6)


def test_alike_side_by_side_divide_both() -> None:
    one, four = figures(bar=STRIPS).rows[0], figures(bar={**STRIPS, "in_parallel": 4}).rows[0]
    assert one.inductance == pytest.approx(4 * (four.inductance or 0.0))
    assert one.resistance == pytest.approx(4 * (four.resistance or 0.0))


def test_metals_differ_in_resistance() -> None:
    ohms = {metal: figures(bar={**STRIPS, "metal": metal}).resistance for metal in ("copper", "brass", "steel")}
    assert ohms["copper"] < ohms["brass"] < ohms["steel"]


def test_what_is_missing_for_a_resistance_is_told() -> None:
    (cable,) = figures(cable=CABLE).rows
    assert cable.resistance is None
    assert "inner_diameter" in cable.reason
    (whole,) = figures(cable={**CABLE, "inner_diameter": "0.9 mm", "outer_diameter": "3 mm"}).rows
    assert whole.resistance is not None
    assert "thickness" in whole.reason
    assert whole.inductance == cable.inductance


def told(build: machine.Build) -> dict[str, str]:
    """Findings of a shot that speak of leads and loop, by path and grade."""
    shot = compute_shot(build, Chain(), interval=False)
    places = ("leads", "loop.inductance", "loop.resistance")
    return {f"{item.grade} {item.path}": item.message for item in shot.findings if item.path.startswith(places)}


def test_the_part_of_the_loop_that_the_leads_explain_is_a_note() -> None:
    found = told(build_of(bar=STRIPS, loop=RING))
    assert list(found) == ["note loop.inductance"]
    assert "of the 1.50 uH entered" in found["note loop.inductance"]
    assert told(build_of()) == {}  # no leads


def test_leads_with_more_than_was_entered_are_a_warning() -> None:
    found = told(build_of(bar=STRIPS, loop={**RING, "ring_radius": "500 mm"}))
    assert "more than the 1.50 uH entered" in found["warning loop.inductance"]


def test_a_shape_outside_its_formula_is_named_and_left_out() -> None:
    found = told(build_of(short={**STRIPS, "width": "20 mm"}))
    assert "width must be at least ten times the gap" in found["warning leads.short"]
    assert "note loop.inductance" not in found


@pytest.mark.parametrize(
    ("lead", "missing"),
    [
        (COAXIAL, "inner_diameter"), (COAXIAL, "outer_diameter"), (COAXIAL, "length"), (STRIPS, "width"),
        (STRIPS, "gap"), (RING, "ring_radius"), (RING, "wire_radius"), (CABLE, "line_impedance"),
        (CABLE, "velocity_factor"), (CABLE, "length"),
    ],
)  # fmt: skip
def test_each_shape_needs_its_dimensions(lead: dict[str, Any], missing: str) -> None:
    found = loaded(bad={key: value for key, value in lead.items() if key != missing})
    assert found.build is None
    finding = next(item for item in found.findings if item.grade == "error")
    assert finding.path == f"leads.bad.{missing}"
    assert missing.replace("_", " ") in finding.message
    assert finding.next_step.startswith(f"Add {missing} = ")
    # the step is a line that can be pasted
    assert tomllib.loads(finding.next_step.removeprefix("Add ").partition(" under ")[0])


@pytest.mark.parametrize(
    ("lead", "path"),
    [
        ({**COAXIAL, "inner_diameter": "30 mm"}, "leads.bad.inner_diameter"),
        ({**RING, "wire_radius": "120 mm"}, "leads.bad.wire_radius"),
    ],
)
def test_dimensions_that_do_not_fit_are_errors(lead: dict[str, Any], path: str) -> None:
    found = loaded(bad=lead)
    assert found.build is None
    assert [item.path for item in found.findings if item.grade == "error"] == [path]


def test_a_dimension_that_is_not_used_is_told() -> None:
    found = loaded(odd={**RING, "gap": "2 mm"})
    assert found.build is not None
    assert [item.path for item in found.findings if item.grade == "warning"] == ["leads.odd.gap"]


def test_distances_and_rated_life_are_checked_together() -> None:
    tree = tomllib.loads(machine.bench_text("tidewater"))
    tree["loop"].update(clearance="40 mm", creepage="30 mm")
    tree["bank"]["life_rating"] = 1e5
    del tree["bank"]["reversal_rating"]
    found = machine.load_text(tomlkit.dumps(tree), "laser.toml").findings
    assert {"loop.creepage", "bank.reversal_rating"} <= {item.path for item in found if item.grade == "warning"}


def test_figures_are_numbers_for_any_pulse() -> None:
    for volts in ("100 V", "12 kV"):
        inputs = inputs_of(build_of(bar=STRIPS, loop=RING).override({"bank.charge_voltage": volts}))
        found = leads(inputs, Chain().discharge(inputs)[1])
        assert np.isfinite([found.inductance, found.resistance, found.frequency]).all()
