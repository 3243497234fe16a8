"""What each way to start a discharge adds and needs, in words; common practice where no source is named."""

from __future__ import annotations

from dataclasses import dataclass

#: Methods that start lamps which conduct already, so that something else must hold the bank off.
NEED_SWITCH = ("simmer", "pre-pulse")


@dataclass(frozen=True, slots=True)
class Words:
    """What a method adds to the loop, its parts, its upkeep, its own hazards."""

    adds: str
    parts: str
    upkeep: str
    hazards: str


_LIVE = "the bank stands on the lamps: their ends are live, and they may break down at any moment"

WORDS: dict[str, Words] = {
    "triggered spark gap": Words(
        adds="inductance of the gap (count it in loop.inductance), a drop, a spark that is resistive for nanoseconds",
        parts="three-electrode gap, trigger transformer with its supply, gas or pressure control",
        upkeep="electrodes wear and the self-break drifts: clean, set and log it",
        hazards="fires by itself near self-break; noise, ozone, ultraviolet; hot gas under pressure",
    ),
    "overvoltage gap": Words(
        adds="least inductance and drop of all switches",
        parts="two-electrode gap; a pulse charger, where the moment matters",
        upkeep="electrodes wear and the level drifts",
        hazards="fires when it breaks down, also while charging; noise, ozone, ultraviolet",
    ),
    "thyratron": Words(
        adds="an anode drop of some 100 V (from memory) and its inductance",
        parts="tube, heater and reservoir supplies, grid driver; 5 min warm-up (one type, data sheet)",
        upkeep="hours of heater and shots counted; reservoir set",
        hazards="damaged by reverse voltage and too much current; X-rays above some 10 kV in fault (from memory); hot",
    ),
    "ideal": Words(
        adds="nothing",
        parts="none: a yardstick for the others, lamps taken as broken down",
        upkeep="none",
        hazards="none of its own",
    ),
    "external wire": Words(
        adds="nothing: the lamp is alone in the loop",
        parts="trigger transformer, a wire or mirror coating along the tube",
        upkeep="wire and insulation tracked by ozone and dirt",
        hazards=f"{_LIVE}; the wire couples its pulse into coolant and reflector",
    ),
    "series injection": Words(
        adds="the saturated inductance of its transformer",
        parts="saturable transformer that carries the whole current, often above 1500 A; pulse supply",
        upkeep="little; insulation of the winding",
        hazards=f"{_LIVE}; trigger parts carry the main current",
    ),
    "simmer": Words(
        adds="a channel already hot: lower lamp voltage, longer life, some 20 % more light (hobby page quoting papers)",
        parts="keep-alive supply of 10 mA to 6 A, starting pulse, and a main switch",
        upkeep="a lamp that goes out is to be seen before charging: watch its current",
        hazards="a lamp that conducts shorts the bank if the switch fails; supply of about 1 kV, always on",
    ),
    "pre-pulse": Words(
        adds="a channel widened before the main pulse: faster rise, used for blue dyes (secondary)",
        parts="second bank and charger, second switch, delay; and a main switch",
        upkeep="two banks to check, dump and short",
        hazards="a second bank that kills by itself; a missing pre-pulse changes the shot",
    ),
    "pressure drop": Words(
        adds="nothing: no switch, least inductance; the fill is that at which it fires",
        parts="vacuum pump, valves, gauge, gas supply for filling back",
        upkeep="leaks, oil of the pump, drift of the breakdown with gas and light; pairs measured again",
        hazards=f"{_LIVE}; bank live all the time; fires without warning; one that repeats by itself fires without a "
        "human decision",
    ),
}
