"""What moves when something moved: live shots, long work, writing."""

from __future__ import annotations

import html
import re
import threading
import time
from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise
from pathlib import Path
from typing import Any

import fakes
import numpy as np
import pytest
from app.page_client import HERE, Client, unmodelled

from pulsewright.errors import DomainError
from pulsewright.records import NotJudged
from pulsewright.web import create_app, wire
from pulsewright.web.jobs import LINGER, Jobs, Progress
from pulsewright.web.line import stop_line
from pulsewright.web.sheets import SHEETS
from pulsewright.web.stress import stress_table
from pulsewright.workbench import new_bench, open_bench

WRITES = {"origin": HERE}


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return new_bench(tmp_path / "tidewater", "tidewater")


@pytest.fixture
def page(folder: Path) -> Iterator[Client]:
    with Client(create_app(open_bench(folder)), WRITES) as made:
        yield made


def shot(page: Client, view: str = "bank", **more: Any) -> tuple[dict[str, Any], np.ndarray]:
    answer = page.post("/shot", json={"view": view, **more})
    assert answer.status_code == 200, answer.text
    return wire.read(answer.content)


def curve(head: dict[str, Any], arrays: np.ndarray, plot: str, name: str) -> np.ndarray:
    found = next(c for p in head["plots"] if p["id"] == plot for c in p["curves"] if c["id"] == name)
    start, count = found["y"]
    return arrays[start : start + count]


def ended(page: Client, kind: str, draft: dict[str, str]) -> dict[str, Any]:
    job = page.post("/jobs", json={"kind": kind, "draft": draft}).json()
    found = page.app.state.desk.jobs.get(job["id"])  # type: ignore[attr-defined]
    assert found.ended.wait(60)
    return page.get(f"/jobs/{job['id']}").json()


