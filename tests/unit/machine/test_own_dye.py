"""Own dyes and measured files in a build: ids as names, files in the folder, and what is typed wrong."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from own_dyes import write_columns

from pulsewright import machine
from pulsewright.errors import BuildError, Finding

NM = 1e-9
TIDEWATER = machine.bench_text("tidewater")
NUMBERS = {
    "kindred": '"rhodamine 6G"',
    "absorption_peak": '"530 nm"',
    "absorption_width": '"31 nm"',
    "peak_molar_absorptivity": '"1.1e5 L/(mol cm)"',
    "emission_peak": '"556 nm"',
    "emission_width": '"43 nm"',
    "quantum_yield": "0.95",
    "lifetime": '"4 ns"',
}
FILES = {
    "kindred": '"rhodamine 6G"',
    "absorption_file": '"absorption.csv"',
    "peak_molar_absorptivity": '"1.1e5 L/(mol cm)"',
    "emission_file": '"emission.csv"',
    "quantum_yield": "0.95",
    "lifetime": '"4 ns"',
}
Write = Callable[..., machine.Loaded]


def gaussian(grid: np.ndarray, centre: float, width: float) -> np.ndarray:
    return np.exp(-0.5 * ((grid - centre) / (width / 2.3548)) ** 2)


@pytest.fixture
def loaded(tmp_path: Path) -> Write:
    """Writes a bench with own dyes, spectra and further lines, and loads it."""

    def write(
        entries: dict[str, str], more: str = "", name: str = "mine", base: str = TIDEWATER, part: str = "mine"
    ) -> machine.Loaded:
        for kind, centre, width in (("absorption", 530.0, 31.0), ("emission", 556.0, 43.0)):
            path = tmp_path / f"{kind}.csv"
            if not path.exists():
                grid = np.arange(400.0, 750.0, 0.5)
                write_columns(path, grid * NM, gaussian(grid, centre, width))
        lines = "".join(f"{key} = {value}\n" for key, value in entries.items())
        text = base.replace('name = "rhodamine 6G"', f'name = "{name}"', 1)
        (tmp_path / "laser.toml").write_text(f"{text}\n[dyes.{part}]\n{lines}{more}")
        return machine.load(tmp_path / "laser.toml")

    return write


def one(found: machine.Loaded, grade: str) -> Finding:
    """The only finding of a grade, complete."""
    (finding,) = [finding for finding in found.findings if finding.grade == grade]
    assert finding.message
    assert finding.grade == "note" or (finding.allowed and finding.next_step)
    assert "nan" not in str(finding).lower().replace("finance", "").split()
    return finding


def error(found: machine.Loaded) -> Finding:
    assert found.build is None
    return one(found, "error")


def without(entries: dict[str, str], *keys: str, **changed: str) -> dict[str, str]:
    return {**{key: value for key, value in entries.items() if key not in keys}, **changed}


# Names -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("entries", [NUMBERS, FILES])
def test_an_own_dye_is_sound(loaded: Write, entries: dict[str, str]) -> None:
    found = loaded(entries)
    assert found.findings == ()
    assert found.build is not None
    assert found.build.machine.dye.name == "mine"
    assert set(found.build.machine.curves) == {f"dyes.mine.{key}" for key in entries if key.endswith("_file")}


def test_a_wrong_name_offers_the_ids_too(loaded: Write) -> None:
    finding = error(loaded(NUMBERS, name="myne"))
    assert finding.path == "dye.name"
    assert 'Perhaps "mine"' in finding.next_step
    assert "Known: mine, rhodamine 6G" in finding.allowed
    assert finding.line == TIDEWATER.splitlines().index('name = "rhodamine 6G"') + 1
    assert "[dyes.<id>]" in error(loaded(NUMBERS, name="zzzzzz")).next_step


def test_an_id_that_is_a_name_of_the_library(loaded: Write) -> None:
    finding = error(loaded(NUMBERS, name="dcm", part="dcm"))
    assert finding.path == "dyes.dcm"
    assert "a dye of the library (DCM)" in finding.message
    assert finding.line > 100


def test_a_dye_that_nothing_uses_is_a_note_and_its_faults_warnings(loaded: Write) -> None:
    found = loaded(NUMBERS, name="rhodamine 6G")
    assert one(found, "note").path == "dyes.mine"
    broken = without(FILES, absorption_file='"gone.csv"', emission_file='"gone too.csv"')
    found = loaded(broken, name="rhodamine 6G")
    assert found.build is not None
    assert {finding.grade for finding in found.findings} == {"note", "warning"}
    assert found.build.machine.curves == {}


# Spectra that are missing or contradict each other ---------------------------------------------


@pytest.mark.parametrize(
    ("entries", "path", "message", "step"),
    [
        (without(NUMBERS, "absorption_peak", "absorption_width"), "absorption_file", "neither a file", '"530 nm"'),
        (without(NUMBERS, "emission_peak", "emission_width"), "emission_file", "neither a file", '"556 nm"'),
        (without(NUMBERS, "absorption_width"), "absorption_file", "no width", "absorption_width ="),
        (without(NUMBERS, "emission_peak"), "emission_file", "no peak", "emission_peak ="),
        (without(NUMBERS, "peak_molar_absorptivity"), "peak_molar_absorptivity", "not given", "L/(mol cm)"),
        (without(FILES, "peak_molar_absorptivity"), "peak_molar_absorptivity", "the file is relative", "L/(mol cm)"),
        (without(NUMBERS, emission_peak='"520 nm"'), "absorption_peak", "not to the blue", "Exchange"),
        (without(NUMBERS, emission_peak='"530 nm"'), "absorption_peak", "not to the blue", "Exchange"),
        (without(NUMBERS, emission_width='"300 nm"'), "emission_width", "is no band", "Check"),
        (without(NUMBERS, absorption_width='"400 nm"'), "absorption_width", "is no band", "Check"),
        (without(FILES, absorption_file='"emission.csv"', emission_file='"absorption.csv"'), "absorption_file",
         "more to the red", "not exchanged"),
        (without(FILES, "emission_file", emission_peak='"900 nm"', emission_width='"40 nm"'), "absorption_file",
         "no absorption within 150 nm", "belong to one dye"),
    ],
)  # fmt: skip
def test_errors(loaded: Write, entries: dict[str, str], path: str, message: str, step: str) -> None:
    finding = error(loaded(entries))
    assert finding.path == f"dyes.mine.{path}"
    assert message in finding.message
    assert step in finding.next_step
    assert finding.file == "laser.toml"
    assert finding.line > 100


ABSORBANCE = without(FILES, "peak_molar_absorptivity", absorption_kind='"absorbance"')


@pytest.mark.parametrize("key", ["sample_concentration", "sample_length"])
def test_absorbance_needs_its_sample(loaded: Write, key: str) -> None:
    sample = {"sample_concentration": '"1e-5 mol/L"', "sample_length": '"10 mm"'}
    assert loaded({**ABSORBANCE, **sample}).findings == ()
    finding = error(loaded({**ABSORBANCE, **without(sample, key)}))
    assert finding.path == f"dyes.mine.{key}"
    assert "absorbance says nothing without the sample's" in finding.message


@pytest.mark.parametrize(
    ("entries", "path", "message"),
    [
        (without(NUMBERS, absorption_width='"5 nm"'), "absorption_width", "unusual"),
        (without(NUMBERS, emission_width='"180 nm"'), "emission_width", "unusual"),
        (without(NUMBERS, lifetime='"400 ns"'), "lifetime", "natural lifetime, is 421 ns"),
        (without(NUMBERS, quantum_yield="0.02"), "lifetime", "natural lifetime, is 200 ns"),
        (without(NUMBERS, lifetime='"0.4 ns"'), "lifetime", "natural lifetime, is 421 ps"),
        ({**ABSORBANCE, "sample_concentration": '"1e-5 mol/L"', "sample_length": '"1 m"'}, "absorption_file",
         "molar absorptivity of 1e+03 L/(mol cm)"),
        (without(FILES, "peak_molar_absorptivity", absorption_kind='"molar absorptivity"'), "absorption_file",
         "molar absorptivity of 1 L/(mol cm)"),
    ],
)  # fmt: skip
def test_warnings(loaded: Write, entries: dict[str, str], path: str, message: str) -> None:
    found = loaded(entries)
    finding = one(found, "warning")
    assert found.build is not None
    assert finding.path == f"dyes.mine.{path}"
    assert message in finding.message


@pytest.mark.parametrize(
    ("entries", "path"),
    [
        (FILES | {"absorption_peak": '"530 nm"'}, "absorption_peak"),
        (FILES | {"emission_width": '"43 nm"', "emission_peak": '"556 nm"'}, "emission_peak"),
        (FILES | {"sample_length": '"10 mm"'}, "sample_length"),
        (NUMBERS | {"sample_concentration": '"1e-5 mol/L"'}, "sample_concentration"),
    ],
)
def test_what_is_not_used_is_a_note(loaded: Write, entries: dict[str, str], path: str) -> None:
    found = loaded(entries)
    assert found.build is not None
    assert one(found, "note").path == f"dyes.mine.{path}"


def test_a_file_of_absorptivity_wins_over_the_number(loaded: Write, tmp_path: Path) -> None:
    grid = np.arange(400.0, 750.0, 0.5)
    write_columns(tmp_path / "absorption.csv", grid * NM, 9e4 * gaussian(grid, 530.0, 31.0))
    found = loaded(FILES | {"absorption_kind": '"molar absorptivity"'})
    assert "the file is used" in one(found, "note").message


# Files that do not reach far enough ------------------------------------------------------------


@pytest.mark.parametrize(
    ("kind", "low", "high", "grade", "message"),
    [
        ("absorption", 400.0, 535.0, "warning", "the file ends at 534.5 nm, where it still absorbs"),
        ("absorption", 520.0, 700.0, "warning", "next to its peak"),
        ("absorption", 400.0, 525.0, "error", "stands at the end of the file, 524.5 nm"),
        ("emission", 400.0, 580.0, "warning", "ends at 579.5 nm with 43.7 %"),
        ("emission", 545.0, 700.0, "warning", "ends at 545 nm with 83"),
        ("emission", 400.0, 550.0, "error", "the red end of the file"),
        ("emission", 570.0, 700.0, "error", "the blue end of the file"),
    ],
)
def test_a_file_that_is_too_short(
    loaded: Write, tmp_path: Path, kind: str, low: float, high: float, grade: str, message: str
) -> None:
    grid = np.arange(low, high, 0.5)
    centre, width = (530.0, 31.0) if kind == "absorption" else (556.0, 43.0)
    write_columns(tmp_path / f"{kind}.csv", grid * NM, gaussian(grid, centre, width))
    found = loaded(FILES)
    finding = one(found, grade)
    assert finding.path == f"dyes.mine.{kind}_file"
    assert message in finding.message


def test_absorbance_beyond_the_instrument(loaded: Write, tmp_path: Path) -> None:
    grid = np.arange(400.0, 750.0, 0.5)
    write_columns(tmp_path / "absorption.csv", grid * NM, 4.2 * gaussian(grid, 530.0, 31.0))
    sample = {"sample_concentration": '"4e-5 mol/L"', "sample_length": '"10 mm"'}
    assert "absorbance of 4.2" in one(loaded({**ABSORBANCE, **sample}), "warning").message


# Files and builds ------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "message"),
    [
        ("../absorption.csv", "leads out of the bench folder"),
        ("/etc/passwd", "leads out of the bench folder"),
        ("C:/spectra/a.csv", "leads out of the bench folder"),
        ("spectra\\\\a.csv", "backslash"),
        ("", "no file name"),
        ("  ", "no file name"),
        ("a\\u0000.csv", "no file name"),
        ("x" * 300, "no file name"),
        ("absorptoin.csv", "there is no file"),
        (".", "is no file"),
    ],
)
def test_names_of_files(loaded: Write, name: str, message: str) -> None:
    finding = error(loaded(without(FILES, absorption_file=f'"{name}"')))
    assert finding.path == "dyes.mine.absorption_file"
    assert message in finding.message
    assert (finding.file, finding.line > 100) == ("laser.toml", True)


def test_a_fault_in_a_file_names_file_and_line(loaded: Write, tmp_path: Path) -> None:
    path = tmp_path / "absorption.csv"
    loaded(FILES)
    rows = path.read_text().splitlines()
    rows[200] = "499.5, none"
    path.write_text("\n".join(rows))
    finding = error(machine.load(tmp_path / "laser.toml"))
    assert str(finding).startswith('absorption.csv:201 dyes.mine.absorption_file: "none" in the second column')


def test_a_file_in_a_folder_inside(loaded: Write, tmp_path: Path) -> None:
    loaded(FILES)
    (tmp_path / "spectra").mkdir()
    (tmp_path / "absorption.csv").rename(tmp_path / "spectra" / "a.csv")
    found = loaded(without(FILES, absorption_file='"spectra/a.csv"'))
    assert found.findings == ()


def test_a_build_from_text_has_no_folder(loaded: Write, tmp_path: Path) -> None:
    loaded(FILES)
    text = (tmp_path / "laser.toml").read_text()
    found = machine.load_text(text)
    assert found.build is None
    assert {finding.path for finding in found.findings} == {"dyes.mine.absorption_file", "dyes.mine.emission_file"}
    assert "no folder" in found.findings[0].message
    assert machine.load_text(text, folder=tmp_path).build is not None
    unused = machine.load_text(text.replace('name = "mine"', 'name = "rhodamine 6G"', 1))
    assert unused.build is not None, "a dye that nothing uses stops nothing"
    assert [finding.grade for finding in unused.findings] == ["warning", "warning", "note"]


def test_the_fingerprint_holds_what_stands_in_the_file(loaded: Write, tmp_path: Path) -> None:
    found = loaded(FILES)
    assert found.build is not None
    first, path = found.build.values_fingerprint, tmp_path / "absorption.csv"
    path.rename(tmp_path / "renamed.csv")
    renamed = loaded(without(FILES, absorption_file='"renamed.csv"'))
    assert renamed.build is not None
    assert renamed.build.values_fingerprint == first
    (tmp_path / "renamed.csv").write_text((tmp_path / "renamed.csv").read_text() + "750.0, 1e-6\n")
    changed = machine.load(tmp_path / "laser.toml")
    assert changed.build is not None
    assert changed.build.values_fingerprint != first
    assert changed.build.full_fingerprint("data", "code") != renamed.build.full_fingerprint("data", "code")


def test_two_files_of_one_name_differ(loaded: Write, tmp_path: Path) -> None:
    one = loaded(FILES).build
    (tmp_path / "emission.csv").write_text((tmp_path / "emission.csv").read_text() + "750.0, 1e-6\n")
    two = loaded(FILES).build
    assert one is not None
    assert two is not None
    assert machine.compare(one, one) == ()
    (found,) = machine.compare(one, two)
    assert found.path == "dyes.mine.emission_file"
    assert found.text_a.startswith("emission.csv (700 rows, ")
    assert found.text_b.startswith("emission.csv (701 rows, ")


def test_override_replace_and_save_keep_the_files(loaded: Write, tmp_path: Path) -> None:
    found = loaded(FILES)
    build = found.build
    assert build is not None
    moved = build.override({"bank.charge_voltage": "9 kV"}).replace("dyes.mine.quantum_yield", 0.8)
    assert moved.machine.curves == build.machine.curves
    assert moved.machine.dyes["mine"].quantum_yield == 0.8
    with pytest.raises(BuildError, match=r"no file \"gone.csv\""):
        build.override({"dyes.mine.absorption_file": "gone.csv"})
    digest = machine.save(tmp_path / "laser.toml", {"dyes.mine.emission_file": "./emission.csv"}, found.text_sha256)
    with pytest.raises(BuildError, match="no file"):
        machine.save(tmp_path / "laser.toml", {"dyes.mine.emission_file": "gone.csv"}, digest)
    again = machine.load(tmp_path / "laser.toml")
    assert again.text_sha256 == digest
    assert again.build is not None


def test_a_draft_may_choose_another_dye(loaded: Write) -> None:
    build = loaded(FILES).build
    assert build is not None
    assert build.override({"dye.name": "rhodamine B"}, "draft").machine.dye.name == "rhodamine B"
    back = build.override({"dye.name": "rhodamine B"}, "draft").override({"dye.name": "mine"})
    assert back.machine == build.machine
