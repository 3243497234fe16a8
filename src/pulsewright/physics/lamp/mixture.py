"""Equilibrium of any mixture of elements and their molecules: ionisation, dissociation, energy, resistivity.

Nuclei of each element are conserved. A heavy particle is a nucleus, free or bound in a molecule. With one element and
no molecule everything here is what `plasma` gives.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy import constants

from pulsewright.errors import DomainError
from pulsewright.physics.lamp import plasma
from pulsewright.physics.lamp._saha import ladder_of, ladder_rows, level_sum
from pulsewright.physics.lamp.lines import Line

Float = NDArray[np.float64]
#: Rounds after which the screening length is held: where it decides whether a level exists, the two may swing to and
#: fro for ever, and the middle between them is taken.
PATIENCE = 120
LevelTable = tuple[tuple[float, float], ...]


@dataclass(frozen=True, slots=True)
class Element:
    """Atoms and ions of one element: `mass` [kg], energies and levels [J], cross-section with electrons [m^2].

    `edge_energy` [J] and `biberman_factor` [-] of its continuum, see `light.continuum_absorption`; `lines` of the atom
    that are added to it.
    """

    mass: float
    ionisation_energies: tuple[float, ...]
    levels: tuple[LevelTable, ...]
    collision_cross_section: float
    edge_energy: float
    biberman_factor: float = 1.5
    lines: tuple[Line, ...] = ()


@dataclass(frozen=True, slots=True)
class Molecule:
    """A molecule of two atoms; `parts` are places in the list of elements. Energies in J.

    `dissociation_energy` from the lowest vibrational level, `rotational_constant` h c B, `vibrational_energy` h c w,
    `symmetry` 2 for two like atoms, `levels` its electronic states, `collision_cross_section` with electrons [m^2].
    """

    parts: tuple[int, int]
    dissociation_energy: float
    rotational_constant: float
    vibrational_energy: float
    symmetry: float
    levels: LevelTable
    collision_cross_section: float


@dataclass(frozen=True, slots=True)
class Species:
    """Elements and molecules that can occur in one plasma."""

    elements: tuple[Element, ...]
    molecules: tuple[Molecule, ...] = ()


@dataclass(frozen=True, slots=True)
class Content:
    """What a gas is made of: `nuclei` of each element (adding up to 1), `molecules` per nucleus while it is cold."""

    nuclei: tuple[float, ...]
    molecules: tuple[float, ...] = ()

    def mass(self, species: Species) -> float:
        """Mean mass of a nucleus, in kg."""
        return sum(part * element.mass for part, element in zip(self.nuclei, species.elements, strict=True))

    def particles(self) -> float:
        """Free particles of the cold gas per nucleus."""
        return 1.0 - sum(self.molecules)

    def cold_energy(self, species: Species, fill_temperature: float) -> float:
        """Energy per nucleus of the cold gas, from separate atoms at rest, in J."""
        kt = float(constants.k) * fill_temperature
        bound = sum(
            count * (kt - molecule.dissociation_energy)
            for count, molecule in zip(self.molecules, species.molecules, strict=False)
        )
        return 1.5 * kt * self.particles() + bound


@dataclass(frozen=True, slots=True, eq=False)
class Mixture:
    """Equilibrium of a mixture at P points.

    `populations`: per element (P, charge) [1/m^3]; `molecules` (P, M) [1/m^3]; `energy` per volume above separate atoms
    at rest [J/m^3].
    """

    temperature: Float
    electron_density: Float
    populations: tuple[Float, ...]
    molecules: Float
    screening_length: Float
    energy: Float

    @property
    def charge_square_densities(self) -> Float:
        """Ion densities times charge squared (P, element), in 1/m^3."""
        columns = [rows @ np.arange(rows.shape[1]) ** 2.0 for rows in self.populations]
        return np.stack(columns, axis=1)

    @property
    def neutral_fraction(self) -> Float:
        """Atoms and molecules over all heavy particles that move by themselves."""
        neutral = sum((rows[:, 0] for rows in self.populations), np.zeros(len(self.temperature)))
        ions = sum((rows[:, 1:].sum(axis=1) for rows in self.populations), np.zeros(len(self.temperature)))
        still = neutral + self.molecules.sum(axis=1)
        return np.asarray(still / (still + ions))


def mixture_composition(
    temperature: Float, number_density: Float, fractions: Float, species: Species, iterations: int = 400
) -> Mixture:
    """Equilibrium composition of a mixture at fixed densities of the nuclei of each element.

    Parameters
    ----------
    temperature : array (P,)
        Plasma temperatures. [K]
    number_density : array (P,)
        Nuclei per volume. [1/m^3]
    fractions : array (P, E)
        Part of each element in the nuclei. [-]
    species : Species
        Elements and molecules.
    iterations : int
        Most fixed-point rounds before giving up. [-]

    Returns
    -------
    mixture : Mixture
        Densities of ions, atoms and molecules, and the energy.

    Raises
    ------
    DomainError
        If the iteration does not settle to 1e-10.

    Notes
    -----
    Valid: local thermodynamic equilibrium; molecules of two atoms.
    Not covered: molecular ions, negative ions, larger molecules, anharmonic vibration, energy of excited atoms.
    Equation: Saha as in `plasma.saha_composition` for each element with a common Debye length; law of mass action
    n_AB / (n_A n_B) = Z_rot Z_vib Z_el / (U_A U_B) (h^2 / (2 pi mu k T))^1.5 exp(D_0 / kT), Z_rot = kT / (s B),
    Z_vib = 1 / (1 - exp(-w / kT)). Source: statistical mechanics, textbook.

    Examples
    --------
    >>> atom = Element(2.3e-26, (2.33e-18,), (((4.0, 0.0),), ((9.0, 0.0),)), 1e-19, 4e-19)
    >>> pair = Molecule((0, 0), 1.56e-18, 3.95e-23, 4.69e-20, 2.0, ((1.0, 0.0),), 1e-19)
    >>> cold = mixture_composition(np.array([3000.0]), np.array([1e24]), np.ones((1, 1)), Species((atom,), (pair,)))
    >>> bool(abs(2 * cold.molecules[0, 0] / 1e24 - 1) < 1e-3)
    True
    """
    nuclei = np.asarray(fractions) * np.asarray(number_density)[:, None]
    electrons = 0.1 * np.asarray(number_density, dtype=float)
    squares = electrons.copy()
    atoms = nuclei.copy()
    energies = [np.asarray(element.ionisation_energies) for element in species.elements]
    prepared = [
        ladder_of(temperature, energy, element.levels)
        for energy, element in zip(energies, species.elements, strict=True)
    ]
    laws = [_mass_action(temperature, molecule, species) for molecule in species.molecules]
    length = np.asarray(plasma.debye_length(temperature, electrons + squares))
    for turn in range(iterations):
        if turn < PATIENCE:
            before, length = length, np.asarray(plasma.debye_length(temperature, electrons + squares))
        elif turn == PATIENCE:
            length = np.sqrt(before * length)
        ladders = [ladder_rows(ladder, electrons, length) for ladder in prepared]
        whole = np.stack([rows.sum(axis=1) for rows, _ in ladders], axis=1)
        bonds = [
            law / (ladders[molecule.parts[0]][1] * ladders[molecule.parts[1]][1])
            for law, molecule in zip(laws, species.molecules, strict=True)
        ]
        atoms = _neutral_atoms(atoms, nuclei, whole, bonds, species)
        populations = tuple(rows * atoms[:, [place]] for place, (rows, _) in enumerate(ladders))
        demanded = sum((rows @ np.arange(float(rows.shape[1])) for rows in populations), np.zeros_like(electrons))
        settled = float(np.max(np.abs(np.log(demanded / electrons))))
        electrons = np.sqrt(electrons * demanded)
        squares = sum((rows @ np.arange(rows.shape[1]) ** 2.0 for rows in populations), np.zeros_like(electrons))
        bound = _bound(atoms, bonds, species)
        missing = nuclei - whole * atoms - _in_molecules(bound, species, nuclei)
        if settled < 1e-10 and np.all(np.abs(missing) <= 1e-10 * number_density[:, None]):
            energy = _energy(temperature, electrons, populations, bound, energies, species)
            return Mixture(temperature, electrons, populations, bound, length, energy)
    raise DomainError(
        "the balance of ionisation and dissociation did not settle",
        argument="number_density",
        allowed="fills from about 1 to 3000 torr",
        next_step="Check the fill pressure",
    )


def _mass_action(temperature: Float, molecule: Molecule, species: Species) -> Float:
    """n_AB U_A U_B / (n_A n_B), without the partition functions of the atoms, in m^3."""
    kt = constants.k * temperature
    first, second = (species.elements[place].mass for place in molecule.parts)
    reduced = first * second / (first + second)
    moving = (constants.h**2 / (2 * np.pi * reduced * kt)) ** 1.5
    inner = kt / (molecule.symmetry * molecule.rotational_constant) / -np.expm1(-molecule.vibrational_energy / kt)
    inner = inner * level_sum(temperature, molecule.levels)
    return np.asarray(moving * inner * np.exp(molecule.dissociation_energy / kt))


def _neutral_atoms(atoms: Float, nuclei: Float, whole: Float, bonds: Sequence[Float], species: Species) -> Float:
    """Free atoms per element that conserve nuclei: each element's quadratic in turn, the others held."""
    found = atoms.copy()
    for _ in range(40 if len(species.elements) > 1 and bonds else 1):
        before = found.copy()
        for place in range(len(species.elements)):
            single, square = whole[:, place].copy(), np.zeros(len(nuclei))
            for bond, molecule in zip(bonds, species.molecules, strict=True):
                first, second = molecule.parts
                if first == second == place:
                    square = square + 2.0 * bond
                elif place in molecule.parts:
                    single = single + bond * found[:, second if place == first else first]
            root = np.sqrt(single**2 + 4.0 * square * nuclei[:, place])
            found[:, place] = 2.0 * nuclei[:, place] / (single + root)
        if np.all(np.abs(found - before) <= 1e-12 * before):
            break
    return found


