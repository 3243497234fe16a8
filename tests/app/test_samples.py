"""Sampled shots and envelopes through the workbench and the command."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

import pulsewright as pw
from pulsewright import cli
from pulsewright.errors import BuildError
from pulsewright.workbench.bench import Bench


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return pw.new_bench(tmp_path_factory.mktemp("benches") / "tidewater")


@pytest.fixture(scope="module")
def bench(folder: Path) -> Bench:
    return pw.open(folder)


def run(*words: str) -> tuple[int, str]:
    result = CliRunner().invoke(cli.app, list(words), prog_name="pulsewright")
    return result.exit_code, result.output


def test_every_shot_names_the_three_inputs_that_dominate(bench: Bench) -> None:
    shot = bench.shot()
    assert len(shot.dominant) == 3
    assert shot.dominant_of == "output energy"
    shares = [share for _, share in shot.dominant]
    assert shares == sorted(shares, reverse=True)
    assert 0.3 < sum(shares) <= 1.0
    assert {path for path, _ in shot.dominant} <= {path for path, _ in shot.sensitivities}
    assert shot.sampling is None
    assert "linear" in shot.provenance.choices["intervals and chances"]
    assert bench.shot(interval=False).dominant == ()


@pytest.mark.slow
def test_where_nothing_lases_the_gain_names_them(bench: Bench) -> None:
    shot = bench.shot(3e3, overrides={"dye.concentration": "1e-6 mol/L"})
    assert shot.outcome == "below threshold"
    assert shot.dominant_of == "round-trip gain"
    assert len(shot.dominant) == 3


@pytest.mark.slow
def test_a_sampled_shot_carries_its_samples(bench: Bench) -> None:
    told: list[tuple[int, int]] = []
    shot = bench.shot(samples=40, seed=7, progress=lambda done, total: told.append((done, total)))
    again = bench.shot(samples=40, seed=7, interval=False)
    other = bench.shot(samples=40, seed=8, interval=False)
    assert told == [(done, 40) for done in range(1, 41)]
    output = shot.summary["output_energy"]
    assert output.span == "90 %, sampled"
    assert output.as_dict()["span"] == "90 %, sampled"
    assert (output.low, output.high) == (again.summary["output_energy"].low, again.summary["output_energy"].high)
    assert output.high != other.summary["output_energy"].high
    assert shot.margins == again.margins
    assert shot.dominant == again.dominant
    sampling = shot.sampling
    assert sampling is not None
    assert (sampling.count, sampling.seed, sampling.failed) == (40, 7, 0)
    assert sampling.linear is not None
    assert again.sampling is not None
    assert again.sampling.linear is None
    assert 0.5 < sampling.lasing_share <= 1.0
    energies = shot.arrays["sampled_output_energy"]
    assert energies.axes == ("sample",)
    assert (output.low, output.high) == pytest.approx(tuple(np.quantile(energies.values, [0.05, 0.95])))
    for key in ("charge_voltage", "stored_energy", "peak_current", "pulse_width", "wavelength", "absorbed_pump_energy"):
        row = shot.summary[key]
        assert row.span == "90 %, sampled", key
        assert row.low is not None
        assert row.high is not None
        assert row.value is not None
        assert row.low < row.high
    assert shot.summary["lamp_life"].span == "published"
    words = shot.provenance.choices["intervals and chances"]
    assert "40 samples" in words
    assert "seed 7" in words
    assert "Latin hypercube" in words
    assert shot.provenance.counters["samples"] == 40


@pytest.mark.slow
def test_a_sampled_envelope_keeps_curves_and_stops_together(bench: Bench) -> None:
    plain = bench.envelope(start=6e3, points=6)
    found = bench.envelope(start=6e3, points=6, samples=24, seed=2)
    assert np.array_equal(found.arrays["output_energy"].values, plain.arrays["output_energy"].values)
    assert found.threshold_voltage == plain.threshold_voltage
    low, high = found.arrays["output_energy_low"].values, found.arrays["output_energy_high"].values
    assert np.all(low <= high)
    lasing = found.arrays["lasing_share"].values
    assert np.all(np.diff(lasing) >= 0)
    assert 0.0 < lasing[-1] <= 1.0
    assert not np.array_equal(high, plain.arrays["output_energy_high"].values)
    sampling = found.sampling
    assert sampling is not None
    assert sampling.threshold.low < plain.threshold_voltage < sampling.threshold.high
    assert sampling.highest.low < sampling.highest.high <= found.arrays["charge_voltage"].values[-1]
    assert {(row.item, row.stress) for row in sampling.stops} >= {
        (stop.item, stop.stress) for stop in found.stops if stop.voltage < 11e3
    }
    columns = {key: found.arrays["probability"].values[:, place] for place, key in enumerate(found.items)}
    for row in sampling.stops:
        assert 0 < row.probability <= 1
        assert row.low <= row.high
        # whoever met it inside the range is over it at the top, unless the ratio falls again
        assert columns[f"{row.item}: {row.stress}"][-1] <= row.probability + 1e-9
    again = bench.envelope(start=6e3, points=6, samples=24, seed=2)
    assert np.array_equal(again.arrays["output_energy_high"].values, high)
    assert again.sampling == sampling
    body = found.as_dict()
    assert body["sampling"]["seed"] == 2
    assert "lasing_share" in body["points"][0]


@pytest.mark.parametrize(("samples", "seed"), [(1, 0), (-3, 0), (10**9, 0), (100, -1), (0, 5)])
def test_what_is_no_number_of_samples_is_refused_before_anything_is_computed(
    bench: Bench, samples: int, seed: int
) -> None:
    for verb in (bench.shot, bench.envelope):
        with pytest.raises(BuildError) as caught:
            verb(samples=samples, seed=seed)
        for finding in caught.value.findings:
            assert finding.path in ("samples", "seed")
            assert finding.allowed
            assert finding.next_step


@pytest.mark.slow
def test_the_work_can_be_stopped(bench: Bench) -> None:
    class StopError(Exception):
        pass

    def stop(done: int, total: int) -> None:
        if total == 400 and done == 5:
            raise StopError

    with pytest.raises(StopError):
        bench.shot(samples=400, progress=stop)


@pytest.mark.slow
def test_the_command_samples(folder: Path) -> None:
    code, printed = run("shot", str(folder), "--samples", "30", "--seed", "4", "--charge", "11 kV")
    assert code == 1  # limits are exceeded
    assert "sampled: " in printed
    assert "30 samples (Latin hypercube, seed 4" in " ".join(printed.split())
    assert "most of the variance of the output energy" in " ".join(printed.split())
    code, printed = run("shot", str(folder), "--samples", "30", "--seed", "4", "--json", "--no-interval")
    body = json.loads(printed)
    assert body["sampling"]["count"] == 30
    assert len(body["dominant"]) == 3
    assert body["summary"]["output_energy"]["span"] == "90 %, sampled"
    code, printed = run("envelope", str(folder), "--samples", "20", "--points", "5", "--from", "7 kV")
    assert "By samples" in printed
    assert "highest voltage within limits, 90 %" in printed
    code, printed = run("envelope", str(folder), "--samples", "20", "--points", "5", "--from", "7 kV", "--json")
    assert json.loads(printed)["sampling"]["count"] == 20


@pytest.mark.parametrize("verb", ["shot", "envelope"])
@pytest.mark.parametrize(
    ("words", "code", "said"),
    [
        (("--samples", "0"), 2, "asks for no sample"),
        (("--samples", "many"), 2, "not a valid integer"),
        (("--seed", "3"), 2, "goes with --samples"),
        (("--samples", "7"), 1, "20 to"),
        (("--samples", "-7"), 1, "20 to"),
        (("--samples", "100000000"), 1, "samples or fewer"),
        (("--samples", "50", "--seed", "-2"), 1, "seed"),
    ],
)
def test_the_command_refuses_what_gives_no_interval(
    folder: Path, verb: str, words: tuple[str, ...], code: int, said: str
) -> None:
    ended, printed = run(verb, str(folder), *words)
    assert ended == code
    assert said in " ".join(printed.split())
