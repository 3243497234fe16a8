"""What resonator, tuning element, injected line, parasitic path and further cells must satisfy together."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from pulsewright.errors import Grade
from pulsewright.machine.checks_curves import laser_band
from pulsewright.machine.schema import nearest
from pulsewright.machine.tree import Reading
from pulsewright.quantities import show

#: grade, path, message, allowed, next step
Fault = tuple[Grade, str, str, str, str]

#: An etalon whose bands lie closer than this has more of them within a dye's band than are followed. [m]
CLOSEST_BANDS = 1.5e-9
#: Finesse above which flatness and walk-off decide, not the mirrors. Common practice, no source.
MOST_FINESSE = 100.0
#: How far beyond the laser band of a dye a tuning element may let through before it is told. [m]
BAND_MARGIN = 10e-9


def _faulty(reading: Reading, path: str) -> bool:
    return any(finding.path == path for finding in reading.findings)


def _missing(reading: Reading, path: str) -> bool:
    return reading.get(path) is None and not _faulty(reading, path)


def _mirrors(reading: Reading) -> Iterator[Fault]:
    ids = reading.ids.get("optics", ())
    ends = {key: reading.get(f"resonator.{key}") for key in ("rear", "coupler")}
    for key, part in ends.items():
        if part is None:
            continue
        path, words = f"resonator.{key}", "rear mirror" if key == "rear" else "output coupler"
        if part not in ids:
            near = nearest(part, ids)
            step = f'Perhaps "{near}" was meant' if near else f"Add [optics.{part}] with kind, place and reflectivity"
            yield "error", path, f'there is no optic "{part}"', f"Known: {', '.join(ids) or 'none'}", step
            continue
        yield from _end_mirror(reading, path, part, words)
    if ends["rear"] is not None and ends["rear"] == ends["coupler"]:
        yield "error", "resonator.coupler", f'both mirrors are "{ends["rear"]}"', "Two mirrors", "Name the other mirror"


def _end_mirror(reading: Reading, path: str, part: str, words: str) -> Iterator[Fault]:
    base = f"optics.{part}"
    kind, place = reading.get(f"{base}.kind"), reading.get(f"{base}.place")
    if kind not in (None, "mirror"):
        yield "error", path, f"the {words} is a {kind}", "A mirror in the cavity", f'Set optics.{part}.kind = "mirror"'
    if place not in (None, "cavity"):
        yield (
            "error",
            path,
            f"the {words} stands in the {place}",
            "A mirror in the cavity",
            f'Set {base}.place = "cavity"',
        )
    known = reading.get(f"{base}.reflectivity") is not None or f"{base}.reflectivity_file" in reading.entries
    if not known and not _faulty(reading, f"{base}.reflectivity"):
        step = f"Add reflectivity = 0.99 or what it is under [{base}]"
        yield "error", f"{base}.reflectivity", f"the {words} needs its reflectivity", "A number above 0 to 1", step


_TUNED = (("tuned_wavelength", "589 nm"), ("tuned_width", "2 nm"))


def _tuning(reading: Reading) -> Iterator[Fault]:
    kind = reading.get("resonator.tuning")
    if kind in (None, "free running"):
        for key in ("tuned_wavelength", "tuned_width", "tuning_period"):
            if reading.get(f"resonator.{key}") is not None:
                message = "the resonator is free running, and the value is not used"
                step = 'Remove it, or set tuning = "prism" or what it is'
                yield "warning", f"resonator.{key}", message, "Only with a tuning element", step
        return
    for key, example in (*_TUNED, *((("tuning_period", "5 nm"),) if kind == "etalon" else ())):
        if _missing(reading, f"resonator.{key}"):
            message = f"tuning by {_article(kind)} needs its {key.replace('_', ' ')}; its geometry is not computed"
            step = f'Add {key} = "{example}" or what it is under [resonator]'
            yield "error", f"resonator.{key}", message, "A wavelength interval of the element as measured", step
    if kind != "etalon" and reading.get("resonator.tuning_period") is not None:
        message = f"{_article(kind)} has one pass band, and the period is not used"
        yield "warning", "resonator.tuning_period", message, "Only with an etalon", "Remove it, or set tuning"
    yield from _etalon(reading)
    yield from _in_band(reading)


def _article(kind: str) -> str:
    return f"an {kind}" if kind == "etalon" else f"a {kind}"


def _etalon(reading: Reading) -> Iterator[Fault]:
    period, width = reading.get("resonator.tuning_period"), reading.get("resonator.tuned_width")
    if reading.get("resonator.tuning") != "etalon" or period is None or width is None:
        return
    if width >= period:
        message = f"a pass band of {show('tuned_width', width)} is wider than the distance between bands"
        allowed = f"Less than tuning_period, {show('tuning_period', period)}"
        yield "error", "resonator.tuned_width", message, allowed, "Check both values"
    elif period / width > MOST_FINESSE:
        message = f"bands of 1/{period / width:.0f} of their distance: plates so flat and parallel are rare"
        yield (
            "warning",
            "resonator.tuned_width",
            message,
            f"A finesse up to about {MOST_FINESSE:g}",
            "Check both values",
        )
    if period < CLOSEST_BANDS:
        message = f"bands {show('tuning_period', period)} apart: dozens of them lie within the dye's band"
        step = "Enter the coarser element that chooses among them; this one then sets the width alone"
        yield "error", "resonator.tuning_period", message, f"At least {show('tuning_period', CLOSEST_BANDS)}", step


def _in_band(reading: Reading) -> Iterator[Fault]:
    """Wavelengths of tuning and injection against the band in which the dye may lase."""
    band = laser_band(reading)
    if band is None:
        return
    low, high = band[0] - BAND_MARGIN, band[1] + BAND_MARGIN
    reach = f"{show('wavelength', band[0])} to {show('wavelength', band[1])}"
    for key in ("tuned_wavelength", "injection_wavelength"):
        place = reading.get(f"resonator.{key}")
        if key == "tuned_wavelength" and reading.get("resonator.tuning") == "etalon":
            continue  # any of its bands may be named
        if place is not None and not low <= place <= high:
            message = f"{show(key, place)} lies outside the band in which this dye is known to lase"
            yield "warning", f"resonator.{key}", message, reach, "Choose another wavelength or another dye"


def _injection(reading: Reading) -> Iterator[Fault]:
    power, place = reading.get("resonator.injection_power"), reading.get("resonator.injection_wavelength")
    if power is not None and _missing(reading, "resonator.injection_wavelength"):
        step = 'Add injection_wavelength = "589.0 nm" or what it is under [resonator]'
        yield "error", "resonator.injection_wavelength", "an injected line needs its wavelength", "A wavelength", step
    if power is None and place is not None:
        step = 'Add injection_power = "1 mW" or what it is, or remove the line'
        yield "warning", "resonator.injection_wavelength", "a line without power is not injected", "With a power", step
    if power is not None and reading.get("resonator.blocked") == "rear":
        message = "the line enters through the rear mirror, which is covered"
        yield "warning", "resonator.injection_power", message, "An open rear mirror", 'Set blocked = "none"'
    if place is not None and reading.get("resonator.tuning") not in (None, "free running"):
        centre, width = reading.get("resonator.tuned_wavelength"), reading.get("resonator.tuned_width")
        if reading.get("resonator.tuning") != "etalon" and None not in (centre, width) and abs(place - centre) > width:
            message = f"{show('wavelength', place)} lies outside what the tuning element lets through"
            allowed = f"Within {show('tuned_width', width)} of {show('tuned_wavelength', centre)}"
            yield "warning", "resonator.injection_wavelength", message, allowed, "Tune to the injected line"


def _parasitic(reading: Reading) -> Iterator[Fault]:
    length, pumped = reading.get("resonator.parasitic_length"), reading.get("cell.pumped_length")
    given = reading.get("resonator.parasitic_reflectivity") is not None
    if length is not None and not given:
        message = "a path without a reflectivity is not followed"
        step = "Add parasitic_reflectivity = 0.035 or what the ends reflect"
        yield "warning", "resonator.parasitic_length", message, "With parasitic_reflectivity", step
    if given and length is not None and pumped is not None and length < pumped:
        message = f"a path of {show('length', length)} does not hold the pumped length of {show('length', pumped)}"
        step = "Give the distance between the ends of the path"
        yield "error", "resonator.parasitic_length", message, f"At least {show('length', pumped)}", step


def _cells(reading: Reading) -> Iterator[Fault]:
    parts = reading.ids.get("cells", ())
    shares = [reading.get(f"cells.{part}.pump_share") or 0.0 for part in parts]
    total = reading.get("cell.length")
    for part, share in zip(parts, shares, strict=True):
        base = f"cells.{part}"
        length, pumped = reading.get(f"{base}.length"), reading.get(f"{base}.pumped_length")
        if None not in (length, pumped) and pumped > length:
            message = f"{show('length', pumped)} is above the cell's length of {show('length', length)}"
            allowed = f"At most {show('length', length)}"
            yield "error", f"{base}.pumped_length", message, allowed, "Shorten the pumped length or lengthen the cell"
        if share > 0 and pumped == 0:
            message = "light goes to a cell of which nothing is pumped"
            step = "Give its pumped length, or set pump_share = 0 for an absorber"
            yield "error", f"{base}.pump_share", message, "0 with a pumped length of 0", step
        total = None if total is None or length is None else total + length
    if parts and sum(shares) >= 1.0:
        message = f"the further cells take {100 * sum(shares):.3g} % of the light, and the first one gets none"
        yield "error", f"cells.{parts[-1]}.pump_share", message, "A sum below 1", "Lower the shares"
    room = reading.get("resonator.length")
    if parts and None not in (total, room) and total > room:
        message = f"cells of {show('length', total)} do not stand in a resonator of {show('length', room)}"
        step = "Move the mirrors apart or shorten the cells"
        yield "error", f"cells.{parts[-1]}.length", message, f"At most {show('length', room)} in all", step


CHECKS: tuple[Callable[[Reading], Iterator[Fault]], ...] = (_mirrors, _tuning, _injection, _parasitic, _cells)
