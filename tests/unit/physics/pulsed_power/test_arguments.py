"""Every pulsed-power function refuses what it must, names the argument, and treats arrays as it treats numbers."""

from __future__ import annotations

import inspect
from collections.abc import Callable
from typing import Any

import numpy as np
import pytest

from pulsewright.errors import DomainError, NotModelledError
from pulsewright.physics.lamp import blackbody, resistivity, square_law
from pulsewright.physics.pulsed_power import (
    breakdown,
    capacitor_life,
    charging,
    clearance,
    dump,
    inductance,
    normalised,
    pump_down,
    skin_effect,
    storage,
    stress,
    trigger_timing,
)
from pulsewright.physics.pulsed_power.circuit import damping_parameter, late_tail_voltage, time_scale
from pulsewright.physics.pulsed_power.explosion import explosion_energy, explosion_energy_range
from pulsewright.physics.pulsed_power.lamp_life import lamp_life, lamp_life_bracket
from pulsewright.physics.pulsed_power.normalised import normalised_discharge
from pulsewright.physics.pulsed_power.pulse_length import pulse_length_factor

#: Function, good arguments, argument to spoil, bad value.
REFUSED: list[tuple[Callable[..., Any], dict[str, Any], str, float]] = [
    (storage.stored_energy, {"capacitance": 1e-6, "voltage": 1e3}, "capacitance", -1e-6),
    (storage.voltage_for_energy, {"capacitance": 1e-6, "energy": 1.0}, "capacitance", 0.0),
    (storage.energy_left, {"energy": 1.0, "voltage_fraction": 0.5}, "energy", -1.0),
    (charging.constant_current_charge_time, {"capacitance": 1e-6, "charge_voltage": 1e3, "charging_current": 1.0},
     "charging_current", 0.0),
    (charging.rated_supply_charge_time,
     {"capacitance": 1e-6, "charge_voltage": 1e3, "voltage_rating": 2e3, "power_rating": 9.0}, "charge_voltage", 2.1e3),
    (charging.resistor_charge_time, {"resistance": 1e3, "capacitance": 1e-6, "voltage_fraction": 0.9},
     "voltage_fraction", 1.0),
    (dump.dump_time, {"resistance": 1e3, "capacitance": 1e-6, "voltage": 1e3, "final_voltage": 60.0},
     "final_voltage", 1.1e3),
    (dump.dump_resistance, {"capacitance": 1e-6, "voltage": 1e3, "final_voltage": 60.0, "allowed_time": 5.0},
     "final_voltage", 1e3),
    (dump.body_surface_power, {"temperature_rise": 100.0}, "temperature_rise", 49.0),
    (dump.body_derating, {"ambient_temperature": 300.0}, "ambient_temperature", 293.15),
    (time_scale, {"inductance": 1e-6, "capacitance": 1e-6}, "inductance", -1e-6),
    (damping_parameter, {"impedance_parameter": 20.0, "charge_voltage": 1e3, "circuit_impedance": 1.0},
     "charge_voltage", 0.0),
    (late_tail_voltage, {"impedance_parameter": 20.0, "capacitance": 1e-6, "charge_voltage": 1e3, "time": 1.0},
     "time", -1.0),
    (explosion_energy, {"bore": 5e-3, "arc_length": 0.1, "pulse_length": 1e-3}, "pulse_length", 0.0),
    (lamp_life, {"explosion_fraction": 0.3}, "explosion_fraction", 0.0),
    (lamp_life_bracket, {"explosion_fraction": 0.3}, "explosion_fraction", 0.19),
    (breakdown.paschen_voltage,
     {"pressure": 1e4, "gap": 1e-2, "ionisation_constant": 11.25, "field_constant": 273.8}, "pressure", 10.0),
    (breakdown.paschen_pressure,
     {"voltage": 1e4, "gap": 1e-2, "ionisation_constant": 11.25, "field_constant": 273.8}, "voltage", 300.0),
    (breakdown.two_constant_voltage, {"pressure": 1e5, "gap": 1e-3}, "pressure", 1e2),
    (breakdown.air_gap_voltage, {"pressure": 1e5, "gap": 1e-2}, "gap", 0.9e-4),
    (inductance.coaxial_inductance, {"length": 1.0, "inner_diameter": 5e-3, "outer_diameter": 1e-2},
     "outer_diameter", 5e-3),
    (inductance.strip_inductance, {"length": 1.0, "width": 1e-2, "gap": 1e-4}, "width", 0.9e-3),
    (inductance.ring_inductance, {"ring_radius": 0.1, "wire_radius": 1e-3}, "wire_radius", 0.011),
    (skin_effect.pulse_frequency, {"width_third": 7e-6}, "width_third", 0.0),
    (skin_effect.skin_depth, {"resistivity": 1.7e-8, "frequency": 1e5}, "frequency", 0.0),
    (skin_effect.wire_resistance, {"length": 1.0, "wire_radius": 1e-3, "resistivity": 1.7e-8, "frequency": 1e5},
     "wire_radius", 0.0),
    (skin_effect.wire_internal_inductance,
     {"length": 1.0, "wire_radius": 1e-3, "resistivity": 1.7e-8, "frequency": 1e5}, "length", -1.0),
    (skin_effect.sheet_resistance,
     {"length": 1.0, "width": 0.05, "thickness": 1e-3, "resistivity": 1.7e-8, "frequency": 1e5}, "thickness", 0.0),
    (skin_effect.sheet_internal_inductance,
     {"length": 1.0, "width": 0.05, "thickness": 1e-3, "resistivity": 1.7e-8, "frequency": 1e5}, "width", 0.0),
    (capacitor_life.capacitor_life,
     {"life_rating": 1e5, "charge_voltage": 9e3, "voltage_rating": 1e4, "reversal": 0.1, "reversal_rating": 0.2},
     "reversal", 0.0),
    (capacitor_life.capacitor_life_range,
     {"life_rating": 1e5, "charge_voltage": 9e3, "voltage_rating": 1e4, "reversal": 0.0, "reversal_rating": 0.2},
     "reversal", 1.1),
    (clearance.clearance, {"impulse_voltage": 10e3}, "impulse_voltage", 0.0),
    (clearance.altitude_clearance_factor, {"altitude": 0.0}, "altitude", 5001.0),
    (stress.passed_charge, {"capacitance": 1e-6, "charge_voltage": 1e3}, "reversal", 1.1),
    (pump_down.effective_pump_speed, {"pump_speed": 1e-4, "conductance": 1e-4}, "conductance", 0.0),
    (pump_down.leak_stop_pressure, {"stop_pressure": 1.0, "leak": 1e-3, "pump_speed": 1e-4}, "leak", -1e-3),
    (pump_down.pump_down_pressure,
     {"time": 1.0, "start_pressure": 1e4, "stop_pressure": 1.0, "pump_speed": 1e-4, "volume": 1e-4}, "volume", 0.0),
    (pump_down.pump_down_time,
     {"pressure": 1e3, "start_pressure": 1e4, "stop_pressure": 1.0, "pump_speed": 1e-4, "volume": 1e-4},
     "pressure", 1.0),
    (trigger_timing.overvoltage_firing_voltage, {"self_break_voltage": 1e4, "gap_rise": 1e9, "lag": 1e-7}, "lag", -1.0),
    (trigger_timing.overvoltage_jitter,
     {"self_break_voltage": 1e4, "gap_rise": 1e9, "self_break_spread": 0.03, "lag_spread": 1e-7}, "gap_rise", 0.0),
    (trigger_timing.triggered_gap_delay, {"working_fraction": 0.7}, "working_fraction", 0.0),
    (trigger_timing.prefire_probability,
     {"charge_voltage": 9e3, "self_break_voltage": 1e4, "self_break_spread": 0.03}, "self_break_spread", 0.0),
    (trigger_timing.streamer_time, {"length": 0.1}, "length", -0.1),
    (trigger_timing.prepulse_channel_radius,
     {"channel_radius": 5e-4, "prepulse_capacitance": 1e-7, "prepulse_voltage": 9e3, "prepulse_inductance": 2e-6,
      "mass_density": 0.7}, "mass_density", 0.0),
    (normalised_discharge, {"damping_parameter": 0.8}, "damping_parameter", 20.1),
    (normalised_discharge, {"damping_parameter": 0.8}, "exponent", 0.2),
    (resistivity.square_law_resistivity, {"current_density": 1e7}, "current_density", 0.0),
    (square_law.narrow_arc_impedance_parameter, {"impedance_parameter": 20.0, "bore": 5e-3, "arc_diameter": 2e-3},
     "arc_diameter", 6e-3),
    (square_law.series_impedance_parameter, {"impedance_parameter": 20.0, "lamps": 2}, "lamps", 0.0),
    (blackbody.planck_exitance, {"wavelength": 5e-7, "temperature": 9e3}, "temperature", 0.0),
    (blackbody.blackbody_band_fraction,
     {"shortest_wavelength": 4e-7, "longest_wavelength": 7e-7, "temperature": 9e3}, "longest_wavelength", 3e-7),
]  # fmt: skip
IDS = [f"{function.__name__}-{argument}" for function, _, argument, _ in REFUSED]


