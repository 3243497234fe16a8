"""Breakdown of the lamps of a build: the curve of their gas, moved to the pairs measured on the head."""

from __future__ import annotations

import math

from pulsewright import refdata
from pulsewright.engine.trigger_record import Range
from pulsewright.machine.parts import Machine
from pulsewright.physics.pulsed_power.breakdown_curve import BreakdownCurve, calibrated_curve, gas_curve
from pulsewright.refdata.rows import Datum

#: Least part of the uniform-gap breakdown voltage at which a full lamp may break down: a wave along the wall needs far
#: less field. From memory: lamp makers' highest voltages without trigger, some 0.3 to 1 kV/cm at 450 torr of xenon,
#: lie at 0.02 to 0.07 of it; range 0.01 to 0.05.
LOWEST_PART = 0.02
#: Measured pairs speak for a fill within this factor of their pressures; ours.
NEAR = 3.0
#: Most part of it: a clean dark tube without conductors beside it; assumed.
HIGHEST_PART = 1.5


def lamp_curve(machine: Machine) -> BreakdownCurve:
    """Breakdown voltage against pressure of the lamps as they are connected.

    Lamps in series share the voltage; of lamps side by side the shortest breaks down first.
    """
    lamps = list(machine.lamps.values())
    lengths = [lamp.arc_length for lamp in lamps]
    series = machine.loop.lamps_connected == "series"
    row = refdata.breakdown(lamps[0].gas)
    curve = gas_curve(
        float(row.ionisation_constant),
        float(row.field_constant),
        float(row.secondary_emission),
        sum(lengths) / len(lengths) if series else min(lengths),
        len(lamps) if series else 1,
    )
    pairs = [(pair.breakdown_pressure, pair.breakdown_voltage) for pair in machine.breakdowns.values()]
    return calibrated_curve(curve, pairs) if pairs else curve


def hold_off(machine: Machine) -> Range:
    """Standing voltage that the lamps hold off at their fill, in V, with a range as wide as what is known of it."""
    curve = lamp_curve(machine)
    fills = [lamp.fill_pressure for lamp in machine.lamps.values()]
    weakest = min((min(fills), max(fills)), key=curve.voltage)
    middle = curve.voltage(weakest)
    if not math.isfinite(middle):  # too thin for the law: it holds off more than any bank has
        middle = 1e6
    if curve.measured is not None and curve.measured[0] / NEAR <= weakest <= curve.measured[1] * NEAR:
        factor = math.exp(curve.spread_at(weakest))
        return Range(middle, middle / factor, middle * factor)
    return Range(middle, LOWEST_PART * middle, HIGHEST_PART * middle)


def breakdown_scale(machine: Machine) -> Datum:
    """Factor on the breakdown voltage of the lamps, with the range that the curve leaves open."""
    curve = lamp_curve(machine)
    at = curve.right_pressure(machine.bank.charge_voltage)
    factor = math.exp(curve.spread if at is None else curve.spread_at(at))
    return Datum(1.0, "-", 1.0 / factor, factor, "assumed", f"breakdown voltage of the lamps: {curve.words}")
