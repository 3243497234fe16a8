"""Seeded sampling: what is drawn, what follows, and what is refused."""

from __future__ import annotations

from collections.abc import Sequence
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from pulsewright import machine
from pulsewright.engine.chain import Chain
from pulsewright.engine.inputs import Inputs, Uncertain, inputs_of, uncertain_inputs
from pulsewright.errors import BuildError, DomainError
from pulsewright.studies import sampling, sensitivity
from pulsewright.studies.sampling import (
    LEAST,
    MOST,
    Samples,
    chance,
    check_samples,
    in_pairs,
    latin_hypercube,
    sample_shots,
    sampled_findings,
)


def tidewater(**changes: str) -> Inputs:
    build = machine.load_text(machine.bench_text("tidewater")).build
    assert build is not None
    changed = {path.replace("__", "."): text for path, text in changes.items()}
    return inputs_of(build.override(changed) if changed else build)


def found_in(energy: Sequence[float], **more: object) -> Samples:
    energy = np.asarray(energy, dtype=float)
    rows = {
        "seed": 0,
        "count": len(energy),
        "failed": 0,
        "paths": ("a",),
        "unit": latin_hypercube(["a"], len(energy), 0),
        "energy": energy,
        "net_gain": np.where(energy > 0, 1.0, -1.0),
        "numbers": {"output_energy": energy},
        "ratios": {},
        "resolution": "4 shells, 36 bins",
    }
    return Samples(**{**rows, **more})  # type: ignore[arg-type]


def test_each_column_has_one_sample_in_every_part() -> None:
    drawn = latin_hypercube(["one", "two"], 37, 5)
    for column in drawn.T:
        assert sorted((column * 37).astype(int)) == list(range(37))
    assert not np.allclose(drawn[:, 0], drawn[:, 1])
    assert abs(np.corrcoef(latin_hypercube(["one", "two"], 2000, 5).T)[0, 1]) < 0.07


def test_a_column_depends_on_its_name_seed_and_count_alone() -> None:
    assert np.array_equal(latin_hypercube(["a", "b"], 50, 1)[:, 1], latin_hypercube(["b", "c", "d"], 50, 1)[:, 0])
    assert not np.array_equal(latin_hypercube(["a"], 50, 1), latin_hypercube(["a"], 50, 2))


@pytest.mark.parametrize(
    ("item", "reference"),
    [
        (Uncertain("x", 3.0, 0.5, 0.5), stats.norm(3.0, 0.5)),
        (Uncertain("x", 3.0, 0.5, 0.5, least=2.5, most=4.0), stats.truncnorm(-1.0, 2.0, 3.0, 0.5)),
        (Uncertain("x", 3.0, 0.5, 0.5, "uniform"), stats.uniform(3.0 - 0.5 * 3**0.5, 3**0.5)),
        (Uncertain("x", 3.0, 3.0 - 1.5, 3.0, "log-normal"), stats.lognorm(np.log(2.0), scale=3.0)),
    ],
)
def test_values_are_drawn_from_the_distribution_that_is_named(item: Uncertain, reference: stats.rv_continuous) -> None:
    unit = np.linspace(0.001, 0.999, 201)
    assert item.quantile(unit) == pytest.approx(reference.ppf(unit), rel=1e-9)


def test_unequal_halves_keep_median_and_ends() -> None:
    """The ends of the published 90 % interval of a coefficient are what 5 and 95 % of the samples pass."""
    item = next(row for row in uncertain_inputs(tidewater()) if row.path == "reference.xenon.biberman_factor")
    low, middle, high = item.quantile(np.array([0.05, 0.5, 0.95]))
    assert item.up == pytest.approx(2 * item.down)
    assert (low, middle, high) == pytest.approx((1.0, 1.5, 2.5), rel=1e-3)


@given(
    value=st.floats(1e-3, 10.0),
    down=st.floats(0.0, 2.0),
    up=st.floats(0.0, 2.0),
    kind=st.sampled_from(["normal", "uniform", "log-normal"]),
)
def test_drawn_values_stay_inside_and_rise(value: float, down: float, up: float, kind: str) -> None:
    least, most = 0.05 * value, 1.5 * value
    item = Uncertain("x", value, min(down, 0.9) * value, min(up, 0.5) * value, kind, least, most)
    drawn = item.quantile(np.linspace(1e-9, 1 - 1e-9, 99))
    assert np.all(np.isfinite(drawn))
    assert np.all(np.diff(drawn) >= 0)
    assert np.all((drawn >= least * (1 - 1e-9)) & (drawn <= most * (1 + 1e-9)))


