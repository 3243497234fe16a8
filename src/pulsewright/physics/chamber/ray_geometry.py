"""A pump chamber as nested tubes inside a reflecting wall, for the ray tracing."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pulsewright.errors import DomainError
from pulsewright.physics._choice import one_of
from pulsewright.physics._domain import positive
from pulsewright.physics.chamber.geometry import ellipse_focal_distance, wrapped_perimeter
from pulsewright.physics.chamber.ray_kernel import CELL_GLASS, COOLANT, DYE, LAMP_GLASS, PLASMA, Scene

Float = NDArray[np.float64]
#: x, y, radius of the tubes that a wrap goes round.
Tubes = list[tuple[float, float, float]]

#: Reflectors that rays are traced in, in the spelling of the build file.
TRACED = ("double ellipse", "single ellipse", "multiple ellipse", "circular", "close-wrapped diffuse")
#: Tubes nearer than this count as one. [m]
SAME = 1e-6
_DIRECTIONS = 4096


@dataclass(frozen=True, slots=True)
class LampTube:
    """A lamp: `bore` of the outer tube, its wall, length of the arc [m], index of its glass [-].

    `inner_diameter` 0: a linear lamp beside the cell; otherwise a coaxial one round it, the outside of its inner tube.
    """

    bore: float
    wall_thickness: float
    arc_length: float
    index: float
    inner_diameter: float = 0.0

    @property
    def outside(self) -> float:
        """Outside radius of the envelope, in m."""
        return self.bore / 2 + self.wall_thickness

    @property
    def depth(self) -> float:
        """Diameter of a round arc of the same mean chord, in m."""
        return self.bore - self.inner_diameter

    @property
    def perimeter(self) -> float:
        """Outline of the full arc, in m."""
        return float(np.pi * (self.bore + self.inner_diameter))


@dataclass(frozen=True, slots=True)
class CellBody:
    """The dye cell: `bore` is the thickness of a slab, whose `width` is above 0; a wall of glass all round. SI."""

    bore: float
    wall_thickness: float
    pumped_length: float
    glass_index: float
    dye_index: float
    width: float = 0.0

    @property
    def corners(self) -> Tubes:
        """What a wrap goes round: the tube, or the four edges of a slab."""
        half = self.bore / 2 + self.wall_thickness
        if self.width <= 0:
            return [(0.0, 0.0, half)]
        side = self.width / 2 + self.wall_thickness
        return [(x, y, 0.0) for x in (-half, half) for y in (-side, side)]

    def reach(self, x: float, y: float) -> float:
        """Distance of a point from the outside of the cell, in m; below 0 inside."""
        half = self.bore / 2 + self.wall_thickness
        if self.width <= 0:
            return float(np.hypot(x, y)) - half
        dx, dy = abs(x) - half, abs(y) - self.width / 2 - self.wall_thickness
        return float(np.hypot(max(dx, 0.0), max(dy, 0.0)) + min(max(dx, dy), 0.0))


@dataclass(frozen=True, slots=True)
class Walls:
    """Reflector, ends and what fills the chamber. Lengths in m, shares and index [-]; absent dimensions are 0.

    `end_reflectivity` 1: the ends count in `opening_fraction`, and rays see mirrors there.
    """

    reflector: str
    length: float
    reflectivity: float
    opening_fraction: float
    diffuse_fraction: float
    end_reflectivity: float = 1.0
    index: float = 1.0
    semi_major: float = 0.0
    semi_minor: float = 0.0
    diameter: float = 0.0
    perimeter: float = 0.0
    lamp_distance: float = 0.0


def lamp_axes(walls: Walls, lamps: Sequence[LampTube], cell: CellBody) -> Float:
    """Where the axes of the lamps stand round the cell, whose axis is the origin.

    Parameters
    ----------
    walls : Walls
        Reflector.
    lamps : sequence of LampTube
        Lamps in the order of the build file.
    cell : CellBody
        Dye cell.

    Returns
    -------
    axes : array (lamps, 2)
        Places in the cross-section; the first lamp stands to the left. [m]

    Raises
    ------
    DomainError
        If the axes of an ellipse are missing or exchanged.

    Notes
    -----
    Valid: lamps at equal angles. In ellipses they stand in the outer focal lines; elsewhere at `lamp_distance`, or
    touching cell and neighbours. A coaxial lamp stands round the cell. Not covered: lamps at unequal angles.
    Equation: distance 2 sqrt(a^2 - b^2) in an ellipse. Source: geometry.

    Examples
    --------
    >>> walls = Walls("single ellipse", 0.1, 0.9, 0.0, 0.0, semi_major=25e-3, semi_minor=24e-3)
    >>> lamp_axes(walls, [LampTube(5e-3, 1e-3, 0.1, 1.46)], CellBody(5e-3, 1e-3, 0.1, 1.46, 1.36)).round(6).tolist()
    [[-0.014, 0.0]]
    """
    one_of("reflector", walls.reflector, TRACED)
    turn = np.pi - 2.0 * np.pi * np.arange(len(lamps)) / max(len(lamps), 1)
    away = [_distance(walls, lamp, len(lamps), cell, angle) for lamp, angle in zip(lamps, turn, strict=True)]
    axes = np.array(away)[:, None] * np.stack([np.cos(turn), np.sin(turn)], axis=1)
    return np.asarray(np.where(np.abs(axes) < 1e-15, 0.0, axes))


def _distance(walls: Walls, lamp: LampTube, count: int, cell: CellBody, turn: float) -> float:
    if lamp.inner_diameter > 0:
        return 0.0
    if walls.reflector.endswith("ellipse"):
        return 2.0 * float(ellipse_focal_distance(walls.semi_major, walls.semi_minor))
    if walls.lamp_distance > 0:
        return walls.lamp_distance
    low, high = 0.0, lamp.outside + sum(max(map(abs, corner[:2])) + corner[2] for corner in cell.corners)
    for _ in range(60):
        middle = 0.5 * (low + high)
        touches = cell.reach(middle * np.cos(turn), middle * np.sin(turn)) < lamp.outside
        low, high = (middle, high) if touches else (low, middle)
    neighbours = lamp.outside / np.sin(np.pi / count) if count > 1 else 0.0
    return max(high, float(neighbours)) + SAME


def wrap_pieces(tubes: Tubes, perimeter: float) -> tuple[Float, Float]:
    """The wall of a close wrap: the band round some tubes, moved outwards until it has its length.

    Parameters
    ----------
    tubes : list of (x, y, radius)
        What the wrap goes round.
    perimeter : float
        Length of the wall round the cross-section. [m]

    Returns
    -------
    arcs : array (P, 6)
        Centre and radius [m], direction of the middle and cosine of half the angle [-]. [mixed]
    lines : array (Q, 5)
        Outward normal [-], distance from the origin and both ends along the line [m]. [mixed]

    Raises
    ------
    DomainError
        If the wall is shorter than the tightest band.

    Notes
    -----
    Valid: convex wrap. Not covered: a wall that follows the hollows between tubes.
    Equation: a convex curve moved outwards by g is longer by 2 pi g; support function h = max(x cos t + y sin t + r).
    Source: Steiner's formula, textbook.

    Examples
    --------
    Two tubes of radius 5 that touch, wrapped tightly: two half circles and two lines.

    >>> arcs, lines = wrap_pieces([(0.0, 0.0, 5.0), (10.0, 0.0, 5.0)], 10 * np.pi + 20)
    >>> arcs.shape, lines.shape
    ((2, 6), (2, 5))
    """
    x, y, radius = (np.array(column, dtype=float) for column in zip(*tubes, strict=True))
    least = wrapped_perimeter(x, y, np.maximum(radius, 1e-12))
    if perimeter < least * (1.0 - 2e-4):
        raise DomainError(
            f"a wall of {perimeter * 1e3:.4g} mm does not go round lamps and cell",
            argument="perimeter",
            allowed=f"Allowed: at least {least * 1e3:.4g} mm",
            next_step="Give the length of the wall round the cross-section",
        )
    round_ = radius + max(perimeter - least, 0.0) / (2.0 * np.pi) + SAME
    turns = _changes(x, y, round_)
    if not turns:
        first = int(np.argmax(x + round_))
        return np.array([[x[first], y[first], round_[first], 1.0, 0.0, -1.0]]), np.zeros((0, 5))
    arcs, lines = [], []
    for (angle, before, after), (later, _, _) in zip(turns, [*turns[1:], turns[0]], strict=True):
        span = (later - angle) % (2.0 * np.pi)
        middle = angle + span / 2
        arcs.append([x[after], y[after], round_[after], np.cos(middle), np.sin(middle), np.cos(span / 2)])
        nx, ny = np.cos(angle), np.sin(angle)
        ends = sorted(float(y[i] * nx - x[i] * ny) for i in (before, after))
        lines.append([nx, ny, x[after] * nx + y[after] * ny + round_[after], *ends])
    return np.array(arcs), np.array(lines)


def _changes(x: Float, y: Float, radius: Float) -> list[tuple[float, int, int]]:
    """Directions at which the band passes from one tube to the next: angle, tube before, tube after."""
    angle = (np.arange(_DIRECTIONS) + 0.5) * (2.0 * np.pi / _DIRECTIONS)
    holds = np.argmax(np.cos(angle)[:, None] * x + np.sin(angle)[:, None] * y + radius, axis=1)
    found = []
    for i in np.flatnonzero(holds != np.roll(holds, 1)):
        a, b = int(np.roll(holds, 1)[i]), int(holds[i])
        apart, along = np.hypot(x[a] - x[b], y[a] - y[b]), np.arctan2(y[a] - y[b], x[a] - x[b])
        swing = np.arccos(np.clip((radius[b] - radius[a]) / apart, -1.0, 1.0))
        exact = min((along + swing, along - swing), key=lambda t: abs(np.angle(np.exp(1j * (t - angle[i])))))
        found.append((float(exact % (2.0 * np.pi)), a, b))
    return sorted(found)


def ray_scene(walls: Walls, lamps: Sequence[LampTube], cell: CellBody) -> Scene:
    """A pump chamber as the arrays that rays are traced through.

    Parameters
    ----------
    walls : Walls
        Reflector, ends, what fills the chamber.
    lamps : sequence of LampTube
        Linear lamps round the cell, or one coaxial lamp.
    cell : CellBody
        Dye cell.

    Returns
    -------
    scene : Scene
        Bodies, walls and emitting surfaces; the cell is the first body.

    Raises
    ------
    DomainError
        If a dimension is missing or not positive, or the wall is too short.

    Notes
    -----
    Valid: straight chamber, cell in its axis; a circular reflector has its axis half-way between cell and lamp when
    there is one lamp, since a circle images about its axis, and in the cell otherwise. The coolant fills the chamber.
    Not covered: electrodes, holders, curved ends.
    Equation: nested circles and rectangles. Source: geometry.

    Examples
    --------
    >>> walls = Walls("circular", 0.1, 0.9, 0.0, 0.0, diameter=60e-3)
    >>> scene = ray_scene(walls, [LampTube(5e-3, 1e-3, 0.1, 1.46)], CellBody(5e-3, 1e-3, 0.1, 1.46, 1.36))
    >>> scene.layers.tolist()
    [2, 2]
    """
    axes = lamp_axes(walls, lamps, cell)
    sleeve = next((lamp for lamp in lamps if lamp.inner_diameter > 0), None)
    beside = [(lamp, axis) for lamp, axis in zip(lamps, axes, strict=True) if lamp.inner_diameter <= 0]
    bodies = [_cell_layers(cell, sleeve, walls.index)]
    bodies += [[(PLASMA, lamp.bore / 2, 1.0), (LAMP_GLASS, lamp.outside, lamp.index)] for lamp, _ in beside]
    most = max(len(layers) for layers in bodies)
    shape = (len(bodies), most)
    kind, radius, index, side = np.zeros(shape, np.int64), np.zeros(shape), np.ones(shape), np.zeros(shape)
    for b, layers in enumerate(bodies):
        for m, (what, outside, n) in enumerate(layers):
            kind[b, m], radius[b, m], index[b, m] = what, positive("bore", outside, "m"), n
    if cell.width > 0:
        side[0, :2] = cell.width / 2, cell.width / 2 + cell.wall_thickness
    ellipses, arcs, lines = _wall(walls, lamps, cell, axes)
    return Scene(
        centre=np.array([[0.0, 0.0], *[axis for _, axis in beside]]),
        radius=radius,
        side=side,
        index=index,
        kind=kind,
        layers=np.array([len(layers) for layers in bodies], np.int64),
        filter_at=np.array([1] + [-1] * len(beside), np.int64),
        arc=np.array([sleeve.arc_length if sleeve else 0.0, *[lamp.arc_length for lamp, _ in beside]]),
        ellipses=ellipses,
        arcs=arcs,
        lines=lines,
        emitters=_emitters(beside, sleeve, bodies[0]),
        numbers=np.array(
            [
                walls.index,
                walls.reflectivity,
                walls.opening_fraction,
                walls.diffuse_fraction,
                walls.end_reflectivity,
                positive("length", walls.length, "m"),
                min(cell.pumped_length, walls.length),
                *(0.0, 0.0, 0.0),
            ]
        ),
    )


def _cell_layers(cell: CellBody, sleeve: LampTube | None, outside: float) -> list[tuple[int, float, float]]:
    """Dye and glass, with a coaxial lamp round them; its inner tube may be the wall of the cell."""
    glass = cell.bore / 2 + cell.wall_thickness
    layers = [(DYE, cell.bore / 2, cell.dye_index), (CELL_GLASS, glass, cell.glass_index)]
    if sleeve is None:
        return layers
    inner, gap = sleeve.inner_diameter / 2, sleeve.inner_diameter / 2 - sleeve.wall_thickness
    if gap > glass + SAME:
        layers += [(COOLANT, gap, outside), (LAMP_GLASS, inner, sleeve.index)]
    else:
        layers[1] = (CELL_GLASS, inner, cell.glass_index)
    return [*layers, (PLASMA, sleeve.bore / 2, 1.0), (LAMP_GLASS, sleeve.outside, sleeve.index)]


def _emitters(
    beside: list[tuple[LampTube, Float]], sleeve: LampTube | None, cell: list[tuple[int, float, float]]
) -> Float:
    rows = [[1.0 + i, lamp.bore / 2, 1.0, 0.0, 0.0, lamp.bore * lamp.arc_length] for i, (lamp, _) in enumerate(beside)]
    if sleeve is not None:
        layer = next(float(m) for m, (kind, _, _) in enumerate(cell) if kind == PLASMA)
        inner, outer = sleeve.inner_diameter / 2, sleeve.bore / 2
        rows.append([0.0, outer, 1.0, layer, inner, sleeve.bore * sleeve.arc_length])
        rows.append([0.0, inner, -1.0, layer, outer, sleeve.inner_diameter * sleeve.arc_length])
    found = np.array(rows)
    found[:, 5] = np.cumsum(found[:, 5]) / found[:, 5].sum()
    return found


def _wall(walls: Walls, lamps: Sequence[LampTube], cell: CellBody, axes: Float) -> tuple[Float, Float, Float]:
    """Ellipses, or arcs and lines, of the reflector."""
    none6, none5 = np.zeros((0, 6)), np.zeros((0, 5))
    if walls.reflector.endswith("ellipse"):
        a, b = (
            float(positive("semi_major", walls.semi_major, "m")),
            float(positive("semi_minor", walls.semi_minor, "m")),
        )
        turn = np.arctan2(axes[:, 1], axes[:, 0])
        rows = [[x / 2, y / 2, np.cos(t), np.sin(t), 1 / a, 1 / b] for (x, y), t in zip(axes, turn, strict=True)]
        return np.array(rows), none6, none5
    if walls.reflector == "circular":
        radius = float(positive("diameter", walls.diameter, "m")) / 2
        x, y = axes[0] / 2 if len(axes) == 1 else (0.0, 0.0)
        return np.array([[x, y, 1.0, 0.0, 1 / radius, 1 / radius]]), none6, none5
    tubes = cell.corners + [(float(x), float(y), lamp.outside) for (x, y), lamp in zip(axes, lamps, strict=True)]
    return none6, *wrap_pieces(tubes, float(positive("perimeter", walls.perimeter, "m")))
