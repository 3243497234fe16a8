"""The verb `formula` on the real shelf."""

from __future__ import annotations

import json

import pytest
from click.testing import CliRunner, Result

from pulsewright import cli


def run(*arguments: str) -> Result:
    return CliRunner().invoke(cli.app, ["formula", *arguments])


def flat(words: str) -> str:
    """The same without line breaks."""
    return " ".join(words.split())


def test_a_formula_is_evaluated_with_units() -> None:
    done = run("stored_energy", "capacitance=4 uF", "voltage=9.5 kV")
    assert done.exit_code == 0
    assert "energy       180.5 J" in done.output
    assert "Equation:" in done.output
    assert "Source:" in done.output


def test_json_has_result_inputs_equation_validity_and_source() -> None:
    told = json.loads(run("stored_energy", "capacitance=5 uF", "voltage=10 kV", "--json").output)
    assert [(row["name"], row["value"], row["unit"]) for row in told["results"]] == [("energy", 250.0, "J")]
    assert [(row["name"], row["value"], row["unit"]) for row in told["inputs"]] == [
        ("capacitance", 5e-6, "F"),
        ("voltage", 1e4, "V"),
    ]
    for key in ("equation", "valid", "not_covered", "source"):
        assert told[key]


def test_the_list_is_searched_by_every_word() -> None:
    every = json.loads(run("list", "--json").output)["formulas"]
    some = json.loads(run("list", "--search", "stored energy", "--json").output)["formulas"]
    assert len(every) > 100
    assert "stored_energy" in {row["name"] for row in some}
    assert 0 < len(some) < len(every) / 4
    shown = run("list", "--search", "stored energy").output
    assert f"{len(some)} formulas with stored energy" in shown
    assert max(len(line) for line in run("list").output.splitlines()) <= 80


def test_a_name_alone_shows_its_card() -> None:
    done = run("stored_energy")
    assert done.exit_code == 0
    assert "Total capacitance seen by the switch." in done.output
    assert 'Ask: pulsewright formula stored_energy capacitance="1 uF"' in done.output
    assert json.loads(run("stored_energy", "--json").output)["name"] == "stored_energy"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["stored_enrgy"], "Perhaps stored_energy"),
        (["stored_enrgy", "capacitance=4 uF"], "Perhaps stored_energy"),
        (["stored_energy", "capacitance=4 uF"], "voltage: is missing"),
        (["stored_energy", "capacitance=4 uF", "volts=9 kV"], "Perhaps voltage was meant"),
        (["stored_energy", "capacitance=4", "voltage=9 kV"], "4 has no unit"),
        (["stored_energy", "capacitance=-4 uF", "voltage=9 kV"], "capacitance"),
        (["stored_energy", "capacitance=NaN uF", "voltage=9 kV"], "not a finite number"),
    ],
)
def test_a_bad_question_is_a_finding(arguments: list[str], said: str) -> None:
    done = run(*arguments)
    assert done.exit_code == 1
    assert done.stdout == ""
    assert said in flat(done.stderr)


def test_a_bad_question_is_a_finding_in_json_too() -> None:
    done = run("stored_energy", "capacitance=4 uF", "--json")
    assert done.exit_code == 1
    assert json.loads(done.stdout)["findings"][0]["path"] == "voltage"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        ([], "Missing argument"),
        (["stored_energy", "4 uF"], "write KEY="),
        (["stored_energy", "voltage=1 V", "voltage=2 V"], "given twice"),
        (["list", "x=1"], "search with --search"),
        (["stored_energy", "--search", "x"], "--search goes with list"),
    ],
)
def test_wrong_usage_ends_with_2(arguments: list[str], said: str) -> None:
    done = run(*arguments)
    assert done.exit_code == 2
    assert said in flat(done.output)
