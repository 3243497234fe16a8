"""Encyclopaedia article "Flashtube" [secondary]: the life formula is fair above about 15 % of the explosion energy;
above 30 % ablation can wear the wall to rupture; below 15 % electrode wear governs and the formula is far too
optimistic.
"""

from __future__ import annotations

import pytest

from pulsewright.physics.pulsed_power.lamp_life import lamp_life, lamp_life_regime


@pytest.mark.parametrize(
    ("fraction", "regime"),
    [(0.149, "electrode wear"), (0.151, "wall wear"), (0.299, "wall wear"), (0.301, "ablation"), (1.0, "explosion")],
)
def test_regimes(fraction: float, regime: str) -> None:
    assert lamp_life_regime(fraction) == regime


def test_no_credit_is_given_below_15_per_cent() -> None:
    assert lamp_life(0.05) == lamp_life(0.15)
    assert lamp_life(0.05) < 0.05**-8.5 / 1e4
