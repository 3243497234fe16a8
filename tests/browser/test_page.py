"""The page in a real Chromium: slider, strip, draft, undo, writing, links, long work."""

from __future__ import annotations

import csv
import io
import re
import threading
import time
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from browser.conftest import OpenPage, Served, Told, becomes, computed, line_of, listen, until
from playwright.sync_api import BrowserContext, Page, expect

from pulsewright.drawing.curves import envelope_plots, shot_plots
from pulsewright.drawing.layout import layout
from pulsewright.workbench import Bench

SETTLE = 15_000


def press(page: Page, selector: str, key: str, times: int = 1) -> None:
    page.focus(selector)
    for _ in range(times):
        page.keyboard.press(key)


def edit(page: Page, path: str, text: str) -> None:
    field = f"#e-{path.replace('.', '-')}"
    page.fill(field, text)
    page.press(field, "Enter")


def outputs(page: Page) -> str:
    return page.inner_text("#output")


def test_it_loads_whole_and_asks_nobody_outside(open_page: OpenPage, told: Told) -> None:
    page = open_page("/")
    assert page.url.endswith("/sheet/shot")
    assert page.title() == "One shot: tidewater"
    assert re.fullmatch(r"[\d.]+ m?J", outputs(page))
    expect(page.locator("#output-band")).to_contain_text("90 %", timeout=SETTLE)
    assert "optics." in page.inner_text("#stop")
    assert "lases from" in page.inner_text("#stop-detail")
    assert page.inner_text("#energy-percent") == "63 %"
    assert page.inner_text("#voltage-percent") == "79 %"
    assert page.locator("#strip a").count() == 15
    for plot in ("current", "radiated_power", "output_power", "output_spectrum"):
        assert len(line_of(page, plot)) > 200
    assert page.locator("figure path.ghost").count() == 0
    assert any(request.startswith("POST /shot") for request in told.asked)


def test_the_charge_slider_moves_everything(open_page: OpenPage) -> None:
    page = open_page("/sheet/lamps")
    before = outputs(page), page.inner_text("#stored"), line_of(page, "radiated_power"), page.inner_text("#heed-rows")
    press(page, "#charge", "ArrowLeft", 10)
    expect(page.locator("#stored")).to_have_text("162 J", timeout=SETTLE)
    assert page.input_value("#charge-number") == "9.00 kV" or page.input_value("#charge-number") == "9 kV"
    until(page, "was => document.getElementById('heed-rows').innerText !== was", before[3])
    assert outputs(page) != before[0]
    assert line_of(page, "radiated_power") != before[2]
    assert page.get_attribute("#charge", "aria-valuetext") == "9.00 kV"
    assert page.inner_text("#energy-percent") == "56 %"
    assert "set=bank.charge_voltage" in page.url


def test_the_number_beside_the_slider_takes_text(open_page: OpenPage) -> None:
    page = open_page()
    page.fill("#charge-number", "8.7")
    page.press("#charge-number", "Enter")
    expect(page.locator("#stored")).to_have_text("151 J", timeout=SETTLE)
    page.fill("#charge-number", "8700 A")
    page.press("#charge-number", "Enter")
    expect(page.locator("#output")).to_have_text("not computed", timeout=SETTLE)
    assert "is a current" in page.inner_text("#output-band")
    assert page.inner_text("#stored") == "151 J"


def test_below_threshold_the_beam_is_gone_and_it_says_why(open_page: OpenPage) -> None:
    page = open_page("/sheet/resonator")
    assert page.is_visible("#strip-beam path")
    page.fill("#charge-number", "4 kV")
    page.press("#charge-number", "Enter")
    expect(page.locator("#output")).to_contain_text("none", timeout=SETTLE)
    assert page.is_hidden("#strip-beam path >> nth=0")
    assert len(page.inner_text("#output-band")) > 20


def test_the_beam_has_the_colour_of_the_wavelength(open_page: OpenPage) -> None:
    page = open_page("/sheet/resonator")
    red, green, blue = page.evaluate(
        "getComputedStyle(document.querySelector('#strip-beam path')).fill.match(/[0-9]+/g).map(Number)"
    )
    assert red == 255
    assert 100 < green < 210
    assert blue == 0


