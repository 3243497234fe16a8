"""Gain of a pumped dye between two mirrors: populations and photons by zone and wavelength."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray
from scipy import constants

from pulsewright.errors import DomainError
from pulsewright.physics.dye import amplified, kinetics_kernel
from pulsewright.physics.dye import kinetics_rows_kernel as rows_of
from pulsewright.physics.dye.photon_budget_kernel import BUDGET

Float = NDArray[np.float64]

#: Absolute against relative tolerance, for populations and for photons per dye molecule. Photons start from
#: spontaneous emission some ten decades down: a coarser floor shifts the start of lasing (measured, see
#: docs/decisions/integrators.md).
ABSOLUTE = (1e-3, 1e-7)

#: Reflectivity that a mirror has at least, for instance where its curve has none: light then still leaves within a
#: pass, and the logarithm exists. No surface scatters less back into the beam (common practice, no source).
LEAST_REFLECTIVITY = 1e-12
#: Amplified spontaneous emission is left out where it cannot reach this part of the decay of S1.
NEGLIGIBLE = 1e-6
#: Intervals of the spectrum in time.
SPECTRA = 60

OUTCOMES = ("done", "step limit", "not a number")
COUNTERS = ("gain steps", "gain rejected", "gain right-hand sides", "gain factorisations")


@dataclass(frozen=True, slots=True, eq=False)
class DyeRates:
    """Rate coefficients of a dye in its solvent, and cross-sections on the laser bins.

    `radiative`, `internal_conversion`, `crossing`, `singlet_quenching` [1/s] leave S1; `triplet_yield` of the
    quenched singlets go to T1 [-]; `triplet_decay` [1/s] with every quencher counted. Cross-sections (K,) [m^2]:
    `emission`, `absorption`, `excited_absorption`, `triplet_absorption`. `emission_share` (K,): part of the
    fluorescence that falls into each bin [-]. `emitting` [1/s]: rate at which S1 emits before any of it is absorbed
    again, where `radiative` counts only what escapes; the same when None.
    """

    radiative: float
    internal_conversion: float
    crossing: float
    singlet_quenching: float
    triplet_yield: float
    triplet_decay: float
    emission: Float
    absorption: Float
    excited_absorption: Float
    triplet_absorption: Float
    emission_share: Float
    emitting: float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Column:
    """A further column of dye in the same path: `length` [m], `density` over that of the first [-]."""

    length: float
    density: float = 1.0


@dataclass(frozen=True, slots=True, eq=False)
class Parasitic:
    """A path beside the mirrors, for instance between the windows.

    `optical_length` [m] from end to end, `reflectivity` of both ends [-], `loss` per pass (K,) [-], `solid_angle` [sr];
    it is followed on every `every`-th bin.
    """

    optical_length: float
    reflectivity: float
    loss: Float
    solid_angle: float
    every: int = 4


@dataclass(frozen=True, slots=True, eq=False)
class Cavity:
    """Two mirrors, what lies between, and how the field fills the dye.

    `optical_length` [m] mirror to mirror; `pumped_length` of dye [m] with `index` [-]; `rear` and `coupler`
    reflectivity (K,) [-]; `loss` per pass (K,) [-]; `solid_angle` kept by the resonator [sr]; `overlap` (Z,): field
    density in each zone over its mean [-], or None when every zone lases by itself.

    `further` columns of dye; `source` (K,): photons that enter the resonator per time [1/s]; `parasitic` path;
    `radius` [m] of the dye, for amplified spontaneous emission, which is left out when None; `closed`: what passes the
    coupler does not come out.
    """

    optical_length: float
    pumped_length: float
    index: float
    rear: Float
    coupler: Float
    loss: Float
    solid_angle: float
    overlap: Float | None = None
    further: tuple[Column, ...] = ()
    source: Float | None = None
    parasitic: Parasitic | None = None
    radius: float | None = None
    closed: bool = False

    @property
    def lengths(self) -> Float:
        """Length of every column of dye, in m."""
        return np.array([self.pumped_length, *(column.length for column in self.further)])

    @property
    def densities(self) -> Float:
        """Density of every column over that of the first."""
        return np.array([1.0, *(column.density for column in self.further)])

    @property
    def mean_density(self) -> float:
        """Dye per volume of all columns over that of the first."""
        return float(self.lengths @ self.densities / self.lengths.sum())


@dataclass(frozen=True, slots=True, eq=False)
class Gain:
    """What the dye and the resonator did.

    `time` (M,) [s]; `inversion` and `triplets` (M, Z) as fractions of the dye; `output_rate` (M, Z) photons per
    second leaving through the coupler, mean up to half way to the neighbouring times; `net_gain` (M,) largest net
    logarithmic gain of a round trip; `spectrum` (K, Z) photons through the coupler; `photons` channel -> count;
    `stored` photons and excitations left at the end; `peak_net_gain` over time, zones and bins [-], and that of a
    parasitic path, None without one. `further_inversion`, `further_triplets` (M, C, Z): of further columns.
    `spectral_rate` (S, K): photons per second through the coupler in each bin, mean between the times
    `spectrum_edges` (S + 1,) [s].
    """

    time: Float
    inversion: Float
    triplets: Float
    output_rate: Float
    net_gain: Float
    spectrum: Float
    photons: dict[str, float]
    stored: float
    peak_net_gain: float
    outcome: str
    counters: dict[str, int]
    parasitic_net_gain: float | None
    further_inversion: Float
    further_triplets: Float
    spectrum_edges: Float
    spectral_rate: Float


def spectral_table(rates: DyeRates, cavity: Cavity, number_density: float) -> Float:
    """Rows of the kernel's spectral table: rates at full dye density, decay, seed and output share.

    Parameters
    ----------
    rates : DyeRates
        Of the dye.
    cavity : Cavity
        Of the resonator.
    number_density : float
        Dye molecules per volume of the first column. [1/m^3]

    Returns
    -------
    table : array (9, K + P)
        Emission, absorption, excited-state and triplet rates [1/s], photon decay, seed; output share, filling of the
        path by dye, source of photons (none yet) last. Behind the K bins those of a parasitic path. [mixed]

    Raises
    ------
    DomainError
        If a mirror reflects less than nothing or more than everything.

    Notes
    -----
    Valid: losses and gain per round trip small enough to be spread evenly along the cavity; reflectivities below
    1e-12 count as that.
    Not covered: standing-wave hole burning.
    Equation: tau_c = 2 L_opt / (c (-ln(R1 R2) + 2 losses)); output share = -ln R2 / (-ln(R1 R2) + 2 losses);
    seed = share Omega / (4 pi) / tau_r. Source: photon lifetime of a two-mirror cavity, textbook.

    Examples
    --------
    >>> one = np.ones(1)
    >>> r = DyeRates(2.4e8, 1e7, 2e6, 0.0, 1.0, 3e6, 1.5e-20 * one, 0 * one, 0 * one, 0 * one, one)
    >>> c = Cavity(0.4, 0.15, 1.36, one, 0.5 * one, 0 * one, 1e-4)
    >>> float(spectral_table(r, c, 3.6e22)[6, 0])
    1.0
    """
    if min(cavity.rear.min(), cavity.coupler.min()) < 0 or max(cavity.rear.max(), cavity.coupler.max()) > 1:
        raise DomainError(
            "mirror reflectivity outside its range",
            argument="reflectivity",
            allowed="At least 0 and at most 1",
            next_step="Give the reflectivity at the laser wavelength",
        )
    rear, coupler = np.maximum(cavity.rear, LEAST_REFLECTIVITY), np.maximum(cavity.coupler, LEAST_REFLECTIVITY)
    total = -np.log(rear * coupler) + 2 * cavity.loss
    share = np.divide(-np.log(coupler), total, out=np.zeros_like(total), where=total > 0)
    share = 0.0 * share if cavity.closed else share
    every = np.arange(len(total))
    main = _path_rows(rates, cavity, number_density, every, cavity.optical_length, total, cavity.solid_angle)
    main[rows_of.OUTPUT] = share
    path = cavity.parasitic
    if path is None:
        return main
    some = every[path.every // 2 :: path.every]
    total = -2 * np.log(max(path.reflectivity, LEAST_REFLECTIVITY)) + 2 * path.loss[some]
    astray = _path_rows(rates, cavity, number_density, some, path.optical_length, total, path.solid_angle)
    astray[rows_of.SEED] *= rates.emission_share.sum() / max(rates.emission_share[some].sum(), 1e-300)
    return np.concatenate([main, astray], axis=1)


def _path_rows(
    rates: DyeRates,
    cavity: Cavity,
    number_density: float,
    bins: NDArray[np.int_],
    optical_length: float,
    total: Float,
    solid_angle: float,
) -> Float:
    """Rows of the spectral table for some bins of one path, `total` its loss of a round trip."""
    per_area = constants.c / cavity.index * number_density * cavity.mean_density
    emitting = rates.radiative if rates.emitting is None else rates.emitting
    rows = np.zeros((9, len(bins)))
    for row, table in enumerate((rates.emission, rates.absorption, rates.excited_absorption, rates.triplet_absorption)):
        rows[row] = table[bins] * per_area
    rows[rows_of.DECAY] = constants.c * total / (2 * optical_length)
    rows[rows_of.SEED] = rates.emission_share[bins] * solid_angle / (4 * np.pi) * emitting
    rows[rows_of.FILLING] = cavity.index * cavity.lengths.sum() / optical_length
    return rows


def scalar_rates(rates: DyeRates, spectral: Float) -> Float:
    """Rates that do not depend on wavelength, in the order of the kernel, with sums of its spectral table.

    Parameters
    ----------
    rates : DyeRates
        Of the dye.
    spectral : array (9, K + P)
        As `spectral_table` gives it, with the source of photons. [mixed]

    Returns
    -------
    scalars : array (9,)
        Decay of S1, formation and decay of T1, fluorescence, crossing, oxygen quenching [1/s]; bins of the
        resonator, all seed and all photons that enter per molecule and second last. [mixed]

    Notes
    -----
    Valid: S1, T1 and S0 only.
    Not covered: higher levels, which relax at once.
    Equation: 1/tau = k_r + k_nr + k_ST + k_q; formation k_ST + y k_q. Source: definitions.

    Examples
    --------
    >>> one = np.ones(1)
    >>> r = DyeRates(2.4e8, 1e7, 2e6, 4e6, 0.5, 3e6, one, one, one, one, one)
    >>> [float(value) for value in scalar_rates(r, np.zeros((9, 1)))[:2]]
    [256000000.0, 4000000.0]
    """
    return np.array(
        [
            rates.radiative + rates.internal_conversion + rates.crossing + rates.singlet_quenching,
            rates.crossing + rates.triplet_yield * rates.singlet_quenching,
            rates.triplet_decay,
            rates.radiative,
            rates.crossing,
            rates.singlet_quenching,
            len(rates.emission),
            spectral[rows_of.SEED].sum(),
            spectral[rows_of.SOURCE].sum(),
        ]
    )


def laser_kinetics(
    pump_time: Float,
    pump_rate: Float,
    rates: DyeRates,
    cavity: Cavity,
    number_density: float,
    zone_volume: float,
    tolerance: float = 1e-3,
    samples: int = 400,
    most_steps: int = 20_000,
) -> Gain:
    """Populations and photons through the pump pulse.

    Parameters
    ----------
    pump_time : array (T,)
        Uniform times at which the pump is known. [s]
    pump_rate : array (T, Z) or (T, C, Z)
        Photons that lead to S1, per ground-state molecule and second, in each equal-volume zone; of every column of
        dye where there are further ones. [1/s]
    rates : DyeRates
        Of the dye.
    cavity : Cavity
        Of the resonator; its `overlap` decides between one field per zone and one field for all.
    number_density : float
        Dye molecules per volume of the first column. [1/m^3]
    zone_volume : float
        Pumped volume of one zone of the first column. [m^3]
    tolerance : float
        Relative tolerance of a step. [-]
    samples : int
        Uniform output times. [-]
    most_steps : int
        Steps after which to give up, per field. [-]

    Returns
    -------
    gain : Gain
        Populations, output, spectrum, photon budget, counters.

    Raises
    ------
    DomainError
        If the density or volume is not positive.

    Notes
    -----
    Valid: gain spread evenly along the cavity; S1, T1 and S0 only (higher levels relax at once).
    Not covered: standing waves, diffusion of the dye, light of amplified spontaneous emission that another zone takes.
    Equation: PHYSICS of the gain: dn1/dt = W n0 - n1/tau - c/n sum (se n1 - sa n0) phi; dnT/dt; dphi_k/dt with
    tau_c,k. The seed is multiplied by the filling n l / L_opt, so that photons are counted without a remainder.
    Source: rate equations of dye lasers: Sorokin et al., J. Chem. Phys. 48, 4726 (1968); Peterson et al., J. Appl.
    Phys. 42, 1917 (1971) (from memory).

    Examples
    --------
    >>> one = np.ones(1)
    >>> r = DyeRates(2.4e8, 1e7, 2e6, 0.0, 1.0, 3e6, 1.5e-20 * one, 0 * one, 0 * one, 0 * one, one)
    >>> c = Cavity(0.4, 0.15, 1.36, one, 0.5 * one, 0 * one, 1e-4)
    >>> t = np.linspace(0, 5e-6, 51)
    >>> g = laser_kinetics(t, 1e6 * np.sin(np.pi * t / 5e-6)[:, None], r, c, 3.6e22, 1e-6)
    >>> g.photons["output"] > 0
    True
    """
    if not number_density > 0 or not zone_volume > 0:
        raise DomainError(
            f"dye density {number_density:g} 1/m^3, zone volume {zone_volume:g} m^3",
            argument="number_density",
            allowed="Both above zero",
            next_step="Give a concentration and a cell",
        )
    pump = np.asarray(pump_rate if pump_rate.ndim == 3 else pump_rate[:, None, :])
    cells, zones = len(cavity.lengths), pump.shape[2]
    if pump.shape[1] != cells:
        raise DomainError(
            f"pump rates of {pump.shape[1]} columns of dye, {cells} in the cavity",
            argument="pump_rate",
            allowed="One axis of columns as long as the cavity has columns",
            next_step="Give the pump rate of every column",
        )
    shares = cavity.lengths * cavity.densities / (cavity.lengths @ cavity.densities)
    molecules = number_density * zone_volume * zones / float(shares[0])
    spectral = spectral_table(rates, cavity, number_density)
    if cavity.source is not None:
        spectral[rows_of.SOURCE, : len(cavity.source)] = cavity.source / molecules
    scalars = scalar_rates(rates, spectral)
    decay = _amplified(rates, cavity, number_density, pump, float(scalars[rows_of.RATE_S1]))
    grid = np.linspace(pump_time[0], pump_time[-1], samples)
    edges = np.linspace(pump_time[0], pump_time[-1], SPECTRA + 1)
    paths = (cavity.optical_length, cavity.parasitic.optical_length if cavity.parasitic else cavity.optical_length)
    fields, zone = _fields(cavity, pump, shares)
    found = kinetics_kernel.integrate_fields(
        fields,
        np.array([pump_time[0], pump_time[1] - pump_time[0]]),
        spectral,
        scalars,
        zone,
        decay.rate,
        decay.step,
        2 * np.array(paths) / constants.c,
        np.array([tolerance, ABSOLUTE[0] * tolerance, ABSOLUTE[1] * tolerance, 1e-4 * (grid[-1] - grid[0])]),
        grid,
        edges[1:-1],
        most_steps,
    )
    return _collect(_Run(*found), grid, edges, spectral, cavity, shares, molecules / len(fields))


def _fields(cavity: Cavity, pump: Float, shares: Float) -> tuple[Float, Float]:
    """Pump of every field (F, T, zone) in the zones that it sees, and rows of the kernel's table of zones."""
    cells, zones = pump.shape[1:]
    if cavity.overlap is None:
        return np.ascontiguousarray(pump.transpose(2, 0, 1)), np.stack(
            [np.ones(cells), shares, np.arange(float(cells))]
        )
    plane = np.repeat(np.arange(float(cells)), zones)
    rows = np.stack([np.tile(cavity.overlap, cells), np.repeat(shares / zones, zones), plane])
    return np.ascontiguousarray(pump.reshape(1, len(pump), -1)), rows


