"""Lamps side by side, lamps that differ in their glass, heavily damped loops, and light that comes back to a lamp."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from pulsewright.engine.chain import Chain, Stages
from pulsewright.engine.electric import still_carries, took_off
from pulsewright.physics.lamp.square_law import impedance_parameter
from pulsewright.records import Shot

SQUARE = {"loop.lamp_law": "square-root law"}


def three(tree: dict[str, Any], **west: str) -> None:
    """A third lamp, in a round chamber."""
    tree["lamps"]["north"] = dict(tree["lamps"]["west"])
    tree["lamps"]["north"].update(west)
    tree["chamber"].update(reflector="circular", diameter="60 mm")


def at_peak(shot: Shot) -> tuple[float, float]:
    """Peak current and lamp voltage then."""
    current, voltage = shot.arrays["current"].values, shot.arrays["lamp_voltage"].values
    top = int(np.argmax(current))
    return float(current[top]), float(voltage[top])


def test_alike_lamps_in_parallel_have_k0_over_the_root_of_their_number(shot_of: Callable[..., Shot]) -> None:
    """Fact sheet on pulsed power 1.1: n in parallel K0 / sqrt(n), not K0 / n; n in series n K0."""
    single = float(impedance_parameter(150e-3, 7e-3, 100 * 133.322368, "xenon"))
    current, voltage = at_peak(shot_of({**SQUARE, "loop.lamps_connected": "parallel"}))
    assert voltage - 15.0 == pytest.approx(single / np.sqrt(2) * np.sqrt(current), rel=2e-3)
    current, voltage = at_peak(shot_of(SQUARE))
    assert voltage - 30.0 == pytest.approx(2 * single * np.sqrt(current), rel=2e-3)


def test_unlike_lamps_in_parallel_share_by_their_k0(stages_of: Callable[..., Stages]) -> None:
    """The same voltage stands on all, so shares go as 1 / K0^2: K0 goes as 1 / bore."""
    changes = {**SQUARE, "loop.lamps_connected": "parallel"}
    stages = stages_of(changes, lambda tree: three(tree, bore="14 mm"))
    narrow, wide = stages.discharge.peak_current_density
    assert wide * 4 / narrow == pytest.approx(4.0, rel=1e-3)
    share = narrow * np.pi * 7e-3**2 / 4 / stages.discharge.peak_current
    assert share == pytest.approx(1 / 6, rel=1e-3)


def test_lamps_that_differ_in_glass_alone_are_computed_apart(stages_of: Callable[..., Stages]) -> None:
    """One envelope that blocks the ultraviolet takes over half of what two take: it also meets the other's light."""
    blocking = "ultraviolet-blocking fused silica"
    energies = [
        float(stages_of(changes).pump.energy.sum())
        for changes in (
            {},
            {"lamps.east.envelope": blocking},
            {"lamps.west.envelope": blocking},
            {"lamps.east.envelope": blocking, "lamps.west.envelope": blocking},
        )
    ]
    assert energies[1] == pytest.approx(energies[2], rel=1e-9)
    assert 1.01 * energies[3] < energies[1] < 0.5 * (energies[0] + energies[3])


def test_a_black_arc_takes_no_more_than_its_own_size_of_the_light_on_its_envelope(
    stages_of: Callable[..., Stages],
) -> None:
    """A cylinder inside another meets the ratio of the radii of the diffuse light that falls on the outer one."""
    stages = stages_of({"lamps.east.wall_thickness": "3.5 mm", "lamps.west.wall_thickness": "3.5 mm"})
    black = (stages.light.wavelength > 1.5e-6) & (stages.light.wavelength < 2.5e-6)
    assert stages.light.absorptance[:, black].max() == pytest.approx(0.5, abs=0.02)
    seen = (stages.light.wavelength > 300e-9) & (stages.light.wavelength < 1e-6)
    assert stages.light.absorptance[:, seen].max() < 0.5


def test_a_heavily_damped_loop_is_followed_until_the_bank_is_spent(stages_of: Callable[..., Stages]) -> None:
    stages = stages_of(
        {"loop.inductance": "50 nH", "bank.capacitance": "20 uF", "bank.charge_voltage": "3 kV"},
    )
    record = stages.discharge.record
    assert record.time[-1] > 40 * np.sqrt(50e-9 * 20e-6) * 1.01
    assert record.energies["left on the bank"] < 0.02 * stages.discharge.stored_energy
    assert not still_carries(record)


def test_a_current_that_flows_on_is_told(shot_of: Callable[..., Shot]) -> None:
    """A loop of 500 ohm needs some thousands of sqrt(L C)."""
    shot = shot_of({"loop.resistance": "500 ohm"})
    told = [item for item in shot.findings if item.path == "loop" and "still flows" in item.message]
    assert [item.grade for item in told] == ["warning"]


@pytest.mark.parametrize(("volts", "off"), [("1.5 kV", False), ("3 kV", True)])
def test_whether_an_arc_took_off(stages_of: Callable[..., Stages], volts: str, off: bool) -> None:
    stages = stages_of({"bank.charge_voltage": volts})
    assert took_off(stages.inputs, stages.discharge.record) is off


def test_no_current_is_said_to_flow_where_no_arc_took_off(shot_of: Callable[..., Shot]) -> None:
    shot = shot_of({"bank.charge_voltage": "1.5 kV"})
    assert shot.outcome == "no discharge"
    assert not [item for item in shot.findings if "flows" in item.message]


