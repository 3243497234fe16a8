"""Records that pass between rooms: a shot, an envelope, their arrays, summary and margins.

A shot, measured or simulated, has one shape: `start` (what was set, with fingerprints),
`arrays` (named, with axes and units), and its end (`outcome`, `reason`). All numbers are SI.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from typing import Any, Final, Literal

import numpy as np
from numpy.typing import NDArray

from pulsewright.errors import Finding

#: What is said of an interval that comes from samples.
SAMPLED: Final = "90 %, sampled"


@dataclass(frozen=True, slots=True)
class Value:
    """One number of a summary: SI value, its SI unit, and a 90 % interval when one is known.

    `value` is None when it does not exist (no wavelength without lasing); `reason` says why. `span` says what `low` and
    `high` are: "90 %", the interval by linear sensitivities, "90 %, sampled", by samples, or "published", the ends of
    what is published.
    """

    value: float | None
    unit: str
    low: float | None = None
    high: float | None = None
    reason: str = ""
    span: Literal["90 %", "90 %, sampled", "published"] = "90 %"

    def as_dict(self) -> dict[str, Any]:
        """For JSON; interval and reason only where there are any."""
        out: dict[str, Any] = {"value": self.value, "unit": self.unit}
        if self.low is not None and self.high is not None:
            out[self.span if self.span == "published" else "interval_90"] = [self.low, self.high]
            if self.span == SAMPLED:
                out["span"] = self.span
        if self.reason:
            out["reason"] = self.reason
        return out


@dataclass(frozen=True, slots=True, eq=False)
class Array:
    """A named array with its axes (names of other arrays) and SI unit. Time is axis 0."""

    values: NDArray[np.float64]
    unit: str
    axes: tuple[str, ...]

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {"values": self.values.tolist(), "unit": self.unit, "axes": list(self.axes)}


@dataclass(frozen=True, slots=True)
class Margin:
    """One row of the margin table. `ratio` = stress / limit; at 1 the limit is reached.

    `probability`: that the limit is exceeded in this shot, from the spreads of stress and limit. `quantity`: row of the
    nomenclature in whose unit and digits stress and limit are shown; empty where there is none.
    """

    item: str
    stress: str
    stress_value: float
    unit: str
    limit: float
    ratio: float
    probability: float
    source: str
    lower_by: str
    quantity: str = ""
    extrapolated: bool = False

    def as_dict(self) -> dict[str, Any]:
        """For JSON. `stress` carries value and unit; `limit` the limit in the same unit."""
        return {
            "item": self.item,
            "stress": {"words": self.stress, "value": self.stress_value, "unit": self.unit},
            "limit": {"value": self.limit, "unit": self.unit},
            "ratio": self.ratio,
            "probability": self.probability,
            "source": self.source,
            "lower_by": self.lower_by,
            "quantity": self.quantity,
            "extrapolated": self.extrapolated,
        }


@dataclass(frozen=True, slots=True)
class NotJudged:
    """An item whose limit is not known, so that no margin can be given."""

    item: str
    stress: str
    reason: str
    next_step: str

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {"item": self.item, "stress": self.stress, "reason": self.reason, "next_step": self.next_step}


@dataclass(frozen=True, slots=True)
class Caution:
    """A hazard, said once where it is met: what can hurt, and what to do."""

    hazard: str
    words: str
    do: str

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {"hazard": self.hazard, "words": self.words, "do": self.do}


@dataclass(frozen=True, slots=True)
class Provenance:
    """Versions, fingerprints, layers and sources behind a record.

    `values_fingerprint`: of the values alone. `full_fingerprint`: of values with layers,
    reference data and code version. `layers`: entry path -> layer it came from, only where
    it is not the saved file.
    """

    versions: Mapping[str, str]
    values_fingerprint: str
    full_fingerprint: str
    layers: Mapping[str, str]
    sources: tuple[str, ...]
    choices: Mapping[str, str]
    counters: Mapping[str, int]

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {
            "versions": dict(self.versions),
            "values_fingerprint": self.values_fingerprint,
            "full_fingerprint": self.full_fingerprint,
            "layers": dict(self.layers),
            "sources": list(self.sources),
            "choices": dict(self.choices),
            "counters": dict(self.counters),
        }


@dataclass(frozen=True, slots=True)
class Sampling:
    """How a shot was sampled: every input with a range drawn anew for each of `count` shots.

    `failed`: samples that could not be computed and are left out. `lasing_share` of the others. `linear`: the interval
    of the output energy by linear sensitivities, for comparison [J]. `seed` and `count` give the same samples again.
    """

    method: str
    seed: int
    count: int
    failed: int
    lasing_share: float
    linear: tuple[float, float] | None
    resolution: str

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {
            "method": self.method,
            "seed": self.seed,
            "count": self.count,
            "failed": self.failed,
            "lasing_share": self.lasing_share,
            "linear": None if self.linear is None else list(self.linear),
            "resolution": self.resolution,
        }


@dataclass(frozen=True, slots=True, eq=False)
class Shot:
    """One shot, measured or simulated.

    Parameters
    ----------
    kind : str
        `simulated` or `measured`.
    start : mapping
        What was set: bench name, charge voltage [V], overrides.
    arrays : mapping of str to Array
        See `docs/records.md` for the names.
    outcome : str
        `lased`, `below threshold`, `no discharge`, `failed`, `does not fire`, `fires early`.
    reason : str
        In words, why it ended so.
    summary : mapping of str to Value
    sensitivities : tuple of (entry path, change of output energy [J] for one standard deviation)
        Largest first; empty when not asked for.
    dominant : tuple of (entry path, share of the variance)
        The three inputs that make most of the variance of `dominant_of`, largest first; empty when not asked for.
    dominant_of : str
        `output energy`, or `round-trip gain` where nothing lases.
    sampling : Sampling or None
        How it was sampled, when it was.
    """

    kind: str
    start: Mapping[str, Any]
    arrays: Mapping[str, Array]
    outcome: str
    reason: str
    summary: Mapping[str, Value]
    margins: tuple[Margin, ...]
    not_judged: tuple[NotJudged, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[Caution, ...]
    provenance: Provenance
    budgets: Mapping[str, Mapping[str, float]] = field(default_factory=dict)
    sensitivities: tuple[tuple[str, float], ...] = ()
    dominant: tuple[tuple[str, float], ...] = ()
    dominant_of: str = ""
    sampling: Sampling | None = None

    def as_dict(self, *, waveforms: bool = False) -> dict[str, Any]:
        """For JSON; the arrays only when `waveforms` is asked for."""
        out: dict[str, Any] = {
            "kind": self.kind,
            "start": dict(self.start),
            "outcome": self.outcome,
            "reason": self.reason,
            "summary": {key: value.as_dict() for key, value in self.summary.items()},
            "margins": [row.as_dict() for row in self.margins],
            "not_judged": [row.as_dict() for row in self.not_judged],
            "findings": [finding.as_dict() for finding in self.findings],
            "cautions": [caution.as_dict() for caution in self.cautions],
            "budgets": {name: dict(rows) for name, rows in self.budgets.items()},
            "sensitivities": [{"path": path, "output_energy": change} for path, change in self.sensitivities],
            "dominant": [{"path": path, "share": share} for path, share in self.dominant],
            "dominant_of": self.dominant_of,
            "sampling": None if self.sampling is None else self.sampling.as_dict(),
            "provenance": self.provenance.as_dict(),
        }
        if waveforms:
            out["waveforms"] = {name: array.as_dict() for name, array in self.arrays.items()}
        return out


@dataclass(frozen=True, slots=True)
class Stop:
    """Something that stops the charge voltage from going higher."""

    item: str
    stress: str
    voltage: float
    limit: float
    unit: str
    source: str
    lower_by: str

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {
            "item": self.item,
            "stress": self.stress,
            "voltage": self.voltage,
            "limit": self.limit,
            "unit": self.unit,
            "source": self.source,
            "lower_by": self.lower_by,
        }


@dataclass(frozen=True, slots=True)
class SampledVoltage:
    """A voltage by samples: ends of its 90 % interval [V], and the part of the samples that have it inside the range.

    An end outside of the range is infinite: of a threshold -inf where samples lase from the first voltage on, inf where
    they do not at the last.
    """

    low: float
    high: float
    share: float

    def as_dict(self) -> dict[str, Any]:
        """For JSON; an end outside of the range is null."""
        ends = [end if np.isfinite(end) else None for end in (self.low, self.high)]
        return {"interval_90": ends, "share": self.share}


@dataclass(frozen=True, slots=True)
class SampledStop:
    """Something that samples meet inside the range: in what part of them, and between which voltages those do [V]."""

    item: str
    stress: str
    probability: float
    low: float
    high: float

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {
            "item": self.item,
            "stress": self.stress,
            "probability": self.probability,
            "interval_90": [self.low, self.high],
        }


@dataclass(frozen=True, slots=True)
class EnvelopeSampling:
    """How an envelope was sampled, the same samples at every voltage, and the voltages that follow.

    `threshold` of the laser; `highest` voltage within every limit; `stops` likeliest first.
    """

    method: str
    seed: int
    count: int
    failed: int
    resolution: str
    threshold: SampledVoltage
    highest: SampledVoltage
    stops: tuple[SampledStop, ...]

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {
            "method": self.method,
            "seed": self.seed,
            "count": self.count,
            "failed": self.failed,
            "resolution": self.resolution,
            "threshold": self.threshold.as_dict(),
            "highest": self.highest.as_dict(),
            "stops": [stop.as_dict() for stop in self.stops],
        }


@dataclass(frozen=True, slots=True, eq=False)
class Envelope:
    """Margins and output against charge voltage.

    Parameters
    ----------
    start : mapping
        Bench name, first and last voltage [V], number of points, overrides.
    arrays : mapping of str to Array
        `charge_voltage` and, on that axis, `output_energy`, `output_energy_low`,
        `output_energy_high`, `stored_energy`, `peak_current`, `pulse_width`, `wavelength`,
        `efficiency`; `ratio` and `probability` on (charge_voltage, item); `lasing_share` where it was sampled.
    items : tuple of str
        Margin items, in the order of the columns of `ratio`.
    threshold_voltage : float or None
        Lowest charge voltage at which the peak net round-trip gain reaches one. [V]
    highest_voltage_within_limits : float or None
        Of the judged items. [V]
    limiting_item : Stop or None
        The first stop met going up; None when nothing limits within the charger's range.
    stops : tuple of Stop
        Every item that reaches its limit inside the range, lowest voltage first.
    dominant : tuple of (entry path, share of the variance)
        The three inputs that make most of the variance of `dominant_of` at the last voltage, largest first.
    sampling : EnvelopeSampling or None
        Intervals of threshold and stops, where it was sampled.
    """

    start: Mapping[str, Any]
    arrays: Mapping[str, Array]
    items: tuple[str, ...]
    threshold_voltage: float | None
    threshold_reason: str
    highest_voltage_within_limits: float | None
    highest_reason: str
    limiting_item: Stop | None
    stops: tuple[Stop, ...]
    not_judged: tuple[NotJudged, ...]
    findings: tuple[Finding, ...]
    cautions: tuple[Caution, ...]
    provenance: Provenance
    dominant: tuple[tuple[str, float], ...] = ()
    dominant_of: str = ""
    sampling: EnvelopeSampling | None = None

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        axis = self.arrays["charge_voltage"].values
        columns = {n: a.values for n, a in self.arrays.items() if a.axes == ("charge_voltage",)}
        points = [
            {name: (None if not np.isfinite(column[i]) else float(column[i])) for name, column in columns.items()}
            for i in range(len(axis))
        ]
        return {
            "start": dict(self.start),
            "threshold_voltage": self.threshold_voltage,
            "threshold_reason": self.threshold_reason,
            "highest_voltage_within_limits": self.highest_voltage_within_limits,
            "highest_reason": self.highest_reason,
            "limiting_item": None if self.limiting_item is None else self.limiting_item.as_dict(),
            "stops": [stop.as_dict() for stop in self.stops],
            "items": list(self.items),
            "points": points,
            "ratios": self.arrays["ratio"].values.tolist(),
            "probabilities": self.arrays["probability"].values.tolist(),
            "dominant": [{"path": path, "share": share} for path, share in self.dominant],
            "dominant_of": self.dominant_of,
            "sampling": None if self.sampling is None else self.sampling.as_dict(),
            "not_judged": [row.as_dict() for row in self.not_judged],
            "findings": [finding.as_dict() for finding in self.findings],
            "cautions": [caution.as_dict() for caution in self.cautions],
            "provenance": self.provenance.as_dict(),
        }
