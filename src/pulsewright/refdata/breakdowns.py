"""Breakdown of gases: Townsend's constants for Paschen's law.

They hold for a uniform gap. A lamp is long and narrow, with walls and conductors beside it: see the note of each row.
"""

from __future__ import annotations

from pulsewright.refdata.rows import Datum, Townsend

_PER_CM_TORR = 100.0 / (101325.0 / 760.0)
_LIEBERMAN = "Lieberman and Lichtenberg, Principles of Plasma Discharges, 2nd ed. (2005), Table 14.1, as quoted"
_RAIZER = "Raizer, Gas Discharge Physics (1991), Table 4.1"
_NOTES = (
    "A guide only for a lamp: breakdown of a tube depends on length over radius too, on walls, light and nearby "
    "conductors (Lisovskiy et al., J. Phys. D 33, 2722 (2000); Ionikh, Plasma Phys. Rep. 46, 1015 (2020)). Measure "
    "pressure and voltage on the actual head."
)
_GAMMA = Datum(
    0.01,
    "-",
    1e-3,
    0.1,
    "memory-m",
    "electrons freed at the cathode per ion: depends on cathode and gas, often poorly known (arXiv:1612.07170)",
)


def _row(name: str, a: float, b: float, tag: str, source: str, valid: str = "") -> Townsend:
    """A row; A in 1/(cm torr), B in V/(cm torr); a fifth either way for what the form leaves open."""

    def constant(value: float, unit: str) -> Datum:
        return Datum(
            value * _PER_CM_TORR, unit, 0.8 * value * _PER_CM_TORR, 1.2 * value * _PER_CM_TORR, tag, source, valid
        )

    return Townsend(name, constant(a, "1/(Pa m)"), constant(b, "V/(Pa m)"), _GAMMA, _NOTES)


_ROWS = (
    _row("xenon", 26.0, 350.0, "memory-m", _RAIZER, "E/p of 200 to 800 V/(cm torr)"),
    _row("krypton", 17.0, 240.0, "memory-m", _RAIZER, "E/p of 100 to 1000 V/(cm torr)"),
    _row("argon", 11.5, 176.0, "secondary", _LIEBERMAN),
    _row("helium", 2.8, 77.0, "secondary", _LIEBERMAN),
    _row("neon", 4.4, 111.0, "secondary", _LIEBERMAN),
    _row("nitrogen", 11.8, 325.0, "secondary", _LIEBERMAN),
    _row("air", 15.0, 365.0, "secondary", "Bazelyan, page 32, as quoted", "gamma = 0.01"),
    _row("oxygen", 15.0, 365.0, "assumed", "those of air, for want of its own"),
)

BREAKDOWNS: dict[str, Townsend] = {row.name: row for row in _ROWS}
