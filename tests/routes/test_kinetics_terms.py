"""Terms of the gain beside mirrors and pump: injected line, tuning, further cells, parasitic path, a covered mirror."""

from __future__ import annotations

from dataclasses import replace

import kinetics_by_scipy as second
import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import constants

from pulsewright.physics.dye.kinetics import Cavity, Column, DyeRates, Gain, Parasitic, laser_kinetics
from pulsewright.physics.resonator import tuning

Float = NDArray[np.float64]

BINS = 12
DYE = second.dye(BINS)
TIME = np.linspace(0.0, 2e-6, 81)
OUTSIDE = ("ground re-absorption", "excited-state absorption", "triplet absorption", "output", "cavity loss")
ENDS = ("fluorescence", "internal conversion", "crossing to triplets", "oxygen quenching", "stimulated emission")


def run(pump: Float, mirrors: Cavity, dye: DyeRates = DYE, tolerance: float = 1e-6) -> Gain:
    return laser_kinetics(TIME, pump, dye, mirrors, second.DENSITY, second.ZONE_VOLUME, tolerance, most_steps=200_000)


def flat(times: float, zones: int = 1) -> Float:
    """A pump that stands, over threshold of the usual mirrors."""
    return np.full((len(TIME), zones), times * second.threshold_rate(DYE, second.cavity(BINS)))


def unaccounted(gain: Gain) -> float:
    """What no channel holds, over what was absorbed and sent in."""
    p = gain.photons
    ended = sum(p[name] for name in (*ENDS, "amplified spontaneous emission"))
    field = p["stimulated emission"] + p["seed"] + p["injected light"]
    field -= sum(p[name] for name in (*OUTSIDE, "parasitic light"))
    kept = p["absorbed"] + p["ground re-absorption"] - ended + field
    return abs(kept - gain.stored) / (p["absorbed"] + p["injected light"])


# Injection -------------------------------------------------------------------------------------


def test_an_injected_line_below_threshold_builds_up_as_between_bare_mirrors() -> None:
    """No dye that does anything: photons rise as P / decay (1 - exp(-decay t)), and leave in the share of the coupler.

    Closed form of a linear equation; a Fabry-Perot without interference.
    """
    idle = replace(DYE, **{n: 0.0 * getattr(DYE, n) for n in ("emission", "absorption", "excited_absorption")})
    idle = replace(idle, triplet_absorption=0.0 * DYE.emission, emission_share=0.0 * DYE.emission_share)
    source = np.zeros(BINS)
    source[5] = 1e15
    mirrors = replace(second.cavity(BINS), source=source)
    gain = run(0.0 * flat(1.0), mirrors, idle)
    lost = -np.log(mirrors.rear * mirrors.coupler)[5] + 2 * mirrors.loss[5]
    decay = constants.c * lost / (2 * mirrors.optical_length)
    share = -np.log(mirrors.coupler[5]) / lost
    assert gain.output_rate[-1, 0] == pytest.approx(1e15 * share, rel=1e-6)
    passed = 1e15 * share * (TIME[-1] - (1 - np.exp(-decay * TIME[-1])) / decay)
    assert gain.photons["output"] == pytest.approx(passed, rel=1e-4)
    assert gain.spectrum[5, 0] == pytest.approx(passed, rel=1e-6)
    assert gain.photons["injected light"] == pytest.approx(1e15 * TIME[-1], rel=1e-12)
    assert np.delete(gain.spectrum[:, 0], 5).max() == 0.0


def test_below_threshold_the_dye_amplifies_the_line() -> None:
    """Steady and small: output = P share decay / (decay - growth), growth from the populations that stand."""
    source = np.zeros(BINS)
    source[4] = 1e12
    mirrors = replace(second.cavity(BINS), source=source, solid_angle=0.0)
    gain = run(flat(0.7), mirrors)
    s1, t1 = gain.inversion[-1, 0], gain.triplets[-1, 0]
    growth = second.DENSITY * mirrors.pumped_length * 2
    growth *= (
        (DYE.emission - DYE.excited_absorption)[4] * s1
        - DYE.absorption[4] * (1 - s1 - t1)
        - DYE.triplet_absorption[4] * t1
    )
    lost = -np.log(mirrors.rear * mirrors.coupler)[4] + 2 * mirrors.loss[4]
    assert 0.1 * lost < growth < lost
    # the triplets still rise over microseconds, the light follows them within nanoseconds
    assert gain.output_rate[-1, 0] == pytest.approx(1e12 * -np.log(mirrors.coupler[4]) / (lost - growth), rel=2e-3)
    assert unaccounted(gain) < 1e-6


