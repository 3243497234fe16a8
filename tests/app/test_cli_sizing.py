"""`size bank` and the studies `bank` and `take-off` on the command line: what they print, write and refuse."""

from __future__ import annotations

import csv
import io
import json
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from pulsewright import cli

QUICK = ("--energy", "150 J", "--pulse-length", "6 us", "--length-means", "1/2", "--fill", "100 torr", "--lamps", "2")


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


# size -------------------------------------------------------------------------------------------


@pytest.mark.slow
def test_size_bank_prints_rule_and_plasma_side_by_side() -> None:
    done = run("size", "bank", *QUICK, "--show", "2")
    assert done.exit_code == 0, done.output
    words = flat(done.output)
    for told in ("rule plasma", "peak current", "margins:", "alpha", "Caution:", "width at half the peak", "Order:"):
        assert told in words
    assert max(len(line) for line in done.output.splitlines()) <= 80


@pytest.mark.slow
def test_size_bank_writes_a_bench_that_checks_and_shoots(tmp_path: Path) -> None:
    place = tmp_path / "sized"
    done = run("size", "bank", *QUICK, "--show", "2", "--write", str(place), "--candidate", "2")
    assert done.exit_code == 0, done.output
    assert run("check", str(place)).exit_code == 0
    shot = run("shot", str(place), "--no-interval", "--json")
    assert json.loads(shot.output)["summary"]["lamp_energy"]["value"] > 100


def test_size_bank_as_json() -> None:
    told = json.loads(run("size", "bank", *QUICK, "--show", "1", "--json").output)
    (one,) = told["candidates"]
    assert told["definition"] == "half maximum"
    assert one["circuit"]["capacitance"] > 0
    assert one["plasma"]["peak_current"] > 0
    assert one["rule"]["lamp_energy"] == pytest.approx(150.0, rel=2e-3)


@pytest.mark.slow
def test_size_bank_from_a_stock_list(tmp_path: Path) -> None:
    shelf = tmp_path / "shelf.txt"
    shelf.write_text("part; capacitance; voltage_rating; count; inductance\nblue can; 2 uF; 15 kV; 4; 40 nH\n", "utf-8")
    done = run("size", "bank", *QUICK, "--stock", str(shelf), "--no-simulation")
    assert "blue can" in done.output, done.output


@pytest.mark.parametrize(
    ("more", "words"),
    [
        (("--length-means", ""), "what the pulse length means is not said"),
        (("--energy", "0 J"), "0 J is not above zero"),
        (("--energy", "150 MJ"), "absurdly large"),
        (("--energy", "150"), "--energy"),
        (("--gas", "xenom"), "Perhaps xenon was meant"),
        (("--alpha", "0"), "the range 0 to 0 is not one"),
        (("--alpha", "50"), "the range 50 to 50 is not one"),
        (("--fill", "0 torr"), "not above zero"),
        (("--bore", "3 mm:4 mm"), "cannot be read"),
        (("--bore", "3 mm:4 mm:x"), "cannot be read"),
        (("--charge", "1 kV:2 kV:3"), "cannot be read"),
        (("--stock", "no-such-file.txt"), "cannot be read"),
        pytest.param(("--candidate", "40", "--write", "nowhere"), "there is no candidate 40", marks=pytest.mark.slow),
    ],
    ids=str,
)
def test_wrong_wishes_are_findings_with_a_remedy(more: tuple[str, ...], words: str) -> None:
    done = run("size", "bank", *QUICK, "--no-simulation", *more)
    assert done.exit_code == 1
    assert words in flat(done.output)
    assert "Traceback" not in done.output


def test_nothing_inside_the_limits_ends_with_1_and_says_what_is_in_the_way() -> None:
    done = run("size", "bank", *QUICK, "--energy", "1 kJ", "--bore", "3 mm", "--no-simulation")
    assert done.exit_code == 1
    assert "explosion_fraction" in done.output
    assert "times what is allowed" in flat(done.output)


