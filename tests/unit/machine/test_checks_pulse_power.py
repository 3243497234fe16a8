"""Bank, charger, dump and meter taken together."""

from __future__ import annotations

import pytest

from pulsewright import machine
from pulsewright.errors import Finding

#: The demo bench without divider, wall line and repeat period.
BARE = {
    f"{section}__{key}": "unknown"
    for section, keys in {
        "bank": ("bleeder_power_rating",),
        "charger": ("repeat_period", "line_voltage", "fuse_rating"),
        "meter": (
            "upper_resistance",
            "lower_resistance",
            "input_resistance",
            "upper_voltage_rating",
            "upper_power_rating",
        ),
        "loop": ("earth_inductance",),
    }.items()
    for key in keys
} | {"meter__supply": "not stated"}


def findings(name: str = "tidewater", **changes: str) -> list[Finding]:
    loaded = machine.load_text(machine.bench_text(name), "laser.toml").build
    assert loaded is not None
    build = loaded.override({path.replace("__", "."): text for path, text in {**BARE, **changes}.items()})
    return list(build.findings)


def at(path: str, grade: str, **changes: str) -> list[Finding]:
    return [f for f in findings(**changes) if f.path == path and f.grade == grade]


RESISTOR = {"charger__method": "resistor", "charger__resistance": "100 kohm"}


@pytest.mark.parametrize(
    ("path", "changes"),
    [
        ("bank.bleeder_power_rating", {"bank__bleeder_power_rating": "25 W", "bank__bleeder_resistance": "unknown"}),
        ("dump.energy_rating", {"dump__energy_rating": "5 kJ", "dump__resistance": "unknown"}),
        ("dump.volume", {"dump__resistance": "unknown"}),
        ("charger.fuse_rating", {"charger__fuse_rating": "10 A"}),
        ("meter.upper_voltage_rating", {"meter__upper_voltage_rating": "20 kV"}),
        ("meter.upper_resistance", {"meter__upper_resistance": "1 Gohm"}),
        ("charger.resistor_energy_rating", {"charger__resistor_energy_rating": "500 J"}),
    ],
)
def test_a_value_whose_partner_is_missing(path: str, changes: dict[str, str]) -> None:
    (finding,) = at(path, "warning", **changes)
    assert finding.next_step


def test_values_with_their_partners_are_not_told() -> None:
    whole = {
        "bank__bleeder_power_rating": "25 W",
        "charger__fuse_rating": "10 A",
        "charger__line_voltage": "230 V",
        "meter__upper_resistance": "1 Gohm",
        "meter__lower_resistance": "100 kohm",
        "meter__upper_voltage_rating": "20 kV",
    }
    touched = {path.replace("__", ".") for path in whole}
    assert not [f for f in findings(**whole) if f.path in touched]


def test_resistor_that_settles_below_the_charge_voltage() -> None:
    # 12 kV x 20 Mohm / (20 Mohm + 6 Mohm) = 9.23 kV
    changes = {**RESISTOR, "charger__resistance": "6 Mohm"}
    (limit,) = at("charger.resistance", "limit", **changes)
    assert "9.23 kV" in limit.message
    assert "never reaches 9.50 kV" in limit.message
    assert "lower charging resistor" in limit.next_step
    assert not at("charger.resistance", "limit", **changes, bank__charge_voltage="9.2 kV")


def test_supply_voltage_itself_is_never_reached_through_a_resistor() -> None:
    alone = {**RESISTOR, "bank__charge_voltage": "12 kV", "bank__bleeder_resistance": "unknown"}
    assert at("charger.resistance", "limit", **alone)
    assert at("charger.resistance", "warning", **{**alone, "bank__charge_voltage": "11.995 kV"})
    assert not at("charger.resistance", "warning", **{**alone, "bank__charge_voltage": "11.9 kV"})
    # a constant current goes there
    assert not at("charger.current", "limit", bank__charge_voltage="12 kV")


@pytest.mark.parametrize(
    ("path", "changes"),
    [
        ("charger.current", {"charger__current": "0.4 mA"}),
        ("charger.power", {"charger__method": "constant power", "charger__power": "4 W"}),
    ],
)
def test_drain_that_takes_all_the_supply_gives(path: str, changes: dict[str, str]) -> None:
    # 0.4 mA x 20 Mohm = 8 kV; sqrt(4 W x 20 Mohm) = 8.94 kV
    (limit,) = at(path, "limit", **changes)
    assert "bleeder and divider" in limit.message


def test_divider_upside_down_is_an_error() -> None:
    from pulsewright.errors import BuildError

    with pytest.raises(BuildError, match="not below the upper one"):
        findings(meter__upper_resistance="100 kohm", meter__lower_resistance="1 Gohm")
