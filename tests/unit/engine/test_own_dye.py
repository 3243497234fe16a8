"""The row made of an own dye: what is given, what is taken over, and that entries vary it."""

from __future__ import annotations

import math
from pathlib import Path
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st
from own_dyes import sampled_bench, write_build, write_columns

from pulsewright import machine, refdata
from pulsewright.engine import dye_of as dye_of_module
from pulsewright.engine.coefficients import coefficients
from pulsewright.engine.dye_of import dye_key, dye_of, given_by_entries, own_dye_choices
from pulsewright.engine.inputs import Inputs, inputs_of, uncertain_inputs
from pulsewright.engine.own_dye_findings import own_dye_findings
from pulsewright.engine.solution import refused, solution
from pulsewright.errors import BuildError, NotModelledError
from pulsewright.refdata.rows import Datum, GaussianSum, MeasuredSpectrum
from pulsewright.workbench import open_bench

NUMBERS = """
kindred = "rhodamine B"
absorption_peak = "530 nm"
absorption_width = "31 nm"
peak_molar_absorptivity = { value = "1.1e5 L/(mol cm)", spread = "5 %" }
emission_peak = "556 nm"
emission_width = "43 nm"
quantum_yield = { value = 0.9, spread = 0.05 }
lifetime = "4 ns"
"""


def own(tmp_path: Path, entries: str = NUMBERS) -> Inputs:
    path = write_build(tmp_path, machine.bench_text("tidewater"), "rhodamine 6G", entries)
    build = machine.load(path).build
    assert build is not None, machine.load(path).findings
    return inputs_of(build)


def test_a_dye_of_the_library_is_its_row() -> None:
    build = machine.load_text(machine.bench_text("tidewater")).build
    assert build is not None
    assert dye_of(build.machine) is refdata.dye("rhodamine 6G")
    assert own_dye_findings(build.machine) == ()
    assert own_dye_choices(build.machine) == {}
    assert given_by_entries(build.machine) == frozenset()


def test_peak_and_width_are_one_gaussian(tmp_path: Path) -> None:
    row = dye_of(own(tmp_path).machine)
    for spectrum, peak, width in ((row.absorption, 530e-9, 31e-9), (row.emission, 556e-9, 43e-9)):
        assert isinstance(spectrum, GaussianSum)
        ((height, centre, deviation),) = spectrum.components
        assert (height, centre) == (1.0, peak)
        half = [math.exp(-0.5 * ((1 / (peak + s * width / 2) - 1 / peak) / deviation) ** 2) for s in (-1, 1)]
        across = 1 / (peak - width / 2) - 1 / (peak + width / 2)
        assert across == pytest.approx(2.354820045 * deviation)
        assert np.mean(half) == pytest.approx(0.5, abs=0.01)
    assert row.name == "mine"
    assert float(row.quantum_yield) == 0.9
    assert float(row.peak_molar_absorptivity) == pytest.approx(1.1e4)


def test_what_is_not_given_is_the_kindred_s_with_doubled_ranges(tmp_path: Path) -> None:
    row, kindred = dye_of(own(tmp_path).machine), refdata.dye("rhodamine B")
    for name in ("excited_state_absorption", "triplet_absorption", "intersystem_crossing_rate", "triplet_lifetime"):
        mine, theirs = getattr(row, name), getattr(kindred, name)
        assert mine.tag == "assumed"
        assert "rhodamine B" in mine.source
        assert (mine.value, mine.low, mine.high) == (theirs.value, theirs.low / 2, theirs.high * 2)
    assert row.oxygen_triplet_yield.high is not None
    assert row.oxygen_triplet_yield.high <= 1.0
    assert row.trapped_lifetime is None
    assert row.tail is None
    assert row.solubility == ()
    assert row.cas == ""
    words = own_dye_choices(own(tmp_path).machine)["taken over from rhodamine B, ranges doubled"]
    assert "absorption of the triplet" in words


def test_what_is_given_is_not_taken_over(tmp_path: Path) -> None:
    inputs = own(tmp_path, NUMBERS + 'triplet_absorption = "0.1e-16 cm^2"\n')
    assert float(dye_of(inputs.machine).triplet_absorption) == pytest.approx(0.1e-20)
    assert "absorption of the triplet" not in " ".join(own_dye_choices(inputs.machine).values())
    assert "reference.dye.triplet_absorption" not in coefficients(inputs.machine)
    assert inputs.coefficient("dye.triplet_absorption") == pytest.approx(0.1e-20)


