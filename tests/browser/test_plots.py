"""Curves in a real Chromium: reading off, axes, export, table, and the same drawing as Python makes."""

from __future__ import annotations

import csv
import io
import re
from pathlib import Path
from typing import Any

import numpy as np
from browser.conftest import OpenPage, line_of, press
from playwright.sync_api import expect

from pulsewright.drawing.curves import envelope_plots, shot_plots
from pulsewright.drawing.layout import layout
from pulsewright.workbench import Bench


class TestReadingOff:
    def test_the_cursor_moves_by_keyboard_and_tells_in_words(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/bank")
        slider = "figure[data-plot='current'] .cursor"
        press(page, slider, "ArrowRight", 40)
        words = page.inner_text("figure[data-plot='current'] .readout")
        assert re.match(r"at [\d.]+ us: current [\d.]+ kA$", words)
        expect(page.locator(slider)).to_have_attribute("aria-valuetext", words)
        expect(page.locator("figure[data-plot='voltages'] .readout")).to_contain_text(words.split(":")[0])
        expect(page.locator("figure[data-plot='current'] .cursor-line")).to_have_count(1)

    def test_the_cursor_follows_the_pointer(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/bank")
        frame = page.locator("figure[data-plot='current'] .frame")
        frame.scroll_into_view_if_needed()
        box = frame.bounding_box()
        assert box is not None
        page.mouse.move(box["x"] + box["width"] * 0.3, box["y"] + 100)
        expect(page.locator("figure[data-plot='current'] .readout")).to_contain_text("current")
        page.mouse.move(2, 2)
        expect(page.locator("figure[data-plot='current'] .readout")).to_have_text("")

    def test_log_axis_and_whole_axis(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/bank")
        figure = page.locator("figure[data-plot='current']")
        before = line_of(page, "current")
        figure.get_by_text("log axis").click()
        expect(figure.get_by_text("log axis")).to_have_attribute("aria-pressed", "true")
        assert line_of(page, "current") != before
        assert any("10" in words for words in figure.locator("svg.scene .tick").all_text_contents())
        figure.get_by_text("log axis").click()
        figure.get_by_text("whole axis").click()
        assert {"80", "100"} & set(figure.locator("svg.scene .tick").all_text_contents())
        page.click("#part-switch text >> nth=0")
        expect(page.locator("h1")).to_contain_text("Switch")
        page.wait_for_selector("figure[data-plot='current'] path.curve")
        kept = page.locator("figure[data-plot='current']").get_by_text("whole axis")
        expect(kept).to_have_attribute("aria-pressed", "true")

    def test_the_export_holds_the_curve_data(self, open_page: OpenPage, bench: Bench) -> None:
        page = open_page("/sheet/bank")
        with page.expect_download() as waiting:
            page.locator("figure[data-plot='current']").get_by_text("CSV").click()
        text = Path(str(waiting.value.path())).read_text("utf-8")
        assert waiting.value.suggested_filename == "current.csv"
        table = list(csv.reader(io.StringIO(text)))
        assert table[0] == ["curve", "time (us)", "current (kA)", "low (5 %)", "high (95 %)"]
        current = bench.shot(interval=False).arrays["current"].values / 1e3
        assert np.allclose([float(row[2]) for row in table[1:]], current, rtol=1e-6, atol=1e-7)

    def test_the_data_table_opens_on_demand(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/bank")
        figure = page.locator("figure[data-plot='current']")
        assert figure.locator("table").count() == 0
        figure.locator("summary").click()
        expect(figure.locator("table caption")).to_have_text("Current")
        assert 20 <= figure.locator("tbody tr").count() <= 41
        assert figure.locator("thead th").all_inner_texts()[:3] == ["curve", "time (us)", "current (kA)"]


def test_the_page_draws_what_python_draws(open_page: OpenPage, bench: Bench) -> None:
    page = open_page("/sheet/bank")
    shot, saved = bench.shot(overrides={"loop.inductance": "2.5 uH"}, interval=False), bench.shot(interval=False)
    plots = [*shot_plots(shot, saved=saved), *envelope_plots(bench.envelope(points=12), now=9.2e3)]
    drawn = page.evaluate(
        """async ([plots]) => {
          const { layout } = await import("/static/layout.js");
          const typed = (v) => v && Float64Array.from(v, (x) => x === null ? NaN : x);
          return plots.map((plot) => {
            const curves = plot.curves.map((c) => ({
              ...c, x: typed(c.x), y: typed(c.y), low: typed(c.low), high: typed(c.high),
            }));
            const { items } = layout({ ...plot, curves }, 560, 260);
            return JSON.parse(JSON.stringify(items, (k, v) => v === undefined ? null : v));
          });
        }""",
        [[plot.as_dict(_finite) for plot in plots]],
    )
    assert len(plots) >= 20
    for plot, items in zip(plots, drawn, strict=True):
        ours = layout(plot, 560.0, 260.0).as_dict()["items"]
        assert len(items) == len(ours), plot.id
        for here, there in zip(ours, items, strict=True):
            _same(plot.id, here, there)


def _finite(values: np.ndarray) -> list[float | None]:
    return [float(v) if np.isfinite(v) else None for v in values]


def _same(plot: str, here: dict[str, Any], there: dict[str, Any]) -> None:
    for key, value in here.items():
        other = there.get(key, "start" if key == "anchor" else None)
        if isinstance(value, float | int):
            assert abs(value - other) < 0.02, (plot, here, there)
        elif key == "d":
            numbers = [np.array([float(n) for n in re.findall(r"-?\d+\.?\d*", d)]) for d in (value, other)]
            assert numbers[0].shape == numbers[1].shape, plot
            assert np.allclose(*numbers, atol=0.02), plot
        else:
            assert value == other, (plot, here, there)
