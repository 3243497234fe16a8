"""Compiled part of amplified spontaneous emission: how far light is amplified in a pumped column, table, look-up.

Lengths and gains are those of the column: gains times its length, areas and chords over its length.
"""

from __future__ import annotations

import math

from numba import njit

from pulsewright.numerics import SUMS
from pulsewright.numerics.exponential import exp

# Below this product of gain and path the exponential less its first terms is taken from its series.
SMALL = 0.3


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True)
def _remainders(z):  # type: ignore[no-untyped-def]
    """(e^z - 1 - z) / z^2 and (e^z - 1 - z - z^2 / 2) / z^3."""
    if abs(z) < SMALL:
        second = 0.5 + z * (1 / 6 + z * (1 / 24 + z * (1 / 120 + z * (1 / 720 + z * (1 / 5040 + z / 40320)))))
        third = 1 / 6 + z * (1 / 24 + z * (1 / 120 + z * (1 / 720 + z * (1 / 5040 + z * (1 / 40320 + z / 362880)))))
        return second, third
    rest = exp(z) - 1.0 - z
    return rest / (z * z), (rest - 0.5 * z * z) / (z * z * z)


@njit(cache=True, nogil=True, error_model="numpy")
def mean_paths(gains, slopes, slope_weights, chords, chord_weights, out):  # type: ignore[no-untyped-def]
    """Mean over points and directions of (e^(g L) - 1) / g, L from the point to the end of the column.

    `gains` (G,) may be negative. A direction is the tangent of its angle with the axis, with the weight of its share
    of all directions; a chord is a plane through the cylinder along the axis, with its share of the volume. In such a
    plane points and paths fill a rectangle: exactly, paths of full length lie in a middle band, shorter ones in two
    corners.
    """
    for n in range(gains.shape[0]):
        g, total = gains[n], 0.0
        for i in range(slopes.shape[0]):
            cosine = 1.0 / math.sqrt(1.0 + slopes[i] * slopes[i])
            sine = slopes[i] * cosine
            for j in range(chords.shape[0]):
                chord = chords[j]
                longest = min(chord / sine, 1.0 / cosine)
                second, third = _remainders(g * longest)
                band = abs(sine - chord * cosine) * longest * longest * second
                corners = 2.0 * sine * cosine * longest * longest * longest * third
                total += slope_weights[i] * chord_weights[j] * (band + corners) / chord
        out[n] = total


@njit(cache=True, nogil=True, error_model="numpy", fastmath=SUMS)
def decay_table(singlets, triplets, groups, log_path, first, step, out):  # type: ignore[no-untyped-def]
    """Fill `out` (S1, T1) with the rate at which S1 decays by amplified spontaneous emission.

    `groups` rows: emission, absorption, excited-state, triplet cross-section, each times density and length of the
    column; rate of spontaneous emission into the group. `log_path`: logarithm of the mean path over the column's
    length against gain times length, on a uniform axis. Light of groups that the dye absorbs on balance is left to
    the trapped lifetime.
    """
    count = log_path.shape[0]
    for i in range(singlets.shape[0]):
        for j in range(triplets.shape[0]):
            s1, t1, total = singlets[i], triplets[j], 0.0
            s0 = max(1.0 - s1 - t1, 0.0)
            for k in range(groups.shape[1]):
                pair = groups[0, k] * s1 - groups[1, k] * s0
                if pair > 0.0:
                    place = (pair - groups[2, k] * s1 - groups[3, k] * t1 - first) / step
                    place = min(max(place, 0.0), count - 1.0)
                    cell = min(int(place), count - 2)
                    u = place - cell
                    low, high = max(cell - 1, 0), min(cell + 2, count - 1)
                    b = 0.5 * (log_path[cell + 1] - log_path[low])
                    d = 0.5 * (log_path[high] - log_path[cell])
                    rise = log_path[cell + 1] - log_path[cell]
                    bend = u * (3.0 * rise - 2.0 * b - d + u * (b + d - 2.0 * rise))
                    total += groups[4, k] * pair * exp(log_path[cell] + u * (b + bend))
            out[i, j] = total


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS)
def amplified_decay(table, cell, s1_step, t1_step, s1, t1):  # type: ignore[no-untyped-def]
    """S1 lost per time to amplified spontaneous emission, and its slopes against S1 and T1.

    The table holds the rate per S1 on uniform axes from zero; cubic in both, straight beyond the last S1, constant
    beyond the last T1 and below zero.
    """
    rows, columns = table.shape[1], table.shape[2]
    x, y = s1 / s1_step, t1 / t1_step
    beyond = max(x - (rows - 1.0), 0.0)
    x, moves_x = min(max(x, 0.0), rows - 1.0), 1.0 if x > 0.0 else 0.0
    moves_y = 1.0 if 0.0 < y < columns - 1.0 else 0.0
    y = min(max(y, 0.0), columns - 1.0)
    i, j = min(int(x), rows - 2), min(int(y), columns - 2)
    u, v = x - i, y - j
    below, above = max(j - 1, 0), min(j + 2, columns - 1)
    v0, v1, v2, v3 = (
        v * (v * (1.0 - 0.5 * v) - 0.5),
        1.0 + v * v * (1.5 * v - 2.5),
        v * (0.5 + v * (2.0 - 1.5 * v)),
        0.5 * v * v * (v - 1.0),
    )
    d0, d1, d2, d3 = (
        v * (2.0 - 1.5 * v) - 0.5,
        v * (4.5 * v - 5.0),
        0.5 + v * (4.0 - 4.5 * v),
        v * (1.5 * v - 1.0),
    )
    value, along, across, both = 0.0, 0.0, 0.0, 0.0
    for p in range(4):
        row = min(max(i + p - 1, 0), rows - 1)
        if p == 0:
            w, dw = u * (u * (1.0 - 0.5 * u) - 0.5), u * (2.0 - 1.5 * u) - 0.5
        elif p == 1:
            w, dw = 1.0 + u * u * (1.5 * u - 2.5), u * (4.5 * u - 5.0)
        elif p == 2:
            w, dw = u * (0.5 + u * (2.0 - 1.5 * u)), 0.5 + u * (4.0 - 4.5 * u)
        else:
            w, dw = 0.5 * u * u * (u - 1.0), u * (1.5 * u - 1.0)
        a, b = table[cell, row, below], table[cell, row, j]
        c, d = table[cell, row, j + 1], table[cell, row, above]
        entry = v0 * a + v1 * b + v2 * c + v3 * d
        value += w * entry
        along += dw * entry
        tilt = d0 * a + d1 * b + d2 * c + d3 * d
        across += w * tilt
        both += dw * tilt
    rate = value + beyond * along
    slope = moves_x * along / s1_step
    return s1 * rate, rate + s1 * slope, s1 * (across + beyond * both) * moves_y / t1_step
