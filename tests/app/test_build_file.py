"""Bad build files: every fault says where, what, what is allowed and what to do next, and nothing is written."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from pulsewright import machine
from pulsewright.errors import BuildError, ConflictError, Finding

TIDEWATER = machine.bench_text("tidewater")


@pytest.fixture
def bench(tmp_path: Path) -> Callable[[str | bytes], Path]:
    """Writes a build file and returns its path."""

    def write(content: str | bytes) -> Path:
        path = tmp_path / "laser.toml"
        path.write_bytes(content if isinstance(content, bytes) else content.encode())
        return path

    return write


def changed(old: str, new: str) -> str:
    """Tidewater with one passage replaced; it must be there."""
    assert old in TIDEWATER
    return TIDEWATER.replace(old, new, 1)


def set_line(path: str, value: str, base: str = TIDEWATER) -> tuple[str, int]:
    """Tidewater with the value of one key written anew, and the line it stands on."""
    header, _, key = path.rpartition(".")
    rows = base.splitlines()
    start = rows.index(f"[{header}]")
    at = next(i for i in range(start, len(rows)) if rows[i].startswith(f"{key} ="))
    rows[at] = f"{key} = {value}"
    return "\n".join(rows) + "\n", at + 1


def complete(finding: Finding) -> None:
    """It says where, what, allowed and next step, in that order, on one line."""
    assert finding.file == "laser.toml"
    assert finding.message
    assert finding.allowed
    assert finding.next_step
    words = str(finding)
    assert words.startswith("laser.toml")
    assert words.index(finding.message) < words.index(finding.allowed.rstrip(".")) <= words.index(finding.next_step)
    assert "\n" not in words
    assert "!" not in words


def only_error(path: Path) -> Finding:
    """The one error of a file that must not load; the file is as it was."""
    before = path.read_bytes()
    loaded = machine.load(path)
    assert loaded.build is None
    errors = [finding for finding in loaded.findings if finding.grade == "error"]
    assert len(errors) == 1, "\n".join(map(str, errors))
    complete(errors[0])
    assert path.read_bytes() == before
    assert [p.name for p in path.parent.iterdir()] == [path.name]
    return errors[0]


# Files that are no build file ------------------------------------------------------------------


def test_missing_file(tmp_path: Path) -> None:
    loaded = machine.load(tmp_path / "laser.toml")
    (finding,) = loaded.findings
    assert loaded.build is None
    complete(finding)
    assert "no such file" in finding.message
    assert "pulsewright new" in finding.next_step
    assert list(tmp_path.iterdir()) == []


def test_a_folder_in_its_place(tmp_path: Path) -> None:
    (tmp_path / "laser.toml").mkdir()
    (finding,) = machine.load(tmp_path / "laser.toml").findings
    complete(finding)
    assert "folder" in finding.message


def test_unreadable_file(bench: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch) -> None:
    path = bench(TIDEWATER)

    def refuse(*_args: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    (finding,) = machine.load(path).findings
    complete(finding)
    assert "cannot be read (Permission denied)" in finding.message


def test_fifty_megabytes_are_refused_by_size_alone(tmp_path: Path) -> None:
    path = tmp_path / "laser.toml"
    with path.open("wb") as stream:
        stream.truncate(50_000_000)
    loaded = machine.load(path)
    (finding,) = loaded.findings
    complete(finding)
    assert "50 MB" in finding.message
    assert "1 MiB" in finding.allowed
    assert loaded.text_sha256 == "", "it was read"


@pytest.mark.parametrize("content", [b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", b"schema = 1\n\xff\xfe\0\0", b"a = 1\n\0"])
def test_binary_file(bench: Callable[[bytes], Path], content: bytes) -> None:
    finding = only_error(bench(content))
    assert "not a text file" in finding.message
    assert finding.line >= 1


@pytest.mark.parametrize(
    ("text", "line"),
    [
        ("schema = 1\n[bank\n", 2),
        ("schema = 1\nname = tidewater\n", 2),
        ('schema = 1\n[bank]\ncapacitance = "4 uF\n', 3),
        ("schema = 1\n[bank]\n[bank]\n", 3),
        ("schema = 1\n\n[lamps.east]\n[lamps.west]\n[lamps.east]\n", 5),
        ('schema = 1\n[bank]\ncapacitance = "4 uF"\ncapacitance = "5 uF"\n', 4),
        ("schema = " + "9" * 5000 + "\n", 1),
        ("PK this is prose, not TOML\n", 1),
    ],
)
def test_not_toml(bench: Callable[[str], Path], text: str, line: int) -> None:
    finding = only_error(bench(text))
    assert finding.line == line or "digits" in finding.message


def test_a_duplicate_id_is_named(bench: Callable[[str], Path]) -> None:
    finding = only_error(bench(TIDEWATER.replace("[lamps.west]", "[lamps.east]")))
    assert finding.path == "lamps.east"
    assert "second time" in finding.message


def test_deep_nesting(bench: Callable[[str], Path]) -> None:
    only_error(bench("schema = 1\na = " + "[" * 100_000 + "]" * 100_000 + "\n"))


def test_a_byte_order_mark_and_windows_line_ends_are_accepted(bench: Callable[[bytes], Path]) -> None:
    loaded = machine.load(bench(b"\xef\xbb\xbf" + TIDEWATER.replace("\n", "\r\n").encode()))
    assert loaded.build is not None


def test_an_empty_file_lists_what_is_missing(bench: Callable[[str], Path]) -> None:
    loaded = machine.load(bench(""))
    paths = {finding.path for finding in loaded.findings}
    assert {"schema", "bank", "lamps", "dye", "resonator", "optics"} <= paths
    for finding in loaded.findings:
        complete(finding)


# Schema, tables, keys --------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("row", "words"),
    [("", "missing"), ("schema = 2", "newer"), ("schema = 0", "not a schema number"), ('schema = "1"', "not a schema")],
)
def test_schema_missing_newer_or_wrong(bench: Callable[[str], Path], row: str, words: str) -> None:
    finding = only_error(bench(changed("schema = 1", row)))
    assert finding.path == "schema"
    assert words in finding.message


def test_an_unknown_table_gets_the_nearest_name(bench: Callable[[str], Path]) -> None:
    finding = only_error(bench(TIDEWATER + '\n[taget]\ndistance = "2 m"\n'))
    assert finding.path == "taget"
    assert '"target"' in finding.next_step
    assert finding.line == TIDEWATER.count("\n") + 2


def test_an_unknown_key_gets_the_nearest_name_and_its_line(bench: Callable[[str], Path]) -> None:
    finding = only_error(bench(changed("bleeder_resistance", "bleeder_resistence")))
    assert finding.path == "bank.bleeder_resistence"
    assert '"bleeder_resistance"' in finding.next_step
    assert TIDEWATER.splitlines()[finding.line - 1].startswith("bleeder_resistance")


def test_an_unknown_key_of_a_value_gets_the_nearest_name(bench: Callable[[str], Path]) -> None:
    text, line = set_line("cell.bore", '{ value = "8 mm", spraed = "0.1 mm" }')
    finding = only_error(bench(text))
    assert (finding.path, finding.line) == ("cell.bore.spraed", line)
    assert '"spread"' in finding.next_step


def test_a_missing_table_and_a_missing_key(bench: Callable[[str], Path]) -> None:
    start, end = TIDEWATER.index("[cell]"), TIDEWATER.index("[dye]")
    finding = only_error(bench(TIDEWATER[:start] + TIDEWATER[end:]))
    assert finding.path == "cell"
    assert "bore" in finding.next_step
    finding = only_error(bench(changed('solvent = "ethanol"\n', "")))
    assert finding.path == "dye.solvent"
    assert 'Add solvent = "ethanol" under [dye]' in finding.next_step


def test_an_empty_lamp_list(bench: Callable[[str], Path]) -> None:
    start, end = TIDEWATER.index("[lamps.east]"), TIDEWATER.index("[chamber]")
    for lamps in ("", "[lamps]\n", "lamps = []\n"):
        text = (
            f"{lamps}{TIDEWATER[:start]}{TIDEWATER[end:]}"
            if "=" in lamps
            else TIDEWATER[:start] + lamps + TIDEWATER[end:]
        )
        finding = only_error(bench(text))
        assert finding.path == "lamps"
        assert "[lamps.east]" in finding.next_step


@pytest.mark.parametrize("rows", ['[loops]\nflow = "3 L/min"\n', "loops = 3\n", "[[loops]]\nmethod = 1\n"])
def test_a_section_of_named_parts_that_holds_none(bench: Callable[[str], Path], rows: str) -> None:
    start, end = TIDEWATER.index("[loops.main]"), TIDEWATER.index("[resonator]")
    rest = TIDEWATER[:start] + TIDEWATER[end:]
    finding = only_error(bench(rows + rest if rows.startswith("loops =") else rest + rows))
    assert finding.path.startswith("loops")
    assert "[loops.main]" in finding.next_step


def test_an_id_that_cannot_stand_in_a_path(bench: Callable[[str], Path]) -> None:
    finding = only_error(bench(changed("[loops.main]", '[loops."my loop"]')))
    assert "cannot be an id" in finding.message


# Values ----------------------------------------------------------------------------------------

VALUES = [
    # path, what stands there, words of the message, words of allowed or next step
    ("bank.charge_voltage", '"9 kA"', '9 kA is a current; a voltage is wanted, for instance "9 kV"', "voltage"),
    ("bank.charge_voltage", '"9 xV"', '"xV" is not a unit', "kV"),
    ("bank.charge_voltage", "9500", "9500 has no unit", '"9500 V"'),
    ("bank.charge_voltage", '"9500"', "9500 has no unit", '"9500 V"'),
    ("bank.charge_voltage", '"9,5 kV"', "decimal comma", '"9.5 kV"'),
    ("bank.charge_voltage", '"0 V"', "0 V is not possible", "above 0"),
    ("bank.charge_voltage", '"-9 kV"', "-9 kV is not possible", "above 0"),
    ("bank.charge_voltage", '"1e9 V"', "absurdly large", "200 kV"),
    ("bank.charge_voltage", '"9 MV"', "absurdly large", "prefix"),
    ("bank.charge_voltage", '"nan V"', "not a finite number", "kV"),
    ("bank.charge_voltage", "nan", "has no unit", "kV"),
    ("bank.charge_voltage", '"unknown"', "cannot be unknown", "spread"),
    ("bank.charge_voltage", "true", "not a number", "kV"),
    ("bank.charge_voltage", '["9 kV"]', "a list is not a number", "kV"),
    ("bank.charge_voltage", "1979-05-27", "not a number", "kV"),
    ("bank.charge_voltage", '{ spread = "1 kV" }', "has no value", "value ="),
    ("loop.resistance", '"30 Mohm"', "30 Mohm is too large", "1.00 kohm"),
    ("optics.rear.damage_fluence", '"10 MJ/cm^2"', "absurdly large", '"10 mJ/cm^2" was perhaps meant'),
    ("optics.steering.angle", '"91 deg"', "91 deg is too large", "below 90.0 deg"),
    ("bank.capacitance", '"4e3 F"', "absurdly large", "10.0 F"),
    ("cell.length", '"-170 mm"', "-170 mm is not possible", "above 0"),
    ("cell.length", '"170"', "170 has no unit", '"170 m"'),
    ("cell.pumped_length", '"180 mm"', "180 mm is above the cell's length", "At most 170 mm"),
    ("cell.length", '"500 mm"', "above the resonator's length", "At most 400 mm"),
    ("optics.coupler.reflectivity", "0", "0 is not possible", "above 0 to 1"),
    ("optics.coupler.reflectivity", "1.2", "1.2 is too large", "above 0 to 1"),
    ("optics.coupler.reflectivity", "nan", "not a finite number", "above 0 to 1"),
    ("optics.coupler.reflectivity", "inf", "not a finite number", "above 0 to 1"),
    ("optics.coupler.reflectivity", '"5 mm"', "has a unit", "5"),
    ("resonator.loss_per_pass", "1.0", "too large", "below 1"),
    ("resonator.rear", '"reer"', 'there is no optic "reer"', '"rear"'),
    ("resonator.rear", '"coupler"', "both mirrors", "other mirror"),
    ("resonator.rear", '"lens"', "is a lens", "mirror"),
    ("resonator.tuning", '"prizm"', '"prizm" is not one of the words of tuning', '"prism"'),
    ("dye.name", '"rodamine 6g"', "not a known dye", '"rhodamine 6G"'),
    ("dye.solvent", '"etanol"', "not a known solvent", '"ethanol"'),
    ("dye.solvent", "3", "3 is not text", "ethanol"),
    ("lamps.east.gas", '"xenom"', "not a known gas", '"xenon"'),
    ("lamps.east.envelope", '"clear silica"', "not a known glass", '"clear fused silica"'),
    ("optics.rear.coating", '"dielectric high"', "not a known coating", "dielectric high reflector"),
    ("chamber.coolant", '"watter"', "not a known coolant", '"water"'),
    ("chamber.reflector", '"single ellipse"', "holds 1 lamp; the file lists 2", "another reflector"),
    ("chamber.reflector", '"circular"', "needs its diameter", "Add diameter"),
    ("chamber.semi_minor", '"26 mm"', "above the half of the long axis", "At most 25 mm"),
    ("charger.method", '"constant power"', "needs its power", "Add power"),
    ("trigger.channel_radius", '"4 mm"', "wider than lamp", "half the bore"),
    ("cell.bore", '{ value = "8 mm", spread = "2 kV" }', "2 kV is a voltage", "length"),
    ("cell.bore", '{ value = "8 mm", spread = 0.1 }', "0.1 has no unit", '"0.1 m"'),
    ("cell.bore", '{ value = "8 mm", spread = "-1 mm" }', "not possible for a spread", "0 or more"),
    ("cell.bore", '{ value = "8 mm", basis = "measurd" }', "is not a basis", '"measured"'),
    ("cell.bore", '{ value = "8 mm", basis = 3 }', "3 is not a basis", "measured"),
    ("cell.bore", '{ value = "8 mm", distribution = "lopsided" }', "is not a distribution", "normal"),
    ("cell.bore", '{ value = "8 mm", source = 3 }', "is not a source", "Text"),
]


@pytest.mark.parametrize(("path", "value", "what", "help_words"), VALUES)
def test_bad_values(bench: Callable[[str], Path], path: str, value: str, what: str, help_words: str) -> None:
    text, line = set_line(path, value)
    loaded = machine.load(bench(text))
    assert loaded.build is None
    errors = [finding for finding in loaded.findings if finding.grade == "error"]
    for finding in errors:
        complete(finding)
    told = [f for f in errors if what in f.message and help_words in f"{f.allowed} {f.next_step}"]
    assert told, "\n".join(map(str, errors))
    if told[0].path.startswith(path):
        assert told[0].line == line, str(told[0])


def test_a_value_that_is_large_but_not_absurd_is_accepted(bench: Callable[[str], Path]) -> None:
    assert machine.load(bench(set_line("bank.capacitance", '"4 F"')[0])).build is not None


def test_a_network_without_its_sections_says_so_for_each(bench: Callable[[str], Path]) -> None:
    loaded = machine.load(bench(set_line("loop.network", '"pulse-forming network"')[0]))
    assert {f.path for f in loaded.findings if f.grade == "error"} == {"loop.sections", "loop.section_inductance"}


@pytest.mark.parametrize("unit", ["uF", "\u00b5F", "\u03bcF"])
def test_both_micro_signs_and_a_plain_u(bench: Callable[[str], Path], unit: str) -> None:
    build = machine.load(bench(set_line("bank.capacitance", f'"4 {unit}"')[0])).build
    assert build is not None
    assert build.machine.bank.capacitance == 4e-6


def test_charge_above_a_rating_is_a_limit_and_still_loads(bench: Callable[[str], Path]) -> None:
    text, line = set_line("bank.charge_voltage", '"17 kV"')
    loaded = machine.load(bench(text))
    assert loaded.build is not None
    limits = [finding for finding in loaded.findings if finding.grade == "limit"]
    assert [finding.line for finding in limits] == [line, line]
    assert any("17 kV is above this capacitor's rating of 15 kV" in f.message for f in limits)
    assert any("17 kV is above the charger's highest voltage of 12 kV" in f.message for f in limits)
    for finding in limits:
        complete(finding)
    assert loaded.build.findings == loaded.findings


def test_a_missing_optic_is_a_missing_reference(bench: Callable[[str], Path]) -> None:
    finding = only_error(bench(changed("[optics.rear]", "[optics.back]")))
    assert finding.path == "resonator.rear"
    assert "Known: back, window_rear" in finding.allowed


def test_several_faults_are_told_together(bench: Callable[[str], Path]) -> None:
    text = TIDEWATER
    for path, value in (
        ("bank.capacitance", "4"),
        ("lamps.west.bore", '"7 kg"'),
        ("dye.name", '"rodamine"'),
        ("optics.lens.focal_length", '"five"'),
        ("cell.pumped_length", '"200 mm"'),
    ):
        text, _ = set_line(path, value, text)
    text += "[rooom]\n"
    loaded = machine.load(bench(text))
    assert loaded.build is None
    assert {finding.path for finding in loaded.findings} == {
        "bank.capacitance",
        "lamps.west.bore",
        "dye.name",
        "optics.lens.focal_length",
        "cell.pumped_length",
        "rooom",
    }
    lines = [finding.line for finding in loaded.findings if finding.grade == "error"]
    assert len(lines) == 6
    assert lines == sorted(lines)


# Writing ---------------------------------------------------------------------------------------


def folder(path: Path) -> dict[str, bytes]:
    return {p.name: p.read_bytes() for p in path.parent.iterdir()}


@pytest.mark.parametrize(
    ("changes", "what", "help_words"),
    [
        ({"bank.charge": "9 kV"}, "no entry", '"bank.charge_voltage"'),
        ({"optics.couplr.reflectivity": "0.4"}, "no entry", "coupler"),
        ({"bnak.charge_voltage": "9 kV"}, "no entry", '"bank.charge_voltage"'),
        ({"": "9 kV"}, "no entry", "Tables"),
        ({"bank.charge_voltage": "9 kA"}, "is a current", "9 kV"),
        ({"bank.charge_voltage": "9,5 kV"}, "decimal comma", "9.5 kV"),
        ({"bank.charge_voltage": "0 V"}, "not possible", "above 0"),
        ({"cell.pumped_length": "1 m"}, "above the cell's length", "170 mm"),
        ({"dye.name": "dishwater"}, "not a known dye", "rhodamine 6G"),
        ({"cell.bore.spread": "1 kV"}, "is a voltage", "length"),
        ({"cell.bore.basis": "guess"}, "is not a basis", "measured"),
    ],
)
def test_a_bad_change_is_refused_and_nothing_written(
    bench: Callable[[str], Path], changes: dict[str, str], what: str, help_words: str
) -> None:
    path = bench(TIDEWATER)
    before, loaded = folder(path), machine.load(path)
    assert loaded.build is not None
    for ask in (
        lambda: machine.save(path, {"dye.temperature": "25 degC", **changes}, loaded.text_sha256),
        lambda: loaded.build and loaded.build.override(changes),
    ):
        with pytest.raises(BuildError) as refused:
            ask()
        told = [f for f in refused.value.findings if what in f.message]
        assert told, str(refused.value)
        assert help_words in f"{told[0].message} {told[0].allowed} {told[0].next_step}"
        assert told[0].allowed
        assert told[0].next_step
    assert folder(path) == before


def test_a_file_changed_by_someone_else_is_not_overwritten(bench: Callable[[str], Path]) -> None:
    path = bench(TIDEWATER)
    seen = machine.load(path).text_sha256
    machine.save(path, {"bank.charge_voltage": "9 kV"}, seen)
    before = folder(path)
    with pytest.raises(ConflictError) as refused:
        machine.save(path, {"bank.charge_voltage": "8 kV"}, seen)
    complete(refused.value.findings[0])
    assert folder(path) == before


def test_a_write_that_fails_leaves_the_old_file_whole(
    bench: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch
) -> None:
    path = bench(TIDEWATER)
    seen, before = machine.load(path).text_sha256, folder(path)

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    with pytest.raises(BuildError, match="No space left") as refused:
        machine.save(path, {"bank.charge_voltage": "9 kV"}, seen)
    complete(refused.value.findings[0])
    assert folder(path) == before


def test_a_read_only_file_is_not_replaced(bench: Callable[[str], Path], monkeypatch: pytest.MonkeyPatch) -> None:
    path = bench(TIDEWATER)
    seen, before = machine.load(path).text_sha256, folder(path)
    monkeypatch.setattr(os, "access", lambda *_args: False)
    with pytest.raises(BuildError, match="read-only") as refused:
        machine.save(path, {"bank.charge_voltage": "9 kV"}, seen)
    complete(refused.value.findings[0])
    assert folder(path) == before


def test_a_faulty_file_can_be_repaired_one_fault_at_a_time(bench: Callable[[str], Path]) -> None:
    text, _ = set_line("bank.capacitance", '"4 mm"')
    text, _ = set_line("dye.name", '"rodamine"', text)
    path = bench(text)
    sha = machine.load(path).text_sha256
    sha = machine.save(path, {"bank.capacitance": "4 uF"}, sha)
    assert [finding.path for finding in machine.load(path).findings] == ["dye.name"]
    machine.save(path, {"dye.name": "rhodamine 6G"}, sha)
    assert machine.load(path).build is not None


def test_a_missing_file_cannot_be_saved(tmp_path: Path) -> None:
    with pytest.raises(BuildError, match="no such file"):
        machine.save(tmp_path / "laser.toml", {"bank.charge_voltage": "9 kV"}, "")
    assert list(tmp_path.iterdir()) == []


def test_a_file_that_is_not_toml_cannot_be_saved(bench: Callable[[str], Path]) -> None:
    path = bench("schema = \n")
    before = folder(path)
    with pytest.raises(BuildError, match="not TOML"):
        machine.save(path, {"bank.charge_voltage": "9 kV"}, machine.load(path).text_sha256)
    assert folder(path) == before


def test_an_unknown_example_bench() -> None:
    with pytest.raises(BuildError, match='"tidewater" was meant'):
        machine.bench_text("tidewatre")
