"""What the dye rows are built from: units, source texts, spectra, and the brackets of each family.

Spectra are Gaussian sums fitted to open records (Taniguchi, Lindsey and co-workers; Nyman 2017, CC BY 4.0);
the records themselves are not stored. Outside the window that the data support, absorption is not known.
"""

from __future__ import annotations

from collections.abc import Mapping

from pulsewright.refdata.rows import Datum, Dye, GaussianSum, about

NM = 1e-9
_PER_CM = 100.0
_DECADIC = 0.1  # L/(mol cm) to m2/mol
_LITRE_RATE = 1e-3  # L/(mol s) to m3/(mol s)

RECORD = "open spectral database of Taniguchi, Lindsey and co-workers"
FIT = "Gaussian sum fitted to the record of the " + RECORD
RURACK = "Rurack and Spieles, Anal. Chem. 83 (2011) 1232, dilute ethanol"
NYMAN = (
    "Nyman, Absorption and Fluorescence spectra of Rhodamine 6G, Zenodo (2017), doi 10.5281/zenodo.569817, CC BY 4.0"
)
LIFETIME = "usual lifetimes as remembered; supported to 15 % by the radiative rate from the absorption band"
_KINDRED = "taken over from rhodamine 6G, the same chromophore; no figure of its own known"
_BRACKET = "bracket for laser dyes at their laser wavelength; no figure of its own known"
_DIFFUSION = "bracket around the rhodamine 6G figure; oxygen quenching is near the diffusion limit"

Band = tuple[tuple[float, float, float], ...]


def _none(unit: str) -> Datum:
    return Datum(0.0, unit, 0.0, 0.0, "source", "spectrum recorded in the row's solvent")


def _shift(by: float, half: float) -> Datum:
    words = "band of a kindred dye moved to the peak remembered of this one"
    return Datum(by * NM, "m", (by - half) * NM, (by + half) * NM, "memory-m", words)


def _window(band: Band) -> tuple[float, float]:
    """Where a visible fit is taken as supported: two widths beyond its outermost components, in nm."""
    bluest = max(1e7 / centre + 2.0 * width for _, centre, width in band)
    reddest = min(1e7 / centre - 2.0 * width for _, centre, width in band)
    return 1e7 / bluest, 1e7 / reddest


def gaussian_sum(
    band: Band,
    solvent: str,
    rms: float,
    window: tuple[float, float] | None = None,
    shift: Datum | None = None,
    tag: str = "computed",
    source: str = FIT,
) -> GaussianSum:
    """A spectrum from amplitudes, centres in nm and widths in 1/cm."""
    known_from, known_to = _window(band) if window is None else window
    return GaussianSum(
        tuple((a, centre * NM, width * _PER_CM) for a, centre, width in band),
        _none("m") if shift is None else shift,
        known_from * NM,
        known_to * NM,
        rms,
        solvent,
        tag,
        source,
    )


def absorptivity(value: float, low: float, high: float, tag: str = "source", source: str = RECORD) -> Datum:
    """Decadic molar absorptivity from L/(mol cm)."""
    return Datum(
        value * _DECADIC, "m^2/mol", low * _DECADIC, high * _DECADIC, tag, source, "decadic, at the band maximum"
    )


def lifetime_of(value: float, part: float = 0.13, tag: str = "memory-m", source: str = LIFETIME) -> Datum:
    """Fluorescence lifetime from ns and its relative 90 % half-width."""
    return about(
        value * 1e-9,
        "s",
        part,
        tag,
        source,
        "dilute solution, as measured, mostly in air: some oxygen quenching is inside",
    )


def cross_section(value: float, low: float, high: float, tag: str, source: str, valid: str) -> Datum:
    """Cross-section from 1e-20 m2."""
    return Datum(value * 1e-20, "m^2", low * 1e-20, high * 1e-20, tag, source, valid)


