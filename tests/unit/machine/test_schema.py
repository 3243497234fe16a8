"""The schema: rows, documentation, example benches, choices that are not modelled, migrations."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from typing import Any

import pytest

from pulsewright import machine, refdata
from pulsewright.machine import Build, checks
from pulsewright.machine.describe import BEGIN, END, markdown
from pulsewright.machine.fields import DISTRIBUTIONS
from pulsewright.machine.migrate import MIGRATIONS, migrate
from pulsewright.machine.parts import TRIGGERS
from pulsewright.machine.schema import address
from pulsewright.machine.values import Place, literal, read_entry
from pulsewright.quantities import QUANTITIES

TIDEWATER = machine.bench_text("tidewater")
ROWS = {row.path: row for row in machine.schema_rows()}


def built(text: str) -> Build:
    loaded = machine.load_text(text)
    assert loaded.build is not None, "\n".join(map(str, loaded.findings))
    return loaded.build


# Rows ------------------------------------------------------------------------------------------


@pytest.mark.parametrize("path", sorted(ROWS))
def test_rows_hold_together(path: str) -> None:
    row = ROWS[path]
    assert row.words
    assert not row.words.endswith(".")
    if row.kind == "number":
        assert QUANTITIES[row.key].unit == row.unit
        assert row.allowed
    if row.kind in ("choice", "name"):
        assert row.choices
        assert set(row.modelled) <= set(row.choices)
    if row.required:
        assert not row.default
        assert row.example


@pytest.mark.parametrize("section", sorted(machine.SECTIONS))
def test_examples_and_defaults_can_be_read(section: str) -> None:
    for field in machine.SECTIONS[section].fields.values():
        if field.kind == "reference":
            continue
        path = f"{section}.x.{field.key}" if machine.SECTIONS[section].many else f"{section}.{field.key}"
        for raw in (field.example, field.default):
            if raw not in (None, ""):
                entry, faults = read_entry(field, raw, Place(path), "saved")
                assert entry is not None
                assert not faults
        assert literal(field)


def test_every_key_of_the_reference_data_kinds_exists() -> None:
    kinds = {f.target for section in machine.SECTIONS.values() for f in section.fields.values() if f.kind == "name"}
    assert kinds == {
        "dye", "solvent", "surfactant", "gas", "glass", "coating", "coolant", "filter", "wall",
        "atmosphere", "quencher",
    }  # fmt: skip
    assert kinds <= set(refdata.names())


def test_distributions_are_those_a_standard_deviation_is_known_for() -> None:
    assert DISTRIBUTIONS == ("normal", "uniform")


def test_the_document_has_every_row_of_the_schema(project_root: Path) -> None:
    text = (project_root / "docs" / "build-file.md").read_text(encoding="utf-8")
    between = text[text.index(BEGIN) + len(BEGIN) : text.index(END)]
    assert between.strip() == markdown().strip(), "run: python -m pulsewright.machine.describe docs/build-file.md"
    for section in machine.SECTIONS.values():
        for key in section.fields:
            assert f"`{key}`" in between


# Example benches -------------------------------------------------------------------------------


@pytest.mark.parametrize("name", machine.BENCHES)
def test_example_benches_load_without_a_finding(name: str) -> None:
    loaded = machine.load_text(machine.bench_text(name), f"{name}.toml")
    assert loaded.findings == ()
    assert loaded.build is not None
    assert loaded.build.name == name


@pytest.mark.parametrize(
    ("name", "refused"),
    [
        ("tidewater", {}),
        ("lanternroom", {}),
        ("longwave", {}),
        ("millpond", {}),
    ],
)
def test_what_is_not_modelled_is_refused_by_name(name: str, refused: dict[str, str]) -> None:
    findings = machine.not_modelled(built(machine.bench_text(name)))
    errors = {f.path: f for f in findings if f.grade == "error"}
    assert set(errors) == set(refused)
    for path, word in refused.items():
        assert word in errors[path].message
        assert errors[path].allowed
        assert errors[path].next_step
        assert errors[path].line > 0


@pytest.mark.parametrize("name", machine.BENCHES)
def test_numbers_of_the_benches_say_what_they_rest_on(name: str) -> None:
    build = built(machine.bench_text(name))
    spread = [entry for entry in build.entries.values() if entry.spread is not None and entry.layer == "saved"]
    assert len(spread) >= 8
    for entry in spread:
        assert entry.basis != "unknown", entry.path
        assert entry.source, entry.path


TUNED = {"resonator.tuned_wavelength": "589 nm", "resonator.tuned_width": "2 nm", "resonator.tuning_period": "8 nm"}


@pytest.mark.parametrize("word", ["prism", "grating", "plate", "etalon"])
def test_a_choice_that_is_declared_as_not_modelled_is_refused_by_name(
    monkeypatch: pytest.MonkeyPatch, word: str
) -> None:
    """Every word is computed now: take some back, and they are refused."""
    build = built(TIDEWATER).override({"resonator.tuning": word, **TUNED})
    assert machine.not_modelled(build) == ()

    def less(path: str) -> Any:
        found = address(path)
        if found is None or found.path != "resonator.tuning":
            return found
        return replace(found, field=replace(found.field, modelled=frozenset({"free running"})))

    monkeypatch.setattr(checks, "address", less)
    errors = [f for f in machine.not_modelled(build) if f.grade == "error"]
    assert [f.path for f in errors] == ["resonator.tuning"]
    assert word in errors[0].message
    assert "free running" in errors[0].allowed


@pytest.mark.parametrize("word", [word for word in TRIGGERS if word != "pressure drop"])
def test_every_trigger_is_modelled(word: str) -> None:
    needed = {
        "pre-pulse": {
            "trigger.prepulse_capacitance": "100 nF",
            "trigger.prepulse_voltage": "9 kV",
            "trigger.prepulse_inductance": "2 uH",
            "trigger.prepulse_delay": "20 us",
        },
        "series injection": {"trigger.saturated_inductance": "5 uH"},
    }
    assert machine.not_modelled(built(TIDEWATER).override({"trigger.method": word, **needed.get(word, {})})) == ()


@pytest.mark.parametrize("word", ["closed loop", "bleed and feed", "fresh fill", "regenerated", "stagnant"])
def test_every_way_to_renew_the_fill_is_computed(word: str) -> None:
    assert machine.not_modelled(built(TIDEWATER).override({"loops.main.method": word})) == ()


def test_the_square_root_law_is_refused_for_gases_without_a_constant() -> None:
    build = built(TIDEWATER).override({"loop.lamp_law": "square-root law"})
    assert machine.not_modelled(build) == ()
    (finding,) = machine.not_modelled(build.override({"lamps.east.gas": "argon"}))
    assert finding.path == "loop.lamp_law"
    assert "argon" in finding.message


# Warnings that do not stop anything ------------------------------------------------------------


@pytest.mark.parametrize(
    ("changes", "path"),
    [
        ({"dye.quencher_concentration": "1e-3 mol/L"}, "dye.quencher_concentration"),
        ({"dye.quencher": "cyclooctatetraene"}, "dye.quencher_concentration"),
        ({"loops.main.method": "stagnant"}, "loops.main.flow"),
        ({"trigger.method": "thyratron"}, "trigger.method"),
        ({"target.distance": "1 m"}, "optics.lens.distance"),
        ({"chamber.length": "150 mm", "cell.pumped_length": "155 mm"}, "cell.pumped_length"),
        ({"lamps.east.arc_length": "165 mm"}, "lamps.east.arc_length"),
        ({"lamps.east.inner_diameter": "3 mm"}, "lamps.east.inner_diameter"),
    ],
)
def test_warnings(changes: dict[str, str], path: str) -> None:
    findings = built(TIDEWATER).override(changes).findings
    assert {(f.grade, f.path) for f in findings} == {("warning", path)}
    assert all(f.allowed and f.next_step for f in findings)


# Migration -------------------------------------------------------------------------------------


def test_there_is_nothing_to_migrate_from_before_the_first_schema() -> None:
    assert dict(MIGRATIONS) == {}
    assert machine.SCHEMA == 1


def test_migrations_are_applied_one_after_the_other() -> None:
    steps = {1: lambda tree: {**tree, "a": 1}, 2: lambda tree: {**tree, "b": tree["a"] + 1}}
    tree, fault = migrate({"schema": 1}, "laser.toml", schema=3, migrations=steps)
    assert fault is None
    assert tree == {"schema": 3, "a": 1, "b": 2}