def test_entries_vary_the_dye_and_carry_their_spread(tmp_path: Path) -> None:
    inputs = own(tmp_path)
    paths = {item.path for item in uncertain_inputs(inputs)}
    assert {"dyes.mine.quantum_yield", "dyes.mine.peak_molar_absorptivity"} <= paths
    assert not {"reference.dye.quantum_yield", "reference.dye.lifetime", "dyes.mine.lifetime"} & paths
    before, after = solution(inputs), solution(inputs.varied("dyes.mine.quantum_yield", 0.45))
    peak = before.rates.emission.max()
    assert np.interp(590e-9, after.laser_wavelength, after.rates.emission) < 0.6 * peak
    with pytest.raises(KeyError):
        inputs.coefficient("dye.no_such_number")


def test_an_unused_entry_does_not_stand_in_the_key(tmp_path: Path) -> None:
    one = own(tmp_path)
    assert dye_key(one.machine) == dye_key(own(tmp_path).machine)
    assert dye_key(one.machine) != dye_key(one.varied("dyes.mine.lifetime", 3e-9).machine)


def test_files_make_measured_spectra(tmp_path: Path) -> None:
    path = sampled_bench(tmp_path, "longwave", "rhodamine 101", absorption_kind='"molar absorptivity"')
    text = path.read_text()
    rows = [row.split(",") for row in (tmp_path / "absorption.csv").read_text().splitlines()[1:]]
    scaled = [(float(place), 105_000 * float(value)) for place, value in rows]
    lines = "".join(f"{place}, {value}\n" for place, value in scaled)
    (tmp_path / "absorption.csv").write_text("wavelength (nm), L/(mol cm)\n" + lines)
    path.write_text("\n".join(row for row in text.splitlines() if not row.startswith("peak_molar")))
    build = machine.load(path).build
    assert build is not None
    row = dye_of(build.machine)
    assert isinstance(row.absorption, MeasuredSpectrum)
    assert isinstance(row.emission, MeasuredSpectrum)
    assert max(row.absorption.values) == pytest.approx(1.0)
    assert max(row.emission.values) == pytest.approx(1.0)
    peak = row.peak_molar_absorptivity
    assert peak.value == pytest.approx(0.1 * max(value for _, value in scaled))
    assert peak.low == pytest.approx(0.9 * peak.value)
    assert "reference.dye.peak_molar_absorptivity" in coefficients(build.machine)
    assert row.laser_range is not None
    assert 580e-9 < row.laser_range.value < 660e-9
    assert "absorption from absorption.csv" in own_dye_choices(build.machine)["spectra of the dye"]


def test_a_dye_that_cannot_amplify_is_refused_by_name(tmp_path: Path) -> None:
    inputs = own(tmp_path, NUMBERS.replace("value = 0.9", "value = 0.0003").replace("0.05", "0.0001"))
    (finding,) = [found for found in own_dye_findings(inputs.machine) if found.grade == "error"]
    assert "do not cross" in finding.message
    # ln(10) 1.1e4 / N_A, and lambda^4 phi 0.94 / (8 pi n^2 c tau 43 nm), by hand
    assert "4.2e-16 and 1.1e-19 cm^2" in finding.message
    assert finding in refused(inputs.machine)
    with pytest.raises(NotModelledError, match="do not cross"):
        solution(inputs)


def test_check_tells_it_with_the_line(tmp_path: Path) -> None:
    path = write_build(tmp_path, machine.bench_text("tidewater"), "rhodamine 6G", NUMBERS.replace("4 ns", "20 ns"))
    found = open_bench(tmp_path).check()
    (warning,) = [finding for finding in found if finding.grade == "warning"]
    assert warning.path == "dyes.mine.lifetime"
    assert path.read_text().splitlines()[warning.line - 1].startswith("lifetime")
    notes = {finding.path for finding in found if finding.grade == "note"}
    assert {"dyes.mine.kindred", "dyes.mine.emission_peak", "dyes.mine.absorption_peak"} <= notes


def test_a_row_that_lacks_something_says_so(tmp_path: Path) -> None:
    build = own(tmp_path).build
    bare = build.replace("dyes.mine.quantum_yield", 0.5).machine
    dyes = {"mine": type(bare.dyes["mine"])(kindred="rhodamine B", quantum_yield=0.9, lifetime=4e-9)}
    with pytest.raises(BuildError, match="neither a file nor peak"):
        dye_of(type(bare)(**{**{k: getattr(bare, k) for k in bare.__dataclass_fields__}, "dyes": dyes}))


def test_every_number_of_the_row_has_a_source(tmp_path: Path) -> None:
    row = dye_of(own(tmp_path).machine)
    for name in row.__dataclass_fields__:
        datum = getattr(row, name)
        if isinstance(datum, Datum):
            assert datum.source
            assert math.isfinite(datum.value)


def test_the_form_offers_the_own_dye_beside_the_library(tmp_path: Path) -> None:
    own(tmp_path)
    (row,) = [row for row in open_bench(tmp_path).entry_rows() if row["path"] == "dye.name"]
    assert row["choices"][:2] == ["mine", "rhodamine 6G"]