class TestLiveShot:
    def test_half_the_voltage_is_a_quarter_of_the_energy(self, page: Client) -> None:
        head, _ = shot(page, draft={"bank.charge_voltage": "6 kV"})
        charge = head["charge"]
        assert (charge["voltage_percent"], charge["energy_percent"]) == ("50 %", "25 %")
        assert charge["full_text"] == "12.0 kV"
        assert charge["stored_text"] == "72.0 J"

    def test_it_is_the_benchs_own_shot(self, page: Client, folder: Path) -> None:
        head, arrays = shot(page, "bank", draft={"bank.charge_voltage": "9.2 kV"})
        told = open_bench(folder).shot(9200.0, interval=False)
        assert head["output"]["energy"] == pytest.approx(told.summary["output_energy"].value, rel=1e-6)
        current = curve(head, arrays, "current", "current")
        assert current.max() == pytest.approx(told.arrays["current"].values.max() / 1e3, rel=1e-5)
        assert head["output"]["colour"].startswith("#ff")

    def test_ghosts_only_behind_a_draft(self, page: Client) -> None:
        bare, _ = shot(page)
        assert not [c for p in bare["plots"] for c in p["curves"] if c["role"] == "ghost"]
        head, arrays = shot(page, draft={"loop.inductance": "2.5 uH"})
        plain, plain_arrays = shot(page)
        ghost = curve(head, arrays, "current", "ghost-current")
        assert np.array_equal(ghost, curve(plain, plain_arrays, "current", "current"))
        assert not np.allclose(ghost.max(), curve(head, arrays, "current", "current").max())

    def test_each_loop_and_capacitor_has_its_line_where_there_are_several(self, page: Client, tmp_path: Path) -> None:
        head, _ = shot(page)
        assert head["lacking"] == ["branch_current", "capacitor_voltage"]
        own = new_bench(tmp_path / "own", "tidewater")
        text = (own / "laser.toml").read_text("utf-8").replace('= "series"', '= "separate loops"', 1)
        for lamp in ("east", "west"):
            text += f'\n[branches.{lamp}]\ninductance = "1.5 uH"\nresistance = "30 mohm"\n'
        (own / "laser.toml").write_text(text, "utf-8")
        with Client(create_app(open_bench(own)), WRITES) as separate:
            side, _ = shot(separate)
        assert side["lacking"] == ["capacitor_voltage"]
        loops = next(plot for plot in side["plots"] if plot["id"] == "branch_current")
        assert [line["words"] for line in loops["curves"]] == ["loop 1", "loop 2"]
        with Client(create_app(open_bench(new_bench(tmp_path / "longwave", "longwave"))), WRITES) as network:
            told, _ = shot(network)
        sections = next(plot for plot in told["plots"] if plot["id"] == "capacitor_voltage")
        assert len(sections["curves"]) == 6
        assert told["lacking"] == ["branch_current"]

    def test_below_threshold_is_said(self, page: Client) -> None:
        head, _ = shot(page, draft={"bank.charge_voltage": "3 kV"})
        assert head["output"]["lased"] is False
        assert head["output"]["reason"]
        assert head["output"]["colour"] is None

    def test_drawings_follow_the_draft(self, page: Client) -> None:
        head, _ = shot(page, "chamber", draft={"cell.bore": "10 mm"}, drawings=True)
        assert "Dye cell bore 10 mm" in head["drawings"]["chamber"]
        assert 'id="part-bank"' in head["strip"]
        plain, _ = shot(page, "chamber", draft={"cell.bore": "10 mm"})
        assert plain["drawings"] == {}

    def test_states_have_a_mark_and_a_word(self, page: Client) -> None:
        head, _ = shot(page, draft={"bank.charge_voltage": "12 kV"})
        assert head["states"]["resonator"] == {"grade": "over", "text": "■ over a limit"}
        assert head["states"]["switch"]["text"] == "● within limits"

    def test_cautions_stand_where_the_hazard_is_met_and_once(self, page: Client) -> None:
        told = [shot(page, view)[0]["heed"].count('class="caution"') for view in ("bank", "lamps", "dye", "train")]
        assert told == [1, 1, 2, 1]
        rest = [
            shot(page, view)[0].get("heed", "") for view in ("shot", "switch", "chamber", "resonator", "target", "room")
        ]
        assert not any('class="caution"' in heed for heed in rest)

    def test_heed_is_worst_first(self, page: Client) -> None:
        head, _ = shot(page, "resonator", draft={"bank.charge_voltage": "11 kV"})
        ratios = [float(text.split("</strong>")[0]) for text in head["heed"].split("<span><strong>")[1:]]
        assert len(ratios) >= 2
        assert ratios == sorted(ratios, reverse=True)
        assert ratios[0] > 1

    def test_the_stress_table_is_whole_and_worst_first(self, page: Client, folder: Path) -> None:
        head, _ = shot(page, "bank", draft={"bank.charge_voltage": "11 kV"})
        told = open_bench(folder).shot(11e3, interval=False)
        items = ("bank", "charger", "dump", "switch", "trigger", "loop", "lamps", "meter")
        wanted = {row.stress for row in told.margins if row.item.partition(".")[0] in items}
        assert len(wanted) >= 5
        assert all(f">{html.escape(words)}</span>" in head["stress"] for words in wanted)
        assert "optics." not in head["stress"]
        ratios = [float(text) for text in re.findall(r"<td><strong>([\d.]+)</strong>", head["stress"])]
        assert ratios == sorted(ratios, reverse=True)
        lamps, _ = shot(page, "lamps")
        assert "lamps.east" in lamps["stress"]
        assert '<th scope="row">bank' not in lamps["stress"]
        assert shot(page, "room")[0]["stress"] == ""

    def test_what_is_not_judged_stands_last_in_the_stress_table_with_its_next_step(self) -> None:
        rows = [NotJudged(f"lamps.{name}", "wall loading", "no rating", "Enter it") for name in ("east", "west")]
        table = stress_table(replace(fakes.shot(), not_judged=tuple(rows)), SHEETS["lamps"], {})
        assert table.index("explosion fraction") < table.index("lamps.east, lamps.west")
        assert "not judged: no rating." in table
        assert table.count("Enter it.") == 1
        assert stress_table(replace(fakes.shot(), margins=(), not_judged=()), SHEETS["lamps"], {}).strip() == ""

    @pytest.mark.parametrize(
        ("draft", "path", "words"),
        [
            ({"bank.capacitance": "5 kV"}, "bank.capacitance", "is a voltage"),
            ({"bank.capacitence": "5 uF"}, "bank.capacitence", "no entry"),
            ({"bank.charge_voltage": "0 V"}, "bank.charge_voltage", "0 V"),
            ({"bank.charge_voltage": "1e9 V"}, "bank.charge_voltage", "absurdly large"),
            ({"bank.charge_voltage": "9,5 kV"}, "bank.charge_voltage", "decimal comma"),
            ({"bank.charge_voltage": "nan V"}, "bank.charge_voltage", "not a finite number"),
            ({"dye.name": "rodamine 6G"}, "dye.name", "not a known dye"),
            ({"dye.quencher": "DABCO"}, "dye.quencher", "not modelled"),
        ],
    )
    def test_a_draft_that_cannot_be_computed_is_a_finding(
        self, page: Client, draft: dict[str, str], path: str, words: str
    ) -> None:
        answer = page.post("/shot", json={"view": "bank", "draft": draft})
        assert answer.status_code == 422
        finding = next(row for row in answer.json()["findings"] if row["path"] == path)
        assert words in finding["message"]
        assert finding["next_step"]

    def test_a_bench_that_is_not_modelled_says_so(self, folder: Path) -> None:
        unmodelled(folder)
        with Client(create_app(open_bench(folder)), WRITES) as page:
            answer = page.post("/shot", json={"view": "bank"})
            assert answer.status_code == 422
            assert "not modelled" in answer.text
            job = ended(page, "envelope", {})
            assert job["state"] == "failed"
            assert "not modelled" in job["findings"][0]["message"]


