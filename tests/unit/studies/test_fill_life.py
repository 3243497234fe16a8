"""Life of a fill: exact limits of each way of renewal, when to change, and what is refused."""

from __future__ import annotations

import json
import math
from functools import cache

import numpy as np
import pytest

from pulsewright import machine as machines
from pulsewright import refdata
from pulsewright.cli.verb import to_json
from pulsewright.engine.chain import Chain
from pulsewright.engine.inputs import inputs_of
from pulsewright.errors import BuildError
from pulsewright.studies import fill_course
from pulsewright.studies.fill_course import Course, State
from pulsewright.studies.fill_life import FillLife, fill_life
from pulsewright.studies.fill_output import Outputs, along, half_output_absorption, sampled, shots_to

CHAIN = Chain()


def build(**changes: str) -> machines.Build:
    """Tidewater by the closed form, with changes: `loops.main.volume` as `loops_main_volume`."""
    found = machines.load_text(machines.bench_text("tidewater")).build
    assert found is not None
    quick = {"chamber.light_method": "closed form"}
    return found.override({**quick, **{path.replace("__", "."): text for path, text in changes.items()}})


@cache
def life(shots: int = 1000, fraction: float | None = None, **changes: str) -> FillLife:
    return fill_life(build(**changes), CHAIN, shots, fraction)


def figure(found: FillLife, key: str) -> float:
    (value,) = [row.value for row in found.figures if row.key == key]
    assert value is not None
    return value


class Plain:
    """Output that is a known function of the state, in place of shots."""

    def __init__(self) -> None:
        self.asked = 0

    def __call__(self, state: State) -> float:
        self.asked += 1
        return max(state.dye_left - 2.0 * state.product_absorption, 0.0)


# Exact limits ----------------------------------------------------------------------------------


def test_a_fresh_fill_gives_on_shot_1000_what_it_gives_on_shot_1() -> None:
    """Common practice, no source."""
    found = life(loops__main__method="fresh fill", loops__main__volume_per_shot="20 cm^3")
    energy = found.arrays["output_energy"].values
    assert energy[0] > 0.1
    assert np.all(energy == energy[0])
    assert np.all(found.arrays["dye_left"].values == 1.0)
    assert np.all(found.arrays["product_absorption"].values == 0.0)
    assert all(row.shots is None and "always new" in row.reason for row in found.changes)
    assert figure(found, "solution") == pytest.approx(20e-6 * 1000)


@pytest.mark.slow
def test_a_closed_loop_does_not() -> None:
    energy = life().arrays["output_energy"].values
    assert energy[-1] < 0.99 * energy[0]
    assert np.all(np.diff(energy) < 0)


@pytest.mark.slow
def test_the_first_shot_is_the_shot_of_the_bench() -> None:
    shot = CHAIN.run(inputs_of(build())).gain.output_energy
    found = life(shots=3)
    for name in ("output_energy", "output_energy_low", "output_energy_high"):
        assert found.arrays[name].values[0] == shot
    assert found.arrays["shot_number"].values.tolist() == [1.0, 2.0, 3.0]


@pytest.mark.slow
def test_feed_without_end_is_fresh_and_feed_of_nothing_is_closed() -> None:
    closed = life(shots=500)
    slow = life(shots=500, loops__main__method="bleed and feed", loops__main__volume_per_shot="1e-3 cm^3")
    whole = life(shots=500, loops__main__method="bleed and feed", loops__main__volume_per_shot="6 L")
    assert slow.arrays["output_energy"].values == pytest.approx(closed.arrays["output_energy"].values, rel=1e-4)
    assert slow.arrays["dye_left"].values == pytest.approx(closed.arrays["dye_left"].values, rel=1e-9)
    assert np.all(whole.arrays["output_energy"].values == closed.arrays["output_energy"].values[0])


@pytest.mark.slow
def test_bleed_and_feed_settles_at_its_balance() -> None:
    found = life(shots=100_000, loops__main__method="bleed and feed", loops__main__volume_per_shot="20 cm^3")
    last = {name: float(array.values[-1]) for name, array in found.arrays.items()}
    made, renewed = figure(found, "products_per_shot"), 20e-6 / 6e-3
    assert last["product_absorption"] == pytest.approx(made * (1 - renewed) / renewed, rel=1e-9)
    assert figure(found, "settled_products") == pytest.approx(last["product_absorption"], rel=1e-9)
    assert figure(found, "settled_output") == pytest.approx(last["output_energy"], rel=1e-9)
    assert figure(found, "solution") == pytest.approx(6e-3 + 20e-6 * 100_000)


