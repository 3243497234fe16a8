"""Fox and Li, Bell Syst. Tech. J. 40, 453 (1961): loss of plane round mirrors, read from the curve (from memory)."""

from __future__ import annotations

import pytest

from pulsewright.physics.resonator.diffraction import plane_circular_diffraction_loss


@pytest.mark.parametrize(("fresnel_number", "percent", "half_digit"), [(10.0, 0.8, 0.05), (1.0, 18.0, 0.5)])
def test_lowest_mode_of_round_mirrors(fresnel_number: float, percent: float, half_digit: float) -> None:
    assert 100 * plane_circular_diffraction_loss(fresnel_number) == pytest.approx(percent, abs=half_digit)