def test_entries_are_cut_at_what_they_may_be() -> None:
    found = {row.path: row for row in uncertain_inputs(tidewater(optics__rear__reflectivity__spread="0.4"))}
    mirror = found["optics.rear.reflectivity"]
    assert 0.99 < mirror.most < 1.0
    assert found["charger.power_factor"].least > 0
    drawn = mirror.quantile(latin_hypercube(["m"], 1000, 0)[:, 0])
    assert np.all((drawn > 0) & (drawn < 1))


def test_the_spread_of_the_charge_voltage_lies_about_the_voltage_of_the_shot() -> None:
    build = tidewater().build
    item = next(row for row in uncertain_inputs(inputs_of(build, 7e3)) if row.path == "bank.charge_voltage")
    assert item.value == 7e3


@pytest.mark.parametrize("samples", [0, 1, LEAST - 1, -5, MOST + 1, 10**12])
def test_numbers_of_samples_that_give_nothing_are_refused(samples: int) -> None:
    with pytest.raises(BuildError) as caught:
        check_samples(samples, 0)
    finding = caught.value.findings[0]
    assert finding.path == "samples"
    assert str(samples) in finding.message
    assert finding.allowed
    assert finding.next_step


@pytest.mark.parametrize("seed", [-1, 2**63, -(10**30)])
def test_seeds_that_are_none_are_refused(seed: int) -> None:
    with pytest.raises(BuildError) as caught:
        check_samples(100, seed)
    assert [finding.path for finding in caught.value.findings] == ["seed"]


def test_a_chance_is_counted_or_carried_on_by_the_log_normal() -> None:
    deviates = stats.norm.ppf(latin_hypercube(["r"], 2000, 0)[:, 0])
    assert chance(np.exp(0.2 * deviates), 0.0) == pytest.approx(0.5, abs=0.01)
    rare = chance(np.exp(-0.8 + 0.2 * deviates), 0.0)
    assert rare == pytest.approx(stats.norm.sf(4.0), rel=0.05)
    assert chance(np.full(100, 0.5), 0.0) == 0.0
    assert chance(np.full(100, 1.5), 0.0) == 1.0
    assert chance(np.zeros(100), 0.3) == 0.0
    half = np.concatenate([np.zeros(50), np.full(50, 2.0)])
    assert chance(half, 0.0) == pytest.approx(0.5)


def test_the_spread_of_a_limit_counts_as_in_the_formula_for_two_log_normals() -> None:
    deviates = stats.norm.ppf(latin_hypercube(["r"], 4000, 0)[:, 0])
    spread = float(np.sinh(1.6448536 * 0.3))
    found = chance(0.7 * np.exp(0.4 * deviates), spread)
    assert found == pytest.approx(stats.norm.cdf(np.log(0.7) / 0.5), abs=0.005)


def test_an_interval_needs_enough_samples_that_have_the_number() -> None:
    width = np.full(100, np.nan)
    width[: LEAST - 1] = np.linspace(1.0, 2.0, LEAST - 1)
    few = found_in(np.ones(100), numbers={"pulse_width": width, "output_energy": np.linspace(0, 1, 100)})
    assert few.interval("pulse_width") is None
    assert few.interval("output_energy") == pytest.approx((0.05, 0.95), abs=0.01)
    assert few.interval("no_such_number") is None


def test_dominant_inputs_of_what_never_lases_are_those_of_its_gain() -> None:
    dark = found_in(np.zeros(100))
    dark = found_in(np.zeros(100), net_gain=-dark.unit[:, 0])
    words, rows = dark.dominant()
    assert words == "round-trip gain"
    assert [path for path, _ in rows] == ["a"]
    assert found_in(np.zeros(100), net_gain=np.full(100, -1.0)).dominant() == ("", ())


def test_failures_and_a_linear_interval_that_is_another_are_told() -> None:
    samples = found_in(np.linspace(0.0, 1.0, 100), failed=3)
    assert [row.grade for row in sampled_findings(samples, None)] == ["warning"]
    assert sampled_findings(found_in(np.linspace(0.0, 1.0, 100)), (0.06, 0.94)) == []
    told = sampled_findings(found_in(np.linspace(0.0, 1.0, 100)), (0.0, 2.0))
    assert [row.path for row in told] == ["output_energy"]


def test_work_in_pairs_keeps_its_order_and_ends_when_progress_raises() -> None:
    told: list[int] = []
    assert in_pairs(lambda row: row * row, range(30), lambda done, _: told.append(done)) == [n * n for n in range(30)]
    assert told == list(range(1, 31))
    ran: list[int] = []

    class StopError(Exception):
        pass

    def stop(done: int, _total: int) -> None:
        if done == 3:
            raise StopError

    with pytest.raises(StopError):
        in_pairs(lambda row: ran.append(row) or row, range(10_000), stop)
    assert len(ran) < 10_000


