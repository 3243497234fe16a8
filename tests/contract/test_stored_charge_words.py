"""No output calls a bank free of charge; a setting told as a share of the voltage tells that of the energy too."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner

from pulsewright import cli, machine
from pulsewright.workbench import new_bench, open_bench, safety_sheet

SOURCE = Path(__file__).resolve().parents[2] / "src" / "pulsewright"
#: A bank, or what stands on it, told as gone: nothing computed here may say so.
GONE = re.compile(
    r"\b(?:is|are|now|was|be|been|being|as|counts?|reads?|fully|completely)\s+(?:now\s+|then\s+)?"
    r"(?:discharged|empty|dead|harmless|drained|voltage[- ]free|safe)\b|\bsafe to\b|\bno longer charged\b",
    re.IGNORECASE,
)
#: Where such words stand and say the contrary, or speak of something else: the text around them -> why it may.
ALLOWED = {
    "safe default": "not of a bank",
    "after it was drained": "a bank regains charge after it",
}
SHARE = re.compile(r"([\d.]+) % of the voltage(.{0,40})", re.DOTALL)


def told(words: str) -> list[str]:
    """What is said of a bank that may not be said."""
    plain = " ".join(words.split())
    found = []
    for match in GONE.finditer(plain):
        around = plain[max(match.start() - 30, 0) : match.end() + 30]
        if not any(phrase in around for phrase in ALLOWED):
            found.append(around)
    return found


def test_the_test_finds_what_it_looks_for() -> None:
    for words in ("the bank is discharged", "It is now safe", "Bank is\nempty.", "safe to touch", "counts as drained"):
        assert told(words), words
    for words in ("Treat the bank as charged", "A bank can regain charge after it was drained.", "the safety sheet"):
        assert not told(words), words


@pytest.fixture(scope="module")
def outputs(tmp_path_factory: pytest.TempPathFactory) -> dict[str, str]:
    """What is printed of every bench: study, lists, JSON, sheet."""
    folder, found = tmp_path_factory.mktemp("benches"), {}
    for name in machine.BENCHES:
        path = new_bench(folder / name, name)
        for words in ((), ("--lists",), ("--json",)):
            run = CliRunner().invoke(cli.app, ["study", "charge", str(path), *words], prog_name="pulsewright")
            assert run.exit_code in (0, 1)
            assert len(run.output) > 1000
            found[f"study charge {name} {' '.join(words)}"] = run.output
        found[f"sheet {name}"] = re.sub(r"<[^>]+>", " ", safety_sheet(open_bench(path)))
    return found


@pytest.mark.slow
def test_no_output_calls_a_bank_free_of_charge(outputs: dict[str, str]) -> None:
    wrong = {place: hits for place, words in outputs.items() if (hits := told(words))}
    assert not wrong, wrong


@pytest.mark.slow
def test_every_list_and_study_asks_for_the_short(outputs: dict[str, str]) -> None:
    for place, words in outputs.items():
        plain = " ".join(words.split()).lower()
        assert "measure" in plain, place
        assert "short" in plain, place


@pytest.mark.slow
def test_a_share_of_the_voltage_is_never_told_without_that_of_the_energy(outputs: dict[str, str]) -> None:
    seen = 0
    for place, words in outputs.items():
        for match in SHARE.finditer(" ".join(words.split())):
            energy = re.match(r", ([\d.]+) % of the energy", match[2])
            assert energy, f"{place}: {match[0]}"
            part = float(match[1]) / 100
            digits = 0.005 * (1.0 + 2.0 * part)  # half of the last digit of either
            assert float(energy[1]) / 100 == pytest.approx(part**2, abs=digits + 1e-9), match[0]
            seen += 1
    assert seen > 20


def texts() -> Iterator[tuple[str, str]]:
    """Every text in the source of the rooms that speak to people, docstrings too."""
    for room in ("safety", "studies", "cli", "web", "report", "workbench", "drawing", "physics", "machine"):
        for path in sorted((SOURCE / room).rglob("*.py")):
            for node in ast.walk(ast.parse(path.read_text("utf-8"))):
                if isinstance(node, ast.Constant) and isinstance(node.value, str):
                    yield f"{path.relative_to(SOURCE)}:{node.lineno}", node.value


#: What denies it in the source: such a text says that nothing may be said.
DENIES = re.compile(r"(Nothing here says|says nothing of|never called|never compute)")


def test_no_text_in_the_source_calls_a_bank_free_of_charge() -> None:
    wrong = [
        (place, hit)
        for place, words in texts()
        if re.search(r"\b(bank|capacitor)s?\b", words, re.IGNORECASE)
        for hit in told(words)
        if not DENIES.search(hit)
    ]
    assert not wrong, wrong


def test_percent_of_voltage_and_of_energy_go_together_in_records() -> None:
    for path in SOURCE.rglob("*.py"):
        words = path.read_text("utf-8")
        assert ("voltage_percent" in words) == ("energy_percent" in words), path
