"""The parts of a discharge circuit: capacitors, branches, switch, crowbar, lamps."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from pulsewright.physics.lamp.tables import PlasmaTables

Float = NDArray[np.float64]

LAWS = ("equilibrium plasma", "square-root law", "steep law")
CROWBARS = ("none", "clamp diode", "crowbar switch")
#: Square of the thickness of the cool layer when an arc reaches the wall [m^2]: 14 um, ours; reached in some 10 ns.
FIRST_LAYER = 2e-10


@dataclass(frozen=True, slots=True)
class Crowbar:
    """What stands across the last capacitor of the ladder.

    `kind` as in `CROWBARS`; `resistance` [ohm] and constant `drop` [V] when it conducts; `closing_time` of a switch
    [s].
    """

    kind: str
    resistance: float
    drop: float = 0.0
    closing_time: float = np.inf


@dataclass(frozen=True, slots=True)
class Network:
    """Capacitors in a ladder, the last one nearest to the lamps; one for a single mesh, none if each loop has its own.

    `capacitance` of each [F]; `section_inductance` [H] and `section_resistance` [ohm] of the coils between neighbours;
    `inductance` [H] and `resistance` [ohm] that all branches of the ladder have in common.
    """

    capacitance: tuple[float, ...]
    section_inductance: float = 0.0
    section_resistance: float = 0.0
    inductance: float = 0.0
    resistance: float = 0.0
    crowbar: Crowbar | None = None


@dataclass(frozen=True, slots=True)
class Branch:
    """A loop with lamps in series, or side by side when `parallel`.

    `inductance` with the arcs at full bore [H]; `resistance` without lamps and switch [ohm]; `delay` of its switch [s];
    `capacitance` of its own [F], or None for the ladder's last.
    """

    inductance: float
    resistance: float = 0.0
    delay: float = 0.0
    capacitance: float | None = None
    parallel: bool = False


@dataclass(frozen=True, slots=True)
class SparkChannel:
    """Channel of a spark gap: `length` [m], `conductivity` [S/m], gas of `density` [kg/m^3], first `radius` [m]."""

    length: float
    conductivity: float
    density: float
    radius: float


@dataclass(frozen=True, slots=True)
class Switch:
    """Closed switch of each branch: `resistance` [ohm], constant `drop` [V], and the channel of a spark gap."""

    resistance: float = 0.0
    drop: float = 0.0
    channel: SparkChannel | None = None


@dataclass(frozen=True, slots=True)
class WallVapour:
    """What it takes to bring vapour off a wall.

    `inertia`: (pi / 4) k rho c dT^2, the square of the fluence that brings the surface to vaporising, over the time it
    takes [J^2/(m^4 s)]; `formation_energy` per heavy particle of vapour [J].
    """

    inertia: float
    formation_energy: float


@dataclass(frozen=True, slots=True, eq=False)
class LampGroup:
    """Like lamps that share one current and one plasma state.

    `count` lamps of `length` [m] and `bore` [m] in branch number `branch`; `inner_diameter` of the annulus of coaxial
    lamps, 0 for linear ones [m]; starting `channel_radius` [m] and `channel_temperature` [K]; `growth_factor` on the
    arc-growth law [-]; `electrode_drop` [V]; `impedance` K0 of one lamp [ohm A^0.5] for the square-root law, and the
    `joining_current` [A] above which the steep law takes over; `wall_factor` on the heat conducted to the wall and
    `layer_fraction`, thickness of a settled cool layer over the bore [-]; `vapour` of the wall or None.
    """

    count: int
    length: float
    bore: float
    tables: PlasmaTables
    channel_radius: float
    channel_temperature: float
    growth_factor: float
    electrode_drop: float
    impedance: float = np.nan
    branch: int = 0
    inner_diameter: float = 0.0
    joining_current: float = np.inf
    wall_factor: float = 1.0
    layer_fraction: float = 0.25
    vapour: WallVapour | None = None

    @property
    def full_square(self) -> float:
        """Square of the radius of a circle of the area of the bore or annulus [m^2]."""
        return (self.bore**2 - self.inner_diameter**2) / 4

    @property
    def wall_perimeter(self) -> float:
        """Perimeter of the walls round the plasma [m]."""
        return float(np.pi * (self.bore + self.inner_diameter))

    @property
    def band(self) -> tuple[float, float, float]:
        """In an annulus: square of the radius [m^2] at which a circle becomes a band, its perimeter there [m], and what
        that grows by per square beyond [1/m].
        """
        if self.inner_diameter <= 0:
            return np.inf, 0.0, 0.0
        gap = (self.bore - self.inner_diameter) / 2
        turn = (gap / 2) ** 2
        return turn, np.pi * gap, (self.wall_perimeter - np.pi * gap) / (self.full_square - turn)

    def log_state(self, energy_per_length: Float, square: Float, vapour: Float) -> tuple[Float, Float]:
        """Where the tables are read: logarithms of energy per heavy particle [J] and of density over that of the fill.

        From energy [J/m], square of the arc radius [m^2] and heavy particles of wall vapour [1/m], per length.
        """
        cold = np.pi * square * self.tables.number_density
        if self.vapour is None:
            return np.log(np.maximum(energy_per_length / cold, 1e-60)), np.zeros_like(cold)
        particles = cold + np.maximum(vapour, 0.0)
        return np.log(np.maximum(energy_per_length / particles, 1e-60)), np.log(particles / cold)

    def perimeter(self, square: Float) -> Float:
        """Perimeter of an arc of that square of its equivalent radius: a circle, in an annulus later a band [m]."""
        turn, round_, widen = self.band
        return np.asarray(
            np.where(square <= turn, 2 * np.pi * np.sqrt(square), round_ + widen * (np.maximum(square - turn, 0.0)))
        )


@dataclass(frozen=True, slots=True, eq=False)
class ColumnStates:
    """States of the columns of each group (G,), to begin a discharge with what another left.

    `energy_per_length` [J/m], `square` of the arc radius [m^2], `layer`, square of the cool layer's thickness [m^2],
    `vapour` heavy particles per length [1/m], `taken` heat taken up by the wall [J/m^2].
    """

    energy_per_length: Float
    square: Float
    layer: Float
    vapour: Float
    taken: Float
