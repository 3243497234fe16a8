"""Optical surfaces and their damage thresholds: orders of magnitude, to be replaced by the maker's own test."""

from __future__ import annotations

from pulsewright.refdata.rows import Coating, Datum

_CM2 = 1e4
_TESTED = "~10 ns, 1064 nm"
_DERATED = "590 nm, 1 us; derated for design, an estimate: no microsecond visible series is established"
_MEMORY = "order of magnitude from memory"

_DURATION = Datum(
    0.3,
    "-",
    0.1,
    0.6,
    "source",
    "Stuart et al., Phys. Rev. B 53, 1749 (1996): 0.3 to 0.6; Rainer et al., ASTM STP (1985): 0.10 to 0.51, mean 0.30",
    "pulses longer than about 20 ps; beyond about one decade, and above about 1 us, an extrapolation",
)
_WAVELENGTH = Datum(0.75, "-", 0.5, 1.0, "memory-m", "rule for scaling vendor numbers", "within about a factor 2")


def _row(
    name: str,
    words: str,
    tested: tuple[float, float, float],
    design: tuple[float, float],
    notes: str = "",
    tag: str = "memory-l",
    source: str = _MEMORY,
) -> Coating:
    value, low, high = (number * _CM2 for number in tested)
    least, most = (number * _CM2 for number in design)
    middle = (least * most) ** 0.5
    return Coating(
        name,
        words,
        Datum(value, "J/m^2", low, high, tag, source, _TESTED),
        1064e-9,
        10e-9,
        Datum(middle, "J/m^2", least, most, "memory-l", _MEMORY, _DERATED),
        _DURATION,
        _WAVELENGTH,
        notes,
    )


_HR_SOURCE = _MEMORY + "; one ZrO2/SiO2 set 7 to 10 J/cm2 at 1064 nm (Rainer et al., ASTM STP 1985)"

_ROWS = (
    _row("dielectric high reflector", "multilayer high reflector", (10, 5, 20), (10, 30), source=_HR_SOURCE),
    _row(
        "dielectric partial reflector",
        "multilayer output coupler",
        (10, 5, 20),
        (10, 30),
        "Taken as the high reflector; no separate figure.",
        source=_HR_SOURCE,
    ),
    _row("broadband antireflection", "broadband antireflection coating", (5.5, 3, 10), (8, 20)),
    _row(
        "single-line antireflection",
        "two-layer antireflection coating for one wavelength",
        (14, 10, 20),
        (8, 20),
        "Design figure taken as the broadband coating.",
    ),
    _row(
        "protected silver",
        "protected silver mirror",
        (1.7, 1, 3),
        (3, 10),
        "Adiabatic melt bound at 3 % absorption: 9.0 J/cm2 at 10 ns, 90 J/cm2 at 1 us.",
    ),
    _row(
        "protected aluminium",
        "protected or enhanced aluminium mirror",
        (0.55, 0.3, 1),
        (1, 4),
        "Adiabatic melt bound at 9 % absorption: 1.5 J/cm2 at 10 ns, 15 J/cm2 at 1 us.",
    ),
    _row(
        "bare fused silica",
        "polished fused silica, uncoated",
        (32, 20, 50),
        (30, 60),
        "22 tau_ns^0.4 J/cm2 (Campbell et al., SPIE 1441, 1990, from memory).",
        "memory-m",
    ),
    _row("bare crown glass", "polished borosilicate crown glass, uncoated", (16, 10, 25), (20, 40)),
    _row(
        "bare glass, wetted by dye",
        "inner face of a cell window",
        (8.5, 5, 15),
        (5, 10),
        "A film of carbonised dye on the inner face decides.",
    ),
    _row("thin-film polariser", "multilayer polariser", (5.5, 3, 10), (5, 15)),
    _row("sheet polariser", "dichroic sheet", (0.03, 0.01, 0.1), (0.05, 0.5), "Never in the main beam."),
    _row(
        "absorbing neutral glass",
        "absorptive neutral-density glass",
        (3.2, 1, 10),
        (2, 10),
        "Limited by absorbed heat per volume; fractures.",
    ),
    _row("cemented", "cemented doublet or cube", (1.0, 0.7, 1.5), (1, 2)),
)

COATINGS: dict[str, Coating] = {row.name: row for row in _ROWS}
