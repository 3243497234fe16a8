"""Inductance and resistance of the leads of the loop from their shapes, at the frequency of the pulse."""

from __future__ import annotations

import math
from dataclasses import dataclass

from pulsewright import refdata
from pulsewright.engine.electric import DischargeStage
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.stress import width_at
from pulsewright.errors import DomainError
from pulsewright.machine.parts import Lead
from pulsewright.physics.pulsed_power.inductance import (
    cable_inductance,
    coaxial_inductance,
    ring_inductance,
    strip_inductance,
)
from pulsewright.physics.pulsed_power.skin_effect import (
    pulse_frequency,
    sheet_internal_inductance,
    sheet_resistance,
    wire_internal_inductance,
    wire_resistance,
)


@dataclass(frozen=True, slots=True)
class LeadFigures:
    """One lead: `inductance` [H] and `resistance` [ohm] of all alike side by side; None where not computed, and why."""

    name: str
    inductance: float | None
    resistance: float | None
    reason: str = ""


@dataclass(frozen=True, slots=True)
class Leads:
    """The leads of a loop at one `frequency` [Hz], each and together."""

    frequency: float
    rows: tuple[LeadFigures, ...]

    @property
    def inductance(self) -> float:
        """Of those that are computed, in series, in H."""
        return sum(row.inductance or 0.0 for row in self.rows)

    @property
    def resistance(self) -> float:
        """Of those that are computed, in series, in ohm."""
        return sum(row.resistance or 0.0 for row in self.rows)


def leads(inputs: Inputs, discharge: DischargeStage) -> Leads:
    """Figures of every lead of the build at the frequency of this discharge."""
    frequency = float(pulse_frequency(width_at(discharge.record.time, discharge.record.current, 1 / 3)))
    rows = tuple(_figures(name, lead, frequency) for name, lead in inputs.machine.leads.items())
    return Leads(frequency, rows)


def _figures(name: str, lead: Lead, frequency: float) -> LeadFigures:
    shapes = {"coaxial": _coaxial, "strips": _strips, "wire ring": _ring, "cable": _cable}
    try:
        inductance, resistance, reason = shapes[lead.shape](lead, frequency)
    except DomainError as wrong:
        finding = wrong.findings[0]
        allowed = finding.allowed.removeprefix("Allowed: ")
        return LeadFigures(name, None, None, f"its {finding.path.replace('_', ' ')} must be {allowed}")
    alike = lead.in_parallel or 1
    return LeadFigures(name, inductance / alike, None if resistance is None else resistance / alike, reason)


def _metal(lead: Lead) -> tuple[float, float]:
    row = refdata.metal(lead.metal)
    return float(row.resistivity), float(row.relative_permeability)


def _tube(lead: Lead, length: float, width: float, frequency: float) -> tuple[float, float, str]:
    """Inside inductance and resistance of a sheet; one of unknown thickness is counted as thicker than its skin."""
    resistivity, permeability = _metal(lead)
    shape = length, width, lead.thickness or math.inf, resistivity, frequency, permeability
    unknown = "" if lead.thickness else "its thickness is not given and counts as many skin depths"
    return float(sheet_internal_inductance(*shape)), float(sheet_resistance(*shape)), unknown


def _wire(lead: Lead, length: float, radius: float, frequency: float) -> tuple[float, float]:
    resistivity, permeability = _metal(lead)
    shape = length, radius, resistivity, frequency, permeability
    return float(wire_internal_inductance(*shape)), float(wire_resistance(*shape))


def _coaxial(lead: Lead, frequency: float) -> tuple[float, float | None, str]:
    length, inner, outer = lead.length or 0.0, lead.inner_diameter or 0.0, lead.outer_diameter or 0.0
    between = float(coaxial_inductance(length, inner, outer))
    tube, ohms, unknown = _tube(lead, length, math.pi * outer, frequency)
    core, core_ohms = _wire(lead, length, inner / 2, frequency)
    return between + core + tube, core_ohms + ohms, unknown


def _strips(lead: Lead, frequency: float) -> tuple[float, float | None, str]:
    length, width = lead.length or 0.0, lead.width or 0.0
    between = float(strip_inductance(length, width, lead.gap or 0.0))
    inside, ohms, unknown = _tube(lead, length, width, frequency)
    return between + 2 * inside, 2 * ohms, unknown


def _ring(lead: Lead, frequency: float) -> tuple[float, float | None, str]:
    ring, radius = lead.ring_radius or 0.0, lead.wire_radius or 0.0
    outside = float(ring_inductance(ring, radius, "skin"))
    inside, ohms = _wire(lead, 2 * math.pi * ring, radius, frequency)
    return outside + inside, ohms, ""


def _cable(lead: Lead, frequency: float) -> tuple[float, float | None, str]:
    length = lead.length or 0.0
    whole = float(cable_inductance(length, lead.line_impedance or 0.0, lead.velocity_factor or 0.0))
    if lead.inner_diameter is None or lead.outer_diameter is None:
        return whole, None, "its resistance needs inner_diameter and outer_diameter"
    _, ohms, unknown = _tube(lead, length, math.pi * lead.outer_diameter, frequency)
    _, core_ohms = _wire(lead, length, lead.inner_diameter / 2, frequency)
    return whole, core_ohms + ohms, unknown
