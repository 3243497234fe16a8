"""How the page looks and reaches: accessibility, lightness alone, phone, print."""

from __future__ import annotations

import re
from collections.abc import Iterator

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe
from browser.conftest import OpenPage, Served, Told, computed, listen
from browser.pictures import contrast, read_png
from playwright.sync_api import Browser, BrowserContext, Page, expect

LOOKS = ("light", "dark", "dim")
PHONE = {"width": 390, "height": 844}


def wear(context: BrowserContext, served: Served, look: str) -> None:
    context.add_cookies([{"name": "look", "value": look, "url": served.address}])


def violations(page: Page) -> list[str]:
    found = Axe().run(page).response["violations"]
    return [f"{one['id']}: {one['help']} {[node['html'][:120] for node in one['nodes'][:3]]}" for one in found]


@pytest.mark.parametrize("look", LOOKS)
def test_no_accessibility_violation(open_page: OpenPage, context: BrowserContext, served: Served, look: str) -> None:
    wear(context, served, look)
    page = open_page("/sheet/bank?pin=loop.inductance&set=loop.inductance~2 uH")
    page.locator("figure[data-plot='current'] summary").click()
    page.locator("details.absent summary").click()
    expect(page.locator("section[data-study]:not([data-shown])")).to_have_count(0)
    for one in page.locator("details.list").all():
        one.locator("summary").click()
    expect(page.locator("html")).to_have_attribute("data-look", look)
    assert violations(page) == []


@pytest.mark.parametrize(
    "path",
    [
        "/sheet/shot",
        "/sheet/switch",
        "/sheet/lamps",
        "/sheet/train",
        "/sheet/envelope",
        "/sheet/size",
        "/sheet/findings",
        "/sheet/formulas",
        "/formulas/stored_energy",
    ],
)
def test_no_accessibility_violation_on_the_other_sheets(open_page: OpenPage, path: str) -> None:
    page = open_page(path)
    if path in ("/sheet/switch", "/sheet/lamps"):
        expect(page.locator("section[data-study]:not([data-shown])")).to_have_count(0)
    if path == "/sheet/envelope":
        page.wait_for_selector("figure[data-plot='envelope_margins'] path.curve")
    assert violations(page) == []


def test_no_accessibility_violation_where_something_is_wrong(
    open_page: OpenPage, own: Served, context: BrowserContext
) -> None:
    page = open_page("/sheet/bank")
    page.fill("#e-bank-capacitance", "5 kV")
    page.press("#e-bank-capacitance", "Enter")
    page.wait_for_selector("#e-bank-capacitance-fault:visible")
    assert violations(page) == []
    stale = open_page("/sheet/bank?build=0123456789abcdef&set=bank.capacitance~5 uF")
    assert violations(stale) == []
    assert violations(open_page("/paper", wait=False)) == []
    own.file.write_text("schema = 1\n", "utf-8")
    faulty = context.new_page()
    faulty.goto(own.address + "/sheet/bank")
    assert violations(faulty) == []


KEY_TEXTS = (
    ".bench strong",
    ".cautions p",
    "#charge-number",
    "#stored",
    "#output",
    "#output-band",
    "#stop",
    "#stop-detail",
    "h1",
    "#state-bank text",
    "#part-lamps .name",
    ".entry label",
    ".about",
    ".margin .item",
    ".margin .soft",
    "figure[data-plot='current'] .axis-title",
    "figure[data-plot='current'] .label",
    "figure[data-plot='current'] .tick",
)


@pytest.mark.parametrize("look", LOOKS)
def test_it_reads_by_lightness_when_a_band_of_colour_is_taken_away(
    open_page: OpenPage, context: BrowserContext, served: Served, look: str
) -> None:
    wear(context, served, look)
    page = open_page("/sheet/bank")
    page.set_viewport_size({"width": 1440, "height": 2200})
    page.evaluate("document.activeElement.blur()")
    page.wait_for_timeout(200)
    picture = read_png(page.screenshot(full_page=True))
    for selector in KEY_TEXTS:
        box = page.locator(selector).first.bounding_box()
        assert box is not None, selector
        top, left = int(box["y"]), int(box["x"])
        part = picture[top : top + max(int(box["height"]), 1), left : left + max(int(box["width"]), 1)]
        told = {name: contrast(part, band) for name, band in (("none", None), ("red", 0), ("green", 1), ("blue", 2))}
        assert min(told.values()) >= 4.4, (look, selector, told)