@pytest.mark.parametrize(("function", "good", "argument", "bad"), REFUSED, ids=IDS)
def test_refused_by_name(function: Callable[..., Any], good: dict[str, Any], argument: str, bad: float) -> None:
    function(**good)  # these are fine
    with pytest.raises(DomainError) as refused:
        function(**{**good, argument: bad})
    finding = refused.value.findings[0]
    assert finding.path == argument
    assert finding.allowed
    assert finding.next_step


@pytest.mark.parametrize(("function", "good", "argument", "bad"), REFUSED, ids=IDS)
def test_not_a_number_is_refused(function: Callable[..., Any], good: dict[str, Any], argument: str, bad: float) -> None:
    with pytest.raises(DomainError):
        function(**{**good, argument: float("nan")})


@pytest.mark.parametrize(("function", "good"), [row[:2] for row in REFUSED], ids=IDS)
def test_arrays_are_treated_as_numbers(function: Callable[..., Any], good: dict[str, Any]) -> None:
    """Three equal values in every argument that may be an array give three equal results, of the scalar's value."""
    taking = [name for name in good if f"{name} : float or array" in (inspect.getdoc(function) or "")]
    alone = function(**good)
    many = function(**{name: np.full(3, value) if name in taking else value for name, value in good.items()})
    pairs = zip(alone, many, strict=True) if isinstance(alone, tuple) else [(alone, many)]
    for one, three in pairs:
        assert isinstance(one, float)
        assert np.asarray(three).shape == ((3,) if taking else ())
        assert np.asarray(three) == pytest.approx(np.full(3, one) if taking else one, rel=1e-12)


