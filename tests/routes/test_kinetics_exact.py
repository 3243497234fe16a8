"""The gain kernel against solutions in closed form: decay, growth, the clamp above threshold, slope efficiency."""

from __future__ import annotations

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy import constants

from pulsewright.physics.dye.kinetics import Cavity, DyeRates, laser_kinetics

Float = NDArray[np.float64]

DENSITY, VOLUME = 3.6e22, 1e-6
ONE = np.ones(1)


def dye(**changes: float) -> DyeRates:
    """One bin; no triplets and no absorption unless asked for."""
    tables = {
        name: changes.pop(name, value) * ONE
        for name, value in {
            "emission": 1.5e-20,
            "absorption": 0.0,
            "excited_absorption": 0.0,
            "triplet_absorption": 0.0,
            "emission_share": 1.0,
        }.items()
    }
    scalars = {
        "radiative": 2.4e8,
        "internal_conversion": 1e7,
        "crossing": 0.0,
        "singlet_quenching": 0.0,
        "triplet_yield": 0.0,
        "triplet_decay": 3e6,
        **changes,
    }
    return DyeRates(**scalars, **tables)


def cavity(coupler: float = 0.5, loss: float = 0.03, solid_angle: float = 1e-8) -> Cavity:
    return Cavity(0.4, 0.15, 1.36, 0.99 * ONE, coupler * ONE, loss * ONE, solid_angle)


def test_levels_decay_as_two_exponentials() -> None:
    """Without a field, n1 falls as exp(-t / tau), and nT as the chain of two decays has it."""
    rates = dye(emission=1e-30, crossing=4e6, singlet_quenching=1e7, triplet_yield=0.5, triplet_decay=5e6)
    time = np.linspace(0.0, 400e-9, 401)
    pump = np.where(time < 50e-9, 1e7, 0.0)[:, None]
    gain = laser_kinetics(time, pump, rates, cavity(), DENSITY, VOLUME, 1e-9, 401, 200_000)
    start = 60  # the cubic through the pump's table has let go by then
    after = gain.time[start:] - gain.time[start]
    decay, slow, formed = 2.4e8 + 1e7 + 4e6 + 1e7, 5e6, 4e6 + 0.5 * 1e7
    s1, t1 = gain.inversion[start, 0], gain.triplets[start, 0]
    assert s1 > 0.002
    # dense output is of a lower order than the steps
    assert gain.inversion[start:, 0] == pytest.approx(s1 * np.exp(-decay * after), rel=3e-6, abs=1e-12)
    chain = t1 * np.exp(-slow * after) + formed * s1 / (decay - slow) * (np.exp(-slow * after) - np.exp(-decay * after))
    assert gain.triplets[start:, 0] == pytest.approx(chain, rel=3e-6)


def test_light_grows_at_the_rate_of_net_gain() -> None:
    """Small light in a settled inversion grows as exp(G t / round trip), G the net gain of a round trip."""
    rates, mirrors = dye(), cavity(solid_angle=1e-12)
    need = (-np.log(0.99 * 0.5) / 2 + 0.03) / (1.5e-20 * DENSITY * 0.15)
    s1 = 1.1 * need
    rate = 2.5e8 * s1 / (1 - s1)
    time = np.linspace(0.0, 600e-9, 601)
    gain = laser_kinetics(time, np.full((601, 1), rate), rates, mirrors, DENSITY, VOLUME, 1e-8, 601, 200_000)
    settled = slice(200, 400)
    assert gain.inversion[settled, 0] == pytest.approx(s1, rel=1e-6)
    round_trip = 2 * 0.4 / constants.c
    expected = 0.1 * (-np.log(0.99 * 0.5) + 2 * 0.03)
    assert gain.net_gain[settled] == pytest.approx(expected, rel=1e-4)
    # what the seed adds dies out beside what has grown
    slope = np.diff(np.log(gain.output_rate[300:400, 0])) / (gain.time[1] - gain.time[0])
    assert slope == pytest.approx(expected / round_trip, rel=5e-4)