def _amplified(
    rates: DyeRates, cavity: Cavity, number_density: float, pump: Float, decay: float
) -> amplified.AmplifiedDecay:
    """Table of the decay by amplified spontaneous emission, or none where it does not matter."""
    lit = pump.max(axis=(0, 2)) > 0
    if cavity.radius is None or not np.any(lit):
        return amplified.NONE
    cone = float(np.sqrt(cavity.solid_angle / np.pi))
    length = float(cavity.lengths[lit].sum())
    densities = tuple((number_density * cavity.densities).tolist())
    found = _amplified_table(rates, densities, length, cavity.radius, cone)
    if not found.rate.size:
        return found
    most = float(pump.max()) / (float(pump.max()) + decay)
    fastest = max(found.at(cell, most, 0.0) for cell in range(len(found.rate)))
    return found if fastest > NEGLIGIBLE * decay else amplified.NONE


@lru_cache(maxsize=16)
def _amplified_table(
    rates: DyeRates, densities: tuple[float, ...], length: float, radius: float, cone: float
) -> amplified.AmplifiedDecay:
    """Kept by the identity of the rates, so that shots that differ only in their pump share it."""
    sigma = np.stack([rates.emission, rates.absorption, rates.excited_absorption, rates.triplet_absorption])
    emitting = rates.radiative if rates.emitting is None else rates.emitting
    return amplified.amplified_decay(sigma, rates.emission_share, emitting, np.array(densities), length, radius, cone)


