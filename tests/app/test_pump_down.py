"""The pump-down of a head, as a study and as a command."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

import pulsewright as pw
from pulsewright.cli import app
from pulsewright.errors import BuildError
from pulsewright.workbench import new_bench


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return new_bench(tmp_path / "millpond", "millpond")


def test_curves_cross_where_it_fires(folder: Path) -> None:
    found = pw.open(folder).pump_down()
    assert found.fires_at is not None
    before = found.time < found.fires_at - 0.2
    after = found.time > found.fires_at + 0.2
    assert np.all(found.breakdown_voltage[before] > found.voltage[before])
    assert np.any(found.breakdown_voltage[after] < found.voltage[after])
    assert np.interp(found.fires_at, found.time, found.pressure) == pytest.approx(found.firing_pressure, rel=0.02)


def test_jitter_is_the_root_of_the_sum_of_its_parts(folder: Path) -> None:
    found = pw.open(folder).pump_down()
    assert found.jitter == pytest.approx(np.sqrt(sum(part**2 for part in found.jitter_parts.values())))


def test_it_is_the_shots_own_firing(folder: Path) -> None:
    bench = pw.open(folder)
    found, told = bench.pump_down(8.5e3), bench.shot(8.5e3, interval=False).summary
    assert told["firing_voltage"].value == found.firing_voltage == 8.5e3
    assert told["trigger_delay"].value == pytest.approx(found.delay)
    assert told["firing_pressure"].value == pytest.approx(found.firing_pressure)


def test_a_charge_too_low_never_fires_and_says_why(folder: Path) -> None:
    found = pw.open(folder).pump_down(200.0)
    assert found.outcome == "does not fire"
    assert found.fires_at is None
    assert (found.delay, found.firing_voltage, found.firing_pressure) == (None, None, None)
    assert found.next_step
    assert 0.5 < found.failures[0].chance <= 1.0


def test_another_head_is_refused_by_name(tmp_path: Path) -> None:
    bench = pw.open(new_bench(tmp_path / "tidewater", "tidewater"))
    with pytest.raises(BuildError, match="nothing is pumped down") as refused:
        bench.pump_down()
    assert refused.value.findings[0].path == "trigger.method"


def test_the_command_tells_it_and_gives_json(folder: Path) -> None:
    told = CliRunner().invoke(app, ["study", "pump-down", str(folder)])
    assert told.exit_code == 0, told.output
    for words in (
        "breaks the lamps down at",
        "waiting for an electron",
        "What can go wrong",
        "without a human decision",
    ):
        assert words in " ".join(told.output.split())
    plain = CliRunner().invoke(app, ["study", "pump-down", str(folder), "--charge", "200 V", "--json"])
    record = json.loads(plain.output)
    assert record["outcome"] == "does not fire"
    assert record["fires_at"] is None
    assert len(record["time"]) == len(record["breakdown_voltage"])
