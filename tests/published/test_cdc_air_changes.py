"""CDC, MMWR 1994;43(RR-13), table S3-1: minutes in which air changes remove 90, 99 and 99.9 %."""

from __future__ import annotations

import pytest

from pulsewright.physics.air.clearing import clearing_time, fraction_left

ROWS = [(6, (23, 46, 69)), (10, (14, 28, 41)), (15, (9, 18, 28))]


@pytest.mark.parametrize(("changes", "minutes"), ROWS)
def test_minutes_for_each_removal(changes: int, minutes: tuple[int, int, int]) -> None:
    rate = changes / 3600
    for left, printed in zip((0.1, 0.01, 0.001), minutes, strict=True):
        assert clearing_time(rate, left) / 60 == pytest.approx(printed, abs=0.5)
        assert fraction_left(rate, clearing_time(rate, left)) == pytest.approx(left, rel=1e-12)
