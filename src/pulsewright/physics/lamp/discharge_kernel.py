"""Compiled heart of the discharge: an explicit Dormand-Prince 5(4) pair with step control and events.

Events are the instant at which an arc fills its bore, located on the step, and the closing of switches and of a
crowbar, at times known before. The equations stand in `circuit_kernel.py`; `discharge.py` names the columns.
"""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from pulsewright.physics.lamp.circuit_kernel import (
    BRANCH_FOUND,
    BRANCH_INDUCTANCE,
    BRANCHES,
    CAPACITORS,
    CLOSED,
    CLOSED_CROWBAR,
    COIL,
    COMMON_INDUCTANCE,
    CROWBAR,
    CROWBAR_TIME,
    DELAY,
    GAPS,
    GROUPS,
    LADDER,
    LOOP,
    LOSSES,
    OPEN,
    OUT,
    PARALLEL,
    RADIATED,
    SECTION_INDUCTANCE,
    STATES,
    SUPPLY,
    SWITCH_DROP,
    derivative,
    places,
)
from pulsewright.physics.lamp.column_kernel import (
    BRANCH,
    COUNT,
    DROP,
    ENERGY,
    FILL,
    FOUND,
    FULL,
    LAYER,
    LEAN,
    SQUARE,
    TAKEN,
    VAPOUR,
)

# The light is followed until its power falls below this part of the highest.
AFTERGLOW = 0.01
# A current below this part of its peak goes out when the bank no longer exceeds the constant drops.
EXTINCTION = 0.01
# A current that dies away below this goes out: the drops at the electrodes fade there, and no arc is known. [A]
DARK = 1.0
# Sizes against which errors are held: heat taken up by a wall [J/m^2], layers' squares [m^2], vapour over the fill.
TAKEN_SCALE, LAYER_SCALE, VAPOUR_SCALE = 1e3, 1e-10, 0.1
# A step after an event, over the one before.
AFTER_EVENT = 0.1
# Dormand and Prince, J. Comp. Appl. Math. 6, 19 (1980): weights of the stages, the last of which is the step itself,
# and of the difference to the embedded method of order four.
STAGES = np.array(
    [
        [1 / 5, 0, 0, 0, 0, 0],
        [3 / 40, 9 / 40, 0, 0, 0, 0],
        [44 / 45, -56 / 15, 32 / 9, 0, 0, 0],
        [19372 / 6561, -25360 / 2187, 64448 / 6561, -212 / 729, 0, 0],
        [9017 / 3168, -355 / 33, 46732 / 5247, 49 / 176, -5103 / 18656, 0],
        [35 / 384, 0, 500 / 1113, 125 / 192, -2187 / 6784, 11 / 84],
    ]
)
ERRORS = np.array([71 / 57600, 0, -71 / 16695, 71 / 1920, -17253 / 339200, 22 / 525, -1 / 40])
# Columns of `settings`.
TOLERANCE, END, FRACTION, FIRST_STEP, TO_THE_END, SETTINGS = range(6)


@njit(**LEAN)
def _dormand_prince(y, h, k, work, live, net, ways, scale, rtol):  # type: ignore[no-untyped-def]
    """One trial step from y with k[0] known; fills k[1..6], returns the error norm; the result is in work[0].

    Only the first `live` states enter the equations; the rest count energies and need no stages of their own.
    """
    sizes, circuit, capacitors, branches, lamps, tables, axes = net
    status, full, found, parts = ways
    n = y.shape[0]
    for stage in range(6):
        last = stage == 5
        for i in range(n if last else live):
            slope = 0.0
            for j in range(stage + 1):
                slope += STAGES[stage, j] * k[j, i]
            work[0, i] = y[i] + h * slope
        derivative(
            work[0], sizes, circuit, capacitors, branches, status, lamps, full, tables, axes, found, parts, k[stage + 1]
        )
    total = 0.0
    for i in range(n):
        error = 0.0
        for j in range(7):
            error += ERRORS[j] * k[j, i]
        size = rtol * (scale[i] + max(abs(y[i]), abs(work[0, i])))
        total += (h * error / size) ** 2
    return math.sqrt(total / (live + 3))


@njit(cache=True, nogil=True, error_model="numpy")
def _scales(start, sizes, circuit, capacitors, branches, lamps, stored):  # type: ignore[no-untyped-def]
    """Size of each state against which its error is held, beside its own value."""
    scale = np.empty(start.shape[0])
    coils, currents, gaps, columns, tail = places(sizes)
    volts = 0.0
    for c in range(coils):
        volts = max(volts, abs(start[c]))
    for c in range(coils):
        scale[c] = volts
    for p in range(sizes[LADDER] - 1):
        scale[coils + p] = volts / math.sqrt(circuit[SECTION_INDUCTANCE] / capacitors[p])
    for b in range(sizes[BRANCHES]):
        capacitance = capacitors[int(branches[b, SUPPLY])]
        scale[currents + b] = volts / math.sqrt(
            (branches[b, BRANCH_INDUCTANCE] + circuit[COMMON_INDUCTANCE]) / capacitance
        )
    for b in range(sizes[BRANCHES] * sizes[GAPS]):
        scale[gaps + b] = start[gaps + b]
    for g in range(sizes[GROUPS]):
        at = columns + g * sizes[STATES]
        scale[at + ENERGY] = start[at + ENERGY] * 10.0
        scale[at + SQUARE] = start[at + SQUARE]
        scale[at + LAYER] = LAYER_SCALE
        if sizes[STATES] > VAPOUR:
            scale[at + VAPOUR] = VAPOUR_SCALE * lamps[g, FILL] * math.pi * lamps[g, FULL]
            scale[at + TAKEN] = TAKEN_SCALE
    scale[tail:] = 0.1 * stored
    return scale


