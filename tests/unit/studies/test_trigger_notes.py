"""What a shot says of its trigger."""

from __future__ import annotations

from pathlib import Path

import pytest

import pulsewright as pw
from pulsewright.engine import lamp_circuit
from pulsewright.engine.chain import Chain
from pulsewright.engine.inputs import inputs_of
from pulsewright.errors import DomainError
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
    first = {"capacitance": "100 nF", "voltage": "9 kV", "inductance": "2 uH", "delay": "20 us"}
    small = build.override({"trigger.method": "pre-pulse", **{f"trigger.prepulse_{k}": v for k, v in first.items()}})
    told = [row.message for row in trigger_findings(Chain().run(inputs_of(small)))]
    assert any("all lamps in series" in message for message in told)


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


def test_lamps_of_another_gas_are_not_silently_taken_as_the_first() -> None:
    build = load_text(bench_text("tidewater")).build
    assert build is not None
    other = build.override({"lamps.west.gas": "argon"})
    told = {row.path: row for row in trigger_findings(Chain().run(inputs_of(other)))}
    assert "lamps.west.gas" in told
    assert "lamp west holds argon" in told["lamps.west.gas"].message


@pytest.mark.parametrize(("lamps", "words"), [((), "continuum only"), (("east",), "where they are added")])
def test_a_shot_names_the_light_that_it_counts(lamps: tuple[str, ...], words: str, tmp_path: Path) -> None:
    pw.new_bench(tmp_path / "bench", "tidewater")
    changes = {f"lamps.{name}.near_infrared_lines": "added" for name in lamps}
    shot = pw.open(tmp_path / "bench").shot(overrides=changes, interval=False)
    assert shot.provenance.choices["radiating column"].endswith(words)


def test_a_shot_names_the_start_that_it_took(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Where no steady arc is found the channel of the build file stands in, and the record says so."""
    pw.new_bench(tmp_path / "bench", "tidewater")
    simmered = {"trigger.method": "simmer", "trigger.simmer_current": "100 mA"}
    bench = pw.open(tmp_path / "bench")
    assert (
        bench.shot(overrides=simmered, interval=False).provenance.choices["start of the arc"].startswith("steady arc")
    )

    def none_found(*_: object) -> None:
        raise DomainError("no steady arc", argument="current", allowed="", next_step="")

    monkeypatch.setattr(lamp_circuit, "steady_arc", none_found)
    bench = pw.open(tmp_path / "bench")
    shot = bench.shot(overrides={**simmered, "trigger.simmer_current": "101 mA"}, interval=False)
    assert "no steady arc" in shot.provenance.choices["start of the arc"]