def test_above_threshold_a_strong_line_holds_the_laser() -> None:
    """Sent in one bin beside the strongest: a whiff does nothing, more takes more, a flood takes nearly all."""
    usual = run(flat(3.0), second.cavity(BINS))
    place = int(np.argmax(usual.spectrum[:, 0])) + 1
    locked = []
    for power in (1e6, 1e18, 1e20, 1e22):
        source = np.zeros(BINS)
        source[place] = power
        gain = run(flat(3.0), replace(second.cavity(BINS), source=source))
        locked.append(float(gain.spectrum[place, 0] / gain.spectrum.sum()))
        assert unaccounted(gain) < 1e-6
    assert locked[0] == pytest.approx(float(usual.spectrum[place, 0] / usual.spectrum.sum()), rel=1e-3)
    assert locked == sorted(locked)
    assert locked[-1] > 0.9


# Tuning ----------------------------------------------------------------------------------------


def test_a_pass_band_chooses_the_bin() -> None:
    wavelength = np.linspace(570e-9, 592e-9, BINS)
    usual = run(flat(4.0), second.cavity(BINS))
    place = int(np.argmax(usual.spectrum[:, 0])) + 2
    band = tuning.tuned_loss(wavelength, float(wavelength[place]), 1e-9, 0.01)
    mirrors = replace(second.cavity(BINS), loss=second.cavity(BINS).loss + band)
    tuned = run(flat(4.0), mirrors)
    assert tuned.peak_net_gain > 0
    assert int(np.argmax(tuned.spectrum[:, 0])) == place
    assert tuned.spectrum[place, 0] > 0.99 * tuned.spectrum.sum()
    assert tuned.photons["output"] < usual.photons["output"]


# Cells in series -------------------------------------------------------------------------------


@pytest.mark.parametrize("overlap", [None, np.array([1.3, 0.7])], ids=["by shell", "single mode"])
def test_two_halves_are_one_cell(overlap: Float | None) -> None:
    pump = flat(4.0, 2) * np.array([0.9, 1.1])
    whole = replace(second.cavity(BINS, overlap), radius=4e-3)
    halves = replace(whole, pumped_length=0.5 * whole.pumped_length, further=(Column(0.5 * whole.pumped_length),))
    one = run(pump, whole, tolerance=1e-8)
    two = laser_kinetics(
        TIME,
        np.stack([pump, pump], axis=1),
        DYE,
        halves,
        second.DENSITY,
        0.5 * second.ZONE_VOLUME,
        1e-8,
        most_steps=200_000,
    )
    for name, count in one.photons.items():
        assert two.photons[name] == pytest.approx(count, rel=1e-6, abs=1e-9 * one.photons["absorbed"]), name
    assert two.inversion == pytest.approx(one.inversion, abs=1e-7)
    assert two.further_inversion[:, 0] == pytest.approx(two.inversion, abs=1e-12)
    assert two.stored == pytest.approx(one.stored, rel=1e-5)


def test_an_unpumped_cell_is_an_absorber_that_bleaches() -> None:
    """Weak light loses what the ground state takes; strong light empties the ground state and passes."""
    dye = replace(DYE, absorption=3e-22 * np.ones(BINS), crossing=0.0, singlet_quenching=0.0)
    mirrors = replace(second.cavity(BINS), further=(Column(0.02),))
    pump = np.zeros((len(TIME), 2, 1))
    pump[:, 0, 0] = 12 * flat(1.0)[:, 0]
    with_it = run(pump, mirrors, dye)
    without = run(pump[:, 0], second.cavity(BINS), dye)
    assert with_it.photons["output"] < 0.98 * without.photons["output"]
    bleached = with_it.further_inversion[:, 0, 0]
    assert bleached.max() > 1e-3
    assert unaccounted(with_it) < 1e-6
    # where no light is, nothing is emptied, and the loss of a pass is that of the ground state
    dark = run(0.0 * pump, mirrors, dye)
    lost = 2 * second.DENSITY * 3e-22 * (mirrors.pumped_length + 0.02)
    bare = -np.log(mirrors.rear * mirrors.coupler) + 2 * mirrors.loss
    assert dark.peak_net_gain == pytest.approx(-float((bare + lost).min()), rel=1e-9)


