"""Sizing of the dye: the optimum against fine scans, flatness of known functions, what is said and refused."""

from __future__ import annotations

import json
import math
from functools import cache
from pathlib import Path

import numpy as np
import pytest
from numpy.typing import NDArray

from pulsewright import machine as machines
from pulsewright import refdata
from pulsewright.cli.verb import to_json
from pulsewright.engine.chain import Chain
from pulsewright.engine.inputs import inputs_of
from pulsewright.errors import BuildError
from pulsewright.studies.dye_map import (
    Head,
    Place,
    coupling_axis,
    dye_map,
    energy_within,
    flatness,
    place_of,
    polished,
    reflectivity_of,
)
from pulsewright.studies.size_dye import DyeSizing, changes_of, size_dye
from pulsewright.workbench import new_bench, open_bench, write_sized_dye

Float = NDArray[np.float64]

CHAIN = Chain()
QUICK = {"chamber.light_method": "closed form"}
CONCENTRATIONS = np.geomspace(2e-2, 2e-1, 4)
REFLECTIVITIES = np.array([0.2, 0.45, 0.65, 0.85])
BORES = np.array([6e-3, 8e-3])


def build(**changes: str) -> machines.Build:
    found = machines.load_text(machines.bench_text("tidewater")).build
    assert found is not None
    return found.override({**QUICK, **{path.replace("__", "."): text for path, text in changes.items()}})


@cache
def small(**changes: str) -> DyeSizing:
    """A small map of tidewater."""
    return size_dye(build(**changes), CHAIN, CONCENTRATIONS, REFLECTIVITIES, BORES)


def hill(place: tuple[float, float, float]) -> Place:
    """A laser whose output is a known hill over the logarithms: best at 0.05 mol/m^3, -ln R = 0.5, 8 mm."""
    bore, concentration, reflectivity = place
    x, y = math.log(concentration / 0.05), float(coupling_axis(reflectivity)) - math.log(0.5)
    energy = max(2.0 * (1 - (x / 1.5) ** 2 - (y / 2.0) ** 2 - (math.log(bore / 8e-3) / 1.0) ** 2), 0.0)
    return Place(concentration, reflectivity, bore, energy, 0.5 * energy, 1.0, 0.01)


def hill_axes(points: int = 11) -> tuple[Float, Float, Float]:
    couplings = np.linspace(math.log(0.05), math.log(2.5), points)
    return np.geomspace(5e-3, 12.8e-3, 7), np.geomspace(0.01, 0.3, points), reflectivity_of(couplings)


# Flatness and search on a known hill -----------------------------------------------------------


def test_flatness_of_a_known_hill_is_exact() -> None:
    """Within a part p the ranges are x0 +- w sqrt(p) on the logarithms, since the hill is a sum of squares."""
    bores, concentrations, reflectivities = hill_axes()
    bores = np.sort(np.append(bores, 8e-3))
    found = dye_map(hill, bores, concentrations, reflectivities)
    energy = found.array(lambda place: place.output_energy)
    axes = {"bore": bores, "concentration": concentrations, "reflectivity": reflectivities}
    rows = {(row.part, row.entry): row for row in flatness(energy, axes, 2.0)}
    for part in (0.05, 0.10):
        row = rows[part, "concentration"]
        ends = [0.05 * math.exp(sign * 1.5 * math.sqrt(part)) for sign in (-1, 1)]
        assert [row.low, row.high] == pytest.approx(ends, rel=2e-3)
        row = rows[part, "reflectivity"]
        ends = [math.exp(-0.5 * math.exp(sign * 2.0 * math.sqrt(part))) for sign in (1, -1)]
        assert [row.low, row.high] == pytest.approx(ends, rel=2e-3)
        row = rows[part, "bore"]
        ends = [8e-3 * math.exp(sign * math.sqrt(part)) for sign in (-1, 1)]
        assert [row.low, row.high] == pytest.approx(ends, rel=2e-3)
        assert not any(found.low_open or found.high_open for found in rows.values())


def test_a_range_that_meets_the_end_of_its_axis_is_open_there() -> None:
    concentrations = np.geomspace(0.045, 0.3, 9)
    found = dye_map(hill, np.array([8e-3]), concentrations, hill_axes()[2])
    axes = {"bore": found.bore, "concentration": concentrations, "reflectivity": found.reflectivity}
    rows = flatness(found.array(lambda place: place.output_energy), axes, 2.0)
    row = next(row for row in rows if row.entry == "concentration")
    assert row.low_open
    assert not row.high_open
    assert {row.entry for row in rows} == {"concentration", "reflectivity"}


def test_the_search_finds_the_top_of_a_known_hill() -> None:
    bores, concentrations, reflectivities = hill_axes(7)
    found = dye_map(hill, np.array([8e-3]), concentrations, reflectivities)
    best = polished(hill, found.best(), found)
    assert best.output_energy == pytest.approx(2.0, rel=0.01)
    assert best.concentration == pytest.approx(0.05, rel=0.15)
    held = polished(hill, found.best(energy_within), found, energy_within)
    assert held.ratio is not None
    assert held.ratio < 1.0
    assert held.output_energy > 1.8
    assert bores.size


