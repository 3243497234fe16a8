"""Compiled heart of the ray tracing: one ray through lamps, tubes, dye and walls of a prismatic chamber.

A ray's path does not depend on what absorbs along it, so its weight is a product: what the walls left (one number),
what the dye left (one for each absorption coefficient), what the lamps left (one for each absorptance). One path thus
serves a whole table. Every ray has its own stream of random numbers, so that its path depends on seed and number only.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numba import njit
from numpy.typing import NDArray

from pulsewright.numerics import UNCOUNTED
from pulsewright.numerics.exponential import expm1
from pulsewright.physics.chamber.ray_dye_kernel import (
    AT_BODY,
    AT_LAYER,
    BY_CUT,
    BY_ENDS,
    BY_WALLS,
    CORNERS,
    DIFFUSE,
    DX,
    DY,
    END,
    FRESH,
    HITS,
    IN_COOLANT,
    IN_ENVELOPE,
    IN_GLASS,
    LENGTH,
    NX,
    NY,
    OPENING,
    OUTSIDE,
    OUTWARD,
    PASSES,
    REFLECTIVITY,
    UX,
    UY,
    UZ,
    WEIGHT,
    X,
    Y,
    Z,
    count_crossing,
    cross_layers,
    cross_shells,
    lose,
    pass_medium,
    pass_plasma,
)
from pulsewright.physics.chamber.ray_optics_kernel import (
    FAR,
    begin_stream,
    box_normal,
    box_reach,
    circle_reach,
    lambert,
    lit_share,
    reflectance,
    uniform,
)
from pulsewright.physics.chamber.ray_wall_kernel import leave

# what a layer of a body is
COOLANT, CELL_GLASS, LAMP_GLASS, PLASMA, DYE = range(5)
# columns of `emitters`
BODY, RADIUS, SENSE, LAYER, OTHER, UP_TO = range(6)
# Walls take their share of a ray's weight down to this; a weaker ray is kept or lost whole, by chance.
LIGHTEST = 0.6
# Weight below which a ray is given up, and most surfaces it may meet; both are counted.
DUST, MOST_EVENTS = 1e-9, 4000


class Ray(NamedTuple):
    """One ray on its way.

    `at` and `state` have the columns below; `dye` (K,) and `lamps` (A,) what these have left of it; `part` (Z + 1, K)
    and `cut` (Z + 1,) room for one crossing of the dye, zeros between two; `stream` (1,) its random numbers; `start`
    (4,) where it begins; `spans` (E, 2) room for crossings of ellipses; `trail` (corners, 3) what is drawn, or none.
    """

    at: NDArray[np.float64]
    state: NDArray[np.int64]
    dye: NDArray[np.float64]
    lamps: NDArray[np.float64]
    part: NDArray[np.float64]
    cut: NDArray[np.float64]
    stream: NDArray[np.uint64]
    start: NDArray[np.float64]
    spans: NDArray[np.float64]
    trail: NDArray[np.float64]


class Scene(NamedTuple):
    """A chamber as arrays. Bodies (lamps, cell) are nested tubes, or boxes where `side` is above 0.

    `centre` (B, 2), `radius` (B, M) outside of each layer [m], `side` (B, M) the other half-side of a box [m], `index`
    (B, M), `kind` (B, M), `layers` (B,), `filter_at` (B,) number of the layer whose outside carries the filter or -1,
    `arc` (B,) length of the plasma [m]; `ellipses` (E, 6) with 1 / half-axes last, `arcs` (P, 6), `lines` (Q, 5) of
    the wall; `emitters` (S, 6) surfaces of plasma: body, radius, 1 outwards or -1 inwards, layer, the plasma's other
    radius, share of all area up to this one; `numbers` index outside, reflectivity, opening, scattered part,
    reflectivity of the ends, length of chamber and of pumped dye, absorption of coolant, cell glass, lamp glass.
    """

    centre: NDArray[np.float64]
    radius: NDArray[np.float64]
    side: NDArray[np.float64]
    index: NDArray[np.float64]  # type: ignore[assignment]  # hides a method of tuples
    kind: NDArray[np.int64]
    layers: NDArray[np.int64]
    filter_at: NDArray[np.int64]
    arc: NDArray[np.float64]
    ellipses: NDArray[np.float64]
    arcs: NDArray[np.float64]
    lines: NDArray[np.float64]
    emitters: NDArray[np.float64]
    numbers: NDArray[np.float64]


class Tally(NamedTuple):
    """What rays add up. Absorption coefficients of the dye stand last, lamp absorptances before them.

    `dye` (Z, A, K), `bounces` (N, A, K) dye light by number of wall hits, `passes` (F, A, K) by passes of the filter,
    `paths` (24, A, K) dye light times its way, and times what each rung of absorption leaves of it, in coolant, cell
    glass, lamp glass; `lost` (5, A, K); `emitted` (A,).
    """

    dye: NDArray[np.float64]
    bounces: NDArray[np.float64]
    passes: NDArray[np.float64]
    paths: NDArray[np.float64]
    lost: NDArray[np.float64]
    emitted: NDArray[np.float64]


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def nearest_body(centre, radius, side, layers, x, y, ux, uy):  # type: ignore[no-untyped-def]
    """Distance to the first body that the ray enters from outside, and which; FAR, -1 when none."""
    found, which = FAR, -1
    for b in range(layers.shape[0]):
        dx, dy, last = x - centre[b, 0], y - centre[b, 1], layers[b] - 1
        if side[b, last] > 0.0:
            near, far = box_reach(dx, dy, ux, uy, radius[b, last], side[b, last])
            if near < found and near > -1e-12 and far > 1e-12:
                found, which = max(near, 0.0), b
        elif dx * ux + dy * uy < 0.0:
            near, _ = circle_reach(dx, dy, ux, uy, radius[b, last])
            if near < found:
                found, which = max(near, 0.0), b
    return found, which


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def layer_end(radius, side, body, layer, dx, dy, ux, uy):  # type: ignore[no-untyped-def]
    """Distance to where the ray leaves a layer of a body, and whether outwards."""
    inner = FAR
    if side[body, layer] > 0.0:
        if layer > 0:
            near, far = box_reach(dx, dy, ux, uy, radius[body, layer - 1], side[body, layer - 1])
            if near > -1e-12 and far > 1e-12:
                inner = max(near, 0.0)
        _, outer = box_reach(dx, dy, ux, uy, radius[body, layer], side[body, layer])
    else:
        if layer > 0 and dx * ux + dy * uy < 0.0:
            near, _ = circle_reach(dx, dy, ux, uy, radius[body, layer - 1])
            inner = max(near, 0.0)
        _, outer = circle_reach(dx, dy, ux, uy, radius[body, layer])
    # a grazing ray that rounding put outside misses the circle it stands on
    outer = 0.0 if outer >= FAR else max(outer, 0.0)
    return min(inner, outer), outer <= inner


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def start_chord(emitters, numbers, arc, emitter, dx, dy, z, ux, uy, uz):  # type: ignore[no-untyped-def]
    """Length of lit plasma behind a point of its surface, against the direction of emission."""
    outer = emitters[emitter, RADIUS if emitters[emitter, SENSE] > 0.0 else OTHER]
    _, chord = circle_reach(dx, dy, -ux, -uy, outer)
    if emitters[emitter, SENSE] > 0.0 and emitters[emitter, OTHER] > 0.0:
        near, _ = circle_reach(dx, dy, -ux, -uy, emitters[emitter, OTHER])
        chord = min(chord, near)
    chord = 0.0 if chord >= FAR else max(chord, 0.0)
    return chord * lit_share(z, z - uz * chord, numbers[LENGTH], arc[int(emitters[emitter, BODY])])


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def mark(at, state, in_dye, trail):  # type: ignore[no-untyped-def]
    """Add a corner to the trail, when one is kept."""
    n = state[CORNERS]
    if n < trail.shape[0]:
        trail[n, 0], trail[n, 1], trail[n, 2] = at[X], at[Y], at[WEIGHT] * in_dye[0]
        state[CORNERS] = n + 1


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def emit(centre, emitters, numbers, arc, lost, emitted, at, state, in_dye, in_lamps, trail, plasma, start):  # type: ignore[no-untyped-def]
    """Start a ray on the surface of a plasma. `start`: four numbers for surface and turn, height, direction."""
    source, below = 0, 0.0
    while source < emitters.shape[0] - 1 and start[0] >= emitters[source, UP_TO]:
        below = emitters[source, UP_TO]
        source += 1
    turn = 2.0 * math.pi * (start[0] - below) / (emitters[source, UP_TO] - below)
    body, reach, sense = int(emitters[source, BODY]), emitters[source, RADIUS], emitters[source, SENSE]
    rx, ry = math.cos(turn), math.sin(turn)
    z = (start[1] - 0.5) * arc[body]
    ux, uy, uz = lambert(sense * rx, sense * ry, start[2], start[3])
    chord = start_chord(emitters, numbers, arc, source, reach * rx, reach * ry, z, ux, uy, uz)
    for a in range(in_lamps.shape[0]):
        in_lamps[a] = -expm1(-plasma[body, a] * chord)
        emitted[a] += in_lamps[a]
    for k in range(in_dye.shape[0]):
        in_dye[k] = 1.0
    at[X], at[Y], at[Z] = centre[body, 0] + reach * rx, centre[body, 1] + reach * ry, z
    at[UX], at[UY], at[UZ], at[WEIGHT] = ux, uy, uz, 1.0
    at[IN_COOLANT], at[IN_GLASS], at[IN_ENVELOPE] = 0.0, 0.0, 0.0
    state[AT_BODY], state[AT_LAYER] = body, int(emitters[source, LAYER])
    state[OUTWARD], state[FRESH] = int(sense > 0.0), 1
    state[HITS], state[PASSES], state[CORNERS] = 0, 0, 0
    mark(at, state, in_dye, trail)
    if abs(z) > 0.5 * numbers[LENGTH]:  # it shines outside the chamber
        lose(lost, BY_ENDS, 1.0, in_dye, in_lamps)
        at[WEIGHT] = 0.0


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def way_outside(  # type: ignore[no-untyped-def]
    centre, radius, side, layers, ellipses, arcs, lines, numbers, lost, at, state, in_dye, in_lamps, spans
):
    """Way through the coolant to the next body, which then is the ray's, or to the wall."""
    x, y, ux, uy = at[X], at[Y], at[UX], at[UY]
    way, body = nearest_body(centre, radius, side, layers, x, y, ux, uy)
    at_wall, at[NX], at[NY] = leave(ellipses, arcs, lines, spans, x, y, ux, uy)
    if body < 0 or at_wall < way:
        body, way = -1, at_wall
    else:
        state[AT_LAYER], state[OUTWARD] = layers[body], 0
    state[AT_BODY] = body
    pass_medium(numbers, lost, at, in_dye, in_lamps, 0, way)
    return way


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def way_inside(  # type: ignore[no-untyped-def]
    radius,
    centre,
    side,
    kind,
    arc,
    numbers,
    dye,
    bounces,
    passes,
    paths,
    lost,
    at,
    state,
    in_dye,
    in_lamps,
    part,
    cut,
    absorption,
    plasma,
):
    """Way through a layer of a body, with what absorbs along it."""
    body, layer = state[AT_BODY], state[AT_LAYER]
    dx, dy = at[X] - centre[body, 0], at[Y] - centre[body, 1]
    way, outward = layer_end(radius, side, body, layer, dx, dy, at[UX], at[UY])
    state[OUTWARD] = int(outward)
    what = kind[body, layer]
    if what == DYE:
        at[DX], at[DY] = dx, dy
        inner = 0
        if side[body, layer] > 0.0:
            cross_layers(numbers, radius[0, 0], at, in_dye, part, absorption, way)
        else:
            inner = cross_shells(numbers, radius[0, 0], at, in_dye, part, cut, absorption, way)
        count_crossing(dye, bounces, passes, paths, at, state, in_lamps, part, inner)
    elif what == PLASMA:
        z = at[Z]
        lit = lit_share(z, z + at[UZ] * way, numbers[LENGTH], arc[body])
        pass_plasma(lost, at, in_dye, in_lamps, plasma, body, way * lit)
    elif what == COOLANT:
        pass_medium(numbers, lost, at, in_dye, in_lamps, 0, way)
    elif state[FRESH] == 0:  # the first passage of the lamp's own glass is counted with the lamp
        pass_medium(numbers, lost, at, in_dye, in_lamps, 1 if what == CELL_GLASS else 2, way)
    return way


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def advance(numbers, lost, at, state, in_dye, in_lamps, trail, way):  # type: ignore[no-untyped-def]
    """Move along; end plates mirror, and take their share unless they count as openings."""
    length, z = numbers[LENGTH], at[Z]
    at[X] += way * at[UX]
    at[Y] += way * at[UY]
    at[Z] = z + way * at[UZ]
    if numbers[END] < 1.0:
        ends = abs(math.floor(at[Z] / length + 0.5) - math.floor(z / length + 0.5))
        through = numbers[END] ** ends
        lose(lost, BY_ENDS, at[WEIGHT] * (1.0 - through), in_dye, in_lamps)
        at[WEIGHT] *= through
    mark(at, state, in_dye, trail)


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def meet_wall(numbers, lost, at, state, in_dye, in_lamps, stream):  # type: ignore[no-untyped-def]
    """Wall and openings take their share or, of a weak ray, all by chance; the rest goes on, mirrored or scattered."""
    weight = at[WEIGHT]
    kept = numbers[REFLECTIVITY] * (1.0 - numbers[OPENING])
    state[HITS] += 1
    if weight * in_dye[0] > LIGHTEST:
        lose(lost, BY_WALLS, weight * (1.0 - kept), in_dye, in_lamps)
        at[WEIGHT] = weight * kept
    elif uniform(stream) >= kept:
        lose(lost, BY_WALLS, weight, in_dye, in_lamps)
        at[WEIGHT] = 0.0
    nx, ny = at[NX], at[NY]
    if numbers[DIFFUSE] > 0.0 and uniform(stream) < numbers[DIFFUSE]:
        first, second = uniform(stream), uniform(stream)
        at[UX], at[UY], at[UZ] = lambert(-nx, -ny, first, second)
    else:
        along = 2.0 * (at[UX] * nx + at[UY] * ny)
        at[UX] -= along * nx
        at[UY] -= along * ny


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def surface_normal(centre, radius, side, at, state, edge):  # type: ignore[no-untyped-def]
    """Outward normal of the surface that the ray has come to."""
    body = state[AT_BODY]
    dx, dy = at[X] - centre[body, 0], at[Y] - centre[body, 1]
    if side[body, edge] > 0.0:
        nx, ny = box_normal(dx, dy, radius[body, edge], side[body, edge])
    else:
        inverse = 1.0 / radius[body, edge]
        nx, ny = dx * inverse, dy * inverse
    return nx, ny


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def refract(at, stream, nx, ny, ratio):  # type: ignore[no-untyped-def]
    """Reflect or refract by chance; whether the ray went through. `ratio`: index before over behind."""
    cosine = at[UX] * nx + at[UY] * ny
    share, onward = reflectance(min(abs(cosine), 1.0), ratio)
    through = uniform(stream) >= share
    if through:
        along = math.copysign(onward, cosine) - ratio * cosine
        at[UX], at[UY] = ratio * at[UX] + along * nx, ratio * at[UY] + along * ny
        at[UZ] *= ratio
    else:
        at[UX] -= 2.0 * cosine * nx
        at[UY] -= 2.0 * cosine * ny
    return through


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def meet_surface(centre, radius, side, index, kind, layers, filter_at, numbers, at, state, stream):  # type: ignore[no-untyped-def]
    """Pass from a layer to the next, or be sent back. The layer beyond a body's last is the coolant outside."""
    body, layer = state[AT_BODY], state[AT_LAYER]
    beyond = layer + 1 if state[OUTWARD] else layer - 1
    edge = layer if state[OUTWARD] else beyond
    last = layers[body]
    before = numbers[OUTSIDE] if layer == last else index[body, layer]
    after = numbers[OUTSIDE] if beyond == last else index[body, beyond]
    through = True
    if before != after:
        nx, ny = surface_normal(centre, radius, side, at, state, edge)
        through = refract(at, stream, nx, ny, before / after)
    if through:
        if edge == filter_at[body]:
            state[PASSES] += 1
        if layer < last and (kind[body, layer] == LAMP_GLASS or kind[body, layer] == CELL_GLASS):
            state[FRESH] = 0
        state[AT_LAYER] = beyond
        layer = beyond
    if layer == last:
        state[AT_BODY] = -1


