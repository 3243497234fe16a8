"""What fill pressure, bore and field do to the first microseconds, as a map for the user's own loop.

The start decides the microseconds. Resistance comes from heated, ionised gas, and heating it takes energy and time:
ionising the fill of two lamps of 7 mm by 200 mm at 450 torr takes some 500 J, more than most dye lasers store, which is
why microsecond lamps are filled low. A map sets the current that a loop really reaches against the one that the
square-root law promises to a lamp that is already hot and filled.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pulsewright import machine as machines
from pulsewright.engine.chain import Chain
from pulsewright.engine.electric import DischargeStage, LightStage, took_off
from pulsewright.engine.inputs import Inputs, inputs_of
from pulsewright.engine.trigger import DOES_NOT_FIRE, FIRES
from pulsewright.errors import BuildError, Finding
from pulsewright.studies.pulse_figures import (
    DOES_NOT,
    TAKES_OFF,
    Progress,
    check_values,
    computed,
    refuse_unmodelled_discharge,
    rise,
    rises_to,
    varied,
)

Float = NDArray[np.float64]

HARDLY = "hardly takes off"
#: Below this part of the peak current that the square-root law promises, or with more than this part of the energy
#: left on the bank when the current ends, an arc hardly takes off. Our own choice: at half the promised current the
#: pulse is still one, below a third it is late, weak and long.
LEAST_LAW_FRACTION, MOST_LEFT = 1 / 3, 0.5
#: Quantities of a map, in the order in which they are shown.
QUANTITIES = (
    "filling_time",
    "time_of_peak",
    "peak_current",
    "law_fraction",
    "half_current_delay",
    "light_rise_time",
    "unconverted_fraction",
)
#: What the second axis can be.
SECOND = ("lamp_field", "bore")
MOST_POINTS = 2_000
#: Default axes: fills from low to full in factors, fields from weak to strong, bores of dye lasers.
FILLS = np.geomspace(10.0, 600.0, 9) * 133.32236842105263
FIELDS = np.linspace(10e3, 60e3, 8)
BORES = np.linspace(3e-3, 12e-3, 7)

NOTES = (
    "filling_time: until the arc has grown from the trigger's channel to the bore; not known where it never does.",
    (
        "law_fraction: peak current over that of the same loop with lamps of the square-root law, which are hot and "
        "filled from the first instant."
    ),
    "unconverted_fraction: part of the stored energy that has not gone into the lamps when the current peaks.",
    "The law's p^0.2 is not proven below some 200 torr.",
    (
        f"hardly takes off: less than {LEAST_LAW_FRACTION:.2f} of the promised current, or more than {MOST_LEFT:g} of "
        "the energy left on the bank; our own choice of words."
    ),
    (
        "The growth of the arc follows a law of free sparks: none is established for lamps, and channel radius, "
        "temperature and growth factor carry wide ranges. Read steps of the map, not digits."
    ),
)
CAUTION = "Where the arc does not take off the bank stays charged: it is as dangerous as before the trigger."


@dataclass(frozen=True, slots=True, eq=False)
class Axis:
    """One axis of a map: quantity `key`, SI values."""

    key: str
    unit: str
    values: Float


@dataclass(frozen=True, slots=True, eq=False)
class TakeOffMap:
    """The first microseconds over fill pressure `x` and field or bore `y`; arrays are (Y, X).

    `values` by quantity, nan where there is none; `outcome` "takes off", "hardly takes off", "does not", or what the
    trigger says. `here`: where the build itself stands on the two axes.
    """

    bench: str
    x: Axis
    y: Axis
    values: Mapping[str, Float]
    outcome: NDArray[np.str_]
    here: tuple[float, float]
    findings: tuple[Finding, ...]
    notes: tuple[str, ...] = NOTES
    cautions: tuple[str, ...] = (CAUTION,)

    def as_dict(self) -> dict[str, Any]:
        """For JSON."""
        return {
            "kind": "take-off map",
            "bench": self.bench,
            "x": {"key": self.x.key, "unit": self.x.unit, "values": self.x.values.tolist()},
            "y": {"key": self.y.key, "unit": self.y.unit, "values": self.y.values.tolist()},
            "values": {key: array.tolist() for key, array in self.values.items()},
            "outcome": self.outcome.tolist(),
            "here": list(self.here),
            "findings": [finding.as_dict() for finding in self.findings],
            "notes": list(self.notes),
            "cautions": list(self.cautions),
        }


def series_arc_length(machine: machines.Machine) -> float:
    """Arc length that the bank voltage stands on: all lamps in series, the shortest one otherwise."""
    lengths = [lamp.arc_length for lamp in machine.lamps.values()]
    return sum(lengths) if machine.loop.lamps_connected == "series" else min(lengths)


def take_off_map(
    build: machines.Build,
    chain: Chain | None = None,
    second: str = "lamp_field",
    fill_pressures: Float | None = None,
    seconds: Float | None = None,
    progress: Progress | None = None,
) -> TakeOffMap:
    """Map the first microseconds of a build's loop over fill pressure and field or bore of all its lamps.

    Parameters
    ----------
    build : Build
        With every layer applied.
    chain : Chain, optional
        Keeps stages between points.
    second : {"lamp_field", "bore"}
        The other axis: charge voltage over the arc length in series, or the bore of every lamp.
    fill_pressures, seconds : array, optional
        SI values of the two axes; by default those of dye lasers, widened to hold the build.
    progress : callable, optional
        Called with (done, total); may raise to stop the work.

    Raises
    ------
    BuildError
        If an axis is not one.
    NotModelledError
        If the build asks for something in the discharge that this version does not compute.
    """
    refuse_unmodelled_discharge(build)
    length = series_arc_length(build.machine)
    x, y = _axes(build, second, fill_pressures, seconds, length)
    check_values(build, "lamps.*.fill_pressure", x, MOST_POINTS)
    if second == "bore":
        check_values(build, "lamps.*.bore", y, MOST_POINTS)
    else:
        check_values(build, "bank.charge_voltage", y * length, MOST_POINTS)
    if x.size * y.size > MOST_POINTS:
        allowed = f"At most {MOST_POINTS} points"
        raise BuildError(Finding("error", "take-off", f"{x.size * y.size} points", allowed, "Take fewer values"))
    refused = law_refused(build)
    build, imposed = _at_any_fill(build)
    study = _Study(build, inputs_of(build), chain or Chain(), second, length, not refused)
    points = list(itertools.product(y.tolist(), x.tolist()))
    rows = computed(points, study.point, progress, chunk=4)
    shape = (y.size, x.size)
    return TakeOffMap(
        bench=build.name,
        x=Axis("fill_pressure", "Pa", x),
        y=Axis(second, "V/m" if second == "lamp_field" else "m", y),
        values={key: np.array([row[0][key] for row in rows]).reshape(shape) for key in QUANTITIES},
        outcome=np.array([row[1] for row in rows]).reshape(shape),
        here=_here(build, second, length),
        findings=(*imposed, *_without_law(refused)),
    )


def _at_any_fill(build: machines.Build) -> tuple[machines.Build, tuple[Finding, ...]]:
    """A head that fires by its own pressure is taken as started at each fill of the map."""
    if build.machine.trigger.method != "pressure drop":
        return build, ()
    message = "this head fires at the pressure where its lamps break down; here it is taken as fired at each fill"
    step = "See study pump-down for the pressure at which it fires"
    told = Finding("note", "trigger.method", message, "The map asks what each fill would do", step)
    return build.override({"trigger.method": "ideal"}), (told,)


def law_refused(build: machines.Build) -> list[Finding]:
    """Why the square-root law cannot be set beside this loop: no constant for a fill, or a loop it does not cover."""
    law = build.override({"loop.lamp_law": "square-root law"})
    electric = ("loop", "lamps", "branches")
    return [row for row in machines.not_modelled(law) if row.grade == "error" and row.path.split(".")[0] in electric]


def _without_law(refused: list[Finding]) -> tuple[Finding, ...]:
    """Why a quantity is missing everywhere."""
    if not refused:
        return ()
    message = f"no law_fraction: {refused[0].message}"
    return (Finding("note", "loop.lamp_law", message, refused[0].allowed, "Read the outcome without it"),)


def _axes(
    build: machines.Build, second: str, fills: Float | None, seconds: Float | None, length: float
) -> tuple[Float, Float]:
    """The two axes; a default one is widened to hold the build's own place."""
    if second not in SECOND:
        allowed = f"One of {', '.join(SECOND)}"
        raise BuildError(Finding("error", "second", f'"{second}" is no axis of this map', allowed, "Choose lamp_field"))
    fill, other = _here(build, second, length)
    x = _held(FILLS, fill, np.geomspace) if fills is None else fills
    y = _held(FIELDS if second == "lamp_field" else BORES, other, np.linspace) if seconds is None else seconds
    return np.asarray(x, dtype=float).ravel(), np.asarray(y, dtype=float).ravel()


