"""Tables of one gas at one fill: what the discharge and the light stage look up.

Built once per gas and fill. The arc takes in gas at the density of the cold fill, so that energy per heavy particle
alone fixes the state; vapour of the wall adds a second axis, the density.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import cache

import numpy as np
from numpy.typing import NDArray

from pulsewright.numerics.monotone import monotone_cubic
from pulsewright.physics.lamp import light, lines, mixture, plasma, wall

Float = NDArray[np.float64]

#: Temperatures spanned by a table. [K] Below the first the column no longer conducts.
TEMPERATURE_SPAN = (2500.0, 150_000.0)
#: Arc radii spanned by the exitance table. [m]
RADIUS_SPAN = (2e-5, 3e-2)
#: Temperatures solved, energies tabulated, radii.
SIZES = (140, 192, 28)


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
    """State of the plasma against the logarithm of energy per heavy particle, at a ladder of densities.

    Axes, each uniform and given as (first, step): `log_energy` [ln J] per heavy particle, an atom of the fill or of the
    wall's vapour, free or bound; `log_density`, the logarithm of heavy particles per volume over `number_density`, the
    fill's [1/m^3], one rung (0) unless the wall gives vapour; `log_radius` of the arc [ln m].
    Shapes: (rung, energy) for `temperature` [K], `electron_density` [1/m^3], `log_resistivity` [ln ohm m],
    `log_heat_potential`, conductivity integrated from the wall [ln W/m], `log_diffusivity` of heat [ln m^2/s],
    `logarithm`, Coulomb's; (rung, energy, radius) for `log_exitance` and `log_wall_exitance`, its part that the
    surface of the glass takes up [ln W/m^2]; (rung, energy, band) for `log_absorption` [ln 1/m].
    `mass_density` of the fill [kg/m^3].
    """

    number_density: float
    mass_density: float
    log_energy: tuple[float, float]
    log_density: tuple[float, float]
    log_radius: tuple[float, float]
    temperature: Float
    electron_density: Float
    log_resistivity: Float
    log_exitance: Float
    log_wall_exitance: Float
    log_absorption: Float
    log_heat_potential: Float
    log_diffusivity: Float
    logarithm: Float

    @property
    def energy_axis(self) -> Float:
        """Logarithms of energy per heavy particle at which the tables are known."""
        return np.asarray(self.log_energy[0] + self.log_energy[1] * np.arange(self.temperature.shape[1]))

    def energy_at(self, temperature: float) -> float:
        """Energy per heavy particle of the fill at a temperature, in J."""
        fill = np.log(self.temperature[0])
        return float(np.exp(np.interp(np.log(temperature), fill, self.energy_axis)))


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
    gas_conductivity: float = 5.5e-3,
    conductivity_exponent: float = 0.7,
    surface_absorptance: Float | None = None,
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
    gas_conductivity : float
        Thermal conductivity of the gas at 300 K; xenon's unless given. [W/(m K)]
    conductivity_exponent : float
        Power of the temperature with which that rises. [-]
    surface_absorptance : array (L,) or None
        Part of the light of each spectral band that the glass takes up at its very surface; None for nothing. [-]

    Returns
    -------
    tables : PlasmaTables
        Uniform in the logarithm of energy per heavy particle, one rung of density.

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
    atom = mixture.Element(
        float(atomic_mass),
        tuple(ionisation_energies),
        tuple(tuple(rows) for rows in levels),
        collision_cross_section,
        edge_energy,
        biberman_factor,
    )
    return mixture_tables(
        mixture.Species((atom,)),
        mixture.Content((1.0,)),
        number_density,
        range_factor=range_factor,
        fill_temperature=fill_temperature,
        gas_conductivity=gas_conductivity,
        conductivity_exponent=conductivity_exponent,
        surface_absorptance=surface_absorptance,
    )


def mixture_tables(
    species: mixture.Species,
    fill: mixture.Content,
    number_density: float,
    vapour: mixture.Content | None = None,
    rungs: int = 1,
    range_factor: float = 3.0,
    fill_temperature: float = 300.0,
    gas_conductivity: float = 5.5e-3,
    conductivity_exponent: float = 0.7,
    lorenz_factor: float = 2.0,
    surface_absorptance: Float | None = None,
    line_chord: float = 5e-3,
) -> PlasmaTables:
    """Tables of any mixture at one fill, and of that fill with vapour of the wall added.

    Parameters
    ----------
    species : mixture.Species
        Elements and molecules that can occur.
    fill : mixture.Content
        What the cold fill is made of.
    number_density : float
        Nuclei of the fill per volume. [1/m^3]
    vapour : mixture.Content or None
        What the wall gives off.
    rungs : int
        Densities tabulated, each twice the one before; 1 for the fill alone. [-]
    range_factor : float
        See `plasma.coulomb_logarithm`. [-]
    fill_temperature : float
        Gas temperature at which the density holds; energy is counted from there. [K]
    gas_conductivity : float
        Thermal conductivity of the cold fill at 300 K. [W/(m K)]
    conductivity_exponent : float
        Power of the temperature with which that rises. [-]
    lorenz_factor : float
        See `wall.thermal_conductivity`. [-]
    surface_absorptance : array (L,) or None
        Part of the light of each spectral band that the glass takes up at its very surface; None for nothing. [-]
    line_chord : float
        Length of plasma for which lines are smeared over their bands: of the filled bore. [m]

    Returns
    -------
    tables : PlasmaTables
        Uniform in the logarithms of energy per nucleus and of density.

    Raises
    ------
    DomainError
        If the equilibrium does not settle.

    Notes
    -----
    Valid: as the functions of `mixture`, `light` and `wall`; what exceeds the fill's density is vapour, evenly mixed.
    Not covered: cool wall layer in the light; conduction by the vapour differs from the fill's only through its
    resistivity.
    Equation: as there; exitance summed over `spectral_bands`. Source: as there.

    Examples
    --------
    >>> xenon = mixture.Element(2.18e-25, (1.943e-18,), (((1.0, 0.0),), ((6.0, 0.0),)), 2.5e-19, 4.8e-19)
    >>> t = mixture_tables(mixture.Species((xenon,)), mixture.Content((1.0,)), 3.2e24)
    >>> t.temperature.shape
    (1, 192)
    """
    count, size, radii = SIZES
    temperature = np.geomspace(*TEMPERATURE_SPAN, count)
    share = 2.0 ** -np.arange(rungs)
    nuclei = np.outer(share, fill.nuclei)
    cold = share * fill.cold_energy(species, fill_temperature)
    if vapour is not None:
        nuclei = nuclei + np.outer(1.0 - share, vapour.nuclei)
        cold = cold + (1.0 - share) * vapour.cold_energy(species, fill_temperature)
    density = np.repeat(number_density / share, count)
    mix = mixture.mixture_composition(np.tile(temperature, rungs), density, np.repeat(nuclei, count, axis=0), species)
    logarithm = np.asarray(plasma.coulomb_logarithm(mix.temperature, mix.screening_length, range_factor))
    resistivity = mixture.mixture_resistivity(mix, species, logarithm)
    energy = (mix.energy / density).reshape(rungs, count) - cold[:, None]
    start = float(wall.cold_heat_potential(float(temperature[0]), gas_conductivity, conductivity_exponent))
    conductivity = np.asarray(
        wall.thermal_conductivity(
            mix.temperature, resistivity, mix.neutral_fraction, gas_conductivity, conductivity_exponent, lorenz_factor
        )
    ).reshape(rungs, count)
    capacity = np.gradient(energy, temperature, axis=1) * density.reshape(rungs, count)
    conducted = np.stack([wall.heat_potential_along(temperature, row, start) for row in conductivity])
    columns = np.stack(
        [
            mix.temperature,
            mix.electron_density,
            resistivity,
            logarithm,
            conducted.ravel(),
            (conductivity / capacity).ravel(),
            *mix.charge_square_densities.T,
            *(rows[:, 0] for rows in mix.populations),
        ],
        axis=1,
    ).reshape(rungs, count, -1)
    log_energy = np.log(energy)
    axis = np.linspace(log_energy[:, 0].min(), log_energy[:, -1].max(), size)
    placed = np.stack(
        [_onto(axis, row, np.log(np.maximum(column, 1e-300))) for row, column in zip(log_energy, columns, strict=True)]
    )
    return _assembled(placed, axis, radii, number_density, fill.mass(species), species, surface_absorptance, line_chord)


def _onto(axis: Float, log_energy: Float, columns: Float) -> Float:
    """Columns known along one rung's energies, on the common axis; constant beyond their ends."""
    return monotone_cubic(log_energy, columns, np.clip(axis, log_energy[0], log_energy[-1]))


