"""Margins of the optics: fluence in hot spots against damage thresholds carried to this pulse."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

from pulsewright import refdata
from pulsewright.engine.beam import BeamStage
from pulsewright.engine.gain import GainStage
from pulsewright.engine.inputs import Inputs
from pulsewright.engine.margin_row import Stress
from pulsewright.machine.parts import Optic
from pulsewright.physics.beam.damage import scaled_threshold


def optical_stresses(inputs: Inputs, gain: GainStage, beam: BeamStage) -> Iterator[Stress]:
    """Fluence on every surface of cavity and train."""
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
        return Stress(
            item, words, value, "surface_fluence", None, 0.0, "", "", next_step=f"Enter {item}.damage_fluence"
        )
    fluence, test_wavelength, test_duration = threshold
    scaled, extrapolated = _scaled(fluence, test_wavelength, test_duration, wavelength, duration)
    return Stress(
        item,
        words,
        value,
        "surface_fluence",
        scaled,
        spread,
        f"{source}, tested at {test_wavelength * 1e9:.0f} nm and {_time_words(test_duration)}, "
        "carried to this pulse by the "
        "published exponent that gives the lower threshold",
        lower_by,
        extrapolated=extrapolated,
        limit_entry=source if source == f"{item}.damage_fluence" else "",
    )


@lru_cache(maxsize=64)
def _scaled(
    fluence: float, test_wavelength: float, test_duration: float, wavelength: float, duration: float
) -> tuple[float, bool]:
    """Threshold for this pulse, and whether that is far from its test; optics of one coating share it."""
    found = scaled_threshold(fluence, test_wavelength, test_duration, wavelength, duration)
    return float(found.threshold), bool(found.extrapolated)


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
