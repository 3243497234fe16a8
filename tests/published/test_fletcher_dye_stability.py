"""Fletcher, Laser dye stability, Part 5, doi 10.1007/BF00885124, abstract; patents on filters for coumarin heads.

More than thirty coumarins and quinolones in a flashlamp head: output is halved once the absorption at the laser
wavelength reaches about 1.2 %; A tau = 1.2 +- 0.9 with A in percent per dose and tau the dose to half output;
two heads compare by A1 tau1 = A2 tau2.
"""

from __future__ import annotations

import numpy as np
import pytest

from pulsewright import refdata
from pulsewright.physics.dye.photochemistry import half_output_dose

PERCENT = 0.01


@pytest.mark.parametrize("percent_per_dose", [0.02, 0.5, 3.0])
def test_product_of_absorption_and_half_output_dose(percent_per_dose: float) -> None:
    per_cubic_metre = percent_per_dose * PERCENT / 1e9  # dose in MJ per dm3 is 1e9 J/m3
    tau = half_output_dose(per_cubic_metre) / 1e9
    assert percent_per_dose * tau == pytest.approx(1.2, abs=0.05)
    ends = [half_output_dose(per_cubic_metre, limit) / 1e9 * percent_per_dose for limit in (0.003, 0.021)]
    assert ends == pytest.approx([0.3, 2.1], abs=0.05)


def test_borosilicate_filter_of_us_4479223_cuts_at_or_below_300_nm() -> None:
    curve = refdata.glass("borosilicate glass").absorption_coefficient
    through = np.exp(-1e-3 * np.interp([270e-9, 300e-9, 350e-9], curve.wavelength, curve.values))
    assert through[0] < 0.1
    assert 0.3 < through[1] < 0.8
    assert through[2] > 0.9