# Real shots ------------------------------------------------------------------------------------


def test_a_point_is_the_shot_there() -> None:
    head = Head(inputs_of(build()), CHAIN)
    found = head((6e-3, 0.05, 0.5))
    changes = {"cell.bore": "6 mm", "dye.concentration": "5e-5 mol/L", "optics.coupler.reflectivity": "0.5"}
    alone = place_of(CHAIN.run(inputs_of(build().override(changes))), 0.05, 0.5, 6e-3)
    assert found.output_energy == pytest.approx(alone.output_energy, rel=1e-9)
    assert found.ratio == pytest.approx(alone.ratio, rel=1e-9)
    assert head.shots == 1


@pytest.mark.slow
def test_the_optimum_is_that_of_a_brute_scan() -> None:
    found = size_dye(build(), CHAIN, bores=np.array([8e-3]))
    head = Head(inputs_of(build()), CHAIN)
    couplings = np.linspace(*(float(coupling_axis(end)) for end in (0.98, 0.05)), 28)  # type: ignore[call-overload]
    brute = dye_map(head, np.array([8e-3]), np.geomspace(0.01, 0.3, 28), reflectivity_of(couplings)).best()
    assert found.best.output_energy > 0.995 * brute.output_energy
    assert found.best.output_energy > found.here.output_energy
    row = {(row.part, row.entry): row for row in found.flat}
    assert row[0.05, "concentration"].low < brute.concentration < row[0.05, "concentration"].high
    assert row[0.05, "reflectivity"].low < brute.reflectivity < row[0.05, "reflectivity"].high


@pytest.mark.slow
def test_the_sizing_is_whole() -> None:
    found = small()
    assert found.output_energy.shape == (2, 4, 4)
    assert found.evenness.shape == (2, 4)
    assert found.best.output_energy >= 0.999 * found.output_energy.max()
    assert found.best_within is not None
    assert (found.best_within.ratio or 0.0) < 1.0
    assert len(found.best_of_bore) == 2
    assert found.threshold_voltage is not None
    assert found.threshold_margin == pytest.approx(9.5e3 / found.threshold_voltage)
    assert all(row.item.startswith("optics.") for row in found.stops)
    assert [row.path for row in found.ends][::2] == [
        "reference.dye.excited_state_absorption",
        "reference.dye.triplet_absorption",
        "reference.dye.intersystem_crossing_rate",
        "resonator.loss_per_pass",
    ]
    assert all(row.kept is None or 0 < row.kept <= 1 for row in found.ends)
    told = json.loads(to_json(found.as_dict()))
    assert told["kind"] == "dye sizing"
    assert np.shape(told["output_energy"]) == (2, 4, 4)


@pytest.mark.slow
def test_what_is_computed_is_what_is_written() -> None:
    found = small()
    changed = build().override(dict(found.changes))
    assert changed.machine.dye.concentration == found.best.concentration
    assert CHAIN.run(inputs_of(changed)).gain.output_energy == found.best.output_energy
    assert changes_of(changed, found.best) == {}


@pytest.mark.slow
def test_less_loss_of_the_excited_dye_gives_more() -> None:
    ends = {(row.path.rpartition(".")[2], row.end): row.output_energy for row in small().ends}
    for name in ("excited_state_absorption", "triplet_absorption", "loss_per_pass"):
        assert ends[name, "low"] > ends[name, "high"]


# What is said ----------------------------------------------------------------------------------


def test_where_nothing_lases_it_is_told() -> None:
    found = size_dye(build(bank__charge_voltage="3 kV"), CHAIN, CONCENTRATIONS, REFLECTIVITIES, BORES[:1])
    assert found.best.output_energy == 0.0
    assert (found.best_within, found.threshold_voltage, found.ends, found.flat) == (None, None, (), ())
    (finding,) = [row for row in found.findings if row.path == "bank.charge_voltage"]
    assert "nothing lases" in finding.message
    with pytest.raises(BuildError) as refused:
        write_sized_dye(open_bench("nowhere"), found, "nowhere-either")
    assert "nothing to write" in refused.value.findings[0].message


@pytest.mark.slow
def test_an_optimum_at_the_end_of_its_range_is_told() -> None:
    found = size_dye(build(), CHAIN, np.array([0.02, 0.03]), np.array([0.2, 0.3]), BORES[1:])
    messages = [row.message for row in found.findings]
    assert any("best concentration lies at the highest end" in words for words in messages)
    assert any("best reflectivity lies at the highest end" in words for words in messages)
    assert any(row.next_step == "Widen it with --concentration" for row in found.findings)