@pytest.mark.slow
def test_a_bed_holds_the_products_and_uses_up_dye() -> None:
    bed = {"loops__main__bed_flow": "0.5 L/min", "loops__main__bed_product_removal": "0.9"}
    found = life(shots=2000, loops__main__method="regenerated", loops__main__bed_dye_removal="0.8", **bed)
    taken = 1 - math.exp(-0.9 * (0.5e-3 / 60) * 30 / 6e-3)
    assert figure(found, "bed_products") == pytest.approx(taken)
    made = figure(found, "products_per_shot")
    assert found.arrays["product_absorption"].values[-1] == pytest.approx(made * (1 - taken) / taken, rel=1e-9)
    dye = 1 - math.exp(-0.8 * (0.5e-3 / 60) * 30 / 6e-3)
    grams = figure(found, "dye_mass") / (6e-3 * 6e-5 * 1e3 * 0.479)
    assert grams == pytest.approx(1 + 2000 * dye, rel=2e-3)  # the molar mass of the row has its own digits
    assert np.all(found.arrays["dye_left"].values == 1.0)


@pytest.mark.slow
def test_a_stagnant_cell_ages_by_its_own_dose() -> None:
    """The dose of a shot goes into the cell alone, so it lives as much shorter as it is smaller than the loop."""
    cell = math.pi * 0.008**2 / 4 * 0.17
    stagnant, closed = life(loops__main__method="stagnant"), life()
    ratio = closed.changes[-1].shots / stagnant.changes[-1].shots  # type: ignore[operator]
    assert ratio == pytest.approx(6e-3 / cell, rel=0.01)
    assert stagnant.changes[-1].dose == pytest.approx(closed.changes[-1].dose, rel=0.01)


@pytest.mark.slow
def test_a_cell_that_is_not_filled_whole_keeps_what_it_made() -> None:
    """A part c stays in the cell: products settle at c / (1 - c) of what a shot makes."""
    found = life(loops__main__method="fresh fill", loops__main__volume_per_shot="5 cm^3")
    left = 1 - 5e-6 / (math.pi * 0.008**2 / 4 * 0.17)
    made = figure(found, "products_per_shot")
    assert figure(found, "carried_over") == pytest.approx(left, rel=1e-6)
    assert found.arrays["product_absorption"].values[-1] == pytest.approx(made * left / (1 - left), rel=1e-6)
    energy = found.arrays["output_energy"].values
    assert energy[-1] < energy[0]
    assert energy[-1] == energy[-2]


def test_a_slow_flow_and_a_beaker_beside_a_stagnant_cell_are_told() -> None:
    slow = build(loops__main__flow="10 cm^3/min").machine
    (told,) = fill_course.loop_findings(slow, "main")
    assert (told.grade, told.path) == ("warning", "loops.main.flow")
    assert "0.59 volumes of the cell" in told.message
    assert not list(fill_course.loop_findings(build().machine, "main"))
    stagnant = build(loops__main__method="stagnant").machine
    assert [row.path for row in fill_course.loop_findings(stagnant, "main")] == ["loops.main.volume"]


@pytest.mark.slow
def test_another_filter_has_no_price() -> None:
    others = set(refdata.names()["filter"]) - {"none", "ultraviolet absorbing glass"}
    assert others
    assert life(shots=2, chamber__filter=min(others)).filter is None


# When to change --------------------------------------------------------------------------------


@pytest.mark.slow
def test_a_measured_dose_halves_the_output_of_this_head() -> None:
    found = life(dye__half_output_dose="200 kJ/L")
    half = next(row for row in found.changes if row.fraction == 0.5)
    assert half.dose == pytest.approx(200e6, rel=5e-3)
    assert not any(row.path == "dye.half_output_dose" for row in found.findings)


@pytest.mark.slow
def test_the_wanted_fraction_is_told_and_used() -> None:
    found = life(fraction=0.8, shots=1_000_000)
    assert [row.fraction for row in found.changes] == [0.9, 0.8, 0.5]
    shots = found.changes[1].shots
    assert shots is not None
    assert figure(found, "solution") == pytest.approx(6e-3 * math.ceil(1_000_000 / math.floor(shots)))
    assert all(a.shots < b.shots for a, b in zip(found.changes, found.changes[1:], strict=False))  # type: ignore[operator]


@pytest.mark.slow
def test_the_ends_lie_about_the_centre() -> None:
    found = life()
    for row in found.changes:
        assert row.shots_low < row.shots < row.shots_high  # type: ignore[operator]
    for name in ("output_energy", "dye_left", "product_absorption"):
        low, middle, high = (found.arrays[f"{name}{end}"].values for end in ("_low", "", "_high"))
        assert np.all(low <= middle)
        assert np.all(middle <= high)


