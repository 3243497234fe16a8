"""The formula shelf: it grows from the docstrings, reads texts with units, and never raises for what a user wrote."""

from __future__ import annotations

import ast
import doctest
import importlib
import json
import math
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from pulsewright import units
from pulsewright.errors import Finding
from pulsewright.workbench import formulas
from pulsewright.workbench.formulas import FormulaCard, evaluate, find_formula, list_formulas

CARDS = list_formulas()


def card(name: str) -> FormulaCard:
    found = find_formula(name)
    assert isinstance(found, FormulaCard), found
    return found


# What is on the shelf ---------------------------------------------------------------------------


def test_the_shelf_holds_the_formulas_of_every_part() -> None:
    wanted = {
        "stored_energy", "voltage_for_energy", "energy_left", "constant_current_charge_time", "charging_resistor_loss",
        "dump_time", "adiabatic_temperature_rise", "body_derating", "time_scale", "circuit_impedance",
        "damping_parameter", "design_single_mesh", "single_mesh_pulse", "normalised_discharge", "energy_fractions",
        "convert_pulse_length", "explosion_energy", "explosion_energy_range", "lamp_life", "lamp_life_bracket",
        "capacitor_life", "paschen_voltage", "paschen_minimum", "air_gap_voltage", "coaxial_inductance",
        "ring_inductance", "breakdown_probability", "late_tail_voltage", "clearance", "machinery_discharge_rule",
        "stored_energy_hazards", "half_sine_action", "impedance_parameter", "square_law_resistivity",
        "spitzer_resistivity", "planck_exitance", "blackbody_band_fraction", "minimum_temperature", "peak_wavelength",
    }  # fmt: skip
    assert wanted <= {row.function for row in CARDS}
    packages = {row.module.split(".")[2] for row in CARDS}
    assert {
        "pulsed_power",
        "lamp",
        "chamber",
        "dye",
        "resonator",
        "beam",
        "flow",
        "thermal",
        "air",
        "exposure",
    } <= packages
    assert len(CARDS) >= 150


def test_array_only_and_compiled_functions_are_not_there() -> None:
    names = {row.function for row in CARDS}
    assert "normalised_current" not in names  # takes an array of times
    assert "saha_composition" not in names  # returns a record
    assert not any(row.module.endswith("_kernel") for row in CARDS)


def test_names_are_unique_and_a_shared_one_carries_its_package() -> None:
    names = [row.name for row in CARDS]
    assert len(names) == len(set(names))
    for row in CARDS:
        assert row.name.rsplit(".", 1)[-1] == row.function


