"""Studies and maps on the page, with answers of a made-up bench."""

from __future__ import annotations

import re
import threading
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from app.page_client import HERE, Client

from pulsewright.errors import Finding
from pulsewright.studies.take_off import Axis, TakeOffMap
from pulsewright.web import create_app, wire
from pulsewright.web.maps import heats
from pulsewright.workbench import Bench, new_bench, open_bench


def take_off(second: str = "lamp_field") -> TakeOffMap:
    """A small map in the shape that the study gives."""
    along = Axis("fill_pressure", "Pa", np.array([20.0, 100.0, 400.0]) * 133.322368)
    up = (
        Axis("lamp_field", "V/m", np.array([2e4, 4e4]))
        if second == "lamp_field"
        else Axis("bore", "m", np.array([5e-3, 7e-3]))
    )
    return TakeOffMap(
        bench="tidewater",
        x=along,
        y=up,
        values={
            "filling_time": np.array([[2e-6, 4e-6, np.nan], [1e-6, 2e-6, 8e-6]]),
            "law_fraction": np.array([[0.6, 0.3, 0.1], [0.9, 0.8, 0.5]]),
        },
        outcome=np.array([["takes off", "hardly takes off", "does not"], ["takes off"] * 3]),
        here=(100.0 * 133.322368, 3e4 if second == "lamp_field" else 7e-3),
        findings=(Finding("note", "loop.lamp_law", "no law_fraction: none here", "", "Read the outcome without it"),),
    )


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    return open_bench(new_bench(tmp_path / "tidewater", "tidewater"))


@pytest.fixture
def page(bench: Bench) -> Iterator[Client]:
    with Client(create_app(bench), {"origin": HERE}) as made:
        yield made


class TestTakeOffMap:
    @pytest.fixture
    def asked(self, bench: Bench) -> list[tuple[str, Mapping[str, str]]]:
        """What was asked of the bench, which answers at once."""
        seen: list[tuple[str, Mapping[str, str]]] = []

        def answer(second: str, *, overrides: Mapping[str, str], progress: Callable[[int, int], None]) -> TakeOffMap:
            seen.append((second, overrides))
            progress(6, 6)
            return take_off(second)

        bench.take_off = answer  # type: ignore[method-assign, assignment, attr-defined]
        return seen

    def ended(self, page: Client, kind: str, draft: dict[str, str]) -> dict[str, Any]:
        job = page.post("/jobs", json={"kind": kind, "draft": draft}).json()
        assert page.app.state.desk.jobs.get(job["id"]).ended.wait(60)
        return dict(page.get(f"/jobs/{job['id']}").json())

    def test_it_is_only_worked_out_when_asked_for(self, page: Client, asked: list[Any]) -> None:
        peek = page.post("/jobs", json={"kind": "take-off", "draft": {}, "start": False}).json()
        assert peek["state"] == "none"
        assert asked == []
        self.ended(page, "take-off", {"loop.inductance": "2 uH"})
        assert asked == [("lamp_field", {"loop.inductance": "2 uH"})]

    def test_a_reload_finds_it_and_the_charge_voltage_does_not_matter(self, page: Client, asked: list[Any]) -> None:
        job = self.ended(page, "take-off", {"bank.charge_voltage": "9 kV"})
        again = {"kind": "take-off", "draft": {"bank.charge_voltage": "8 kV"}, "start": False}
        assert page.post("/jobs", json=again).json()["id"] == job["id"]
        other = {"kind": "take-off by bore", "draft": {}, "start": False}
        assert page.post("/jobs", json=other).json()["state"] == "none"
        assert len(asked) == 1

    def test_the_answer_is_drawn_tabled_and_told(self, page: Client, asked: list[Any]) -> None:
        job = self.ended(page, "take-off", {})
        head, _ = wire.read(page.get(f"/jobs/{job['id']}/result?view=lamps&now=9500").content)
        assert len(asked) == 1
        told = head["words"]
        assert told.count("<svg") == told.count("<table>") == 2
        assert "1 does not, 1 hardly takes off, 4 takes off" in told
        assert "it is as dangerous as before the trigger" in told
        assert "no law_fraction: none here" in told
        assert "◆ 4" in told
        assert '<option value="filling_time">filling time (us)</option>' in told

    def test_by_bore(self, page: Client, asked: list[Any]) -> None:
        job = self.ended(page, "take-off by bore", {"bank.charge_voltage": "9 kV"})
        assert asked == [("bore", {"bank.charge_voltage": "9 kV"})]
        head, _ = wire.read(page.get(f"/jobs/{job['id']}/result?view=lamps&now=9000").content)
        assert "bore (mm)" in head["words"]

    def test_it_can_be_stopped(self, page: Client, bench: Bench) -> None:
        started = threading.Event()

        def slow(second: str, *, overrides: Mapping[str, str], progress: Callable[[int, int], None]) -> None:
            for i in range(6000):
                progress(i, 6000)
                started.set()
                threading.Event().wait(0.01)

        bench.take_off = slow  # type: ignore[method-assign, assignment, attr-defined]
        job = page.post("/jobs", json={"kind": "take-off", "draft": {}}).json()
        assert started.wait(20)
        page.post(f"/jobs/{job['id']}/stop", json={})
        assert page.app.state.desk.jobs.get(job["id"]).ended.wait(20)
        assert page.get(f"/jobs/{job['id']}").json()["state"] == "stopped"


