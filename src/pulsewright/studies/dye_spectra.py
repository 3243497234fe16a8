"""What the dye takes up and gives by wavelength, from the ultraviolet to the red tail, and where data end."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pulsewright.engine.dye_of import dye_of
from pulsewright.engine.inputs import Inputs, inputs_of
from pulsewright.engine.solution import cross_sections, refused
from pulsewright.errors import NotModelledError
from pulsewright.machine import Build
from pulsewright.refdata.rows import Dye

Float = NDArray[np.float64]

#: Wavelengths that are shown. [m]
SPAN, POINTS = (220e-9, 820e-9), 301


@dataclass(frozen=True, slots=True, eq=False)
class Zone:
    """Wavelengths [m] at which something is not known, in words."""

    low: float
    high: float
    words: str


@dataclass(frozen=True, slots=True, eq=False)
class DyeSpectra:
    """Cross-sections of the dye in this build.

    `wavelength` (P,) [m]; `absorption`, `emission`, `excited_state_absorption`, `triplet_absorption` (P,) [m^2], not a
    number where nothing is known; `absorption_bound` (P,) [m^2]: what the absorption may be at most there.
    `zero_line` [m]: where absorption and emission cross. `unknown` says where data end, `choices` how each part is
    found, `sources` from what.
    """

    bench: str
    dye: str
    solvent: str
    wavelength: Float
    absorption: Float
    absorption_bound: Float
    emission: Float
    excited_state_absorption: Float
    triplet_absorption: Float
    zero_line: float
    unknown: tuple[Zone, ...]
    choices: tuple[tuple[str, str], ...]
    sources: tuple[str, ...]


def dye_spectra(build: Build) -> DyeSpectra:
    """The spectra of a build's dye.

    Raises
    ------
    NotModelledError
        If the reference data lack what a shot needs of this dye.
    """
    missing = refused(build.machine)
    if missing:
        raise NotModelledError(*missing)
    inputs = inputs_of(build)
    row = dye_of(build.machine)
    grid = np.linspace(*SPAN, POINTS)
    found = cross_sections(inputs, grid)
    known = found.known
    return DyeSpectra(
        bench=build.name,
        dye=row.name,
        solvent=build.machine.dye.solvent,
        wavelength=grid,
        absorption=np.where(known, found.absorption, np.nan),
        absorption_bound=np.where(known, np.nan, found.absorption_bound),
        emission=found.emission,
        excited_state_absorption=np.broadcast_to(found.excited_state_absorption, grid.shape),
        triplet_absorption=np.broadcast_to(found.triplet_absorption, grid.shape),
        zero_line=found.zero_line,
        unknown=_unknown(inputs, row, grid, known, found.absorption_bound),
        choices=tuple(found.choices.items()),
        sources=tuple(dict.fromkeys(part.source for part in (row.absorption, row.emission) if part is not None)),
    )


def _unknown(inputs: Inputs, row: Dye, grid: Float, known: NDArray[np.bool_], bound: Float) -> tuple[Zone, ...]:
    """Where the absorption is not known, and where the tail is continued beyond its data."""
    zones = []
    if not known.all() and known.any():
        first = float(grid[int(np.argmax(known))])
        most = float(bound[~known].max()) / 1e-4
        words = f"absorption of {inputs.machine.dye.name} is not known: counted as none, at most {most:.2g} cm²"
        zones.append(Zone(float(grid[0]), first, words))
    end = row.absorption.known_to
    if SPAN[0] < end < SPAN[1]:
        how = "recorded tail" if row.tail is not None else "thermal relation with the emission"
        zones.append(Zone(end, float(grid[-1]), f"beyond the fit of the band: {how}"))
    return tuple(zones)
