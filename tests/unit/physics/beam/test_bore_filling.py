from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pulsewright.errors import DomainError
from pulsewright.physics.beam.bore_filling import (
    BeamOnSurfaces,
    circulating_fluence,
    divergence_interval,
    first_version,
    mean_fluence,
    peak_fluence,
)

NONE = math.inf


def beam(**change: object) -> BeamOnSurfaces:
    usual: dict[str, object] = {
        "output_energy": 0.8,
        "peak_power": 1.1e5,
        "wavelength": 590e-9,
        "bore": 0.008,
        "resonator_length": 0.4,
        "distances": [0.6, 1.5, 1.9],
        "focal_lengths": [NONE, 0.5, NONE],
        "apertures": [NONE, NONE, NONE],
        "throughputs": [0.99, 0.98, 1.0],
    }
    return first_version(**(usual | change))  # type: ignore[arg-type]


def test_interval_of_the_divergence() -> None:
    low, high = divergence_interval(0.008, 590e-9, 0.4)
    assert low == pytest.approx(2 * 1.22 * 590e-9 / 0.008, rel=1e-3)
    assert high == pytest.approx(0.02, rel=1e-12)
    # A tube so long and thin that geometry allows less than diffraction does: one value.
    assert divergence_interval(0.5e-3, 590e-9, 2.0)[0] == divergence_interval(0.5e-3, 590e-9, 2.0)[1]


def test_smallest_beam_counts_on_every_surface() -> None:
    found = beam()
    assert np.all(found.diameter_low <= found.diameter_high)
    assert found.fluence == pytest.approx(
        [peak_fluence(e, d) for e, d in zip(found.energy, found.diameter_low, strict=True)], rel=1e-12
    )
    assert found.irradiance / found.fluence == pytest.approx(np.full(3, 1.1e5 / 0.8), rel=1e-12)
    # behind the lens, 0.1 m in front of its focus, the beam is a fifth of the lens's diameter at least
    assert found.diameter_low[2] == pytest.approx(0.008 * 0.1 / 0.5, rel=0.02)


def test_energy_falls_by_what_mirrors_keep_back_and_apertures_stop() -> None:
    assert beam().energy == pytest.approx([0.8, 0.8 * 0.99, 0.8 * 0.99 * 0.98], rel=1e-12)
    clipped = beam(apertures=[0.004, NONE, NONE])
    assert clipped.lost_low[0] == pytest.approx(0.75, abs=1e-3)
    assert clipped.lost_high[0] > clipped.lost_low[0]
    assert clipped.energy[1] == pytest.approx(0.8 * 0.25 * 0.99, rel=2e-3)
    # the hole passes its own fluence, not more
    assert clipped.fluence[1] <= clipped.fluence[0] * 1.001


def test_no_surface_is_an_empty_answer() -> None:
    empty = beam(distances=[], focal_lengths=[], apertures=[], throughputs=[])
    assert len(empty.fluence) == len(empty.energy) == 0
    assert empty.divergence_low < empty.divergence_high


@given(
    st.floats(1e-3, 10.0),
    st.floats(1e-3, 0.02),
    st.floats(0.1, 2.0),
    st.floats(-3.0, 3.0).filter(lambda f: abs(f) > 0.05),
)
def test_fluence_is_never_below_that_of_any_single_divergence(
    energy: float, bore: float, length: float, focal_length: float
) -> None:
    found = beam(output_energy=energy, bore=bore, resonator_length=length, focal_lengths=[NONE, focal_length, NONE])
    assert np.all(np.isfinite(found.fluence))
    assert found.fluence[0] <= peak_fluence(energy, bore) * (1 + 1e-9)
    assert np.all(
        found.fluence
        >= [float(peak_fluence(e, d)) * (1 - 1e-9) for e, d in zip(found.energy, found.diameter_high, strict=True)]
    )


def test_inside_the_cavity_is_more_than_outside() -> None:
    assert circulating_fluence(1.0, 0.5, 0.008) == pytest.approx(3 * peak_fluence(1.0, 0.008), rel=1e-12)
    assert circulating_fluence(1.0, 0.0, 0.008, 1.0) == pytest.approx(mean_fluence(1.0, 0.008), rel=1e-12)
    rising = circulating_fluence(1.0, [0.1, 0.5, 0.9], 0.008)
    assert np.all(np.diff(rising) > 0)


@pytest.mark.parametrize(
    ("change", "argument"),
    [
        ({"throughputs": [1.1, 1.0, 1.0]}, "throughputs"),
        ({"output_energy": -1.0}, "energy"),
        ({"bore": 0.0}, "diameter"),
        ({"wavelength": math.nan}, "wavelength"),
        ({"hot_spot_factor": 0.9}, "hot_spot_factor"),
    ],
)
def test_unusable_arguments_are_refused(change: dict[str, object], argument: str) -> None:
    with pytest.raises(DomainError) as caught:
        beam(**change)
    assert caught.value.findings[0].path == argument


def test_a_perfect_mirror_lets_nothing_out() -> None:
    with pytest.raises(DomainError):
        circulating_fluence(1.0, 1.0, 0.008)
