"""Every public physics function carries the full docstring: sentence, units, validity, equation, source, example."""

from __future__ import annotations

import re

import pytest
from contract.physics_functions import FUNCTIONS, KERNELS, PublicFunction

from pulsewright.workbench.docstrings import faults, read_docstring

GOOD = """Energy held by a capacitor.

Parameters
----------
capacitance : float or array (...)
    Total capacitance. [F]
duty : {"continuous", "infrequent"}
    How often.

Returns
-------
energy : broadcast shape
    Stored energy. [J]

Notes
-----
Valid: linear dielectric. Not covered: absorption.
Equation: E = C V^2 / 2. Source: definition.

Examples
--------
>>> 1 + 1
2
"""
NAMES = ("capacitance", "duty")


@pytest.mark.parametrize("function", FUNCTIONS, ids=str)
def test_docstring_is_full(function: PublicFunction) -> None:
    assert not function.faults, f"{function.place}:\n  " + "\n  ".join(function.faults)


def test_there_are_functions_to_hold() -> None:
    packages = {function.module.split(".")[2] for function in FUNCTIONS}
    assert {"pulsed_power", "lamp", "dye", "resonator", "beam"} <= packages
    assert len(FUNCTIONS) > 150


@pytest.mark.parametrize("kernel", KERNELS, ids=str)
def test_compiled_kernels_stand_in_kernel_modules_and_say_what_they_do(kernel: PublicFunction) -> None:
    """The compiler's cache is keyed by the sources of `*_kernel.py`; one elsewhere would be served stale."""
    assert kernel.module.endswith("_kernel"), kernel.place
    assert kernel.text, f"{kernel.place}: has no docstring"


def test_a_full_docstring_is_read_in_all_its_parts() -> None:
    found = read_docstring(GOOD)
    assert faults(found, NAMES) == []
    assert [(e.name, e.unit, e.choices) for e in found.parameters] == [
        ("capacitance", "F", ()),
        ("duty", "", ("continuous", "infrequent")),
    ]
    assert [(e.name, e.unit, e.words) for e in found.results] == [("energy", "J", "Stored energy.")]
    assert found.notes == {
        "Valid": "linear dielectric.",
        "Not covered": "absorption.",
        "Equation": "E = C V^2 / 2.",
        "Source": "definition.",
    }


@pytest.mark.parametrize(
    ("change", "by", "told"),
    [
        ("capacitor.", "capacitor", "not a sentence"),
        (" [F]", "", "has no unit in brackets"),
        ("[F]", "[mixed]", "for an array whose columns differ"),
        ("[F]", "[farads]", "unit \\[farads\\]"),
        ("capacitance :", "capacity :", "the signature has capacitance, duty"),
        ("energy : broadcast shape", "broadcast shape", "no name before its type"),
        ("Stored energy. [J]", "[J]", "has no words"),
        (" Not covered: absorption.", "", "notes Valid, Equation, Source"),
        ("Source: definition.", "Source: .", "Source is empty"),
        ("Valid: linear", "Linear", "notes Not covered"),
        ("Notes\n-----", "Remarks\n-------", "sections"),
        (">>> 1 + 1\n2", "None.", "no example"),
        ("Returns\n-------\nenergy : broadcast shape\n    Stored energy. [J]\n", "", "sections Parameters, Notes"),
    ],
)
def test_each_missing_part_is_told(change: str, by: str, told: str) -> None:
    assert change in GOOD
    found = faults(read_docstring(GOOD.replace(change, by)), NAMES)
    assert any(re.search(told, fault) for fault in found), found
