"""One step of the Rosenbrock method RODAS in compiled code: coefficients, stages, dense output. Knows no equations.

Order 4 with an embedded order 3, stiffly accurate and L-stable: Hairer and Wanner, Solving Ordinary Differential
Equations II (1996), section IV.10 (coefficients from memory; the orders are tested). A stage j solves
(1 / (h GAMMA) - J) u[j] = f(t + STAGE_TIME[j] h, point) + coupling + STAGE_SLOPE[j] h df/dt.
"""

from __future__ import annotations

from numba import njit

from pulsewright.numerics import SUMS

GAMMA = 0.25
A21 = 1.544
A31, A32 = 0.9466785280815826, 0.2557011698983284
A41, A42, A43 = 3.314825187068521, 2.896124015972201, 0.9986419139977817
A51, A52, A53, A54 = 1.221224509226641, 6.019134481288629, 12.53708332932087, -0.6878860361058950
C21 = -5.6688
C31, C32 = -2.430093356833875, -0.2063599157091915
C41, C42, C43 = -0.1073529058151375, -9.594562251023355, -20.47028614809616
C51, C52, C53, C54 = 7.496443313967647, -10.24680431464352, -33.99990352819905, 11.70890893206160
C61, C62, C63, C64, C65 = (
    8.083246795921522,
    -7.981132988064893,
    -31.52159432874371,
    16.31930543123136,
    -6.058818238834054,
)
STAGE_TIME = (0.0, 0.386, 0.21, 0.63, 1.0, 1.0)
STAGE_SLOPE = (0.25, -0.1043, 0.1035, -0.0362, 0.0, 0.0)
H21, H22, H23, H24, H25 = (
    10.12623508344586,
    -7.487995877610167,
    -34.80091861555747,
    -7.992771707568823,
    1.025137723295662,
)
H31, H32, H33, H34, H35 = (
    -0.6762803392801253,
    6.087714651680015,
    16.43084320892478,
    24.76722511418386,
    -6.594389125716872,
)


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS)
def stage_point(stage, y, u, point):  # type: ignore[no-untyped-def]
    """Where the right-hand side of a stage is taken."""
    n = y.shape[0]
    if stage == 0:
        for i in range(n):
            point[i] = y[i]
    elif stage == 1:
        for i in range(n):
            point[i] = y[i] + A21 * u[0, i]
    elif stage == 2:
        for i in range(n):
            point[i] = y[i] + A31 * u[0, i] + A32 * u[1, i]
    elif stage == 3:
        for i in range(n):
            point[i] = y[i] + A41 * u[0, i] + A42 * u[1, i] + A43 * u[2, i]
    elif stage == 4:
        for i in range(n):
            point[i] = y[i] + A51 * u[0, i] + A52 * u[1, i] + A53 * u[2, i] + A54 * u[3, i]
    else:
        for i in range(n):
            point[i] += u[4, i]


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS)
def stage_coupling(stage, u, per_step, right):  # type: ignore[no-untyped-def]
    """Add what earlier stages contribute to the right side of a stage; `per_step` is 1 / h."""
    n = right.shape[0]
    if stage == 1:
        for i in range(n):
            right[i] += per_step * (C21 * u[0, i])
    elif stage == 2:
        for i in range(n):
            right[i] += per_step * (C31 * u[0, i] + C32 * u[1, i])
    elif stage == 3:
        for i in range(n):
            right[i] += per_step * (C41 * u[0, i] + C42 * u[1, i] + C43 * u[2, i])
    elif stage == 4:
        for i in range(n):
            right[i] += per_step * (C51 * u[0, i] + C52 * u[1, i] + C53 * u[2, i] + C54 * u[3, i])
    elif stage == 5:
        for i in range(n):
            right[i] += per_step * (C61 * u[0, i] + C62 * u[1, i] + C63 * u[2, i] + C64 * u[3, i] + C65 * u[4, i])


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS)
def dense_output(u, dense3, dense4):  # type: ignore[no-untyped-def]
    """Dense output of order 3: y(t + s h) = y (1-s) + s (new + (1-s)(dense3 + s dense4))."""
    for i in range(dense3.shape[0]):
        dense3[i] = H21 * u[0, i] + H22 * u[1, i] + H23 * u[2, i] + H24 * u[3, i] + H25 * u[4, i]
        dense4[i] = H31 * u[0, i] + H32 * u[1, i] + H33 * u[2, i] + H34 * u[3, i] + H35 * u[4, i]


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS)
def between(y, new, dense3, dense4, s, point):  # type: ignore[no-untyped-def]
    """State at the part s of a step."""
    for i in range(y.shape[0]):
        point[i] = y[i] * (1.0 - s) + s * (new[i] + (1.0 - s) * (dense3[i] + s * dense4[i]))
