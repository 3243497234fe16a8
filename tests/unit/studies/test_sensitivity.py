"""Sensitivities: the resolution they are counted at."""

from __future__ import annotations

import pytest

from pulsewright import machine
from pulsewright.engine.chain import Chain
from pulsewright.engine.inputs import inputs_of
from pulsewright.studies.sensitivity import BINS, SHELLS, TOLERANCE, sensitivities

#: Part of the charge voltage of the bench at which it lases with eight shells and not with four.
JUST_ABOVE = 0.78


@pytest.mark.slow
def test_just_above_threshold_an_output_may_be_lost() -> None:
    """Few shells of the long pulse do not lase where eight do: counted from their zero, nothing could be lost."""
    build = machine.load_text(machine.bench_text("longwave")).build
    assert build is not None
    volts = JUST_ABOVE * build.machine.bank.charge_voltage
    chain, inputs = Chain(), inputs_of(build, volts)
    fine, coarse = chain.run(inputs), chain.run(inputs_of(build, volts, shells=SHELLS, bins=BINS, tolerance=TOLERANCE))
    assert fine.gain.output_energy > 0.0
    assert coarse.gain.output_energy == 0.0
    found = sensitivities(inputs, chain)
    assert found.output_energy == fine.gain.output_energy
    low, high = found.interval(fine.gain.output_energy)
    assert low < 0.5 * fine.gain.output_energy
    assert high > fine.gain.output_energy


@pytest.mark.slow
def test_well_above_threshold_the_lower_resolution_serves() -> None:
    build = machine.load_text(machine.bench_text("tidewater")).build
    assert build is not None
    chain, inputs = Chain(), inputs_of(build)
    only = ["bank.capacitance"]
    found = sensitivities(inputs, chain, only)
    assert (
        found.output_energy
        == chain.run(inputs_of(build, shells=SHELLS, bins=BINS, tolerance=TOLERANCE)).gain.output_energy
    )
    assert found.output_energy != chain.run(inputs).gain.output_energy
    assert [effect.path for effect in found.effects] == only


@pytest.mark.slow
def test_a_lamp_that_is_like_another_is_not_moved_again() -> None:
    build = machine.load_text(machine.bench_text("tidewater")).build
    assert build is not None
    chain, inputs = Chain(), inputs_of(build)
    both = sensitivities(inputs, chain, ["lamps.east.bore", "lamps.west.bore"])
    alone = sensitivities(inputs, chain, ["lamps.west.bore"])
    assert [effect.path for effect in both.effects] == ["lamps.east.bore", "lamps.west.bore"]
    found, true = both.effects[1], alone.effects[0]
    # the first of unlike lamps gives the waveforms, and light is added up in their order: 0.6 % of the effect
    assert found.energy == pytest.approx(true.energy, rel=0.01)
    assert found.stresses.keys() == true.stresses.keys()
    for key, ratio in true.stresses.items():
        assert found.stresses[key] == pytest.approx(ratio, abs=2e-3), key
