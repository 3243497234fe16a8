"""Measured curves of mirrors and filters: where they are not used, and what they do not reach."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from own_dyes import write_columns

from pulsewright import machine
from pulsewright.errors import Finding

TIDEWATER = machine.bench_text("tidewater")
Write = Callable[..., machine.Loaded]


@pytest.fixture
def loaded(tmp_path: Path) -> Write:
    """Tidewater with one line added under a header, and a curve in its folder."""

    def write(header: str, line: str, low: float = 500.0, high: float = 700.0, level: float = 0.9) -> machine.Loaded:
        grid = np.arange(low, high + 0.5, 1.0)
        write_columns(tmp_path / "curve.csv", grid * 1e-9, np.full(grid.shape, level))
        assert f"[{header}]\n" in TIDEWATER
        (tmp_path / "laser.toml").write_text(TIDEWATER.replace(f"[{header}]\n", f"[{header}]\n{line}\n", 1))
        return machine.load(tmp_path / "laser.toml")

    return write


def told(found: machine.Loaded, grade: str) -> Finding:
    (finding,) = [finding for finding in found.findings if finding.grade == grade]
    assert found.build is not None
    return finding


def ends() -> tuple[str, str]:
    build = machine.load_text(TIDEWATER).build
    assert build is not None
    return build.machine.resonator.rear, build.machine.resonator.coupler


def test_a_mirror_of_the_resonator(loaded: Write) -> None:
    for part in ends():
        found = loaded(f"optics.{part}", 'reflectivity_file = "curve.csv"')
        assert "the file is used" in told(found, "note").message
        assert found.build is not None
        assert found.build.machine.curves[f"optics.{part}.reflectivity_file"].at(590e-9) == 0.9


def test_a_file_instead_of_the_number(loaded: Write, tmp_path: Path) -> None:
    rear, _ = ends()
    loaded(f"optics.{rear}", 'reflectivity_file = "curve.csv"')
    text = (tmp_path / "laser.toml").read_text()
    start = text.index(f"[optics.{rear}]")
    rows = text[start:].splitlines()
    at = next(i for i, row in enumerate(rows) if row.startswith("reflectivity ="))
    (tmp_path / "laser.toml").write_text(text[:start] + "\n".join(rows[:at] + rows[at + 1 :]) + "\n")
    found = machine.load(tmp_path / "laser.toml")
    assert found.findings == ()
    assert found.build is not None
    assert found.build.machine.optics[rear].reflectivity is None


def test_an_optic_beside_the_resonator(loaded: Write) -> None:
    build = machine.load_text(TIDEWATER).build
    assert build is not None
    part = next(name for name in build.machine.optics if name not in ends())
    finding = told(loaded(f"optics.{part}", 'reflectivity_file = "curve.csv"'), "warning")
    assert finding.path == f"optics.{part}.reflectivity_file"
    assert "not used" in finding.message
    assert finding.line > 100


@pytest.mark.parametrize(("low", "high"), [(580.0, 700.0), (500.0, 600.0)])
def test_a_curve_that_misses_the_laser_band(loaded: Write, low: float, high: float) -> None:
    found = loaded(f"optics.{ends()[0]}", 'reflectivity_file = "curve.csv"', low, high)
    assert "this dye may lase from 563 to 625 nm" in told(found, "warning").message


def test_a_reflectivity_in_per_cent(loaded: Write) -> None:
    found = loaded(f"optics.{ends()[0]}", 'reflectivity_file = "curve.csv"', level=90.0)
    assert found.build is None
    (finding,) = [finding for finding in found.findings if finding.grade == "error"]
    assert str(finding).startswith(f"curve.csv:2 optics.{ends()[0]}.reflectivity_file: values up to 90 ")
    assert "0.9 instead of 90" in finding.next_step


def test_a_filter(loaded: Write) -> None:
    assert loaded("chamber", 'filter_file = "curve.csv"', 250.0, 800.0).findings == ()
    shut = loaded("chamber", 'filter_file = "curve.csv"', 400.0, 800.0, 0.01)
    assert shut.findings == (), "shut where it ends"
    short = told(loaded("chamber", 'filter_file = "curve.csv"', 400.0, 800.0), "warning")
    assert "below 400 nm nothing is measured, and its last value, 0.9" in short.message
    long = told(loaded("chamber", 'filter_file = "curve.csv"', 250.0, 500.0), "warning")
    assert "above 500 nm" in long.message


def test_a_filter_named_and_measured(loaded: Write, tmp_path: Path) -> None:
    loaded("chamber", 'filter_file = "curve.csv"', 250.0, 800.0)
    text = (tmp_path / "laser.toml").read_text()
    assert 'filter = "none"\n' in text
    (tmp_path / "laser.toml").write_text(text.replace('filter = "none"', 'filter = "ultraviolet absorbing glass"'))
    found = machine.load(tmp_path / "laser.toml")
    assert "the file is used" in told(found, "note").message
