"""What the schematics need to know of a laser: plain values, in SI, filled in by whoever draws.

Field names are those of the build file. None means not known; nothing is guessed silently:
where a place must be chosen to draw at all, the drawing says so in its description.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class LampShape:
    """One lamp."""

    id: str
    shape: str
    bore: float
    arc_length: float
    wall_thickness: float
    inner_diameter: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class ChamberShape:
    """The reflector."""

    reflector: str
    length: float
    semi_major: float | None = None
    semi_minor: float | None = None
    diameter: float | None = None
    perimeter: float | None = None
    lamp_distance: float | None = None
    coolant: str = "none"
    filter: str = "none"


@dataclass(frozen=True, slots=True, kw_only=True)
class CellShape:
    """The dye cell."""

    shape: str
    bore: float
    length: float
    pumped_length: float
    wall_thickness: float
    width: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class OpticShape:
    """One optic; `distance` along the beam from the output coupler, for the train."""

    id: str
    kind: str
    place: str
    distance: float | None = None
    angle: float = 0.0
    diameter: float | None = None
    curvature: float = float("inf")
    focal_length: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BranchShape:
    """The loop of one lamp, where each has its own; values as words, `capacitance` empty where the bank is shared."""

    id: str
    inductance: str
    resistance: str
    delay: str
    capacitance: str = ""


@dataclass(frozen=True, slots=True, eq=False)
class RayPicture:
    """Some traced rays in the cross-section, cell axis at the origin, y upwards.

    `paths` are corners of each ray [m]; `weights` what is left of its light on each leg, 1 where it leaves the lamp.
    `outlines` are closed curves of the reflector that they meet, `lamps` (id, x, y) of each lamp; both may be empty,
    then the drawing places them by the same rules itself.
    """

    paths: tuple[tuple[tuple[float, float], ...], ...]
    weights: tuple[tuple[float, ...], ...]
    outlines: tuple[tuple[tuple[float, float], ...], ...] = ()
    lamps: tuple[tuple[str, float, float], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class State:
    """How a part stands: a mark and a word, so that neither hue nor shape is needed alone."""

    grade: str
    word: str

    @property
    def text(self) -> str:
        """Mark and word."""
        return f"{MARKS[self.grade]} {self.word}"


#: Mark of each grade, worst first.
MARKS: Mapping[str, str] = {
    "error": "✕",
    "over": "■",
    "near": "◆",
    "warning": "▲",
    "sound": "●",
    "open": "○",
}
UNJUDGED = State(grade="open", word="not judged")


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchShape:
    """One laser, as far as drawings show it.

    Parameters
    ----------
    words : mapping of str to str
        Short texts beside parts, by part: "bank" -> "4.00 uF".
    beam : tuple of (distance, diameter)
        Beam along the train, when a shot is known. [m]
    rays : RayPicture, optional
        Rays that were traced in the chamber.
    charge_method, trigger, crowbar : str
        As in the build file.
    branches : tuple of BranchShape
        Loops of single lamps, for "separate loops".
    circuit_notes : tuple of str
        Lines below the circuit, for what has no symbol.
    """

    name: str
    lamps: tuple[LampShape, ...]
    chamber: ChamberShape
    cell: CellShape
    resonator_length: float
    rear: str
    coupler: str
    optics: tuple[OpticShape, ...] = ()
    target_distance: float | None = None
    lamps_connected: str = "series"
    network: str = "single mesh"
    sections: int | None = None
    switch: str = "none"
    charge_method: str = ""
    trigger: str = ""
    crowbar: str = "none"
    branches: tuple[BranchShape, ...] = ()
    circuit_notes: tuple[str, ...] = ()
    loop_method: str = ""
    words: Mapping[str, str] = field(default_factory=dict)
    beam: tuple[tuple[float, float], ...] = ()
    rays: RayPicture | None = None

    def optic(self, key: str) -> OpticShape | None:
        """An optic by id."""
        return next((optic for optic in self.optics if optic.id == key), None)

    def train(self) -> tuple[OpticShape, ...]:
        """Optics of the train in the order of the beam; those without a distance last."""
        placed = (optic for optic in self.optics if optic.place == "train")
        return tuple(sorted(placed, key=lambda o: (o.distance is None, o.distance or 0.0)))

    @property
    def all_own(self) -> bool:
        """Whether every loop has a capacitor of its own, so that no bank is shared."""
        apart = self.lamps_connected == "separate loops"
        return apart and all(self.branch(lamp.id).capacitance for lamp in self.lamps)

    def branch(self, lamp: str) -> BranchShape:
        """The loop of one lamp; one that the file does not have is said to be not known."""
        unknown = BranchShape(id=lamp, inductance="not known", resistance="not known", delay="")
        return next((branch for branch in self.branches if branch.id == lamp), unknown)

    def say(self, key: str) -> str:
        """The short text of a part; an unknown is said to be one."""
        return self.words.get(key) or "not known"