@pytest.mark.slow
def test_samples_that_cannot_be_computed_are_counted_and_left_out(monkeypatch: pytest.MonkeyPatch) -> None:
    true, seen = Chain.run, []

    def faulty(chain: Chain, inputs: Inputs) -> object:
        if inputs.tables is not None:
            seen.append(1)
            if len(seen) % 5 == 0:
                raise DomainError("no such plasma", argument="number_density", allowed="", next_step="")
        return true(chain, inputs)

    monkeypatch.setattr(Chain, "run", faulty)
    found = sample_shots(tidewater(), Chain(), 30)
    assert found.failed == 6
    assert len(found.energy) == 24
    assert len(found.unit) == 24
    monkeypatch.setattr(sampling, "_sample", lambda _inputs: None)
    with pytest.raises(BuildError, match="0 of 30 samples"):
        sample_shots(tidewater(), Chain(), 30)


@pytest.mark.slow
def test_on_a_straight_line_the_samples_agree_with_the_linear_interval(monkeypatch: pytest.MonkeyPatch) -> None:
    """Far above threshold, inputs with small spreads: output goes in a straight line with each."""
    inputs = tidewater(bank__charge_voltage="11.5 kV")
    wanted = {"bank.capacitance", "bank.charge_voltage", "resonator.loss_per_pass", "cell.pumped_length"}
    rows = tuple(row for row in uncertain_inputs(inputs) if row.path in wanted)
    for module in (sampling, sensitivity):
        monkeypatch.setattr(module, "uncertain_inputs", lambda _inputs: rows)
    chain = Chain()
    energy = chain.run(inputs).gain.output_energy
    linear = sensitivity.sensitivities(inputs, chain)
    sampled = sample_shots(inputs, chain, 200)
    low, high = linear.interval(energy)
    ends = sampled.interval("output_energy")
    assert ends is not None
    assert ends[0] == pytest.approx(low, abs=0.08 * (high - low))
    assert ends[1] == pytest.approx(high, abs=0.08 * (high - low))
    shares, others = dict(sampled.dominant()[1]), dict(linear.dominant()[1])
    assert list(shares) == list(others)
    assert list(shares.values()) == pytest.approx(list(others.values()), abs=0.08)


@pytest.mark.slow
def test_more_samples_converge_and_the_same_seed_gives_the_same() -> None:
    inputs, chain = tidewater(), Chain()
    small, again, large = (sample_shots(inputs, chain, count, 3) for count in (60, 60, 240))
    assert np.array_equal(small.energy, again.energy)
    assert small.dominant() == again.dominant()
    reference = sample_shots(inputs, chain, 960, 4)

    def off(found: Samples) -> float:
        return abs(float(found.energy.mean()) / float(reference.energy.mean()) - 1)

    assert off(large) < 0.15
    ends, others = large.interval("output_energy"), reference.interval("output_energy")
    assert ends is not None
    assert others is not None
    assert ends[1] == pytest.approx(others[1], rel=0.2)


@pytest.mark.slow
@pytest.mark.parametrize("bench", ["tidewater", "millpond", "longwave"])
def test_the_interval_holds_the_value(bench: str) -> None:
    build = machine.load_text(machine.bench_text(bench)).build
    assert build is not None
    inputs, chain = inputs_of(build), Chain()
    found = sample_shots(inputs, chain, 60)
    ends = found.interval("output_energy")
    assert ends is not None
    assert ends[0] <= chain.run(inputs).gain.output_energy <= ends[1]


@pytest.mark.slow
def test_a_wider_spread_widens_the_interval() -> None:
    widths = []
    for spread in ("0.1 uF", "0.8 uF", "1.6 uF"):
        inputs = tidewater(bank__capacitance__spread=spread, bank__charge_voltage="11.5 kV")
        found = sample_shots(inputs, Chain(), 60).interval("stored_energy")
        assert found is not None
        widths.append(found[1] - found[0])
    assert widths == sorted(widths)
    assert widths[-1] > 3 * widths[0]


def test_stresses_are_judged_against_the_limit_in_its_middle() -> None:
    """The same stress of 5 against drawn limits of 8, 10 and 12 is half of the 10 in the middle each time."""
    limits = np.array([8.0, 10.0, 12.0])
    plan: Any = SimpleNamespace(column=lambda path: limits / 10.0 if path == "optics.rear.limit" else None)
    middle: Any = SimpleNamespace(stresses=[SimpleNamespace(key="rear", limit_entry="optics.rear.limit")])
    drawn: Any = [SimpleNamespace(ratios={"rear": 5.0 / limit}) for limit in limits]
    found = sampling._ratios(plan, middle, [0, 1, 2], drawn)
    np.testing.assert_allclose(found["rear"], 0.5, rtol=1e-12)
