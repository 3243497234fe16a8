"""Which inputs a result varies with: shares of its variance, from samples."""

from __future__ import annotations

from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

#: Inputs that are named.
NAMED = 3


def largest(paths: Sequence[str], shares: Floats, count: int = NAMED) -> tuple[tuple[str, float], ...]:
    """The inputs with the largest shares above zero, largest first."""
    order = np.argsort(-np.asarray(shares), kind="stable")[:count]
    return tuple((paths[place], float(shares[place])) for place in order if shares[place] > 0)


def first_order_shares(unit: Floats, result: Floats) -> Floats:
    """Share of the variance of a result that each input makes by itself (first-order Sobol' index).

    The samples are put into bins of equal probability of one input after the other. What is left of the variance
    inside the bins, over the whole, is what the others make: 1 - (N - 1) / (N - K) SSW / SST with K bins, which is
    zero on average for an input that does nothing (Kelley, Proc. Natl. Acad. Sci. 21, 554, 1935, from memory). No
    straight line is assumed; what inputs do only together belongs to none of them.

    `unit` (N, D): probabilities drawn, in 0 to 1; `result` (N,). Returns (D,), zeros where the result does not vary.
    """
    count, inputs = unit.shape
    bins = bins_for(count)
    total = float(np.sum((result - result.mean()) ** 2))
    if total <= 1e-24 * count * float(np.abs(result).max()) ** 2:
        return np.zeros(inputs)
    place = np.minimum((unit * bins).astype(int), bins - 1)
    shares = np.empty(inputs)
    for column in range(inputs):
        held = np.bincount(place[:, column], minlength=bins)
        sums = np.bincount(place[:, column], weights=result, minlength=bins)
        means = sums / np.maximum(held, 1)
        inside = float(np.sum((result - means[place[:, column]]) ** 2))
        used = int(np.count_nonzero(held))
        shares[column] = 1.0 - (count - 1) / (count - used) * inside / total
    return np.clip(shares, 0.0, 1.0)


def bins_for(count: int) -> int:
    """Bins into which this many samples are put: half of their square root, 3 to 32."""
    return int(np.clip(round(0.5 * np.sqrt(count)), 3, 32))
