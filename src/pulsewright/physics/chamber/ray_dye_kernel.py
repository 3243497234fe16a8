"""Compiled: what absorbs along a ray, and how what the dye took is counted. Columns of a ray, rows of a scene."""

from __future__ import annotations

import math

from numba import njit

from pulsewright.numerics import SUMS, UNCOUNTED
from pulsewright.numerics.exponential import expm1
from pulsewright.physics.chamber.ray_optics_kernel import lit_share

# rows of `numbers`, the last the first of three: what coolant, cell glass and lamp glass absorb
OUTSIDE, REFLECTIVITY, OPENING, DIFFUSE, END, LENGTH, PUMPED, MEDIA = range(8)
# rows of the light that does not reach the dye
BY_LAMPS, BY_WALLS, BY_ENDS, BY_CUT, BY_MEDIA = range(5)
# absorption coefficients for which is counted what media leave: the first [1/m], and how many, each four times the last
FIRST_RUNG, RUNGS = 1.0, 7
# transmission that is as good as none
NOTHING = 1e-30
# columns of `Ray.at`: place, direction, what the walls left, ways so far, normal of the surface met, place in the body
X, Y, Z, UX, UY, UZ, WEIGHT, IN_COOLANT, IN_GLASS, IN_ENVELOPE, NX, NY, DX, DY = range(14)
# columns of `Ray.state`: body (-1 outside all), layer, 1 when it goes outwards, 1 before it has left its own lamp's
# glass, wall hits, passes of the filter, corners of the trail
AT_BODY, AT_LAYER, OUTWARD, FRESH, HITS, PASSES, CORNERS = range(7)


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS, **UNCOUNTED)
def lose(lost, row, weight, in_dye, in_lamps):  # type: ignore[no-untyped-def]
    """Count a weight as lost."""
    for a in range(in_lamps.shape[0]):
        part = weight * in_lamps[a]
        for k in range(in_dye.shape[0]):
            lost[row, a, k] += part * in_dye[k]


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS, **UNCOUNTED)
def pass_plasma(lost, at, in_dye, in_lamps, absorption, body, way):  # type: ignore[no-untyped-def]
    """Absorb along a way through plasma; `absorption` (B, A)."""
    for a in range(in_lamps.shape[0]):
        taken = in_lamps[a] * -expm1(-absorption[body, a] * way)
        in_lamps[a] -= taken
        for k in range(in_dye.shape[0]):
            lost[BY_LAMPS, a, k] += at[WEIGHT] * taken * in_dye[k]


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def pass_medium(numbers, lost, at, in_dye, in_lamps, medium, way):  # type: ignore[no-untyped-def]
    """Count a way through coolant (0), cell glass (1) or lamp glass (2), which may take their share along it."""
    at[IN_COOLANT + medium] += way
    if numbers[MEDIA + medium] > 0.0:
        taken = at[WEIGHT] * -expm1(-numbers[MEDIA + medium] * way)
        lose(lost, BY_MEDIA, taken, in_dye, in_lamps)
        at[WEIGHT] -= taken


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS, **UNCOUNTED)
def pass_zone(in_dye, part, absorption, zone, way):  # type: ignore[no-untyped-def]
    """Absorb along a way in one zone of the dye; `part` adds up what each zone takes of this crossing."""
    for k in range(in_dye.shape[0]):
        taken = in_dye[k] * -expm1(-absorption[k] * way)
        in_dye[k] -= taken
        part[zone, k] += taken


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def lit_way(numbers, z, uz, whole, before, here):  # type: ignore[no-untyped-def]
    """Length of a stretch that lies where the dye is pumped; all of it when the `whole` way does."""
    lit = 1.0
    if not whole:
        lit = lit_share(z + uz * before, z + uz * here, numbers[LENGTH], numbers[PUMPED])
    return lit * (here - before)


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def cross_shells(numbers, radius, at, in_dye, part, cut, absorption, way):  # type: ignore[no-untyped-def]
    """Absorb along a chord of a round cell, shell by shell, inwards and out again; the innermost shell reached."""
    zones, z, uz = part.shape[0] - 1, at[Z], at[UZ]
    whole = lit_share(z, z + uz * way, numbers[LENGTH], numbers[PUMPED]) >= 1.0
    flat = math.sqrt(at[UX] * at[UX] + at[UY] * at[UY])
    impact = (at[DX] * at[UY] - at[DY] * at[UX]) / flat
    inner, before = zones - 1, 0.0
    for shell in range(zones - 1, 0, -1):
        inside = radius * radius * shell / zones - impact * impact
        if inside <= 0.0:
            break
        here = max(0.5 * way - math.sqrt(inside) / flat, before)
        cut[shell] = here
        pass_zone(in_dye, part, absorption, shell, lit_way(numbers, z, uz, whole, before, here))
        before, inner = here, shell - 1
    for shell in range(inner, zones):
        here = way if shell == zones - 1 else way - cut[shell + 1]
        pass_zone(in_dye, part, absorption, shell, lit_way(numbers, z, uz, whole, before, here))
        before = here
    return inner


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def cross_layers(numbers, half, at, in_dye, part, absorption, way):  # type: ignore[no-untyped-def]
    """Absorb along a way through a slab, layer by layer across its thickness."""
    zones, z, uz = part.shape[0] - 1, at[Z], at[UZ]
    x, ux = at[DX], at[UX]
    thick = 2.0 * half / zones
    step = 1 if ux > 0.0 else -1
    layer = min(max(int((x + half) / thick), 0), zones - 1)
    before = 0.0
    while before < way:
        here = way
        if ux != 0.0 and 0 <= layer + step < zones:
            side = layer + 1 if step > 0 else layer
            here = min(max((side * thick - half - x) / ux, before), way)
        pass_zone(in_dye, part, absorption, layer, lit_way(numbers, z, uz, False, before, here))
        if not 0 <= layer + step < zones:
            break
        before = here
        layer += step


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS, **UNCOUNTED)
def count_way(paths, medium, at, in_lamps, part, row):  # type: ignore[no-untyped-def]
    """Add what one crossing took times the way through a medium, and times what each rung leaves of it."""
    way = at[IN_COOLANT + medium]
    factor, left = way, math.exp(-way * FIRST_RUNG)
    for rung in range(RUNGS + 1):
        for a in range(in_lamps.shape[0]):
            lamp = at[WEIGHT] * in_lamps[a] * factor
            for k in range(part.shape[1]):
                paths[medium * (RUNGS + 1) + rung, a, k] += lamp * part[row, k]
        factor = left
        left = (left * left) * (left * left)  # the next rung absorbs four times as much
        if factor < NOTHING:
            break


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS, **UNCOUNTED)
def count_crossing(dye, bounces, passes, paths, at, state, in_lamps, part, inner):  # type: ignore[no-untyped-def]
    """Add what one crossing of the dye took, by zone and by what the ray had met before; clears `part`."""
    hits, filtered = min(state[HITS], bounces.shape[0] - 1), min(state[PASSES], passes.shape[0] - 1)
    last = part.shape[0] - 2  # the row behind it holds the sum of all zones
    for zone in range(inner, last + 1):
        for a in range(in_lamps.shape[0]):
            lamp = at[WEIGHT] * in_lamps[a]
            for k in range(part.shape[1]):
                dye[zone, a, k] += lamp * part[zone, k]
        for k in range(part.shape[1]):
            part[last + 1, k] += part[zone, k]
            part[zone, k] = 0.0
    for a in range(in_lamps.shape[0]):
        lamp = at[WEIGHT] * in_lamps[a]
        for k in range(part.shape[1]):
            taken = lamp * part[last + 1, k]
            bounces[hits, a, k] += taken
            passes[filtered, a, k] += taken
    for medium in range(3):
        count_way(paths, medium, at, in_lamps, part, last + 1)
    for k in range(part.shape[1]):
        part[last + 1, k] = 0.0
