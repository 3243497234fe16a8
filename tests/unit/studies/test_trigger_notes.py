"""What a shot says of its trigger."""

from __future__ import annotations

from pathlib import Path

import pytest

import pulsewright as pw
from pulsewright.engine.chain import Chain
from pulsewright.engine.inputs import inputs_of
from pulsewright.machine import bench_text, load_text
from pulsewright.studies.trigger_notes import trigger_findings, trigger_outcome, trigger_summary

BRANCHES = """
[branches.east]
inductance = "1.5 uH"
resistance = "30 mohm"

[branches.west]
inductance = "1.5 uH"
resistance = "30 mohm"
delay = "1 us"
"""


def test_loops_of_their_own_close_apart() -> None:
    text = bench_text("tidewater").replace('lamps_connected = "series"', 'lamps_connected = "separate loops"')
    build = load_text(text + BRANCHES).build
    assert build is not None
    stages = Chain().run(inputs_of(build))
    told = [row.message for row in trigger_findings(stages)]
    assert len(told) == 1
    assert stages.trigger.jitter is not None
    assert f"{stages.trigger.jitter * 2**0.5 * 1e9:.2f} ns" in told[0]


def test_a_shot_as_meant_has_figures_and_nothing_to_tell() -> None:
    build = load_text(bench_text("tidewater")).build
    assert build is not None
    stages = Chain().run(inputs_of(build))
    assert trigger_outcome(stages) is None
    assert list(trigger_findings(stages)) == []
    rows = trigger_summary(stages)
    assert rows["firing_voltage"].value == stages.inputs.charge_voltage
    for key in ("trigger_delay", "trigger_jitter"):
        value = rows[key]
        assert value.value is not None
        assert value.low is not None
        assert value.high is not None
        assert value.low < value.value < value.high


def test_figures_that_do_not_exist_say_why(tmp_path: Path) -> None:
    pw.new_bench(tmp_path / "bench", "tidewater")
    shot = pw.open(tmp_path / "bench").shot(
        overrides={"trigger.method": "overvoltage gap", "switch.kind": "overvoltage gap"}, interval=False
    )
    for key in ("trigger_delay", "trigger_jitter"):
        assert shot.summary[key].value is None
        assert "no chosen moment" in shot.summary[key].reason


@pytest.mark.parametrize("second", ["neon", "krypton"])
def test_breakdown_of_a_mixed_fill_is_told(second: str) -> None:
    text = bench_text("tidewater").replace(
        'gas = "xenon"', f'gas = "xenon"\nsecond_gas = "{second}"\nsecond_gas_fraction = 0.1'
    )
    build = load_text(text).build
    assert build is not None
    stages = Chain().run(inputs_of(build))
    told = [row for row in trigger_findings(stages) if row.path.endswith("second_gas")]
    assert len(told) == len(build.machine.lamps)
