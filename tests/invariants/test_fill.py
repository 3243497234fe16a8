"""What must hold of the fill of every bench: fresh fills never age, and nothing that is told is no number."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from hypothesis import strategies as st
from strategies import valid_builds

from pulsewright.engine.chain import Chain
from pulsewright.errors import PulsewrightError
from pulsewright.machine import Build
from pulsewright.studies.fill_life import FillLife, fill_life
from pulsewright.studies.size_dye import size_dye

DRAWN = (Phase.explicit, Phase.reuse, Phase.generate)
METHODS = ("closed loop", "bleed and feed", "fresh fill", "stagnant")
QUICK = {"chamber.light_method": "closed form"}


def renewed(build: Build, method: str) -> Build:
    """The build with its first loop renewed in another way."""
    part = next(iter(build.machine.loops))
    return build.override({**QUICK, f"loops.{part}.method": method})


def assert_numbers(found: FillLife) -> None:
    for array in found.arrays.values():
        assert np.all(np.isfinite(array.values))
        assert np.all(array.values >= 0)
    assert np.all(found.arrays["dye_left_high"].values <= 1.0)
    for row in found.figures:
        assert row.value is None or np.isfinite(row.value), row.key


def assert_told(refused: PulsewrightError) -> None:
    assert refused.findings
    assert all(finding.message and finding.next_step for finding in refused.findings)


@pytest.mark.slow
def test_a_fresh_fill_never_ages(example: Build, chain: Chain) -> None:
    found = fill_life(renewed(example, "fresh fill"), chain, 1000)
    energy = found.arrays["output_energy"].values
    assert np.all(energy == energy[0])
    assert energy[0] > 0


@pytest.mark.slow
def test_a_stagnant_fill_ages(example: Build, chain: Chain) -> None:
    energy = fill_life(renewed(example, "stagnant"), chain, 1000).arrays["output_energy"].values
    assert energy[-1] < 0.9 * energy[0]


@pytest.mark.slow
@settings(max_examples=10, phases=DRAWN, suppress_health_check=[HealthCheck.too_slow])
@given(build=valid_builds(), method=st.sampled_from(METHODS), shots=st.integers(1, 10**7))
def test_the_fill_of_a_random_build_is_told_or_refused(build: Build, method: str, shots: int) -> None:
    try:
        found = fill_life(renewed(build, method), Chain(), shots)
    except PulsewrightError as refused:
        assert_told(refused)
        return
    assert_numbers(found)


@pytest.mark.slow
@settings(max_examples=5, phases=DRAWN, suppress_health_check=[HealthCheck.too_slow])
@given(build=valid_builds())
def test_the_dye_of_a_random_build_is_sized_or_refused(build: Build) -> None:
    axes = np.geomspace(0.02, 0.2, 3), np.array([0.3, 0.6, 0.9]), np.array([build.machine.cell.bore])
    try:
        found = size_dye(build.override(QUICK), Chain(), *axes)
    except PulsewrightError as refused:
        assert_told(refused)
        return
    assert np.all(np.isfinite(found.output_energy))
    assert found.best.output_energy >= 0.999 * found.output_energy.max()
    assert all(np.isfinite([row.low, row.high]).all() and row.low <= row.high for row in found.flat)
