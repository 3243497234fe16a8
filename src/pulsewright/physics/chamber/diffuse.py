"""Balance of diffuse light in a closed chamber: every surface takes its area times its absorptance."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import ArrayLike, NDArray

from pulsewright.physics._domain import Number, as_float, not_negative, plain, positive, within
from pulsewright.physics.chamber.cylinder import shell_absorptance

Float = NDArray[np.float64]


@dataclass(frozen=True, slots=True, eq=False)
class LightShares:
    """Where light that entered the chamber ends, as shares of it; together exactly 1.

    `dye` has the shells as its last axis; the others have the shape of the inputs.
    """

    dye: Float
    jacket: Float
    lamps: Float
    walls: Float
    openings: Float
    coolant: Float

    def total(self) -> Float:
        """Sum of all shares."""
        return np.asarray(
            self.dye.sum(axis=-1) + self.jacket + self.lamps + self.walls + self.openings + self.coolant,
            dtype=np.float64,
        )


def light_shares(
    shell_absorptances: ArrayLike,
    lamp_absorptance: ArrayLike,
    cell_area: float,
    lamp_area: float,
    wall_area: float,
    reflectivity: float,
    opening_fraction: float,
    jacket_transmission: ArrayLike = 1.0,
    coolant_absorption: ArrayLike = 0.0,
    coolant_volume: float = 0.0,
) -> LightShares:
    """Where diffuse light in a chamber ends: dye, jacket of the cell, lamps, walls, openings, coolant.

    Parameters
    ----------
    shell_absorptances : array (..., shells)
        Share of the light entering the dye that each shell absorbs, from `shell_absorptance`. [-]
    lamp_absorptance : float or array (...)
        Share of the light falling on the lamps that they take, envelopes included. [-]
    cell_area : float
        Lit surface of the dye. [m^2]
    lamp_area : float
        Surface of all lamps. [m^2]
    wall_area : float
        Wall of the chamber, openings included. [m^2]
    reflectivity : float
        Reflectivity of the wall between the openings. [-]
    opening_fraction : float
        Part of the wall area that lets light out. [-]
    jacket_transmission : float or array (...)
        Transmission of one passage through what surrounds the dye: cell wall, filter. [-]
    coolant_absorption : float or array (...)
        Absorption coefficient of the coolant. [1/m]
    coolant_volume : float
        Volume of the coolant. [m^3]

    Returns
    -------
    shares : LightShares
        Shares of the light that entered the chamber. [-]

    Raises
    ------
    DomainError
        If an area is negative, a share outside 0 to 1, or nothing absorbs at all.

    Notes
    -----
    Valid: exact for an integrating sphere whose surfaces all see the same diffuse light; a rough guide for ellipses,
    which focus. Reflection loss at cell and envelope surfaces only sends light back and costs nothing here.
    Not covered: focusing, shadows, lamps lighting the cell directly, saturation of the dye.
    Equation: share = A alpha / sum(A alpha); a jacketed cell takes 1 - t^2 (1 - a), of which t a reaches the dye; a
    weakly absorbing filling counts as 4 kappa V. Source: radiant balance of a diffuse enclosure, textbook.

    Examples
    --------
    >>> shares = light_shares([0.5], 0.5, 1.0, 1.0, 4.0, 0.75, 0.0)
    >>> [round(float(x), 6) for x in (shares.dye[0], shares.lamps, shares.walls)]
    [0.25, 0.25, 0.5]
    """
    dye = within("shell_absorptances", shell_absorptances, 0.0, 1.0, "-")
    through = within("jacket_transmission", jacket_transmission, 0.0, 1.0, "-")
    opening = float(within("opening_fraction", opening_fraction, 0.0, 1.0, "-"))
    wall = float(positive("wall_area", wall_area, "m^2"))
    cell = float(positive("cell_area", cell_area, "m^2"))
    whole = np.minimum(dye.sum(axis=-1), 1.0)
    to_dye = cell * through[..., None] * dye
    to_jacket = cell * (1.0 - through) * (1.0 + through * (1.0 - whole))
    to_lamps = float(not_negative("lamp_area", lamp_area, "m^2")) * within(
        "lamp_absorptance", lamp_absorptance, 0.0, 1.0, "-"
    )
    to_walls = wall * (1.0 - opening) * (1.0 - float(within("reflectivity", reflectivity, 0.0, 1.0, "-")))
    to_openings = wall * opening
    to_coolant = (
        4.0
        * not_negative("coolant_absorption", coolant_absorption, "1/m")
        * float(not_negative("coolant_volume", coolant_volume, "m^3"))
    )
    total = to_dye.sum(axis=-1) + to_jacket + to_lamps + to_walls + to_openings + to_coolant
    positive("absorbing area of the chamber", total, "m^2")
    return LightShares(
        dye=to_dye / total[..., None],
        jacket=to_jacket / total,
        lamps=to_lamps / total,
        walls=to_walls / total,
        openings=to_openings / total,
        coolant=to_coolant / total,
    )


@lru_cache(maxsize=64)
def _shells_on_ladder(optical_radius: bytes, shells: int) -> Float:
    return shell_absorptance(np.frombuffer(optical_radius), shells)


def diffuse_pump_map(
    absorption: ArrayLike,
    lamp_absorptance: ArrayLike,
    *,
    radius: float,
    pumped_length: float,
    wall_area: float,
    reflectivity: float,
    opening_fraction: float,
    lamp_area: float,
    shells: int,
) -> Float:
    """Share of the light in a diffuse chamber that each shell of the dye absorbs, on a ladder of absorption.

    Parameters
    ----------
    absorption : array (K)
        Absorption coefficients of the dye solution. [1/m]
    lamp_absorptance : array (A)
        Share of the light falling on the lamps that they take, envelopes included. [-]
    radius : float
        Radius of the dye. [m]
    pumped_length : float
        Length of dye that the chamber lights. [m]
    wall_area : float
        Wall of the chamber, openings included. [m^2]
    reflectivity : float
        Reflectivity of the wall between the openings. [-]
    opening_fraction : float
        Part of the wall area that lets light out. [-]
    lamp_area : float
        Surface of all lamps. [m^2]
    shells : int
        Number of equal-area shells of the dye. [-]

    Returns
    -------
    fraction : array (K, A, shells)
        Absorbed share of the light that enters the chamber, the innermost shell first. A map made by ray tracing
        has the same axes. [-]

    Raises
    ------
    DomainError
        If a value lies outside its domain.

    Notes
    -----
    Valid: as `light_shares`, which also names where the rest of the light ends. The absorption by shells is kept for
    the last 64 ladders. Not covered: focusing, shadows, refraction at the cell wall (a step of index there gathers
    light towards the axis), losses in jackets on the way back out.
    Equation: see `light_shares` and `shell_absorptance`. Source: derived there.

    Examples
    --------
    >>> diffuse_pump_map([10.0, 1e5], [0.5], radius=4e-3, pumped_length=0.15, wall_area=0.02, reflectivity=0.9,
    ...                  opening_fraction=0.0, lamp_area=6e-3, shells=3).shape
    (2, 1, 3)
    """
    ladder = np.atleast_1d(not_negative("absorption", absorption, "1/m"))
    lamps = np.atleast_1d(within("lamp_absorptance", lamp_absorptance, 0.0, 1.0, "-"))
    cell = float(positive("radius", radius, "m"))
    absorbed = _shells_on_ladder(np.ascontiguousarray(ladder * cell).tobytes(), int(positive("shells", shells, "-")))
    area = 2.0 * np.pi * cell * float(positive("pumped_length", pumped_length, "m"))
    shares = light_shares(
        absorbed[:, None, :], lamps[None, :], area, lamp_area, wall_area, reflectivity, opening_fraction
    )
    return shares.dye


def integrating_sphere_multiplier(reflectivity: ArrayLike, opening_fraction: ArrayLike) -> Number:
    """Factor by which an integrating sphere raises the light on its wall above one bounce's worth.

    Parameters
    ----------
    reflectivity : float or array (...)
        Reflectivity of the wall. [-]
    opening_fraction : float or array, broadcasts
        Openings over the whole inner area. [-]

    Returns
    -------
    multiplier : broadcast shape
        Sphere multiplier. [-]

    Raises
    ------
    DomainError
        If a share is outside 0 to 1, or the sphere is closed and loses nothing.

    Notes
    -----
    Valid: diffuse wall. Not covered: objects in the sphere. Equation: M = R / (1 - R (1 - f)).
    Source: integrating-sphere theory, textbook, from memory.

    Examples
    --------
    >>> round(integrating_sphere_multiplier(0.98, 0.02), 1)
    24.7
    """
    rho = within("reflectivity", reflectivity, 0.0, 1.0, "-")
    closed = 1.0 - within("opening_fraction", opening_fraction, 0.0, 1.0, "-")
    return plain(rho / positive("1 - reflectivity (1 - opening_fraction)", 1.0 - rho * closed, "-"))


def wall_transmission(absorption: ArrayLike, thickness: ArrayLike) -> Number:
    """Internal transmission of a plate or thin wall at right angles.

    Parameters
    ----------
    absorption : float or array (...)
        Absorption coefficient of the glass. [1/m]
    thickness : float or array, broadcasts
        Thickness along the light. [m]

    Returns
    -------
    transmission : broadcast shape
        Transmission without surface reflections. [-]

    Raises
    ------
    DomainError
        If an argument is negative.

    Notes
    -----
    Valid: light at right angles; diffuse light goes up to a third further in the glass.
    Not covered: reflection, scatter. Equation: exp(-kappa t). Source: Beer-Lambert law.

    Examples
    --------
    >>> wall_transmission(0.0, 1e-3)
    1.0
    """
    return plain(
        np.exp(-as_float(not_negative("absorption", absorption, "1/m")) * not_negative("thickness", thickness, "m"))
    )