@njit(cache=True, nogil=True, error_model="numpy", **UNCOUNTED)
def trace(scene, tally, ray, absorption, plasma, seed, first, count, shift, stride):  # type: ignore[no-untyped-def]
    """Follow `count` rays from number `first` on; their starts are evenly spread, moved by `shift` (4,).

    `absorption` (K,) of the dye, `plasma` (B, A) [1/m]. All room is given, so that nothing is made here and no
    reference is counted: counting took two thirds of the time.
    """
    centre, radius, side, index, kind, layers, filter_at, arc, ellipses, arcs, lines, emitters, numbers = scene
    dye, bounces, passes, paths, lost, emitted = tally
    at, state, in_dye, in_lamps, part, cut, stream, start, spans, trail = ray
    for i in range(count):
        begin_stream(stream, seed, first + i)
        for j in range(4):
            place = shift[j] + (i + 1) * stride[j]
            start[j] = place - math.floor(place)
        emit(centre, emitters, numbers, arc, lost, emitted, at, state, in_dye, in_lamps, trail, plasma, start)
        meet_surface(centre, radius, side, index, kind, layers, filter_at, numbers, at, state, stream)
        events = 0
        while at[WEIGHT] * in_dye[0] > DUST and events < MOST_EVENTS:
            events += 1
            if state[AT_BODY] < 0:
                way = way_outside(
                    centre,
                    radius,
                    side,
                    layers,
                    ellipses,
                    arcs,
                    lines,
                    numbers,
                    lost,
                    at,
                    state,
                    in_dye,
                    in_lamps,
                    spans,
                )
            else:
                way = way_inside(
                    radius,
                    centre,
                    side,
                    kind,
                    arc,
                    numbers,
                    dye,
                    bounces,
                    passes,
                    paths,
                    lost,
                    at,
                    state,
                    in_dye,
                    in_lamps,
                    part,
                    cut,
                    absorption,
                    plasma,
                )
            if way >= FAR:
                break
            advance(numbers, lost, at, state, in_dye, in_lamps, trail, way)
            if state[AT_BODY] < 0:
                meet_wall(numbers, lost, at, state, in_dye, in_lamps, stream)
            else:
                meet_surface(centre, radius, side, index, kind, layers, filter_at, numbers, at, state, stream)
        lose(lost, BY_CUT, at[WEIGHT], in_dye, in_lamps)
