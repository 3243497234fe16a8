"""One shot computed many times, every input that has a range drawn anew: seeded, on two threads, and what follows."""

from __future__ import annotations

import zlib
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray
from scipy.special import ndtr

from pulsewright.engine.chain import Chain, Stages
from pulsewright.engine.inputs import Inputs, Uncertain, uncertain_inputs
from pulsewright.engine.lamp_plasma import asked_tables
from pulsewright.engine.nearby_tables import NearbyTables
from pulsewright.errors import BuildError, Finding, PulsewrightError
from pulsewright.physics.beam.damage import exceedance_probability
from pulsewright.quantities import show
from pulsewright.records import Value
from pulsewright.studies.dominant import first_order_shares, largest
from pulsewright.studies.sensitivity import BINS, GAIN, OUTPUT, SHELLS, WORKERS, alike
from pulsewright.studies.shot_record import summary

Floats = NDArray[np.float64]
Progress = Callable[[int, int], None]
Found = TypeVar("Found")

#: Fewest samples with one beyond each end of a 90 % interval, and most that are computed at once.
LEAST, MOST = 20, 20_000
HIGHEST_SEED = 2**63 - 1
METHOD = "Latin hypercube"
#: The interval holds what lies between these parts of the samples.
ENDS = (0.05, 0.95)
#: The linear interval is told beside the sampled one where an end differs by more than this part of its length.
TOLD = 0.25
#: With fewer samples than this beyond a limit, or within it, the chance is that of a log-normal through all of them.
FEW = 5


def check_samples(samples: int, seed: int, most: int = MOST) -> None:
    """Refuse numbers of samples that give no interval or never end, and seeds that are none.

    Raises
    ------
    BuildError
        With a finding each.
    """
    faults = []
    if samples < LEAST or samples > most:
        step = f"Ask for 400 samples, at least {LEAST}" if samples < LEAST else f"Ask for {most} samples or fewer"
        faults.append(Finding("error", "samples", f"{samples} samples", f"{LEAST} to {most} samples", step))
    if not 0 <= seed <= HIGHEST_SEED:
        faults.append(Finding("error", "seed", f"seed {seed}", f"0 to {HIGHEST_SEED}", "Give a whole number from 0 on"))
    if faults:
        raise BuildError(*faults)


def latin_hypercube(names: Sequence[str], count: int, seed: int) -> Floats:
    """Probabilities (count, names): in each column one in each of `count` equal parts of 0 to 1, in random order.

    A column depends on its name, the count and the seed alone, so that another input more or less leaves it as it is.
    McKay, Beckman and Conover, Technometrics 21, 239 (1979).
    """
    columns = np.empty((count, len(names)))
    for column, name in enumerate(names):
        generator = np.random.default_rng([seed, zlib.crc32(name.encode())])
        columns[:, column] = (generator.permutation(count) + generator.random(count)) / count
    return columns


@dataclass(frozen=True, slots=True, eq=False)
class Plan:
    """What is drawn: `unit` probabilities (N, D) and `values` (N, D) of the inputs, from `base` on."""

    base: Inputs
    seed: int
    inputs: tuple[Uncertain, ...]
    unit: Floats
    values: Floats

    def sample(self, row: int) -> Inputs:
        """The inputs of one sample."""
        drawn = self.values[row]
        return self.base.changed({item.path: float(drawn[place]) for place, item in enumerate(self.inputs)})

    def column(self, path: str) -> Floats | None:
        """Values drawn for one input over its middle; None where it is not drawn."""
        for place, item in enumerate(self.inputs):
            if item.path == path and item.value != 0:
                return np.asarray(self.values[:, place] / item.value)
        return None


@dataclass(frozen=True, slots=True, eq=False)
class Sample:
    """What is kept of one sample: numbers of its summary, its stresses over their limits, net gain of a round trip."""

    energy: float
    net_gain: float
    numbers: dict[str, float]
    ratios: dict[str, float]


