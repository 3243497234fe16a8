"""Heat, sound and index of shots: the photon budget a second time, causality, walls, liquids, what is left."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from types import SimpleNamespace
from typing import Any

import numpy as np
import pytest
from scipy import constants
from scipy.special import j0

from pulsewright import machine as machines
from pulsewright.engine import heat, lamp_pressure
from pulsewright.engine.chain import Chain, Stages
from pulsewright.engine.heat import cell_wall, heat_of, heat_stage, path_length, photon_energies
from pulsewright.engine.heat_after import heat_after
from pulsewright.engine.inputs import inputs_of
from pulsewright.engine.lamp_pressure import plasma_pressure
from pulsewright.engine.liquid import liquid
from pulsewright.machine.parts import Machine
from pulsewright.physics.thermal.heat_source import heat_by_channels, shells_to_cells

StagesOf = Callable[..., Stages]
BENCHES = ("tidewater", "longwave", "millpond")


@pytest.fixture(scope="module")
def shots() -> dict[str, Stages]:
    """One shot of each example bench, at its own voltage."""
    found = {}
    for name in BENCHES:
        loaded = machines.load_text(machines.bench_text(name), "laser.toml")
        assert loaded.build is not None
        found[name] = Chain().run(inputs_of(loaded.build))
    return found


def tidewater(**changes: Any) -> Machine:
    loaded = machines.load_text(machines.bench_text("tidewater"), "laser.toml")
    assert loaded.build is not None
    return loaded.build.override(changes).machine if changes else loaded.build.machine


@pytest.mark.parametrize("name", BENCHES)
def test_energy_closes(shots: dict[str, Stages], name: str) -> None:
    """Absorbed = heat + fluorescence + light + stored; the heat counted process by process is the same to 1e-3."""
    stages = shots[name]
    budget = heat_stage(stages).budget
    parts = budget["heat"] + budget["fluorescence"] + budget["light"] + budget["stored"]
    assert parts == pytest.approx(budget["absorbed"], rel=1e-9)
    energies = photon_energies(stages)
    second = heat_by_channels(stages.gain.record.photons, budget["absorbed"], energies)
    kept = stages.gain.record.triplets[-1].mean() * stages.dye.density * energies.triplet
    volume = np.pi * stages.inputs.machine.cell.bore**2 / 4 * stages.inputs.machine.cell.pumped_length
    assert second - kept * volume == pytest.approx(budget["heat"], abs=1e-3 * budget["absorbed"])
    assert 0 < budget["heat"] < budget["absorbed"] <= 1.001 * stages.pump.energy.sum()


@pytest.mark.parametrize("name", BENCHES)
def test_heat_rises_in_every_shell_and_never_beyond_what_is_absorbed(shots: dict[str, Stages], name: str) -> None:
    source = heat_of(shots[name])
    assert np.all(np.diff(source.heat, axis=0) > -1e-6 * source.absorbed[-1])
    assert np.all(source.heat <= source.absorbed + 1e-12)


@pytest.mark.parametrize("name", BENCHES)
def test_even_heat_leaves_the_axis_alone_until_sound_arrives(shots: dict[str, Stages], name: str) -> None:
    """No part of the dye knows of the wall before sound can tell it: the index is even there until then."""
    stages = shots[name]
    found = heat_stage(stages, even=True)
    speed, radius = liquid(stages.inputs.machine).sound_speed, stages.inputs.machine.cell.bore / 2
    start = found.heat_time[0]
    late = found.heat_time[-1] - start > 3 * radius / speed
    assert late
    scale = np.abs(found.index_change).max()
    for place in (0, len(found.heat_radius) // 2):
        arrival = start + (radius - found.heat_radius[place]) / speed
        before = found.heat_time < arrival - 0.05 * radius / speed
        inner = found.index_change[before][:, : place + 1]
        assert np.all(np.abs(inner - inner[:, :1]) < 1e-4 * scale)
    if found.first_disturbed is not None and found.spoilt_time is not None:
        assert start < found.first_disturbed <= found.spoilt_time


def test_uneven_heat_spoils_more_than_even_heat(shots: dict[str, Stages]) -> None:
    stages = shots["tidewater"]
    uneven, even = heat_stage(stages), heat_stage(stages, even=True)
    assert uneven.errors.rms.max() > 3 * even.errors.rms.max()
    assert uneven.spoilt_time is not None
    assert uneven.spoilt_time < (even.spoilt_time or np.inf)


def test_a_stricter_limit_is_passed_earlier(shots: dict[str, Stages]) -> None:
    stages = shots["tidewater"]
    limits = heat_stage(stages).errors.rms.max() * np.array([0.01, 0.05, 0.3, 0.9])
    moments = [heat_stage(stages, limit).spoilt_time for limit in limits]
    assert None not in moments
    assert moments == sorted(moments)  # type: ignore[type-var]
    energies = [heat_stage(stages, limit).energy_before_spoilt for limit in limits]
    assert energies == sorted(energies)
    whole = heat_stage(stages, 1e6)
    assert whole.spoilt_time is None
    assert whole.energy_before_spoilt == stages.gain.output_energy
    assert whole.energy_after_spoilt == 0.0


@pytest.mark.parametrize("solvent", ["as built", "water"])
def test_late_index_is_that_of_the_expanded_liquid(shots: dict[str, Stages], solvent: str) -> None:
    """After a pulse of many transits (longwave), differences of index are dn/dT times those of temperature.

    In water a sixth of it is not by expansion.
    """
    stages = shots["longwave"]
    own = liquid(tidewater(**{"dye.solvent": solvent}) if solvent == "water" else stages.inputs.machine)
    found = heat_stage(stages, medium=own)
    volume = np.pi * stages.inputs.machine.cell.bore**2 / 4 * stages.inputs.machine.cell.pumped_length
    heat = shells_to_cells(len(found.shell_heat), len(found.heat_radius)) @ found.shell_heat / volume
    expanded = own.index_temperature_coefficient * heat / (own.density * own.specific_heat)
    uneven = expanded - found.weight @ expanded
    last = found.index_change[-1] - found.weight @ found.index_change[-1]
    assert np.abs(last - uneven).max() < 0.01 * np.ptp(uneven)


def test_a_beam_is_widened_when_rays_bend_beyond_half_its_full_angle(shots: dict[str, Stages]) -> None:
    """Divergence is a full angle, a bent ray's is counted from the axis."""
    stages = shots["tidewater"]
    found = heat_stage(stages)
    half = 0.5 * float(found.ray_angle.max())
    first = int(np.argmax(found.ray_angle > half))
    changed = heat_stage(replace(stages, beam=replace(stages.beam, divergence_high=2 * half)))
    assert changed.widened_time is not None
    assert found.heat_time[first - 1] <= changed.widened_time <= found.heat_time[first]


