"""Dye in water pairs; surfactant and alcohol keep it single; bleached dye is gone."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest
from scipy import constants

from pulsewright import machine as machines
from pulsewright import refdata
from pulsewright.engine.inputs import inputs_of
from pulsewright.engine.solution import Solution, cross_sections, solution
from pulsewright.physics.dye.trapping import trapped_fraction
from pulsewright.physics.lamp.tables import spectral_bands

WATER = {"solvent": "water"}
SOAP = {"surfactant": "sodium dodecyl sulfate", "surfactant_concentration": "0.1 mol/L"}


@cache
def demo() -> machines.Build:
    loaded = machines.load_text(machines.bench_text("tidewater"), "laser.toml")
    assert loaded.build is not None
    return loaded.build


def bound(**changes: str) -> Solution:
    return solution(inputs_of(demo().override({f"dye.{key}": value for key, value in changes.items()})))


def test_law_of_mass_action_holds() -> None:
    state = bound(**WATER).state
    known = refdata.dye("rhodamine 6G").dimer_constant
    assert known is not None
    assert state.dimers / state.monomers**2 == pytest.approx(float(known), rel=1e-9)
    assert state.monomers + 2 * state.dimers == pytest.approx(6e-2, rel=1e-12)


def test_above_1e_5_mol_per_litre_pairs_matter_in_water() -> None:
    """The sheet's limit for surfactant or alcohol: a few per cent below it, a quarter at laser concentrations."""
    shares = [bound(**WATER, concentration=f"{c:g} mol/L").state.paired_share for c in (1e-6, 1e-5, 6e-5, 2e-4)]
    assert shares[0] < 0.01 < shares[1] < 0.07
    assert 0.2 < shares[2] < 0.35 < shares[3]
    assert np.all(np.diff(shares) > 0)


def test_pairs_take_pump_and_laser_light_and_are_no_gain_medium() -> None:
    single, paired = bound(), bound(**WATER)
    assert paired.density == pytest.approx(paired.state.monomers * constants.N_A)
    assert np.all(paired.dimer_absorption > 0)
    assert np.all(single.dimer_absorption == 0)
    # what single molecules lose, pairs take, moved to the blue: as much in all, less of it at the peak
    centre, width = spectral_bands()
    band = (centre > 440e-9) & (centre < 600e-9)
    whole = [float((found.pump_absorption * width)[band].sum()) for found in (single, paired)]
    assert whole[1] == pytest.approx(whole[0], rel=0.05)
    useful = [float((found.dye_share * found.pump_absorption).max()) for found in (single, paired)]
    assert useful[1] < 0.8 * useful[0]


@pytest.mark.parametrize(
    "changes",
    [
        {**WATER, **SOAP},
        {**WATER, "surfactant": "lauryldimethylamine oxide", "surfactant_concentration": "0.1 mol/L"},
        {"second_solvent": "water", "second_solvent_fraction": "0.4"},
        {},
    ],
    ids=["sulfate", "amine oxide", "ethanol", "no water"],
)
def test_surfactant_or_alcohol_keeps_it_single(changes: dict[str, str]) -> None:
    assert bound(**changes).state.paired_share < 0.05


def test_surfactant_below_its_critical_concentration_is_warned_of() -> None:
    found = bound(**WATER, **{**SOAP, "surfactant_concentration": "5e-3 mol/L"})
    grades = {finding.path: finding.grade for finding in found.findings}
    assert grades["dye.surfactant_concentration"] == "warning"
    assert grades["dye.concentration"] == "warning"
    assert found.state.paired_share == bound(**WATER).state.paired_share


def test_surfactant_without_water_is_told() -> None:
    (finding,) = bound(**SOAP).findings
    assert finding.path == "dye.surfactant"
    assert "without water" in finding.message


def test_the_finding_names_share_range_and_cure() -> None:
    (finding,) = bound(**WATER).findings
    assert finding.path == "dye.concentration"
    assert "% of the rhodamine 6G is paired" in finding.message
    assert "surfactant" in finding.next_step
    assert "alcohol" in finding.next_step


