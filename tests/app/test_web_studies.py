"""Studies and maps on the page, with answers of a made-up bench."""

from __future__ import annotations

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

        def answer(second: str, overrides: Mapping[str, str], progress: Callable[[int, int], None]) -> TakeOffMap:
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
        told = head["map"]
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
        assert "bore (mm)" in head["map"]

    def test_it_can_be_stopped(self, page: Client, bench: Bench) -> None:
        started = threading.Event()

        def slow(second: str, overrides: Mapping[str, str], progress: Callable[[int, int], None]) -> None:
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
