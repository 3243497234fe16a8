"""Compiled heart of the discharge: one loop, one bank, groups of like lamps.

Right-hand side of PHYSICS.md 3 and an explicit Dormand-Prince 5(4) pair with step control and with
the instant at which an arc fills its bore located on the step. Wrapped by `discharge.py`, which names the columns.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from pulsewright.numerics.tables import lookup, lookup_2d

# Braginskii (1958), free spark in air, from memory: a[mm] = 0.93 (rho/1.29)^(-1/6) I[kA]^(1/3) t[us]^(1/2).
GROWTH_SCALE = (0.93e-3) ** 2 * 1e6 / 1e3 ** (2.0 / 3.0)
REFERENCE_DENSITY = 1.29
# Current below which the constant drops fade to zero, so that the equations stay smooth.
SIGN_CURRENT = 1.0
# The light is followed until its power falls below this part of the highest.
AFTERGLOW = 0.01
# A current below this part of its peak goes out when the bank no longer exceeds the constant drops.
EXTINCTION = 0.01
# Energies counted after one per group for its arc columns: loop resistance, switch, electrodes; light of all columns.
LOSSES = 4


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True)
def _arc(state, group, tables, log_energy, log_radius):  # type: ignore[no-untyped-def]
    """Area, resistivity and radiated power per length of one arc."""
    area = math.pi * state[3 + 2 * group]
    x = math.log(max(state[2 + 2 * group] / area, 1e-30))
    radius = math.sqrt(state[3 + 2 * group])
    first, step = log_energy[group, 0], log_energy[group, 1]
    resistivity = math.exp(lookup(tables[0], group, x, first, step))
    exitance = math.exp(lookup_2d(tables[1], group, x, first, step, math.log(radius), log_radius[0], log_radius[1]))
    return area, resistivity, 2.0 * math.pi * radius * exitance


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True)
def derivative(state, circuit, lamps, full, tables, log_energy, log_radius, out):  # type: ignore[no-untyped-def]
    """Right-hand side. `circuit`: C, L, R_loop, R_switch, V_switch, parallel, square_law, gone out.

    `lamps` rows: count, length, bore radius, mass density, growth factor, electrode drop, K0.
    State: bank voltage, current, (energy per length, radius squared) per group, column energy per group, `LOSSES`.
    """
    groups = lamps.shape[0]
    voltage, current = state[0], state[1]
    sign = math.tanh(current / SIGN_CURRENT)
    parallel, square_law = circuit[5] > 0.5, circuit[6] > 0.5
    base = 2 + 2 * groups
    resistance_sum, drop_sum, conductance_sum, branch_drop = 0.0, 0.0, 0.0, 0.0
    for g in range(groups):
        area, eta, loss = _arc(state, g, tables, log_energy, log_radius)
        resistance = eta * lamps[g, 1] / area
        if square_law:
            resistance = lamps[g, 6] / math.sqrt(abs(current) + SIGN_CURRENT)
        # kept where the second loop finds them and puts what they lead to
        out[2 + 2 * g] = resistance
        out[base + g] = loss
        resistance_sum += lamps[g, 0] * resistance
        drop_sum += lamps[g, 0] * lamps[g, 5]
        conductance_sum += lamps[g, 0] / resistance
        branch_drop = max(branch_drop, lamps[g, 5])
    if parallel:
        resistance_sum = 1.0 / conductance_sum
        drop_sum = branch_drop
    column = resistance_sum * current
    fixed = (drop_sum + circuit[4]) * sign
    burning = circuit[7] < 0.5
    out[0] = -current / circuit[0] if burning else 0.0
    out[1] = (voltage - (circuit[2] + circuit[3]) * current - column - fixed) / circuit[1] if burning else 0.0
    light = 0.0
    for g in range(groups):
        resistance, loss, length = out[2 + 2 * g], out[base + g], lamps[g, 1]
        share = column / resistance if parallel else current
        power = resistance * share * share / length
        growth = 0.0
        if full[g] < 0.5:
            ratio = lamps[g, 3] / REFERENCE_DENSITY
            growth = lamps[g, 4] ** 2 * GROWTH_SCALE * ratio ** (-1.0 / 3.0) * (share * share) ** (1.0 / 3.0)
        out[2 + 2 * g] = power - loss
        out[3 + 2 * g] = growth
        out[base + g] = lamps[g, 0] * power * length
        light += lamps[g, 0] * loss * length
    tail = base + groups
    out[tail] = circuit[2] * current * current
    out[tail + 1] = circuit[3] * current * current + circuit[4] * sign * current
    out[tail + 2] = drop_sum * sign * current
    out[tail + 3] = light


@njit(cache=True, nogil=True, error_model="numpy")
def _dormand_prince(y, h, k, work, circuit, lamps, full, tables, log_energy, log_radius, scale, rtol):  # type: ignore[no-untyped-def]
    """One trial step from y with k[0] known; fills k[1..6], returns (error norm); result in work[0]."""
    n = y.shape[0]
    z = work[1]
    for i in range(n):
        z[i] = y[i] + h * 0.2 * k[0, i]
    derivative(z, circuit, lamps, full, tables, log_energy, log_radius, k[1])
    for i in range(n):
        z[i] = y[i] + h * (3.0 / 40.0 * k[0, i] + 9.0 / 40.0 * k[1, i])
    derivative(z, circuit, lamps, full, tables, log_energy, log_radius, k[2])
    for i in range(n):
        z[i] = y[i] + h * (44.0 / 45.0 * k[0, i] - 56.0 / 15.0 * k[1, i] + 32.0 / 9.0 * k[2, i])
    derivative(z, circuit, lamps, full, tables, log_energy, log_radius, k[3])
    for i in range(n):
        z[i] = y[i] + h * (
            19372.0 / 6561.0 * k[0, i]
            - 25360.0 / 2187.0 * k[1, i]
            + 64448.0 / 6561.0 * k[2, i]
            - 212.0 / 729.0 * k[3, i]
        )
    derivative(z, circuit, lamps, full, tables, log_energy, log_radius, k[4])
    for i in range(n):
        z[i] = y[i] + h * (
            9017.0 / 3168.0 * k[0, i]
            - 355.0 / 33.0 * k[1, i]
            + 46732.0 / 5247.0 * k[2, i]
            + 49.0 / 176.0 * k[3, i]
            - 5103.0 / 18656.0 * k[4, i]
        )
    derivative(z, circuit, lamps, full, tables, log_energy, log_radius, k[5])
    new = work[0]
    for i in range(n):
        new[i] = y[i] + h * (
            35.0 / 384.0 * k[0, i]
            + 500.0 / 1113.0 * k[2, i]
            + 125.0 / 192.0 * k[3, i]
            - 2187.0 / 6784.0 * k[4, i]
            + 11.0 / 84.0 * k[5, i]
        )
    derivative(new, circuit, lamps, full, tables, log_energy, log_radius, k[6])
    total = 0.0
    for i in range(n):
        error = h * (
            71.0 / 57600.0 * k[0, i]
            - 71.0 / 16695.0 * k[2, i]
            + 71.0 / 1920.0 * k[3, i]
            - 17253.0 / 339200.0 * k[4, i]
            + 22.0 / 525.0 * k[5, i]
            - 1.0 / 40.0 * k[6, i]
        )
        size = rtol * (scale[i] + max(abs(y[i]), abs(new[i])))
        total += (error / size) ** 2
    return math.sqrt(total / n)


@njit(cache=True, nogil=True, error_model="numpy")
def integrate(start, circuit, lamps, tables, log_energy, log_radius, settings, most_steps):  # type: ignore[no-untyped-def]  # noqa: C901, PLR0912, PLR0915  one loop over one state
    """March from the trigger to the end. `settings`: rtol, end time, energy fraction at which to stop, first step.

    Returns times, states, slopes, fill times per group, time at which the current went out, counters (accepted,
    rejected, right-hand sides), outcome (0 energy spent, 1 end time, 2 step limit, 3 not a number).
    """
    n = start.shape[0]
    groups = lamps.shape[0]
    rtol, end, fraction = settings[0], settings[1], settings[2]
    stored = 0.5 * circuit[0] * start[0] ** 2
    scale = np.empty(n)
    scale[0] = abs(start[0])
    scale[1] = abs(start[0]) / math.sqrt(circuit[1] / circuit[0])
    for g in range(groups):
        scale[2 + 2 * g] = start[2 + 2 * g] * 10.0
        scale[3 + 2 * g] = start[3 + 2 * g]
    scale[2 + 2 * groups :] = 0.1 * stored
    times = np.empty(most_steps + 1)
    states = np.empty((most_steps + 1, n))
    slopes = np.empty((most_steps + 1, n))
    full = np.zeros(groups)
    filled = np.full(groups, np.nan)
    for g in range(groups):
        if start[3 + 2 * g] >= lamps[g, 2] ** 2 * (1 - 1e-12):
            full[g] = 1.0
            filled[g] = 0.0
    k = np.empty((7, n))
    work = np.empty((2, n))
    y = start.copy()
    derivative(y, circuit, lamps, full, tables, log_energy, log_radius, k[0])
    times[0] = 0.0
    states[0] = y
    slopes[0] = k[0]
    calls, rejected, count, outcome = 1, 0, 0, 1
    t, h, previous, brightest, highest, ended = 0.0, settings[3], 1.0, 0.0, 0.0, np.nan
    drops = circuit[4]
    for g in range(groups):
        drops += lamps[g, 5] * (1.0 if circuit[5] > 0.5 else lamps[g, 0])
    while t < end:
        if count >= most_steps:
            outcome = 2
            break
        h = min(h, end - t)
        error = _dormand_prince(y, h, k, work, circuit, lamps, full, tables, log_energy, log_radius, scale, rtol)
        calls += 6
        if not math.isfinite(error):
            h *= 0.1
            rejected += 1
            if h < 1e-18:
                outcome = 3
                break
            continue
        if error > 1.0:
            rejected += 1
            h *= max(0.2, 0.9 * error**-0.2)
            continue
        new = work[0]
        # a step that would push an arc through its wall is shortened (secant) until it ends there
        shortest = 1.0
        for g in range(groups):
            bore = lamps[g, 2] ** 2
            if full[g] < 0.5 and new[3 + 2 * g] > bore * (1 + 1e-9):
                shortest = min(shortest, max((bore - y[3 + 2 * g]) / (new[3 + 2 * g] - y[3 + 2 * g]), 1e-6))
        if shortest < 1.0:
            h *= shortest
            rejected += 1
            continue
        event = False
        for g in range(groups):
            if full[g] < 0.5 and new[3 + 2 * g] >= lamps[g, 2] ** 2 * (1 - 1e-7):
                full[g] = 1.0
                filled[g] = t + h
                new[3 + 2 * g] = lamps[g, 2] ** 2
                event = True
        t += h
        count += 1
        for i in range(n):
            y[i] = new[i]
            k[0, i] = k[6, i]
        if event:
            derivative(y, circuit, lamps, full, tables, log_energy, log_radius, k[0])
            calls += 1
        times[count] = t
        states[count] = y
        slopes[count] = k[0]
        highest = max(highest, abs(y[1]))
        brightest = max(brightest, k[0, n - 1])
        left = 0.5 * circuit[0] * y[0] ** 2 + 0.5 * circuit[1] * y[1] ** 2
        faint = circuit[7] < 0.5 and abs(y[1]) < EXTINCTION * highest
        if faint and (abs(y[0]) <= drops + 1e-3 * abs(start[0]) or left < fraction * stored):
            circuit[7] = 1.0
            ended = t
            slopes[count, 0] = 0.0
            slopes[count, 1] = 0.0
            y[2 + 3 * groups] += 0.5 * circuit[1] * y[1] ** 2
            y[1] = 0.0
            states[count, 1] = 0.0
            derivative(y, circuit, lamps, full, tables, log_energy, log_radius, k[0])
            calls += 1
        if circuit[7] > 0.5 and k[0, n - 1] < AFTERGLOW * brightest:
            outcome = 0
            break
        factor = 0.9 * max(error, 1e-10) ** -0.14 * previous**0.08
        previous = max(error, 1e-4)
        h *= min(5.0, max(0.2, factor))
    counters = np.array([count, rejected, calls])
    return times[: count + 1], states[: count + 1], slopes[: count + 1], filled, ended, counters, outcome
