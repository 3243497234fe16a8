"""Sizing a bank: from wanted energy, pulse length, lamps and capacitors to ranked candidates, each simulated.

The closed form of the square-root law looks at every combination; what is shown is refined to the digit, written as a
build file, and simulated with the plasma model from that file, so that rule and plasma stand side by side.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Any

import numpy as np

from pulsewright import machine as machines
from pulsewright.engine.chain import Chain
from pulsewright.engine.inputs import inputs_of
from pulsewright.errors import BuildError, Finding, NotModelledError
from pulsewright.quantities import show
from pulsewright.studies.candidate import (
    Candidate,
    Circuit,
    Start,
    judged_limits,
    network_circuit,
    refined_circuit,
    side_by_side,
)
from pulsewright.studies.candidate_file import candidate_text, rounded
from pulsewright.studies.obstacles import obstacles
from pulsewright.studies.pulse_figures import DOES_NOT, TAKES_OFF, pulse_of, refuse_unmodelled_discharge
from pulsewright.studies.sizing_rules import (
    COMFORT,
    CRITICAL,
    LampChoice,
    Screen,
    lamp_choices,
    off_target,
    ranked,
    screen_network,
    screen_single_mesh,
)
from pulsewright.studies.stock import BankParts, banks
from pulsewright.studies.take_off import HARDLY, LEAST_LAW_FRACTION, MOST_LEFT
from pulsewright.studies.wish import Wish, check_wish, definition_of

Progress = Callable[[int, int], None]

#: Candidates refined for each one shown: the first look is a table, and the last digit may change the order.
REFINED = 3
#: Rounds in which the voltage is trimmed until the plasma takes the wanted energy.
TRIMS = 5
#: Channel of the last start tried, over the bore: a simmered or pre-pulsed lamp; common practice, no source.
WIDE_CHANNEL = 0.5
SCORE = (
    "Inside every limit first, and of these what takes off by the plasma: from the base's own start, with an external "
    "wire, or only behind a wide channel; then what no other beats in both number of capacitors and largest stress "
    "over its limit (voltage rating, explosion energy, peak current, reversal); then fewest capacitors, lowest stress, "
    f"alpha nearest {CRITICAL:g} or match nearest 1, lowest voltage. Stress below {COMFORT:g} of a limit counts as "
    "that much; of standard values the lowest sufficient rating is taken. The other plasma figures stand beside the "
    "rule and do not change the order."
)
_RULE_NOTE = (
    "The rule is the square-root law in a filled, hot bore (Markiewicz and Emmett 1966), for pulses long against "
    "filling and heating, 400 to 10000 A/cm^2. The plasma starts from the trigger's channel; in microseconds the two "
    "part."
)
_EXPLOSION_NOTE = (
    "Explosion energy is the lowest of three published constants, each with its own definition of pulse length; they "
    "were found for 0.1 to 10 ms. Capacitors in series need resistors that share the voltage."
)
_RATING_NOTE = (
    "Ratings that are not known are not judged. The drops of switch and electrodes are in the plasma figures only."
)
NOTES = (_RULE_NOTE, _EXPLOSION_NOTE, _RATING_NOTE)
CAUTION = (
    "Each of these banks can kill, charged or badly discharged. A bank is built, shielded and dumped by local codes "
    "and by people licensed for high voltage; a lamp near its explosion energy is a grenade: shield it."
)


@dataclass(frozen=True, slots=True, eq=False)
class Sizing:
    """Candidates for one wish, best first; `findings` say what is in the way where nothing is inside the limits."""

    wish: Wish
    candidates: tuple[Candidate, ...]
    considered: int
    inside: int
    findings: tuple[Finding, ...]
    score: str = SCORE
    notes: tuple[str, ...] = NOTES
    cautions: tuple[str, ...] = (CAUTION,)

    @property
    def definition(self) -> str:
        """What the wished pulse length means."""
        return definition_of(self.wish.definition)

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {
            "kind": "sizing of a bank",
            "definition": self.definition,
            "wish": self.wish.as_dict(),
            "considered": self.considered,
            "inside": self.inside,
            "candidates": [candidate.as_dict() for candidate in self.candidates],
            "score": self.score,
            "findings": [finding.as_dict() for finding in self.findings],
            "notes": list(self.notes),
            "cautions": list(self.cautions),
        }


def size_bank(
    wish: Wish, simulate: bool = True, chain: Chain | None = None, progress: Progress | None = None
) -> Sizing:
    """Candidates for a bank that does what is wished, best first.

    Parameters
    ----------
    wish : Wish
        What the bank shall do.
    simulate : bool
        Also simulate each candidate with the plasma model.
    chain : Chain, optional
        Keeps stages between candidates.
    progress : callable, optional
        Called with (done, total); may raise to stop the work.

    Raises
    ------
    BuildError
        If the wish is none, with every fault.
    """
    check_wish(wish)
    screen = _screen(replace(wish, definition=definition_of(wish.definition)))
    order = ranked(screen)
    inside = _inside(screen)
    first = [int(flat) for flat in order[: REFINED * wish.show]]
    made = [_candidate(wish, screen, flat) for flat in first]
    shared = chain or Chain()
    tried = []
    for done, one in enumerate(made, start=1):
        tried.append(simulated(one, wish, shared) if simulate else one)
        if progress is not None:
            progress(done, len(made))
    chosen = _chosen(tried, wish.show)
    shown = [replace(one, number=i + 1, tie=_tie(chosen, i)) for i, one in enumerate(chosen)]
    return Sizing(wish, tuple(shown), int(screen.charge_voltage.size), inside, _findings(wish, screen, shown))


def _findings(wish: Wish, screen: Screen, shown: Sequence[Candidate]) -> tuple[Finding, ...]:
    """What is in the way: of the limits, or of taking off."""
    good = [one for one in shown if not one.misses]
    if not good:
        return tuple(obstacles(wish, screen))
    cold = [one for one in good if not _off(one)]
    if len(cold) < len(good):
        return ()
    first = cold[0]
    if first.outcome not in (HARDLY, DOES_NOT):
        step = 'Wish for a higher charge voltage, a lower fill, or --trigger "external wire" or ideal'
        message = (
            f"{first.outcome}: {first.trigger_words}" if first.trigger_words else f"the plasma was {first.outcome}"
        )
        return (Finding("warning", "trigger", message, "A lamp that fires and takes off", step),)
    field = max(one.charge_voltage / (one.lamp.arc_length * _in_series(one)) for one in cold)
    strongest = show("lamp_field", field)
    message = f"by the plasma no arc takes off as the rule promises, from the trigger's channel at up to {strongest}"
    step = "Name lower fills, allow more charge voltage, or wish for the wider channel of a simmer"
    return (Finding("warning", "fill_pressure", message, "See the study take-off of a candidate", step),)


def _off(one: Candidate) -> bool:
    """Whether it takes off by the plasma, as far as that was computed."""
    return one.outcome == TAKES_OFF or one.outcome.startswith("not simulated")


def _in_series(one: Candidate) -> int:
    return 1 if one.lamp.connected == "parallel" else one.lamp.count


def _screen(wish: Wish) -> Screen:
    lamps = lamp_choices(wish)
    found: Sequence[BankParts] = banks(wish.capacitors, wish.most_parts)
    if wish.sections is None:
        return screen_single_mesh(wish, lamps, found)
    enough = [bank for bank in found if _enough(bank, wish.sections)]
    if not enough:
        message = f"no capacitor is there {wish.sections} times, as {wish.sections} equal sections need"
        step = "Take fewer sections, or a longer stock list"
        raise BuildError(Finding("error", "sections", message, "Enough alike capacitors for every section", step))
    return screen_network(wish, lamps, enough)


def _enough(bank: BankParts, sections: int) -> bool:
    """Whether the stock holds this bank once a section; standard values are bought as needed."""
    return all(not group.capacitor.line or group.parts * sections <= group.capacitor.count for group in bank.groups)


def _inside(screen: Screen) -> int:
    return int(np.sum(np.max(list(screen.ratios.values()), axis=0) <= 1.0))


def _candidate(wish: Wish, screen: Screen, flat: int) -> Candidate:
    """One combination, refined."""
    row, column = np.unravel_index(flat, screen.charge_voltage.shape)
    lamp, bank = screen.lamps[int(row)], screen.banks[int(column)]
    volts, inductance = float(screen.charge_voltage[row, column]), float(screen.inductance[row, column])
    made: Circuit
    if wish.sections is None:
        made = refined_circuit(wish, lamp, bank, volts, inductance)
    else:
        made = network_circuit(wish, lamp, bank, volts, inductance)
    return judged_limits(wish, lamp, bank, made)


def _chosen(made: Sequence[Candidate], show: int) -> list[Candidate]:
    """The best, by the same score on the refined figures."""
    good = [one for one in made if not one.misses]
    if not good:
        return sorted(made, key=lambda one: (round(one.excess, 6), one.parts, one.charge_voltage))[: min(show, 3)]
    best = [not any(_beats(other, one) for other in good) for one in good]
    order = sorted(
        range(len(good)), key=lambda i: (_start_rank(good[i]), not best[i], *_score(good[i]), _aside(good[i]), i)
    )
    return [good[i] for i in order[:show]]


def _start_rank(one: Candidate) -> int:
    """0 where the base's own start does, 1 with an external wire, 2 behind a wide channel, 3 where none takes off."""
    if not _off(one):
        return 3
    return (None, "external wire", "ideal").index(one.start.trigger) if one.start.told else 0


