"""The command on a real bench: what it prints and writes is what the workbench computed; bad input never hurts."""

from __future__ import annotations

import csv
import hashlib
import io
import json
import xml.etree.ElementTree as ET
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from click.testing import CliRunner, Result

import pulsewright as pw
from pulsewright import cli

BELOW_THRESHOLD = "5 kV"


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("benches") / "tidewater"
    assert run("new", str(folder)).exit_code == 0
    return folder


@pytest.fixture(scope="module")
def shot_json(bench: Path) -> dict[str, Any]:
    told: dict[str, Any] = json.loads(run("shot", str(bench), "--json", "--waveforms").output)
    return told


def run(*arguments: str) -> Result:
    return CliRunner().invoke(cli.app, list(arguments))


def flat(words: str) -> str:
    """The same without line breaks."""
    return " ".join(words.split())


def fingerprint(folder: Path) -> dict[str, str]:
    """Every file of a folder with the hash of what it holds."""
    return {
        str(path.relative_to(folder)): hashlib.sha256(path.read_bytes()).hexdigest()
        for path in folder.rglob("*")
        if path.is_file()
    }


# What is computed -------------------------------------------------------------------------------


def test_the_demo_bench_is_sound(bench: Path) -> None:
    done = run("check", str(bench))
    assert done.exit_code == 0, done.output


def test_json_and_library_give_the_same_shot(bench: Path, shot_json: dict[str, Any]) -> None:
    shot = pw.open(bench).shot()
    for key, value in shot.summary.items():
        told = shot_json["summary"][key]
        assert told["unit"] == value.unit
        expected = None if value.value is None else pytest.approx(value.value, rel=1e-6)
        assert told["value"] == expected, key
    assert set(shot_json["waveforms"]) == set(shot.arrays)
    assert shot_json["provenance"]["values_fingerprint"] == shot.provenance.values_fingerprint


def test_json_holds_every_promised_summary_key(shot_json: dict[str, Any]) -> None:
    promised = {"stored_energy", "peak_current", "lamp_energy", "radiated_energy", "absorbed_pump_energy"}
    promised |= {"output_energy", "pulse_width", "peak_power", "wavelength", "efficiency"}
    assert promised <= set(shot_json["summary"])
    low, high = shot_json["summary"]["output_energy"]["interval_90"]
    assert low <= shot_json["summary"]["output_energy"]["value"] <= high
    for row in shot_json["margins"]:
        assert set(row) >= {"item", "stress", "limit", "ratio", "probability", "source"}
        assert row["ratio"] == pytest.approx(row["stress"]["value"] / row["limit"]["value"], rel=1e-9)


def test_charge_and_overrides_reach_the_shot(bench: Path) -> None:
    told = json.loads(run("shot", str(bench), "--charge", "8 kV", "--set", "bank.capacitance=5 uF", "--json").output)
    assert told["summary"]["stored_energy"]["value"] == pytest.approx(0.5 * 5e-6 * 8000.0**2)
    assert told["start"]["overrides"] == {"bank.capacitance": "5 uF"}
    assert "bank.capacitance" in told["provenance"]["layers"]


@pytest.mark.parametrize("micro", ["u", "\u00b5", "\u03bc"])
def test_both_micro_signs_and_a_plain_u_are_read(bench: Path, micro: str) -> None:
    told = json.loads(
        run("shot", str(bench), "--no-interval", "--set", f"bank.capacitance=4 {micro}F", "--json").output
    )
    assert told["summary"]["stored_energy"]["value"] == pytest.approx(0.5 * 4e-6 * 9500.0**2)


def test_exit_code_follows_the_limits(bench: Path) -> None:
    for charge in (BELOW_THRESHOLD, "12 kV"):
        done = run("shot", str(bench), "--charge", charge, "--no-interval", "--json")
        over = [row["item"] for row in json.loads(done.output)["margins"] if row["ratio"] >= 1.0]
        assert (done.exit_code == 1) is bool(over), charge
    assert over, "at the highest voltage of the charger some limit must be exceeded, or this test tests nothing"


def test_the_page_of_a_real_shot_fits_80_columns_and_says_each_caution_once(bench: Path) -> None:
    page = run("shot", str(bench)).output
    assert max(len(line) for line in page.splitlines()) <= 80
    for caution in pw.open(bench).shot(interval=False).cautions:
        assert flat(page).count(flat(caution.words.rstrip("."))) == 1


