"""Lines on the continuum: smeared coefficients against the light of a finely resolved spectrum."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray

from pulsewright import refdata
from pulsewright.engine.coefficients import PLASMA_LINES, PLASMA_OF_GAS
from pulsewright.engine.lamp_plasma import recipe
from pulsewright.physics.lamp import lines
from pulsewright.physics.lamp.light import CHORD_FACTOR
from pulsewright.physics.lamp.tables import PlasmaTables, spectral_bands, steady_state

Float = NDArray[np.float64]
XENON = refdata.gas("xenon")
LINES = tuple(lines.Line(row.wavelength, row.oscillator_strength, *row.lower, row.stark_width) for row in XENON.lines)
STATE = np.array([10_000.0, 14_000.0]), np.array([2e23, 4e24]), np.array([1.2e25, 6e24])
CENTRE, WIDTH = spectral_bands()
BORE = 5e-3


def tables(torr: float, lined: bool, **factors: float) -> PlasmaTables:
    values = {f"xenon.{field}": float(getattr(XENON, field)) for field in (*PLASMA_OF_GAS, *PLASMA_LINES)}
    values |= {"plasma.range_factor": 3.0, "plasma.fill_temperature": 300.0}
    values |= {f"xenon.{name}": value for name, value in factors.items()}
    chord = CHORD_FACTOR * BORE if lined else 0.0
    return recipe((("xenon", 1.0),), torr * 133.322368, "", chord, values).tables()


@pytest.mark.parametrize("band", [820e-9, 880e-9, 990e-9])
def test_smeared_band_lets_out_what_a_fine_spectrum_does(band: float) -> None:
    index = int(np.argmin(np.abs(CENTRE - band)))
    low, high = CENTRE[index] - WIDTH[index] / 2, CENTRE[index] + WIDTH[index] / 2
    grid = np.linspace(low, high, 200_001)
    chord = CHORD_FACTOR * BORE
    fine = np.exp(-chord * lines.line_absorption(grid, *STATE, LINES, XENON.levels[0]))
    out = 1 - np.trapezoid(fine, grid, axis=1) / WIDTH[index]
    smeared = lines.smeared_absorption(CENTRE, WIDTH, *STATE, LINES, XENON.levels[0], chord)[:, index]
    assert 1 - np.exp(-chord * smeared) == pytest.approx(out, rel=0.02)


def test_thin_lines_are_the_mean_of_their_coefficient() -> None:
    kelvin, electrons, atoms = np.array([8000.0]), np.array([1e22]), np.array([1e20])
    smeared = lines.smeared_absorption(CENTRE, WIDTH, kelvin, electrons, atoms, LINES, XENON.levels[0], 1e-6)
    boltzmann = [line.weight * np.exp(-line.energy / (1.380649e-23 * kelvin[0])) for line in LINES]
    u = sum(g * np.exp(-e / (1.380649e-23 * kelvin[0])) for g, e in XENON.levels[0])
    by_hand = sum(
        lines.LINE_INTEGRAL
        * line.oscillator_strength
        * atoms[0]
        * part
        / u
        * line.wavelength**2
        / 299792458.0
        * -np.expm1(-1.438776877e-2 / line.wavelength / kelvin[0])
        for line, part in zip(LINES, boltzmann, strict=True)
    )
    assert np.sum(smeared[0] * WIDTH) == pytest.approx(by_hand, rel=0.01)


def test_mean_of_the_coefficient_would_let_out_far_too_much() -> None:
    """Why the escape is averaged: black cores add nothing beyond black."""
    index = int(np.argmin(np.abs(CENTRE - 880e-9)))
    low, high = CENTRE[index] - WIDTH[index] / 2, CENTRE[index] + WIDTH[index] / 2
    grid = np.linspace(low, high, 200_001)
    mean = np.trapezoid(lines.line_absorption(grid, *STATE, LINES, XENON.levels[0]), grid, axis=1) / WIDTH[index]
    smeared = lines.smeared_absorption(CENTRE, WIDTH, *STATE, LINES, XENON.levels[0], CHORD_FACTOR * BORE)[:, index]
    assert np.all(smeared < 0.7 * mean)


@pytest.mark.parametrize(("torr", "low", "high"), [(100.0, 1.5, 6.0), (450.0, 1.5, 6.0)])
def test_lines_raise_the_near_infrared_at_low_current_and_not_at_high(torr: float, low: float, high: float) -> None:
    """0.8 to 1 um in steady balance: several times the continuum at 0.3 kA/cm^2, little at 10 kA/cm^2."""
    found = {}
    for lined in (False, True):
        table = tables(torr, lined)
        density, _, kelvin = steady_state(table, BORE)
        for kiloamperes in (0.3, 10.0):
            place = int(np.searchsorted(density, kiloamperes * 1e7))
            taken = -np.expm1(-CHORD_FACTOR * BORE * np.exp(table.log_absorption[0, place]))
            planck = WIDTH / CENTRE**5 / np.expm1(1.438776877e-2 / (CENTRE * kelvin[place]))
            spectrum = taken * planck
            near = (CENTRE > 0.8e-6) & (CENTRE < 1.0e-6)
            found[lined, kiloamperes] = spectrum[near].sum() / spectrum.sum()
    assert low < found[True, 0.3] / found[False, 0.3] < high
    assert found[True, 10.0] / found[False, 10.0] < 1.3


def test_lines_only_add_and_stay_below_black() -> None:
    bare, lined = tables(450.0, False), tables(450.0, True)
    assert np.all(lined.log_absorption >= bare.log_absorption - 1e-12)
    assert np.all(lined.log_exitance >= bare.log_exitance - 1e-9)
    assert np.array_equal(lined.log_resistivity, bare.log_resistivity)
    black = 5.670374419e-8 * lined.temperature[0] ** 4
    assert np.all(np.exp(lined.log_exitance[0]) <= black[:, None] * (1 + 1e-9))


def test_strength_and_width_have_their_effect() -> None:
    usual = tables(100.0, True)
    place = usual.temperature.shape[1] // 3
    for name in PLASMA_LINES:
        datum = getattr(XENON, name)
        more, less = tables(100.0, True, **{name: datum.high}), tables(100.0, True, **{name: datum.low})
        assert np.all(more.log_exitance[0, place] >= less.log_exitance[0, place])
        assert more.log_exitance[0, place, 20] > less.log_exitance[0, place, 20] + 1e-3


def test_oscillator_strengths_of_a_lower_level_add_up_to_one() -> None:
    """Sum rule for 6s to 6p, one electron: about 1 for each of 1s5 and 1s4; from memory within 15 %."""
    for weight, energy in {row.lower for row in XENON.lines}:
        total = sum(row.oscillator_strength for row in XENON.lines if row.lower == (weight, energy))
        if energy < 9.0 * 1.602e-19:
            assert total == pytest.approx(1.1, abs=0.15)
        else:
            assert total < 1.1  # only its strongest line lies in this region