def _score(one: Candidate) -> tuple[int, float]:
    return one.parts, round(max(one.stress, COMFORT), 3)


def _aside(one: Candidate) -> float:
    return round(float(off_target(np.array(one.circuit.damping), one.sections is not None)), 1)


def _beats(one: Candidate, other: Candidate) -> bool:
    (parts, stress), (others, other_stress) = _score(one), _score(other)
    return (parts < others or stress < other_stress) and parts <= others and stress <= other_stress


def _tie(chosen: Sequence[Candidate], index: int) -> str:
    """Why one stands behind another that is as good."""
    if index == 0 or _score(chosen[index]) != _score(chosen[index - 1]) or chosen[index].misses:
        return ""
    better = "which is better damped or has the lower voltage"
    return f"as many capacitors and by the score the same stress as candidate {index}, {better}"


def simulated(one: Candidate, wish: Wish, chain: Chain) -> Candidate:
    """The candidate with what the plasma model makes of its build file, from the first start that takes off."""
    tried: list[Candidate] = []
    for start in starts(wish, one.lamp):
        tried.append(_from_start(replace(one, start=start), wish, chain))
        if _off(tried[-1]):
            return tried[-1]
    return tried[0]


def starts(wish: Wish, lamp: LampChoice) -> tuple[Start, ...]:
    """Ways to start the plasma, to be tried in turn; what is wished for is the only one."""
    if wish.trigger is not None or wish.channel_radius is not None:
        return (Start(wish.trigger, wish.channel_radius),)
    channel = rounded(WIDE_CHANNEL * lamp.bore / 2)
    return (Start(), Start("external wire"), Start("ideal", channel))


