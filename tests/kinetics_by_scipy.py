"""The rate equations of the gain written a second time, in plain NumPy, and solved by SciPy's Radau.

State: photons per bin and dye molecule (photon density in the dye over dye density), S1 and T1 per zone, then running
integrals: photons that have left through the coupler by bin, and the channels named in `INTEGRALS`. Photon bins of a
parasitic path stand behind those of the resonator; amplified spontaneous emission is taken from its mean path at
the very populations, without the table that the kernel reads.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import constants
from scipy.integrate import solve_ivp
from scipy.interpolate import CubicHermiteSpline

from pulsewright.physics.dye.amplified import mean_amplified_path
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
    "amplified spontaneous emission",
    "parasitic light",
    "injected light",
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
    """Solve every field of a case: one per zone, or one for all when the resonator has an overlap.

    `pump` (time, zone), or (time, column, zone) with further columns of dye.
    """
    cells = pump[:, None, :] if pump.ndim == 2 else pump
    zones = cells.shape[2]
    groups = [[z] for z in range(zones)] if mirrors.overlap is None else [list(range(zones))]
    dye = mirrors.lengths * mirrors.densities
    whole = DENSITY * ZONE_VOLUME * zones * dye.sum() / dye[0]
    columns, states = [], []
    totals = dict.fromkeys(INTEGRALS, 0.0)
    for group in groups:
        overlap = np.tile(np.ones(1) if mirrors.overlap is None else mirrors.overlap, len(dye))
        shares = np.repeat(dye / dye.sum() / len(group), len(group))
        run = _Field(time, cells[:, :, group].reshape(len(time), -1), rates, mirrors, overlap, shares, whole)
        end = run.march(tolerance)
        molecules = whole / len(groups)
        bins, levels = run.bins, 2 * run.zones
        columns.append((end[bins + levels : 2 * bins + levels] * molecules)[: len(rates.emission)])
        states.append(end[: bins + levels])
        for name, value in zip(INTEGRALS, end[2 * bins + levels :], strict=True):
            totals[name] += value * molecules
    return Solved(np.stack(columns, axis=1), totals, states)


class _Field:
    """One laser field in its zones, `share` of the dye in each; `molecules` of all fields together."""

    def __init__(
        self,
        time: Float,
        pump: Float,
        rates: DyeRates,
        mirrors: Cavity,
        overlap: Float,
        share: Float,
        molecules: float = 1.0,
    ) -> None:
        slope = np.gradient(pump, time[1] - time[0], axis=0)
        slope[0] = 0.5 * slope[0]  # the ends as if the first and last value went on
        slope[-1] = 0.5 * slope[-1]
        self.time, self.rates, self.mirrors = time, rates, mirrors
        self.pump = CubicHermiteSpline(time, pump, slope)
        self.overlap, self.share = overlap, share
        lasing = len(rates.emission)
        path = mirrors.parasitic
        some = np.arange(lasing) if path is None else np.r_[:lasing, path.every // 2 : lasing : path.every]
        self.bins, self.zones, self.lasing = len(some), pump.shape[1], lasing
        mean = DENSITY * float(mirrors.lengths @ mirrors.densities / mirrors.lengths.sum())
        speed = constants.c / mirrors.index
        self.e, self.a, self.x, self.t = (
            table[some] * speed * mean
            for table in (rates.emission, rates.absorption, rates.excited_absorption, rates.triplet_absorption)
        )
        lost = -np.log(mirrors.rear * mirrors.coupler) + 2 * mirrors.loss
        out, length, angle = -np.log(mirrors.coupler) / lost, mirrors.optical_length, mirrors.solid_angle
        emitting = rates.emitting or rates.radiative
        seed = rates.emission_share * angle / (4 * np.pi) * emitting
        lengths, source = np.full(lasing, length), np.zeros(lasing) if mirrors.source is None else mirrors.source
        if path is not None:
            more = some[lasing:]
            lost = np.r_[lost, -2 * np.log(path.reflectivity) + 2 * path.loss[more]]
            out, source = np.r_[out, 0.0 * more], np.r_[source, 0.0 * more]
            lengths = np.r_[lengths, np.full(len(more), path.optical_length)]
            part = rates.emission_share[more] * rates.emission_share.sum() / rates.emission_share[more].sum()
            seed = np.r_[seed, part * path.solid_angle / (4 * np.pi) * emitting]
        self.decay, self.out, self.seed = constants.c * lost / (2 * lengths), out, seed
        self.filling = mirrors.index * mirrors.lengths.sum() / lengths
        self.source = source / molecules

    def amplified(self, s1: Float, t1: Float) -> Float:
        """S1 of each zone lost to amplified spontaneous emission per time, by the exact mean over paths."""
        r, m = self.rates, self.mirrors
        if m.radius is None:
            return np.zeros_like(s1)
        lit = np.array([np.any(self.pump(self.time)[:, z] > 0) for z in range(self.zones)])
        per_cell = self.zones // len(m.lengths)
        length = float(m.lengths[lit[::per_cell]].sum())
        deep = np.repeat(DENSITY * length * m.densities, per_cell)[:, None]
        s0 = 1 - s1 - t1
        pair = deep * (r.emission * s1[:, None] - r.absorption * s0[:, None])
        gain = pair - deep * (r.excited_absorption * s1[:, None] + r.triplet_absorption * t1[:, None])
        path = mean_amplified_path(gain, m.radius / length, float(np.sqrt(m.solid_angle / np.pi)))
        emitting = r.emitting or r.radiative
        return np.asarray(s1 * emitting * np.sum(r.emission_share * np.maximum(pair, 0.0) * path, axis=1))

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
        made = self.share @ (emitted - absorbed - excited - dark + self.seed * s1[:, None])
        leaving = self.decay * field / self.filling
        amplified = self.amplified(s1, t1)
        return np.concatenate(
            [
                self.filling * (made + self.source) - self.decay * field,
                pump * s0 - decay * s1 - np.sum(emitted - absorbed, axis=1) - amplified,
                (r.crossing + r.triplet_yield * r.singlet_quenching) * s1 - r.triplet_decay * t1,
                self.out * leaving,
                [
                    self.share @ (pump * s0),
                    r.radiative * (self.share @ s1),
                    r.crossing * (self.share @ s1),
                    np.sum(self.share @ emitted),
                    np.sum(self.share @ absorbed),
                    np.sum(self.share @ excited),
                    np.sum(self.share @ dark),
                    np.sum(((1 - self.out) * leaving)[: self.lasing]),
                    self.share @ amplified,
                    np.sum(leaving[self.lasing :]),
                    self.source.sum(),
                ],
            ]
        )

    def jacobian(self, t: float, y: Float) -> Float:
        """Derivative of `right_side` by the state; that of the amplified emission by differences."""
        k, z, r = self.bins, self.zones, self.rates
        field, s1, t1 = y[:k], y[k : k + z], y[k + z : k + 2 * z]
        s0, share = 1 - s1 - t1, self.share
        pump, seen = np.maximum(self.pump(t), 0.0), self.overlap[:, None] * field
        photons, bright, dark = np.arange(k), np.arange(k, k + z), np.arange(k + z, k + 2 * z)
        over = self.overlap[:, None]
        net = over * (self.e * s1[:, None] - self.a * s0[:, None])
        extra = over * (self.x * s1[:, None] + self.t * t1[:, None])
        m = np.zeros((len(y), len(y)))
        m[photons, photons] = self.filling * (share @ (net - extra)) - self.decay
        m[:k, bright] = (self.filling * share[:, None] * ((self.e + self.a - self.x) * seen + self.seed)).T
        m[:k, dark] = (self.filling * share[:, None] * (self.a - self.t) * seen).T
        m[bright, :k] = -net
        decay = r.radiative + r.internal_conversion + r.crossing + r.singlet_quenching
        small = 1e-7
        by_s1 = (self.amplified(s1 + small, t1) - self.amplified(s1 - small, t1)) / (2 * small)
        by_t1 = (self.amplified(s1, t1 + small) - self.amplified(s1, t1 - small)) / (2 * small)
        m[bright, bright] = -pump - decay - seen @ (self.e + self.a) - by_s1
        m[bright, dark] = -pump - seen @ self.a - by_t1
        m[dark, bright] = r.crossing + r.triplet_yield * r.singlet_quenching
        m[dark, dark] = -r.triplet_decay
        m[k + 2 * z + photons, photons] = self.out * self.decay / self.filling
        rows = 2 * k + 2 * z
        m[rows, bright] = m[rows, dark] = -share * pump
        m[rows + 1, bright] = share * r.radiative
        m[rows + 2, bright] = share * r.crossing
        tables = (
            (self.e, s1, bright, 1.0),
            (self.a, s0, bright, -1.0),
            (self.x, s1, bright, 1.0),
            (self.t, t1, dark, 1.0),
        )
        for row, (table, level, column, sign) in enumerate(tables, start=rows + 3):
            m[row, :k] = table * ((share * self.overlap) @ level)
            m[row, column] = sign * share * (seen @ table)
        m[rows + 4, dark] = -share * (seen @ self.a)
        leaving = self.decay / self.filling
        m[rows + 7, : self.lasing] = ((1 - self.out) * leaving)[: self.lasing]
        m[rows + 8, bright], m[rows + 8, dark] = share * by_s1, share * by_t1
        m[rows + 9, self.lasing : k] = leaving[self.lasing :]
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
