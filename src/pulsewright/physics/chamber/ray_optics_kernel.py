"""Compiled: random numbers of one ray, refraction at a surface, Lambert directions, where a ray meets circle or box."""

from __future__ import annotations

import math

import numpy as np
from numba import njit

from pulsewright.numerics import UNCOUNTED

# splitmix64 (Steele, Lea, Flood 2014): one counter, one mixing step, good for many short streams
GOLDEN = np.uint64(0x9E3779B97F4A7C15)
MIX_1, MIX_2 = np.uint64(0xBF58476D1CE4E5B9), np.uint64(0x94D049BB133111EB)
SHIFTS = (np.uint64(30), np.uint64(27), np.uint64(31), np.uint64(11))
TO_UNIT = 1.0 / 9007199254740992.0  # 2^-53
FAR = 1e30


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def mixed(value):  # type: ignore[no-untyped-def]
    """A 64-bit number of which every bit depends on every bit of the given one."""
    value = (value ^ (value >> SHIFTS[0])) * MIX_1
    value = (value ^ (value >> SHIFTS[1])) * MIX_2
    return value ^ (value >> SHIFTS[2])


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def begin_stream(stream, seed, ray):  # type: ignore[no-untyped-def]
    """Set the stream of one ray; the same seed and number give the same ray, whatever ran before."""
    stream[0] = mixed(mixed(np.uint64(seed) * GOLDEN + MIX_2) + np.uint64(ray) * GOLDEN)


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def uniform(stream):  # type: ignore[no-untyped-def]
    """Next number of the stream, from 0 up to but not 1."""
    stream[0] = stream[0] + GOLDEN
    return np.float64(mixed(stream[0]) >> SHIFTS[3]) * TO_UNIT


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def reflectance(cosine, ratio):  # type: ignore[no-untyped-def]
    """Fresnel reflectance of unpolarised light, and the cosine behind the surface; `ratio` index before over behind."""
    beyond = 1.0 - ratio * ratio * (1.0 - cosine * cosine)
    if beyond <= 0.0:
        return 1.0, 0.0
    onward = math.sqrt(beyond)
    across = (ratio * cosine - onward) / (ratio * cosine + onward)
    along = (cosine - ratio * onward) / (cosine + ratio * onward)
    return 0.5 * (across * across + along * along), onward


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def lambert(nx, ny, first, second):  # type: ignore[no-untyped-def]
    """Direction from a Lambert surface with the normal (nx, ny, 0), from two uniform numbers."""
    sine, turn = math.sqrt(first), 2.0 * math.pi * second
    up, side, along = math.sqrt(1.0 - first), sine * math.cos(turn), sine * math.sin(turn)
    return up * nx - side * ny, up * ny + side * nx, along


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def circle_reach(dx, dy, ux, uy, radius):  # type: ignore[no-untyped-def]
    """Distances along the ray to both crossings of a circle whose centre is at the origin; FAR, FAR when missed."""
    flat = ux * ux + uy * uy
    b = dx * ux + dy * uy
    under = b * b - flat * (dx * dx + dy * dy - radius * radius)
    if under <= 0.0 or flat <= 0.0:
        return FAR, FAR
    root = math.sqrt(under)
    return (-b - root) / flat, (-b + root) / flat


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def box_reach(dx, dy, ux, uy, hx, hy):  # type: ignore[no-untyped-def]
    """The same for a rectangle of the half-sides hx, hy."""
    low, high = -FAR, FAR
    if ux != 0.0:
        a, b = (-hx - dx) / ux, (hx - dx) / ux
        low, high = max(low, min(a, b)), min(high, max(a, b))
    elif abs(dx) > hx:
        return FAR, FAR
    if uy != 0.0:
        a, b = (-hy - dy) / uy, (hy - dy) / uy
        low, high = max(low, min(a, b)), min(high, max(a, b))
    elif abs(dy) > hy:
        return FAR, FAR
    if low >= high:
        return FAR, FAR
    return low, high


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def box_normal(dx, dy, hx, hy):  # type: ignore[no-untyped-def]
    """Outward normal of the side of a rectangle on which a point lies."""
    if abs(dx) * hy > abs(dy) * hx:
        return math.copysign(1.0, dx), 0.0
    return 0.0, math.copysign(1.0, dy)


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def lit_up_to(z, period, part):  # type: ignore[no-untyped-def]
    """Length of the lit stretch between 0 and z, of a pattern that end plates mirror: `part` in each `period`."""
    turns = math.floor(z / period + 0.5)
    rest = z - turns * period
    half = 0.5 * part
    return turns * part + min(max(rest, -half), half)


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, **UNCOUNTED)
def lit_share(start, end, period, part):  # type: ignore[no-untyped-def]
    """Share of the way from z = start to z = end that lies in lit stretches."""
    way = end - start
    if abs(way) < 1e-12 * period:
        rest = start - period * math.floor(start / period + 0.5)
        return 1.0 if abs(rest) <= 0.5 * part else 0.0
    return (lit_up_to(end, period, part) - lit_up_to(start, period, part)) / way
