"""What halving the tolerances and refining the grids does to the demo bench."""

from __future__ import annotations

from dataclasses import replace

import pytest

from pulsewright import machine
from pulsewright.engine.chain import Chain, Stages
from pulsewright.engine.electric import discharge_stage
from pulsewright.engine.inputs import Inputs, inputs_of
from pulsewright.engine.lamp_circuit import lamp_circuit
from pulsewright.engine.trigger import trigger_stage
from pulsewright.physics.lamp.discharge import discharge

CHARGES = (8.5e3, 9.5e3, 11.5e3)


def inputs(charge_voltage: float) -> Inputs:
    """The demo bench."""
    build = machine.load_text(machine.bench_text("tidewater")).build
    assert build is not None
    return inputs_of(build, charge_voltage)


def run(asked: Inputs) -> Stages:
    return Chain().run(asked)


@pytest.mark.parametrize("charge", CHARGES)
def test_kinetics_tolerance(charge: float) -> None:
    asked = inputs(charge)
    usual = run(asked).gain.output_energy
    for part in (0.5, 0.1, 0.01):
        assert run(replace(asked, tolerance=asked.tolerance * part)).gain.output_energy == pytest.approx(
            usual, rel=1e-3
        )


@pytest.mark.parametrize("charge", CHARGES)
def test_discharge_tolerance(charge: float) -> None:
    asked = inputs(charge)
    stage = discharge_stage(asked, trigger_stage(asked))
    circuit = lamp_circuit(asked, trigger_stage(asked))
    arguments = (circuit.network, circuit.branches, circuit.groups, charge, circuit.switch)
    usual, tight = (discharge(*arguments, tolerance=tolerance) for tolerance in (1e-6, 1e-9))
    assert tight.radiated_energy == pytest.approx(usual.radiated_energy, rel=1e-3)
    assert tight.charge == pytest.approx(usual.charge, rel=1e-3)
    assert tight.current.max() == pytest.approx(usual.current.max(), rel=1e-3)
    for sink, energy in usual.energies.items():
        assert tight.energies[sink] == pytest.approx(energy, abs=1e-3 * stage.stored_energy), sink


@pytest.mark.parametrize("charge", CHARGES)
def test_bins_hold_energy_and_wavelength(charge: float) -> None:
    """Twice the bins: energy to 0.5 %, wavelength to one bin width of the coarser grid."""
    asked = inputs(charge)
    usual, fine = run(asked), run(replace(asked, bins=2 * asked.bins))
    assert fine.gain.output_energy == pytest.approx(usual.gain.output_energy, rel=5e-3)
    assert fine.gain.wavelength == pytest.approx(usual.gain.wavelength, abs=usual.dye.laser_width)


@pytest.mark.parametrize("charge", CHARGES)
def test_shells_hold_energy(charge: float) -> None:
    """Twice the shells: energy to 3 % well above threshold, and to 10 % near it, where one shell more decides."""
    asked = inputs(charge)
    usual, fine = run(asked), run(replace(asked, shells=2 * asked.shells))
    bound = 0.10 if charge < 9e3 else 0.03
    assert fine.gain.output_energy == pytest.approx(usual.gain.output_energy, rel=bound)


@pytest.mark.parametrize("charge", CHARGES)
def test_work_is_bounded(charge: float) -> None:
    """Counters of one shot: a slow-down fails without a clock."""
    stages = run(inputs(charge))
    discharged, gained = stages.discharge.record.counters, stages.gain.record.counters
    assert discharged["discharge right-hand sides"] < 2000
    assert gained["gain steps"] < 1600
    assert gained["gain right-hand sides"] < 10_000


def test_a_mirror_runs_gain_onwards_only() -> None:
    asked, chain = inputs(9.5e3), Chain()
    chain.run(asked)
    before = dict(chain.runs)
    chain.run(asked.varied("optics.coupler.reflectivity", 0.35))
    assert {name: chain.runs[name] - before[name] for name in before} == {
        "trigger": 0,
        "discharge": 0,
        "light": 0,
        "loads": 0,
        "dye": 0,
        "pump": 0,
        "gain": 1,
    }
    chain.run(asked)
    assert chain.runs["gain"] == before["gain"] + 1
