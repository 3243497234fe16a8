"""Compiled heart of the sound in the dye cell: pressure and velocity on a staggered grid, one coordinate.

Leapfrog in time: pressure in cells at whole steps, velocity on faces at half steps; second order, and it keeps a
discrete energy to rounding. The wall is a mass, a spring and a resistance per area; a pressure from outside may
drive it.
"""

from __future__ import annotations

from numba import njit

from pulsewright.numerics import SUMS

# entries of `medium`
DENSITY, SPEED, GRUNEISEN = range(3)
# entries of `wall`: mass, stiffness and resistance per area; 1 where it cannot move
MASS, STIFFNESS, RESISTANCE, RIGID = range(4)
# entries of `totals`, energies per length over 2 pi, or per area of a slab
FROM_HEAT, KEPT, SPRING, RADIATED, FROM_OUTSIDE = range(5)


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True)
def between(table, place, column):  # type: ignore[no-untyped-def]
    """Value of a uniform table (time, column) at a place counted in its intervals, straight between points."""
    last = table.shape[0] - 1
    if place >= last:
        return table[last, column]
    index = int(place)
    part = place - index
    return (1.0 - part) * table[index, column] + part * table[index + 1, column]


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS)
def kick(pressure, velocity, factor):  # type: ignore[no-untyped-def]
    """Velocities of the faces between cells, by the difference of pressure; the outermost faces are walls."""
    for i in range(1, len(pressure)):
        velocity[i] -= factor * (pressure[i] - pressure[i - 1])


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True)
def pushed(old, force, rate, inertia, wall):  # type: ignore[no-untyped-def]
    """Velocity of a wall after a kick: its resistance is taken at the mean of both velocities."""
    if wall[RIGID] > 0.0:
        return 0.0
    drag = 0.5 * rate * wall[RESISTANCE] / inertia
    return (old * (1.0 - drag) + rate * force / inertia) / (1.0 + drag)


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True)
def sample(pressure, first, heated, stiff, gruneisen, compression, row):  # type: ignore[no-untyped-def]
    """Relative change of density: what the pressure presses together less what the heat drives apart."""
    for i in range(len(pressure)):
        compression[row, i] = (pressure[i] - first[i] - gruneisen * heated[i]) / stiff


@njit(cache=True, nogil=True, error_model="numpy", forceinline=True, fastmath=SUMS)
def drift(pressure, heated, velocity, area, volume, heat, place, medium, step):  # type: ignore[no-untyped-def]
    """Pressures one step on, by what flows and what is heated; returns the work that the heat did on the sound."""
    stiff = medium[DENSITY] * medium[SPEED] ** 2
    last = heat.shape[0] - 1
    row = min(int(place), last - 1)
    part = min(place - row, 1.0)
    squeezed, gruneisen = stiff * step, medium[GRUNEISEN]
    work = 0.0
    for i in range(len(pressure)):
        given = heat[row, i] + part * (heat[row + 1, i] - heat[row, i])
        rise = gruneisen * (given - heated[i])
        heated[i] = given
        before = pressure[i]
        flow = velocity[i + 1] * area[i + 1] - velocity[i] * area[i]
        changed = before - squeezed * flow / volume[i] + rise
        work += volume[i] * rise * (before + changed)
        pressure[i] = changed
    return 0.5 * work / stiff


@njit(cache=True, nogil=True, error_model="numpy")
def follow(heat, push, table_step, first, edge, curved, medium, wall, step, every, compression, motion, totals):  # type: ignore[no-untyped-def]
    """Step the sound; sample relative density change (M, N) and displacement of the wall (M,) after `every` steps.

    `heat` (T, N): heat per volume given up to each time of a table, zero at first; `push` (T, 1): pressure that drives
    the wall from outside; `first` (N,): pressure at the start; `edge` (N + 1,): faces. A curved cell has its axis at
    the first face; a flat one has the same wall on both sides.
    """
    cells, last = heat.shape[1], compression.shape[0] - 1
    stiff, inside = medium[DENSITY] * medium[SPEED] ** 2, medium[DENSITY] * (edge[1] - edge[0])
    pressure, heated, velocity = first.copy(), 0.0 * first, 0.0 * edge
    inertia = wall[MASS] + 0.5 * inside
    area, volume = 0.0 * edge + 1.0, 0.0 * first + (edge[1] - edge[0])
    if curved:
        area, volume = 1.0 * edge, 0.5 * (edge[1:] ** 2 - edge[:-1] ** 2)
    end = area[cells]
    moved, moved_back, old, old_back = 0.0, 0.0, 0.0, 0.0
    rate = 0.5 * step  # the first kick is half a step
    sample(pressure, first, heated, stiff, medium[GRUNEISEN], compression, 0)
    for done in range(last * every + 1):
        outside = between(push, done * step / table_step, 0)
        old, old_back = velocity[cells], velocity[0]
        kick(pressure, velocity, rate / inside)
        force = pressure[cells - 1] - outside - wall[STIFFNESS] * moved
        velocity[cells] = pushed(old, force, rate, inertia, wall)
        if not curved:
            force = outside - pressure[0] - wall[STIFFNESS] * moved_back
            velocity[0] = pushed(old_back, force, rate, inertia, wall)
        drained = 0.5 * wall[RESISTANCE] * (old + velocity[cells])
        drained_back = 0.5 * wall[RESISTANCE] * (old_back + velocity[0])
        # a wall's work between two times is the mean of the forces at both, times the velocity between
        half = 0.5 * step * end
        totals[RADIATED] += half * (drained * old + drained_back * old_back)
        totals[FROM_OUTSIDE] -= half * outside * (old - old_back)
        if done == last * every:
            break
        totals[RADIATED] += half * (drained * velocity[cells] + drained_back * velocity[0])
        totals[FROM_OUTSIDE] -= half * outside * (velocity[cells] - velocity[0])
        moved += step * velocity[cells]
        moved_back += step * velocity[0]
        place = (done + 1) * step / table_step
        totals[FROM_HEAT] += drift(pressure, heated, velocity, area, volume, heat, place, medium, step)
        rate = step
        if (done + 1) % every == 0:
            row = (done + 1) // every
            sample(pressure, first, heated, stiff, medium[GRUNEISEN], compression, row)
            motion[row] = moved
    totals[KEPT] = _kept(pressure, velocity, area, volume, stiff, inside, rate)
    totals[KEPT] += 0.5 * inertia * end * (velocity[cells] * old + velocity[0] * old_back)
    totals[SPRING] = 0.5 * wall[STIFFNESS] * (moved**2 + moved_back**2) * end


@njit(cache=True, nogil=True, error_model="numpy")
def _kept(pressure, velocity, area, volume, stiff, inside, rate):  # type: ignore[no-untyped-def]
    """Energy of the sound: of motion by the product of the velocities before and after, which the scheme keeps."""
    energy = 0.0
    for i in range(len(pressure)):
        energy += 0.5 * volume[i] * pressure[i] ** 2 / stiff
        if i > 0:
            before = velocity[i] + rate / inside * (pressure[i] - pressure[i - 1])
            energy += 0.5 * inside * area[i] * velocity[i] * before
    return energy
