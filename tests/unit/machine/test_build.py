"""Builds: records and entries, layers, overrides, replacement, fingerprints, comparison."""

from __future__ import annotations

import dataclasses
import math
import pickle
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import valid_builds, valid_texts

from pulsewright import machine
from pulsewright.errors import BuildError, DomainError
from pulsewright.machine import Build

TIDEWATER = machine.bench_text("tidewater")


def built(text: str) -> Build:
    loaded = machine.load_text(text)
    assert loaded.build is not None, "\n".join(map(str, loaded.findings))
    return loaded.build


@pytest.fixture(scope="module")
def tidewater() -> Build:
    return built(TIDEWATER)


# Records and entries ---------------------------------------------------------------------------


def test_records_are_si_and_named_as_in_the_file(tidewater: Build) -> None:
    m = tidewater.machine
    assert m.bank.capacitance == 4e-6
    assert m.bank.charge_voltage == 9500.0
    assert m.lamps["east"].fill_pressure == pytest.approx(13332.236842105263, rel=1e-15)
    assert m.dye.concentration == pytest.approx(0.06, rel=1e-15)
    assert m.dye.temperature == 293.15
    assert m.optics["steering"].angle == pytest.approx(math.pi / 4, rel=1e-15)
    assert m.optics["rear"].curvature == math.inf
    assert m.room.air_changes == pytest.approx(6 / 3600, rel=1e-15)
    assert m.loops["main"].flow == pytest.approx(5e-5, rel=1e-15)
    assert m.optics["window_rear"].reflectivity is None
    assert list(m.lamps) == ["east", "west"]
    assert list(m.optics) == ["rear", "window_rear", "window_front", "coupler", "steering", "lens"]
    assert (tidewater.name, tidewater.words[:8]) == ("tidewater", "Marine-o")


def test_records_are_frozen(tidewater: Build) -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        tidewater.machine.bank.capacitance = 1.0  # type: ignore[misc]
    with pytest.raises(TypeError):
        tidewater.machine.lamps["east"] = tidewater.machine.lamps["west"]  # type: ignore[index]
    with pytest.raises(TypeError):
        tidewater.entries["bank.capacitance"] = tidewater.entries["cell.bore"]  # type: ignore[index]


def test_an_entry_knows_where_its_value_comes_from(tidewater: Build) -> None:
    entry = tidewater.entries["bank.capacitance"]
    assert entry.value == 4e-6
    assert entry.text == "4 uF"
    assert (entry.key, entry.unit) == ("capacitance", "F")
    assert entry.spread == 0.2e-6
    assert (entry.basis, entry.distribution, entry.layer) == ("data sheet", "normal", "saved")
    assert "5 %" in entry.source
    assert TIDEWATER.splitlines()[entry.line - 1].startswith("capacitance =")
    assert (entry.shown, entry.shown_spread) == ("4.00 uF", "200 nF")


def test_a_bare_text_has_no_basis_and_no_spread(tidewater: Build) -> None:
    entry = tidewater.entries["room.temperature"]
    assert (entry.basis, entry.source, entry.spread, entry.shown_spread) == ("unknown", "", None, "")


def test_a_default_is_an_entry_of_its_own_layer() -> None:
    rows = [row for row in TIDEWATER.splitlines() if not row.startswith("growth_factor")]
    entry = built("\n".join(rows)).entries["trigger.growth_factor"]
    assert (entry.value, entry.spread, entry.layer, entry.line) == (1.0, 0.4, "default", 0)
    assert entry.source


def test_standard_deviations_follow_the_distribution() -> None:
    normal = built(TIDEWATER).entries["cell.bore"]
    # 90 % of a normal distribution lies within 1.6449 standard deviations (standard table)
    assert normal.standard_deviation == pytest.approx(0.1e-3 / 1.6449, rel=1e-4)
    uniform = built(TIDEWATER).override({"cell.bore.distribution": "uniform"}).entries["cell.bore"]
    # a uniform one of half-width a: 90 % within 0.9 a, standard deviation a / sqrt 3
    assert uniform.standard_deviation == pytest.approx((0.1e-3 / 0.9) / math.sqrt(3), rel=1e-12)
    assert built(TIDEWATER).entries["dye.quencher_concentration"].standard_deviation is None


@pytest.mark.parametrize(("spread", "expected"), [('"5 %"', 0.4e-3), ('"0.1 mm"', 0.1e-3), ('"0 mm"', 0.0)])
def test_spreads(spread: str, expected: float) -> None:
    text = TIDEWATER.replace(
        'bore = { value = "8 mm", spread = "0.1 mm"', f'bore = {{ value = "8 mm", spread = {spread}'
    )
    assert built(text).entries["cell.bore"].spread == pytest.approx(expected, rel=1e-15)


def test_the_spread_of_a_temperature_is_a_difference(tidewater: Build) -> None:
    assert tidewater.override({"dye.temperature.spread": "2 degC"}).entries["dye.temperature"].spread == 2.0
    assert tidewater.entries["dye.temperature"].shown_spread == "2.00 K"