def _from_start(one: Candidate, wish: Wish, chain: Chain) -> Candidate:
    try:
        build = candidate_build(one, wish)
        refuse_unmodelled_discharge(build)
    except (BuildError, NotModelledError) as refused:
        return replace(one, outcome=f"not simulated: {refused.findings[0].message}")
    pulse = pulse_of(inputs_of(build), chain)
    trimmed, outcome = None, pulse.outcome
    weak = pulse.figures["peak_current"] < LEAST_LAW_FRACTION * one.circuit.figures["peak_current"]
    if outcome == TAKES_OFF and (weak or pulse.figures["lamp_energy"] < MOST_LEFT * pulse.figures["stored_energy"]):
        outcome = HARDLY
    if outcome == TAKES_OFF:
        trimmed = _trimmed(wish, one.charge_voltage, lambda volts: pulse_of(inputs_of(build, volts), chain).figures)
    told = replace(one, outcome=outcome, trigger_words=pulse.words, plasma_charge_voltage=trimmed)
    return side_by_side(told, wish, pulse.figures) if pulse.figures["peak_current"] > 0 else told


def _trimmed(wish: Wish, volts: float, at: Callable[[float], Mapping[str, float]]) -> float | None:
    """Charge voltage at which the plasma takes the wanted energy, to a part in a thousand; None if not near."""
    start = volts
    for _ in range(TRIMS):
        energy = at(volts)["lamp_energy"]
        if not energy > 0:
            return None
        if abs(energy / wish.energy - 1) < 1e-3:
            return float(volts)
        volts *= (wish.energy / energy) ** 0.5
        if not 0.3 * start < volts < 3 * start:
            return None
    return float(volts)


def candidate_build(one: Candidate, wish: Wish) -> machines.Build:
    """The build that the candidate's file makes."""
    build = machines.load_text(build_text(one, wish)).build
    assert build is not None  # the text was checked when it was made
    return build


def build_text(one: Candidate, wish: Wish, name: str = "") -> str:
    """The build file of a candidate."""
    named = name or f"candidate-{max(one.number, 1)}"
    words = f"Sized for {one.words}"
    return candidate_text(
        wish.base,
        named,
        words,
        one.lamp,
        one.bank,
        one.circuit.as_dict(),
        one.sections,
        one.start.trigger,
        one.start.channel_radius,
    )
