"""Long work in a real Chromium: how far it is, stopping it, reloading, and the slider while it runs."""

from __future__ import annotations

import threading
import time
from typing import Any

import pytest
from browser.conftest import Served, Told, computed, line_of, listen, press, until
from playwright.sync_api import BrowserContext, expect

from pulsewright.workbench import Bench


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
        expect(page.locator("#stop-detail")).to_contain_text("of 600 voltages")
        until(page, "parseInt(document.getElementById('stop-detail').textContent) > 20")
        page.reload()
        expect(page.locator("#stop-detail")).to_contain_text("of 600 voltages")
        assert int(page.inner_text("#stop-detail").split()[0]) > 20
        page.click("#stop-button")
        expect(page.locator("#stop")).to_have_text("stopped")
        held.set()
        page.reload()
        computed(page)
        assert told.faults == []

    def test_the_slider_lives_while_long_work_runs(
        self, held: threading.Event, own: Served, context: BrowserContext, told: Told
    ) -> None:
        page = context.new_page()
        page.goto(own.address + "/sheet/bank")
        expect(page.locator("#stop-detail")).to_contain_text("of 600 voltages")
        press(page, "#charge", "ArrowLeft", 10)
        expect(page.locator("#stored")).to_have_text("162 J")
        held.set()
        computed(page)

    def test_one_request_in_flight_and_the_newest_value_wins(self, own: Served, context: BrowserContext) -> None:
        desk, counts = own.app.state.desk, {"now": 0, "most": 0, "all": 0}
        real, lock = desk.live, threading.Lock()

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
        desk.live = slow
        press(page, "#charge", "ArrowLeft", 30)
        expect(page.locator("#stored")).to_have_text("128 J")
        assert counts["most"] == 1
        assert 1 <= counts["all"] < 30


def test_the_envelope_of_a_draft_shows_the_saved_one_behind(own: Served, context: BrowserContext) -> None:
    page = context.new_page()
    page.goto(own.address + "/sheet/envelope?set=dye.concentration~5e-5 mol/L")
    computed(page)
    page.wait_for_selector("figure[data-plot='envelope_output'] path.ghost")
    assert line_of(page, "envelope_output") != line_of(page, "envelope_output", "ghost")
    expect(page.locator("figure[data-plot='envelope_output'] path.band")).to_have_count(1)
    expect(page.locator("#stops")).to_contain_text("lowest voltage first")
