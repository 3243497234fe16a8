"""One shot, composed: stages, margins with probabilities, findings, cautions and provenance in one frozen record."""

from __future__ import annotations

import math
import platform
from collections.abc import Mapping
from functools import cache
from importlib.metadata import version
from typing import Any

import numpy as np

from pulsewright import machine as machines
from pulsewright import refdata, safety
from pulsewright.engine import margins as engine_margins
from pulsewright.engine.chain import Chain, Stages
from pulsewright.engine.electric import took_off
from pulsewright.engine.gain import diffraction_loss
from pulsewright.engine.inputs import inputs_of
from pulsewright.engine.trigger import DOES_NOT_FIRE
from pulsewright.errors import Finding, NotModelledError, worst_first
from pulsewright.numerics import kernel_fingerprint
from pulsewright.physics.lamp.light import CHORD_FACTOR
from pulsewright.records import Array, Margin, Provenance, Shot, Value
from pulsewright.safety.bank_figures import supply_figures
from pulsewright.studies import notes, stress_figures, trigger_notes
from pulsewright.studies.sensitivity import Sensitivities, sensitivities

NO_TAKE_OFF = (
    "the arc did not take off: the channel left by the trigger is too cold or too thin for this field; "
    "raise the voltage, lower the fill pressure, or use a stronger trigger"
)
MODEL_SOURCES = (
    "Saha equation with Debye lowering: Griem, Plasma Spectroscopy (1964), from memory",
    "Spitzer resistivity: NRL Plasma Formulary, from memory",
    "continuum absorption: Kramers-Unsoeld; Rybicki and Lightman (1979), from memory",
    "arc growth: Braginskii, Sov. Phys. JETP 7, 1068 (1958), constant from memory; not established for lamps",
    "rate equations: Sorokin et al. (1968); Peterson et al. (1971), from memory",
    "explosion energy: Koechner, Solid-State Laser Engineering; lamp makers' guides, from memory",
)
#: What helps where the discharge could not be followed.
CUT_SHORT = "Read it up to there only; check capacitance, inductance and resistance of the loop for a slip"


def compute_shot(
    build: machines.Build,
    chain: Chain,
    charge_voltage: float | None = None,
    interval: bool = True,
    overrides: Mapping[str, str] | None = None,
) -> Shot:
    """Compute one shot of a build, as a frozen record.

    Parameters
    ----------
    build : Build
        With every layer applied.
    chain : Chain
        Keeps stages between shots.
    charge_voltage : float, optional
        Defaults to the build's. [V]
    interval : bool
        Also run the sensitivities: a 90 % interval on the output and spreads behind the probabilities.
    overrides : mapping, optional
        What was overridden, for the record.

    Raises
    ------
    NotModelledError
        If the build asks for something that this version does not compute, by name.
    """
    refuse_unmodelled(build)
    inputs = inputs_of(build, charge_voltage)
    stages = chain.run(inputs)
    found = sensitivities(inputs, chain) if interval else None
    return compose(stages, found, overrides or {})


def refuse_unmodelled(build: machines.Build) -> None:
    """Raise for every choice of the build that is valid but not computed yet."""
    refused = [finding for finding in machines.not_modelled(build) if finding.grade == "error"]
    quencher = build.machine.dye.quencher
    if quencher != "none" and refdata.quencher(quencher).triplet_quenching_rate is None:
        refused.append(
            Finding(
                "error",
                "dye.quencher",
                f"how fast {quencher} quenches the triplet is not known, so it is not modelled",
                "none, or a quencher with a known rate",
                'Compute with --set dye.quencher="none" for a lower bound',
            )
        )
    if _lossless(build.machine):
        refused.append(
            Finding(
                "error",
                "resonator.loss_per_pass",
                "two mirrors that reflect everything and a pass without loss: light inside would grow without end",
                "A reflectivity below 1 or a loss above 0",
                "Give the loss of windows, scatter and mirrors, for instance 0.01",
            )
        )
    if refused:
        raise NotModelledError(*refused)


def _lossless(machine: machines.Machine) -> bool:
    resonator = machine.resonator
    mirrors = [machine.optics[part].reflectivity for part in (resonator.rear, resonator.coupler)]
    return resonator.loss_per_pass == 0.0 and all(value == 1.0 for value in mirrors)


