"""The page in a real Chromium: loading, slider, strip, shelf, faulty files."""

from __future__ import annotations

import re

from browser.conftest import OpenPage, Served, Told, becomes, computed, edit, line_of, listen, press, until
from playwright.sync_api import BrowserContext, expect


def test_it_loads_whole_and_asks_nobody_outside(open_page: OpenPage, told: Told) -> None:
    page = open_page("/")
    assert page.url.endswith("/sheet/shot")
    assert page.title() == "One shot: tidewater"
    assert re.fullmatch(r"[\d.]+ m?J", page.inner_text("#output"))
    expect(page.locator("#output-band")).to_contain_text("90 %")
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
    before = page.inner_text("#output"), page.inner_text("#heed-rows"), line_of(page, "radiated_power")
    press(page, "#charge", "ArrowLeft", 10)
    expect(page.locator("#stored")).to_have_text("162 J")
    expect(page.locator("#charge-number")).to_have_value(re.compile(r"9(\.00)? kV"))
    until(page, "was => document.getElementById('heed-rows').innerText !== was", before[1])
    assert page.inner_text("#output") != before[0]
    assert line_of(page, "radiated_power") != before[2]
    becomes(page, "#charge", "9.00 kV", "aria-valuetext")
    expect(page.locator("#energy-percent")).to_have_text("56 %")
    expect(page).to_have_url(re.compile("set=bank.charge_voltage"))


def test_the_number_beside_the_slider_takes_text(open_page: OpenPage) -> None:
    page = open_page()
    page.fill("#charge-number", "8.7")
    page.press("#charge-number", "Enter")
    expect(page.locator("#stored")).to_have_text("151 J")
    page.fill("#charge-number", "8700 A")
    page.press("#charge-number", "Enter")
    expect(page.locator("#output")).to_have_text("not computed")
    expect(page.locator("#output-band")).to_contain_text("is a current")
    expect(page.locator("#stored")).to_have_text("151 J")


def test_below_threshold_the_beam_is_gone_and_it_says_why(open_page: OpenPage) -> None:
    page = open_page("/sheet/resonator")
    assert page.is_visible("#strip-beam path")
    page.fill("#charge-number", "4 kV")
    page.press("#charge-number", "Enter")
    expect(page.locator("#output")).to_contain_text("none")
    expect(page.locator("#strip-beam path").first).to_be_hidden()
    expect(page.locator("#output-band")).to_have_text(re.compile(".{20}"))


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
            expect(page.locator(f"#part-{name}")).to_be_focused()
        page.keyboard.press("Enter")
        expect(page.locator("h1")).to_contain_text("Dye cell")
        expect(page.locator("#sheet")).to_be_focused()
        expect(page).to_have_url(re.compile("/sheet/dye$"))
        expect(page).to_have_title("Dye cell: tidewater")
        expect(page.locator("#part-dye")).to_have_class(re.compile("selected"))
        page.wait_for_selector("figure[data-plot='inversion'] path.curve")

    def test_every_part_opens_its_sheet_without_a_new_page(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/shot")
        page.evaluate("window.stays = true")
        for part, title in (("feed-pump", "Dye loop"), ("feed-room", "Room"), ("part-train", "Beam train")):
            page.click(f"#{part} text >> nth=0")
            expect(page.locator("h1")).to_contain_text(title)
        assert page.evaluate("window.stays")

    def test_back_and_forward_keep_the_draft(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/dye")
        edit(page, "dye.concentration", "8e-5 mol/L")
        page.click("#part-bank text >> nth=0")
        expect(page.locator("h1")).to_contain_text("Bank")
        expect(page).to_have_url(re.compile("dye.concentration"))
        page.go_back()
        expect(page.locator("h1")).to_contain_text("Dye cell")
        becomes(page, "#e-dye-concentration", "8e-5 mol/L")

    def test_names_say_part_and_state(self, open_page: OpenPage) -> None:
        page = open_page()
        states = page.locator("#strip .state").all_text_contents()
        assert len(states) == 8
        assert all(re.match(r"[●◆■▲○✕] [a-z ]+$", words) for words in states)


def test_the_shelf_is_searched_and_computes(open_page: OpenPage) -> None:
    page = open_page("/sheet/formulas")
    page.fill("#shelf-search", "stored energy")
    shown = page.locator(".shelf-list li:visible")
    expect(page.locator("#shelf-count")).to_have_text(re.compile("^[0-9]+ found$"))
    assert 1 <= shown.count() < 12
    expect(page.locator("#shelf-count")).to_have_text(f"{shown.count()} found")
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
    expect(page.locator("html")).to_have_attribute("data-look", "dark")
    own.file.write_text(right, "utf-8")
    page.click("text=Read the file again")
    computed(page)
    expect(page.locator("h1")).to_contain_text("Bank")
    assert told.faults == []