def studies(page: Client, view: str, **draft: str) -> tuple[dict[str, Any], np.ndarray]:
    changes = {path.replace("__", "."): text for path, text in draft.items()}
    answer = page.post("/studies", json={"view": view, "draft": changes})
    assert answer.status_code == 200, answer.text
    return wire.read(answer.content)


class TestChargeAndDump:
    def test_it_tells_what_happens_when_and_never_that_a_bank_may_be_touched(self, page: Client) -> None:
        head, _ = studies(page, "bank")
        told = head["studies"]["charge"]
        assert "charge voltage reached: charger off." in told
        assert (
            told.index("Charge</th>") < told.index("Hold, from") < told.index("Dump, from") < told.index("Bleeder and")
        )
        assert "60.0 V by the dump, computed: measure, short." in told
        assert "Dielectric absorption" in told
        assert not re.search(r"\b(is|now) safe\b|safe to touch|\bdischarged\b", told)

    def test_lists_are_there_to_be_opened_and_printed(self, page: Client) -> None:
        told = studies(page, "bank")[0]["studies"]["charge"]
        titles = re.findall(r"<summary>([^<]+)</summary>", told)
        assert {
            "Earth stick and short",
            "Earthing plan",
            "Capacitors, bought or used",
            "Flashlamps, bought or used",
        } <= {*titles}
        assert told.count("<li>") > 40
        assert told.count('<details class="list">') == len(titles)

    def test_its_curves_start_at_their_own_instant(self, page: Client) -> None:
        head, arrays = studies(page, "bank")
        plots = {plot["id"]: plot for plot in head["plots"]}
        assert list(plots) == ["charge_up", "charge_dump", "charge_bleeder"]
        for plot in plots.values():
            start, _ = plot["curves"][0]["x"]
            assert arrays[start] == 0.0
        start, count = plots["charge_up"]["curves"][0]["y"]
        assert arrays[start + count - 1] == pytest.approx(9.5)

    def test_it_follows_the_draft(self, page: Client) -> None:
        told = studies(page, "bank", bank__charge_voltage="8 kV")[0]["studies"]["charge"]
        assert "<td>8.00 kV</td>" in told
        assert "<td>9.50 kV</td>" not in told

    def test_what_is_not_known_says_what_to_enter(self, tmp_path: Path) -> None:
        millpond = open_bench(new_bench(tmp_path / "millpond", "millpond"))
        with Client(create_app(millpond), {"origin": HERE}) as page:
            told = studies(page, "bank")[0]["studies"]["charge"]
        assert re.search(r"<strong>not known</strong></td><td></td><td class=\"soft\">[^<]*Enter ", told)

    def test_without_a_shot_it_is_still_told(self, page: Client) -> None:
        told = studies(page, "bank", dye__quencher="DABCO")[0]["studies"]["charge"]
        assert "charge voltage reached" in told


class TestTriggers:
    def test_the_chosen_method_comes_first_then_what_suits(self, page: Client) -> None:
        told = studies(page, "switch")[0]["studies"]["triggers"]
        stands = re.findall(r"[●✕] (chosen|suits this head|does not suit)</span>", told)
        order = ["chosen", "suits this head", "does not suit"]
        assert stands[0] == "chosen"
        assert len(stands) >= 8
        assert [order.index(word) for word in stands] == sorted(order.index(word) for word in stands)
        assert "Able to fire at any moment." in told
        assert "no one decides the instant" not in told

    def test_a_method_that_fires_by_itself_is_cautioned_against(self, tmp_path: Path) -> None:
        millpond = open_bench(new_bench(tmp_path / "millpond", "millpond"))
        with Client(create_app(millpond), {"origin": HERE}) as page:
            told = studies(page, "switch")[0]["studies"]["triggers"]
        assert "A self-repeating system fires without a human decision" in told


