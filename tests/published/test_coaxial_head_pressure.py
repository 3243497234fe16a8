"""Ewanizky, Wright, Theissing, Appl. Phys. Lett. 22, 520 (1973); Blit, Fisher, Ganiel, Appl. Opt. 13, 335 (1974).

Both as remembered [memory-h]: lasers with coaxial lamps are cut off by a pressure wave from the lamp, which spoils the
outer annulus of the dye before it reaches the axis. Relations; no figure is given.
"""

from __future__ import annotations

import numpy as np
import pytest

from pulsewright import machine
from pulsewright.engine.chain import Chain, Stages
from pulsewright.engine.heat import cell_wall, heat_stage
from pulsewright.engine.inputs import inputs_of
from pulsewright.engine.lamp_pressure import push_on_inner_tube
from pulsewright.engine.liquid import liquid
from pulsewright.physics.thermal.radial_sound import radial_sound
from pulsewright.studies.heat_notes import heat_findings

#: Fused silica, fact sheet E2: 0.17 us per mm.
TRANSIT = 0.17e-6 / 1e-3


@pytest.fixture(scope="module")
def coaxial() -> Stages:
    loaded = machine.load_text(machine.bench_text("lanternroom"), "laser.toml")
    assert loaded.build is not None
    return Chain().run(inputs_of(loaded.build))


def test_pressure_passes_the_tube_in_its_transit_time(coaxial: Stages) -> None:
    cell, record = coaxial.inputs.machine.cell, coaxial.discharge.record
    at = np.linspace(0.0, 4e-6, 4001)
    push = push_on_inner_tube(coaxial, at)
    hot = np.interp(at, record.time, record.temperature[:, 0] * (record.arc_radius[:, 0] ** 2))
    started = at[int(np.argmax(hot > 1.001 * hot[0]))]
    felt = at[int(np.argmax(push > push[0] + 1e-3 * push.max()))]
    assert felt >= started + 0.98 * cell.wall_thickness * TRANSIT
    assert push.max() > 1e5  # bar: what a hot fill of 30 torr reaches, not what a cold one has


def test_lamp_spoils_the_edge_first_and_the_axis_when_sound_gets_there(coaxial: Stages) -> None:
    """Without any heat: the wave of the lamp alone."""
    plain, own = coaxial.inputs.machine, liquid(coaxial.inputs.machine)
    duration = 8e-6
    time = np.linspace(0.0, duration, 801)
    push = push_on_inner_tube(coaxial, time)
    found = radial_sound(
        np.zeros((801, 200)),
        duration,
        plain.cell.bore / 2,
        own.density,
        own.sound_speed,
        0.6,
        cell_wall(plain),
        outside_pressure=push,
        samples=401,
        courant=1.0,
    )
    size = np.abs(found.compression)
    arrival = found.time[np.argmax(size > 1e-3 * size.max(axis=0), axis=0)]
    assert np.all(np.diff(arrival) <= 2 * duration / 400)
    crossing = (found.radius[-1] - found.radius[0]) / own.sound_speed
    assert arrival[0] - arrival[-1] == pytest.approx(crossing, rel=0.1)


def test_the_head_is_spoilt_before_sound_is_at_the_axis(coaxial: Stages) -> None:
    """The outer annulus is disturbed, and the lamp has come through, before sound from the wall is at the axis."""
    found = heat_stage(coaxial)
    assert found.first_disturbed is not None
    assert found.push_arrival is not None
    assert found.first_disturbed < found.axis_reached
    assert found.push_arrival < found.axis_reached
    assert found.spoilt_time is not None
    assert found.first_disturbed <= found.spoilt_time
    assert found.peak_push > 1e5


def test_the_wave_of_the_lamp_pulls_on_the_dye_behind_its_front(coaxial: Stages) -> None:
    """A wave that has met itself at the axis goes out as a rarefaction: said, since the liquid may tear."""
    found = heat_stage(coaxial)
    assert found.lowest_pressure < 0 < found.highest_pressure
    told = [row for row in heat_findings(coaxial) if "below the" in row.message]
    assert bool(told) == (found.lowest_pressure < -101325.0 + 7870.0)
