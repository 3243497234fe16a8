"""The invariant battery over the example benches and over random valid builds."""

from __future__ import annotations

import itertools
from dataclasses import replace

import invariant_battery as battery
import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from scipy import constants
from strategies import valid_builds

from pulsewright.engine.chain import Chain
from pulsewright.engine.inputs import inputs_of
from pulsewright.machine import Build
from pulsewright.physics.lamp.blackbody import minimum_temperature
from pulsewright.studies.envelope import compute_envelope
from pulsewright.studies.shot import compute_shot

#: A build is computed in tens of milliseconds: a failure is shown as drawn, not shrunk for minutes.
DRAWN = (Phase.explicit, Phase.reuse, Phase.generate)


def dye_density(build: Build) -> float:
    """Dye molecules per volume."""
    return build.machine.dye.concentration * constants.N_A


@pytest.mark.parametrize("part", [0.4, 0.7, 1.0])
def test_example_bench(example: Build, chain: Chain, part: float) -> None:
    shot = compute_shot(example, chain, part * example.machine.charger.voltage_max, interval=False)
    battery.assert_all(shot, dye_density(example))


@pytest.mark.slow
@settings(max_examples=60, phases=DRAWN, suppress_health_check=[HealthCheck.too_slow])
@given(build=valid_builds())
def test_random_build(build: Build) -> None:
    shot = compute_shot(build, Chain(), interval=False)
    battery.assert_all(shot, dye_density(build))


@pytest.mark.slow
@settings(max_examples=8, phases=DRAWN, suppress_health_check=[HealthCheck.too_slow])
@given(build=valid_builds())
def test_random_build_with_interval(build: Build) -> None:
    shot = compute_shot(build, Chain(), interval=True)
    battery.assert_all(shot, dye_density(build))
    value = shot.summary["output_energy"]
    assert value.low is not None
    assert value.high is not None
    assert 0 <= value.low <= value.value <= value.high


def test_output_rises_with_voltage(example: Build, chain: Chain) -> None:
    """Output rises up to the first loss that explains a fall; these benches have none in their range."""
    highest = example.machine.charger.voltage_max
    energies = [
        compute_shot(example, chain, float(volts), interval=False).summary["output_energy"].value
        for volts in np.linspace(0.4, 1.0, 9) * highest
    ]
    assert all(later >= earlier for earlier, later in itertools.pairwise(energies))


def test_tolerance_halved_moves_energies_little(example: Build) -> None:
    inputs = inputs_of(example, 0.9 * example.machine.charger.voltage_max)
    usual, tight = Chain().run(inputs), Chain().run(replace(inputs, tolerance=inputs.tolerance / 2))
    assert tight.gain.output_energy == pytest.approx(usual.gain.output_energy, rel=1e-3, abs=1e-9)
    for name, count in usual.gain.record.photons.items():
        assert tight.gain.record.photons[name] == pytest.approx(count, rel=2e-3, abs=1e-6 * count + 1.0), name


@pytest.mark.slow
def test_envelope_equals_single_shots(example: Build, chain: Chain) -> None:
    """A batch is a loop: the same voltages give the same numbers."""
    envelope = compute_envelope(example, chain, points=4)
    volts = envelope.arrays["charge_voltage"].values
    for index, charge in enumerate(volts):
        shot = compute_shot(example, Chain(), float(charge), interval=False)
        assert envelope.arrays["output_energy"].values[index] == shot.summary["output_energy"].value
        assert envelope.arrays["peak_current"].values[index] == shot.summary["peak_current"].value


def test_plasma_is_hotter_than_a_black_body_of_its_flux(example: Build, chain: Chain) -> None:
    """T >= (F / sigma)^(1/4) at every instant."""
    stages = chain.run(inputs_of(example, 0.8 * example.machine.charger.voltage_max))
    record = stages.discharge.record
    if len(stages.discharge.groups) != 1:
        pytest.fail("this check knows one group of like lamps")
    group = stages.discharge.groups[0]
    surface = group.count * group.length * 2 * np.pi * record.arc_radius[:, 0]
    flux = stages.light.radiated_power / surface
    assert np.all(record.temperature[:, 0] >= 0.999 * minimum_temperature(flux))


def test_shot_is_pure(example: Build, chain: Chain) -> None:
    """The same question twice, through a warm and a cold chain, has one answer."""
    volts = 0.77 * example.machine.charger.voltage_max
    first = compute_shot(example, chain, volts, interval=False).as_dict(waveforms=True)
    second = compute_shot(example, Chain(), volts, interval=False).as_dict(waveforms=True)
    assert first == second