def test_contrast_can_fail() -> None:
    orange, white = np.array([1.0, 0.5, 0.0]), np.ones(3)
    stripes = np.stack([np.stack([orange, white] * 20)] * 20)
    assert contrast(stripes) < 3
    red_on_white = np.stack([np.stack([np.array([1.0, 0.0, 0.0]), white] * 20)] * 20)
    assert contrast(red_on_white, 0) == pytest.approx(21.0)
    assert contrast(red_on_white[:, :, [1, 0, 2]] * 0 + np.array([1.0, 1.0, 0.9]), 2) == pytest.approx(1.0)


def test_states_differ_without_colour(open_page: OpenPage) -> None:
    page = open_page("/sheet/shot")
    painted = page.evaluate("[...document.querySelectorAll('#strip .state')].map((one) => getComputedStyle(one).fill)")
    assert len(set(painted)) == 1
    assert len(set(page.locator("#strip .state").all_text_contents())) >= 3


def test_the_look_is_kept(open_page: OpenPage) -> None:
    page = open_page("/sheet/bank")
    page.click("[data-look-to='dim']")
    page.reload()
    expect(page.locator("html")).to_have_attribute("data-look", "dim")
    page.click("[data-look-to='dim']")
    expect(page.locator("html")).not_to_have_attribute("data-look", "dim")


class TestPhone:
    @pytest.fixture
    def page(self, browser: Browser, served: Served, told: Told) -> Iterator[Page]:
        made = browser.new_context(viewport=PHONE, is_mobile=True, has_touch=True)  # type: ignore[arg-type]
        page = made.new_page()
        listen(page, told, served.address)
        page.goto(served.address + "/sheet/dye?pin=dye.concentration")
        computed(page)
        yield page
        made.close()
        assert told.faults == []

    def test_nothing_is_wider_than_the_screen_but_the_strip_scrolls(self, page: Page) -> None:
        assert page.evaluate("document.documentElement.scrollWidth") == PHONE["width"]
        wide, seen = page.evaluate("[strip.scrollWidth, strip.clientWidth]")
        assert wide > 2 * seen

    def test_the_line_never_leaves_the_screen(self, page: Page) -> None:
        for place in (0, 600, 2500, 99_999):
            page.evaluate("to => window.scrollTo(0, to)", place)
            page.wait_for_timeout(80)
            top, bottom = page.evaluate("((box) => [box.top, box.bottom])(line.getBoundingClientRect())")
            if place:
                assert top == 0
            assert top < PHONE["height"]
            assert bottom - top < 0.4 * PHONE["height"]
            for one in ("#charge", "#stored", "#output", "#stop"):
                box = page.locator(one).bounding_box()
                assert box is not None
                assert box["x"] >= 0
                assert box["x"] + box["width"] <= PHONE["width"]

    def test_targets_are_big(self, page: Page) -> None:
        small = page.evaluate(
            """[...document.querySelectorAll("button, select, input, a.button, #strip a .hit")]
              .filter((one) => one.getClientRects().length && !one.disabled)
              .map((one) => [one.id || one.getAttribute("class") || one.tagName, one.getBoundingClientRect()])
              .filter(([, box]) => box.height < 29 || box.width < 29)
              .map(([name, box]) => `${name} ${box.width} x ${box.height}`)"""
        )
        assert small == []
        slider = page.locator("#charge").bounding_box()
        assert slider is not None
        assert slider["width"] > 300

    def test_no_accessibility_violation(self, page: Page) -> None:
        assert violations(page) == []


class TestPrint:
    def pages(self, pdf: bytes) -> int:
        return len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf))

    def test_a_sheet_prints_in_ink_on_white_with_the_cautions(
        self, open_page: OpenPage, context: BrowserContext, served: Served
    ) -> None:
        wear(context, served, "dark")
        page = open_page("/sheet/resonator")
        page.emulate_media(media="print")
        page.wait_for_timeout(200)
        assert page.evaluate("getComputedStyle(document.body).backgroundColor") == "rgb(255, 255, 255)"
        assert page.evaluate("getComputedStyle(document.body).color") == "rgb(0, 0, 0)"
        assert page.is_visible(".cautions")
        for gone in (".looks", ".beside", ".tools >> nth=0", "#charge", ".pin-it >> nth=0"):
            assert page.is_hidden(gone), gone
        assert 1 <= self.pages(page.pdf(format="A4")) <= 5

    def test_the_paper_view_prints_clean_pages(self, open_page: OpenPage) -> None:
        page = open_page("/paper", wait=False)
        assert 8 <= self.pages(page.pdf(format="A4")) <= 40  # light and dye take some five of them
        page.emulate_media(media="print")
        assert page.evaluate("document.documentElement.scrollWidth <= document.documentElement.clientWidth + 1")
        first = page.evaluate("document.querySelector('.cautions').getBoundingClientRect().top")
        assert first < 300
