"""The pump map bound to a machine: traced, moved, quick; spectra of walls, filters and coolant; slabs and sleeves."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from pulsewright import machine as machines
from pulsewright import units
from pulsewright.engine import chamber_rays, resonator, uptake
from pulsewright.engine.array_store import is_stored, stored_arrays
from pulsewright.engine.cell_shape import cell_area, cell_volume, half_width, zone_edges
from pulsewright.engine.chain import Chain, Stages
from pulsewright.engine.chamber_rays import arc_rungs, is_traced, recipe, scene, traced_map
from pulsewright.engine.inputs import Inputs, inputs_of
from pulsewright.engine.ray_sample import ray_sample
from pulsewright.physics.chamber.ray_map import trace_light
from pulsewright.physics.lamp.tables import spectral_bands
from pulsewright.studies.chamber_notes import chamber_findings

WAVELENGTH = spectral_bands()[0]
#: Bands at which glass and coolant of the benches let light through.
SEEN = (WAVELENGTH > 230e-9) & (WAVELENGTH < 1.2e-6)
ABSORPTION = np.geomspace(3.0, 3e4, len(WAVELENGTH))


def inputs(name: str = "tidewater", changes: dict[str, str] | None = None, folder: Path | None = None) -> Inputs:
    loaded = machines.load_text(machines.bench_text(name), "laser.toml")
    assert loaded.build is not None
    build = loaded.build.override(changes or {})
    assert build.findings == (), build.findings
    return inputs_of(build)


def middle(found: uptake.Uptake) -> np.ndarray:
    """Share of the whole dye at half-black arcs, (L,)."""
    return np.maximum(found.fraction[:, 16].sum(axis=-1), 1e-250)  # of two zeros no ratio is asked


# ---------------------------------------------------------------- one table


@pytest.mark.slow
def test_between_the_rungs_the_table_is_what_a_trace_gives() -> None:
    """Same rays, coefficients and absorptances between those of the table: splines add no error worth the name."""
    given = recipe(inputs().machine, 6)
    table = uptake._filled(given)
    rungs = [10, 25, 40, 52, 60]
    columns = [3, 12, 20, 29]
    kappa, arcs = uptake.LADDER[rungs], uptake.LAMP_LADDER[columns]
    assert not np.any(np.isin(arcs, arc_rungs()))
    straight = trace_light(scene(given), kappa, arcs, shells=6, rays=given.rays, seed=given.seed)
    made = table[np.ix_(rungs, columns)]
    whole = straight.dye.sum(axis=-1)
    assert made.sum(axis=-1) == pytest.approx(whole, rel=5e-3)
    assert np.all(np.abs(made - straight.dye) < 4e-3 * whole[:, :, None])


def test_the_table_is_good_to_half_a_per_cent() -> None:
    found = traced_map(recipe(inputs().machine, 8))
    relative = found.standard_error / found.dye.sum(axis=-1)
    assert np.median(relative) < 4e-3
    assert relative.max() < 1e-2  # weak dye and clear arcs: light lives long, and few rays meet the dye often
    assert found.imbalance < 1e-12


def test_the_table_is_kept_on_disk(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PULSEWRIGHT_CACHE_DIR", str(tmp_path))
    monkeypatch.setattr(chamber_rays, "trace_light", counted := Counted(chamber_rays.trace_light))
    given = replace(recipe(inputs().machine, 3), rays=1024, seed=77)
    first, second = (traced_map.__wrapped__(given) for _ in range(2))
    assert counted.calls == 1
    assert np.array_equal(first.dye, second.dye)
    assert first.rays == second.rays == 1024
    (kept,) = (tmp_path / "ray-maps").glob("*.npz")
    kept.write_bytes(b"spoilt")
    third = traced_map.__wrapped__(given)
    assert counted.calls == 2
    assert np.array_equal(first.dye, third.dye)
    other = traced_map.__wrapped__(replace(given, seed=78))
    assert counted.calls == 3
    assert not np.array_equal(first.dye, other.dye)


class Counted:
    """A function that counts its calls."""

    def __init__(self, function: Callable[..., object]) -> None:
        self.function, self.calls = function, 0

    def __call__(self, *arguments: object, **named: object) -> object:
        self.calls += 1
        return self.function(*arguments, **named)


def test_a_folder_that_cannot_be_written_costs_the_time_only(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    blocked = tmp_path / "file"
    blocked.write_text("no folder")
    monkeypatch.setenv("PULSEWRIGHT_CACHE_DIR", str(blocked))
    found = stored_arrays("ray-maps", "anything", lambda: {"a": np.ones(3)})
    assert np.array_equal(found["a"], np.ones(3))
    assert not is_stored("ray-maps", "anything")


# ---------------------------------------------------------------- traced, moved, quick


def test_what_moves_the_map_and_what_leaves_it() -> None:
    base = inputs()
    assert uptake.method_of(base) == "ray tracing"
    for path, value in (("dye.concentration", 0.08), ("bank.charge_voltage", 9e3), ("resonator.length", 0.5)):
        assert uptake.method_of(base.varied(path, value)) == "ray tracing"
    thinner = base.varied("cell.bore", 7.8e-3)
    assert uptake.method_of(thinner) == "ray tracing, moved by the closed form"
    assert uptake.method_of(replace(base, quick=True)) == "closed form"
    assert uptake.method_of(inputs(changes={"chamber.light_method": "closed form"})) == "closed form"
    assert uptake.method_of(inputs(changes={"cell.bore": "7.8 mm"})) == "ray tracing"
    again = thinner.varied("chamber.reflectivity", 0.9)
    assert again.traced_for is base.machine


def test_a_moved_map_goes_with_the_closed_form() -> None:
    """Its change is the closed form's, exactly where the wall is grey; rays of the changed chamber agree in sign."""
    base = inputs(changes={"chamber.wall": "grey"})
    brighter = base.varied("chamber.reflectivity", 0.88)
    ratio = middle(uptake.uptake(brighter, ABSORPTION)) / middle(uptake.uptake(base, ABSORPTION))
    closed = [middle(uptake.uptake(replace(which, quick=True), ABSORPTION)) for which in (brighter, base)]
    assert ratio[SEEN] == pytest.approx((closed[0] / closed[1])[SEEN], rel=1e-3)
    anew = middle(uptake.uptake(inputs(changes={"chamber.reflectivity": "0.88", "chamber.wall": "grey"}), ABSORPTION))
    assert np.all((anew > middle(uptake.uptake(base, ABSORPTION)))[SEEN])


