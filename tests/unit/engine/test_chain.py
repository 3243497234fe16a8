"""The chain: which stages run again when something changes, what it keeps, and how much work a shot is."""

from __future__ import annotations

from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from dataclasses import replace
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from pulsewright import machine
from pulsewright.engine import chain as chains
from pulsewright.engine.chain import Chain, Stages
from pulsewright.engine.gain import full_width
from pulsewright.engine.inputs import Inputs, inputs_of

ALL = ("discharge", "light", "dye", "pump", "gain")
AFTER_LAMPS = ("discharge", "light", "pump", "gain")
AFTER_DYE = ("dye", "pump", "gain")

#: What is varied, to what, and the stages that must run again; the others must not.
CHANGES: list[tuple[str, float, tuple[str, ...]]] = [
    ("bank.charge_voltage", 9.1e3, AFTER_LAMPS),
    ("bank.capacitance", 4.1e-6, AFTER_LAMPS),
    ("loop.inductance", 1.4e-6, AFTER_LAMPS),
    ("loop.resistance", 0.02, AFTER_LAMPS),
    ("switch.resistance", 0.02, AFTER_LAMPS),
    ("switch.drop", 140.0, AFTER_LAMPS),
    ("trigger.channel_radius", 0.6e-3, AFTER_LAMPS),
    ("trigger.growth_factor", 0.9, AFTER_LAMPS),
    ("lamps.east.wall_thickness", 1.1e-3, AFTER_LAMPS),
    ("lamps.west.electrode_drop", 14.0, AFTER_LAMPS),
    ("reference.xenon.biberman_factor", 1.4, AFTER_LAMPS),
    ("reference.plasma.range_factor", 2.9, AFTER_LAMPS),
    ("dye.concentration", 0.061, AFTER_DYE),
    ("dye.temperature", 294.0, AFTER_DYE),
    ("room.altitude", 300.0, AFTER_DYE),
    ("reference.dye.quantum_yield", 0.9, AFTER_DYE),
    ("reference.dye.triplet_absorption", 6e-21, AFTER_DYE),
    ("chamber.reflectivity", 0.8, ("pump", "gain")),
    ("cell.bore", 8.1e-3, AFTER_DYE),  # the dye absorbs its own fluorescence, more so in a wide cell
    ("cell.wall_thickness", 1.6e-3, ("pump", "gain")),
    ("resonator.length", 0.41, ("gain",)),
    ("resonator.loss_per_pass", 0.02, ("gain",)),
    ("optics.coupler.reflectivity", 0.33, ("gain",)),
    ("optics.rear.reflectivity", 0.97, ("gain",)),
    ("resonator.tuned_wavelength", 592e-9, ("gain",)),
    ("resonator.tuned_width", 3e-9, ("gain",)),
    ("resonator.tuning_loss", 0.02, ("gain",)),
    ("resonator.parasitic_reflectivity", 0.03, ("gain",)),
    ("resonator.parasitic_length", 0.18, ("gain",)),
    ("resonator.injection_power", 0.5, ("gain",)),
    ("resonator.injection_wavelength", 591e-9, ("gain",)),
    ("resonator.injection_width", 2e-11, ("gain",)),
    ("cells.second.length", 0.06, ("gain",)),
    ("cells.second.pumped_length", 0.04, ("gain",)),
    ("cells.second.pump_share", 0.3, ("gain",)),
    ("cells.second.concentration", 0.05, ("gain",)),
    ("optics.lens.distance", 1.6, ()),
    ("optics.coupler.damage_fluence", 9e4, ()),
    ("bank.voltage_rating", 16e3, ()),
    ("target.distance", 2.0, ()),
    ("room.volume", 50.0, ()),
]


SECOND_CELL = """
[cells.second]
length = "50 mm"
pumped_length = "45 mm"
pump_share = 0.25
concentration = "6e-5 mol/L"
"""
EVERYTHING = {
    "resonator.tuning": "prism",
    "resonator.tuned_wavelength": "590 nm",
    "resonator.tuned_width": "4 nm",
    "resonator.tuning_loss": "0.01",
    "resonator.parasitic_reflectivity": "0.035",
    "resonator.parasitic_length": "170 mm",
    "resonator.injection_power": "1 W",
    "resonator.injection_wavelength": "590 nm",
    "resonator.injection_width": "10 pm",
}


