"""Entries of a lamp's fill, taken together."""

from __future__ import annotations

import pytest

from pulsewright import machine
from pulsewright.errors import Finding

LAMP = "[lamps.east]\n"


def findings(lines: str, text: str = "") -> list[Finding]:
    """Findings of the demo bench with lines added to its first lamp."""
    bench = (text or machine.bench_text("tidewater")).replace(LAMP, LAMP + lines)
    assert lines in bench
    loaded = machine.load_text(bench)
    return list(loaded.findings if loaded.build is None else loaded.build.findings)


@pytest.mark.parametrize(
    ("lines", "grade", "said"),
    [
        ('second_gas = "krypton"\n', "error", "part of the fill pressure is not given"),
        ("second_gas_fraction = 0.1\n", "warning", "no second gas"),
        ('second_gas = "xenon"\nsecond_gas_fraction = 0.1\n', "warning", "changes nothing"),
    ],
)
def test_second_gas_and_its_part_go_together(lines: str, grade: str, said: str) -> None:
    (found,) = [item for item in findings(lines) if "second_gas" in item.path]
    assert found.grade == grade
    assert said in found.message


def test_a_sound_mixture_is_not_told() -> None:
    assert not [
        item for item in findings('second_gas = "krypton"\nsecond_gas_fraction = 0.1\n') if "second" in item.path
    ]


def test_lines_are_xenons() -> None:
    text = machine.bench_text("tidewater").replace('gas = "xenon"', 'gas = "krypton"')
    (found,) = [item for item in findings('near_infrared_lines = "added"\n', text) if "lines" in item.path]
    assert found.grade == "warning"
    assert "krypton" in found.message
    mixed = 'near_infrared_lines = "added"\nsecond_gas = "xenon"\nsecond_gas_fraction = 0.5\n'
    assert not [item for item in findings(mixed, text) if "lines" in item.path]


def test_square_root_law_is_of_pure_gases() -> None:
    told = 'lamp_law = "equilibrium plasma"'
    text = machine.bench_text("tidewater").replace(told, 'lamp_law = "square-root law"')
    bench = text.replace(LAMP, LAMP + 'second_gas = "krypton"\nsecond_gas_fraction = 0.1\n')
    build = machine.load_text(bench).build
    assert build is not None
    refused = [item for item in machine.not_modelled(build) if "pure gases" in item.message]
    assert [item.grade for item in refused] == ["error"]
