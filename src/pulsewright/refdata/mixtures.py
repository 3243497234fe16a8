"""Two solvents mixed, at 20 degC: handbook tables against the mass fraction of the first, where a rule will not do."""

from __future__ import annotations

from pulsewright.refdata.rows import Composition, Datum, Mixture

_HANDBOOK = "concentration tables of the usual handbooks of chemistry"
_TENTHS = (0.0, 0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8, 0.9, 1.0)


def _table(
    values: tuple[float, ...],
    unit: str,
    spread: float,
    tag: str,
    source: str = _HANDBOOK,
    at: tuple[float, ...] = _TENTHS,
    valid: str = "20 degC",
) -> Composition:
    return Composition(at, values, unit, spread, tag, source, valid)


def _constant(value: float, half: float) -> Datum:
    return Datum(
        value, "-", value - half, value + half, "memory-m", "van Laar constants as in Perry's handbook", "near 25 degC"
    )


_ROWS = (
    Mixture(
        name="ethanol and water",
        parts=("ethanol", "water"),
        density=_table(
            (998.2, 981.9, 968.6, 953.8, 935.2, 913.8, 891.1, 867.7, 843.4, 818.0, 789.4), "kg/m^3", 0.001, "memory-h"
        ),
        viscosity=_table(
            (1.002e-3, 1.50e-3, 2.14e-3, 2.66e-3, 2.84e-3, 2.80e-3, 2.54e-3, 2.21e-3, 1.88e-3, 1.54e-3, 1.194e-3),
            "Pa s",
            0.05,
            "memory-m",
        ),
        refractive_index=_table(
            (1.3330, 1.3395, 1.3469, 1.3535, 1.3583, 1.3616, 1.3638, 1.3652, 1.3658, 1.3650, 1.3611),
            "-",
            0.0007,
            "memory-h",
            valid="589 nm, 20 degC",
        ),
        specific_heat=_table(
            (4184.0, 4300.0, 4350.0, 4250.0, 4050.0, 3790.0, 3500.0, 3220.0, 2930.0, 2670.0, 2396.0),
            "J/(kg K)",
            0.04,
            "memory-l",
            "excess heat capacity of some 14 J/(mol K) at most, as remembered",
        ),
        sound_speed=_table(
            (1482.0, 1550.0, 1610.0, 1615.0, 1570.0, 1510.0, 1450.0, 1390.0, 1325.0, 1250.0, 1159.0),
            "m/s",
            0.03,
            "memory-l",
            "maximum of some 1610 m/s at a fifth to three tenths by mass, as remembered",
        ),
        van_laar=(_constant(1.68, 0.12), _constant(0.92, 0.08)),
        notes="Boils lowest with 4 % of water by mass (azeotrope).",
    ),
    Mixture(
        name="methanol and water",
        parts=("methanol", "water"),
        density=_table(
            (998.2, 981.5, 966.6, 951.5, 934.5, 915.6, 894.6, 871.5, 846.9, 820.2, 791.0), "kg/m^3", 0.0015, "memory-h"
        ),
        viscosity=_table(
            (1.002e-3, 1.35e-3, 1.63e-3, 1.78e-3, 1.84e-3, 1.76e-3, 1.60e-3, 1.37e-3, 1.13e-3, 0.85e-3, 0.585e-3),
            "Pa s",
            0.06,
            "memory-m",
        ),
        refractive_index=_table(
            (1.3330, 1.3354, 1.3381, 1.3407, 1.3425, 1.3431, 1.3426, 1.3411, 1.3385, 1.3348, 1.3288),
            "-",
            0.0008,
            "memory-m",
            valid="589 nm, 20 degC",
        ),
        specific_heat=None,
        sound_speed=None,
        van_laar=(_constant(0.80, 0.12), _constant(0.56, 0.10)),
    ),
    Mixture(
        name="ethylene glycol and water",
        parts=("ethylene glycol", "water"),
        density=_table(
            (998.2, 1010.8, 1024.1, 1037.8, 1051.4, 1064.0, 1076.0, 1087.0, 1097.0, 1106.0, 1113.4),
            "kg/m^3",
            0.002,
            "memory-m",
        ),
        viscosity=_table(
            (1.002e-3, 1.29e-3, 1.65e-3, 2.15e-3, 2.85e-3, 3.9e-3, 5.3e-3, 7.2e-3, 9.8e-3, 14.0e-3, 20.8e-3),
            "Pa s",
            0.10,
            "memory-m",
        ),
        refractive_index=_table(
            (1.3330, 1.3425, 1.3524, 1.3624, 1.3726, 1.3827, 1.3926, 1.4025, 1.4124, 1.4220, 1.4318),
            "-",
            0.001,
            "memory-m",
            valid="589 nm, 20 degC",
        ),
        specific_heat=None,
        sound_speed=None,
        van_laar=None,
    ),
)

MIXTURES: dict[str, Mixture] = {row.name: row for row in _ROWS}
