"""The study of pulse quality, from Python and as a command, and heat in the record of a shot."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

import pulsewright as pw
from pulsewright.cli import app
from pulsewright.errors import BuildError
from pulsewright.studies.pulse_quality import LIQUIDS, TRIED
from pulsewright.workbench import new_bench


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> pw.Bench:
    return pw.open(new_bench(tmp_path_factory.mktemp("quality") / "tidewater", "tidewater"))


@pytest.mark.slow
def test_the_study_is_of_the_shot(bench: pw.Bench) -> None:
    told: list[tuple[int, int]] = []
    found = bench.pulse_quality(progress=lambda done, of: told.append((done, of)))
    shot = bench.shot(interval=False)
    events = {row.key: row.time for row in found.events}
    assert events["spoilt"] == shot.summary["spoilt_time"].value
    assert events["axis_reached"] == shot.summary["axis_reached"].value
    assert events["lamp_pressure"] is None
    times = [row.time for row in found.events if row.time is not None]
    assert times == sorted(times)
    assert found.index_change.shape == (len(found.time), len(found.radius))
    np.testing.assert_array_equal(found.wavefront_error, shot.arrays["wavefront_error"].values)
    assert told[-1] == (len(TRIED), len(TRIED))
    assert len(found.remedies) == len(TRIED)
    assert len(found.liquids) == len(LIQUIDS) + 1  # ethanol is the bench's own
    figures = {row.key: row.value for row in found.figures}
    parts = (figures["energy_before_spoilt"] or 0.0) + (figures["energy_after_spoilt"] or 0.0)
    assert parts == pytest.approx(figures["output_energy"])


@pytest.mark.slow
def test_less_dye_is_pumped_more_evenly(bench: pw.Bench) -> None:
    found = bench.pulse_quality()
    rows = {row.words: row for row in found.remedies}
    assert abs(rows["half the dye, for more even pumping"].focus) < abs(found.liquids[0].focus)
    assert rows["charge voltage 15 % lower"].error < found.liquids[0].error


@pytest.mark.slow
def test_command(bench: pw.Bench) -> None:
    ran = CliRunner().invoke(app, ["study", "pulse-quality", str(bench.path), "--limit", "0.25"])
    assert ran.exit_code == 0, ran.output
    assert "more than 0.25 waves rms" in " ".join(ran.output.split())
    assert all(len(line) <= 80 for line in ran.output.splitlines())
    ran = CliRunner().invoke(app, ["study", "pulse-quality", str(bench.path), "--json", "--set", "dye.solvent=water"])
    told = json.loads(ran.output)
    assert told["kind"] == "pulse quality"
    assert len(told["index_change"]) == len(told["time"])


@pytest.mark.parametrize("limit", ["0", "-1", "nan", "inf"])
def test_a_limit_that_is_none_is_refused_by_name(bench: pw.Bench, limit: str) -> None:
    ran = CliRunner().invoke(app, ["study", "pulse-quality", str(bench.path), "--limit", limit])
    assert ran.exit_code == 1
    assert "limit: a limit of" in " ".join(ran.output.split())
    with pytest.raises(BuildError):
        bench.pulse_quality(limit=float(limit))


def test_record_of_a_shot(bench: pw.Bench) -> None:
    shot = bench.shot(interval=False)
    time, radius = shot.arrays["heat_time"].values, shot.arrays["heat_radius"].values
    assert shot.arrays["index_change"].values.shape == (len(time), len(radius))
    assert shot.arrays["index_change"].axes == ("heat_time", "heat_radius")
    budget = shot.budgets["heat"]
    assert sum(budget.values()) == pytest.approx(2 * budget["absorbed"])
    assert shot.summary["waiting_time"].value is not None
    assert shot.summary["shock_arrival"].value is None
    assert "coaxial" in shot.summary["shock_arrival"].reason


def findings(shot: object, path: str) -> list[str]:
    return [row.message for row in shot.findings if row.path == path]  # type: ignore[attr-defined]


def test_findings_of_period_and_coolant(bench: pw.Bench) -> None:
    still = bench.shot(overrides=_stagnant(bench), interval=False)
    assert any("to become even again (by conduction)" in words for words in findings(still, "charger.repeat_period"))
    plain = bench.shot(interval=False)
    assert not findings(plain, "charger.repeat_period")
    dye = {"dye.temperature": "20 degC"}
    warm = bench.shot(overrides={**dye, "chamber.coolant_temperature": "21 degC"}, interval=False)
    assert any("warmer than the dye" in words for words in findings(warm, "chamber.coolant_temperature"))
    even = bench.shot(overrides={**dye, "chamber.coolant_temperature": "20 degC"}, interval=False)
    assert not findings(even, "chamber.coolant_temperature")


@pytest.mark.parametrize("concentration", ["2e-5 mol/L", "6e-5 mol/L", "4e-4 mol/L"])
def test_a_beam_that_heat_widens_is_told(bench: pw.Bench, concentration: str) -> None:
    """Told where more than a tenth of the output comes after rays are bent beyond the divergence, and only there."""
    shot = bench.shot(overrides={"dye.concentration": concentration}, interval=False)
    moment = shot.summary["widened_time"].value
    time, power = shot.arrays["gain_time"].values, shot.arrays["output_power"].values
    late = (
        0.0 if moment is None else np.trapezoid(np.where(time > moment, power, 0.0), time) / np.trapezoid(power, time)
    )
    assert abs(late - 0.1) > 0.01, "choose another concentration: this one is too close to tell"
    assert any("bends rays" in words for words in findings(shot, "cell.bore")) == (late > 0.1)


def test_a_small_fill_leaves_warm_dye(tmp_path: Path) -> None:
    bench = pw.open(new_bench(tmp_path / "millpond", "millpond"))
    assert bench.build is not None
    name = next(iter(bench.build.machine.loops))
    words = "leaves part of the warm dye in the cell"
    little = bench.shot(overrides={f"loops.{name}.volume_per_shot": "2 cm^3"}, interval=False)
    assert any(words in told for told in findings(little, "loops"))
    plenty = bench.shot(overrides={f"loops.{name}.volume_per_shot": "20 cm^3"}, interval=False)
    assert not any(words in told for told in findings(plenty, "loops"))


def _stagnant(bench: pw.Bench) -> dict[str, str]:
    assert bench.build is not None
    return {f"loops.{name}.method": "stagnant" for name in bench.build.machine.loops}


def test_a_shot_that_does_not_fire_has_reasons(tmp_path: Path) -> None:
    bench = pw.open(new_bench(tmp_path / "millpond", "millpond"))
    shot = bench.shot(200.0, interval=False)
    assert shot.outcome == "does not fire"
    for key in ("spoilt_time", "waiting_time", "axis_reached", "energy_before_spoilt"):
        assert shot.summary[key].value is None
        assert shot.summary[key].reason
    assert np.all(np.isfinite(shot.arrays["index_change"].values))


@pytest.mark.slow
@pytest.mark.parametrize(("volts", "path"), [("200 V", "trigger.method"), ("3 kV", "resonator")])
def test_a_shot_without_output_says_so(tmp_path: Path, volts: str, path: str) -> None:
    folder = new_bench(tmp_path / "millpond", "millpond")
    ran = CliRunner().invoke(app, ["study", "pulse-quality", str(folder), "--charge", volts, "--json"])
    assert ran.exit_code == 0, ran.output
    told = json.loads(ran.output)
    assert not told["lased"]
    assert [row["path"] for row in told["findings"]][:1] == [path]
    assert all(row["time"] is not None or row["reason"] for row in told["events"])
