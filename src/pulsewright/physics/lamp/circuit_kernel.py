"""Compiled: right-hand side of the discharge for every circuit, and what can be read from a state.

Capacitors in a ladder (one for a single mesh) with coils between neighbours; the last feeds the branches through what
they have in common; a branch holds lamps in series, or side by side, or has a capacitor of its own. A clamp diode or a
crowbar switch stands across the last capacitor of the ladder. State: capacitor voltages (ladder first), currents of
the coils, currents of the branches, squares of the radii of the gap channels if there are any, states of each column,
then the energies counted. Filled by `discharge.py`.
"""

from __future__ import annotations

import math

from numba import njit

from pulsewright.physics.lamp.column_kernel import (
    BRANCH,
    COUNT,
    CURRENT,
    DROP,
    ENERGY,
    EVAPORATION,
    FORMATION,
    FULL,
    GROWTH,
    HEAT,
    IMPEDANCE,
    INDUCTANCE,
    JOIN,
    LAYER,
    LEAN,
    LENGTH,
    LIGHT,
    RESISTANCE,
    SLOPE,
    SOAK,
    SQUARE,
    TAKEN,
    THICKEN,
    VAPOUR,
    VOLTAGE,
    WIDENING,
    column,
    law_current,
    law_voltage,
)

# Current below which the constant drops fade to zero, so that the equations stay smooth. [A]
SIGN_CURRENT = 1.0
# mu0 / (4 pi), exact to nine digits: inductance of an arc per length is twice this times ln(bore / arc diameter). [H/m]
ARC_INDUCTANCE = 1e-7
# Columns of the circuit row. `COMMON_*`: what all branches of the shared bank have in common; `GAP_GROWTH`: growth of
# the square of a gap channel per |I|^(2/3); `GAP`: resistance of the channel times that square, 0 for none.
(
    COMMON_INDUCTANCE,
    COMMON_RESISTANCE,
    SWITCH_RESISTANCE,
    SWITCH_DROP,
    CROWBAR,
    CROWBAR_RESISTANCE,
    CROWBAR_DROP,
    CROWBAR_TIME,
    SECTION_INDUCTANCE,
    SECTION_RESISTANCE,
    LAW,
    EXPONENT,
    GAP_GROWTH,
    GAP,
    CIRCUIT_COLUMNS,
) = range(15)
CLAMP, CLOSED_CROWBAR = 1.0, 2.0
# Columns of a branch row; `SUPPLY` is the index of its capacitor.
BRANCH_INDUCTANCE, BRANCH_RESISTANCE, DELAY, SUPPLY, PARALLEL, BRANCH_COLUMNS = range(6)
# What a branch hands on: voltage of its lamps, of all but its inductance, inductance, node, electrodes' power.
LAMPS, REST, COIL, NODE, ELECTRODES, BRANCH_FOUND = range(6)
OPEN, CLOSED, OUT = 0.0, 1.0, 2.0
# Sizes: capacitors of the ladder, all capacitors, branches, groups, states per column, gap channels (0 or 1).
LADDER, CAPACITORS, BRANCHES, GROUPS, STATES, GAPS = range(6)
# Energies counted after one of the column and one of its wall per group.
LOOP, SWITCH, ELECTRODE, RADIATED, SHORTED, SECTIONS, FORMED, LOSSES = range(8)


@njit(**LEAN, forceinline=True)
def places(sizes):  # type: ignore[no-untyped-def]
    """Where coil currents, branch currents, gap channels, columns and counted energies begin in a state."""
    coils = sizes[CAPACITORS]
    currents = coils + max(sizes[LADDER] - 1, 0)
    gaps = currents + sizes[BRANCHES]
    columns = gaps + sizes[BRANCHES] * sizes[GAPS]
    return coils, currents, gaps, columns, columns + sizes[GROUPS] * sizes[STATES]


