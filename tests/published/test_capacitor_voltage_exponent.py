"""How voltage shortens the life of a film capacitor: exponent about 6 to 9 by dielectric, hobby page of 2018
[secondary]. A consultancy's technical data page (NESS) names the variables, voltage over rating and the Q that
follows from the reversal, without exponents [source for the variables].
"""

from __future__ import annotations

import math

from pulsewright.physics.pulsed_power.capacitor_life import (
    capacitor_life,
    reversal_quality_factor,
    voltage_life_ratio,
)


def test_default_exponent_lies_in_the_published_range() -> None:
    exponent = -math.log(float(voltage_life_ratio(12e3, 10e3))) / math.log(1.2)
    assert 6 < exponent < 9


def test_life_depends_on_voltage_over_rating_and_on_reversal_alone() -> None:
    one = capacitor_life(1e5, 8e3, 10e3, 0.3, 0.2)
    scaled = capacitor_life(1e5, 16e3, 20e3, 0.3, 0.2)
    assert tuple(map(float, one)) == tuple(map(float, scaled))
    assert reversal_quality_factor(0.4) > reversal_quality_factor(0.3)
    assert float(capacitor_life(1e5, 8e3, 10e3, 0.4, 0.2).by_quality) < float(one.by_quality)
