from __future__ import annotations

from dataclasses import replace

import fakes
import numpy as np
import pytest

from pulsewright.drawing.curves import SHOT_PLOTS, display, envelope_plots, shot_plots, time_window
from pulsewright.drawing.layout import layout
from pulsewright.records import Array, Shot

TIME = np.linspace(0.0, 100e-6, 401)
PULSE = np.exp(-(((TIME - 8e-6) / 4e-6) ** 2))
SHELL = 4e-3 * np.sqrt(np.arange(1, 9) / 8)


def shot(scale: float = 1.0) -> Shot:
    one = {
        "time": Array(TIME, "s", ("time",)),
        "pump_time": Array(TIME, "s", ("pump_time",)),
        "gain_time": Array(TIME, "s", ("gain_time",)),
        "current": Array(5e3 * scale * PULSE, "A", ("time",)),
        "bank_voltage": Array(9e3 * scale * (1 - PULSE), "V", ("time",)),
        "lamp_voltage": Array(7e3 * scale * PULSE, "V", ("time",)),
        "shell_radius": Array(SHELL, "m", ("shell",)),
        "absorbed_energy": Array(scale * np.linspace(1, 2, 8), "J", ("shell",)),
        "pump_rate": Array(1e7 * scale * PULSE[:, None] * np.linspace(0.5, 1, 8), "1/s", ("pump_time", "shell")),
        "round_trip_gain": Array(scale * 2 * PULSE + 1e-3, "-", ("gain_time",)),
        "output_power": Array(8e4 * scale * PULSE, "W", ("gain_time",)),
        "surface_distance": Array(np.array([-0.4, 0.0, 0.6, 1.9]), "m", ("surface",)),
        "surface_fluence": Array(scale * np.array([6e4, 6e4, 3e4, 9e5]), "J/m^2", ("surface",)),
    }
    bare = fakes.shot()
    return replace(bare, arrays=one, start={**bare.start, "surfaces": ["rear", "coupler", "steering", "target"]})


def test_only_what_the_shot_holds_is_drawn_in_the_order_asked_for() -> None:
    assert [plot.id for plot in shot_plots(shot(), ["output_power", "lamp_spectrum", "current"])] == [
        "output_power",
        "current",
    ]
    drawn = [plot.id for plot in shot_plots(shot())]
    assert drawn == [key for key in SHOT_PLOTS if key in drawn]
    assert len(drawn) == 7


def test_display_units_come_from_the_nomenclature() -> None:
    current, voltages, fluence = shot_plots(shot(), ["current", "voltages", "surface_fluence"])
    assert (current.y.title, current.x.title) == ("current (kA)", "time (us)")
    assert current.curves[0].y.max() == pytest.approx(5.0)
    assert [c.words for c in voltages.curves] == ["bank", "lamps"]
    assert fluence.y.unit == "J/cm^2"
    assert fluence.curves[0].y[0] == pytest.approx(6.0)


def test_ghosts_are_the_saved_shot_on_the_same_axes() -> None:
    for plot in shot_plots(shot(1.2), saved=shot()):
        ghosts = [c for c in plot.curves if c.role == "ghost"]
        assert ghosts, plot.id
        assert len([c for c in plot.curves if c.role == "line"]) >= 1
    (current,) = shot_plots(shot(1.2), ["current"], saved=shot())
    assert current.curves[1].y.max() == pytest.approx(5.0)
    assert current.curves[0].y.max() == pytest.approx(6.0)


def test_time_axes_share_one_window_that_holds_what_happens() -> None:
    window = time_window(shot())
    assert window is not None
    assert 16e-6 < window < 30e-6
    ends = [plot.x.high for plot in shot_plots(shot(), ["current", "output_power", "pump_rate"])]
    assert ends == pytest.approx([window * 1e6] * 3)
    dark = replace(shot(), arrays={"time": shot().arrays["time"], "current": Array(np.zeros(401), "A", ("time",))})
    assert time_window(dark) is None
    assert shot_plots(dark)[0].x.high is None


