"""What finer tables, bands and time axes in the lamp do to the demo bench. Each is refined alone, each bound stated."""

from __future__ import annotations

import functools
import sys
from collections.abc import Iterator

import numpy as np
import pytest

from pulsewright import machine
from pulsewright.engine import electric, gain
from pulsewright.engine.chain import Chain, Stages
from pulsewright.engine.inputs import inputs_of
from pulsewright.physics.lamp import tables

CHARGES = (8.5e3, 10.5e3)


def forget() -> None:
    """Drop everything that was made with another resolution, in whatever module of the engine it is kept."""
    modules = [module for name, module in sys.modules.items() if name.startswith("pulsewright.engine")]
    for module in (*modules, tables):
        for value in list(vars(module).values()):
            if hasattr(value, "cache_clear"):
                value.cache_clear()


@pytest.fixture(autouse=True)
def made_anew() -> Iterator[None]:
    """Other tests must not meet what this file's resolutions left behind."""
    forget()
    yield
    forget()


def shot(charge: float) -> Stages:
    build = machine.load_text(machine.bench_text("tidewater")).build
    assert build is not None
    return Chain().run(inputs_of(build, charge))


def changes(usual: Stages, fine: Stages) -> dict[str, float]:
    """Relative changes of what a reader would quote."""

    def row(stages: Stages) -> dict[str, float]:
        return {
            "radiated": stages.discharge.record.radiated_energy,
            "column": stages.discharge.record.energies["lamp column"],
            "current": stages.discharge.peak_current,
            "absorbed": float(stages.pump.energy.sum()),
            "output": stages.gain.output_energy,
            "wavelength": float(stages.gain.wavelength or np.nan),
        }

    before, after = row(usual), row(fine)
    return {name: abs(after[name] / before[name] - 1) for name in before}


def assert_within(found: dict[str, float], **bounds: float) -> None:
    """Each change stays within its bound, the others within `rest`."""
    for name, change in found.items():
        assert change < bounds.get(name, bounds["rest"]), f"{name} moved by {change:.1e}"


@pytest.mark.parametrize("charge", CHARGES)
def test_spectral_bands_of_half_the_width(charge: float, monkeypatch: pytest.MonkeyPatch) -> None:
    usual = shot(charge)
    centre, width = tables.spectral_bands()
    edges = np.append(centre - width / 2, centre[-1] + width[-1] / 2)
    halved = np.sort(np.concatenate([edges, centre]))
    forget()
    monkeypatch.setattr(tables, "_bands", lambda: (0.5 * (halved[1:] + halved[:-1]), np.diff(halved)))
    fine = shot(charge)
    assert len(fine.light.wavelength) == 2 * len(centre)
    assert_within(changes(usual, fine), output=1e-2, absorbed=4e-3, rest=1e-3)


@pytest.mark.parametrize("charge", CHARGES)
def test_plasma_tables_twice_as_fine(charge: float, monkeypatch: pytest.MonkeyPatch) -> None:
    usual = shot(charge)
    forget()
    monkeypatch.setattr(tables, "SIZES", tuple(2 * size for size in tables.SIZES))
    fine = shot(charge)
    before, after = (found.discharge.groups[0].tables.temperature.shape[1] for found in (usual, fine))
    assert after == 2 * before
    assert_within(changes(usual, fine), output=2e-3, rest=5e-4)


@pytest.mark.parametrize("charge", CHARGES)
def test_time_axis_twice_as_fine(charge: float, monkeypatch: pytest.MonkeyPatch) -> None:
    usual = shot(charge)
    monkeypatch.setattr(electric, "discharge", functools.partial(electric.discharge, samples=720))
    fine = shot(charge)
    assert len(fine.discharge.record.time) == 2 * len(usual.discharge.record.time)
    assert_within(changes(usual, fine), output=2e-3, rest=1e-3)


@pytest.mark.parametrize("charge", CHARGES)
def test_tolerance_of_the_discharge_halved_through_the_whole_chain(
    charge: float, monkeypatch: pytest.MonkeyPatch
) -> None:
    usual = shot(charge)
    monkeypatch.setattr(electric, "discharge", functools.partial(electric.discharge, tolerance=0.5e-6))
    assert_within(changes(usual, shot(charge)), rest=1e-3)


@pytest.mark.parametrize("charge", CHARGES)
def test_samples_of_the_gain_do_not_touch_its_energies(charge: float, monkeypatch: pytest.MonkeyPatch) -> None:
    """The time axis of the output is only looked at; the integrals are the method's own."""
    usual = shot(charge)
    monkeypatch.setattr(gain, "laser_kinetics", functools.partial(gain.laser_kinetics, samples=800))
    fine = shot(charge)
    assert len(fine.gain.record.time) == 800
    assert_within(changes(usual, fine), rest=1e-13)
    assert fine.gain.peak_power == pytest.approx(usual.gain.peak_power, rel=0.02)
    assert fine.gain.pulse_width == pytest.approx(usual.gain.pulse_width, rel=0.02)