def test_an_optional_limit_may_be_unknown() -> None:
    build = built(TIDEWATER).override({"bank.voltage_rating": "unknown"})
    assert build.machine.bank.voltage_rating is None
    assert build.entries["bank.voltage_rating"].value is None
    assert build.entries["bank.voltage_rating"].shown == "not known"


def test_every_number_of_the_records_is_an_entry(tidewater: Build) -> None:
    for section, described in machine.SECTIONS.items():
        record = getattr(tidewater.machine, section)
        parts = record.items() if described.many else [("", record)]
        for part, values in parts:
            for key in described.fields:
                path = ".".join(word for word in (section, part, key) if word)
                value = getattr(values, key)
                if path in tidewater.entries:
                    assert tidewater.entries[path].value == value
                else:
                    assert value in (None, "")


# Overrides and layers --------------------------------------------------------------------------


def test_override_changes_the_value_and_keeps_what_is_known(tidewater: Build) -> None:
    build = tidewater.override({"bank.capacitance": "5 uF"})
    before, after = tidewater.entries["bank.capacitance"], build.entries["bank.capacitance"]
    assert build.machine.bank.capacitance == 5e-6
    assert (after.spread, after.basis, after.source) == (before.spread, before.basis, before.source)
    assert (after.layer, after.line, after.text) == ("override", 0, "5 uF")
    assert tidewater.machine.bank.capacitance == 4e-6


def test_a_spread_in_per_cent_keeps_its_size_when_the_value_is_overridden() -> None:
    build = built(TIDEWATER.replace('spread = "0.2 uF"', 'spread = "5 %"')).override({"bank.capacitance": "8 uF"})
    assert build.entries["bank.capacitance"].spread == pytest.approx(0.2e-6, rel=1e-15)


def test_sub_keys_can_be_overridden_alone(tidewater: Build) -> None:
    build = tidewater.override({"room.volume.spread": "5 m^3", "room.temperature.basis": "measured"})
    assert build.entries["room.volume"].spread == 5.0
    assert build.entries["room.volume"].value == 60.0
    assert build.entries["room.temperature"].basis == "measured"
    assert build.entries["room.temperature"].value == 293.15


def test_an_entry_that_the_file_does_not_have_can_be_overridden(tidewater: Build) -> None:
    build = tidewater.override(
        {"optics.window_rear.transmission": "0.95", "lamps.east.explosion_fraction_rating": "0.2"}
    )
    assert build.machine.optics["window_rear"].transmission == 0.95
    assert build.machine.lamps["east"].explosion_fraction_rating == 0.2


def test_a_lower_layer_never_hides_a_higher_one(tidewater: Build) -> None:
    draft = tidewater.override({"bank.charge_voltage": "9 kV"}, layer="draft")
    both = draft.override({"bank.charge_voltage": "8 kV", "cell.bore": "7.9 mm"}, layer="learned")
    assert both.machine.bank.charge_voltage == 9000.0
    assert both.machine.cell.bore == pytest.approx(7.9e-3)
    assert {path: e.layer for path, e in both.entries.items() if e.layer not in ("saved", "default")} == {
        "bank.charge_voltage": "draft",
        "cell.bore": "learned",
    }
    assert both.override({"bank.charge_voltage": "7 kV"}).machine.bank.charge_voltage == 7000.0


def test_overrides_are_checked_together(tidewater: Build) -> None:
    with pytest.raises(BuildError) as refused:
        tidewater.override({"cell.bore": "8 kg", "dye.name": "dishwater", "optics.nowhere.angle": "1 deg"})
    assert {f.path for f in refused.value.findings} == {"cell.bore", "dye.name", "optics.nowhere.angle"}
    limits = tidewater.override({"bank.charge_voltage": "17 kV"}).findings
    assert {f.grade for f in limits} == {"limit"}
    assert {(f.file, f.line) for f in limits} == {("", 0)}, "an override does not stand in the file"


def test_an_unknown_layer_is_refused(tidewater: Build) -> None:
    with pytest.raises(DomainError, match="learned, draft, override"):
        tidewater.override({"cell.bore": "9 mm"}, layer="saved")


def test_replace_sets_si_and_nothing_else(tidewater: Build) -> None:
    build = tidewater.replace("lamps.east.bore", 8e-3)
    assert build.machine.lamps["east"].bore == 8e-3
    assert build.machine.lamps["west"] == tidewater.machine.lamps["west"]
    assert build.entries["lamps.east.bore"].value == 8e-3
    assert build.entries["lamps.east.bore"].spread == tidewater.entries["lamps.east.bore"].spread
    assert machine.compare(tidewater, build)[0].path == "lamps.east.bore"
    assert tidewater.machine.lamps["east"].bore == 7e-3


def test_replace_and_override_agree(tidewater: Build) -> None:
    one = tidewater.replace("bank.capacitance", 5e-6).replace("dye.temperature", 300.0)
    other = tidewater.override({"bank.capacitance": "5 uF", "dye.temperature": "300 K"})
    assert one.machine == other.machine
    assert one.values_fingerprint == other.values_fingerprint


