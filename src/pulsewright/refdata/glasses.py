"""Envelope, cell and window glasses; coolants; filter jackets. Curves from memory, with the range of their edge."""

from __future__ import annotations

from math import log

from pulsewright.refdata.rows import Coolant, Curve, Datum, Filter, Glass, about

_NM = 1e-9
_MEMORY = "typical internal transmission of a 1 mm sample, room temperature, from memory"
_COLD = (
    "room temperature; a hot envelope absorbs further into the red (some nm per 100 K, from memory), "
    "and colour centres from use are not included"
)


def _edge(value: float, low: float, high: float, words: str = "wavelength of half transmission, 1 mm") -> Datum:
    return Datum(value * _NM, "m", low * _NM, high * _NM, "memory-m", words)


def _internal(points: tuple[tuple[float, float], ...], edge: Datum) -> Curve:
    """Absorption coefficient from (wavelength in nm, internal transmission of 1 mm)."""
    return Curve(
        tuple(w * _NM for w, _ in points),
        tuple(-log(t) / 1e-3 for _, t in points),
        "1/m",
        edge,
        "memory-m",
        _MEMORY,
        _COLD,
    )


_SILICA_INFRARED = (
    (2000.0, 0.9997),
    (2600.0, 0.998),
    (2730.0, 0.97),
    (2900.0, 0.998),
    (3300.0, 0.98),
    (3700.0, 0.75),
    (4000.0, 0.45),
    (4300.0, 0.12),
    (4800.0, 1e-2),
    (6000.0, 1e-6),
)

_CLEAR = (
    (150.0, 1e-6),
    (158.0, 1e-2),
    (163.0, 0.25),
    (167.0, 0.5),
    (175.0, 0.80),
    (185.0, 0.93),
    (200.0, 0.975),
    (220.0, 0.990),
    (242.0, 0.990),
    (260.0, 0.996),
    (300.0, 0.999),
    (400.0, 0.9998),
    *_SILICA_INFRARED,
)

_OZONE_FREE = (
    (180.0, 1e-6),
    (210.0, 1e-3),
    (220.0, 0.05),
    (230.0, 0.28),
    (238.0, 0.5),
    (250.0, 0.75),
    (270.0, 0.92),
    (300.0, 0.98),
    (350.0, 0.995),
    (400.0, 0.9995),
    *_SILICA_INFRARED,
)

_BLOCKING = (
    (180.0, 1e-6),
    (250.0, 1e-4),
    (300.0, 2e-3),
    (320.0, 0.03),
    (340.0, 0.20),
    (358.0, 0.5),
    (375.0, 0.78),
    (390.0, 0.92),
    (420.0, 0.985),
    (500.0, 0.998),
    *_SILICA_INFRARED,
)

_BOROSILICATE = (
    (200.0, 1e-6),
    (265.0, 1e-3),
    (280.0, 0.10),
    (290.0, 0.31),
    (298.0, 0.5),
    (310.0, 0.75),
    (325.0, 0.90),
    (350.0, 0.98),
    (400.0, 0.996),
    (600.0, 0.998),
    (1000.0, 0.997),
    (2000.0, 0.99),
    (2500.0, 0.96),
    (2700.0, 0.80),
    (2850.0, 0.45),
    (3300.0, 0.30),
    (3700.0, 0.10),
    (4500.0, 1e-3),
    (6000.0, 1e-6),
)

_SILICA_SOUND = about(5900.0, "m/s", 0.02, "memory-h", "longitudinal wave; 0.17 us per mm", "room temperature")

_SILICA_OPAQUE = Datum(
    160.0 * _NM, "m", 150.0 * _NM, 172.0 * _NM, "memory-m", "fundamental edge, hot surface further to the red"
)
_SILICA_CONDUCTIVITY = Datum(
    2.0, "W/(m K)", 1.4, 3.0, "memory-m", "1.4 W/(m K) cold, about 2 near 1300 K; mean up to vaporising"
)
_SILICA_HEAT = Datum(
    1200.0, "J/(kg K)", 1050.0, 1350.0, "memory-m", "740 J/(kg K) cold, above 1200 when hot; mean up to vaporising"
)
_SILICA_VAPORISES = Datum(
    3000.0, "K", 2500.0, 3500.0, "memory-m", "boils at about 2500 to 3200 K, hotter under the pressure of the plasma"
)
_SILICA_VAPOUR_ENERGY = Datum(
    13.5e6,
    "J/kg",
    10.0e6,
    31.0e6,
    "memory-m",
    "heats of formation: 810 kJ/mol from the cold solid to SiO and half an O2; 1860 kJ/mol to atoms is the upper end",
    "energy per mass that leaves; less when droplets leave too",
)
_SILICA_VAPOUR = (("silicon", 1.0), ("oxygen", 2.0))
_SILICA_MOLECULES = (("SiO", 1.0), ("O2", 0.5))


