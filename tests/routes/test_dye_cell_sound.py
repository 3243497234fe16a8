"""Sound in the dye cell against exact solutions and second numerical ways."""

from __future__ import annotations

from itertools import pairwise

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.integrate import solve_ivp
from scipy.special import j0, jn_zeros

from pulsewright import refdata
from pulsewright.physics.thermal.heating import wavefront_error
from pulsewright.physics.thermal.radial_sound import (
    Sound,
    Wall,
    gruneisen_parameter,
    index_slopes,
    radial_sound,
    tube_wall,
)

Float = NDArray[np.float64]

#: Ethanol, and a bore of 8 mm.
DENSITY, SPEED, GRUNEISEN, RADIUS = 789.4, 1159.0, 0.6077, 4e-3
STIFF = DENSITY * SPEED**2
CROSSING = RADIUS / SPEED
RIGID, FREE = Wall(rigid=True), Wall()
TUBE = tube_wall(2 * RADIUS, 1e-3, 2200.0, 5900.0, 0.17, 415.0)


def middles(cells: int) -> Float:
    return (np.arange(cells) + 0.5) * RADIUS / cells


def free(
    first: Float, wall: Wall, duration: float, shape: str = "cylinder", samples: int = 201, courant: float = 0.98
) -> Sound:
    """What a pressure at the start does, without heat."""
    none = np.zeros((2, len(first)))
    return radial_sound(
        none,
        duration,
        RADIUS,
        DENSITY,
        SPEED,
        GRUNEISEN,
        wall,
        shape,  # type: ignore[arg-type]
        initial_pressure=first,
        samples=samples,
        courant=courant,
    )


def pressure(found: Sound, first: Float) -> Float:
    """Pressure from the change of density, where nothing is heated."""
    return first + STIFF * found.compression


#: One-way transit from wall to axis in us, radii of 2, 5 and 25 mm: the fact sheet's figures [computed].
TRANSIT = {
    "methanol": (1.79, 4.48, 22.4),
    "ethanol": (1.73, 4.31, 21.6),
    "water": (1.35, 3.37, 16.9),
    "ethylene glycol": (1.20, 3.01, 15.1),
}


@pytest.mark.parametrize("name", TRANSIT)
def test_rarefaction_reaches_the_axis_when_sound_can(name: str) -> None:
    """A free wall lets an evenly pressed liquid go: at the axis nothing moves before R/c, then all does, within 1 %."""
    speed = float(refdata.solvent(name).sound_speed or 0.0)
    for radius, told in zip((2e-3, 5e-3, 25e-3), TRANSIT[name], strict=True):
        cells = 400
        found = radial_sound(
            np.zeros((2, cells)),
            480 * 0.999 * radius / cells / speed,  # a step close to a cell: no dispersion
            radius,
            900.0,
            speed,
            0.5,
            FREE,
            initial_pressure=np.full(cells, 1e5),
            samples=481,
            courant=1.0,
        )
        let_go = 1e5 / (900.0 * speed**2)
        gone = -found.compression[:, 0] / let_go
        arrival = found.time[int(np.argmax(gone > 0.5))]
        assert arrival == pytest.approx(1e-6 * told, rel=0.01)
        assert np.abs(gone[found.time < 0.97e-6 * told]).max() < 1e-3


def test_the_outer_part_is_disturbed_before_the_axis() -> None:
    """The front passes each radius at (R - r)/c."""
    first = np.full(400, 1e5)
    found = free(first, FREE, 1.1 * CROSSING, samples=441, courant=1.0)
    let_go = 1e5 / STIFF
    times = [found.time[int(np.argmax(-found.compression[:, i] > 0.3 * let_go))] for i in (360, 280, 200, 120, 40)]
    exact = [(RADIUS - found.radius[i]) / SPEED for i in (360, 280, 200, 120, 40)]
    assert all(early < late for early, late in pairwise(times))
    np.testing.assert_allclose(times, exact, atol=0.01 * CROSSING)


def test_even_heat_behind_a_rigid_wall_moves_nothing() -> None:
    heat = np.linspace(0.0, 1e6, 60)[:, None] * np.ones(48)
    found = radial_sound(heat, 20e-6, RADIUS, DENSITY, SPEED, GRUNEISEN, RIGID)
    assert np.abs(found.compression).max() < 1e-15
    assert np.abs(found.wall_motion).max() == 0.0


def test_plane_waves_part_and_leave_through_matched_walls() -> None:
    """d'Alembert: half of a pulse goes each way, and a wall of the liquid's own impedance sends nothing back."""
    x = middles(400)

    def shape(at: Float) -> Float:
        return np.asarray(1e5 * np.exp(-(((at - RADIUS / 2) / 3e-4) ** 2)))

    matched = Wall(resistance=DENSITY * SPEED)
    found = free(shape(x), matched, 1.2 * CROSSING, "slab", samples=61, courant=1.0)
    for row in (10, 20, 30, 60):
        way = SPEED * found.time[row]
        exact = 0.5 * (shape(x - way) + shape(x + way))
        np.testing.assert_allclose(pressure(found, shape(x))[row], exact, atol=2e-3 * 1e5)


