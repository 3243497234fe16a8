"""Solvent rows against thermo and CoolProp, and tables and rules of mixtures against CoolProp's solutions.

Every correlation is asked for by its name: the libraries' own choice falls back on estimates. CoolProp lacks ethylene
glycol as a pure fluid, and its Helmholtz mixture of ethanol and water gives an unphysical viscosity; its tables of
watery solutions (Melinder 2010, within them) are used instead, up to 0.6 by mass.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest

from pulsewright import refdata
from pulsewright.physics.dye import mixtures

pytestmark = [
    pytest.mark.slow,
    # pandas speaks through the library of its own options; thermo leaves its files open
    pytest.mark.filterwarnings("ignore:The 'float_precision' argument"),
    pytest.mark.filterwarnings("ignore:unclosed file"),
    pytest.mark.filterwarnings("ignore::pytest.PytestUnraisableExceptionWarning"),
]

PRESSURE = 101325.0
#: Kelvin of the rows, and of their vapour pressures.
ROOM, WARM = 293.15, 298.15
DIPPR = "DIPPR_PERRY_8E"

#: solvent -> property -> method of thermo.
METHODS: dict[str, dict[str, str]] = {
    "isopropanol": {
        "density": DIPPR,
        "viscosity": DIPPR,
        "thermal_conductivity": DIPPR,
        "vapour_pressure": DIPPR,
        "specific_heat": "ZABRANSKY_SPLINE_C",
    },
    "dimethylformamide": {
        "density": DIPPR,
        "viscosity": DIPPR,
        "thermal_conductivity": DIPPR,
        "vapour_pressure": DIPPR,
        "specific_heat": "ZABRANSKY_SPLINE",
    },
    "dimethyl sulfoxide": {
        "density": DIPPR,
        "viscosity": DIPPR,
        "thermal_conductivity": DIPPR,
        "vapour_pressure": DIPPR,
        "specific_heat": "ZABRANSKY_SPLINE",
    },
    "benzyl alcohol": {
        "density": DIPPR,
        "viscosity": DIPPR,
        "thermal_conductivity": DIPPR,
        "vapour_pressure": DIPPR,
        "specific_heat": "CRCSTD",
    },
    "trifluoroethanol": {
        "viscosity": "VISWANATH_NATARAJAN_3",
        "thermal_conductivity": "Fit 2023",
        "vapour_pressure": "ANTOINE_WEBBOOK",
        "specific_heat": "ZABRANSKY_SPLINE_C",
    },
    "propylene carbonate": {"thermal_conductivity": "Fit 2023", "specific_heat": "ZABRANSKY_SPLINE"},
    "ethylene glycol": {
        "density": DIPPR,
        "viscosity": DIPPR,
        "thermal_conductivity": DIPPR,
        "vapour_pressure": DIPPR,
        "specific_heat": "ZABRANSKY_SPLINE_C",
    },
}
CLASSES = {
    "density": "VolumeLiquid",
    "viscosity": "ViscosityLiquid",
    "thermal_conductivity": "ThermalConductivityLiquid",
    "vapour_pressure": "VaporPressure",
    "specific_heat": "HeatCapacityLiquid",
}


def by_thermo(name: str, field: str) -> float:
    """A property in SI by the correlation named above."""
    thermo = pytest.importorskip("thermo", reason="not run: the cross-check library thermo is not installed")
    row = refdata.solvent(name)
    found = getattr(thermo, CLASSES[field])(CASRN=row.cas)
    value = float(found.calculate(WARM if field == "vapour_pressure" else ROOM, METHODS[name][field]))
    if field == "density":
        return float(row.molar_mass) / value
    return value / float(row.molar_mass) if field == "specific_heat" else value


@pytest.mark.parametrize(("name", "field"), [(name, field) for name, given in METHODS.items() for field in given])
def test_properties_by_named_correlations(name: str, field: str) -> None:
    datum = getattr(refdata.solvent(name), field)
    value = by_thermo(name, field)
    # 1 % for the correlation itself, 3 % for conductivities, which differ by that among correlations
    extra = 0.03 if field == "thermal_conductivity" else 0.01
    assert datum.low - extra * value < value < datum.high + extra * value


def fluid(name: str, output: str, temperature: float = ROOM) -> float:
    library: Any = pytest.importorskip(
        "CoolProp.CoolProp", reason="not run: the cross-check library CoolProp is not installed"
    )
    return float(library.PropsSI(output, "T", temperature, "P", PRESSURE, name))


@pytest.mark.parametrize("name", ["methanol", "ethanol", "water", "acetone"])
def test_pure_fluids_by_equations_of_state(name: str) -> None:
    row = refdata.solvent(name)
    for field, output in (
        ("density", "D"),
        ("specific_heat", "C"),
        ("sound_speed", "A"),
        ("expansion", "isobaric_expansion_coefficient"),
        *(() if name == "acetone" else (("viscosity", "V"), ("thermal_conductivity", "L"))),
    ):
        datum = getattr(row, field)
        assert datum.low < fluid(name, output) < datum.high, field


#: first solvent -> CoolProp's solution of it in water.
SOLUTIONS = {"ethanol": "MEA", "methanol": "MMA", "ethylene glycol": "MEG"}
SHARES = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6)


def solution(first: str, output: str, temperature: float = ROOM) -> np.ndarray:
    return np.array([fluid(f"INCOMP::{SOLUTIONS[first]}[{share}]", output, temperature) for share in SHARES])


def tabulated(first: str, field: str) -> tuple[np.ndarray, float]:
    row = refdata.mixture(first, "water")
    assert row is not None
    found = getattr(row, field)
    return np.array(found.values)[1:7], found.spread


@pytest.mark.parametrize("first", SOLUTIONS)
def test_tables_of_watery_mixtures(first: str) -> None:
    values, spread = tabulated(first, "density")
    assert solution(first, "D") == pytest.approx(values, rel=spread)
    values, spread = tabulated(first, "viscosity")
    assert solution(first, "V") == pytest.approx(values, rel=spread + 0.01)
    if first == "ethanol":
        values, spread = tabulated(first, "specific_heat")
        assert solution(first, "C") == pytest.approx(values, rel=spread)


def mass(first: str) -> np.ndarray:
    return np.array([[share, 1 - share] for share in SHARES])


def parts(first: str, name: str) -> np.ndarray:
    return np.array([float(getattr(refdata.solvent(part), name)) for part in (first, "water")])


@pytest.mark.parametrize(("first", "low", "high"), [("ethanol", 1.05, 1.18), ("methanol", 1.03, 1.10)])
def test_known_deviation_heat_by_mass(first: str, low: float, high: float) -> None:
    # watery alcohols take more heat than their parts
    ratio = solution(first, "C") / mixtures.mixture_specific_heat(mass(first), parts(first, "specific_heat"))
    assert np.all((low < ratio) & (ratio < high))


def test_heat_of_watery_glycol_by_mass() -> None:
    rule = mixtures.mixture_specific_heat(mass("ethylene glycol"), parts("ethylene glycol", "specific_heat"))
    assert rule == pytest.approx(solution("ethylene glycol", "C"), rel=0.03)


@pytest.mark.parametrize("first", SOLUTIONS)
def test_conductivity_by_filippov(first: str) -> None:
    rule = mixtures.mixture_thermal_conductivity(mass(first), parts(first, "thermal_conductivity"))
    # the rule's own 10 % of its docstring
    assert rule == pytest.approx(solution(first, "L"), rel=0.10)


@pytest.mark.parametrize(
    ("first", "low", "high"), [("ethanol", 0.85, 1.30), ("methanol", 0.73, 0.98), ("ethylene glycol", 0.93, 1.26)]
)
def test_known_deviation_expansion_by_volume(first: str, low: float, high: float) -> None:
    # water's structure: little alcohol slows the expansion, much of it speeds it
    volume = mass(first) / parts(first, "density")
    volume /= volume.sum(axis=-1, keepdims=True)
    grown = (solution(first, "D", ROOM - 2) - solution(first, "D", ROOM + 2)) / (4 * solution(first, "D"))
    ratio = grown / mixtures.mixture_expansion(volume, parts(first, "expansion"))
    assert np.all((low < ratio) & (ratio < high))
    assert ratio.max() - ratio.min() > 0.1