class TestStrip:
    def test_parts_are_reached_and_chosen_by_keyboard(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/shot")
        page.focus("#part-bank")
        for name in ("switch", "lamps", "chamber", "dye"):
            page.keyboard.press("Tab")
            assert page.evaluate("document.activeElement.id") == f"part-{name}"
        page.keyboard.press("Enter")
        expect(page.locator("h1")).to_contain_text("Dye cell", timeout=SETTLE)
        assert page.evaluate("document.activeElement.id") == "sheet"
        assert page.url.endswith("/sheet/dye")
        assert page.title() == "Dye cell: tidewater"
        assert "selected" in (page.get_attribute("#part-dye", "class") or "")
        page.wait_for_selector("figure[data-plot='inversion'] path.curve")

    def test_every_part_opens_its_sheet_without_a_new_page(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/shot")
        page.evaluate("window.stays = true")
        for part, title in (("feed-pump", "Dye loop"), ("feed-room", "Room"), ("part-train", "Beam train")):
            page.click(f"#{part} text >> nth=0")
            expect(page.locator("h1")).to_contain_text(title, timeout=SETTLE)
        assert page.evaluate("window.stays")

    def test_back_and_forward_keep_the_draft(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/dye")
        edit(page, "dye.concentration", "8e-5 mol/L")
        page.click("#part-bank text >> nth=0")
        expect(page.locator("h1")).to_contain_text("Bank", timeout=SETTLE)
        assert "dye.concentration" in page.url
        page.go_back()
        expect(page.locator("h1")).to_contain_text("Dye cell", timeout=SETTLE)
        becomes(page, "#e-dye-concentration", "8e-5 mol/L")

    def test_names_say_part_and_state(self, open_page: OpenPage) -> None:
        page = open_page()
        states = page.locator("#strip .state").all_text_contents()
        assert len(states) == 8
        assert all(re.match(r"[●◆■▲○✕] [a-z ]+$", words) for words in states)


class TestDraft:
    def test_an_edit_puts_the_saved_curves_behind_as_ghosts(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/bank")
        saved = line_of(page, "current")
        edit(page, "loop.inductance", "2.5 uH")
        page.wait_for_selector("figure[data-plot='current'] path.ghost")
        assert line_of(page, "current") != saved
        assert "loop.inductance 1.5 uH → 2.5 uH" in page.inner_text("#draft-rows")
        assert page.is_visible("li[data-path='loop.inductance'] .was")
        page.click("li[data-path='loop.inductance'] .put-back")
        until(page, "!document.querySelector('figure path.ghost')")
        assert line_of(page, "current") == saved
        becomes(page, "#e-loop-inductance", "1.5 uH")
        assert "set=" not in page.url

    def test_undo_goes_back_step_by_step(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/bank")
        edit(page, "loop.inductance", "2.5 uH")
        edit(page, "bank.capacitance", "5 uF")
        page.wait_for_timeout(800)
        edit(page, "bank.capacitance", "6 uF")
        press(page, "#charge", "ArrowLeft")
        page.wait_for_timeout(100)
        wanted = [
            ("9.5 kV", "6 uF", "2.5 uH"),
            ("9.5 kV", "5 uF", "2.5 uH"),
            ("9.5 kV", "4 uF", "2.5 uH"),
            ("9.5 kV", "4 uF", "1.5 uH"),
        ]
        fields = ("#e-bank-charge_voltage", "#e-bank-capacitance", "#e-loop-inductance")
        for i, texts in enumerate(wanted):
            if i % 2:
                page.focus("#sheet")
                page.keyboard.press("Control+z")
            else:
                page.click("#undo")
            assert tuple(page.input_value(one) for one in fields) == texts
        assert page.is_disabled("#undo")
        assert "set=" not in page.url

    def test_undo_survives_a_reload(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/bank")
        edit(page, "loop.inductance", "2.5 uH")
        page.reload()
        computed(page)
        becomes(page, "#e-loop-inductance", "2.5 uH")
        page.click("#undo")
        becomes(page, "#e-loop-inductance", "1.5 uH")

    def test_a_fault_is_told_at_the_entry_and_the_curves_say_they_are_old(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/bank")
        shown = line_of(page, "current")
        edit(page, "bank.capacitance", "5 kV")
        expect(page.locator("#e-bank-capacitance-fault")).to_contain_text("is a voltage", timeout=SETTLE)
        becomes(page, "#e-bank-capacitance", "true", "aria-invalid")
        assert page.inner_text("#output") == "not computed"
        assert "Stale" in page.inner_text("figure[data-plot='current'] figcaption")
        assert line_of(page, "current") == shown
        edit(page, "bank.capacitance", "5 uF")
        until(page, "!document.querySelector('[data-stale]')")
        assert page.is_hidden("#e-bank-capacitance-fault")
        assert page.get_attribute("#e-bank-capacitance", "aria-invalid") is None

    def test_a_choice_that_is_not_computed_is_refused_by_name(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/switch")
        page.select_option("#e-trigger-method", "simmer")
        expect(page.locator("#stale-words")).to_contain_text("simmer", timeout=SETTLE)
        expect(page.locator("#stop")).to_have_text("not known", timeout=SETTLE)

    def test_any_entry_can_be_a_slider(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/dye")
        page.click("li[data-path='dye.concentration'] .pin-it")
        assert "pin=dye.concentration" in page.url
        press(page, "#pin-dye-concentration", "ArrowRight", 4)
        page.wait_for_selector("figure[data-plot='inversion'] path.ghost")
        text = page.input_value("#e-dye-concentration")
        assert text == page.inner_text(".pin output")
        assert text.endswith(" mol/L")
        assert float(text.split()[0]) > 6e-5
        page.reload()
        computed(page)
        assert page.inner_text(".pin output") == text
        page.click(".unpin")
        assert page.locator(".pin").count() == 0
        assert "pin=" not in page.url

    def test_drawings_and_strip_follow_the_draft(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/resonator")
        edit(page, "resonator.length", "600 mm")
        expect(page.locator("figure[data-drawing='resonator']")).to_contain_text(
            "600 mm mirror to mirror", timeout=SETTLE
        )

    def test_a_link_reproduces_view_draft_and_pins(self, open_page: OpenPage, context: BrowserContext) -> None:
        page = open_page("/sheet/dye")
        edit(page, "dye.concentration", "8e-5 mol/L")
        page.click("li[data-path='dye.concentration'] .pin-it")
        page.wait_for_selector("figure path.ghost")
        computed(page)
        other = open_page(page.url.split("/", 3)[3].join(["/", ""]))
        other.wait_for_selector("figure path.ghost")
        becomes(other, "#e-dye-concentration", "8e-5 mol/L")
        assert other.locator(".pin").count() == 1
        assert line_of(other, "inversion") == line_of(page, "inversion")


class TestWriting:
    @pytest.fixture
    def served(self, own: Served) -> Served:
        return own

    def test_the_draft_becomes_the_build(self, open_page: OpenPage, served: Served) -> None:
        page = open_page("/sheet/dye")
        remarks = served.file.read_text("utf-8").count("#")
        edit(page, "dye.concentration", "8e-5 mol/L")
        page.wait_for_selector("figure path.ghost")
        page.click("#write")
        expect(page.locator("#notice-written")).to_contain_text("dye.concentration", timeout=SETTLE)
        computed(page)
        text = served.file.read_text("utf-8")
        assert '"8e-5 mol/L"' in text
        assert text.count("#") == remarks
        assert "set=" not in page.url
        becomes(page, "li[data-path='dye.concentration']", "8e-5 mol/L", "data-saved")
        assert page.locator("figure path.ghost").count() == 0

    def test_the_second_of_two_tabs_is_told_and_keeps_its_draft(self, open_page: OpenPage, served: Served) -> None:
        first, second = open_page("/sheet/dye"), open_page("/sheet/dye")
        edit(second, "cell.bore", "9 mm")
        second.wait_for_selector("figure path.ghost")
        edit(first, "dye.concentration", "8e-5 mol/L")
        first.wait_for_selector("figure path.ghost")
        first.click("#write")
        first.wait_for_selector("#notice-written")
        written = served.file.read_bytes()
        second.click("#write")
        expect(second.locator("#notice-conflict")).to_contain_text("changed by someone else", timeout=SETTLE)
        assert served.file.read_bytes() == written
        second.click("text=lay my draft over it")
        computed(second)
        becomes(second, "#e-cell-bore", "9 mm")
        becomes(second, "li[data-path='dye.concentration']", "8e-5 mol/L", "data-saved")
        computed(second)
        second.click("#write")
        second.wait_for_selector("#notice-written")
        assert b'"9 mm"' in served.file.read_bytes()

    def test_a_file_changed_beside_the_page_is_noticed(self, open_page: OpenPage, served: Served) -> None:
        page = open_page("/sheet/dye")
        served.file.write_text(served.file.read_text("utf-8").replace("6e-5 mol/L", "5e-5 mol/L"), "utf-8")
        press(page, "#charge", "ArrowLeft")
        page.wait_for_selector("#notice-conflict")
        assert "What is shown is old" in page.inner_text("#notice-conflict")

    def test_a_link_whose_build_has_changed_offers_choices(self, open_page: OpenPage, served: Served) -> None:
        page = open_page("/sheet/dye")
        edit(page, "dye.concentration", "8e-5 mol/L")
        link = "/" + page.url.split("/", 3)[3]
        served.file.write_text(served.file.read_text("utf-8").replace('"8 mm"', '"8.5 mm"'), "utf-8")
        later = open_page(link)
        assert "made on another state" in later.inner_text("#stale")
        becomes(later, "#e-dye-concentration", "6e-5 mol/L")
        later.click("text=Lay these changes over")
        computed(later)
        becomes(later, "#e-dye-concentration", "8e-5 mol/L")
        assert later.locator("#stale").count() == 0


class TestLongWork:
    @pytest.fixture
    def held(self, bench: Bench) -> threading.Event:
        """Makes the envelope wait between its voltages until let go."""
        go, real = threading.Event(), bench.envelope

        def slow(progress: Any = None, **more: Any) -> Any:
            for i in range(600):
                progress(i, 600)
                if go.wait(0.05):
                    break
            return real(progress=progress, **more)

        bench.envelope = slow  # type: ignore[method-assign, assignment]
        return go

    def test_it_shows_how_far_survives_a_reload_and_can_be_stopped(
        self, held: threading.Event, own: Served, context: BrowserContext, told: Told
    ) -> None:
        page = context.new_page()
        listen(page, told, own.address)
        page.goto(own.address + "/sheet/bank")
        expect(page.locator("#stop-detail")).to_contain_text("of 600 voltages", timeout=SETTLE)
        until(page, "parseInt(document.getElementById('stop-detail').textContent) > 20")
        page.reload()
        expect(page.locator("#stop-detail")).to_contain_text("of 600 voltages", timeout=SETTLE)
        assert int(page.inner_text("#stop-detail").split()[0]) > 20
        page.click("#stop-button")
        expect(page.locator("#stop")).to_have_text("stopped", timeout=SETTLE)
        held.set()
        page.reload()
        computed(page)
        assert told.faults == []

    def test_the_slider_lives_while_long_work_runs(
        self, held: threading.Event, own: Served, context: BrowserContext, told: Told
    ) -> None:
        page = context.new_page()
        page.goto(own.address + "/sheet/bank")
        expect(page.locator("#stop-detail")).to_contain_text("of 600 voltages", timeout=SETTLE)
        press(page, "#charge", "ArrowLeft", 10)
        expect(page.locator("#stored")).to_have_text("162 J", timeout=SETTLE)
        held.set()
        computed(page)

    def test_one_request_in_flight_and_the_newest_value_wins(self, own: Served, context: BrowserContext) -> None:
        desk, counts = own.app.state.desk, {"now": 0, "most": 0, "all": 0}
        real, lock = desk.shot, threading.Lock()

        def slow(draft: Any) -> Any:
            with lock:
                counts["now"] += 1
                counts["all"] += 1
                counts["most"] = max(counts["most"], counts["now"])
            time.sleep(0.12)
            with lock:
                counts["now"] -= 1
            return real(draft)

        page = context.new_page()
        page.goto(own.address + "/sheet/bank")
        computed(page)
        desk.shot = slow
        press(page, "#charge", "ArrowLeft", 30)
        expect(page.locator("#stored")).to_have_text("128 J", timeout=SETTLE)
        assert counts["most"] == 1
        assert 1 <= counts["all"] < 30


def test_the_envelope_of_a_draft_shows_the_saved_one_behind(own: Served, context: BrowserContext) -> None:
    page = context.new_page()
    page.goto(own.address + "/sheet/envelope?set=dye.concentration~5e-5 mol/L")
    computed(page)
    page.wait_for_selector("figure[data-plot='envelope_output'] path.ghost", timeout=60_000)
    assert line_of(page, "envelope_output") != line_of(page, "envelope_output", "ghost")
    assert page.locator("figure[data-plot='envelope_output'] path.band").count() == 1
    assert "lowest voltage first" in page.inner_text("#stops")


class TestReadingOff:
    def test_the_cursor_moves_by_keyboard_and_tells_in_words(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/bank")
        slider = "figure[data-plot='current'] .cursor"
        press(page, slider, "ArrowRight", 40)
        words = page.inner_text("figure[data-plot='current'] .readout")
        assert re.match(r"at [\d.]+ us: current [\d.]+ kA$", words)
        assert page.get_attribute(slider, "aria-valuetext") == words
        assert page.inner_text("figure[data-plot='voltages'] .readout").startswith(words.split(":")[0])
        assert page.locator("figure[data-plot='current'] .cursor-line").count() == 1

    def test_the_cursor_follows_the_pointer(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/bank")
        frame = page.locator("figure[data-plot='current'] .frame")
        frame.scroll_into_view_if_needed()
        box = frame.bounding_box()
        assert box is not None
        page.mouse.move(box["x"] + box["width"] * 0.3, box["y"] + 100)
        assert "current" in page.inner_text("figure[data-plot='current'] .readout")
        page.mouse.move(2, 2)
        assert page.inner_text("figure[data-plot='current'] .readout") == ""

    def test_log_axis_and_whole_axis(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/bank")
        figure = page.locator("figure[data-plot='current']")
        before = line_of(page, "current")
        figure.get_by_text("log axis").click()
        assert figure.get_by_text("log axis").get_attribute("aria-pressed") == "true"
        assert line_of(page, "current") != before
        assert any("10" in words for words in figure.locator("svg.scene .tick").all_text_contents())
        figure.get_by_text("log axis").click()
        figure.get_by_text("whole axis").click()
        assert {"80", "100"} & set(figure.locator("svg.scene .tick").all_text_contents())
        page.click("#part-switch text >> nth=0")
        expect(page.locator("h1")).to_contain_text("Switch", timeout=SETTLE)
        page.wait_for_selector("figure[data-plot='current'] path.curve")
        kept = page.locator("figure[data-plot='current']").get_by_text("whole axis")
        assert kept.get_attribute("aria-pressed") == "true"

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
        assert figure.locator("table caption").inner_text() == "Current"
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


def test_the_shelf_is_searched_and_computes(open_page: OpenPage) -> None:
    page = open_page("/sheet/formulas")
    page.fill("#shelf-search", "stored energy")
    shown = page.locator(".shelf-list li:visible")
    assert 1 <= shown.count() < 12
    assert page.inner_text("#shelf-count") == f"{shown.count()} found"
    page.locator(".shelf-list a", has_text="stored_energy").first.click()
    page.fill("#arg-capacitance", "5 uF")
    page.fill("#arg-voltage", "10 kV")
    page.get_by_role("button", name="Compute").click()
    expect(page.locator("table.result")).to_contain_text("250.0 J")


def test_a_faulty_file_opens_and_comes_back_when_mended(own: Served, context: BrowserContext, told: Told) -> None:
    right = own.file.read_text("utf-8")
    own.file.write_text(right.replace("capacitance =", "capacitence =", 1), "utf-8")
    page = context.new_page()
    listen(page, told, own.address)
    page.goto(own.address + "/sheet/bank")
    assert "cannot be used yet" in page.inner_text("h1")
    assert "capacitence" in page.inner_text(".quoted >> nth=-1")
    page.click("[data-look-to='dark']")
    assert page.evaluate("document.documentElement.dataset.look") == "dark"
    own.file.write_text(right, "utf-8")
    page.click("text=Read the file again")
    computed(page)
    assert "Bank" in page.inner_text("h1")
    assert told.faults == []
