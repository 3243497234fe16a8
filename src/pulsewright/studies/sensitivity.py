"""What each stated spread does to a shot: linear sensitivities, and the intervals that follow."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace

import numpy as np

from pulsewright.engine.chain import Chain, Stages
from pulsewright.engine.coefficients import NINETY
from pulsewright.engine.inputs import Inputs, Uncertain, uncertain_inputs
from pulsewright.studies.dominant import largest

#: Resolution at which variations are run; only differences and ratios are taken from it.
SHELLS, BINS = 4, 36
#: Their tolerance of a step: the energy of a shot moves by some 3e-5 of itself (docs/decisions/integrators.md).
TOLERANCE = 3e-3
#: Kernels release the interpreter's lock, so two variations run side by side.
WORKERS = 2
#: Variations that move neither output nor any stress by more than this part are not run the other way, if it lases.
NEGLIGIBLE = 2e-3
#: What the dominant inputs are named for.
OUTPUT, GAIN = "output energy", "round-trip gain"


@dataclass(frozen=True, slots=True)
class Effect:
    """One input varied by one standard deviation: change of output energy [J] down and up, ratios of the stresses.

    `net_gain`: change of the largest net gain of a round trip, down and up, as a logarithm.
    """

    path: str
    energy: tuple[float, float]
    stresses: Mapping[str, float]
    net_gain: tuple[float, float] = (0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Sensitivities:
    """All effects at one charge voltage, with the output energy they are counted from [J]."""

    output_energy: float
    effects: tuple[Effect, ...]

    def interval(self, output_energy: float) -> tuple[float, float]:
        """90 % interval of the output energy from the root sum of squares, cut at zero, in J.

        Downward and upward changes are added up apart, since most ranges are not symmetric.
        """
        scale = _scale(output_energy, self.output_energy)
        down, up = self.half_widths()
        return max(output_energy - scale * down, 0.0), output_energy + scale * up

    def half_widths(self) -> tuple[float, float]:
        """Downward and upward half-width of the 90 % interval at the resolution of the variations, in J."""
        down = np.array([min(*effect.energy, 0.0) for effect in self.effects])
        up = np.array([max(*effect.energy, 0.0) for effect in self.effects])
        return NINETY * float(np.sqrt(np.sum(down**2))), NINETY * float(np.sqrt(np.sum(up**2)))

    def spreads(self) -> dict[str, float]:
        """Relative 90 % half-width of every stress."""
        totals: dict[str, float] = {}
        for effect in self.effects:
            for key, ratio in effect.stresses.items():
                totals[key] = totals.get(key, 0.0) + ratio**2
        return {key: float(np.expm1(NINETY * np.sqrt(total))) for key, total in totals.items()}

    def ranked(self) -> tuple[tuple[str, float], ...]:
        """Inputs by the change of output energy that one standard deviation makes, largest first, in J."""
        rows = [(effect.path, max(effect.energy, key=abs)) for effect in self.effects]
        return tuple(sorted((row for row in rows if row[1] != 0.0), key=lambda row: -abs(row[1])))

    def dominant(self) -> tuple[str, tuple[tuple[str, float], ...]]:
        """What is judged, and the inputs that make most of its variance with their shares, largest first.

        The share of an input: the mean square of its changes down and up over the sum of all. Judged is the output
        energy; where no input brings any, the net gain of a round trip.
        """
        paths = [effect.path for effect in self.effects]
        for words, pairs in (
            (OUTPUT, [effect.energy for effect in self.effects]),
            (GAIN, [effect.net_gain for effect in self.effects]),
        ):
            variance = np.square(np.array(pairs).reshape(-1, 2)).mean(axis=1)
            if variance.sum() > 0:
                return words, largest(paths, variance / variance.sum())
        return "", ()


def _scale(energy: float, coarse: float) -> float:
    """Output at full over output at variation resolution, kept near one."""
    return float(np.clip(energy / coarse, 0.5, 2.0)) if energy > 0 and coarse > 0 else 1.0


def sensitivities(inputs: Inputs, chain: Chain, only: Iterable[str] | None = None) -> Sensitivities:
    """Vary every input with a stated spread, or those named, by one standard deviation each way.

    At a lower resolution than the shot's own, except where that would give another output, as next to threshold.
    """
    coarse = replace(inputs, shells=SHELLS, bins=BINS, tolerance=TOLERANCE)
    base = chain.run(coarse)
    if not alike(base, chain.run(inputs)):
        coarse, base = inputs, chain.run(inputs)
    wanted = None if only is None else set(only)
    varied = [item for item in uncertain_inputs(inputs) if wanted is None or item.path in wanted]
    twins = _twins(inputs, {item.path: item for item in varied})
    alone = [item for item in varied if item.path not in twins]
    with ThreadPoolExecutor(WORKERS) as pool:
        run = list(pool.map(lambda item: _effect(coarse, base, item, chain), alone))
    effects = {effect.path: effect for effect in run}
    for path, other in twins.items():
        effects[path] = _as_twin(effects[other], path, other)
    return Sensitivities(base.gain.output_energy, tuple(effects[item.path] for item in varied))


def _twins(inputs: Inputs, varied: Mapping[str, Uncertain]) -> dict[str, str]:
    """Entries of a lamp that does what an earlier lamp does, by the entry of that one: its effect is the same.

    Lamps in one loop that are alike in every entry and spread; where each has a loop of its own they are not.
    """
    if inputs.machine.loop.lamps_connected == "separate loops":
        return {}
    found: dict[str, str] = {}
    lamps = inputs.machine.lamps
    for name, lamp in lamps.items():
        mine = {path: item for path, item in varied.items() if path.startswith(f"lamps.{name}.")}
        for other in lamps:
            if other == name:
                break
            theirs = {path: path.replace(f"lamps.{name}.", f"lamps.{other}.", 1) for path in mine}
            same = all(path in varied and replace(varied[path], path=own) == mine[own] for own, path in theirs.items())
            if lamps[other] == lamp and same:
                found.update(theirs)
                break
    return found


def _as_twin(effect: Effect, path: str, other: str) -> Effect:
    """The effect of an entry of one lamp as that of its twin: what it does to the one it does to the other."""
    mine, theirs = (".".join(entry.split(".")[:2]) for entry in (path, other))
    names = {mine: theirs, theirs: mine}
    stresses = {}
    for key, ratio in effect.stresses.items():
        item, _, words = key.partition(": ")
        stresses[f"{names.get(item, item)}: {words}"] = ratio
    return replace(effect, path=path, stresses=stresses)


def alike(coarse: Stages, fine: Stages) -> bool:
    """Whether the lower resolution stands for the full one: near threshold only one of them may lase."""
    low, high = sorted((coarse.gain.output_energy, fine.gain.output_energy))
    return high == 0.0 or low > 0.5 * high


def _effect(inputs: Inputs, base: Stages, item: Uncertain, chain: Chain) -> Effect:
    up = chain.run(inputs.varied(item.path, item.value + item.up)) if item.up > 0 else base
    # below threshold nothing shows on the side that only raises the loss: the other side may lase
    if base.gain.output_energy > 0 and _negligible(up, base) and item.up >= item.down:
        return Effect(item.path, _energies(base, up, up), _ratios(base, up), _gains(base, up, up))
    down = chain.run(inputs.varied(item.path, item.value - item.down)) if item.down > 0 else base
    raised, lowered = _ratios(base, up), _ratios(base, down)
    ratios = {key: max(abs(change), abs(lowered[key])) for key, change in raised.items()}
    return Effect(item.path, _energies(base, down, up), ratios, _gains(base, down, up))


def _negligible(varied: Stages, base: Stages) -> bool:
    change = abs(varied.gain.output_energy - base.gain.output_energy)
    if change > NEGLIGIBLE * max(base.gain.output_energy, 1e-6):
        return False
    return all(abs(ratio) < NEGLIGIBLE for ratio in _ratios(base, varied).values())


def _energies(base: Stages, down: Stages, up: Stages) -> tuple[float, float]:
    return _changes(*(stages.gain.output_energy for stages in (base, down, up)), one_way=down is up)


def _gains(base: Stages, down: Stages, up: Stages) -> tuple[float, float]:
    return _changes(*(float(stages.gain.record.peak_net_gain) for stages in (base, down, up)), one_way=down is up)


def _changes(base: float, down: float, up: float, *, one_way: bool) -> tuple[float, float]:
    """Changes down and up; where only one way was run, the other is its mirror image."""
    return (base - up if one_way else down - base), up - base


def _ratios(base: Stages, varied: Stages) -> dict[str, float]:
    """Logarithm of each stress over its base value, where both are above zero."""
    pairs = zip(base.stresses, varied.stresses, strict=True)
    return {
        first.key: math.log(second.value / first.value) if first.value > 0 and second.value > 0 else 0.0
        for first, second in pairs
    }
