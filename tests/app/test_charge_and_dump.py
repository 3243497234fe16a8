"""The study of charge and dump: its timeline, figures and rules, by the workbench and by the command."""

from __future__ import annotations

import json
import math
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

from pulsewright import cli, machine
from pulsewright.cli.verb import to_json
from pulsewright.engine.chain import Chain
from pulsewright.studies.charge_and_dump import HOLD, ChargeAndDump, charge_and_dump
from pulsewright.studies.envelope import compute_envelope
from pulsewright.workbench import new_bench, open_bench

#: The demo bench without divider, wall line and repeat period.
BARE = {
    f"{section}__{key}": "unknown"
    for section, keys in {
        "bank": ("bleeder_power_rating",),
        "charger": ("repeat_period", "line_voltage", "fuse_rating"),
        "meter": (
            "upper_resistance",
            "lower_resistance",
            "input_resistance",
            "upper_voltage_rating",
            "upper_power_rating",
        ),
        "loop": ("earth_inductance",),
    }.items()
    for key in keys
} | {"meter__supply": "not stated"}


def study(name: str = "tidewater", volts: float | None = None, **changes: str) -> ChargeAndDump:
    loaded = machine.load_text(machine.bench_text(name), "laser.toml").build
    assert loaded is not None
    changes = {**(BARE if name == "tidewater" else {}), **changes}
    build = loaded.override({path.replace("__", "."): text for path, text in changes.items()})
    return charge_and_dump(build, volts)


def figure(found: ChargeAndDump, key: str) -> float | None:
    (row,) = [row for row in found.figures if row.key == key]
    return row.value


@pytest.mark.parametrize("name", machine.BENCHES)
def test_timeline_of_every_bench(name: str) -> None:
    found = study(name)
    assert np.all(np.diff(found.time) >= 0)
    assert found.voltage.shape == found.bleeder_voltage.shape == found.time.shape
    assert [phase.name for phase in found.phases] == ["charge", "hold", "dump", "bleeder"]
    for before, after in zip(found.phases, found.phases[1:], strict=False):
        assert before.stop == after.start
    assert np.isfinite(found.bleeder_voltage).all()
    dump = found.phases[2]
    known = found.time <= dump.stop
    assert np.isfinite(found.voltage[known]).all()
    assert np.isnan(found.voltage[~known]).all()  # what follows a dump is known by measurement only
    assert (~known).any()
    assert [event.time for event in found.events] == sorted(event.time for event in found.events)
    for event in found.events:
        assert event.energy == pytest.approx(0.5 * _capacitance(name) * event.voltage**2)


def _capacitance(name: str) -> float:
    build = machine.load_text(machine.bench_text(name), "laser.toml").build
    assert build is not None
    return build.machine.bank.capacitance


def test_demo_against_exponentials() -> None:
    found = study()
    held = 9.5e3 * math.exp(-HOLD / 80.0)
    drain = 1 / (1 / 2e3 + 1 / 20e6)
    by_words = {(event.way, round(event.voltage)): event.time for event in found.events}
    begun = found.phases[2].start
    assert by_words["dump", 50] - begun == pytest.approx(drain * 4e-6 * math.log(held / 50))
    assert by_words["bleeder", 50] - begun == pytest.approx(80.0 * math.log(held / 50))
    assert figure(found, "held_voltage") == pytest.approx(held)
    assert figure(found, "dump_power") == pytest.approx(9.5e3**2 / 2e3)
    assert figure(found, "highest_rate") == pytest.approx(1 / figure(found, "charge_time"))
    half = next(event for event in found.events if "quarter of the energy" in event.words)
    assert half.voltage == pytest.approx(4.75e3)
    assert half.energy == pytest.approx(180.5 / 4)


def test_charge_that_never_gets_there_is_shown_and_told() -> None:
    found = study(charger__method="resistor", charger__resistance="6 Mohm")
    assert figure(found, "charge_time") is None
    assert found.phases[0].words.endswith("never reaches 9.50 kV")
    assert max(found.voltage[np.isfinite(found.voltage)]) == pytest.approx(0.999 * 12e3 * 20 / 26)
    (limit,) = [row for row in found.findings if row.grade == "limit"]
    assert limit.path == "charger.resistance"
    assert json.loads(json.dumps(_finite(found.as_dict())))


