"""Measured files of two columns: what is read, and that every fault is told with its line and nothing is NaN."""

from __future__ import annotations

import math
import os
from pathlib import Path

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from pulsewright.machine import columns, curves
from pulsewright.machine.columns import Told
from pulsewright.machine.curves import MOST_POINTS, MeasuredCurve, Read, Use, read_curve

#: Twenty rows of a mirror.
MIRROR = [(540.0 + 5 * i, round(0.90 + 0.005 * i, 4)) for i in range(20)]


def text_of(rows: list[tuple[object, object]], between: str = ", ") -> str:
    return "".join(f"{a}{between}{b}\n" for a, b in rows)


def read(folder: Path, content: str | bytes, use: Use = "fraction", name: str = "curve.csv") -> Read:
    path = folder / name
    path.write_bytes(content if isinstance(content, bytes) else content.encode())
    found = read_curve(folder, name, use)
    sound(found, use)
    return found


def sound(found: Read, use: Use) -> None:
    """Whatever was read: finite, increasing, in range; whatever was refused says why."""
    for told in found.told:
        assert told.message
        assert "nan" not in told.message.lower().split() or '"' in told.message
        assert "\n" not in told.message + told.allowed + told.next_step
        assert "!" not in told.message
        if told.grade != "note":
            assert told.allowed
            assert told.next_step
    if found.curve is None:
        assert found.told[-1].grade == "error"
        return
    assert all(told.grade != "error" for told in found.told)
    wavelength, values = np.array(found.curve.wavelength), np.array(found.curve.values)
    assert len(wavelength) == len(values)
    assert columns.LEAST_POINTS <= len(values) <= MOST_POINTS
    assert np.isfinite(wavelength).all()
    assert np.isfinite(values).all()
    assert (np.diff(wavelength) > 0).all()
    assert values.min() >= 0.0
    assert values.max() <= (1.0 if use == "fraction" else 1e12)


def curve_of(found: Read) -> MeasuredCurve:
    assert found.curve is not None, found.told
    return found.curve


def error_of(found: Read) -> Told:
    assert found.curve is None
    (told,) = [told for told in found.told if told.grade == "error"]
    return told


# What may stand in a file ----------------------------------------------------------------------


@pytest.mark.parametrize(
    "content",
    [
        text_of(MIRROR),
        text_of(MIRROR, ","),
        text_of(MIRROR, "\t"),
        text_of(MIRROR, " "),
        text_of(MIRROR, "   "),
        text_of(MIRROR, " ; "),
        text_of(MIRROR, ";"),
        text_of(MIRROR, ";").replace(".", ","),
        text_of(MIRROR, "\t").replace(".", ","),
        "wavelength (nm), reflectivity\n" + text_of(MIRROR),
        "nm;R\n" + text_of(MIRROR, ";"),
        "lambda R\n" + text_of(MIRROR, " "),
        "mirror M 12, R\n" + text_of(MIRROR),
        "# rear mirror\n\n# of May, 12\n" + text_of(MIRROR) + "\n\n# end\n",
        "# rear\nwavelength (nm), R\n" + text_of(MIRROR).replace("\n", "  # read twice\n"),
        text_of(MIRROR).replace("\n", "\n\n"),
        text_of(MIRROR).replace("\n", "\r\n"),
        text_of(MIRROR).replace("\n", "\r"),
        "\ufeff" + text_of(MIRROR),
        text_of(MIRROR).rstrip("\n"),
        text_of(MIRROR).replace("\n", ",\n"),
        text_of([(f"{a:.6e}", f"{b:.6E}") for a, b in MIRROR]),
        "wavelength (um), R\n" + text_of([(f"{a / 1000:.6f}", b) for a, b in MIRROR]),
        "wavelength [\u00b5m]; R\n" + text_of([(f"{a / 1000:.6f}", b) for a, b in MIRROR], ";"),
        "wavelength (m), R\n" + text_of([(f"{a:g}e-9", b) for a, b in MIRROR]),
        "wavelength (nm), R (%)\n" + text_of([(a, f"{100 * b:.4f}") for a, b in MIRROR]),
    ],
)
def test_one_curve_in_many_spellings(tmp_path: Path, content: str) -> None:
    found = read(tmp_path, content)
    curve = curve_of(found)
    assert curve.rows == 20
    np.testing.assert_allclose(curve.wavelength, [a * 1e-9 for a, _ in MIRROR], rtol=1e-12)
    np.testing.assert_allclose(curve.values, [b for _, b in MIRROR], rtol=1e-12)
    assert [told.grade for told in found.told] == (["note"] if "%" in content else [])