@njit(**LEAN)
def _shared_by_law(size, fade, branch, lamps, exponent, found):  # type: ignore[no-untyped-def]
    """Common voltage of lamps side by side that follow a law; fills their own voltages and currents."""
    groups = lamps.shape[0]
    voltage, count = 0.0, 0.0
    for g in range(groups):
        if lamps[g, BRANCH] == branch:
            count += lamps[g, COUNT]
    for g in range(groups):
        if lamps[g, BRANCH] == branch:
            own = lamps[g, DROP] * fade + law_voltage(lamps[g, IMPEDANCE], lamps[g, JOIN], exponent, size / count)
            voltage = max(voltage, own)
    for _ in range(60):
        total, slope = -size, 0.0
        for g in range(groups):
            if lamps[g, BRANCH] == branch:
                own = voltage - lamps[g, DROP] * fade
                share, steep = law_current(lamps[g, IMPEDANCE], lamps[g, JOIN], exponent, own)
                total += lamps[g, COUNT] * share
                slope += lamps[g, COUNT] * steep
        if abs(total) <= 1e-12 * size or slope <= 0.0:
            break
        voltage -= total / slope
    for g in range(groups):
        if lamps[g, BRANCH] == branch:
            own = max(voltage - lamps[g, DROP] * fade, 0.0)
            found[g, VOLTAGE] = own
            found[g, CURRENT] = law_current(lamps[g, IMPEDANCE], lamps[g, JOIN], exponent, own)[0]
    return voltage


@njit(**LEAN)
def _shared_by_resistance(size, fade, branch, lamps, found):  # type: ignore[no-untyped-def]
    """Common voltage of lamps side by side by their resistances; fills their own voltages and currents.

    A lamp whose drop is above the common voltage carries nothing: those are left out until none is.
    """
    groups = lamps.shape[0]
    voltage = 1e300
    for _ in range(groups):
        above, below, changed = size, 0.0, False
        for g in range(groups):
            if lamps[g, BRANCH] == branch and lamps[g, DROP] * fade <= voltage:
                conductance = lamps[g, COUNT] / found[g, RESISTANCE]
                above += conductance * lamps[g, DROP] * fade
                below += conductance
        new = above / below
        for g in range(groups):
            changed = changed or (lamps[g, BRANCH] == branch and new < lamps[g, DROP] * fade <= voltage)
        voltage = new
        if not changed:
            break
    for g in range(groups):
        if lamps[g, BRANCH] == branch:
            own = max(voltage - lamps[g, DROP] * fade, 0.0)
            found[g, VOLTAGE] = own
            found[g, CURRENT] = own / found[g, RESISTANCE]
    return voltage


@njit(**LEAN, forceinline=True)
def _widen(g, lamps, full, square, found):  # type: ignore[no-untyped-def]
    """Growth of an arc that carries the current in `found`, its inductance and the rate of that."""
    found[g, WIDENING], found[g, INDUCTANCE], found[g, SLOPE] = 0.0, 0.0, 0.0
    if full[g] < 0.5:
        share = found[g, CURRENT]
        found[g, WIDENING] = lamps[g, GROWTH] * (share * share) ** (1.0 / 3.0)
        length = ARC_INDUCTANCE * lamps[g, LENGTH]
        found[g, INDUCTANCE] = length * math.log(max(lamps[g, FULL] / square, 1.0))
        found[g, SLOPE] = -length * found[g, WIDENING] / square


