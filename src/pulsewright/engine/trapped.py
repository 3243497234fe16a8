"""How much of the fluorescence leaves the cell: the measured lifetime where there is one, otherwise computed."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pulsewright.engine.cell_shape import cell_area
from pulsewright.engine.inputs import Inputs
from pulsewright.physics.dye.cross_sections import DyeCrossSections
from pulsewright.physics.dye.trapping import trapped_fraction
from pulsewright.physics.lamp.tables import spectral_bands

#: Least part of the radiative rate that escapes: a measured lifetime beyond that would need a cell of mirrors.
LEAST_ESCAPING = 0.2
#: How far the computed fraction may be off: reflection at wall and chamber keeps more light in, emission near the wall
#: lets more out. From the one measured case, 0.29 against 0.24 to 0.32 computed for bores of 4 to 8 mm.
FRACTION_SPREAD = 0.1


@dataclass(frozen=True, slots=True)
class Trapped:
    """Rate at which fluorescence escapes [1/s], the fraction that is absorbed again, and the words for it."""

    escaping: float
    fraction: float
    words: str


def trapped_rates(
    inputs: Inputs, spectra: DyeCrossSections, absorption: NDArray[np.float64], radiative: float, in_air: float
) -> Trapped:
    """Part of the radiative rate that counts as decay of S1 in a filled cell.

    `spectra` and `absorption` [1/m] of the dye on the bands of the lamp's light; `radiative` rate in dilute solution
    and `in_air`, all other decay there [1/s]. Where the row knows the lifetime in a laser head, that stays (Hammond and
    Nelson, IEEE J. Quantum Electron. 16, 1980: rhodamine 6G, 3.5 to 4.8 ns, whatever the scale).
    """
    measured = inputs.reference.get("reference.dye.trapped_lifetime")
    if measured is not None:
        escaping = min(max(1 / measured - in_air, LEAST_ESCAPING * radiative), radiative)
        words = f"{measured * 1e9:.1f} ns, lengthened by radiation trapping, as measured"
        return Trapped(escaping, 1 - escaping / radiative, words)
    _, width = spectral_bands()
    radius = float(np.sqrt(cell_area(inputs.machine.cell) / np.pi))
    glow = spectra.emission_shape  # a band of a nanometre may lie between those of the lamp
    fraction = trapped_fraction(glow, absorption, width, radius) if glow.any() else 0.0
    escaping = max(1 - fraction, LEAST_ESCAPING) * radiative
    low, high = max(fraction - FRACTION_SPREAD, 0.0), min(fraction + FRACTION_SPREAD, 1 - LEAST_ESCAPING)
    return Trapped(
        escaping,
        fraction,
        f"{1e9 / (in_air + escaping):.1f} ns, lengthened by radiation trapping, computed: {100 * fraction:.0f} % of "
        f"the fluorescence is absorbed again, {100 * low:.0f} to {100 * high:.0f} %",
    )
