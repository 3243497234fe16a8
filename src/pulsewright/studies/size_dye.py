"""Best concentration, output coupling and bore for the user's own head, with how flat and how firm that best is."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass, replace
from types import MappingProxyType
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pulsewright import machine as machines
from pulsewright import refdata
from pulsewright.engine.chain import Chain, Stages
from pulsewright.engine.dye_of import dye_of
from pulsewright.engine.inputs import Inputs, inputs_of
from pulsewright.engine.margins import limit_spreads
from pulsewright.engine.margins import rows as margin_rows
from pulsewright.errors import BuildError, Finding, worst_first
from pulsewright.quantities import show
from pulsewright.records import Margin
from pulsewright.studies import dye_notes
from pulsewright.studies.dye_ends import End, at_end, ends_of, firm
from pulsewright.studies.dye_map import (
    DyeMap,
    Flat,
    Head,
    Place,
    coupling_axis,
    dye_map,
    energy_of,
    energy_within,
    flatness,
    place_of,
    plain_axes,
    polished,
    reflectivity_of,
)
from pulsewright.studies.pulse_figures import Progress, check_values
from pulsewright.studies.shot import refuse_unmodelled
from pulsewright.studies.threshold import LOWEST_PART, threshold_below

Float = NDArray[np.float64]

MOST_POINTS = 20_000
#: Default axes: so many values; concentrations so many times beyond the usual range of the dye, or about the build's
#: own where none is known; couplers from 98 to 5 %; bores as parts of the build's own.
POINTS = 11
BEYOND_USUAL, ABOUT_OWN = 3.0, 8.0
COUPLERS = (0.98, 0.05)
BORES = (0.6, 0.8, 1.0, 1.25, 1.6)
#: Digits of what is sized; what is computed is what is written.
DIGITS = 3


@dataclass(frozen=True, slots=True, eq=False)
class DyeSizing:
    """Output of one head over `bore` (B,), `concentration` (C,) and `reflectivity` (R,) of the coupler.

    `output_energy`, `ratio` (highest stress over limit of the optics, nan where none is judged): (B, C, R); `evenness`
    (B, C). `best` is computed at the digits that are written; `best_within` keeps the optics inside their limits.
    """

    bench: str
    charge_voltage: float
    coupler: str
    bore: Float
    concentration: Float
    reflectivity: Float
    output_energy: Float
    ratio: Float
    evenness: Float
    here: Place
    best: Place
    best_within: Place | None
    best_of_bore: tuple[Place, ...]
    flat: tuple[Flat, ...]
    threshold_voltage: float | None
    threshold_margin: float | None
    stops: tuple[Margin, ...]
    ends: tuple[End, ...]
    firm: bool
    changes: Mapping[str, str]
    shots: int
    findings: tuple[Finding, ...]
    notes: tuple[str, ...] = dye_notes.NOTES
    cautions: tuple[str, ...] = dye_notes.CAUTIONS

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        plain = ("bench", "charge_voltage", "coupler", "threshold_voltage", "threshold_margin", "firm", "shots")
        arrays = ("bore", "concentration", "reflectivity", "output_energy", "ratio", "evenness")
        return {
            "kind": "dye sizing",
            **{key: getattr(self, key) for key in plain},
            **{key: getattr(self, key).tolist() for key in arrays},
            "here": self.here.as_dict(),
            "best": self.best.as_dict(),
            "best_within": None if self.best_within is None else self.best_within.as_dict(),
            **{key: [row.as_dict() for row in getattr(self, key)] for key in ("best_of_bore", "flat", "stops", "ends")},
            "changes": dict(self.changes),
            "findings": [row.as_dict() for row in self.findings],
            "notes": list(self.notes),
            "cautions": list(self.cautions),
        }


def size_dye(
    build: machines.Build,
    chain: Chain | None = None,
    concentrations: Float | None = None,
    reflectivities: Float | None = None,
    bores: Float | None = None,
    progress: Progress | None = None,
) -> DyeSizing:
    """Size dye, coupler and bore of a build at its charge voltage.

    Parameters
    ----------
    build : Build
        With every layer applied.
    chain : Chain, optional
        Keeps stages between shots.
    concentrations, reflectivities, bores : array, optional
        SI values of the axes; by default about what is usual for the dye, from 5 to 98 %, about the build's bore.
    progress : callable, optional
        Called with (done, total); may raise to stop the work.

    Raises
    ------
    BuildError
        If an axis holds what its entry cannot be.
    NotModelledError
        If the build asks for something in the shot that this version does not compute.
    """
    refuse_unmodelled(build)
    plain = _one_number(build)
    axes, told = _axes(plain, concentrations, reflectivities, bores)
    head = Head(inputs_of(plain), chain or Chain())
    here = place_of(head.chain.run(inputs_of(build)), *_own(build))
    ends = ends_of(head)
    work = _Work(progress, math.prod(axis.size for axis in axes.values()), len(ends))
    found = dye_map(head, axes["bore"], axes["concentration"], axes["reflectivity"], work.map)
    rough = polished(head, found.best(), found) if found.best().output_energy > 0 else here
    best, stages, changes = _written(plain, head, rough)
    lases = best.output_energy > 0
    rows = tuple(_end(head, one, best, found, work) for one in ends) if lases else ()
    volts = _threshold(stages.inputs, head.chain) if lases else None
    charge = build.machine.bank.charge_voltage
    sizing = DyeSizing(
        bench=build.name,
        charge_voltage=charge,
        coupler=build.machine.resonator.coupler,
        bore=found.bore,
        concentration=found.concentration,
        reflectivity=found.reflectivity,
        output_energy=found.array(energy_of),
        ratio=found.array(lambda place: math.nan if place.ratio is None else place.ratio),
        evenness=found.array(lambda place: place.evenness)[:, :, 0],
        here=here,
        best=best,
        best_within=_within(head, best, found),
        best_of_bore=found.best_of_bores(),
        flat=flatness(found.array(energy_of), plain_axes(found), rough.output_energy) if lases else (),
        threshold_voltage=volts,
        threshold_margin=None if volts is None else charge / volts,
        stops=_stops(stages),
        ends=rows,
        firm=bool(rows) and firm(rows),
        changes=MappingProxyType(changes),
        shots=head.shots,
        findings=(),
    )
    findings = (*told, *dye_notes.findings(build, sizing, found, rough))
    return replace(sizing, findings=tuple(worst_first(dict.fromkeys(findings))))


@dataclass(slots=True)
class _Work:
    """Progress over the map and the maps at the ends, as one count."""

    progress: Progress | None
    points: int
    ends: int
    done: int = 0

    def map(self, done: int, _total: int) -> None:
        """Of the first map."""
        self._tell(done)

    def end(self, done: int, total: int) -> None:
        """Of a map at an end."""
        self._tell(self.points + round((self.done + done / total) * self.points / 10))

    def _tell(self, done: int) -> None:
        if self.progress is not None:
            whole = self.points + round(self.ends * self.points / 10)
            self.progress(min(done, whole), whole)


def _end(head: Head, end: tuple[str, str, float], best: Place, found: DyeMap, work: _Work) -> End:
    row, shots = at_end(head, end, best, found, work.end)
    head.shots += shots
    work.done += 1
    return row


# Axes ------------------------------------------------------------------------------------------


def _one_number(build: machines.Build) -> machines.Build:
    """The build with one number for its coupler, in place of a measured curve."""
    part = build.machine.resonator.coupler
    path = f"optics.{part}.reflectivity"
    if build.machine.optics[part].reflectivity is None:
        build = build.override({path: "0.5"})
    if f"{path}_file" not in build.machine.curves:
        return build
    curves = {key: curve for key, curve in build.machine.curves.items() if key != f"{path}_file"}
    return replace(build, machine=replace(build.machine, curves=MappingProxyType(curves)))


def _own(build: machines.Build) -> tuple[float, float, float]:
    """Where the build stands: concentration, reflectivity, bore; of a measured coupler, its middle value."""
    machine = build.machine
    part = machine.resonator.coupler
    curve = machine.curves.get(f"optics.{part}.reflectivity_file")
    value = machine.optics[part].reflectivity if curve is None else float(np.median(curve.values))
    return machine.dye.concentration, value or 0.0, machine.cell.bore


def _axes(
    build: machines.Build, concentrations: Float | None, reflectivities: Float | None, bores: Float | None
) -> tuple[dict[str, Float], list[Finding]]:
    told: list[Finding] = []
    machine = build.machine
    coupler = f"optics.{machine.resonator.coupler}.reflectivity"
    if reflectivities is None:
        first, last = (float(coupling_axis(end)) for end in COUPLERS)
        reflectivities = reflectivity_of(np.linspace(first, last, POINTS))
    given = {
        "bore": ("cell.bore", bores),
        "concentration": ("dye.concentration", _concentrations(machine) if concentrations is None else concentrations),
        "reflectivity": (coupler, reflectivities),
    }
    axes = {}
    for name, (path, values) in given.items():
        chosen = _bores(build, told) if values is None else values
        axes[name] = np.unique(np.asarray(chosen, dtype=float).ravel())
        check_values(build, path, axes[name], MOST_POINTS)
    _refuse(axes, coupler)
    return axes, told


def _refuse(axes: Mapping[str, Float], coupler: str) -> None:
    if axes["reflectivity"].max() >= 1.0 or axes["reflectivity"].min() <= 0.0:
        message = "a coupler that lets nothing out, or reflects nothing, cannot be sized"
        raise BuildError(Finding("error", coupler, message, "Above 0 and below 1", "Give for instance 0.05:0.98:13"))
    total = math.prod(axis.size for axis in axes.values())
    if total > MOST_POINTS:
        allowed, step = f"At most {MOST_POINTS} points", "Take fewer values an axis"
        raise BuildError(Finding("error", "axes", f"{total} points", allowed, step))


def _concentrations(machine: machines.Machine) -> Float:
    """About the usual range of the dye, no more than dissolves, and the build's own inside."""
    usual, own = dye_of(machine).concentration, machine.dye.concentration
    low, high = own / ABOUT_OWN, own * ABOUT_OWN
    if usual is not None and usual.low and usual.high:
        low, high = usual.low / BEYOND_USUAL, usual.high * BEYOND_USUAL
    most = _soluble(machine)
    low, high = min(low, own), max(high, own)
    if most is not None and most < high:
        high = max(most, own, 1.01 * low)
    return np.geomspace(low, high, POINTS)