@njit(**LEAN)
def _energy_left(y, sizes, circuit, capacitors, branches, parts):  # type: ignore[no-untyped-def]
    """What capacitors and inductances hold."""
    coils, currents, _, _, _ = places(sizes)
    left, shared = 0.0, 0.0
    for c in range(coils):
        left += 0.5 * capacitors[c] * y[c] ** 2
    for p in range(sizes[LADDER] - 1):
        left += 0.5 * circuit[SECTION_INDUCTANCE] * y[coils + p] ** 2
    for b in range(sizes[BRANCHES]):
        left += 0.5 * parts[b, COIL] * y[currents + b] ** 2
        if branches[b, SUPPLY] == sizes[LADDER] - 1:
            shared += y[currents + b]
    return left + 0.5 * circuit[COMMON_INDUCTANCE] * shared**2


@njit(**LEAN)
def _put_out(y, slopes, drops, highest, spent, first, sizes, capacitors, branches, parts, status):  # type: ignore[no-untyped-def]
    """Let every current go out that nothing drives any more, or that dies away below `DARK`; whether one did.

    A current that rings through zero does not die away: it falls faster than its loop swings.
    """
    _, currents, _, _, _ = places(sizes)
    ladder = sizes[LADDER]
    ended = False
    for b in range(sizes[BRANCHES]):
        current, slope = y[currents + b], slopes[currents + b]
        highest[b] = max(highest[b], abs(current))
        if status[b] != CLOSED:
            continue
        supply = int(branches[b, SUPPLY])
        swing = math.sqrt(parts[b, COIL] * capacitors[supply])
        dying = abs(current) < DARK and current * slope < 0.0 and abs(slope) * swing < 3.0 * abs(current)
        if not dying:
            if not abs(current) < EXTINCTION * highest[b]:
                continue
            driven = abs(y[supply])
            if supply < ladder:
                for p in range(ladder):
                    driven = max(driven, abs(y[p]))
            if driven > drops[b] + 1e-3 * abs(first) and not spent:
                continue
        status[b] = OUT
        y[currents + b] = 0.0
        ended = True
    return ended


@njit(cache=True, nogil=True, error_model="numpy")
def _drops(sizes, circuit, branches, lamps):  # type: ignore[no-untyped-def]
    """Voltage that stands in the way of each branch's current, whatever its size."""
    drops = np.empty(sizes[BRANCHES])
    for b in range(sizes[BRANCHES]):
        total, least = 0.0, math.inf
        for g in range(sizes[GROUPS]):
            if lamps[g, BRANCH] == b:
                total += lamps[g, COUNT] * lamps[g, DROP]
                least = min(least, lamps[g, DROP])
        drops[b] = circuit[SWITCH_DROP] + (least if branches[b, PARALLEL] > 0.5 else total)
    return drops


@njit(**LEAN)
def _close(t, status, sizes, circuit, branches):  # type: ignore[no-untyped-def]
    """Close what closes at a time; whether something did, and the next time at which something will."""
    event, following = False, math.inf
    for b in range(sizes[BRANCHES]):
        if status[b] == OPEN:
            if branches[b, DELAY] <= t:
                status[b] = CLOSED
                event = True
            else:
                following = min(following, branches[b, DELAY])
    last = sizes[BRANCHES]
    if circuit[CROWBAR] == CLOSED_CROWBAR and status[last] < 0.5:
        if circuit[CROWBAR_TIME] <= t:
            status[last] = 1.0
            event = True
        else:
            following = min(following, circuit[CROWBAR_TIME])
    return event, following


