"""Plasma of a lamp in local thermodynamic equilibrium: composition, energy, resistivity.

Heavy particles are conserved from the cold fill; ionisation follows Saha with the ionisation
potentials lowered by the Debye field. Every coefficient is an argument: the table of gases binds them.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import ArrayLike, NDArray
from scipy import constants

from pulsewright.errors import DomainError
from pulsewright.physics.lamp._saha import COULOMB, MAXIMUM_LOWERING, Levels, ladder_of, ladder_rows, level_sum

Float = NDArray[np.float64]


def heavy_density(fill_pressure: float, fill_temperature: float = 300.0) -> float:
    """Number of atoms per volume of the cold fill.

    Parameters
    ----------
    fill_pressure : float
        Pressure of the fill when it was sealed. [Pa]
    fill_temperature : float
        Gas temperature at which that pressure was read. [K]

    Returns
    -------
    number_density : float
        Heavy particles per volume. [1/m^3]

    Raises
    ------
    DomainError
        If pressure or temperature is not positive.

    Notes
    -----
    Valid: ideal gas, far from condensation.
    Not covered: dead volume behind the electrodes, gas taken up by the glass.
    Equation: n = p / (k T). Source: ideal gas law.

    Examples
    --------
    >>> round(heavy_density(101325.0, 273.15) / 2.686780111e25, 6)   # Loschmidt constant, CODATA 2018
    1.0
    """
    if not fill_pressure > 0 or not fill_temperature > 0:
        raise DomainError(
            f"fill of {fill_pressure:g} Pa at {fill_temperature:g} K",
            argument="fill_pressure",
            allowed="Both must be above zero",
            next_step="Give the pressure printed on the lamp",
        )
    return fill_pressure / (float(constants.k) * fill_temperature)


def partition_function(temperature: ArrayLike, levels: Levels, ceiling: ArrayLike = np.inf) -> Any:
    """Electronic partition function of an atom or ion from a list of levels.

    Parameters
    ----------
    temperature : float or array (...)
        Plasma temperature. [K]
    levels : sequence of (degeneracy, energy)
        Statistical weight and energy above the ground level. [J]
    ceiling : float or array, broadcasts
        Levels at or above this energy do not exist (lowered ionisation limit). [J]

    Returns
    -------
    partition_function : broadcast shape
        Sum of weights times Boltzmann factors. [-]

    Notes
    -----
    Valid: levels merged into manifolds, kT small against the gaps inside one.
    Not covered: plasma broadening of high levels; the ceiling cuts them.
    Equation: U = sum g exp(-E / kT). Source: statistical mechanics, textbook.

    Examples
    --------
    >>> partition_function(10000.0, [(4.0, 0.0)])
    4.0
    """
    total = level_sum(temperature, levels, ceiling)
    return float(total) if total.ndim == 0 else total


def debye_length(temperature: ArrayLike, charge_density: ArrayLike) -> Any:
    """Screening length of a plasma in which electrons and ions both screen.

    Parameters
    ----------
    temperature : float or array (...)
        Plasma temperature. [K]
    charge_density : float or array, broadcasts
        Electron density plus sum of ion densities times charge squared. [1/m^3]

    Returns
    -------
    length : broadcast shape
        Debye length. [m]

    Notes
    -----
    Valid: more than about one particle in the Debye sphere; lamps, with 0.3 to 1, lie at its edge.
    Not covered: strong coupling; the Coulomb logarithm is kept sane separately.
    Equation: lD = sqrt(eps0 k T / (e^2 sum n z^2)). Source: NRL Plasma Formulary (from memory).

    Examples
    --------
    >>> round(debye_length(11604.518, 1e18 * 1e6) * 1e9, 3)   # NRL form: 7.43e2 sqrt(T/n) cm, 1 eV, 1e18 1/cm^3
    7.434
    """
    temperature = np.asarray(temperature, dtype=float)
    length = np.sqrt(constants.epsilon_0 * constants.k * temperature / (constants.e**2 * np.asarray(charge_density)))
    return float(length) if np.ndim(length) == 0 else length


def coulomb_logarithm(temperature: ArrayLike, screening_length: ArrayLike, range_factor: float = 3.0) -> Any:
    """Coulomb logarithm that stays sane in a dense plasma.

    Parameters
    ----------
    temperature : float or array (...)
        Plasma temperature. [K]
    screening_length : float or array, broadcasts
        Debye length. [m]
    range_factor : float
        Ratio of thermal energy to kT in the distance of closest approach b0; range 1 to 3. [-]

    Returns
    -------
    logarithm : broadcast shape
        Never below 1. [-]

    Notes
    -----
    Valid: an interpolation, right for dilute plasma and bounded for dense.
    Not covered: quantum distance of closest approach (above about 40 eV).
    Equation: 0.5 ln(1 + (3 lD / b0)^2 + e^2), b0 = e^2 / (4 pi eps0 f k T). Source: form from memory (interpolations
    of this kind: Lee and More, Phys. Fluids 27, 1273, 1984); f = 3 takes the mean thermal energy, f = 1 is the range.

    Examples
    --------
    >>> round(coulomb_logarithm(10000.0, 1e-12), 3)   # far denser than a lamp: the floor holds
    1.063
    """
    temperature = np.asarray(temperature, dtype=float)
    closest = COULOMB / (range_factor * constants.k * temperature)
    value = 0.5 * np.log(1.0 + (3.0 * np.asarray(screening_length) / closest) ** 2 + np.e**2)
    return float(value) if np.ndim(value) == 0 else value


def plasma_resistivity(
    temperature: ArrayLike,
    electron_density: ArrayLike,
    neutral_density: ArrayLike,
    mean_charge: ArrayLike,
    logarithm: ArrayLike,
    collision_cross_section: float,
) -> Any:
    """Resistivity of a partly ionised plasma: electron-ion plus electron-neutral collisions.

    Parameters
    ----------
    temperature : float or array (...)
        Plasma temperature. [K]
    electron_density : float or array, broadcasts
        Free electrons per volume. [1/m^3]
    neutral_density : float or array, broadcasts
        Atoms per volume. [1/m^3]
    mean_charge : float or array, broadcasts
        Sum of ion densities times charge squared over electron density. [-]
    logarithm : float or array, broadcasts
        Coulomb logarithm. [-]
    collision_cross_section : float
        Momentum-transfer cross-section of electrons on atoms near 1 eV. [m^2]

    Returns
    -------
    resistivity : broadcast shape
        Electrical resistivity. [ohm*m]

    Notes
    -----
    Valid: no strong magnetic field, collisional plasma.
    Not covered: energy dependence of the atomic cross-section (Ramsauer minimum), anomalous resistivity.
    Equation: eta = 5.2e-5 Z ln(Lambda) / T_eV^1.5 + m nu_en / (n_e e^2), nu_en = n_n Q sqrt(8 k T / (pi m)).
    Source: NRL Plasma Formulary, parallel Spitzer resistivity (from memory); kinetic theory.

    Examples
    --------
    >>> eta = plasma_resistivity(2 * 11604.518, 1e24, 0.0, 1.0, 4.0, 2.5e-19)
    >>> round(eta * 100, 4)   # fact sheet: 2 eV, ln = 4, Z = 1 gives 0.0074 ohm cm
    0.0074
    """
    temperature = np.asarray(temperature, dtype=float)
    t_ev = constants.k * temperature / constants.e
    spitzer = 5.2e-5 * np.asarray(mean_charge) * np.asarray(logarithm) / t_ev**1.5
    speed = np.sqrt(8 * constants.k * temperature / (np.pi * constants.m_e))
    rate = np.asarray(neutral_density) * collision_cross_section * speed
    value = spitzer + constants.m_e * rate / (np.asarray(electron_density) * constants.e**2)
    return float(value) if np.ndim(value) == 0 else value


@dataclass(frozen=True, slots=True, eq=False)
class Composition:
    """What an equilibrium plasma consists of, on a temperature axis.

    `densities` has shape (temperature, charge): atoms, singly charged ions and so on [1/m^3].
    `ionisation_energy` is the energy spent on ionising, per volume [J/m^3].
    """

    temperature: Float
    electron_density: Float
    densities: Float
    screening_length: Float
    ionisation_energy: Float

    @property
    def charge_square_density(self) -> Float:
        """Sum of ion densities times charge squared, per temperature, in 1/m^3."""
        charge = np.arange(self.densities.shape[1])
        return np.asarray(self.densities @ (charge**2).astype(float))


def saha_composition(
    temperature: Float,
    number_density: float,
    ionisation_energies: Sequence[float],
    levels: Sequence[Levels],
    iterations: int = 200,
) -> Composition:
    """Equilibrium composition at fixed heavy-particle density.

    Parameters
    ----------
    temperature : array (T,)
        Plasma temperatures. [K]
    number_density : float
        Heavy particles per volume, conserved from the cold fill. [1/m^3]
    ionisation_energies : sequence of Z floats
        Energy of each successive ionisation. [J]
    levels : sequence of Z + 1 level lists
        Levels of atom and ions, see `partition_function`.
    iterations : int
        Most fixed-point rounds before giving up. [-]

    Returns
    -------
    composition : Composition
        Densities per charge, Debye length and energy of ionisation.

    Raises
    ------
    DomainError
        If the iteration does not settle to 1e-10.

    Notes
    -----
    Valid: local thermodynamic equilibrium: electron density above about 1e22 1/m^3.
    Not covered: departure from equilibrium in the first tens of nanoseconds, molecules, excimers.
    Equation: n_e n_(z+1) / n_z = 2 U_(z+1)/U_z (2 pi m k T / h^2)^1.5 exp(-(I_z - dI_z) / kT),
    dI_z = (z + 1) e^2 / (4 pi eps0 lD). Source: Saha equation with Debye-Huckel lowering (Griem, Plasma Spectroscopy,
    1964, from memory).

    Examples
    --------
    >>> c = saha_composition(np.array([9000.0]), 1e24, [2.18e-18], [[(2.0, 0.0)], [(1.0, 0.0)]])
    >>> bool(abs(c.densities.sum() / 1e24 - 1) < 1e-12)
    True
    """
    charges = len(ionisation_energies)
    energies = np.asarray(ionisation_energies, dtype=float)
    electrons = np.full_like(temperature, 0.1 * number_density)
    squares = electrons.copy()
    ladder = ladder_of(temperature, energies, levels)
    for _ in range(iterations):
        length = np.asarray(debye_length(temperature, electrons + squares))
        table, _ = ladder_rows(ladder, electrons, length)
        populations = np.asarray(table * (number_density / table.sum(axis=1))[:, None])
        demanded = populations @ np.arange(charges + 1.0)
        settled = float(np.max(np.abs(np.log(demanded / electrons))))
        electrons = np.sqrt(electrons * demanded)
        squares = populations @ (np.arange(charges + 1.0) ** 2)
        if settled < 1e-10:
            spent = populations @ np.concatenate(([0.0], np.cumsum(energies)))
            return Composition(temperature, electrons, populations, length, spent)
    raise DomainError(
        "the ionisation balance did not settle",
        argument="number_density",
        allowed="fills from about 1 to 3000 torr",
        next_step="Check the fill pressure",
    )


def plasma_energy(composition: Composition, fill_temperature: float = 300.0) -> Float:
    """Energy per volume that it took to bring the cold fill to this state.

    Parameters
    ----------
    composition : Composition
        From `saha_composition`.
    fill_temperature : float
        Temperature of the cold fill, from which energy is counted. [K]

    Returns
    -------
    energy_density : array (T,)
        Thermal plus ionisation energy per volume. [J/m^3]

    Notes
    -----
    Valid: monatomic gas, constant volume.
    Not covered: energy of excited atoms and ions (for xenon 1 to 3 % at 100 torr, 1 to 5 % at 450 torr, from 10 000 K
    up) and the Debye correlation energy (less by about as much): the two nearly cancel.
    Equation: w = 1.5 (n + n_e) k T + sum n_z sum I - 1.5 n k T_fill. Source: kinetic theory.

    Examples
    --------
    >>> c = saha_composition(np.array([4000.0]), 1e24, [2.18e-18], [[(2.0, 0.0)], [(1.0, 0.0)]])
    >>> bool(abs(plasma_energy(c)[0] / (1.5 * 1e24 * constants.k * 3700.0) - 1) < 0.01)
    True
    """
    density = composition.densities.sum(axis=1)
    thermal = 1.5 * constants.k * (density + composition.electron_density) * composition.temperature
    return np.asarray(thermal + composition.ionisation_energy - 1.5 * density * constants.k * fill_temperature)


__all__ = [
    "MAXIMUM_LOWERING",
    "Composition",
    "Levels",
    "coulomb_logarithm",
    "debye_length",
    "heavy_density",
    "partition_function",
    "plasma_energy",
    "plasma_resistivity",
    "saha_composition",
]