def test_nothing_is_traced_for_what_varies(monkeypatch: pytest.MonkeyPatch) -> None:
    base = inputs()
    uptake.uptake(base, ABSORPTION)
    monkeypatch.setattr(chamber_rays, "trace_light", counted := Counted(chamber_rays.trace_light))
    for path, value in (("cell.bore", 8.13e-3), ("chamber.semi_major", 25.4e-3), ("lamps.east.bore", 7.05e-3)):
        uptake.uptake(base.varied(path, value), ABSORPTION)
    assert counted.calls == 0


@pytest.mark.slow
def test_whether_a_chamber_was_traced() -> None:
    base = inputs(changes={"cell.bore": "8.017 mm"})
    assert is_traced(inputs(changes={"chamber.light_method": "closed form", "cell.bore": "8.017 mm"}).machine, 5)
    traced_map(recipe(base.machine, 5))
    assert is_traced(base.machine, 5)
    assert not is_traced(base.machine, 31)


# ---------------------------------------------------------------- spectra of what stands in the way


@pytest.mark.parametrize("method", ["ray tracing", "closed form"])
def test_a_coloured_wall(method: str) -> None:
    """Gold takes the blue and gives back the red; at 550 nm nothing changes; a white wall changes little."""
    same = {"chamber.light_method": method}
    grey, gold, white = (
        middle(uptake.uptake(inputs(changes={**same, "chamber.wall": wall}), ABSORPTION))
        for wall in ("grey", "gold", "white fluoropolymer")
    )
    ratio, pale = gold / grey, white / grey
    blue, red = np.searchsorted(WAVELENGTH, [430e-9, 700e-9])
    assert ratio[blue] < 0.75
    assert 1.01 < ratio[red] < 1.5
    assert np.interp(550e-9, WAVELENGTH, ratio) == pytest.approx(1.0, abs=0.06)  # a band is some nm wide
    assert np.all(np.abs(pale[(WAVELENGTH > 300e-9) & (WAVELENGTH < 1e-6)] - 1) < 0.05)


@pytest.mark.slow
def test_a_coloured_wall_is_a_wall_of_that_reflectivity() -> None:
    """Re-weighted hits against a chamber that was traced with the reflectivity that gold has at 430 nm."""
    golden = inputs(changes={"chamber.wall": "gold"})
    colour = uptake.wall_colour(golden.machine)
    assert colour is not None
    blue = int(np.searchsorted(WAVELENGTH, 430e-9))
    dull = {"chamber.reflectivity": f"{golden.machine.chamber.reflectivity * colour[blue]:.6f}", "chamber.wall": "grey"}
    moved = middle(uptake.uptake(golden, ABSORPTION))[blue]
    traced = middle(uptake.uptake(inputs(changes=dull), ABSORPTION))[blue]
    assert moved == pytest.approx(traced, rel=0.015)  # each is good to 0.3 to 0.5 %