@pytest.mark.parametrize(("coupler", "loss", "excited"), [(0.5, 0.03, 0.0), (0.8, 0.0, 0.0), (0.3, 0.1, 2e-21)])
@pytest.mark.parametrize("times", [3.0, 10.0])
def test_inversion_clamps_and_the_rest_comes_out(coupler: float, loss: float, excited: float, times: float) -> None:
    """Steady and far above threshold: gain equals loss, and the balance of S1 gives the light."""
    absorption, emission = 2e-22, 1.5e-20
    rates = dye(absorption=absorption, excited_absorption=excited)
    mirrors = cavity(coupler, loss)
    lost = -np.log(0.99 * coupler) + 2 * loss
    clamp = (lost / (2 * DENSITY * 0.15) + absorption) / (emission + absorption - excited)
    threshold = 2.5e8 * clamp / (1 - clamp)
    rate = times * threshold
    time = np.linspace(0.0, 1e-6, 101)
    gain = laser_kinetics(time, np.full((101, 1), rate), rates, mirrors, DENSITY, VOLUME, 1e-7, 101, 100_000)
    assert gain.inversion[-1, 0] == pytest.approx(clamp, rel=1e-5)
    assert gain.net_gain[-1] == pytest.approx(0.0, abs=1e-5)
    taken = rate * (1 - clamp) - 2.5e8 * clamp  # quanta a molecule gives to the field
    net = (emission * clamp - absorption * (1 - clamp) - excited * clamp) / (
        emission * clamp - absorption * (1 - clamp)
    )
    share = -np.log(coupler) / lost
    expected = share * net * taken * DENSITY * VOLUME
    assert gain.output_rate[-1, 0] == pytest.approx(expected, rel=1e-5)
    # of every quantum absorbed above threshold this part comes out: the slope efficiency
    excess = (rate - threshold) * (1 - clamp) * DENSITY * VOLUME
    assert gain.output_rate[-1, 0] / excess == pytest.approx(share * net, rel=1e-5)


def test_triplets_settle_and_take_their_part_of_the_gain() -> None:
    """With T1 in balance, threshold moves up by what the triplets absorb."""
    rates = dye(crossing=2e6, triplet_decay=2e7, triplet_absorption=2e-21)
    formed = 2e6 / 2e7
    need = (-np.log(0.99 * 0.5) / 2 + 0.03) / (DENSITY * 0.15)
    clamp = need / (1.5e-20 - formed * 2e-21)
    rate = 4 * 2.52e8 * clamp / (1 - clamp * (1 + formed))
    time = np.linspace(0.0, 2e-6, 101)
    gain = laser_kinetics(time, np.full((101, 1), rate), rates, cavity(), DENSITY, VOLUME, 1e-7, 101, 100_000)
    assert gain.inversion[-1, 0] == pytest.approx(clamp, rel=1e-5)
    assert gain.triplets[-1, 0] == pytest.approx(formed * clamp, rel=1e-5)


def test_below_threshold_seed_is_amplified_to_its_balance() -> None:
    """Steady and below: photons = filling x seed x n1 / (decay - growth)."""
    rates, mirrors = dye(), cavity(solid_angle=1e-4)
    lost = -np.log(0.99 * 0.5) + 0.06
    clamp = lost / (2 * 1.5e-20 * DENSITY * 0.15)
    s1 = 0.8 * clamp
    rate = 2.5e8 * s1 / (1 - s1)
    time = np.linspace(0.0, 1e-6, 101)
    gain = laser_kinetics(time, np.full((101, 1), rate), rates, mirrors, DENSITY, VOLUME, 1e-7, 101, 100_000)
    found = gain.inversion[-1, 0]
    decay = constants.c * lost / 0.8
    seed = 1e-4 / (4 * np.pi) * 2.4e8 * found
    photons = seed / (decay * (1 - found / clamp))  # over the filling
    expected = photons * decay * -np.log(0.5) / lost * DENSITY * VOLUME
    assert gain.output_rate[-1, 0] == pytest.approx(expected, rel=1e-4)
    assert gain.peak_net_gain == pytest.approx((found / clamp - 1) * lost, rel=1e-3)
