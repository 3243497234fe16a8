"""The command with a bench that computes nothing: parsing, exit codes, JSON, files, faults."""

from __future__ import annotations

import csv
import io
import json
import stat
import subprocess
import sys
import types
from pathlib import Path

import click
import fakes
import pytest
from click.testing import CliRunner, Result

import pulsewright
from pulsewright import cli
from pulsewright.errors import BuildError, Finding

ERROR = Finding(
    "error", "bank.capacitance", "-4 uF is negative", "Above 0 F", "Write a positive value", "laser.toml", 7
)
WARNING = Finding("warning", "lamps.east.bore", "basis is unknown", "", "Say where it comes from", "laser.toml", 30)


@pytest.fixture
def bench(monkeypatch: pytest.MonkeyPatch) -> fakes.FakeBench:
    fake = fakes.FakeBench()
    monkeypatch.setattr(pulsewright, "open", lambda path: fake)
    return fake


@pytest.fixture
def workbench(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> types.ModuleType:
    """A stand-in for the workbench's own functions."""
    module = types.ModuleType("pulsewright.workbench")

    def new_bench(directory: Path, source: str) -> Path:
        if directory.exists():
            raise BuildError(Finding("error", str(directory), "the folder exists", "A new name", "Give another"))
        directory.mkdir()
        (directory / "laser.toml").write_text(f'name = "{source}"\n')
        return directory

    module.new_bench = new_bench  # type: ignore[attr-defined]
    module.safety_sheet = lambda bench: "<html>Misfire: wait, dump, short</html>"  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "pulsewright.workbench", module)
    return module


@pytest.fixture
def served(monkeypatch: pytest.MonkeyPatch) -> list[tuple[Path, dict[str, object]]]:
    """A stand-in for the web room; holds what it was asked to serve."""
    asked: list[tuple[Path, dict[str, object]]] = []
    module = types.ModuleType("pulsewright.web")
    module.serve = lambda path, **options: asked.append((path, options))  # type: ignore[attr-defined]
    monkeypatch.setitem(sys.modules, "pulsewright.web", module)
    return asked


def run(*arguments: str) -> Result:
    return CliRunner().invoke(cli.app, list(arguments))


def flat(words: str) -> str:
    """The same without line breaks."""
    return " ".join(words.split())


# Help and wrong usage ---------------------------------------------------------------------------


def test_help_lists_every_verb_with_the_words_of_its_own_help() -> None:
    for name, (_, words) in cli.VERBS.items():
        command = cli.app.get_command(click.Context(cli.app), name)
        assert command is not None
        assert command.short_help == words
        assert words in flat(run("--help").output)


