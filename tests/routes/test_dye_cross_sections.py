"""Dye spectra against the [computed] tables of the fact sheet, made from the raw spectra; two ways to the tail."""

from __future__ import annotations

import numpy as np
import pytest
from dye_spectra import absorption_band, band, cross_sections, full_width

from pulsewright import refdata
from pulsewright.physics.dye.cross_sections import emission_shape
from pulsewright.physics.dye.spectroscopy import (
    absorptivity_from_cross_section,
    cross_section_from_absorptivity,
    radiative_rate_from_absorption,
    stimulated_emission_cross_section,
)

NM = 1e-9
SQUARE_ANGSTROM = 1e-20  # 1e-16 cm2
#: Single Gaussians whose sheet took the index of ethanol whatever the solvent.
SINGLE = {"coumarin 102", "coumarin 153", "coumarin 307", "coumarin 120", "coumarin 2", "stilbene 420"}
INDEX = {"ethanol": 1.3611, "basic ethanol": 1.3611, "methanol": 1.3288, "acetonitrile": 1.3611}

#: Table B2 [computed]: dye -> (peak 1e-16 cm2, {wavelength nm: 1e-16 cm2}).
B2 = {
    "rhodamine 123": (2.47, {540: 2.28, 550: 1.73, 560: 1.32, 570: 1.11}),
    "rhodamine B": (3.36, {590: 1.78, 600: 1.38, 610: 1.23, 620: 1.08, 630: 0.84}),
    "sulforhodamine 101": (3.71, {610: 2.18, 620: 1.48, 630: 1.20, 640: 1.19}),
    "fluorescein": (3.1, {540: 3.0, 550: 2.7, 560: 1.9, 570: 1.4}),
    "cresyl violet": (3.48, {640: 2.56, 650: 2.14, 660: 1.58, 670: 1.36, 680: 1.27}),
    "oxazine 1": (3.08, {690: 1.84, 700: 1.48, 720: 1.24, 740: 1.17}),
    "oxazine 170": (3.77, {670: 2.84, 680: 2.27, 700: 1.83, 720: 1.36}),
    "DCM": (3.7, {620: 3.3, 640: 3.7, 660: 3.2, 680: 2.4}),
    "coumarin 1": (0.80, {440: 0.72, 460: 0.77, 470: 0.70, 480: 0.59}),
    "coumarin 6": (2.09, {520: 1.93, 530: 1.80, 540: 1.58, 550: 1.30}),
    "coumarin 30": (1.19, {500: 1.14, 510: 1.04, 520: 0.90}),
    "coumarin 151": (0.51, {480: 0.47, 490: 0.51, 500: 0.50, 510: 0.47}),
    "coumarin 102": (0.83, {}),
    "coumarin 153": (0.80, {}),
    "coumarin 307": (0.58, {}),
    "coumarin 120": (0.81, {}),
    "coumarin 2": (0.97, {}),
    "stilbene 420": (2.1, {}),
}

#: Where stimulated emission peaks, nm, and how far off the fit may be: the broad tops of coumarins by 4 or 5 nm.
B2_PEAKS = {
    "rhodamine 123": (533, 2), "rhodamine B": (566, 2), "sulforhodamine 101": (592, 3), "fluorescein": (542, 2),
    "cresyl violet": (624, 4), "oxazine 1": (668, 3), "oxazine 170": (643, 4), "DCM": (637, 3), "coumarin 1": (453, 4),
    "coumarin 6": (504, 4), "coumarin 30": (488, 4), "coumarin 151": (496, 5),
}  # fmt: skip

#: Table C2, R6G in ethylene glycol [computed].
GLYCOL = {
    540: 1.02, 545: 1.76, 550: 2.32, 555: 2.76, 560: 2.94, 565: 2.88, 570: 2.62, 575: 2.26, 580: 2.03, 585: 1.76,
    590: 1.55, 595: 1.38, 600: 1.26, 605: 1.14, 610: 1.08, 615: 0.94, 620: 0.82, 625: 0.68, 630: 0.57, 640: 0.35,
}  # fmt: skip

