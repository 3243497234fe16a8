"""The rate equations of one shell written out for SciPy, apart from the kernel: compiled right-hand side and Jacobian.

State: photons per bin, S1, T1, and the photons that have left through the coupler, all per dye molecule. SciPy gets
what it can use: the right-hand side and the Jacobian compiled, a sparse Jacobian where a method takes one (BDF and
Radau; the matrix is an arrow, which no banded form fits), and absolute tolerances by component.
"""

from __future__ import annotations

import tempfile
import warnings
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
from numba import njit
from numpy.typing import NDArray
from scipy import constants, sparse
from scipy.integrate import odeint, solve_ivp

import pulsewright as pw
from pulsewright.engine.chain import Chain, Stages
from pulsewright.engine.inputs import inputs_of
from pulsewright.engine.resonator import cavity
from pulsewright.physics.dye import amplified
from pulsewright.physics.dye.amplified import AmplifiedDecay
from pulsewright.physics.dye.amplified_kernel import amplified_decay
from pulsewright.physics.dye.kinetics import ABSOLUTE, Cavity, laser_kinetics, scalar_rates, spectral_table

Float = NDArray[np.float64]
#: Routes into SciPy, by the method that they belong to.
ROUTES = {
    "LSODA": ("LSODA by solve_ivp", "LSODA by odeint"),
    "BDF": ("BDF", "BDF, sparse Jacobian"),
    "Radau": ("Radau", "Radau, sparse Jacobian"),
}


@njit(nogil=True, error_model="numpy")
def pump_rate(pump, first, step, t):  # type: ignore[no-untyped-def]
    """Pump at a time: the cubic through four points that the kernel takes too."""
    last = pump.shape[0] - 1
    place = min(max((t - first) / step, 0.0), float(last))
    i = min(int(place), last - 1)
    u = place - i
    p0, p1, p2, p3 = pump[max(i - 1, 0)], pump[i], pump[i + 1], pump[min(i + 2, last)]
    rest = u * (3.0 * (p1 - p2) + p3 - p0) + 2.0 * p0 - 5.0 * p1 + 4.0 * p2 - p3
    return max(p1 + 0.5 * u * (p2 - p0 + u * rest), 0.0)


@njit(nogil=True, error_model="numpy", fastmath={"reassoc", "contract"})
def right_side(t, y, pump, first, step, table, rates, ase, ase_step, out):  # type: ignore[no-untyped-def]
    """Fill `out`. `table` and `rates` as `spectral_table` and `scalar_rates` give them; `ase` the decay by amplified
    spontaneous emission, looked up as the kernel does."""
    bins = table.shape[1]
    n1, nt = y[bins], y[bins + 1]
    n0 = 1.0 - n1 - nt
    taken, left = 0.0, 0.0
    for k in range(bins):
        net = table[0, k] * n1 - table[1, k] * n0
        taken += net * y[k]
        left += table[4, k] * table[6, k] * y[k]
        gain = net - table[2, k] * n1 - table[3, k] * nt
        out[k] = table[7, 0] * (gain * y[k] + table[5, k] * n1) - table[4, k] * y[k]
    out[bins] = pump_rate(pump, first, step, t) * n0 - rates[0] * n1 - taken
    out[bins] -= amplified_decay(ase, 0, ase_step[0], ase_step[1], n1, nt)[0]
    out[bins + 1] = rates[1] * n1 - rates[2] * nt
    out[bins + 2] = left / table[7, 0]


@njit(nogil=True, error_model="numpy")
def jacobian(t, y, pump, first, step, table, rates, ase, ase_step, matrix):  # type: ignore[no-untyped-def]
    """Fill the dense `matrix`, whose zeros stay where they are."""
    bins = table.shape[1]
    n1, nt = y[bins], y[bins + 1]
    n0 = 1.0 - n1 - nt
    both, ground = 0.0, 0.0
    for k in range(bins):
        both += (table[0, k] + table[1, k]) * y[k]
        ground += table[1, k] * y[k]
        net = table[0, k] * n1 - table[1, k] * n0
        matrix[k, k] = table[7, 0] * (net - table[2, k] * n1 - table[3, k] * nt) - table[4, k]
        matrix[k, bins] = table[7, 0] * ((table[0, k] + table[1, k] - table[2, k]) * y[k] + table[5, k])
        matrix[k, bins + 1] = table[7, 0] * (table[1, k] - table[3, k]) * y[k]
        matrix[bins, k] = -net
        matrix[bins + 2, k] = table[4, k] * table[6, k] / table[7, 0]
    rate = pump_rate(pump, first, step, t)
    lost = amplified_decay(ase, 0, ase_step[0], ase_step[1], n1, nt)
    matrix[bins, bins] = -rate - rates[0] - both - lost[1]
    matrix[bins, bins + 1] = -rate - ground - lost[2]
    matrix[bins + 1, bins] = rates[1]
    matrix[bins + 1, bins + 1] = -rates[2]


