"""Light and dye in a real Chromium: chamber, dye cell, loop, resonator, sizing; in every look, by keyboard, stopped."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest
from app.test_web_light import fill_life, sizing
from browser.conftest import OpenPage, Served, Told, becomes, edit, listen
from browser.pictures import luminance, read_png
from browser.test_looks import LOOKS, violations, wear
from browser.test_studies import answered
from playwright.sync_api import BrowserContext, Page, expect

from pulsewright.workbench import Bench

STEPS = 400


def rested(page: Page) -> None:
    """Wait for the last answer of this draft: after it nothing on the sheet is replaced."""
    expect(page.locator("#output-band")).to_contain_text("(90 %, sampled)")


@pytest.mark.parametrize("look", LOOKS)
def test_no_accessibility_violation_in_the_chamber(
    open_page: OpenPage, context: BrowserContext, served: Served, look: str
) -> None:
    wear(context, served, look)
    page = open_page("/sheet/chamber")
    expect(page.locator("figure[data-drawing='chamber'] path.ray").first).to_be_attached()
    page.locator("figure[data-picture='pump_map'] summary").click()
    page.locator("figure[data-field='absorbed_spectrum'] summary").click()
    expect(page.locator("figure[data-field='absorbed_spectrum'] tbody tr")).to_have_count(8)
    assert violations(page) == []


@pytest.mark.parametrize("path", ["/sheet/dye", "/sheet/loop", "/sheet/resonator", "/sheet/size_dye"])
def test_no_accessibility_violation_on_the_sheets_of_light(open_page: OpenPage, path: str) -> None:
    page = open_page(path)
    if path == "/sheet/dye":
        answered(page, "dye_spectra")
        answered(page, "pulse_quality")
        page.locator("figure[data-picture='photon_flow'] summary").click()
    assert violations(page) == []


@pytest.mark.parametrize("look", LOOKS)
def test_steps_of_ink_differ_by_lightness_alone(
    open_page: OpenPage, context: BrowserContext, served: Served, look: str
) -> None:
    wear(context, served, look)
    page = open_page("/sheet/chamber")
    page.set_viewport_size({"width": 1440, "height": 2600})
    rested(page)
    key = page.locator("figure[data-picture='pump_map'] path.tone")
    expect(key).to_have_count(8)
    boxes = [one.bounding_box() for one in key.all()]
    picture = read_png(page.screenshot(full_page=True))
    for dropped in (None, 0, 1, 2):
        light = luminance(picture, dropped)
        shades = []
        for box in boxes:
            assert box is not None
            x, y = int(box["x"] + box["width"] / 2), int(box["y"] + box["height"] / 2)
            shades.append(float(light[y, x]) ** (1 / 2.2))
        steps = np.diff(shades)
        assert np.all(steps > 0) or np.all(steps < 0), (look, dropped, shades)
        assert np.abs(steps).min() > 0.025, (look, dropped, shades)


def test_values_of_a_fine_map_are_read_by_keyboard_and_pointer(open_page: OpenPage) -> None:
    page = open_page("/sheet/dye")
    rested(page)
    figure = page.locator("figure[data-field='spectral_power']")
    across, up = figure.locator("input.cursor").all()
    expect(figure.locator(".drawn svg")).to_be_visible()
    across.focus()
    across.press("ArrowRight")
    up.focus()
    up.press("ArrowRight")
    told = figure.locator(".readout")
    expect(told).to_have_text(re.compile(r"^power \S+ \S+ at [\d.]+ us, [\d.]+ nm$"))
    expect(up).to_have_attribute("aria-valuetext", re.compile("^power"))
    expect(figure.locator(".cursor-mark circle")).to_have_count(1)
    box = figure.locator(".drawn svg").bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 0.4 * box["width"], box["y"] + 0.3 * box["height"])
    expect(told).to_have_text(re.compile("^power"))
    page.mouse.move(5, 5)
    expect(told).to_have_text("")


def test_the_pump_map_moves_with_the_slider_and_its_table_stays_open(open_page: OpenPage) -> None:
    page = open_page("/sheet/chamber")
    figure = page.locator("figure[data-picture='pump_map']")
    rested(page)
    figure.locator("summary").click()
    cell = figure.locator("tbody tr >> nth=7 >> td >> nth=1")
    before = cell.text_content()
    page.fill("#charge-number", "8 kV")
    page.press("#charge-number", "Enter")
    expect(cell).not_to_have_text(before or "")
    expect(figure.locator("details")).to_have_attribute("open", "")


def test_a_chamber_not_traced_yet_answers_by_the_closed_form_first(own: Served, context: BrowserContext) -> None:
    page = context.new_page()
    quick, traced = threading.Event(), own.bench.shot

    def held(*args: Any, **more: Any) -> Any:
        if not more.get("quick"):
            assert quick.wait(60)
        return traced(*args, **more)

    own.bench.is_traced = lambda overrides=None: not overrides or quick.is_set()  # type: ignore[method-assign]
    own.bench.shot = held  # type: ignore[method-assign]
    quick.set()
    page.goto(own.address + "/sheet/chamber")
    expect(page.locator("#output-band")).to_contain_text("90 %")
    quick.clear()
    edit(page, "chamber.semi_minor", "21 mm")
    expect(page.locator("#output-band")).to_contain_text("closed form; the traced map follows")
    expect(page.locator("figure[data-picture='pump_map']")).to_contain_text("Closed form")
    quick.set()
    expect(page.locator("#output-band")).not_to_contain_text("closed form")
    expect(page.locator("figure[data-picture='pump_map']")).to_contain_text("standard error")


def test_the_band_is_sampled_when_the_draft_rests_and_what_decides_is_named(open_page: OpenPage) -> None:
    page = open_page("/sheet/shot")
    expect(page.locator("#output-band")).to_contain_text("(90 %, sampled)")
    told = page.locator("#decides")
    expect(told.locator("code")).to_have_count(3)
    expect(told).to_contain_text("shots drawn from all ranges")
    expect(page.locator("#heed-decides li")).to_have_count(3)
    page.fill("#charge-number", "9 kV")
    page.press("#charge-number", "Enter")
    expect(page.locator("#output-band")).to_contain_text("(90 %, sampled)")
    expect(told.locator("code")).to_have_count(3)


def test_a_file_that_is_not_there_is_told_at_its_entry(open_page: OpenPage) -> None:
    page = open_page("/sheet/chamber")
    page.locator("details.absent summary").click()
    edit(page, "chamber.filter_file", "nowhere.csv")
    expect(page.locator("#e-chamber-filter_file-fault")).to_contain_text('there is no file "nowhere.csv"')
    expect(page.locator("figure[data-picture='pump_map']")).to_have_attribute("data-stale", "")
    expect(page.locator("figure[data-field='absorbed_spectrum'] .plot-note")).to_contain_text("Stale")
    edit(page, "chamber.filter_file", "")
    expect(page.locator("#e-chamber-filter_file-fault")).to_be_hidden()
    expect(page.locator("figure[data-picture='pump_map'][data-stale]")).to_have_count(0)


class TestWorks:
    @pytest.fixture
    def held(self, bench: Bench) -> threading.Event:
        """Makes the fill wait between its shots until let go; sizing answers at once."""
        go = threading.Event()

        def slow(*, shots: int, overrides: Any, progress: Callable[[int, int], None]) -> Any:
            for i in range(STEPS):
                progress(i, STEPS)
                if go.wait(0.05):
                    break
            return fill_life(shots)

        bench.fill_life = slow  # type: ignore[method-assign, assignment]
        bench.size_dye = lambda **_: sizing()  # type: ignore[method-assign, assignment, attr-defined]
        return go

    def opened(self, context: BrowserContext, own: Served, told: Told, path: str) -> Page:
        page = context.new_page()
        listen(page, told, own.address)
        page.goto(own.address + path)
        return page

    def test_the_life_of_a_fill_shows_how_far_and_survives_a_reload(
        self, held: threading.Event, own: Served, context: BrowserContext, told: Told
    ) -> None:
        page = self.opened(context, own, told, "/sheet/loop")
        page.fill("#fill-shots", "250")
        page.click("[data-fill-start]")
        expect(page.locator("#fill-told")).to_have_text(re.compile(rf"^[0-9]+ of {STEPS} shots computed$"))
        page.reload()
        becomes(page, "#fill-shots", "250")
        expect(page.locator("#fill-told")).to_have_text(re.compile(rf"^[0-9]+ of {STEPS} shots computed$"))
        held.set()
        expect(page.locator("#fill-shown")).to_contain_text("When to change")
        expect(page.locator("figure[data-plot='fill_output'] path.band")).to_have_count(1)
        assert violations(page) == []
        edit(page, "loops.main.volume", "3 L")
        expect(page.locator("#fill-told")).to_have_text("of a draft before; ask for it again")
        assert told.faults == []

    def test_it_can_be_stopped_and_a_wrong_number_is_told(
        self, held: threading.Event, own: Served, context: BrowserContext, told: Told
    ) -> None:
        page = self.opened(context, own, told, "/sheet/loop")
        page.click("[data-fill-start]")
        page.click("#fill-stop")
        expect(page.locator("#fill-told")).to_have_text("stopped")
        page.fill("#fill-shots", "many")
        page.click("[data-fill-start]")
        expect(page.locator("#fill-told")).to_contain_text('"many" is no whole number')
        held.set()

    def test_the_dye_is_sized_and_the_best_laid_over_the_draft(
        self, held: threading.Event, own: Served, context: BrowserContext, told: Told
    ) -> None:
        page = self.opened(context, own, told, "/sheet/size_dye")
        page.click("[data-size_dye-start]")
        shown = page.locator("figure.map:visible")
        expect(shown).to_have_attribute("data-map", "bore_0")
        expect(shown).to_contain_text("★■ 1")
        page.select_option("#size_dye-quantity", "bore_1")
        expect(shown).to_have_attribute("data-map", "bore_1")
        assert violations(page) == []
        page.click("[data-lay] >> nth=-1")
        expect(page.locator("#draft-rows li")).to_have_count(2)
        expect(page.locator("#draft-rows")).to_contain_text("cell.bore 8 mm → 6 mm")
        assert told.faults == []
