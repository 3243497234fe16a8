"""How a run of the gain ends when it cannot end well: the outcome says so, and nothing hangs or raises."""

from __future__ import annotations

import kinetics_by_scipy as second
import numpy as np
import pytest

from pulsewright.errors import DomainError
from pulsewright.physics.dye.kinetics import Gain, laser_kinetics

TIME = np.linspace(0.0, 2e-6, 81)
PUMP = 2e7 * np.exp(-(((TIME - 1e-6) / 0.5e-6) ** 2))[:, None] * np.array([0.9, 1.1])


@pytest.mark.parametrize("overlap", [None, np.array([1.2, 0.8])], ids=["by shell", "single mode"])
class TestOutcomes:
    def run(self, overlap: np.ndarray | None, pump: np.ndarray = PUMP, **more: object) -> Gain:
        cavity = second.cavity(6, overlap)
        return laser_kinetics(TIME, pump, second.dye(6), cavity, second.DENSITY, second.ZONE_VOLUME, **more)

    def test_done(self, overlap: np.ndarray | None) -> None:
        assert self.run(overlap).outcome == "done"

    def test_a_pump_that_is_no_number_is_told(self, overlap: np.ndarray | None) -> None:
        pump = PUMP.copy()
        pump[30:33] = np.nan
        gain = self.run(overlap, pump)
        assert gain.outcome == "not a number"
        assert np.all(np.isfinite(gain.inversion))
        assert np.isfinite(gain.photons["output"])

    def test_too_few_steps_are_told(self, overlap: np.ndarray | None) -> None:
        fields = 2 if overlap is None else 1
        gain = self.run(overlap, most_steps=7)
        assert gain.outcome == "step limit"
        assert gain.counters["gain steps"] + gain.counters["gain rejected"] == 7 * fields

    def test_exactly_enough_steps_are_enough(self, overlap: np.ndarray | None) -> None:
        """A limit of as many attempts as it takes is none."""
        usual = self.run(overlap, pump=np.repeat(PUMP[:, :1], 2, axis=1))
        fields = 2 if overlap is None else 1
        attempts = (usual.counters["gain steps"] + usual.counters["gain rejected"]) // fields
        again = self.run(overlap, pump=np.repeat(PUMP[:, :1], 2, axis=1), most_steps=attempts)
        assert again.outcome == "done"
        assert again.photons == usual.photons
        assert self.run(overlap, pump=np.repeat(PUMP[:, :1], 2, axis=1), most_steps=attempts - 1).outcome != "done"

    def test_no_pump_no_light(self, overlap: np.ndarray | None) -> None:
        gain = self.run(overlap, 0.0 * PUMP)
        assert gain.outcome == "done"
        assert gain.inversion.max() == 0.0
        assert gain.photons["output"] == 0.0
        assert gain.peak_net_gain < 0

    def test_times_may_start_anywhere(self, overlap: np.ndarray | None) -> None:
        """Only differences of time count, to what a shifted float holds."""
        here = self.run(overlap)
        cavity = second.cavity(6, overlap)
        there = laser_kinetics(TIME + 1e-3, PUMP, second.dye(6), cavity, second.DENSITY, second.ZONE_VOLUME)
        assert there.outcome == "done"
        assert there.photons["output"] == pytest.approx(here.photons["output"], rel=1e-4)


def test_no_dye_is_refused() -> None:
    with pytest.raises(DomainError, match="density"):
        laser_kinetics(TIME, PUMP, second.dye(6), second.cavity(6), 0.0, 1e-6)
