"""The worked example of docs/own-dyes.md, run as it stands there."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from pulsewright import machine
from pulsewright.web.desk import Desk
from pulsewright.workbench import Bench, new_bench, open_bench


def blocks(page: str) -> list[str]:
    """Indented blocks of the example, without their indent."""
    example = page[page.index("\n## Example\n") :]
    found = re.findall(r"(?:^    .*\n|^\n(?=    ))+", example, re.MULTILINE)
    return [re.sub(r"^    ", "", block, flags=re.MULTILINE).strip() + "\n" for block in found]


@pytest.fixture
def page(project_root: Path) -> str:
    return (project_root / "docs" / "own-dyes.md").read_text("utf-8")


def bench_of(page: str, folder: Path, absorption: tuple[str, str] = ("", "")) -> Bench:
    """The bench of the example, one passage of its absorption changed."""
    table, curve, glow, *_ = blocks(page)
    path = new_bench(folder)
    build = path / "laser.toml"
    text = build.read_text()
    assert 'name = "rhodamine 6G"' in text
    build.write_text(text.replace('name = "rhodamine 6G"', 'name = "garden_orange"') + "\n" + table)
    assert absorption[0] in curve
    (path / "absorption.csv").write_text(curve.replace(*absorption) if absorption[0] else curve)
    (path / "emission.txt").write_text(glow)
    return open_bench(path)


def test_the_example_is_sound(page: str, tmp_path: Path) -> None:
    bench = bench_of(page, tmp_path / "bench")
    found = bench.check()
    assert [finding.grade for finding in found] == ["note", "note"], "\n".join(map(str, found))
    assert bench.build is not None
    assert set(bench.build.machine.curves) == {f"dyes.garden_orange.{kind}_file" for kind in ("absorption", "emission")}
    assert bench.build.machine.curves["dyes.garden_orange.absorption_file"].peak == (530e-9, 0.897)


def test_the_example_lases(page: str, tmp_path: Path) -> None:
    shot = bench_of(page, tmp_path / "bench").shot(interval=False)
    energy, wave = shot.summary["output_energy"].value, shot.summary["wavelength"].value
    assert energy is not None
    assert energy > 0.05
    assert wave is not None
    assert 560e-9 < wave < 640e-9
    notes = " ".join(str(finding) for finding in shot.findings)
    assert "taken over from rhodamine 6G" in notes
    assert shot.provenance.choices["spectra of the dye"] == "absorption from absorption.csv; emission from emission.txt"


@pytest.mark.parametrize(("row", "block"), [("525; n. a.", 3), ("525; 83,0", 4)])
def test_the_example_spoilt_says_what_the_page_says(page: str, tmp_path: Path, row: str, block: int) -> None:
    found = bench_of(page, tmp_path / "bench", ("525; 0,830", row)).check()
    told = " ".join(str(finding) for finding in found)
    for line in blocks(page)[block].splitlines():
        assert line in told


def test_every_key_of_the_page_is_one_of_the_build_file(page: str) -> None:
    known = {key for section in machine.SECTIONS.values() for key in section.fields}
    words = set(re.findall(r"`([a-z]+_[a-z_]+)`", page))
    assert words <= known | {"garden_orange"}


def test_the_page_s_desk_sees_a_file_that_changed(page: str, tmp_path: Path) -> None:
    bench = bench_of(page, tmp_path / "bench")
    desk = Desk(bench)
    build, content, text = bench.build, bench.content_sha256, bench.text_sha256
    assert content != text
    desk.refresh()
    assert bench.build is build, "nothing changed, nothing is read"
    path = bench.path / "absorption.csv"
    kept = path.read_text()
    path.unlink()
    desk.refresh()
    assert bench.build is None
    assert 'no file "absorption.csv"' in bench.findings[0].message
    path.write_text(kept.replace("0,897", "0,900"))
    desk.refresh()
    assert bench.build is not None
    assert bench.build.machine.curves["dyes.garden_orange.absorption_file"].peak[1] == 0.9
    assert bench.content_sha256 != content
    assert bench.text_sha256 == text
