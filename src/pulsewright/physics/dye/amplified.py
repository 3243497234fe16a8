"""Amplified spontaneous emission of a pumped column of dye: how fast it empties S1, in every direction."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.physics._domain import Number, a_number, not_negative, plain, positive, within
from pulsewright.physics.dye import amplified_kernel

Float = NDArray[np.float64]

#: Gain times length for which paths are tabulated. Beyond the upper end amplified light empties S1 many times faster
#: than any lamp fills it; below the lower end nothing is amplified.
PATH_RANGE = (-30.0, 30.0)
PATH_POINTS = 97
#: Gain times length to which the table of the decay reaches, and the loss by triplets.
MOST_GAIN, MOST_TRIPLET_LOSS = 16.0, 8.0
#: Points of the table along S1 and T1, and groups of bins of which it is made: halving each step moves the decay by
#: less than 1e-3 of itself (tests/routes/test_amplified.py).
S1_POINTS, T1_POINTS, GROUPS = 45, 25, 12


@dataclass(frozen=True, slots=True, eq=False)
class AmplifiedDecay:
    """Decay of S1 by amplified spontaneous emission.

    `rate` (C, S, T) per S1 [1/s] of each cell on uniform axes of S1 and T1 that begin at zero; `step` of both [-].
    """

    rate: Float
    step: Float

    def at(self, cell: int, s1: float, t1: float) -> float:
        """Rate per S1 of a cell, in 1/s."""
        lost, by_s1, _ = amplified_kernel.amplified_decay(self.rate, cell, self.step[0], self.step[1], s1, t1)
        return float(lost / s1 if s1 > 0 else by_s1)


#: Nothing is amplified.
NONE = AmplifiedDecay(np.zeros((0, 2, 2)), np.ones(2))


def linford_amplification(gain_length: ArrayLike) -> Number:
    """Spontaneous emission that leaves the end of a column along its axis, over that of a column without gain.

    Parameters
    ----------
    gain_length : float or array (...)
        Small-signal gain at the middle of the line times the length of the column. [-]

    Returns
    -------
    amplification : same shape
        Light within a small cone about the axis, over the same without gain or loss. [-]

    Raises
    ------
    DomainError
        If the gain is negative.

    Notes
    -----
    Valid: one line of Gaussian shape, even gain, no mirrors, light too weak to empty the column; at most
    12 % from the integral over the line, about g l = 3, and exact at both ends.
    Not covered: saturation, other line shapes.
    Equation: (G - 1)^(3/2) / (g l (g l G)^(1/2)), G = exp(g l).
    Source: Linford, Peressini, Sooy and Spaeth, Appl. Opt. 13, 379 (1974), from memory.

    Examples
    --------
    >>> round(linford_amplification(5.0), 2)
    13.14
    """
    x = np.maximum(not_negative("gain_length", gain_length, "-"), 1e-9)
    return plain(np.expm1(x) ** 1.5 / (x * np.sqrt(x * np.exp(x))))


def mean_amplified_path(gain_length: ArrayLike, aspect: float, cone_tangent: float = 0.0) -> Number:
    """Path on which light of a column is amplified, mean over points and directions, over the column's length.

    Parameters
    ----------
    gain_length : float or array (points)
        Gain coefficient times length of the column; negative where it absorbs. [-]
    aspect : float
        Radius over length of the column. [-]
    cone_tangent : float
        Tangent of the angle with the axis below which light counts elsewhere, as that of a resonator. [-]

    Returns
    -------
    relative_path : same shape
        Mean over points and directions of (exp(g L) - 1) / (g l), with L from the point to the end of the column. [-]

    Raises
    ------
    DomainError
        If the aspect is not above zero or the tangent negative.

    Notes
    -----
    Valid: cylinder with even gain, no reflection at wall or ends. The solid angle is the whole sphere less both cones.
    Not covered: refraction at the wall, total reflection (which lengthens paths), gain that differs across or along.
    Equation: in a plane along the axis at chord c, for the direction (s, u) = (sin, cos) and Lm = min(c/s, l/u):
    (|l s - c u| Lm^2 f2 + 2 s u Lm^3 f3) / (c l), f2 = (e^z - 1 - z)/z^2, f3 = (e^z - 1 - z - z^2/2)/z^3, z = g Lm;
    then mean over chords and directions. Source: geometry, exact but for the quadrature (1e-4).

    Examples
    --------
    >>> thin = mean_amplified_path(0.0, 1e-3)   # endless cylinder: mean over points of the path is 4/3 of the radius
    >>> round(thin / 1e-3, 2)
    1.33
    """
    gains = np.atleast_1d(a_number("gain_length", gain_length, "-"))
    slopes, slope_weights, chords, chord_weights = _nodes(
        float(positive("aspect", aspect, "-")), float(not_negative("cone_tangent", cone_tangent, "-"))
    )
    out = np.empty(gains.size)
    amplified_kernel.mean_paths(gains.ravel(), slopes, slope_weights, chords, chord_weights, out)
    return plain(out.reshape(np.shape(gain_length)))


def _nodes(aspect: float, cone: float) -> tuple[Float, Float, Float, Float]:
    """Tangents of directions and chords over length, with their weights: Gauss-Legendre in panels.

    Panels in the logarithm of the tangent where directions near the axis matter, one in the cosine from 45 degrees.
    """
    low = np.log(max(cone, 1e-3 * aspect))
    near = min(max(np.log(8 * aspect), low + 0.5), -0.5)
    points, weights = np.polynomial.legendre.leggauss(10)
    panels = np.concatenate([np.linspace(low, near, 4), [0.5 * near, 0.0]])
    half = 0.5 * np.diff(panels)[:, None]
    tangent = np.exp((0.5 * (panels[1:] + panels[:-1])[:, None] + half * points).ravel())
    turn = (half * weights).ravel() * tangent**2 / (1 + tangent**2) ** 1.5  # both ends, of all directions
    cosine = 0.5 * np.sqrt(0.5) * (points + 1)
    slopes = np.concatenate([tangent, np.sqrt(1 - cosine**2) / cosine])
    turn = np.concatenate([turn, 0.5 * np.sqrt(0.5) * weights])
    angle, across = 0.25 * np.pi * (points + 1), 0.25 * np.pi * weights
    chord = 2 * aspect * np.cos(angle)
    return slopes, turn, chord, across * 4 / np.pi * np.cos(angle) ** 2


@lru_cache(maxsize=64)
def _log_paths(aspect: float, cone: float) -> Float:
    return np.log(mean_amplified_path(np.linspace(*PATH_RANGE, PATH_POINTS), aspect, cone))


def amplified_decay(
    cross_sections: Float,
    emission_share: Float,
    radiative: float,
    number_density: Float,
    length: float,
    radius: float,
    cone_tangent: float = 0.0,
    s1_points: int = S1_POINTS,
    t1_points: int = T1_POINTS,
    groups: int = GROUPS,
) -> AmplifiedDecay:
    """Table of the decay of S1 by light that the column itself emits and amplifies.

    Parameters
    ----------
    cross_sections : array (4, K)
        Of stimulated emission, ground state, excited state and triplets on the bins. [m^2]
    emission_share : array (K,)
        Part of the fluorescence that falls into each bin. [-]
    radiative : float
        Rate at which S1 emits. [1/s]
    number_density : array (C,)
        Dye molecules per volume of each cell. [1/m^3]
    length : float
        Of the whole pumped column. [m]
    radius : float
        Of the column. [m]
    cone_tangent : float
        Tangent of the angle with the axis below which light belongs to the resonator. [-]
    s1_points : int
        Points of the table along S1. [-]
    t1_points : int
        Points along T1. [-]
    groups : int
        Groups of bins that it is made of. [-]

    Returns
    -------
    decay : AmplifiedDecay
        Rates per S1, on their axes.

    Raises
    ------
    DomainError
        If a length is not positive.

    Notes
    -----
    Valid: each zone as if the column were filled with its populations; light that the dye absorbs on balance is left
    to the trapped lifetime.
    Not covered: ends emptied more than the middle (above some 3 of gain times length), other zones on the way,
    reflection at walls and ends.
    Equation: R = k_r sum_k share_k N (se n1 - sa n0) <(exp(g L) - 1)/g>, g = N (se n1 - sa n0 - sx n1 - sT nT).
    Source: rate equation of the photons along each ray; mean path as in `mean_amplified_path`.

    Examples
    --------
    >>> sigma = np.array([[1.5e-20], [0.0], [0.0], [0.0]])
    >>> table = amplified_decay(sigma, np.ones(1), 2.4e8, np.array([3.6e22]), 0.15, 4e-3)
    >>> bool(np.all(np.diff(table.rate[0, :, 0]) > 0))
    True
    """
    whole = positive("length", length, "m") * number_density
    aspect = float(positive("radius", radius, "m") / length)
    within("s1_points", s1_points, 4, 1e4, "-")
    share, sigma = _grouped(cross_sections, emission_share, groups)
    per_s1, floor = sigma[0] + sigma[1] - sigma[2], sigma[1]
    deepest = float(whole.max())
    rising = per_s1 > 0
    if not np.any(rising) or not share.sum() > 0:
        return NONE
    top = min(float(np.min((MOST_GAIN / deepest + floor[rising]) / per_s1[rising])), 1.0)
    dark = float((sigma[3] - sigma[1]).max()) * deepest
    last = min(MOST_TRIPLET_LOSS / dark, 1.0) if dark > 0 else 1.0
    singlets, triplets = np.linspace(0.0, top, s1_points), np.linspace(0.0, last, t1_points)
    paths = _log_paths(aspect, float(cone_tangent))
    first, step = PATH_RANGE[0], (PATH_RANGE[1] - PATH_RANGE[0]) / (PATH_POINTS - 1)
    rate = np.empty((len(whole), s1_points, t1_points))
    for cell, depth in enumerate(whole):
        table = np.concatenate([sigma * depth, [share * radiative]])
        amplified_kernel.decay_table(singlets, triplets, table, paths, first, step, rate[cell])
    return AmplifiedDecay(rate, np.array([singlets[1], triplets[1]]))


def _grouped(cross_sections: Float, share: Float, groups: int) -> tuple[Float, Float]:
    """Neighbouring bins of about equal share of the fluorescence taken together: sum of shares, mean cross-sections."""
    kept = share > 0
    share, sigma = share[kept], cross_sections[:, kept]
    if len(share) <= groups:
        return share, sigma
    which = np.minimum((np.cumsum(share) - 0.5 * share) / share.sum() * groups, groups - 1).astype(int)
    rows = [np.bincount(which, values, groups) for values in (share, *(share * row for row in sigma))]
    total, means = np.asarray(rows[0], dtype=float), np.asarray(rows[1:], dtype=float)
    full = total > 0
    return total[full], means[:, full] / total[full]
