"""Sizing a bank on the page: reading a wish, long work, candidates."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
from app.page_client import HERE, Client

from pulsewright.errors import BuildError
from pulsewright.web import create_app, wire
from pulsewright.web.size import FIELDS, read_wish
from pulsewright.workbench import new_bench, open_bench

FEW = {"bores": "7 mm", "arc_lengths": "150 mm", "counts": "2"}


@pytest.fixture
def page(tmp_path: Path) -> Iterator[Client]:
    bench = open_bench(new_bench(tmp_path / "tidewater", "tidewater"))
    with Client(create_app(bench), {"origin": HERE}) as made:
        yield made


def test_the_form_proposes_a_wish_that_can_be_read() -> None:
    wish = read_wish({})
    assert (wish.energy, wish.pulse_length, wish.definition) == (150.0, 1e-5, "1/3")
    assert wish.bores == pytest.approx((5e-3, 6e-3, 7e-3, 8e-3, 10e-3))
    assert wish.counts == (1, 2)
    assert wish.charge_voltages == (500.0, 20e3)


def test_every_fault_of_a_wish_is_told_at_its_entry() -> None:
    with pytest.raises(BuildError) as refused:
        read_wish({"energy": "5 kV", "bores": "7 mm, x", "counts": "two", "gas": "air", "lowest": ""})
    told = {finding.path: finding for finding in refused.value.findings}
    assert list(told) == ["energy", "gas", "bores", "counts", "lowest"]
    assert all(finding.next_step for finding in told.values())


def test_the_sheet_has_an_entry_for_each_part_of_the_wish(page: Client) -> None:
    html = page.get("/sheet/size").text
    for field in FIELDS:
        assert f'<label for="w-{field.key}">{field.words}</label>' in html
    assert "Each of these banks can kill" in html
    assert "pulsewright size bank --help" in html


@pytest.mark.slow
def test_candidates_are_long_work_that_a_reload_finds(page: Client) -> None:
    assert page.post("/jobs", json={"kind": "size", "draft": FEW, "start": False}).json()["state"] == "none"
    job = page.post("/jobs", json={"kind": "size", "draft": FEW}).json()
    assert page.app.state.desk.jobs.get(job["id"]).ended.wait(120)
    again = page.post("/jobs", json={"kind": "size", "draft": FEW, "start": False}).json()
    assert (again["id"], again["state"], again["done"]) == (job["id"], "done", again["total"])
    head, _ = wire.read(page.get(f"/jobs/{job['id']}/result?view=size").content)
    told = head["sizing"]
    assert "combinations are inside every limit; the pulse length is the third maximum" in told
    assert told.count('class="candidate"') == 6
    assert "2 of 7.00 mm by 150 mm, xenon 450 torr, series" in told
    assert "by the plasma" in told


def test_a_wish_that_is_none_fails_with_findings(page: Client) -> None:
    job = page.post("/jobs", json={"kind": "size", "draft": {"energy": "-5 J"}}).json()
    assert page.app.state.desk.jobs.get(job["id"]).ended.wait(60)
    ended = page.get(f"/jobs/{job['id']}").json()
    assert ended["state"] == "failed"
    assert ended["findings"][0]["path"] == "energy"