def test_a_denser_cell_counts_by_its_molecules() -> None:
    """A second cell of twice the dye and half the length, pumped alike per molecule, is a second cell as the first."""
    pump = np.repeat(flat(4.0)[:, None, :], 2, axis=1)
    base = second.cavity(BINS)
    mirrors = [
        replace(base, optical_length=1.0, index=1.0, further=(Column(length, density),))
        for length, density in ((base.pumped_length, 1.0), (0.5 * base.pumped_length, 2.0))
    ]
    like, dense = (run(pump, each, tolerance=1e-8) for each in mirrors)
    for name, count in like.photons.items():
        assert dense.photons[name] == pytest.approx(count, rel=1e-6, abs=1.0), name


# Parasitic path --------------------------------------------------------------------------------


def parasitic(reflectivity: float) -> Parasitic:
    return Parasitic(0.22, reflectivity, 0.005 * np.ones(BINS), 2e-3, 3)


def test_a_parasitic_path_takes_its_part_and_photons_close() -> None:
    usual = run(flat(6.0), second.cavity(BINS, coupler=0.02))
    beside = run(flat(6.0), replace(second.cavity(BINS, coupler=0.02), parasitic=parasitic(0.5)))
    assert usual.parasitic_net_gain is None
    assert beside.parasitic_net_gain is not None
    assert beside.parasitic_net_gain > 0
    assert beside.photons["parasitic light"] > 0.1 * beside.photons["absorbed"] * 0.1
    assert beside.photons["output"] < 0.2 * usual.photons["output"]
    assert unaccounted(beside) < 1e-6


def test_a_weak_parasitic_path_does_nothing() -> None:
    usual = run(flat(4.0), second.cavity(BINS))
    beside = run(flat(4.0), replace(second.cavity(BINS), parasitic=parasitic(1e-4)))
    assert beside.parasitic_net_gain is not None
    assert beside.parasitic_net_gain < 0
    assert beside.photons["output"] == pytest.approx(usual.photons["output"], rel=1e-3)


def test_with_a_mirror_covered_only_the_parasitic_path_lases() -> None:
    base = second.cavity(BINS)
    covered = replace(base, rear=0.0 * base.rear, parasitic=parasitic(0.6))
    gain = run(flat(6.0), covered)
    assert gain.peak_net_gain < 0
    assert gain.parasitic_net_gain is not None
    assert gain.parasitic_net_gain > 0
    assert gain.photons["parasitic light"] > 100 * gain.photons["output"]


def test_nothing_leaves_through_a_covered_coupler() -> None:
    base = second.cavity(BINS)
    gain = run(flat(6.0), replace(base, coupler=0.0 * base.coupler, closed=True))
    assert gain.peak_net_gain < 0
    assert gain.photons["output"] == 0.0
    assert unaccounted(gain) < 1e-6


def test_mirrors_that_reflect_nothing_outside_a_band_lase_inside_it() -> None:
    """No logarithm of zero: the bins outside the band lose everything in a pass, and finite numbers come out."""
    base = second.cavity(BINS)
    inside = np.zeros(BINS)
    inside[7:9] = 1.0
    gain = run(flat(8.0), replace(base, rear=base.rear * inside, coupler=base.coupler * inside))
    assert np.all(np.isfinite(gain.spectrum))
    assert gain.peak_net_gain > 0
    assert gain.spectrum[7:9].sum() > 0.999 * gain.spectrum.sum()


# Spectrum in time ------------------------------------------------------------------------------


def test_spectra_add_up_to_the_output() -> None:
    gain = run(flat(4.0, 2), second.cavity(BINS))
    span = np.diff(gain.spectrum_edges)
    assert len(span) == 60
    assert span @ gain.spectral_rate == pytest.approx(gain.spectrum.sum(axis=1), rel=1e-12)
    # each mean against the samples of the output, which are means themselves
    power = np.interp(
        0.5 * (gain.spectrum_edges[1:] + gain.spectrum_edges[:-1]), gain.time, gain.output_rate.sum(axis=1)
    )
    late = slice(30, 60)
    assert gain.spectral_rate.sum(axis=1)[late] == pytest.approx(power[late], rel=0.02)
