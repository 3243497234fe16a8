"""Ends of the gain stage: coupler that reflects everything, dye outside the pumped length, blue end of the band."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest

from pulsewright import refdata
from pulsewright.engine import pump, uptake
from pulsewright.engine.beam import profile_factor
from pulsewright.engine.chain import Chain, Stages
from pulsewright.errors import NotModelledError
from pulsewright.physics.resonator.diffraction import plane_circular_diffraction_loss
from pulsewright.records import Shot
from pulsewright.studies.threshold import threshold_below

DYES = sorted(
    name
    for name in (
        "rhodamine 6G",
        "rhodamine B",
        "rhodamine 101",
        "fluorescein",
        "DCM",
        "cresyl violet",
        "coumarin 1",
        "coumarin 6",
        "coumarin 102",
        "coumarin 153",
    )
)


def test_a_coupler_that_reflects_everything_lases_inside(shot_of: Callable[..., Shot]) -> None:
    """It is not below threshold, and the optics inside carry more than with any other coupler."""
    usual, closed = shot_of(), shot_of({"optics.coupler.reflectivity": "1.0"})
    assert closed.outcome == "lased"
    assert "nothing out" in closed.reason
    assert closed.summary["output_energy"].value == 0.0
    assert closed.summary["wavelength"].value is None
    assert closed.summary["wavelength"].reason
    inside = {name: row.stress_value for row in closed.margins for name in [row.item] if "circulating" in row.stress}
    assert set(inside) == {"optics.rear", "optics.coupler", "optics.window_rear", "optics.window_front"}
    before = {row.item: row.stress_value for row in usual.margins if "circulating" in row.stress}
    assert all(inside[name] > 5 * before[name] for name in before)
    assert any(item.path == "resonator.coupler" and item.grade == "warning" for item in closed.findings)


def test_a_resonator_without_any_loss_is_refused_by_name(shot_of: Callable[..., Shot]) -> None:
    changes = {
        "optics.coupler.reflectivity": "1.0",
        "optics.rear.reflectivity": "1.0",
        "resonator.loss_per_pass": "0",
    }
    with pytest.raises(NotModelledError) as caught:
        shot_of(changes)
    assert caught.value.findings[0].path == "resonator.loss_per_pass"


def test_dye_outside_the_pumped_length_absorbs(stages_of: Callable[..., Stages]) -> None:
    """Twice 20 mm of unpumped dye in a round trip, by Beer and Lambert, at the centroid of the output."""
    with_ends, without = stages_of(), stages_of({"cell.length": "150 mm"})
    dye = with_ends.dye
    here = float(np.interp(with_ends.gain.wavelength, dye.laser_wavelength, dye.rates.absorption))
    added = 2 * here * dye.density * 20e-3
    mirrors = -np.log(0.99 * 0.3) - 2 * np.log(0.97)
    assert with_ends.gain.round_trip_loss == pytest.approx(mirrors + added, abs=0.1 * added)
    assert without.gain.round_trip_loss == pytest.approx(mirrors, rel=1e-9)
    assert with_ends.gain.output_energy < without.gain.output_energy
    assert with_ends.gain.wavelength > without.gain.wavelength


@pytest.mark.parametrize("name", DYES)
def test_no_dye_is_held_at_the_blue_end_of_its_band(stages_of: Callable[..., Stages], name: str) -> None:
    """The maximum of gain lies inside the bins: a band that began too far to the red would pile up in the first."""
    usual = refdata.dye(name).concentration
    changes = {"dye.name": name, "bank.charge_voltage": "12 kV", "optics.coupler.reflectivity": "0.8"}
    if usual is not None:
        changes["dye.concentration"] = f"{usual.value:.4g} mol/m^3"
    gain = stages_of(changes).gain
    share = gain.output_spectrum / gain.output_spectrum.sum()
    assert share[0] < 0.02
    assert share[-1] < 0.02


def test_a_warmer_dye_absorbs_more_of_its_own_light(stages_of: Callable[..., Stages]) -> None:
    """A recorded tail is carried to the temperature by the thermal relation: exp(h c / k (1/T - 1/T0)(1/l - 1/l0))."""
    cold, warm = stages_of({"dye.temperature": "20 degC"}).dye, stages_of({"dye.temperature": "40 degC"}).dye
    here = int(np.argmin(np.abs(cold.laser_wavelength - 590e-9)))
    place = cold.laser_wavelength[here]
    second = 1.438776877e-2
    wanted = np.exp(second * (1 / 313.15 - 1 / 293.15) * (1 / place - 1 / cold.zero_line))
    assert 1.3 < wanted < 1.8
    assert warm.rates.absorption[here] / cold.rates.absorption[here] == pytest.approx(wanted, rel=1e-6)
    assert warm.zero_line == cold.zero_line


@pytest.mark.slow
def test_below_threshold_the_interval_holds_what_could_lase(
    stages_of: Callable[..., Stages], shot_of: Callable[..., Shot]
) -> None:
    """Near threshold a lower loss than stated may lase, though a higher one changes nothing."""
    inputs = stages_of().inputs
    lowest = threshold_below(inputs, Chain(), inputs.charge_voltage, 3e3)
    assert lowest is not None
    shot = shot_of({"bank.charge_voltage": f"{0.985 * lowest:.6g} V"}, interval=True)
    assert shot.outcome == "below threshold"
    value = shot.summary["output_energy"]
    assert value.value == value.low == 0.0
    assert value.high is not None
    assert value.high > 0
    helped = {path for path, change in shot.sensitivities if change > 0}
    assert "reference.dye.intersystem_crossing_rate" in helped


def test_what_is_carried_over_from_another_solvent_is_told(shot_of: Callable[..., Shot]) -> None:
    assert not [item for item in shot_of().findings if item.path == "dye.solvent"]
    told = [item for item in shot_of({"dye.solvent": "water"}).findings if item.path in ("dye.solvent", "dye.name")]
    assert any("used unchanged in water" in item.message for item in told)
    assert any("Dimers" in item.message for item in told)


@pytest.mark.parametrize(
    ("path", "text", "item", "words"),
    [
        ("optics.rear.curvature", "2 m", "optics.rear", "curvature is not used"),
        ("optics.window_rear.transmission", "0.9", "optics.window_rear", "transmission is not used"),
        ("optics.coupler.diameter", "5 mm", "optics.coupler", "less than the bore"),
        ("optics.coupler.reflectivity", "0.02", "resonator.coupler", "spread evenly"),
    ],
)
def test_entries_of_the_cavity_that_are_not_used_are_told(
    shot_of: Callable[..., Shot], path: str, text: str, item: str, words: str
) -> None:
    assert not [found for found in shot_of().findings if words in found.message]
    told = [found for found in shot_of({path: text}).findings if words in found.message]
    assert [found.path for found in told] == [item]


def test_choices_name_what_no_entry_decides(shot_of: Callable[..., Shot]) -> None:
    choices = shot_of().provenance.choices
    assert "60 bins" in choices["resolution"]
    assert choices["lamp of the waveforms"] == "lamps.east"
    assert {"Coulomb logarithm", "S1 per absorbed photon", "path through the coolant", "beam"} <= set(choices)


def test_a_single_mode_loses_by_diffraction_and_peaks_on_the_axis(stages_of: Callable[..., Stages]) -> None:
    """Lowest mode of plane mirrors: diffraction in every pass; J0^2 peaks at 1/J1(2.405)^2 of its mean."""
    one = {"resonator.photon_field": "single mode", "cell.bore": "2 mm", "dye.concentration": "2e-4 mol/L"}
    single, shells = stages_of(one), stages_of({**one, "resonator.photon_field": "by shell"})
    number = 1e-3**2 / (0.4 * single.dye.laser_wavelength.mean())
    lost = float(plane_circular_diffraction_loss(number))
    assert 0.01 < lost < 0.05
    apart = 2 * 20e-3 * single.dye.density
    ends = [
        apart * float(np.interp(run.gain.wavelength, run.dye.laser_wavelength, run.dye.rates.absorption))
        for run in (single, shells)
    ]
    added = (single.gain.round_trip_loss - ends[0]) - (shells.gain.round_trip_loss - ends[1])
    assert added == pytest.approx(-2 * np.log1p(-lost), rel=0.15)
    assert profile_factor(single.gain) == pytest.approx(3.7103, abs=1e-4)
    area = np.pi * 1e-3**2
    assert single.beam.fluence[0] == pytest.approx(3.7103 * single.beam.energy[0] / area, rel=1e-4)
    assert single.gain.output_energy < shells.gain.output_energy


def test_a_fresnel_number_below_one_is_told(shot_of: Callable[..., Shot]) -> None:
    shot = shot_of({"cell.bore": "1 mm", "resonator.length": "1 m"})
    assert shot.provenance.choices["photon field"] == "single mode"
    assert [item.path for item in shot.findings if "Fresnel number" in item.message] == ["resonator.length"]


@pytest.mark.parametrize("method", ["ray tracing", "closed form"])
@pytest.mark.parametrize("changes", [{}, {"chamber.reflectivity": "0.98", "chamber.opening_fraction": "0"}])
def test_the_ladder_of_lamp_absorptances_is_fine_enough(
    stages_of: Callable[..., Stages], monkeypatch: pytest.MonkeyPatch, changes: dict[str, str], method: str
) -> None:
    def energy() -> np.ndarray:
        for kept in (uptake._kept, uptake._filled, uptake._closed_map):
            kept.cache_clear()
        return stages_of({**changes, "chamber.light_method": method}).pump.energy

    usual = energy()
    for module in (uptake, pump):
        monkeypatch.setattr(module, "LAMP_LADDER", np.linspace(0.0, 1.0, 257))
    fine = energy()
    monkeypatch.undo()
    energy()
    assert usual == pytest.approx(fine, rel=2e-3)
    assert not np.array_equal(usual, fine)


@pytest.mark.slow
def test_a_very_wide_cell_computes(shot_of: Callable[..., Shot]) -> None:
    """Everything that enters is absorbed, and rounding does not make it more than everything."""
    shot = shot_of(
        {"cell.bore": "150 mm", "chamber.reflector": "circular", "chamber.diameter": "220 mm"}, interval=True
    )
    assert shot.outcome == "below threshold"


def test_an_unpumped_end_is_never_negative(stages_of: Callable[..., Stages]) -> None:
    """A pumped length as long as the cell, varied upwards by its spread, does not give light back."""
    usual = stages_of({"cell.length": "150 mm"})
    longer = Chain().run(usual.inputs.varied("cell.pumped_length", 160e-3))
    assert longer.gain.round_trip_loss == pytest.approx(usual.gain.round_trip_loss, rel=1e-12)
