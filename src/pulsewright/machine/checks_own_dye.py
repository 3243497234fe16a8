"""What the entries of the user's own dyes must satisfy together, with their measured files."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import lru_cache

from pulsewright.errors import Grade
from pulsewright.machine.curves import MeasuredCurve
from pulsewright.machine.schema import names
from pulsewright.machine.tree import Reading
from pulsewright.quantities import show

#: grade, path, message, allowed, next step
Fault = tuple[Grade, str, str, str, str]

#: Full widths of the bands of laser dyes in solution: beyond the first pair they are doubted, beyond the second
#: refused; the last as part of the peak's wavelength. The library's lie between 28 and 96 nm. [m]
DOUBTED_WIDTH = (10e-9, 150e-9)
REFUSED_WIDTH = 0.5
#: Natural lifetimes of dyes that lase. Common practice, no source. [s]
NATURAL_LIFETIME = (1e-9, 50e-9)
#: Decadic molar absorptivity of bands of laser dyes; the library's lie between 14 000 and 140 000 L/(mol cm). [m2/mol]
ABSORPTIVITY = (300.0, 40_000.0)
#: Absorbance up to which instruments are usually trusted. Common practice, no source.
TRUSTED_ABSORBANCE = 3.0
#: Part of the peak that a spectrum should have fallen to at its ends.
ABSORPTION_END, EMISSION_END = 0.05, 0.1
#: How far to the blue of the fluorescence the band is looked for from which a dye fluoresces. [m]
STOKES = 150e-9


def _names(reading: Reading) -> Iterator[Fault]:
    """Ids that are names of the library, and dyes that nothing uses."""
    library = {name.casefold(): name for name in names("dye")}
    chosen = reading.get("dye.name")
    for part in reading.ids.get("dyes", ()):
        twin = library.get(part.casefold())
        if twin is not None:
            message = f'"{part}" is also the name of a dye of the library ({twin})'
            yield "error", f"dyes.{part}", message, "An id of its own", f"Rename it, for instance [dyes.my_{part}]"
        elif chosen is not None and chosen != part:
            message = f"the cell holds {chosen}; this dye is not used"
            yield "note", f"dyes.{part}", message, "", f'Set dye.name = "{part}" to use it'


def _each(check: Callable[[Reading, str], Iterator[Fault]]) -> Callable[[Reading], Iterator[Fault]]:
    """The check over every own dye; what is wrong with one that nothing uses is no error."""

    def over_all(reading: Reading) -> Iterator[Fault]:
        for part in reading.ids.get("dyes", ()):
            used = reading.get("dye.name") == part
            for grade, path, message, allowed, step in check(reading, part):
                yield grade if used or grade != "error" else "warning", path, message, allowed, step

    return over_all


def _given(reading: Reading, path: str) -> bool:
    """Whether something stands there, right or wrong."""
    return path in reading.entries or any(finding.path == path for finding in reading.findings)


def _spectra(reading: Reading, part: str) -> Iterator[Fault]:
    """Each spectrum comes from a file or from peak and width."""
    for what in ("absorption", "emission"):
        base = f"dyes.{part}.{what}"
        numbers = [key for key in ("peak", "width") if reading.get(f"{base}_{key}") is not None]
        if _given(reading, f"{base}_file"):
            if numbers:
                message = f"both a file and {' and '.join(numbers)} of the {what} are given; the file is used"
                step = f"Remove {' and '.join(f'{what}_{key}' for key in numbers)}"
                yield "note", f"{base}_{numbers[0]}", message, "", step
            continue
        missing = [f"{what}_{key}" for key in ("peak", "width") if not _given(reading, f"{base}_{key}")]
        if missing:
            example = {"absorption": ("530 nm", "31 nm"), "emission": ("556 nm", "43 nm")}[what]
            texts = dict(zip((f"{what}_peak", f"{what}_width"), example, strict=True))
            step = " and ".join(f'{key} = "{texts[key]}"' for key in missing)
            told = f"its {what} has neither a file nor a peak"
            if len(missing) == 1:
                told = f"its {what} has no {missing[0].removeprefix(f'{what}_')}"
            allowed = f"{what}_file, or {what}_peak with {what}_width"
            yield "error", f"{base}_file", told, allowed, f"Add {step} or what it is under [dyes.{part}]"


def _absorptivity(reading: Reading, part: str) -> Iterator[Fault]:
    """How strongly it absorbs: typed, or from the file and its sample."""
    base = f"dyes.{part}"
    kind = reading.get(f"{base}.absorption_kind")
    measured = _given(reading, f"{base}.absorption_file")
    typed = f"{base}.peak_molar_absorptivity"
    if (not measured or kind == "relative") and reading.get(typed) is None and not _faulty(reading, typed):
        message = "how strongly it absorbs is not given" + (": the file is relative" if measured else "")
        step = f'Add peak_molar_absorptivity = "1e5 L/(mol cm)" or what it is under [{base}]'
        yield "error", typed, message, "A decadic molar absorptivity", step
    if measured and kind in ("molar absorptivity", "absorbance") and reading.get(typed) is not None:
        message = f"both a file of {kind} and a number are given; the file is used"
        yield "note", typed, message, "", "Remove it, or set absorption_kind = relative"
    for key, example in (("sample_concentration", "1e-5 mol/L"), ("sample_length", "10 mm")):
        path = f"{base}.{key}"
        if measured and kind == "absorbance" and reading.get(path) is None and not _faulty(reading, path):
            message = f"absorbance says nothing without the {key.replace('_', ' ').replace('sample', 'sample:')}"
            yield "error", path, message.replace("sample: ", "sample's "), "A value", f'Add {key} = "{example}"'
        if reading.get(path) is not None and not (measured and kind == "absorbance"):
            yield "note", path, "it is used for a file of absorbance only", "", "Remove it, or set absorption_kind"


def _faulty(reading: Reading, path: str) -> bool:
    return any(finding.path == path for finding in reading.findings)


def _numbers(reading: Reading, part: str) -> Iterator[Fault]:
    """Widths and lifetimes that no dye has."""
    base = f"dyes.{part}"
    for what in ("absorption", "emission"):
        width, peak = reading.get(f"{base}.{what}_width"), reading.get(f"{base}.{what}_peak")
        if width is None:
            continue
        text = show("emission_width", width)
        low, high = (show("emission_width", end) for end in DOUBTED_WIDTH)
        if peak is not None and width > REFUSED_WIDTH * peak:
            message = f"a band of {text} round {show('emission_peak', peak)} is no band"
            yield "error", f"{base}.{what}_width", message, f"{low} to {high}", "Check width and peak"
        elif not DOUBTED_WIDTH[0] <= width <= DOUBTED_WIDTH[1]:
            message = f"{text} is unusual for a dye in solution"
            yield (
                "warning",
                f"{base}.{what}_width",
                message,
                f"{low} to {high}",
                "Check the width, full at half maximum",
            )
    lifetime, share = reading.get(f"{base}.lifetime"), reading.get(f"{base}.quantum_yield")
    if lifetime is not None and share:
        natural = lifetime / share
        if not NATURAL_LIFETIME[0] <= natural <= NATURAL_LIFETIME[1]:
            shortest, longest = (show("lifetime", end) for end in NATURAL_LIFETIME)
            message = f"lifetime over quantum yield, the natural lifetime, is {show('lifetime', natural)}"
            step = "Check both: the lifetime is the one measured, not the natural one"
            yield "warning", f"{base}.lifetime", message, f"{shortest} to {longest} for dyes that lase", step


# Curves ----------------------------------------------------------------------------------------


def emission_peak(reading: Reading, part: str) -> float | None:
    """Wavelength at which an own dye fluoresces most, from its file or its number."""
    curve = reading.curves.get(f"dyes.{part}.emission_file")
    if curve is not None:
        return curve.peak[0]
    value = reading.get(f"dyes.{part}.emission_peak")
    return None if value is None else float(value)


def _order(reading: Reading, part: str) -> Iterator[Fault]:
    """Fluorescence lies to the red of the absorption that it comes from."""
    base, glow = f"dyes.{part}", emission_peak(reading, part)
    if glow is None:
        return
    curve = reading.curves.get(f"{base}.absorption_file")
    shown = show("emission_peak", glow)
    if curve is None:
        peak = reading.get(f"{base}.absorption_peak")
        if peak is not None and not _given(reading, f"{base}.absorption_file") and peak >= glow:
            at = show("absorption_peak", peak)
            message = f"the absorption peaks at {at}, not to the blue of the fluorescence at {shown}"
            yield "error", f"{base}.absorption_peak", message, f"Below {shown}", "Exchange or correct the two peaks"
        return
    height, place = band_of(curve, glow)
    if height <= 0.0:
        message = f"the file holds no absorption within {STOKES * 1e9:g} nm to the blue of the fluorescence at {shown}"
        step = "Check that the two files, or file and peak, belong to one dye"
        yield "error", f"{base}.absorption_file", message, "The band that the fluorescence comes from", step
        return
    if _beyond(curve, glow) > height:
        message = f"it absorbs more to the red of the fluorescence at {shown} than to the blue of it"
        step = "Check that the two spectra belong to one dye and are not exchanged"
        yield "error", f"{base}.absorption_file", message, "Absorption to the blue of the fluorescence", step
    yield from _absorption_reach(f"{base}.absorption_file", curve, height, place, glow)
    yield from _strength(reading, base, height)


@lru_cache(maxsize=32)
def _beyond(curve: MeasuredCurve, glow: float) -> float:
    """Highest value at the fluorescence's peak and to the red of it."""
    pairs = zip(curve.wavelength, curve.values, strict=True)
    return max((value for place, value in pairs if place >= glow), default=0.0)


