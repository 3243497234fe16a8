"""What stands beside the spectra of a dye: second yields, points of S1, pairing in water, solubility, hazards."""

from __future__ import annotations

from typing import Any

from pulsewright.refdata.dye_parts import NM, RECORD, RURACK, cross_section, fluorescence_yield
from pulsewright.refdata.rows import Datum

_BEAUMONT = "Beaumont, Johnson and Parsons, J. Chem. Soc. Faraday Trans. 89 (1993) 4185, abstract; range assumed"
_LITRE = 1e-3  # L/mol to m3/mol
_STAINS = "tables of biological stains, as remembered"
_USUAL = "usual catalogues, as remembered"

_SECOND: dict[str, Datum] = {
    "rhodamine 110": fluorescence_yield(0.86, 0.80, 0.92, "source", RECORD + ", of its relative rhodamine 123"),
    "rhodamine B": fluorescence_yield(0.70, 0.62, 0.75, "source", RECORD),
    "rhodamine 101": fluorescence_yield(0.98, 0.92, 1.0, "source", RECORD),
    "DCM": fluorescence_yield(0.435, 0.40, 0.47, "source", RURACK),
    "cresyl violet": fluorescence_yield(0.578, 0.54, 0.61, "source", RURACK),
    "oxazine 1": fluorescence_yield(0.11, 0.09, 0.13, "source", RECORD),
    "oxazine 170": fluorescence_yield(0.63, 0.57, 0.68, "source", RECORD),
    "coumarin 1": fluorescence_yield(0.50, 0.45, 0.55, "source", RECORD),
    "coumarin 30": fluorescence_yield(0.80, 0.72, 0.88, "source", RECORD),
    "coumarin 314": fluorescence_yield(0.77, 0.70, 0.83, "source", RECORD + ", the higher of two"),
}

#: Of the excited singlet in dilute solution, at single wavelengths. [m2]
_POINTS: dict[str, tuple[tuple[float, Datum], ...]] = {
    "rhodamine 6G": (
        (
            308 * NM,
            cross_section(
                0.46, 0.41, 0.51, "source", "Mialocq et al., Opt. Commun. (1990)", "water with sodium dodecyl sulfate"
            ),
        ),
        (428 * NM, cross_section(1.68, 1.4, 2.0, "source", _BEAUMONT, "ethanol; 4.4e4 L/(mol cm)")),
        (
            530 * NM,
            cross_section(
                2.08, 1.7, 2.5, "source", "Can. J. Phys. 71 (1993), doi 10.1139/p93-009, abstract; range assumed", ""
            ),
        ),
    ),
    "rhodamine B": ((430 * NM, cross_section(1.64, 1.35, 1.95, "source", _BEAUMONT, "ethanol; 4.3e4 L/(mol cm)")),),
    "rhodamine 101": ((452 * NM, cross_section(1.41, 1.15, 1.7, "source", _BEAUMONT, "ethanol; 3.7e4 L/(mol cm)")),),
}


def _pairing(value: float, low: float, high: float) -> Datum:
    """From L/mol."""
    return Datum(
        value * _LITRE,
        "m^3/mol",
        low * _LITRE,
        high * _LITRE,
        "memory-l",
        "as remembered",
        "plain water, 20 to 25 degC",
    )


_DIMER: dict[str, Datum] = {
    "rhodamine 6G": _pairing(3.5e3, 2e3, 6e3),
    "rhodamine B": _pairing(1.4e3, 0.6e3, 2.5e3),
    "fluorescein": _pairing(6.0, 2.0, 20.0),
    "cresyl violet": _pairing(3e3, 1e3, 1e4),
    "Nile blue": _pairing(3e3, 1e3, 1e4),
}
_DIMER_YIELD = Datum(
    0.2, "-", 0.1, 0.3, "source", "Rocha et al., Spectrochim. Acta A (2024): about 0.2; range assumed", "pairs in water"
)
_DIMER_SHIFT = Datum(
    -27 * NM, "m", -33 * NM, -20 * NM, "memory-m", "499 nm of the pair, 526 nm of the single molecule in water", ""
)


def _soluble(gram_per_litre: float, mass: float, part: float, tag: str, source: str) -> Datum:
    """From g/L, known to within a factor `part`."""
    value = gram_per_litre / mass * 1e3
    return Datum(value, "mol/m^3", value / part, value * part, tag, source, "room temperature")