class TestLongWork:
    def test_the_interval_gives_a_band(self, page: Client) -> None:
        job = ended(page, "interval", {"bank.charge_voltage": "9.3 kV"})
        assert job["state"] == "done"
        head, _ = wire.read(page.get(f"/jobs/{job['id']}/result?view=shot").content)
        output = head["output"]
        assert output["low"] < output["energy"] < output["high"]
        assert head["charge"]["voltage_text"] == "9.30 kV"
        assert "What the output hangs on" in head["budget"]

    @pytest.mark.slow
    def test_the_envelope_says_what_stops_you(self, page: Client, folder: Path) -> None:
        job = ended(page, "envelope", {"bank.charge_voltage": "9 kV"})
        assert (job["state"], job["done"]) == ("done", job["total"])
        told = open_bench(folder).envelope()
        assert told.limiting_item is not None
        head, arrays = wire.read(page.get(f"/jobs/{job['id']}/result?view=envelope&now=9000").content)
        assert head["stop"]["voltage"] == pytest.approx(told.limiting_item.voltage)
        assert head["stop"]["item"] == told.limiting_item.item
        assert len(head["plots"]) == 6
        assert {"now", "threshold"} <= {mark["words"] for mark in head["plots"][0]["marks"]}
        assert curve(head, arrays, "envelope_output", "output_energy").size >= 60
        short, _ = wire.read(page.get(f"/jobs/{job['id']}/result?view=bank").content)
        assert short["plots"] == []

    @pytest.mark.slow
    def test_it_does_not_hang_on_the_charge_voltage_and_survives_a_reload(self, page: Client) -> None:
        first = ended(page, "envelope", {})
        again = page.post("/jobs", json={"kind": "envelope", "draft": {"bank.charge_voltage": "8 kV"}}).json()
        assert again["id"] == first["id"]
        assert again["state"] == "done"

    def test_unknown_work_is_a_finding(self, page: Client) -> None:
        assert page.get("/jobs/nothing").status_code == 404
        assert page.post("/jobs/nothing/stop", json={}).status_code == 404
        assert page.post("/jobs", json={"kind": "mischief"}).status_code == 422

    @pytest.mark.slow
    def test_nonsense_beside_a_result_is_refused(self, page: Client) -> None:
        job = ended(page, "envelope", {})
        for now in ("-1", "nan", "1e9", "x"):
            assert page.get(f"/jobs/{job['id']}/result?view=envelope&now={now}").status_code == 422, now


