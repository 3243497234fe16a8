"""Plots of the studies. A study is any record with the fields named here; values in SI."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

import numpy as np
from numpy.typing import NDArray

from pulsewright.drawing.curves import display
from pulsewright.drawing.plot import Axis, Mark, Plot, curve

#: Kinds of lamp that get plots of their own; most heads have one.
LAMP_KINDS = 3
#: Every plot of a study: id -> title.
STUDY_TITLES: Mapping[str, str] = {
    "charge_up": "Charge",
    "charge_dump": "Dump, from the instant it connects",
    "charge_bleeder": "Hold, and the dump does not connect",
    "pump_down": "Pumping down",
    "breakdown_curve": "Breakdown of the lamps against pressure",
    "dye_cross_sections": "Cross-sections of the dye",
    "dye_laser_band": "Cross-sections where it can lase",
    **{f"lamp_law_{i}": "Resistivity against current density" for i in range(LAMP_KINDS)},
    **{f"lamp_fraction_{i}": "Radiated part of the heat, in balance" for i in range(LAMP_KINDS)},
}
#: Voltages that are named on the way down. [V]
NAMED = (60.0,)


def charge_plots(found: Any) -> tuple[Plot, ...]:
    """Bank voltage while it charges, while the dump drains it, and while only bleeder and divider do."""
    return tuple(_charge_plots(found, {phase.name: phase for phase in found.phases}))


def _charge_plots(found: Any, phases: Mapping[str, Any]) -> Iterator[Plot]:
    charge, hold, dump = (phases.get(name) for name in ("charge", "hold", "dump"))
    if charge is not None:
        half = Mark("y", 0.5 * float(np.nanmax(found.voltage)), "half the voltage: a quarter of the energy", "place")
        yield _stretch("charge_up", found, "voltage", charge.start, charge.stop, marks=(half,))
    if dump is not None:
        yield _stretch("charge_dump", found, "voltage", dump.start, dump.stop, log=True)
    if hold is not None and np.isfinite(found.bleeder_voltage).any():
        yield _stretch("charge_bleeder", found, "bleeder_voltage", hold.start, float(found.time[-1]), log=True)


def _stretch(
    key: str, found: Any, name: str, start: float, stop: float, *, log: bool = False, marks: tuple[Mark, ...] = ()
) -> Plot:
    """One stretch of the timeline, its time counted from its own start."""
    inside = (found.time >= start) & (found.time <= stop)
    time, voltage = found.time[inside] - start, getattr(found, name)[inside]
    t_unit, t_scale = display("time", time)
    v_unit, v_scale = display("voltage", voltage)
    words = "bank" if name == "voltage" else "bleeder alone"
    lines = (curve(name, words, time / t_scale, voltage / v_scale),)
    if log:
        marks = tuple(
            Mark("y", volts / v_scale, f"{volts:g} V, computed", "place")
            for volts in NAMED
            if np.nanmin(voltage) < volts < np.nanmax(voltage)
        )
    else:
        marks = tuple(Mark(mark.axis, mark.at / v_scale, mark.words, mark.role) for mark in marks)
    axes = Axis("time", t_unit), Axis("bank voltage", v_unit, log=log)
    return Plot(key, STUDY_TITLES[key], *axes, lines, marks)


def lamp_law_plots(found: Any, current_density: float | None) -> tuple[Plot, ...]:
    """Resistivity and radiated part of each kind of lamp; `current_density` of the shot at its peak. [A/m^2]."""
    out: list[Plot] = []
    for i, lamp in enumerate(found.curves[:LAMP_KINDS]):
        out += [_resistivity(i, found, lamp, current_density), _fractions(i, found, lamp, current_density)]
    return tuple(out)


def _densities(found: Any, current_density: float | None) -> tuple[Axis, float, tuple[Mark, ...]]:
    """The axis of current density, its scale, and the marks along it."""
    unit, scale = display("current_density", found.current_density)
    span = found.current_density[found.covered] / scale
    ends = ((span[0], "law found from"), (span[-1], "to here")) if span.size else ()
    marks = [Mark("x", float(at), words, "place") for at, words in ends]
    if current_density is not None:
        marks.append(Mark("x", current_density / scale, "this shot", "now"))
    return Axis("current density", unit, log=True), scale, tuple(sorted(marks, key=lambda mark: mark.at))


def _resistivity(number: int, found: Any, lamp: Any, current_density: float | None) -> Plot:
    x, x_scale, marks = _densities(found, current_density)
    unit, scale = display("resistivity", lamp.resistivity)
    along = found.current_density / x_scale
    low, high = lamp.resistivity_low / scale, lamp.resistivity_high / scale
    curves = [curve("resistivity", "plasma", along, lamp.resistivity / scale, low=low, high=high)]
    others = (("wall_resistivity", "with wall"), ("law", "published law"), ("spitzer", "Spitzer"))
    for i, (name, words) in enumerate(others, start=1):
        values = getattr(lamp, name) / scale
        if np.isfinite(values).any():
            curves.append(curve(name, words, along, values, style=i))
    key = f"lamp_law_{number}"
    return Plot(key, _of(key, lamp), x, Axis("resistivity", unit, log=True), tuple(curves), marks)


def _fractions(number: int, found: Any, lamp: Any, current_density: float | None) -> Plot:
    x, x_scale, marks = _densities(found, current_density)
    along = found.current_density / x_scale
    rows = (("radiated_fraction", "all light"), ("band_fraction", "0.2 to 1 um"))
    curves = tuple(curve(name, words, along, getattr(lamp, name), style=i) for i, (name, words) in enumerate(rows))
    key = f"lamp_fraction_{number}"
    return Plot(key, _of(key, lamp), x, Axis("part of the heat", high=1.2), curves, marks)


def _of(key: str, lamp: Any) -> str:
    return f"{STUDY_TITLES[key]}: {', '.join(lamp.lamps)}"


#: Breakdown voltages above this many times the standing one are left out of the plots.
MOST_VOLTAGE = 2.0


def pump_down_plots(found: Any) -> tuple[Plot, ...]:
    """Voltage that stands on the lamps and the one that breaks them down, against time; and the breakdown curve."""
    return _pumping(found), _breakdown(found)


def _pumping(found: Any) -> Plot:
    t_unit, t_scale = display("time", found.time)
    v_unit, v_scale = display("voltage", found.voltage)
    time = found.time / t_scale
    needed = _below(found.breakdown_voltage, found)
    curves = (
        curve("voltage", "on the lamps", time, found.voltage / v_scale),
        curve("breakdown_voltage", "breaks down at", time, needed / v_scale, style=1),
    )
    marks = () if found.fires_at is None else (Mark("x", found.fires_at / t_scale, "fires", "now"),)
    axes = Axis("time from the start of charging", t_unit), Axis("voltage", v_unit)
    return Plot("pump_down", STUDY_TITLES["pump_down"], *axes, curves, marks)


def _breakdown(found: Any) -> Plot:
    p_unit, p_scale = display("fill_pressure", found.curve_pressure)
    v_unit, v_scale = display("voltage", found.voltage)
    along = found.curve_pressure / p_scale
    low, middle, high = (
        _below(getattr(found, f"curve_{name}"), found) / v_scale for name in ("low", "voltage", "high")
    )
    high = np.where(np.isfinite(middle) & ~np.isfinite(high), MOST_VOLTAGE * np.nanmax(found.voltage) / v_scale, high)
    curves = [curve("curve_voltage", "breakdown", along, middle, low=low, high=high)]
    if found.measured:
        pressures, volts = np.array(found.measured).T
        curves.append(curve("measured", "measured", pressures / p_scale, volts / v_scale, role="dots"))
    marks = [Mark("y", float(np.nanmax(found.voltage)) / v_scale, "charge voltage", "place")]
    if found.fires_at is not None:
        marks.append(Mark("x", found.firing_pressure / p_scale, "fires", "now"))
    axes = Axis("pressure in the lamps", p_unit, log=True), Axis("voltage", v_unit)
    return Plot("breakdown_curve", STUDY_TITLES["breakdown_curve"], *axes, tuple(curves), tuple(marks))


def _below(volts: NDArray[np.float64], found: Any) -> NDArray[np.float64]:
    """Voltages that a plot shows; what lies far above the standing voltage is left out."""
    return np.where(volts <= MOST_VOLTAGE * np.nanmax(found.voltage), volts, np.nan)


#: Area in which cross-sections are shown, in m^2; the band shown enlarged, in m from where the curves cross.
SQUARE_CENTIMETRE, BAND = 1e-4, (-25e-9, 110e-9)


def dye_spectra_plots(found: Any, laser: float | None) -> tuple[Plot, ...]:
    """Cross-sections over the whole span and over the laser band; `laser`: centre of the output, if any. [m]."""
    marks = [Mark("x", found.zero_line * 1e9, "crossing", "place")]
    if laser is not None:
        marks.append(Mark("x", laser * 1e9, "laser", "now"))
    ends = [Mark("x", zone.low * 1e9, "fit ends", "threshold") for zone in found.unknown if zone.low > found.zero_line]
    ends += [
        Mark("x", zone.high * 1e9, "not known below", "threshold")
        for zone in found.unknown
        if zone.low < found.zero_line
    ]
    rows = (
        ("absorption", "absorption"),
        ("emission", "emission"),
        ("excited_state_absorption", "excited state"),
        ("triplet_absorption", "triplet"),
    )
    low, high = (found.zero_line + end for end in BAND)
    inside = (found.wavelength >= low) & (found.wavelength <= high)
    return (
        _cross_sections("dye_cross_sections", found, rows[:2], slice(None), (*marks, *ends), log=False),
        _cross_sections("dye_laser_band", found, rows, inside, tuple(marks), log=True),
    )


def _cross_sections(key: str, found: Any, rows: Any, part: Any, marks: tuple[Mark, ...], *, log: bool) -> Plot:
    """Cross-sections of some kinds; where one falls out of sight it is left out."""
    along = found.wavelength[part] * 1e9
    styles = {
        "absorption": 0,
        "emission": 1,
        "excited_state_absorption": 2,
        "triplet_absorption": 5,
    }
    top = max(float(np.nanmax(getattr(found, name)[part])) for name, _ in rows[:2])
    curves = []
    for name, words in rows:
        values = getattr(found, name)[part]
        values = np.where(values > 1e-5 * top, values, np.nan) if log else values
        if np.isfinite(values).any():
            curves.append(curve(name, words, along, values / SQUARE_CENTIMETRE * 1e16, style=styles[name]))
    axes = Axis("wavelength", "nm", from_zero=False), Axis("cross-section", "1e-16 cm²", log=log)
    return Plot(key, STUDY_TITLES[key], *axes, tuple(curves), marks)