#: Strickler-Berg rates from the raw spectra and yield over lifetime, 1e8/s [computed].
RATES = {
    "rhodamine 6G": (2.54, 2.44),
    "rhodamine B": (2.37, 2.41),
    "sulforhodamine B": (2.20, 2.50),
    "rhodamine 101": (1.94, 2.12),
    "sulforhodamine 101": (1.90, 2.05),
    "rhodamine 123": (2.01, 2.21),
    "oxazine 170": (1.80, 2.07),
    "fluorescein": (2.17, 2.37),
    "coumarin 1": (1.80, 1.94),
    "coumarin 6": (3.00, 3.18),
    "coumarin 30": (2.73, 2.40),
    "coumarin 151": (1.23, 1.08),
    "coumarin 314": (2.49, 2.12),
}

#: Full widths of the raw spectra, nm: absorption, emission [computed].
WIDTHS = {
    "rhodamine 6G": (30.9, 43.0),
    "rhodamine 123": (28.2, 39.4),
    "rhodamine B": (35.2, 38.9),
    "sulforhodamine B": (34.7, 35.8),
    "rhodamine 101": (35.0, 37.5),
    "sulforhodamine 101": (30.4, 34.3),
    "fluorescein": (28.6, 35.2),
    "cresyl violet": (62.5, 41.0),
    "oxazine 1": (43.0, 47.2),
    "DCM": (94.9, 95.1),
    "coumarin 1": (50.1, 63.4),
    "coumarin 6": (63.9, 62.8),
    "coumarin 30": (57.1, 69.4),
    "coumarin 151": (66.3, 73.6),
    "coumarin 314": (48.1, 47.9),
}

#: Fits of rms 0.03 to 0.04 whose absorption bands come out too wide: bounds of fit over record.
TOO_WIDE = {
    "rhodamine 123": (1.08, 1.14),
    "rhodamine 101": (1.07, 1.13),
    "sulforhodamine 101": (1.12, 1.19),
}

#: Absorptivity of R6G in ethanol [source], L/(mol cm).
ETHANOL = {
    275: 19500, 300: 13000, 325: 4550, 350: 11100, 375: 1850, 400: 1810, 425: 800, 450: 3010, 460: 5470,
    470: 8848, 480: 17129, 490: 29338, 500: 37503, 510: 51392, 520: 88147, 525: 107020, 530: 115950, 535: 106670,
    540: 79067, 545: 47935, 550: 25266,
}  # fmt: skip


def emission_at(dye: str, wavelength: np.ndarray, index: float) -> np.ndarray:
    row = refdata.dye(dye)
    shape = emission_shape(wavelength, row.emission.components)
    area = stimulated_emission_cross_section(wavelength, shape, float(row.quantum_yield), float(row.lifetime), index)
    return np.asarray(area) / SQUARE_ANGSTROM


@pytest.mark.parametrize("dye", B2)
def test_stimulated_emission_at_laser_wavelengths(dye: str) -> None:
    peak, rows = B2[dye]
    index = INDEX["ethanol"] if dye in SINGLE else INDEX[refdata.dye(dye).emission.solvent]
    fine = np.arange(400, 800, 0.5) * NM
    if dye in B2_PEAKS:
        place, within = B2_PEAKS[dye]
        assert fine[np.argmax(emission_at(dye, fine, index))] / NM == pytest.approx(place, abs=within)
    assert emission_at(dye, fine, index).max() == pytest.approx(peak, rel=0.08)
    for wavelength, expected in rows.items():
        value = emission_at(dye, np.array([wavelength * NM]), index)[0]
        # 8 % between fit and raw spectrum, and half of the last printed digit
        digit = 0.05 if dye in {"fluorescein", "DCM"} else 0.005
        assert value == pytest.approx(expected, abs=0.08 * expected + digit), wavelength