def compose(stages: Stages, found: Sensitivities | None, overrides: Mapping[str, str]) -> Shot:
    """Put stages and sensitivities into one record."""
    build = stages.inputs.build
    outcome, reason = _outcome(stages)
    margins, unjudged = engine_margins.rows(
        stages.stresses, found.spreads() if found else {}, engine_margins.limit_spreads(stages.inputs)
    )
    bare = Shot(
        kind="simulated",
        start={
            "bench": build.name,
            "charge_voltage": stages.inputs.charge_voltage,
            "overrides": dict(overrides),
            "surfaces": list(stages.beam.names),
        },
        arrays=_arrays(stages),
        outcome=outcome,
        reason=reason,
        summary=_summary(stages, found),
        margins=margins,
        not_judged=unjudged,
        findings=(),
        cautions=(),
        provenance=_provenance(stages),
        budgets=_budgets(stages),
        sensitivities=found.ranked() if found else (),
    )
    return _with_safety(bare, stages)


def _with_safety(bare: Shot, stages: Stages) -> Shot:
    """The same with what the safety room adds: its margins, findings and cautions."""
    build = stages.inputs.build
    margins = (*bare.margins, *safety.margins(build, bare))
    ordered: tuple[Margin, ...] = tuple(sorted(margins, key=lambda row: -row.ratio))
    findings: list[Finding] = [
        *build.findings,
        *(item for item in machines.not_modelled(build) if item.grade != "error"),
        *notes.limit_findings(ordered),
        *notes.model_findings(stages),
        *stress_figures.findings(stages),
        *safety.findings(build, bare),
    ]
    return Shot(
        **{
            **{name: getattr(bare, name) for name in Shot.__dataclass_fields__},
            "margins": ordered,
            "not_judged": (*bare.not_judged, *safety.not_judged(build, bare)),
            "findings": tuple(worst_first(dict.fromkeys(findings))),
            "cautions": tuple(safety.cautions(build, bare)),
        }
    )


def _outcome(stages: Stages) -> tuple[str, str]:
    discharge = stages.discharge.record
    mistimed = trigger_notes.trigger_outcome(stages)
    if mistimed is not None:
        return mistimed
    if discharge.outcome != "not a number" and not took_off(stages.inputs, discharge):
        return "no discharge", NO_TAKE_OFF
    if discharge.outcome in ("step limit", "not a number"):
        return "failed", f"the discharge could not be followed to its end: {discharge.outcome}. {CUT_SHORT}"
    if stages.gain.record.outcome != "done":
        return "failed", f"the kinetics stopped: {stages.gain.record.outcome}"
    short = -stages.gain.record.peak_net_gain
    if short > 0:
        return "below threshold", f"the best round trip still loses {100 * (1 - np.exp(-short)):.0f} % of its light"
    if stages.gain.wavelength is None:
        return "lased", "the net gain of a round trip passed one, but the coupler lets nothing out"
    return "lased", "the net gain of a round trip passed one"


