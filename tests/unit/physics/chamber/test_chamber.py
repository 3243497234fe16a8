"""Pump chamber: what it refuses, bounds that hold for any numbers."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from pulsewright.errors import DomainError
from pulsewright.physics.chamber import cylinder, diffuse, geometry

MAP = {
    "radius": 4e-3,
    "pumped_length": 0.15,
    "wall_area": 0.03,
    "reflectivity": 0.85,
    "opening_fraction": 0.05,
    "lamp_area": 8e-3,
    "shells": 4,
}


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: cylinder.chord_attenuation(-1.0), "optical_chord"),
        (lambda: cylinder.shell_absorptance(-1.0, 3), "optical_radius"),
        (lambda: cylinder.shell_absorptance(1.0, 0), "shells"),
        (lambda: cylinder.tabulated_shell_absorptance(float("nan"), 3), "optical_radius"),
        (lambda: cylinder.shell_radii(0.0, 3), "radius"),
        (lambda: cylinder.mean_chord(1.0, 0.0), "surface"),
        (lambda: cylinder.escape_probability(-1.0), "optical_radius"),
        (lambda: geometry.ellipse_focal_distance(1.0, 2.0), "semi_minor"),
        (lambda: geometry.ellipse_pair_perimeter(2.0, 1.0, -1.0), "centre_distance"),
        (lambda: geometry.wrapped_perimeter([0.0], [0.0, 1.0], [1.0]), "radius"),
        (lambda: geometry.chamber_wall_area("elliptic", 0.1), "reflector"),
        (lambda: geometry.chamber_wall_area("circular", 0.1), "diameter"),
        (lambda: geometry.chamber_wall_area("double ellipse", 0.1, semi_major=0.03), "semi_minor"),
        (lambda: geometry.chamber_wall_area("close-wrapped diffuse", 0.1), "perimeter"),
        (lambda: geometry.cylinder_side_area(-1.0, 1.0), "diameter"),
        (lambda: diffuse.diffuse_pump_map([1.0], [1.5], **MAP), "lamp_absorptance"),
        (lambda: diffuse.diffuse_pump_map([1.0], [0.5], **{**MAP, "reflectivity": 1.1}), "reflectivity"),
        (lambda: diffuse.light_shares([0.0], 0.0, 1.0, 1.0, 1.0, 1.0, 0.0), "absorbing area of the chamber"),
        (lambda: diffuse.integrating_sphere_multiplier(1.0, 0.0), "1 - reflectivity (1 - opening_fraction)"),
        (lambda: diffuse.wall_transmission(-1.0, 1e-3), "absorption"),
    ],
)
def test_refuses_by_name(call: Callable[[], object], argument: str) -> None:
    with pytest.raises(DomainError) as caught:
        call()
    assert caught.value.findings[0].path == argument


@given(st.floats(0.0, 1e4), st.integers(1, 12))
def test_absorptance_is_a_share(depth: float, shells: int) -> None:
    parts = cylinder.shell_absorptance(depth, shells)
    assert parts.shape == (shells,)
    assert np.all(parts >= 0)
    assert parts.sum() <= min(1.0 + 1e-6, 2 * depth * (1 + 1e-9) + 1e-15)
    assert np.all(np.diff(parts) >= -1e-9)  # the outer shells shade the inner ones


@given(st.floats(0.0, 500.0), st.floats(0.0, 1.0), st.floats(0.0, 1.0), st.floats(0.0, 0.9))
def test_light_is_neither_made_nor_lost(depth: float, lamp: float, reflectivity: float, opening: float) -> None:
    shells = cylinder.shell_absorptance(depth, 5)
    shares = diffuse.light_shares(shells, lamp, 4e-3, 7e-3, 0.03, reflectivity, max(opening, 1e-6), 0.9)
    assert abs(float(shares.total()) - 1) < 1e-12


def test_pump_map_equals_the_shares_at_each_rung() -> None:
    made = diffuse.diffuse_pump_map([20.0, 300.0], [0.2, 0.7], **MAP)
    alone = diffuse.light_shares(
        cylinder.shell_absorptance(300.0 * 4e-3, 4), 0.2, 2 * np.pi * 4e-3 * 0.15, 8e-3, 0.03, 0.85, 0.05
    )
    assert made[1, 0] == pytest.approx(alone.dye, rel=1e-12)


def test_close_wrap_and_circle() -> None:
    assert geometry.chamber_wall_area("close-wrapped diffuse", 0.2, perimeter=0.1) == pytest.approx(0.02)
    assert geometry.wrapped_perimeter([1.0], [2.0], [3.0]) == pytest.approx(6 * np.pi, rel=1e-9)


def test_wall_transmission_multiplies() -> None:
    once = diffuse.wall_transmission(30.0, 1e-3)
    assert diffuse.wall_transmission(30.0, 3e-3) == pytest.approx(once**3)
