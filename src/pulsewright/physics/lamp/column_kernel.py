"""Compiled: one lamp column in the discharge: its plasma from the tables, its light, its wall.

The rows and columns named here are filled by `discharge.py`. A column has an area `pi s`, `s` the square of its
(equivalent) radius; a linear arc is a circle, a coaxial one turns from a circle into a band round the annulus.
"""

from __future__ import annotations

import math
from typing import Any

from numba import njit

from pulsewright.numerics import SUMS
from pulsewright.numerics.tables import cubic_weights, locate

# How routines that allocate nothing are compiled: without reference counting, which otherwise takes most of their time.
LEAN: Any = {"cache": True, "nogil": True, "error_model": "numpy", "fastmath": SUMS, "_nrt": False}
# Columns of a lamp row. `FULL` the square of the radius that fills the bore, `GROWTH` growth of the square per
# |I|^(2/3), `JOIN` current above which the law turns steeper, `TURN` square of the radius at which a circle becomes a
# band, `ROUND` perimeter there, `WIDEN` perimeter per square beyond, `AROUND` perimeter of the walls, `FILL` heavy
# particles per volume, `THICKEST` square of the thickness at which the cool layer settles, `FACTOR` on the heat through
# it, `HOLD` inertia of the wall against vaporising, `FORMATION` heat per particle of vapour.
(
    COUNT,
    LENGTH,
    FULL,
    GROWTH,
    DROP,
    IMPEDANCE,
    JOIN,
    BRANCH,
    TABLE,
    TURN,
    ROUND,
    WIDEN,
    AROUND,
    FILL,
    THICKEST,
    FACTOR,
    HOLD,
    FORMATION,
    LAMP_COLUMNS,
) = range(19)
# States of a column: energy per length, square of the radius, square of the cool layer's thickness and, with vapour of
# the wall, vapour particles per length and heat that the wall has taken up per area.
ENERGY, SQUARE, LAYER, VAPOUR, TAKEN = range(5)
# What a column hands to the circuit: resistance, light per length, heat to the wall per length, growth of the square
# of the layer, the same of the radius, current, voltage, inductance and its rate (per lamp), vapour per length and
# time, heat the wall takes up per area, temperature.
RESISTANCE, LIGHT, HEAT, THICKEN, WIDENING, CURRENT, VOLTAGE, INDUCTANCE, SLOPE, EVAPORATION, SOAK, KELVIN, FOUND = (
    range(13)
)
# Columns of the scalar tables.
LOG_RESISTIVITY, LOG_HEAT, LOG_DIFFUSIVITY, TEMPERATURE = range(4)


@njit(**LEAN, forceinline=True)
def perimeter(lamps, g, square):  # type: ignore[no-untyped-def]
    """Perimeter of a column of that square of its radius."""
    if square <= lamps[g, TURN]:
        return 2.0 * math.pi * math.sqrt(square)
    return lamps[g, ROUND] + lamps[g, WIDEN] * (square - lamps[g, TURN])


