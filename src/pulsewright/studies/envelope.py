"""The operating envelope: margins and output against charge voltage, threshold, and what stops the voltage."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.optimize import brentq

from pulsewright import machine as machines
from pulsewright import safety
from pulsewright.engine import margins as engine_margins
from pulsewright.engine.chain import Chain, Stages
from pulsewright.engine.inputs import Inputs, inputs_of
from pulsewright.errors import BuildError, Finding, worst_first
from pulsewright.quantities import show
from pulsewright.records import Array, Envelope, Margin, Stop
from pulsewright.studies.sampled_envelope import MOST, sample_envelope
from pulsewright.studies.sampling import check_samples, in_pairs
from pulsewright.studies.sensitivity import Sensitivities, sensitivities
from pulsewright.studies.shot import compose, refuse_unmodelled
from pulsewright.studies.threshold import LOWEST_PART, threshold_below, threshold_between
from pulsewright.studies.trigger_notes import mistimed_findings

Float = NDArray[np.float64]
Progress = Callable[[int, int], None]

#: Default range, as parts of the charger's highest voltage.
DEFAULT_RANGE = (0.4, 1.0)
MOST_POINTS = 2000
#: Voltages, as parts of the range, at which the sensitivities are run; between them they are interpolated.
SAMPLED = (0.3, 0.65, 1.0)
#: What is read off the computed points stands where they agree to this part of the voltage.
AGREED = 5e-4
#: Smallest rise of the logarithm of a ratio from one point to the next that is read as one.
SLIGHT = 1e-9
#: A ratio that is infinite, as of a charge that never ends, counts as this in the search for where it passes one.
ENDLESS = 1e6
#: An input that makes less than this part of every variance at the middle is left out at the other voltages.
MINOR = 2e-3


@dataclass(frozen=True, slots=True, eq=False)
class _Point:
    """One voltage of the envelope."""

    stages: Stages
    margins: tuple[Margin, ...]
    interval: tuple[float, float]


@dataclass(frozen=True, slots=True, eq=False)
class _Sampled:
    """Intervals at the sampled voltages: half-widths of the output down and up, and spread of every stress."""

    places: list[float]
    down: list[float]
    up: list[float]
    spreads: dict[str, list[float]]
    dominant_of: str
    dominant: tuple[tuple[str, float], ...]

    def at(self, volts: float, column: list[float]) -> float:
        """Between the sampled voltages."""
        return float(np.interp(volts, self.places, column))


def envelope_range(build: machines.Build, start: float | None, stop: float | None, points: int) -> Float:
    """Charge voltages of an envelope, in V.

    Raises
    ------
    BuildError
        If the range is reversed or empty, starts at or below zero, or has fewer than two points.
    """
    highest = build.machine.charger.voltage_max
    first = DEFAULT_RANGE[0] * highest if start is None else start
    last = DEFAULT_RANGE[1] * highest if stop is None else stop
    if not (2 <= points <= MOST_POINTS):
        raise BuildError(
            Finding("error", "points", f"{points} points", f"2 to {MOST_POINTS} points", "Ask for 60 points")
        )
    if not (np.isfinite(first) and np.isfinite(last) and 0 < first < last):
        raise BuildError(
            Finding(
                "error",
                "charge_voltage",
                f"range from {show('charge_voltage', first)} to {show('charge_voltage', last)}",
                "The first voltage must be above zero and below the last",
                f"Try from {show('charge_voltage', DEFAULT_RANGE[0] * highest)} to {show('charge_voltage', highest)}",
            )
        )
    return np.linspace(first, last, points)


def compute_envelope(
    build: machines.Build,
    chain: Chain,
    start: float | None = None,
    stop: float | None = None,
    points: int = 60,
    overrides: Mapping[str, str] | None = None,
    progress: Progress | None = None,
    samples: int = 0,
    seed: int = 0,
) -> Envelope:
    """Compute the envelope of a build over a range of charge voltages.

    Parameters
    ----------
    build : Build
        With every layer applied.
    chain : Chain
        Keeps stages between shots.
    start, stop : float, optional
        First and last voltage; default 40 and 100 % of the charger's highest. [V]
    points : int
        Number of voltages.
    progress : callable, optional
        Called with (done, total); may raise to stop the work.
    samples, seed : int
        Samples from which band, threshold and stops then carry intervals, the same at every voltage; 0 for none.

    Raises
    ------
    BuildError
        If the range is not one, or the number of samples, or the seed.
    NotModelledError
        If the build asks for something that this version does not compute.
    """
    refuse_unmodelled(build)
    axis = envelope_range(build, start, stop, points)
    inputs = inputs_of(build, float(axis[0]))
    if samples or seed:
        check_samples(samples, seed, MOST)
    total = points + len(SAMPLED) + samples
    tell = progress or _silent
    sampled = _sampled(inputs, chain, axis, lambda done: tell(done, total))
    places = [float(volts) for volts in axis]
    found = in_pairs(
        lambda place: _point(inputs, chain, places[place], sampled),
        range(points),
        lambda done, _: tell(len(SAMPLED) + done, total),
    )
    plain = _assemble(inputs, chain, axis, found, overrides or {})
    plain = replace(plain, dominant=sampled.dominant, dominant_of=sampled.dominant_of)
    if not samples:
        return plain
    before = points + len(SAMPLED)
    return _by_samples(plain, inputs, chain, samples, seed, lambda done, _: tell(before + done, total))


def _by_samples(plain: Envelope, inputs: Inputs, chain: Chain, samples: int, seed: int, tell: Progress) -> Envelope:
    """The envelope with the band, the chances and the intervals of the samples."""
    axis, energy = plain.arrays["charge_voltage"].values, plain.arrays["output_energy"].values
    steady = [stop.voltage for stop in plain.stops if stop.item in _steady_items(inputs, float(axis[0]))]
    found = sample_envelope(inputs, chain, axis, energy, min(steady, default=np.inf), samples, seed, tell)
    probability = plain.arrays["probability"].values.copy()
    for column, key in enumerate(plain.items):
        if key in found.probability:
            probability[:, column] = found.probability[key]
    arrays = {
        **plain.arrays,
        "output_energy_low": Array(found.low, "J", ("charge_voltage",)),
        "output_energy_high": Array(found.high, "J", ("charge_voltage",)),
        "lasing_share": Array(found.lasing, "-", ("charge_voltage",)),
        "probability": _table(probability),
    }
    record = found.record
    words = {
        **plain.provenance.choices,
        "intervals and chances": f"90 %, {record.count} samples, {record.method}, seed {record.seed}, "
        f"{record.resolution}, the same samples at every voltage; smooth curves between",
    }
    return replace(plain, arrays=arrays, sampling=record, provenance=replace(plain.provenance, choices=words))


def _steady_items(inputs: Inputs, volts: float) -> set[str]:
    """Items judged by the charge voltage alone."""
    return {row.item for row in safety.bank_margins(inputs.build, volts)}


def _silent(_done: int, _total: int) -> None:
    """Progress that nobody follows."""


def _sampled(inputs: Inputs, chain: Chain, axis: Float, tell: Callable[[int], None]) -> _Sampled:
    """Sensitivities at a few voltages: all inputs in the middle, then those that matter."""
    volts = [float(axis[0] + part * (axis[-1] - axis[0])) for part in SAMPLED]
    middle = sensitivities(replace(inputs, charge_voltage=volts[1]), chain)
    tell(1)
    matter = _that_matter(middle)
    rows = [(volts[1], middle)]
    for done, place in enumerate((volts[0], volts[2]), start=2):
        rows.append((place, sensitivities(replace(inputs, charge_voltage=place), chain, matter)))
        tell(done)
    rows.sort(key=lambda row: row[0])
    judged_of, dominant = rows[-1][1].dominant()
    tables = [found.spreads() for _, found in rows]
    widths = [found.half_widths() for _, found in rows]
    return _Sampled(
        places=[place for place, _ in rows],
        down=[width[0] for width in widths],
        up=[width[1] for width in widths],
        spreads={key: [table.get(key, 0.0) for table in tables] for key in dict.fromkeys(k for t in tables for k in t)},
        dominant_of=judged_of,
        dominant=dominant,
    )


def _that_matter(found: Sensitivities) -> list[str]:
    """Inputs that make more than a negligible part of the variance of the output or of any stress."""
    columns = {"output": np.array([max(abs(change) for change in effect.energy) for effect in found.effects])}
    for key in found.effects[0].stresses if found.effects else ():
        columns[key] = np.array([abs(effect.stresses[key]) for effect in found.effects])
    kept = set()
    for column in columns.values():
        variance = column**2
        kept |= {found.effects[i].path for i in np.flatnonzero(variance > MINOR * max(variance.sum(), 1e-30))}
    return sorted(kept)


def _point(inputs: Inputs, chain: Chain, volts: float, sampled: _Sampled) -> _Point:
    here = replace(inputs, charge_voltage=volts)
    stages = chain.run(here)
    spreads = {key: sampled.at(volts, column) for key, column in sampled.spreads.items()}
    margins, _ = engine_margins.rows(stages.stresses, spreads, engine_margins.limit_spreads(here))
    energy = stages.gain.output_energy
    down, up = sampled.at(volts, sampled.down), sampled.at(volts, sampled.up)
    margins = (*margins, *safety.bank_margins(inputs.build, volts))
    return _Point(stages, margins, (max(energy - down, 0.0), energy + up))


def _assemble(inputs: Inputs, chain: Chain, axis: Float, found: list[_Point], overrides: Mapping[str, str]) -> Envelope:
    last = compose(found[-1].stages, None, overrides)
    judged_here = {row.item for row in found[-1].margins}
    items = _keys(found)
    rows = [_by_key(point) for point in found]
    ratio = np.array([[row[key].ratio if key in row else np.inf for key in items] for row in rows])
    probability = np.array([[row[key].probability if key in row else 1.0 for key in items] for row in rows])
    threshold, threshold_reason = _threshold(inputs, chain, axis, found)
    stops = _stops(inputs, chain, axis, items, ratio, found)
    highest, highest_reason = _highest(axis, stops, items, threshold)
    findings = [
        *_beyond_charger(inputs, axis),
        *_awkward(threshold, stops, axis),
        *mistimed_findings([point.stages for point in found]),
        *_lasting(last.findings, judged_here),
    ]
    return Envelope(
        start={
            "bench": inputs.build.name,
            "start": float(axis[0]),
            "stop": float(axis[-1]),
            "points": len(axis),
            "overrides": dict(overrides),
        },
        arrays={**_columns(axis, found), "ratio": _table(ratio), "probability": _table(probability)},
        items=items,
        threshold_voltage=threshold,
        threshold_reason=threshold_reason,
        highest_voltage_within_limits=highest,
        highest_reason=highest_reason,
        limiting_item=stops[0] if stops else None,
        stops=stops,
        not_judged=last.not_judged,
        findings=tuple(worst_first(dict.fromkeys(findings))),
        cautions=last.cautions,
        provenance=last.provenance,
    )


def _beyond_charger(inputs: Inputs, axis: Float) -> list[Finding]:
    """A range that the charger cannot reach."""
    highest = inputs.machine.charger.voltage_max
    if axis[-1] <= highest * (1 + 1e-9):
        return []
    return [
        Finding(
            "warning",
            "charger.voltage_max",
            f"the range goes to {show('charge_voltage', float(axis[-1]))}",
            f"This charger reaches {show('charge_voltage', highest)}",
            "Read what lies above as a question about another charger",
        )
    ]


def _lasting(findings: Sequence[Finding], items: set[str]) -> list[Finding]:
    """Findings of the last voltage without the limits it exceeds: those are the stops."""
    return [item for item in findings if item.grade != "limit" or item.path not in items]


def _keys(found: list[_Point]) -> tuple[str, ...]:
    """Every item, worst at the last voltage first. One that is missing there is of a charge that never ends."""
    last = {key: row.ratio for key, row in _by_key(found[-1]).items()}
    keys = dict.fromkeys(key for point in found for key in _by_key(point))
    return tuple(sorted(keys, key=lambda key: -last.get(key, np.inf)))


def _by_key(point: _Point) -> dict[str, Margin]:
    return {_key(row): row for row in point.margins}


def _key(row: Margin) -> str:
    return f"{row.item}: {row.stress}"


def _table(values: Float) -> Array:
    return Array(values, "-", ("charge_voltage", "item"))


def _columns(axis: Float, found: list[_Point]) -> dict[str, Array]:
    def column(values: Sequence[float | None], unit: str) -> Array:
        return Array(np.array([np.nan if v is None else v for v in values], dtype=float), unit, ("charge_voltage",))

    stages = [point.stages for point in found]
    energy = [stage.gain.output_energy for stage in stages]
    stored = [stage.discharge.stored_energy for stage in stages]
    return {
        "charge_voltage": Array(axis, "V", ("charge_voltage",)),
        "output_energy": column(energy, "J"),
        "output_energy_low": column([point.interval[0] for point in found], "J"),
        "output_energy_high": column([point.interval[1] for point in found], "J"),
        "stored_energy": column(stored, "J"),
        "peak_current": column([stage.discharge.peak_current for stage in stages], "A"),
        "pulse_width": column([stage.gain.pulse_width for stage in stages], "s"),
        "wavelength": column([stage.gain.wavelength for stage in stages], "m"),
        "efficiency": column([out / put for out, put in zip(energy, stored, strict=True)], "-"),
    }


def _threshold(inputs: Inputs, chain: Chain, axis: Float, found: list[_Point]) -> tuple[float | None, str]:
    gains = np.array([point.stages.gain.record.peak_net_gain for point in found])
    lasing = np.flatnonzero(gains >= 0)
    if len(lasing) == 0:
        best = int(np.argmax(gains))
        return None, (
            f"nothing lases from {show('charge_voltage', float(axis[0]))} "
            f"to {show('charge_voltage', float(axis[-1]))}: "
            f"at {show('charge_voltage', float(axis[best]))} the best round trip still loses "
            f"{100 * (1 - np.exp(gains[best])):.0f} % of its light"
        )
    first = int(lasing[0])
    if first > 0:
        ends = {float(axis[place]): float(gains[place]) for place in (first - 1, first)}
        return threshold_between(inputs, chain, float(axis[first - 1]), float(axis[first]), ends), ""
    lowest = LOWEST_PART * inputs.machine.charger.voltage_max
    below = threshold_below(inputs, chain, float(axis[0]), min(lowest, 0.5 * float(axis[0])))
    if below is None:
        return None, f"it lases down to {show('charge_voltage', lowest)}, the lowest voltage searched"
    return below, "below the range asked for"


def _stops(
    inputs: Inputs, chain: Chain, axis: Float, items: tuple[str, ...], ratio: Float, found: list[_Point]
) -> tuple[Stop, ...]:
    """Every item that reaches its limit in the range, lowest voltage first."""
    stops = []
    for column, key in enumerate(items):
        over = np.flatnonzero(ratio[:, column] >= 1.0)
        if len(over) == 0:
            continue
        first = int(over[0])
        holders = (point for point in (found[first], *found) if key in _by_key(point))
        row = _by_key(next(holders))[key]
        volts = float(axis[0])
        if first > 0:
            volts = _crossing(inputs, chain, key, axis, ratio[:, column], first)
        stops.append(Stop(row.item, row.stress, volts, row.limit, row.unit, row.source, row.lower_by))
    return tuple(sorted(stops, key=lambda stop: stop.voltage))


def _crossing(inputs: Inputs, chain: Chain, key: str, axis: Float, ratio: Float, first: int) -> float:
    """Voltage below `axis[first]` at which a ratio passes one, to a part in a thousand.

    By the computed points where the two before it and the two after it agree on one place, else by more of them.
    """
    low, high = float(axis[first - 1]), float(axis[first])
    guesses = [_passes_one(axis[rows], ratio[rows]) for rows in _neighbours(first, len(axis))]
    if np.ptp(guesses) < AGREED * high:  # never where one of them is not a number
        return float(np.clip(np.mean(guesses), low, high))
    of_bank = key in {_key(row) for row in safety.bank_margins(inputs.build, low)}
    known = {low: _excess(float(ratio[first - 1])), high: _excess(float(ratio[first]))}

    def excess(volts: float) -> float:
        if volts in known:
            return known[volts]
        if of_bank:
            rows = {_key(row): row.ratio for row in safety.bank_margins(inputs.build, volts)}
            return _excess(rows.get(key, ENDLESS))
        stages = chain.run(replace(inputs, charge_voltage=volts))
        stress = next(row for row in stages.stresses if row.key == key)
        return _excess(stress.value / stress.limit) if stress.limit else 0.0

    return float(brentq(excess, low, high, xtol=1e-3 * high, rtol=1e-6))


def _excess(ratio: float) -> float:
    return float(np.log(max(min(ratio, ENDLESS), 1e-30)))


def _neighbours(first: int, count: int) -> list[list[int]]:
    """The two points about a crossing, and these with the next one on each side, where there is one."""
    pair = [first - 1, first]
    wider = [[place, *pair] if place < first else [*pair, place] for place in (first - 2, first + 1)]
    kept = [rows for rows in wider if rows[0] >= 0 and rows[-1] < count]
    return [pair, *kept] if len(kept) == 2 else [[first - 1], [first]]


def _passes_one(volts: Float, ratio: Float) -> float:
    """Voltage at which the polynomial through the logarithms of ratios passes one; with one point, its own.

    Not a number where the ratio does not rise from point to point, as before lasing, where there is no stress at all.
    """
    if len(volts) == 1:
        return float(volts[0])
    logs = np.log(np.clip(ratio, 1e-30, ENDLESS))
    if not np.all(np.diff(logs) > SLIGHT):
        return float("nan")
    return float(np.exp(np.polynomial.Polynomial.fit(logs, np.log(volts), len(volts) - 1)(0.0)))


def _highest(
    axis: Float, stops: tuple[Stop, ...], items: tuple[str, ...], threshold: float | None
) -> tuple[float | None, str]:
    if not items:
        return None, "no item could be judged: no limit is known"
    if not stops:
        return float(axis[-1]), "nothing judged reaches its limit within the range computed"
    first = stops[0]
    if first.voltage <= axis[0]:
        return None, f"{first.item} ({first.stress}) is above its limit already at the lowest voltage computed"
    words = f"{first.item} ({first.stress}) reaches its limit"
    if threshold is not None and first.voltage < threshold:
        words += f", below the threshold of {show('charge_voltage', threshold)}"
    return first.voltage, words


def _awkward(threshold: float | None, stops: tuple[Stop, ...], axis: Float) -> list[Finding]:
    """The cases in which there is no useful setting."""
    if threshold is None or not stops or stops[0].voltage >= threshold:
        return []
    first = stops[0]
    return [
        Finding(
            "limit",
            first.item,
            f"{first.stress} reaches its limit at {show('charge_voltage', max(first.voltage, float(axis[0])))}, "
            f"below the threshold of {show('charge_voltage', threshold)}: no setting lases within every limit",
            f"Limit from {first.source}",
            f"What lowers it: {first.lower_by}; or lower the threshold",
        )
    ]