@pytest.mark.parametrize("method", ["ray tracing", "closed form"])
def test_a_filter_takes_what_it_takes(method: str) -> None:
    clear, filtered = (
        middle(uptake.uptake(inputs(changes={"chamber.filter": name, "chamber.light_method": method}), ABSORPTION))
        for name in ("none", "sodium nitrite solution")
    )
    ratio = filtered / clear
    assert np.all(ratio[SEEN & (WAVELENGTH < 380e-9)] < 1e-3)
    passes = uptake.filter_transmission(inputs(changes={"chamber.filter": "sodium nitrite solution"}).machine)
    assert passes is not None
    assert np.all((ratio <= passes * (1 + 1e-9))[SEEN])  # at least one pass
    assert np.all((ratio >= passes**3 * 0.9)[SEEN])  # mostly one


def test_coolant_dims_the_infrared_and_leaves_the_visible() -> None:
    """Water at 1.4 um takes nearly all; in the green next to nothing; a longer way than one wall to wall."""
    wet = uptake.uptake(inputs(), ABSORPTION)
    green, infrared = (int(np.argmin(abs(WAVELENGTH - w))) for w in (520e-9, 1.4e-6))
    assert wet.through[green] > 0.97
    assert wet.through[infrared] < 0.05
    found = traced_map(recipe(inputs().machine, 8))
    mean = found.path_mean[0, 10, 2]
    assert 30e-3 < mean < 120e-3  # from lamp by mirror to cell it is 50 mm less the radii, times 4 / pi


@pytest.mark.slow
def test_what_goes_to_a_further_cell_is_taken_out_of_the_first() -> None:
    """Photons of all cells together are those that the dye took up, whatever the second is."""
    for concentration in ("", 'concentration = "1e-5 mol/L"'):
        second = f'[cells.second]\nlength = "100 mm"\npumped_length = "80 mm"\npump_share = 0.3\n{concentration}\n'
        loaded = machines.load_text(f"{machines.bench_text('tidewater')}\n{second}", "laser.toml")
        assert loaded.build is not None
        stages = Chain().run(inputs_of(loaded.build))
        machine, pump, cell = stages.inputs.machine, stages.pump, stages.inputs.machine.cells["second"]
        rates = resonator.pump_rates(stages.inputs, pump.rate)
        first = machine.cell.pumped_length * machine.dye.concentration
        other = cell.pumped_length * (cell.concentration or machine.dye.concentration)
        assert rates[:, 0] == pytest.approx(0.7 * pump.rate, rel=1e-12)
        assert rates[:, 0] * first + rates[:, 1] * other == pytest.approx(pump.rate * first, rel=1e-12)
        told = [finding for finding in chamber_findings(stages) if finding.path == "cells.second.pump_share"]
        assert len(told) == 1
        whole = float(pump.energy.sum())
        for part in (whole, 0.3 * whole, 0.7 * whole):
            assert units.format(part, "J") in told[0].message


@pytest.mark.slow
@pytest.mark.parametrize("mirrors", ["0", "1"])
def test_a_perfect_wall_gives_a_shot_that_says_what_was_given_up(mirrors: str) -> None:
    """Nothing but dye and arcs takes light then: what weak dye and clear arcs leave goes round until it is given up."""
    changes = {"chamber.reflectivity": "1", "chamber.opening_fraction": "0", "chamber.diffuse_fraction": mirrors}
    perfect = inputs(changes=changes | {"dye.concentration": "1e-9 mol/L", "chamber.wall": "grey"})
    assert recipe(perfect.machine, 8).rays < recipe(inputs().machine, 8).rays / 4
    stages = Chain().run(perfect)
    found = traced_map(recipe(perfect.machine, perfect.shells))
    assert found.imbalance < 1e-12
    assert np.isfinite(stages.pump.energy).all()
    assert 1e-3 < stages.pump.given_up < found.cut.max() < 1
    assert any(finding.path == "chamber.reflectivity" for finding in chamber_findings(stages))
    usual = Chain().run(inputs())
    assert usual.pump.given_up < 1e-8
    assert not any(finding.path == "chamber.reflectivity" for finding in chamber_findings(usual))


# ---------------------------------------------------------------- stages


@pytest.fixture(scope="module")
def staged() -> Callable[..., Stages]:
    chain = Chain()
    return lambda *given, **named: chain.run(inputs(*given, **named))


