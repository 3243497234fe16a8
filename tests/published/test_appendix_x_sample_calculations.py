"""Sample calculations, "Appendix X", university Faculty of Science, 2 September 2015 (AS/NZS IEC 60825).

Copy at studylib 5882651.
"""

from __future__ import annotations

import pytest

from pulsewright.physics.beam import peak_irradiance
from pulsewright.physics.exposure.corrections import EDITIONS
from pulsewright.physics.exposure.permissible import eye_exposure_limit


def test_ten_watts_in_one_centimetre() -> None:
    # printed: 12.7 W/cm^2
    assert peak_irradiance(10.0, 0.01, 1.0) / 1e4 == pytest.approx(12.7, abs=0.05)


@pytest.mark.parametrize("edition", EDITIONS)
def test_argon_line_for_the_blink_of_an_eye(edition: str) -> None:
    # 488 nm, 0.25 s; printed: 0.64 mJ/cm^2 = 2.55 mW/cm^2. Both editions agree there.
    limit = eye_exposure_limit(488e-9, 0.25, edition=edition)
    assert limit / 1e4 * 1e3 == pytest.approx(0.64, abs=0.005)
    assert limit / 0.25 / 1e4 * 1e3 == pytest.approx(2.55, abs=0.005)