def _assembled(
    placed: Float,
    axis: Float,
    radii: int,
    number_density: float,
    mass: float,
    species: mixture.Species,
    surface: Float | None,
    line_chord: float,
) -> PlasmaTables:
    """Light along the axis, and everything under its name. `placed`: logarithms (D, N, column)."""
    rungs = len(placed)
    hot, electrons = np.exp(placed[..., 0]), np.exp(placed[..., 1])
    absorption = np.stack(
        [_absorption(hot[d], electrons[d], np.exp(placed[d, :, 6:]), species, line_chord) for d in range(rungs)]
    )
    radius = np.linspace(float(np.log(RADIUS_SPAN[0])), float(np.log(RADIUS_SPAN[1])), radii)
    light_out = [_exitance(hot[d], absorption[d], radius, surface) for d in range(rungs)]
    return PlasmaTables(
        number_density=number_density,
        mass_density=number_density * mass,
        log_energy=(float(axis[0]), float(axis[1] - axis[0])),
        log_density=(0.0, float(np.log(2.0))),
        log_radius=(float(radius[0]), float(radius[1] - radius[0])),
        temperature=hot,
        electron_density=electrons,
        log_resistivity=placed[..., 2],
        log_exitance=np.log(np.maximum([total for total, _ in light_out], 1e-30)),
        log_wall_exitance=np.log(np.maximum([part for _, part in light_out], 1e-30)),
        log_absorption=np.log(np.maximum(absorption, 1e-300)),
        log_heat_potential=placed[..., 4],
        log_diffusivity=placed[..., 5],
        logarithm=np.exp(placed[..., 3]),
    )