@pytest.mark.parametrize("ratio", [0.0, 0.25, 1.0, 4.0, 14.0])
def test_a_wall_sends_back_what_its_impedance_says(ratio: float) -> None:
    """(Z - rho c) / (Z + rho c), for a plane pulse that starts in the middle."""
    x = middles(600)
    first = 1e5 * np.exp(-(((x - RADIUS / 2) / 2e-4) ** 2))
    found = free(first, Wall(resistance=ratio * DENSITY * SPEED), CROSSING, "slab", samples=3, courant=1.0)
    back = pressure(found, first)[-1]  # both halves are in the middle again
    assert back[299] == pytest.approx(1e5 * (ratio - 1.0) / (ratio + 1.0), abs=0.01 * 1e5)


@pytest.mark.parametrize(("wall", "zeros"), [(RIGID, jn_zeros(1, 3)), (FREE, jn_zeros(0, 3))], ids=["rigid", "free"])
@pytest.mark.parametrize("mode", [0, 1, 2])
def test_frequencies_of_a_round_bore_are_bessel_zeros(wall: Wall, zeros: Float, mode: int) -> None:
    """A mode J0(z r/R) has the period 2 pi R / (z c): from the zeros of its amplitude."""
    shape = 1e5 * j0(zeros[mode] * middles(300) / RADIUS)
    period = 2 * np.pi * CROSSING / zeros[mode]
    found = free(shape, wall, 5.25 * period, samples=2101)
    amplitude = pressure(found, shape) @ (shape * found.weight) / (shape * shape @ found.weight)
    signs = np.flatnonzero(amplitude[1:] * amplitude[:-1] < 0)
    step = found.time[1]
    crossings = [found.time[i] + step * amplitude[i] / (amplitude[i] - amplitude[i + 1]) for i in signs]
    assert len(crossings) in (10, 11)
    measured = 2 * (crossings[-1] - crossings[0]) / (len(crossings) - 1)
    assert measured == pytest.approx(period, rel=5e-4)
    assert np.abs(amplitude).max() < 1.001


def test_uneven_heat_behind_a_rigid_wall_is_the_sum_of_its_modes() -> None:
    """Heat given at a constant rate: each mode of pressure is Gamma q' sin(w t) / w, the mean one Gamma q' t."""
    cells, rate, duration = 300, 5e10, 3.0 * CROSSING
    r = middles(cells)
    zeros = jn_zeros(1, 40)
    profile = 0.6 + 0.8 * (r / RADIUS) ** 2
    weight = r / r.sum()
    heat = np.linspace(0.0, rate * duration, 4001)[:, None] * profile
    found = radial_sound(heat, duration, RADIUS, DENSITY, SPEED, GRUNEISEN, RIGID, samples=31)
    shapes = j0(np.outer(zeros, r / RADIUS))
    parts = shapes @ (profile * weight) / (shapes * shapes @ weight)
    for row in (5, 12, 20, 30):
        t = found.time[row]
        omega = zeros / CROSSING
        exact = GRUNEISEN * rate * (profile @ weight * t + (parts * np.sin(omega * t) / omega) @ shapes)
        told = STIFF * found.compression[row] + GRUNEISEN * rate * t * profile
        assert np.abs(told - exact).max() < 2e-3 * GRUNEISEN * rate * CROSSING


def test_a_glass_tube_against_the_method_of_lines() -> None:
    """Heat, a wall with mass, spring and load, a push from outside: SciPy on a finer grid of the same equations."""
    duration, cells = 8e-6, 160
    r = middles(cells)
    edge = np.linspace(0.0, RADIUS, cells + 1)
    profile, width = 1.0 + (r / RADIUS) ** 2, RADIUS / cells
    volume = 0.5 * np.diff(edge**2)

    def given(t: float) -> float:
        return 1e5 * np.sin(0.5 * np.pi * t / duration) ** 2

    def rising(t: float) -> float:
        return 1e5 * np.pi / (2 * duration) * np.sin(np.pi * t / duration)

    def push(t: float) -> float:
        return 2e5 * np.sin(np.pi * t / duration) ** 2

    def slope(t: float, y: Float) -> Float:
        p, v, moved = y[:cells], y[cells : 2 * cells], y[-1]
        out = np.empty_like(y)
        flow = np.concatenate([[0.0], v]) * edge
        out[:cells] = -STIFF * np.diff(flow) / volume + GRUNEISEN * rising(t) * profile
        out[cells : 2 * cells - 1] = -np.diff(p) / (DENSITY * width)
        force = p[-1] - push(t) - TUBE.stiffness * moved - TUBE.resistance * v[-1]
        out[2 * cells - 1] = force / (TUBE.mass + 0.5 * DENSITY * width)
        out[-1] = v[-1]
        return out

    exact = solve_ivp(slope, (0, duration), np.zeros(2 * cells + 1), method="DOP853", rtol=1e-8, atol=1e-9)
    coarse = 80
    table = np.linspace(0.0, duration, 4001)
    at = middles(coarse)
    found = radial_sound(
        np.array([given(t) for t in table])[:, None] * (1.0 + (at / RADIUS) ** 2),
        duration,
        RADIUS,
        DENSITY,
        SPEED,
        GRUNEISEN,
        TUBE,
        outside_pressure=np.array([push(t) for t in table]),
        samples=2,
    )
    p = exact.y[:cells, -1]
    told = (np.interp(at, r, p) - GRUNEISEN * given(duration) * (1.0 + (at / RADIUS) ** 2)) / STIFF
    np.testing.assert_allclose(found.compression[-1], told, atol=2e-3 * np.abs(told).max())
    assert found.wall_motion[-1] == pytest.approx(exact.y[-1, -1], rel=5e-3)