def test_it_interpolates_and_holds_its_ends(tmp_path: Path) -> None:
    curve = curve_of(read(tmp_path, text_of(MIRROR)))
    np.testing.assert_allclose(curve.at([500e-9, 540e-9, 542.5e-9, 700e-9]), [0.9, 0.9, 0.9025, 0.995])
    assert curve.peak == (635e-9, 0.995)


def test_curves_compare_by_value(tmp_path: Path) -> None:
    one, two = curve_of(read(tmp_path, text_of(MIRROR))), curve_of(read(tmp_path, text_of(MIRROR) + "\n"))
    assert one != two, "another file, another hash"
    assert one == MeasuredCurve(one.wavelength, one.values, one.sha256, one.rows, one.file)
    assert len({one, two, MeasuredCurve(one.wavelength, one.values, one.sha256, one.rows, one.file)}) == 2


# What must not -------------------------------------------------------------------------------


def with_row(at: int, row: str) -> str:
    """The mirror with one line replaced; lines count from 1."""
    rows = text_of(MIRROR).splitlines()
    rows[at - 1] = row
    return "\n".join(rows) + "\n"


@pytest.mark.parametrize(
    ("content", "line", "message", "step"),
    [
        (with_row(7, "570.0, high"), 7, '"high" in the second column', "# before"),
        (with_row(7, "high, 0.9"), 7, '"high" in the first column', "# before"),
        (with_row(9, "580.0,"), 9, "second column is empty", "interpolated"),
        (with_row(9, ", 0.9"), 9, "first column is empty", "interpolated"),
        (with_row(9, "580.0"), 9, "second column is empty", "interpolated"),
        (with_row(11, "590.0, nan"), 11, "not a finite number", "remove the line"),
        (with_row(11, "590.0, -inf"), 11, "not a finite number", "remove the line"),
        (with_row(11, "590.0, 1e999"), 11, "not a finite number", "remove the line"),
        (with_row(1, "nan, nan"), 1, "not a finite number", "remove the line"),
        (with_row(3, "550.0, 0.9, 0.8"), 3, "3 columns", "remove the others"),
        (with_row(3, "550.0, 1_0"), 3, "not a number", "# before"),
        (with_row(3, "550.0, \u0661"), 3, "not a number", "# before"),
        (with_row(3, "0, 0.9"), 3, "wavelength of 0", "first column is the wavelength"),
        (with_row(3, "-550, 0.9"), 3, "wavelength of -550", "first column is the wavelength"),
        (with_row(5, "560.0, -0.4"), 5, "-0.4 is negative, 40.2 %", "baseline"),
        (with_row(5, "560.0, -0.035"), 5, "-0.035 is negative, 3.52 %", "baseline"),
        (with_row(5, "560.0, 0.3").replace("565.0", "560.0"), 6, "560 nm stands there 2 times", "two files"),
        (text_of(MIRROR) + "540.0, 0.75\n", 1, "with 0.75 (line 21) and 0.9 (line 1)", "two files"),
        (text_of([(a, 100 * b) for a, b in MIRROR]), 20, "look like per cent", "Write 0.995 instead of 99.5"),
        (text_of([(a, 3 * b) for a, b in MIRROR]), 20, "look like per cent", "(%)"),
        (text_of([(a, 1000 * b) for a, b in MIRROR]), 20, "values up to 995 are no fraction", "0.985"),
        (text_of([(a * 10, b) for a, b in MIRROR]), 20, "are no nm", "looks like Angstrom"),
        (text_of([(f"{a / 1000:.4f}", b) for a, b in MIRROR]), 1, "are no nm", "looks like um"),
        (text_of([(f"{a}e-9", b) for a, b in MIRROR]), 1, "are no nm", "looks like m"),
        (text_of([(f"{1e7 / a:.2f}", b) for a, b in MIRROR]), 1, "are no nm", "looks like wavenumbers"),
        ("wavelength (um), R\n" + text_of(MIRROR), 21, "the header says um", "looks like nm"),
        ("wavenumber (1/cm), R\n" + text_of(MIRROR), 1, "no wavelength", "1e7"),
        ("energy (eV), R\n" + text_of(MIRROR), 1, "no wavelength", "1239.84"),
        ("1.0, 0.5\n2.0, 0.5\n", 0, "2 rows", "whole curve"),
        ("540, 0.9\n", 0, "1 row,", "whole curve"),
        ("", 0, "no rows", "Export"),
        ("# only a comment\n\n", 0, "no rows", "Export"),
        ("wavelength, R\n\n", 0, "0 rows", "whole curve"),
        (text_of([(540.0, 0.9)] * 10), 0, "1 different", "whole curve"),
        ("532,5 0,9\n" * 9, 1, "commas", "; or a tab"),
        ("532,5,0,9\n" * 9, 1, "commas", "; or a tab"),
        (text_of([(a, 0) for a, _ in MIRROR]), 1, "highest value is 0", "second column"),
        ("a\nb\nc\nd\n", 2, '"b" in the first column is not a number', "# before"),
        ("Instrument: UV\nDate: 2024-05-01\n\nnm, A\n" + text_of(MIRROR), 1, "3 lines stand before", "lines 1 to 4"),
    ],
)
def test_faults_are_told_with_their_line(tmp_path: Path, content: str, line: int, message: str, step: str) -> None:
    told = error_of(read(tmp_path, content))
    assert message in told.message
    assert step in told.next_step
    assert told.line == line