def molar_mass_of(value: float) -> Datum:
    """Molar mass from g/mol."""
    return about(value * 1e-3, "kg/mol", 1e-3, "computed", "molecular formula and standard atomic weights")


def quenching(value: float, low: float, high: float, tag: str, source: str) -> Datum:
    """Bimolecular rate from L/(mol s)."""
    return Datum(
        value * _LITRE_RATE, "m^3/(mol s)", low * _LITRE_RATE, high * _LITRE_RATE, tag, source, "alcohols, 20 degC"
    )


def tuning_range(low: float, best: float, high: float) -> Datum:
    """Laser range and its best wavelength from nm."""
    return Datum(best * NM, "m", low * NM, high * NM, "memory-m", "flashlamp tuning range, catalogue type")


def concentration_range(low: float, high: float) -> Datum:
    """Usual concentration from mol/L."""
    middle = (low * high) ** 0.5
    return Datum(middle * 1e3, "mol/m^3", low * 1e3, high * 1e3, "memory-m", "catalogue type", "bores of 5 to 10 mm")


def bracket(peak: Datum, part: float, words: str) -> Datum:
    """Absorptivity where no record reaches: from nothing to a part of the peak."""
    return Datum(
        0.5 * part * peak.value, "m^2/mol", 0.0, part * peak.value, "assumed", words, "outside the known window"
    )


#: Widths of the brackets by family; each entry: value, low, high, tag, source.
RHODAMINE = {
    "excited_state_absorption": cross_section(
        0.4, 0.15, 0.7, "assumed", _KINDRED, "at the laser wavelength, taken flat over the band"
    ),
    "triplet_absorption": cross_section(
        0.5, 0.2, 0.9, "assumed", _KINDRED, "at the laser wavelength, taken flat over the band"
    ),
    "intersystem_crossing_rate": Datum(2.0e6, "1/s", 0.5e6, 2.0e7, "assumed", _KINDRED),
    "triplet_lifetime": Datum(1.0e-4, "s", 1e-5, 5e-4, "memory-l", "limited by purity", "no oxygen, no quencher"),
    "oxygen_triplet_quenching": quenching(
        1.5e9, 1.0e9, 3.0e9, "memory-m", "eosin Y in methanol 1.1e9 measured (Penzkofer and Beidoun 1993)"
    ),
    "oxygen_singlet_quenching": quenching(
        7.0e9,
        2.0e9,
        1.5e10,
        "memory-l",
        "diffusion limit 5e9 to 1.5e10; a quantum yield of 0.95 in air-saturated ethanol allows no more than about 7e9",
    ),
    "oxygen_triplet_yield": Datum(
        0.05,
        "-",
        0.0,
        0.2,
        "memory-l",
        "no measurement known; above about 0.25 no rhodamine laser would work in air, and they do",
        "share of the singlets quenched by oxygen that become triplets",
    ),
    "bleaching_probability": Datum(
        3.0e-7,
        "-",
        1.0e-7,
        1.0e-6,
        "source",
        "Eggeling et al., Anal. Chem. 70 (1998) 2651: 1e-6 to 1e-7",
        "per absorbed photon, in water, below 10 MW/m2; larger above and in the ultraviolet",
    ),
}

