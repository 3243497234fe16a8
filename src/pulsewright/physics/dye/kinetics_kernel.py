"""Compiled heart of the gain: dye populations and photons in one laser field, stiff, arrow-shaped.

Stepped by the Rosenbrock method of `numerics.rosenbrock`. Photon bins couple to each other only through the dye, and
the dye sees them only through a few sums, so a step costs O(bins + zones) and one small dense system. No array views in
the loops: each would count a reference, which costs more than the arithmetic (docs/decisions/integrators.md).

All densities are fractions of the dye density. State: photons per bin, S1 per zone, T1 per zone. The bins of the
resonator come first; behind them may stand bins of a parasitic path, which see the same dye with a decay of their own.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from pulsewright.numerics import LARGEST, SUMS
from pulsewright.numerics.rosenbrock import (
    GAMMA,
    STAGE_INTEGRAL,
    STAGE_SLOPE,
    STAGE_TIME,
    STAGE_WEIGHT,
    part_weights,
    point_weights,
    stage_coupling,
    stage_point,
)
from pulsewright.numerics.tables import locate
from pulsewright.physics.dye.amplified_kernel import amplified_decay
from pulsewright.physics.dye.kinetics_rows_kernel import (
    ABSORPTION,
    DECAY,
    EMISSION,
    ENTERING,
    ENTERS,
    ESCAPING,
    EXCITED,
    FEED,
    FILLING,
    GAIN_S1,
    GAIN_T1,
    GROUND,
    GROUND_IN,
    INVERSE,
    LASING,
    LEAVING,
    LOSS,
    OUT_S1,
    OUT_T1,
    OUTPUT,
    PAIR,
    PAIR_IN,
    PLANE,
    RATE_S1,
    RATE_TRIPLET,
    RATE_TRIPLET_FORMATION,
    SEED,
    SOURCE,
    TRIPLET,
)
from pulsewright.physics.dye.photon_budget_kernel import (
    CHANNELS,
    COMING,
    GLOWING,
    START,
    channel_sums,
    fill_budget,
    meetings,
    weighted,
)

# A step is refused when a bin would grow by more than 1 - this part of 1 / (h gamma).
SHARPEST_GROWTH = 0.3
# Longest step in intervals of the pump's table, so that no feature of the pump is stepped over.
LONGEST_STEP = 5.0


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True)
def pump_at(pump, t, first, step, rate, slope):  # type: ignore[no-untyped-def]
    """Pump rate and its slope per zone from a uniform table (time, zone); zero outside."""
    count = pump.shape[0]
    if t < first or t > first + step * (count - 1 + 1e-9):
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


@njit(cache=True, nogil=True, error_model="numpy")
def field_table(spectral, zone):  # type: ignore[no-untyped-def]
    """What the loops over bins read, made once for a field: rows `PAIR` to `ENTERING`.

    The field sees the zones only through three sums, so that the work of a step grows with bins plus zones, not with
    their product.
    """
    bins = spectral.shape[1]
    filled = 0.0
    for z in range(zone.shape[1]):
        filled += zone[0, z] * zone[1, z]
    table = np.empty((9, bins))
    for k in range(bins):
        emission, absorption, filling = spectral[EMISSION, k], spectral[ABSORPTION, k], spectral[FILLING, k]
        table[PAIR, k] = emission + absorption
        table[GROUND, k] = absorption
        table[GAIN_S1, k] = filling * (emission + absorption - spectral[EXCITED, k])
        table[GAIN_T1, k] = filling * (absorption - spectral[TRIPLET, k])
        table[FEED, k] = filling * spectral[SEED, k]
        table[LOSS, k] = spectral[DECAY, k] + filling * filled * absorption
        table[LEAVING, k] = spectral[DECAY, k] * spectral[OUTPUT, k] / filling
        table[ESCAPING, k] = spectral[DECAY, k] / filling
        table[ENTERING, k] = filling * spectral[SOURCE, k]
    return table


@njit(cache=True, nogil=True, forceinline=True, fastmath=SUMS)
def _seen(y, first, zone):  # type: ignore[no-untyped-def]
    """S1 and T1 as the field sees them, and S1 by volume. S1 of the zones is `y[first:]`, T1 follows."""
    zones = zone.shape[1]
    bright, dark, glowing = 0.0, 0.0, 0.0
    for z in range(zones):
        weight = zone[0, z] * zone[1, z]
        bright += weight * y[first + z]
        dark += weight * y[first + zones + z]
        glowing += zone[1, z] * y[first + z]
    return bright, dark, glowing


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS)
def derivative(y, rate, table, rates, zone, ase, ase_step, out):  # type: ignore[no-untyped-def]
    """Right-hand side. `ase` (planes, S1, T1): decay of S1 by amplified spontaneous emission; no plane, none.

    Returns what the pump makes and what that decay takes, per dye molecule and second.
    """
    zones = zone.shape[1]
    bins = table.shape[1]
    bright, dark, glowing = _seen(y, bins, zone)
    pairs, ground = 0.0, 0.0
    for k in range(bins):
        pairs += table[PAIR, k] * y[k]
        ground += table[GROUND, k] * y[k]
    for k in range(bins):
        growth = table[GAIN_S1, k] * bright + table[GAIN_T1, k] * dark - table[LOSS, k]
        out[k] = growth * y[k] + table[FEED, k] * glowing
    if rates[ENTERS] > 0.0:
        for k in range(bins):
            out[k] += table[ENTERING, k]
    pumped, amplified = 0.0, 0.0
    for z in range(zones):
        s1, t1 = y[bins + z], y[bins + zones + z]
        net = zone[0, z] * (pairs * s1 - ground * (1.0 - t1))
        made = rate[z] * (1.0 - s1 - t1)
        out[bins + z] = made - rates[RATE_S1] * s1 - net
        out[bins + zones + z] = rates[RATE_TRIPLET_FORMATION] * s1 - rates[RATE_TRIPLET] * t1
        pumped += zone[1, z] * made
        if ase.shape[0] > 0:
            lost = amplified_decay(ase, int(zone[PLANE, z]), ase_step[0], ase_step[1], s1, t1)[0]
            out[bins + z] -= lost
            amplified += zone[1, z] * lost
    return pumped, amplified


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS)
def factorise(y, rate, inverse, table, rates, zone, ase, ase_step, work, border, fade):  # type: ignore[no-untyped-def]
    """Eliminate the photons from (1/(h gamma) - J) and factorise the small border system in place.

    Fills `work` (5, bins) and `border` (2 zones, 2 zones) for `solve`, and `fade` (2, zones) with the slopes of the
    decay by amplified spontaneous emission against S1 and T1. Returns the number of bins for whose growth the
    step is too long, where the implicit formula would turn growth into decay: nothing is usable unless that is none.
    """
    zones = zone.shape[1]
    bins = table.shape[1]
    bright, dark, _ = _seen(y, bins, zone)
    limit = SHARPEST_GROWTH * inverse
    sharp = 0
    for k in range(bins):
        pivot = inverse + table[LOSS, k] - table[GAIN_S1, k] * bright - table[GAIN_T1, k] * dark
        sharp += 1 if pivot < limit else 0
        work[INVERSE, k] = 1.0 / pivot
    pairs, ground = 0.0, 0.0
    pair_s1, pair_t1, pair_feed, ground_s1, ground_t1, ground_feed = 0.0, 0.0, 0.0, 0.0, 0.0, 0.0
    for k in range(bins):
        photon, inner, feed = y[k], work[INVERSE, k], table[FEED, k]
        pair, empty = table[PAIR, k], table[GROUND, k]
        out_s1, out_t1 = table[GAIN_S1, k] * photon, table[GAIN_T1, k] * photon
        pairs += pair * photon
        ground += empty * photon
        pair_s1 += pair * inner * out_s1
        pair_t1 += pair * inner * out_t1
        pair_feed += pair * inner * feed
        ground_s1 += empty * inner * out_s1
        ground_t1 += empty * inner * out_t1
        ground_feed += empty * inner * feed
    for k in range(bins):
        work[PAIR_IN, k] = table[PAIR, k] * work[INVERSE, k]
        work[GROUND_IN, k] = table[GROUND, k] * work[INVERSE, k]
    for k in range(bins):
        work[OUT_S1, k] = table[GAIN_S1, k] * y[k]
        work[OUT_T1, k] = table[GAIN_T1, k] * y[k]
    for z in range(zones):
        s1, left = y[bins + z], 1.0 - y[bins + zones + z]
        to_s1 = zone[0, z] * (pair_s1 * s1 - ground_s1 * left)
        to_t1 = zone[0, z] * (pair_t1 * s1 - ground_t1 * left)
        to_feed = zone[0, z] * (pair_feed * s1 - ground_feed * left)
        for c in range(zones):
            weight = zone[0, c] * zone[1, c]
            border[z, c] = weight * to_s1 + zone[1, c] * to_feed
            border[z, zones + c] = weight * to_t1
            border[zones + z, c] = 0.0
            border[zones + z, zones + c] = 0.0
        border[z, z] += inverse + rate[z] + rates[RATE_S1] + zone[0, z] * pairs
        border[z, zones + z] += rate[z] + zone[0, z] * ground
        border[zones + z, z] = -rates[RATE_TRIPLET_FORMATION]
        border[zones + z, zones + z] = inverse + rates[RATE_TRIPLET]
        if ase.shape[0] > 0:
            slopes = amplified_decay(ase, int(zone[PLANE, z]), ase_step[0], ase_step[1], s1, 1.0 - left)
            fade[0, z], fade[1, z] = slopes[1], slopes[2]
            border[z, z] += slopes[1]
            border[z, zones + z] += slopes[2]
    _eliminate(border)
    return sharp


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS)
def _eliminate(matrix):  # type: ignore[no-untyped-def]
    """LU without pivoting: the border is diagonally dominant for any useful step."""
    n = matrix.shape[0]
    for i in range(n):
        for j in range(i + 1, n):
            factor = matrix[j, i] / matrix[i, i]
            matrix[j, i] = factor
            for c in range(i + 1, n):
                matrix[j, c] -= factor * matrix[i, c]


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS)
def solve(right, y, table, zone, work, border, x, row):  # type: ignore[no-untyped-def]
    """Solve the factorised arrow system; result in `x[row]`."""
    zones = zone.shape[1]
    bins = table.shape[1]
    pairs, ground = 0.0, 0.0
    for k in range(bins):
        pairs += work[PAIR_IN, k] * right[k]
        ground += work[GROUND_IN, k] * right[k]
    for z in range(zones):
        x[row, bins + z] = right[bins + z] - zone[0, z] * (pairs * y[bins + z] - ground * (1.0 - y[bins + zones + z]))
        x[row, bins + zones + z] = right[bins + zones + z]
    for i in range(2 * zones):
        for j in range(i):
            x[row, bins + i] -= border[i, j] * x[row, bins + j]
    for i in range(2 * zones - 1, -1, -1):
        for j in range(i + 1, 2 * zones):
            x[row, bins + i] -= border[i, j] * x[row, bins + j]
        x[row, bins + i] /= border[i, i]
    bright, dark, glowing = 0.0, 0.0, 0.0
    for z in range(zones):
        weight = zone[0, z] * zone[1, z]
        bright += weight * x[row, bins + z]
        dark += weight * x[row, bins + zones + z]
        glowing += zone[1, z] * x[row, bins + z]
    for k in range(bins):
        fed = right[k] + work[OUT_S1, k] * bright + work[OUT_T1, k] * dark + table[FEED, k] * glowing
        x[row, k] = work[INVERSE, k] * fed


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=LARGEST)
def net_gain(y, first, table, zone, low, high, round_trip):  # type: ignore[no-untyped-def]
    """Largest net logarithmic gain of a round trip from bin `low` to `high`; S1 of the zones is `y[first:]`."""
    bright, dark, _ = _seen(y, first, zone)
    best = -1e300
    for k in range(low, high):
        best = max(best, table[GAIN_S1, k] * bright + table[GAIN_T1, k] * dark - table[LOSS, k])
    return best * round_trip


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS)
def _error(y, point, u, bins, settings, new):  # type: ignore[no-untyped-def]
    """Fill the new state and return the error of the step over its tolerance."""
    n = y.shape[0]
    for i in range(n):
        new[i] = point[i] + u[5, i]
    total = 0.0
    for k in range(bins):
        total += (u[5, k] / (settings[2] + settings[0] * max(abs(y[k]), abs(new[k])))) ** 2
    for i in range(bins, n):
        total += (u[5, i] / (settings[1] + settings[0] * max(abs(y[i]), abs(new[i])))) ** 2
    return math.sqrt(total / n)


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS)
def _stages(  # type: ignore[no-untyped-def]
    t, h, pump, axis, y, rate, slope, table, rates, zone, ase, ase_step, work, border, fade, u, late, unused, point,
    right,
):  # fmt: skip
    """The six stages of a trial step, on a factorised system.

    Returns what the pump makes and what amplified spontaneous emission takes in a unit step, as states of the method.
    """
    zones = zone.shape[1]
    bins = table.shape[1]
    pumped, amplified, rising = 0.0, 0.0, 0.0
    for z in range(zones):
        rising += zone[1, z] * slope[z] * (1.0 - y[bins + z] - y[bins + zones + z])
    for stage in range(6):
        stage_point(stage, y, u, point)
        pump_at(pump, t + STAGE_TIME[stage] * h, axis[0], axis[1], late, unused)
        made, lost = derivative(point, late, table, rates, zone, ase, ase_step, right)
        stage_coupling(stage, u, 1.0 / h, right)
        for z in range(zones):
            right[bins + z] += STAGE_SLOPE[stage] * h * slope[z] * (1.0 - y[bins + z] - y[bins + zones + z])
        solve(right, y, table, zone, work, border, u, stage)
        made += STAGE_SLOPE[stage] * h * rising
        for z in range(zones):
            s1, t1 = u[stage, bins + z], u[stage, bins + zones + z]
            made -= zone[1, z] * rate[z] * (s1 + t1)
            lost += zone[1, z] * (fade[0, z] * s1 + fade[1, z] * t1)
        pumped += STAGE_WEIGHT[stage] * made
        amplified += STAGE_WEIGHT[stage] * lost
    return pumped, amplified


@njit(cache=True, nogil=True, error_model="numpy", fastmath=SUMS)
def integrate(pump, pump_axis, spectral, rates, zone, ase, ase_step, round_trip, settings, grid, coarse, most_steps):  # type: ignore[no-untyped-def]  # noqa: C901, PLR0912, PLR0915  one loop: split further, its scratch arrays would be handed about
    """March one field through the pump pulse.

    `pump` (time, zone) [1/s] on the uniform axis `pump_axis` (first, step); `settings`: rtol, atol of populations,
    atol of photons, first step; `grid` uniform times at which populations, photons leaving as output and gain are
    wanted; `coarse` times between which photons of every bin are wanted; `round_trip`: of resonator, parasitic path.

    Returns samples (grid, 2 zones + 2: S1, T1, output rate per molecule, net gain), time integral of the photons per
    bin up to each of `coarse` and to the end, photon budget, final state, peak net gain of resonator and parasitic
    path, counters (accepted, rejected, right-hand sides, factorisations), outcome (0 done, 1 step limit, 2 not a
    number). The output rate of a sample is the mean up to half way to its neighbours, so that spikes between samples
    are counted and trapezia over the samples give the output.
    """
    zones = zone.shape[1]
    bins = spectral.shape[1]
    n = 2 * zones + bins
    base = 2 * zones
    t, h, end = grid[0], settings[3], grid[-1]
    y = np.zeros(n)
    new, point, right = np.empty(n), np.empty(n), np.empty(n)
    u, sums, weights = np.zeros((7, n)), np.zeros((7, 8)), np.empty(6)
    rate, slope, late, unused = np.empty(zones), np.empty(zones), np.empty(zones), np.empty(zones)
    table, lasing = field_table(spectral, zone), int(rates[LASING])
    work, border, fade = np.empty((5, bins)), np.empty((base, base)), np.zeros((2, zones))
    count = grid.shape[0]
    samples = np.zeros((count, base + 2))
    left, passed, edge = np.zeros(count + 1), 0.0, 1
    integral, reached, mark = np.zeros(bins), np.zeros((coarse.shape[0] + 1, bins)), 0
    budget, made, unit, glowed, filled = np.zeros(CHANNELS), np.zeros(6), np.zeros(6), 0.0, 0.0
    for z in range(zones):
        filled += zone[0, z] * zone[1, z]
    pump_at(pump, t, pump_axis[0], pump_axis[1], rate, slope)
    peak = net_gain(y, bins, table, zone, 0, lasing, round_trip[0])
    astray = net_gain(y, bins, table, zone, lasing, bins, round_trip[1])
    samples[0, base + 1] = peak
    accepted, rejected, calls, factored, outcome, wanted, previous = 0, 0, 0, 0, 0, 1, 1.0
    while t < end * (1 - 1e-14) and outcome == 0 and accepted + rejected < most_steps:
        h = min(h, LONGEST_STEP * pump_axis[1], end - t)
        factored += 1
        error = -1.0
        if factorise(y, rate, 1.0 / (h * GAMMA), table, rates, zone, ase, ase_step, work, border, fade) == 0:
            calls += 6
            unit[4], unit[5] = _stages(
                t, h, pump, pump_axis, y, rate, slope, table, rates, zone, ase, ase_step, work, border, fade, u,
                late, unused, point, right,
            )  # fmt: skip
            error = _error(y, point, u, bins, settings, new)
        if error < 0.0:
            h *= 0.5
            rejected += 1
        elif not math.isfinite(error):
            rejected += 1
            h *= 0.1
            if h < 1e-18:
                outcome = 2
        elif error > 1.0:
            rejected += 1
            h *= max(0.2, 0.9 * error**-0.25)
        else:
            for i in range(n):
                u[START, i] = y[i]
            channel_sums(u, spectral, table, zone, sums)
            unit[0], unit[1], unit[2], unit[3] = 0.0, 0.0, 0.0, 0.0
            meetings(sums, filled, unit)
            for c in range(6):
                made[c] += h * unit[c]
            glowed += h * (sums[START, GLOWING] + weighted(sums, GLOWING, STAGE_INTEGRAL))
            while mark < coarse.shape[0] and coarse[mark] <= t + h:
                part = max((coarse[mark] - t) / h, 0.0)
                part_weights(part, weights)
                for k in range(bins):
                    reached[mark, k] = integral[k] + h * part * y[k]
                for j in range(6):
                    for k in range(bins):
                        reached[mark, k] += h * weights[j] * u[j, k]
                mark += 1
            for k in range(bins):
                integral[k] += h * (
                    y[k]
                    + STAGE_INTEGRAL[0] * u[0, k]
                    + STAGE_INTEGRAL[1] * u[1, k]
                    + STAGE_INTEGRAL[2] * u[2, k]
                    + STAGE_INTEGRAL[3] * u[3, k]
                    + STAGE_INTEGRAL[4] * u[4, k]
                    + STAGE_INTEGRAL[5] * u[5, k]
                )
            pump_at(pump, t + h, pump_axis[0], pump_axis[1], rate, slope)
            while wanted < count and grid[wanted] <= t + h * (1 + 1e-12):
                point_weights((grid[wanted] - t) / h, weights)
                for i in range(base):
                    samples[wanted, i] = y[bins + i]
                    for j in range(6):
                        samples[wanted, i] += weights[j] * u[j, bins + i]
                samples[wanted, base + 1] = net_gain(samples[wanted], 0, table, zone, 0, lasing, round_trip[0])
                wanted += 1
            while edge < count and 0.5 * (grid[edge - 1] + grid[edge]) <= t + h:
                part = (0.5 * (grid[edge - 1] + grid[edge]) - t) / h
                part_weights(part, weights)
                left[edge] = passed + h * (part * sums[START, COMING] + weighted(sums, COMING, weights))
                edge += 1
            passed += h * (sums[START, COMING] + weighted(sums, COMING, STAGE_INTEGRAL))
            t += h
            accepted += 1
            for i in range(n):
                y[i] = new[i]
            peak = max(peak, net_gain(y, bins, table, zone, 0, lasing, round_trip[0]))
            astray = max(astray, net_gain(y, bins, table, zone, lasing, bins, round_trip[1]))
            factor = 0.9 * max(error, 1e-8) ** -0.175 * previous**0.1
            previous = max(error, 1e-4)
            h *= min(5.0, max(0.2, factor))
    if t < end * (1 - 1e-14) and outcome == 0:
        outcome = 1
    left[edge:] = passed
    for i in range(mark, coarse.shape[0] + 1):
        for k in range(bins):
            reached[i, k] = integral[k]
    fill_budget(made, glowed, t - grid[0], integral, table, rates, budget)
    step = grid[1] - grid[0]
    for i in range(count):
        samples[i, base] = (left[i + 1] - left[i]) / (step if 0 < i < count - 1 else 0.5 * step)
    counters = np.array([accepted, rejected, calls, factored])
    return samples, reached, budget, y, np.array([peak, astray]), counters, outcome


@njit(cache=True, nogil=True, error_model="numpy")
def integrate_fields(pumps, pump_axis, spectral, rates, zone, ase, ase_step, round_trip, settings, grid, coarse, most):  # type: ignore[no-untyped-def]
    """March every field, `pumps` (field, time, zone), one after the other; what `integrate` gives, stacked."""
    fields, levels, bins = pumps.shape[0], 2 * zone.shape[1], spectral.shape[1]
    samples = np.empty((fields, grid.shape[0], levels + 2))
    reached = np.empty((fields, coarse.shape[0] + 1, bins))
    budget, state = np.empty((fields, CHANNELS)), np.empty((fields, bins + levels))
    peaks, counters, outcomes = np.empty((fields, 2)), np.empty((fields, 4), np.int64), np.empty(fields, np.int64)
    for f in range(fields):
        one = integrate(
            pumps[f], pump_axis, spectral, rates, zone, ase, ase_step, round_trip, settings, grid, coarse, most
        )
        samples[f], reached[f], budget[f], state[f], peaks[f], counters[f], outcomes[f] = one
    return samples, reached, budget, state, peaks, counters, outcomes
