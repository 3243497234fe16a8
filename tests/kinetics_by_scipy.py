"""The rate equations of the gain written a second time, in plain NumPy, and solved by SciPy's Radau.

State: photons per bin and dye molecule (photon density in the dye over dye density), S1 and T1 per zone, then running
integrals: photons that have left through the coupler by bin, and the channels named in `INTEGRALS`.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import constants
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicHermiteSpline

from pulsewright.physics.dye.kinetics import Cavity, DyeRates

Float = NDArray[np.float64]

DENSITY = 3.6e22
ZONE_VOLUME = 1.0e-6
INTEGRALS = (
    "absorbed",
    "fluorescence",
    "crossing to triplets",
    "stimulated emission",
    "ground re-absorption",
    "excited-state absorption",
    "triplet absorption",
    "cavity loss",
)


def dye(bins: int = 20, **changes: float) -> DyeRates:
    """A dye like rhodamine 6G with triplets: smooth emission, a red tail of absorption, oxygen."""
    x = np.linspace(0.0, 1.0, bins)
    emission = 1.6e-20 * np.exp(-((x / 0.55) ** 2))
    scalars = {
        "radiative": 2.3e8,
        "internal_conversion": 1.4e7,
        "crossing": 3.0e6,
        "singlet_quenching": 2.0e7,
        "triplet_yield": 0.1,
        "triplet_decay": 4.0e6,
        **changes,
    }
    return DyeRates(
        **scalars,
        emission=emission,
        absorption=2.5e-22 * np.exp(-9.0 * x),
        excited_absorption=0.25 * emission + 5e-22,
        triplet_absorption=2e-21 * np.ones(bins),
        emission_share=0.5 * np.exp(-((x / 0.55) ** 2)) / bins,
    )


def cavity(bins: int = 20, overlap: Float | None = None, coupler: float = 0.6) -> Cavity:
    """Two mirrors with a little loss that grows to the red."""
    one = np.ones(bins)
    return Cavity(0.42, 0.15, 1.36, 0.98 * one, coupler * one, np.linspace(0.04, 0.06, bins), 2e-4, overlap)


def threshold_rate(rates: DyeRates, mirrors: Cavity) -> float:
    """Steady pump rate at which the best bin's gain equals its loss as long as there are no triplets, in 1/s."""
    decay = rates.radiative + rates.internal_conversion + rates.crossing + rates.singlet_quenching
    need = (-np.log(mirrors.rear * mirrors.coupler) / 2 + mirrors.loss) / (DENSITY * mirrors.pumped_length)
    per_s1 = rates.emission - rates.excited_absorption + rates.absorption
    gains = per_s1 > 0
    s1 = float(np.min((need + rates.absorption)[gains] / per_s1[gains]))
    return decay * s1 / (1 - s1)


@dataclass(frozen=True)
class Solved:
    """What SciPy found: photons through the coupler by bin and field, channels, state of every field at the end."""

    spectrum: Float
    channels: dict[str, float]
    states: list[Float]


def solve(time: Float, pump: Float, rates: DyeRates, mirrors: Cavity, tolerance: float) -> Solved:
    """Solve every field of a case: one per zone, or one for all when the resonator has an overlap."""
    zones = pump.shape[1]
    groups = [[z] for z in range(zones)] if mirrors.overlap is None else [list(range(zones))]
    columns, states = [], []
    totals = dict.fromkeys(INTEGRALS, 0.0)
    for group in groups:
        overlap = np.ones(1) if mirrors.overlap is None else mirrors.overlap
        run = _Field(time, pump[:, group], rates, mirrors, overlap)
        end = run.march(tolerance)
        molecules = DENSITY * ZONE_VOLUME * len(group)
        bins, levels = len(rates.emission), 2 * len(group)
        columns.append(end[bins + levels : 2 * bins + levels] * molecules)
        states.append(end[: bins + levels])
        for name, value in zip(INTEGRALS, end[2 * bins + levels :], strict=True):
            totals[name] += value * molecules
    return Solved(np.stack(columns, axis=1), totals, states)


