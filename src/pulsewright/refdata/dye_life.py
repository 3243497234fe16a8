"""How much lamp energy a dye solution stands: dose to half output, and how likely a photon destroys a molecule.

No tables of doses are at hand: what is here is remembered, and the range of each row says how little that is. Enter
your own as `dye.half_output_dose`.
"""

from __future__ import annotations

from pulsewright.refdata.rows import Datum, Rule

#: 1 kJ per litre. [J/m^3]
_KJ_PER_LITRE = 1e6
_WORDS = "lamp energy per volume of solution to half the output, in the head where it was measured"
_REMEMBERED = "scale as remembered; tables stand in Fletcher, Laser dye stability, Parts 1 to 5, and NWC TP 6538"

#: Row for every dye that has none of its own.
ANY_DYE = "any dye"


def _dose(name: str, value: float, low: float, high: float, tag: str, source: str, notes: str = "") -> Rule:
    """A row from kJ per litre."""
    ends = (number * _KJ_PER_LITRE for number in (value, low, high))
    middle, least, most = ends
    return Rule(name, Datum(middle, "J/m^3", least, most, tag, source, _WORDS), notes)


_ROWS = (
    _dose("rhodamine 6G", 700.0, 100.0, 5000.0, "memory-l", _REMEMBERED + ": some 100 to 1000 kJ/L, up to MJ/L"),
    _dose("coumarin 1", 300.0, 100.0, 1000.0, "memory-l", _REMEMBERED + ": some 100 to 1000 kJ/L in ethanol"),
    _dose("coumarin 102", 1200.0, 300.0, 5000.0, "memory-l", _REMEMBERED + ": several times longer than coumarin 1"),
    _dose(
        ANY_DYE,
        500.0,
        50.0,
        5000.0,
        "assumed",
        "bracket around the dyes that something is remembered of",
        "Not known for this dye.",
    ),
)

HALF_OUTPUT_DOSES: dict[str, Rule] = {row.name: row for row in _ROWS}

#: Molecules destroyed per absorbed photon, for a dye that no figure is known of.
UNKNOWN_BLEACHING = Datum(
    1e-5,
    "-",
    1e-7,
    1e-3,
    "assumed",
    "bracket from rhodamines (1e-7 to 1e-6) to coumarins (1e-4 to 1e-3) in water",
    "per absorbed photon",
)


def half_output_dose(dye: str) -> Rule:
    """Dose to half output of a dye by name; the bracket of any dye where there is no row."""
    return HALF_OUTPUT_DOSES.get(dye, HALF_OUTPUT_DOSES[ANY_DYE])
