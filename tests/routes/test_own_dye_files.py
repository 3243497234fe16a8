"""A dye of the library and the same dye sampled to files and read back: two ways to one set of cross-sections."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from own_dyes import sampled_bench

from pulsewright import machine, refdata
from pulsewright.engine.chain import Chain
from pulsewright.engine.inputs import Inputs, inputs_of
from pulsewright.engine.own_dye_findings import own_dye_findings
from pulsewright.engine.solution import solution
from pulsewright.refdata.rows import GaussianSum

BENCHES = [("millpond", "sulforhodamine B"), ("longwave", "rhodamine 101"), ("lanternroom", "coumarin 102")]


def both(folder: Path, bench: str, dye: str, step: float = 0.5e-9, **entries: str) -> tuple[Inputs, Inputs]:
    """The library's way and that over the files."""
    library = machine.load_text(machine.bench_text(bench)).build
    own = machine.load(sampled_bench(folder, bench, dye, step, **entries))
    assert library is not None
    assert own.build is not None, own.findings
    return inputs_of(library), inputs_of(own.build)


@pytest.mark.parametrize(("bench", "dye"), BENCHES)
@pytest.mark.parametrize("step", [0.5e-9, 2e-9])
def test_the_same_cross_sections(tmp_path: Path, bench: str, dye: str, step: float) -> None:
    one, two = (solution(inputs) for inputs in both(tmp_path, bench, dye, step))
    assert two.zero_line == pytest.approx(one.zero_line, rel=1e-3)
    low = max(one.laser_wavelength[0], two.laser_wavelength[0])
    high = min(one.laser_wavelength[-1], two.laser_wavelength[-1])
    assert high - low > 0.95 * (one.laser_wavelength[-1] - one.laser_wavelength[0])
    grid = np.linspace(low, high, 50)
    for name in ("emission", "absorption"):
        a, b = (np.interp(grid, s.laser_wavelength, getattr(s.rates, name)) for s in (one, two))
        np.testing.assert_allclose(b, a, rtol=0.01, atol=0.01 * (a.max() if name == "absorption" else 0.0))
    band = one.known & two.known
    np.testing.assert_allclose(
        two.pump_absorption[band], one.pump_absorption[band], rtol=0.01, atol=0.01 * one.pump_absorption[band].max()
    )


@pytest.mark.slow
@pytest.mark.parametrize(("bench", "dye"), BENCHES)
def test_the_same_shot(tmp_path: Path, bench: str, dye: str) -> None:
    one, two = (Chain().run(inputs) for inputs in both(tmp_path, bench, dye))
    assert one.gain.output_energy > 0
    assert two.gain.output_energy == pytest.approx(one.gain.output_energy, rel=0.02)
    assert one.gain.wavelength is not None
    assert two.gain.wavelength == pytest.approx(one.gain.wavelength, rel=1e-3)


def test_three_kinds_of_the_second_column_give_one_dye(tmp_path: Path) -> None:
    dye = "rhodamine 101"
    row = refdata.dye(dye)
    peak = float(row.peak_molar_absorptivity) * 10
    first, _ = both(tmp_path / "one", "longwave", dye)
    _, relative = both(tmp_path / "two", "longwave", dye)
    # the file is relative to the amplitude 1 of the fit: as an absorbance of 1e-5 mol/L in 10 mm it is peak * 1e-5
    amount = f'"{1.0 / peak:.12g} mol/L"'
    sample = {"sample_concentration": amount, "sample_length": '"10 mm"', "absorption_kind": '"absorbance"'}
    _, absorbance = both(tmp_path / "three", "longwave", dye, peak_molar_absorptivity="", **sample)
    for inputs in (relative, absorbance):
        assert inputs.coefficient("dye.peak_molar_absorptivity") == pytest.approx(
            first.coefficient("dye.peak_molar_absorptivity") * _height(dye), rel=1e-4
        )


def _height(dye: str) -> float:
    """Peak of the fit itself, which is near 1."""
    spectrum = refdata.dye(dye).absorption
    assert isinstance(spectrum, GaussianSum)
    grid = np.linspace(450e-9, 620e-9, 20_001)
    detuning = 1.0 / grid[:, None] - 1.0 / np.array([centre for _, centre, _ in spectrum.components])
    widths = np.array([width for *_, width in spectrum.components])
    heights = np.array([height for height, *_ in spectrum.components])
    return float((heights * np.exp(-0.5 * (detuning / widths) ** 2)).sum(axis=1).max())


@pytest.mark.parametrize(("dye", "bench"), [(dye, bench) for bench, dye in BENCHES])
def test_strickler_and_berg_agrees_for_dyes_of_the_library(tmp_path: Path, dye: str, bench: str) -> None:
    _, own = both(tmp_path, bench, dye)
    assert [f for f in own_dye_findings(own.machine) if f.grade != "note"] == []
    doubtful = own.varied("dyes.mine.lifetime", 3.0 * own.machine.dyes["mine"].lifetime)
    (finding,) = [f for f in own_dye_findings(doubtful.machine) if f.grade != "note"]
    assert finding.grade == "warning"
    assert "Strickler" in finding.message


#: Yield over lifetime and the band disagree by 3.7 to 2.0 in the fact sheet's table of cross-sections [computed].
DISAGREE = {"DCM"}


@pytest.mark.parametrize("dye", [name for name in refdata.names()["dye"] if refdata.dye(name).emission is not None])
def test_only_the_dye_known_to_disagree_is_warned_of(tmp_path: Path, dye: str) -> None:
    build = machine.load(sampled_bench(tmp_path, "tidewater", dye)).build
    assert build is not None
    warned = [finding for finding in own_dye_findings(build.machine) if finding.grade != "note"]
    assert [finding.grade for finding in warned] == (["warning"] if dye in DISAGREE else [])
    if dye in DISAGREE:
        assert "a factor 1.8 apart" in warned[0].message