@njit(**LEAN, forceinline=True)
def find(state, sizes, circuit, branches, lamps, full, tables, axes, found, parts):  # type: ignore[no-untyped-def]  # noqa: C901, PLR0912  one pass over one circuit
    """Fill `found` per group and `parts` per branch from a state."""
    _, currents, gaps, columns, _ = places(sizes)
    groups, stride = sizes[GROUPS], sizes[STATES]
    ablated, law = stride > VAPOUR, circuit[LAW] > 0.5
    for g in range(groups):
        column(state, columns + g * stride, lamps, g, full[g] > 0.5, ablated, tables, axes, found)
    for b in range(sizes[BRANCHES]):
        current = state[currents + b]
        sign = math.tanh(current / SIGN_CURRENT)
        voltage, coil, slope, drops = 0.0, 0.0, 0.0, 0.0
        if branches[b, PARALLEL] > 0.5:
            if law:
                voltage = _shared_by_law(abs(current), abs(sign), b, lamps, circuit[EXPONENT], found)
            else:
                voltage = _shared_by_resistance(abs(current), abs(sign), b, lamps, found)
            voltage = math.copysign(voltage, current)
            inverse, weighed = 0.0, 0.0
            for g in range(groups):
                if lamps[g, BRANCH] == b:
                    found[g, CURRENT] = math.copysign(found[g, CURRENT], current)
                    found[g, VOLTAGE] = math.copysign(found[g, VOLTAGE], current)
                    drops += lamps[g, COUNT] * (voltage - found[g, VOLTAGE]) * found[g, CURRENT]
                    _widen(g, lamps, full, state[columns + g * stride + SQUARE], found)
                    if found[g, INDUCTANCE] <= 0.0:
                        inverse = math.inf
                    else:
                        inverse += lamps[g, COUNT] / found[g, INDUCTANCE]
                        weighed += lamps[g, COUNT] * found[g, SLOPE] / found[g, INDUCTANCE] ** 2
            if inverse < math.inf:
                coil, slope = 1.0 / inverse, weighed / inverse**2
        else:
            for g in range(groups):
                if lamps[g, BRANCH] == b:
                    count = lamps[g, COUNT]
                    own = found[g, RESISTANCE] * current
                    if law:
                        own = math.copysign(
                            law_voltage(lamps[g, IMPEDANCE], lamps[g, JOIN], circuit[EXPONENT], current), current
                        )
                    found[g, CURRENT], found[g, VOLTAGE] = current, own
                    voltage += count * (own + lamps[g, DROP] * sign)
                    drops += count * lamps[g, DROP] * sign * current
                    _widen(g, lamps, full, state[columns + g * stride + SQUARE], found)
                    coil += count * found[g, INDUCTANCE]
                    slope += count * found[g, SLOPE]
        resistance = branches[b, BRANCH_RESISTANCE] + circuit[SWITCH_RESISTANCE] + slope
        if sizes[GAPS] > 0:
            resistance += circuit[GAP] / state[gaps + b]
        parts[b, LAMPS] = voltage
        parts[b, REST] = voltage + circuit[SWITCH_DROP] * sign + resistance * current
        parts[b, COIL] = branches[b, BRANCH_INDUCTANCE] + coil
        parts[b, ELECTRODES] = drops


@njit(**LEAN, forceinline=True)
def crowbar_current(voltage, circuit, shorted):  # type: ignore[no-untyped-def]
    """Current that clamp diode or closed crowbar switch draws from the last capacitor of the ladder."""
    if circuit[CROWBAR] == CLAMP:
        return min(voltage + circuit[CROWBAR_DROP], 0.0) / circuit[CROWBAR_RESISTANCE]
    if circuit[CROWBAR] == CLOSED_CROWBAR and shorted > 0.5:
        return math.copysign(max(abs(voltage) - circuit[CROWBAR_DROP], 0.0), voltage) / circuit[CROWBAR_RESISTANCE]
    return 0.0


@njit(**LEAN, forceinline=True)
def _circuit(state, sizes, circuit, capacitors, branches, status, parts, out):  # type: ignore[no-untyped-def]  # noqa: C901, PLR0915  one pass over one circuit
    """Slopes of capacitor voltages and currents; `status` one for each branch, then the crowbar."""
    coils, currents, gaps, _, tail = places(sizes)
    ladder, count = sizes[LADDER], sizes[BRANCHES]
    burning = False
    for b in range(count):
        burning = burning or status[b] != OUT
    for c in range(coils):
        out[c] = 0.0
    shared, conductance, pull = 0.0, 0.0, 0.0
    for b in range(count):
        if status[b] == CLOSED and branches[b, SUPPLY] == ladder - 1:
            shared += state[currents + b]
            conductance += 1.0 / parts[b, COIL]
            pull += parts[b, REST] / parts[b, COIL]
    node = 0.0
    if ladder > 0:
        node = state[ladder - 1] - circuit[COMMON_RESISTANCE] * shared
        if circuit[COMMON_INDUCTANCE] > 0.0:
            inverse = 1.0 / circuit[COMMON_INDUCTANCE]
            node = (node * inverse + pull) / (inverse + conductance)
    loop, switch, drops = circuit[COMMON_RESISTANCE] * shared * shared, 0.0, 0.0
    for b in range(count):
        current, supply = state[currents + b], int(branches[b, SUPPLY])
        sign = math.tanh(current / SIGN_CURRENT)
        own = state[supply] if supply >= ladder else node
        resistance = circuit[SWITCH_RESISTANCE]
        if sizes[GAPS] > 0:
            resistance += circuit[GAP] / state[gaps + b]
            out[gaps + b] = circuit[GAP_GROWTH] * (current * current) ** (1.0 / 3.0)
        parts[b, NODE] = own
        out[currents + b] = 0.0
        if status[b] == CLOSED:
            out[currents + b] = (own - parts[b, REST]) / parts[b, COIL]
            out[supply] -= current / capacitors[supply]
        loop += branches[b, BRANCH_RESISTANCE] * current * current
        switch += resistance * current * current + circuit[SWITCH_DROP] * sign * current
        drops += parts[b, ELECTRODES]
    sections, crowbar = 0.0, 0.0
    if burning and ladder > 0:
        for p in range(ladder - 1):
            current = state[coils + p]
            fall = state[p] - state[p + 1] - circuit[SECTION_RESISTANCE] * current
            out[coils + p] = fall / circuit[SECTION_INDUCTANCE]
            out[p] -= current / capacitors[p]
            out[p + 1] += current / capacitors[p + 1]
            sections += circuit[SECTION_RESISTANCE] * current * current
        drawn = crowbar_current(state[ladder - 1], circuit, status[count])
        out[ladder - 1] -= drawn / capacitors[ladder - 1]
        crowbar = drawn * state[ladder - 1]
    else:
        for p in range(ladder - 1):
            out[coils + p] = 0.0
    tail += 2 * sizes[GROUPS]
    out[tail + LOOP] = loop
    out[tail + SWITCH] = switch
    out[tail + ELECTRODE] = drops
    out[tail + SHORTED] = crowbar
    out[tail + SECTIONS] = sections


