"""Output against the state of the fill: real shots at a few states, put together along a course."""

from __future__ import annotations

import itertools
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator
from scipy.optimize import brentq

from pulsewright.engine.chain import Chain
from pulsewright.engine.inputs import Inputs
from pulsewright.studies.fill_course import Course, State
from pulsewright.studies.pulse_figures import Progress

Float = NDArray[np.float64]

#: The output is interpolated where it changes by less than this part between two computed states, with at most so
#: many states a course.
STEP, MOST_STATES = 0.04, 28
#: A whole fill of dye cannot be gone: an empty one is not a dye laser.
MOST_BLEACHED = 0.999
#: Courses are followed to this many shots when it is asked when they reach a fraction.
LAST_SHOT = 1e12
#: A state that moves by less than this part has settled; a number of shots is found to this part.
SETTLED, NUMBER = 1e-7, 1e-3
#: Shots that the progress speaks of before it is known how many there are.
GUESS = 120


@dataclass(slots=True)
class Outputs:
    """Output energy by state, each computed once; counts the shots."""

    base: Inputs
    chain: Chain
    progress: Progress | None = None
    known: dict[State, float] = field(default_factory=dict)

    def __call__(self, state: State) -> float:
        """Output energy of a shot with the fill in this state, in J."""
        if state not in self.known:
            bleached = min(1.0 - state.dye_left, MOST_BLEACHED)
            values = {"dye.bleached_fraction": bleached, "dye.product_absorption": state.product_absorption}
            self.known[state] = self.chain.run(self.base.changed(values)).gain.output_energy
            if self.progress is not None:
                self.progress(len(self.known), max(GUESS, len(self.known)))
        return self.known[state]


def along(course: Course, outputs: Outputs, numbers: Float) -> Float:
    """Output energy of shots by their number, counted from 1: computed where it bends, interpolated between.

    Where all computed states give the same output, so do all numbers.
    """
    fired = np.asarray(numbers, dtype=float) - 1.0
    last = float(fired[-1])
    places = sorted({0.0, *(last * part for part in (1 / 64, 1 / 8, 1 / 3, 1.0))})
    energy = {place: outputs(course.acting(place)) for place in places}
    least = STEP * max(energy.values())
    while len(energy) < MOST_STATES:
        places = sorted(energy)
        steps = [abs(energy[b] - energy[a]) if b - a > 1.0 else 0.0 for a, b in itertools.pairwise(places)]
        if not steps or max(steps) <= least:
            break
        widest = int(np.argmax(steps))
        middle = 0.5 * (places[widest] + places[widest + 1])
        energy[middle] = outputs(course.acting(middle))
    return _interpolated(energy, fired)


def _interpolated(energy: dict[float, float], fired: Float) -> Float:
    places = np.array(sorted(energy))
    values = np.array([energy[place] for place in places.tolist()])
    if len(places) == 1 or np.all(values == values[0]):
        return np.full_like(fired, values[0])
    return np.asarray(np.maximum(PchipInterpolator(places, values)(fired), 0.0))


def shots_to(course: Course, outputs: Outputs, level: float) -> float | None:
    """Shots after which the output has first fallen to a level; None where it stays above it for good."""
    before, reached = 0.0, 1.0
    if outputs(course.acting(before)) <= level:
        return 0.0
    while reached <= LAST_SHOT:
        if outputs(course.acting(reached)) <= level:
            return _between(lambda shots: outputs(course.acting(shots)) - level, before, reached)
        if _settled(course.acting(before), course.acting(reached)) and before > 0:
            return None
        before, reached = reached, 4.0 * reached
    return None


def _settled(first: State, second: State) -> bool:
    dye = abs(second.dye_left - first.dye_left)
    made = abs(second.product_absorption - first.product_absorption)
    return dye <= SETTLED * first.dye_left and made <= SETTLED * max(second.product_absorption, 1e-12)


def _between(miss: Callable[[float], float], below: float, above: float) -> float:
    """Where a level is passed, to a part in `NUMBER`."""
    return float(brentq(miss, below, above, xtol=max(0.5, NUMBER * below), rtol=NUMBER))


def half_output_absorption(outputs: Outputs, dye_left: float, start: State, part: float = 0.5) -> float | None:
    """Absorption by products that halves the output of a fresh fill, with so much of the dye left [1/m].

    None where the bleaching alone halves it, nothing lases, or no absorption does.
    """
    level = part * outputs(start)
    none = start.product_absorption
    if level <= 0 or outputs(State(dye_left, none)) <= level:
        return None
    upper = 0.05
    while outputs(State(dye_left, none + upper)) > level:
        upper *= 3.0
        if upper > 1e4:
            return None
    return float(brentq(lambda made: outputs(State(dye_left, none + made)) - level, 0.0, upper, rtol=NUMBER, xtol=1e-6))


def sampled(shots: int, most: int = 241) -> Float:
    """Numbers of shots from 1 to the last, whole, at most so many; of many, half evenly and half in equal factors."""
    if shots <= most:
        return np.arange(1.0, shots + 1.0)
    half = (most + 1) // 2
    return np.unique(np.rint(np.concatenate((np.linspace(1, shots, half), np.geomspace(1, shots, half)))))


def ordered(curves: Sequence[Float]) -> tuple[Float, Float, Float]:
    """Lowest, central, highest at each place of three curves, the second of which is central."""
    stacked = np.stack(curves)
    return stacked.min(axis=0), np.asarray(curves[1]), stacked.max(axis=0)