def test_an_override_keeps_what_was_replaced(tidewater: Build) -> None:
    build = tidewater.replace("bank.capacitance", 5e-6).override({"cell.bore": "9 mm"})
    assert build.machine.bank.capacitance == 5e-6
    assert build.override({"bank.capacitance": "6 uF"}).machine.bank.capacitance == 6e-6


@pytest.mark.parametrize("path", ["bank.capacity", "dye.name", "lamps.north.bore", ""])
def test_replace_refuses_what_is_not_a_number(tidewater: Build, path: str) -> None:
    with pytest.raises(BuildError):
        tidewater.replace(path, 1.0)


# Fingerprints ----------------------------------------------------------------------------------


def test_the_values_fingerprint_follows_values_alone(tidewater: Build) -> None:
    same = TIDEWATER.replace('"4 uF"', '"4000 nF"').replace('basis = "data sheet"', 'basis = "estimated"')
    same = same.replace('part = "pulse capacitors, two in parallel"', 'part = "others"')
    start, end = same.index("[room]"), same.index("[bank]")
    moved = same[:end] + same[start:] + "\n" + same[end:start]
    assert built(moved).values_fingerprint == tidewater.values_fingerprint
    assert len(tidewater.values_fingerprint) == 16
    assert int(tidewater.values_fingerprint, 16) >= 0


@pytest.mark.parametrize(
    "changes",
    [
        {"bank.capacitance": "4.0000000001 uF"},
        {"dye.solvent": "methanol"},
        {"optics.window_rear.transmission": "0.99"},
        {"bank.voltage_rating": "unknown"},
        {"optics.rear.curvature": "100 m"},
    ],
)
def test_every_change_of_a_value_changes_it(tidewater: Build, changes: dict[str, str]) -> None:
    assert tidewater.override(changes).values_fingerprint != tidewater.values_fingerprint


def test_a_default_written_out_changes_nothing(tidewater: Build) -> None:
    text = TIDEWATER.replace("[optics.rear]\n", '[optics.rear]\nangle = "0 deg"\n')
    assert built(text).values_fingerprint == tidewater.values_fingerprint


def test_the_full_fingerprint_follows_everything_else_too(tidewater: Build) -> None:
    full = tidewater.full_fingerprint("data 1", "0.1.0")
    assert full == built(TIDEWATER).full_fingerprint("data 1", "0.1.0")
    others = [
        tidewater.full_fingerprint("data 2", "0.1.0"),
        tidewater.full_fingerprint("data 1", "0.1.1"),
        tidewater.override({"bank.capacitance": "4 uF"}).full_fingerprint("data 1", "0.1.0"),
        tidewater.override({"cell.bore.spread": "0.2 mm"}).full_fingerprint("data 1", "0.1.0"),
        tidewater.override({"cell.bore.basis": "estimated"}).full_fingerprint("data 1", "0.1.0"),
    ]
    assert len({full, *others}) == 6


# Comparison ------------------------------------------------------------------------------------


def test_compare_lists_what_differs(tidewater: Build) -> None:
    other = tidewater.override(
        {"bank.capacitance": "5 uF", "dye.solvent": "methanol", "cell.width": "2 cm", "room.volume": "60000 L"}
    )
    rows = machine.compare(tidewater, other)
    assert [(row.path, row.text_a, row.text_b) for row in rows] == [
        ("bank.capacitance", "4 uF", "5 uF"),
        ("cell.width", "", "2 cm"),
        ("dye.solvent", "ethanol", "methanol"),
    ]
    assert machine.compare(tidewater, tidewater) == ()


# Random builds ---------------------------------------------------------------------------------


@settings(max_examples=40)
@given(valid_builds())
@pytest.mark.slow
def test_random_builds_are_sound(build: Build) -> None:
    assert not [finding for finding in build.findings if finding.grade == "error"]
    assert not [finding for finding in machine.not_modelled(build) if finding.grade == "error"]
    numbers = [entry.value for entry in build.entries.values() if isinstance(entry.value, float)]
    assert not any(math.isnan(value) for value in numbers)


@settings(max_examples=30)
@given(valid_texts(), st.data())
@pytest.mark.slow
def test_replacing_by_the_same_value_changes_no_fingerprint(text: str, data: st.DataObject) -> None:
    build = built(text)
    paths = [path for path, entry in build.entries.items() if isinstance(entry.value, float)]
    path = data.draw(st.sampled_from(paths))
    value: Any = build.entries[path].value
    assert build.replace(path, value).values_fingerprint == build.values_fingerprint
    shown = build.replace(path, value).entries[path].text
    if math.isfinite(value):
        assert build.override({path: shown}).values_fingerprint == build.values_fingerprint


def test_builds_travel_to_worker_processes(tidewater: Build) -> None:
    build = tidewater.override({"cell.bore": "9 mm"}).replace("bank.capacitance", 5e-6)
    other = pickle.loads(pickle.dumps(build))
    assert other.machine == build.machine
    assert other.values_fingerprint == build.values_fingerprint
    assert other.full_fingerprint("d", "c") == build.full_fingerprint("d", "c")
    assert other.override({"dye.solvent": "methanol"}).machine.cell.bore == 9e-3
