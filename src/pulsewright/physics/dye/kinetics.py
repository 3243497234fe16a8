"""Gain of a pumped dye between two mirrors: populations and photons by zone and wavelength."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import constants

from pulsewright.errors import DomainError
from pulsewright.physics.dye import kinetics_kernel

Float = NDArray[np.float64]

#: Absolute against relative tolerance, for populations and for photons per dye molecule. Photons start from
#: spontaneous emission some ten decades down: a coarser floor shifts the start of lasing (measured, see
#: docs/decisions/integrators.md).
ABSOLUTE = (1e-3, 1e-7)

OUTCOMES = ("done", "step limit", "not a number")


@dataclass(frozen=True, slots=True, eq=False)
class DyeRates:
    """Rate coefficients of a dye in its solvent, and cross-sections on the laser bins.

    `radiative`, `internal_conversion`, `crossing`, `singlet_quenching` [1/s] leave S1; `triplet_yield` of the
    quenched singlets go to T1 [-]; `triplet_decay` [1/s] with every quencher counted. Cross-sections (K,) [m^2]:
    `emission`, `absorption`, `excited_absorption`, `triplet_absorption`. `emission_share` (K,): part of the
    fluorescence that falls into each bin [-].
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


@dataclass(frozen=True, slots=True, eq=False)
class Cavity:
    """Two mirrors, what lies between, and how the field fills the dye.

    `optical_length` [m] mirror to mirror; `pumped_length` of dye [m] with `index` [-]; `rear` and `coupler`
    reflectivity (K,) [-]; `loss` per pass (K,) [-]; `solid_angle` kept by the resonator [sr]; `overlap` (Z,): field
    density in each zone over its mean [-], or None when every zone lases by itself.
    """

    optical_length: float
    pumped_length: float
    index: float
    rear: Float
    coupler: Float
    loss: Float
    solid_angle: float
    overlap: Float | None = None


@dataclass(frozen=True, slots=True, eq=False)
class Gain:
    """What the dye and the resonator did.

    `time` (M,) [s]; `inversion` and `triplets` (M, Z) as fractions of the dye; `output_rate` (M, Z) photons per
    second leaving through the coupler, mean up to half way to the neighbouring times; `net_gain` (M,) largest net
    logarithmic gain of a round trip; `spectrum` (K, Z) photons through the coupler; `photons` channel -> count;
    `stored` photons and excitations left at the end; `peak_net_gain` over time, zones and bins [-].
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


def spectral_table(rates: DyeRates, cavity: Cavity, number_density: float) -> Float:
    """Rows of the kernel's spectral table: rates at full dye density, decay, seed and output share.

    Parameters
    ----------
    rates : DyeRates
        Of the dye.
    cavity : Cavity
        Of the resonator.
    number_density : float
        Dye molecules per volume. [1/m^3]

    Returns
    -------
    table : array (7, K)
        Emission, absorption, excited-state and triplet rates [1/s], photon decay, seed; output share last. [mixed]

    Raises
    ------
    DomainError
        If a mirror reflects nothing or more than everything.

    Notes
    -----
    Valid: losses and gain per round trip small enough to be spread evenly along the cavity.
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
    if np.any(cavity.rear <= 0) or np.any(cavity.coupler <= 0) or max(cavity.rear.max(), cavity.coupler.max()) > 1:
        raise DomainError(
            "mirror reflectivity outside its range",
            argument="reflectivity",
            allowed="Above 0 and at most 1",
            next_step="Give the reflectivity at the laser wavelength",
        )
    speed = constants.c / cavity.index
    total = -np.log(cavity.rear * cavity.coupler) + 2 * cavity.loss
    share = np.divide(-np.log(cavity.coupler), total, out=np.zeros_like(total), where=total > 0)
    return np.stack(
        [
            rates.emission * speed * number_density,
            rates.absorption * speed * number_density,
            rates.excited_absorption * speed * number_density,
            rates.triplet_absorption * speed * number_density,
            constants.c * total / (2 * cavity.optical_length),
            rates.emission_share * cavity.solid_angle / (4 * np.pi) * rates.radiative,
            share,
        ]
    )


