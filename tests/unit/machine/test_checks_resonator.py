"""Faults of tuning, injected line, parasitic path and further cells: each is told where it is, with what is allowed."""

from __future__ import annotations

import pytest

from pulsewright import machine
from pulsewright.errors import Finding

TEXT = machine.bench_text("tidewater")
BAND = 'tuned_wavelength = "589 nm"\ntuned_width = "2 nm"\n'
FREE = 'tuning = "free running"\n'


def findings(entries: str, more: str = "", tuning: str = "free running") -> tuple[Finding, ...]:
    """What is told when the resonator has these entries."""
    text = TEXT.replace(FREE, f'tuning = "{tuning}"\n{entries}', 1) + more
    return machine.load_text(text).findings


def of(found: tuple[Finding, ...], path: str) -> list[tuple[str, str]]:
    return [(item.grade, item.message) for item in found if item.path == path]


@pytest.mark.parametrize("kind", ["prism", "grating", "plate", "etalon"])
def test_a_tuning_element_needs_its_band(kind: str) -> None:
    found = findings("", tuning=kind)
    for key in ("tuned_wavelength", "tuned_width"):
        ((grade, message),) = of(found, f"resonator.{key}")
        assert grade == "error"
        assert kind in message
        assert "geometry is not computed" in message
    assert bool(of(found, "resonator.tuning_period")) == (kind == "etalon")
    whole = BAND + ('tuning_period = "6 nm"\n' if kind == "etalon" else "")
    assert [item for item in findings(whole, tuning=kind) if item.path.startswith("resonator")] == []


@pytest.mark.parametrize(
    ("tuning", "entries", "key", "grade", "words"),
    [
        ("free running", BAND, "tuned_width", "warning", "not used"),
        ("prism", BAND + 'tuning_period = "6 nm"\n', "tuning_period", "warning", "one pass band"),
        ("prism", 'tuned_wavelength = "710 nm"\ntuned_width = "2 nm"\n', "tuned_wavelength", "warning", "outside"),
        ("etalon", BAND + 'tuning_period = "1.5 nm"\n', "tuned_width", "error", "wider than the distance"),
        (
            "etalon",
            'tuned_wavelength = "589 nm"\ntuned_width = "20 pm"\ntuning_period = "6 nm"\n',
            "tuned_width",
            "warning",
            "rare",
        ),
        (
            "etalon",
            'tuned_wavelength = "589 nm"\ntuned_width = "20 pm"\ntuning_period = "0.3 nm"\n',
            "tuning_period",
            "error",
            "dozens",
        ),
        ("free running", 'injection_power = "1 mW"\n', "injection_wavelength", "error", "needs its wavelength"),
        ("free running", 'injection_wavelength = "589 nm"\n', "injection_wavelength", "warning", "without power"),
        (
            "free running",
            'injection_power = "1 mW"\ninjection_wavelength = "589 nm"\nblocked = "rear"\n',
            "injection_power",
            "warning",
            "covered",
        ),
        (
            "prism",
            BAND + 'injection_power = "1 mW"\ninjection_wavelength = "599 nm"\n',
            "injection_wavelength",
            "warning",
            "lets through",
        ),
        ("free running", 'parasitic_length = "170 mm"\n', "parasitic_length", "warning", "not followed"),
        (
            "free running",
            'parasitic_reflectivity = 0.03\nparasitic_length = "100 mm"\n',
            "parasitic_length",
            "error",
            "does not hold",
        ),
    ],
)
def test_faults_of_the_resonator(tuning: str, entries: str, key: str, grade: str, words: str) -> None:
    told = of(findings(entries, tuning=tuning), f"resonator.{key}")
    assert [(item[0], words in item[1]) for item in told] == [(grade, True)]


CELL = '\n[cells.second]\nlength = "{}"\npumped_length = "{}"\npump_share = {}\n'


@pytest.mark.parametrize(
    ("cell", "key", "words"),
    [
        (("50 mm", "60 mm", 0.3), "pumped_length", "above the cell's length"),
        (("50 mm", "0 mm", 0.3), "pump_share", "nothing is pumped"),
        (("300 mm", "40 mm", 0.3), "length", "do not stand in a resonator"),
    ],
)
def test_faults_of_further_cells(cell: tuple[str, str, float], key: str, words: str) -> None:
    told = of(findings("", CELL.format(*cell)), f"cells.second.{key}")
    assert [(grade, words in message) for grade, message in told] == [("error", True)]


def test_cells_that_take_all_the_light() -> None:
    more = CELL.format("30 mm", "30 mm", 0.6) + CELL.format("30 mm", "30 mm", 0.5).replace("second", "third")
    told = of(findings("", more), "cells.third.pump_share")
    assert told == [("error", "the further cells take 110 % of the light, and the first one gets none")]


def test_an_absorber_is_sound() -> None:
    assert findings("", CELL.format("20 mm", "0 mm", 0)) == machine.load_text(TEXT).findings