def test_heat_conducted_to_the_wall_stands_in_the_budget(stages_of: Callable[..., Stages]) -> None:
    """Some per cent of the heat of the columns; it grows with the factor that carries its range."""

    def share(stages: Stages) -> float:
        return sum(stages.discharge.record.wall_energy) / sum(stages.discharge.group_energy)

    slow = {"bank.capacitance": "200 uF", "loop.inductance": "20 uH", "bank.charge_voltage": "2 kV"}
    for changes in (slow, {}):
        assert 0.01 < share(stages_of(changes)) < 0.15
    varied = stages_of().inputs.varied("reference.plasma.wall_factor", 3.0)
    assert 2.0 < share(Chain().run(varied)) / share(stages_of()) < 3.1


def test_fill_that_leaves_for_the_dead_volume_is_told(
    shot_of: Callable[..., Shot], stages_of: Callable[..., Stages]
) -> None:
    slow = {"bank.capacitance": "200 uF", "loop.inductance": "20 uH", "bank.charge_voltage": "2 kV"}
    dead = {"lamps.east.dead_volume": "2 cm^3"}
    told = [item.path for item in shot_of({**slow, **dead}).findings if "dead volume" in item.message]
    assert told == ["lamps.east"]
    east, west = (group.tables.number_density for group in stages_of({**slow, **dead}).discharge.groups)
    assert 0.05 < east / west < 0.5
    # in microseconds nothing leaves to speak of
    east, west = (group.tables.number_density for group in stages_of(dead).discharge.groups)
    assert 0.7 < east / west < 1.0


def test_a_plasma_beyond_its_tables_is_told(shot_of: Callable[..., Shot]) -> None:
    usual = shot_of()
    assert not [item for item in usual.findings if "more than three charges" in item.message]
    shot = shot_of({"lamps.east.fill_pressure": "1 torr", "lamps.west.fill_pressure": "1 torr"})
    told = {item.path for item in shot.findings if "more than three charges" in item.message}
    assert told == {"lamps.east", "lamps.west"}
    assert {item.path for item in shot.findings if "against anything published" in item.message} == told
    assert {item.path for item in shot.findings if "vapour of the wall" in item.message} == told


@pytest.mark.parametrize(
    "changes",
    [
        {"lamps.east.gas": "argon"},
        {"lamps.east.gas": "air"},
        {"lamps.east.second_gas": "krypton", "lamps.east.second_gas_fraction": "0.3"},
    ],
)
def test_a_gas_without_any_published_law_is_told(shot_of: Callable[..., Shot], changes: dict[str, str]) -> None:
    shot = shot_of(changes)
    assert [item.path for item in shot.findings if "unchecked" in item.message] == ["lamps.east"]


def test_every_gas_of_a_blend_carries_its_ranges(stages_of: Callable[..., Stages]) -> None:
    reference = stages_of({"lamps.east.gas": "air"}).inputs.reference
    read = {path.split(".")[1] for path in reference if path.endswith("biberman_factor")}
    assert read == {"xenon", "nitrogen", "oxygen", "argon"}
    assert not [path for path in reference if "vaporising" in path or "line_strength" in path]


def test_near_infrared_lines_reach_the_light_and_carry_their_ranges(stages_of: Callable[..., Stages]) -> None:
    lined = {f"lamps.{name}.near_infrared_lines": "added" for name in ("east", "west")}
    bare, added = stages_of(), stages_of(lined)
    near = (bare.light.wavelength > 0.8e-6) & (bare.light.wavelength < 1.0e-6)
    seen = (bare.light.wavelength > 0.4e-6) & (bare.light.wavelength < 0.7e-6)
    width = bare.light.width

    def energy(stages: Stages, band: np.ndarray) -> float:
        return float((stages.light.spectrum * width)[band].sum())

    assert energy(added, near) > 1.03 * energy(bare, near)
    assert energy(added, seen) == pytest.approx(energy(bare, seen), rel=0.08)
    assert "reference.xenon.line_broadening" in added.inputs.reference


def test_more_light_than_published_is_told(shot_of: Callable[..., Shot]) -> None:
    """The share is that of the spectrum behind the envelopes in what the lamps were given."""
    shot = shot_of()
    told = [item.message for item in shot.findings if "between 0.2 and 1 um" in item.message]
    assert len(told) == 1
    wavelength, spectrum = shot.arrays["lamp_wavelength"].values, shot.arrays["lamp_spectrum"].values
    inside = (wavelength > 0.2e-6) & (wavelength < 1e-6)
    share = np.trapezoid(spectrum[inside], wavelength[inside]) / shot.summary["lamp_energy"].value
    assert share > 0.6
    assert float(told[0].split(" %")[0]) == pytest.approx(100 * share, abs=2.0)
    faint = shot_of({"bank.charge_voltage": "4 kV"})
    assert not [item for item in faint.findings if "between 0.2 and 1 um" in item.message]


def test_energy_that_nobody_paid_is_told(shot_of: Callable[..., Shot], stages_of: Callable[..., Stages]) -> None:
    """A filled bore of 100 torr at 10 000 K holds some joules; light and wall can then get more than was given."""
    assert not [item for item in shot_of().findings if "does not pay" in item.message]
    faint = {**SQUARE, "bank.charge_voltage": "2 kV"}
    record = stages_of(faint).discharge.record
    assert record.radiated_energy + sum(record.wall_energy) > 1.05 * sum(record.group_energy)
    shot = shot_of(faint)
    assert [item.path for item in shot.findings if "does not pay" in item.message] == ["trigger.channel_radius"]
