"""What a careful person wants to know of a dye of the user's own: what was assumed, and what does not fit together."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache

import numpy as np

from pulsewright import refdata
from pulsewright.engine.dye_of import dye_of, left_to_kindred, own_dye
from pulsewright.errors import DomainError, Finding
from pulsewright.machine.curves import MeasuredCurve
from pulsewright.machine.parts import Machine
from pulsewright.physics.dye.cross_sections import DyeCrossSections, dye_cross_sections, emission_shape
from pulsewright.physics.dye.spectroscopy import (
    cross_section_from_absorptivity,
    radiative_rate,
    radiative_rate_from_absorption,
    stimulated_emission_cross_section,
)
from pulsewright.refdata.rows import Dye, GaussianSum, MeasuredSpectrum

#: Yield over lifetime and the rate from the absorption may differ by this factor; dyes of the library agree to 20 %.
AGREEMENT = 1.5
#: How far to the blue of its peak the band that fluoresces may reach. [m]
BAND_REACH = 120e-9


def own_dye_findings(machine: Machine) -> tuple[Finding, ...]:
    """Findings on the user's own dye in the cell; none for a dye of the library.

    An error: nothing can be computed with these spectra. A warning: its numbers contradict each other. Notes: what was
    assumed.
    """
    if own_dye(machine) is None:
        return ()
    dye = machine.dye
    index = dye.refractive_index or float(refdata.solvent(dye.solvent).refractive_index)
    return (*_numbers(dye_of(machine), index, dye.temperature), *_assumptions(machine))


@lru_cache(maxsize=64)
def _numbers(row: Dye, index: float, temperature: float) -> tuple[Finding, ...]:
    try:
        bands = _bands(row, index, temperature)
    except DomainError:
        return (_no_crossing(row, index),)
    return tuple(_yield_and_lifetime(row, bands, index))


def _bands(row: Dye, index: float, temperature: float) -> DyeCrossSections:
    """Cross-sections from the blue end of the main band to beyond the fluorescence."""
    assert row.emission is not None
    assert row.laser_range is not None
    peak = row.laser_range.low or row.laser_range.value
    grid = np.linspace(peak - 2 * BAND_REACH, peak + 2 * BAND_REACH, 1201)
    return dye_cross_sections(
        grid,
        **_spectrum("absorption", row.absorption),  # type: ignore[arg-type]
        **_spectrum("emission", row.emission),  # type: ignore[arg-type]
        peak_molar_absorptivity=float(row.peak_molar_absorptivity),
        known_from=1e-9,
        unknown_molar_absorptivity=0.0,
        quantum_yield=float(row.quantum_yield),
        lifetime=float(row.lifetime),
        refractive_index=index,
        temperature=temperature,
        excited_state_absorption=0.0,
        triplet_absorption=0.0,
    )


def _spectrum(what: str, spectrum: GaussianSum | MeasuredSpectrum) -> dict[str, object]:
    if isinstance(spectrum, GaussianSum):
        return {f"{what}_components": spectrum.components}
    return {f"{what}_wavelength": spectrum.wavelength, f"{what}_values": spectrum.values}


def _no_crossing(row: Dye, index: float) -> Finding:
    """The two peaks beside each other: of a real dye they are much alike."""
    assert row.emission is not None
    assert row.laser_range is not None
    peak = row.laser_range.low or row.laser_range.value
    shape = emission_shape(np.array([peak]), **_spectrum("emission", row.emission))  # type: ignore[arg-type]
    emitted = stimulated_emission_cross_section(peak, shape, row.quantum_yield.value, row.lifetime.value, index)
    return Finding(
        "error",
        f"dyes.{row.name}.quantum_yield",
        f"absorption and stimulated emission of {row.name} do not cross between their peaks, which reach "
        f"{float(cross_section_from_absorptivity(row.peak_molar_absorptivity.value)) * 1e4:.2g} and "
        f"{float(np.max(emitted)) * 1e4:.2g} cm^2, so no gain can be found",
        "An absorption band to the blue of the fluorescence, both much alike in height",
        "Check the peaks or files, the molar absorptivity, the quantum yield and the lifetime",
    )


def _yield_and_lifetime(row: Dye, bands: DyeCrossSections, index: float) -> Iterator[Finding]:
    """Strickler and Berg: the strength of the absorption gives the radiative rate as well."""
    grid, absorption = bands.wavelength, bands.absorption
    peak = int(np.argmax(np.where(grid < bands.zero_line, absorption, 0.0)))
    reach = np.flatnonzero(grid >= grid[peak] - BAND_REACH)[0]
    start = int(reach + np.argmin(absorption[reach : peak + 1]))
    band = np.where(np.arange(grid.size) >= start, absorption, 0.0)
    expected = radiative_rate_from_absorption(grid, band, bands.emission_shape, index)
    typed = float(radiative_rate(float(row.quantum_yield), float(row.lifetime)))
    factor = max(expected / typed, typed / expected)
    if factor > AGREEMENT:
        fitting = float(row.quantum_yield) / expected
        yield Finding(
            "warning",
            f"dyes.{row.name}.lifetime",
            f"quantum yield over lifetime is {typed:.3g} 1/s; the strength of the absorption gives {expected:.3g} 1/s, "
            f"a factor {factor:.2g} apart (Strickler and Berg)",
            f"Within a factor {AGREEMENT:g}; most laser dyes agree to 20 %",
            f"Check yield, lifetime and molar absorptivity; {fitting * 1e9:.2g} ns would fit the other two",
        )


def _assumptions(machine: Machine) -> Iterator[Finding]:
    own = own_dye(machine)
    assert own is not None
    base = f"dyes.{own.name}"
    left = left_to_kindred(own)
    if left:
        yield Finding(
            "note",
            f"{base}.kindred",
            f"taken over from {own.own.kindred}, with ranges doubled: {', '.join(left)}",
            "",
            "Enter what you know; the first two decide most over the output",
        )
    yield from _of_emission(base, own.emission)
    if own.absorption is None:
        yield Finding(
            "note",
            f"{base}.absorption_peak",
            "the absorption is one Gaussian from peak and width: shoulder and ultraviolet bands are missing, and their "
            "pump light with them",
            "",
            "Measure the absorption and give it as absorption_file",
        )


def _of_emission(base: str, curve: MeasuredCurve | None) -> Iterator[Finding]:
    if curve is None:
        yield Finding(
            "note",
            f"{base}.emission_peak",
            "the fluorescence is one Gaussian from peak and width, which falls too fast to the red; the absorption "
            "there follows from it and from the temperature",
            "",
            "Measure the fluorescence and give it as emission_file",
        )
        return
    yield Finding(
        "note",
        f"{base}.emission_file",
        "the measured fluorescence is taken as it is: what the sample itself absorbed at its blue edge is not given "
        "back",
        "",
        "Measure in a solution thin enough that it absorbs less than a tenth at its peak",
    )