@pytest.fixture(scope="module")
def asked() -> Inputs:
    """The bench with everything in its resonator that can stand there, its rays traced as those of variations are."""
    loaded = machine.load_text(machine.bench_text("tidewater") + SECOND_CELL)
    assert loaded.build is not None, loaded.findings
    inputs = inputs_of(loaded.build.override(EVERYTHING))
    return replace(inputs, traced_for=inputs.machine)


@pytest.fixture(scope="module")
def one_chain() -> Chain:
    return Chain()


@pytest.fixture
def warm(one_chain: Chain, asked: Inputs) -> Chain:
    """A chain that knows the bench as it stands, however much was asked of it since."""
    one_chain.run(asked)
    return one_chain


def runs_of(chain: Chain, inputs: Inputs) -> dict[str, int]:
    """How often each stage runs for one more shot."""
    before = dict(chain.runs)
    chain.run(inputs)
    return {name: chain.runs[name] - before[name] for name in ALL}


def outcome(stages: Stages) -> tuple[Any, ...]:
    """What a shot ends in, down to the last bit."""
    gain, record = stages.gain, stages.discharge.record
    return (
        gain.output_energy,
        gain.wavelength,
        tuple(gain.record.photons.items()),
        tuple(record.energies.items()),
        stages.pump.energy.tobytes(),
        stages.light.spectrum.tobytes(),
        stages.beam.fluence.tobytes(),
        tuple(row.value for row in stages.stresses),
    )


@pytest.mark.parametrize(("path", "value", "stages"), CHANGES, ids=[row[0] for row in CHANGES])
def test_only_stages_that_read_it_run_again(
    asked: Inputs, warm: Chain, path: str, value: float, stages: tuple[str, ...]
) -> None:
    assert runs_of(warm, asked.varied(path, value)) == {name: int(name in stages) for name in ALL}


@pytest.mark.parametrize(("path", "value", "stages"), CHANGES, ids=[row[0] for row in CHANGES])
def test_a_warm_chain_answers_as_a_new_one(
    asked: Inputs, warm: Chain, path: str, value: float, stages: tuple[str, ...]
) -> None:
    """Nothing that a stage reads is missing from its key: kept results are those that would be computed."""
    varied = asked.varied(path, value)
    assert outcome(warm.run(varied)) == outcome(Chain().run(varied))


def test_resolution_and_tolerance_are_part_of_the_question(asked: Inputs, warm: Chain) -> None:
    assert runs_of(warm, replace(asked, tolerance=2e-3)) == {name: int(name == "gain") for name in ALL}
    assert runs_of(warm, replace(asked, bins=40)) == {name: int(name in AFTER_DYE) for name in ALL}
    assert runs_of(warm, replace(asked, shells=5)) == {name: int(name in ("pump", "gain")) for name in ALL}


@pytest.mark.parametrize(
    ("path", "words"),
    [
        ("resonator.tuning", "plate"),
        ("resonator.tuning", "free running"),
        ("resonator.blocked", "rear"),
        ("resonator.photon_field", "single mode"),
    ],
)
def test_words_of_the_resonator_reach_the_gain_alone(asked: Inputs, warm: Chain, path: str, words: str) -> None:
    varied = replace(asked, build=asked.build.override({path: words}))
    assert runs_of(warm, varied) == {name: int(name == "gain") for name in ALL}


def test_a_curve_of_a_mirror_reaches_the_gain_alone(tmp_path: Path) -> None:
    """The same file name with other values in it is another mirror."""
    chain = Chain()
    for count, part in enumerate((0.4, 0.5)):
        lines = "".join(f"{nm},{part}\n" for nm in range(540, 651, 10))
        (tmp_path / "coupler.csv").write_text("wavelength nm,reflectivity\n" + lines, "utf-8")
        head = '[optics.coupler]\nreflectivity_file = "coupler.csv"'
        (tmp_path / "laser.toml").write_text(machine.bench_text("tidewater").replace("[optics.coupler]", head), "utf-8")
        loaded = machine.load(tmp_path / "laser.toml")
        assert loaded.build is not None, loaded.findings
        stages = chain.run(inputs_of(loaded.build))
        assert stages.gain.mirrors.coupler == pytest.approx(np.full(60, part))
        assert chain.runs["gain"] == count + 1
        assert chain.runs["pump"] == 1


def test_the_same_shot_is_not_computed_twice(asked: Inputs, warm: Chain) -> None:
    assert runs_of(warm, asked) == dict.fromkeys(ALL, 0)


def test_a_renamed_lamp_has_its_new_name(asked: Inputs, stages_named: Callable[[str], Stages]) -> None:
    """Ids of lamps stand in what the stages give, so they belong to the key."""
    assert stages_named("north").discharge.members == (("north", "west"),)