def _bound(atoms: Float, bonds: Sequence[Float], species: Species) -> Float:
    """Molecules per volume (P, M)."""
    columns = [
        bond * atoms[:, molecule.parts[0]] * atoms[:, molecule.parts[1]]
        for bond, molecule in zip(bonds, species.molecules, strict=True)
    ]
    return np.stack(columns, axis=1) if columns else np.zeros((len(atoms), 0))


def _in_molecules(bound: Float, species: Species, nuclei: Float) -> Float:
    """Nuclei of each element that are bound in molecules (P, E)."""
    total = np.zeros_like(nuclei)
    for place, molecule in enumerate(species.molecules):
        for part in molecule.parts:
            total[:, part] += bound[:, place]
    return total


def _energy(
    temperature: Float,
    electrons: Float,
    populations: Sequence[Float],
    bound: Float,
    energies: Sequence[Float],
    species: Species,
) -> Float:
    """Energy per volume above separate atoms at rest, in J/m^3."""
    kt = constants.k * temperature
    moving = electrons + bound.sum(axis=1)
    total = np.zeros_like(kt)
    for rows, steps in zip(populations, energies, strict=True):
        moving = moving + rows.sum(axis=1)
        total = total + rows @ np.concatenate(([0.0], np.cumsum(steps)))
    for place, molecule in enumerate(species.molecules):
        quantum = molecule.vibrational_energy
        weights = [(degeneracy * energy, energy) for degeneracy, energy in molecule.levels]
        excited = level_sum(temperature, weights) / level_sum(temperature, molecule.levels)
        total = total + bound[:, place] * (
            kt + quantum / np.expm1(quantum / kt) + excited - molecule.dissociation_energy
        )
    return np.asarray(total + 1.5 * kt * moving)


