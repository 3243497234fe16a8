"""Pipes and flushing: what they refuse, and other ways to the same numbers."""

from __future__ import annotations

from collections.abc import Callable

import numpy as np
import pytest
from scipy.integrate import solve_ivp
from scipy.optimize import brentq

from pulsewright.errors import DomainError
from pulsewright.physics.flow import flush, pipe


@pytest.mark.parametrize(
    ("call", "argument"),
    [
        (lambda: pipe.flow_velocity(-1.0, 1e-2), "volume_flow"),
        (lambda: pipe.flow_velocity(1.0, 0.0), "diameter"),
        (lambda: pipe.reynolds_number(1.0, 1e-2, 800.0, 0.0), "viscosity"),
        (lambda: pipe.friction_factor(0.0), "reynolds_number"),
        (lambda: pipe.friction_factor(1e4, 0.2), "relative_roughness"),
        (lambda: pipe.pipe_pressure_drop(1e-5, 1e-2, -1.0, 800.0, 1e-3), "length"),
        (lambda: flush.flush_fraction(-1.0), "volumes"),
        (lambda: flush.flush_volumes(0.0), "fraction"),
        (lambda: flush.flush_volumes(1.2), "fraction"),
        (lambda: flush.flush_time(1e-5, 0.0, 0.1), "volume_flow"),
    ],
)
def test_refuses_by_name(call: Callable[[], object], argument: str) -> None:
    with pytest.raises(DomainError) as caught:
        call()
    assert caught.value.findings[0].path == argument


@pytest.mark.parametrize("reynolds", [2300.0, 4e3, 1e5, 1e7])
@pytest.mark.parametrize("roughness", [0.0, 1e-4, 0.03])
def test_turbulent_friction_solves_colebrook(reynolds: float, roughness: float) -> None:
    def miss(factor: float) -> float:
        return float(1 / np.sqrt(factor) + 2 * np.log10(roughness / 3.7 + 2.51 / (reynolds * np.sqrt(factor))))

    assert pipe.friction_factor(reynolds, roughness) == pytest.approx(brentq(miss, 1e-4, 1.0, xtol=1e-15), rel=1e-9)


def test_friction_against_a_fluid_library() -> None:
    fluids = pytest.importorskip("fluids", reason="not run: the cross-check library fluids is not installed")
    for reynolds, roughness in ((500.0, 0.0), (1e4, 1e-3), (3e5, 1e-5)):
        expected = fluids.friction_factor(Re=reynolds, eD=roughness)
        assert pipe.friction_factor(reynolds, roughness) == pytest.approx(expected, rel=5e-3)


def test_laminar_pressure_drop_is_hagen_poiseuille() -> None:
    flow, bore, length, viscosity = 5e-6, 8e-3, 2.0, 1.194e-3
    expected = 128 * viscosity * length * flow / (np.pi * bore**4)
    assert pipe.pipe_pressure_drop(flow, bore, length, 789.4, viscosity) == pytest.approx(expected, rel=1e-12)


def test_arrays_broadcast_and_rise() -> None:
    drops = pipe.pipe_pressure_drop(np.linspace(0, 2e-4, 21), 8e-3, 1.0, 789.4, 1.194e-3)
    assert np.shape(drops) == (21,)
    assert np.all(np.diff(drops) > 0)


def test_flush_against_the_balance_of_a_stirred_vessel() -> None:
    found = solve_ivp(lambda _, old: -old, (0.0, 2.5), [1.0], rtol=1e-10, atol=1e-12)
    assert flush.flush_fraction(2.5) == pytest.approx(found.y[0, -1], rel=1e-7)


def test_one_volume_leaves_37_percent_and_times_follow() -> None:
    assert flush.flush_fraction(1.0) == pytest.approx(0.37, abs=0.005)
    assert flush.flush_fraction(flush.flush_volumes(0.02)) == pytest.approx(0.02)
    assert flush.flush_time(1e-5, 5e-5, 0.1) == pytest.approx(0.2 * np.log(10))
