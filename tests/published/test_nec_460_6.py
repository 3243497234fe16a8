"""US National Electrical Code, 460.6, as quoted at ecmweb.com [secondary]: to 50 V within 1 min, rated to 600 V (later
editions 1000 V).
"""

from __future__ import annotations

import pytest

from pulsewright.errors import DomainError
from pulsewright.physics.pulsed_power.discharge_rules import low_voltage_capacitor_rule


@pytest.mark.parametrize("rating", [480.0, 600.0, 1000.0])
def test_fifty_volt_within_a_minute(rating: float) -> None:
    rule = low_voltage_capacitor_rule(rating)
    assert (rule.voltage_limit, rule.allowed_time, rule.applies) == (50.0, 60.0, True)


def test_higher_ratings_are_not_covered() -> None:
    with pytest.raises(DomainError, match="1000 V"):
        low_voltage_capacitor_rule(1001.0)
