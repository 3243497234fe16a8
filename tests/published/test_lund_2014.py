"""Lund et al., J. Biomed. Opt. (2014): retinal injury at 532 nm by 100 us pulses.

Printed: half of the exposures injure at 12.8 uJ (minimal spot) and 18.1 uJ (spot of 100 um) into the eye, and pulse
trains at 50 and 1000 Hz show no dependence on pulse rate.
"""

from __future__ import annotations

import math

from pulsewright.physics.exposure.permissible import EYE_APERTURE, eye_exposure_limit


def test_limit_keeps_a_margin_of_ten_to_thirty_below_injury() -> None:
    into_the_eye = eye_exposure_limit(532e-9, 100e-6) * math.pi * EYE_APERTURE**2 / 4
    # Limits are set about a factor ten below such doses; a slip of units or of the exponent falls outside this.
    assert 10 < 12.8e-6 / into_the_eye < 30