@dataclass(frozen=True, slots=True, eq=False)
class Samples:
    """Everything sampled of one shot; samples that could not be computed stand in `failed` and nowhere else.

    `energy` and every row of `numbers` are at the resolution of the shot: those of the samples times what the middle
    has at that resolution over what it has at theirs. A number that a sample does not have is not a number.
    """

    seed: int
    count: int
    failed: int
    paths: tuple[str, ...]
    unit: Floats
    energy: Floats
    net_gain: Floats
    numbers: dict[str, Floats]
    ratios: dict[str, Floats]
    resolution: str

    @property
    def lasing_share(self) -> float:
        """Part of the samples that lase."""
        return float(np.mean(self.net_gain >= 0))

    def interval(self, key: str) -> tuple[float, float] | None:
        """90 % interval of one number of the summary, of the samples that have it; None where too few do."""
        column = self.numbers.get(key, np.zeros(0))
        column = column[np.isfinite(column)]
        if len(column) < LEAST:
            return None
        low, high = np.quantile(column, ENDS)
        return (float(low), float(high)) if high > low else None

    def dominant(self) -> tuple[str, tuple[tuple[str, float], ...]]:
        """What is judged, and the inputs that make most of its variance by themselves, with their shares."""
        words, result = (OUTPUT, self.energy) if np.any(self.energy > 0) else (GAIN, self.net_gain)
        found = largest(self.paths, first_order_shares(self.unit, result))
        return (words, found) if found else ("", ())

    def probability(self, key: str, limit_spread: float) -> float | None:
        """Chance that a limit of this relative 90 % half-width is exceeded; None for what was not sampled."""
        ratio = self.ratios.get(key)
        return None if ratio is None else chance(ratio, limit_spread)


def chance(ratio: Floats, limit_spread: float) -> float:
    """Chance that a stress exceeds its limit, from samples of their ratio; the limit is spread about its middle.

    Counted, or where next to none or next to all exceed it, by the log-normal through mean and spread of the samples.
    """
    above = ratio[ratio > 0]
    share = len(above) / len(ratio)
    if len(above) < LEAST:
        return float(np.mean(exceedance_probability(ratio, 1.0, 0.0, limit_spread)))
    beyond = int(np.count_nonzero(above >= 1.0))
    if limit_spread > 0 or FEW <= beyond <= len(above) - FEW:
        return share * float(np.mean(exceedance_probability(above, 1.0, 0.0, limit_spread)))
    logs = np.log(above)
    middle, width = float(logs.mean()), float(logs.std())
    return share * (float(ndtr(middle / width)) if width > 0 else float(middle > 0))


def sampling_plan(inputs: Inputs, chain: Chain, count: int, seed: int) -> tuple[Plan, Stages]:
    """What to draw, and the middle at the resolution of the samples.

    That is lower than the shot's own where it gives nearly the same output, as for the sensitivities. Plasmas are not
    solved anew for each sample.
    """
    coarse = replace(inputs, shells=SHELLS, bins=BINS)
    middle = chain.run(coarse)
    if not alike(middle, chain.run(inputs)):
        coarse, middle = inputs, chain.run(inputs)
    found = uncertain_inputs(inputs)
    lamps = inputs.machine.lamps.items()
    asked = [asked_tables(inputs, lamp, middle.trigger.fill_pressure[name]) for name, lamp in lamps]
    unit = latin_hypercube([item.path for item in found], count, seed)
    values = np.empty_like(unit)
    for place, item in enumerate(found):
        values[:, place] = item.quantile(unit[:, place])
    return Plan(replace(coarse, tables=NearbyTables(asked, found)), seed, found, unit, values), middle


def sample_shots(inputs: Inputs, chain: Chain, count: int, seed: int = 0, progress: Progress | None = None) -> Samples:
    """Compute a shot `count` times with every input that has a range drawn anew.

    Parameters
    ----------
    inputs : Inputs
        The middle.
    chain : Chain
        Keeps the stages of the middle; those of the samples are not kept.
    count, seed : int
        Samples, and what they are drawn from.
    progress : callable, optional
        Called with (done, total); may raise to stop the work.
    """
    check_samples(count, seed)
    plan, middle = sampling_plan(inputs, chain, count, seed)
    rows = in_pairs(lambda row: _sample(plan.sample(row)), range(count), progress)
    kept = [row for row, sample in enumerate(rows) if sample is not None]
    samples = [sample for sample in rows if sample is not None]
    if len(samples) < LEAST:
        raise BuildError(hardly_any(len(samples), count))
    scales = _scales(chain.run(inputs), middle)
    keys = dict.fromkeys(key for sample in samples for key in sample.numbers)
    numbers = {
        key: np.array([sample.numbers.get(key, np.nan) for sample in samples]) * scales.get(key, 1.0) for key in keys
    }
    return Samples(
        seed=seed,
        count=count,
        failed=count - len(samples),
        paths=tuple(item.path for item in plan.inputs),
        unit=plan.unit[kept],
        energy=numbers["output_energy"],
        net_gain=np.array([sample.net_gain for sample in samples]),
        numbers=numbers,
        ratios=_ratios(plan, middle, kept, samples),
        resolution=f"{plan.base.shells} shells, {plan.base.bins} bins",
    )


