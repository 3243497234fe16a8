"""Circuits for the drawing tests: one for every topology and part that the drawing knows."""

from __future__ import annotations

from dataclasses import replace

from unit.drawing.bench_shapes import FOUR_LAMPS, TWO_LAMPS, lamp

from pulsewright.drawing.bench import BranchShape

WORDS = {
    **TWO_LAMPS.words,
    "charger": "constant current, to 12.0 kV",
    "bleeder": "20.0 Mohm",
    "dump": "2.00 kohm",
    "inductance": "1.50 uH",
    "resistance": "30.0 mohm",
    "section_inductance": "60.0 uH",
    "section_capacitance": "11.7 uF",
    "charging_resistance": "100 kohm",
    "upper_resistance": "1.00 Gohm",
    "lower_resistance": "100 kohm",
    "crowbar": "10.0 mohm",
    "simmer": "100 mA",
    "prepulse": "100 nF",
}
NOTES = ("charger: constant current, 15.0 mA, to 12.0 kV", "trigger: triggered spark gap, pulse of 25.0 kV")
PAIR = replace(TWO_LAMPS, words=WORDS, circuit_notes=NOTES, trigger="triggered spark gap")
ONE = replace(PAIR, lamps=(lamp("reed"),))
LOOPS = (
    BranchShape(id="east", inductance="1.50 uH", resistance="30.0 mohm", delay="no delay"),
    BranchShape(id="west", inductance="1.60 uH", resistance="31.0 mohm", delay="after 2.00 us"),
)
SEPARATE = replace(PAIR, lamps_connected="separate loops", branches=LOOPS)
LADDER = replace(FOUR_LAMPS, words=WORDS, lamps_connected="series", circuit_notes=NOTES, trigger="triggered spark gap")
CIRCUITS = {
    "one lamp": ONE,
    "two in series": PAIR,
    "four in series": replace(PAIR, lamps=FOUR_LAMPS.lamps, words={**WORDS, "earth_inductance": "300 nH"}),
    "parallel": replace(PAIR, lamps=FOUR_LAMPS.lamps, lamps_connected="parallel", switch="hard switch"),
    "separate": SEPARATE,
    "separate, own banks": replace(SEPARATE, branches=tuple(replace(one, capacitance="2.00 uF") for one in LOOPS)),
    "separate, one own bank": replace(
        SEPARATE, branches=(LOOPS[0], replace(LOOPS[1], capacitance="2.00 uF")), switch="thyratron"
    ),
    "six sections": LADDER,
    "twelve sections": replace(LADDER, sections=12, lamps_connected="parallel"),
    "sections not known": replace(LADDER, sections=None),
    "clamp": replace(PAIR, crowbar="clamp diode"),
    "crowbar": replace(PAIR, crowbar="crowbar switch", charge_method="resistor"),
    "thyratron": replace(ONE, switch="thyratron"),
    "overvoltage": replace(ONE, switch="overvoltage gap"),
    "pressure drop": replace(ONE, switch="none", trigger="pressure drop"),
    "external wire": replace(PAIR, switch="none", trigger="external wire"),
    "series injection": replace(ONE, switch="none", trigger="series injection"),
    "simmer": replace(ONE, trigger="simmer"),
    "pre-pulse": replace(ONE, trigger="pre-pulse"),
    "nothing known": replace(ONE, words={}, circuit_notes=()),
}
