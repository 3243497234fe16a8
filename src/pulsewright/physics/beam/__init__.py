"""The beam: first-version near field and divergence, matrices, measurement relations, damage, plasma."""

from __future__ import annotations

from pulsewright.physics.beam.bore_filling import (
    BeamOnSurfaces,
    circulating_fluence,
    divergence_interval,
    first_version,
    mean_fluence,
    peak_fluence,
    peak_irradiance,
)
from pulsewright.physics.beam.damage import (
    exceedance_probability,
    exceedance_probability_over_shots,
    scaled_threshold,
)
from pulsewright.physics.beam.train import propagate

__all__ = [
    "BeamOnSurfaces",
    "circulating_fluence",
    "divergence_interval",
    "exceedance_probability",
    "exceedance_probability_over_shots",
    "first_version",
    "mean_fluence",
    "peak_fluence",
    "peak_irradiance",
    "propagate",
    "scaled_threshold",
]
