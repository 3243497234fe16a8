"""The numbers and arrays of a shot's record, from its stages."""

from __future__ import annotations

import math
from typing import Any

import numpy as np

from pulsewright.engine.chain import Stages
from pulsewright.engine.trigger import DOES_NOT_FIRE
from pulsewright.records import Array, Value
from pulsewright.safety.bank_figures import supply_figures
from pulsewright.studies import stress_figures, trigger_notes


def summary(stages: Stages, reason: str = "") -> dict[str, Value]:
    """Every number of one shot; `reason` why there is no output."""
    discharge, gain, beam = stages.discharge, stages.gain, stages.beam
    none = "" if gain.wavelength is not None else reason
    return {
        "charge_voltage": Value(stages.inputs.charge_voltage, "V"),
        "stored_energy": Value(discharge.stored_energy, "J"),
        **trigger_notes.trigger_summary(stages),
        "charge_time": charge_time(stages),
        **_discharged(stages),
        "output_energy": Value(gain.output_energy, "J", reason=none),
        "pulse_width": Value(gain.pulse_width, "s", reason=none),
        "peak_power": Value(gain.peak_power, "W", reason=none),
        "wavelength": Value(gain.wavelength, "m", reason=none),
        "efficiency": Value(gain.output_energy / discharge.stored_energy, "-", reason=none),
        "divergence_low": Value(beam.divergence_low, "rad"),
        "divergence_high": Value(beam.divergence_high, "rad"),
    }


def _discharged(stages: Stages) -> dict[str, Value]:
    """What current and light give; no number where nothing fires, since the model then follows a dark lamp."""
    discharge, record = stages.discharge, stages.discharge.record
    lamp = record.energies["lamp column"] + record.energies["electrodes"]
    rows = {
        "peak_current": Value(discharge.peak_current, "A"),
        "peak_current_density": Value(max(discharge.peak_current_density), "A/m^2"),
        "reversal": Value(record.reversal, "-"),
        "lamp_energy": Value(lamp, "J"),
        **stress_figures.summary_rows(stages),
        "peak_temperature": Value(float(record.temperature.max()), "K"),
        "radiated_energy": Value(record.radiated_energy, "J"),
        "radiated_fraction": Value(record.radiated_energy / lamp if lamp > 0 else 0.0, "-"),
        "band_fraction": Value(_band_energy(stages) / lamp if lamp > 0 else 0.0, "-"),
        "absorbed_pump_energy": Value(float(stages.pump.energy.sum()), "J"),
        "pump_standard_error": Value(stages.pump.standard_error, "-"),
    }
    if stages.trigger.outcome != DOES_NOT_FIRE:
        return rows
    return {key: Value(None, row.unit, reason=f"it {DOES_NOT_FIRE}") for key, row in rows.items()}


def _band_energy(stages: Stages) -> float:
    """Light behind the envelopes from 0.2 to 1 um, in J: what published radiated fractions speak of."""
    light = stages.light
    inside = (light.wavelength > 0.2e-6) & (light.wavelength < 1e-6)
    return float((light.spectrum * light.width)[inside].sum())


def charge_time(stages: Stages) -> Value:
    """Time the charger needs to the charge voltage, against bleeder and divider."""
    charger, volts = stages.inputs.machine.charger, stages.inputs.charge_voltage
    time = supply_figures(stages.inputs.machine, volts).charge_time
    if math.isfinite(time):
        return Value(time, "s")
    return Value(None, "s", reason=f"a {charger.method} charger like this never reaches the voltage")


def budgets(stages: Stages) -> dict[str, dict[str, float]]:
    """Where the stored energy, the column's light and heat, and the absorbed photons went."""
    record, gain = stages.discharge.record, stages.gain.record
    envelope = min(stages.light.envelope_energy, record.radiated_energy)
    return {
        "discharge": dict(record.energies),
        "lamp column": {
            "light through the envelope": record.radiated_energy - envelope,
            "light into the envelope": envelope,
            "heat conducted to the wall": sum(record.wall_energy),
            "heat of the plasma at the end": record.plasma_energy,
        },
        "photons": {**gain.photons, "stored": gain.stored},
    }


def arrays(stages: Stages) -> dict[str, Array]:
    """Named arrays with axes and units."""
    record, light, pump, gain = stages.discharge.record, stages.light, stages.pump, stages.gain

    def on(axes: str, values: Any, unit: str) -> Array:
        return Array(np.asarray(values, dtype=float), unit, tuple(axes.split()))

    density = stages.dye.density
    several = {
        "branch_current": on("time branch", record.branch_current, "A"),
        "capacitor_voltage": on("time capacitor", record.capacitor_voltage, "V"),
    }
    return {
        **{name: array for name, array in several.items() if array.values.shape[1] > 1},
        "time": on("time", record.time, "s"),
        "bank_voltage": on("time", record.bank_voltage, "V"),
        "current": on("time", record.current, "A"),
        "lamp_voltage": on("time", record.lamp_voltage, "V"),
        "plasma_temperature": on("time", record.temperature[:, 0], "K"),
        "arc_radius": on("time", record.arc_radius[:, 0], "m"),
        "radiated_power": on("time", light.radiated_power, "W"),
        "absorbed_power": on("time", pump.power.sum(axis=1), "W"),
        "lamp_wavelength": on("lamp_wavelength", light.wavelength, "m"),
        "lamp_spectrum": on("lamp_wavelength", light.spectrum, "J/m"),
        "pump_absorption": on("lamp_wavelength", stages.dye.pump_absorption, "1/m"),
        "shell_radius": on("shell", pump.shell_radius, "m"),
        "absorbed_energy": on("shell", pump.energy, "J"),
        "absorbed_spectrum": on("lamp_wavelength shell", pump.absorbed_spectrum, "J/m"),
        "pump_time": on("pump_time", pump.rate_time, "s"),
        "pump_rate": on("pump_time shell", pump.rate, "1/s"),
        "gain_time": on("gain_time", gain.record.time, "s"),
        "output_power": on("gain_time", gain.output_power, "W"),
        "inversion": on("gain_time shell", gain.record.inversion * density, "1/m^3"),
        "triplets": on("gain_time shell", gain.record.triplets * density, "1/m^3"),
        "round_trip_gain": on("gain_time", np.exp(np.minimum(gain.record.net_gain, 50.0)), "-"),
        "laser_wavelength": on("laser_wavelength", gain.laser_wavelength, "m"),
        "output_spectrum": on("laser_wavelength", gain.output_spectrum, "J/m"),
        "surface_distance": on("surface", stages.beam.distance, "m"),
        "surface_diameter": on("surface", stages.beam.diameter, "m"),
        "surface_fluence": on("surface", stages.beam.fluence, "J/m^2"),
        "surface_irradiance": on("surface", stages.beam.irradiance, "W/m^2"),
    }