def test_where_pairing_is_not_known_that_is_told() -> None:
    (finding,) = bound(name="coumarin 102", **WATER).findings
    assert "is not known" in finding.message


def test_the_constant_can_be_varied() -> None:
    inputs = inputs_of(demo().override({"dye.solvent": "water"}))
    more = inputs.varied("reference.dye.dimer_constant", 6.0)
    assert solution(more).state.dimers > solution(inputs).state.dimers
    assert "reference.dye.dimer_constant" not in inputs_of(demo()).reference


def test_bleached_dye_is_gone_and_its_products_are_handed_on() -> None:
    fresh, worn = bound(), bound(bleached_fraction="0.2", product_absorption="0.05 1/m")
    assert worn.density == pytest.approx(0.8 * fresh.density)
    assert worn.state.bleached == pytest.approx(0.2 * 6e-2)
    assert worn.product_absorption == pytest.approx(0.05)
    assert fresh.product_absorption == 0.0
    visible = fresh.dye_share > 0.99
    assert worn.pump_absorption[visible] == pytest.approx(0.8 * fresh.pump_absorption[visible], rel=0.01)


def test_a_warm_solution_is_told_that_properties_are_those_of_the_room() -> None:
    (finding,) = bound(temperature="35 degC").findings
    assert finding.path == "dye.temperature"
    assert "35 degC" in finding.message
    assert not bound(temperature="25 degC").findings


def test_dye_that_crowds_the_micelles_is_told() -> None:
    (finding,) = bound(**WATER, **{**SOAP, "surfactant_concentration": "20e-3 mol/L"}).findings
    assert finding.path == "dye.surfactant_concentration"
    assert "shares a micelle" in finding.message
    assert "Add sodium dodecyl sulfate" in finding.next_step
    low, high = (float(part) for part in finding.message.split("(")[1].split(" %")[0].split(" to "))
    assert low < 100 * bound(**WATER, **{**SOAP, "surfactant_concentration": "20e-3 mol/L"}).state.paired_share < high


def test_pairs_take_pump_light_to_the_blue_of_single_molecules() -> None:
    """Two molecules each, their band moved by the shift of the row: near 500 nm for rhodamine 6G (from memory)."""
    made = bound(**WATER, concentration="2e-4 mol/L")
    centre, _ = spectral_bands()
    single = made.pump_absorption * made.dye_share
    paired = made.pump_absorption - single
    band = (centre > 440e-9) & (centre < 600e-9)
    peaks = [float(centre[band][int(np.argmax(part[band]))]) for part in (single, paired)]
    shift = refdata.dye("rhodamine 6G").dimer_shift
    assert shift is not None
    assert float(shift) < 0
    step = float(np.diff(centre[band]).max())
    assert step < 0.75 * abs(float(shift))
    assert peaks[1] - peaks[0] == pytest.approx(float(shift), abs=step)
    ratio = paired[band].max() / single[band].max()
    assert ratio == pytest.approx(2 * made.state.dimers / made.state.monomers, rel=0.1)
    lost = 2 * made.state.dimers * constants.N_A * made.rates.absorption
    np.testing.assert_allclose(made.dimer_absorption, lost, rtol=1e-9)


def test_trapping_is_that_of_the_bore() -> None:
    """The fraction of a shot, on the bands of the lamp, against the formula with half the bore on a fine grid."""
    made = bound(name="sulforhodamine B")
    inputs = inputs_of(demo().override({"dye.name": "sulforhodamine B"}))
    fine = np.linspace(500e-9, 800e-9, 1201)
    spectra = cross_sections(inputs, fine)
    radius = inputs.machine.cell.bore / 2
    glow, taken = spectra.emission_shape, spectra.absorption * made.density
    fraction = trapped_fraction(glow, taken, np.full(1201, 0.25e-9), radius)
    assert made.rates.emitting is not None
    assert 1 - made.rates.radiative / made.rates.emitting == pytest.approx(fraction, abs=0.02)
    assert abs(trapped_fraction(glow, taken, np.full(1201, 0.25e-9), 2 * radius) - fraction) > 0.03
