"""Heat that a pumped dye gives to its solvent: what is absorbed less what leaves as light or is still stored."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline

from pulsewright.errors import DomainError

Float = NDArray[np.float64]
Shape = Literal["cylinder", "slab"]


@dataclass(frozen=True, slots=True)
class PhotonEnergies:
    """Energy of one excitation or photon [J]: S1 above the ground state, T1, mean escaping fluorescence, laser."""

    singlet: float
    triplet: float
    fluorescence: float
    laser: float


@dataclass(frozen=True, slots=True, eq=False)
class HeatSource:
    """Energies from the start of the pump to each time, by shell (M, Z) [J]: they add up to `absorbed`.

    `light` leaves along the axis and through losses of the resonator; `stored` is in excited molecules.
    """

    time: Float
    absorbed: Float
    fluorescence: Float
    light: Float
    stored: Float
    heat: Float


def heat_source(
    time: Float,
    absorbed_power: Float,
    singlet_count: Float,
    triplet_count: Float,
    radiative_rate: float,
    light_rate: Float,
    energies: PhotonEnergies,
) -> HeatSource:
    """Heat given to the liquid up to each time, shell by shell.

    Parameters
    ----------
    time : array (M,)
        Times, increasing. [s]
    absorbed_power : array (M, Z)
        Pump power taken up in each shell. [W]
    singlet_count : array (M, Z)
        Molecules in S1 in each shell. [-]
    triplet_count : array (M, Z)
        Molecules in T1 in each shell. [-]
    radiative_rate : float
        Rate at which fluorescence escapes from an excited molecule. [1/s]
    light_rate : array (M, Z)
        Laser photons that leave the dye of each shell per second, through mirrors and losses. [1/s]
    energies : PhotonEnergies
        Of excitations and photons.

    Returns
    -------
    source : HeatSource
        Cumulated energies.

    Raises
    ------
    DomainError
        If the tables do not have one row a time.

    Notes
    -----
    Valid: photons between the mirrors hold little beside what leaves them; S2 and T2 relax at once.
    Not covered: chemical energy of bleached dye; light that the solvent takes up.
    Equation: Q(t) = int P_abs - int n1 k_r E_f - int r E_L - n1 E_S - nT E_T. Source: energy balance.

    Examples
    --------
    One watt for a microsecond into a dye that does not glow, of which nothing is stored at the end:

    >>> t = np.linspace(0.0, 1e-6, 11)
    >>> none = np.zeros((11, 1))
    >>> s = heat_source(t, none + 1.0, none, none, 2.5e8, none, PhotonEnergies(3.6e-19, 2.9e-19, 3.5e-19, 3.4e-19))
    >>> round(float(s.heat[-1, 0]) * 1e6, 6)
    1.0
    """
    shape = absorbed_power.shape
    if any(table.shape != shape for table in (singlet_count, triplet_count, light_rate)) or shape[0] != len(time):
        raise DomainError(
            f"{shape}, {singlet_count.shape}, {triplet_count.shape}, {light_rate.shape} at {len(time)} times",
            argument="absorbed_power",
            allowed="One row a time, one column a shell, in all four",
            next_step="Interpolate them to the same times",
        )
    absorbed = _cumulated(time, absorbed_power)
    glow = _cumulated(time, singlet_count * (radiative_rate * energies.fluorescence))
    light = _cumulated(time, light_rate * energies.laser)
    stored = singlet_count * energies.singlet + triplet_count * energies.triplet
    return HeatSource(time, absorbed, glow, light, stored, absorbed - glow - light - stored)


def _cumulated(time: Float, rate: Float) -> Float:
    """Integral up to each time by trapezia, zero at first."""
    out = np.zeros_like(rate)
    steps = 0.5 * np.diff(time)[:, None] * (rate[1:] + rate[:-1])
    np.cumsum(steps, axis=0, out=out[1:])
    return out


def heat_by_channels(photons: Mapping[str, float], absorbed_energy: float, energies: PhotonEnergies) -> float:
    """Heat of a whole pulse counted process by process: a second way to the same figure.

    Parameters
    ----------
    photons : mapping of channel to count
        Of the kinetics: where photons and excitations went.
    absorbed_energy : float
        Pump energy taken up by the dye. [J]
    energies : PhotonEnergies
        Of excitations and photons.

    Returns
    -------
    heat : float
        Heat, with that of triplets which are still excited at the end. [J]

    Notes
    -----
    Valid: pulses long against the lifetime of S1. Not covered: what S1 holds at the end.
    Equation: sum over processes of photons times the difference of energy before and after. Source: energy balance.

    Examples
    --------
    Ten photons absorbed, eight given back as light:

    >>> counts = {"absorbed": 10.0, "fluorescence": 8.0, "internal conversion": 2.0}
    >>> round(heat_by_channels(counts, 40.0, PhotonEnergies(3.0, 2.0, 2.5, 2.0)), 9)
    20.0
    """
    count = {name: photons.get(name, 0.0) for name in _CHANNELS}
    within_dye = absorbed_energy - count["absorbed"] * energies.singlet
    dark = count["internal conversion"] + count["crossing to triplets"] + count["oxygen quenching"]
    glow = count["fluorescence"] * (energies.singlet - energies.fluorescence)
    stimulated = (count["stimulated emission"] - count["ground re-absorption"]) * (energies.singlet - energies.laser)
    lost = (count["excited-state absorption"] + count["triplet absorption"]) * energies.laser
    swept = count["amplified spontaneous emission"] * (energies.singlet - energies.laser)
    return within_dye + dark * energies.singlet + glow + stimulated + lost + swept


_CHANNELS = (
    "absorbed",
    "fluorescence",
    "internal conversion",
    "crossing to triplets",
    "oxygen quenching",
    "stimulated emission",
    "ground re-absorption",
    "excited-state absorption",
    "triplet absorption",
    "amplified spontaneous emission",
)


def shells_to_cells(shells: int, cells: int, shape: Shape = "cylinder") -> Float:
    """Matrix that turns energies of shells of equal area into energies per area at cells of equal width.

    Parameters
    ----------
    shells : int
        Shells of equal area. [-]
    cells : int
        Cells of equal width from axis to wall, or from face to face. [-]
    shape : {"cylinder", "slab"}
        Shells round an axis, or layers of a slab.

    Returns
    -------
    matrix : array (cells, shells)
        Mean density in a cell, of the whole cross-section as one, for one unit in a shell. [-]

    Raises
    ------
    DomainError
        If there is no shell or no cell.

    Notes
    -----
    Valid: profiles that the shells resolve; each shell keeps its energy to rounding where cells and shells share edges.
    Not covered: steps inside a shell.
    Equation: cubic spline through the energy inside each radius, over the square of the radius (in a slab, its depth).
    Source: own, so that no step at the edge of a shell starts a sound; docs/decisions/heat-and-sound.md.

    Examples
    --------
    >>> bool(np.allclose(shells_to_cells(8, 5).sum(axis=1), 8.0))
    True
    """
    if shells < 1 or cells < 1:
        raise DomainError(
            f"{shells} shells, {cells} cells",
            argument="shells",
            allowed="One or more of each",
            next_step="Give both",
        )
    square = np.linspace(0.0, 1.0, cells + 1) ** (2 if shape == "cylinder" else 1)
    inside = np.vstack([np.zeros(shells), np.tril(np.ones((shells, shells)))])
    if shells < 3:
        reached = np.stack([np.interp(square, np.linspace(0, 1, shells + 1), column) for column in inside.T], axis=1)
    else:
        reached = CubicSpline(np.linspace(0, 1, shells + 1), inside)(square)
    return np.asarray(np.diff(reached, axis=0) / np.diff(square)[:, None])