def scalar_rates(rates: DyeRates, cavity: Cavity) -> Float:
    """Rates that do not depend on wavelength, in the order of the kernel, and the filling of the cavity by dye.

    Parameters
    ----------
    rates : DyeRates
        Of the dye.
    cavity : Cavity
        Of the resonator.

    Returns
    -------
    scalars : array (7,)
        Decay of S1, formation and decay of T1, fluorescence, crossing, oxygen quenching [1/s]; filling last. [mixed]

    Notes
    -----
    Valid: S1, T1 and S0 only.
    Not covered: higher levels, which relax at once.
    Equation: 1/tau = k_r + k_nr + k_ST + k_q; formation k_ST + y k_q; filling n l / L_opt. Source: definitions.

    Examples
    --------
    >>> one = np.ones(1)
    >>> r = DyeRates(2.4e8, 1e7, 2e6, 4e6, 0.5, 3e6, one, one, one, one, one)
    >>> c = Cavity(0.4, 0.15, 1.36, one, 0.5 * one, 0 * one, 1e-4)
    >>> [float(value) for value in scalar_rates(r, c)[:2]]
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
            cavity.index * cavity.pumped_length / cavity.optical_length,
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
    pump_rate : array (T, Z)
        Photons that lead to S1, per ground-state molecule and second, in each equal-volume zone. [1/s]
    rates : DyeRates
        Of the dye.
    cavity : Cavity
        Of the resonator; its `overlap` decides between one field per zone and one field for all.
    number_density : float
        Dye molecules per volume. [1/m^3]
    zone_volume : float
        Pumped volume of one zone. [m^3]
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
    Not covered: amplified spontaneous emission off the axis, parasitic paths, standing waves, diffusion of the dye.
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
    zones = pump_rate.shape[1]
    spectral = spectral_table(rates, cavity, number_density)
    scalars = scalar_rates(rates, cavity)
    axis = np.array([pump_time[0], pump_time[1] - pump_time[0]])
    grid = np.linspace(pump_time[0], pump_time[-1], samples)
    settings = np.array([tolerance, ABSOLUTE[0] * tolerance, ABSOLUTE[1] * tolerance, 1e-4 * (grid[-1] - grid[0])])
    round_trip = 2 * cavity.optical_length / constants.c
    if cavity.overlap is None:
        fields = [(np.ascontiguousarray(pump_rate[:, z : z + 1]), np.ones((2, 1))) for z in range(zones)]
    else:
        fields = [(np.ascontiguousarray(pump_rate), np.stack([cavity.overlap, np.full(zones, 1.0 / zones)]))]
    runs = [
        kinetics_kernel.integrate(pump, axis, spectral, scalars, zone, round_trip, settings, grid, most_steps)
        for pump, zone in fields
    ]
    return _collect(runs, grid, spectral, scalars, number_density * zone_volume * zones / len(runs))


def _collect(runs: list[tuple], grid: Float, spectral: Float, scalars: Float, molecules: float) -> Gain:  # type: ignore[type-arg]
    """Add up the fields and give the columns their names."""
    zones = [(run[0].shape[1] - 2) // 2 for run in runs]
    filling = scalars[kinetics_kernel.FILLING]
    output = spectral[kinetics_kernel.DECAY] * spectral[kinetics_kernel.OUTPUT] * molecules / filling
    budget = sum(run[2] for run in runs) * molecules
    stored = 0.0
    for run, count in zip(runs, zones, strict=True):
        share = molecules / count
        end = run[3]  # photons, S1, T1
        stored += float(end[-2 * count : -count].sum() * share + end[: -2 * count].sum() * molecules / filling)
    counters = np.sum([run[5] for run in runs], axis=0)
    worst = max(run[6] for run in runs)
    return Gain(
        time=grid,
        inversion=np.concatenate([run[0][:, :count] for run, count in zip(runs, zones, strict=True)], axis=1),
        triplets=np.concatenate([run[0][:, count : 2 * count] for run, count in zip(runs, zones, strict=True)], axis=1),
        output_rate=np.stack([run[0][:, -2] * molecules for run in runs], axis=1),
        net_gain=np.max([run[0][:, -1] for run in runs], axis=0),
        spectrum=np.stack([run[1] * output for run in runs], axis=1),
        photons=dict(zip(kinetics_kernel.BUDGET, budget.tolist(), strict=True)),
        stored=stored,
        peak_net_gain=max(run[4] for run in runs),
        outcome=OUTCOMES[worst],
        counters={
            "gain steps": int(counters[0]),
            "gain rejected": int(counters[1]),
            "gain right-hand sides": int(counters[2]),
            "gain factorisations": int(counters[3]),
        },
    )
