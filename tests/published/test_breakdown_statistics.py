"""Statistics of a breakdown's delay: Phys. Plasmas 13, 083502 (2006), abstract [source], and M. Cernak, lecture FB240,
is.muni.cz [source for the law, secondary for the numbers].

Laue: n/N = exp(-(t - tf)/ts). The best distribution is an exponential convolved with a Gaussian (krypton, 2.6 mbar).
Untreated electrode in the dark: mean statistical lag about 1e-2 s, up to seconds; natural production of free
electrons about 10 per cm^3 and second.
"""

from __future__ import annotations

import math

import numpy as np
import pytest

from pulsewright.physics.pulsed_power.statistical_lag import breakdown_delay_density, breakdown_probability

FORMATIVE, MEAN = 4e-4, 1e-2


@pytest.mark.parametrize("means", [0.0, 0.5, 1.0, 3.0])
def test_laue_law(means: float) -> None:
    left = 1.0 - float(breakdown_probability(FORMATIVE + means * MEAN, FORMATIVE, MEAN))
    assert left == pytest.approx(math.exp(-means), rel=1e-12)


def test_exponential_convolved_with_a_gaussian() -> None:
    spread, step = 1e-4, 2e-6
    grid = np.arange(-2000, 60000) * step
    gauss = np.exp(-((grid - FORMATIVE) ** 2) / (2 * spread**2)) / (spread * math.sqrt(2 * math.pi))
    wait = np.where(grid >= 0, np.exp(-grid / MEAN) / MEAN, 0.0)
    wait[grid == 0] /= 2  # half of the step at its edge
    both = np.fft.irfft(np.fft.rfft(gauss, 1 << 18) * np.fft.rfft(wait, 1 << 18), 1 << 18) * step
    times = grid[2100:30000]
    summed = both[2000 + 2100 : 2000 + 30000]
    found = np.asarray(breakdown_delay_density(times, FORMATIVE, spread, MEAN))
    assert found == pytest.approx(summed, abs=2e-4 / MEAN)


def test_lag_in_the_dark_is_that_of_natural_electrons_in_the_volume_of_a_lamp() -> None:
    # One electron of 10 per cm^3 and second in some 10 cm^3, if each starts a breakdown: 1e-2 s, as printed.
    lamp = math.pi / 4 * 0.7**2 * 15  # cm^3, the demo bench's
    assert 3e-3 < 1 / (10 * lamp) < 3e-2