def _stain(mass: float, water: float, ethanol: float) -> tuple[tuple[str, Datum], ...]:
    """From grams in 100 mL of water and of ethanol; methanol taken no worse than ethanol, glycol as half of it."""
    return (
        ("water", _soluble(10 * water, mass, 2.0, "memory-m", _STAINS)),
        ("ethanol", _soluble(10 * ethanol, mass, 2.0, "memory-m", _STAINS)),
        ("methanol", _soluble(10 * ethanol, mass, 3.0, "memory-l", _STAINS + "; taken as in ethanol")),
    )


def _plain(mass: float, water: float | None, alcohol: float) -> tuple[tuple[str, Datum], ...]:
    """From g/L, orders of magnitude."""
    told = tuple((name, _soluble(alcohol, mass, 4.0, "memory-l", _USUAL)) for name in ("methanol", "ethanol"))
    return told if water is None else (("water", _soluble(water, mass, 4.0, "memory-l", _USUAL)), *told)


_SOLUBILITY: dict[str, tuple[tuple[str, Datum], ...]] = {
    "rhodamine 6G": _stain(479.0, 1.5, 6.5),
    "rhodamine B": _stain(479.0, 0.8, 1.7),
    "rhodamine 110": _plain(366.8, 2.0, 10.0),
    "rhodamine 123": _plain(380.8, 2.0, 10.0),
    "rhodamine 101": _plain(490.6, None, 5.0),
    "sulforhodamine B": _plain(580.7, 30.0, 5.0),
    "sulforhodamine 101": _plain(606.7, 1.0, 3.0),
    "fluorescein": _stain(332.3, 50.0, 7.0),
    "dichlorofluorescein": _plain(401.2, 1.0, 10.0),
    "DCM": _plain(303.4, None, 0.4),
    "cresyl violet": _stain(361.7, 0.4, 0.25),
    "oxazine 1": _plain(423.9, 1.0, 3.0),
    "oxazine 170": _plain(431.9, 1.0, 3.0),
    "Nile blue": _stain(417.9, 0.16, 0.16),
    "coumarin 1": _plain(231.3, 0.07, 20.0),
    "coumarin 2": _plain(217.3, 0.1, 10.0),
    "coumarin 6": _plain(350.4, None, 0.7),
    "coumarin 30": _plain(347.4, None, 2.0),
    "coumarin 102": _plain(255.3, 0.03, 5.0),
    "coumarin 120": _plain(175.2, 0.2, 5.0),
    "coumarin 151": _plain(229.2, 0.1, 5.0),
    "coumarin 153": _plain(309.3, None, 3.0),
    "coumarin 307": _plain(271.2, None, 5.0),
    "coumarin 314": _plain(313.4, None, 2.0),
    "coumarin 343": _plain(285.3, 0.1, 2.0),
    "stilbene 420": _plain(562.6, 10.0, 5.0),
}

_LITTLE = "Little studied: handle as poisonous and possibly mutagenic."
_PERCHLORATE = "Perchlorate: dry powder can burn fiercely when heated, rubbed or mixed with fuel. " + _LITTLE
_HAZARDS: dict[str, str] = {
    "rhodamine 6G": "Harmful when swallowed, harms eyes, mutagenic in some tests, very poisonous to water life.",
    "rhodamine B": "Harmful when swallowed, harms eyes, suspected of causing cancer, harms water life.",
    "DCM": "Holds nitrile groups. " + _LITTLE,
    "cresyl violet": _PERCHLORATE,
    "oxazine 1": _PERCHLORATE,
    "oxazine 170": _PERCHLORATE,
    "Nile blue": _PERCHLORATE,
    "fluorescein": "Low hazard as a powder; stains; its base burns skin and eyes.",
}


def beside(name: str) -> dict[str, Any]:
    """Fields of the row that are kept here."""
    pairs = name in _DIMER
    return {
        "second_quantum_yield": _SECOND.get(name),
        "excited_state_points": _POINTS.get(name, ()),
        "dimer_constant": _DIMER.get(name),
        "dimer_yield": _DIMER_YIELD if name == "rhodamine 6G" else None,
        "dimer_shift": _DIMER_SHIFT if pairs else None,
        "solubility": _SOLUBILITY.get(name, ()),
        "hazards": _HAZARDS.get(name, _LITTLE),
    }