@njit(cache=True, nogil=True, error_model="numpy")
def integrate(start, net, settings, layer, most_steps):  # type: ignore[no-untyped-def]  # noqa: C901, PLR0912, PLR0915  one loop over one state
    """March from the trigger to the end.

    `net`: sizes, circuit row, capacitances, branch rows, lamp rows, tables, their axes; `layer` square of the cool
    layer's thickness when an arc reaches the wall. Returns times, states, slopes, fill times per group, time at which
    the last current went out, counters (accepted, rejected, right-hand sides), outcome (0 energy spent, 1 end time,
    2 step limit, 3 not a number).
    """
    sizes, circuit, capacitors, branches, lamps, tables, axes = net
    n = start.shape[0]
    groups, count_of = sizes[GROUPS], sizes[BRANCHES]
    coils, _, _, columns, live = places(sizes)
    tail = live + 2 * groups
    stride = sizes[STATES]
    rtol, end, fraction = settings[TOLERANCE], settings[END], settings[FRACTION]
    status, full = np.zeros(count_of + 1), np.zeros(groups)
    found, parts = np.zeros((groups, FOUND)), np.zeros((count_of, BRANCH_FOUND))
    ways = (status, full, found, parts)
    stored, first = 0.0, 0.0
    for c in range(coils):
        stored += 0.5 * capacitors[c] * start[c] ** 2
        first = max(first, abs(start[c]))
    scale = _scales(start, sizes, circuit, capacitors, branches, lamps, stored)
    drops = _drops(sizes, circuit, branches, lamps)
    rows = most_steps + 2 + groups + 2 * count_of
    times, states, slopes = np.empty(rows), np.empty((rows, n)), np.empty((rows, n))
    filled = np.full(groups, np.nan)
    for g in range(groups):
        if start[columns + g * stride + SQUARE] >= lamps[g, FULL] * (1 - 1e-12):
            full[g] = 1.0
            filled[g] = 0.0
    k = np.empty((7, n))
    work = np.empty((2, n))
    highest = np.zeros(count_of)
    y = start.copy()
    _, following = _close(0.0, status, sizes, circuit, branches)
    derivative(y, sizes, circuit, capacitors, branches, status, lamps, full, tables, axes, found, parts, k[0])
    times[0] = 0.0
    states[0] = y
    slopes[0] = k[0]
    calls, rejected, count, outcome, row = 1, 0, 0, 1, 0
    burned_out = False
    t, h, previous, brightest, ended = 0.0, settings[FIRST_STEP], 1.0, 0.0, np.nan
    while t < end:
        if count >= most_steps:
            outcome = 2
            break
        stop = min(end, following)
        landing = h >= stop - t
        h = min(h, stop - t)
        error = _dormand_prince(y, h, k, work, live, net, ways, scale, rtol)
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
            at, bore = columns + g * stride + SQUARE, lamps[g, FULL]
            if full[g] < 0.5 and new[at] > bore * (1 + 1e-9):
                shortest = min(shortest, max((bore - y[at]) / (new[at] - y[at]), 1e-6))
        if shortest < 1.0:
            h *= shortest
            rejected += 1
            continue
        if burned_out and settings[TO_THE_END] < 0.5:
            # the instant at which the light has fallen far enough is located, too
            fallen, before, goal = k[6, tail + RADIATED], k[0, tail + RADIATED], AFTERGLOW * brightest
            if fallen < 0.995 * goal and before > goal:
                h *= max(math.log(before / goal * 1.001) / math.log(before / fallen), 0.05)
                rejected += 1
                continue
        event = False
        for g in range(groups):
            at = columns + g * stride
            if full[g] < 0.5 and new[at + SQUARE] >= lamps[g, FULL] * (1 - 1e-7):
                full[g] = 1.0
                filled[g] = t + h
                new[at + SQUARE] = lamps[g, FULL]
                new[at + LAYER] = layer
                event = True
        t = stop if landing else t + h
        count += 1
        for i in range(n):
            y[i] = new[i]
            k[0, i] = k[6, i]
        if t >= following:
            closed, following = _close(t, status, sizes, circuit, branches)
            event = event or closed
        row += 1
        times[row] = t
        states[row] = y
        slopes[row] = k[0]
        brightest = max(brightest, k[0, tail + RADIATED])
        left = _energy_left(y, sizes, circuit, capacitors, branches, parts)
        if _put_out(
            y, k[0], drops, highest, left < fraction * stored, first, sizes, capacitors, branches, parts, status
        ):
            # what the inductances of a current that went out held is counted with the loop's resistance
            y[tail + LOOP] += left - _energy_left(y, sizes, circuit, capacitors, branches, parts)
            ended = t
            event = True
        if event:
            # a second row at the same time, so that nothing is drawn smooth across it
            derivative(y, sizes, circuit, capacitors, branches, status, lamps, full, tables, axes, found, parts, k[0])
            calls += 1
            row += 1
            times[row] = t
            states[row] = y
            slopes[row] = k[0]
        burning = False
        for b in range(count_of):
            burning = burning or status[b] != OUT
        burned_out = not burning
        if burned_out and settings[TO_THE_END] < 0.5 and k[0, tail + RADIATED] < AFTERGLOW * brightest:
            outcome = 0
            break
        factor = 0.9 * max(error, 1e-10) ** -0.14 * previous**0.08
        previous = max(error, 1e-4)
        h *= min(5.0, max(0.2, factor))
        if event:
            h = min(h, max(settings[FIRST_STEP], AFTER_EVENT * h))
    counters = np.array([count, rejected, calls])
    return times[: row + 1], states[: row + 1], slopes[: row + 1], filled, ended, counters, outcome


__all__ = ["AFTERGLOW", "CAPACITORS", "EXTINCTION", "LOSSES", "PARALLEL", "integrate"]