@pytest.mark.parametrize(
    ("content", "message"),
    [
        (b"\x89PNG\r\n\x1a\n\0\0\0\rIHDR", "not UTF-8"),
        (b"540, 0.9\n541, 0.9\n\0\0", "not a text file"),
        (b"PK\x03\x04\0\0\0\0", "not a text file"),
        ("540, 0.9\n".encode("utf-16"), "UTF-16"),
        (b"wavelength (\xb5m), R\n0.54, 0.9\n", "not UTF-8"),
    ],
)
def test_what_is_no_text(tmp_path: Path, content: bytes, message: str) -> None:
    told = error_of(read(tmp_path, content))
    assert message in told.message
    assert told.line >= 1


def test_a_spectrum_may_have_any_scale(tmp_path: Path) -> None:
    curve = curve_of(read(tmp_path, text_of([(a, 4321.0 * b) for a, b in MIRROR]), "spectrum"))
    assert curve.values[0] == pytest.approx(4321.0 * 0.9)


# What is mended and told -----------------------------------------------------------------------


def test_noise_below_zero_is_cut(tmp_path: Path) -> None:
    found = read(tmp_path, with_row(4, "555.0, -0.02"))
    (told,) = found.told
    assert (told.grade, told.line) == ("warning", 4)
    assert "1 value is negative, down to -0.02" in told.message
    assert curve_of(found).values[3] == 0.0


def test_noise_above_one_is_cut(tmp_path: Path) -> None:
    found = read(tmp_path, with_row(4, "555.0, 1.01"))
    (told,) = found.told
    assert (told.grade, told.line) == ("warning", 4)
    assert curve_of(found).values[3] == 1.0


def test_the_order_does_not_matter_and_is_told(tmp_path: Path) -> None:
    straight = curve_of(read(tmp_path, text_of(MIRROR), name="a.csv"))
    for rows, words in ((MIRROR[::-1], "wavelengths fall"), (MIRROR[10:] + MIRROR[:10], "go back 1 times")):
        found = read(tmp_path, text_of(rows), name="b.csv")
        assert [told.grade for told in found.told] == ["note"]
        assert words in found.told[0].message
        assert curve_of(found).wavelength == straight.wavelength
        assert curve_of(found).values == straight.values


def test_repeated_rows_are_averaged(tmp_path: Path) -> None:
    found = read(tmp_path, text_of(MIRROR) + "540.0, 0.92\n")
    assert [told.grade for told in found.told] == ["note", "note"]
    assert curve_of(found).values[0] == pytest.approx(0.91)
    assert len(curve_of(found).values) == 20


def test_a_hole_is_told_and_interpolated(tmp_path: Path) -> None:
    rows = [row for row in MIRROR if not 560 < row[0] < 610]
    found = read(tmp_path, text_of(rows))
    (told,) = found.told
    assert told.grade == "warning"
    assert "no rows from 560 to 610 nm" in told.message
    assert curve_of(found).at(585e-9) == pytest.approx(0.945)


