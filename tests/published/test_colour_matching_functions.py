"""CIE 1931 colour matching functions, as tabulated in a public copy of the CIE's 10 nm table.

Source: A. W. Paeth, copy of the CIE 1931 2-degree observer posted 28 June 1989 [secondary]. The fit used here is
that of Wyman, Sloan and Shirley (2013); it is not the table, and misses it by up to 0.03 of the highest value.
"""

from __future__ import annotations

import pytest

from pulsewright.drawing.colour import matching_functions

TABLE = {
    420: (0.1344, 0.0040, 0.6456),
    440: (0.3483, 0.0230, 1.7471),
    460: (0.2908, 0.0600, 1.6692),
    480: (0.0956, 0.1390, 0.8130),
    500: (0.0049, 0.3230, 0.2720),
    520: (0.0633, 0.7100, 0.0782),
    530: (0.1655, 0.8620, 0.0422),
}


@pytest.mark.parametrize("nanometres", TABLE)
def test_fit_against_the_table(nanometres: int) -> None:
    for got, printed in zip(matching_functions(nanometres * 1e-9), TABLE[nanometres], strict=True):
        assert got == pytest.approx(printed, abs=0.05)
