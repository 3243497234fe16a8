"""Beaumont, Johnson and Parsons, J. Chem. Soc. Faraday Trans. 89 (1993) 4185, abstract: excited-state absorptivities.

The abstract gives decadic absorptivities in L/(mol cm); for rhodamine 6G that is 1.68e-16 cm2.
"""

from __future__ import annotations

import pytest

from pulsewright.physics.dye.spectroscopy import absorptivity_from_cross_section, cross_section_from_absorptivity

LITRE_PER_MOLE_CM = 0.1  # in m2/mol


def test_rhodamine_6g_excited_state_at_428_nm() -> None:
    area = cross_section_from_absorptivity(4.4e4 * LITRE_PER_MOLE_CM)
    assert area == pytest.approx(1.68e-20, abs=0.005e-20)


@pytest.mark.parametrize("absorptivity", [4.4e4, 4.3e4, 3.7e4], ids=["rhodamine 6G", "rhodamine B", "rhodamine 101"])
def test_the_way_back(absorptivity: float) -> None:
    # 2303 / 6.022e20 cm2 per L/(mol cm), the factor printed in spectroscopy texts
    area = absorptivity * 3.824e-21 * 1e-4
    assert absorptivity_from_cross_section(area) / LITRE_PER_MOLE_CM == pytest.approx(absorptivity, rel=2e-4)
