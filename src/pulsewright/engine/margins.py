"""Stage margins: every stress the engine computes against the limit of its part.

Each row is a `Stress`; spreads come from the sensitivities of the shot, so that a row carries the probability that
its limit is exceeded.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import numpy as np

from pulsewright import refdata
from pulsewright.engine.electric import DischargeStage
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.optical import BeamStage, GainStage
from pulsewright.machine.parts import Optic
from pulsewright.physics.beam.damage import exceedance_probability, scaled_threshold
from pulsewright.physics.pulsed_power.explosion import explosion_energy_range
from pulsewright.records import Margin, NotJudged


@dataclass(frozen=True, slots=True)
class Stress:
    """One stress with its limit. `limit` None when it is not known; `limit_spread` relative half-width, 90 %."""

    item: str
    words: str
    value: float
    unit: str
    limit: float | None
    limit_spread: float
    source: str
    lower_by: str
    extrapolated: bool = False
    next_step: str = ""

    @property
    def key(self) -> str:
        """Item and stress: one row."""
        return f"{self.item}: {self.words}"


def stresses(inputs: Inputs, discharge: DischargeStage, gain: GainStage, beam: BeamStage) -> tuple[Stress, ...]:
    """Every stress of one shot, in the order in which the energy passes."""
    return (
        *_bank(inputs, discharge),
        *_switch(inputs, discharge),
        *_lamps(inputs, discharge),
        *_optics(inputs, gain, beam),
    )


def _rating(
    item: str, words: str, value: float, unit: str, limit: float | None, entry: str, lower_by: str, inputs: Inputs
) -> Stress:
    """A stress against a rating in the build file."""
    found = inputs.build.entries.get(entry)
    basis = f"{found.basis}: {found.source}".rstrip(": ") if found is not None and limit is not None else ""
    spread = 0.0
    if found is not None and limit and found.spread:
        spread = found.spread / limit
    return Stress(item, words, value, unit, limit, spread, f"{entry} ({basis})", lower_by, next_step=f"Enter {entry}")


def _bank(inputs: Inputs, discharge: DischargeStage) -> Iterator[Stress]:
    bank = inputs.machine.bank
    less = "a lower charge voltage"
    yield _rating(
        "bank", "voltage", inputs.charge_voltage, "V", bank.voltage_rating, "bank.voltage_rating", less, inputs
    )
    yield _rating(
        "bank",
        "peak current",
        discharge.peak_current,
        "A",
        bank.peak_current_rating,
        "bank.peak_current_rating",
        "a lower charge voltage, more inductance",
        inputs,
    )
    reversal = float(max(0.0, -discharge.record.bank_voltage.min()) / inputs.charge_voltage)
    yield _rating(
        "bank",
        "voltage reversal",
        reversal,
        "-",
        bank.reversal_rating,
        "bank.reversal_rating",
        "more loop resistance, less inductance",
        inputs,
    )


def _switch(inputs: Inputs, discharge: DischargeStage) -> Iterator[Stress]:
    switch = inputs.machine.switch
    if switch.kind == "none":
        return
    yield _rating(
        "switch",
        "peak current",
        discharge.peak_current,
        "A",
        switch.peak_current_rating,
        "switch.peak_current_rating",
        "a lower charge voltage, more inductance",
        inputs,
    )
    yield _rating(
        "switch",
        "charge passed",
        discharge.record.charge,
        "C",
        switch.charge_rating,
        "switch.charge_rating",
        "less capacitance or voltage",
        inputs,
    )


def _lamps(inputs: Inputs, discharge: DischargeStage) -> Iterator[Stress]:
    machine = inputs.machine
    scale = float(np.sqrt(machine.loop.inductance * machine.bank.capacitance))
    third = _width_third(discharge)
    for group, members in enumerate(discharge.members):
        energy = discharge.group_energy[group] / len(members)
        for name in members:
            lamp = machine.lamps[name]
            published = explosion_energy_range(lamp.bore, lamp.arc_length, scale, third)
            limit = lamp.explosion_fraction_rating * float(published.lowest)
            spread = float(published.highest / published.lowest - 1)
            yield Stress(
                f"lamps.{name}",
                "energy against explosion",
                energy,
                "J",
                limit,
                spread,
                f"{lamp.explosion_fraction_rating:g} of the lowest published explosion energy, range "
                f"{float(published.lowest):.0f} to {float(published.highest):.0f} J "
                "(Koechner; lamp makers; from memory); "
                "found for 0.1 to 10 ms",
                "a lower charge voltage, a larger bore, a longer arc",
                extrapolated=third < 1e-4,
            )
            load = energy / (np.pi * lamp.bore * lamp.arc_length)
            yield Stress(
                f"lamps.{name}",
                "wall loading per shot",
                float(load),
                "J/m^2",
                None,
                0.0,
                "",
                "",
                next_step="No limit for microsecond pulses is established: inspect the bore for haze and cracks",
            )


def _width_third(discharge: DischargeStage) -> float:
    """Width of the current at a third of its peak, in s."""
    current, time = np.abs(discharge.record.current), discharge.record.time
    above = np.flatnonzero(current >= current.max() / 3)
    return float(max(time[above[-1]] - time[above[0]], time[1])) if len(above) else float(time[1])


def _optics(inputs: Inputs, gain: GainStage, beam: BeamStage) -> Iterator[Stress]:
    for index, name in enumerate(beam.names):
        if name == "target":
            continue
        optic = inputs.machine.optics[name]
        inside = beam.circulating[index]
        words = "circulating fluence in hot spots" if inside else "fluence in hot spots"
        value = float(beam.fluence[index])
        lower = "a larger bore, lower output coupling loss" if inside else "a larger beam here, a better coating"
        yield _optic(f"optics.{name}", words, value, optic, gain, f"a lower charge voltage, {lower}")


def _optic(item: str, words: str, value: float, optic: Optic, gain: GainStage, lower_by: str) -> Stress:
    """Fluence against the threshold, scaled to this pulse by whichever published exponent gives the lower one."""
    duration = gain.pulse_width or float(gain.record.time[-1] - gain.record.time[0])
    wavelength = gain.wavelength or float(gain.laser_wavelength.mean())
    threshold, spread, source = _threshold(item, optic)
    if threshold is None:
        return Stress(item, words, value, "J/m^2", None, 0.0, "", "", next_step=f"Enter {item}.damage_fluence")
    fluence, test_wavelength, test_duration = threshold
    scaled = scaled_threshold(fluence, test_wavelength, test_duration, wavelength, duration)
    return Stress(
        item,
        words,
        value,
        "J/m^2",
        float(scaled.threshold),
        spread,
        f"{source}, tested at {test_wavelength * 1e9:.0f} nm and {_time_words(test_duration)}, "
        "carried to this pulse by the "
        "published exponent that gives the lower threshold",
        lower_by,
        extrapolated=bool(scaled.extrapolated),
    )


def _threshold(item: str, optic: Optic) -> tuple[tuple[float, float, float] | None, float, str]:
    """Damage fluence with test wavelength and duration, relative half-width, and source."""
    if optic.damage_fluence and optic.damage_wavelength and optic.damage_duration:
        return (optic.damage_fluence, optic.damage_wavelength, optic.damage_duration), 0.0, f"{item}.damage_fluence"
    if optic.coating is None:
        return None, 0.0, ""
    row = refdata.coating(optic.coating)
    spread = row.damage_fluence.spread / float(row.damage_fluence)
    source = f"coating '{optic.coating}': {row.damage_fluence.source} [{row.damage_fluence.tag}]"
    return (float(row.damage_fluence), row.damage_wavelength, row.damage_duration), spread, source


def _time_words(duration: float) -> str:
    return f"{duration * 1e9:g} ns" if duration < 1e-6 else f"{duration * 1e6:g} us"


def rows(
    found: tuple[Stress, ...], spreads: Mapping[str, float], extra_limit_spread: Mapping[str, float]
) -> tuple[tuple[Margin, ...], tuple[NotJudged, ...]]:
    """Margins with probabilities, largest ratio first, and what could not be judged.

    `spreads`: relative 90 % half-width of each stress by `Stress.key`, from the sensitivities of the shot.
    """
    margins, unjudged = [], []
    for stress in found:
        if stress.limit is None:
            unjudged.append(NotJudged(stress.item, stress.words, "no limit is known", stress.next_step))
            continue
        limit_spread = max(stress.limit_spread, extra_limit_spread.get(stress.item, 0.0))
        probability = 0.0
        if stress.value > 0:
            probability = float(
                exceedance_probability(stress.value, stress.limit, spreads.get(stress.key, 0.0), limit_spread)
            )
        margins.append(
            Margin(
                item=stress.item,
                stress=stress.words,
                stress_value=stress.value,
                unit=stress.unit,
                limit=stress.limit,
                ratio=stress.value / stress.limit,
                probability=probability,
                source=stress.source,
                lower_by=stress.lower_by,
                extrapolated=stress.extrapolated,
            )
        )
    return tuple(sorted(margins, key=lambda row: -row.ratio)), tuple(unjudged)


def limit_spreads(inputs: Inputs) -> dict[str, float]:
    """Relative 90 % half-widths of the damage thresholds that the build file states, by item."""
    found = {}
    for name, optic in inputs.machine.optics.items():
        entry = inputs.build.entries.get(f"optics.{name}.damage_fluence")
        if entry is not None and entry.spread and optic.damage_fluence:
            found[f"optics.{name}"] = entry.spread / optic.damage_fluence
    return found
