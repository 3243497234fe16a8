from __future__ import annotations

import re
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest
from unit.drawing.bench_shapes import SHAPES, TWO_LAMPS

from pulsewright.drawing.bench import BenchShape, State
from pulsewright.drawing.chamber import chamber_scene
from pulsewright.drawing.circuit import circuit_scene
from pulsewright.drawing.plans import loop_scene, target_scene
from pulsewright.drawing.roles import ROLES, STYLES
from pulsewright.drawing.scene import Circle, Group, Scene, Text, moved, number, polyline, rectangle, walk
from pulsewright.drawing.strip import strip_scene
from pulsewright.drawing.svg import svg, table_html
from pulsewright.drawing.train import resonator_scene, train_scene

MAKERS = (chamber_scene, circuit_scene, loop_scene, target_scene, resonator_scene, train_scene)


def strip(bench: BenchShape) -> Scene:
    return strip_scene(bench, {"lamps": State(grade="near", word="near a limit")}, lambda sheet: f"/sheet/{sheet}")


def scenes(bench: BenchShape) -> list[Scene]:
    return [strip(bench), *(make(bench) for make in MAKERS)]


@pytest.mark.parametrize("name", SHAPES)
def test_every_drawing_of_every_bench_is_sound(name: str) -> None:
    for scene in scenes(SHAPES[name]):
        text = svg(scene, standalone=True)
        root = ET.fromstring(text)
        assert root.get("role") == ("group" if scene.id == "strip" else "img")
        named = root.get("aria-labelledby", "").split()
        ids = {element.get("id") for element in root.iter()}
        assert set(named) <= ids
        assert "style=" not in text
        assert not re.search(r'[" MLha-]-?(nan|inf)[" LZ]', text)
        assert text == svg(scene, standalone=True)


def test_no_text_is_markup() -> None:
    text = svg(target_scene(TWO_LAMPS))
    assert "water &lt;at&gt; 1.90 m" in text
    assert "<at>" not in text


def test_every_role_has_ink() -> None:
    roles = {
        word
        for bench in SHAPES.values()
        for scene in scenes(bench)
        for item in walk(scene.items)
        for word in item.role.split()
    }
    structural = {"part", "feed-part", "selected", "beam", "state", "error", "over", "near", "warning", "sound", "open"}
    assert roles - set(ROLES) - set(STYLES) <= structural


def test_a_drawing_must_say_what_it_shows() -> None:
    with pytest.raises(ValueError, match="must not be empty"):
        Scene("a", 1, 1, "", "words", ())


def test_unknown_things_are_said_to_be_unknown() -> None:
    text = svg(target_scene(SHAPES["millpond"]))
    assert "not known" in text


class TestStrip:
    def test_every_part_is_a_link_to_its_sheet(self) -> None:
        links = [item.href for item in walk(strip(TWO_LAMPS).items) if isinstance(item, Group) and item.href]
        assert links[:8] == [
            f"/sheet/{name}" for name in ("bank", "switch", "lamps", "chamber", "dye", "resonator", "train", "target")
        ]
        assert set(links[8:]) == {"/sheet/bank", "/sheet/chamber", "/sheet/loop", "/sheet/dye", "/sheet/room"}

    def test_targets_are_big_and_apart(self) -> None:
        hits = [item.d for item in walk(strip(TWO_LAMPS).items) if item.role == "hit"]  # type: ignore[union-attr]
        boxes = []
        for d in hits:
            x0, y = (float(part) for part in re.match(r"M(\S+) (\S+?)h", d).groups())  # type: ignore[union-attr]
            w = float(re.search(r"h([\d.]+)", d).group(1)) + 12  # type: ignore[union-attr]
            h = float(re.search(r"v([\d.]+)", d).group(1)) + 12  # type: ignore[union-attr]
            boxes.append((x0 - 6, y, x0 - 6 + w, y + h))
        assert len(boxes) == 15
        assert min(min(b[2] - b[0], b[3] - b[1]) for b in boxes) >= 44
        clear = [
            a[2] <= b[0] or b[2] <= a[0] or a[3] <= b[1] or b[3] <= a[1] for i, a in enumerate(boxes) for b in boxes[:i]
        ]
        assert all(clear)

    def test_state_is_a_mark_and_a_word(self) -> None:
        words = [
            item.words
            for item in walk(strip(TWO_LAMPS).items)
            if isinstance(item, Text) and item.role.startswith("state")
        ]
        assert len(words) == 8
        assert words[2] == "◆ near a limit"
        assert words[0] == "○ not judged"

    def test_tubes_are_to_one_scale(self) -> None:
        radii = [
            item.radius
            for item in walk(strip(TWO_LAMPS).items)
            if isinstance(item, Circle) and item.role in ("plasma", "dye")
        ]
        cell, *lamps = sorted(radii, reverse=True)
        assert lamps == pytest.approx([cell * 7 / 8] * 2)


def test_moving_a_path_moves_absolute_points_only() -> None:
    from pulsewright.drawing.scene import Path

    arc = Path(rectangle(0, 0, 10, 10, 2))
    there = moved(arc, 5, 7)
    assert there.d.startswith("M7 7h6a2 2")  # type: ignore[union-attr]
    assert moved(Path(polyline([(0, 0), (1, 2)])), 1, 1).d == "M1 1L2 3"  # type: ignore[union-attr]


@pytest.mark.parametrize(("value", "text"), [(0.0, "0"), (-0.001, "0"), (1.5, "1.5"), (100.0, "100"), (1.005, "1")])
def test_number(value: float, text: str) -> None:
    assert number(value) == text


def test_table_has_heads_and_escapes() -> None:
    from unit.drawing.test_plot import PLOT

    html = table_html(replace(PLOT, title="a < b"), most=5)
    root = ET.fromstring(html)
    assert root.findtext("caption") == "a < b"
    assert len(root.findall("tbody/tr")) <= 3 * 5
    assert len(root.findall("thead/tr/th")) == 5
