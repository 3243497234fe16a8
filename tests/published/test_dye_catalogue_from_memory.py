"""Flashlamp tuning ranges and concentrations of catalogue type, all from memory (no catalogue was read)."""

from __future__ import annotations

import pytest

from pulsewright import refdata

#: dye -> nm from, to, best from, best to; mol/L from, to for bores of 5 to 10 mm.
RANGES = {
    "stilbene 420": (412, 444, 425, 425, 2e-4, 3e-4),
    "coumarin 120": (420, 457, 440, 440, 1e-4, 2e-4),
    "coumarin 2": (435, 467, 450, 450, 1e-4, 2e-4),
    "coumarin 1": (446, 483, 460, 460, 1e-4, 2e-4),
    "coumarin 102": (458, 517, 480, 480, 1e-4, 2e-4),
    "coumarin 307": (478, 553, 505, 505, 1e-4, 2e-4),
    "coumarin 153": (516, 590, 540, 540, 1e-4, 2e-4),
    "fluorescein": (538, 573, 552, 552, 0.5e-4, 2e-4),
    "dichlorofluorescein": (538, 573, 552, 552, 0.5e-4, 2e-4),
    "rhodamine 110": (541, 583, 563, 563, 0.5e-4, 1e-4),
    "rhodamine 6G": (563, 625, 588, 590, 0.2e-4, 1e-4),
    "sulforhodamine B": (597, 639, 620, 620, 0.5e-4, 1e-4),
    "rhodamine B": (596, 643, 620, 620, 0.5e-4, 1e-4),
    "rhodamine 101": (612, 665, 640, 645, 0.5e-4, 1e-4),
    "sulforhodamine 101": (612, 665, 640, 645, 0.5e-4, 1e-4),
    "DCM": (610, 710, 655, 655, 1e-4, 3e-4),
    "cresyl violet": (640, 690, 658, 658, 0.5e-4, 1e-4),
    "oxazine 1": (695, 750, 725, 725, 0.3e-4, 1e-4),
}


@pytest.mark.parametrize("dye", refdata.names()["dye"])
def test_tuning_range_and_concentration(dye: str) -> None:
    row = refdata.dye(dye)
    if dye not in RANGES:
        assert row.laser_range is None
        assert row.concentration is None
        return
    low, high, best, last, thin, thick = RANGES[dye]
    assert row.laser_range is not None
    assert (row.laser_range.low, row.laser_range.high) == pytest.approx((low * 1e-9, high * 1e-9))
    assert best <= float(row.laser_range) * 1e9 + 1e-6 <= last + 2e-6
    assert row.concentration is not None
    assert (row.concentration.low, row.concentration.high) == pytest.approx((thin * 1e3, thick * 1e3))