def test_words_are_checked_with_the_nearest() -> None:
    with pytest.raises(DomainError, match="'third maximum'"):
        pulse_length_factor(0.8, "third of maximum")
    with pytest.raises(DomainError, match="'inhomogeneous', 'homogeneous'"):
        clearance.clearance(1e3, "uniform")


def test_other_gases_are_refused_by_name() -> None:
    with pytest.raises(NotModelledError, match="argon") as refused:
        square_law.impedance_parameter(0.1, 5e-3, 1e4, "argon")
    assert "Measure K0" in refused.value.findings[0].next_step


def test_clearance_takes_the_larger_row_between_two() -> None:
    assert clearance.clearance(81e3) == clearance.clearance(100e3)
    assert clearance.clearance(4.001e3) == clearance.clearance(6e3)


def test_life_of_a_capacitor_over_its_whole_range_of_reversal() -> None:
    """Never without number: no reversal, full reversal, a rating of none; the worst of both forms is the fewest."""
    shots = [
        capacitor_life.capacitor_life_range(1e5, 9e3, 1e4, reversal, rated)
        for reversal in (0.0, 0.1, 0.5, 1.0)
        for rated in (0.0, 0.2, 1.0)
    ]
    assert np.isfinite(np.array(shots)).all()
    assert all(0 < life.fewest <= min(life.by_reversal, life.by_quality) for life in shots)
    assert all(life.most == max(life.by_reversal, life.by_quality) for life in shots)
    falling = [capacitor_life.capacitor_life_range(1e5, 9e3, 1e4, r, 0.2).fewest for r in (0.0, 0.2, 0.4, 0.8)]
    assert falling[0] == pytest.approx(falling[1])
    assert falling[1] > falling[2] > falling[3]


def test_bores_above_8_mm_have_the_smaller_constant() -> None:
    small = explosion_energy_range(8e-3, 0.1, 1e-4, 2.5e-4)
    large = explosion_energy_range(8.001e-3, 0.1, 1e-4, 2.5e-4)
    assert large.by_time_scale / small.by_time_scale == pytest.approx(21000 / 24600, rel=1e-3)
    assert large.lowest <= large.by_third_maximum <= large.highest


def test_integration_is_done_once_for_a_damping() -> None:
    normalised_discharge(0.777)
    before = normalised._half_cycle.cache_info().misses
    normalised_discharge(0.777)
    assert normalised._half_cycle.cache_info().misses == before