def test_a_slow_push_is_shared_between_liquid_and_tube() -> None:
    """At rest the liquid's pressure is p / (1 + k R / (2 K))."""
    table = 1e5 * 0.5 * (1 - np.cos(np.linspace(0.0, np.pi, 400)))
    found = radial_sound(
        np.zeros((400, 48)), 400 * CROSSING, RADIUS, DENSITY, SPEED, GRUNEISEN, TUBE, outside_pressure=table
    )
    expected = 1e5 / (1 + TUBE.stiffness * RADIUS / (2 * STIFF))
    assert STIFF * found.compression[-1].mean() == pytest.approx(expected, rel=2e-3)


#: Waves of path over 30 cm at 590 nm for 1 J/cm^3, the fact sheet's figures [computed]. The sheet rounds the change of
#: index before: half of its last digit.
WAVES = {"methanol": (103, 3.0), "ethanol": (108, 2.5), "ethylene glycol": (50, 0.5), "water": (11, 0.5)}


@pytest.mark.parametrize("name", WAVES)
def test_slow_heat_ends_in_the_isobaric_index(name: str) -> None:
    """Heated slowly against sound, with a free edge: density and index are those of a liquid that has expanded."""
    row = refdata.solvent(name)
    density, heat_capacity, expansion, speed, index, coefficient = (
        float(value or 0.0)
        for value in (
            row.density,
            row.specific_heat,
            row.expansion,
            row.sound_speed,
            row.refractive_index,
            row.index_temperature_coefficient,
        )
    )
    ramp = 1e6 * 0.5 * (1 - np.cos(np.linspace(0.0, np.pi, 400)))
    r = middles(40)
    heat = ramp[:, None] * (0.5 + 0.5 * (r / RADIUS) ** 2)
    gruneisen = float(gruneisen_parameter(expansion, speed, heat_capacity))
    found = radial_sound(heat, 300 * RADIUS / speed, RADIUS, density, speed, gruneisen, FREE)
    slope, own = index_slopes(index, expansion, coefficient)
    rise = heat[-1] / (density * heat_capacity)
    change = slope * found.compression[-1] + own * rise
    np.testing.assert_allclose(found.compression[-1], -expansion * rise, rtol=3e-3)
    np.testing.assert_allclose(change, coefficient * rise, rtol=3e-3)
    told, within = WAVES[name]
    edge = change[-1] * 1e6 / heat[-1, -1]
    assert -float(wavefront_error(edge, 0.30, 590e-9)) == pytest.approx(told, abs=within)


@pytest.mark.parametrize("shape", ["cylinder", "slab"])
@pytest.mark.parametrize("wall", [RIGID, FREE, TUBE, Wall(resistance=1.3e7), Wall(mass=0.3, resistance=2e6)])
def test_energy_is_kept_to_rounding(wall: Wall, shape: str) -> None:
    """What heat and outside pressure put in is sound, in the spring, or gone through the wall."""
    draw = np.random.default_rng(7)
    heat = np.cumsum(draw.uniform(0.0, 1e4, (60, 40)), axis=0)
    push = 1e5 * draw.uniform(0.0, 1.0, 60)
    push[0] = 0.0
    found = radial_sound(
        heat,
        25e-6,
        RADIUS,
        DENSITY,
        SPEED,
        GRUNEISEN,
        wall,
        shape,
        outside_pressure=push,  # type: ignore[arg-type]
    )
    parts = found.energies
    went = parts["sound"] + parts["wall spring"] + parts["through the wall"]
    assert went == pytest.approx(parts["from heat"] + parts["from outside"], rel=1e-11)
    assert parts["sound"] > 0


def test_steps_are_counted() -> None:
    """No more than the sound's way over cells asks for."""
    found = radial_sound(np.zeros((2, 48)), 10 * CROSSING, RADIUS, DENSITY, SPEED, GRUNEISEN, FREE, samples=161)
    assert 10 * 48 <= found.steps <= 10 * 48 / 0.98 + 160
