"""What several tests of dye spectra share: rows bound to the functions, and the width of a band."""

from __future__ import annotations

from typing import Any

import numpy as np
from numpy.typing import NDArray

from pulsewright import refdata
from pulsewright.physics.dye.cross_sections import DyeCrossSections, dye_cross_sections
from pulsewright.physics.dye.spectroscopy import cross_section_from_absorptivity, gaussian_sum_spectrum

Float = NDArray[np.float64]


def cross_sections(dye: str, solvent: str, grid: Float, tail: str = "", **changed: Any) -> DyeCrossSections:
    """The cross-sections of a dye row in a solvent row at 20 degC."""
    row = refdata.dye(dye)
    table = row.tail
    arguments: dict[str, Any] = {
        "absorption_components": row.absorption.components,
        "absorption_shift": float(row.absorption.shift),
        "peak_molar_absorptivity": float(row.peak_molar_absorptivity),
        "known_from": row.absorption.known_from,
        "unknown_molar_absorptivity": row.unknown_absorption_bound.high,
        "emission_components": row.emission.components,
        "emission_shift": float(row.emission.shift),
        "quantum_yield": float(row.quantum_yield),
        "lifetime": float(row.lifetime),
        "refractive_index": float(refdata.solvent(solvent).refractive_index),
        "temperature": 293.15,
        "excited_state_absorption": float(row.excited_state_absorption),
        "triplet_absorption": float(row.triplet_absorption),
        "tail": tail or ("thermal relation" if table is None else "table"),
        "tail_wavelength": None if table is None else table.wavelength,
        "tail_values": None if table is None else table.values,
    }
    return dye_cross_sections(grid, **{**arguments, **changed})


def band(components: tuple[tuple[float, float, float], ...], grid: Float, shift: float = 0.0) -> Float:
    """A Gaussian sum of a row on a grid."""
    return np.asarray(gaussian_sum_spectrum(grid, components, shift))


def absorption_band(dye: str, grid: Float) -> Float:
    """Absorption cross-section of the fit alone, without tail. [m2]"""
    row = refdata.dye(dye)
    peak = float(cross_section_from_absorptivity(float(row.peak_molar_absorptivity)))
    return peak * band(row.absorption.components, grid)


def full_width(grid: Float, spectrum: Float) -> float:
    """Full width at half maximum of the band around the maximum."""
    top = int(np.argmax(spectrum))
    half = spectrum[top] / 2
    left, right = top, top
    while spectrum[left] > half:
        left -= 1
    while spectrum[right] > half:
        right += 1
    low = np.interp(half, spectrum[left : left + 2], grid[left : left + 2])
    high = np.interp(-half, -spectrum[right - 1 : right + 1], grid[right - 1 : right + 1])
    return float(high - low)
