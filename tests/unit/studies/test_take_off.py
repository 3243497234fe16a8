"""The take-off map: its shape, its default axes, what it does without a law, and what is refused."""

from __future__ import annotations

import json
import math

import numpy as np
import pytest

from pulsewright import machine as machines
from pulsewright.cli.verb import to_json
from pulsewright.engine.chain import Chain
from pulsewright.engine.inputs import inputs_of
from pulsewright.errors import BuildError
from pulsewright.studies.pulse_figures import pulse_of
from pulsewright.studies.take_off import QUANTITIES, series_arc_length, take_off_map

TORR = 133.32236842105263


@pytest.fixture(scope="module")
def build() -> machines.Build:
    found = machines.load_text(machines.bench_text("tidewater")).build
    assert found is not None
    return found


def test_a_point_is_the_shot_there(build: machines.Build) -> None:
    found = take_off_map(build, fill_pressures=np.array([50 * TORR, 100 * TORR]), seconds=np.array([20e3, 30e3, 40e3]))
    assert found.outcome.shape == (3, 2)
    assert set(found.values) == set(QUANTITIES)
    assert series_arc_length(build.machine) == pytest.approx(0.3)
    alone = pulse_of(inputs_of(build, 30e3 * 0.3), Chain()).figures  # tidewater is filled to 100 torr
    assert found.values["peak_current"][1, 1] == alone["peak_current"]
    assert found.values["time_of_peak"][1, 1] == alone["time_of_peak"]
    assert found.here == pytest.approx((100 * TORR, 9.5e3 / 0.3))


def test_the_default_map_shows_the_design_decision(build: machines.Build) -> None:
    """More fill and less field start later and leave the law further behind."""
    found = take_off_map(build)
    assert found.outcome[-1, 0] == "takes off"
    assert found.outcome[0, -1] != "takes off"
    delay = found.values["half_current_delay"]
    assert delay[-1, -1] > delay[-1, 0]  # more gas to heat
    assert delay[1, 2] > delay[-1, 2]  # less field to heat it with
    strong = found.values["law_fraction"][-1]
    assert 0.0 < strong.min() < strong.max() < 1.1


def test_the_other_axis_can_be_the_bore(build: machines.Build) -> None:
    found = take_off_map(build, second="bore", fill_pressures=np.array([100 * TORR]), seconds=np.array([4e-3, 10e-3]))
    assert found.y.key == "bore"
    filling = found.values["filling_time"][:, 0]
    assert filling[1] > filling[0]  # a wider bore fills later
    assert found.here[1] == pytest.approx(7e-3)


def test_without_a_law_the_map_says_so(build: machines.Build) -> None:
    argon = build.override({f"lamps.{lamp}.gas": "argon" for lamp in build.machine.lamps})
    found = take_off_map(argon, fill_pressures=np.array([50 * TORR]), seconds=np.array([40e3]))
    assert np.isnan(found.values["law_fraction"]).all()
    assert [finding.grade for finding in found.findings] == ["note"]
    assert found.values["peak_current"][0, 0] > 0


def test_json_has_no_number_that_is_none(build: machines.Build) -> None:
    found = take_off_map(build, fill_pressures=np.array([600 * TORR]), seconds=np.array([8e3]))
    record = json.loads(to_json(found.as_dict()))
    assert record["kind"] == "take-off map"
    for rows in record["values"].values():
        assert all(value is None or math.isfinite(value) for row in rows for value in row)


@pytest.mark.parametrize(
    "asked",
    [
        {"second": "field"},
        {"fill_pressures": np.array([0.0])},
        {"fill_pressures": np.array([])},
        {"seconds": np.array([-1e3])},
        {"seconds": np.array([np.nan])},
        {"second": "bore", "seconds": np.array([10.0])},
        {"fill_pressures": np.full(100, 1e4), "seconds": np.full(100, 1e4)},
    ],
    ids=str,
)
def test_axes_that_are_none_are_refused(build: machines.Build, asked: dict[str, object]) -> None:
    with pytest.raises(BuildError) as fault:
        take_off_map(build, **asked)  # type: ignore[arg-type]
    assert all(finding.message and finding.next_step for finding in fault.value.findings)


def test_default_axes_hold_the_build_and_a_pumped_head_is_taken_at_each_fill() -> None:
    """A head that fires by its own pressure does not make every column of the map alike."""
    pond = machines.load_text(machines.bench_text("millpond")).build
    assert pond is not None
    found = take_off_map(pond, fill_pressures=np.array([10.0, 100.0]) * TORR)
    assert found.y.values[-1] == pytest.approx(found.here[1])
    times = found.values["filling_time"][-1]
    assert times[1] > 1.3 * times[0]
    assert [finding.path for finding in found.findings] == ["trigger.method", "loop.lamp_law"]