def test_walls() -> None:
    """A tube is heavy and stiff; water outside takes more than air; a flat plate has no hoop."""
    plain = tidewater()
    tube = cell_wall(plain)
    assert tube.mass == pytest.approx(2203 * plain.cell.wall_thickness, rel=0.01)
    assert tube.stiffness > 0
    dry = replace(plain, chamber=replace(plain.chamber, coolant="none"))
    assert cell_wall(dry).resistance < 1e-3 * cell_wall(plain).resistance
    flat = replace(plain, cell=replace(plain.cell, shape="slab", width=20e-3))
    assert cell_wall(flat).stiffness == 0.0


def test_pressure_of_a_hot_column(shots: dict[str, Stages]) -> None:
    """Once ionised, between that of the atoms alone and that of atoms three times ionised."""
    stages = shots["tidewater"]
    record, group = stages.discharge.record, stages.discharge.groups[0]
    hottest = int(np.argmax(record.temperature[:, 0]))
    state = record.energy_per_length[:, 0], record.arc_radius[:, 0] ** 2, record.vapour[:, 0]
    pressure = plasma_pressure(group, *state, record.temperature[:, 0])
    alone = group.tables.number_density * constants.k * record.temperature[hottest, 0]
    assert 1.2 * alone < pressure[hottest] < 4.0 * alone


def test_waiting_by_flow_and_at_rest(shots: dict[str, Stages]) -> None:
    stages = shots["tidewater"]
    heat, plain = heat_stage(stages), tidewater()
    name = next(iter(plain.loops))
    flowing = heat_after(plain, heat)
    assert flowing.how == "flow"
    twice = replace(plain, loops={name: replace(plain.loops[name], flow=2 * (plain.loops[name].flow or 0.0))})
    assert heat_after(twice, heat).waiting_time == pytest.approx((flowing.waiting_time or 0.0) / 2)
    still = replace(plain, loops={name: replace(plain.loops[name], method="stagnant")})
    rested = heat_after(still, heat)
    assert rested.how == "conduction"
    assert (rested.waiting_time or 0.0) > 3 * rested.time_constant  # 2 to 3 settling times leave too much of 86 waves
    fresh = replace(plain, loops={name: replace(plain.loops[name], method="fresh fill", flow=None)})
    assert heat_after(fresh, heat).waiting_time is None
    none = replace(plain, loops={})
    assert heat_after(none, heat).how == "conduction"