def _soluble(machine: machines.Machine) -> float | None:
    """What dissolves, in mol/m^3; None where not known."""
    if machine.dye.name not in refdata.names()["dye"]:
        return None
    datum = refdata.solubility(machine.dye.name, machine.dye.solvent)
    return None if datum is None else datum.value


def _bores(build: machines.Build, told: list[Finding]) -> Float:
    """Bores about the build's own that fit into its head; those that do not are told."""
    kept = []
    for part in BORES:
        value = float(f"{part * build.machine.cell.bore:.{DIGITS - 1}e}") if part != 1.0 else build.machine.cell.bore
        try:
            if part != 1.0:
                build.override({"cell.bore": _text("cell.bore", value)})
            kept.append(value)
        except BuildError as refused:
            first = refused.findings[0]
            message = f"a bore of {show('bore', value)} is left out: {first.message}"
            told.append(Finding("note", "cell.bore", message, first.allowed, "Give --bore to choose others"))
    return np.array(kept)


# The best place --------------------------------------------------------------------------------


def _text(path: str, value: float) -> str:
    """A sized value as it is written."""
    where = machines.address(path)
    assert where is not None
    if not where.field.dimensional:
        return f"{value:.{DIGITS}g}"
    number = float(f"{value:.{DIGITS - 1}e}")
    unit = {"mol/m^3": ("mol/L", 1e-3), "m": ("mm", 1e3)}[where.field.unit]
    return f"{number * unit[1]:.{DIGITS}g} {unit[0]}"