@njit(**LEAN, forceinline=True)
def derivative(state, sizes, circuit, capacitors, branches, status, lamps, full, tables, axes, found, parts, out):  # type: ignore[no-untyped-def]
    """Right-hand side."""
    find(state, sizes, circuit, branches, lamps, full, tables, axes, found, parts)
    _circuit(state, sizes, circuit, capacitors, branches, status, parts, out)
    _, currents, _, columns, tail = places(sizes)
    groups, stride = sizes[GROUPS], sizes[STATES]
    light, formed = 0.0, 0.0
    for g in range(groups):
        b, at, many = int(lamps[g, BRANCH]), columns + g * stride, lamps[g, COUNT] * lamps[g, LENGTH]
        induced = found[g, CURRENT]
        if branches[b, PARALLEL] > 0.5 and found[g, INDUCTANCE] > 0.0:
            # side by side the arcs' inductances are counted as one; each works against its part of that field
            coil = parts[b, COIL] - branches[b, BRANCH_INDUCTANCE]
            induced = state[currents + b] * coil / found[g, INDUCTANCE]
        power = found[g, VOLTAGE] * found[g, CURRENT] + 0.5 * found[g, SLOPE] * induced * induced
        power /= lamps[g, LENGTH]
        out[at + ENERGY] = power - found[g, LIGHT] - found[g, HEAT]
        out[at + SQUARE] = found[g, WIDENING]
        out[at + LAYER] = found[g, THICKEN]
        if stride > VAPOUR:
            out[at + VAPOUR] = found[g, EVAPORATION]
            out[at + TAKEN] = found[g, SOAK]
            formed += many * found[g, EVAPORATION] * lamps[g, FORMATION]
        out[tail + g] = many * power
        out[tail + groups + g] = many * found[g, HEAT]
        light += many * found[g, LIGHT]
    out[tail + 2 * groups + RADIATED] = light
    out[tail + 2 * groups + FORMED] = formed


@njit(**LEAN)
def observe(sampled, sizes, circuit, branches, lamps, full, tables, axes, found, parts, currents, voltages):  # type: ignore[no-untyped-def]
    """Per sampled state (T, n): `currents` (T, G) of one lamp of each group and `voltages` (T, B) of the lamps."""
    _, _, _, columns, _ = places(sizes)
    for m in range(sampled.shape[0]):
        for g in range(sizes[GROUPS]):
            square = sampled[m, columns + g * sizes[STATES] + SQUARE]
            full[g] = 1.0 if square >= lamps[g, FULL] * (1 - 1e-12) else 0.0
        find(sampled[m], sizes, circuit, branches, lamps, full, tables, axes, found, parts)
        for g in range(sizes[GROUPS]):
            currents[m, g] = found[g, CURRENT]
        for b in range(sizes[BRANCHES]):
            voltages[m, b] = parts[b, LAMPS]
