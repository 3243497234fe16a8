"""What-if in a real Chromium: edits, ghosts, undo, links, and writing into the build file."""

from __future__ import annotations

import re

import pytest
from browser.conftest import OpenPage, Served, becomes, computed, edit, line_of, press, until
from playwright.sync_api import BrowserContext, expect


class TestDraft:
    def test_an_edit_puts_the_saved_curves_behind_as_ghosts(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/bank")
        saved = line_of(page, "current")
        edit(page, "loop.inductance", "2.5 uH")
        page.wait_for_selector("figure[data-plot='current'] path.ghost")
        assert line_of(page, "current") != saved
        expect(page.locator("#draft-rows")).to_contain_text("loop.inductance 1.5 uH → 2.5 uH")
        expect(page.locator("li[data-path='loop.inductance'] .was")).to_be_visible()
        page.click("li[data-path='loop.inductance'] .put-back")
        until(page, "!document.querySelector('figure path.ghost')")
        assert line_of(page, "current") == saved
        becomes(page, "#e-loop-inductance", "1.5 uH")
        expect(page).not_to_have_url(re.compile("set="))

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
            for field, text in zip(fields, texts, strict=True):
                becomes(page, field, text)
        expect(page.locator("#undo")).to_be_disabled()
        expect(page).not_to_have_url(re.compile("set="))

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
        expect(page.locator("#e-bank-capacitance-fault")).to_contain_text("is a voltage")
        becomes(page, "#e-bank-capacitance", "true", "aria-invalid")
        expect(page.locator("#output")).to_have_text("not computed")
        expect(page.locator("figure[data-plot='current'] figcaption")).to_contain_text("Stale")
        assert line_of(page, "current") == shown
        edit(page, "bank.capacitance", "5 uF")
        until(page, "!document.querySelector('[data-stale]')")
        expect(page.locator("#e-bank-capacitance-fault")).to_be_hidden()
        expect(page.locator("#e-bank-capacitance")).not_to_have_attribute("aria-invalid", "true")

    def test_a_choice_that_is_not_computed_is_refused_by_name(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/dye")
        page.select_option("#e-dye-quencher", "DABCO")
        expect(page.locator("#stale-words")).to_contain_text("DABCO")
        expect(page.locator("#stop")).to_have_text("not known")

    def test_any_entry_can_be_a_slider(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/dye")
        page.click("li[data-path='dye.concentration'] .pin-it")
        expect(page).to_have_url(re.compile("pin=dye.concentration"))
        press(page, "#pin-dye-concentration", "ArrowRight", 4)
        page.wait_for_selector("figure[data-plot='inversion'] path.ghost")
        text = page.input_value("#e-dye-concentration")
        assert text == page.inner_text(".pin output")
        assert text.endswith(" mol/L")
        assert float(text.split()[0]) > 6e-5
        page.reload()
        computed(page)
        expect(page.locator(".pin output")).to_have_text(text)
        page.click(".unpin")
        expect(page.locator(".pin")).to_have_count(0)
        expect(page).not_to_have_url(re.compile("pin="))

    def test_drawings_and_strip_follow_the_draft(self, open_page: OpenPage) -> None:
        page = open_page("/sheet/resonator")
        edit(page, "resonator.length", "600 mm")
        expect(page.locator("figure[data-drawing='resonator']")).to_contain_text("600 mm mirror to mirror")

    def test_a_link_reproduces_view_draft_and_pins(self, open_page: OpenPage, context: BrowserContext) -> None:
        page = open_page("/sheet/dye")
        edit(page, "dye.concentration", "8e-5 mol/L")
        page.click("li[data-path='dye.concentration'] .pin-it")
        page.wait_for_selector("figure path.ghost")
        computed(page)
        other = open_page(page.url.split("/", 3)[3].join(["/", ""]))
        other.wait_for_selector("figure path.ghost")
        becomes(other, "#e-dye-concentration", "8e-5 mol/L")
        expect(other.locator(".pin")).to_have_count(1)
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
        expect(page.locator("#notice-written")).to_contain_text("dye.concentration")
        computed(page)
        text = served.file.read_text("utf-8")
        assert '"8e-5 mol/L"' in text
        assert text.count("#") == remarks
        expect(page).not_to_have_url(re.compile("set="))
        becomes(page, "li[data-path='dye.concentration']", "8e-5 mol/L", "data-saved")
        expect(page.locator("figure path.ghost")).to_have_count(0)

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
        expect(second.locator("#notice-conflict")).to_contain_text("changed by someone else")
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
        expect(page.locator("#notice-conflict")).to_contain_text("What is shown is old")

    def test_a_link_whose_build_has_changed_offers_choices(self, open_page: OpenPage, served: Served) -> None:
        page = open_page("/sheet/dye")
        edit(page, "dye.concentration", "8e-5 mol/L")
        link = "/" + page.url.split("/", 3)[3]
        served.file.write_text(served.file.read_text("utf-8").replace('"8 mm"', '"8.5 mm"'), "utf-8")
        later = open_page(link)
        expect(later.locator("#stale")).to_contain_text("made on another state")
        becomes(later, "#e-dye-concentration", "6e-5 mol/L")
        later.click("text=Lay these changes over")
        computed(later)
        becomes(later, "#e-dye-concentration", "8e-5 mol/L")
        expect(later.locator("#stale")).to_have_count(0)
