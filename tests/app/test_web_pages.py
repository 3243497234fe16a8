"""Pages without a browser: every sheet of every bench, faulty files, links whose build has changed, paper."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from app.page_client import HERE, Client, unmodelled

from pulsewright.machine.schema import SECTIONS
from pulsewright.web import create_app
from pulsewright.web.sheets import SHEETS
from pulsewright.workbench import BENCHES, new_bench, open_bench


def client(folder: Path) -> Client:
    return Client(create_app(open_bench(folder)))


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return new_bench(tmp_path / "tidewater", "tidewater")


@pytest.fixture(scope="module")
def folders(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    root = tmp_path_factory.mktemp("benches")
    return {name: new_bench(root / name, name) for name in BENCHES}


@pytest.mark.parametrize("name", BENCHES)
def test_every_sheet_of_every_bench_opens(folders: dict[str, Path], name: str) -> None:
    page = client(folders[name])
    for view, sheet in SHEETS.items():
        answer = page.get(f"/sheet/{view}")
        assert answer.status_code == 200, view
        assert f"<title>{sheet.name}: {name}</title>" in answer.text
        assert page.get(f"/part/{view}").text.strip() in answer.text


@pytest.mark.parametrize("name", BENCHES)
def test_every_entry_stands_on_exactly_one_sheet(folders: dict[str, Path], name: str) -> None:
    page = client(folders[name])
    shown: list[str] = []
    for view in SHEETS:
        shown += re.findall(r'<li class="entry[^"]*" data-path="([^"]+)"', page.get(f"/part/{view}").text)
    wanted = [row["path"] for row in open_bench(folders[name]).entry_rows()]
    assert len(shown) == len(set(shown))
    assert set(wanted) <= set(shown)


def test_start_goes_to_the_shot_and_keeps_the_query(folder: Path) -> None:
    answer = client(folder).get("/?pin=dye.concentration")
    assert (answer.status_code, answer.headers["location"]) == (303, "/sheet/shot?pin=dye.concentration")


def test_an_entry_shows_unit_range_basis_and_source(folder: Path) -> None:
    html = client(folder).get("/part/bank").text
    entry = html[html.index('data-path="bank.capacitance"') : html.index('data-path="bank.charge_voltage"')]
    for words in ('value="4 uF"', "± 200 nF", "data sheet: ", "Allowed: above 0", 'aria-pressed="false"'):
        assert words in entry


def test_estimates_look_like_estimates_and_unknowns_are_said(folders: dict[str, Path]) -> None:
    html = client(folders["tidewater"]).get("/part/bank").text
    assert re.search(r'class="entry estimate" data-path="loop.inductance"', html)
    assert "≈ estimated" in html
    absent = client(folders["lanternroom"]).get("/part/bank").text
    assert 'placeholder="not known"' in absent


def test_choices_that_are_not_computed_say_so(folder: Path) -> None:
    """Every word is computed now: take one back."""
    field = SECTIONS["resonator"].fields["tuning"]
    whole = field.modelled
    object.__setattr__(field, "modelled", whole - {"prism"})
    try:
        html = client(folder).get("/part/resonator").text
    finally:
        object.__setattr__(field, "modelled", whole)
    assert '<option value="prism">prism (not computed yet)</option>' in html
    assert '<option value="grating">grating</option>' in html


@pytest.mark.parametrize("view", ["nowhere", "../bank", "%00", "x" * 200])
def test_a_sheet_that_is_not_there(folder: Path, view: str) -> None:
    answer = client(folder).get(f"/sheet/{view}", headers={"accept": "text/html"})
    assert answer.status_code == 404
    assert "Traceback" not in answer.text


class TestFaultyFile:
    FAULTS = (
        ('capacitance = { value = "4 uF"', 'capacitence = { value = "4 uF"'),
        ('"9.5 kV"', '"9.5 kA"'),
        ('bore = { value = "8 mm"', 'bore = { value = "-8 mm"'),
    )

    def spoil(self, folder: Path) -> None:
        text = (folder / "laser.toml").read_text("utf-8")
        for right, wrong in self.FAULTS:
            assert right in text
            text = text.replace(right, wrong, 1)
        (folder / "laser.toml").write_text(text, "utf-8")

    def test_the_page_opens_and_lists_every_fault_with_its_line(self, folder: Path) -> None:
        self.spoil(folder)
        before = (folder / "laser.toml").read_bytes()
        answer = client(folder).get("/sheet/lamps")
        assert answer.status_code == 200
        lines = before.decode().splitlines()
        for number in (
            n for n, line in enumerate(lines, 1) if "capacitence" in line or '"9.5 kA"' in line or '"-8 mm"' in line
        ):
            assert f"line {number}:" in answer.text
        assert "Perhaps &#34;capacitance&#34; was meant" in answer.text
        assert "9.5 kA is a current" in answer.text
        assert "capacitence = {" in answer.text
        assert "This laser can kill" in answer.text
        assert (folder / "laser.toml").read_bytes() == before

    def test_everything_else_refuses_with_findings(self, folder: Path) -> None:
        self.spoil(folder)
        page = client(folder)
        shot = page.post("/shot", json={"view": "bank"}, headers={"origin": HERE})
        assert shot.status_code == 422
        assert {row["path"] for row in shot.json()["findings"]} >= {"bank.capacitance", "bank.charge_voltage"}
        assert page.get("/paper").status_code == 200
        safety = page.get("/safety", headers={"accept": "text/html"})
        assert safety.status_code == 422
        assert "bank.capacitance" in safety.text

    def test_mended_on_disk_it_comes_back_without_a_new_start(self, folder: Path) -> None:
        right = (folder / "laser.toml").read_text("utf-8")
        self.spoil(folder)
        page = client(folder)
        assert "cannot be used yet" in page.get("/sheet/bank").text
        (folder / "laser.toml").write_text(right, "utf-8")
        assert "cannot be used yet" not in page.get("/sheet/bank").text

    @pytest.mark.parametrize(
        "content", [b"\x00\xff\x80 binary", b"this is not toml = = =", b"", b"x" * (2 * 1024 * 1024)]
    )
    def test_what_is_no_build_file_at_all(self, folder: Path, content: bytes) -> None:
        (folder / "laser.toml").write_bytes(content)
        answer = client(folder).get("/sheet/bank")
        assert answer.status_code == 200
        assert "✕ error" in answer.text
        assert len(answer.text) < 60_000

    def test_a_file_that_was_taken_away(self, folder: Path) -> None:
        page = client(folder)
        (folder / "laser.toml").unlink()
        answer = page.get("/sheet/bank")
        assert answer.status_code == 200
        assert "✕ error" in answer.text


class TestDraftInTheAddress:
    def fingerprint(self, folder: Path) -> str:
        build = open_bench(folder).build
        assert build is not None
        return build.values_fingerprint

    def test_a_link_of_this_build_is_laid_over_it(self, folder: Path) -> None:
        query = f"build={self.fingerprint(folder)}&set=dye.concentration~8e-5 mol/L"
        html = client(folder).get(f"/sheet/dye?{query}").text
        assert re.search(r'class="entry changed" data-path="dye.concentration" data-saved="6e-5 mol/L"', html)
        assert 'value="8e-5 mol/L"' in html
        assert 'id="stale"' not in html

    def test_a_link_of_another_build_is_not_applied_and_offers_choices(self, folder: Path) -> None:
        query = "build=0123456789abcdef&set=dye.concentration~8e-5 mol/L&set=dye.nothing~1&pin=bank.capacitance"
        html = client(folder).get(f"/sheet/dye?{query}").text
        assert "This link was made on another state of tidewater" in html
        assert 'value="6e-5 mol/L"' in html
        assert "there is no such entry now" in html
        links = re.findall(r'class="button" href="([^"]+)"', html)
        assert len(links) == 2
        assert f"build={self.fingerprint(folder)}" in links[0]
        assert "set=dye.concentration" in links[0]
        assert "set=" not in links[1]
        assert all("pin=bank.capacitance" in link for link in links)

    def test_a_draft_that_cannot_be_read_still_opens_the_sheet(self, folder: Path) -> None:
        answer = client(folder).get("/sheet/bank?set=bank.capacitance~5 kV&set=nonsense&set=a~b&set=~")
        assert answer.status_code == 200
        assert 'value="5 kV"' in answer.text

    def test_text_of_a_link_is_never_markup(self, folder: Path) -> None:
        nasty = "<img src=x onerror=alert(1)>'\""
        html = client(folder).get("/sheet/bank", params={"set": f"bank.note~{nasty}", "pin": nasty}).text
        assert "<img" not in html
        assert "alert(1)>'" not in html


class TestPaper:
    @pytest.mark.slow
    def test_cautions_come_first_and_everything_is_on_it(self, folder: Path) -> None:
        html = client(folder).get("/paper?set=dye.concentration~8e-5 mol/L").text
        order = [
            html.index(words) for words in ("This laser can kill", "Hazards of this laser", "One shot at", "Margins")
        ]
        assert order == sorted(order)
        assert html.count("<svg") >= 25
        assert "What stops you" in html
        assert re.search(r"<th scope=\"row\">dye.concentration</th><td>6e-5 mol/L</td><td>8e-5 mol/L</td>", html)
        assert "<script" not in html
        beams = re.findall(r'class="beam-fill"[^>]* fill="([^"]+)"', html)
        assert beams
        assert all(re.fullmatch(r"#ff[89a-f][0-9a-f]00", beam) for beam in beams)

    def test_a_bench_that_is_not_computed_still_prints(self, folder: Path) -> None:
        unmodelled(folder)
        html = client(folder).get("/paper").text
        assert "not modelled" in html
        assert "Entries" in html


@pytest.mark.parametrize("view", ["bank", "lamps", "dye", "train"])
def test_no_sheet_with_a_hazard_is_without_a_caution_even_where_no_shot_is_computed(
    folders: dict[str, Path], view: str
) -> None:
    for name in BENCHES:
        html = client(folders[name]).get(f"/part/{view}").text
        assert html.count('class="caution"') == 1


class TestFormulas:
    def test_the_shelf_lists_and_computes(self, folder: Path) -> None:
        page = client(folder)
        assert "stored_energy" in page.get("/sheet/formulas").text
        html = page.get("/formulas/stored_energy", params={"arg-capacitance": "5 uF", "arg-voltage": "10 kV"}).text
        assert "250.0 J" in html
        assert "E = C V^2 / 2" in html

    def test_wrong_arguments_are_findings(self, folder: Path) -> None:
        html = client(folder).get("/formulas/stored_energy", params={"arg-capacitance": "5 kV"}).text
        assert "5 kV is a voltage" in html
        assert "is missing" in html

    def test_a_formula_that_is_not_there(self, folder: Path) -> None:
        html = client(folder).get("/formulas/stored_enrgy").text
        assert "stored_energy" in html
        assert "there is no formula of this name" in html

    def test_the_shelf_opens_on_a_faulty_bench(self, folder: Path) -> None:
        (folder / "laser.toml").write_text("schema = 1\n", "utf-8")
        assert client(folder).get("/formulas/stored_energy").status_code == 200


def test_looks_are_taken_from_the_cookie_and_only_known_ones(folder: Path) -> None:
    page = client(folder)
    assert '<html lang="en" data-look="dim">' in page.get("/sheet/bank", headers={"cookie": "look=dim"}).text
    assert '<html lang="en">' in page.get("/sheet/bank", headers={"cookie": 'look="><script>'}).text
