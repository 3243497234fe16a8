"""The resonator of a build bound to the gain: bins, band, covered mirrors, parasitic path, cells, slab, words."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy import constants
from scipy.integrate import quad
from scipy.special import erf

from pulsewright import machine
from pulsewright.engine import resonator
from pulsewright.engine.chain import Stages
from pulsewright.engine.inputs import inputs_of
from pulsewright.engine.solution import solution
from pulsewright.physics.resonator.diffraction import plane_strip_diffraction_loss
from pulsewright.records import Shot

PRISM = {"resonator.tuning": "prism", "resonator.tuned_wavelength": "592 nm", "resonator.tuned_width": "2 nm"}
ETALON = {
    "resonator.tuning": "etalon",
    "resonator.tuned_wavelength": "590 nm",
    "resonator.tuned_width": "0.4 nm",
    "resonator.tuning_period": "6 nm",
}
SECOND = '\n[cells.second]\nlength = "{}"\npumped_length = "{}"\npump_share = {}\n'


@pytest.mark.parametrize("width", ["20 nm", "2 nm", "0.1 nm"])
def test_a_tuned_laser_lases_where_it_is_tuned(shot_of: Callable[..., Shot], width: str) -> None:
    shot = shot_of({**PRISM, "resonator.tuned_width": width})
    assert shot.outcome == "lased"
    found, band = shot.summary["wavelength"].value, float(width.split(maxsplit=1)[0]) * 1e-9
    assert found is not None
    assert abs(found - 592e-9) < band / 4
    # many passes narrow the line below the band of one pass, and the bins resolve it
    power, bins = shot.arrays["output_spectrum"].values, shot.arrays["laser_width"].values
    above = bins[power > 0.5 * power.max()]
    assert above.sum() < 0.5 * band
    assert len(above) >= (3 if band < 5e-9 else 1)  # a wide band is pulled to where the bins are wider
    assert "stated pass band" in shot.provenance.choices["tuning element"]
    assert shot.arrays["tuning_transmission"].values.max() == pytest.approx(1.0, abs=1e-3)


def test_shares_of_the_fluorescence_and_cross_sections_are_kept_on_other_bins() -> None:
    build = machine.load_text(machine.bench_text("tidewater")).build
    assert build is not None
    dye = solution(inputs_of(build))
    for changes in (PRISM, ETALON):
        bins = resonator.laser_bins(inputs_of(build.override(changes)), dye)
        assert bins.width.sum() == pytest.approx(60 * dye.laser_width, rel=1e-9)
        assert bins.rates.emission_share.sum() == pytest.approx(dye.rates.emission_share.sum(), rel=2e-3)
        here = np.interp(bins.wavelength, dye.laser_wavelength, dye.rates.emission)
        inside = (bins.wavelength > dye.laser_wavelength[0]) & (bins.wavelength < dye.laser_wavelength[-1])
        assert bins.rates.emission[inside] == pytest.approx(here[inside], rel=5e-3)


def test_an_etalon_lases_in_its_orders(shot_of: Callable[..., Shot]) -> None:
    shot = shot_of(ETALON)
    wavelength, power = shot.arrays["laser_wavelength"].values, shot.arrays["output_spectrum"].values
    lit = wavelength[power > 1e-3 * power.max()]
    off = (lit - 590e-9) / 6e-9
    assert np.abs(off - np.round(off)).max() < 0.05


def test_a_covered_rear_mirror_leaves_the_parasitic_path(shot_of: Callable[..., Shot]) -> None:
    beside = {"resonator.parasitic_reflectivity": "0.2", "resonator.blocked": "rear", "bank.charge_voltage": "11 kV"}
    shot = shot_of(beside)
    assert shot.outcome == "lases in the parasitic path only"
    assert shot.summary["output_energy"].value == 0.0
    assert shot.budgets["photons"]["parasitic light"] > 0.01 * shot.budgets["photons"]["absorbed"]
    paths = [item.path for item in shot.findings]
    assert "resonator.parasitic_reflectivity" in paths
    assert "resonator.rear" in paths
    without = shot_of({"resonator.blocked": "rear", "bank.charge_voltage": "11 kV"})
    assert without.outcome == "below threshold"


def test_nothing_comes_through_a_covered_coupler(shot_of: Callable[..., Shot]) -> None:
    shot = shot_of({"resonator.blocked": "coupler"})
    assert shot.outcome == "below threshold"
    assert shot.budgets["photons"]["output"] == 0.0


def test_a_line_at_the_strongest_wavelength_is_told_with_its_share(shot_of: Callable[..., Shot]) -> None:
    free = shot_of()
    peak = free.arrays["laser_wavelength"].values[np.argmax(free.arrays["output_spectrum"].values)]
    line = {"resonator.injection_power": "10 kW", "resonator.injection_wavelength": f"{peak * 1e9:.3f} nm"}
    shot = shot_of(line)
    locked = shot.summary["locked_fraction"].value
    assert locked is not None
    assert 0.5 < locked <= 1.0
    assert "of its power passes the rear mirror" in shot.provenance.choices["injected line"]
    away = shot_of({**line, "resonator.injection_wavelength": "700 nm"})
    assert "locked_fraction" not in away.summary
    assert any("lies outside the bins" in item.message for item in away.findings)


def test_a_further_cell_shares_the_light() -> None:
    text = machine.bench_text("tidewater").replace('length = { value = "400 mm"', 'length = { value = "600 mm"')
    loaded = machine.load_text(text + SECOND.format("100 mm", "90 mm", 0.4))
    assert loaded.build is not None, loaded.findings
    inputs = inputs_of(loaded.build)
    rate = np.full((5, 8), 2.0)
    found = resonator.pump_rates(inputs, rate)
    assert found.shape == (5, 2, 8)
    assert found[0, 0, 0] == pytest.approx(2.0 * 0.6)
    # absorbed photons: rate x molecules; all of the lamps' light is shared
    pumped = inputs.machine.cell.pumped_length
    assert found[0, 0, 0] * pumped + found[0, 1, 0] * 90e-3 == pytest.approx(2.0 * pumped)


def test_an_absorber_is_a_zone_without_pump(shot_of: Callable[..., Shot]) -> None:
    loaded = machine.load_text(machine.bench_text("tidewater") + SECOND.format("10 mm", "0 mm", 0))
    assert loaded.build is not None, loaded.findings
    inputs = inputs_of(loaded.build)
    assert resonator.cavity(inputs, solution(inputs)).further[0].length == pytest.approx(10e-3)
    assert not resonator.pump_rates(inputs, np.ones((3, 8)))[:, 1].any()


def test_the_mode_of_a_slab_is_a_cosine_across_its_thickness() -> None:
    build = machine.load_text(machine.bench_text("tidewater")).build
    assert build is not None
    slab = build.override({"cell.shape": "slab", "cell.width": "20 mm", "resonator.photon_field": "single mode"})
    inputs = inputs_of(slab)
    overlap = resonator._overlap(inputs, 590e-9)
    assert overlap is not None
    layer = [quad(lambda x: 2 * np.cos(np.pi * (x - 0.5)) ** 2, z / 8, (z + 1) / 8)[0] * 8 for z in range(8)]
    assert overlap == pytest.approx(layer, rel=1e-9)
    number = (4e-3) ** 2 / (590e-9 * 0.4)
    assert resonator.bore_fresnel_number(inputs, 590e-9) == pytest.approx(number, rel=1e-9)
    assert resonator.diffraction_loss(inputs, 590e-9) == pytest.approx(plane_strip_diffraction_loss(number), rel=1e-9)


def test_products_of_the_dye_are_a_loss_over_its_length(stages_of: Callable[..., Stages]) -> None:
    """Fletcher's measure of a spent fill: absorption at the laser's wavelength over the cell's length."""
    fresh, spent = stages_of(), stages_of({"dye.product_absorption": "0.2 1/m"})
    cell = fresh.inputs.machine.cell
    assert spent.gain.mirrors.loss - fresh.gain.mirrors.loss == pytest.approx(np.full(60, 0.2 * cell.length), rel=1e-9)
    assert spent.gain.output_energy < 0.95 * fresh.gain.output_energy