def test_known_deviation_shoulder_of_sulforhodamine_101() -> None:
    # the sheet allows its fits 8 % on a shoulder; this one is 8.5 % low at 650 nm (1.12)
    value = emission_at("sulforhodamine 101", np.array([650 * NM]), INDEX["ethanol"])[0]
    assert 0.90 < value / 1.12 < 0.92


@pytest.mark.parametrize("wavelength", GLYCOL)
def test_rhodamine_6g_in_ethylene_glycol(wavelength: int) -> None:
    value = emission_at("rhodamine 6G", np.array([wavelength * NM]), 1.4318)[0]
    assert value == pytest.approx(GLYCOL[wavelength], abs=0.08 * GLYCOL[wavelength] + 0.005)


@pytest.mark.parametrize(("wavelength", "record"), [(650, 0.25), (660, 0.18), (680, 0.10)])
def test_known_deviation_far_red_emission_of_rhodamine_6g(wavelength: int, record: float) -> None:
    # Gaussians fall too fast: beyond 640 nm the fit lies below the record, where R6G no longer lases.
    ratio = emission_at("rhodamine 6G", np.array([wavelength * NM]), 1.4318)[0] / record
    assert 0.40 < ratio < 0.90


@pytest.mark.parametrize("dye", RATES)
def test_radiative_rate_by_two_ways(dye: str) -> None:
    raw, measured = RATES[dye]
    row = refdata.dye(dye)
    grid = np.linspace(430 if dye == "rhodamine 6G" else 300, 900, 3001) * NM
    glow = band(row.emission.components, grid, float(row.emission.shift))
    rate = radiative_rate_from_absorption(grid, absorption_band(dye, grid), glow, 1.3611) / 1e8
    assert rate == pytest.approx(raw, rel=0.06)
    assert rate == pytest.approx(measured, rel=0.20)
    assert float(row.quantum_yield) / float(row.lifetime) / 1e8 == pytest.approx(measured, abs=0.011)


@pytest.mark.parametrize(("dye", "low", "high"), [("oxazine 1", 1.1, 1.3), ("DCM", 0.5, 0.65)])
def test_known_deviation_radiative_rate(dye: str, low: float, high: float) -> None:
    # oxazine 1: short lifetime, 25 % apart in the sheet; DCM: charge transfer, the relation does not hold
    row = refdata.dye(dye)
    grid = np.linspace(300, 950, 3001) * NM
    glow = band(row.emission.components, grid)
    rate = radiative_rate_from_absorption(grid, absorption_band(dye, grid), glow, 1.3288)
    assert low < rate / (float(row.quantum_yield) / float(row.lifetime)) < high


def test_cresyl_violet_needs_a_higher_absorptivity_than_its_record() -> None:
    row = refdata.dye("cresyl violet")
    grid = np.linspace(400, 900, 3001) * NM
    rate = radiative_rate_from_absorption(
        grid, absorption_band("cresyl violet", grid), band(row.emission.components, grid), 1.3611
    )
    needed = float(row.quantum_yield) / float(row.lifetime) / rate * float(row.peak_molar_absorptivity) * 10
    assert needed == pytest.approx(72_000, rel=0.08)  # [computed]; the record says 28 000
    assert row.peak_molar_absorptivity.low * 10 < needed < row.peak_molar_absorptivity.high * 10


@pytest.mark.parametrize("dye", WIDTHS)
def test_widths_of_the_bands(dye: str) -> None:
    row = refdata.dye(dye)
    grid = np.arange(430 if dye == "rhodamine 6G" else 300, 900, 0.02) * NM
    absorption = full_width(grid, band(row.absorption.components, grid)) / NM
    emission = full_width(grid, band(row.emission.components, grid)) / NM
    expected = WIDTHS[dye]
    assert emission == pytest.approx(expected[1], rel=0.04)
    if dye in TOO_WIDE:
        low, high = TOO_WIDE[dye]
        assert low < absorption / expected[0] < high
    else:
        assert absorption == pytest.approx(expected[0], rel=0.06)


