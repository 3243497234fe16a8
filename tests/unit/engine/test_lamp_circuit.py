"""The discharge circuit of a build: banks, branches, switches by their kind, and builds at the edge of what is lit."""

from __future__ import annotations

import copy
import tomllib
from typing import Any

import numpy as np
import pytest
import tomlkit

from pulsewright import machine, refdata
from pulsewright.engine.chain import Chain
from pulsewright.engine.electric import DischargeStage, discharge_stage, light_stage
from pulsewright.engine.inputs import Inputs, inputs_of
from pulsewright.engine.lamp_circuit import LampCircuit, lamp_circuit
from pulsewright.engine.trigger import trigger_stage
from pulsewright.studies.shot import compute_shot

LOOP = {"inductance": "1 uH", "resistance": "20 mohm"}


def built(bench: str = "tidewater", **sections: dict[str, Any]) -> machine.Build:
    """A bench with keys changed in sections; a key of None is taken out."""
    tree = copy.deepcopy(tomllib.loads(machine.bench_text(bench)))
    for section, keys in sections.items():
        place = tree.setdefault(section, {})
        place.update({key: value for key, value in keys.items() if value is not None})
        for key in [key for key, value in keys.items() if value is None]:
            place.pop(key, None)
    loaded = machine.load_text(tomlkit.dumps(tree), "laser.toml")
    assert loaded.build is not None, loaded.findings
    return loaded.build


def asked(build: machine.Build) -> Inputs:
    return inputs_of(build)


def circuit_of(**sections: dict[str, Any]) -> LampCircuit:
    inputs = asked(built(**sections))
    return lamp_circuit(inputs, trigger_stage(inputs))


def stage_of(build: machine.Build) -> DischargeStage:
    inputs = asked(build)
    return discharge_stage(inputs, trigger_stage(inputs))


def apart(**own: str) -> dict[str, dict[str, Any]]:
    loops = {name: dict(LOOP) for name in ("east", "west")}
    for name, capacitance in own.items():
        loops[name]["capacitance"] = capacitance
    return {"loop": {"lamps_connected": "separate loops"}, "branches": loops}


def test_a_network_shares_the_bank_among_its_sections() -> None:
    sections = {"network": "pulse-forming network", "sections": 5, "section_inductance": "2 uH"}
    network = circuit_of(loop=sections).network
    assert network.capacitance == pytest.approx((0.8e-6,) * 5)
    assert network.section_inductance == 2e-6


def test_own_capacitors_are_taken_out_of_the_bank() -> None:
    circuit = circuit_of(**apart(east="1 uF"))
    assert circuit.network.capacitance == pytest.approx((3e-6,))
    assert [branch.capacitance for branch in circuit.branches] == [1e-6, None]
    whole = circuit_of(**apart(east="1.01 uF", west="3 uF"))
    assert whole.network.capacitance == ()
    assert sum(branch.capacitance or 0 for branch in whole.branches) == pytest.approx(4e-6)
    found = stage_of(built(**apart(east="1 uF", west="3 uF")))
    assert sum(found.record.energies.values()) == pytest.approx(found.stored_energy, rel=1e-4)


SWITCHES = {
    "triggered spark gap": (0.0, 40.0, True),
    "overvoltage gap": (0.0, 40.0, True),
    "thyratron": (0.0, 150.0, False),
    "hard switch": (0.02, 0.0, False),
    "none": (0.0, 0.0, False),
}


@pytest.mark.parametrize("kind", SWITCHES)
def test_a_switch_without_a_drop_has_that_of_its_kind(kind: str) -> None:
    resistance, drop, channel = SWITCHES[kind]
    keys = {"kind": kind, "drop": None, "resistance": None}
    switch = circuit_of(switch=keys, trigger={"method": "ideal"}).switch
    assert (switch.resistance, switch.drop) == (resistance, drop)
    assert (switch.channel is not None) is channel
    found = stage_of(built(switch=keys, trigger={"method": "ideal"}))
    assert (found.record.energies["switch"] > 0) is (kind != "none")
    given = {path for path in asked(built(switch=keys)).reference if path.startswith("reference.switch.")}
    assert bool(given) is (kind != "none"), "its range reaches the interval"


def test_a_gap_is_as_long_as_its_self_break_asks_for() -> None:
    """11 kV at 3 MV/m of air; without a self-break, the charge voltage of 9.5 kV stands for it."""
    keys = {"kind": "triggered spark gap", "drop": None}
    for trigger, volts in (({"self_break_voltage": "11 kV"}, 11e3), ({}, 9.5e3)):
        channel = circuit_of(switch=keys, trigger=trigger).switch.channel
        assert channel is not None
        assert channel.length == pytest.approx(volts / 3e6)