def mixture_resistivity(mixture: Mixture, species: Species, logarithm: Float) -> Float:
    """Resistivity of a mixture: electron-ion collisions, and those with every kind of neutral particle.

    Parameters
    ----------
    mixture : Mixture
        From `mixture_composition`.
    species : Species
        Elements and molecules.
    logarithm : array (P,)
        Coulomb logarithm. [-]

    Returns
    -------
    resistivity : array (P,)
        Electrical resistivity. [ohm*m]

    Notes
    -----
    Valid: as `plasma.plasma_resistivity`. Not covered: as there.
    Equation: as there, with n_n Q summed over atoms and molecules. Source: as there.

    Examples
    --------
    >>> atom = Element(2.2e-25, (1.943e-18,), (((1.0, 0.0),), ((6.0, 0.0),)), 2.5e-19, 4e-19)
    >>> species = Species((atom,))
    >>> hot = mixture_composition(np.array([12000.0]), np.array([3e24]), np.ones((1, 1)), species)
    >>> bool(1e-5 < mixture_resistivity(hot, species, np.array([2.0]))[0] < 1e-3)
    True
    """
    blocked = np.zeros_like(mixture.temperature)
    for rows, element in zip(mixture.populations, species.elements, strict=True):
        blocked = blocked + rows[:, 0] * element.collision_cross_section
    for place, molecule in enumerate(species.molecules):
        blocked = blocked + mixture.molecules[:, place] * molecule.collision_cross_section
    squares = mixture.charge_square_densities.sum(axis=1)
    charge = squares / mixture.electron_density
    found = plasma.plasma_resistivity(mixture.temperature, mixture.electron_density, blocked, charge, logarithm, 1.0)
    return np.asarray(found)