def test_interpolated_output_is_that_of_a_known_function() -> None:
    course = Course(0.0, 0.0, 1e-5, 0.0, 0.0, State(1.0, 0.0), State(1.0, 0.0))
    outputs = Plain()
    numbers = np.arange(1.0, 60_001.0, 100.0)
    found = along(course, outputs, numbers)  # type: ignore[arg-type]
    assert found == pytest.approx(np.maximum(1.0 - 2e-5 * (numbers - 1.0), 0.0), abs=0.02)
    assert outputs.asked < 60
    assert shots_to(course, outputs, 0.5) == pytest.approx(25_000, rel=2e-3)  # type: ignore[arg-type]
    assert half_output_absorption(outputs, 1.0, State(1.0, 0.0)) == pytest.approx(0.25, rel=2e-3)  # type: ignore[arg-type]


@pytest.mark.slow
def test_a_curve_costs_few_shots() -> None:
    outputs = Outputs(inputs_of(build()), CHAIN)
    course = Course(1e-6, 1e-5, 1e-4, 0.0, 0.0, State(1.0, 0.0), State(1.0, 0.0))
    along(course, outputs, sampled(100_000))
    assert len(outputs.known) <= 30


# What is said ----------------------------------------------------------------------------------


@pytest.mark.slow
def test_what_is_not_known_is_told_by_name() -> None:
    found = life()
    assert any("dose to half output of rhodamine 6G" in words for words in found.unknown)
    assert any("evaporation" in words for words in found.unknown)
    (told,) = [row for row in found.findings if row.path == "dye.half_output_dose"]
    assert "memory-l" in told.message
    unknown = life(shots=10, dye__name="DCM")
    assert any("no figure is known of how DCM bleaches" in row.message for row in unknown.findings)


@pytest.mark.slow
def test_the_filter_costs_pump_light() -> None:
    price = life(shots=2).filter
    assert price is not None
    without, filtered = price.absorbed_pump_energy
    assert 0 < filtered < without
    assert price.output_energy[1] < price.output_energy[0]
    assert price.life.startswith("not known")
    present = life(shots=2, chamber__filter="ultraviolet absorbing glass").filter
    assert present is not None
    assert present.present
    assert present.absorbed_pump_energy == pytest.approx(price.absorbed_pump_energy, rel=1e-9)


def test_a_shot_that_does_not_lase_has_no_life_to_tell() -> None:
    found = fill_life(build(bank__charge_voltage="3 kV"), CHAIN, 10)
    assert np.all(found.arrays["output_energy"].values == 0.0)
    assert all(row.shots is None and "does not lase" in row.reason for row in found.changes)
    assert any(row.path == "bank.charge_voltage" and row.grade == "warning" for row in found.findings)
    json.loads(to_json(found.as_dict()))


@pytest.mark.slow
def test_as_json_it_is_whole() -> None:
    told = json.loads(to_json(life(shots=5).as_dict()))
    assert told["kind"] == "fill life"
    assert told["arrays"]["output_energy"]["axes"] == ["shot_number"]
    assert len(told["arrays"]["output_energy"]["values"]) == 5


@pytest.mark.parametrize(
    ("shots", "fraction", "loop", "changes", "path"),
    [
        (0, None, None, {}, "--shots"),
        (10**12, None, None, {}, "--shots"),
        (10, 0.0, None, {}, "--fraction"),
        (10, 1.0, None, {}, "--fraction"),
        (10, math.nan, None, {}, "--fraction"),
        (10, None, "mian", {}, "--loop"),
        (10, None, None, {"loops.main.method": "regenerated"}, "loops.main.bed_flow"),
    ],
)
def test_what_cannot_be_followed_is_refused(
    shots: int, fraction: float | None, loop: str | None, changes: dict[str, str], path: str
) -> None:
    with pytest.raises(BuildError) as refused:
        fill_life(build().override(changes), CHAIN, shots, fraction, loop)
    finding = next(row for row in refused.value.findings if row.path == path)
    assert finding.allowed
    assert finding.next_step


def test_without_a_loop_or_its_volume_it_is_not_told() -> None:
    text = machines.bench_text("tidewater")
    head, rest = text[: text.index("[loops.main]")], text[text.index("[resonator]") :]
    for table, path in (("", "loops"), ('[loops.main]\nmethod = "closed loop"\n', "loops.main.volume")):
        found = machines.load_text(head + table + rest).build
        assert found is not None
        with pytest.raises(BuildError) as refused:
            fill_life(found, CHAIN, 10)
        assert refused.value.findings[0].path == path


def test_work_can_be_stopped() -> None:
    def stop(_done: int, _total: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        fill_life(build(), Chain(), 10, progress=stop)
