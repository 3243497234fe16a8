"""NIOSH: IDLH documentation of methanol 67-56-1, ethanol 64-17-5 and carbon dioxide 124-38-9 (May 1994), Pocket Guide.

Oxygen limits: 29 CFR 1910.146(b) and 1910.134.
"""

from __future__ import annotations

import pytest

from pulsewright.physics.air.oxygen import CARBON_DIOXIDE_LIMITS, oxygen_condition
from pulsewright.physics.air.vapour import HAZARDOUS_SHARE, dilution_air_volume, mass_concentration


@pytest.mark.parametrize(("lower_limit", "printed_ppm"), [(0.060, 6000), (0.033, 3300)], ids=["methanol", "ethanol"])
def test_a_tenth_of_the_lower_explosive_limit(lower_limit: float, printed_ppm: float) -> None:
    assert 1e6 / dilution_air_volume(1.0, lower_limit, HAZARDOUS_SHARE) == pytest.approx(printed_ppm, rel=1e-9)


def test_milligrams_of_ethanol_in_a_part_per_million_known_deviation() -> None:
    """Known deviation: Pocket Guide 1 ppm = 1.89 mg/m^3; the ideal gas gives 1.883 at 25 degC and one atmosphere.

    The guide divides by a rounded molar volume of 24.45 L, which is not that of an ideal gas (24.465 L), and rounds.
    """
    ours = mass_concentration(1e-6, 46.07e-3) * 1e6
    assert -0.005 < ours / 1.89 - 1 < -0.003


def test_carbon_dioxide_limits() -> None:
    assert CARBON_DIOXIDE_LIMITS == {"8 h mean": 5e-3, "short term": 3e-2, "immediately dangerous": 4e-2}


@pytest.mark.parametrize(
    ("oxygen", "words"), [(0.194, "deficient"), (0.195, "usual"), (0.235, "usual"), (0.236, "enriched")]
)
def test_oxygen_borders(oxygen: float, words: str) -> None:
    assert oxygen_condition(oxygen) == words