def test_help_imports_nothing_heavy() -> None:
    code = (
        "import sys; from pulsewright import cli\n"
        "try: cli.main(['--help'])\n"
        "except SystemExit: pass\n"
        "heavy = {'numpy', 'scipy', 'numba', 'pydantic', 'fastapi', 'jinja2', 'tomlkit'} & set(sys.modules)\n"
        "print('HEAVY', sorted(heavy))"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.rstrip().endswith("HEAVY []")


def test_version() -> None:
    assert run("--version").output == f"pulsewright {pulsewright.__version__}\n"


@pytest.mark.parametrize(
    ("arguments", "said"),
    [
        (["shto", "x"], "Did you mean shot?"),
        (["fire"], "There is no verb 'fire'"),
        (["shot"], "Missing argument 'BENCH'"),
        (["shot", "b", "--wavefroms"], "No such option"),
        (["shot", "b", "--waveforms"], "--waveforms goes with --json"),
        (["shot", "b", "--set", "dye.concentration"], "write PATH=VALUE"),
        (["shot", "b", "--set", "a.b=1 m", "--set", "a.b=2 m"], "given twice"),
        (["envelope", "b", "--points", "many"], "not a valid integer"),
        (["safety", "b"], "Missing option '--sheet'"),
        (["serve", "b", "--port", "70000"], "70000 is not in the range"),
    ],
)
def test_wrong_usage_ends_with_2_and_says_what_is_wrong(
    bench: fakes.FakeBench, arguments: list[str], said: str
) -> None:
    done = run(*arguments)
    assert done.exit_code == 2
    assert said in done.output
    assert bench.asked == {}


# check ------------------------------------------------------------------------------------------


def test_check_of_a_sound_file(bench: fakes.FakeBench) -> None:
    done = run("check", "b")
    assert (done.exit_code, done.output) == (
        0,
        "b: a sound file. What it does to the parts: shot, study charge.\n",
    )


def test_check_lists_the_worst_first_and_ends_with_1(bench: fakes.FakeBench) -> None:
    bench.findings = (WARNING, ERROR)
    done = run("check", "b")
    assert done.exit_code == 1
    assert done.output.index("laser.toml:7 bank.capacitance") < done.output.index("laser.toml:30 lamps.east.bore")
    assert done.output.rstrip().endswith("b: 1 error, 1 warning.")
    assert max(len(line) for line in done.output.splitlines()) <= 80


def test_check_with_only_a_warning_ends_with_0(bench: fakes.FakeBench) -> None:
    bench.findings = (WARNING,)
    done = run("check", "b", "--json")
    assert done.exit_code == 0
    told = json.loads(done.output)
    assert told["outcome"] == "sound"
    assert told["findings"] == [WARNING.as_dict()]


# shot -------------------------------------------------------------------------------------------


def test_shot_reads_voltage_and_overrides(bench: fakes.FakeBench) -> None:
    done = run(
        "shot",
        "b",
        "--charge",
        "9 kV",
        "--set",
        "dye.concentration=6e-5 mol/L",
        "--set",
        "dye.name = x",
        "--no-interval",
    )
    assert done.exit_code == 0
    assert bench.asked == {
        "charge_voltage": 9000.0,
        "overrides": {"dye.concentration": "6e-5 mol/L", "dye.name": "x"},
        "interval": False,
    }


def test_shot_leaves_the_build_files_charge_alone(bench: fakes.FakeBench) -> None:
    run("shot", "b")
    assert bench.asked == {"charge_voltage": None, "overrides": None, "interval": True}


def test_shot_page_has_every_part_within_80_columns(bench: fakes.FakeBench) -> None:
    from pulsewright.cli import show_shot

    page = show_shot.page(fakes.shot())
    for words in (
        "one simulated shot at 9.50 kV",
        "Outcome: lased (",
        "420 mJ to 1.27 J",
        "not known: the current does not reverse",
        "Margins, worst first",
        ">~   1.32    72 %  optics.window_rear",
        "[1] a handbook, 1990",
        "To lower optics.window_rear: a larger beam.",
        "Not judged",
        "Give optics.lens.damage_fluence.",
        "stored energy: The bank holds 180 J",
        "odd number",
    ):
        assert words in page or words in flat(page)
    assert max(len(line) for line in page.splitlines()) <= 80
    assert "\x1b" not in page
    assert page.count("The beam is class 4") == 1


def test_a_limit_is_told_with_its_margin_and_not_a_second_time() -> None:
    from dataclasses import replace

    from pulsewright.cli import show_shot

    other = replace(fakes.LIMIT, path="room.volume")
    told = show_shot.beside_margins(replace(fakes.shot(), findings=(fakes.LIMIT, other, WARNING)))
    assert told == [other, WARNING]
    assert "1 of 3 judged limits exceeded; worst ratio 1.32; 1 not judged." in show_shot.page(fakes.shot())


def test_rows_that_say_the_same_stand_in_one_line() -> None:
    from dataclasses import replace

    from pulsewright.cli import show_shot

    twin = replace(fakes.shot().margins[0], item="lamps.west")
    table = show_shot.margins((*fakes.shot().margins, twin))
    assert "lamps.east, lamps.west: explosion" in table
    assert table.count("0.87") == 1
    findings = show_shot.findings((WARNING, replace(WARNING, path="lamps.west.bore")))
    assert "lamps.east.bore, lamps.west.bore: basis" in flat(findings)


def test_margins_stand_worst_first_whatever_order_they_come_in() -> None:
    from pulsewright.cli import show_shot

    table = show_shot.margins(fakes.shot().margins)
    places = [table.index(f"  {row.item}: ") for row in sorted(fakes.shot().margins, key=lambda row: -row.ratio)]
    assert places == sorted(places)


def test_shot_json_has_what_is_promised_and_waveforms_only_on_request(bench: fakes.FakeBench) -> None:
    told = json.loads(run("shot", "b", "--json").output)
    for key in ("outcome", "summary", "margins", "not_judged", "findings", "cautions", "provenance"):
        assert key in told
    assert told["summary"]["output_energy"] == {"value": 0.81, "unit": "J", "interval_90": [0.42, 1.27]}
    assert "waveforms" not in told
    whole = json.loads(run("shot", "b", "--json", "--waveforms").output)
    assert whole["waveforms"]["current"]["values"] == [0.0, 3e3, 5e3, 2e3, None]


def test_a_limit_finding_ends_with_1_and_the_shot_is_printed(bench: fakes.FakeBench) -> None:
    bench.shot_findings = (fakes.LIMIT,)
    done = run("shot", "b")
    assert done.exit_code == 1
    assert "Outcome: lased (" in done.output


def test_a_used_up_margin_ends_with_1_even_without_a_finding(bench: fakes.FakeBench) -> None:
    done = run("shot", "b", "--charge", "15 kV")
    assert done.exit_code == 1
    assert "15.0 kV" in done.output


@pytest.mark.parametrize("charge", ["9000", "9 kA", "NaN V", "9,5 kV", "1e9 V", ""])
def test_a_bad_charge_is_a_finding_on_the_option(bench: fakes.FakeBench, charge: str) -> None:
    done = run("shot", "b", "--charge", charge)
    assert done.exit_code == 1
    assert done.stderr.startswith("error    --charge: ")
    assert done.stdout == ""
    assert bench.asked == {}


def test_a_faulty_build_prints_its_findings_and_no_traceback(bench: fakes.FakeBench) -> None:
    bench.findings = (ERROR,)
    done = run("shot", "b")
    assert done.exit_code == 1
    assert done.stderr.startswith("error    laser.toml:7 bank.capacitance: -4 uF is negative.")
    assert "Traceback" not in done.output
    told = json.loads(run("shot", "b", "--json").stdout)
    assert told == {"outcome": "failed", "findings": [ERROR.as_dict()]}


def test_an_internal_fault_is_told_without_a_traceback_and_with_it_on_debug(
    bench: fakes.FakeBench, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(path: Path) -> None:
        raise ZeroDivisionError("by nought")

    monkeypatch.setattr(pulsewright, "open", broken)
    done = run("shot", "b")
    assert done.exit_code == 1
    assert "ZeroDivisionError: by nought" in flat(done.stderr)
    assert "--debug" in done.stderr
    for arguments in (["--debug", "shot", "b"], ["shot", "b", "--debug"]):
        assert isinstance(run(*arguments).exception, ZeroDivisionError)


# Files ------------------------------------------------------------------------------------------


def test_csv_holds_every_array_with_its_unit(bench: fakes.FakeBench, tmp_path: Path) -> None:
    target = tmp_path / "shot.csv"
    done = run("shot", "b", "--csv", str(target))
    assert done.exit_code == 0
    assert f"Wrote {target}" in done.output
    rows = list(csv.reader(io.StringIO(target.read_text("utf-8"))))
    assert rows[0] == [
        "time [s]",
        "current [A]",
        "pump_rate shell 1 [1/s]",
        "pump_rate shell 2 [1/s]",
        "shell_radius [m]",
        "gain_time [s]",
        "output_power [W]",
    ]
    assert len(rows) == 1 + 5
    assert rows[3] == ["1e-05", "5000.0", "1.0", "1.0", "", "2e-05", "0.0"]
    assert rows[5][1] == ""
    assert [path.name for path in tmp_path.iterdir()] == ["shot.csv"]


def test_a_file_keeps_its_mode_when_replaced(bench: fakes.FakeBench, tmp_path: Path) -> None:
    target = tmp_path / "shot.csv"
    target.write_text("old")
    target.chmod(0o640)
    run("shot", "b", "--csv", str(target))
    assert stat.S_IMODE(target.stat().st_mode) == 0o640
    assert target.read_text() != "old"


def test_nothing_is_written_when_one_of_two_files_cannot_be(bench: fakes.FakeBench, tmp_path: Path) -> None:
    good, bad = tmp_path / "shot.csv", tmp_path / "nowhere" / "shot.svg"
    done = run("shot", "b", "--csv", str(good), "--figure", str(bad))
    assert done.exit_code == 1
    assert f"{bad}: it cannot be written:" in flat(done.stderr)
    assert done.stdout == ""
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize("option", ["--csv", "--figure"])
@pytest.mark.parametrize("name", ["laser.toml", "logbook.sqlite"])
def test_an_output_never_replaces_a_build_file_or_a_logbook(
    bench: fakes.FakeBench, tmp_path: Path, option: str, name: str
) -> None:
    target = tmp_path / name
    target.write_text("precious")
    done = run("shot", "b", option, str(target))
    assert done.exit_code == 1
    assert "not written over a build file or a logbook" in flat(done.stderr)
    assert target.read_text() == "precious"
    assert bench.asked == {}


def test_a_folder_is_not_a_file_to_write(bench: fakes.FakeBench, tmp_path: Path) -> None:
    done = run("shot", "b", "--csv", str(tmp_path))
    assert done.exit_code == 1
    assert "it is a folder" in flat(done.stderr)


def test_a_figure_is_svg_or_refused(bench: fakes.FakeBench, tmp_path: Path) -> None:
    done = run("shot", "b", "--figure", str(tmp_path / "shot.png"))
    assert done.exit_code == 1
    assert "A name that ends in .svg" in done.stderr
    assert bench.asked == {}


# envelope ---------------------------------------------------------------------------------------


def test_envelope_passes_on_range_points_and_overrides(bench: fakes.FakeBench) -> None:
    done = run("envelope", "b", "--from", "6 kV", "--to", "11 kV", "--points", "11", "--set", "dye.name=x")
    assert done.exit_code == 0
    assert bench.asked == {"start": 6000.0, "stop": 11000.0, "points": 11, "overrides": {"dye.name": "x"}}
    assert "envelope from 6.00 to 11.0 kV, 11 points" in done.output
    assert "threshold voltage              7.50 kV" in done.output
    assert "10.0 kV, of the judged items" in done.output
    assert max(len(line) for line in done.output.splitlines()) <= 80


def test_envelope_json(bench: fakes.FakeBench) -> None:
    told = json.loads(run("envelope", "b", "--points", "5", "--json").output)
    assert told["threshold_voltage"] == 7500.0
    assert told["highest_voltage_within_limits"] == 10000.0
    assert told["limiting_item"]["item"] == "optics.window_rear"
    assert len(told["points"]) == 5
    assert told["points"][0]["pulse_width"] is None


def test_envelope_without_threshold_or_stop_gives_the_reasons() -> None:
    from dataclasses import replace

    from pulsewright.cli import show_envelope

    nothing = replace(
        fakes.envelope(),
        threshold_voltage=None,
        threshold_reason="nothing lases up to 12 kV",
        highest_voltage_within_limits=None,
        highest_reason="a limit is exceeded already at 5 kV",
        limiting_item=None,
        stops=(),
    )
    page = show_envelope.page(nothing)
    assert "none. nothing lases up to 12 kV" in page
    assert "none. a limit is exceeded already at 5 kV" in page
    assert "none in this range" in page


# new, demo, safety, serve -----------------------------------------------------------------------


def test_new_makes_a_bench_and_says_what_comes_next(workbench: types.ModuleType, tmp_path: Path) -> None:
    target = tmp_path / "mine"
    done = run("new", str(target), "--from", "tidewater")
    assert done.exit_code == 0
    assert f"Next: pulsewright check {target}" in done.output
    again = run("new", str(target))
    assert again.exit_code == 1
    assert "the folder exists" in flat(again.stderr)


def test_demo_makes_computes_and_serves(
    workbench: types.ModuleType, bench: fakes.FakeBench, served: list[tuple[Path, dict[str, object]]], tmp_path: Path
) -> None:
    target = tmp_path / "deep" / "tidewater"
    done = run("demo", str(target), "--port", "8123", "--no-browser")
    assert done.exit_code == 0
    assert (target / "laser.toml").exists()
    assert done.output.index("one simulated shot") < done.output.index("envelope from")
    assert done.output.count("The beam is class 4") == 1
    assert flat(done.output).count("Give optics.lens.damage_fluence") == 1
    assert served == [(target, {"host": "127.0.0.1", "port": 8123, "token": None, "open_browser": False})]
    (target / "laser.toml").write_text("kept")
    assert run("demo", str(target), "--no-serve").exit_code == 0
    assert (target / "laser.toml").read_text() == "kept"
    assert len(served) == 1


def test_safety_sheet_goes_to_the_bench_to_a_file_or_to_the_output(
    workbench: types.ModuleType, bench: fakes.FakeBench, tmp_path: Path
) -> None:
    assert run("safety", str(tmp_path), "--sheet").exit_code == 0
    assert "Misfire" in (tmp_path / "safety-sheet.html").read_text()
    named = tmp_path / "sheet.html"
    assert run("safety", str(tmp_path), "--sheet", str(named)).exit_code == 0
    assert named.exists()
    assert run("safety", str(tmp_path), "--sheet", "-").output.startswith("<html>")
    assert run("safety", str(tmp_path), "--sheet", str(tmp_path / "no" / "x.html")).exit_code == 1


def test_serve_passes_its_options(served: list[tuple[Path, dict[str, object]]]) -> None:
    assert run("serve", "b", "--host", "10.0.0.1", "--port", "80", "--token", "word").exit_code == 0
    assert served == [(Path("b"), {"host": "10.0.0.1", "port": 80, "token": "word", "open_browser": True})]


def test_ctrl_c_stops_a_computation(monkeypatch: pytest.MonkeyPatch, bench: fakes.FakeBench) -> None:
    def stopped(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(bench, "shot", stopped, raising=False)
    done = run("shot", "b")
    assert done.exit_code == 130
    assert "Stopped." in done.stderr


def test_colour_is_added_only_on_a_terminal(monkeypatch: pytest.MonkeyPatch) -> None:
    from pulsewright.cli import text

    monkeypatch.setattr(sys.stdout, "isatty", lambda: True, raising=False)
    monkeypatch.delenv("NO_COLOR", raising=False)
    monkeypatch.setenv("TERM", "xterm")
    assert text.finding(ERROR).startswith("\x1b")
    monkeypatch.setenv("NO_COLOR", "1")
    assert "\x1b" not in text.finding(ERROR)