def _absorption(hot: Float, electrons: Float, kinds: Float, species: mixture.Species, line_chord: float) -> Float:
    """Absorption (N, L) of every element; `kinds`: ion densities times charge squared, then atoms, per element."""
    centre, width = spectral_bands()
    total = np.zeros((len(hot), len(centre)))
    for place, element in enumerate(species.elements):
        squares, atoms = kinds[:, place], kinds[:, place + len(species.elements)]
        total += light.continuum_absorption(
            centre, hot[:, None], electrons[:, None], squares[:, None], element.edge_energy, element.biberman_factor
        )
        if element.lines:
            total += lines.smeared_absorption(
                centre, width, hot, electrons, atoms, element.lines, element.levels[0], line_chord
            )
    return total


def _exitance(hot: Float, absorption: Float, log_radius: Float, surface: Float | None) -> tuple[Float, Float]:
    """Exitance (N, A) over all bands, and the part that the surface of the glass takes up."""
    centre, width = spectral_bands()
    total, taken_up = np.empty((2, len(hot), len(log_radius)))
    planck = light.column_exitance(centre, hot[:, None], np.inf, 1.0) * width
    weight = np.zeros(len(centre)) if surface is None else surface
    for column, radius in enumerate(np.exp(log_radius)):
        sent = planck * -np.expm1(-light.CHORD_FACTOR * 2 * radius * absorption)
        total[:, column] = np.sum(sent, axis=1)
        taken_up[:, column] = sent @ weight
    return total, taken_up


def steady_state(
    tables: PlasmaTables, bore: float, wall_factor: float = 0.0, layer_fraction: float = 0.25
) -> tuple[Float, Float, Float]:
    """Steady balance of ohmic heat with radiation, and with conduction to the wall, in a filled bore, along the table.

    Parameters
    ----------
    tables : PlasmaTables
        Of one gas and fill.
    bore : float
        Inner diameter, filled by the arc. [m]
    wall_factor : float
        Heat conducted to the wall over that through a laminar layer; 0 leaves conduction out. [-]
    layer_fraction : float
        Thickness of the settled cool layer over the bore. [-]

    Returns
    -------
    current_density : array (N,)
        Current per area at which heat and losses balance. [A/m^2]
    resistivity : array (N,)
        Resistivity there. [ohm*m]
    temperature : array (N,)
        Temperature there. [K]

    Notes
    -----
    Valid: pulses long against filling and heating.
    Not covered: losses at the electrodes; the cool layer's part of the area.
    Equation: eta j^2 = (4 / d) (F_rad(T) + f S(T) / (x d)). Source: energy balance of the column.

    Examples
    --------
    >>> t = plasma_tables(3.2e24, 2.18e-25, [1.943e-18], [[(1.0, 0.0)], [(6.0, 0.0)]], 2.5e-19, 4.8e-19)
    >>> j, eta, hot = steady_state(t, 5e-3)
    >>> bool(np.all(steady_state(t, 5e-3, wall_factor=1.0)[0] > j))
    True
    """
    first, step = tables.log_radius
    position = (np.log(bore / 2) - first) / step
    fill = tables.log_exitance[0]
    column = int(np.clip(np.floor(position), 0, fill.shape[1] - 2))
    part = position - column
    lost = np.exp((1 - part) * fill[:, column] + part * fill[:, column + 1])
    if wall_factor > 0:
        lost = lost + wall_factor * np.exp(tables.log_heat_potential[0]) / (layer_fraction * bore)
    resistivity = np.exp(tables.log_resistivity[0])
    return np.sqrt(4 * lost / (bore * resistivity)), resistivity, tables.temperature[0]


__all__ = ["PlasmaTables", "mixture_tables", "plasma_tables", "spectral_bands", "steady_state"]