def in_pairs(work: Callable[[int], Found], rows: Iterable[int], progress: Progress | None = None) -> list[Found]:
    """Work done for every row on two threads, in order; what progress raises ends it at once."""
    wanted = list(rows)
    found: list[Found] = []
    pool = ThreadPoolExecutor(WORKERS)
    try:
        for result in pool.map(work, wanted):
            found.append(result)
            if progress is not None:
                progress(len(found), len(wanted))
    finally:
        pool.shutdown(wait=True, cancel_futures=True)
    return found


def _sample(inputs: Inputs) -> Sample | None:
    """One sample; None where its inputs do not go together or the computation came to no end."""
    try:
        stages = Chain().run(inputs)
    except PulsewrightError:
        return None
    if not (np.isfinite(stages.gain.output_energy) and np.isfinite(stages.gain.record.peak_net_gain)):
        return None
    numbers = {key: row.value for key, row in summary(stages).items() if row.value is not None and not _published(row)}
    return Sample(
        energy=stages.gain.output_energy,
        net_gain=float(stages.gain.record.peak_net_gain),
        numbers=numbers,
        ratios=stress_ratios(stages),
    )


def _published(row: Value) -> bool:
    return row.span == "published"


def stress_ratios(stages: Stages) -> dict[str, float]:
    """Every stress over its limit, of those that have one."""
    return {row.key: row.value / row.limit for row in stages.stresses if row.limit}


def _ratios(plan: Plan, middle: Stages, kept: list[int], samples: list[Sample]) -> dict[str, Floats]:
    """Ratios by stress, against the limit in its middle: the spread of that is reckoned with in the chance."""
    found = {}
    for row in middle.stresses:
        ratios = np.array([sample.ratios.get(row.key, 0.0) for sample in samples])
        drawn = plan.column(row.limit_entry) if row.limit_entry else None
        found[row.key] = ratios if drawn is None else ratios * drawn[kept]
    return {key: column for key, column in found.items() if np.any(column > 0)}


def _scales(fine: Stages, coarse: Stages) -> dict[str, float]:
    """Numbers of the middle at the resolution of the shot over those at the resolution of the samples, near one."""
    if fine is coarse:
        return {}
    found = {}
    others = summary(coarse)
    for key, row in summary(fine).items():
        other = others[key].value
        if row.value and other:
            found[key] = float(np.clip(row.value / other, 0.5, 2.0))
    return found


def hardly_any(found: int, count: int) -> Finding:
    """Too few samples could be computed."""
    message = f"{found} of {count} samples could be computed"
    return Finding(
        "error",
        "samples",
        message,
        f"At least {LEAST} for an interval",
        "Look for an entry or a coefficient with a spread that reaches what cannot be built",
    )


def sampled_findings(found: Samples, linear: tuple[float, float] | None) -> list[Finding]:
    """What is to be known of the samples: failures, and where the linear interval is another one."""
    findings = []
    if found.failed:
        message = f"{found.failed} of {found.count} samples could not be computed and are left out"
        step = "Look for an entry with a spread that reaches what cannot be built"
        findings.append(Finding("warning", "samples", message, "Every sample computed", step))
    sampled = found.interval("output_energy")
    if linear is None or sampled is None:
        return findings
    apart = max(abs(one - other) for one, other in zip(linear, sampled, strict=True))
    if apart > TOLD * (sampled[1] - sampled[0]):
        ends = [show("output_energy", end) for end in (*sampled, *linear)]
        message = f"the samples give {ends[0]} to {ends[1]}, linear sensitivities {ends[2]} to {ends[3]}"
        allowed = "Both agree where output goes in a straight line with every input over its range"
        findings.append(Finding("note", "output_energy", message, allowed, "Rely on the samples"))
    return findings
