"""The dye of a build as one row: of the library, or made of the user's own spectra and numbers.

What an own dye does not give is taken over from its kindred of the library, with ranges doubled and tagged `assumed`.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping
from dataclasses import dataclass, replace
from functools import lru_cache
from math import log, sqrt
from typing import Any

import numpy as np

from pulsewright import refdata
from pulsewright.errors import BuildError, Finding
from pulsewright.machine.curves import MeasuredCurve
from pulsewright.machine.parts import Machine, OwnDye
from pulsewright.refdata.rows import Datum, Dye, GaussianSum, MeasuredSpectrum

#: How much wider than its kindred's the range of an assumed constant is, each way. Common practice, no source.
WIDENED = 2.0
#: How far to the blue of the fluorescence the band is looked for from which a dye fluoresces. [m]
STOKES = 150e-9
#: Decadic molar absorptivity of a file, L/(mol cm), in m2/mol; and how well one is known that a file gives: weighing
#: and purity, common practice, no source.
FROM_LITRE_CM, ABSORPTIVITY_SPREAD = 0.1, 0.1
#: A laser without tuning works from the fluorescence's peak to where it falls to this part. Common practice, no source.
LASING_FLOOR = 0.2

#: Constants of the kinetics that an own dye may leave to its kindred, with the words for them.
_LEFT_TO_KINDRED = {
    "excited_state_absorption": "absorption of the excited singlet",
    "triplet_absorption": "absorption of the triplet",
    "intersystem_crossing_rate": "crossing to the triplet",
    "triplet_lifetime": "lifetime of the triplet",
    "oxygen_triplet_quenching": "quenching of the triplet by oxygen",
    "oxygen_singlet_quenching": "quenching of the excited singlet by oxygen",
    "oxygen_triplet_yield": "triplets made by oxygen",
    "bleaching_probability": "bleaching",
}
_FWHM = 2.0 * sqrt(2.0 * log(2.0))


@dataclass(frozen=True, slots=True)
class OwnSpectra:
    """Own dye with its files; hashable, so that a row is made once."""

    name: str
    own: OwnDye
    absorption: MeasuredCurve | None
    emission: MeasuredCurve | None
    solvent: str


def dye_of(machine: Machine) -> Dye:
    """The row of the dye in the cell: of the library, or made of `[dyes.<id>]`.

    Raises
    ------
    BuildError
        If the own dye does not give what a row needs; the checks of the build file say so before.
    """
    spectra = own_dye(machine)
    return refdata.dye(machine.dye.name) if spectra is None else _row(spectra)


def dye_key(machine: Machine) -> Hashable:
    """What `dye_of` reads, as a key: the name, or the own dye with its files."""
    return machine.dye.name, own_dye(machine)


def own_dye(machine: Machine) -> OwnSpectra | None:
    """The own dye in the cell with its files; None where that is a dye of the library."""
    name = machine.dye.name
    own = machine.dyes.get(name)
    if own is None:
        return None
    absorption, emission = (machine.curves.get(f"dyes.{name}.{kind}_file") for kind in ("absorption", "emission"))
    return OwnSpectra(name, own, absorption, emission, machine.dye.solvent)


def given_by_entries(machine: Machine) -> frozenset[str]:
    """Fields of the row whose value is an entry of the build file; they vary with that entry."""
    spectra = own_dye(machine)
    if spectra is None:
        return frozenset()
    given = {name for name in _LEFT_TO_KINDRED if getattr(spectra.own, name, None) is not None}
    if spectra.absorption is None or spectra.own.absorption_kind != "molar absorptivity":
        given.add("peak_molar_absorptivity")
    return frozenset({*given, "quantum_yield", "lifetime"})


def own_coefficient(machine: Machine, name: str) -> float:
    """Value of `reference.name` where an entry of the own dye gives it.

    Raises
    ------
    KeyError
        If no entry does.
    """
    table, _, field = name.partition(".")
    if table != "dye" or field not in given_by_entries(machine):
        raise KeyError(f"reference.{name}")
    return float(getattr(dye_of(machine), field))


# The row ---------------------------------------------------------------------------------------


@lru_cache(maxsize=64)
def _row(spectra: OwnSpectra) -> Dye:
    own = spectra.own
    kindred = refdata.dye(own.kindred)
    emission, emission_peak = _emission(spectra)
    absorption, peak = _absorption(spectra, emission_peak)
    source = f"[dyes.{spectra.name}] of the build file"
    assumed = {name: _assumed(datum, own.kindred) for name, datum in _data(kindred)}
    typed = {name: _entry(own, name, datum, source) for name, datum in _data(kindred)}
    given = {name: datum for name, datum in typed.items() if datum is not None}
    bound = Datum(0.5 * peak.value, "m^2/mol", 0.0, peak.value, "assumed", "0 to the peak; nothing measured there")
    made: dict[str, Any] = {
        "name": spectra.name,
        "other_names": (),
        "cas": "",
        "peak_molar_absorptivity": peak,
        "absorption": absorption,
        "unknown_absorption_bound": bound,
        "emission": emission,
        "tail": None,
        "quantum_yield": _exact(own.quantum_yield, "-", source),
        "lifetime": _exact(own.lifetime, "s", source),
        "trapped_lifetime": None,
        "laser_range": _laser_range(emission, emission_peak),
        "concentration": None,
        "second_quantum_yield": None,
        "excited_state_points": (),
        "solubility": (),
        "notes": f"a dye of the user's own; constants not given are those of {own.kindred} with doubled ranges",
        "hazards": _hazards(kindred),
    }
    return replace(kindred, **{**assumed, **given, **made})


def _hazards(kindred: Dye) -> str:
    unknown = "nothing is known here of its own hazards"
    return f"{unknown}; of {kindred.name}: {kindred.hazards}" if kindred.hazards else f"{unknown}."


def _data(kindred: Dye) -> Iterator[tuple[str, Datum]]:
    for name in kindred.__dataclass_fields__:
        datum = getattr(kindred, name)
        if isinstance(datum, Datum):
            yield name, datum


def _assumed(datum: Datum, kindred: str) -> Datum:
    """The datum with its range doubled each way."""
    low = datum.value if datum.low is None else datum.low
    high = datum.value if datum.high is None else datum.high
    most = 1.0 if datum.unit == "-" else np.inf
    wide = (low / WIDENED, max(min(high * WIDENED, most), datum.value)) if low >= 0 else (low, high)
    return replace(datum, low=wide[0], high=wide[1], tag="assumed", source=f"taken over from {kindred}, range doubled")


def _entry(own: OwnDye, name: str, datum: Datum, source: str) -> Datum | None:
    value = getattr(own, name, None)
    return None if value is None or isinstance(value, str) else _exact(value, datum.unit, source)


def _exact(value: float, unit: str, source: str) -> Datum:
    """An entry: its spread stands in the build file."""
    return Datum(value, unit, None, None, "source", source)


def _unshifted(source: str) -> Datum:
    return Datum(0.0, "m", 0.0, 0.0, "source", source)


# Spectra ---------------------------------------------------------------------------------------


def _emission(spectra: OwnSpectra) -> tuple[GaussianSum | MeasuredSpectrum, float]:
    """Fluorescence and the wavelength of its peak."""
    own, curve = spectra.own, spectra.emission
    if curve is not None:
        place, height = curve.peak
        return _measured(curve, height, spectra.solvent), place
    return _band(spectra, "emission", own.emission_peak, own.emission_width)


def _absorption(spectra: OwnSpectra, emission_peak: float) -> tuple[GaussianSum | MeasuredSpectrum, Datum]:
    """Absorption relative to the peak of the band that fluoresces, and the absorptivity there."""
    own, curve = spectra.own, spectra.absorption
    if curve is None:
        band, _ = _band(spectra, "absorption", own.absorption_peak, own.absorption_width)
        return band, _typed_peak(spectra)
    height = band_height(curve, emission_peak)
    if height <= 0.0:
        raise BuildError(_lacks(spectra.name, "absorption_file", "no absorption to the blue of the fluorescence"))
    return _measured(curve, height, spectra.solvent), _measured_peak(spectra, height)


@lru_cache(maxsize=32)
def band_height(curve: MeasuredCurve, emission_peak: float) -> float:
    """Highest value of the band from which a dye fluoresces; 0 when the file does not hold it."""
    pairs = zip(curve.wavelength, curve.values, strict=True)
    return max((value for place, value in pairs if emission_peak - STOKES < place < emission_peak), default=0.0)


def _measured_peak(spectra: OwnSpectra, height: float) -> Datum:
    own, source = spectra.own, f"{spectra.absorption.file if spectra.absorption else ''} of the bench folder"
    if own.absorption_kind == "molar absorptivity":
        value = height * FROM_LITRE_CM
        part = ABSORPTIVITY_SPREAD * value
        return Datum(value, "m^2/mol", value - part, value + part, "source", f"{source}; 10 % for weighing and purity")
    if own.absorption_kind == "absorbance":
        if own.sample_concentration is None or own.sample_length is None:
            raise BuildError(_lacks(spectra.name, "sample_concentration", "absorbance without its sample"))
        return _exact(height / (own.sample_concentration * own.sample_length), "m^2/mol", source)
    return _typed_peak(spectra)


def _typed_peak(spectra: OwnSpectra) -> Datum:
    if spectra.own.peak_molar_absorptivity is None:
        raise BuildError(_lacks(spectra.name, "peak_molar_absorptivity", "no molar absorptivity"))
    return _exact(spectra.own.peak_molar_absorptivity, "m^2/mol", f"[dyes.{spectra.name}] of the build file")


@lru_cache(maxsize=32)
def _measured(curve: MeasuredCurve, height: float, solvent: str) -> MeasuredSpectrum:
    source = f"{curve.file} of the bench folder"
    values = tuple(value / height for value in curve.values)
    ends = curve.wavelength[0], curve.wavelength[-1]
    return MeasuredSpectrum(curve.wavelength, values, _unshifted(source), *ends, solvent, "source", source)


def _band(spectra: OwnSpectra, what: str, peak: float | None, width: float | None) -> tuple[GaussianSum, float]:
    """One Gaussian in wavenumber with the peak and full width given."""
    if peak is None or width is None:
        raise BuildError(_lacks(spectra.name, f"{what}_peak", f"neither a file nor peak and width of its {what}"))
    across = 1.0 / (peak - width / 2) - 1.0 / (peak + width / 2)
    source = f"[dyes.{spectra.name}] of the build file, one Gaussian in wavenumber"
    ends = peak - width, peak + width
    components = ((1.0, peak, across / _FWHM),)
    return GaussianSum(components, _unshifted(source), *ends, 0.0, spectra.solvent, "source", source), peak


def _lacks(name: str, key: str, words: str) -> Finding:
    path = f"dyes.{name}.{key}"
    return Finding("error", path, f"the dye {name} has {words}", "See docs/build-file.md, own dyes", f"Give {key}")


def _laser_range(emission: GaussianSum | MeasuredSpectrum, peak: float) -> Datum:
    """From the peak of the fluorescence to where it has fallen to a fifth, the middle in between."""
    grid = np.linspace(peak, peak + 2 * STOKES, 601)
    if isinstance(emission, MeasuredSpectrum):
        height = np.interp(grid, emission.wavelength, emission.values, right=0.0)
    else:
        ((_, centre, deviation),) = emission.components
        height = np.exp(-0.5 * ((1 / grid - 1 / centre) / deviation) ** 2)
    last = float(grid[int(np.argmax(height < LASING_FLOOR))])
    source = "from the peak of the fluorescence to where it falls to a fifth; common practice, no source"
    return Datum(0.5 * (peak + last), "m", peak, max(last, peak), "assumed", source)


# What is said of it ----------------------------------------------------------------------------


def own_dye_choices(machine: Machine) -> Mapping[str, str]:
    """For the choices of a shot: where each part of an own dye comes from. Empty for a dye of the library."""
    spectra = own_dye(machine)
    if spectra is None:
        return {}
    own = spectra.own
    words = {
        "spectra of the dye": "; ".join((_said("absorption", spectra.absorption), _said("emission", spectra.emission)))
    }
    left = left_to_kindred(spectra)
    if left:
        words[f"taken over from {own.kindred}, ranges doubled"] = ", ".join(left)
    return words


def left_to_kindred(spectra: OwnSpectra) -> tuple[str, ...]:
    """Constants that an own dye does not give, in words."""
    kindred = refdata.dye(spectra.own.kindred)
    return tuple(
        words
        for name, words in _LEFT_TO_KINDRED.items()
        if getattr(spectra.own, name, None) is None and getattr(kindred, name) is not None
    )


def _said(what: str, curve: MeasuredCurve | None) -> str:
    return f"{what} one Gaussian from peak and width" if curve is None else f"{what} from {curve.file}"
