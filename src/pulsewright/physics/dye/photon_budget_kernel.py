"""Photon budget of the gain: every channel as a state of the stepper itself, so that the sums close to rounding.

A channel is an integral that nothing depends on. The Rosenbrock method gives it from the stages of the populations and
photons (`numerics.rosenbrock.STAGE_WEIGHT`), and it keeps the sums that the equations keep. Channels of light and dye
are a sum over bins times one over zones; the others are linear, or follow the pump.
"""

from __future__ import annotations

from numba import njit

from pulsewright.numerics import SUMS
from pulsewright.numerics.rosenbrock import STAGE_PLACE, STAGE_WEIGHT
from pulsewright.physics.dye.kinetics_rows_kernel import (
    ABSORPTION,
    EMISSION,
    ENTERS,
    ESCAPING,
    EXCITED,
    LASING,
    LEAVING,
    OVERLAP,
    RATE_CROSSING,
    RATE_OXYGEN,
    RATE_RADIATIVE,
    RATE_S1,
    SEEDS,
    SHARE,
    TRIPLET,
)

# columns of the photon budget
BUDGET = (
    "absorbed",
    "fluorescence",
    "internal conversion",
    "crossing to triplets",
    "oxygen quenching",
    "stimulated emission",
    "ground re-absorption",
    "excited-state absorption",
    "triplet absorption",
    "seed",
    "output",
    "cavity loss",
    "amplified spontaneous emission",
    "parasitic light",
    "injected light",
)
CHANNELS = len(BUDGET)
# columns of the sums that the channels are made of: light that S1, S0, S1, T1 take or give, light that leaves as
# output; S1 and T1 as the field sees them, S1 by volume
EMITTED, ABSORBED, EXCITING, DARKENED, COMING, BRIGHT, DARK, GLOWING = range(8)
# row of the stages and of the sums that holds the state at the start of the step
START = 6


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS)
def channel_sums(u, spectral, table, zone, sums):  # type: ignore[no-untyped-def]
    """Sums over bins and zones of every stage, and of the state in row `START`: of anything, they are those of it."""
    zones, bins = zone.shape[1], spectral.shape[1]
    for row in range(7):
        emitted, absorbed, exciting, darkened, coming = 0.0, 0.0, 0.0, 0.0, 0.0
        for k in range(bins):
            photon = u[row, k]
            emitted += spectral[EMISSION, k] * photon
            absorbed += spectral[ABSORPTION, k] * photon
            exciting += spectral[EXCITED, k] * photon
            darkened += spectral[TRIPLET, k] * photon
            coming += table[LEAVING, k] * photon
        bright, dark, glowing = 0.0, 0.0, 0.0
        for z in range(zones):
            weight = zone[OVERLAP, z] * zone[SHARE, z]
            bright += weight * u[row, bins + z]
            dark += weight * u[row, bins + zones + z]
            glowing += zone[SHARE, z] * u[row, bins + z]
        sums[row, EMITTED], sums[row, ABSORBED], sums[row, EXCITING] = emitted, absorbed, exciting
        sums[row, DARKENED], sums[row, COMING] = darkened, coming
        sums[row, BRIGHT], sums[row, DARK], sums[row, GLOWING] = bright, dark, glowing


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True)
def meetings(sums, filled, made):  # type: ignore[no-untyped-def]
    """What light and dye did in a unit step, as states of the method: added to `made` (4).

    Stimulated emission, absorption by S0, by S1, by T1: each a sum over bins times one over zones.
    """
    light = sums[START, EMITTED], sums[START, ABSORBED], sums[START, EXCITING], sums[START, DARKENED]
    bright, dark = sums[START, BRIGHT], sums[START, DARK]
    empty = filled - bright - dark
    for stage in range(6):
        emitted, absorbed, exciting, darkened = light
        seen, unseen = bright, dark
        for j in range(stage):
            part = STAGE_PLACE[stage, j]
            emitted += part * sums[j, EMITTED]
            absorbed += part * sums[j, ABSORBED]
            exciting += part * sums[j, EXCITING]
            darkened += part * sums[j, DARKENED]
            seen += part * sums[j, BRIGHT]
            unseen += part * sums[j, DARK]
        s1, t1, weight = sums[stage, BRIGHT], sums[stage, DARK], STAGE_WEIGHT[stage]
        made[0] += weight * (emitted * seen + light[0] * s1 + sums[stage, EMITTED] * bright)
        made[1] += weight * (absorbed * (filled - seen - unseen) - light[1] * (s1 + t1) + sums[stage, ABSORBED] * empty)
        made[2] += weight * (exciting * seen + light[2] * s1 + sums[stage, EXCITING] * bright)
        made[3] += weight * (darkened * unseen + light[3] * t1 + sums[stage, DARKENED] * dark)


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True)
def weighted(sums, column, weights):  # type: ignore[no-untyped-def]
    """Stages times weights of one column of the sums."""
    total = 0.0
    for j in range(6):
        total += weights[j] * sums[j, column]
    return total


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS)
def fill_budget(made, glowed, elapsed, integral, table, rates, budget):  # type: ignore[no-untyped-def]
    """Fill the photon budget: `made` by steps (meetings, pump, amplified emission), the rest from integrals."""
    lasing, output, astray, leaving = int(rates[LASING]), 0.0, 0.0, 0.0
    for k in range(table.shape[1]):
        output += table[LEAVING, k] * integral[k]
        leaving += table[ESCAPING, k] * integral[k]
    for k in range(lasing, table.shape[1]):
        astray += table[ESCAPING, k] * integral[k]
    budget[0] = made[4]
    budget[1] = rates[RATE_RADIATIVE] * glowed
    budget[2] = (rates[RATE_S1] - rates[RATE_RADIATIVE] - rates[RATE_CROSSING] - rates[RATE_OXYGEN]) * glowed
    budget[3] = rates[RATE_CROSSING] * glowed
    budget[4] = rates[RATE_OXYGEN] * glowed
    for c in range(4):
        budget[5 + c] = made[c]
    budget[9] = rates[SEEDS] * glowed
    budget[10] = output
    budget[11] = leaving - output - astray
    budget[12] = made[5]
    budget[13] = astray
    budget[14] = rates[ENTERS] * elapsed
