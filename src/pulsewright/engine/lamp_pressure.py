"""Pressure of the plasma of a coaxial lamp on the tube that holds the dye."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray
from scipy import constants

from pulsewright import refdata
from pulsewright.engine.chain import Stages
from pulsewright.physics.lamp.discharge import LampGroup

Float = NDArray[np.float64]


def plasma_pressure(group: LampGroup, energy: Float, square: Float, vapour: Float, temperature: Float) -> Float:
    """Pressure of a column, (heavy particles + electrons) k T, in Pa, from its state against time.

    As in the discharge the column keeps the density of the cold fill; molecules count as their atoms.
    """
    table = group.tables
    x, y = group.log_state(energy, square, vapour)
    place = np.zeros_like(x)
    if len(table.temperature) > 1:
        place = np.clip((y - table.log_density[0]) / table.log_density[1], 0.0, len(table.temperature) - 1.0)
    rungs = np.array([np.interp(x, table.energy_axis, row) for row in table.electron_density])
    below = np.minimum(place.astype(int), max(len(rungs) - 2, 0))
    above = np.minimum(below + 1, len(rungs) - 1)
    part, index = place - below, np.arange(len(x))
    electrons = (1.0 - part) * rungs[below, index] + part * rungs[above, index]
    return np.asarray((table.number_density * np.exp(y) + electrons) * constants.k * temperature)


def push_on_inner_tube(stages: Stages, time: Float) -> Float:
    """Pressure above that of the cold fill on the dye's tube in a coaxial head, at times; zero in other heads.

    The mean over the annulus: while the arc does not fill it, its pressure counts by its share of the area. It acts
    on the dye after the time that sound takes through the tube.
    """
    machine, record = stages.inputs.machine, stages.discharge.record
    total = np.zeros_like(time)
    if not stages.trigger.fires:
        return total
    glass = refdata.glass(machine.cell.glass)
    late = machine.cell.wall_thickness / float(glass.sound_speed)
    for number, (group, members) in enumerate(zip(stages.discharge.groups, stages.discharge.members, strict=True)):
        lamps = [machine.lamps[name] for name in members if machine.lamps[name].shape == "coaxial"]
        if not lamps:
            continue
        square = record.arc_radius[:, number] ** 2
        pressure = plasma_pressure(
            group, record.energy_per_length[:, number], square, record.vapour[:, number], record.temperature[:, number]
        )
        push = np.maximum(pressure - lamps[0].fill_pressure, 0.0) * np.minimum(square / group.full_square, 1.0)
        total = np.maximum(total, np.interp(time - late, record.time, push))
    return total
