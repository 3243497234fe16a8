"""One step of the Rosenbrock method RODAS in compiled code: coefficients, stages, dense output. Knows no equations.

Order 4 with an embedded order 3, stiffly accurate and L-stable: Hairer and Wanner, Solving Ordinary Differential
Equations II (1996), section IV.10 (coefficients from memory; the orders are tested). A stage j solves
(1 / (h GAMMA) - J) u[j] = f(t + STAGE_TIME[j] h, point) + coupling + STAGE_SLOPE[j] h df/dt.
"""

from __future__ import annotations

import numpy as np
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
# Row j: what the stages before count in the place at which the right-hand side of stage j is taken.
STAGE_PLACE = np.array(
    [
        [0.0, 0.0, 0.0, 0.0, 0.0, 0.0],
        [A21, 0.0, 0.0, 0.0, 0.0, 0.0],
        [A31, A32, 0.0, 0.0, 0.0, 0.0],
        [A41, A42, A43, 0.0, 0.0, 0.0],
        [A51, A52, A53, A54, 0.0, 0.0],
        [A51, A52, A53, A54, 1.0, 0.0],
    ]
)
# The new state is the old one plus the stages times these.
STEP_END = np.array([A51, A52, A53, A54, 1.0, 1.0])
DENSE3 = np.array([10.12623508344586, -7.487995877610167, -34.80091861555747, -7.992771707568823, 1.025137723295662, 0])
DENSE4 = np.array([-0.6762803392801253, 6.087714651680015, 16.43084320892478, 24.76722511418386, -6.594389125716872, 0])
_COUPLING = np.zeros((6, 6))
_COUPLING[np.tril_indices(6, -1)] = C21, C31, C32, C41, C42, C43, C51, C52, C53, C54, C61, C62, C63, C64, C65
# A quantity q' = g(y, t) that nothing depends on is a state of the same method without a stage of its own: over a step
# it grows by h times the sum over stages of STAGE_WEIGHT (g at the stage's place and time + dg/dy at the step's start
# times u + STAGE_SLOPE h dg/dt). Sums of states that the equations keep, the method then keeps to rounding.
STAGE_WEIGHT = GAMMA * np.linalg.solve((np.eye(6) - GAMMA * _COUPLING).T, STEP_END)
# The same for the integral of y itself: h (y + the stages times these).
STAGE_INTEGRAL = STAGE_WEIGHT @ (STAGE_PLACE + np.eye(6))
SPREAD = STAGE_INTEGRAL - (STEP_END / 2 + DENSE3 / 6 + DENSE4 / 12)


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


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True)
def point_weights(s, weights):  # type: ignore[no-untyped-def]
    """Dense output of order 3: the state at the part s of a step is y plus the stages times these."""
    for j in range(6):
        weights[j] = s * (STEP_END[j] + (1.0 - s) * (DENSE3[j] + s * DENSE4[j]))


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True)
def part_weights(s, weights):  # type: ignore[no-untyped-def]
    """Integral of y over the part s of a unit step: s y plus the stages times these.

    That of the dense output; what the whole step differs from the method's own quadrature is spread evenly over it.
    """
    half, cubed, fourthed = s * s / 2.0, s**3 / 3.0, s**4 / 4.0
    for j in range(6):
        dense = STEP_END[j] * half + DENSE3[j] * (half - cubed) + DENSE4[j] * (cubed - fourthed)
        weights[j] = dense + s * SPREAD[j]