@pytest.mark.parametrize("wavelength", ETHANOL)
def test_rhodamine_6g_absorption_in_ethanol(wavelength: int) -> None:
    value = cross_sections("rhodamine 6G", "ethanol", np.array([wavelength * NM])).absorption[0]
    epsilon = value / 3.8235e-25
    # three times the rms of the fit, 0.016 of the peak
    assert epsilon == pytest.approx(ETHANOL[wavelength], abs=3 * 0.016 * 116_000)


def test_known_deviation_ultraviolet_end_of_the_rhodamine_6g_fit() -> None:
    # 44 500 L/(mol cm) at 250 nm in the record; the fit's two outermost bands leave a fifth out
    value = cross_sections("rhodamine 6G", "ethanol", np.array([250 * NM])).absorption[0] / 3.8235e-25
    assert 0.75 < value / 44_500 < 0.85


def test_rhodamine_6g_laser_line_in_ethanol() -> None:
    at = cross_sections("rhodamine 6G", "ethanol", np.array([590 * NM]))
    assert at.emission[0] == pytest.approx(1.56e-20, rel=0.05)  # [computed] 1.55 to 1.57
    assert 1.5e-23 < at.absorption[0] < 6e-23  # [computed] 3e-23, times or over 2


@pytest.mark.parametrize("wavelength", [560, 570, 580, 590, 600])
def test_tail_measured_and_by_the_thermal_relation(wavelength: int) -> None:
    # Two ways to one number: the measured tail, good to a factor 2, and the relation of absorption and emission.
    at = np.array([wavelength * NM])
    measured = cross_sections("rhodamine 6G", "ethanol", at, "table").absorption[0]
    thermal = cross_sections("rhodamine 6G", "ethanol", at, "thermal relation").absorption[0]
    assert 0.25 < thermal / measured < 2.0


def test_known_deviation_of_the_thermal_relation_far_in_the_red() -> None:
    # At 620 nm the relation gives a tenth to a quarter of the measured tail (the record nears its noise there).
    at = np.array([620 * NM])
    measured = cross_sections("rhodamine 6G", "ethanol", at, "table").absorption[0]
    thermal = cross_sections("rhodamine 6G", "ethanol", at, "thermal relation").absorption[0]
    assert 0.1 < thermal / measured < 0.25


def test_threshold_order_of_the_sheet() -> None:
    """E1 [computed]: 30 cm, 1e-4 mol/L, R = 0.99 and 0.70, 10 % round-trip loss, no triplets.

    The sheet finds 0.0078 per cm, 1.5e14 excited molecules per cm3 and 14 kW per cm3. Its 1.5e14 follows with the
    recalled ground-state absorption of 1.7e-19 cm2; the tail used here is 1.7 times stronger and so needs more.
    """
    gain = (-np.log(0.99 * 0.70) - np.log(0.90)) / 0.60
    assert gain / 100 == pytest.approx(0.0078, abs=0.0001)
    density = 1e-1 * 6.02214e23
    at = cross_sections("rhodamine 6G", "ethanol", np.array([590 * NM]))
    net = at.emission[0] - at.excited_state_absorption[0]
    excited = (gain + 1.7e-23 * density) / net
    assert excited / 1e6 == pytest.approx(1.5e14, rel=0.07)
    assert excited * 3.748e-19 / 3.9e-9 / 1e9 == pytest.approx(14.0, rel=0.10)  # kW/cm3 at 530 nm
    assert 1.0 < (gain + at.absorption[0] * density) / net / excited < 1.6


