"""Capacitors of a stock list and the banks they make."""

from __future__ import annotations

from pathlib import Path

import pytest

from pulsewright.errors import BuildError
from pulsewright.studies.stock import BankParts, Group, banks, read_stock, standard_values, stock_from_text

GOOD = """# on the shelf
part; capacitance; voltage_rating; count; inductance; peak_current_rating; reversal_rating; life_rating
can; 2 uF; 15 kV; 4; 40 nH; 25 kA; 0.2; 1e5

box; 0.5 uF; 20 kV; 2
"""


def test_a_text_list_is_read() -> None:
    can, box = stock_from_text(GOOD, "shelf.txt")
    assert (can.part, can.count, can.line) == ("can", 4, 3)
    assert can.capacitance == pytest.approx(2e-6)
    assert (can.peak_current_rating, can.reversal_rating, can.life_rating) == (25e3, 0.2, 1e5)
    assert box.line == 5
    assert box.inductance == 0.0
    assert box.peak_current_rating is None


@pytest.mark.parametrize("mark", [",", "\t", "|", ";"])
def test_any_mark_between_columns_will_do(mark: str) -> None:
    text = mark.join(("capacitance", "voltage_rating", "count")) + "\n" + mark.join(("2 uF", "15 kV", "3")) + "\n"
    (one,) = stock_from_text(text, "shelf.csv")
    assert (one.voltage_rating, one.count) == (15e3, 3)


def test_a_toml_list_is_read() -> None:
    text = '[capacitors.can]\ncapacitance = "2 uF"\nvoltage_rating = "15 kV"\ncount = 4\ninductance = "40 nH"\n'
    (one,) = stock_from_text(text, "shelf.toml")
    assert (one.part, one.count, one.line) == ("can", 4, 1)
    assert one.inductance == pytest.approx(40e-9)


@pytest.mark.parametrize(
    ("text", "line", "words"),
    [
        ("", 0, "empty"),
        ("# nothing\n\n", 0, "empty"),
        ("capacitance; voltage_rating\n", 0, "empty"),
        ("capacitance; rating\n2 uF; 15 kV\n", 1, "no column"),
        ("capacitance\n2 uF\n", 1, "voltage_rating is missing"),
        ("capacitance; voltage_rating\n2 uF; 15 kV\n2 uV; 15 kV\n", 3, "voltage"),
        ("capacitance; voltage_rating\n0 uF; 15 kV\n", 2, "not above zero"),
        ("capacitance; voltage_rating\n-1 uF; 15 kV\n", 2, "not above zero"),
        ("capacitance; voltage_rating\n2 MF; 15 kV\n", 2, "absurdly large"),
        ("capacitance; voltage_rating\n2; 15 kV\n", 2, "2"),
        ("capacitance; voltage_rating; count\n2 uF; 15 kV; few\n", 2, "no number of parts"),
        ("capacitance; voltage_rating; count\n2 uF; 15 kV; 0\n", 2, "no number of parts"),
        ("capacitance; voltage_rating\n2 uF; 15 kV; 3\n", 2, "cells"),
        ("capacitance; voltage_rating\n; 15 kV\n", 2, "capacitance is missing"),
    ],
)
def test_faults_say_the_line(text: str, line: int, words: str) -> None:
    with pytest.raises(BuildError) as fault:
        stock_from_text(text, "shelf.txt")
    assert any(finding.line == line and words in str(finding) for finding in fault.value.findings), fault.value
    assert all(finding.file == "shelf.txt" and finding.next_step for finding in fault.value.findings)


@pytest.mark.parametrize(
    "text",
    [
        "capacitors = 3\n",
        "[capacitors\n",
        "[parts.can]\n",
        '[capacitors.can]\ncapacity = "2 uF"\n',
        "[capacitors]\ncan = 2\n",
        '[capacitors.can]\ncapacitance = "2 uF"\n',
    ],
)
def test_faults_of_toml_are_told(text: str) -> None:
    with pytest.raises(BuildError):
        stock_from_text(text, "shelf.toml")


def test_files_that_cannot_be_read_are_told(tmp_path: Path) -> None:
    with pytest.raises(BuildError, match="cannot be read"):
        read_stock(tmp_path / "none.txt")
    (tmp_path / "picture.txt").write_bytes(b"\xff\xfe\x00\x80")
    with pytest.raises(BuildError, match="not a text file"):
        read_stock(tmp_path / "picture.txt")
    with pytest.raises(BuildError, match="cannot be read"):
        read_stock(tmp_path)


def test_series_and_parallel_add_as_they_must() -> None:
    can, box = stock_from_text(GOOD, "shelf.txt")
    bank = BankParts((Group(can, 2, 2),))
    assert bank.capacitance == pytest.approx(2e-6)
    assert (bank.voltage_rating, bank.parts) == (30e3, 4)
    assert bank.inductance == pytest.approx(40e-9)
    assert bank.peak_current_rating == pytest.approx(50e3)
    beside = BankParts((Group(can, 1, 1), Group(box, 1, 1)))
    assert beside.capacitance == pytest.approx(2.5e-6)
    assert (beside.voltage_rating, beside.parts) == (15e3, 2)
    assert beside.peak_current_rating is None  # one of them is not known


def test_no_bank_uses_more_than_there_is() -> None:
    stock = stock_from_text(GOOD, "shelf.txt")
    found = banks(stock, 6)
    for bank in found:
        for group in bank.groups:
            assert group.parts <= group.capacitor.count
        assert bank.parts <= 6
    assert any(len(bank.groups) == 2 for bank in found)
    assert [bank.parts for bank in found] == sorted(bank.parts for bank in found)


def test_standard_values_are_the_series() -> None:
    found = standard_values((5e3,), 2)
    assert [one.capacitance for one in found[:6]] == pytest.approx([1e-8, 1.5e-8, 2.2e-8, 3.3e-8, 4.7e-8, 6.8e-8])
    assert [one.capacitance for one in standard_values((5e3, 1e4), 2, (3e-6,))] == [3e-6, 3e-6]