def _silica(name: str, words: str, points: tuple[tuple[float, float], ...], edge: Datum, glows: bool) -> Glass:
    return Glass(
        name,
        words,
        _internal(points, edge),
        about(1.4585, "-", 0.001, "memory-h", "fused silica at 587.6 nm, 20 degC (Malitson 1965)"),
        about(2200.0, "kg/m^3", 0.005, "memory-h", "usual figure for fused silica"),
        _SILICA_SOUND,
        glows,
        _SILICA_OPAQUE,
        _SILICA_CONDUCTIVITY,
        _SILICA_HEAT,
        _SILICA_VAPORISES,
        _SILICA_VAPOUR_ENERGY,
        _SILICA_VAPOUR,
        _SILICA_MOLECULES,
        "Light above the edge is lost as heat in the wall; its fluorescence is not modelled." if glows else "",
    )


_GLASSES = (
    _silica(
        "clear fused silica",
        "undoped fused silica or fused quartz: passes the ultraviolet to about 170 nm; makes ozone in air",
        _CLEAR,
        _edge(167.0, 160.0, 185.0),
        False,
    ),
    _silica(
        "ozone-free fused silica",
        "titanium-doped fused quartz: blocks below about 230 nm",
        _OZONE_FREE,
        _edge(238.0, 225.0, 250.0),
        True,
    ),
    _silica(
        "ultraviolet-blocking fused silica",
        "cerium-doped fused quartz: blocks most of the ultraviolet, glows faintly blue",
        _BLOCKING,
        _edge(358.0, 330.0, 380.0),
        True,
    ),
    Glass(
        "borosilicate glass",
        "low-expansion borosilicate: blocks below about 300 nm",
        _internal(_BOROSILICATE, _edge(298.0, 285.0, 315.0)),
        about(1.473, "-", 0.002, "memory-h", "low-expansion borosilicate at 587.6 nm, 20 degC"),
        about(2230.0, "kg/m^3", 0.005, "memory-h", "usual figure for low-expansion borosilicate"),
        about(5600.0, "m/s", 0.03, "memory-m", "longitudinal wave"),
        False,
        Datum(
            180.0 * _NM, "m", 160.0 * _NM, 220.0 * _NM, "memory-l", "edge of the glass network with sodium and boron"
        ),
        Datum(1.6, "W/(m K)", 1.1, 2.5, "memory-m", "1.1 W/(m K) cold; mean up to vaporising"),
        Datum(1200.0, "J/(kg K)", 1000.0, 1400.0, "memory-m", "830 J/(kg K) cold; mean up to vaporising"),
        Datum(2700.0, "K", 2000.0, 3300.0, "memory-l", "silica's; boron and sodium leave earlier"),
        Datum(13.5e6, "J/kg", 8.0e6, 31.0e6, "assumed", "taken over from fused silica, four fifths of this glass"),
        _SILICA_VAPOUR,
        _SILICA_MOLECULES,
        "The borosilicate filter of US 4,479,223 cuts at or below 300 nm [source]; the curve agrees with that.",
    ),
)

_VACUUM_INDEX = Datum(1.0, "-", 1.0, 1.0003, "memory-h", "definition; air at 1 atm 1.0003")

_COOLANTS = (
    Coolant("none", "air gap", None, _VACUUM_INDEX, "Oxygen absorbs below about 190 nm and makes ozone."),
    Coolant(
        "water",
        "pure water",
        Curve(
            tuple(
                w * _NM
                for w in (
                    150.0,
                    175.0,
                    180.0,
                    185.0,
                    190.0,
                    196.0,
                    220.0,
                    300.0,
                    420.0,
                    500.0,
                    550.0,
                    600.0,
                    660.0,
                    700.0,
                    750.0,
                    800.0,
                    900.0,
                    970.0,
                    1070.0,
                    1200.0,
                    1300.0,
                    1400.0,
                    1450.0,
                    1700.0,
                    1940.0,
                    2200.0,
                    2950.0,
                    6000.0,
                )
            ),
            (
                1e7,
                5e3,
                1e3,
                180.0,
                50.0,
                8.0,
                1.0,
                0.1,
                0.01,
                0.025,
                0.06,
                0.22,
                0.41,
                0.62,
                2.6,
                2.0,
                6.8,
                45.0,
                15.0,
                104.0,
                110.0,
                1200.0,
                2900.0,
                500.0,
                12000.0,
                1700.0,
                1.2e6,
                2.2e5,
            ),
            "1/m",
            Datum(186e-9, "m", 183e-9, 205e-9, "memory-m", "where 10 mm of water pass about a fifth"),
            "memory-m",
            "pure water as usually plotted, from memory, within a factor 1.5 above 400 nm and 5 below 300 nm",
            "pure water; dissolved iron, nitrate and glycol absorb the ultraviolet and are not included",
        ),
        about(1.333, "-", 0.001, "memory-h", "water at 589 nm, 20 degC"),
    ),
)