def test_shells_are_named_axis_to_wall() -> None:
    (plot,) = shot_plots(shot(), ["pump_rate"])
    assert [c.words for c in plot.curves] == ["axis", *(f"shell {i}" for i in range(2, 8)), "wall"]


def test_steps_over_the_radius_hold_each_value_over_its_shell() -> None:
    (plot,) = shot_plots(shot(), ["absorbed_energy"])
    line = plot.curves[0]
    assert line.x[0] == 0.0
    assert line.x[-1] == pytest.approx(4.0)
    assert line.y[0] == line.y[1] == 1.0
    assert line.y.size == 16


def test_surfaces_outside_the_cavity_are_named() -> None:
    (plot,) = shot_plots(shot(), ["surface_fluence"])
    assert [mark.words for mark in plot.marks] == ["steering", "target"]


def test_threshold_is_marked_on_the_gain() -> None:
    (plot,) = shot_plots(shot(), ["round_trip_gain"])
    assert [(mark.axis, mark.at) for mark in plot.marks] == [("y", 1.0)]


@pytest.mark.parametrize(
    ("key", "values", "unit", "scale"),
    [
        ("current", [998.0], "A", 1.0),
        ("current", [1000.0], "kA", 1e3),
        ("output_energy", [0.0, np.nan], "J", 1.0),
        ("output_energy", [0.47], "mJ", 1e-3),
        ("wavelength", [5.9e-7], "nm", 1e-9),
        ("plasma_temperature", [2e4], "K", 1.0),
        ("efficiency", [0.004], "%", 0.01),
    ],
)
def test_display(key: str, values: list[float], unit: str, scale: float) -> None:
    got_unit, got_scale = display(key, np.array(values))
    assert got_unit == unit
    assert got_scale == pytest.approx(scale)


class TestEnvelope:
    def test_plots_and_marks(self) -> None:
        envelope = fakes.envelope()
        plots = {plot.id: plot for plot in envelope_plots(envelope, now=9.2e3)}
        assert {"envelope_output", "envelope_margins"} <= set(plots)
        marks = {mark.words: mark.at for mark in plots["envelope_output"].marks}
        assert marks["now"] == pytest.approx(9.2)
        band = plots["envelope_output"].curves[0]
        assert band.low is not None
        for plot in plots.values():
            assert layout(plot).items

    def test_worst_margin_is_named_first(self) -> None:
        plot = next(p for p in envelope_plots(fakes.envelope()) if p.id == "envelope_margins")
        last = [float(np.nan_to_num(c.y[-1])) for c in plot.curves]
        assert last == sorted(last, reverse=True)


def test_one_line_a_loop_and_a_section_only_where_the_shot_has_them() -> None:
    assert shot_plots(shot(), ["branch_current", "capacitor_voltage"]) == ()
    split = PULSE[:, None] * np.array([1.0, 0.5])
    more = {
        "branch_current": Array(4e3 * split, "A", ("time", "branch")),
        "capacitor_voltage": Array(6e3 * split, "V", ("time", "capacitor")),
    }
    whole = replace(shot(), arrays={**shot().arrays, **more})
    loops, sections = shot_plots(whole, ["branch_current", "capacitor_voltage"], saved=whole)
    assert (loops.y.title, sections.y.title) == ("current (kA)", "voltage (kV)")
    assert [c.words for c in loops.curves] == ["loop 1", "loop 2", "loop 1, saved", "loop 2, saved"]
    assert loops.curves[1].y.max() == pytest.approx(2.0, rel=1e-3)
    assert [c.role for c in sections.curves] == ["line", "line", "ghost", "ghost"]
    alone = shot_plots(whole, ["branch_current"], saved=shot())[0]
    assert [c.words for c in alone.curves] == ["loop 1", "loop 2"]
