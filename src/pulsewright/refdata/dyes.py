"""Laser dyes: spectra, radiative constants, excited-state absorption and quenching."""

from __future__ import annotations

from dataclasses import replace
from math import exp

from pulsewright.refdata.dye_beside import beside
from pulsewright.refdata.dye_parts import (
    LIFETIME,
    NM,
    NYMAN,
    RECORD,
    RHODAMINE,
    absorptivity,
    bracket,
    cross_section,
    fluorescence_yield,
    gaussian_sum,
    molar_mass_of,
    tuning_range,
)
from pulsewright.refdata.dyes_coumarin import ROWS as COUMARINS
from pulsewright.refdata.dyes_other import ROWS as OTHERS
from pulsewright.refdata.dyes_xanthene import ROWS as XANTHENES
from pulsewright.refdata.rows import Curve, Datum, Dye

#: Absorption of rhodamine 6G in ethylene glycol against wavelength in nm, peak of the band = 1 (Nyman 2017).
_R6G_TAIL = (
    (545, 6.81e-1),
    (550, 4.40e-1),
    (555, 2.39e-1),
    (560, 1.15e-1),
    (565, 5.52e-2),
    (570, 2.20e-2),
    (575, 9.21e-3),
    (580, 4.04e-3),
    (585, 1.89e-3),
    (590, 8.50e-4),
    (595, 5.42e-4),
    (600, 3.07e-4),
    (605, 1.69e-4),
    (610, 9.07e-5),
    (615, 4.79e-5),
    (620, 2.53e-5),
    (625, 1.49e-5),
    (630, 7.36e-6),
)

#: The record is noise beyond 630 nm; from there the tail falls by ten every 15.5 nm (14 to 17).
_TAIL_DECADE = 15.5


def _r6g_tail() -> Curve:
    shift = -3.0
    last, level = _R6G_TAIL[-1]
    beyond = tuple((w, level * exp(-2.302585092994046 * (w - last) / _TAIL_DECADE)) for w in (660, 700, 760))
    points = _R6G_TAIL + beyond
    return Curve(
        tuple((w + shift) * NM for w, _ in points),
        tuple(v for _, v in points),
        "-",
        Datum(
            shift * NM,
            "m",
            -5.5 * NM,
            -0.5 * NM,
            "computed",
            "ethylene glycol lies about 3 nm to the red of ethanol",
        ),
        "source",
        NYMAN,
        "relative to the band maximum, shifted 3 nm to the blue for ethanol; beyond 627 nm continued by a factor 10 "
        "every 15.5 nm; good to a factor 2",
    )


_R6G_PEAK = absorptivity(116_000, 94_000, 120_000, "source", RECORD + "; literature 94 000 to 116 000")
_R6G_NOISE = 600.0

_R6G = Dye(
    name="rhodamine 6G",
    other_names=("rhodamine 590",),
    cas="989-38-8",
    molar_mass=molar_mass_of(479.0),
    peak_molar_absorptivity=_R6G_PEAK,
    absorption=gaussian_sum(
        (
            (0.3591, 240.9, 2643),
            (0.0801, 276.4, 731),
            (0.1292, 292.8, 1428),
            (0.0840, 344.2, 1097),
            (0.0164, 394.8, 1203),
            (0.0848, 487.8, 1116),
            (0.2038, 497.8, 497),
            (0.0304, 520.8, 192),
            (0.7292, 527.9, 452),
            (0.2677, 533.8, 265),
        ),
        "ethanol",
        0.016,
        (225.0, _R6G_NOISE),
    ),
    unknown_absorption_bound=bracket(
        _R6G_PEAK, 0.5, "0 to half the peak; the record begins at 225 nm at 0.4 of the peak"
    ),
    emission=gaussian_sum(
        ((0.3318, 549.3, 320), (0.6809, 561.9, 433), (0.3178, 591.1, 714), (0.0074, 664.3, 372)),
        "ethylene glycol",
        0.006,
        (533.0, 685.0),
        Datum(-3e-9, "m", -5.5e-9, -0.5e-9, "computed", "ethylene glycol lies about 3 nm to the red of ethanol"),
        source="Gaussian sum fitted to the fluorescence of " + NYMAN,
    ),
    tail=_r6g_tail(),
    quantum_yield=fluorescence_yield(0.95, 0.90, 0.98, "source", RECORD + ", ethanol"),
    lifetime=Datum(
        3.9e-9,
        "s",
        3.5e-9,
        4.1e-9,
        "memory-m",
        LIFETIME + "; 3.5 ns intrinsic in Hammond and Nelson 1980",
        "dilute solution",
    ),
    trapped_lifetime=Datum(
        4.8e-9,
        "s",
        4.3e-9,
        5.2e-9,
        "source",
        "Hammond and Nelson, IEEE J. Quantum Electron. 16 (1980): 3.5 to 4.8 ns by radiation trapping",
        "flashlamp head, ethanol, independent of its size",
    ),
    excited_state_absorption=cross_section(
        0.4, 0.2, 0.6, "memory-m", "Hammond 1979, Sahar and Treves 1977 as remembered", "570 to 620 nm, taken flat"
    ),
    triplet_absorption=cross_section(
        0.5, 0.3, 0.8, "memory-m", "0.3 to 0.8e-20 m2 as remembered", "570 to 610 nm, taken flat"
    ),
    intersystem_crossing_rate=Datum(
        2.0e6, "1/s", 0.5e6, 2.0e7, "memory-m", "triplet yield 0.002 to 0.01; early laser models 3e6 to 2e7"
    ),
    triplet_lifetime=RHODAMINE["triplet_lifetime"],
    oxygen_triplet_quenching=RHODAMINE["oxygen_triplet_quenching"],
    oxygen_singlet_quenching=RHODAMINE["oxygen_singlet_quenching"],
    oxygen_triplet_yield=RHODAMINE["oxygen_triplet_yield"],
    bleaching_probability=RHODAMINE["bleaching_probability"],
    laser_range=tuning_range(563, 589, 625),
    concentration=Datum(
        6e-2,
        "mol/m^3",
        2e-2,
        1e-1,
        "memory-m",
        "catalogue type",
        "3e-5 to 1e-4 mol/L for bores of 5 to 10 mm, 2 to 5e-5 above",
    ),
    notes="Chloride; perchlorate 543.0 g/mol. Dimers quench it in plain water.",
)

#: What stands beside the spectra of each dye: second yields, points of S1, pairing, solubility, hazards.
_BESIDE = {name: beside(name) for name in ("rhodamine 6G", *(row.name for row in (*XANTHENES, *COUMARINS, *OTHERS)))}
DYES: dict[str, Dye] = {row.name: replace(row, **_BESIDE[row.name]) for row in (_R6G, *XANTHENES, *COUMARINS, *OTHERS)}
