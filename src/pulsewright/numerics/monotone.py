"""Cubic interpolation that keeps to the rise and fall of its points. Used while tables are built, not in kernels."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

Float = NDArray[np.float64]


def monotone_cubic(points: Float, values: Float, wanted: Float) -> Float:
    """Values (N, ...) known at increasing points (N,), at `wanted` (M,); the end cells go on beyond the ends.

    Slopes are weighted harmonic means of the neighbouring chords, zero at extrema (Fritsch and Butland, SIAM J. Sci.
    Stat. Comput. 5, 300, 1984), so that no maximum appears that the points do not have.
    """
    shape = (-1,) + (1,) * (values.ndim - 1)
    width = np.diff(points).reshape(shape)
    chord = np.diff(values, axis=0) / width
    slope = np.empty_like(values, dtype=np.float64)
    before, after = width[:-1], width[1:]
    low, high = 2 * after + before, after + 2 * before
    same = chord[:-1] * chord[1:] > 0
    with np.errstate(divide="ignore", invalid="ignore"):
        mean = (low + high) / (low / chord[:-1] + high / chord[1:])
    slope[1:-1] = np.where(same, mean, 0.0)
    slope[0] = _end_slope(width[0], width[1], chord[0], chord[1])
    slope[-1] = _end_slope(width[-1], width[-2], chord[-1], chord[-2])
    cell = np.clip(np.searchsorted(points, wanted, side="right") - 1, 0, len(points) - 2)
    h = (points[cell + 1] - points[cell]).reshape(shape)
    u = (wanted - points[cell]).reshape(shape) / h
    rest = 1.0 - u
    near = (1 + 2 * u) * rest**2 * values[cell] + u * rest**2 * h * slope[cell]
    far = u * u * (3 - 2 * u) * values[cell + 1] - u * u * rest * h * slope[cell + 1]
    return np.asarray(near + far)


def _end_slope(width: Float, next_width: Float, chord: Float, next_chord: Float) -> Float:
    """Slope of the parabola through three points, held to the sign and three times the size of the first chord."""
    slope = ((2 * width + next_width) * chord - width * next_chord) / (width + next_width)
    slope = np.where(np.sign(slope) != np.sign(chord), 0.0, slope)
    steep = (np.sign(chord) != np.sign(next_chord)) & (np.abs(slope) > 3 * np.abs(chord))
    return np.asarray(np.where(steep, 3 * chord, slope))
