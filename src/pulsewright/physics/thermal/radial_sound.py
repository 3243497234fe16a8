"""Sound that heat makes in a dye cell: density against time across a round bore, or across a slab."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.errors import DomainError
from pulsewright.physics._domain import Number, a_number, plain, positive, refuse, within
from pulsewright.physics.thermal import sound_kernel

Float = NDArray[np.float64]
Shape = Literal["cylinder", "slab"]

#: Step over the time in which sound crosses a cell. At 1 a plane wave is carried without error; the scheme is stable
#: up to there in both shapes, since no row of its matrix of differences sums to more than 4 / width^2.
COURANT = 0.98


@dataclass(frozen=True, slots=True)
class Wall:
    """What the liquid presses on, per area: mass [kg/m^2], stiffness [Pa/m], resistance [Pa s/m].

    All zero: a free surface. `rigid`: it does not move. Resistance alone: an acoustic impedance.
    """

    mass: float = 0.0
    stiffness: float = 0.0
    resistance: float = 0.0
    rigid: bool = False


@dataclass(frozen=True, slots=True, eq=False)
class Sound:
    """Density across the cell against time.

    `time` (M,) from the start [s]; `radius` (N,) middle of each cell, from the axis, in a slab from one face [m];
    `weight` (N,) its part of the cross-section [-]; `compression` (M, N) relative change of density [-]; `wall_motion`
    (M,) outwards, of the outer face [m]. `energies` per length of a bore [J/m], per area of a slab [J/m^2]: `from
    heat` and `from outside` come in, `sound`, `wall spring` and `through the wall` are where they went.
    """

    time: Float
    radius: Float
    weight: Float
    compression: Float
    wall_motion: Float
    energies: dict[str, float]
    steps: int


def gruneisen_parameter(expansion: ArrayLike, sound_speed: ArrayLike, specific_heat: ArrayLike) -> Number:
    """Pressure that heat per volume makes in a liquid that has no time to expand, over that heat.

    Parameters
    ----------
    expansion : float or array (...)
        Volume expansion coefficient. [1/K]
    sound_speed : float or array, broadcasts
        Speed of sound in the liquid. [m/s]
    specific_heat : float or array, broadcasts
        Specific heat at constant pressure. [J/(kg K)]

    Returns
    -------
    parameter : broadcast shape
        Grueneisen parameter. [-]

    Raises
    ------
    DomainError
        If sound speed or specific heat is not positive.

    Notes
    -----
    Valid: heating faster than sound leaves the heated region. Not covered: its change with temperature.
    Equation: Gamma = beta c^2 / c_p, p = Gamma q. Source: thermodynamic identity, (dp/du) at constant volume.

    Examples
    --------
    Ethanol: 1 J/cm^3 makes 6.1 bar.

    >>> round(gruneisen_parameter(1.084e-3, 1159.0, 2396.0), 3)
    0.608
    """
    speed = positive("sound_speed", sound_speed, "m/s")
    heat = positive("specific_heat", specific_heat, "J/(kg K)")
    return plain(np.asarray(expansion, dtype=float) * speed * speed / heat)


def index_density_slope(refractive_index: ArrayLike) -> Number:
    """Change of refractive index with the logarithm of density.

    Parameters
    ----------
    refractive_index : float or array (...)
        Index of the liquid. [-]

    Returns
    -------
    slope : broadcast shape
        rho dn/drho. [-]

    Raises
    ------
    DomainError
        If the index is below 1.

    Notes
    -----
    Valid: an upper bound for liquids, some 10 % above what is measured.
    Not covered: change of the molecular polarisability with density or temperature.
    Equation: rho dn/drho = (n^2 - 1)(n^2 + 2) / (6 n). Source: Lorentz-Lorenz relation.

    Examples
    --------
    >>> round(index_density_slope(1.3611), 4)   # ethanol
    0.4022
    """
    index = np.asarray(refractive_index, dtype=float)
    refuse("refractive_index", index, ~(index >= 1.0), "1 or above", "-")
    square = index * index
    return plain((square - 1.0) * (square + 2.0) / (6.0 * index))


def index_slopes(
    refractive_index: float, expansion: float, index_temperature_coefficient: float
) -> tuple[float, float]:
    """Part the measured change of index with temperature into what density does and what temperature itself does.

    Parameters
    ----------
    refractive_index : float
        Index of the liquid. [-]
    expansion : float
        Volume expansion coefficient. [1/K]
    index_temperature_coefficient : float
        Measured change of index with temperature at constant pressure. [1/K]

    Returns
    -------
    density_slope : float
        rho dn/drho at constant temperature. [-]
    temperature_slope : float
        dn/dT at constant density. [1/K]

    Raises
    ------
    DomainError
        If the index is below 1.

    Notes
    -----
    Valid: together they give the measured coefficient once the liquid has expanded. Density gets all of it, as far as
    the Lorentz-Lorenz relation, an upper bound, allows; only what is beyond it acts at once, without expansion (water).
    Not covered: what temperature does at constant density in a liquid where the relation is not reached.
    Equation: (dn/dT)_p = -beta (rho dn/drho)_T + (dn/dT)_rho. Source: chain rule; the split: Lorentz-Lorenz relation.

    Examples
    --------
    >>> slope, own = index_slopes(1.3611, 1.084e-3, -4.0e-4)   # ethanol: expansion explains all of it
    >>> round(slope, 3), own
    (0.369, 0.0)
    """
    most = float(index_density_slope(refractive_index))
    if expansion <= 0.0:
        return most, index_temperature_coefficient + expansion * most
    slope = min(max(-index_temperature_coefficient / expansion, 0.0), most)
    own = index_temperature_coefficient + expansion * slope
    return slope, own if abs(own) > 1e-12 else 0.0


def tube_wall(
    bore: float,
    wall_thickness: float,
    wall_density: float,
    wall_sound_speed: float,
    poisson_ratio: float,
    outside_impedance: float,
) -> Wall:
    """The wall of a round tube as mass, hoop spring and what it radiates into outside.

    Parameters
    ----------
    bore : float
        Inside diameter. [m]
    wall_thickness : float
        Thickness of the tube wall. [m]
    wall_density : float
        Density of the wall. [kg/m^3]
    wall_sound_speed : float
        Speed of sound in the wall, longitudinal. [m/s]
    poisson_ratio : float
        Poisson's ratio of the wall. [-]
    outside_impedance : float
        Acoustic impedance of what lies outside. [Pa s/m]

    Returns
    -------
    wall : Wall
        For `radial_sound`.

    Raises
    ------
    DomainError
        If bore, thickness, density or sound speed is not positive, or the ratio outside 0 to 0.45.

    Notes
    -----
    Valid: times longer than sound takes through the wall (0.17 us per mm of silica); a long tube.
    Not covered: echoes inside the wall, bending along the tube, waves outside that come back.
    Equation: m = rho w; k = E' w / R_m^2, E' = rho c_L^2 (1 - 2 nu) / (1 - nu)^2 (plane strain), R_m to mid-wall.
    Source: theory of thin tubes; elastic constants from the speed of sound, textbook.

    Examples
    --------
    >>> wall = tube_wall(8e-3, 1e-3, 2200.0, 5900.0, 0.17, 415.0)
    >>> round(wall.mass, 2), f"{wall.stiffness:.2e}"
    (2.2, '3.62e+12')
    """
    positive("bore", bore, "m")
    thickness = float(positive("wall_thickness", wall_thickness, "m"))
    modulus = float(positive("wall_density", wall_density, "kg/m^3")) * wall_sound_speed**2
    positive("wall_sound_speed", wall_sound_speed, "m/s")
    ratio = float(within("poisson_ratio", poisson_ratio, 0.0, 0.45, "-"))
    hoop = modulus * (1.0 - 2.0 * ratio) / (1.0 - ratio) ** 2
    middle = 0.5 * (bore + thickness)
    return Wall(wall_density * thickness, hoop * thickness / middle**2, outside_impedance)


def radial_sound(
    heat_density: Float,
    duration: float,
    extent: float,
    density: float,
    sound_speed: float,
    gruneisen: float,
    wall: Wall,
    shape: Shape = "cylinder",
    outside_pressure: Float | None = None,
    initial_pressure: Float | None = None,
    samples: int = 160,
    courant: float = COURANT,
) -> Sound:
    """Density change by sound in a heated liquid between the axis and a wall.

    Parameters
    ----------
    heat_density : array (T, N)
        Heat per volume given up to T uniform times from 0 to the duration, in N cells of equal width from
        axis to wall, or from face to face. [J/m^3]
    duration : float
        Time followed. [s]
    extent : float
        Radius of a bore, or whole thickness of a slab. [m]
    density : float
        Density of the liquid. [kg/m^3]
    sound_speed : float
        Speed of sound in the liquid. [m/s]
    gruneisen : float
        Pressure over heat per volume, `gruneisen_parameter`. [-]
    wall : Wall
        What the liquid presses on at its outer edge.
    shape : {"cylinder", "slab"}
        A round bore with its axis at the first cell, or a slab with the same wall on both sides.
    outside_pressure : array (T,) or None
        Pressure that drives the wall from outside, at the same times. [Pa]
    initial_pressure : array (N,) or None
        Pressure at the start, of a liquid at rest. [Pa]
    samples : int
        Uniform times at which the density is kept. [-]
    courant : float
        Longest step over the time in which sound crosses a cell. [-]

    Returns
    -------
    sound : Sound
        Density change, motion of the wall, energies.

    Raises
    ------
    DomainError
        If a length, time or property is not positive, or the arrays do not fit.

    Notes
    -----
    Valid: changes of density far below 1; heat spread evenly round and along the cell.
    Not covered: heat conduction (far slower), azimuthal modes, steepening into shocks, tension that tears the liquid
    (cavitation), damping.
    Equation: rho du/dt = -grad p; dp/dt = -rho c^2 div u + Gamma dq/dt; drho/rho = (p - Gamma q) / (rho c^2); at the
    wall m dv/dt + r v + k x = p - p_outside. Source: linear acoustics with a heat source, Morse and Ingard,
    Theoretical Acoustics (1968), from memory; scheme: leapfrog on a staggered grid.

    Examples
    --------
    Even heat behind a rigid wall changes no density; a free surface lets it expand.

    >>> heat = np.linspace(0.0, 1e5, 50)[:, None] * np.ones(40)
    >>> still = radial_sound(heat, 8e-6, 4e-3, 789.0, 1159.0, 0.61, Wall(rigid=True))
    >>> free = radial_sound(heat, 8e-6, 4e-3, 789.0, 1159.0, 0.61, Wall())
    >>> bool(abs(still.compression).max() < 1e-12), bool(free.compression[-1, -1] < -5e-5)
    (True, True)
    """
    table = _fitting(heat_density, duration, extent, density, sound_speed, gruneisen)
    rows, cells = table.shape
    push = np.zeros(rows) if outside_pressure is None else np.asarray(outside_pressure, dtype=float)
    first = np.zeros(cells) if initial_pressure is None else np.array(initial_pressure, dtype=float)
    if push.shape != (rows,) or first.shape != (cells,) or samples < 2:
        raise _misfit(f"{rows} times, {cells} cells; pressures of shape {push.shape} and {first.shape}")
    edge = np.linspace(0.0, extent, cells + 1)
    apart = duration / (samples - 1)
    every = max(math.ceil(apart * sound_speed / (courant * edge[1])), 1)
    compression, motion, totals = np.zeros((samples, cells)), np.zeros(samples), np.zeros(5)
    sound_kernel.follow(
        table,
        push[:, None].copy(),
        duration / (rows - 1),
        first,
        edge,
        shape == "cylinder",
        np.array([density, sound_speed, gruneisen]),
        np.array([wall.mass, wall.stiffness, wall.resistance, float(wall.rigid)]),
        apart / every,
        every,
        compression,
        motion,
        totals,
    )
    return _named(edge, shape, np.linspace(0.0, duration, samples), compression, motion, totals, every)


def _named(edge: Float, shape: str, time: Float, compression: Float, motion: Float, totals: Float, every: int) -> Sound:
    round_cell = shape == "cylinder"
    size = np.diff(edge**2) if round_cell else np.diff(edge)
    whole = 2.0 * np.pi if round_cell else 1.0
    return Sound(
        time=time,
        radius=0.5 * (edge[1:] + edge[:-1]),
        weight=size / size.sum(),
        compression=compression,
        wall_motion=motion,
        energies={
            "from heat": float(totals[sound_kernel.FROM_HEAT] * whole),
            "from outside": float(totals[sound_kernel.FROM_OUTSIDE] * whole),
            "sound": float(totals[sound_kernel.KEPT] * whole),
            "wall spring": float(totals[sound_kernel.SPRING] * whole),
            "through the wall": float(totals[sound_kernel.RADIATED] * whole),
        },
        steps=(len(time) - 1) * every,
    )


def _fitting(
    heat_density: Float, duration: float, extent: float, density: float, sound_speed: float, gruneisen: float
) -> Float:
    """The table of heat, counted from its first row."""
    positive("duration", duration, "s")
    positive("extent", extent, "m")
    positive("density", density, "kg/m^3")
    positive("sound_speed", sound_speed, "m/s")
    a_number("gruneisen", gruneisen, "-")
    table = np.ascontiguousarray(heat_density, dtype=float)
    if table.ndim != 2 or table.shape[0] < 2 or table.shape[1] < 3 or not np.isfinite(table).all():
        raise _misfit(f"a table of heat of shape {table.shape}")
    return np.asarray(table - table[0])


def _misfit(found: str) -> DomainError:
    return DomainError(
        f"tables that do not fit: {found}",
        argument="heat_density",
        allowed="Two times, three cells, two samples or more, finite, pressures to match",
        next_step="Give heat as (time, cell) and pressures on the same times and cells",
    )