def test_the_spectrum_adds_up_to_the_energy(staged: Callable[..., Stages]) -> None:
    stages = staged()
    pump = stages.pump
    assert pump.absorbed_spectrum.shape == (len(WAVELENGTH), stages.inputs.shells)
    by_shell = (pump.absorbed_spectrum * spectral_bands()[1][:, None]).sum(axis=0)
    assert by_shell == pytest.approx(pump.energy, rel=1e-9)
    assert 0 < pump.standard_error < 5e-3
    assert pump.method == "ray tracing"
    assert staged(changes={"chamber.light_method": "closed form"}).pump.standard_error == 0


@pytest.mark.slow
def test_a_slab_lases(staged: Callable[..., Stages]) -> None:
    changes = {
        "cell.shape": "slab", "cell.width": "14 mm", "cell.bore": "5 mm",
        "chamber.reflector": "circular", "chamber.diameter": "44 mm", "chamber.semi_minor": "20 mm",
    }  # fmt: skip
    stages = staged(changes=changes)
    energy, cell = stages.pump.energy, stages.inputs.machine.cell
    assert stages.gain.output_energy > 0
    # lamps on both sides: the layers are the same seen from either
    assert energy == pytest.approx(energy[::-1], rel=0.02)
    assert energy[0] > energy[3]
    assert stages.pump.shell_radius == pytest.approx(5e-3 * np.arange(1, 9) / 8)
    assert cell_area(cell) == pytest.approx(70e-6)
    assert cell_volume(cell) == pytest.approx(70e-6 * 0.15)
    assert half_width(cell) == pytest.approx(2.5e-3)
    quick = Chain().run(replace(stages.inputs, quick=True))
    assert quick.pump.energy == pytest.approx(quick.pump.energy[::-1], rel=1e-9)
    assert 0.4 < quick.pump.energy.sum() / energy.sum() < 1.3


@pytest.mark.slow
def test_a_coaxial_lamp_pumps_from_all_sides(staged: Callable[..., Stages]) -> None:
    stages = staged("lanternroom")
    light = float((stages.light.spectrum * stages.light.width).sum())
    assert 0.03 * light < stages.pump.energy.sum() < light
    assert np.all(np.diff(stages.pump.energy) > 0)
    assert stages.gain.output_energy > 0


def test_zones_of_a_round_cell() -> None:
    cell = inputs().machine.cell
    edges = np.concatenate([[0.0], zone_edges(cell, 5)])
    assert np.pi * np.diff(edges**2) == pytest.approx(np.full(5, cell_area(cell) / 5))


def test_where_no_light_reaches_the_dye_it_is_told(staged: Callable[..., Stages]) -> None:
    stages = staged()
    dark = replace(stages, pump=replace(stages.pump, energy=0 * stages.pump.energy))
    assert [item.path for item in chamber_findings(dark) if item.grade == "warning"] == ["chamber"]
    assert not [item for item in chamber_findings(stages) if item.grade == "warning"]


# ---------------------------------------------------------------- what is drawn


@pytest.mark.parametrize(
    ("name", "changes", "outlines"),
    [
        ("tidewater", {}, 2),
        ("tidewater", {"chamber.reflector": "circular", "chamber.diameter": "60 mm"}, 1),
        ("longwave", {}, 1),
        ("lanternroom", {}, 1),
        ("millpond", {}, 1),
    ],
)
def test_drawn_rays_stay_inside_their_outlines(name: str, changes: dict[str, str], outlines: int) -> None:
    given = inputs(name, changes)
    found = ray_sample(given, count=25, seed=3)
    assert len(found.paths) == len(found.weights) == 25
    assert len(found.outlines) == outlines
    assert [lamp[0] for lamp in found.lamps] == list(given.machine.lamps)
    reach = max(float(np.hypot(*outline.T).max()) for outline in found.outlines)
    for path, weight in zip(found.paths, found.weights, strict=True):
        assert np.hypot(*path.T).max() <= reach * (1 + 1e-6)
        assert len(weight) == len(path) - 1
        assert np.all(np.diff(weight) <= 1e-12)
        assert np.all((weight >= 0) & (weight <= 1))
    for outline in found.outlines:
        assert outline[0] == pytest.approx(outline[-1], abs=1e-12)
    again = ray_sample(given, count=25, seed=3)
    assert all(np.array_equal(a, b) for a, b in zip(found.paths, again.paths, strict=True))


def test_rays_of_an_ellipse_go_by_the_other_focus() -> None:
    """Of drawn rays that leave their lamp clear of the cell most pass it after their first wall hit."""
    found = ray_sample(inputs("millpond"), count=60, seed=1)
    reached = sum(bool(np.any(np.hypot(*path.T) < 2.05e-3)) for path in found.paths)
    assert reached > 30