def test_light_that_comes_back_crosses_the_glass_twice() -> None:
    """Where nothing flows the arc is a faint thread: what is taken up then is one less the square of what glass passes.

    A bound of its own: the thread takes at most its diameter over the tube's.
    """
    build = built(lamps={})
    thick = {f"lamps.{name}.wall_thickness": "20 mm" for name in ("east", "west")}
    thick |= {"chamber.reflector": "circular", "chamber.diameter": "150 mm"}  # walls like these need room
    inputs = asked(
        build.override(
            {
                **thick,
                "lamps.east.envelope": "ozone-free fused silica",
                "lamps.west.envelope": "ozone-free fused silica",
            }
        )
    )
    trigger = trigger_stage(inputs)
    found = light_stage(inputs, discharge_stage(inputs, trigger))
    through = np.exp(-np.interp(found.wavelength, *_curve("ozone-free fused silica")) * 20e-3)
    thread = 2 * 0.5e-3 / 47e-3
    half = (through > 0.3) & (through < 0.9)
    assert np.count_nonzero(half) > 5
    passed = 1 - found.absorptance[0][half]
    assert np.all(passed <= through[half] ** 2 * (1 + 1e-9))
    assert np.all(passed >= through[half] ** 2 * (1 - thread))


def _curve(glass: str) -> tuple[tuple[float, ...], tuple[float, ...]]:
    curve = refdata.glass(glass).absorption_coefficient
    return curve.wavelength, curve.values


def test_a_drop_that_is_given_is_used_as_it_is() -> None:
    switch = circuit_of(switch={"drop": "123 V"}).switch
    assert switch.drop == 123.0
    assert switch.channel is None
    assert not [path for path in asked(built()).reference if path.startswith("reference.switch.")]


def test_the_clamp_has_a_drop_of_its_kind() -> None:
    crowbar = circuit_of(crowbar={"kind": "clamp diode", "resistance": "20 mohm"}).network.crowbar
    assert crowbar is not None
    assert crowbar.drop == 15.0
    inputs = asked(built(crowbar={"kind": "clamp diode"}))
    assert "reference.crowbar.diode_drop" in inputs.reference


def test_a_delayed_loop_lights_its_lamp_later() -> None:
    sections = apart()
    sections["branches"]["west"]["delay"] = "3 us"
    found = stage_of(built(**sections)).record
    assert found.branch_current.shape[1] == 2
    assert np.all(found.branch_current[found.time < 2.9e-6, 1] == 0)
    assert np.abs(found.branch_current[:, 1]).max() > 100


def test_what_the_discharge_reads_is_in_its_key() -> None:
    chain = Chain()
    chain.run(asked(built(**apart())))
    sections = apart()
    sections["branches"]["west"]["delay"] = "3 us"
    chain.run(asked(built(**sections)))
    chain.run(asked(built(**sections, crowbar={"kind": "clamp diode"})))
    assert chain.runs["discharge"] == 3


def test_a_coaxial_lamp_gives_light() -> None:
    inputs = asked(built("lanternroom"))
    found = discharge_stage(inputs, trigger_stage(inputs))
    light = light_stage(inputs, found)
    assert np.trapezoid(light.radiated_power, light.time) == pytest.approx(found.record.radiated_energy, rel=5e-3)
    group = found.groups[0]
    assert group.full_square == pytest.approx(8e-3**2 - 6e-3**2)
    assert group.perimeter(np.array([group.full_square]))[0] == pytest.approx(np.pi * 28e-3)
    assert found.record.arc_radius[-1, 0] == pytest.approx(np.sqrt(group.full_square), rel=1e-6)


@pytest.mark.parametrize("pressure", ["0.1 torr", "10 bar"])
def test_a_fill_far_outside_ends_in_words(pressure: str) -> None:
    lamps = copy.deepcopy(tomllib.loads(machine.bench_text("tidewater"))["lamps"])
    for lamp in lamps.values():
        lamp["fill_pressure"] = pressure
    build = built(lamps=lamps)
    shot = compute_shot(build, Chain(), interval=False)
    assert shot.outcome in ("does not fire", "no discharge", "below threshold", "lased", "failed")
    assert shot.reason
    for array in shot.arrays.values():
        assert np.all(np.isfinite(array.values))


def test_a_fill_of_nothing_is_a_finding() -> None:
    text = machine.bench_text("tidewater").replace('value = "100 torr"', 'value = "0 torr"')
    loaded = machine.load_text(text, "laser.toml")
    assert loaded.build is None
    assert {finding.path for finding in loaded.findings} == {"lamps.east.fill_pressure", "lamps.west.fill_pressure"}


def test_longwave_computes_end_to_end() -> None:
    shot = compute_shot(built("longwave"), Chain(), interval=False)
    assert shot.outcome in ("lased", "below threshold")
    assert sum(shot.budgets["discharge"].values()) == pytest.approx(shot.summary["stored_energy"].value, rel=1e-4)
    assert shot.summary["peak_current"].value == pytest.approx(6e3 / (2 * np.sqrt(60e-6 / (70e-6 / 6))), rel=0.4)
