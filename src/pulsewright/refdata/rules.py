"""Rules of the trade on dye solutions, each one number with its range."""

from __future__ import annotations

from pulsewright.refdata.rows import Datum, Rule

_FLETCHER = "Fletcher, Laser dye stability, Part 5, doi 10.1007/BF00885124, abstract"

_ROWS = (
    Rule(
        "half output absorption",
        Datum(
            0.012,
            "-",
            0.003,
            0.021,
            "source",
            _FLETCHER + "; the range is that of the product of absorption and dose",
            "absorption in the head at the laser wavelength, coumarins and quinolones under flashlamps",
        ),
        "With a tenth or a fifth of the dye gone, output is halved once what became of it absorbs this much.",
    ),
    Rule(
        "half output product",
        Datum(
            0.012,
            "-",
            0.003,
            0.021,
            "source",
            _FLETCHER + ": A tau = 1.2 +- 0.9 with A in per cent",
            "absorption gained per dose times the dose to half output; independent of dye concentration and solvent",
        ),
        "Two heads compare by it: A1 tau1 = A2 tau2.",
    ),
    Rule(
        "dimer constant in alcohol",
        Datum(
            5e-3,
            "m^3/mol",
            1e-3,
            2e-2,
            "memory-l",
            "rhodamines stay single in alcohols up to some 1e-3 mol/L",
            "1 to 20 L/mol",
        ),
        "Where water is mixed with another solvent, that one is taken to hold dye apart as alcohols do.",
    ),
)

RULES: dict[str, Rule] = {row.name: row for row in _ROWS}
