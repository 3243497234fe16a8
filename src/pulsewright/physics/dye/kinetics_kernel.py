"""Compiled heart of the gain: dye populations and photons in one laser field, stiff, arrow-shaped.

Rosenbrock method RODAS of order 4 with embedded order 3, stiffly accurate and L-stable: Hairer and Wanner,
Solving Ordinary Differential Equations II (1996), section IV.10 (coefficients from memory; the order is tested).
Photon bins couple to each other only through the dye, so a step costs O(bins) and one small dense system.

All densities are fractions of the dye density. State: S1 per zone, T1 per zone, photons per bin.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from pulsewright.numerics.tables import locate

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
# A step is refused when a bin would grow by more than 1 - this part of 1 / (h gamma).
SHARPEST_GROWTH = 0.3
# Longest step in intervals of the pump's table, so that no feature of the pump is stepped over.
LONGEST_STEP = 5.0
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

# rows of the spectral coefficient table, each [1/s] at full dye density unless said
EMISSION, ABSORPTION, EXCITED, TRIPLET, DECAY, SEED, OUTPUT = range(7)
# scalar rates [1/s]
RATE_S1, RATE_TRIPLET_FORMATION, RATE_TRIPLET, RATE_RADIATIVE, RATE_CROSSING, RATE_OXYGEN, FILLING = range(7)
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
)


@njit(cache=True, nogil=True)
def pump_at(pump, t, first, step, rate, slope):  # type: ignore[no-untyped-def]
    """Pump rate and its slope per zone from a uniform table (time, zone); zero outside."""
    count = pump.shape[0]
    if t < first or t > first + step * (count - 1):
        for z in range(pump.shape[1]):
            rate[z] = 0.0
            slope[z] = 0.0
        return
    i, u = locate(t, first, step, count)
    below = i - 1 if i > 0 else 0
    above = i + 2 if i + 2 < count else count - 1
    for z in range(pump.shape[1]):
        p0, p1, p2, p3 = pump[below, z], pump[i, z], pump[i + 1, z], pump[above, z]
        b = 0.5 * (p2 - p0)
        c = p0 - 2.5 * p1 + 2.0 * p2 - 0.5 * p3
        d = 0.5 * (p3 - p0) + 1.5 * (p1 - p2)
        value = p1 + u * (b + u * (c + u * d))
        rate[z] = max(value, 0.0)
        slope[z] = (b + u * (2.0 * c + 3.0 * u * d)) / step if value > 0.0 else 0.0


@njit(cache=True, nogil=True)
def derivative(y, rate, spectral, rates, zone, out):  # type: ignore[no-untyped-def]
    """Right-hand side. `zone` rows: overlap of the field with the zone, share of the dye volume."""
    zones = zone.shape[1]
    bins = spectral.shape[1]
    base = 2 * zones
    for k in range(bins):
        out[base + k] = -spectral[DECAY, k] * y[base + k]
    for z in range(zones):
        s1, t1 = y[z], y[zones + z]
        s0 = 1.0 - s1 - t1
        share = zone[0, z] * zone[1, z] * rates[FILLING]
        seed = zone[1, z] * rates[FILLING] * s1
        net = 0.0
        for k in range(bins):
            photon = y[base + k]
            stimulated = (spectral[EMISSION, k] * s1 - spectral[ABSORPTION, k] * s0) * photon
            net += stimulated
            lost = (spectral[EXCITED, k] * s1 + spectral[TRIPLET, k] * t1) * photon
            out[base + k] += share * (stimulated - lost) + seed * spectral[SEED, k]
        out[z] = rate[z] * s0 - rates[RATE_S1] * s1 - zone[0, z] * net
        out[zones + z] = rates[RATE_TRIPLET_FORMATION] * s1 - rates[RATE_TRIPLET] * t1


@njit(cache=True, nogil=True)
def factorise(y, rate, inverse, spectral, rates, zone, diagonal, down, across, border):  # type: ignore[no-untyped-def]
    """Eliminate the photons from (1/(h gamma) - J) and factorise the small border system in place.

    Returns false, with nothing usable, when the step is too long for the growth of some bin: the implicit formula
    would then turn growth into decay.
    """
    zones = zone.shape[1]
    bins = spectral.shape[1]
    base = 2 * zones
    border[:, :] = 0.0
    for k in range(bins):
        gain = 0.0
        for z in range(zones):
            s1, t1 = y[z], y[zones + z]
            gain += (zone[0, z] * zone[1, z]) * (
                (spectral[EMISSION, k] - spectral[EXCITED, k]) * s1
                - spectral[ABSORPTION, k] * (1.0 - s1 - t1)
                - spectral[TRIPLET, k] * t1
            )
        pivot = inverse + spectral[DECAY, k] - rates[FILLING] * gain
        if pivot < SHARPEST_GROWTH * inverse:
            return False
        diagonal[k] = 1.0 / pivot
    for z in range(zones):
        s1, t1 = y[z], y[zones + z]
        s0 = 1.0 - s1 - t1
        both, ground = 0.0, 0.0
        for k in range(bins):
            photon = y[base + k]
            both += (spectral[EMISSION, k] + spectral[ABSORPTION, k]) * photon
            ground += spectral[ABSORPTION, k] * photon
            across[z, k] = -zone[0, z] * (spectral[EMISSION, k] * s1 - spectral[ABSORPTION, k] * s0)
            share = zone[0, z] * zone[1, z] * rates[FILLING] * photon
            down[z, k] = (
                share * (spectral[EMISSION, k] - spectral[EXCITED, k] + spectral[ABSORPTION, k])
                + zone[1, z] * rates[FILLING] * spectral[SEED, k]
            )
            down[zones + z, k] = share * (spectral[ABSORPTION, k] - spectral[TRIPLET, k])
        border[z, z] += inverse + rate[z] + rates[RATE_S1] + zone[0, z] * both
        border[z, zones + z] += rate[z] + zone[0, z] * ground
        border[zones + z, z] -= rates[RATE_TRIPLET_FORMATION]
        border[zones + z, zones + z] += inverse + rates[RATE_TRIPLET]
    for z in range(zones):
        for c in range(base):
            total = 0.0
            for k in range(bins):
                total += across[z, k] * diagonal[k] * down[c, k]
            border[z, c] -= total
    _eliminate(border)
    return True


@njit(cache=True, nogil=True)
def _eliminate(matrix):  # type: ignore[no-untyped-def]
    """LU without pivoting: the border is diagonally dominant for any useful step."""
    n = matrix.shape[0]
    for i in range(n):
        for j in range(i + 1, n):
            factor = matrix[j, i] / matrix[i, i]
            matrix[j, i] = factor
            for c in range(i + 1, n):
                matrix[j, c] -= factor * matrix[i, c]


@njit(cache=True, nogil=True)
def solve(right, spectral, zone, diagonal, down, across, border, x):  # type: ignore[no-untyped-def]
    """Solve the factorised arrow system; result in x."""
    zones = zone.shape[1]
    bins = spectral.shape[1]
    base = 2 * zones
    for z in range(zones):
        total = 0.0
        for k in range(bins):
            total += across[z, k] * diagonal[k] * right[base + k]
        x[z] = right[z] + total
        x[zones + z] = right[zones + z]
    for i in range(base):
        for j in range(i):
            x[i] -= border[i, j] * x[j]
    for i in range(base - 1, -1, -1):
        for j in range(i + 1, base):
            x[i] -= border[i, j] * x[j]
        x[i] /= border[i, i]
    for k in range(bins):
        x[base + k] = right[base + k]
    for c in range(base):
        factor = x[c]
        for k in range(bins):
            x[base + k] += down[c, k] * factor
    for k in range(bins):
        x[base + k] *= diagonal[k]


@njit(cache=True, nogil=True)
def channel_rates(y, rate, spectral, rates, zone, out):  # type: ignore[no-untyped-def]
    """Photons per dye molecule and second in every channel of `BUDGET`."""
    zones = zone.shape[1]
    bins = spectral.shape[1]
    base = 2 * zones
    for c in range(12):
        out[c] = 0.0
    for z in range(zones):
        s1, t1 = y[z], y[zones + z]
        s0 = 1.0 - s1 - t1
        volume = zone[1, z]
        emitted, absorbed, excited, triplet, seed = 0.0, 0.0, 0.0, 0.0, 0.0
        for k in range(bins):
            photon = y[base + k]
            emitted += spectral[EMISSION, k] * photon
            absorbed += spectral[ABSORPTION, k] * photon
            excited += spectral[EXCITED, k] * photon
            triplet += spectral[TRIPLET, k] * photon
            seed += spectral[SEED, k]
        field = zone[0, z] * volume
        out[0] += volume * rate[z] * s0
        out[1] += volume * rates[RATE_RADIATIVE] * s1
        out[2] += volume * (rates[RATE_S1] - rates[RATE_RADIATIVE] - rates[RATE_CROSSING] - rates[RATE_OXYGEN]) * s1
        out[3] += volume * rates[RATE_CROSSING] * s1
        out[4] += volume * rates[RATE_OXYGEN] * s1
        out[5] += field * emitted * s1
        out[6] += field * absorbed * s0
        out[7] += field * excited * s1
        out[8] += field * triplet * t1
        out[9] += volume * seed * s1
    for k in range(bins):
        leaving = spectral[DECAY, k] * y[base + k] / rates[FILLING]
        out[10] += leaving * spectral[OUTPUT, k]
        out[11] += leaving * (1.0 - spectral[OUTPUT, k])


@njit(cache=True, nogil=True)
def net_gain(y, spectral, rates, zone, round_trip):  # type: ignore[no-untyped-def]
    """Largest net logarithmic gain of a round trip over the bins; zero is threshold."""
    zones = zone.shape[1]
    best = -1e300
    for k in range(spectral.shape[1]):
        gain = 0.0
        for z in range(zones):
            s1, t1 = y[z], y[zones + z]
            gain += (zone[0, z] * zone[1, z]) * (
                (spectral[EMISSION, k] - spectral[EXCITED, k]) * s1
                - spectral[ABSORPTION, k] * (1.0 - s1 - t1)
                - spectral[TRIPLET, k] * t1
            )
        best = max(best, (gain * rates[FILLING] - spectral[DECAY, k]) * round_trip)
    return best


@njit(cache=True, nogil=True)
def _stage_point(stage, y, u, point):  # type: ignore[no-untyped-def]
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
            point[i] = point[i] + u[4, i]


@njit(cache=True, nogil=True)
def _stage_coupling(stage, u, h, right):  # type: ignore[no-untyped-def]
    """What earlier stages add to the right side of a stage."""
    n = right.shape[0]
    if stage == 1:
        for i in range(n):
            right[i] += C21 * u[0, i] / h
    elif stage == 2:
        for i in range(n):
            right[i] += (C31 * u[0, i] + C32 * u[1, i]) / h
    elif stage == 3:
        for i in range(n):
            right[i] += (C41 * u[0, i] + C42 * u[1, i] + C43 * u[2, i]) / h
    elif stage == 4:
        for i in range(n):
            right[i] += (C51 * u[0, i] + C52 * u[1, i] + C53 * u[2, i] + C54 * u[3, i]) / h
    elif stage == 5:
        for i in range(n):
            right[i] += (C61 * u[0, i] + C62 * u[1, i] + C63 * u[2, i] + C64 * u[3, i] + C65 * u[4, i]) / h


@njit(cache=True, nogil=True)
def _error(y, point, last, base, settings, new):  # type: ignore[no-untyped-def]
    """Fill the new state and return the error of the step over its tolerance."""
    total = 0.0
    n = y.shape[0]
    for i in range(n):
        new[i] = point[i] + last[i]
        floor = settings[2] if i >= base else settings[1]
        total += (last[i] / (floor + settings[0] * max(abs(y[i]), abs(new[i])))) ** 2
    return math.sqrt(total / n)


@njit(cache=True, nogil=True)
def _dense(u, dense3, dense4):  # type: ignore[no-untyped-def]
    """Dense output of order 3: y(t + s h) = y (1-s) + s (new + (1-s)(dense3 + s dense4))."""
    for i in range(dense3.shape[0]):
        dense3[i] = H21 * u[0, i] + H22 * u[1, i] + H23 * u[2, i] + H24 * u[3, i] + H25 * u[4, i]
        dense4[i] = H31 * u[0, i] + H32 * u[1, i] + H33 * u[2, i] + H34 * u[3, i] + H35 * u[4, i]


@njit(cache=True, nogil=True)
def _between(y, new, dense3, dense4, s, point):  # type: ignore[no-untyped-def]
    """State at the part s of a step."""
    for i in range(y.shape[0]):
        point[i] = y[i] * (1.0 - s) + s * (new[i] + (1.0 - s) * (dense3[i] + s * dense4[i]))


@njit(cache=True, nogil=True)
def _output(point, spectral, rates, base):  # type: ignore[no-untyped-def]
    """Photons per dye molecule and second that leave through the coupler."""
    leaving = 0.0
    for k in range(spectral.shape[1]):
        leaving += spectral[DECAY, k] * spectral[OUTPUT, k] * point[base + k]
    return leaving / rates[FILLING]


@njit(cache=True, nogil=True)
def integrate(pump, pump_axis, spectral, rates, zone, round_trip, settings, grid, most_steps):  # type: ignore[no-untyped-def]  # noqa: C901, PLR0915  one loop: split further, its scratch arrays would be handed about
    """March one field through the pump pulse.

    `pump` (time, zone) [1/s] on the uniform axis `pump_axis` (first, step); `settings`: rtol, atol of populations,
    atol of photons, first step; `grid` times at which populations, photons leaving as output and gain are wanted.

    Returns samples (grid, 2 zones + 2: S1, T1, output rate per molecule, net gain), time integral of the photons per
    bin, photon budget, final state, peak net gain, counters (accepted, rejected, right-hand sides, factorisations),
    outcome (0 done, 1 step limit, 2 not a number).
    """
    zones = zone.shape[1]
    bins = spectral.shape[1]
    n = 2 * zones + bins
    base = 2 * zones
    t, h, end = grid[0], settings[3], grid[-1]
    y = np.zeros(n)
    new, point, right = np.empty(n), np.empty(n), np.empty(n)
    dense3, dense4 = np.empty(n), np.empty(n)
    u = np.zeros((6, n))
    rate, slope, late, unused = np.empty(zones), np.empty(zones), np.empty(zones), np.empty(zones)
    diagonal = np.empty(bins)
    down, across = np.empty((base, bins)), np.empty((zones, bins))
    border = np.empty((base, base))
    samples = np.zeros((grid.shape[0], base + 2))
    integral = np.zeros(bins)
    budget = np.zeros(12)
    channels = np.empty((3, 12))
    pump_at(pump, t, pump_axis[0], pump_axis[1], rate, slope)
    channel_rates(y, rate, spectral, rates, zone, channels[0])
    peak = net_gain(y, spectral, rates, zone, round_trip)
    samples[0, base + 1] = peak
    accepted, rejected, calls, factored, outcome, wanted, previous = 0, 0, 0, 0, 0, 1, 1.0
    while t < end * (1 - 1e-14):
        if accepted + rejected >= most_steps:
            outcome = 1
            break
        h = min(h, LONGEST_STEP * pump_axis[1], end - t)
        pump_at(pump, t, pump_axis[0], pump_axis[1], rate, slope)
        factored += 1
        if not factorise(y, rate, 1.0 / (h * GAMMA), spectral, rates, zone, diagonal, down, across, border):
            h *= 0.5
            rejected += 1
            continue
        for stage in range(6):
            _stage_point(stage, y, u, point)
            pump_at(pump, t + STAGE_TIME[stage] * h, pump_axis[0], pump_axis[1], late, unused)
            derivative(point, late, spectral, rates, zone, right)
            calls += 1
            _stage_coupling(stage, u, h, right)
            for z in range(zones):
                right[z] += STAGE_SLOPE[stage] * h * slope[z] * (1.0 - y[z] - y[zones + z])
            solve(right, spectral, zone, diagonal, down, across, border, u[stage])
        error = _error(y, point, u[5], base, settings, new)
        if not math.isfinite(error):
            rejected += 1
            h *= 0.1
            if h < 1e-18:
                outcome = 2
                break
            continue
        if error > 1.0:
            rejected += 1
            h *= max(0.2, 0.9 * error**-0.25)
            continue
        _dense(u, dense3, dense4)
        for k in range(bins):
            i = base + k
            integral[k] += h * (0.5 * (y[i] + new[i]) + dense3[i] / 6.0 + dense4[i] / 12.0)
        _between(y, new, dense3, dense4, 0.5, point)
        pump_at(pump, t + 0.5 * h, pump_axis[0], pump_axis[1], late, unused)
        channel_rates(point, late, spectral, rates, zone, channels[1])
        pump_at(pump, t + h, pump_axis[0], pump_axis[1], late, unused)
        channel_rates(new, late, spectral, rates, zone, channels[2])
        for c in range(12):
            budget[c] += h / 6.0 * (channels[0, c] + 4.0 * channels[1, c] + channels[2, c])
            channels[0, c] = channels[2, c]
        while wanted < grid.shape[0] and grid[wanted] <= t + h * (1 + 1e-12):
            _between(y, new, dense3, dense4, (grid[wanted] - t) / h, point)
            for i in range(base):
                samples[wanted, i] = point[i]
            samples[wanted, base] = _output(point, spectral, rates, base)
            samples[wanted, base + 1] = net_gain(point, spectral, rates, zone, round_trip)
            wanted += 1
        t += h
        accepted += 1
        for i in range(n):
            y[i] = new[i]
        peak = max(peak, net_gain(y, spectral, rates, zone, round_trip))
        factor = 0.9 * max(error, 1e-8) ** -0.175 * previous**0.1
        previous = max(error, 1e-4)
        h *= min(5.0, max(0.2, factor))
    counters = np.array([accepted, rejected, calls, factored])
    return samples, integral, budget, y, peak, counters, outcome
