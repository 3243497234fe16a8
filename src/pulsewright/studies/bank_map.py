"""Maps of discharge and light over one to three entries of a build: capacitance, voltage, inductance, or any other."""

from __future__ import annotations

import itertools
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pulsewright import machine as machines
from pulsewright.engine.chain import Chain
from pulsewright.engine.inputs import Inputs, inputs_of
from pulsewright.errors import BuildError, Finding
from pulsewright.studies.pulse_figures import (
    FIGURES,
    Progress,
    Pulse,
    check_values,
    computed,
    paths_of,
    pulse_of,
    refuse_unmodelled_discharge,
    varied,
)

Float = NDArray[np.float64]

#: Most axes, and most points of a map: what a page or a table can still show.
MOST_AXES, MOST_POINTS = 3, 200_000
NOTES = (
    (
        "The light is what leaves the lamps behind their envelopes, without chamber and dye; in_band_energy counts "
        "0.2 to 1 um."
    ),
    (
        "explosion_fraction is the energy of one lamp over the lowest published explosion energy for this pulse; it "
        "was found for 0.1 to 10 ms and is an extrapolation for shorter pulses."
    ),
)
CAUTION = "A bank at any of these points can kill: a map says nothing of what is safe to build or to touch."


@dataclass(frozen=True, slots=True, eq=False)
class MapAxis:
    """One axis: `path` of the entry (`lamps.*.bore` is every lamp), quantity `key`, SI values."""

    path: str
    key: str
    unit: str
    values: Float


@dataclass(frozen=True, slots=True, eq=False)
class BankMap:
    """Figures over a grid: `values` by quantity, each of the shape of the axes in order; `outcome` a word a point.

    A figure that does not exist at a point is nan there. `discharges` counts what was really computed.
    """

    bench: str
    axes: tuple[MapAxis, ...]
    values: Mapping[str, Float]
    outcome: NDArray[np.str_]
    discharges: int
    notes: tuple[str, ...] = NOTES
    cautions: tuple[str, ...] = (CAUTION,)

    @property
    def shape(self) -> tuple[int, ...]:
        """Number of values on each axis."""
        return tuple(axis.values.size for axis in self.axes)

    def rows(self) -> Iterator[tuple[tuple[float, ...], dict[str, float], str]]:
        """Every point: its place on the axes, its figures, its outcome; the last axis runs fastest."""
        for index in np.ndindex(self.shape):
            place = tuple(float(axis.values[i]) for axis, i in zip(self.axes, index, strict=True))
            yield place, {key: float(array[index]) for key, array in self.values.items()}, str(self.outcome[index])

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {
            "kind": "bank map",
            "bench": self.bench,
            "axes": [
                {"path": axis.path, "key": axis.key, "unit": axis.unit, "values": axis.values.tolist()}
                for axis in self.axes
            ],
            "values": {key: array.tolist() for key, array in self.values.items()},
            "outcome": self.outcome.tolist(),
            "discharges": self.discharges,
            "notes": list(self.notes),
            "cautions": list(self.cautions),
        }


def bank_map(
    build: machines.Build, axes: Mapping[str, Float], chain: Chain | None = None, progress: Progress | None = None
) -> BankMap:
    """Map discharge and light of a build over one to three of its entries; dye and mirrors are not computed.

    Parameters
    ----------
    build : Build
        With every layer applied.
    axes : mapping of path to array
        Entry to the SI values it takes, in the order of the axes; `lamps.*.fill_pressure` sets every lamp.
    chain : Chain, optional
        Keeps stages between points.
    progress : callable, optional
        Called with (done, total); may raise to stop the work.

    Raises
    ------
    BuildError
        If there are no axes or too many, too many points, or values that an entry cannot take.
    NotModelledError
        If the build asks for something in the discharge that this version does not compute.
    """
    refuse_unmodelled_discharge(build)
    checked = tuple(_axis(build, path, values) for path, values in axes.items())
    _check_size(checked)
    counted = chain or Chain()
    before = counted.runs.get("discharge", 0)
    base = inputs_of(build)
    points = [
        tuple(zip((axis.path for axis in checked), place, strict=True))
        for place in itertools.product(*(axis.values.tolist() for axis in checked))
    ]
    pulses = computed(points, lambda point: map_point(base, build, counted, point), progress)
    shape = tuple(axis.values.size for axis in checked)
    return BankMap(
        bench=build.name,
        axes=checked,
        values={key: np.array([pulse.figures[key] for pulse in pulses]).reshape(shape) for key in FIGURES},
        outcome=np.array([pulse.outcome for pulse in pulses]).reshape(shape),
        discharges=counted.runs.get("discharge", 0) - before,
        notes=(*NOTES, *_own_pressure(build, checked)),
    )


def _own_pressure(build: machines.Build, axes: tuple[MapAxis, ...]) -> Iterator[str]:
    """A fill that is an axis and is not used."""
    if build.machine.trigger.method == "pressure drop" and any(axis.key == "fill_pressure" for axis in axes):
        yield "The fill changes nothing here: this head fires at the pressure where its lamps break down."


def map_point(base: Inputs, build: machines.Build, chain: Chain, point: tuple[tuple[str, float], ...]) -> Pulse:
    """One point of a map."""
    for path, value in point:
        base = varied(base, build, path, value)
    return pulse_of(replace(base), chain)


def _axis(build: machines.Build, path: str, values: Float) -> MapAxis:
    array = np.asarray(values, dtype=float).ravel()
    check_values(build, path, array, MOST_POINTS)
    where = machines.address(paths_of(build, path)[0])
    if where is None or where.field.kind != "number":
        build.replace(path, 1.0)  # tells the nearest path
        raise BuildError(Finding("error", path, "this entry cannot be an axis", "A number", "Choose another entry"))
    return MapAxis(path, where.field.key, where.field.unit, array)


def _check_size(axes: tuple[MapAxis, ...]) -> None:
    if not 1 <= len(axes) <= MOST_AXES:
        raise BuildError(
            Finding(
                "error",
                "axes",
                f"a map with {len(axes)} axes",
                f"1 to {MOST_AXES} entries of the build",
                'Give one, for instance bank.charge_voltage from "6 kV" to "12 kV"',
            )
        )
    total = int(np.prod([axis.values.size for axis in axes]))
    if total > MOST_POINTS:
        raise BuildError(
            Finding("error", "axes", f"{total} points", f"At most {MOST_POINTS} points", "Take fewer values an axis")
        )