COUMARIN = {
    "excited_state_absorption": cross_section(
        0.2, 0.05, 0.4, "memory-l", "Magde et al. 1981: 0.1 to 0.4e-20 m2", "at the laser wavelength, taken flat"
    ),
    "triplet_absorption": cross_section(
        0.2, 0.02, 0.6, "assumed", _BRACKET, "at the laser wavelength, taken flat over the band"
    ),
    "intersystem_crossing_rate": Datum(5.0e6, "1/s", 5e5, 5e7, "assumed", _BRACKET),
    "triplet_lifetime": Datum(1.0e-4, "s", 1e-6, 1e-3, "assumed", _BRACKET, "no oxygen, no quencher"),
    "oxygen_triplet_quenching": quenching(1.5e9, 0.7e9, 4.0e9, "assumed", _DIFFUSION),
    "oxygen_singlet_quenching": quenching(1.0e10, 3.0e9, 2.0e10, "assumed", _DIFFUSION),
    "oxygen_triplet_yield": Datum(
        0.1, "-", 0.0, 0.5, "assumed", _BRACKET, "share of the singlets quenched by oxygen that become triplets"
    ),
    "bleaching_probability": Datum(
        3.0e-4,
        "-",
        1.0e-4,
        1.0e-3,
        "source",
        "coumarins in water 1e-3 to 1e-4 (abstract, immunology.ox.ac.uk publication 222222)",
        "per absorbed photon, in water",
    ),
}

OTHER = {
    "excited_state_absorption": cross_section(
        0.3, 0.0, 0.8, "assumed", _BRACKET, "at the laser wavelength, taken flat over the band"
    ),
    "triplet_absorption": cross_section(
        0.4, 0.0, 1.0, "assumed", _BRACKET, "at the laser wavelength, taken flat over the band"
    ),
    "intersystem_crossing_rate": Datum(5.0e6, "1/s", 5e5, 5e7, "assumed", _BRACKET),
    "triplet_lifetime": Datum(1.0e-4, "s", 1e-6, 1e-3, "assumed", _BRACKET, "no oxygen, no quencher"),
    "oxygen_triplet_quenching": quenching(1.5e9, 0.5e9, 4.0e9, "assumed", _DIFFUSION),
    "oxygen_singlet_quenching": quenching(1.0e10, 2.0e9, 2.0e10, "assumed", _DIFFUSION),
    "oxygen_triplet_yield": Datum(
        0.1, "-", 0.0, 0.5, "assumed", _BRACKET, "share of the singlets quenched by oxygen that become triplets"
    ),
    "bleaching_probability": None,
}

_XANTHENE_BOUND = "0 to half the peak: rhodamine 6G, same chromophore, stays below 0.4 of its peak from 225 nm on"
_OTHER_BOUND = "0 to the peak itself; no ultraviolet record at hand"


def dye_row(
    name: str,
    other_names: tuple[str, ...],
    cas: str,
    mass: float,
    peak: Datum,
    absorption: tuple[Band, str, float],
    emission: tuple[Band, str, float] | None,
    quantum_yield: Datum,
    lifetime: Datum,
    family: Mapping[str, Datum | None],
    laser_range: Datum | None,
    concentration: Datum | None,
    notes: str = "",
    tag: str = "computed",
    source: str = FIT,
    shifts: tuple[float, float, float] | None = None,
) -> Dye:
    """A dye with the brackets of its family; `shifts` in nm of absorption and emission, and their half-width."""
    xanthene = family is RHODAMINE
    moved = [None, None] if shifts is None else [_shift(by, shifts[2]) for by in shifts[:2]]
    return Dye(
        name=name,
        other_names=other_names,
        cas=cas,
        molar_mass=molar_mass_of(mass),
        peak_molar_absorptivity=peak,
        absorption=gaussian_sum(*absorption, shift=moved[0], tag=tag, source=source),
        unknown_absorption_bound=bracket(peak, 0.5 if xanthene else 1.0, _XANTHENE_BOUND if xanthene else _OTHER_BOUND),
        emission=None if emission is None else gaussian_sum(*emission, shift=moved[1], tag=tag, source=source),
        tail=None,
        quantum_yield=quantum_yield,
        lifetime=lifetime,
        trapped_lifetime=None,
        laser_range=laser_range,
        concentration=concentration,
        notes=notes,
        **family,  # type: ignore[arg-type]
    )


def fluorescence_yield(value: float, low: float, high: float, tag: str, source: str) -> Datum:
    """Fluorescence quantum yield."""
    return Datum(value, "-", low, high, tag, source, "dilute solution")
