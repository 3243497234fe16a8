"""The lamp-law study as a table."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING

from pulsewright.cli import text
from pulsewright.cli.text import Column
from pulsewright.quantities import show

if TYPE_CHECKING:
    from pulsewright.workbench.maps import LampCurve, LampLaw

#: Every third current density is printed; JSON has all.
EVERY = 3
_HEADS = ("kA/cm^2", "model", "90 % range", "+ wall", "law", "Spitzer", "T [K]", "light", "0.2-1 um")


def page(found: LampLaw) -> str:
    """One table for each kind of lamp: resistivities in ohm cm."""
    parts = [text.strong(f"{found.bench}: steady resistivity of the lamps, in mohm cm")]
    for curve in found.curves:
        fill = f"{curve.gas}, {show('fill_pressure', curve.fill_pressure)}, bore {show('bore', curve.bore)}"
        parts += ["", f"{', '.join(curve.lamps)}: {fill}", "", _table(found, curve)]
    parts += [
        "",
        text.wrap(
            "+ wall: with heat to the wall; light: part of the heat that leaves as light. ( ): outside the current "
            "densities for which the law is published; hotter than the plasma model covers."
        ),
    ]
    parts += [text.finding(row) for row in found.findings]
    parts += ["", *(text.wrap(note, first="- ") for note in found.notes)]
    return "\n".join(parts)


def _table(found: LampLaw, curve: LampCurve) -> str:
    rows = []
    for i in range(0, len(found.current_density), EVERY):
        law = _milli(curve.law[i])
        rows.append(
            [
                text.split_unit(show("peak_current_density", found.current_density[i]))[0],
                _milli(curve.resistivity[i]),
                f"{_milli(curve.resistivity_low[i])} to {_milli(curve.resistivity_high[i])}",
                _milli(curve.wall_resistivity[i]),
                law if found.covered[i] or law == "-" else f"({law})",
                _milli(curve.spitzer[i]),
                _kelvin(curve.temperature[i], found.hottest),
                f"{curve.radiated_fraction[i]:.2f}",
                f"{curve.band_fraction[i]:.2f}",
            ]
        )
    return text.table([Column(head, "right") for head in _HEADS], rows, indent="")


def _kelvin(temperature: float, hottest: float) -> str:
    """A temperature, in brackets where the model does not cover it."""
    told = text.split_unit(show("plasma_temperature", temperature))[0]
    return told if temperature <= hottest else f"({told})"


def _milli(resistivity: float) -> str:
    """A resistivity in mohm cm."""
    return f"{resistivity * 1e5:.3g}" if math.isfinite(resistivity) else "-"
