"""Twenty random builds of the gain, with every term in some of them, against SciPy's Radau on the second writing.

At a tight tolerance both agree to 1e-4 in energy, with a table of amplified spontaneous emission twice to four times as
fine as that of a shot; the table of a shot moves the energy by less than 1e-3.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import cache, partial

import kinetics_by_scipy as second
import numpy as np
import pytest
from numpy.typing import NDArray

from pulsewright.physics.dye import amplified, kinetics
from pulsewright.physics.dye.kinetics import Cavity, Column, DyeRates, Gain, Parasitic, laser_kinetics
from pulsewright.physics.resonator import tuning

Float = NDArray[np.float64]

COUNT, BINS = 20, 9
WAVELENGTH = np.linspace(575e-9, 600e-9, BINS)
TIME = np.linspace(0.0, 5e-6, 101)
ENDS = (
    "fluorescence",
    "internal conversion",
    "crossing to triplets",
    "oxygen quenching",
    "stimulated emission",
    "amplified spontaneous emission",
)
LOST = (
    "ground re-absorption",
    "excited-state absorption",
    "triplet absorption",
    "output",
    "cavity loss",
    "parasitic light",
)


@dataclass(frozen=True)
class Case:
    """One build: dye, resonator, pump."""

    dye: DyeRates
    mirrors: Cavity
    pump: Float

    def march(self, tolerance: float) -> Gain:
        return laser_kinetics(
            TIME, self.pump, self.dye, self.mirrors, second.DENSITY, second.ZONE_VOLUME, tolerance, most_steps=200_000
        )


@cache
def case(number: int) -> Case:
    """Drawn from the number; from the fourth on, one term after the other is sure to be there."""
    random = np.random.default_rng(1000 + number)
    dye = second.dye(
        BINS,
        radiative=random.uniform(1.5e8, 3e8),
        crossing=random.uniform(5e5, 6e6),
        singlet_quenching=random.uniform(0, 4e7),
        triplet_yield=random.uniform(0, 0.3),
        triplet_decay=10 ** random.uniform(5, 7.3),
    )
    dye = replace(
        dye, absorption=random.uniform(0.3, 3) * dye.absorption, emitting=dye.radiative * random.uniform(1, 1.4)
    )
    single = random.random() < 0.5
    overlap = np.array([1.5, 1.0, 0.5]) if single else None
    mirrors = replace(
        second.cavity(BINS, overlap, coupler=random.uniform(0.1, 0.9)), radius=random.choice([None, 3e-3, 6e-3])
    )
    term = number % 5
    if term == 0:
        band = tuning.tuned_loss(WAVELENGTH, random.uniform(580e-9, 592e-9), random.uniform(4e-9, 12e-9), 0.02)
        mirrors = replace(mirrors, loss=mirrors.loss + band)
    if term == 1 or random.random() < 0.2:
        source = np.zeros(BINS)
        source[random.integers(BINS)] = 10 ** random.uniform(12, 18)
        mirrors = replace(mirrors, source=source)
    if term == 2 or random.random() < 0.2:
        path = Parasitic(0.25, random.uniform(0.02, 0.4), 0.01 * np.ones(BINS), 3e-3, 3)
        mirrors = replace(mirrors, parasitic=path)
    if term == 3:
        mirrors = replace(mirrors, further=(Column(random.uniform(0.01, 0.1), random.uniform(0.5, 2.0)),))
    if term == 4:
        mirrors = replace(mirrors, radius=5e-3)
    peak = random.uniform(2.5, 14) * second.threshold_rate(dye, second.cavity(BINS, coupler=float(mirrors.coupler[0])))
    shape = np.exp(-(((TIME - 2.4e-6) / random.uniform(0.6e-6, 1.4e-6)) ** 2))
    zones = 3 if single else 1
    pump = peak * shape[:, None] * np.linspace(0.8, 1.2, zones)
    if mirrors.further:
        pump = np.stack([pump, pump * random.choice([0.0, 0.7])], axis=1)
    return Case(dye, mirrors, pump)


@cache
def truth(number: int) -> second.Solved:
    made = case(number)
    return second.solve(TIME, made.pump, made.dye, made.mirrors, 1e-7)


def test_the_builds_are_of_every_kind() -> None:
    made = [case(number) for number in range(COUNT)]
    assert sum(each.mirrors.source is not None for each in made) >= 4
    assert sum(each.mirrors.parasitic is not None for each in made) >= 4
    assert sum(bool(each.mirrors.further) for each in made) >= 4
    assert sum(each.mirrors.radius is not None for each in made) >= 10
    assert 5 <= sum(each.mirrors.overlap is None for each in made) <= 15
    assert sum(each.march(1e-3).photons["output"] > 1e-3 * each.march(1e-3).photons["absorbed"] for each in made) >= 12


@pytest.fixture
def fine_table(monkeypatch: pytest.MonkeyPatch) -> Iterator[None]:
    finer = partial(amplified.amplified_decay, s1_points=180, t1_points=100, groups=100)
    monkeypatch.setattr(amplified, "amplified_decay", finer)
    kinetics._amplified_table.cache_clear()
    yield
    kinetics._amplified_table.cache_clear()


@pytest.mark.slow
@pytest.mark.parametrize("number", range(COUNT))
def test_the_table_of_a_shot_is_fine_enough(number: int, request: pytest.FixtureRequest) -> None:
    usual = case(number).march(1e-5).photons["output"]
    request.getfixturevalue("fine_table")
    fine = case(number).march(1e-5)
    assert usual == pytest.approx(fine.photons["output"], rel=1e-3, abs=1e-6 * fine.photons["absorbed"])


@pytest.mark.slow
@pytest.mark.usefixtures("fine_table")
@pytest.mark.parametrize("number", range(COUNT))
def test_energy_is_that_of_radau(number: int) -> None:
    made, solved = case(number), truth(number)
    photon = 1.0 / WAVELENGTH
    energy = float(solved.spectrum.sum(axis=1) @ photon)
    gain = made.march(1e-6)
    assert gain.outcome == "done"
    absorbed = solved.channels["absorbed"]
    # below threshold, where nothing but amplified noise leaves, to 1e-7 of what was absorbed
    assert float(gain.spectrum.sum(axis=1) @ photon) == pytest.approx(energy, rel=1e-4, abs=1e-7 * absorbed * photon[0])
    for name, count in solved.channels.items():
        # the table of amplified emission is right to some 1e-3 of itself
        allowed = 5e-3 if name == "amplified spontaneous emission" else 2e-4
        assert gain.photons[name] == pytest.approx(count, rel=allowed, abs=2e-6 * absorbed), name


@pytest.mark.parametrize("number", range(COUNT))
@pytest.mark.parametrize(
    "tolerance", [1e-2, 1e-3, pytest.param(1e-4, marks=pytest.mark.slow), pytest.param(1e-6, marks=pytest.mark.slow)]
)
def test_photons_close_with_every_channel(number: int, tolerance: float) -> None:
    """Whatever the tolerance: every channel is a state of the method, which keeps their sum."""
    gain = case(number).march(tolerance)
    p = gain.photons
    assert set(p) == {"absorbed", "seed", "injected light", *ENDS, *LOST}
    field = p["stimulated emission"] + p["seed"] + p["injected light"] - sum(p[name] for name in LOST)
    kept = p["absorbed"] + p["ground re-absorption"] - sum(p[name] for name in ENDS) + field
    assert abs(kept - gain.stored) < 1e-6 * (p["absorbed"] + p["injected light"])
    assert gain.spectrum.sum() == pytest.approx(p["output"], rel=1e-6)
    assert np.trapezoid(gain.output_rate.sum(axis=1), gain.time) == pytest.approx(p["output"], rel=1e-6)
    assert float(gain.spectral_rate.sum(axis=1) @ np.diff(gain.spectrum_edges)) == pytest.approx(p["output"], rel=1e-6)
    assert min(p.values()) > -1e-9 * p["absorbed"]


@pytest.mark.parametrize("number", range(COUNT))
def test_populations_stay_in_range(number: int) -> None:
    gain = case(number).march(1e-3)
    for values in (gain.inversion, gain.triplets, gain.further_inversion, gain.further_triplets):
        assert values.size == 0 or (values.min() > -1e-6 and values.max() < 1.0)
