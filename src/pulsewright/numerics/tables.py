"""Interpolation in uniformly spaced tables, compiled. Local cubics: smooth enough for the steppers."""

from __future__ import annotations

from numba import njit

from pulsewright import numerics  # noqa: F401  (sets the compiler's cache first)


@njit(cache=True, nogil=True, inline="always")
def locate(x, first, step, count):  # type: ignore[no-untyped-def]
    """Cell index and position inside it for a uniform axis, held inside the table."""
    position = (x - first) / step
    if not position > 0.0:
        return 0, 0.0
    if position >= count - 1.0:
        return count - 2, 1.0
    index = int(position)
    return index, position - index


@njit(cache=True, nogil=True, inline="always")
def cubic_weights(u):  # type: ignore[no-untyped-def]
    """Weights of the four points around a cell for a Catmull-Rom cubic."""
    u2 = u * u
    u3 = u2 * u
    return (
        -0.5 * u3 + u2 - 0.5 * u,
        1.5 * u3 - 2.5 * u2 + 1.0,
        -1.5 * u3 + 2.0 * u2 + 0.5 * u,
        0.5 * u3 - 0.5 * u2,
    )


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True)
def lookup(tables, row, x, first, step):  # type: ignore[no-untyped-def]
    """Value of one of several tables (row, x); constant beyond its ends."""
    count = tables.shape[1]
    index, u = locate(x, first, step, count)
    a, b, c, d = cubic_weights(u)
    below = index - 1 if index > 0 else 0
    above = index + 2 if index + 2 < count else count - 1
    return a * tables[row, below] + b * tables[row, index] + c * tables[row, index + 1] + d * tables[row, above]


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True)
def lookup_2d(tables, plane, x, first_x, step_x, y, first_y, step_y):  # type: ignore[no-untyped-def]
    """Value of one of several two-dimensional tables (plane, x, y); constant beyond its edges."""
    rows, columns = tables.shape[1], tables.shape[2]
    i, u = locate(x, first_x, step_x, rows)
    j, v = locate(y, first_y, step_y, columns)
    a, b, c, d = cubic_weights(v)
    below = j - 1 if j > 0 else 0
    above = j + 2 if j + 2 < columns else columns - 1
    wx = cubic_weights(u)
    total = 0.0
    for p in range(4):
        row = min(max(i + p - 1, 0), rows - 1)
        total += wx[p] * (
            a * tables[plane, row, below]
            + b * tables[plane, row, j]
            + c * tables[plane, row, j + 1]
            + d * tables[plane, row, above]
        )
    return total


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True)
def lookup_ladder(tables, plane, y, first_y, step_y, x, first_x, step_x):  # type: ignore[no-untyped-def]
    """Value of one of several tables (plane, rung, x) at rung position y; one rung means the same at every y."""
    rungs = tables.shape[1]
    if rungs == 1:
        return lookup(tables[plane], 0, x, first_x, step_x)
    return lookup_2d(tables, plane, y, first_y, step_y, x, first_x, step_x)


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True)
def lookup_ladder_2d(tables, plane, y, first_y, step_y, x, first_x, step_x, z, first_z, step_z):  # type: ignore[no-untyped-def]
    """Value of one of several tables (plane, rung, x, z) at rung position y; one rung means the same at every y."""
    rungs = tables.shape[1]
    if rungs == 1:
        return lookup_2d(tables[plane], 0, x, first_x, step_x, z, first_z, step_z)
    index, u = locate(y, first_y, step_y, rungs)
    weights = cubic_weights(u)
    total = 0.0
    for p in range(4):
        rung = min(max(index + p - 1, 0), rungs - 1)
        total += weights[p] * lookup_2d(tables[plane], rung, x, first_x, step_x, z, first_z, step_z)
    return total


@njit(cache=True, nogil=True, error_model="numpy")
def hermite_resample(times, values, slopes, wanted, out):  # type: ignore[no-untyped-def]
    """Fill `out` (M, n) with cubic Hermite values of rows (N, n) with known slopes, at increasing times."""
    last = times.shape[0] - 2
    index = 0
    for m in range(wanted.shape[0]):
        t = wanted[m]
        while index < last and times[index + 1] < t:
            index += 1
        width = times[index + 1] - times[index]
        u = min(max((t - times[index]) / width, 0.0), 1.0)
        h00 = (1 + 2 * u) * (1 - u) ** 2
        h10 = u * (1 - u) ** 2 * width
        h01 = u * u * (3 - 2 * u)
        h11 = u * u * (u - 1) * width
        for k in range(values.shape[1]):
            out[m, k] = (
                h00 * values[index, k]
                + h10 * slopes[index, k]
                + h01 * values[index + 1, k]
                + h11 * slopes[index + 1, k]
            )
