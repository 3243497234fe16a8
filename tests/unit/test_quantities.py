"""The nomenclature: rows that hold together, showing, reading, and absurd magnitudes."""

from __future__ import annotations

import math
import re

import pytest

from pulsewright import units
from pulsewright.errors import QuantityError
from pulsewright.quantities import QUANTITIES, absurd, read, show

SUMMARY_KEYS = [
    "charge_voltage",
    "stored_energy",
    "peak_current",
    "peak_current_density",
    "lamp_energy",
    "radiated_energy",
    "absorbed_pump_energy",
    "output_energy",
    "pulse_width",
    "peak_power",
    "wavelength",
    "efficiency",
    "reversal",
    "voltage_reversal",
    "charge_per_shot",
    "action_integral",
    "steepest_rise",
    "explosion_fraction",
    "explosion_at_third_maximum",
    "explosion_at_three_time_scales",
    "explosion_at_time_scale",
    "wall_loading",
    "lamp_life",
    "capacitor_life",
    "divergence_low",
    "divergence_high",
    "threshold_voltage",
    "highest_voltage_within_limits",
]
ARRAY_NAMES = [
    "time",
    "bank_voltage",
    "current",
    "lamp_voltage",
    "plasma_temperature",
    "arc_radius",
    "radiated_power",
    "lamp_wavelength",
    "lamp_spectrum",
    "pump_rate",
    "shell_radius",
    "absorbed_energy",
    "gain_time",
    "output_power",
    "inversion",
    "triplets",
    "round_trip_gain",
    "laser_wavelength",
    "output_spectrum",
    "surface_distance",
    "surface_diameter",
    "surface_fluence",
    "surface_irradiance",
    "ratio",
    "probability",
]


@pytest.mark.parametrize("key", sorted(QUANTITIES))
def test_rows_hold_together(key: str) -> None:
    row = QUANTITIES[key]
    assert row.key == key
    assert re.fullmatch(r"[a-z][a-z0-9_]*", key)
    assert units.read_unit(row.display).dimension == units.read_unit(row.unit).dimension
    assert units.read_unit(row.unit).scale == 1, "unit must be SI"
    assert row.words
    assert row.symbol
    assert 0 <= row.low < row.high < math.inf
    assert 1 <= row.digits <= 6


@pytest.mark.parametrize("key", SUMMARY_KEYS + ARRAY_NAMES)
def test_every_summary_key_and_array_has_a_row(key: str) -> None:
    assert key in QUANTITIES


@pytest.mark.parametrize(
    ("key", "value", "shown"),
    [
        ("charge_voltage", 9500.0, "9.50 kV"),
        ("wavelength", 594.31e-9, "594.3 nm"),
        ("efficiency", 0.0044, "0.440 %"),
        ("fill_pressure", 13332.236842, "100 torr"),
        ("peak_current_density", 1.3e8, "13.0 kA/cm^2"),
        ("output_energy", None, "not known"),
        ("pulse_width", 7.04e-6, "7.04 us"),
    ],
)
def test_shows(key: str, value: float | None, shown: str) -> None:
    assert show(key, value) == shown


def test_reads() -> None:
    assert read("charge_voltage", "9.5 kV") == 9500.0


def test_an_absurd_magnitude_is_refused_with_what_is_allowed() -> None:
    with pytest.raises(QuantityError) as refused:
        read("charge_voltage", "1e9 V")
    (finding,) = refused.value.findings
    assert "absurdly large" in finding.message
    assert "200 kV" in finding.allowed
    assert finding.next_step


def test_megajoule_for_millijoule_is_refused_and_put_right() -> None:
    with pytest.raises(QuantityError, match='"5 mJ" was perhaps meant'):
        read("output_energy", "5 MJ")


def test_absurdly_small_is_refused_and_zero_is_left_to_the_caller() -> None:
    assert absurd("capacitance", 1e-15) is not None
    assert absurd("capacitance", 0.0) is None
    assert absurd("capacitance", 1e-6) is None
    assert absurd("curvature", math.inf) is None
