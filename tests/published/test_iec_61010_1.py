"""IEC 61010-1, test of plugs and laboratory practice, as told on an engineering mailing list, 2013 [secondary]:
60 V within 5 s. Limits of accessible voltage, clause 6.3, two editions: FROM MEMORY.
"""

from __future__ import annotations

import pytest

from pulsewright.physics.pulsed_power.discharge_rules import accessible_voltage_limit, machinery_discharge_rule


def test_laboratory_practice_is_the_rule_for_machinery() -> None:
    rule = machinery_discharge_rule(10e3, 1e-6)
    assert (rule.voltage_limit, rule.allowed_time) == (60.0, 5.0)


@pytest.mark.parametrize(("edition", "rms", "peak", "direct"), [("second", 33, 46.7, 70), ("third", 30, 42.4, 60)])
def test_accessible_voltages(edition: str, rms: float, peak: float, direct: float) -> None:
    assert tuple(accessible_voltage_limit(edition)) == (rms, peak, direct)