@njit(**LEAN, forceinline=True)
def column(state, at, lamps, g, full, ablated, tables, axes, found):  # type: ignore[no-untyped-def]
    """Fill `found` for one lamp from its states at `at`; the circuit adds currents and what follows from them."""
    scalars, exitance, absorbed = tables
    energies, densities, radii = axes
    which = int(lamps[g, TABLE])
    rungs, points, columns = scalars.shape[1], scalars.shape[2], exitance.shape[3]
    square = state[at + SQUARE]
    area = math.pi * square
    around = perimeter(lamps, g, square)
    optical = 2.0 * area / around
    cold = lamps[g, FILL] * area
    particles = cold
    if ablated:
        particles += max(state[at + VAPOUR], 0.0)
    x = math.log(max(state[at + ENERGY] / particles, 1e-60))
    i, u = locate(x, energies[which, 0], energies[which, 1], points)
    j, v = locate(math.log(optical), radii[0], radii[1], columns)
    a, b, c, d = cubic_weights(u)
    k, l, m, n = cubic_weights(v)
    i0, i3 = max(i - 1, 0), min(i + 2, points - 1)
    j0, j3 = max(j - 1, 0), min(j + 2, columns - 1)
    rung, w, last = 0, 0.0, 1
    if rungs > 1:
        rung, w = locate(math.log(particles / cold), densities[which, 0], densities[which, 1], rungs)
        last = 4
    weights = cubic_weights(w)
    eta, light, wall, heat, spread = 0.0, 0.0, 0.0, 0.0, 0.0
    for p in range(last):
        r = min(max(rung + p - 1, 0), rungs - 1) if last > 1 else 0
        part = weights[p] if last > 1 else 1.0
        eta += part * (
            a * scalars[which, r, i0, LOG_RESISTIVITY]
            + b * scalars[which, r, i, LOG_RESISTIVITY]
            + c * scalars[which, r, i + 1, LOG_RESISTIVITY]
            + d * scalars[which, r, i3, LOG_RESISTIVITY]
        )
        light += part * (
            a
            * (
                k * exitance[which, r, i0, j0]
                + l * exitance[which, r, i0, j]
                + m * exitance[which, r, i0, j + 1]
                + n * exitance[which, r, i0, j3]
            )
            + b
            * (
                k * exitance[which, r, i, j0]
                + l * exitance[which, r, i, j]
                + m * exitance[which, r, i, j + 1]
                + n * exitance[which, r, i, j3]
            )
            + c
            * (
                k * exitance[which, r, i + 1, j0]
                + l * exitance[which, r, i + 1, j]
                + m * exitance[which, r, i + 1, j + 1]
                + n * exitance[which, r, i + 1, j3]
            )
            + d
            * (
                k * exitance[which, r, i3, j0]
                + l * exitance[which, r, i3, j]
                + m * exitance[which, r, i3, j + 1]
                + n * exitance[which, r, i3, j3]
            )
        )
        if full:
            heat += part * (
                a * scalars[which, r, i0, LOG_HEAT]
                + b * scalars[which, r, i, LOG_HEAT]
                + c * scalars[which, r, i + 1, LOG_HEAT]
                + d * scalars[which, r, i3, LOG_HEAT]
            )
            spread += part * (
                a * scalars[which, r, i0, LOG_DIFFUSIVITY]
                + b * scalars[which, r, i, LOG_DIFFUSIVITY]
                + c * scalars[which, r, i + 1, LOG_DIFFUSIVITY]
                + d * scalars[which, r, i3, LOG_DIFFUSIVITY]
            )
        if ablated:
            wall += part * (
                a
                * (
                    k * absorbed[which, r, i0, j0]
                    + l * absorbed[which, r, i0, j]
                    + m * absorbed[which, r, i0, j + 1]
                    + n * absorbed[which, r, i0, j3]
                )
                + b
                * (
                    k * absorbed[which, r, i, j0]
                    + l * absorbed[which, r, i, j]
                    + m * absorbed[which, r, i, j + 1]
                    + n * absorbed[which, r, i, j3]
                )
                + c
                * (
                    k * absorbed[which, r, i + 1, j0]
                    + l * absorbed[which, r, i + 1, j]
                    + m * absorbed[which, r, i + 1, j + 1]
                    + n * absorbed[which, r, i + 1, j3]
                )
                + d
                * (
                    k * absorbed[which, r, i3, j0]
                    + l * absorbed[which, r, i3, j]
                    + m * absorbed[which, r, i3, j + 1]
                    + n * absorbed[which, r, i3, j3]
                )
            )
    # colder than the tables know, what is lost falls with what is left
    cooled = min(x - energies[which, 0], 0.0)
    found[g, RESISTANCE] = math.exp(eta) * lamps[g, LENGTH] / area
    found[g, LIGHT] = around * math.exp(light + cooled)
    found[g, HEAT], found[g, THICKEN] = 0.0, 0.0
    if full:
        found[g, HEAT] = (
            around * lamps[g, FACTOR] * math.exp(heat + cooled) / math.sqrt(min(state[at + LAYER], lamps[g, THICKEST]))
        )
        found[g, THICKEN] = math.pi * math.exp(spread)
    found[g, EVAPORATION], found[g, SOAK] = 0.0, 0.0
    if ablated:
        flux = (found[g, HEAT] + around * math.exp(wall + cooled)) / lamps[g, AROUND]
        carried = flux
        if full:
            carried = min(flux, lamps[g, HOLD] / max(state[at + TAKEN], 1.0))
            found[g, EVAPORATION] = (flux - carried) * lamps[g, AROUND] / lamps[g, FORMATION]
        found[g, SOAK] = carried


@njit(**LEAN, forceinline=True)
def law_voltage(impedance, join, exponent, current):  # type: ignore[no-untyped-def]
    """Voltage of a lamp that follows the square-root law, steeper above `join`; smooth through zero current."""
    size = abs(current)
    if size <= join:
        return impedance * size / math.sqrt(size + 1.0)
    return impedance * join / math.sqrt(join + 1.0) * (size / join) ** exponent


@njit(**LEAN, forceinline=True)
def law_current(impedance, join, exponent, voltage):  # type: ignore[no-untyped-def]
    """Current at a voltage and its slope: the inverse of `law_voltage`."""
    if voltage <= 0.0:
        return 0.0, 0.0
    impedance = max(impedance, 1e-9)
    at_join = impedance * join / math.sqrt(join + 1.0) if join < 1e300 else math.inf
    if voltage <= at_join:
        w = (voltage / impedance) ** 2
        root = math.sqrt(w * w + 4.0 * w)
        return 0.5 * (w + root), (1.0 + (w + 2.0) / root) * w / voltage
    current = join * (voltage / at_join) ** (1.0 / exponent)
    return current, current / (exponent * voltage)
