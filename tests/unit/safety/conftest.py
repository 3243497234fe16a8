from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import fakes
import pytest

from pulsewright import machine
from pulsewright.records import Shot, Value

Builder = Callable[..., machine.Build]


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


@pytest.fixture
def bare(bench: Builder) -> Builder:
    """The same of the demo bench without what reads the bank, feeds the charger and repeats."""
    return lambda **changes: bench(**{**BARE, **changes})


@pytest.fixture
def bench() -> Builder:
    """An example bench by name, with entries changed by text."""

    def build(name: str = "tidewater", **changes: str) -> machine.Build:
        loaded = machine.load_text(machine.bench_text(name), "laser.toml").build
        assert loaded is not None
        return loaded.override({path.replace("__", "."): text for path, text in changes.items()}) if changes else loaded

    return build


@pytest.fixture
def shot() -> Callable[..., Shot]:
    """A shot with these summary values."""

    def make(charge_voltage: float = 9.5e3, **summary: Value) -> Shot:
        known = fakes.shot(charge_voltage)
        return replace(known, summary={**known.summary, **summary})

    return make
