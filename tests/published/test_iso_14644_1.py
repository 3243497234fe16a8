"""ISO 14644-1:2015, table 1 (secondary: several copies agree); cells only in the 1999 edition included."""

from __future__ import annotations

import pytest

from pulsewright.physics.air.clearing import particle_limit

SIZES_UM = (0.1, 0.2, 0.3, 0.5, 1.0, 5.0)
TABLE: dict[int, tuple[float | None, ...]] = {
    1: (10, 2, None, None, None, None),
    2: (100, 24, 10, 4, None, None),
    3: (1_000, 237, 102, 35, 8, None),
    4: (10_000, 2_370, 1_020, 352, 83, None),
    5: (100_000, 23_700, 10_200, 3_520, 832, 29),
    6: (1_000_000, 237_000, 102_000, 35_200, 8_320, 293),
    7: (None, None, None, 352_000, 83_200, 2_930),
    8: (None, None, None, 3_520_000, 832_000, 29_300),
    9: (None, None, None, 35_200_000, 8_320_000, 293_000),
}
CELLS = [
    (name, size, value)
    for name, row in TABLE.items()
    for size, value in zip(SIZES_UM, row, strict=True)
    if value is not None
]


@pytest.mark.parametrize(("cleanliness", "size", "printed"), CELLS)
def test_cell_of_the_table(cleanliness: int, size: float, printed: float) -> None:
    assert particle_limit(cleanliness, size * 1e-6) == printed
