from __future__ import annotations

import itertools
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from pulsewright.drawing.labels import fit, spread, text_width
from pulsewright.drawing.ticks import linear_ticks, log_range, log_ticks, nice_step, padded, tick_label

WIDTHS = st.floats(1e-12, 1e12)
STARTS = st.floats(-1e6, 1e6)


@given(WIDTHS, st.integers(1, 12))
def test_step_is_nice_and_not_too_fine(span: float, count: int) -> None:
    step = nice_step(span, count)
    mantissa = step / 10.0 ** math.floor(math.log10(step) + 1e-9)
    assert min(abs(mantissa - nice) for nice in (1.0, 2.0, 5.0)) < 1e-6
    assert span / step <= count * (1 + 1e-6)
    assert span / step > count / 2.6


@given(STARTS, st.floats(1e-3, 1e6), st.integers(2, 12))
def test_ticks_lie_inside_evenly(low: float, span: float, count: int) -> None:
    ticks = linear_ticks(low, low + span, count)
    assert 0 <= len(ticks) <= count + 1
    values = [value for value, _ in ticks]
    rounding = 4e-15 * abs(low) + 1e-6 * span
    assert all(low - rounding <= value <= low + span + rounding for value in values)
    gaps = [b - a for a, b in itertools.pairwise(values)]
    assert all(gap == pytest.approx(gaps[0], rel=1e-6, abs=4e-15 * abs(low)) for gap in gaps)


@pytest.mark.parametrize(
    ("value", "decimals", "text"),
    [
        (0.0, 0, "0"),
        (-0.0, 1, "0.0"),
        (0.25, 2, "0.25"),
        (1e5, 0, "10⁵"),
        (150000.0, 0, "1.5·10⁵"),
        (2e-7, 7, "2·10⁻⁷"),
    ],
)
def test_tick_label(value: float, decimals: int, text: str) -> None:
    assert tick_label(value, decimals) == text


def test_neighbouring_labels_differ() -> None:
    for low, high in ((584.2, 584.8), (0.0, 1e-5), (7000.0, 12000.0)):
        labels = [text for _, text in linear_ticks(low, high, 6)]
        assert len(labels) >= 3
        assert len(set(labels)) == len(labels)


@given(st.floats(1e-9, 1e9), st.floats(1.0, 1e12))
def test_log_axis_holds_the_data(low: float, factor: float) -> None:
    bottom, top = log_range(low, low * factor)
    assert bottom < top
    assert top >= low * factor
    assert bottom <= max(low, low * factor * 1e-9)
    assert all(bottom * (1 - 1e-6) <= value <= top * (1 + 1e-6) for value, _ in log_ticks(bottom, top, 6))


def test_log_ticks_thin_out_over_many_decades() -> None:
    assert len(log_ticks(1e-6, 1e6, 5)) <= 6
    assert [text for _, text in log_ticks(0.9, 11.0, 5)] == ["1", "2", "5", "10"]


@pytest.mark.parametrize(("low", "high"), [(0.0, 0.0), (5.0, 5.0), (math.nan, 1.0), (0.0, math.inf)])
def test_a_range_without_width_is_given_one(low: float, high: float) -> None:
    bottom, top = padded(low, high, zero=True)
    assert math.isfinite(bottom)
    assert top > bottom


@given(st.lists(st.floats(-50.0, 250.0), max_size=20), st.floats(5.0, 30.0))
def test_labels_never_cover_each_other(wanted: list[float], gap: float) -> None:
    placed = spread(wanted, gap, 0.0, 200.0)
    kept = sorted(place for place in placed if place is not None)
    assert len(placed) == len(wanted)
    assert len(kept) == min(len(wanted), int(200.0 / gap + 1e-9) + 1)
    assert all(-1e-6 <= place <= 200.0 + 1e-6 for place in kept)
    assert all(b - a >= gap - 1e-6 for a, b in itertools.pairwise(kept))


def test_labels_with_room_stay_where_they_are() -> None:
    assert spread([10.0, 100.0, 50.0], 15.0, 0.0, 200.0) == [10.0, 100.0, 50.0]


@given(st.text(min_size=0, max_size=60), st.floats(30.0, 300.0))
def test_words_are_cut_to_their_room_and_show_it(words: str, width: float) -> None:
    shown = fit(words, width)
    assert text_width(shown) <= width + 1e-9
    assert shown == words or (shown.endswith("...") and words.startswith(shown[:-3]))