def test_a_shot_below_threshold_has_no_wavelength(bench: Path) -> None:
    done = run("shot", str(bench), "--charge", BELOW_THRESHOLD, "--no-interval")
    assert "Outcome: below threshold (" in done.output
    assert "wavelength" in done.output
    told = json.loads(run("shot", str(bench), "--charge", BELOW_THRESHOLD, "--no-interval", "--json").output)
    assert told["outcome"] == "below threshold"
    assert told["summary"]["wavelength"]["value"] is None
    assert told["summary"]["wavelength"]["reason"]


def test_csv_holds_the_arrays(bench: Path, tmp_path: Path) -> None:
    target = tmp_path / "shot.csv"
    run("shot", str(bench), "--no-interval", "--csv", str(target))
    head, *rows = list(csv.reader(io.StringIO(target.read_text("utf-8"))))
    arrays = pw.open(bench).shot(interval=False).arrays
    written = [float(row[head.index("current [A]")] or "nan") for row in rows]
    current = arrays["current"].values
    np.testing.assert_allclose(written[: len(current)], current, rtol=1e-9)
    assert np.isnan(written[len(current) :]).all()
    assert {column.split(" ")[0] for column in head} == set(arrays)


@pytest.mark.slow
def test_figures_are_drawings_with_a_title(bench: Path, tmp_path: Path) -> None:
    for verb, extra in (("shot", ["--no-interval"]), ("envelope", ["--points", "5"])):
        target = tmp_path / f"{verb}.svg"
        run(verb, str(bench), *extra, "--figure", str(target))
        root = ET.parse(target).getroot()
        assert root.tag.endswith("svg")
        words = "".join(root.itertext())
        assert "tidewater" in words
        assert "kV" in words


@pytest.mark.slow
def test_envelope_of_the_demo_answers_its_three_questions(bench: Path) -> None:
    done = run("envelope", str(bench), "--points", "25", "--json")
    told = json.loads(done.output)
    assert done.exit_code == 0
    assert len(told["points"]) == 25
    assert 5e3 < told["threshold_voltage"] < told["highest_voltage_within_limits"] < 12e3
    assert set(told["limiting_item"]) >= {"item", "limit", "source"}
    below = [point["output_energy"] for point in told["points"] if point["charge_voltage"] < told["threshold_voltage"]]
    assert max(below) < 1e-3 * max(point["output_energy"] for point in told["points"])


@pytest.mark.slow
def test_documents_name_every_array_and_summary_value_of_a_shot(
    bench: Path, shot_json: dict[str, Any], project_root: Path
) -> None:
    words = (project_root / "docs" / "records.md").read_text("utf-8")
    shot_part, envelope_part = words.split("## Arrays of an envelope")
    rows = [f"| `{name}` | {', '.join(a['axes'])} | {a['unit']} |" for name, a in shot_json["waveforms"].items()]
    rows += [f"| `{name}` | {value['unit']} |" for name, value in shot_json["summary"].items()]
    assert [row for row in rows if row not in shot_part] == []
    envelope = pw.open(bench).envelope(points=2)
    rows = [f"| `{name}` | {', '.join(array.axes)} | {array.unit} |" for name, array in envelope.arrays.items()]
    assert [row for row in rows if row not in envelope_part] == []


def test_what_is_not_modelled_is_refused_by_name(tmp_path: Path) -> None:
    for name in ("lanternroom", "longwave", "millpond"):
        folder = tmp_path / name
        run("new", str(folder), "--from", name)
        checked = json.loads(run("check", str(folder), "--json").output)
        refused = [row for row in checked["findings"] if "not modelled" in row["message"] and row["grade"] == "error"]
        done = run("shot", str(folder), "--no-interval")
        if refused:
            assert done.exit_code == 1
            assert refused[0]["path"] in flat(done.stderr)
        else:
            assert "Outcome: " in done.output