@pytest.mark.slow
def test_more_than_dissolves_is_told_and_not_looked_at(monkeypatch: pytest.MonkeyPatch) -> None:
    """With a solvent that holds a hundredth of the usual concentration."""
    one = {"concentrations": np.array([0.05]), "reflectivities": np.array([0.6]), "bores": BORES[1:]}
    assert not [row for row in size_dye(build(), CHAIN, **one).findings if "may not dissolve" in row.message]
    held = refdata.Datum(0.04, "mol/m^3", 0.02, 0.08, "assumed", "for this test")
    monkeypatch.setattr(refdata, "solubility", lambda _dye, _solvent: held)
    (finding,) = [row for row in size_dye(build(), CHAIN, **one).findings if "may not dissolve" in row.message]
    assert (finding.grade, finding.path) == ("warning", "dye.concentration")
    assert "0.02" not in finding.message
    assert "2.00e-5 mol/L" in finding.allowed
    one.pop("concentrations")
    assert size_dye(build(), CHAIN, **one).concentration.max() == pytest.approx(0.06)  # the bench's own


@pytest.mark.slow
def test_limits_at_the_best_point_are_told() -> None:
    found = small()
    if found.best.ratio is not None and found.best.ratio >= 1.0:
        assert [row for row in found.findings if row.grade == "limit"]
    assert found.stops[0].ratio == pytest.approx(found.best.ratio)


@pytest.mark.parametrize(
    ("axes", "path"),
    [
        ({"concentrations": np.array([-1.0])}, "dye.concentration"),
        ({"concentrations": np.array([0.0])}, "dye.concentration"),
        ({"concentrations": np.array([])}, "dye.concentration"),
        ({"reflectivities": np.array([0.5, 1.2])}, "optics.coupler.reflectivity"),
        ({"reflectivities": np.array([0.5, 1.0])}, "optics.coupler.reflectivity"),
        ({"bores": np.array([0.0])}, "cell.bore"),
        ({"concentrations": np.geomspace(0.01, 0.1, 15_000), "bores": BORES}, "axes"),
    ],
)
def test_axes_that_are_none_are_refused(axes: dict[str, Float], path: str) -> None:
    with pytest.raises(BuildError) as refused:
        size_dye(build(), CHAIN, **axes)
    finding = refused.value.findings[0]
    assert finding.path == path
    assert finding.allowed
    assert finding.next_step


@pytest.mark.slow
def test_work_can_be_stopped_and_is_told() -> None:
    told: list[tuple[int, int]] = []
    size_dye(build(), CHAIN, CONCENTRATIONS[:2], REFLECTIVITIES[:2], BORES[1:], lambda *now: told.append(now))
    assert all(0 < done <= total for done, total in told)
    assert [done for done, _ in told] == sorted(done for done, _ in told)

    def stop(_done: int, _total: int) -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        size_dye(build(), Chain(), CONCENTRATIONS, REFLECTIVITIES, BORES, stop)


# The bench folder ------------------------------------------------------------------------------


@pytest.mark.slow
def test_the_written_bench_is_the_sized_one(tmp_path: Path) -> None:
    bench = open_bench(new_bench(tmp_path / "mine"))
    overrides = {**QUICK, "resonator.loss_per_pass": "0.04"}
    found = bench.size_dye(CONCENTRATIONS, REFLECTIVITIES, BORES[1:], overrides=overrides)
    place = write_sized_dye(bench, found, tmp_path / "sized", overrides)
    made = open_bench(place)
    assert made.build is not None
    assert made.build.machine.dye.concentration == found.best.concentration
    assert made.build.machine.resonator.loss_per_pass == 0.04
    assert made.build.entries["dye.concentration"].source == "sized; not measured yet"
    assert CHAIN.run(inputs_of(made.build)).gain.output_energy == pytest.approx(found.best.output_energy, rel=1e-9)
    with pytest.raises(BuildError):
        write_sized_dye(bench, found, tmp_path / "sized", overrides)


@pytest.mark.slow
def test_a_measured_coupler_is_sized_by_one_number(tmp_path: Path) -> None:
    bench_path = new_bench(tmp_path / "mine")
    rows = "\n".join(f"{nm},{0.3 + 0.001 * (nm - 560)}" for nm in range(560, 640, 5))
    (bench_path / "coupler.csv").write_text(f"wavelength nm,reflectivity\n{rows}\n", "utf-8")
    file = bench_path / "laser.toml"
    text = file.read_text("utf-8")
    head, tail = text.split("[optics.coupler]\n")
    file.write_text(f'{head}[optics.coupler]\nreflectivity_file = "coupler.csv"\n{tail}', "utf-8")
    bench = open_bench(bench_path)
    assert bench.build is not None, bench.findings
    found = bench.size_dye(CONCENTRATIONS, REFLECTIVITIES, BORES[1:], overrides=QUICK)
    assert (
        len({round(float(value), 6) for value in found.output_energy[0, 1]}) == 4
    )  # the curve does not stand in the way
    made = open_bench(write_sized_dye(bench, found, tmp_path / "sized"))
    assert made.build is not None, made.findings
    coupler = made.build.machine.optics["coupler"]
    assert (coupler.reflectivity, coupler.reflectivity_file) == (found.best.reflectivity, None)
