"""Tables of one gas at one fill: what the discharge and the light stage look up.

Built once per gas and fill; the arc takes in gas at the density of the cold fill, so that energy per volume
alone fixes the state.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import PchipInterpolator

from pulsewright.physics.lamp import light, plasma

Float = NDArray[np.float64]

#: Temperatures spanned by a table. [K] Below the first the column no longer conducts.
TEMPERATURE_SPAN = (2500.0, 150_000.0)
#: Arc radii spanned by the exitance table. [m]
RADIUS_SPAN = (2e-5, 3e-2)
_SIZES = (140, 192, 28)  # temperatures solved, energies tabulated, radii


def spectral_bands() -> tuple[Float, Float]:
    """Centres and widths of the wavelength bands in which lamp light is counted.

    Returns
    -------
    centre : array (L,)
        Band centres, 50 nm to 8 um, 10 nm wide where dyes absorb, 5 nm where solvents begin to. [m]
    width : array (L,)
        Band widths. [m]

    Notes
    -----
    Valid: a continuum; lines narrower than a band are smeared.
    Not covered: below 50 nm, where a lamp plasma of up to 40 000 K sends little.
    Equation: edges by region. Source: our own choice; halving the widths moves radiated energy by less than 0.1 % and
    the output of the demo bench by less than 0.5 % (tests/convergence).

    Examples
    --------
    >>> centre, width = spectral_bands()
    >>> bool(abs(width.sum() - (8e-6 - 50e-9)) < 1e-12)
    True
    """
    return _bands()


@cache
def _bands() -> tuple[Float, Float]:
    """The bands, made once; nobody may write into them."""
    edges = np.concatenate(
        [
            np.arange(50, 100, 10),
            np.arange(100, 200, 10),
            np.arange(200, 300, 5),
            np.arange(300, 700, 10),
            np.arange(700, 1100, 50),
            np.geomspace(1100, 8000, 10),
        ]
    )
    edges = edges.astype(float) * 1e-9
    centre, width = 0.5 * (edges[1:] + edges[:-1]), np.diff(edges)
    centre.setflags(write=False)
    width.setflags(write=False)
    return centre, width


@dataclass(frozen=True, slots=True, eq=False)
class PlasmaTables:
    """State of the plasma against the logarithm of energy per volume.

    `log_energy` is the uniform axis (first, step) [ln J/m^3]; `temperature` (N,) [K]; `log_resistivity` (N,)
    [ln ohm m];
    `log_exitance` (N, A) on the uniform axis of the logarithm of arc radius `log_radius` (first, step) [ln W/m^2];
    `log_absorption` (N, L) per spectral band [ln 1/m]; `electron_density` (N,) [1/m^3]; `mass_density` [kg/m^3].
    """

    number_density: float
    mass_density: float
    log_energy: tuple[float, float]
    log_radius: tuple[float, float]
    temperature: Float
    electron_density: Float
    log_resistivity: Float
    log_exitance: Float
    log_absorption: Float
    logarithm: Float

    def energy_at(self, temperature: float) -> float:
        """Energy per volume at a temperature, in J/m^3."""
        axis = self.log_energy[0] + self.log_energy[1] * np.arange(len(self.temperature))
        return float(np.exp(np.interp(np.log(temperature), np.log(self.temperature), axis)))


def plasma_tables(
    number_density: float,
    atomic_mass: float,
    ionisation_energies: Sequence[float],
    levels: Sequence[plasma.Levels],
    collision_cross_section: float,
    edge_energy: float,
    biberman_factor: float = 1.5,
    range_factor: float = 3.0,
    fill_temperature: float = 300.0,
) -> PlasmaTables:
    """Tables of one gas at one fill.

    Parameters
    ----------
    number_density : float
        Heavy particles per volume. [1/m^3]
    atomic_mass : float
        Mass of an atom. [kg]
    ionisation_energies : sequence of Z floats
        Energy of each successive ionisation. [J]
    levels : sequence of Z + 1 level lists
        Levels of atom and ions.
    collision_cross_section : float
        Electron-atom momentum transfer near 1 eV. [m^2]
    edge_energy : float
        Edge above which recombination adds no more continuum. [J]
    biberman_factor : float
        Continuum strength against a hydrogenic one. [-]
    range_factor : float
        See `plasma.coulomb_logarithm`. [-]
    fill_temperature : float
        Gas temperature at which the density holds. [K]

    Returns
    -------
    tables : PlasmaTables
        Uniform in the logarithm of energy per volume.

    Notes
    -----
    Valid: as the functions of `plasma` and `light`.
    Not covered: cool wall layer, ablated wall vapour.
    Equation: as there; exitance summed over `spectral_bands`. Source: as there.

    Examples
    --------
    >>> t = plasma_tables(3.2e24, 2.18e-25, [1.943e-18], [[(1.0, 0.0)], [(6.0, 0.0)]], 2.5e-19, 4.8e-19)
    >>> bool(np.all(np.diff(t.temperature) > 0))
    True
    """
    count, size, radii = _SIZES
    temperature = np.geomspace(*TEMPERATURE_SPAN, count)
    mix = plasma.saha_composition(temperature, number_density, ionisation_energies, levels)
    squares = mix.charge_square_density
    logarithm = np.asarray(plasma.coulomb_logarithm(temperature, mix.screening_length, range_factor))
    resistivity = plasma.plasma_resistivity(
        temperature,
        mix.electron_density,
        mix.densities[:, 0],
        squares / mix.electron_density,
        logarithm,
        collision_cross_section,
    )
    log_energy = np.log(plasma.plasma_energy(mix, fill_temperature))
    axis = np.linspace(log_energy[0], log_energy[-1], size)

    def onto_axis(values: Float) -> Float:
        return np.asarray(PchipInterpolator(log_energy, np.log(values))(axis))

    hot = np.exp(onto_axis(temperature))
    electrons, charge = np.exp(onto_axis(mix.electron_density)), np.exp(onto_axis(squares))
    centre, width = spectral_bands()
    absorption = light.continuum_absorption(
        centre, hot[:, None], electrons[:, None], charge[:, None], edge_energy, biberman_factor
    )
    radius = np.linspace(float(np.log(RADIUS_SPAN[0])), float(np.log(RADIUS_SPAN[1])), radii)
    exitance = np.empty((size, radii))
    planck = light.column_exitance(centre, hot[:, None], np.inf, 1.0) * width
    for column, log_radius in enumerate(radius):
        depth = light.CHORD_FACTOR * 2 * np.exp(log_radius) * absorption
        exitance[:, column] = np.sum(planck * -np.expm1(-depth), axis=1)
    return PlasmaTables(
        number_density=number_density,
        mass_density=number_density * atomic_mass,
        log_energy=(float(axis[0]), float(axis[1] - axis[0])),
        log_radius=(float(radius[0]), float(radius[1] - radius[0])),
        temperature=hot,
        electron_density=electrons,
        log_resistivity=onto_axis(np.asarray(resistivity)),
        log_exitance=np.log(np.maximum(exitance, 1e-30)),
        log_absorption=np.log(np.maximum(absorption, 1e-300)),
        logarithm=np.exp(onto_axis(logarithm)),
    )


def steady_state(tables: PlasmaTables, bore: float) -> tuple[Float, Float, Float]:
    """Steady balance of ohmic heat and radiation in a filled bore, along the table.

    Parameters
    ----------
    tables : PlasmaTables
        Of one gas and fill.
    bore : float
        Inner diameter, filled by the arc. [m]

    Returns
    -------
    current_density : array (N,)
        Current per area at which heat and light balance. [A/m^2]
    resistivity : array (N,)
        Resistivity there. [ohm*m]
    temperature : array (N,)
        Temperature there. [K]

    Notes
    -----
    Valid: pulses long against filling and heating.
    Not covered: conduction to the wall, which matters below about 1 kA/cm2.
    Equation: eta j^2 = (4 / d) F_rad(T). Source: energy balance of the column.

    Examples
    --------
    >>> t = plasma_tables(3.2e24, 2.18e-25, [1.943e-18], [[(1.0, 0.0)], [(6.0, 0.0)]], 2.5e-19, 4.8e-19)
    >>> j, eta, hot = steady_state(t, 5e-3)
    >>> j.shape == eta.shape == hot.shape
    True
    """
    first, step = tables.log_radius
    position = (np.log(bore / 2) - first) / step
    column = int(np.clip(np.floor(position), 0, tables.log_exitance.shape[1] - 2))
    part = position - column
    exitance = np.exp((1 - part) * tables.log_exitance[:, column] + part * tables.log_exitance[:, column + 1])
    resistivity = np.exp(tables.log_resistivity)
    return np.sqrt(4 * exitance / (bore * resistivity)), resistivity, tables.temperature


__all__ = ["PlasmaTables", "plasma_tables", "spectral_bands", "steady_state"]