def test_a_few_missing_rows_are_no_hole(tmp_path: Path) -> None:
    rows = [(500.0 + i, 0.9) for i in range(40) if i not in (20, 21, 22)]
    assert read(tmp_path, text_of(rows)).told == ()
    wide = [(500.0 + i, 0.9) for i in range(40) if not 20 <= i < 26]
    assert [told.grade for told in read(tmp_path, text_of(wide)).told] == ["warning"]
    narrow = [(500.0 + 0.1 * i, 0.9) for i in range(40) if not 20 <= i < 35]
    assert read(tmp_path, text_of(narrow)).told == (), "1.6 nm matter to no dye"


def test_steps_of_two_widths_are_no_hole(tmp_path: Path) -> None:
    fine = [(500.0 + 0.5 * i, 0.9) for i in range(40)]
    coarse = [(525.0 + 10.0 * i, 0.9) for i in range(10)]
    assert read(tmp_path, text_of(fine + coarse)).told == ()


def test_long_files_are_averaged_down(tmp_path: Path) -> None:
    wavelength = np.linspace(400, 800, 20_001)
    rows = list(zip(wavelength.tolist(), (0.5 + 0.4 * np.sin(wavelength / 30)).tolist(), strict=True))
    found = read(tmp_path, text_of(rows))
    curve = curve_of(found)
    assert curve.rows == 20_001
    assert len(curve.values) == MOST_POINTS
    assert [told.grade for told in found.told] == ["note"]
    inside = np.linspace(401, 799, 500)
    np.testing.assert_allclose(curve.at(inside * 1e-9), 0.5 + 0.4 * np.sin(inside / 30), atol=1e-3)


