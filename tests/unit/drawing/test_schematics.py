from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from unit.drawing.bench_shapes import BARE, COAXIAL, FOUR_LAMPS, SHAPES, TWO_LAMPS

from pulsewright.drawing.pieces import round_down, scale_bar
from pulsewright.drawing.scene import Line, Text
from pulsewright.drawing.section import section
from pulsewright.drawing.train import beam_profile, cavity_along, train_length


def test_lamps_and_cell_stand_in_the_foci() -> None:
    plan = section(TWO_LAMPS)
    for outline, (_, x, y) in zip(plan.outlines, plan.lamps, strict=True):
        sums = [math.hypot(u, v) + math.hypot(u - x, v - y) for u, v in outline]
        assert sums == pytest.approx([2 * 25e-3] * len(sums))
    assert plan.placed == ""


@pytest.mark.parametrize("name", SHAPES)
def test_nothing_overlaps_and_all_is_inside(name: str) -> None:
    bench = SHAPES[name]
    plan = section(bench)
    tubes = [(x, y, lamp.bore / 2 + lamp.wall_thickness) for lamp, x, y in plan.lamps]
    for x, y, radius in tubes:
        inside = [min(math.hypot(u - x, v - y) for u, v in outline) >= radius * 0.95 for outline in plan.outlines]
        assert any(inside)
    if name != "lanternroom":
        cell = bench.cell.bore / 2 + bench.cell.wall_thickness
        assert all(math.hypot(x, y) >= cell + radius - 1e-9 for x, y, radius in tubes)
    pairs = [(a, b) for i, a in enumerate(tubes) for b in tubes[:i]]
    assert all(math.hypot(a[0] - b[0], a[1] - b[1]) >= a[2] + b[2] - 1e-9 for a, b in pairs)


def test_a_coaxial_lamp_surrounds_the_cell() -> None:
    assert [(x, y) for _, x, y in section(COAXIAL).lamps] == [(0.0, 0.0)]


def test_places_chosen_by_the_drawing_are_said() -> None:
    assert "not in the build file" in section(FOUR_LAMPS).placed
    assert len(section(BARE).outlines) == 1


@pytest.mark.parametrize(("value", "below"), [(1.0, 1.0), (0.99, 0.5), (7.0, 5.0), (0.0023, 0.002), (49.9, 20.0)])
def test_round_down(value: float, below: float) -> None:
    assert round_down(value) == pytest.approx(below)


@pytest.mark.parametrize("scale", [1.0, 37.0, 812.0, 5400.0])
def test_scale_bar_tells_the_truth(scale: float) -> None:
    items = scale_bar(10, 20, scale, 100)
    bar, words = items[0], items[-1]
    assert isinstance(bar, Line)
    assert isinstance(words, Text)
    value, unit = words.words.split()
    metres = float(value) * {"m": 1.0, "mm": 1e-3}[unit]
    assert (bar.x2 - bar.x1) / scale == pytest.approx(metres)
    assert 20 <= bar.x2 - bar.x1 <= 100


def test_length_along_the_resonator_is_to_scale() -> None:
    along = cavity_along(TWO_LAMPS, 50, 300, 80, 30)
    assert along.at(0.0) == 50
    assert along.at(0.4) == 350


def test_beam_is_the_shots_outside_the_cavity() -> None:
    profile = beam_profile(TWO_LAMPS)
    assert [z for z, _ in profile] == [0.0, 0.6, 1.5, 1.9]
    assert beam_profile(replace(TWO_LAMPS, beam=())) == ((0.0, 8e-3), (1.9, 8e-3))
    assert np.isclose(train_length(BARE), 0.1)


def test_train_is_in_the_order_of_the_beam() -> None:
    lost = replace(TWO_LAMPS.optics[4], id="spare", distance=None)
    names = [optic.id for optic in replace(TWO_LAMPS, optics=(lost, *TWO_LAMPS.optics)).train()]
    assert names == ["steering", "lens", "spare"]