# Bad input --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["--charge", "0 V"], "charge_voltage"),
        (["--charge", "1e9 V"], "1e9 V"),
        (["--charge", "9,5 kV"], "decimal comma"),
        (["--charge", "9500"], "has no unit"),
        (["--charge", "9.5 kA"], "9.5 kA"),
        (["--charge", "NaN V"], "not a finite number"),
        (["--set", "dye.concentraton=6e-5 mol/L"], 'Perhaps "dye.concentration" was meant'),
        (["--set", "dye.concentration=6e-5"], "has no unit"),
        (["--set", "dye.name=rhodamin 6G"], 'Perhaps "rhodamine 6G" was meant'),
        (["--set", "resonator.length=-4 mm"], "-4 mm"),
        (["--set", "optics.coupler.reflectivity=0"], "optics.coupler.reflectivity"),
        (["--set", "optics.coupler.reflectivity=1.2"], "optics.coupler.reflectivity"),
        (["--set", "bank.capacitance=4 MF"], "bank.capacitance"),
    ],
)
def test_a_bad_value_is_a_finding_and_nothing_is_written(
    bench: Path, tmp_path: Path, arguments: list[str], said: str
) -> None:
    before = fingerprint(bench)
    done = run("shot", str(bench), *arguments, "--csv", str(tmp_path / "shot.csv"))
    assert done.exit_code == 1
    assert done.stdout == ""
    assert done.stderr.startswith("error ")
    assert said in flat(done.stderr)
    assert "Traceback" not in done.output
    assert list(tmp_path.iterdir()) == []
    assert fingerprint(bench) == before


@pytest.mark.parametrize(
    "arguments",
    [
        ["--from", "9 kV", "--to", "8 kV"],
        ["--from", "9 kV", "--to", "9 kV"],
        ["--points", "1"],
        ["--points", "0"],
        ["--points", "-3"],
        ["--points", "1000000"],
        ["--from", "0 V"],
        ["--from", "-5 kV"],
        ["--to", "8 kW"],
        ["--set", "bank.nothing=1 V"],
    ],
)
def test_a_bad_range_is_a_finding(bench: Path, tmp_path: Path, arguments: list[str]) -> None:
    done = run("envelope", str(bench), *arguments, "--figure", str(tmp_path / "envelope.svg"))
    assert done.exit_code == 1
    assert done.stdout == ""
    assert done.stderr.startswith("error ")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    ("content", "said"),
    [
        (None, "there is no such file"),
        (b"this is not toml", "not TOML"),
        (bytes(range(256)) * 20, "not a text file"),
        (b"#" * 50_000_000, "50 MB"),
        (b"", ""),
        (b"schema = 1\n", ""),
    ],
)
@pytest.mark.parametrize("verb", ["check", "shot", "envelope", "safety"])
def test_a_file_that_is_no_build_file(tmp_path: Path, verb: str, content: bytes | None, said: str) -> None:
    if content is not None:
        (tmp_path / "laser.toml").write_bytes(content)
    before = fingerprint(tmp_path)
    extra = ["--sheet"] if verb == "safety" else []
    done = run(verb, str(tmp_path), *extra)
    assert done.exit_code == 1
    assert said in flat(done.output)
    assert "internal fault" not in done.output
    assert "Traceback" not in done.output
    assert fingerprint(tmp_path) == before


def test_several_faults_are_told_together(bench: Path, tmp_path: Path) -> None:
    words = (bench / "laser.toml").read_text("utf-8")
    words = words.replace('"9.5 kV"', '"9,5 kV"').replace("[cell]\n", "[cell]\nbroe = 3\n")
    assert words.count("9,5 kV") == words.count("broe") == 1
    (tmp_path / "laser.toml").write_text(words, "utf-8")
    done = run("check", str(tmp_path))
    assert done.exit_code == 1
    assert "bank.charge_voltage" in done.output
    assert "cell.broe" in done.output
    assert "bore" in done.output


def test_new_never_touches_a_folder_that_is_there(bench: Path) -> None:
    before = fingerprint(bench)
    done = run("new", str(bench))
    assert done.exit_code == 1
    assert done.stderr.startswith("error ")
    assert fingerprint(bench) == before


def test_an_unknown_example_gets_the_nearest_name(tmp_path: Path) -> None:
    done = run("new", str(tmp_path / "x"), "--from", "tidewatr")
    assert done.exit_code == 1
    assert "Did you mean tidewater" in flat(done.stderr)
    assert list(tmp_path.iterdir()) == []


def test_the_safety_sheet_names_what_to_do_at_a_misfire(bench: Path, tmp_path: Path) -> None:
    target = tmp_path / "sheet.html"
    assert run("safety", str(bench), "--sheet", str(target)).exit_code == 0
    words = target.read_text("utf-8").casefold()
    for step in ("before charging", "between shots", "misfire", "shut-down", "dump", "short"):
        assert step in words


def test_a_voltage_too_high_is_told_as_it_was_given(bench: Path) -> None:
    """A number of the command line stands in a finding as a person writes it."""
    found = flat(run("shot", str(bench), "--charge", "17 kV", "--no-interval").output)
    assert "bank.charge_voltage: 17 kV is above" in found