@pytest.fixture
def stages_named(warm: Chain) -> Callable[[str], Stages]:
    """The bench with its first lamp renamed, through the chain that knows the old name."""

    def compute(name: str) -> Stages:
        text = machine.bench_text("tidewater").replace("[lamps.east", f"[lamps.{name}")
        loaded = machine.load_text(text)
        assert loaded.build is not None, loaded.findings
        return warm.run(inputs_of(loaded.build))

    return compute


def test_no_more_is_kept_than_said(asked: Inputs, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(chains, "KEPT", 3)
    chain = Chain()
    small = replace(asked, shells=2, bins=8)
    for part in (0.50, 0.51, 0.52, 0.53):
        chain.run(small.varied("optics.coupler.reflectivity", part))
    assert runs_of(chain, small.varied("optics.coupler.reflectivity", 0.51))["gain"] == 0
    assert runs_of(chain, small.varied("optics.coupler.reflectivity", 0.50))["gain"] == 1
    # asking again made 0.51 younger than 0.52, which went
    assert runs_of(chain, small.varied("optics.coupler.reflectivity", 0.51))["gain"] == 0
    assert runs_of(chain, small.varied("optics.coupler.reflectivity", 0.52))["gain"] == 1


def test_shots_side_by_side_are_those_one_after_the_other(asked: Inputs) -> None:
    small = [replace(asked, shells=2, bins=12, charge_voltage=8e3 + 250.0 * n) for n in range(12)]
    chain = Chain()
    with ThreadPoolExecutor(2) as pool:
        found = list(pool.map(chain.run, small))
    assert [outcome(stages) for stages in found] == [outcome(Chain().run(inputs)) for inputs in small]


@pytest.mark.parametrize("charge", [6.0e3, 9.5e3, 12.0e3])
def test_work_of_a_shot_is_bounded(asked: Inputs, charge: float) -> None:
    """Counters, below threshold, as built, and at the charger's end; some half more than they are."""
    stages = Chain().run(replace(asked, charge_voltage=charge))
    counters = {**stages.discharge.record.counters, **stages.gain.record.counters}
    assert counters["discharge steps"] < 200
    assert counters["discharge rejected"] < 25
    assert counters["discharge right-hand sides"] < 1300
    assert counters["gain steps"] < 1600
    assert counters["gain rejected"] < 200
    assert counters["gain right-hand sides"] < 10_000
    # six right-hand sides to an attempt that was not refused, one factorisation to each attempt
    attempts = counters["gain steps"] + counters["gain rejected"]
    assert counters["gain factorisations"] == attempts
    assert 6 * counters["gain steps"] <= counters["gain right-hand sides"] <= 6 * attempts


def test_full_width() -> None:
    time = np.linspace(0.0, 10.0, 1001)
    bell = np.exp(-(((time - 5.0) / 2.0) ** 2))
    assert full_width(time, bell) == pytest.approx(4.0 * np.sqrt(np.log(2.0)), rel=1e-4)
    triangle = np.interp(time, [2.0, 4.0, 8.0], [0.0, 1.0, 0.0])
    assert full_width(time, triangle) == pytest.approx(3.0, rel=1e-9)
    assert full_width(time, np.maximum(bell, np.roll(bell, 300))) == pytest.approx(
        3.0 + 4.0 * np.sqrt(np.log(2.0)), rel=1e-4
    )
    assert full_width(time, np.zeros_like(time)) is None
    assert full_width(time, np.ones_like(time)) == pytest.approx(10.0)


@pytest.mark.parametrize(
    ("path", "value", "again"),
    [
        ("bank.peak_current_rating", 3e3, 1),
        ("bank.planned_shots", 5e4, 1),
        ("lamps.east.charge_rating", 0.02, 1),
        ("loop.clearance", 0.02, 1),
        ("room.altitude", 3000.0, 1),
        ("reference.life.lamp_exponent", 7.6, 1),
        ("optics.rear.reflectivity", 0.97, 0),
        ("dye.concentration", 0.061, 0),
    ],
)
def test_what_is_kept_of_the_stresses_up_to_the_lamps_is_never_stale(path: str, value: float, again: int) -> None:
    asked, chain = inputs_of(machine.load_text(machine.bench_text("tidewater")).build), Chain()  # type: ignore[arg-type]
    chain.run(asked)
    varied = asked.varied(path, value)
    before, found = chain.runs["loads"], chain.run(varied).stresses
    assert chain.runs["loads"] - before == again
    assert found == Chain().run(varied).stresses
