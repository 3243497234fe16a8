"""Light and dye on the page: fine maps, pictures, the life of a fill, sizing the dye; answers of a made-up bench."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from app.page_client import HERE, Client

from pulsewright.drawing.fields import shot_fields
from pulsewright.records import Array, Caution
from pulsewright.web import create_app, fill_words, wire
from pulsewright.web.works import FORM, WORKS, parted, read_form
from pulsewright.workbench import Bench, new_bench, open_bench

SHOTS = np.array([1.0, 10.0, 100.0, 1000.0])


def fill_life(shots: int = 1000) -> Any:
    """A fill in the shape that the study gives."""
    on = ("shot_number",)
    output = Array(np.array([1.0, 0.99, 0.95, 0.7]), "J", on)
    return SimpleNamespace(
        method="closed loop",
        shots=shots,
        arrays={
            "shot_number": Array(SHOTS, "-", on),
            "output_energy": output,
            "output_energy_low": Array(output.values * 0.9, "J", on),
            "output_energy_high": Array(output.values * 1.02, "J", on),
        },
        changes=(
            SimpleNamespace(fraction=0.9, shots=321.4, shots_low=120.0, shots_high=None, dose=98e6, reason=""),
            SimpleNamespace(
                fraction=0.5, shots=None, shots_low=None, shots_high=None, dose=None, reason="it settles above"
            ),
        ),
        figures=(
            SimpleNamespace(
                key="volume",
                words="solution",
                value=6e-3,
                low=None,
                high=None,
                unit="m^3",
                quantity="volume",
                source="x",
            ),
            SimpleNamespace(key="k", words="bed", value=None, low=None, high=None, unit="-", quantity="", source="y"),
        ),
        filter=None,
        unknown=("what dust does",),
        findings=(),
        notes=("a note",),
        cautions=(Caution("spent dye", "Toxic.", "Gloves."),),
    )


def place(concentration: float, reflectivity: float, bore: float, energy: float, ratio: float | None) -> Any:
    return SimpleNamespace(
        concentration=concentration,
        reflectivity=reflectivity,
        bore=bore,
        output_energy=energy,
        ratio=ratio,
        evenness=0.8,
        efficiency=0.01,
    )


def sizing() -> Any:
    """A sizing in the shape that the study gives: two bores, three concentrations, two couplers."""
    energy = np.array([[[0.0, 0.5], [0.8, 1.0], [0.97, 0.6]], [[0.0, 0.1], [0.2, 0.3], [0.3, 0.2]]])
    best = place(0.08, 0.7, 6e-3, 1.0, 1.4)
    return SimpleNamespace(
        charge_voltage=9500.0,
        coupler="coupler",
        bore=np.array([6e-3, 8e-3]),
        concentration=np.array([0.04, 0.08, 0.16]),
        reflectivity=np.array([0.5, 0.7]),
        output_energy=energy,
        ratio=np.where(energy > 0.9, 1.4, np.nan),
        evenness=np.ones((2, 3)),
        here=place(0.06, 0.6, 8e-3, 0.2, None),
        best=best,
        best_within=None,
        best_of_bore=(best, place(0.16, 0.5, 8e-3, 0.3, 0.5)),
        flat=(
            SimpleNamespace(part=0.05, entry="dye.concentration", low=0.07, high=0.16, low_open=False, high_open=True),
        ),
        threshold_voltage=7000.0,
        threshold_margin=1.3,
        stops=(),
        ends=(),
        firm=True,
        changes={"dye.concentration": "8e-5 mol/L", "cell.bore": "6 mm"},
        shots=12,
        findings=(),
        notes=("a note",),
        cautions=("More light.",),
    )


@pytest.mark.parametrize(("sign", "words"), [(-1.0, "fall of the index"), (1.0, "rise of the index")])
def test_a_change_of_index_is_inked_whichever_way_it_goes(sign: float, words: str) -> None:
    time, radius = np.linspace(0.0, 1e-6, 5), np.array([1e-3, 2e-3, 3e-3])
    change = sign * np.outer(time / time[-1], [1.0, 2.0, 3.0]) * 1e-5
    rows = (
        ("heat_time", time, "s"),
        ("heat_radius", radius, "m"),
        ("index_change", change, "-"),
        ("gain_time", time, "s"),
        ("output_power", np.array([0.0, 1.0, 2.0, 1.0, 0.0]), "W"),
    )
    shot: Any = SimpleNamespace(arrays={key: Array(values, unit, (key,)) for key, values, unit in rows}, summary={})
    plan = shot_fields(shot, ("index_change",))[0]
    assert plan.words == words
    assert plan.values.min() == 0.0
    assert plan.values.max() > 1.0


@pytest.fixture
def bench(tmp_path: Path) -> Bench:
    made = open_bench(new_bench(tmp_path / "tidewater", "tidewater"))
    asked: list[Mapping[str, Any]] = []

    def fill(**said: Any) -> Any:
        asked.append(said)
        said["progress"](3, 4)
        return fill_life(said["shots"])

    def size(**said: Any) -> Any:
        asked.append(said)
        return sizing()

    made.fill_life, made.size_dye = fill, size  # type: ignore[method-assign, assignment, attr-defined]
    made.asked = asked  # type: ignore[attr-defined]
    return made


@pytest.fixture
def page(bench: Bench) -> Iterator[Client]:
    with Client(create_app(bench), {"origin": HERE}) as made:
        yield made


def ended(page: Client, kind: str, draft: dict[str, str]) -> dict[str, Any]:
    job = page.post("/jobs", json={"kind": kind, "draft": draft}).json()
    assert page.app.state.desk.jobs.get(job["id"]).ended.wait(60)
    return dict(page.get(f"/jobs/{job['id']}").json())


class TestFill:
    def test_the_form_goes_with_the_draft_and_the_answer_is_told(self, page: Client, bench: Bench) -> None:
        job = ended(page, "fill", {"dye.concentration": "8e-5 mol/L", f"{FORM}shots": "250"})
        assert (job["state"], job["done"], job["total"]) == ("done", 3, 4)
        said = bench.asked[0]  # type: ignore[attr-defined]
        assert (said["shots"], said["overrides"]) == (250, {"dye.concentration": "8e-5 mol/L"})
        head, arrays = wire.read(page.get(f"/jobs/{job['id']}/result?view=loop").content)
        assert head["work"] == "fill"
        for words in (
            "90 %",
            "<strong>321</strong>",
            "120 to never",
            "98.0 kJ/L",
            "it settles above",
            "what dust does",
        ):
            assert words in head["words"]
        assert "<strong>not known</strong>" in head["words"]
        assert "Gloves." in head["words"]
        assert [plot["id"] for plot in head["plots"]] == ["fill_output"]
        line = head["plots"][0]["curves"][0]
        assert arrays[line["low"][0] : sum(line["low"])] == pytest.approx([0.9, 0.891, 0.855, 0.63])
        assert [mark["at"] for mark in head["plots"][0]["marks"]] == [321.4]

    @pytest.mark.parametrize("text", ["0", "-3", "many", "1.5", "1e9", "10000000"])
    def test_a_number_of_shots_that_is_none(self, page: Client, text: str) -> None:
        job = ended(page, "fill", {f"{FORM}shots": text})
        assert job["state"] == "failed"
        assert job["findings"][0]["path"] == "shots to follow"
        assert text in job["findings"][0]["message"]

    def test_counts_of_shots_are_read_in_thousands(self) -> None:
        counts = (3512.0, 561_234.0, 0.3, 9.7)
        assert [fill_words.shot_count(one) for one in counts] == ["3\u202f510", "561\u202f000", "the first", "10"]


class TestSizeDye:
    def test_lists_go_to_the_study_in_si(self, page: Client, bench: Bench) -> None:
        draft = {f"{FORM}bores": "6 mm, 8 mm", f"{FORM}reflectivities": "0.5,0.7", f"{FORM}concentrations": " "}
        assert ended(page, "size-dye", draft)["state"] == "done"
        said = bench.asked[0]  # type: ignore[attr-defined]
        assert said["bores"] == pytest.approx([6e-3, 8e-3])
        assert said["reflectivities"] == pytest.approx([0.5, 0.7])
        assert "concentrations" not in said

    def test_the_map_marks_best_over_and_dark_and_frames_what_is_flat(self) -> None:
        first, second = fill_words.dye_heats(sizing())
        assert first.marks == [["○", "", "■"], ["", "★■", ""]]
        assert first.inside == [[False, False, True], [False, True, False]]
        assert first.here is None
        assert second.here == pytest.approx((6.0, 0.6))
        assert second.x_words == "concentration (10⁻⁵ mol/L)"
        assert not any(any(row) for row in second.inside)

    def test_the_best_within_the_limits_is_offered_first(self) -> None:
        found = sizing()
        found.best_within = place(0.04, 0.7, 8e-3, 0.1, 0.7)
        words = fill_words.size_dye(found, {"cell.bore": "8 mm"})
        assert words.index("within the limits over the draft") < words.index("Lay the best over")
        assert "[&#34;optics.coupler.reflectivity&#34;, &#34;0.7&#34;, &#34;&#34;]" in words

    def test_the_answer_is_told_and_can_be_laid_over_the_draft(self, page: Client) -> None:
        job = ended(page, "size-dye", {})
        head, _ = wire.read(page.get(f"/jobs/{job['id']}/result?view=size_dye").content)
        words = head["words"]
        assert head["work"] == "size_dye"
        assert "[&#34;dye.concentration&#34;, &#34;8e-5 mol/L&#34;, &#34;6e-5 mol/L&#34;]" in words
        assert "No point is inside the limits of the optics" in words
        assert "not judged" in words
        assert "or more" in words
        assert words.count("<figure") == 2

    @pytest.mark.parametrize(
        ("key", "text", "said"),
        [
            ("bores", "6 kV", "is a voltage"),
            ("bores", "wide", "wide"),
            ("reflectivities", "0.5 mm", "0.5 mm"),
            ("concentrations", ",".join(["1 mol/L"] * 30), "too many"),
        ],
    )
    def test_wrong_lists_are_findings(self, page: Client, key: str, text: str, said: str) -> None:
        job = ended(page, "size-dye", {f"{FORM}{key}": text})
        assert job["state"] == "failed"
        assert said in job["findings"][0]["message"]

    def test_a_form_is_never_taken_for_the_build(self) -> None:
        draft, form = parted({"cell.bore": "8 mm", f"{FORM}bores": "6 mm"})
        assert (draft, form) == ({"cell.bore": "8 mm"}, {"bores": "6 mm"})
        assert read_form(WORKS["fill"], {}) == {"shots": (1000.0,)}


OWN_DYE = """
[dyes.mine]
kindred = "rhodamine 6G"
absorption_file = "absorption.csv"
peak_molar_absorptivity = "1.1e5 L/(mol cm)"
emission_peak = "556 nm"
emission_width = "43 nm"
quantum_yield = 0.92
lifetime = "3.9 ns"