def _finite(value: object) -> object:
    """The same with NaN as None; anything infinite fails."""
    if isinstance(value, dict):
        return {key: _finite(inner) for key, inner in value.items()}
    if isinstance(value, list):
        return [_finite(inner) for inner in value]
    assert not (isinstance(value, float) and math.isinf(value))
    return None if isinstance(value, float) and math.isnan(value) else value


def test_without_dump_or_bleeder() -> None:
    bare = study(dump__resistance="unknown", dump__volume="unknown")
    assert [phase.name for phase in bare.phases] == ["charge", "hold", "bleeder"]
    assert np.isfinite(bare.voltage).all()
    held = study(bank__bleeder_resistance="unknown", dump__resistance="unknown", dump__volume="unknown")
    assert [phase.name for phase in held.phases] == ["charge", "hold"]
    assert held.voltage[-1] == pytest.approx(9.5e3)
    assert {row.kept for row in held.rules if "2893" in row.rule} == {None}


def test_rules_and_bodies() -> None:
    rules = {row.rule.split(",")[0].split(" (")[0]: row for row in study().rules}
    assert rules["IEC 60204-1"].kept
    assert not rules["NEC 460.6"].applies
    slow = {row.rule: row for row in study(dump__resistance="245 kohm").rules}
    assert slow["IEC 60204-1, clause 6.2.4"].kept is False
    assert slow["California Title 8, section 2893"].kept
    low = {row.rule: row for row in study(bank__voltage_rating="900 V", bank__charge_voltage="800 V").rules}
    assert low["NEC 460.6"].applies
    bodies = study(dump__duty="continuous").ratings
    assert [body.volume * 1e6 for body in bodies] == pytest.approx([20, 0.4, 1.0, 1.3, 2.2])
    assert [body.energy_rating for body in bodies[1:]] == pytest.approx([100, 250, 325, 550])
    assert [body.needed for body in bodies] == [1, 3, 2, 1, 1]  # 288 J at 12 kV
    assert bodies[2].temperature_rise == pytest.approx(72.0)


def test_intervals_come_from_the_spreads() -> None:
    found = {row.key: row for row in study().figures}
    stored = found["stored_energy"]
    assert stored.low is not None
    assert stored.high is not None
    assert (stored.high - stored.low) / 2 / 180.5 == pytest.approx(math.hypot(0.05, 2 * 50 / 9500), rel=1e-3)
    assert found["line_energy"].low < found["line_energy"].value < found["line_energy"].high
    assert found["settled_voltage"].low is None


def test_a_margin_that_is_used_up_is_a_limit() -> None:
    found = study(charger__repeat_period="2 s")
    assert [row.path for row in found.findings if row.grade == "limit"] == ["charger"]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return new_bench(tmp_path / "bench", "tidewater")


def run(*words: str) -> tuple[int, str]:
    found = CliRunner().invoke(cli.app, list(words), prog_name="pulsewright")
    return found.exit_code, found.output


def test_workbench_takes_voltage_and_overrides_and_writes_nothing(folder: Path) -> None:
    before = (folder / "laser.toml").read_bytes()
    found = open_bench(folder).charge_and_dump(8e3, {"dump.resistance": "4 kohm"})
    assert found.start["charge_voltage"] == 8e3
    assert figure(found, "dump_power") == pytest.approx(8e3**2 / 4e3)
    assert (folder / "laser.toml").read_bytes() == before


def test_a_bench_whose_shot_is_not_computed_is_studied_all_the_same(tmp_path: Path) -> None:
    for name in machine.BENCHES:
        assert open_bench(new_bench(tmp_path / name, name)).charge_and_dump().events


