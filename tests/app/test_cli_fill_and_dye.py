"""`study fill` and `size dye` on the command line: what they print, write and refuse."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from pulsewright import cli

QUICK = ("--set", "chamber.light_method=closed form")
SMALL = ("--concentration", "4e-5 mol/L, 8e-5 mol/L", "--reflectivity", "0.4, 0.7", "--bore", "8 mm")


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("benches") / "tidewater"
    assert run("new", str(folder)).exit_code == 0
    return folder


def run(*arguments: str) -> Result:
    return CliRunner().invoke(cli.app, list(arguments))


def flat(words: str) -> str:
    """The same without line breaks."""
    return " ".join(words.split())


# study fill ------------------------------------------------------------------------------------


@pytest.mark.slow
def test_study_fill_prints_the_life_of_the_fill(bench: Path) -> None:
    done = run("study", "fill", str(bench), *QUICK, "--shots", "500", "--fraction", "0.8")
    assert done.exit_code == 0, done.output
    words = flat(done.output)
    for told in (
        "closed loop, loop main, 500 shots",
        "to 80 % of the first shot: after",
        "solution for 500 shots",
        "Filter against ultraviolet",
        "evaporation",
        "the dose to half output is a bracket",
        "Caution: Spent solution",
    ):
        assert told in words
    assert max(len(line) for line in done.output.splitlines()) <= 80


@pytest.mark.slow
def test_study_fill_as_json_and_csv(bench: Path, tmp_path: Path) -> None:
    place = tmp_path / "fill.csv"
    done = run("study", "fill", str(bench), *QUICK, "--shots", "4", "--json", "--csv", str(place))
    told = json.loads(done.output)
    assert told["shots"] == 4
    rows = list(csv.DictReader(io.StringIO(place.read_text("utf-8"))))
    assert [float(row["shot_number [-]"]) for row in rows] == [1.0, 2.0, 3.0, 4.0]
    assert [float(row["output_energy [J]"]) for row in rows] == told["arrays"]["output_energy"]["values"]


@pytest.mark.parametrize(
    ("options", "words", "code"),
    [
        (("--shots", "0"), "0 shots cannot be followed", 1),
        (("--shots", "many"), "is not a valid integer", 2),
        (("--fraction", "1.5"), "1.5 is no part", 1),
        (("--loop", "mian"), "Perhaps main was meant", 1),
        (("--charge", "9"), "9 has no unit", 1),
        (("--set", "loops.main.volume=1 cm^3"), "less than the cell alone holds", 1),
        (("--set", "loops.main.method=regenerated"), "the flow of the carbon bed is not known", 1),
    ],
)
def test_study_fill_refuses(bench: Path, options: tuple[str, ...], words: str, code: int) -> None:
    done = run("study", "fill", str(bench), *options)
    assert done.exit_code == code
    assert words in flat(done.output)
    assert "Traceback" not in done.output


# size dye --------------------------------------------------------------------------------------


@pytest.mark.slow
def test_size_dye_prints_the_map_and_how_flat_it_is(bench: Path) -> None:
    done = run("size", "dye", str(bench), *QUICK, "--bore", "6 mm, 8 mm")
    words = flat(done.output)
    for told in (
        "dye, coupler and bore at 9.50 kV",
        "as it is",
        "within 5 % of the best",
        "threshold at",
        "Best of each bore",
        "excited state absorption",
        "Caution:",
    ):
        assert told in words
    assert done.exit_code in (0, 1)  # 1 where the best point exceeds a limit, which is told
    assert (done.exit_code == 1) == ("limit optics." in words)
    assert max(len(line) for line in done.output.splitlines()) <= 80


@pytest.mark.slow
def test_size_dye_writes_a_bench_that_checks(bench: Path, tmp_path: Path) -> None:
    place = tmp_path / "sized"
    done = run("size", "dye", str(bench), *QUICK, *SMALL, "--charge", "9 kV", "--write", str(place))
    assert f"Made {place}" in done.output.replace("\n", "")
    assert run("check", str(place)).exit_code in (0, 1)
    text = (place / "laser.toml").read_text("utf-8")
    assert "sized; not measured yet" in text
    assert 'value = "9 kV"' in text
    again = run("size", "dye", str(bench), *QUICK, *SMALL, "--write", str(place))
    assert again.exit_code == 1
    assert "exists already" in flat(again.output)


@pytest.mark.slow
def test_size_dye_as_json(bench: Path) -> None:
    told = json.loads(run("size", "dye", str(bench), *QUICK, *SMALL, "--json").output)
    assert told["concentration"] == pytest.approx([0.04, 0.08])
    assert len(told["output_energy"][0]) == 2
    assert told["best"]["output_energy"] > 0


@pytest.mark.parametrize(
    ("options", "words", "code"),
    [
        (("--concentration", "6"), "6 has no unit", 1),
        (("--concentration", "1e-5 mol/L:1e-4 mol/L"), "FIRST:LAST:NUMBER", 1),
        (("--reflectivity", "85"), "absurdly large", 1),
        (("--reflectivity", "0.5, 1.0"), "lets nothing out", 1),
        (("--bore", "60 mm"), "inside the reflector", 1),
        (("--bore",), "requires an argument", 2),
    ],
)
def test_size_dye_refuses(bench: Path, options: tuple[str, ...], words: str, code: int) -> None:
    done = run("size", "dye", str(bench), *options)
    assert done.exit_code == code
    assert words in flat(done.output)
    assert "Traceback" not in done.output
