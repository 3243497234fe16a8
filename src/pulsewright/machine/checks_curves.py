"""What measured curves of mirrors and filters must satisfy together with the rest of the build."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from pulsewright import refdata
from pulsewright.errors import Grade
from pulsewright.machine.checks_own_dye import emission_peak
from pulsewright.machine.schema import names
from pulsewright.machine.tree import Reading

#: grade, path, message, allowed, next step
Fault = tuple[Grade, str, str, str, str]

#: Laser light is looked for this far to the red of an own dye's fluorescence peak. [m]
LASER_REACH = 60e-9
#: A filter should be measured over the light that pumps most dyes, or be shut at its end. [m]
PUMP_BAND = (300e-9, 600e-9)
SHUT = 0.02


def _mirrors(reading: Reading) -> Iterator[Fault]:
    ends = {reading.get("resonator.rear"), reading.get("resonator.coupler")}
    band = laser_band(reading)
    for part in reading.ids.get("optics", ()):
        path = f"optics.{part}.reflectivity_file"
        if path not in reading.entries:
            continue
        if part not in ends:
            message = "it is no mirror of the resonator, and the file is not used"
            step = "Remove it, or name this optic in resonator.rear or resonator.coupler"
            yield "warning", path, message, "Mirrors of the resonator", step
            continue
        if reading.get(f"optics.{part}.reflectivity") is not None:
            message = "both a file and reflectivity are given; between the mirrors the file is used"
            yield "note", path, message, "", "Keep the number at the laser wavelength: it stands for the beam train"
        curve = reading.curves.get(path)
        if curve is None or band is None:
            continue
        low, high = curve.wavelength[0], curve.wavelength[-1]
        if low > band[0] or high < band[1]:
            message = (
                f"the file reaches from {low * 1e9:.4g} to {high * 1e9:.4g} nm; this dye may lase from "
                f"{band[0] * 1e9:.4g} to {band[1] * 1e9:.4g} nm, and beyond the file its end values hold"
            )
            yield "warning", path, message, "A curve over the whole laser band", "Measure the mirror over that band"


def laser_band(reading: Reading) -> tuple[float, float] | None:
    """Wavelengths at which the dye in the cell may lase, in m; None where nothing says so."""
    name = reading.get("dye.name")
    if name in reading.ids.get("dyes", ()):
        peak = emission_peak(reading, str(name))
        return None if peak is None else (peak, peak + LASER_REACH)
    if name not in names("dye"):
        return None
    reach = refdata.dye(str(name)).laser_range
    return None if reach is None or reach.low is None or reach.high is None else (reach.low, reach.high)


def _filter(reading: Reading) -> Iterator[Fault]:
    path = "chamber.filter_file"
    if path in reading.entries and reading.get("chamber.filter") not in (None, "none"):
        message = f"both a file and {reading.get('chamber.filter')} are given; the file is used"
        yield "note", path, message, "", 'Set filter = "none", or remove the file'
    curve = reading.curves.get(path)
    if curve is None:
        return
    short, long = curve.wavelength[0] > PUMP_BAND[0], curve.wavelength[-1] < PUMP_BAND[1]
    for end, missing, side in ((0, short, "below"), (-1, long, "above")):
        if missing and curve.values[end] > SHUT:
            edge, value = curve.wavelength[end] * 1e9, curve.values[end]
            message = f"{side} {edge:.4g} nm nothing is measured, and its last value, {value:.3g}, is used"
            allowed = f"{PUMP_BAND[0] * 1e9:g} to {PUMP_BAND[1] * 1e9:g} nm, or shut at the ends"
            yield "warning", path, message, allowed, f"Measure the filter {side} {edge:.4g} nm"


CHECKS: tuple[Callable[[Reading], Iterator[Fault]], ...] = (_mirrors, _filter)
