from __future__ import annotations

import pytest

from pulsewright import machine, safety
from pulsewright.records import Value


def value(sheet: safety.Sheet, words: str) -> str:
    return next(row.value for row in sheet.rows if row.words.startswith(words))


@pytest.mark.parametrize("name", machine.BENCHES)
def test_sheet_carries_the_numbers_of_the_machine(bench, name) -> None:
    build = bench(name)
    sheet, numbers = safety.sheet(build), safety.figures(build)
    assert sheet.name == name
    assert sheet.fingerprint == build.values_fingerprint
    assert value(sheet, "Stored").endswith("kV")
    assert numbers.dump is not None
    assert " / " in value(sheet, "Dump, to 50 V / 60 V")
    for title in ("Dump, to", "Bleeder alone, to"):
        note = next(row.note for row in sheet.rows if row.words.startswith(title))
        assert "computed, never a proof" in note


@pytest.mark.parametrize("name", machine.BENCHES)
def test_misfire_keeps_its_order(bench, name) -> None:
    steps = safety.sheet(bench(name)).misfire.items
    assert [step.split()[0].strip(".") for step in steps] == ["WAIT", "DUMP", "MEASURE", "SHORT", "ONLY"]
    assert "THEN APPROACH" in steps[-1]
    assert "computed, never a proof" in steps[1]


def test_misfire_without_a_dump_waits_for_the_bleeder(bench) -> None:
    steps = safety.sheet(bench(dump__resistance="unknown")).misfire.items
    assert "No dump is listed" in steps[1]
    assert "Wait 7.3 min" in steps[2]
    bare = safety.sheet(bench(dump__resistance="unknown", bank__bleeder_resistance="unknown")).misfire.items
    assert "Keep the door shut" in bare[2]


def test_pressure_drop_has_its_own_words(bench) -> None:
    sheet = safety.sheet(bench("millpond"))
    assert "may still fire by itself" in sheet.misfire.items[0]
    assert "pump and valves as they are" in sheet.misfire.items[0]
    assert any("400 torr" in item for item in sheet.before.items)
    assert any("from the first volt" in item for item in sheet.before.items)
    assert any("Charger off between shots" in item for item in sheet.between.items)
    plain = safety.sheet(bench())
    assert "by itself" not in " ".join((*plain.misfire.items[:4], *plain.before.items, *plain.between.items))


def test_eyewear_of_the_shot_reaches_list_and_rows(bench, shot) -> None:
    known = shot(output_energy=Value(0.5, "J", 0.2, 1.0), wavelength=Value(590e-9, "m"), pulse_width=Value(1e-6, "s"))
    sheet = safety.sheet(bench(), known)
    assert value(sheet, "Eyewear, IEC 60825-1:2014") == "optical density 7.1 or more"
    assert value(sheet, "Eyewear, 2006/25/EC") == "optical density 6.7 or more"
    assert value(sheet, "Beam, class 4") == "1.00 J, 590 nm, 1.0 us"
    assert any("optical density 7.1 or more" in item for item in sheet.before.items)
    assert any("obtain the standard" in note for note in sheet.notes)


def test_fresh_dye_takes_three_volumes_of_the_cell(bench) -> None:
    # 8 mm bore, 170 mm long, 3 L/min: 8.545 mL, 0.513 s
    assert value(safety.sheet(bench()), "Fresh dye between shots") == "510 ms"
    assert "by hand" in value(safety.sheet(bench("millpond")), "Fresh dye between shots")
    assert value(safety.sheet(bench(loops__main__flow="unknown")), "Fresh dye between shots") == "not known"


def test_set_voltage_and_the_lower_of_both_ceilings(bench) -> None:
    assert "Set 9.50 kV. Never above 12.0 kV" in safety.sheet(bench()).before.items[-1]
    assert "Never above 11.0 kV" in safety.sheet(bench(bank__voltage_rating="11 kV")).before.items[-1]


def test_unknowns_are_written_out(bench) -> None:
    sheet = safety.sheet(bench(room__volume="unknown", room__air_changes="unknown", loops__main__volume="unknown"))
    assert value(sheet, "Air changes") == "not known"
    assert "not known" in value(sheet, "Solvent")


def test_water_needs_no_talk_of_flames(bench) -> None:
    sheet = safety.sheet(bench(dye__solvent="water"))
    assert next(row.note for row in sheet.rows if row.words == "Solvent") == "no flash point"
    assert not any("flame" in item for item in sheet.before.items)


@pytest.mark.parametrize("name", machine.BENCHES)
def test_every_line_is_plain_and_says_something(bench, name) -> None:
    sheet = safety.sheet(bench(name))
    lists = (sheet.before, sheet.between, sheet.misfire, sheet.shut_down)
    lines = [*(item for one in lists for item in one.items), *sheet.notes]
    assert all(line.strip() and "!" not in line for line in lines)
    assert "Local codes and licensed practice decide" in sheet.notes[0]
    assert len(set(lines)) == len(lines)