@pytest.mark.slow
def test_a_million_rows(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def slow_way(*_given: object) -> None:
        raise AssertionError("row by row")

    monkeypatch.setattr(columns, "_row_by_row", slow_way)
    wavelength = np.linspace(400, 800, 1_000_000)
    np.savetxt(tmp_path / "big.csv", np.c_[wavelength, 0.5 + 0.4 * np.sin(wavelength / 30)], fmt="%.6f", delimiter=",")
    found = read_curve(tmp_path, "big.csv", "fraction")
    sound(found, "fraction")
    assert curve_of(found).rows == 1_000_000


# The file itself -------------------------------------------------------------------------------


def test_an_absent_file_and_the_name_that_is_near(tmp_path: Path) -> None:
    read(tmp_path, text_of(MIRROR), name="rear.csv")
    told = error_of(read_curve(tmp_path, "raer.csv", "fraction"))
    assert "no file" in told.message
    assert 'Perhaps "rear.csv"' in told.next_step
    assert "Put the file there" in error_of(read_curve(tmp_path, "q", "fraction")).next_step
    assert "Put the file there" in error_of(read_curve(tmp_path / "gone", "q", "fraction")).next_step


def test_no_way_out_of_the_folder(tmp_path: Path) -> None:
    bench = tmp_path / "bench"
    bench.mkdir()
    (tmp_path / "secret.csv").write_text(text_of(MIRROR))
    (bench / "link.csv").symlink_to(tmp_path / "secret.csv")
    (bench / "inside.csv").write_text(text_of(MIRROR))
    (bench / "near.csv").symlink_to("inside.csv")
    for name in ("link.csv", "../secret.csv", str(tmp_path / "secret.csv")):
        assert "leads out" in error_of(read_curve(bench, name, "fraction")).message
    assert curve_of(read_curve(bench, "inside.csv", "fraction")).file == "inside.csv"
    assert curve_of(read_curve(bench, "near.csv", "fraction")).file == "near.csv", "as the build file names it"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no named pipes here")
def test_what_is_no_file_is_not_opened(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.csv")
    (tmp_path / "folder.csv").mkdir()
    for name in ("pipe.csv", "folder.csv", "."):
        assert "is no file" in error_of(read_curve(tmp_path, name, "fraction")).message


def test_names_no_system_takes(tmp_path: Path) -> None:
    (tmp_path / "loop").symlink_to("loop")
    for name in ("a\0b", "x" * 5000, "loop"):
        assert error_of(read_curve(tmp_path, name, "fraction")).allowed


def test_large_files_are_refused_by_size_alone(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    with (tmp_path / "large.csv").open("wb") as stream:
        stream.truncate(curves.LARGEST_CURVE + 1)
    monkeypatch.setattr(curves, "_content", lambda _path: pytest.fail("it was read"))
    told = error_of(read_curve(tmp_path, "large.csv", "fraction"))
    assert "67.1 MB" in told.message
    assert "64 MiB" in told.allowed


def test_an_unreadable_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    (tmp_path / "curve.csv").write_text(text_of(MIRROR))

    def refuse(*_args: object) -> None:
        raise PermissionError(13, "Permission denied")

    monkeypatch.setattr(Path, "open", refuse)
    assert "Permission denied" in error_of(read_curve(tmp_path, "curve.csv", "fraction")).message


def test_a_file_is_parsed_again_only_when_it_changed(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    counts = []
    parse = curves._parsed
    monkeypatch.setattr(curves, "_parsed", lambda *given: counts.append(1) or parse(*given))  # type: ignore[func-returns-value]
    path = tmp_path / "curve.csv"
    path.write_text(text_of(MIRROR))
    first = read_curve(tmp_path, "curve.csv", "fraction")
    assert read_curve(tmp_path, "curve.csv", "fraction") is first
    assert len(counts) == 1
    read_curve(tmp_path, "curve.csv", "spectrum")
    assert len(counts) == 2
    path.write_text(text_of(MIRROR).replace("0.9,", "0.8,") + "# mended\n")
    assert read_curve(tmp_path, "curve.csv", "fraction") is not first
    kept = path.stat()
    path.unlink()
    path.write_text(text_of(MIRROR).replace("0.995", "0.985") + "# mended\n")
    os.utime(path, ns=(kept.st_atime_ns, kept.st_mtime_ns))
    assert curve_of(read_curve(tmp_path, "curve.csv", "fraction")).values[-1] == 0.985, "same size and time, other file"


# Anything --------------------------------------------------------------------------------------

NUMBER = st.one_of(
    st.floats(allow_nan=True, allow_infinity=True).map(repr),
    st.integers(-10, 1000).map(str),
    st.floats(200.0, 900.0).map(lambda x: f"{x:.3f}"),
    st.sampled_from(["", "nan", "inf", "1e400", "-0", "0x10", "1_0", "5,3", "five", "\u0663", "%", "1e-320"]),
)
ROW = st.tuples(NUMBER, st.sampled_from([",", ";", "\t", " ", ", ", "\0"]), NUMBER).map("".join)
LINE = st.one_of(ROW, st.text(max_size=12), st.just(""), st.just("# c"))


@settings(max_examples=60, deadline=None)
@given(
    content=st.one_of(
        st.binary(max_size=200), st.lists(LINE, max_size=14).map(lambda r: "\n".join(r).encode("utf-8", "ignore"))
    )
)
@example(content=b"5 1\n" * 4 + b"5e-324 1\n")
@example(content=b"400 1e308\n401 1e308\n402 1e308\n403 -1e308\n404 1\n")
@example(content=b"400 1e-320\n401 1e-320\n402 1e-320\n403 0\n404 0\n")
def test_no_content_raises_anything(tmp_path_factory: pytest.TempPathFactory, content: bytes) -> None:
    folder = tmp_path_factory.getbasetemp()
    for use in ("fraction", "spectrum"):
        read(folder, content, use, "fuzz.csv")


@settings(max_examples=60, deadline=None)
@given(
    st.lists(
        st.tuples(st.floats(150.0, 1500.0), st.floats(0.0, 1.0, allow_subnormal=False)),
        min_size=6,
        max_size=30,
        unique_by=lambda row: row[0],
    ),
    st.sampled_from([",", ";", "\t", " "]),
)
def test_both_ways_of_reading_agree(rows: list[tuple[float, float]], between: str) -> None:
    body = text_of([(repr(a), repr(b)) for a, b in rows], between).split("\n")
    fast = columns._table(body, between.strip(" "), 0)
    slow = columns._row_by_row(body, between.strip(" "), 0)
    assert np.array_equal(fast, slow)
    assert all(math.isfinite(value) for value in fast.ravel())