PEAK, STOKES, WIDTH = st.floats(230.0, 1100.0), st.floats(-20.0, 200.0), st.floats(4.0, 200.0)


@pytest.mark.slow
@settings(max_examples=50, deadline=None)
@given(PEAK, STOKES, st.tuples(WIDTH, WIDTH), st.floats(1e3, 3e5), st.floats(1e-3, 1.0), st.floats(0.05, 500.0))
@example(530.0, 26.0, (31.0, 43.0), 1.1e5, 0.95, 4.0)
@example(530.0, 1.0, (31.0, 4.0), 1.1e5, 1.0, 0.05)
@example(300.0, 200.0, (140.0, 4.0), 3e5, 1.0, 0.05)
def test_any_peaks_and_numbers_compute_or_are_told(
    tmp_path_factory: pytest.TempPathFactory,
    peak: float,
    stokes: float,
    widths: tuple[float, float],
    strength: float,
    share: float,
    lifetime: float,
) -> None:
    folder = tmp_path_factory.getbasetemp()
    entries = (
        f'kindred = "rhodamine 6G"\nabsorption_peak = "{peak} nm"\nabsorption_width = "{widths[0]} nm"\n'
        f'peak_molar_absorptivity = "{strength} L/(mol cm)"\nemission_peak = "{peak + stokes} nm"\n'
        f'emission_width = "{widths[1]} nm"\nquantum_yield = {share}\nlifetime = "{lifetime} ns"\n'
    )
    finite_or_told(machine.load(write_build(folder, machine.bench_text("tidewater"), "rhodamine 6G", entries)))


def finite_or_told(loaded: machine.Loaded) -> None:
    """The solution is finite and computes, or a finding says why it does not."""
    if loaded.build is None:
        assert any(finding.grade == "error" for finding in loaded.findings)
        return
    if any(finding.grade == "error" for finding in refused(loaded.build.machine)):
        return
    found = solution(inputs_of(loaded.build))
    for array in (found.laser_wavelength, found.pump_absorption, found.dye_share, found.rates.emission):
        assert np.isfinite(array).all()
        assert (array >= 0).all()
    assert np.isfinite(found.rates.absorption).all()
    assert (np.diff(found.laser_wavelength) > 0).all()
    assert all(finding.message for finding in own_dye_findings(loaded.build.machine))


@pytest.mark.slow
@settings(max_examples=50, deadline=None)
@given(
    PEAK,
    STOKES,
    st.tuples(WIDTH, WIDTH),
    st.tuples(*[st.floats(0.1, 3.0)] * 4),
    st.sampled_from([6, 20, 100]),
    st.integers(0, 2**32 - 1),
)
@example(530.0, 26.0, (31.0, 43.0), (3.0, 3.0, 3.0, 3.0), 100, 1)
def test_any_measured_spectra_compute_or_are_told(
    tmp_path_factory: pytest.TempPathFactory,
    peak: float,
    stokes: float,
    widths: tuple[float, float],
    reach: tuple[float, float, float, float],
    points: int,
    seed: int,
) -> None:
    folder, noise = tmp_path_factory.getbasetemp(), np.random.default_rng(seed)
    centres = (peak, peak + stokes)
    for name, centre, width, low, high in zip(
        ("absorption", "emission"), centres, widths, reach[::2], reach[1::2], strict=True
    ):
        grid = np.linspace(max(centre - low * width, 150.0), centre + high * width, points)
        values = np.exp(-0.5 * ((grid - centre) / (width / 2.3548)) ** 2) + noise.normal(0.0, 0.004, points)
        write_columns(folder / f"{name}.csv", grid * 1e-9, values)
    entries = (
        'kindred = "rhodamine 6G"\nabsorption_file = "absorption.csv"\nemission_file = "emission.csv"\n'
        'peak_molar_absorptivity = "1e5 L/(mol cm)"\nquantum_yield = 0.9\nlifetime = "4 ns"\n'
    )
    finite_or_told(machine.load(write_build(folder, machine.bench_text("tidewater"), "rhodamine 6G", entries)))


def test_the_recorded_tail_of_the_kindred_is_not_taken_over(tmp_path: Path) -> None:
    assert refdata.dye("rhodamine 6G").tail is not None
    inputs = own(tmp_path, NUMBERS.replace("rhodamine B", "rhodamine 6G"))
    row = dye_of(inputs.machine)
    assert row.tail is None
    assert row.trapped_lifetime is None
    assert solution(inputs).choices["absorption tail"] == "thermal relation"


def test_a_band_to_the_red_of_the_fluorescence_is_not_the_one_it_comes_from() -> None:
    """Nor one more than 150 nm to the blue of it."""
    curve: Any = SimpleNamespace(wavelength=(350e-9, 530e-9, 640e-9), values=(3.0, 1.0, 2.0))
    assert dye_of_module.band_height.__wrapped__(curve, 560e-9) == 1.0
