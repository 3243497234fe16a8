"""One shot, composed: stages, margins with probabilities, findings, cautions and provenance in one frozen record."""

from __future__ import annotations

import platform
from collections.abc import Callable, Mapping
from dataclasses import replace
from functools import cache
from importlib.metadata import version

import numpy as np

from pulsewright import machine as machines
from pulsewright import refdata, safety
from pulsewright.engine import margins as engine_margins
from pulsewright.engine.chain import Chain, Stages
from pulsewright.engine.dye_of import dye_of
from pulsewright.engine.electric import took_off
from pulsewright.engine.inputs import inputs_of
from pulsewright.engine.liquid import rows_of
from pulsewright.engine.solution import refused as refused_solution
from pulsewright.errors import Finding, NotModelledError, worst_first
from pulsewright.numerics import kernel_fingerprint
from pulsewright.physics.lamp.light import CHORD_FACTOR
from pulsewright.records import SAMPLED, Array, Margin, Provenance, Sampling, Shot, Value
from pulsewright.studies import chamber_notes, gain_notes, heat_notes, notes, shot_record, stress_figures, trigger_notes
from pulsewright.studies.sampling import METHOD, Samples, check_samples, sample_shots, sampled_findings
from pulsewright.studies.sensitivity import Sensitivities, sensitivities