class TestPumpDown:
    def test_a_head_that_is_not_pumped_says_so(self, page: Client) -> None:
        head, _ = studies(page, "switch")
        assert "This head is started by triggered spark gap: nothing is pumped down." in head["studies"]["pump_down"]
        assert head["plots"] == []

    def test_a_pumped_head_shows_curve_instant_jitter_and_failures(self, tmp_path: Path) -> None:
        bench = open_bench(new_bench(tmp_path / "millpond", "millpond"))
        found = bench.pump_down()
        assert found.fires_at is not None
        with Client(create_app(bench), {"origin": HERE}) as page:
            head, arrays = studies(page, "switch")
            weak, _ = studies(page, "switch", bank__charge_voltage="200 V")
        told = head["studies"]["pump_down"]
        assert "It fires by itself." in told
        assert "waiting for an electron" in told
        assert "breaks the lamps down at" in told
        pumping, curve = head["plots"]
        assert pumping["marks"] == [{"axis": "x", "at": found.fires_at, "words": "fires", "role": "now"}]
        start, count = pumping["curves"][1]["y"]
        assert np.isnan(arrays[start])
        assert arrays[start + count - 1] < 9.0
        assert curve["x"]["unit"] == "torr"
        assert "does not fire" in weak["studies"]["pump_down"].lower()


class TestLampLaw:
    def test_the_operating_point_stands_beside_law_and_spitzer(self, page: Client) -> None:
        head, _ = studies(page, "lamps")
        told = head["studies"]["lamp_law"]
        assert re.search(r"At [\d.]+ kA/cm\^2, the peak of this shot", told)
        assert "xenon, 7.00 mm, 100 torr" in told
        law = next(plot for plot in head["plots"] if plot["id"] == "lamp_law_0")
        assert [line["words"] for line in law["curves"]] == ["plasma", "with wall", "published law", "Spitzer"]
        assert {"low", "high"} <= set(law["curves"][0])
        assert [mark["words"] for mark in law["marks"]] == ["law found from", "to here", "this shot"]
        assert law["x"]["log"]
        assert law["y"]["log"]

    def test_without_a_shot_there_is_no_point_but_the_curves_are(self, page: Client) -> None:
        head, _ = studies(page, "lamps", dye__quencher="DABCO")
        assert "no operating point" in head["studies"]["lamp_law"]
        assert [plot["id"] for plot in head["plots"]] == ["lamp_law_0", "lamp_fraction_0"]

    def test_unlike_lamps_have_curves_of_their_own(self, page: Client) -> None:
        head, _ = studies(page, "lamps", lamps__west__bore="8 mm")
        titles = [plot["title"] for plot in head["plots"]]
        assert titles[0].endswith(": east")
        assert titles[2].endswith(": west")


def test_a_study_that_is_refused_says_why_in_its_place(page: Client) -> None:
    for view, key in (("bank", "charge"), ("switch", "triggers"), ("lamps", "lamp_law")):
        head, _ = studies(page, view, bank__capacitance="5 kV")
        assert "not computed" in head["studies"][key]
        assert "is a voltage" in head["studies"][key]
        assert head["plots"] == []


def test_a_sheet_without_studies_answers_with_none(page: Client) -> None:
    assert studies(page, "room")[0]["studies"] == {}
    assert page.post("/studies", json={"view": "nowhere"}).status_code == 404


def test_the_ring_of_a_map_follows_the_charge_voltage() -> None:
    now, less = heats(take_off())[0], heats(take_off(), 0.5)[0]
    assert now.here == pytest.approx((100.0, 300.0), rel=1e-3)
    assert less.here == pytest.approx((100.0, 150.0), rel=1e-3)
    assert heats(take_off("bore"), 0.5)[0].here == pytest.approx((100.0, 7.0), rel=1e-3)


def test_maps_are_in_display_units() -> None:
    filling, fraction = heats(take_off())
    assert (filling.title, fraction.title) == ("filling time (us)", "law fraction")
    assert (filling.x_words, filling.y_words) == ("fill pressure (torr)", "lamp field (V/cm)")
    assert filling.values[0][0] == pytest.approx(2.0)
    assert list(filling.marks[0]) == ["", "◆", "✕"]