[cells.second]
length = "170 mm"
pumped_length = "100 mm"
pump_share = 0.3
"""


class TestOwnDye:
    @pytest.fixture
    def folder(self, tmp_path: Path) -> Path:
        made = new_bench(tmp_path / "tidewater", "tidewater")
        rows = "\n".join(f"{w},{np.exp(-(((w - 530) / 18) ** 2)):.6f}" for w in range(400, 640, 2))
        (made / "absorption.csv").write_text(f"wavelength (nm),absorption\n{rows}\n", "utf-8")
        with (made / "laser.toml").open("a", encoding="utf-8") as file:
            file.write(OWN_DYE)
        return made

    def test_its_entries_and_those_of_a_further_cell_stand_on_the_dyes_sheet(self, folder: Path) -> None:
        html = Client(create_app(open_bench(folder))).get("/part/dye").text
        for path in (
            "dyes.mine.absorption_file",
            "dyes.mine.quantum_yield",
            "dyes.mine.emission_file",
            "cells.second.length",
        ):
            assert f'data-path="{path}"' in html
        assert '<option value="mine">mine</option>' in html

    def test_a_wrong_file_is_told_at_its_entry_with_its_line(self, folder: Path) -> None:
        (folder / "bad.csv").write_text("530,0.5\n520,x\n", "utf-8")
        with Client(create_app(open_bench(folder)), {"origin": HERE}) as page:
            draft = {"dye.name": "mine", "dyes.mine.absorption_file": "bad.csv"}
            answer = page.post("/shot", json={"view": "dye", "draft": draft})
        assert answer.status_code == 422
        first = answer.json()["findings"][0]
        assert (first["path"], first["line"]) == ("dyes.mine.absorption_file", 2)
