from __future__ import annotations

import itertools
from dataclasses import replace

import numpy as np
import pytest

from pulsewright.drawing.layout import layout
from pulsewright.drawing.plot import Axis, Mark, Plot, curve, describe, rows
from pulsewright.drawing.scene import Band, Circle, Item, Line, Path, Scene, Text, walk

X = np.linspace(0.0, 10.0, 21)
PULSE = curve(
    "pulse", "pulse", X, np.exp(-((X - 3) ** 2)), low=0.8 * np.exp(-((X - 3) ** 2)), high=1.3 * np.exp(-((X - 3) ** 2))
)
TAIL = curve("tail", "tail", X, 0.5 * np.exp(-X / 4), style=1)
GHOST = curve("ghost-pulse", "saved", X, 0.9 * np.exp(-((X - 3) ** 2)), role="ghost")
PLOT = Plot("pulse", "Pulse", Axis("time", "us"), Axis("power", "kW"), (PULSE, TAIL, GHOST), (Mark("x", 3.0, "peak"),))


def of(scene: Scene, kind: type[Item], role: str = "") -> list[Item]:
    return [item for item in walk(scene.items) if isinstance(item, kind) and (not role or item.role.split()[0] == role)]


def texts(scene: Scene) -> list[str]:
    return [item.words for item in walk(scene.items) if isinstance(item, Text)]


def test_axes_carry_quantity_and_unit() -> None:
    assert {"time (us)", "power (kW)"} <= set(texts(layout(PLOT)))


def test_ghost_lies_behind_and_band_under_its_line() -> None:
    order = [item.role.split()[0] for item in layout(PLOT).items if isinstance(item, Path | Band)]
    assert order == ["ghost", "band", "curve", "curve"]


def test_labels_stand_at_the_right_apart() -> None:
    labels = [item for item in layout(PLOT).items if isinstance(item, Text) and item.role.startswith("label")]
    assert [label.words for label in labels] == ["pulse", "tail", "saved"]
    heights = sorted(label.y for label in labels)
    assert min(b - a for a, b in itertools.pairwise(heights)) >= 15.0 - 1e-9
    assert len({label.x for label in labels}) == 1


def test_measured_points_are_dots_with_whiskers() -> None:
    dots = curve(
        "meter", "meter", [1.0, 2.0, np.nan], [0.2, 0.4, 0.5], role="dots", low=[0.1, 0.3, 0.4], high=[0.3, 0.5, 0.6]
    )
    scene = layout(replace(PLOT, curves=(dots,)))
    assert len(of(scene, Circle, "dot")) == 2
    assert len(of(scene, Line, "whisker")) == 2


def test_everything_stays_inside_the_drawing() -> None:
    scene = layout(PLOT, 420, 220)
    for item in walk(scene.items):
        if isinstance(item, Line):
            assert min(item.x1, item.x2) >= -1
            assert max(item.x1, item.x2) <= 421
            assert min(item.y1, item.y2) >= -1
            assert max(item.y1, item.y2) <= 221


def test_axis_end_cuts_the_curves_but_not_the_table() -> None:
    cut = replace(PLOT, x=Axis("time", "us", high=5.0))
    assert len(rows(cut)) == len(rows(PLOT))
    width = layout(PLOT).width
    path = next(item for item in layout(cut).items if isinstance(item, Path) and item.role == "curve s0")
    assert path.d.count("L") == np.count_nonzero(X <= 5.0) - 1
    assert float(path.d.split("L")[-1].split()[0]) < width


@pytest.mark.parametrize(
    "y", [np.zeros(21), np.full(21, np.nan), -np.ones(21), np.full(21, 3e-30), np.where(X > 5, np.nan, X)]
)
@pytest.mark.parametrize("log", [False, True])
def test_awkward_values_still_draw(y: np.ndarray, log: bool) -> None:
    plot = Plot("odd", "Odd", Axis("time", "us"), Axis("power", "kW", log=log), (curve("a", "a", X, y),))
    scene = layout(plot)
    words = " ".join(item.d for item in walk(scene.items) if isinstance(item, Path)) + str(scene.items)
    assert "nan" not in words.replace("nano", "")
    assert "inf" not in words


def test_upright_marks_do_not_cover_each_other() -> None:
    marks = tuple(Mark("x", at, f"a rather long mark {i}") for i, at in enumerate((4.0, 4.2, 4.4, 9.9)))
    placed = [
        item for item in layout(replace(PLOT, marks=marks)).items if isinstance(item, Text) and item.role == "mark"
    ]
    boxes = [(t.x, t.x + 6.0 * len(t.words), t.y) for t in placed]
    assert len(boxes) == 4
    clear = [a[2] != b[2] or a[1] <= b[0] or b[1] <= a[0] for i, a in enumerate(boxes) for b in boxes[:i]]
    assert all(clear)


def test_words_of_a_mark_keep_off_the_line_of_the_next() -> None:
    marks = (Mark("x", 5.0, "now", "now"), Mark("x", 5.2, "highest within limits"))
    items = layout(replace(PLOT, marks=marks)).items
    now, highest = (item for item in items if isinstance(item, Text) and item.role == "mark")
    first, second = (item.x1 for item in items if isinstance(item, Line) and item.role in ("now", "limit"))
    assert now.x + 6.0 * len(now.words) <= first < second < highest.x
    assert now.y == highest.y


def test_description_says_peak_and_end() -> None:
    words = describe(PLOT)
    assert "power (kW) against time (us)" in words
    assert "pulse: highest 1 at 3" in words
    assert "saved" not in words


def test_rows_hold_every_point_exactly() -> None:
    table = rows(PLOT)
    assert len(table) == 3 * X.size
    assert table[4] == ("pulse", X[4], PULSE.y[4], PULSE.low[4], PULSE.high[4])  # type: ignore[index]
    assert table[-1][0] == "saved (saved build)"
    assert table[-1][3:] == (None, None)


def test_lengths_must_agree() -> None:
    with pytest.raises(ValueError, match="one length"):
        curve("a", "a", [1.0, 2.0], [1.0])


def test_packing_sees_every_array() -> None:
    seen: list[int] = []
    PLOT.as_dict(lambda values: seen.append(values.size))
    assert seen == [21] * 8
