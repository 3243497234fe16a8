"""DGUV Information 205-034: carbon dioxide extinguishers need 5.5 m^2 of free floor a kilogram, height credited 2 m."""

from __future__ import annotations

import pytest

from pulsewright.physics.air.oxygen import CREDITED_HEIGHT, carbon_dioxide_floor_area, gas_layer_fraction
from pulsewright.physics.air.vapour import gas_volume


@pytest.mark.parametrize(("mass", "area"), [(2.0, 11.0), (5.0, 27.5)])
def test_printed_floor_areas(mass: float, area: float) -> None:
    assert carbon_dioxide_floor_area(mass) == pytest.approx(area, rel=1e-12)


def test_rule_holds_the_layer_just_under_five_per_cent() -> None:
    layer = gas_layer_fraction(gas_volume(1.0, 0.04401), carbon_dioxide_floor_area(1.0), CREDITED_HEIGHT)
    assert 0.049 < layer < 0.05