def _held(values: Float, place: float, spaced: Callable[[float, float, int], Float]) -> Float:
    """An axis with its ends moved out to a place that lies beyond them."""
    low, high = min(float(values[0]), place), max(float(values[-1]), place)
    return values if (low, high) == (values[0], values[-1]) else spaced(low, high, values.size)


def _here(build: machines.Build, second: str, length: float) -> tuple[float, float]:
    """The build's own place: its first lamp's fill, and its field or that lamp's bore."""
    lamp = next(iter(build.machine.lamps.values()))
    other = lamp.bore if second == "bore" else build.machine.bank.charge_voltage / length
    return lamp.fill_pressure, other


@dataclass(frozen=True, slots=True)
class _Study:
    """What every point of one map shares."""

    build: machines.Build
    base: Inputs
    chain: Chain
    second: str
    length: float
    promised: bool

    def point(self, place: tuple[float, float]) -> tuple[dict[str, float], str]:
        """Quantities and outcome at (y, x)."""
        other, pressure = place
        inputs = varied(self.base, self.build, "lamps.*.fill_pressure", pressure)
        if self.second == "bore":
            inputs = varied(inputs, self.build, "lamps.*.bore", other)
        else:
            inputs = inputs.varied("bank.charge_voltage", other * self.length)
        trigger, discharge, light = self.chain.electric(inputs)
        if trigger.outcome == DOES_NOT_FIRE:
            return dict.fromkeys(QUANTITIES, np.nan), trigger.outcome
        promise = self._promise(inputs)
        found = _quantities(discharge, light, promise)
        return found, trigger.outcome if trigger.outcome != FIRES else _outcome(inputs, discharge, found)

    def _promise(self, inputs: Inputs) -> float:
        """Peak current of the same loop with lamps of the square-root law; nan where there is none."""
        if not self.promised:
            return np.nan
        machine = inputs.machine
        loop = replace(machine.loop, lamp_law="square-root law")
        law = replace(inputs, build=replace(inputs.build, machine=replace(machine, loop=loop)))
        return float(self.chain.discharge(law)[1].peak_current)


def _quantities(discharge: DischargeStage, light: LightStage, promise: float) -> dict[str, float]:
    record = discharge.record
    current = np.abs(record.current)
    peak = int(np.argmax(current))
    power = np.sum(record.branch_voltage * record.branch_current, axis=1)
    given = float(np.trapezoid(power[: peak + 1], record.time[: peak + 1]))
    filled = np.asarray(record.filled, dtype=float)
    values = (
        float(np.nan if np.isnan(filled).any() else filled.max()),
        float(record.time[peak]),
        discharge.peak_current,
        discharge.peak_current / promise if promise > 0 else np.nan,
        rises_to(record.time, current, 0.5),
        rise(light.time, light.radiated_power),
        float(np.clip(1.0 - given / discharge.stored_energy, 0.0, 1.0)),
    )
    return dict(zip(QUANTITIES, values, strict=True))


def _outcome(inputs: Inputs, discharge: DischargeStage, found: Mapping[str, float]) -> str:
    record = discharge.record
    if not took_off(inputs, record):
        return DOES_NOT
    left = record.energies["left on the bank"] > MOST_LEFT * sum(record.energies.values())
    return HARDLY if left or found["law_fraction"] < LEAST_LAW_FRACTION else TAKES_OFF