@lru_cache(maxsize=32)
def band_of(curve: MeasuredCurve, glow: float) -> tuple[float, float]:
    """Highest value of the band to the blue of a fluorescence peak, and its wavelength; zeros when there is none."""
    pairs = zip(curve.values, curve.wavelength, strict=True)
    return max(((value, place) for value, place in pairs if glow - STOKES < place < glow), default=(0.0, 0.0))


def _absorption_reach(path: str, curve: MeasuredCurve, height: float, place: float, glow: float) -> Iterator[Fault]:
    red, value = curve.wavelength[-1], curve.values[-1]
    if place == red:
        message = f"the highest value to the blue of the fluorescence stands at the end of the file, {red * 1e9:.4g} nm"
        step = f"Measure to {glow * 1e9:.4g} nm or until it has fallen to {100 * ABSORPTION_END:g} %"
        yield "error", path, message, "A peak inside the file", step
        return
    if red < glow and value > ABSORPTION_END * height:
        message = (
            f"the file ends at {red * 1e9:.4g} nm, where it still absorbs {100 * value / height:.3g} % of its peak; "
            "beyond it counts as none up to the crossing with the fluorescence"
        )
        step = f"Measure to {glow * 1e9:.4g} nm or until it has fallen to {100 * ABSORPTION_END:g} %"
        yield "warning", path, message, f"At most {100 * ABSORPTION_END:g} % at the red end", step
    if curve.wavelength[0] > place - 20e-9:
        message = f"the file begins at {curve.wavelength[0] * 1e9:.4g} nm, next to its peak at {place * 1e9:.4g} nm"
        step = "Measure further to the blue: pump light there counts as not absorbed"
        yield "warning", path, message, "The whole band, better down to 220 nm", step


