"""Binding of a lamp's fill and glass to the plasma: what is read, what is varied, what a wall takes and gives."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from pulsewright import refdata
from pulsewright.engine import lamp_plasma
from pulsewright.engine.chain import Stages
from pulsewright.engine.inputs import uncertain_inputs
from pulsewright.engine.lamp_plasma import bore_share, filled_diameter, lamp_tables, surface_absorptance, wall_vapour
from pulsewright.physics.lamp import tables
from pulsewright.physics.lamp.blackbody import minimum_temperature
from pulsewright.physics.lamp.dead_volume import pressure_transit_time, remaining_fill
from pulsewright.physics.lamp.tables import spectral_bands
from pulsewright.physics.lamp.wall import vaporising_fluence
from pulsewright.records import Shot

BOTH = ("east", "west")


def lamps(**changes: str) -> dict[str, str]:
    return {f"lamps.{name}.{key}": value for name in BOTH for key, value in changes.items()}


#: A narrow lamp of little fill at a high voltage: the wall vaporises.
HARD = {**lamps(bore="3 mm", fill_pressure="10 torr", wall_vapour="ablated"), "bank.charge_voltage": "12 kV"}


def test_wall_takes_the_fluence_of_the_formula(stages_of: Callable[..., Stages]) -> None:
    inputs = stages_of(lamps(wall_vapour="ablated")).inputs
    found = wall_vapour(inputs, inputs.machine.lamps["east"])
    glass = refdata.glass("clear fused silica")
    properties = (float(glass.thermal_conductivity), float(glass.density), float(glass.heat_capacity))
    fluence = vaporising_fluence(4e-6, float(glass.vaporising_temperature) - 300.0, *properties)
    assert np.sqrt(found.inertia * 4e-6) == pytest.approx(fluence, rel=1e-12)
    # 13.5 MJ/kg of SiO2, 60.08 u, three nuclei
    assert found.formation_energy == pytest.approx(13.5e6 * 60.083 * 1.66053907e-27 / 3, rel=1e-3)


def test_what_is_varied_is_what_is_read(stages_of: Callable[..., Stages]) -> None:
    plain = {item.path for item in uncertain_inputs(stages_of().inputs)}
    hard = {item.path for item in uncertain_inputs(stages_of(lamps(wall_vapour="ablated")).inputs)}
    added = {path.removeprefix("reference.") for path in hard - plain}
    glass = "clear fused silica"
    assert added == {
        *(f"{glass}.{field}" for field in ("opaque_below", "thermal_conductivity", "vaporising_temperature")),
        f"{glass}.vaporisation_energy",
        *(
            f"{atom}.{field}"
            for atom in ("silicon", "oxygen")
            for field in ("biberman_factor", "continuum_edge_energy", "momentum_transfer_cross_section")
        ),
    }
    assert "reference.plasma.wall_factor" in plain
    dead = {item.path for item in uncertain_inputs(stages_of(lamps(dead_volume="1 cm^3")).inputs)}
    assert dead - plain == {"reference.plasma.settled_temperature"}


@pytest.mark.slow
def test_every_varied_coefficient_moves_something(
    stages_of: Callable[..., Stages], monkeypatch: pytest.MonkeyPatch
) -> None:
    """An input whose range reaches nothing would be an empty promise. Coarse tables are enough to see it."""
    monkeypatch.setattr(tables, "SIZES", (40, 50, 8))
    monkeypatch.setattr(lamp_plasma, "stored_tables", lambda _, build: build())
    lamp_plasma._tables.cache_clear()
    inputs = stages_of({**HARD, **lamps(near_infrared_lines="added")}).inputs
    lamp = inputs.machine.lamps["east"]
    usual, wall = lamp_tables(inputs, lamp, 1333.2), wall_vapour(inputs, lamp)
    for item in uncertain_inputs(inputs):
        name = item.path.removeprefix("reference.")
        if not item.path.startswith("reference.") or name.split(".")[0] not in (
            "xenon", "silicon", "oxygen", "clear fused silica"
        ):  # fmt: skip
            continue
        varied = inputs.varied(item.path, item.value + item.up)
        moved = lamp_tables(varied, lamp, 1333.2)
        same = all(
            np.array_equal(getattr(moved, field), getattr(usual, field))
            for field in ("log_resistivity", "log_exitance", "log_wall_exitance")
        )
        assert not same or wall_vapour(varied, lamp) != wall, name
    lamp_plasma._tables.cache_clear()


def test_vapour_of_the_wall_is_told_and_cools_the_plasma(
    stages_of: Callable[..., Stages], shot_of: Callable[..., Shot]
) -> None:
    bare = stages_of({**HARD, **lamps(wall_vapour="none")})
    hard = stages_of(HARD)
    assert hard.discharge.record.vapour.max() > 0
    assert bare.discharge.record.vapour.max() == 0
    late = hard.discharge.record.time > hard.discharge.record.time[np.argmax(hard.discharge.record.current)]
    assert hard.discharge.record.temperature[late].max() < bare.discharge.record.temperature[late].max()
    told = [item for item in shot_of(HARD).findings if "times the fill: the plasma is then silicon" in item.message]
    assert {item.path for item in told} == {"lamps.east", "lamps.west"}
    assert {item.grade for item in told} == {"warning"}
    calm = shot_of(lamps(wall_vapour="ablated")).findings
    assert not [item for item in calm if "silicon and oxygen" in item.message]


def test_surface_takes_up_whole_bands_below_the_edge_and_a_part_of_the_one_it_cuts() -> None:
    centre, width = spectral_bands()
    share = surface_absorptance(163e-9)
    assert share is not None
    assert np.all(share[centre + width / 2 <= 163e-9] == 1.0)
    assert np.all(share[centre - width / 2 >= 163e-9] == 0.0)
    assert np.sum(share * width) == pytest.approx(163e-9 - 50e-9, rel=1e-9)
    assert surface_absorptance(0.0) is None


def test_what_leaves_the_bore_goes_by_the_whole_fill_and_the_lamp_s_own_loop(stages_of: Callable[..., Stages]) -> None:
    """A lighter fill leaves sooner, a longer pulse gives it more time; each by the formulas of the dead volume."""

    def share(**changes: str) -> float:
        inputs = stages_of({**lamps(dead_volume="1 cm^3"), **changes}).inputs
        return bore_share(inputs, inputs.machine.lamps["east"])

    def by_hand(mass: float, pulse: float) -> float:
        transit = float(pressure_transit_time(0.15, mass * 1.66053907e-27, 12e3))
        volume = np.pi / 4 * 7e-3**2 * 0.15
        return float(remaining_fill(1e-6 / volume, pulse / transit, 2 * 12e3 / 300))

    mesh = 3 * np.sqrt(1.5e-6 * 4e-6)
    assert share() == pytest.approx(by_hand(131.293, mesh), rel=1e-6)
    mixed = share(**lamps(second_gas="helium", second_gas_fraction="0.9"))
    assert mixed == pytest.approx(by_hand(0.1 * 131.293 + 0.9 * 4.0026, mesh), rel=1e-6)
    unused = share(**{"loop.sections": "6", "loop.section_inductance": "20 uH"})
    assert unused == share()  # a single mesh has no sections
    network = share(
        **{"loop.network": "pulse-forming network", "loop.sections": "6", "loop.section_inductance": "2 uH"}
    )
    assert network == pytest.approx(by_hand(131.293, 3 * np.sqrt(11.5e-6 * 4e-6)), rel=1e-6)
    injected = share(**{"trigger.method": "series injection", "trigger.saturated_inductance": "5 uH"})
    assert injected == pytest.approx(by_hand(131.293, 3 * np.sqrt(6.5e-6 * 4e-6)), rel=1e-6)


@pytest.mark.slow
def test_a_fill_of_almost_one_gas_is_varied_within_its_range(shot_of: Callable[..., Shot]) -> None:
    """97 % of a second gas, give or take ten: no more than all of it is ever taken."""

    def change(tree: dict[str, Any]) -> None:
        for lamp in tree["lamps"].values():
            share = {"value": 0.97, "spread": 0.1, "basis": "estimated", "source": "a test"}
            lamp.update(second_gas="krypton", second_gas_fraction=share)

    output = shot_of(shape=change, interval=True).summary["output_energy"]
    assert output.value is not None
    assert output.low is not None
    assert output.high is not None
    assert output.low <= output.value <= output.high


def test_bore_share_and_annulus(stages_of: Callable[..., Stages]) -> None:
    inputs = stages_of(lamps(dead_volume="1 cm^3")).inputs
    lamp = inputs.machine.lamps["east"]
    assert 0.8 < bore_share(inputs, lamp) < 1.0
    assert bore_share(stages_of().inputs, stages_of().inputs.machine.lamps["east"]) == 1.0
    assert filled_diameter(lamp) == pytest.approx(7e-3)


@pytest.mark.parametrize("changes", [{}, HARD, lamps(near_infrared_lines="added"), lamps(gas="air")])
def test_no_instant_outshines_a_black_body(stages_of: Callable[..., Stages], changes: dict[str, str]) -> None:
    """T >= (F / sigma)^(1/4) at every instant of a shot, F over the surface of the arc."""
    stages = stages_of(changes)
    record, (group,) = stages.discharge.record, stages.discharge.groups
    surface = 2 * np.pi * record.arc_radius[:, 0] * group.length * group.count
    flux = stages.light.radiated_power / surface
    assert flux.max() > 0
    assert np.all(record.temperature[:, 0] >= np.asarray(minimum_temperature(flux)) * (1 - 1e-6))
