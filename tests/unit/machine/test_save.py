"""Saving: comments and order survive, values in tables keep the rest, random builds come back the same."""

from __future__ import annotations

import difflib
import multiprocessing
import stat
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from strategies import sized, valid_texts

from pulsewright import machine, units
from pulsewright.errors import ConflictError

TIDEWATER = machine.bench_text("tidewater")


def saved(text: str, changes: dict[str, str], folder: Path) -> str:
    path = folder / "laser.toml"
    path.write_bytes(text.encode())
    digest = machine.save(path, changes, machine.load(path).text_sha256)
    loaded = machine.load(path)
    assert loaded.text_sha256 == digest
    assert [p.name for p in folder.iterdir()] == ["laser.toml"]
    return path.read_bytes().decode()


def differing(old: str, new: str) -> list[str]:
    rows = difflib.ndiff(old.splitlines(), new.splitlines())
    return [row for row in rows if row.startswith(("- ", "+ "))]


def test_only_the_changed_value_changes(tmp_path: Path) -> None:
    new = saved(TIDEWATER, {"bank.reversal_rating": "0.25"}, tmp_path)
    (old_row, new_row) = differing(TIDEWATER, new)
    assert old_row[2:].replace("value = 0.2,", "value = 0.25,") == new_row[2:]
    assert "# of the first peak" in new_row


def test_a_bare_text_keeps_its_comment(tmp_path: Path) -> None:
    new = saved(TIDEWATER, {"optics.rear.damage_wavelength": "532 nm"}, tmp_path)
    assert differing(TIDEWATER, new)[1] == '+ damage_wavelength = "532 nm" # where that threshold was tested'


def test_numbers_without_unit_are_written_bare_and_words_quoted(tmp_path: Path) -> None:
    changes = {"resonator.loss_per_pass": "0.05", "dye.solvent": "methanol", "loop.sections": "6"}
    new = saved(TIDEWATER, changes, tmp_path)
    assert "loss_per_pass = { value = 0.05, spread = 0.02" in new
    assert 'solvent = "methanol"' in new
    assert "sections = 6\n" in new


def test_a_sub_key_turns_a_text_into_a_table(tmp_path: Path) -> None:
    new = saved(TIDEWATER, {"room.temperature.spread": "1 K", "room.temperature.basis": "measured"}, tmp_path)
    entry = machine.load_text(new).build
    assert entry is not None
    row = entry.entries["room.temperature"]
    assert (row.text, row.spread, row.basis, row.layer) == ("20 degC", 1.0, "measured", "saved")


def test_a_spread_in_per_cent_becomes_absolute_when_the_value_changes(tmp_path: Path) -> None:
    text = TIDEWATER.replace('spread = "3e-6 mol/L"', 'spread = "5 %"')
    new = saved(text, {"dye.concentration": "1e-4 mol/L"}, tmp_path)
    assert '"1e-4 mol/L", spread = "3e-6 mol/L"' in new


def test_dotted_keys_sub_tables_and_scattered_tables(tmp_path: Path) -> None:
    text = TIDEWATER.replace(
        'temperature = "20 degC"\naltitude = "50 m"',
        'temperature.value = "20 degC" # thermometer\ntemperature.basis = "measured"\naltitude = "50 m"',
    )
    text = text.replace("[target]\n", '[dump.note]\nvalue = "x"\n[target]\n').replace('[dump.note]\nvalue = "x"\n', "")
    start, end = text.index("[lamps.west]"), text.index("[chamber]")
    text = text[:start] + text[end:] + "\n" + text[start:end]
    new = saved(text, {"room.temperature": "22 degC", "lamps.west.bore": "8 mm", "lamps.east.bore": "8 mm"}, tmp_path)
    assert 'temperature.value = "22 degC" # thermometer\ntemperature.basis = "measured"' in new
    build = machine.load_text(new).build
    assert build is not None
    assert {lamp.bore for lamp in build.machine.lamps.values()} == {8e-3}
    assert len(differing(text, new)) == 6


def test_a_missing_table_is_added_at_the_end(tmp_path: Path) -> None:
    start, end = TIDEWATER.index("[target]"), TIDEWATER.index("[room]")
    text = TIDEWATER[:start] + TIDEWATER[end:]
    new = saved(text, {"target.distance": "2 m"}, tmp_path)
    assert new.startswith(text.rstrip("\n"))
    assert new.rstrip().endswith('[target]\ndistance = "2 m"')


