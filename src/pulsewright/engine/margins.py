"""Stage margins: every stress the engine computes against the limit of its part.

Each row is a `Stress`; spreads come from the sensitivities of the shot, so that a row carries the probability that
its limit is exceeded.
"""

from __future__ import annotations

from collections.abc import Mapping

import numpy as np

from pulsewright.engine.beam import BeamStage
from pulsewright.engine.gain import GainStage
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.margin_row import Stress
from pulsewright.engine.margins_optics import optical_stresses
from pulsewright.physics.beam.damage import exceedance_probability
from pulsewright.records import Margin, NotJudged

__all__ = ["Stress", "limit_spreads", "rows", "stresses"]


def stresses(inputs: Inputs, electric: tuple[Stress, ...], gain: GainStage, beam: BeamStage) -> tuple[Stress, ...]:
    """Every stress of one shot, in the order in which the energy passes; `electric` are those up to the lamps."""
    return (*electric, *optical_stresses(inputs, gain, beam))


def rows(
    found: tuple[Stress, ...], spreads: Mapping[str, float], extra_limit_spread: Mapping[str, float]
) -> tuple[tuple[Margin, ...], tuple[NotJudged, ...]]:
    """Margins with probabilities, largest ratio first, and what could not be judged.

    `spreads`: relative 90 % half-width of each stress by `Stress.key`, from the sensitivities of the shot.
    """
    judged = [stress for stress in found if stress.limit is not None]
    unjudged = [
        NotJudged(stress.item, stress.words, stress.reason, stress.next_step)
        for stress in found
        if stress.limit is None
    ]
    ratios = [stress.value / (stress.limit or 1.0) for stress in judged]
    chances = exceedance_probability(
        np.maximum(ratios, 0.0),
        1.0,
        [spreads.get(stress.key, 0.0) for stress in judged],
        [max(stress.limit_spread, extra_limit_spread.get(stress.item, 0.0)) for stress in judged],
    )
    margins = [
        Margin(
            item=stress.item,
            stress=stress.words,
            stress_value=stress.value,
            unit=stress.unit,
            limit=stress.limit or 0.0,
            ratio=ratio,
            probability=float(chance),
            source=stress.source,
            lower_by=stress.lower_by,
            quantity=stress.quantity,
            extrapolated=stress.extrapolated,
        )
        for stress, ratio, chance in zip(judged, ratios, np.atleast_1d(chances), strict=True)
    ]
    return tuple(sorted(margins, key=lambda row: -row.ratio)), tuple(unjudged)


def limit_spreads(inputs: Inputs) -> dict[str, float]:
    """Relative 90 % half-widths of the damage thresholds that the build file states, by item."""
    found = {}
    for name, optic in inputs.machine.optics.items():
        entry = inputs.build.entries.get(f"optics.{name}.damage_fluence")
        if entry is not None and entry.spread and optic.damage_fluence:
            found[f"optics.{name}"] = entry.spread / optic.damage_fluence
    return found
