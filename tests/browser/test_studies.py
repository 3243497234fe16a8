"""Studies and the take-off map in a real Chromium: following the draft, stopping, reloading, printing."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable, Mapping

import numpy as np
import pytest
from browser.conftest import OpenPage, Served, Told, edit, line_of, listen
from browser.test_looks import violations
from playwright.sync_api import BrowserContext, Page, expect

from pulsewright.studies.take_off import Axis, TakeOffMap
from pulsewright.workbench import Bench

STEPS = 400


def answered(page: Page, study: str) -> None:
    """Wait until a study has said something, of this draft."""
    place = page.locator(f"section[data-study='{study}']")
    expect(place).to_have_attribute("data-shown", "")
    expect(place.locator(".study-note")).to_have_text("")


def test_charge_hold_and_dump_follow_the_draft(open_page: OpenPage) -> None:
    page = open_page("/sheet/bank")
    answered(page, "charge")
    table = page.locator("table.events")
    expect(table).to_contain_text("9.50 kV")
    expect(page.locator("figure[data-plot='charge_dump'] path.curve")).to_have_count(1)
    before = line_of(page, "charge_up")
    edit(page, "charger.current", "30 mA")
    expect(page.locator("figure[data-plot='current'] path.ghost")).to_have_count(1)
    answered(page, "charge")
    expect(table).to_contain_text(re.compile(r"1\.2[0-9] s9\.50 kV"))
    assert line_of(page, "charge_up") != before


def test_a_draft_that_is_refused_says_so_where_the_study_stands(open_page: OpenPage) -> None:
    page = open_page("/sheet/switch")
    answered(page, "triggers")
    expect(page.locator("table.triggers tr.chosen th")).to_contain_text("triggered spark gap")
    edit(page, "switch.resistance", "5 kV")
    expect(page.locator("section[data-study='triggers']")).to_contain_text("is a voltage")
    edit(page, "switch.resistance", "10 mohm")
    expect(page.locator("table.triggers tr.chosen th")).to_contain_text("triggered spark gap")


def test_the_lamps_law_shows_where_this_shot_stands(open_page: OpenPage) -> None:
    page = open_page("/sheet/lamps")
    answered(page, "lamp_law")
    plot = page.locator("figure[data-plot='lamp_law_0']")
    expect(plot.locator("path.curve")).to_have_count(4)
    expect(plot.locator(".mark", has_text="this shot")).to_have_count(1)
    expect(page.locator("figure[data-plot='lamp_law_1']")).to_be_hidden()


def test_every_list_is_open_on_paper(open_page: OpenPage) -> None:
    page = open_page("/sheet/bank")
    answered(page, "charge")
    lists = page.locator("details.list")
    many = lists.count()
    assert many > 8
    page.evaluate("dispatchEvent(new Event('beforeprint'))")
    expect(page.locator("details.list[open]")).to_have_count(many)
    page.emulate_media(media="print")
    expect(page.locator("details.list .ticks li").first).to_be_visible()
    page.evaluate("dispatchEvent(new Event('afterprint'))")
    expect(page.locator("details.list[open]")).to_have_count(0)


def test_a_bank_is_sized_from_a_wish_and_a_reload_finds_it(open_page: OpenPage) -> None:
    page = open_page("/sheet/size")
    page.fill("#w-bores", "7 mm")
    page.fill("#w-arc_lengths", "150 mm")
    page.click("#size-form button")
    expect(page.locator(".candidate")).to_have_count(6)
    assert violations(page) == []
    page.reload()
    expect(page.locator("#w-bores")).to_have_value("7 mm")
    expect(page.locator(".candidate")).to_have_count(6)
    page.fill("#w-energy", "5 kV")
    page.click("#size-form button")
    expect(page.locator("#size-told")).to_contain_text("energy: 5 kV is a voltage")


class TestMap:
    @pytest.fixture
    def held(self, bench: Bench) -> threading.Event:
        """Makes the map wait between its points until let go."""
        go = threading.Event()

        def slow(second: str, *, overrides: Mapping[str, str], progress: Callable[[int, int], None]) -> TakeOffMap:
            for i in range(STEPS):
                progress(i, STEPS)
                if go.wait(0.05):
                    break
            return _map(second)

        bench.take_off = slow  # type: ignore[method-assign, assignment]
        return go

    def test_it_is_asked_for_shows_how_far_and_survives_a_reload(
        self, held: threading.Event, own: Served, context: BrowserContext, told: Told
    ) -> None:
        page = context.new_page()
        listen(page, told, own.address)
        page.goto(own.address + "/sheet/lamps")
        expect(page.locator("#map-told")).to_have_text("")
        page.click("[data-map-start='take-off']")
        expect(page.locator("#map-told")).to_have_text(re.compile(rf"^[0-9]+ of {STEPS} points$"))
        page.reload()
        expect(page.locator("#map-told")).to_have_text(re.compile(rf"^[0-9]+ of {STEPS} points$"))
        held.set()
        expect(page.locator("figure.map:visible")).to_have_count(1)
        expect(page.locator("figure.map:visible")).to_have_attribute("data-map", "filling_time")
        page.reload()
        expect(page.locator("figure.map:visible")).to_have_count(1)
        assert told.faults == []

    def test_it_can_be_stopped(self, held: threading.Event, own: Served, context: BrowserContext) -> None:
        page = context.new_page()
        page.goto(own.address + "/sheet/lamps")
        page.click("[data-map-start='take-off by bore']")
        page.click("#map-stop")
        expect(page.locator("#map-told")).to_have_text("stopped")
        expect(page.locator("#map-stop")).to_be_hidden()
        expect(page.locator("figure.map")).to_have_count(0)

    def test_quantity_table_and_an_old_map(self, held: threading.Event, own: Served, context: BrowserContext) -> None:
        held.set()
        page = context.new_page()
        page.goto(own.address + "/sheet/lamps")
        page.click("[data-map-start='take-off']")
        page.select_option("#map-quantity", "law_fraction")
        shown = page.locator("figure.map:visible")
        expect(shown).to_have_attribute("data-map", "law_fraction")
        shown.locator("summary").click()
        expect(shown.locator("tbody tr")).to_have_count(2)
        assert violations(page) == []
        edit(page, "lamps.east.bore", "8 mm")
        expect(page.locator("#map-told")).to_have_text("of a draft before; ask for it again")
        page.click("[data-map-start='take-off']")
        expect(page.locator("#map-told")).to_have_text("")
        expect(page.locator("figure.map:visible")).to_have_attribute("data-map", "law_fraction")


def _map(second: str) -> TakeOffMap:
    """A small map in the shape that the study gives."""
    lamp_field = second == "lamp_field"
    return TakeOffMap(
        bench="tidewater",
        x=Axis("fill_pressure", "Pa", np.array([20.0, 100.0, 400.0]) * 133.322368),
        y=Axis("lamp_field" if lamp_field else "bore", "V/m" if lamp_field else "m", np.array([1.0, 2.0])),
        values={
            "filling_time": np.array([[2e-6, 4e-6, np.nan], [1e-6, 2e-6, 8e-6]]),
            "law_fraction": np.array([[0.6, 0.3, 0.1], [0.9, 0.8, 0.5]]),
        },
        outcome=np.array([["takes off", "hardly takes off", "does not"], ["takes off"] * 3]),
        here=(100.0 * 133.322368, 1.5),
        findings=(),
    )
