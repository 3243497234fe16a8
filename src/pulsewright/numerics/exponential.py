"""The exponential and its excess over one, without calls or branches, so that loops over them use vector instructions.

x = n ln 2 + r with r within half of ln 2 either way; e^r by its Taylor series to r^13, whose remainder is below
1e-16; 2^n by its bits. Both are right to a few units of the last digit from -700 to 700 and stay at the value there
beyond. Not a number stays one.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from pulsewright import numerics  # noqa: F401  (sets the compiler's cache first)

PER_OCTAVE = 1.0 / math.log(2.0)
# ln 2 in two parts, the first exact when multiplied by a small whole number
LN2_HIGH, LN2_LOW = 6.93147180369123816490e-01, 1.90821492927058770002e-10
MOST = 700.0
C2, C3, C4, C5, C6, C7, C8, C9, C10, C11, C12, C13 = (1.0 / math.factorial(k) for k in range(2, 14))


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath={"contract"})
def _parts(x):  # type: ignore[no-untyped-def]
    """2^n, and e^r - 1."""
    x = min(x, MOST)
    x = max(x, -MOST)
    n = math.floor(x * PER_OCTAVE + 0.5)
    r = (x - n * LN2_HIGH) - n * LN2_LOW
    p = C13
    p = p * r + C12
    p = p * r + C11
    p = p * r + C10
    p = p * r + C9
    p = p * r + C8
    p = p * r + C7
    p = p * r + C6
    p = p * r + C5
    p = p * r + C4
    p = p * r + C3
    p = p * r + C2
    scale = np.int64((np.int64(n) + 1023) << 52).view(np.float64)
    return scale, p * r * r + r


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath={"contract"})
def exp(x):  # type: ignore[no-untyped-def]
    """Exponential."""
    scale, rest = _parts(x)
    return scale * rest + scale


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath={"contract"})
def expm1(x):  # type: ignore[no-untyped-def]
    """Exponential less one, right to the last digits also near zero."""
    scale, rest = _parts(x)
    return scale * rest + (scale - 1.0)
