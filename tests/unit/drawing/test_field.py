"""Fine maps, flows and the pump map: shares, widths, steps of ink, words and tables."""

from __future__ import annotations

import re

import numpy as np
import pytest

from pulsewright.drawing.curves import across_words
from pulsewright.drawing.field import Field, edges_of, field_dict, field_scene, field_table, field_words, frame_of
from pulsewright.drawing.fields import coarse
from pulsewright.drawing.flow import Branch, Flow, flow_scene, flow_table, leaves
from pulsewright.drawing.photons import photon_flow
from pulsewright.drawing.plot import Axis, Mark, curve
from pulsewright.drawing.pump_map import PumpMap, pump_map_scene, pump_map_table
from pulsewright.drawing.scene import Path, Text, walk
from pulsewright.drawing.svg import svg
from pulsewright.drawing.tones import TONES, tones_of
from pulsewright.records import Array

VALUES = np.arange(12.0).reshape(3, 4)


def plan(**more: object) -> Field:
    fields: dict[str, object] = {
        "id": "test",
        "title": "A map",
        "words": "power",
        "unit": "W",
        "x": Axis("time", "us"),
        "y": Axis("wavelength", "nm"),
        "x_edges": np.array([0.0, 1.0, 2.0, 3.0, 4.0]),
        "y_edges": np.array([580.0, 590.0, 600.0, 610.0]),
        "values": VALUES,
    }
    return Field(**{**fields, **more})  # type: ignore[arg-type]


def areas(scene: object) -> dict[str, float]:
    """Inked area of each step, read off the paths."""
    out: dict[str, float] = {}
    for item in walk(scene.items):  # type: ignore[attr-defined]
        if isinstance(item, Path) and item.role.startswith("tone "):
            boxes = re.findall(r"h([\d.]+)v([\d.]+)", item.d)
            out[item.role] = out.get(item.role, 0.0) + sum(float(w) * float(h) for w, h in boxes)
    return out


def test_every_cell_is_inked_in_its_step() -> None:
    map_only, place = plan(), frame_of(plan(), 620)
    inked = areas(field_scene(map_only))
    cell = (place.xs.end - place.xs.start) / 4 * (place.ys.start - place.ys.end) / 3
    steps = tones_of(VALUES).of(VALUES)
    for step in range(1, TONES):
        count = int((steps == step).sum())
        assert inked.get(f"tone tone{step}", 0.0) == pytest.approx(cell * count, rel=2e-3), step


def test_cells_without_a_value_have_no_ink() -> None:
    empty = plan(values=np.full((3, 4), np.nan))
    assert sum(areas(field_scene(empty)).values()) == 0.0
    assert "not known" in field_table(empty)


@pytest.mark.parametrize(
    "values",
    [np.zeros((2, 2)), -VALUES, np.full((2, 2), np.nan), np.array([[5.0, 5.0]]), np.array([[-3.0, 4.0]])],
)
def test_steps_rise_and_reach_from_least_to_most(values: np.ndarray) -> None:
    tones = tones_of(values)
    bounds = np.array([tones.low, *tones.bounds, tones.high])
    assert bounds.size == TONES + 1
    assert (np.diff(bounds) > 0).all()
    assert bounds[0] <= min(np.nanmin(values, initial=0.0), 0.0)
    assert set(np.unique(tones.of(values))) <= set(range(-1, TONES))


def test_words_marks_and_table_of_a_map() -> None:
    marked = plan(marks=(Mark("x", 2.0, "spoilt", "limit"), Mark("y", 589.0, "centre", "place")), note="Stale.")
    words = field_words(marked)
    assert "Highest 11 at 3.5 and 605." in words
    assert "spoilt at 2." in words
    assert words.endswith("Stale.")
    table = field_table(plan())
    assert table.count("<tr>") == 4
    assert '<th scope="row">605</th><td>8</td><td>9</td><td>10</td><td>11</td>' in table
    texts = [item.words for item in walk(field_scene(marked).items) if isinstance(item, Text)]
    assert {"spoilt", "centre", "power (W)", "time (us)", "wavelength (nm)"} <= set(texts)


def test_curves_below_share_the_axis_of_the_map() -> None:
    x = np.linspace(0.0, 4.0, 41)
    with_pulse = plan(below=(curve("pulse", "output", x, np.sin(x) ** 2),), below_axis=Axis("output", "kW"))
    place = frame_of(with_pulse, 620)
    assert place.below is not None
    assert place.below.end > place.ys.start
    scene = field_scene(with_pulse)
    line = next(item for item in walk(scene.items) if isinstance(item, Path) and item.role == "curve s0")
    xs = [float(one.split()[0]) for one in re.split("[ML]", line.d)[1:]]
    assert xs[0] == pytest.approx(place.xs.start, abs=0.01)
    assert xs[-1] == pytest.approx(place.xs.end, abs=0.01)
    assert svg(scene) == svg(field_scene(with_pulse))


def test_a_map_goes_over_the_wire_with_its_frame() -> None:
    sent = field_dict(plan(), "<svg/>", 620, lambda values: values.ravel().tolist())
    left, right, bottom, top = sent["frame"]
    assert 0 < left < right < 620
    assert bottom > top
    assert sent["values"] == VALUES.ravel().tolist()
    assert len(sent["x_edges"]) == 5


