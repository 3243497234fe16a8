"""Beam widths of the open Gaussian-beam laboratory guide, University of Colorado course PHYS-4430.

Source: repository UCBoulder/PHYS-4430, commit 23207a5d, `Test_beam_width_data.csv`, and the answer printed in the
guide: w0 = (93.9 +- 0.1) um, z_w = (0.3396 +- 0.0003) m. Wavelength 632.8 nm; radii rounded to 0.1 um.
"""

from __future__ import annotations

from pathlib import Path

import numpy as np

from pulsewright.physics.beam.caustic import fit_gaussian_caustic

DATA = Path(__file__).parent / "data" / "phys4430_beam_widths.csv"
WAVELENGTH = 632.8e-9


def test_waist_radius_and_place_agree_with_the_printed_answer() -> None:
    position, radius = np.loadtxt(DATA, delimiter=",", skiprows=1, unpack=True)
    assert len(position) == 41
    fit = fit_gaussian_caustic(position, radius * 1e-6, WAVELENGTH)
    assert abs(fit.waist_radius * 1e6 - 93.9) <= 0.1
    assert abs(fit.waist_position - 0.3396) <= 0.0003
    # The printed uncertainties are those of the same fit, to their one digit.
    assert 0.05 <= fit.waist_radius_deviation * 1e6 <= 0.15
    assert 0.00025 <= fit.waist_position_deviation <= 0.00035
