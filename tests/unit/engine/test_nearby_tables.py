"""Plasma tables put together from those of the middle, against the plasma solved."""

from __future__ import annotations

import numpy as np
import pytest

from pulsewright import machine
from pulsewright.engine.inputs import inputs_of, uncertain_inputs
from pulsewright.engine.lamp_plasma import Asked, asked_tables, lamp_tables
from pulsewright.engine.nearby_tables import NearbyTables
from pulsewright.physics.lamp.tables import PlasmaTables


def made() -> tuple[NearbyTables, Asked, list[tuple[Asked, PlasmaTables]]]:
    build = machine.load_text(machine.bench_text("tidewater")).build
    assert build is not None
    inputs = inputs_of(build)
    lamp = inputs.machine.lamps["east"]
    middle = asked_tables(inputs, lamp, lamp.fill_pressure)
    spreads = uncertain_inputs(inputs)
    generator = np.random.default_rng(3)
    drawn = []
    for _ in range(12):
        values = {
            item.path: float(item.quantile(generator.random(1))[0])
            for item in spreads
            if item.path.startswith(("reference.plasma.", "reference.xenon."))
        }
        pressure = lamp.fill_pressure * generator.uniform(0.9, 1.1)
        changed = inputs.changed(values)
        drawn.append((asked_tables(changed, lamp, pressure), lamp_tables(changed, lamp, pressure)))
    return NearbyTables([middle], spreads), middle, drawn


def at(tables: PlasmaTables, name: str, temperature: float) -> np.ndarray:
    """A table at a temperature of the fill."""
    place = int(np.argmin(np.abs(tables.temperature[0] - temperature)))
    found = getattr(tables, name)[0]
    step = np.log(temperature / tables.temperature[0, place]) / np.gradient(np.log(tables.temperature[0]))[place]
    return np.asarray(found[place] + step * np.gradient(found, axis=0)[place])


@pytest.mark.slow
def test_they_are_close_to_tables_solved() -> None:
    near, _, drawn = made()
    for asked, solved in drawn:
        found = near.tables(asked)
        assert found is not None
        assert found.number_density == pytest.approx(solved.number_density, rel=1e-12)
        assert found.mass_density == pytest.approx(solved.mass_density, rel=1e-12)
        for hot in (8e3, 1.2e4, 2e4):
            # logarithms: 6 % of the resistivity, 5 % of what is radiated from a bore
            assert float(at(found, "log_resistivity", hot)) == pytest.approx(
                float(at(solved, "log_resistivity", hot)), abs=0.06
            )
            assert at(found, "log_exitance", hot)[20] == pytest.approx(at(solved, "log_exitance", hot)[20], abs=0.05)


def test_the_middle_is_the_table_solved_and_another_mixture_is_not_known() -> None:
    build = machine.load_text(machine.bench_text("tidewater")).build
    assert build is not None
    inputs = inputs_of(build)
    lamp = inputs.machine.lamps["east"]
    middle = asked_tables(inputs, lamp, lamp.fill_pressure)
    near = NearbyTables([middle], [])
    found, solved = near.tables(middle), lamp_tables(inputs, lamp, lamp.fill_pressure)
    assert found is not None
    assert np.interp(solved.energy_axis, found.energy_axis, found.log_resistivity[0]) == pytest.approx(
        solved.log_resistivity[0], abs=2e-3
    )
    assert near.tables(middle._replace(fills=(("krypton", 1.0),))) is None
    assert near.tables(middle._replace(envelope="fused silica")) is None