class TestJobs:
    """The keeper of long work by itself, with work that waits to be let go."""

    @pytest.fixture
    def jobs(self) -> Iterator[Jobs]:
        made = Jobs()
        yield made
        made.close()

    def held(self) -> tuple[threading.Event, threading.Event, Any]:
        started, go = threading.Event(), threading.Event()

        def work(progress: Progress) -> str:
            for i in range(1000):
                progress(i, 1000)
                started.set()
                go.wait(0.01)
            return "whole"

        return started, go, work

    def test_a_running_job_tells_how_far_and_can_be_stopped(self, jobs: Jobs) -> None:
        started, _, work = self.held()
        job = jobs.start("a", "base", {}, work)
        assert started.wait(5)
        assert job.state == "running"
        assert job.as_dict()["total"] == 1000
        jobs.stop(job)
        assert job.ended.wait(5)
        assert (job.state, job.result) == ("stopped", None)

    def test_a_waiting_job_is_stopped_before_it_starts(self, jobs: Jobs) -> None:
        started, _, work = self.held()
        first = jobs.start("a", "base", {}, work)
        second = jobs.start("a", "base", {"x": "1"}, work)
        assert started.wait(5)
        jobs.stop(second)
        assert second.ended.is_set()
        assert second.state == "stopped"
        assert first.state == "running"

    def test_the_same_question_is_the_same_job_until_it_was_stopped(self, jobs: Jobs) -> None:
        started, _, work = self.held()
        job = jobs.start("a", "base", {"x": "1"}, work)
        assert jobs.start("a", "base", {"x": "1"}, work) is job
        assert jobs.start("a", "other", {"x": "1"}, work) is not job
        assert started.wait(5)
        jobs.stop(job)
        assert jobs.start("a", "base", {"x": "1"}, work) is not job

    def test_faults_are_findings(self, jobs: Jobs) -> None:
        def refuses(_: Progress) -> None:
            raise DomainError("bore is negative", argument="bore")

        def breaks(_: Progress) -> None:
            raise ZeroDivisionError("by nothing")

        first, second = jobs.start("a", "1", {}, refuses), jobs.start("a", "2", {}, breaks)
        assert first.ended.wait(5)
        assert second.ended.wait(5)
        assert [job.state for job in (first, second)] == ["failed", "failed"]
        assert first.findings[0].message == "bore is negative"
        assert "ZeroDivisionError: by nothing" in second.findings[0].message

    def test_closing_stops_and_joins(self) -> None:
        jobs = Jobs()
        started, _, work = self.held()
        job = jobs.start("closing", "base", {}, work)
        assert started.wait(5)
        assert [thread for thread in threading.enumerate() if thread.name.startswith("job-closing")]
        jobs.close()
        assert job.state == "stopped"
        assert not [thread for thread in threading.enumerate() if thread.name.startswith("job-closing")]
        assert jobs.start("a", "late", {}, work).state == "stopped"

    @pytest.mark.slow
    def test_work_rests_while_something_moves_and_goes_on(self, jobs: Jobs) -> None:
        steps: list[float] = []

        def work(progress: Progress) -> str:
            for i in range(6):
                steps.append(time.monotonic())
                jobs.make_way()
                progress(i, 6)
            return "whole"

        job = jobs.start("a", "base", {}, work)
        assert job.ended.wait(20)
        assert job.result == "whole"
        assert min(b - a for a, b in pairwise(steps)) >= LINGER

    def test_resting_work_is_stopped_at_once(self, jobs: Jobs) -> None:
        started, _, work = self.held()
        job = jobs.start("a", "base", {}, work)
        assert started.wait(5)
        jobs.make_way()
        jobs.stop(job)
        assert job.ended.wait(5)
        assert job.state == "stopped"

    def test_old_results_are_dropped_but_never_running_work(self, jobs: Jobs) -> None:
        started, _, work = self.held()
        running = jobs.start("slow", "base", {}, work)
        assert started.wait(5)
        first = jobs.start("quick", "0", {}, lambda _: 1)
        for i in range(1, 60):
            jobs.start("quick", str(i), {}, lambda _: 1).ended.wait(5)
        assert jobs.get(first.id) is None
        assert jobs.get(running.id) is running