def test_a_layer_at_the_wall_grows_with_the_mismatch_and_shrinks_with_flow(shots: dict[str, Stages]) -> None:
    heat, plain = heat_stage(shots["tidewater"]), tidewater()
    warm = replace(plain, chamber=replace(plain.chamber, coolant_temperature=plain.dye.temperature + 0.5))
    found = heat_after(warm, heat)
    assert found.mismatch == pytest.approx(0.5)
    assert found.mismatch_waves == pytest.approx(5 * found.waves_per_tenth)
    assert heat_after(plain, heat).mismatch_waves == 0.0
    name = next(iter(plain.loops))
    fast = replace(warm, loops={name: replace(plain.loops[name], flow=10 * (plain.loops[name].flow or 0.0))})
    # a layer of thickness d at the edge has an rms of sqrt(d), and d grows with the square root of time
    assert heat_after(fast, heat).waves_per_tenth == pytest.approx(10**-0.25 * found.waves_per_tenth, rel=0.03)


def test_it_costs_about_a_millisecond(shots: dict[str, Stages]) -> None:
    """Counted, not timed: steps of the sound, each some 0.2 us."""
    assert heat_stage(shots["tidewater"]).steps < 3000
    assert heat_stage(shots["longwave"]).steps < 12000


def test_a_very_long_pulse_takes_fewer_cells(shots: dict[str, Stages], monkeypatch: pytest.MonkeyPatch) -> None:
    """Three quarters of the cells and of the steps; the wavefront of this steep pump moves by less than 3 per cent."""
    stages = shots["longwave"]
    usual = heat_stage(stages)
    monkeypatch.setattr(heat, "MOST_STEPS", usual.steps // 2)
    short = heat_stage(stages)
    assert len(short.heat_radius) == heat.LEAST_CELLS < len(usual.heat_radius)
    assert short.steps < 0.8 * usual.steps
    assert short.errors.rms[-1] == pytest.approx(usual.errors.rms[-1], rel=0.03)


@pytest.mark.slow
@pytest.mark.parametrize(
    "changes",
    [
        {"bank.charge_voltage": "3 kV"},
        {"resonator.photon_field": "single mode"},
        {"dye.solvent": "ethylene glycol"},
        {"dye.atmosphere": "argon"},
    ],
    ids=str,
)
def test_other_shots_close_and_stay_finite(stages_of: StagesOf, changes: dict[str, str]) -> None:
    found = heat_stage(stages_of(changes))
    assert np.all(np.isfinite(found.index_change))
    assert np.all(np.isfinite(found.errors.rms))
    budget = found.budget
    total = budget["heat"] + budget["fluorescence"] + budget["light"] + budget["stored"]
    assert total == pytest.approx(budget["absorbed"], rel=1e-9)
    assert budget["heat"] > 0


@pytest.mark.slow
def test_a_slab_is_followed_from_face_to_face(stages_of: StagesOf) -> None:
    """Even heat between two like faces stays a mirror image of itself, and all of its curvature is focus and rest."""
    stages = stages_of({"cell.shape": "slab", "cell.width": "20 mm", "cell.bore": "5 mm"})
    even = heat_stage(stages, even=True)
    np.testing.assert_allclose(even.index_change, even.index_change[:, ::-1], atol=1e-12)
    assert even.heat_radius[0] > 0
    assert even.heat_radius[-1] < 5e-3
    found = heat_stage(stages)
    assert found.budget["heat"] > 0
    assert found.weight.sum() == pytest.approx(1.0)
    left = heat_after(stages.inputs.machine, found)
    conducted = 5e-3**2 / (np.pi**2 * 8.67e-8)  # ethanol: the slowest cosine between two faces
    assert left.time_constant == pytest.approx(conducted, rel=0.01)


def test_two_cells_share_light_and_bend_together(stages_of: StagesOf) -> None:
    """Half of the light in each: half of the heat in the first, and, for like cells, the path of both as in one."""

    def second(tree: dict[str, Any]) -> None:
        tree["cells"] = {"second": {"length": "170 mm", "pumped_length": "150 mm", "pump_share": 0.5}}
        tree["resonator"]["length"] = "700 mm"

    one, two = stages_of(), stages_of(None, second)
    single, double = heat_stage(one), heat_stage(two)
    assert path_length(two.inputs.machine) == pytest.approx(2 * path_length(one.inputs.machine))
    assert double.budget["absorbed"] == pytest.approx(0.5 * single.budget["absorbed"], rel=0.03)
    assert 0.4 * single.budget["heat"] < double.budget["heat"] < 0.6 * single.budget["heat"]
    assert double.errors.rms[-1] == pytest.approx(single.errors.rms[-1], rel=0.25)
    assert double.budget["light"] < 0.7 * single.budget["light"]


def test_what_is_in_triplets_takes_no_pump_light(shots: dict[str, Stages]) -> None:
    """Three tenths of the molecules in T1 and one in S1 leave six tenths of what an unbleached dye takes."""
    stages = shots["tidewater"]
    record = stages.gain.record
    empty = replace(record, inversion=0.0 * record.inversion, triplets=0.0 * record.triplets)
    filled = replace(record, inversion=0.1 + empty.inversion, triplets=0.3 + empty.triplets)
    taken = [
        heat_of(replace(stages, gain=replace(stages.gain, record=one))).absorbed[-1].sum() for one in (empty, filled)
    ]
    assert taken[1] == pytest.approx(0.6 * taken[0], rel=1e-12)
    assert taken[0] == pytest.approx(stages.pump.energy.sum(), rel=0.02)


def test_light_of_one_mode_leaves_the_shells_by_the_field_in_them(stages_of: StagesOf) -> None:
    """Alike excited, the shells give as the square of J0 says, most at the axis."""
    stages = stages_of({"resonator.photon_field": "single mode"})
    record = stages.gain.record
    assert record.output_rate.shape[1] == 1
    alike = replace(record, inversion=np.full_like(record.inversion, 1e-3))
    light = heat_of(replace(stages, gain=replace(stages.gain, record=alike))).light[-1]
    edge = np.sqrt(np.linspace(0.0, 1.0, 4001))
    density = j0(2.404825557695773 * 0.5 * (edge[1:] + edge[:-1])) ** 2
    wanted = density.reshape(len(light), -1).mean(axis=1)
    np.testing.assert_allclose(light / light.sum(), wanted / wanted.sum(), rtol=0.02)


def test_pressure_is_that_of_heat_which_cannot_expand(shots: dict[str, Stages]) -> None:
    """Even heat in a tube of glass: beta c^2 q / c_p less what the tube gives way, more where sound comes together."""
    stages = shots["tidewater"]
    found, medium = heat_stage(stages, even=True), liquid(stages.inputs.machine)
    cell = stages.inputs.machine.cell
    density = found.budget["heat"] / (np.pi * cell.bore**2 / 4 * cell.pumped_length)
    closed = medium.expansion * medium.sound_speed**2 / medium.specific_heat * density
    assert 0.7 * closed < found.highest_pressure < 1.3 * closed


def test_light_that_was_sent_in_is_not_taken_from_the_dye(shots: dict[str, Stages]) -> None:
    """Every photon that leaves as light counts, less those of an injected line."""
    stages = shots["tidewater"]
    ways = dict(zip(heat.LIGHT, (5e17, 3e17, 1e17, 2e17), strict=True))
    record = replace(stages.gain.record, photons={**ways, "injected light": 4e17})
    changed = replace(stages, gain=replace(stages.gain, record=record))
    light = heat_of(changed).light[-1].sum()
    assert light == pytest.approx(7e17 * photon_energies(changed).laser, rel=1e-9)


def test_what_is_stored_in_the_end_warms_the_dye_too(shots: dict[str, Stages]) -> None:
    """Mean rise by all that does not leave as light, over the pumped volume."""
    stages = shots["tidewater"]
    machine, medium = stages.inputs.machine, liquid(stages.inputs.machine)
    left = heat_after(machine, replace(heat_stage(stages), budget={"heat": 2.0, "stored": 0.5}))
    volume = np.pi * machine.cell.bore**2 / 4 * machine.cell.pumped_length
    assert left.mean_rise == pytest.approx(2.5 / (volume * medium.density * medium.specific_heat), rel=1e-9)
    assert machine.cell.length > machine.cell.pumped_length  # what is flushed is all of the cell
    assert left.flush_volume == pytest.approx(left.volumes * np.pi * machine.cell.bore**2 / 4 * machine.cell.length)


def test_a_young_arc_pushes_by_its_share_of_the_annulus(monkeypatch: pytest.MonkeyPatch) -> None:
    """20 bar in a quarter of the area push like 5 bar over all of it, after sound has come through the tube."""
    loaded = machines.load_text(machines.bench_text("lanternroom"), "laser.toml")
    assert loaded.build is not None
    plain = loaded.build.machine
    ((name, lamp),) = plain.lamps.items()
    monkeypatch.setattr(lamp_pressure, "plasma_pressure", lambda *_: np.full(3, 2e6))
    column = np.zeros((3, 1))
    record = SimpleNamespace(
        time=np.array([0.0, 1e-6, 2e-6]),
        arc_radius=np.array([[1e-3], [1e-3], [4e-3]]),
        energy_per_length=column,
        vapour=column,
        temperature=column,
    )
    group = SimpleNamespace(full_square=4e-6)
    stages: Any = SimpleNamespace(
        inputs=SimpleNamespace(machine=plain),
        trigger=SimpleNamespace(fires=True),
        discharge=SimpleNamespace(record=record, groups=[group], members=[(name,)]),
    )
    late = plain.cell.wall_thickness / 5900.0
    push = lamp_pressure.push_on_inner_tube(stages, np.array([0.5e-6, 2e-6]) + late)
    np.testing.assert_allclose(push, (2e6 - lamp.fill_pressure) * np.array([0.25, 1.0]), rtol=0.01)