def _longpass(points: tuple[tuple[float, float], ...], edge: Datum, words: str) -> Curve:
    return Curve(
        tuple(w * _NM for w, _ in points),
        tuple(t for _, t in points),
        "-",
        edge,
        "memory-m",
        words,
        "internal transmission; surface reflections not included",
    )


_FILTERS = (
    Filter("none", "no filter between lamp and dye", None),
    Filter(
        "ultraviolet absorbing glass",
        "jacket of glass that absorbs below about 350 nm",
        _longpass(
            (
                (150.0, 1e-6),
                (280.0, 1e-5),
                (310.0, 1e-3),
                (330.0, 0.08),
                (345.0, 0.34),
                (352.0, 0.5),
                (365.0, 0.72),
                (380.0, 0.86),
                (400.0, 0.93),
                (450.0, 0.97),
                (700.0, 0.98),
                (1500.0, 0.97),
                (2500.0, 0.90),
                (2800.0, 0.40),
                (4500.0, 1e-3),
                (6000.0, 1e-6),
            ),
            Datum(
                352e-9,
                "m",
                320e-9,
                385e-9,
                "memory-l",
                "wavelength of half transmission; the trade's glasses lie between",
            ),
            "typical ultraviolet absorbing jacket of 2 mm, from memory",
        ),
        "Look up the jacket's own curve; the edge carries a wide range.",
    ),
    Filter(
        "borosilicate glass",
        "jacket of 2 mm of low-expansion borosilicate glass",
        _longpass(
            tuple((w, round(t * t, 8)) for w, t in _BOROSILICATE),
            Datum(307.6e-9, "m", 292e-9, 325e-9, "memory-m", "wavelength of half transmission, 2 mm"),
            "twice the thickness of the row of the glass",
        ),
        "The filter of US 4,479,223 cuts at or below 300 nm [source].",
    ),
    Filter(
        "sodium nitrite solution",
        "10 mm of 1 mol/L sodium nitrite in water, in a jacket",
        _longpass(
            (
                (150.0, 1e-8),
                (250.0, 1e-8),
                (320.0, 1e-8),
                (355.0, 1e-8),
                (380.0, 1e-6),
                (390.0, 1e-3),
                (398.0, 0.10),
                (407.0, 0.5),
                (415.0, 0.78),
                (425.0, 0.92),
                (440.0, 0.97),
                (500.0, 0.99),
                (700.0, 0.99),
                (900.0, 0.93),
                (1200.0, 0.35),
                (1400.0, 1e-5),
                (6000.0, 1e-8),
            ),
            Datum(407e-9, "m", 395e-9, 420e-9, "memory-l", "wavelength of half transmission"),
            "band at 355 nm of some 23 L/(mol cm) and its foot, water beyond 900 nm, from memory",
        ),
        "Poisonous, and an oxidiser when dry. Use it up fresh: the lamps break it down.",
    ),
    Filter(
        "copper sulphate solution",
        "10 mm of 0.4 mol/L copper sulphate in water, in a jacket",
        _longpass(
            (
                (150.0, 1e-8),
                (260.0, 1e-4),
                (280.0, 1e-2),
                (300.0, 0.25),
                (310.0, 0.5),
                (325.0, 0.74),
                (350.0, 0.89),
                (400.0, 0.97),
                (500.0, 0.97),
                (550.0, 0.87),
                (600.0, 0.48),
                (650.0, 0.07),
                (700.0, 2e-3),
                (800.0, 1e-5),
                (950.0, 1e-4),
                (1200.0, 1e-3),
                (1400.0, 1e-6),
                (6000.0, 1e-8),
            ),
            Datum(310e-9, "m", 290e-9, 330e-9, "memory-l", "wavelength of half transmission towards the blue"),
            "band at 800 nm of some 12 L/(mol cm) and its wings, from memory",
        ),
        "Keeps red and heat from the dye; it blocks the pump light of red dyes. Poisonous to water life.",
    ),
)

GLASSES: dict[str, Glass] = {row.name: row for row in _GLASSES}
COOLANTS: dict[str, Coolant] = {row.name: row for row in _COOLANTS}
FILTERS: dict[str, Filter] = {row.name: row for row in _FILTERS}
