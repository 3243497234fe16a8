"""Compiled: where a ray inside a reflector meets its wall: a union of ellipses, or a convex wrap of arcs and lines."""

from __future__ import annotations

import math

from numba import njit

from pulsewright.numerics import UNCOUNTED
from pulsewright.physics.chamber.ray_optics_kernel import FAR, circle_reach

# Distance below which two crossings are the same place. [m]
CLOSE = 1e-12
# Slack at the joints of a wrap, so that no ray slips between two pieces. [-]
JOINT = 1e-9


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def ellipse_reach(ellipses, e, x, y, ux, uy):  # type: ignore[no-untyped-def]
    """Both crossings of one of the ellipses, given as centre, cosine and sine of their turn, 1 / half-axes."""
    dx, dy = x - ellipses[e, 0], y - ellipses[e, 1]
    c, s, a, b = ellipses[e, 2], ellipses[e, 3], ellipses[e, 4], ellipses[e, 5]
    return circle_reach((dx * c + dy * s) * a, (dy * c - dx * s) * b, (ux * c + uy * s) * a, (uy * c - ux * s) * b, 1.0)


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def ellipse_normal(ellipses, e, x, y):  # type: ignore[no-untyped-def]
    """Outward normal of one of the ellipses at a point on it."""
    dx, dy = x - ellipses[e, 0], y - ellipses[e, 1]
    c, s, a, b = ellipses[e, 2], ellipses[e, 3], ellipses[e, 4], ellipses[e, 5]
    along, across = (dx * c + dy * s) * (a * a), (dy * c - dx * s) * (b * b)
    size = math.sqrt(along * along + across * across)
    return (along * c - across * s) / size, (along * s + across * c) / size


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def leave_ellipses(ellipses, spans, x, y, ux, uy):  # type: ignore[no-untyped-def]
    """Distance at which the ray leaves the union of ellipses, and which of them; FAR when it is in none."""
    count = ellipses.shape[0]
    for e in range(count):
        spans[e, 0], spans[e, 1] = ellipse_reach(ellipses, e, x, y, ux, uy)
    gone, last = 0.0, -1
    more = True
    while more:
        more = False
        for e in range(count):
            if spans[e, 0] < FAR and spans[e, 0] <= gone + CLOSE and spans[e, 1] > gone + CLOSE:
                gone, last, more = spans[e, 1], e, count > 1
    return gone if last >= 0 else FAR, last


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def leave_wrap(arcs, lines, x, y, ux, uy):  # type: ignore[no-untyped-def]
    """Distance at which the ray leaves a convex wrap, and the outward normal there.

    `arcs`: centre, radius, direction of their middle, cosine of half their angle; `lines`: outward normal, distance
    from the origin, and the ends along the line.
    """
    gone, nx, ny = FAR, 0.0, 0.0
    for i in range(lines.shape[0]):
        outward = ux * lines[i, 0] + uy * lines[i, 1]
        if outward > 1e-15:
            t = max((lines[i, 2] - x * lines[i, 0] - y * lines[i, 1]) / outward, 0.0)
            place = (y + t * uy) * lines[i, 0] - (x + t * ux) * lines[i, 1]
            if t < gone and lines[i, 3] - JOINT <= place <= lines[i, 4] + JOINT:
                gone, nx, ny = t, lines[i, 0], lines[i, 1]
    for i in range(arcs.shape[0]):
        dx, dy, radius = x - arcs[i, 0], y - arcs[i, 1], arcs[i, 2]
        _, t = circle_reach(dx, dy, ux, uy, radius)
        if t < gone and t > -CLOSE:
            px, py = (dx + t * ux) / radius, (dy + t * uy) / radius
            if px * arcs[i, 3] + py * arcs[i, 4] >= arcs[i, 5] - JOINT:
                gone, nx, ny = max(t, 0.0), px, py
    return gone, nx, ny


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def leave(ellipses, arcs, lines, spans, x, y, ux, uy):  # type: ignore[no-untyped-def]
    """Distance to the wall and its outward normal there; FAR when none is found."""
    if ellipses.shape[0] == 0:
        gone, nx, ny = leave_wrap(arcs, lines, x, y, ux, uy)
    else:
        gone, last = leave_ellipses(ellipses, spans, x, y, ux, uy)
        nx, ny = 0.0, 0.0
        if last >= 0:
            nx, ny = ellipse_normal(ellipses, last, x + gone * ux, y + gone * uy)
    return gone, nx, ny
