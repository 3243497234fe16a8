"""Townsend constants carried in the reference data: Lieberman and Lichtenberg, Principles of Plasma Discharges, 2nd ed.
(2005), Table 14.1, page 546, as quoted [secondary]: A in 1/(cm torr), B in V/(cm torr).
"""

from __future__ import annotations

import pytest

from pulsewright import refdata

PER_CM_TORR = 100.0 / (101325.0 / 760.0)


@pytest.mark.parametrize(
    ("gas", "a", "b"), [("helium", 2.8, 77), ("neon", 4.4, 111), ("argon", 11.5, 176), ("nitrogen", 11.8, 325)]
)
def test_constants_of_the_table(gas: str, a: float, b: float) -> None:
    row = refdata.breakdown(gas)
    assert float(row.ionisation_constant) / PER_CM_TORR == pytest.approx(a, rel=1e-9)
    assert float(row.field_constant) / PER_CM_TORR == pytest.approx(b, rel=1e-9)
    assert row.ionisation_constant.tag == "secondary"
