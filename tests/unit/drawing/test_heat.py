from __future__ import annotations

import math
import xml.etree.ElementTree as ET
from dataclasses import replace

import pytest

from pulsewright.drawing.heat import CELL_HEIGHT, Heat, heat_scene, heat_table
from pulsewright.drawing.roles import ROLES
from pulsewright.drawing.scene import Circle, Path, Scene, Text
from pulsewright.drawing.svg import svg

MAP = Heat(
    id="rise",
    title="rise (us)",
    x_words="fill pressure (torr)",
    y_words="field (V/cm)",
    x=(10.0, 100.0, 300.0),
    y=(50.0, 200.0),
    values=((1.0, 2.0, math.nan), (3.0, 4.0, 7.0)),
    marks=(("", "◆", "✕"), ("", "", "")),
    legend="◆ late; ✕ none.",
    here=(100.0, 125.0),
)


def texts(scene: Scene) -> list[str]:
    return [item.words for item in scene.items if isinstance(item, Text)]


def shades(heat: Heat) -> list[str]:
    return [item.role.split()[1] for item in heat_scene(heat).items if isinstance(item, Path)]


def test_every_cell_says_its_value_and_its_mark() -> None:
    shown = texts(heat_scene(MAP))
    assert {"1", "◆ 2", "✕", "3", "4", "7"} <= set(shown)
    assert {"10", "100", "300", "50", "200", "fill pressure (torr)", "field (V/cm)"} <= set(shown)
    assert "none" in texts(heat_scene(replace(MAP, marks=(("", "", ""), ("", "", "")))))


def test_darker_is_more_and_nothing_is_lightest() -> None:
    assert shades(MAP) == ["shade0", "shade1", "shade0", "shade2", "shade3", "shade5"]
    assert all(role in ROLES for role in shades(MAP))


def test_values_over_decades_are_shaded_by_their_logarithm() -> None:
    wide = replace(MAP, values=((1.0, 10.0, 100.0), (1.0, 1.0, 1.0)))
    assert shades(wide)[:3] == ["shade0", "shade3", "shade5"]


@pytest.mark.parametrize("values", [((math.nan,) * 3,) * 2, ((2.0,) * 3,) * 2, ((0.0, -1.0, 5.0), (1.0, 2.0, 3.0))])
def test_awkward_values_still_draw(values: tuple[tuple[float, ...], ...]) -> None:
    drawn = svg(heat_scene(replace(MAP, values=values)))
    ET.fromstring(drawn)
    assert "nan" not in drawn


def ring(heat: Heat) -> Circle | None:
    return next((item for item in heat_scene(heat).items if isinstance(item, Circle)), None)


def test_the_ring_stands_where_the_build_stands() -> None:
    at = ring(MAP)
    assert at is not None
    low, high = (item for item in heat_scene(MAP).items if isinstance(item, Text) and item.words in ("50", "200"))
    assert at.y == pytest.approx((low.y + high.y) / 2 - 4)
    columns = {item.words: item.x for item in heat_scene(MAP).items if isinstance(item, Text) and item.role == "tick"}
    assert at.x == pytest.approx(columns["100"])
    below = ring(replace(MAP, here=(10.0, 50.0 - 0.4 * 150.0)))
    assert below is not None
    assert below.y > low.y
    assert ring(replace(MAP, here=(10.0, 50.0 - 0.6 * 150.0))) is None
    assert ring(replace(MAP, here=(1e3, 60.0))) is None
    assert ring(replace(MAP, here=None)) is None


def test_rows_rise_from_the_bottom() -> None:
    low, high = (item for item in heat_scene(MAP).items if isinstance(item, Text) and item.words in ("50", "200"))
    assert low.y - high.y == pytest.approx(CELL_HEIGHT)


def test_the_words_give_extremes_place_and_count() -> None:
    words = heat_scene(MAP).description
    assert "Lowest 1 at 10 and 50." in words
    assert "highest 7 at 300 and 200." in words
    assert "This build stands at 100 and 125." in words
    assert "2 of 6 points are marked" in words


def test_the_table_holds_every_value() -> None:
    root = ET.fromstring(heat_table(MAP))
    rows = [[cell.text for cell in row] for row in root.findall("tbody/tr")]
    assert rows == [["200", "3", "4", "7"], ["50", "1", "◆ 2", "✕ none"]]
    assert root.findtext("caption") == "rise (us)"