def test_scale_of_the_nyman_file_is_too_small() -> None:
    # C1 [computed]: 1.40e-20 m2 of the circulating file is 36 600 L/(mol cm); times ln 10 it is 3.22e-20
    assert absorptivity_from_cross_section(1.40e-20) * 10 == pytest.approx(36_600, rel=0.002)
    assert 1.40 * np.log(10.0) == pytest.approx(3.22, abs=0.005)
    assert cross_section_from_absorptivity(1.05e4) == pytest.approx(4.0e-20, abs=0.05e-20)


#: Table B2 of rhodamine 6G in ethanol, made of the database's own emission record [computed].
ETHANOL_RECORD = {580: 1.77, 590: 1.57, 600: 1.39, 610: 1.13}


@pytest.mark.parametrize("wavelength", [590, 600, 610])
def test_rhodamine_6g_in_ethanol_at_laser_wavelengths(wavelength: int) -> None:
    value = cross_sections("rhodamine 6G", "ethanol", np.array([wavelength * NM])).emission[0] / SQUARE_ANGSTROM
    assert value == pytest.approx(ETHANOL_RECORD[wavelength], abs=0.08 * ETHANOL_RECORD[wavelength] + 0.005)


def test_known_deviation_rhodamine_6g_in_ethanol_at_580_nm() -> None:
    # a seventh above 1.77: emission is that of another record, in glycol, moved by 3 nm; this one is distorted there
    value = cross_sections("rhodamine 6G", "ethanol", np.array([580 * NM])).emission[0] / SQUARE_ANGSTROM
    assert 1.10 < value / ETHANOL_RECORD[580] < 1.18


def test_known_deviation_peak_of_the_ethanol_record() -> None:
    # 2.47 at 556, 2.13 at 570 nm; that record is 57 nm wide, distorted by its own absorption (the glycol one is 43 nm)
    fine = np.arange(540, 580, 0.5) * NM
    band_here = cross_sections("rhodamine 6G", "ethanol", fine).emission / SQUARE_ANGSTROM
    assert 1.2 < band_here.max() / 2.47 < 1.4
    assert 1.2 < np.interp(570 * NM, fine, band_here) / 2.13 < 1.35
    assert fine[np.argmax(band_here)] / NM == pytest.approx(556, abs=2)


def test_rhodamine_110_lies_to_the_blue_of_its_relative() -> None:
    # absorption near 500, emission near 523 nm, both from memory; the sheet takes its cross-section as rhodamine 123's
    row = refdata.dye("rhodamine 110")
    grid = np.arange(470, 560, 0.1) * NM
    assert row.emission is not None
    for spectrum, place in ((row.absorption, 500), (row.emission, 523)):
        fitted = band(spectrum.components, grid, float(spectrum.shift))
        assert grid[np.argmax(fitted)] / NM == pytest.approx(place, abs=1.5)
    peak = emission_at("rhodamine 123", grid, INDEX["ethanol"]).max()
    shape = emission_shape(grid, row.emission.components, float(row.emission.shift))
    area = stimulated_emission_cross_section(grid, shape, float(row.quantum_yield), float(row.lifetime), 1.3611)
    assert np.max(area) / SQUARE_ANGSTROM == pytest.approx(peak, rel=0.08)


def test_width_of_coumarin_343() -> None:
    # 76.0 nm; its emission, of another form of the dye, is not in the library
    row = refdata.dye("coumarin 343")
    grid = np.arange(300, 700, 0.02) * NM
    assert full_width(grid, band(row.absorption.components, grid)) / NM == pytest.approx(76.0, rel=0.02)
    assert row.emission is None


@pytest.mark.parametrize("dye", ["rhodamine 6G", "coumarin 6", "DCM"])
def test_fluorescence_over_all_wavelengths_is_one(dye: str) -> None:
    fine = np.arange(380, 1000, 0.1) * NM
    assert np.trapezoid(cross_sections(dye, "ethanol", fine).emission_shape, fine) == pytest.approx(1.0, abs=2e-3)