class _Run(NamedTuple):
    """What the kernel gives, field by field."""

    samples: Float
    reached: Float
    budget: Float
    state: Float
    peaks: Float
    counters: NDArray[np.int64]
    outcomes: NDArray[np.int64]


def _collect(
    run: _Run, grid: Float, edges: Float, spectral: Float, cavity: Cavity, shares: Float, molecules: float
) -> Gain:
    """Add up the fields, `molecules` each, and give the columns their names."""
    fields, bins, cells = len(run.outcomes), len(cavity.rear), len(shares)
    levels = (run.samples.shape[2] - 2) // 2
    zones = levels // cells
    filling = spectral[rows_of.FILLING]
    output = (spectral[rows_of.DECAY] * spectral[rows_of.OUTPUT] / filling)[:bins] * molecules
    reached = run.reached.sum(axis=0)[:, :bins] * output
    inside = run.state[:, : -2 * levels].sum(axis=0) @ (1 / filling)
    excited = run.state[:, -2 * levels : -levels].reshape(fields, cells, zones).sum(axis=(0, 2)) @ shares / zones
    populations = run.samples[:, :, : 2 * levels].reshape(fields, len(grid), 2, cells, zones)
    populations = populations.transpose(2, 3, 1, 0, 4).reshape(2, cells, len(grid), fields * zones)
    peaks, counters = run.peaks.max(axis=0), run.counters.sum(axis=0).tolist()
    return Gain(
        time=grid,
        inversion=populations[0, 0],
        triplets=populations[1, 0],
        output_rate=run.samples[:, :, -2].T * molecules,
        net_gain=run.samples[:, :, -1].max(axis=0),
        spectrum=(run.reached[:, -1, :bins] * output).T,
        photons=dict(zip(BUDGET, (run.budget.sum(axis=0) * molecules).tolist(), strict=True)),
        stored=float(inside + excited) * molecules,
        peak_net_gain=float(peaks[0]),
        outcome=OUTCOMES[int(run.outcomes.max())],
        counters=dict(zip(COUNTERS, counters, strict=True)),
        parasitic_net_gain=None if cavity.parasitic is None else float(peaks[1]),
        further_inversion=populations[0, 1:].transpose(1, 0, 2),
        further_triplets=populations[1, 1:].transpose(1, 0, 2),
        spectrum_edges=edges,
        spectral_rate=np.diff(reached, axis=0, prepend=0.0) / np.diff(edges)[:, None],
    )
