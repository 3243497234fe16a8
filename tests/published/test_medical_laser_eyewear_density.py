"""*Fundamentals of Medical/Aesthetic Lasers and IPLs*, p. 111: density of eyewear for a 1064 nm, 1 ns pulse."""

from __future__ import annotations

import pytest

from pulsewright.physics.exposure.distances import optical_density
from pulsewright.physics.exposure.permissible import eye_exposure_limit


def test_optical_density_of_a_pulsed_infrared_laser() -> None:
    # inputs: 10 J/cm^2 and a quarter more, limit 5e-6 J/cm^2 (older set); printed: OD 6.4
    limit = eye_exposure_limit(1064e-9, 1e-9, edition="2006/25/EC")
    assert limit / 1e4 == pytest.approx(5e-6, rel=1e-9)
    assert optical_density(12.5e4, limit) == pytest.approx(6.4, abs=0.05)
