"""The safety sheet, printed by a real Chromium: one page on A4 and on Letter, readable by a screen reader."""

from __future__ import annotations

import re
import subprocess
from pathlib import Path

import pytest

from pulsewright import machine, report

LONG = {
    "dye.atmosphere": "oxygen",
    "dye.quencher": "cyclooctatetraene",
    "dye.quencher_concentration": "5e-3 mol/L",
    "target.material": "a target whose name is longer than anything that a reasonable person would write here",
    "room.volume": "12 m^3",
}


def sheet_of(name: str, changes: dict[str, str]) -> str:
    build = machine.load_text(machine.bench_text(name), "laser.toml").build
    assert build is not None
    return report.safety_sheet(build.override(changes) if changes else build)


def printed_pages(chromium: str, html: str, folder: Path) -> int:
    """Pages that the browser's own print command makes of a document."""
    page, pdf = folder / "sheet.html", folder / "sheet.pdf"
    page.write_text(html, "utf-8")
    subprocess.run(
        [
            chromium,
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            f"--user-data-dir={folder / 'profile'}",
            "--no-pdf-header-footer",
            f"--print-to-pdf={pdf}",
            page.as_uri(),
        ],
        check=True,
        capture_output=True,
        timeout=120,
    )
    return len(re.findall(rb"/Type\s*/Page\b(?!s)", pdf.read_bytes()))


@pytest.mark.parametrize("size", ["A4", "Letter"])
@pytest.mark.parametrize(("name", "changes"), [*((name, {}) for name in machine.BENCHES), ("millpond", LONG)])
def test_one_printed_page(chromium_path: str, tmp_path: Path, size: str, name: str, changes: dict[str, str]) -> None:
    html = sheet_of(name, changes).replace("@page {", f"@page {{ size: {size};", 1)
    assert f"size: {size}" in html
    assert printed_pages(chromium_path, html, tmp_path) == 1


def test_counting_pages_can_fail(chromium_path: str, tmp_path: Path) -> None:
    html = sheet_of("tidewater", {}).replace("</main>", "<div style='height: 80mm'></div></main>")
    assert printed_pages(chromium_path, html, tmp_path) == 2