def test_two_functions_of_one_name_are_told_apart(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    text = (
        '"""Room."""\ndef length(voltage: float) -> float:\n    """Length.\n\n'
        "    Parameters\n    ----------\n    voltage : float\n        Voltage. [V]\n\n"
        "    Returns\n    -------\n    length : float\n        Length. [m]\n\n"
        "    Notes\n    -----\n    Valid: here. Not covered: there. Equation: l = V. Source: none.\n\n"
        '    Examples\n    --------\n    >>> 1\n    1\n    """\n    return voltage\n'
    )
    for place in ("beam/one.py", "lamp/one.py", "lamp/two.py"):
        (tmp_path / place).parent.mkdir(exist_ok=True)
        (tmp_path / place).write_text(text, encoding="utf-8")
    (tmp_path / "beam" / "_hidden.py").write_text(text, encoding="utf-8")
    monkeypatch.setattr(formulas, "files", lambda _: tmp_path)
    formulas._shelf.cache_clear()
    try:
        assert sorted(row.name for row in list_formulas()) == ["beam.length", "lamp.one.length", "lamp.two.length"]
        asked = find_formula("length")
        assert isinstance(asked, Finding)
        assert "several" in asked.message
        assert "beam.length" in asked.next_step
    finally:
        formulas._shelf.cache_clear()


def test_a_card_tells_everything() -> None:
    row = card("stored_energy")
    assert row.title == "Energy held by a charged capacitor bank."
    assert [(p.name, p.unit, p.default) for p in row.parameters] == [("capacitance", "F", None), ("voltage", "V", None)]
    assert [(r.name, r.unit) for r in row.results] == [("energy", "J")]
    assert row.equation == "E = C V^2 / 2."
    assert row.source == "definition."
    assert row.valid.startswith("linear dielectric")
    assert "absorption" in row.not_covered
    assert ">>> stored_energy" in row.example
    assert row.spelling == 'stored_energy capacitance="1 uF" voltage="1 kV"'


@pytest.mark.parametrize("row", CARDS, ids=lambda row: row.name)
def test_every_card_is_complete_and_its_defaults_can_be_read(row: FormulaCard) -> None:
    assert row.title
    assert row.parameters
    assert row.results
    assert all((row.valid, row.not_covered, row.equation, row.source, row.example))
    json.dumps(row.as_dict(), allow_nan=False)
    for parameter in row.parameters:
        if parameter.default and parameter.unit and not parameter.choices:
            assert math.isfinite(units.parse(parameter.default, parameter.unit)), parameter
        if parameter.choices and parameter.default is not None:
            assert parameter.default in parameter.choices


def test_search_finds_every_word_in_any_order() -> None:
    names = {row.name for row in list_formulas("lamp life")}
    assert {"lamp_life", "lamp_life_range"} <= names
    assert names == {row.name for row in list_formulas("LIFE lamp")}
    assert "stored_energy" not in names
    assert list_formulas("no such thing at all") == []
    assert [row.name for row in list_formulas()] == sorted(row.name for row in list_formulas())


# Listing is light -------------------------------------------------------------------------------


def fresh(code: str, root: Path) -> str:
    """What a new interpreter prints for a piece of code."""
    environment = {**os.environ, "PYTHONPATH": str(root / "src")}
    command = [sys.executable, "-c", code]
    return subprocess.run(command, capture_output=True, text=True, check=True, env=environment).stdout


def test_listing_imports_no_physics_and_no_arrays(project_root: Path) -> None:
    code = (
        "import sys; from pulsewright.workbench.formulas import list_formulas; n = len(list_formulas('voltage'));"
        "print(n, [m for m in sys.modules if m in ('numpy', 'scipy', 'numba') or m.startswith('pulsewright.physics.')])"
    )
    number, heavy = fresh(code, project_root).split(maxsplit=1)
    assert int(number) > 20
    assert heavy.strip() == "[]"


def test_evaluating_imports_only_the_module_it_needs(project_root: Path) -> None:
    code = (
        "import sys; from pulsewright.workbench.formulas import evaluate;"
        "assert evaluate('stored_energy', {'capacitance': '4 uF', 'voltage': '1 kV'}).ok;"
        "print([m for m in sys.modules if m.startswith('pulsewright.physics.')])"
    )
    loaded = ast.literal_eval(fresh(code, project_root))
    assert "pulsewright.physics.pulsed_power.storage" in loaded
    assert not any("kernel" in name or ".dye" in name or ".breakdown" in name for name in loaded)


# Evaluating -------------------------------------------------------------------------------------


def test_texts_with_units() -> None:
    result = evaluate("stored_energy", {"capacitance": "4 uF", "voltage": "9.5 kV"})
    assert result.ok
    assert result.findings == ()
    assert result.results[0].value == pytest.approx(180.5, rel=1e-12)
    assert (result.results[0].name, result.results[0].unit, result.results[0].text) == ("energy", "J", "180.5 J")
    assert [(given.name, given.value) for given in result.inputs] == [("capacitance", 4e-6), ("voltage", 9500.0)]
    told = result.as_dict()
    assert {"name", "results", "inputs", "equation", "valid", "source", "findings"} <= set(told)
    assert told["results"][0]["value"] == pytest.approx(180.5, rel=1e-12)


def test_package_and_name_ask_for_the_same() -> None:
    assert card("pulsed_power.stored_energy") == card("stored_energy")


def test_several_results_come_with_their_names() -> None:
    result = evaluate(
        "design_single_mesh", {"energy": "100 J", "pulse_length": "0.3 ms", "impedance_parameter": "20 V/A^0.5"}
    )
    assert [row.name for row in result.results] == ["capacitance", "inductance", "charge_voltage"]
    assert result.results[0].value == pytest.approx(172.355e-6, rel=1e-5)
    assert result.results[2].text == "1.077 kV"


def test_choices_flags_and_counts() -> None:
    ring = {"ring_radius": "25 cm", "wire_radius": "0.5 mm"}
    even = evaluate("ring_inductance", {**ring, "current_distribution": "even"})
    skin = evaluate("ring_inductance", ring)
    assert even.ok
    assert skin.ok
    assert even.results[0].value > skin.results[0].value  # type: ignore[operator]
    rule = evaluate("machinery_discharge_rule", {"voltage": "230 V", "capacitance": "0.1 uF", "exposed_pins": "yes"})
    assert [row.value for row in rule.results] == [60.0, 1.0, True]
    assert rule.results[2].text == "yes"
    assert evaluate("lamp_life_regime", {"explosion_fraction": "25 %"}).results[0].value == "wall wear"


@pytest.mark.parametrize(
    ("name", "given", "path", "words"),
    [
        ("stored_enrgy", {}, "stored_enrgy", "stored_energy"),
        ("", {}, "", "List them"),
        ("stored_energy", {"capacitance": "4 uF"}, "voltage", 'voltage="1 kV"'),
        ("stored_energy", {"capacitance": "4 uF", "voltage": "9.5 kA"}, "voltage", "kV"),
        ("stored_energy", {"capacitance": "4 uF", "voltage": "9500"}, "voltage", "no unit"),
        ("stored_energy", {"capacitance": "4 uF", "voltage": "9,5 kV"}, "voltage", "9.5 kV"),
        ("stored_energy", {"capacitance": "4 uF", "voltage": "nan kV"}, "voltage", "not a finite number"),
        ("stored_energy", {"capacitance": "-4 uF", "voltage": "9.5 kV"}, "capacitance", "0 or above"),
        ("stored_energy", {"capacitanc": "4 uF", "voltage": "1 kV"}, "capacitanc", "Perhaps capacitance was meant"),
        ("stored_energy", {"x" * 300: "4 uF"}, "x" * 300, "It has capacitance, voltage"),
        ("energy_left", {"energy": "10 J", "voltage_fraction": "0.5 V"}, "voltage_fraction", "plain number"),
        ("clearance", {"impulse_voltage": "1 kV", "field_shape": "homogenous"}, "field_shape", '="homogeneous"'),
        ("machinery_discharge_rule", {"voltage": "1 V", "capacitance": "1 F", "exposed_pins": "maybe"}, "exposed_pins",
         "yes or no"),
        ("impedance_parameter", {"arc_length": "1 m", "bore": "1 cm", "fill_pressure": "1 bar", "gas": "argon"}, "gas",
         "measured K0"),
    ],
)  # fmt: skip
def test_faults_are_findings(name: str, given: dict[str, str], path: str, words: str) -> None:
    result = evaluate(name, given)
    assert not result.ok
    told = [finding for finding in result.findings if finding.path == path and words in str(finding)]
    assert told, [str(finding) for finding in result.findings]
    assert all(finding.grade == "error" and finding.next_step for finding in told)
    json.dumps(result.as_dict(), allow_nan=False)


def test_several_faults_are_told_together() -> None:
    result = evaluate("stored_energy", {"capacitance": "4", "volts": "3 kV"})
    assert {finding.path for finding in result.findings} == {"capacitance", "volts", "voltage"}


def test_overflow_is_a_finding_and_no_traceback() -> None:
    result = evaluate("stored_energy", {"capacitance": "1e300 F", "voltage": "1e300 V"})
    assert result.results[0].value is None
    assert result.findings[0].path == "energy"
    json.dumps(result.as_dict(), allow_nan=False)


# Every card's own example, through texts ---------------------------------------------------------


def first_call(row: FormulaCard) -> dict[str, Any] | None:
    """Arguments of the first plain call of the formula in its example; None where they are not literals."""
    for example in doctest.DocTestParser().get_examples(row.example):
        for node in ast.walk(ast.parse(example.source)):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == row.function:
                names = [p.name for p in row.parameters]
                pairs = [*zip(names, node.args, strict=False), *((k.arg, k.value) for k in node.keywords)]
                try:
                    return {str(name): number(value) for name, value in pairs}
                except ValueError:
                    continue
    return None


def number(node: ast.expr) -> Any:
    """A literal, or arithmetic of literals."""
    for part in ast.walk(node):
        if not isinstance(part, ast.Constant | ast.BinOp | ast.UnaryOp | ast.operator | ast.unaryop):
            raise ValueError
    return eval(compile(ast.Expression(node), "example", "eval"), {"__builtins__": {}})


EXAMPLES = [(row, given) for row in CARDS if (given := first_call(row)) is not None]


def text(row: FormulaCard, name: str, value: Any) -> str:
    parameter = next(p for p in row.parameters if p.name == name)
    if isinstance(value, bool):
        return "yes" if value else "no"
    return value if isinstance(value, str) else units.format(float(value), parameter.unit, None)


@pytest.mark.parametrize(("row", "given"), EXAMPLES, ids=[row.name for row, _ in EXAMPLES])
def test_example_through_texts_gives_what_the_function_gives(row: FormulaCard, given: dict[str, Any]) -> None:
    function = getattr(importlib.import_module(row.module), row.function)
    direct = function(**given)
    result = evaluate(row.name, {name: text(row, name, value) for name, value in given.items()})
    assert result.ok, [str(finding) for finding in result.findings]
    values = [direct] if len(row.results) == 1 else list(direct)
    for shown, value in zip(result.results, values, strict=True):
        if isinstance(value, str):
            assert shown.value == value
        elif math.isfinite(value):
            assert shown.value == pytest.approx(value, rel=1e-12, abs=1e-300)
            assert isinstance(shown.value, bool) == isinstance(value, bool) or type(value).__name__ == "bool"
        else:
            assert shown.value is None


def test_most_examples_can_be_asked_through_texts() -> None:
    assert len(EXAMPLES) > 0.75 * len(CARDS), sorted({row.name for row in CARDS} - {row.name for row, _ in EXAMPLES})