def changes_of(build: machines.Build, place: Place) -> dict[str, str]:
    """Entries that make the build this place; what does not change is left out."""
    coupler = f"optics.{build.machine.resonator.coupler}.reflectivity"
    own = dict(zip(("dye.concentration", coupler, "cell.bore"), _own(build), strict=True))
    wanted = {"dye.concentration": place.concentration, coupler: place.reflectivity, "cell.bore": place.bore}
    return {path: _text(path, value) for path, value in wanted.items() if not math.isclose(value, own[path])}


def _written(build: machines.Build, head: Head, rough: Place) -> tuple[Place, Stages, dict[str, str]]:
    """The best place at the digits that are written, with its shot and its entries."""
    changes = changes_of(build, rough)
    curves = build.machine.curves
    sized = build.override(changes) if changes else build
    sized = replace(sized, machine=replace(sized.machine, curves=curves))
    head.shots += 1
    stages = head.chain.run(inputs_of(sized))
    return place_of(stages, *_own(sized)), stages, changes


def _within(head: Head, best: Place, found: DyeMap) -> Place | None:
    """The best place whose optics are inside their limits; None where none lases so."""
    if energy_within(best) > 0:
        return best
    start = found.best(energy_within)
    if energy_within(start) <= 0:
        return None
    return polished(head, start, found, energy_within)


def _stops(stages: Stages) -> tuple[Margin, ...]:
    """Margins of the optics, worst first."""
    wanted = tuple(row for row in stages.stresses if row.item.startswith("optics."))
    rows, _ = margin_rows(wanted, {}, limit_spreads(stages.inputs))
    return rows


def _threshold(inputs: Inputs, chain: Chain) -> float | None:
    lowest = LOWEST_PART * inputs.machine.charger.voltage_max
    return threshold_below(inputs, chain, inputs.charge_voltage, lowest)
