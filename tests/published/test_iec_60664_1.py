"""IEC 60664-1, clearances (Table F.2) and creepage (Table F.4), as quoted in a railway low-voltage table and in
connector catalogues [secondary]; some figures there were read from scans.
"""

from __future__ import annotations

import pytest

from pulsewright.errors import DomainError
from pulsewright.physics.pulsed_power.clearance import clearance, creepage


@pytest.mark.parametrize(
    ("kilovolts", "millimetres"), [(1.5, 0.5), (2.5, 1.5), (4, 3.0), (6, 5.5), (80, 130), (100, 170)]
)
def test_inhomogeneous_field(kilovolts: float, millimetres: float) -> None:
    assert clearance(kilovolts * 1e3) * 1e3 == pytest.approx(millimetres, rel=1e-12)


@pytest.mark.parametrize(
    ("kilovolts", "millimetres"), [(8, 3), (10, 3.5), (40, 17), (50, 22), (60, 27), (80, 35), (100, 45)]
)
def test_homogeneous_field(kilovolts: float, millimetres: float) -> None:
    assert clearance(kilovolts * 1e3, "homogeneous") * 1e3 == pytest.approx(millimetres, rel=1e-12)


def test_beyond_the_table_is_refused() -> None:
    with pytest.raises(DomainError, match="100 kV"):
        clearance(100.1e3)


def test_creepage_of_the_10_kilovolt_row() -> None:
    # 100 mm, read from a scan
    assert creepage(10e3) == pytest.approx(0.100, rel=1e-12)
