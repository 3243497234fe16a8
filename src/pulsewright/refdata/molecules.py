"""Molecules of two atoms in lamp plasmas, and the elements that a hot wall gives off."""

from __future__ import annotations

from scipy.constants import c, h

from pulsewright.refdata.gases import _EV, _LEVELS, _LIGHT_BIBERMAN, _edge, _exponent, _ionisation, _levels, _mass
from pulsewright.refdata.rows import Datum, Gas, Molecule, about

_SPECTRA = "constants of diatomic molecules (Huber and Herzberg, 1979), from memory"
_STATES = "lowest electronic states, standard tables from memory; states above about 7 eV are left out"


def _wave(number: float, part: float = 0.005) -> Datum:
    """Energy of a wavenumber in 1/cm."""
    return about(number * 100.0 * h * c, "J", part, "memory-h", _SPECTRA)


def _bond(value: float, half: float) -> Datum:
    return Datum(value * _EV, "J", (value - half) * _EV, (value + half) * _EV, "memory-h", _SPECTRA, "from v = 0")


def _sigma(value: float, low: float, high: float, words: str) -> Datum:
    return Datum(value, "m^2", low, high, "memory-l", words, "average near 1 eV")


_MOLECULES = (
    Molecule(
        "N2",
        ("nitrogen", "nitrogen"),
        _bond(9.759, 0.005),
        _wave(1.990),
        _wave(2330.0, 0.01),
        _levels((1, 0.0), (3, 6.17)),
        _STATES,
        _sigma(1.2e-19, 0.9e-19, 2.0e-19, "1e-19 m2 at 1 eV, resonance of 2.5e-19 m2 near 2.3 eV, as remembered"),
    ),
    Molecule(
        "O2",
        ("oxygen", "oxygen"),
        _bond(5.116, 0.003),
        _wave(1.438),
        _wave(1556.0, 0.01),
        _levels((3, 0.0), (2, 0.977), (1, 1.627)),
        _STATES,
        _sigma(6e-20, 4e-20, 8e-20, "6e-20 m2 near 1 eV, as remembered"),
    ),
    Molecule(
        "NO",
        ("nitrogen", "oxygen"),
        _bond(6.496, 0.003),
        _wave(1.696),
        _wave(1876.0, 0.01),
        _levels((2, 0.0), (2, 0.0150)),
        _STATES,
        _sigma(1.0e-19, 0.5e-19, 2.0e-19, "of the order of the other molecules of air"),
        "Its ion, which carries the little conductivity of air below 6000 K, is not counted.",
    ),
    Molecule(
        "SiO",
        ("silicon", "oxygen"),
        _bond(8.24, 0.1),
        _wave(0.7242),
        _wave(1230.0, 0.01),
        _levels((1, 0.0), (6, 4.2)),
        _STATES,
        _sigma(2e-19, 0.5e-19, 1e-18, "not known; polar molecules scatter slow electrons strongly"),
    ),
)

_SILICON = Gas(
    name="silicon",
    symbol="Si",
    atomic_mass=_mass(28.085),
    ionisation_energies=_ionisation(
        (8.15168, 8.1516, 8.1518), (16.34585, 16.345, 16.347), (33.493, 33.49, 33.50), (45.1418, 45.14, 45.15)
    ),
    levels=(
        # 3p2 3P, 1D, 1S; 4s 3P, 1P; 3s3p3 3D; 4p; 3d
        _levels(
            (1, 0.0),
            (3, 0.00956),
            (5, 0.02767),
            (5, 0.7810),
            (1, 1.9087),
            (9, 4.94),
            (3, 5.082),
            (15, 5.616),
            (36, 5.97),
            (60, 6.2),
        ),
        # 3p 2P; 3s3p2 4P, 2D; 4s; 3d; 4p
        _levels((2, 0.0), (4, 0.0356), (12, 5.33), (10, 6.858), (2, 8.121), (10, 9.839), (6, 10.07)),
        _levels((1, 0.0), (9, 6.56), (3, 10.277), (5, 15.15), (9, 16.10)),
        _levels((2, 0.0), (6, 8.87), (10, 19.88)),
    ),
    levels_source=_LEVELS,
    momentum_transfer_cross_section=Datum(
        2.0e-19, "m^2", 0.5e-19, 1.0e-18, "memory-l", "not known; atoms that polarise easily scatter like this"
    ),
    biberman_factor=_LIGHT_BIBERMAN,
    continuum_edge_energy=_edge(2.2, 1.9, 3.2, "binding energy of 4p and 3d (low) to 4s (high)"),
    square_root_law_pressure=None,
    thermal_conductivity=Datum(
        15e-3,
        "W/(m K)",
        8e-3,
        30e-3,
        "memory-l",
        "order of magnitude for a gas of that mass, if it stayed one at 300 K",
    ),
    conductivity_exponent=_exponent(0.7),
    notes="Only as vapour of a glass.",
)

MOLECULES: dict[str, Molecule] = {row.name: row for row in _MOLECULES}
VAPOURS: dict[str, Gas] = {_SILICON.name: _SILICON}
