"""Breakdown of air by light.

Appl. Phys. Lett. 25, 15 (1974), doi 10.1063/1.1655259: clean air about 2.5e11 W/cm^2 at 1.06 um and 100 ns (implied),
5e9 with one 50 um carbon particle. Van Stryland et al., Phys. Rev. B 23 (1981): irradiance ~ t^(-1/2), 40 ps to 31 ns.
Online laser-physics encyclopaedia (secondary): 2e13 W/cm^2 at 1 ps. Great Soviet Encyclopedia: gases 1e9 to 1e11.
"""

from __future__ import annotations

import pytest

from pulsewright.physics.beam.plasma import PLASMA_ROWS, plasma_likelihood, scaled_breakdown_irradiance

PER_CM2 = 1e4


def test_dust_lowers_the_threshold_to_a_fiftieth() -> None:
    dusty = next(row for row in PLASMA_ROWS if row.place == "dusty air")
    assert dusty.irradiance_low / (2.5e11 * PER_CM2) == pytest.approx(0.02, rel=1e-9)
    words = {v.row.place: v.likelihood for v in plasma_likelihood(5e9 * PER_CM2)}
    assert words["dusty air"] == "possible"
    assert words["clean air"] == "unlikely"


def test_picosecond_figure_carried_to_100_ns_known_deviation() -> None:
    """Known deviation: five decades of t^(-1/2) from 2e13 W/cm^2 at 1 ps give a quarter of the 100 ns figure.

    The law is established from 40 ps to 31 ns only, and the two figures differ in spot and definition.
    """
    carried = scaled_breakdown_irradiance(2e13 * PER_CM2, 1e-12, 100e-9)
    assert 0.24 < carried / (2.5e11 * PER_CM2) < 0.26


def test_clean_air_row_lies_inside_the_published_range_of_gases_and_the_measured_air() -> None:
    clean = next(row for row in PLASMA_ROWS if row.place == "clean air")
    assert 1e9 * PER_CM2 <= clean.irradiance_low <= 1e11 * PER_CM2
    assert clean.irradiance_high <= 2.5e11 * PER_CM2
