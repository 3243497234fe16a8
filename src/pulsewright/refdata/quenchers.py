"""Gases over a dye solution and the quenchers added to it."""

from __future__ import annotations

from pulsewright.refdata.rows import Atmosphere, Datum, Quencher, about


def _mass(value: float) -> Datum:
    return about(value * 1e-3, "kg/mol", 1e-4, "computed", "molecular formula and standard atomic weights")


def _fraction(value: float, low: float, high: float, tag: str, source: str) -> Datum:
    return Datum(value, "-", low, high, tag, source, "mole fraction in the dry gas, solution in equilibrium with it")


_PURGE = "well purged solution; what remains after sparging, from memory"

_ATMOSPHERES = (
    Atmosphere(
        "air", _fraction(0.2095, 0.2090, 0.2098, "memory-h", "dry air"), "Flammable vapour forms over alcohols."
    ),
    Atmosphere(
        "oxygen",
        _fraction(1.0, 0.95, 1.0, "memory-h", "medical or technical oxygen"),
        "Oxygen over a flammable solvent is an enriched-oxygen fuel mixture: an ignition hazard. Follow local codes.",
    ),
    Atmosphere("argon", _fraction(0.001, 0.0, 0.01, "memory-l", _PURGE), "Displaces air without warning: ventilate."),
    Atmosphere(
        "nitrogen", _fraction(0.001, 0.0, 0.01, "memory-l", _PURGE), "Displaces air without warning: ventilate."
    ),
    Atmosphere(
        "carbon dioxide",
        _fraction(0.001, 0.0, 0.01, "memory-l", _PURGE + "; carbon dioxide quenches nothing, it strips oxygen"),
        "Toxic well before it displaces the air's oxygen: an oxygen meter alone does not protect. 5000 ppm 8 h mean.",
    ),
)

_QUENCHERS = (
    Quencher("none", (), "", None, None, ""),
    Quencher(
        "cyclooctatetraene",
        ("COT",),
        "629-20-9",
        _mass(104.15),
        Datum(
            3.0e5,
            "m^3/(mol s)",
            1.0e5,
            1.0e6,
            "memory-l",
            "1e8 to 1e9 L/(mol s); used at 1e-3 to 1e-2 mol/L",
            "rhodamines in alcohol",
        ),
        "Flammable, irritant, forms peroxides on standing: fume hood and gloves.",
        "Liquid between -4.7 and 140 degC.",
    ),
    Quencher(
        "DABCO",
        ("1,4-diazabicyclo[2.2.2]octane",),
        "280-57-9",
        _mass(112.17),
        None,
        "Irritant amine; 1 ppm 8 h mean.",
        "0.010 mol/L kept coumarins above 90 % output three times longer (US 4,428,859); triplet rate not known.",
    ),
    Quencher(
        "N-aminohomopiperidine",
        ("1-aminohomopiperidine",),
        "5906-35-4",
        _mass(114.19),
        None,
        "Irritant, combustible amine: fume hood and gloves.",
        "Named as a triplet quencher for coumarins and rhodamines in the 1970s, from memory; rate not known.",
    ),
)

ATMOSPHERES: dict[str, Atmosphere] = {row.name: row for row in _ATMOSPHERES}
QUENCHERS: dict[str, Quencher] = {row.name: row for row in _QUENCHERS}
