"""Maps of the bank: the map equals the loop, exactly; axes that are none are refused; work can be stopped."""

from __future__ import annotations

import numpy as np
import pytest

from pulsewright import machine as machines
from pulsewright.engine.chain import Chain
from pulsewright.engine.inputs import inputs_of
from pulsewright.errors import BuildError, NotModelledError
from pulsewright.studies.bank_map import MOST_POINTS, bank_map, map_point
from pulsewright.studies.pulse_figures import FIGURES, computed, pulse_of, rise, width


@pytest.fixture(scope="module")
def build() -> machines.Build:
    found = machines.load_text(machines.bench_text("tidewater")).build
    assert found is not None
    return found


def test_the_map_is_the_loop(build: machines.Build) -> None:
    axes = {
        "bank.capacitance": np.array([2e-6, 4e-6]),
        "bank.charge_voltage": np.array([7e3, 9e3, 11e3]),
        "loop.inductance": np.array([1e-6, 3e-6]),
    }
    chain = Chain()
    found = bank_map(build, axes, chain)
    assert found.shape == (2, 3, 2)
    assert found.discharges == 12
    for place, figures, outcome in found.rows():
        capacitance, volts, inductance = place
        one = build.replace("bank.capacitance", capacitance).replace("loop.inductance", inductance)
        alone = pulse_of(inputs_of(one, volts), Chain())
        assert outcome == alone.outcome
        for key in FIGURES:
            assert figures[key] == alone.figures[key], key


def test_a_second_map_of_the_same_points_computes_nothing(build: machines.Build) -> None:
    chain = Chain()
    axes = {"bank.charge_voltage": np.array([8e3, 9e3])}
    assert bank_map(build, axes, chain).discharges == 2
    assert bank_map(build, axes, chain).discharges == 0


def test_a_star_sets_every_lamp(build: machines.Build) -> None:
    found = bank_map(build, {"lamps.*.bore": np.array([6e-3, 8e-3])})
    both = build.replace("lamps.east.bore", 8e-3).replace("lamps.west.bore", 8e-3)
    alone = pulse_of(inputs_of(both), Chain()).figures
    assert found.values["peak_current"][1] == alone["peak_current"]
    point = map_point(inputs_of(build), build, Chain(), (("lamps.*.bore", 8e-3),))
    assert point.figures == alone


@pytest.mark.parametrize(
    "axes",
    [
        {},
        {"bank.capacitance": np.array([])},
        {"bank.capacitance": np.array([0.0, 1e-6])},
        {"bank.capacitance": np.array([np.nan])},
        {"bank.charge_voltage": np.array([-1.0])},
        {"bank.capacity": np.array([1e-6])},
        {"lamps.*.diameter": np.array([1e-3])},
        {"lamps.south.bore": np.array([1e-3])},
        {"chamber.reflector": np.array([1.0])},
        {"bank.capacitance": np.full(MOST_POINTS + 1, 1e-6)},
        {"bank.capacitance": np.full(1000, 1e-6), "loop.inductance": np.full(1000, 1e-6)},
        {f"lamps.{name}.{key}": np.array([0.1]) for name in ("east", "west") for key in ("arc_length", "bore")},
    ],
    ids=str,
)
def test_axes_that_are_none_are_refused(build: machines.Build, axes: dict[str, np.ndarray]) -> None:
    with pytest.raises(BuildError) as fault:
        bank_map(build, axes)
    assert all(finding.message and finding.next_step for finding in fault.value.findings)


def test_what_the_discharge_does_not_model_is_refused_and_the_dye_does_not_matter(build: machines.Build) -> None:
    law = {"loop.lamp_law": "square-root law", **{f"lamps.{lamp}.gas": "argon" for lamp in build.machine.lamps}}
    with pytest.raises(NotModelledError, match="argon"):
        bank_map(build.override(law), {"bank.charge_voltage": np.array([9e3])})
    quenched = build.override({"dye.quencher": "DABCO"})
    found = bank_map(quenched, {"bank.charge_voltage": np.array([9e3])})
    assert found.outcome.tolist() == ["takes off"]


def test_progress_is_told_and_may_stop_the_work(build: machines.Build) -> None:
    told: list[tuple[int, int]] = []
    axes = {"bank.charge_voltage": np.linspace(7e3, 11e3, 40)}
    bank_map(build, axes, progress=lambda done, total: told.append((done, total)))
    assert told[-1] == (40, 40)
    assert [done for done, _ in told] == sorted(done for done, _ in told)

    class Enough(Exception):  # noqa: N818
        """Stopped by the user."""

    def stop(done: int, _total: int) -> None:
        if done > 1:
            raise Enough

    with pytest.raises(Enough):
        bank_map(build, axes, progress=stop)


def test_results_of_many_threads_stay_in_order() -> None:
    assert computed(list(range(100)), lambda n: n * n) == [n * n for n in range(100)]
    assert computed([], lambda n: n) == []


def test_widths_and_rises_of_a_triangle() -> None:
    time, values = np.linspace(0.0, 4.0, 401), np.concatenate([np.linspace(0, 1, 101), np.linspace(1, 0, 301)[1:]])
    assert width(time, values, 0.5) == pytest.approx(2.0)
    assert width(time, values, 1 / 3) == pytest.approx(8 / 3)
    assert rise(time, values) == pytest.approx(0.8)
    assert np.isnan(width(time, 0 * values, 0.5))


def test_where_nothing_fires_there_are_no_figures(build: machines.Build) -> None:
    found = bank_map(build, {"bank.charge_voltage": np.array([300.0, 9e3])})
    assert found.outcome.tolist() == ["does not fire", "takes off"]
    assert np.isnan(found.values["peak_current"][0])
    assert found.values["stored_energy"][0] == pytest.approx(0.18)


@pytest.mark.parametrize("name", machines.BENCHES)
def test_every_example_bench_has_a_map(name: str) -> None:
    """Networks and coaxial lamps too: only the light is asked for."""
    found = machines.load_text(machines.bench_text(name)).build
    assert found is not None
    volts = found.machine.bank.charge_voltage
    mapped = bank_map(found, {"bank.charge_voltage": np.array([0.9 * volts, volts])})
    assert mapped.outcome.tolist() == ["takes off", "takes off"]
    for key in FIGURES:
        none = key == "explosion_fraction" and any(lamp.shape == "coaxial" for lamp in found.machine.lamps.values())
        assert np.isnan(mapped.values[key]).all() == none, key