def test_the_cavity_is_longer_by_the_index_of_the_dye_in_it() -> None:
    """Once for the air it stands in, n - 1 more for every cell."""
    text = machine.bench_text("tidewater") + SECOND.format("100 mm", "80 mm", 0.3)
    build = machine.load_text(text).build
    assert build is not None
    dye, parts = solution(inputs_of(build)), build.machine
    found = resonator.cavity(inputs_of(build), dye)
    wet = parts.cell.length + 0.1
    assert found.optical_length == pytest.approx(parts.resonator.length - wet + dye.index * wet, rel=1e-12)


def test_an_injected_line_enters_through_the_rear_mirror() -> None:
    """Its photons less what the mirror sends back; erf(sqrt(ln 2)), 76 %, of a Gaussian inside its full half width."""
    fine = {**PRISM, "resonator.tuned_wavelength": "590 nm", "resonator.tuned_width": "0.5 nm"}
    injected = {
        "resonator.injection_power": "20 W",
        "resonator.injection_wavelength": "590 nm",
        "resonator.injection_width": "1 nm",
        "optics.rear.reflectivity": "0.9",
    }
    build = machine.load_text(machine.bench_text("tidewater")).build
    assert build is not None
    inputs = inputs_of(build.override({**fine, **injected}))
    dye = solution(inputs)
    bins = resonator.laser_bins(inputs, dye)
    source = resonator.cavity(inputs, dye, bins).source
    assert source is not None
    whole = 0.1 * 20.0 * 590e-9 / (constants.h * constants.c)
    assert source.sum() == pytest.approx(whole, rel=1e-6)
    edge = np.concatenate([bins.wavelength - 0.5 * bins.width, [bins.wavelength[-1] + 0.5 * bins.width[-1]]])
    inside = np.interp([589.5e-9, 590.5e-9], edge, np.concatenate([[0.0], np.cumsum(source)]))
    assert np.diff(inside)[0] / whole == pytest.approx(erf(np.sqrt(np.log(2))), rel=0.03)


def test_one_mode_loses_at_the_bore_what_shells_do_not() -> None:
    build = machine.load_text(machine.bench_text("tidewater")).build
    assert build is not None
    both = [inputs_of(build.override({"resonator.photon_field": field})) for field in ("single mode", "by shell")]
    dye = solution(both[0])
    mode, shells = (resonator.cavity(one, dye).loss for one in both)
    part = resonator.diffraction_loss(both[0], float(dye.laser_wavelength.mean()))
    assert part > 0
    np.testing.assert_allclose(mode - shells, -np.log(1 - part), rtol=1e-6)
