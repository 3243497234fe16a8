"""Strome and Webb, Appl. Opt. 10, 1348 (1971), as remembered [memory-h].

Optical distortion of a flashlamp-pumped cell of rhodamine 6G was measured in several solvents, and is far smaller in
water than in alcohols. No figure is given.
"""

from __future__ import annotations

from dataclasses import replace

import pytest

from pulsewright import machine
from pulsewright.engine.chain import Chain
from pulsewright.engine.heat import heat_stage
from pulsewright.engine.inputs import inputs_of
from pulsewright.engine.liquid import liquid


@pytest.mark.parametrize("alcohol", ["methanol", "ethanol"])
def test_water_bends_far_less_than_alcohols(alcohol: str) -> None:
    """The same heat in each: that of the demo bench's shot."""
    loaded = machine.load_text(machine.bench_text("tidewater"), "laser.toml")
    assert loaded.build is not None
    stages = Chain().run(inputs_of(loaded.build))
    plain = loaded.build.machine
    errors = [
        heat_stage(stages, medium=liquid(replace(plain, dye=replace(plain.dye, solvent=name)))).errors.rms
        for name in ("water", alcohol)
    ]
    assert errors[0].max() < 0.2 * errors[1].max()
    assert errors[0][-1] < 0.2 * errors[1][-1]
