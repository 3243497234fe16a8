"""Plots of a shot and of an envelope: which arrays go on which axes, in display units.

A ghost is the same plot of the saved build, behind. Every plot has a fixed id, the word
that the page, the command's figure and the report use for it.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from pulsewright import units
from pulsewright.drawing.plot import Axis, Curve, CurveRole, Mark, Plot, curve
from pulsewright.quantities import QUANTITIES
from pulsewright.records import Array, Envelope, Shot

Arrays = Mapping[str, Array]
_PREFIXES = ((1e-9, "n"), (1e-6, "u"), (1e-3, "m"), (1.0, ""), (1e3, "k"), (1e6, "M"), (1e9, "G"))
_PLAIN_UNITS = ("V", "A", "J", "W", "s", "m", "K")


def display(key: str, *values: NDArray[np.float64]) -> tuple[str, float]:
    """Display unit of a quantity and how many SI units one of it is; a prefix by the largest value."""
    row = QUANTITIES[key]
    if row.display != row.unit:
        return row.display, units.parse(f"1 {row.display}", row.unit, difference=True)
    if row.unit not in _PLAIN_UNITS or row.unit == "K":
        return ("" if row.unit == "-" else row.unit), 1.0
    finite = [np.abs(v[np.isfinite(v)]) for v in values if v.size]
    largest = max((float(v.max()) for v in finite if v.size), default=0.0)
    scale, prefix = next(((s, p) for s, p in reversed(_PREFIXES) if largest >= 0.999 * s), (1.0, ""))
    return f"{prefix}{row.unit}", scale


def words_of(key: str) -> str:
    """Short name of a quantity on an axis: its key, spelled as words."""
    return key.replace("_", " ")


def lines(
    key: str,
    title: str,
    arrays: Arrays,
    x: str,
    names: Sequence[tuple[str, str]],
    *,
    ghost: Arrays | None = None,
    y: str = "",
    log: bool = False,
    from_zero: bool = True,
    marks: tuple[Mark, ...] = (),
) -> Plot:
    """Plot of arrays that share the axis `x`; `names` are (array, words at the line's end)."""
    shown = [(name, words) for name, words in names if name in arrays and x in arrays]
    quantity = y or names[0][0]
    behind = ghost or {}
    every = [a[name].values for a in (arrays, behind) for name, _ in shown if name in a]
    y_unit, y_scale = display(quantity, *every)
    x_unit, x_scale = display(x, *[a[x].values for a in (arrays, behind) if x in a])
    curves = [
        curve(name, words, arrays[x].values / x_scale, arrays[name].values / y_scale, style=i)
        for i, (name, words) in enumerate(shown)
    ]
    curves += [
        curve(
            f"ghost-{name}",
            "saved" if len(shown) == 1 else f"{words}, saved",
            behind[x].values / x_scale,
            behind[name].values / y_scale,
            role="ghost",
        )
        for name, words in shown
        if name in behind and x in behind
    ]
    x_axis = Axis(_axis_words(x), x_unit, from_zero=QUANTITIES[x].unit == "s")
    y_axis = Axis(words_of(quantity), y_unit, log=log, from_zero=from_zero)
    return Plot(key, title, x_axis, y_axis, tuple(curves), marks)


def _axis_words(key: str) -> str:
    """Axis names drop what their array's name adds to tell two grids apart."""
    short = {
        "gain_time": "time",
        "heat_time": "time",
        "pump_time": "time",
        "lamp_wavelength": "wavelength",
        "laser_wavelength": "wavelength",
    }
    return words_of(short.get(key, key))


def in_layers(arrays: Arrays) -> bool:
    """Whether the dye lies in layers of one thickness, a slab, and not in shells of one area."""
    if "shell_radius" not in arrays or arrays["shell_radius"].values.size < 2:
        return False
    steps = np.diff(arrays["shell_radius"].values, prepend=0.0)
    return bool(np.allclose(steps, steps[0], rtol=1e-6))


def across_words(arrays: Arrays) -> str:
    """Name of the axis across the dye."""
    return "from the first face" if in_layers(arrays) else "radius"


def shells(key: str, title: str, name: str, time: str, arrays: Arrays, ghost: Arrays | None = None) -> Plot:
    """One line a shell of an array (time, shell): the innermost and outermost are named, others by number."""
    values = arrays[name].values
    split: dict[str, Array] = {time: arrays[time]}
    names: list[tuple[str, str]] = []
    count = values.shape[1]
    for i in range(count):
        split[f"{name}_{i}"] = Array(values[:, i], arrays[name].unit, (time,))
        names.append((f"{name}_{i}", f"layer {i + 1}" if in_layers(arrays) else _shell_words(i, count)))
    _, y_scale = display(name, values)
    plot = lines(key, title, split, time, names, y=name)
    curves = [replace(c, style=_shell_style(i, count)) for i, c in enumerate(plot.curves)]
    if ghost is not None and name in ghost:
        middle = ghost[name].values.mean(axis=1) / y_scale
        along = ghost[time].values / display(time, arrays[time].values)[1]
        curves.append(curve("ghost-mean", "saved, mean", along, middle, role="ghost"))
    return replace(plot, curves=tuple(curves))


def _shell_words(index: int, count: int) -> str:
    if index == 0:
        return "axis"
    return "wall" if index == count - 1 else f"shell {index + 1}"


def _shell_style(index: int, count: int) -> int:
    return 4 if index == 0 else (1 if index == count - 1 else 2)


def columns(
    key: str, title: str, name: str, word: str, arrays: Arrays, ghost: Arrays | None = None, *, y: str = ""
) -> Plot:
    """One line a column of an array (time, column), named by number; a ghost behind each. `y`: the quantity shown."""
    count = arrays[name].values.shape[1]
    names = [(f"{name}_{i}", f"{word} {i + 1}") for i in range(count)]

    def split(a: Arrays) -> dict[str, Array]:
        parts = {f"{name}_{i}": Array(a[name].values[:, i], a[name].unit, ("time",)) for i in range(count)}
        return {"time": a["time"], **parts}

    alike = ghost is not None and name in ghost and ghost[name].values.shape[1] == count
    return lines(key, title, split(arrays), "time", names, ghost=split(ghost) if ghost and alike else None, y=y or name)


def by_radius(key: str, title: str, name: str, arrays: Arrays, ghost: Arrays | None = None) -> Plot:
    """An array over shells as steps over the radius."""
    unit, scale = display(name, arrays[name].values)
    r_unit, r_scale = display("shell_radius", arrays["shell_radius"].values)

    def steps(a: Arrays, words: str, role: CurveRole) -> Curve:
        edges = np.concatenate([[0.0], a["shell_radius"].values]) / r_scale
        return curve(
            f"{role}-{name}", words, np.repeat(edges, 2)[1:-1], np.repeat(a[name].values, 2) / scale, role=role
        )

    curves = [steps(arrays, words_of(name), "line")]
    if ghost is not None and name in ghost:
        curves.append(steps(ghost, "saved", "ghost"))
    return Plot(key, title, Axis(across_words(arrays), r_unit), Axis(words_of(name), unit), tuple(curves))


def surfaces(
    key: str, title: str, name: str, arrays: Arrays, ghost: Arrays | None = None, *, log: bool = False
) -> Plot:
    """An array over the surfaces of the beam path, as dots over the distance from the coupler."""
    unit, scale = display(name, arrays[name].values)
    z_unit, z_scale = "m", 1.0

    def along(a: Arrays, role: CurveRole, words: str) -> Curve:
        order = np.argsort(a["surface_distance"].values, kind="stable")
        x, y = a["surface_distance"].values[order] / z_scale, a[name].values[order] / scale
        return curve(f"{role}-{name}", words, x, y, role=role)

    curves = [along(arrays, "line", words_of(name).removeprefix("surface "))]
    if ghost is not None and name in ghost:
        curves.append(along(ghost, "ghost", "saved"))
    axis = Axis(words_of(name).removeprefix("surface "), unit, log=log)
    return Plot(key, title, Axis("distance from the output coupler", z_unit), axis, tuple(curves))


_X_AXES = frozenset(
    {
        "time",
        "pump_time",
        "gain_time",
        "heat_time",
        "lamp_wavelength",
        "laser_wavelength",
        "shell_radius",
        "surface_distance",
    }
)
Maker = Callable[[str, Arrays, Arrays | None], Plot]
Row = tuple[str, Maker, tuple[str, ...]]


def _lines(title: str, x: str, *names: tuple[str, str], y: str = "", log: bool = False) -> Row:
    def make(key: str, arrays: Arrays, ghost: Arrays | None) -> Plot:
        return lines(key, title, arrays, x, names, ghost=ghost, y=y, log=log)

    return title, make, (x, *(name for name, _ in names))


def _shells(title: str, name: str, time: str) -> Row:
    return title, lambda key, a, g: shells(key, title, name, time, a, g), (name, time)


def _columns(title: str, name: str, word: str, y: str) -> Row:
    return title, lambda key, a, g: columns(key, title, name, word, a, g, y=y), (name, "time")


def _radius(title: str, name: str) -> Row:
    return title, lambda key, a, g: by_radius(key, title, name, a, g), (name, "shell_radius")


def _surfaces(title: str, name: str, log: bool = False) -> Row:
    return title, lambda key, a, g: surfaces(key, title, name, a, g, log=log), (name, "surface_distance")


def _gain(key: str, arrays: Arrays, ghost: Arrays | None) -> Plot:
    marks = (Mark("y", 1.0, "threshold", "threshold"),)
    names = (("round_trip_gain", "gain"),)
    return lines(key, "Round-trip gain", arrays, "gain_time", names, ghost=ghost, log=True, marks=marks)


#: A wavefront within this, rms, counts as good (Maréchal criterion). [waves]
FLAT_WAVES = 1 / 14


def _wavefront(key: str, arrays: Arrays, ghost: Arrays | None) -> Plot:
    """Wavefront error in time, the output pulse drawn over it to the same height."""
    rows = (("wavefront_error", "as it is"), ("wavefront_rest", "after best focus"))
    marks = (Mark("y", FLAT_WAVES, "1/14 wave", "place"),)
    plot = lines(key, "Wavefront error of one pass", arrays, "heat_time", rows, ghost=ghost, marks=marks)
    power = arrays["output_power"].values
    error = arrays["wavefront_error"].values
    tall = float(error.max(initial=0.0)) or 1.0
    pulse = power * tall / (float(power.max(initial=0.0)) or 1.0)
    _, t_scale = display("heat_time", arrays["heat_time"].values)
    over = curve("pulse", "output, no scale", arrays["gain_time"].values / t_scale, pulse, style=3)
    return replace(plot, curves=(*plot.curves, over), y=Axis("wavefront error", "waves rms"))


def _mirrors(key: str, arrays: Arrays, ghost: Arrays | None) -> Plot:
    """Mirrors and tuning element against wavelength, and the output's spectrum drawn to the same height."""
    rows = [(name, words) for name, words in MIRROR_ROWS if name in arrays]
    plot = lines(
        key, "Mirrors and tuning against wavelength", arrays, "laser_wavelength", rows, ghost=ghost, y="reflectivity"
    )
    spectrum = arrays["output_spectrum"].values
    most = float(spectrum.max(initial=0.0))
    over = curve(
        "spectrum", "output, no scale", arrays["laser_wavelength"].values * 1e9, spectrum / (most or 1.0), style=3
    )
    return replace(plot, curves=(*plot.curves, over), y=Axis("reflected or let through", high=1.2))


#: Curves of the resonator: array, words at the line's end.
MIRROR_ROWS = (("mirror_rear", "rear"), ("mirror_coupler", "coupler"), ("tuning_transmission", "tuning element"))

#: Every plot of a shot: id -> (title, maker, arrays it needs).
SHOT_PLOTS: Mapping[str, Row] = {
    "current": _lines("Current", "time", ("current", "current")),
    "voltages": _lines("Voltages", "time", ("bank_voltage", "bank"), ("lamp_voltage", "lamps"), y="voltage"),
    "branch_current": _columns("Current of each loop", "branch_current", "loop", "current"),
    "capacitor_voltage": _columns("Voltage of each capacitor", "capacitor_voltage", "capacitor", "voltage"),
    "plasma_temperature": _lines("Plasma temperature", "time", ("plasma_temperature", "plasma")),
    "arc_radius": _lines("Arc radius", "time", ("arc_radius", "arc")),
    "radiated_power": _lines("Radiated power", "time", ("radiated_power", "lamps")),
    "lamp_spectrum": _lines("Lamp spectrum", "lamp_wavelength", ("lamp_spectrum", "lamps")),
    "pump_rate": _shells("Pump rate by shell", "pump_rate", "pump_time"),
    "absorbed_energy": _radius("Absorbed pump energy by shell", "absorbed_energy"),
    "inversion": _shells("Inversion by shell", "inversion", "gain_time"),
    "triplets": _shells("Triplets by shell", "triplets", "gain_time"),
    "round_trip_gain": ("Round-trip gain", _gain, ("round_trip_gain", "gain_time")),
    "output_power": _lines("Output power", "gain_time", ("output_power", "output")),
    "output_spectrum": _lines("Output spectrum", "laser_wavelength", ("output_spectrum", "output")),
    "wavefront_error": (
        "Wavefront error of one pass",
        _wavefront,
        ("wavefront_error", "heat_time", "output_power", "gain_time"),
    ),
    "mirrors": (
        "Mirrors and tuning against wavelength",
        _mirrors,
        ("mirror_rear", "mirror_coupler", "laser_wavelength", "output_spectrum"),
    ),
    "surface_fluence": _surfaces("Peak fluence along the beam", "surface_fluence", log=True),
    "surface_diameter": _surfaces("Beam diameter along the beam", "surface_diameter"),
    "surface_irradiance": _surfaces("Peak irradiance along the beam", "surface_irradiance", log=True),
}


#: Lamp light beyond this pumps nothing; the axis ends here, the data table does not.
LAMP_LIGHT_END = 1200e-9


def time_window(*shots: Shot) -> float | None:
    """Time by which current, lamp light and output have died away, with a little room, in s."""
    faint = (("current", "time", 0.01), ("radiated_power", "time", 0.05), ("output_power", "gain_time", 0.01))
    ends: list[float] = []
    for shot in shots:
        for name, time, fraction in faint:
            if name in shot.arrays and time in shot.arrays:
                values = np.abs(np.nan_to_num(shot.arrays[name].values))
                live = np.flatnonzero(values > fraction * values.max(initial=0.0))
                ends += [float(shot.arrays[time].values[live[-1]])] if live.size else []
    return 1.08 * max(ends) if ends else None


def _finished(plot: Plot, shot: Shot, x: str, window: float | None) -> Plot:
    """Ends of the x axis, and the names of surfaces."""
    ends = {
        "time": window,
        "pump_time": window,
        "gain_time": window,
        "heat_time": window,
        "lamp_wavelength": LAMP_LIGHT_END,
    }
    end = ends.get(x)
    if end is not None and x in shot.arrays:
        data_end = float(shot.arrays[x].values[-1])
        _, scale = display(x, shot.arrays[x].values)
        plot = replace(plot, x=replace(plot.x, high=end / scale)) if end < data_end else plot
    if x == "surface_distance":
        named = zip(shot.start.get("surfaces", ()), shot.arrays[x].values.tolist(), strict=False)
        return replace(plot, marks=tuple(Mark("x", z, name, "place") for name, z in named if z > 0.0))
    return plot


def shot_plots(shot: Shot, ids: Sequence[str] | None = None, *, saved: Shot | None = None) -> tuple[Plot, ...]:
    """Plots of a shot, in the order asked for. What the shot has no arrays for is left out."""
    ghost = None if saved is None else saved.arrays
    window = time_window(*(one for one in (shot, saved) if one is not None))
    out: list[Plot] = []
    for key in SHOT_PLOTS if ids is None else ids:
        _, make, needs = SHOT_PLOTS[key]
        if all(name in shot.arrays for name in needs):
            behind = ghost if ghost is not None and all(name in ghost for name in needs) else None
            x = next(name for name in needs if name in _X_AXES)
            out.append(_finished(make(key, shot.arrays, behind), shot, x, window))
    return tuple(out)


#: Every plot of an envelope: id -> title.
ENVELOPE_TITLES: Mapping[str, str] = {
    "envelope_output": "Output energy",
    "envelope_margins": "Margins",
    "envelope_wavelength": "Wavelength",
    "envelope_pulse_width": "Pulse width",
    "envelope_efficiency": "Efficiency",
    "envelope_peak_current": "Peak current",
}
_SIMPLE = {
    "envelope_wavelength": "wavelength",
    "envelope_pulse_width": "pulse_width",
    "envelope_efficiency": "efficiency",
    "envelope_peak_current": "peak_current",
}


def envelope_plots(envelope: Envelope, *, now: float | None = None, saved: Envelope | None = None) -> tuple[Plot, ...]:
    """Plots against charge voltage: output with its band, every margin, and what else is asked daily."""
    marks = _voltage_marks(envelope, now)
    arrays, ghost = envelope.arrays, None if saved is None else saved.arrays
    out = [_output(envelope, marks, ghost), _margins(envelope, marks)]
    for key, name in _SIMPLE.items():
        if name in arrays:
            names, title, zero = ((name, words_of(name)),), ENVELOPE_TITLES[key], name != "wavelength"
            out.append(lines(key, title, arrays, "charge_voltage", names, ghost=ghost, from_zero=zero, marks=marks))
    return tuple(out)


def _voltage_marks(envelope: Envelope, now: float | None) -> tuple[Mark, ...]:
    _, scale = display("charge_voltage", envelope.arrays["charge_voltage"].values)
    wanted = (
        (envelope.threshold_voltage, "threshold", "threshold"),
        (envelope.highest_voltage_within_limits, "highest within limits", "limit"),
        (now, "now", "now"),
    )
    return tuple(Mark("x", volts / scale, words, role) for volts, words, role in wanted if volts is not None)


def _output(envelope: Envelope, marks: tuple[Mark, ...], ghost: Arrays | None) -> Plot:
    arrays = envelope.arrays
    names = (("output_energy", "output"),)
    bare = lines("envelope_output", "Output energy", arrays, "charge_voltage", names, ghost=ghost, marks=marks)
    if not {"output_energy_low", "output_energy_high"} <= set(arrays):
        return bare
    every = [a["output_energy"].values for a in (arrays, ghost or {}) if "output_energy" in a]
    _, scale = display("output_energy", *every)
    low, high = (arrays[f"output_energy_{end}"].values / scale for end in ("low", "high"))
    return replace(bare, curves=(replace(bare.curves[0], low=low, high=high), *bare.curves[1:]))


#: Margins below this are left out of the plot: they stop nobody.
LEAST_RATIO = 0.01


def _margins(envelope: Envelope, marks: tuple[Mark, ...]) -> Plot:
    unit, scale = display("charge_voltage", envelope.arrays["charge_voltage"].values)
    x, ratio = envelope.arrays["charge_voltage"].values / scale, envelope.arrays["ratio"].values
    ratio = np.where((ratio >= LEAST_RATIO) & np.isfinite(ratio), ratio, np.nan)
    order = sorted(range(len(envelope.items)), key=lambda i: -_last(ratio[:, i]))
    names = _short(envelope.items)
    curves = [curve(f"ratio_{i}", names[i], x, ratio[:, i], style=n) for n, i in enumerate(order)]
    limit = Mark("y", 1.0, "limit", "limit")
    axes = Axis("charge voltage", unit, from_zero=False), Axis("stress over limit", "", log=True)
    return Plot("envelope_margins", "Margins", *axes, tuple(curves), (limit, *marks))


def _short(items: Sequence[str]) -> list[str]:
    """Names of margin items for line ends: without the stress where the item has but one."""
    heads = [item.split(":", 1)[0] for item in items]
    return [
        head if heads.count(head) == 1 else item.replace(": ", ", ") for item, head in zip(items, heads, strict=True)
    ]


def _last(values: NDArray[np.float64]) -> float:
    finite = values[np.isfinite(values)]
    return float(finite[-1]) if finite.size else 0.0
