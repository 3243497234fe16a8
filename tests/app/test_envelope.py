"""The envelope, its threshold and its awkward cases, through the workbench."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest

import pulsewright as pw
from pulsewright.errors import BuildError
from pulsewright.workbench.bench import Bench


@pytest.fixture(scope="module")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Bench:
    return pw.open(pw.new_bench(tmp_path_factory.mktemp("benches") / "tidewater"))


@pytest.mark.slow
def test_threshold_separates_dark_from_lasing(bench: Bench) -> None:
    envelope = bench.envelope(points=9)
    threshold = envelope.threshold_voltage
    assert threshold is not None
    assert bench.shot(0.998 * threshold, interval=False).outcome == "below threshold"
    assert bench.shot(1.002 * threshold, interval=False).outcome == "lased"


@pytest.mark.slow
def test_threshold_below_the_range_is_found(bench: Bench) -> None:
    inside = bench.envelope(points=9).threshold_voltage
    above = bench.envelope(start=9e3, stop=12e3, points=3)
    assert inside is not None
    assert above.threshold_voltage == pytest.approx(inside, rel=1e-3)
    assert "below the range" in above.threshold_reason


@pytest.mark.slow
def test_highest_voltage_is_where_the_limiting_item_reaches_its_limit(bench: Bench) -> None:
    envelope = bench.envelope(points=30)
    stop = envelope.limiting_item
    assert stop is not None
    assert envelope.highest_voltage_within_limits == stop.voltage
    assert stop.source
    shot = bench.shot(stop.voltage, interval=False)
    ratios = {(row.item, row.stress): row.ratio for row in shot.margins}
    assert ratios[stop.item, stop.stress] == pytest.approx(1.0, abs=0.01)
    assert max(ratios.values()) < 1.02
    assert [item.voltage for item in envelope.stops] == sorted(item.voltage for item in envelope.stops)


@pytest.mark.slow
def test_a_limit_below_threshold_is_told(bench: Bench) -> None:
    envelope = bench.envelope(points=9, overrides={"switch.peak_current_rating": "1 kA"})
    assert envelope.limiting_item is not None
    assert envelope.limiting_item.item == "switch"
    assert envelope.threshold_voltage is not None
    found = [item for item in envelope.findings if "no setting lases" in item.message]
    assert [item.grade for item in found] == ["limit"]
    assert found[0].next_step


@pytest.mark.slow
def test_an_item_above_its_limit_everywhere_leaves_no_voltage(bench: Bench) -> None:
    envelope = bench.envelope(points=5, overrides={"switch.peak_current_rating": "10 A"})
    assert envelope.highest_voltage_within_limits is None
    assert "switch" in envelope.highest_reason


@pytest.mark.slow
def test_nothing_limits_within_the_range(bench: Bench) -> None:
    envelope = bench.envelope(start=5e3, stop=7.5e3, points=4)
    assert envelope.limiting_item is None
    assert envelope.highest_voltage_within_limits == 7.5e3
    assert "nothing judged reaches its limit" in envelope.highest_reason


@pytest.mark.slow
def test_nothing_lases_gives_a_reason(bench: Bench) -> None:
    envelope = bench.envelope(points=5, overrides={"dye.concentration": "5e-7 mol/L"})
    assert envelope.threshold_voltage is None
    assert "nothing lases" in envelope.threshold_reason
    assert np.all(envelope.arrays["output_energy"].values == 0)
    assert envelope.as_dict()["threshold_voltage"] is None


@pytest.mark.slow
def test_unknown_limits_stand_under_not_judged(bench: Bench) -> None:
    envelope = bench.envelope(
        points=4,
        overrides={"switch.peak_current_rating": "unknown"},
    )
    items = {(row.item, row.stress) for row in envelope.not_judged}
    assert ("switch", "peak current") in items
    assert not any(item.startswith("switch: peak current") for item in envelope.items)


@pytest.mark.parametrize(
    ("start", "stop", "points"),
    [
        (9e3, 8e3, 10),
        (9e3, 9e3, 10),
        (0.0, 9e3, 10),
        (-1.0, 9e3, 10),
        (8e3, 9e3, 1),
        (8e3, 9e3, 0),
        (float("nan"), 9e3, 5),
    ],
)
def test_a_range_that_is_none_is_refused(bench: Bench, start: float, stop: float, points: int) -> None:
    with pytest.raises(BuildError) as caught:
        bench.envelope(start=start, stop=stop, points=points)
    finding = caught.value.findings[0]
    assert finding.path
    assert finding.message
    assert finding.allowed
    assert finding.next_step


@pytest.mark.slow
def test_progress_is_told_and_may_stop_the_work(bench: Bench) -> None:
    told: list[tuple[int, int]] = []
    bench.envelope(points=5, progress=lambda done, total: told.append((done, total)))
    assert told[-1][0] == told[-1][1]
    assert [done for done, _ in told] == sorted(done for done, _ in told)

    class StopError(Exception):
        pass

    def stop(_done: int, _total: int) -> None:
        raise StopError

    with pytest.raises(StopError):
        bench.envelope(points=5, progress=stop)


@pytest.mark.slow
def test_the_band_holds_the_output(bench: Bench) -> None:
    envelope = bench.envelope(points=12)
    low, middle, high = (
        envelope.arrays[name].values for name in ("output_energy_low", "output_energy", "output_energy_high")
    )
    assert np.all(low <= middle)
    assert np.all(middle <= high)


def test_opening_a_folder_that_is_not_there(tmp_path: Path) -> None:
    found = pw.open(tmp_path / "nowhere").check()
    assert [item.grade for item in found] == ["error"]
    assert found[0].next_step


@pytest.mark.slow
def test_a_coarse_range_finds_the_same_stop_and_names_the_charger(bench: Bench) -> None:
    fine, coarse = bench.envelope(points=60), bench.envelope(stop=50e3, points=3)
    assert coarse.highest_voltage_within_limits == pytest.approx(fine.highest_voltage_within_limits, rel=5e-3)
    assert any(item.path == "charger.voltage_max" for item in coarse.findings)
    assert not any(item.path == "charger.voltage_max" for item in fine.findings)
