"""What several tests of own dyes share: a library dye sampled to files, and benches that hold an own dye."""

from __future__ import annotations

from pathlib import Path

import numpy as np
from numpy.typing import NDArray

from pulsewright import machine, refdata
from pulsewright.physics.dye.spectroscopy import gaussian_sum_spectrum
from pulsewright.refdata.rows import GaussianSum

Float = NDArray[np.float64]


def sampled(spectrum: GaussianSum, wavelength: Float) -> Float:
    """A spectrum of the library on a grid, as an instrument would record it."""
    return np.asarray(gaussian_sum_spectrum(wavelength, spectrum.components, float(spectrum.shift)))


def write_columns(path: Path, wavelength: Float, values: Float, header: str = "wavelength (nm), value") -> None:
    """A file of two columns, wavelengths in nm."""
    rows = (f"{place * 1e9:.4f}, {value:.9g}" for place, value in zip(wavelength, values, strict=True))
    path.write_text("\n".join((header, *rows)) + "\n")


def sampled_bench(folder: Path, bench: str, dye: str, step: float = 0.5e-9, **entries: str) -> Path:
    """An example bench whose dye is one of its own: the library row, written to files and read back."""
    row = refdata.dye(dye)
    assert isinstance(row.absorption, GaussianSum)
    assert isinstance(row.emission, GaussianSum)
    folder.mkdir(parents=True, exist_ok=True)
    wavelength = np.arange(row.absorption.known_from, row.emission.known_to + 150e-9, step)
    absorption = sampled(row.absorption, wavelength)
    write_columns(folder / "absorption.csv", wavelength, absorption)
    glow = np.arange(row.absorption.known_from, row.emission.known_to + 250e-9, step)
    write_columns(folder / "emission.csv", glow, 1234.5 * sampled(row.emission, glow))
    peak = float(row.peak_molar_absorptivity) * absorption.max()
    lines = {
        "kindred": f'"{dye}"',
        "absorption_file": '"absorption.csv"',
        "emission_file": '"emission.csv"',
        "peak_molar_absorptivity": f'"{peak * 10:.9g} L/(mol cm)"',
        "quantum_yield": f"{float(row.quantum_yield)!r}",
        "lifetime": f'"{float(row.lifetime) * 1e9:.9g} ns"',
        **entries,
    }
    own = "\n".join(f"{key} = {value}" for key, value in lines.items() if value)
    text = machine.bench_text(bench)
    if bench == "tidewater":
        text = text.replace('name = "rhodamine 6G"', f'name = "{dye}"', 1)
    return write_build(folder, text, dye, own)


def write_build(folder: Path, text: str, dye: str, own: str, name: str = "mine") -> Path:
    """A build file whose dye is the own dye `mine`."""
    assert f'name = "{dye}"' in text
    changed = text.replace(f'name = "{dye}"', f'name = "{name}"', 1) + f"\n[dyes.mine]\n{own}\n"
    path = folder / "laser.toml"
    path.write_text(changed)
    return path
