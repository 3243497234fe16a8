"""The one file to start from: which Python, when an environment may be used again, what is counted."""

from __future__ import annotations

import importlib.util
import json
import os
import re
import subprocess
import sys
import types
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parents[2]
LOCKS = ("requirements.lock", "requirements-test.lock", "requirements-installer.lock")


@pytest.fixture(scope="module")
def start() -> types.ModuleType:
    spec = importlib.util.spec_from_file_location("start", ROOT / "start.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


@pytest.mark.parametrize(
    ("version", "usable"),
    [((3, 10, 14), False), ((3, 11, 0), True), ((3, 12, 4), True), ((3, 13, 1), True), ((3, 14, 0), False)],
)
def test_only_python_3_11_to_3_13_is_used(start: types.ModuleType, version: tuple[int, ...], usable: bool) -> None:
    fault = start.version_fault(version)
    assert (fault == "") is usable
    if not usable:
        assert f"Python {version[0]}.{version[1]}" in fault
        assert "3.11 to 3.13" in fault


def test_the_project_file_names_the_same_versions(start: types.ModuleType) -> None:
    project = (ROOT / "pyproject.toml").read_text("utf-8")
    newest = f"{start.NEWEST[0]}.{start.NEWEST[1] + 1}"
    assert f'requires-python = ">={start.OLDEST[0]}.{start.OLDEST[1]},<{newest}"' in project


def test_another_python_is_looked_for_newest_first(start: types.ModuleType) -> None:
    asked: list[str] = []

    def which(name: str) -> str | None:
        asked.append(name)
        return None if name == "python3.13" else f"/somewhere/{name}"

    found = start.other_python(which, lambda path: not path.endswith("3.12"))
    assert found == "/somewhere/python3.11"
    assert asked == ["python3.13", "python3.12", "python3.11"]


def test_a_stand_in_for_a_python_does_not_run(start: types.ModuleType, tmp_path: Path) -> None:
    assert start.runs(sys.executable)
    assert not start.runs(str(tmp_path / "python3.12"))


def test_an_unusable_python_without_another_is_told_and_ends_with_2(
    start: types.ModuleType, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    monkeypatch.setattr(sys, "version_info", (3, 9, 1, "final", 0))
    monkeypatch.setattr(start, "other_python", lambda: None)
    assert start.main(["demo"]) == 2
    assert "This is Python 3.9" in capsys.readouterr().err


# The stamp --------------------------------------------------------------------------------------


def test_an_environment_is_used_again_only_where_everything_matches(start: types.ModuleType) -> None:
    wanted = start.wanted_stamp(start.RUN_LOCK)
    assert start.stamp_matches(dict(wanted), wanted)
    assert not start.stamp_matches({}, wanted)
    for key in ("python", "machine", "root", start.RUN_LOCK, start.TEST_LOCK, "project"):
        assert not start.stamp_matches({**wanted, key: "other"}, wanted)


def test_the_test_set_serves_the_demo_and_not_the_other_way_round(start: types.ModuleType) -> None:
    run, test = start.wanted_stamp(start.RUN_LOCK), start.wanted_stamp(start.TEST_LOCK)
    assert start.stamp_matches(test, run)
    assert not start.stamp_matches(run, test)


def test_a_stamp_is_read_back_and_a_broken_one_is_none(start: types.ModuleType, tmp_path: Path) -> None:
    start.write_stamp(tmp_path, {"python": "3.11.7"})
    assert start.read_stamp(tmp_path) == {"python": "3.11.7"}
    assert [path.name for path in tmp_path.iterdir()] == ["pulsewright-stamp.json"]
    (tmp_path / "pulsewright-stamp.json").write_text('{"python": ')
    assert start.read_stamp(tmp_path) == {}
    (tmp_path / "pulsewright-stamp.json").write_text(json.dumps([1]))
    assert start.read_stamp(tmp_path) == {}


def test_an_environment_with_a_fitting_stamp_is_not_touched(
    start: types.ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PULSEWRIGHT_VENV", str(tmp_path))
    monkeypatch.setattr(start, "install", lambda *_: pytest.fail("installed again"))
    python = start.python_of(tmp_path)
    python.parent.mkdir(parents=True)
    python.touch()
    start.write_stamp(tmp_path, start.wanted_stamp(start.TEST_LOCK))
    folder, _ = start.prepare(start.RUN_LOCK)
    assert folder == tmp_path


def test_an_interrupted_install_leaves_no_stamp(
    start: types.ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def stopped(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setenv("PULSEWRIGHT_VENV", str(tmp_path))
    monkeypatch.setattr(start, "made_by_this_python", lambda folder: True)
    monkeypatch.setattr(start, "install", stopped)
    start.write_stamp(tmp_path, {"python": "an older one"})
    assert start.main(["demo"]) == 130
    assert start.read_stamp(tmp_path) == {}


# The installers ---------------------------------------------------------------------------------


def test_pip_is_used_where_uv_fails(start: types.ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    ran: list[str] = []

    def run(words: str, command: list[str], environment: dict[str, str], log: Path) -> bool:
        ran.append(words)
        return "uv" not in words

    monkeypatch.setattr(start, "find_uv", lambda *_: ["uv"])
    monkeypatch.setattr(start, "has_pip", lambda *_: True)
    monkeypatch.setattr(start, "run_quietly", run)
    start.install(tmp_path, start.RUN_LOCK, {}, tmp_path / "log")
    assert [words.split()[-1] for words in ran] == ["uv", "pip", "itself"]


def test_no_installer_that_works_is_told_with_the_end_of_the_log(
    start: types.ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    log = tmp_path / "install.log"
    log.write_text("no route to the registry\n")
    monkeypatch.setattr(start, "find_uv", lambda *_: None)
    monkeypatch.setattr(start, "has_pip", lambda *_: True)
    monkeypatch.setattr(start, "run_quietly", lambda *_: False)
    with pytest.raises(start.CannotGoOnError, match="no route to the registry"):
        start.install(tmp_path, start.RUN_LOCK, {}, log)


def test_what_runs_inside_may_write_byte_code_and_sees_no_foreign_path(
    start: types.ModuleType, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("PYTHONDONTWRITEBYTECODE", "1")
    monkeypatch.setenv("PYTHONPATH", "/elsewhere")
    monkeypatch.setenv("HOME", str(tmp_path / "not there"))
    monkeypatch.delenv("PULSEWRIGHT_CACHE_DIR", raising=False)
    monkeypatch.delenv("UV_CACHE_DIR", raising=False)
    env = start.child_environment(tmp_path)
    assert "PYTHONDONTWRITEBYTECODE" not in env
    assert "PYTHONPATH" not in env
    assert env["PATH"].split(os.pathsep)[0] == str(start.python_of(tmp_path).parent)
    assert Path(env["PULSEWRIGHT_CACHE_DIR"]) == ROOT / ".cache"
    assert Path(env["UV_CACHE_DIR"]) == ROOT / ".cache" / "uv"


def test_quiet_work_goes_to_the_log_and_its_outcome_comes_back(
    start: types.ModuleType, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    log = tmp_path / "log"
    assert start.run_quietly("counting", [sys.executable, "-c", "print(3)"], dict(os.environ), log)
    assert not start.run_quietly("failing", [sys.executable, "-c", "raise SystemExit(4)"], dict(os.environ), log)
    assert log.read_text().strip() == "3"
    told = capsys.readouterr().out
    assert "counting: done" in told
    assert "failing: not done" in told


def test_a_child_that_does_not_end_of_itself_is_ended(start: types.ModuleType) -> None:
    child = subprocess.Popen([sys.executable, "-c", "import time; time.sleep(60)"])
    start.end_politely(child, patience=0.05)
    assert child.wait(timeout=30) != 0
    child = subprocess.Popen([sys.executable, "-c", ""])
    start.end_politely(child, patience=30)
    assert child.returncode == 0


# The lock files ---------------------------------------------------------------------------------


@pytest.mark.parametrize("name", LOCKS)
def test_a_lock_file_holds_names_versions_hashes_and_no_address(name: str) -> None:
    words = (ROOT / name).read_text("utf-8")
    assert not re.search(r"://| @ |^-", words, re.MULTILINE)
    entries = words.replace("\\\n", " ").splitlines()
    assert entries
    for entry in entries:
        assert re.match(r"[a-z0-9._-]+==[0-9]", entry), entry
        assert "--hash=sha256:" in entry, entry


def test_the_test_lock_holds_what_the_run_lock_holds() -> None:
    def pins(name: str) -> set[str]:
        words = (ROOT / name).read_text("utf-8")
        return set(re.findall(r"^([a-z0-9._-]+==\S+(?: ; [^\\\n]*)?)", words, re.MULTILINE))

    run, test = pins("requirements.lock"), pins("requirements-test.lock")
    assert len(run) > 20
    assert run <= test


# The verbs --------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("line", "counts"),
    [
        ("12 passed in 0.40s", {"passed": 12}),
        ("=== 1 failed, 12 passed, 2 skipped in 3.2s ===", {"failed": 1, "passed": 12, "skipped": 2}),
        ("1 passed, 2 errors in 61.0s (0:01:01)", {"passed": 1, "error": 2}),
        ("3 passed, 4 deselected, 1 warning in 1.0s", {"passed": 3}),
        ("no tests ran in 0.01s", None),
        ("it was 12 passed in a hurry", None),
    ],
)
def test_closing_lines_are_counted(start: types.ModuleType, line: str, counts: dict[str, int] | None) -> None:
    assert start.counts_in(line) == counts


def test_the_last_line_adds_up_both_tiers(start: types.ModuleType) -> None:
    assert start.closing_line({"passed": 10, "xfailed": 2}) == "12 passed, 0 failed"
    totals = {"passed": 3, "failed": 1, "error": 1, "xpassed": 1, "skipped": 2}
    assert start.closing_line(totals) == "3 passed, 3 failed, 2 skipped"


def test_the_tiers_together_leave_no_test_out(start: types.ModuleType) -> None:
    fast, rest = (arguments[1] for _, arguments in start.tiers(fast=False))
    assert (fast, rest) == ("not slow and not browser", "slow or browser")
    assert [name for name, _ in start.tiers(fast=True)] == ["fast tier"]


def test_help_and_wrong_usage() -> None:
    def run(*arguments: str) -> subprocess.CompletedProcess[str]:
        return subprocess.run(
            [sys.executable, str(ROOT / "start.py"), *arguments], capture_output=True, text=True, check=False
        )

    helped = run("--help")
    assert helped.returncode == 0
    for verb in ("demo", "test", "bench", "lock"):
        assert f"\n    {verb} " in helped.stdout
    for wrong in (["fire"], [], ["demo", "--prot", "1"]):
        assert run(*wrong).returncode == 2
