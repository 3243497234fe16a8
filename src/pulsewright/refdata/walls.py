"""Surfaces of pump chamber walls: how their reflectivity goes with wavelength, relative to 550 nm.

The level is the build file's; these rows give the colour only. All curves are from memory; a wall in use is duller, in
the ultraviolet most of all.
"""

from __future__ import annotations

from pulsewright.refdata.rows import Curve, Datum, Wall

_NM = 1e-9
_METAL = "usual handbook figures for fresh evaporated films (as tabulated after Hass), from memory"
_USE = "fresh surface, near normal incidence; oxide, dust and polish take most in the ultraviolet"


def _relative(points: tuple[tuple[float, float], ...], edge: Datum, tag: str, source: str, valid: str = _USE) -> Curve:
    """From (wavelength in nm, reflectivity), divided by the reflectivity at 550 nm."""
    at_550 = dict(points)[550.0]
    return Curve(
        tuple(w * _NM for w, _ in points), tuple(round(r / at_550, 4) for _, r in points), "-", edge, tag, source, valid
    )


def _edge(value: float, low: float, high: float, words: str, tag: str = "memory-m") -> Datum:
    return Datum(value * _NM, "m", low * _NM, high * _NM, tag, words)


_ALUMINIUM = (
    (120.0, 0.30),
    (150.0, 0.55),
    (180.0, 0.75),
    (200.0, 0.85),
    (220.0, 0.90),
    (250.0, 0.92),
    (300.0, 0.923),
    (400.0, 0.925),
    (500.0, 0.918),
    (550.0, 0.915),
    (600.0, 0.911),
    (650.0, 0.905),
    (700.0, 0.897),
    (750.0, 0.886),
    (800.0, 0.867),
    (850.0, 0.868),
    (900.0, 0.891),
    (950.0, 0.924),
    (1000.0, 0.940),
    (1500.0, 0.974),
    (2000.0, 0.978),
    (4000.0, 0.982),
    (7000.0, 0.986),
)
_SILVER = (
    (200.0, 0.23),
    (240.0, 0.29),
    (280.0, 0.25),
    (300.0, 0.176),
    (315.0, 0.055),
    (320.0, 0.09),
    (330.0, 0.45),
    (340.0, 0.73),
    (360.0, 0.88),
    (380.0, 0.928),
    (400.0, 0.956),
    (450.0, 0.971),
    (500.0, 0.979),
    (550.0, 0.983),
    (600.0, 0.986),
    (700.0, 0.989),
    (1000.0, 0.994),
    (7000.0, 0.995),
)
_GOLD = (
    (200.0, 0.22),
    (240.0, 0.32),
    (280.0, 0.38),
    (320.0, 0.37),
    (400.0, 0.387),
    (450.0, 0.39),
    (480.0, 0.42),
    (500.0, 0.48),
    (520.0, 0.63),
    (550.0, 0.817),
    (600.0, 0.919),
    (650.0, 0.955),
    (700.0, 0.970),
    (800.0, 0.980),
    (1000.0, 0.986),
    (2000.0, 0.991),
    (7000.0, 0.994),
)
_BARIUM_SULPHATE = (
    (180.0, 0.30),
    (200.0, 0.60),
    (220.0, 0.78),
    (250.0, 0.91),
    (300.0, 0.94),
    (350.0, 0.96),
    (400.0, 0.973),
    (550.0, 0.980),
    (700.0, 0.978),
    (900.0, 0.970),
    (1200.0, 0.955),
    (1500.0, 0.925),
    (2000.0, 0.84),
    (2500.0, 0.70),
    (6000.0, 0.30),
)
_PTFE = (
    (180.0, 0.70),
    (200.0, 0.90),
    (250.0, 0.97),
    (300.0, 0.982),
    (400.0, 0.990),
    (550.0, 0.992),
    (700.0, 0.992),
    (1000.0, 0.992),
    (1500.0, 0.990),
    (2000.0, 0.975),
    (2500.0, 0.96),
    (6000.0, 0.50),
)
_MAGNESIUM_OXIDE = (
    (180.0, 0.40),
    (200.0, 0.70),
    (220.0, 0.85),
    (250.0, 0.93),
    (300.0, 0.95),
    (400.0, 0.970),
    (550.0, 0.976),
    (700.0, 0.972),
    (1000.0, 0.960),
    (1500.0, 0.93),
    (2000.0, 0.90),
    (2500.0, 0.85),
    (6000.0, 0.50),
)
_WHITE = "fresh dry layer, thick enough not to let light through; solvent, lamp ultraviolet and dust yellow it"

_ROWS = (
    Wall("grey", "the same reflectivity at every wavelength", None),
    Wall(
        "aluminium",
        "bare or anodically brightened aluminium, evaporated or polished",
        _relative(
            _ALUMINIUM, _edge(185.0, 160.0, 260.0, "where it falls to some 0.8 towards the blue"), "memory-m", _METAL
        ),
        "Polished sheet is some per cent lower throughout and falls earlier in the ultraviolet.",
    ),
    Wall(
        "silver",
        "bare silver, evaporated, electroplated or foil behind glass",
        _relative(_SILVER, _edge(333.0, 328.0, 345.0, "where it rises to half from the blue"), "memory-m", _METAL),
        "It tarnishes; behind a glass tube it loses what the glass takes.",
    ),
    Wall(
        "gold",
        "bare gold, evaporated or plated",
        _relative(_GOLD, _edge(520.0, 510.0, 535.0, "middle of its rise"), "memory-m", _METAL),
        "It gives back little blue and ultraviolet: a filter and a reflector in one.",
    ),
    Wall(
        "barium sulphate",
        "white coating or packed powder of barium sulphate",
        _relative(
            _BARIUM_SULPHATE,
            _edge(207.0, 195.0, 260.0, "where it falls to some 0.7 towards the blue", "memory-l"),
            "memory-l",
            "usual curves of packed powder and of paint, from memory; paints differ by some per cent",
            _WHITE,
        ),
    ),
    Wall(
        "white fluoropolymer",
        "packed or sintered polytetrafluoroethylene",
        _relative(
            _PTFE,
            _edge(190.0, 170.0, 240.0, "where it falls to some 0.8 towards the blue", "memory-l"),
            "memory-m",
            "usual curve of 10 mm of pressed powder (after Weidner and Hsia 1981), from memory",
            _WHITE,
        ),
        "Thin sheets let light through; it glows in the ultraviolet when it is not clean.",
    ),
    Wall(
        "magnesium oxide",
        "smoked layer or packed powder of magnesium oxide",
        _relative(
            _MAGNESIUM_OXIDE,
            _edge(205.0, 190.0, 250.0, "where it falls to some 0.75 towards the blue", "memory-l"),
            "memory-l",
            "usual curve of a smoked layer, from memory",
            _WHITE,
        ),
        "It takes up water from the air and ages within weeks.",
    ),
)

WALLS: dict[str, Wall] = {row.name: row for row in _ROWS}
