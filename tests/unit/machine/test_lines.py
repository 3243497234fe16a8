"""Line numbers of entries, for every way TOML lets them be written."""

from __future__ import annotations

import tomllib

import pytest
from hypothesis import given, settings
from strategies import valid_texts

from pulsewright import machine
from pulsewright.machine.lines import line_numbers

TEXT = '''# a comment with [brackets] and = signs
schema = 1
words = "a # in a string, a \\" quote"

[bank] # trailing
capacitance = { value = "4 uF", spread = "1 uF", list = [1, { a = 2 }] }
"charge_voltage" = 'a literal with \\'
note = """
several lines
[not.a.table]
x = 1
"""
note2 = \'\'\'
also = "[here]"\'\'\'
[ lamps . "east" ]
bore="7 mm"
list = [
  "a", # ]
  "b",
]
gap.width = 1
[[many]]
a = 1
'''


def test_every_way_of_writing() -> None:
    tomllib.loads(TEXT)
    assert line_numbers(TEXT) == {
        "schema": 2,
        "words": 3,
        "bank": 5,
        "bank.capacitance": 6,
        "bank.capacitance.value": 6,
        "bank.capacitance.spread": 6,
        "bank.capacitance.list": 6,
        "bank.charge_voltage": 7,
        "bank.note": 8,
        "bank.note2": 13,
        "lamps.east": 15,
        "lamps.east.bore": 16,
        "lamps.east.list": 17,
        "lamps.east.gap.width": 21,
        "many": 22,
        "many.a": 23,
    }


def test_windows_line_ends() -> None:
    assert line_numbers(TEXT.replace("\n", "\r\n")) == line_numbers(TEXT)


def test_no_final_newline_and_nothing_at_all() -> None:
    assert line_numbers("a = 1") == {"a": 1}
    assert line_numbers("a = [1, 2]\n\nb = {c = 1}") == {"a": 1, "b": 3, "b.c": 3}
    assert line_numbers("") == {}
    assert line_numbers("# only this") == {}


def test_quotes_at_the_end_of_a_long_string() -> None:
    text = 'a = """x"""""\nb = 1\n'
    assert tomllib.loads(text) == {"a": 'x""', "b": 1}
    assert line_numbers(text) == {"a": 1, "b": 2}


@settings(max_examples=40)
@given(valid_texts())
@pytest.mark.slow
def test_every_entry_of_a_file_has_the_line_it_stands_on(text: str) -> None:
    build = machine.load_text(text).build
    assert build is not None
    rows = text.splitlines()
    for entry in build.entries.values():
        if entry.layer == "saved":
            assert rows[entry.line - 1].lstrip().startswith((entry.key, f"[{entry.path}]"))
