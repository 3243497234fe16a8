"""Ruby example of ANSI Z136.1, appendix B (from memory): 694.3 nm, one pulse of 0.8 ms: 8.56e-6 J/cm^2."""

from __future__ import annotations

import pytest

from pulsewright.physics.exposure.corrections import EDITIONS
from pulsewright.physics.exposure.permissible import eye_exposure_limit


@pytest.mark.parametrize("edition", EDITIONS)
def test_long_ruby_pulse(edition: str) -> None:
    assert eye_exposure_limit(694.3e-9, 0.8e-3, edition=edition) / 1e4 == pytest.approx(8.56e-6, abs=0.005e-6)