class _Field:
    """One laser field in its zones."""

    def __init__(self, time: Float, pump: Float, rates: DyeRates, mirrors: Cavity, overlap: Float) -> None:
        slope = np.gradient(pump, time[1] - time[0], axis=0)
        slope[0] = 0.5 * slope[0]  # the ends as if the first and last value went on
        slope[-1] = 0.5 * slope[-1]
        self.time, self.rates = time, rates
        self.pump = CubicHermiteSpline(time, pump, slope)
        self.overlap = overlap
        self.bins, self.zones = len(rates.emission), pump.shape[1]
        self.share = 1.0 / self.zones
        speed = constants.c / mirrors.index
        self.e, self.a, self.x, self.t = (
            table * speed * DENSITY
            for table in (rates.emission, rates.absorption, rates.excited_absorption, rates.triplet_absorption)
        )
        lost = -np.log(mirrors.rear * mirrors.coupler) + 2 * mirrors.loss
        self.decay = constants.c * lost / (2 * mirrors.optical_length)
        self.out = -np.log(mirrors.coupler) / lost
        self.seed = rates.emission_share * mirrors.solid_angle / (4 * np.pi) * rates.radiative
        self.filling = mirrors.index * mirrors.pumped_length / mirrors.optical_length

    def right_side(self, t: float, y: Float) -> Float:
        """Rates of everything."""
        k, z, r = self.bins, self.zones, self.rates
        field, s1, t1 = y[:k], y[k : k + z], y[k + z : k + 2 * z]
        s0 = 1 - s1 - t1
        pump = np.maximum(self.pump(t), 0.0)
        seen = self.overlap[:, None] * field
        emitted, absorbed = self.e * s1[:, None] * seen, self.a * s0[:, None] * seen
        excited, dark = self.x * s1[:, None] * seen, self.t * t1[:, None] * seen
        decay = r.radiative + r.internal_conversion + r.crossing + r.singlet_quenching
        made = self.share * np.sum(emitted - absorbed - excited - dark + self.seed * s1[:, None], axis=0)
        leaving = self.decay * field / self.filling
        return np.concatenate(
            [
                self.filling * made - self.decay * field,
                pump * s0 - decay * s1 - np.sum(emitted - absorbed, axis=1),
                (r.crossing + r.triplet_yield * r.singlet_quenching) * s1 - r.triplet_decay * t1,
                self.out * leaving,
                [
                    self.share * np.sum(pump * s0),
                    self.share * r.radiative * np.sum(s1),
                    self.share * r.crossing * np.sum(s1),
                    self.share * emitted.sum(),
                    self.share * absorbed.sum(),
                    self.share * excited.sum(),
                    self.share * dark.sum(),
                    np.sum((1 - self.out) * leaving),
                ],
            ]
        )

    def jacobian(self, t: float, y: Float) -> Float:
        """Derivative of `right_side` by the state."""
        k, z, r, f = self.bins, self.zones, self.rates, self.filling * self.share
        field, s1, t1 = y[:k], y[k : k + z], y[k + z : k + 2 * z]
        s0 = 1 - s1 - t1
        pump, seen = np.maximum(self.pump(t), 0.0), self.overlap[:, None] * field
        photons, bright, dark = np.arange(k), np.arange(k, k + z), np.arange(k + z, k + 2 * z)
        over = self.overlap[:, None]
        net = over * (self.e * s1[:, None] - self.a * s0[:, None])
        extra = over * (self.x * s1[:, None] + self.t * t1[:, None])
        m = np.zeros((len(y), len(y)))
        m[photons, photons] = f * np.sum(net - extra, axis=0) - self.decay
        m[:k, bright] = (f * ((self.e + self.a - self.x) * seen + self.seed)).T
        m[:k, dark] = (f * (self.a - self.t) * seen).T
        m[bright, :k] = -net
        decay = r.radiative + r.internal_conversion + r.crossing + r.singlet_quenching
        m[bright, bright] = -pump - decay - seen @ (self.e + self.a)
        m[bright, dark] = -pump - seen @ self.a
        m[dark, bright] = r.crossing + r.triplet_yield * r.singlet_quenching
        m[dark, dark] = -r.triplet_decay
        m[k + 2 * z + photons, photons] = self.out * self.decay / self.filling
        rows = 2 * k + 2 * z
        m[rows, bright] = m[rows, dark] = -self.share * pump
        m[rows + 1, bright] = self.share * r.radiative
        m[rows + 2, bright] = self.share * r.crossing
        tables = (
            (self.e, s1, bright, 1.0),
            (self.a, s0, bright, -1.0),
            (self.x, s1, bright, 1.0),
            (self.t, t1, dark, 1.0),
        )
        for row, (table, level, column, sign) in enumerate(tables, start=rows + 3):
            m[row, :k] = self.share * table * np.sum(over * level[:, None], axis=0)
            m[row, column] = sign * self.share * (seen @ table)
        m[rows + 4, dark] = -self.share * (seen @ self.a)
        m[rows + 7, :k] = (1 - self.out) * self.decay / self.filling
        return m

    def march(self, tolerance: float) -> Float:
        """State and integrals at the end."""
        k, levels = self.bins, 2 * self.zones
        start = np.zeros(2 * k + levels + len(INTEGRALS))
        floor = np.full(len(start), 1e-4 * tolerance)
        floor[:k] = 1e-7 * tolerance
        floor[k : k + levels] = 1e-3 * tolerance
        found = solve_ivp(
            self.right_side,
            (self.time[0], self.time[-1]),
            start,
            method="Radau",
            jac=self.jacobian,
            rtol=tolerance,
            atol=floor,
            first_step=1e-5 * (self.time[-1] - self.time[0]),
            max_step=5 * (self.time[1] - self.time[0]),
            t_eval=[self.time[-1]],
        )
        assert found.success, found.message
        return np.asarray(found.y[:, -1])
