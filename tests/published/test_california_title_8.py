"""California Code of Regulations, Title 8, section 2893 (dir.ca.gov/title8/2893) [source].

High-voltage capacitors: to 50 V within 5 min, discharge circuit connected by itself; an internal bleeder is no
substitute for an external short and ground before work.
"""

from __future__ import annotations

import inspect

from pulsewright.physics.pulsed_power.discharge_rules import high_voltage_capacitor_rule


def test_fifty_volt_within_five_minutes() -> None:
    rule = high_voltage_capacitor_rule(10e3)
    assert (rule.voltage_limit, rule.allowed_time, rule.applies) == (50.0, 300.0, True)


def test_short_and_ground_is_said_where_the_rule_is_told() -> None:
    words = inspect.getdoc(high_voltage_capacitor_rule) or ""
    assert "no substitute for an external short and ground" in " ".join(words.split())
