"""What shots do to a fill of dye, by the way it is renewed: the state before any shot, exactly."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from pulsewright import machine as machines
from pulsewright.engine.cell_shape import cell_area
from pulsewright.errors import BuildError, Finding
from pulsewright.machine.parts import DyeLoop, Machine
from pulsewright.physics.dye import fill

CLOSED, FED, FRESH, REGENERATED, STAGNANT = (
    "closed loop",
    "bleed and feed",
    "fresh fill",
    "regenerated",
    "stagnant",
)
#: Less than this many volumes of the cell between two shots leave old solution in it; well mixed, 5 % are left.
LEAST_FLUSH = 3.0


@dataclass(frozen=True, slots=True)
class State:
    """A fill before a shot: dye over that of new solution, absorption by products [1/m]."""

    dye_left: float
    product_absorption: float


@dataclass(frozen=True, slots=True)
class Course:
    """One course of a fill: what a shot destroys and makes, what is renewed behind it, where it begins.

    `feed` is what new solution holds; `start` the fill before the first shot; `products_per_shot` the absorption that a
    shot makes, `lost_per_shot` the absorption that would lower the output as much as all that products do [1/m].
    """

    bleached_per_shot: float
    products_per_shot: float
    lost_per_shot: float
    dye_renewed: float
    products_renewed: float
    start: State
    feed: State

    def acting(self, shots: float) -> State:
        """The fill after so many shots as the laser feels it: new products with all that they do."""
        made = fill.products_after_shots(shots, self.lost_per_shot, self.products_renewed, self._made)
        return State(self.state(shots).dye_left, float(made) + self.feed.product_absorption)

    def state(self, shots: float) -> State:
        """The fill after so many shots, before the next."""
        left = fill.dye_after_shots(shots, self.bleached_per_shot, self.dye_renewed, self._beginning)
        made = fill.products_after_shots(shots, self.products_per_shot, self.products_renewed, self._made)
        return State(float(left) * self.feed.dye_left, float(made) + self.feed.product_absorption)

    def settled(self) -> tuple[State, State] | None:
        """Where it stays in the end, and how the laser feels that; None where nothing is renewed and it never does."""
        if self.products_renewed == 0.0 and max(self.products_per_shot, self.lost_per_shot) > 0.0:
            return None
        if self.dye_renewed == 0.0 and self.bleached_per_shot > 0.0:
            return None
        dye = self._beginning
        if self.dye_renewed > 0.0:
            dye = float(fill.dye_at_equilibrium(self.bleached_per_shot, self.dye_renewed))
        left = dye * self.feed.dye_left
        return State(left, self._kept(self.products_per_shot)), State(left, self._kept(self.lost_per_shot))

    def _kept(self, made: float) -> float:
        if self.products_renewed == 0.0:
            return self._made + self.feed.product_absorption
        return float(fill.products_at_equilibrium(made, self.products_renewed)) + self.feed.product_absorption

    @property
    def _beginning(self) -> float:
        return min(self.start.dye_left / self.feed.dye_left, 1.0)

    @property
    def _made(self) -> float:
        return max(self.start.product_absorption - self.feed.product_absorption, 0.0)


@dataclass(frozen=True, slots=True)
class Wear:
    """What one shot does to the solution that shares it: part of the dye destroyed, absorption made [1/m].

    `lost_per_shot`: the absorption that would lower the output as much as all that products do. [1/m]
    """

    bleached_per_shot: float
    products_per_shot: float
    lost_per_shot: float


def cell_content(machine: Machine) -> float:
    """Solution in the cells, in m^3."""
    lengths = machine.cell.length + sum(cell.length for cell in machine.cells.values())
    return cell_area(machine.cell) * lengths


def fill_volume(machine: Machine, loop: DyeLoop) -> float:
    """Solution that shares the dose of a shot, in m^3: the loop, or the cell where it is filled anew or stands."""
    if loop.method in (FRESH, STAGNANT):
        return cell_content(machine)
    assert loop.volume is not None
    return loop.volume


def shot_volume(machine: Machine, loop: DyeLoop) -> float:
    """Solution renewed for each shot, in m^3; one cell when not given, none where nothing is renewed by feeding."""
    if loop.method not in (FED, FRESH):
        return 0.0
    return cell_content(machine) if loop.volume_per_shot is None else loop.volume_per_shot


def course(machine: Machine, loop: DyeLoop, wear: Wear, mixed: bool = False) -> Course:
    """The course of a fill with this wear; `mixed` takes the worse bound of a flush of the cell."""
    given = State(1.0 - machine.dye.bleached_fraction, machine.dye.product_absorption)
    new = State(1.0, 0.0)
    does = wear.bleached_per_shot, wear.products_per_shot, wear.lost_per_shot
    if loop.method == FED:
        renewed = float(fill.renewed_by_feed(shot_volume(machine, loop), fill_volume(machine, loop)))
        return Course(*does, renewed, renewed, given, new)
    if loop.method == FRESH:
        way = "well mixed" if mixed else "swept from end to end"
        left = float(fill.carried_over_fraction(shot_volume(machine, loop), cell_content(machine), way))
        return Course(*does, 1.0 - left, 1.0 - left, given, given)
    if loop.method == REGENERATED:
        # the dye that the bed takes is metered back to its absorbance
        return Course(*does, 1.0, bed_part(machine, loop, "products"), given, new)
    return Course(*does, 0.0, 0.0, given, new)


def bed_part(machine: Machine, loop: DyeLoop, what: str) -> float:
    """Part of the products or of the dye that the bed takes out of the loop between two shots."""
    removal = loop.bed_product_removal if what == "products" else loop.bed_dye_removal
    period = machine.charger.repeat_period
    assert None not in (removal, period, loop.bed_flow, loop.volume)
    return float(fill.removed_by_bed(loop.bed_flow or 0.0, period or 0.0, loop.volume or 0.0, removal or 0.0))


def dye_used_per_shot(machine: Machine, loop: DyeLoop, bleached: float) -> float:
    """Part of the dye of the whole loop that must be metered back for each shot, when regenerated."""
    return 1.0 - (1.0 - bleached) * (1.0 - bed_part(machine, loop, "dye"))


# What cannot be followed -----------------------------------------------------------------------


def chosen_loop(build: machines.Build, wanted: str | None) -> str:
    """Id of the loop that is told of.

    Raises
    ------
    BuildError
        If there is none of that id, or none at all.
    """
    loops = tuple(build.machine.loops)
    if wanted is None and loops:
        return loops[0]
    if wanted in loops:
        assert wanted is not None
        return wanted
    if not loops:
        message = "this build has no dye loop, so it is not known how much solution shares the shots"
        step = 'Add [loops.main] with method = "closed loop" and volume = "6 L", or what they are'
        raise BuildError(Finding("error", "loops", message, "A table [loops.<id>]", step))
    near = machines.nearest(wanted or "", loops)
    step = f"Perhaps {near} was meant" if near else "Name one of these"
    raise BuildError(Finding("error", "--loop", f'there is no loop "{wanted}"', f"Known: {', '.join(loops)}", step))


def refuse_unknown(machine: Machine, part: str) -> None:
    """Raise for what a way of renewal cannot do without."""
    missing = [
        Finding("error", path, message, allowed, step)
        for path, message, allowed, step in _missing(machine, machine.loops[part], f"loops.{part}")
    ]
    if missing:
        raise BuildError(*missing)


def _missing(machine: Machine, loop: DyeLoop, base: str) -> Iterator[tuple[str, str, str, str]]:
    if loop.volume is None and loop.method in (CLOSED, FED, REGENERATED):
        message = f"{loop.method}: how long the fill lasts depends on how much of it there is"
        yield f"{base}.volume", message, "Solution in the whole loop", 'Add volume = "6 L" or what it is'
    if loop.method != REGENERATED:
        return
    for key, example in (("bed_flow", "0.5 L/min"), ("bed_product_removal", "0.9"), ("bed_dye_removal", "0.9")):
        if getattr(loop, key) is None:
            words = key.removeprefix("bed_").replace("_", " ")
            allowed = "A value measured on this bed: no figures of carbon beds for dye are published"
            yield f"{base}.{key}", f"the {words} of the carbon bed is not known", allowed, f'Add {key} = "{example}"'
    if machine.charger.repeat_period is None:
        message = "what a bed takes out between shots needs the time from one shot to the next"
        yield "charger.repeat_period", message, "A time", 'Add repeat_period = "30 s" under [charger]'


def loop_findings(machine: Machine, part: str) -> Iterator[Finding]:
    """What stands in the way of reading the course as it is told."""
    loop, cell = machine.loops[part], cell_content(machine)
    period = machine.charger.repeat_period
    if loop.method in (CLOSED, FED, REGENERATED) and loop.flow is not None and period is not None:
        flushed = loop.flow * period / cell
        if flushed < LEAST_FLUSH:
            message = (
                f"only {flushed:.2g} volumes of the cell pass through it between two shots: it keeps old solution, and "
                "the dye in it ages faster than the loop that is told of"
            )
            allowed, step = f"{LEAST_FLUSH:g} volumes or more", "Raise the flow, or wait longer between shots"
            yield Finding("warning", f"loops.{part}.flow", message, allowed, step)
    if loop.method == STAGNANT and loop.volume is not None and loop.volume > 1.5 * cell:
        message = "a stagnant fill is told of the cell alone: what stands elsewhere does not take part"
        yield Finding(
            "note", f"loops.{part}.volume", message, "The cell", 'Set method = "closed loop" if it is stirred in'
        )