Progress = Callable[[int, int], None]

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
    samples: int = 0,
    seed: int = 0,
    progress: Progress | None = None,
    quick: bool = False,
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
    samples, seed : int
        Shots with every input that has a range drawn anew, from which interval and probabilities then come; 0 for none.
    progress : callable, optional
        Called with (samples done, of how many); may raise to stop the work.
    quick : bool
        Follow the pump light by the closed form, whatever the build says: no rays are traced.

    Raises
    ------
    BuildError
        If that number of samples or that seed is none.
    NotModelledError
        If the build asks for something that this version does not compute, by name.
    """
    if samples or seed:
        check_samples(samples, seed)
    refuse_unmodelled(build)
    inputs = inputs_of(build, charge_voltage, quick=quick)
    stages = chain.run(inputs)
    found = sensitivities(inputs, chain) if interval else None
    sampled = sample_shots(inputs, chain, samples, seed, progress) if samples else None
    return compose(stages, found, overrides or {}, sampled)


def refuse_unmodelled(build: machines.Build) -> None:
    """Raise for every choice of the build that is valid but not computed yet."""
    refused = [finding for finding in machines.not_modelled(build) if finding.grade == "error"]
    refused.extend(refused_solution(build.machine))
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
    ends = (resonator.rear, resonator.coupler)
    curves = [machine.curves.get(f"optics.{part}.reflectivity_file") for part in ends]
    mirrors = [
        machine.optics[part].reflectivity if curve is None else max(curve.values)
        for part, curve in zip(ends, curves, strict=True)
    ]
    return resonator.loss_per_pass == 0.0 and all(value == 1.0 for value in mirrors)


def compose(
    stages: Stages, found: Sensitivities | None, overrides: Mapping[str, str], sampled: Samples | None = None
) -> Shot:
    """Put stages, sensitivities and samples into one record."""
    build = stages.inputs.build
    outcome, reason = _outcome(stages)
    margins, unjudged = engine_margins.rows(
        stages.stresses, found.spreads() if found else {}, engine_margins.limit_spreads(stages.inputs)
    )
    named = sampled or found
    judged_of, dominant = named.dominant() if named else ("", ())
    bare = Shot(
        kind="simulated",
        start={
            "bench": build.name,
            "charge_voltage": stages.inputs.charge_voltage,
            "overrides": dict(overrides),
            "surfaces": list(stages.beam.names),
        },
        arrays={
            **shot_record.arrays(stages),
            **gain_notes.arrays(stages),
            **heat_notes.arrays(stages),
            **_sampled_arrays(sampled),
        },
        outcome=outcome,
        reason=reason,
        summary=_summary(stages, reason, found, sampled),
        margins=margins if sampled is None else _by_samples(margins, stages, sampled),
        not_judged=unjudged,
        findings=(),
        cautions=(),
        provenance=_provenance(stages, found, sampled),
        budgets={**shot_record.budgets(stages), "heat": heat_notes.budget(stages)},
        sensitivities=found.ranked() if found else (),
        dominant=dominant,
        dominant_of=judged_of,
        sampling=None if sampled is None else _sampling(sampled, _linear(stages, found)),
    )
    return _with_safety(bare, stages, sampled_findings(sampled, _linear(stages, found)) if sampled else [])


def _linear(stages: Stages, found: Sensitivities | None) -> tuple[float, float] | None:
    return None if found is None else found.interval(stages.gain.output_energy)


def _summary(stages: Stages, reason: str, found: Sensitivities | None, sampled: Samples | None) -> dict[str, Value]:
    """The numbers with their intervals: by samples where there are any, else of the output by sensitivities."""
    rows = {**shot_record.summary(stages, reason), **gain_notes.summary(stages), **heat_notes.summary_rows(stages)}
    linear = _linear(stages, found)
    if sampled is None:
        if linear is not None:
            rows["output_energy"] = replace(rows["output_energy"], low=linear[0], high=linear[1])
        return rows
    for key, row in rows.items():
        ends = sampled.interval(key)
        if ends is not None and row.value is not None and row.span != "published":
            rows[key] = replace(row, low=ends[0], high=ends[1], span=SAMPLED)
    return rows


def _by_samples(margins: tuple[Margin, ...], stages: Stages, sampled: Samples) -> tuple[Margin, ...]:
    """The margins with the chances that the samples give."""
    extra = engine_margins.limit_spreads(stages.inputs)
    spreads = {row.key: max(row.limit_spread, extra.get(row.item, 0.0)) for row in stages.stresses}
    found = []
    for row in margins:
        key = f"{row.item}: {row.stress}"
        probability = sampled.probability(key, spreads[key])
        found.append(row if probability is None else replace(row, probability=probability))
    return tuple(found)


def _sampled_arrays(sampled: Samples | None) -> dict[str, Array]:
    return {} if sampled is None else {"sampled_output_energy": Array(sampled.energy, "J", ("sample",))}


def _sampling(sampled: Samples, linear: tuple[float, float] | None) -> Sampling:
    return Sampling(
        METHOD, sampled.seed, sampled.count, sampled.failed, sampled.lasing_share, linear, sampled.resolution
    )


def _with_safety(bare: Shot, stages: Stages, added: list[Finding]) -> Shot:
    """The same with what the safety room adds: its margins, findings and cautions."""
    build = stages.inputs.build
    margins = (*bare.margins, *safety.margins(build, bare))
    ordered: tuple[Margin, ...] = tuple(sorted(margins, key=lambda row: -row.ratio))
    findings: list[Finding] = [
        *build.findings,
        *(item for item in machines.not_modelled(build) if item.grade != "error"),
        *notes.limit_findings(ordered),
        *notes.model_findings(stages),
        *heat_notes.heat_findings(stages),
        *stress_figures.findings(stages),
        *safety.findings(build, bare),
        *added,
    ]
    return replace(
        bare,
        margins=ordered,
        not_judged=(*bare.not_judged, *safety.not_judged(build, bare)),
        findings=tuple(worst_first(dict.fromkeys(findings))),
        cautions=tuple(safety.cautions(build, bare)),
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
    return gain_notes.outcome(stages)


def _provenance(stages: Stages, found: Sensitivities | None, sampled: Samples | None) -> Provenance:
    build, machine = stages.inputs.build, stages.inputs.machine
    fills = [fill for lamp in machine.lamps.values() for fill in (lamp.gas, lamp.second_gas) if fill]
    rows = [row for fill in fills for row, _ in refdata.gas_parts(fill)]
    sources = refdata.sources(*dict.fromkeys(rows), dye_of(machine), *rows_of(machine))
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
            "pump map": stages.pump.method,
            "time scale of the loop": f"{first * 1e6:.3g} us, sqrt(L C)",
            **_choices(stages),
            **_interval_words(found, sampled),
            **stages.dye.choices,
        },
        counters={
            **stages.discharge.record.counters,
            **stages.gain.record.counters,
            **({} if sampled is None else {"samples": sampled.count, "samples left out": sampled.failed}),
        },
    )


def _interval_words(found: Sensitivities | None, sampled: Samples | None) -> dict[str, str]:
    """How intervals, chances and dominant inputs were found."""
    if sampled is not None:
        return {
            "intervals and chances": f"90 %, {sampled.count} samples, {METHOD}, seed {sampled.seed}, "
            f"{sampled.resolution}; plasma tables put together from those of the middle",
            "dominant inputs": "share of the variance that each makes by itself, from means of the samples in bins",
        }
    if found is None:
        return {}
    return {
        "intervals and chances": "90 %, linear: each input moved by one standard deviation, root of the sum of squares",
        "dominant inputs": "square of the change that one standard deviation makes, over the sum of all",
    }


def _choices(stages: Stages) -> dict[str, str]:
    """Approximations that no entry of the build file decides."""
    approach = stages.inputs.coefficient("plasma.range_factor")
    return {
        "Coulomb logarithm": f"bounded below; closest approach at a thermal energy of {approach:g} kT",
        "closed switch": _switch_words(stages),
        "start of the arc": _start_words(stages),
        "inductance of the arcs": "added to the loop while they are narrower than their bore",
        "radiating column": f"even temperature, chord {CHORD_FACTOR:g} of its diameter, {_light_words(stages)}",
        "lamp of the waveforms": f"lamps.{stages.discharge.members[0][0]}",
        **chamber_notes.choices(stages),
        "S1 per absorbed photon": "1 in every pump band",
        **gain_notes.choices(stages),
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
