"""What holds for heat, sound and index of every shot."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import HealthCheck, Phase, given, settings
from strategies import valid_builds

from pulsewright.engine.chain import Chain
from pulsewright.engine.heat import heat_stage
from pulsewright.engine.heat_after import heat_after
from pulsewright.engine.inputs import inputs_of
from pulsewright.engine.liquid import liquid
from pulsewright.machine import Build

DRAWN = (Phase.explicit, Phase.reuse, Phase.generate)


def check(build: Build, chain: Chain, part: float = 1.0) -> None:
    stages = chain.run(inputs_of(build, part * build.machine.bank.charge_voltage))
    found, even = heat_stage(stages), heat_stage(stages, even=True)
    left = heat_after(build.machine, found)
    for stage in (found, even):
        assert np.all(np.isfinite(stage.index_change))
        assert np.all(np.isfinite(stage.errors.rms))
        assert np.all(stage.errors.rest <= stage.errors.rms * (1 + 1e-9) + 1e-12)
        assert np.all(stage.errors.rms <= stage.errors.peak_to_valley + 1e-12)
    budget = found.budget
    parts = sum(budget[name] for name in ("heat", "fluorescence", "light", "stored"))
    assert parts == pytest.approx(budget["absorbed"], rel=1e-9, abs=1e-15)
    assert budget["heat"] >= -1e-9 * budget["absorbed"]
    assert budget["absorbed"] <= 1.005 * stages.pump.energy.sum() + 1e-12
    if found.spoilt_time is not None:
        assert found.heat_time[0] <= found.spoilt_time <= found.heat_time[-1]
    assert 0.0 <= found.energy_before_spoilt <= stages.gain.output_energy * (1 + 1e-6) + 1e-15
    # heated evenly, no part knows of the wall before sound has come from there
    speed, radius = liquid(build.machine).sound_speed, build.machine.cell.bore / 2
    early = even.heat_time < even.heat_time[0] + 0.45 * radius / speed
    inner = even.index_change[early][:, even.heat_radius < 0.5 * radius]
    if build.machine.cell.shape == "cylinder" and inner.size:
        assert np.abs(inner - inner[:, :1]).max() <= 2e-4 * max(np.abs(even.index_change).max(), 1e-30)
    assert left.waiting_time is None or left.waiting_time >= 0.0
    assert left.volumes >= 0.0
    assert np.isfinite(left.waves_per_tenth)


@pytest.mark.parametrize("part", [0.5, 1.0])
def test_example_bench(example: Build, chain: Chain, part: float) -> None:
    check(example, chain, part)


@pytest.mark.slow
@settings(max_examples=30, phases=DRAWN, suppress_health_check=[HealthCheck.too_slow])
@given(build=valid_builds())
def test_random_build(build: Build) -> None:
    check(build, Chain())
