"""An envelope by samples: the same samples at every voltage, so that curves, threshold and stops belong together."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator
from scipy.special import ndtri

from pulsewright.engine.chain import Chain, Stages
from pulsewright.engine.inputs import Inputs
from pulsewright.errors import BuildError, PulsewrightError
from pulsewright.physics.beam.damage import log_standard_deviation
from pulsewright.records import EnvelopeSampling, SampledStop, SampledVoltage
from pulsewright.studies.sampling import (
    ENDS,
    LEAST,
    METHOD,
    Plan,
    check_samples,
    hardly_any,
    in_pairs,
    latin_hypercube,
    sampling_plan,
    stress_ratios,
)

Floats = NDArray[np.float64]
Tell = Callable[[int, int], None]

#: Voltages at which every sample is computed; between them its curves are interpolated.
PLACES = 9
#: Most samples of an envelope.
MOST = 4_000
#: Stops with a smaller chance inside the range are not listed.
RARE = 5e-3


@dataclass(frozen=True, slots=True, eq=False)
class Curves:
    """One sample at the common voltages [V] and once more next to its threshold; `ratios` (volts, key) over limits."""

    volts: Floats
    energy: Floats
    net_gain: Floats
    ratios: Floats
    threshold: float


@dataclass(frozen=True, slots=True, eq=False)
class SampledEnvelope:
    """All samples on the axis of the envelope: band of the output, shares that lase and that pass each limit."""

    low: Floats
    high: Floats
    lasing: Floats
    probability: Mapping[str, Floats]
    record: EnvelopeSampling


def sample_envelope(
    inputs: Inputs,
    chain: Chain,
    axis: Floats,
    energy: Floats,
    bank_stop: float,
    count: int,
    seed: int,
    tell: Tell | None = None,
) -> SampledEnvelope:
    """Compute `count` samples along the axis.

    Parameters
    ----------
    inputs : Inputs
        The middle; its charge voltage does not matter.
    chain : Chain
        Keeps the stages of the middle.
    axis, energy : array (V,)
        Charge voltages [V] and the output of the middle there [J].
    bank_stop : float
        Lowest voltage at which something is exceeded that does not depend on the samples; inf for none. [V]
    count, seed : int
        Samples, and what they are drawn from.
    tell : callable, optional
        Called with (samples done, of how many); may raise to stop the work.
    """
    check_samples(count, seed, MOST)
    places = np.unique(np.linspace(0, len(axis) - 1, min(len(axis), PLACES)).round().astype(int))
    volts = axis[places]
    brightest = places[int(np.argmax(energy[places]))]
    plan, middle = sampling_plan(replace(inputs, charge_voltage=float(axis[brightest])), chain, count, seed)
    keys = tuple(stress_ratios(middle))
    found = in_pairs(lambda row: _curves(plan, row, volts, keys), range(count), tell)
    curves = [item for item in found if item is not None]
    if len(curves) < LEAST:
        raise BuildError(hardly_any(len(curves), count))
    kept = [row for row, item in enumerate(found) if item is not None]
    scale = _scale(plan, chain, volts, axis, energy)
    outputs = np.array([_output(item, axis) for item in curves]) * scale
    low, high = np.quantile(outputs, ENDS, axis=0)
    ratios = _ratios(keys, curves, axis, _limits(plan, middle, kept))
    thresholds = np.array([item.threshold for item in curves])
    stops = {key: np.array([_first_over(axis, row) for row in rows]) for key, rows in ratios.items()}
    first = np.min([*stops.values(), np.full(len(curves), bank_stop)], axis=0)
    return SampledEnvelope(
        low=low,
        high=high,
        lasing=np.mean(axis[None, :] >= thresholds[:, None], axis=0),
        probability={key: np.mean(rows >= 1.0, axis=0) for key, rows in ratios.items()},
        record=EnvelopeSampling(
            method=METHOD,
            seed=seed,
            count=count,
            failed=count - len(curves),
            resolution=f"{plan.base.shells} shells, {plan.base.bins} bins, {len(volts)} voltages",
            threshold=_voltage(thresholds),
            highest=_voltage(first),
            stops=_stops(stops),
        ),
    )


def _curves(plan: Plan, row: int, volts: Floats, keys: tuple[str, ...]) -> Curves | None:
    """One sample at every voltage, and once more where it seems to begin to lase; None where it cannot be computed."""
    chain, drawn = Chain(), plan.sample(row)
    offset = drawn.charge_voltage - plan.base.charge_voltage
    try:
        rows = [(float(place), chain.run(replace(drawn, charge_voltage=place + offset))) for place in volts]
        guess = _threshold(volts, np.array([float(stages.gain.record.peak_net_gain) for _, stages in rows]))
        if volts[0] < guess < np.inf:
            rows.append((guess, chain.run(replace(drawn, charge_voltage=guess + offset))))
    except PulsewrightError:
        return None
    rows.sort(key=lambda pair: pair[0])
    places = np.array([place for place, _ in rows])
    energy = np.array([stages.gain.output_energy for _, stages in rows])
    net_gain = np.array([float(stages.gain.record.peak_net_gain) for _, stages in rows])
    if not (np.all(np.isfinite(energy)) and np.all(np.isfinite(net_gain))):
        return None
    found = [stress_ratios(stages) for _, stages in rows]
    ratios = np.array([[row.get(key, 0.0) for key in keys] for row in found])
    return Curves(places, energy, net_gain, ratios, _threshold(places, net_gain))


def _threshold(volts: Floats, net_gain: Floats) -> float:
    """Lowest voltage at which the net gain of a round trip reaches zero; -inf where it is above from the first on."""
    lasing = np.flatnonzero(net_gain >= 0)
    if len(lasing) == 0:
        return np.inf
    first = int(lasing[0])
    if first == 0:
        return -np.inf
    curve = PchipInterpolator(volts, net_gain)
    roots = curve.roots(extrapolate=False)
    inside = roots[(roots >= volts[first - 1]) & (roots <= volts[first])]
    return float(inside[0]) if len(inside) else float(volts[first])


def _output(item: Curves, axis: Floats) -> Floats:
    """Output of one sample along the axis: nothing below its threshold, smooth above."""
    above = item.energy > 0
    volts, energy = item.volts[above], item.energy[above]
    if np.isfinite(item.threshold) and (len(volts) == 0 or item.threshold < volts[0]):
        volts, energy = np.append(item.threshold, volts), np.append(0.0, energy)
    if len(volts) < 2:
        return np.where(axis >= volts[0], energy[0], 0.0) if len(volts) else np.zeros_like(axis)
    found = PchipInterpolator(volts, energy, extrapolate=False)(axis)
    return np.asarray(np.where((axis >= volts[0]) & np.isfinite(found), np.maximum(found, 0.0), 0.0))


def _scale(plan: Plan, chain: Chain, volts: Floats, axis: Floats, energy: Floats) -> Floats:
    """Output of the middle over that at the resolution of the samples, along the axis, near one."""
    runs = [chain.run(replace(plan.base, charge_voltage=float(place))) for place in volts]
    coarse = np.array([stages.gain.output_energy for stages in runs])
    fine = np.interp(volts, axis, energy)
    both = (coarse > 0) & (fine > 0)
    if not np.any(both):
        return np.ones_like(axis)
    ratio = np.clip(fine[both] / coarse[both], 0.5, 2.0)
    return np.asarray(np.interp(axis, volts[both], ratio))


def _limits(plan: Plan, middle: Stages, kept: list[int]) -> dict[str, Floats]:
    """Every limit over its middle, for each sample: those that go with no drawn entry are drawn here."""
    undrawn = {row.key: row for row in middle.stresses if row.limit and row.limit_spread > 0}
    undrawn = {key: row for key, row in undrawn.items() if plan.column(row.limit_entry) is None}
    unit = latin_hypercube([f"limit of {key}" for key in undrawn], len(plan.unit), plan.seed)[kept]
    return {
        key: np.asarray(np.exp(float(log_standard_deviation(row.limit_spread)) * ndtri(unit[:, place])))
        for place, (key, row) in enumerate(undrawn.items())
    }


def _ratios(
    keys: tuple[str, ...], curves: list[Curves], axis: Floats, limits: Mapping[str, Floats]
) -> dict[str, Floats]:
    """Stress over limit by item: (samples, axis), smooth between the voltages."""
    table = np.array([PchipInterpolator(item.volts, item.ratios)(axis) for item in curves])
    found = {key: table[:, :, place] for place, key in enumerate(keys)}
    return {key: rows if key not in limits else rows / limits[key][:, None] for key, rows in found.items()}


def _first_over(axis: Floats, row: Floats) -> float:
    """Lowest voltage at which a ratio reaches one: the first of the axis, or inf for none."""
    over = np.flatnonzero(row >= 1.0)
    if len(over) == 0:
        return np.inf
    first = int(over[0])
    if first == 0:
        return float(axis[0])
    part = (1.0 - row[first - 1]) / (row[first] - row[first - 1])
    return float(axis[first - 1] + part * (axis[first] - axis[first - 1]))


def _voltage(found: Floats) -> SampledVoltage:
    """Interval of a voltage; an end that lies outside of the range is infinite."""
    ordered = np.sort(found)
    low, high = (float(ordered[round(part * (len(ordered) - 1))]) for part in ENDS)
    return SampledVoltage(low, high, float(np.mean(np.isfinite(found))))


def _stops(stops: Mapping[str, Floats]) -> tuple[SampledStop, ...]:
    """Every stop that some samples meet inside the range, likeliest first."""
    rows = []
    for key, found in stops.items():
        met = found[np.isfinite(found)]
        if len(met) / len(found) < RARE:
            continue
        item, _, stress = key.partition(": ")
        low, high = (float(end) for end in np.quantile(met, ENDS))
        rows.append(SampledStop(item, stress, len(met) / len(found), low, high))
    return tuple(sorted(rows, key=lambda row: (-row.probability, row.low)))