@dataclass(frozen=True)
class Problem:
    """The shells of one shot as independent stiff problems, and what one photon per molecule is worth [J]."""

    pump_time: Float
    pump: Float
    table: Float
    rates: Float
    ase: AmplifiedDecay
    mirrors: Cavity
    volume: float
    joules: float
    stages: Stages

    @property
    def shells(self) -> int:
        """Number of shells."""
        return int(self.pump.shape[1])

    def by_scipy(self, route: str, shell: int, relative: float, floors: tuple[float, float] = ABSOLUTE) -> float:
        """Output of one shell, in J; NaN where the method breaks down, as it may at loose tolerances.

        `floors`: absolute over relative tolerance of populations and of photons.
        """
        with warnings.catch_warnings(), np.errstate(all="ignore"):
            warnings.simplefilter("ignore")
            try:
                return self._by_scipy(route, shell, relative, floors)
            except (ArithmeticError, ValueError, TypeError, RuntimeError):
                return np.nan

    def _by_scipy(self, route: str, shell: int, relative: float, floors: tuple[float, float]) -> float:
        bins = self.table.shape[1]
        size = bins + 3
        out, matrix = np.empty(size), np.zeros((size, size))
        pump = np.ascontiguousarray(self.pump[:, shell])
        first, last = float(self.pump_time[0]), float(self.pump_time[-1])
        rest = (pump, first, float(self.pump_time[1] - first), self.table, self.rates, self.ase.rate, self.ase.step)

        def slope(t: float, y: Float) -> Float:
            right_side(t, y, *rest, out)
            return out.copy()

        def matrix_at(t: float, y: Float) -> Any:
            jacobian(t, y, *rest, matrix)
            return sparse.csc_matrix(matrix) if "sparse" in route else matrix.copy()

        absolute = np.full(size, relative * floors[1])
        absolute[bins : bins + 2] = relative * floors[0]
        absolute[-1] = relative * 1e-6  # of the light that leaves, one photon per molecule is much
        start = 1e-4 * (last - first)
        if "odeint" in route:
            y, told = odeint(
                slope,
                np.zeros(size),
                [first, last],
                Dfun=matrix_at,
                rtol=relative,
                atol=absolute,
                tfirst=True,
                mxstep=200_000,
                h0=start,
                full_output=True,
            )
            return float(y[-1, -1]) * self.joules if told["message"].startswith("Integration successful") else np.nan
        found = solve_ivp(
            slope,
            (first, last),
            np.zeros(size),
            method=route.split(maxsplit=1)[0].rstrip(","),
            jac=matrix_at,
            rtol=relative,
            atol=absolute,
            first_step=start,
            t_eval=[last],
        )
        return float(found.y[-1, -1]) * self.joules if found.success else np.nan

    def by_kernel(self, tolerance: float, shells: list[int], samples: int = 2) -> Float:
        """Output of some shells by our own method, in J."""
        gain = laser_kinetics(
            self.pump_time,
            np.ascontiguousarray(self.pump[:, shells]),
            self.stages.dye.rates,
            self.mirrors,
            self.stages.dye.density,
            self.volume,
            tolerance,
            samples,
            most_steps=1_000_000,
        )
        molecules = self.stages.dye.density * self.volume
        return np.asarray(gain.spectrum.sum(axis=0) / molecules * self.joules)


def _table_of(stages: Stages, mirrors: Cavity) -> AmplifiedDecay:
    """Decay by amplified spontaneous emission as `laser_kinetics` makes it."""
    dye, radius = stages.dye.rates, mirrors.radius
    assert radius is not None
    return amplified.amplified_decay(
        np.stack([dye.emission, dye.absorption, dye.excited_absorption, dye.triplet_absorption]),
        dye.emission_share,
        dye.emitting or dye.radiative,
        np.array([stages.dye.density]),
        mirrors.pumped_length,
        radius,
        float(np.sqrt(mirrors.solid_angle / np.pi)),
    )


def problem(charge_voltage: float = 9.5e3, bench: str = "tidewater") -> Problem:
    """The kinetics of one shot of an example bench."""
    with tempfile.TemporaryDirectory() as folder:
        build = pw.open(pw.new_bench(Path(folder) / bench, bench)).build
    assert build is not None
    inputs = inputs_of(build, charge_voltage)
    stages = Chain().run(inputs)
    mirrors = cavity(inputs, stages.dye)
    cell = inputs.machine.cell
    volume = float(np.pi * cell.bore**2 / 4 * cell.pumped_length / inputs.shells)
    photon = constants.h * constants.c / (stages.gain.wavelength or float(stages.gain.laser_wavelength.mean()))
    table = spectral_table(stages.dye.rates, mirrors, stages.dye.density)
    return Problem(
        pump_time=stages.pump.rate_time,
        pump=stages.pump.rate,
        table=table,
        rates=scalar_rates(stages.dye.rates, table),
        ase=_table_of(stages, mirrors),
        mirrors=mirrors,
        volume=volume,
        joules=stages.dye.density * volume * photon,
        stages=stages,
    )