def test_windows_line_ends_and_byte_order_mark_survive(tmp_path: Path) -> None:
    text = "\ufeff" + TIDEWATER.replace("\n", "\r\n")
    new = saved(text, {"bank.charge_voltage": "9 kV"}, tmp_path)
    assert new.startswith("\ufeff")
    assert new.count("\r\n") == text.count("\r\n") == new.count("\n")


def test_nothing_changes_when_nothing_is_asked(tmp_path: Path) -> None:
    assert saved(TIDEWATER, {}, tmp_path) == TIDEWATER


def test_permissions_and_links_survive(tmp_path: Path) -> None:
    real = tmp_path / "elsewhere.toml"
    real.write_text(TIDEWATER)
    real.chmod(0o640)
    link = tmp_path / "laser.toml"
    try:
        link.symlink_to(real)
    except OSError:
        pytest.skip("not run: no symbolic links here")
    machine.save(link, {"bank.charge_voltage": "9 kV"}, machine.load(link).text_sha256)
    assert link.is_symlink()
    assert '"9 kV"' in real.read_text()
    assert stat.S_IMODE(real.stat().st_mode) == 0o640


def _writer(path: str, expected: str, voltage: str, answer: multiprocessing.Queue[str]) -> None:
    try:
        answer.put(machine.save(path, {"bank.charge_voltage": voltage}, expected))
    except ConflictError:
        answer.put("conflict")


@pytest.mark.slow
def test_of_several_writers_at_once_one_wins_and_the_others_are_told(tmp_path: Path) -> None:
    path = tmp_path / "laser.toml"
    path.write_text(TIDEWATER)
    expected = machine.load(path).text_sha256
    context = multiprocessing.get_context("spawn")
    answers: multiprocessing.Queue[str] = context.Queue()
    voltages = ("7 kV", "8 kV", "9 kV")
    writers = [context.Process(target=_writer, args=(str(path), expected, v, answers)) for v in voltages]
    for writer in writers:
        writer.start()
    told = sorted(answers.get(timeout=60) for _ in writers)
    for writer in writers:
        writer.join()
    assert told.count("conflict") == 2
    assert machine.load(path).text_sha256 in told


@pytest.mark.slow
@settings(max_examples=30)
@given(valid_texts(), st.data())
def test_random_builds_come_back_as_saved(
    tmp_path_factory: pytest.TempPathFactory, text: str, data: st.DataObject
) -> None:
    before = machine.load_text(text).build
    assert before is not None
    changes = data.draw(
        st.fixed_dictionaries(
            {},
            optional={
                "bank.charge_voltage": sized("charge_voltage", "3 kV", "12 kV"),
                "lamps.east.fill_pressure": sized("fill_pressure", "50 torr", "500 torr"),
                "cell.bore": sized("bore", "4 mm", "15 mm"),
                "optics.coupler.reflectivity": st.sampled_from(["0.3", "0.5", "0.75"]),
                "dye.solvent": st.sampled_from(["ethanol", "methanol"]),
                "room.volume": sized("volume", "20 m^3", "200 m^3"),
            },
        )
    )
    new = saved(text, changes, tmp_path_factory.mktemp("bench"))
    after = machine.load_text(new).build
    assert after is not None
    assert after.machine == before.override(changes).machine
    assert after.values_fingerprint == before.override(changes).values_fingerprint
    for path, entry in after.entries.items():
        assert entry.spread == pytest.approx(before.override(changes).entries[path].spread)
        assert entry.source == before.entries[path].source


@settings(max_examples=30)
@given(st.floats(1e-12, 1e-2), st.sampled_from(["uF", "\u00b5F", "\u03bcF", "nF", "F"]))
@pytest.mark.slow
def test_any_spelling_is_saved_as_written(tmp_path_factory: pytest.TempPathFactory, value: float, unit: str) -> None:
    text = f"{units.format(value, 'F', None, display='F').split()[0]} {unit}"
    size = units.parse(text, "F")
    if not 1e-12 <= size <= 10:
        return
    new = saved(TIDEWATER, {"bank.capacitance": text}, tmp_path_factory.mktemp("bench"))
    build = machine.load_text(new).build
    assert build is not None
    assert build.machine.bank.capacitance == size
    assert build.entries["bank.capacitance"].text == text