def _strength(reading: Reading, base: str, height: float) -> Iterator[Fault]:
    """A molar absorptivity that no dye has, as the file and its sample give it."""
    kind = reading.get(f"{base}.absorption_kind")
    path = f"{base}.absorption_file"
    low, high = (_decadic(end) for end in ABSORPTIVITY)
    if kind == "absorbance":
        amount, length = reading.get(f"{base}.sample_concentration"), reading.get(f"{base}.sample_length")
        if height > TRUSTED_ABSORBANCE:
            message = f"an absorbance of {height:.3g} is more than most instruments read rightly"
            yield "warning", path, message, f"At most {TRUSTED_ABSORBANCE:g}", "Thin the sample or shorten it"
        if amount is None or length is None:
            return
        value = height / (amount * length)
    elif kind == "molar absorptivity":
        value = 0.1 * height
    else:
        return
    if not ABSORPTIVITY[0] <= value <= ABSORPTIVITY[1]:
        message = f"the file gives a molar absorptivity of {_decadic(value)} at the peak"
        step = "Check absorption_kind, the sample and the unit: the file is in L/(mol cm), decadic"
        yield "warning", path, message, f"{low} to {high} for laser dyes", step


def _decadic(value: float) -> str:
    """A molar absorptivity in the unit of the trade."""
    return f"{10.0 * value:.3g} L/(mol cm)"


def _emission_reach(reading: Reading, part: str) -> Iterator[Fault]:
    path = f"dyes.{part}.emission_file"
    curve = reading.curves.get(path)
    if curve is None:
        return
    place, height = curve.peak
    for end, side in ((0, "blue"), (-1, "red")):
        value, edge = curve.values[end] / height, curve.wavelength[end] * 1e9
        if place == curve.wavelength[end]:
            message = f"the highest value stands at the {side} end of the file, {edge:.4g} nm: this is no whole band"
            yield "error", path, message, "A peak inside the file", "Measure further, or take off stray pump light"
        elif value > EMISSION_END:
            message = f"the file ends at {edge:.4g} nm with {100 * value:.3g} % of its peak; beyond it counts as none"
            allowed = f"At most {100 * EMISSION_END:g} % of the peak at the {side} end"
            yield "warning", path, message, allowed, f"Measure further to the {side}"


CHECKS: tuple[Callable[[Reading], Iterator[Fault]], ...] = (
    _names,
    *(_each(check) for check in (_spectra, _absorptivity, _numbers, _order, _emission_reach)),
)
