"""Heat, sound and wavefront: what they refuse, and exact small cases."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.special import erf

from pulsewright.errors import DomainError
from pulsewright.physics.thermal import conduction, heat_source, radial_sound, wavefront

ENERGIES = heat_source.PhotonEnergies(3.6e-19, 2.9e-19, 3.5e-19, 3.4e-19)
RADIUS = (np.arange(500) + 0.5) / 500
WEIGHT = RADIUS / RADIUS.sum()


def sound(**changes: object) -> radial_sound.Sound:
    entries: dict[str, object] = {
        "heat_density": np.zeros((3, 8)),
        "duration": 1e-6,
        "extent": 4e-3,
        "density": 789.0,
        "sound_speed": 1159.0,
        "gruneisen": 0.6,
        "wall": radial_sound.Wall(),
    }
    return radial_sound.radial_sound(**{**entries, **changes})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: sound(duration=0.0), "duration"),
        (lambda: sound(extent=-1.0), "extent"),
        (lambda: sound(density=float("nan")), "density"),
        (lambda: sound(sound_speed=0.0), "sound_speed"),
        (lambda: sound(gruneisen=float("nan")), "gruneisen"),
        (lambda: sound(heat_density=np.zeros((1, 8))), "heat_density"),
        (lambda: sound(heat_density=np.full((3, 8), np.nan)), "heat_density"),
        (lambda: sound(outside_pressure=np.zeros(2)), "heat_density"),
        (lambda: sound(initial_pressure=np.zeros(3)), "heat_density"),
        (lambda: sound(samples=1), "heat_density"),
        (lambda: radial_sound.gruneisen_parameter(1e-3, 0.0, 2400.0), "sound_speed"),
        (lambda: radial_sound.index_density_slope(0.5), "refractive_index"),
        (lambda: radial_sound.index_slopes(float("nan"), 1e-3, -4e-4), "refractive_index"),
        (lambda: radial_sound.tube_wall(8e-3, 0.0, 2200.0, 5900.0, 0.17, 0.0), "wall_thickness"),
        (lambda: radial_sound.tube_wall(8e-3, 1e-3, 2200.0, 5900.0, 0.6, 0.0), "poisson_ratio"),
        (lambda: heat_source.shells_to_cells(0, 5), "shells"),
        (
            lambda: heat_source.heat_source(
                np.zeros(3), np.zeros((3, 2)), np.zeros((3, 1)), np.zeros((3, 2)), 1.0, np.zeros((3, 2)), ENERGIES
            ),
            "absorbed_power",
        ),
        (lambda: wavefront.aperture_errors(np.zeros((2, 3)), RADIUS, WEIGHT), "waves"),
        (lambda: wavefront.aperture_errors(np.zeros((2, 500)), RADIUS, 0 * WEIGHT), "waves"),
        (lambda: wavefront.ray_angle(np.zeros((2, 1)), RADIUS[:1], WEIGHT[:1]), "path"),
        (lambda: wavefront.conduction_wait(-1.0, 50.0), "waves"),
        (lambda: wavefront.conduction_wait(1.0, 0.0), "time_constant"),
        (lambda: wavefront.conduction_wait(1.0, 50.0, 0.0), "wave_limit"),
        (lambda: conduction.bore_temperature(1.5, 0.1), "radius_ratio"),
        (lambda: conduction.mean_bore_temperature(0.5, -0.1), "fourier_number"),
    ],
)
def test_refuses_by_name(call: Callable[[], object], argument: str) -> None:
    with pytest.raises(DomainError) as caught:
        call()
    assert caught.value.findings[0].path == argument


def test_errors_of_known_surfaces() -> None:
    """Over a full aperture: r^2 has rms 1/sqrt(12), all of it focus; r^4 has 2/sqrt(45), without focus 1/sqrt(180)."""
    lens, bowl = RADIUS**2, RADIUS**4
    found = wavefront.aperture_errors(np.stack([lens, bowl, 0 * lens + 3.0]), RADIUS, WEIGHT)
    np.testing.assert_allclose(found.rms, [12**-0.5, 2 / 45**0.5, 0.0], rtol=1e-4, atol=1e-12)
    np.testing.assert_allclose(found.rest, [0.0, 180**-0.5, 0.0], rtol=1e-4, atol=1e-9)
    np.testing.assert_allclose(found.focus, [1.0, 1.0, 0.0], rtol=2e-3, atol=1e-12)
    np.testing.assert_allclose(found.peak_to_valley, [1.0, 1.0, 0.0], atol=4.5e-3)  # middles of cells


def test_rays_behind_a_lens() -> None:
    """Path a r^2 bends by 2 a r: rms 2 a R / sqrt(2)."""
    angle = wavefront.ray_angle((1e-6 * RADIUS**2)[None, :], RADIUS, WEIGHT)
    assert angle[0] == pytest.approx(2e-6 / 2**0.5, rel=1e-3)


def test_rays_behind_a_wedge_bend_alike_to_the_edge() -> None:
    """Path a r bends by a everywhere, on the axis and at the edge too; four points let each of them count."""
    angle = wavefront.ray_angle(np.array([[1.0, 2.0, 3.0, 4.0]]) * 1e-6, np.array([1.0, 2.0, 3.0, 4.0]), np.ones(4))
    assert angle[0] == pytest.approx(1e-6, rel=1e-12)


def test_marechal_is_a_strehl_ratio_of_four_fifths() -> None:
    """exp(-(2 pi w)^2) at 1/14 wave."""
    assert np.exp(-((2 * np.pi * wavefront.MARECHAL) ** 2)) == pytest.approx(0.8, abs=0.02)


def test_a_limit_that_is_passed_at_once_or_never() -> None:
    time = np.linspace(1.0, 2.0, 11)
    assert wavefront.first_crossing(time, np.full(11, 2.0), 1.0) == 1.0
    assert wavefront.first_crossing(time, np.full(11, 0.5), 1.0) is None
    assert wavefront.first_crossing(time, time, 1.55) == pytest.approx(1.55)


def test_energy_up_to_moments_outside() -> None:
    time, power = np.array([0.0, 1.0, 2.0]), np.array([0.0, 2.0, 0.0])
    assert wavefront.energy_until(time, power, -1.0) == 0.0
    assert wavefront.energy_until(time, power, 5.0) == 2.0


@pytest.mark.slow
@given(st.integers(1, 24), st.integers(3, 60), st.sampled_from(["cylinder", "slab"]))
def test_cells_hold_the_energy_of_the_shells(shells: int, cells: int, shape: str) -> None:
    matrix = heat_source.shells_to_cells(shells, cells, shape)  # type: ignore[arg-type]
    edge = np.linspace(0.0, 1.0, cells + 1) ** (2 if shape == "cylinder" else 1)
    np.testing.assert_allclose(np.diff(edge) @ matrix, 1.0, atol=1e-9)
    np.testing.assert_allclose(matrix.sum(axis=1), shells, rtol=1e-9)


def test_a_smooth_profile_comes_back_from_eight_shells() -> None:
    """Beer-Lambert-like growth towards the wall: within half a per cent of its mean, wall included."""
    edge = np.linspace(0.0, 1.0, 9)
    inside = (np.exp(2 * edge) - 1) / 2  # heat exp(2 r^2) inside r^2
    cells = heat_source.shells_to_cells(8, 48) @ np.diff(inside)
    square = np.linspace(0.0, 1.0, 49) ** 2
    exact = np.diff((np.exp(2 * square) - 1) / 2) / np.diff(square)
    assert np.abs(cells - exact).max() < 0.005 * exact.mean()


def test_heat_is_what_neither_leaves_nor_is_stored() -> None:
    draw = np.random.default_rng(3)
    time = np.sort(draw.uniform(0.0, 1e-5, 40))
    power, light = draw.uniform(0.0, 1e5, (40, 3)), draw.uniform(0.0, 1e22, (40, 3))
    ones, twos = draw.uniform(0.0, 1e15, (40, 3)), draw.uniform(0.0, 1e14, (40, 3))
    found = heat_source.heat_source(time, power, ones, twos, 2.4e8, light, ENERGIES)
    total = found.fluorescence + found.light + found.stored + found.heat
    np.testing.assert_allclose(total, found.absorbed, rtol=1e-12, atol=1e-12)
    brighter = heat_source.heat_source(time, power, ones, twos, 2.4e8, light, replace(ENERGIES, laser=3.5e-19))
    assert np.all(brighter.heat[-1] < found.heat[-1])


def test_swept_light_leaves_the_heat_of_its_photons_behind() -> None:
    """Ten photons of 4e-19 J: six leave as amplified spontaneous emission, of 3.4e-19 J each; the rest is heat."""
    photons = {"absorbed": 10.0, "amplified spontaneous emission": 6.0, "internal conversion": 4.0}
    heat = heat_source.heat_by_channels(photons, 10 * 4e-19, ENERGIES)
    assert heat == pytest.approx(10 * 4e-19 - 6 * 3.4e-19, rel=1e-12)


@pytest.mark.parametrize(("shape", "size"), [("cylinder", np.pi * 4e-3**2), ("slab", 4e-3)])
def test_even_pressure_behind_a_rigid_wall_holds_its_energy(shape: radial_sound.Shape, size: float) -> None:
    """p^2 / (2 rho c^2) times the cross-section of a bore, or the thickness of a slab, p = Gamma q."""
    heat = np.linspace(0.0, 1e5, 60)[:, None] * np.ones(30)
    found = sound(heat_density=heat, wall=radial_sound.Wall(rigid=True), shape=shape)
    held = (0.6 * 1e5) ** 2 / (2 * 789.0 * 1159.0**2) * size
    assert found.energies["sound"] == pytest.approx(held, rel=1e-9)
    assert found.energies["from heat"] == pytest.approx(held, rel=1e-9)


@pytest.mark.parametrize("ratio", [0.0, 0.17, 0.3])
def test_a_thin_tube_gives_way_as_lame_says(ratio: float) -> None:
    """Bore of a long tube that cannot stretch along itself, under pressure from inside: Lame, textbook."""
    density, speed, inner, thickness = 2200.0, 5900.0, 4e-3, 4e-5
    young = density * speed**2 * (1 + ratio) * (1 - 2 * ratio) / (1 - ratio)
    outer = inner + thickness
    widening = (1 + ratio) / young * inner / (outer**2 - inner**2) * ((1 - 2 * ratio) * inner**2 + outer**2)
    wall = radial_sound.tube_wall(2 * inner, thickness, density, speed, ratio, 0.0)
    assert 1 / wall.stiffness == pytest.approx(widening, rel=0.006)
    thick = radial_sound.tube_wall(2 * inner, 25 * thickness, density, speed, ratio, 0.0)
    assert wall.stiffness * 25 / thick.stiffness == pytest.approx(
        ((inner + 12.5 * thickness) / (inner + 0.5 * thickness)) ** 2
    )


def test_first_mode_of_even_temperature() -> None:
    """Late, one mode is left: its amplitude and rms are what the waiting time counts with."""
    late = conduction.bore_temperature(RADIUS, 0.5)[0]
    rms = wavefront.aperture_errors(late[None, :], RADIUS, WEIGHT).rms[0]
    alone = wavefront.FIRST_MODE_AMPLITUDE * wavefront.FIRST_MODE_RMS * np.exp(-5.783185962946785 * 0.5)
    assert rms == pytest.approx(alone, rel=2e-3)


def test_waiting_as_long_as_it_says_leaves_the_limit() -> None:
    """Ten waves by even heat, a bore of settling time 50 s: the series, at the time that is told."""
    wait = float(wavefront.conduction_wait(10.0, 50.0))
    number = wait / 50.0 / 5.783185962946785
    left = 10.0 * conduction.bore_temperature(RADIUS, number)
    assert wavefront.aperture_errors(left, RADIUS, WEIGHT).rms[0] == pytest.approx(wavefront.MARECHAL, rel=2e-3)


def test_mean_along_a_bore_is_the_mean_of_what_passes() -> None:
    ratio = np.linspace(0.0, 0.95, 20)
    middles = (np.arange(4000) + 0.5) / 4000 * 0.1
    mean = conduction.bore_temperature(ratio, middles).mean(axis=0)
    np.testing.assert_allclose(conduction.mean_bore_temperature(ratio, 0.1)[0], mean, atol=1e-5)


def test_slab_against_the_error_function() -> None:
    """Early, each face is alone: erf(x / sqrt(4 alpha t)) from it."""
    depth = np.linspace(0.01, 0.5, 30)
    found = conduction.bore_temperature(1.0 - depth, 2e-3, "slab")[0]
    np.testing.assert_allclose(found, erf(depth / np.sqrt(4 * 2e-3)), atol=1e-6)


def test_water_keeps_what_expansion_does_not_explain() -> None:
    """dn/dT of water is larger than its expansion gives, that of alcohols smaller; at 4 degC nothing expands."""
    slope, own = radial_sound.index_slopes(1.3330, 0.207e-3, -0.9e-4)
    assert slope == radial_sound.index_density_slope(1.3330)
    assert own == pytest.approx(-0.9e-4 + 0.207e-3 * slope)
    assert own < 0
    assert radial_sound.index_slopes(1.3611, 1.084e-3, -4.0e-4)[1] == 0.0
    assert radial_sound.index_slopes(1.3330, 0.0, -0.3e-4) == (radial_sound.index_density_slope(1.3330), -0.3e-4)


def test_a_mass_keeps_the_wall_nearly_still_at_first() -> None:
    """A step of pressure p on a wall of mass m alone: its displacement begins as p t^2 / (2 m)."""
    found = sound(
        heat_density=np.zeros((2, 60)),
        duration=2e-8,
        wall=radial_sound.Wall(mass=2.2),
        initial_pressure=np.full(60, 1e5),
        samples=5,
    )
    load = 789.0 * 1159.0  # the liquid follows the wall and takes part of the pressure: p (1 - z t / (3 m))
    exact = 1e5 * (2e-8) ** 2 / (2 * 2.2) * (1 - load * 2e-8 / (3 * 2.2))
    assert found.wall_motion[-1] == pytest.approx(exact, rel=0.03)
