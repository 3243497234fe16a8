"""Fine maps of a shot: which arrays stand over which axes, in display units, and what runs below them."""

from __future__ import annotations

import math
from collections.abc import Callable, Mapping, Sequence

import numpy as np
from numpy.typing import NDArray

from pulsewright.drawing.curves import LAMP_LIGHT_END, across_words, display, time_window
from pulsewright.drawing.field import Field, edges_of
from pulsewright.drawing.plot import Axis, Curve, Mark, curve
from pulsewright.drawing.ticks import power_label
from pulsewright.records import Array, Shot, Value

Float = NDArray[np.float64]
#: Most cells along an axis of time or wavelength; finer data are averaged for the page.
MOST_CELLS = 72
#: Wavelengths with less than this part of the highest power are not shown, but for so many bins of room beside.
FAINT, ROOM = 1e-3, 4


def coarse(edges: Float, values: Float, most: int = MOST_CELLS) -> tuple[Float, Float]:
    """The same map with at most `most` columns: neighbours averaged by their widths."""
    count = values.shape[1]
    stride = -(-count // most)
    if stride <= 1:
        return edges, values
    starts = np.arange(0, count, stride)
    width = np.diff(edges)
    whole = np.add.reduceat(values * width, starts, axis=1)
    return np.concatenate([edges[starts], edges[-1:]]), whole / np.add.reduceat(width, starts)


def absorbed_spectrum(shot: Shot) -> Field:
    """Light that the dye took up, by wavelength and shell; all shells together below."""
    arrays = shot.arrays
    wavelength, taken = arrays["lamp_wavelength"].values, arrays["absorbed_spectrum"].values
    keep = wavelength <= LAMP_LIGHT_END
    total = taken.sum(axis=1)
    heard = np.flatnonzero(keep & (total > 1e-4 * total.max(initial=0.0)))
    part = slice(heard[0], heard[-1] + 1) if heard.size > 1 else slice(0, int(keep.sum()))
    unit, scale = display("absorbed_spectrum", taken)
    edges, values = coarse(edges_of(wavelength[part] * 1e9), taken[part].T / scale)
    r_unit, r_scale = display("shell_radius", arrays["shell_radius"].values)
    radii = np.concatenate([[0.0], arrays["shell_radius"].values]) / r_scale
    below = curve("total", "all shells", wavelength[part] * 1e9, total[part] / scale)
    return Field(
        "absorbed_spectrum",
        FIELD_TITLES["absorbed_spectrum"],
        "taken up",
        unit,
        Axis("wavelength", "nm"),
        Axis(across_words(arrays), r_unit),
        edges,
        radii,
        values,
        (below,),
        Axis("all shells", unit),
    )


def spectral_power(shot: Shot) -> Field:
    """Spectrum of the output in time, the pulse below it on the same axis."""
    arrays = shot.arrays
    time, wavelength = arrays["spectrum_time"].values, arrays["laser_wavelength"].values
    power = arrays["spectral_power"].values
    window = _lasing(shot)
    t_unit, t_scale = display("gain_time", np.array([window[1]]))
    unit, scale = _prefixed("spectral_power", power)
    edges = edges_of(time, low=max(float(time[0]), 0.0))
    inside = (edges[1:] >= window[0]) & (edges[:-1] <= window[1])
    first, last = _ends(inside)
    rows = edges_of(wavelength * 1e9)
    seen = _ends(power.max(axis=0) > FAINT * power.max(initial=0.0))
    part = slice(max(seen[0] - ROOM, 0), min(seen[1] + ROOM, wavelength.size))
    across, shown = coarse(edges[first : last + 1] / t_scale, (power.T / scale)[part, first:last])
    return Field(
        "spectral_power",
        FIELD_TITLES["spectral_power"],
        "power",
        unit,
        Axis("time", t_unit),
        Axis("wavelength", "nm"),
        across,
        rows[part.start : part.stop + 1],
        shown,
        (_pulse(shot, t_scale),),
        Axis("output power", _pulse_unit(shot)[0]),
        _energy_marks(shot),
    )


def _prefixed(key: str, values: Float) -> tuple[str, float]:
    """Display unit of a quantity with a prefix where its numbers would be long."""
    unit, scale = display(key, values)
    most = float(np.abs(values[np.isfinite(values)]).max(initial=0.0)) / scale
    prefix, factor = next(((p, f) for p, f in (("M", 1e6), ("k", 1e3)) if most >= f), ("", 1.0))
    return f"{prefix}{unit}", scale * factor


def _ends(inside: NDArray[np.bool_]) -> tuple[int, int]:
    found = np.flatnonzero(inside)
    return (int(found[0]), int(found[-1]) + 1) if found.size else (0, inside.size)


def _energy_marks(shot: Shot) -> tuple[Mark, ...]:
    centre = shot.summary.get("wavelength", Value(None, "m")).value
    return () if centre is None else (Mark("y", centre * 1e9, f"centre of the output {centre * 1e9:.1f} nm", "place"),)


def _lasing(shot: Shot) -> tuple[float, float]:
    """Stretch of time in which the output is above a hundredth of its peak, with a little room, in s."""
    time, power = shot.arrays["gain_time"].values, shot.arrays["output_power"].values
    live = np.flatnonzero(power > 0.01 * power.max(initial=0.0))
    if live.size < 2:
        return float(time[0]), time_window(shot) or float(time[-1])
    start, stop = float(time[live[0]]), float(time[live[-1]])
    room = 0.08 * (stop - start)
    return max(start - room, float(time[0])), min(stop + room, float(time[-1]))


def _pulse_unit(shot: Shot) -> tuple[str, float]:
    return display("output_power", shot.arrays["output_power"].values)


def _pulse(shot: Shot, t_scale: float) -> Curve:
    _, scale = _pulse_unit(shot)
    return curve(
        "pulse", "output", shot.arrays["gain_time"].values / t_scale, shot.arrays["output_power"].values / scale
    )


def index_change(shot: Shot) -> Field:
    """Change of the refractive index over time and radius, the output pulse below; sound and spoilt moment marked.

    Heat lets the index fall; the pressure of a coaxial lamp lets it rise. The larger of both is the one shown as ink.
    """
    arrays = shot.arrays
    time, radius = arrays["heat_time"].values, arrays["heat_radius"].values
    change = arrays["index_change"].values
    end = 1.25 * _lasing(shot)[1]
    shown = slice(0, max(int(np.searchsorted(time, end)), 2))
    t_unit, t_scale = display("heat_time", time[shown])
    r_unit, r_scale = display("heat_radius", radius)
    rises = float(change[shown].max(initial=0.0)) > -float(change[shown].min(initial=0.0))
    amount = change[shown] if rises else -change[shown]
    power = math.floor(math.log10(max(float(np.abs(amount).max(initial=0.0)), 1e-12)))
    across, values = coarse(edges_of(time[shown], low=max(float(time[0]), 0.0)) / t_scale, amount.T / 10.0**power)
    low, high = (
        max(float(radius[0] - (radius[1] - radius[0]) / 2), 0.0),
        float(radius[-1] + (radius[-1] - radius[-2]) / 2),
    )
    return Field(
        "index_change",
        FIELD_TITLES["index_change"],
        "rise of the index" if rises else "fall of the index",
        power_label(power),
        Axis("time", t_unit),
        Axis(across_words(arrays), r_unit),
        across,
        edges_of(radius, low=low, high=high) / r_scale,
        values,
        (_pulse(shot, t_scale),),
        Axis("output power", _pulse_unit(shot)[0]),
        sound_marks(shot, t_scale),
    )


def sound_marks(shot: Shot, t_scale: float) -> tuple[Mark, ...]:
    """When sound from the wall reaches the axis, and when the pulse is spoilt."""
    wanted = (("axis_reached", "sound reaches the axis", "threshold"), ("spoilt_time", "spoilt", "limit"))
    found = ((shot.summary.get(key), words, role) for key, words, role in wanted)
    return tuple(
        Mark("x", value.value / t_scale, words, role)
        for value, words, role in found
        if value is not None and value.value is not None
    )


Maker = Callable[[Shot], Field]
#: Every fine map of a shot: id -> (maker, arrays it needs).
FIELDS: Mapping[str, tuple[Maker, tuple[str, ...]]] = {
    "absorbed_spectrum": (absorbed_spectrum, ("absorbed_spectrum", "lamp_wavelength", "shell_radius")),
    "spectral_power": (spectral_power, ("spectral_power", "spectrum_time", "laser_wavelength", "output_power")),
    "index_change": (index_change, ("index_change", "heat_time", "heat_radius", "output_power")),
}
FIELD_TITLES: Mapping[str, str] = {
    "absorbed_spectrum": "Light taken up, by wavelength and shell",
    "spectral_power": "Spectrum of the output in time",
    "index_change": "Change of the refractive index across the dye in time",
}


def shot_fields(shot: Shot, ids: Sequence[str]) -> tuple[Field, ...]:
    """Fine maps of a shot, in the order asked for. What the shot has no arrays for is left out."""
    return tuple(FIELDS[key][0](shot) for key in ids if _has(shot.arrays, FIELDS[key][1]))


def _has(arrays: Mapping[str, Array], needs: Sequence[str]) -> bool:
    return all(name in arrays for name in needs)