def test_coarse_keeps_what_is_under_the_curve() -> None:
    edges = np.linspace(0.0, 10.0, 101)
    values = np.random.default_rng(1).random((3, 100))
    few, less = coarse(edges, values, 30)
    assert less.shape[1] <= 30
    assert (few[0], few[-1]) == (0.0, 10.0)
    assert (less * np.diff(few)).sum(axis=1) == pytest.approx((values * np.diff(edges)).sum(axis=1))
    same = coarse(edges, values, 100)
    assert same[1] is values


def test_edges_lie_between_places() -> None:
    assert edges_of(np.array([1.0, 2.0, 4.0])).tolist() == [0.5, 1.5, 3.0, 5.0]
    assert edges_of(np.array([1.0, 2.0]), low=0.0, high=9.0).tolist() == [0.0, 1.5, 9.0]


BUDGET = {
    "absorbed": 1e20,
    "fluorescence": 6e19,
    "internal conversion": 1e15,
    "crossing to triplets": 1e18,
    "oxygen quenching": 5e18,
    "stimulated emission": 3.6e19,
    "ground re-absorption": 2e18,
    "excited-state absorption": 7e18,
    "triplet absorption": 8e18,
    "seed": 1e14,
    "output": 1.7e19,
    "cavity loss": 2e18,
    "stored": 0.0,
}


class TestFlow:
    def test_shares_of_the_ends_add_up_to_what_came_in(self) -> None:
        flow = photon_flow(BUDGET)
        assert flow is not None
        ends = sum(one.share for one in leaves(flow.branches))
        assert ends == pytest.approx(sum(one.share for one in flow.sources), rel=2e-5)

    def test_widths_are_shares(self) -> None:
        flow = Flow("f", "A flow", (Branch("in", 1.0),), (Branch("a", 0.75), Branch("b", 0.25)))
        bands = [item.d for item in walk(flow_scene(flow).items) if isinstance(item, Path) and "C" in item.d]

        def thick(d: str) -> float:
            numbers = [float(one) for one in re.findall(r"[\d.]+", d)]
            return numbers[9] - numbers[7]

        assert thick(bands[0]) / thick(bands[1]) == pytest.approx(3.0, rel=1e-3)

    def test_every_end_is_named_with_its_per_cent_and_only_the_laser_is_coloured(self) -> None:
        flow = photon_flow({**BUDGET, "amplified spontaneous emission": 1e18, "parasitic": 0.0})
        assert flow is not None
        texts = [item.words for item in walk(flow_scene(flow).items) if isinstance(item, Text)]
        assert "laser 17 %" in texts
        assert "amplified spontaneous emission 1 %" in texts
        assert "heat in the dye below 0.01 %" in texts
        assert not any("parasitic" in words for words in texts)
        coloured = [item for item in walk(flow_scene(flow).items) if isinstance(item, Path) and "beam" in item.role]
        assert len(coloured) == 1
        assert flow_table(flow).count("<tr>") == 1 + 2 + 1 + len(list(leaves(flow.branches)))

    def test_names_never_lie_over_one_another(self) -> None:
        flow = photon_flow({**BUDGET, **{f"channel {i}": 1e14 for i in range(8)}})
        assert flow is not None
        scene = flow_scene(flow)
        left = min(
            item.x
            for item in scene.items
            if isinstance(item, Text) and item.anchor == "start" and "laser" in item.words
        )
        ys = sorted(item.y for item in scene.items if isinstance(item, Text) and item.x == left)
        assert min(np.diff(ys)) >= 15
        assert ys[-1] < scene.height

    @pytest.mark.parametrize("budget", [{}, {"absorbed": 0.0}, {"absorbed": float("nan")}])
    def test_nothing_absorbed_is_no_flow(self, budget: dict[str, float]) -> None:
        assert photon_flow(budget) is None


class TestPumpMap:
    def test_values_are_written_and_steps_follow_them(self) -> None:
        plan = PumpMap([1.0, 1.5, 2.0], [1.0, 2.0, 4.0], [0.1, 0.2, 0.4], None, "Ray tracing; standard error 0.4 %")
        scene = pump_map_scene(plan)
        texts = [item.words for item in walk(scene.items) if isinstance(item, Text)]
        assert {"axis  1", "shell 2  2", "wall  4"} <= set(texts)
        assert "standard error 0.4 %" in scene.description
        assert pump_map_table(plan).count("<tr>") == 4
        assert plan.evenness == pytest.approx(0.25)

    def test_a_slab_is_drawn_in_layers(self) -> None:
        plan = PumpMap([1.0, 2.0], [1.0, 2.0], [0.1, 0.2], 20.0, "Closed form")
        texts = [item.words for item in walk(pump_map_scene(plan).items) if isinstance(item, Text)]
        assert "layer 2  2" in texts
        assert "from the first face (mm)" in pump_map_table(plan)


def test_layers_of_a_slab_are_told_from_shells() -> None:
    def arrays(edges: np.ndarray) -> dict[str, Array]:
        return {"shell_radius": Array(edges, "m", ("shell",))}

    assert across_words(arrays(np.linspace(1e-3, 6e-3, 6))) == "from the first face"
    assert across_words(arrays(4e-3 * np.sqrt(np.arange(1, 9) / 8))) == "radius"