@pytest.mark.parametrize("words", [("--lamps", "two"), ("--stock", "a", "--values", "1 uF")], ids=str)
def test_wrong_usage_of_size(words: tuple[str, ...]) -> None:
    assert run("size", "bank", *QUICK, *words).exit_code == 2
    assert run("size", "banc").exit_code == 2
    assert "Did you mean bank" in run("size", "banc").output


# studies ----------------------------------------------------------------------------------------


def test_study_bank_prints_a_table_and_writes_every_point(bench: Path, tmp_path: Path) -> None:
    file = tmp_path / "map.csv"
    done = run(
        "study", "bank", str(bench), "--capacitance", "2 uF:8 uF:3:log", "--charge", "7 kV, 9 kV", "--csv", str(file)
    )
    assert done.exit_code == 0, done.output
    assert max(len(line) for line in done.output.splitlines() if file.name not in line) <= 80
    rows = list(csv.DictReader(io.StringIO(file.read_text("utf-8"))))
    assert len(rows) == 6
    capacitances = [float(row["bank.capacitance [F]"]) for row in rows]
    assert capacitances[::2] == pytest.approx([2e-6, 4e-6, 8e-6])
    assert {row["outcome"] for row in rows} == {"takes off"}
    told = json.loads(
        run("study", "bank", str(bench), "--capacitance", "2 uF", "--axis", "lamps.*.bore=6 mm, 8 mm", "--json").output
    )
    assert [axis["path"] for axis in told["axes"]] == ["bank.capacitance", "lamps.*.bore"]
    assert len(told["values"]["peak_current"][0]) == 2


def test_a_map_without_axes_is_wrong_usage(bench: Path) -> None:
    done = run("study", "bank", str(bench))
    assert done.exit_code == 2
    assert "--capacitance, --charge, --inductance and --axis" in flat(done.output)


@pytest.mark.parametrize(
    ("words", "told"),
    [
        (("--charge", "0 V:1 kV:3"), "bank.charge_voltage"),
        (("--charge", "1 uF"), "--charge"),
        (("--axis", "lamps.*.boree=1 mm"), "lamps.*.boree"),
        (("--axis", "dye.name=1"), "dye.name"),
        (("--charge", "6 kV:12 kV:0"), "cannot be read"),
    ],
    ids=str,
)
def test_wrong_axes_are_findings(bench: Path, words: tuple[str, ...], told: str) -> None:
    done = run("study", "bank", str(bench), *words)
    assert done.exit_code == 1, done.output
    assert told in flat(done.output)


def test_study_bank_writes_over_no_build_file(bench: Path) -> None:
    before = (bench / "laser.toml").read_bytes()
    done = run("study", "bank", str(bench), "--charge", "9 kV", "--csv", str(bench / "laser.toml"))
    assert done.exit_code == 1
    assert (bench / "laser.toml").read_bytes() == before


def test_study_take_off_prints_the_map(bench: Path) -> None:
    done = run(
        "study", "take-off", str(bench), "--fill", "50 torr:500 torr:3", "--field", "100 V/cm, 300 V/cm, 500 V/cm"
    )
    assert done.exit_code == 0, done.output
    assert "field [V/cm]" in done.output
    assert "this bench stands at 100 torr" in flat(done.output)
    assert max(len(line) for line in done.output.splitlines()) <= 80
    told = json.loads(
        run("study", "take-off", str(bench), "--fill", "100 torr", "--bore", "5 mm, 7 mm", "--json").output
    )
    assert told["y"]["key"] == "bore"
    assert len(told["outcome"]) == 2


def test_wrong_questions_of_take_off(bench: Path) -> None:
    assert run("study", "take-off", str(bench), "--bore", "5 mm", "--field", "300 V/cm").exit_code == 2
    done = run("study", "take-off", str(bench), "--show", "law_fractio")
    assert done.exit_code == 1
    assert "Perhaps law_fraction was meant" in flat(done.output)
    assert run("study", "take-off", str(bench), "--fill", "0 torr").exit_code == 1