def test_command(folder: Path) -> None:
    code, words = run("study", "charge", str(folder))
    assert code == 0
    for said in ("half of that voltage: a quarter of the energy", "What rules ask", "none is a rule for access"):
        assert said in " ".join(words.split())
    code, words = run("study", "charge", str(folder), "--lists")
    assert code == 0
    assert "Never replaced by a computed voltage" in words
    code, words = run("study", "charge", str(folder), "--json", "--charge", "8 kV")
    assert code == 0
    record = json.loads(words)
    assert record["start"]["charge_voltage"] == 8e3
    assert record["voltage"][-1] is None
    assert len(record["time"]) == len(record["bleeder_voltage"])


def test_command_ends_with_1_where_a_limit_is_exceeded(folder: Path) -> None:
    code, _ = run("study", "charge", str(folder), "--set", "charger.repeat_period=2 s")
    assert code == 1
    code, words = run("study", "charge", str(folder), "--set", "charger.current=1 V")
    assert code == 1
    assert "Traceback" not in words


def test_after_a_shot_the_bank_counts_as_charged(folder: Path) -> None:
    bench = open_bench(folder)
    shot = bench.shot(interval=False)
    found = bench.charge_and_dump(shot=shot)
    left = abs(shot.arrays["bank_voltage"].values[-1])
    assert figure(found, "residual_voltage") == pytest.approx(left)
    (row,) = [row for row in found.figures if row.key == "residual_voltage"]
    assert row.next_step == "Treat the bank as charged after every shot"
    time, current = shot.arrays["time"].values, shot.arrays["current"].values
    slopes = np.abs(np.diff(current) / np.diff(time))[current[1:] != 0.0]
    # between two points of the waveform it is flatter than at its steepest instant
    assert figure(found, "current_slope") > np.max(slopes)
    assert figure(found, "current_slope") == pytest.approx(shot.summary["steepest_rise"].value)
    assert figure(found, "current_slope") < 9.5e3 / 1.5e-6  # V / L


@pytest.mark.slow
def test_envelope_knows_what_charges_drains_and_reads_the_bank() -> None:
    loaded = machine.load_text(machine.bench_text("tidewater"), "laser.toml").build
    assert loaded is not None
    build = loaded.override({"meter.upper_voltage_rating": "10 kV", "bank.bleeder_power_rating": "5.5 W"})
    found = compute_envelope(build, Chain(), 9e3, 11e3, 3)
    volts = {(stop.item, stop.stress): stop.voltage for stop in found.stops}
    lower = 1 / (1 / 100e3 + 1 / 10e6)
    assert volts["meter", "voltage on the upper arm"] == pytest.approx(10e3 * (1e9 + lower) / 1e9, rel=2e-3)
    assert volts["bank", "standing power of the bleeder"] == pytest.approx(math.sqrt(5.5 * 20e6), rel=2e-3)
    assert "dump: energy of one dump" in found.items


@pytest.mark.slow
def test_envelope_stops_where_the_charge_never_ends() -> None:
    loaded = machine.load_text(machine.bench_text("tidewater"), "laser.toml").build
    assert loaded is not None
    changes = {
        "charger.method": "resistor",
        "charger.resistance": "100 kohm",
        "charger.resistor_energy_rating": "400 J",
        "charger.repeat_period": "2 s",
    }
    found = compute_envelope(loaded.override(changes), Chain(), 9e3, 12e3, 3)
    column = found.items.index("charger: charge time against the repeat period")
    ratio = found.arrays["ratio"].values[:, column]
    assert ratio[0] < 1
    assert math.isinf(ratio[-1])
    assert found.arrays["probability"].values[-1, column] == 1.0
    (stop,) = [stop for stop in found.stops if stop.stress == "charge time against the repeat period"]
    # 2 s are five time constants of 0.4 s, and bleeder and divider take their part
    drain = 1 / (1 / 20e6 + 1 / (1e9 + 1 / (1 / 100e3 + 1 / 10e6)))
    kept = drain / (drain + 100e3)
    assert stop.voltage == pytest.approx(12e3 * kept * (1 - math.exp(-2 / (0.4 * kept))), rel=2e-3)
    assert json.loads(to_json(found.as_dict()))["ratios"][-1][column] is None
