"""Damaged build files: whatever is done to one, it loads or gives complete findings."""

from __future__ import annotations

import tomllib
from typing import Any

import pytest
import tomlkit
from hypothesis import given, settings
from hypothesis import strategies as st

from pulsewright import machine
from pulsewright.errors import BuildError
from pulsewright.machine import Loaded

TIDEWATER = machine.bench_text("tidewater")
PATHS = sorted(machine.load_text(TIDEWATER).build.entries)  # type: ignore[union-attr]


def is_sound(loaded: Loaded) -> bool:
    """A build without errors, or at least one error; every finding complete."""
    errors = [finding for finding in loaded.findings if finding.grade == "error"]
    whole = all(f.message and f.allowed and f.next_step and f.file for f in loaded.findings)
    return whole and (loaded.build is None) == bool(errors)


@pytest.mark.slow
@settings(max_examples=200)
@given(st.integers(0, len(TIDEWATER)), st.integers(0, 40), st.text(max_size=10))
def test_damaged_text(at: int, length: int, put: str) -> None:
    assert is_sound(machine.load_text(TIDEWATER[:at] + put + TIDEWATER[at + length :]))


@settings(max_examples=60)
@given(st.permutations(range(len(TIDEWATER.splitlines()))), st.integers(1, 60))
def test_lines_left_out(order: list[int], count: int) -> None:
    gone = set(order[:count])
    rows = [row for i, row in enumerate(TIDEWATER.splitlines()) if i not in gone]
    assert is_sound(machine.load_text("\n".join(rows)))


scalars = st.one_of(
    st.booleans(),
    st.integers(-(10**30), 10**30),
    st.floats(),
    st.text(max_size=12),
    st.dates(),
    st.sampled_from(
        ["unknown", "flat", "none", "5 %", "1 kV", "1e9 V", "0 m", "-1 mm", "rear", "xenon", "nan", "1,2 mm"]
    ),
)
values = st.one_of(
    scalars,
    st.lists(scalars, max_size=2),
    st.dictionaries(
        st.sampled_from(["value", "spread", "distribution", "basis", "source", "other"]), scalars, max_size=4
    ),
)


@pytest.mark.slow
@settings(max_examples=200)
@given(st.dictionaries(st.sampled_from(PATHS), values, min_size=1, max_size=4))
def test_any_value_at_any_key(changes: dict[str, Any]) -> None:
    tree = tomllib.loads(TIDEWATER)
    for path, value in changes.items():
        *parts, key = path.split(".")
        table = tree
        for part in parts:
            table = table.setdefault(part, {})
        table[key] = value
    assert is_sound(machine.load_text(tomlkit.dumps(tree)))


@pytest.mark.slow
@settings(max_examples=100)
@given(st.sampled_from(PATHS), st.sampled_from(["", ".value", ".spread", ".basis", ".nothing"]), st.text(max_size=12))
def test_any_override_is_taken_or_refused_the_same_way_as_a_saved_one(path: str, sub: str, text: str) -> None:
    build = machine.load_text(TIDEWATER).build
    assert build is not None
    changes = {path + sub: text}
    try:
        over = build.override(changes)
    except BuildError as refused:
        over = None
        assert all(f.message and f.allowed and f.next_step for f in refused.findings)  # noqa: PT017
    try:
        saved = machine.load_text(machine.changed_text(TIDEWATER, changes, "laser.toml")).build
    except BuildError:
        saved = None
    assert (over is None) == (saved is None)
    if over is not None and saved is not None:
        assert over.machine == saved.machine