class TestWriting:
    def sha(self, page: Client) -> str:
        sha: str = shot(page)[0]["sha"]
        return sha

    def test_a_draft_is_written_and_the_saved_build_is_new(self, page: Client, folder: Path) -> None:
        draft = {"dye.concentration": "7e-5 mol/L", "bank.charge_voltage": "9.1 kV"}
        answer = page.post("/write", json={"draft": draft, "sha": self.sha(page)})
        assert answer.status_code == 200
        assert answer.json()["written"] == sorted(draft)
        text = (folder / "laser.toml").read_text("utf-8")
        assert '"7e-5 mol/L"' in text
        assert "# " in text
        head, _ = shot(page)
        assert head["sha"] == answer.json()["sha"]
        assert head["charge"]["saved"] == 9100.0

    def test_the_second_of_two_tabs_is_told_and_nothing_is_overwritten(self, page: Client, folder: Path) -> None:
        sha = self.sha(page)
        assert page.post("/write", json={"draft": {"dye.concentration": "7e-5 mol/L"}, "sha": sha}).status_code == 200
        first = (folder / "laser.toml").read_bytes()
        answer = page.post("/write", json={"draft": {"cell.bore": "9 mm"}, "sha": sha})
        assert answer.status_code == 409
        assert "changed by someone else" in answer.json()["findings"][0]["message"]
        assert (folder / "laser.toml").read_bytes() == first

    def test_an_editor_beside_the_page_counts_as_someone_else(self, page: Client, folder: Path) -> None:
        sha = self.sha(page)
        path = folder / "laser.toml"
        path.write_text(path.read_text("utf-8") + "# a remark\n", "utf-8")
        before = path.read_bytes()
        assert page.post("/write", json={"draft": {"cell.bore": "9 mm"}, "sha": sha}).status_code == 409
        assert path.read_bytes() == before
        assert shot(page)[0]["sha"] != sha

    def test_a_faulty_draft_is_not_written(self, page: Client, folder: Path) -> None:
        before = (folder / "laser.toml").read_bytes()
        draft = {"cell.bore": "9 mm", "bank.capacitance": "1 kV"}
        assert page.post("/write", json={"draft": draft, "sha": self.sha(page)}).status_code == 422
        assert (folder / "laser.toml").read_bytes() == before

    @pytest.mark.parametrize("body", [{"draft": {}, "sha": "0" * 64}, {"draft": {"a": "b"}, "sha": "zz"}, {}])
    def test_a_malformed_write_is_refused(self, page: Client, body: dict[str, Any]) -> None:
        assert page.post("/write", json=body).status_code == 422


class TestStopLine:
    """The awkward answers, in words."""

    def test_nothing_stops(self) -> None:
        free = replace(
            fakes.envelope(), limiting_item=None, stops=(), highest_reason="no judged item reaches its limit"
        )
        line = stop_line(free)
        assert line["text"] == "nothing judged, up to 12.0 kV"
        assert line["voltage"] is None

    def test_a_limit_below_threshold(self) -> None:
        early = replace(fakes.envelope(), threshold_voltage=11e3)
        assert stop_line(early)["detail"].startswith("before it lases")

    def test_nothing_lases(self) -> None:
        dark = replace(fakes.envelope(), threshold_voltage=None, threshold_reason="too much loss")
        assert stop_line(dark)["threshold_text"] == "no threshold: too much loss"


def test_wire_gives_back_what_was_put_in() -> None:
    block = wire.Block()
    places = [block.place(np.array([1.0, np.nan, 3.0])), block.place(np.zeros((2, 2)))]
    head, arrays = wire.read(block.frame({"places": places, "words": "µ ■"}))
    assert head == {"places": [[0, 3], [3, 4]], "words": "µ ■"}
    assert np.array_equal(arrays[:3], np.array([1.0, np.nan, 3.0], dtype=np.float32), equal_nan=True)
    assert len(block.frame({})) % 4 == 0