def _summary(stages: Stages, found: Sensitivities | None) -> dict[str, Value]:
    discharge, gain, beam = stages.discharge, stages.gain, stages.beam
    none = "" if gain.wavelength is not None else _outcome(stages)[1]
    low, high = found.interval(gain.output_energy) if found else (None, None)
    return {
        "charge_voltage": Value(stages.inputs.charge_voltage, "V"),
        "stored_energy": Value(discharge.stored_energy, "J"),
        **trigger_notes.trigger_summary(stages),
        "charge_time": charge_time(stages),
        **_discharged(stages),
        "output_energy": Value(gain.output_energy, "J", low, high, none),
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


def _budgets(stages: Stages) -> dict[str, dict[str, float]]:
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


def _provenance(stages: Stages) -> Provenance:
    build, machine = stages.inputs.build, stages.inputs.machine
    fills = [fill for lamp in machine.lamps.values() for fill in (lamp.gas, lamp.second_gas) if fill]
    rows = [row for fill in fills for row, _ in refdata.gas_parts(fill)]
    sources = refdata.sources(*dict.fromkeys(rows), refdata.dye(machine.dye.name), refdata.solvent(machine.dye.solvent))
    layers = {path: entry.layer for path, entry in build.entries.items() if entry.layer not in ("saved", "default")}
    first = float(np.sqrt(machine.loop.inductance * machine.bank.capacitance))
    return Provenance(
        versions=_versions(),
        values_fingerprint=build.values_fingerprint,
        full_fingerprint=build.full_fingerprint(refdata.fingerprint(), _code()),
        layers=layers,
        sources=(*MODEL_SOURCES, *sources),
        choices={
            "lamp law": machine.loop.lamp_law,
            "photon field": stages.gain.photon_field,
            "pump map": "diffuse cavity, closed form",
            "time scale of the loop": f"{first * 1e6:.3g} us, sqrt(L C)",
            **_choices(stages),
            **stages.dye.choices,
        },
        counters={**stages.discharge.record.counters, **stages.gain.record.counters},
    )


def _choices(stages: Stages) -> dict[str, str]:
    """Approximations that no entry of the build file decides."""
    width, time = stages.dye.laser_width, stages.gain.record.time
    approach = stages.inputs.coefficient("plasma.range_factor")
    diffracted = diffraction_loss(stages.inputs, float(stages.dye.laser_wavelength.mean()))
    return {
        "Coulomb logarithm": f"bounded below; closest approach at a thermal energy of {approach:g} kT",
        "closed switch": _switch_words(stages),
        "start of the arc": _start_words(stages),
        "inductance of the arcs": "added to the loop while they are narrower than their bore",
        "radiating column": f"even temperature, chord {CHORD_FACTOR:g} of its diameter, {_light_words(stages)}",
        "lamp of the waveforms": f"lamps.{stages.discharge.members[0][0]}",
        "path through the coolant": "one mean chord of the chamber",
        "S1 per absorbed photon": "1 in every pump band",
        "dye outside the pumped length": "absorbs at the laser wavelength, as ground state",
        "resolution": f"{stages.inputs.shells} shells; {stages.inputs.bins} bins of {width * 1e9:.1f} nm, "
        f"to half of which the wavelength is known; power every {(time[1] - time[0]) * 1e9:.0f} ns",
        "diffraction at the bore": f"{100 * diffracted:.2g} % a pass",
        "beam": "fills the bore; fluences of the smallest credible beam, at normal incidence; no spikes",
    }


def _switch_words(stages: Stages) -> str:
    switch = stages.inputs.machine.switch
    if switch.kind == "none":
        return "none"
    return f"{switch.kind}, drop {'by its kind' if switch.drop is None else 'as given'}"


def _start_words(stages: Stages) -> str:
    if stages.discharge.prepulse is not None:
        return "what the pre-pulse left in the lamps"
    channel = f"channel of {stages.discharge.record.arc_radius[0, 0] * 1e3:.2g} mm left by the trigger"
    if stages.trigger.simmer_current:
        if all(group.channel_radius != stages.trigger.channel_radius for group in stages.discharge.groups):
            return "steady arc of the keep-alive current, radius of the lowest field"
        return f"{channel}: no steady arc of the keep-alive current is found"
    return channel


def _light_words(stages: Stages) -> str:
    lines = [
        lamp.near_infrared_lines == "added" and "xenon" in (lamp.gas, lamp.second_gas)
        for lamp in stages.inputs.machine.lamps.values()
    ]
    if not any(lines):
        return "continuum only"
    return "continuum and near-infrared lines of xenon" + ("" if all(lines) else ", where they are added")


@cache
def _versions() -> Mapping[str, str]:
    names = ("pulsewright", "numpy", "scipy", "numba")
    return {"python": platform.python_version(), **{name: version(name) for name in names}}


@cache
def _code() -> str:
    return f"{version('pulsewright')} {kernel_fingerprint()}"


def _arrays(stages: Stages) -> dict[str, Array]:
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
        "pump_time": on("pump_time", pump.rate_time, "s"),
        "pump_rate": on("pump_time shell", pump.rate, "1/s"),
        "gain_time": on("gain_time", gain.record.time, "s"),
        "output_power": on("gain_time", gain.output_power, "W"),
        "inversion": on("gain_time shell", gain.record.inversion * density, "1/m^3"),
        "triplets": on("gain_time shell", gain.record.triplets * density, "1/m^3"),
        "round_trip_gain": on("gain_time", np.exp(np.minimum(gain.record.net_gain, 50.0)), "-"),
        "laser_wavelength": on("laser_wavelength", gain.laser_wavelength, "m"),
        "output_spectrum": on("laser_wavelength", gain.output_spectrum, "J/m"),
        "emission_cross_section": on("laser_wavelength", stages.dye.rates.emission, "m^2"),
        "absorption_cross_section": on("laser_wavelength", stages.dye.rates.absorption, "m^2"),
        "surface_distance": on("surface", stages.beam.distance, "m"),
        "surface_diameter": on("surface", stages.beam.diameter, "m"),
        "surface_fluence": on("surface", stages.beam.fluence, "J/m^2"),
        "surface_irradiance": on("surface", stages.beam.irradiance, "W/m^2"),
    }
