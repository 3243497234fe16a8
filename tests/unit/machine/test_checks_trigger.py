"""Entries of a trigger taken together."""

from __future__ import annotations

import copy
import tomllib
from typing import Any

import pytest
import tomlkit

from pulsewright import machine
from pulsewright.errors import Finding
from pulsewright.machine.checks_trigger import _EXAMPLES, _NEEDS, _READ_BY
from pulsewright.machine.parts import TRIGGERS, Trigger


def findings(bench: str, switch: str | None = None, **entries: Any) -> dict[str, Finding]:
    """Findings by path; entries of [trigger] replaced as a whole."""
    tree = copy.deepcopy(tomllib.loads(machine.bench_text(bench)))
    tree["trigger"] = entries
    if switch is not None:
        tree["switch"]["kind"] = switch
    return {row.path: row for row in machine.load_text(tomlkit.dumps(tree), "laser.toml").findings}


def test_tables_name_real_methods_and_keys() -> None:
    keys = set(Trigger.__dataclass_fields__)
    assert set(_READ_BY) <= keys
    assert set(_NEEDS) <= set(TRIGGERS)
    assert {word for methods in _READ_BY.values() for word in methods} <= set(TRIGGERS)
    needed = {key for methods in _NEEDS.values() for key in methods}
    assert needed == set(_EXAMPLES)
    for method, wanted in _NEEDS.items():
        assert all(method in _READ_BY[key] for key in wanted)


@pytest.mark.parametrize("method", sorted(_NEEDS))
def test_each_needed_entry_is_asked_for_with_an_example(method: str) -> None:
    switch = "none" if method in ("pressure drop", "series injection") else None
    missing = findings("tidewater", switch, method=method)
    assert set(missing) == {f"trigger.{key}" for key in _NEEDS[method]}
    for row in missing.values():
        assert row.grade == "error"
        assert row.next_step.startswith("Add ")
    given = {key: _EXAMPLES[key].strip('"') for key in _NEEDS[method]}
    assert findings("tidewater", switch, method=method, **given) == {}


def test_what_another_method_reads_is_a_note() -> None:
    (row,) = findings("tidewater", method="triggered spark gap", leak="1e-3 Pa*m^3/s").values()
    assert (row.grade, row.path) == ("note", "trigger.leak")
    assert "pressure drop" in row.allowed
    assert findings("tidewater", "none", method="external wire", pulse_voltage="25 kV") == {}


def test_lamps_kept_alight_need_a_switch() -> None:
    (row,) = findings("tidewater", "none", method="simmer").values()
    assert (row.grade, row.path) == ("error", "switch.kind")
    assert findings("tidewater", "thyratron", method="simmer") == {}


def test_pumped_lamps_need_none() -> None:
    given = {key: _EXAMPLES[key].strip('"') for key in _NEEDS["pressure drop"]}
    (row,) = findings("tidewater", "thyratron", method="pressure drop", **given).values()
    assert (row.grade, row.path) == ("warning", "switch.kind")


def test_pressures_in_their_order() -> None:
    given = {key: _EXAMPLES[key].strip('"') for key in _NEEDS["pressure drop"]}
    (row,) = findings("tidewater", "none", method="pressure drop", **{**given, "stop_pressure": "400 torr"}).values()
    assert (row.grade, row.path) == ("error", "trigger.stop_pressure")


def test_rise_of_a_gap_goes_with_its_self_break() -> None:
    (row,) = findings("tidewater", "overvoltage gap", method="overvoltage gap", gap_rise="1 kV/us").values()
    assert (row.grade, row.path) == ("warning", "trigger.gap_rise")
    both = {"gap_rise": "1 kV/us", "self_break_voltage": "8 kV"}
    assert findings("tidewater", "overvoltage gap", method="overvoltage gap", **both) == {}
