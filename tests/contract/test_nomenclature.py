"""One nomenclature: an argument of a physics function is a row of `quantities`, with the same unit."""

from __future__ import annotations

from collections import defaultdict

from contract.physics_functions import FUNCTIONS

from pulsewright import units
from pulsewright.quantities import QUANTITIES


def test_every_argument_has_a_row() -> None:
    missing: dict[str, set[str]] = defaultdict(set)
    for function in FUNCTIONS:
        for entry in function.docstring.parameters:
            if entry.numeric and entry.unit != "mixed" and entry.name not in QUANTITIES:
                missing[f"{entry.name} [{entry.unit}]"].add(str(function))
    rows = [f"  {key}: {', '.join(sorted(where)[:3])}" for key, where in sorted(missing.items())]
    assert not rows, f"{len(rows)} rows are missing in src/pulsewright/quantities*.py:\n" + "\n".join(rows)


def test_units_of_arguments_and_results_are_those_of_the_row() -> None:
    wrong = [
        f"{function.place}: {entry.name} [{entry.unit}], the nomenclature has [{row.unit}]"
        for function in FUNCTIONS
        for entry in (*function.docstring.parameters, *function.docstring.results)
        if entry.numeric and entry.unit and entry.unit != "mixed" and (row := QUANTITIES.get(entry.name))
        if units.read_unit(entry.unit) != units.read_unit(row.unit)
    ]
    assert not wrong, "\n".join(wrong)


def test_display_units_fit_their_rows() -> None:
    wrong = [
        key
        for key, row in QUANTITIES.items()
        if units.read_unit(row.display).dimension != units.read_unit(row.unit).dimension or not row.low <= row.high
    ]
    assert not wrong, wrong
