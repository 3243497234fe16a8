"""Stage trigger: what each method does to a shot, what it refuses, and what it says."""

from __future__ import annotations

import copy
import math
import tomllib
from typing import Any

import pytest
import tomlkit

from pulsewright import machine
from pulsewright.engine.chain import trigger_key
from pulsewright.engine.inputs import Inputs, inputs_of
from pulsewright.engine.margin_row import Stress
from pulsewright.engine.margins_trigger import trigger_stresses
from pulsewright.engine.trigger import DOES_NOT_FIRE, FIRES, FIRES_EARLY, METHODS, TriggerStage, trigger_stage
from pulsewright.machine.parts import TRIGGERS
from pulsewright.physics.pulsed_power import pressure_drop as physics
from pulsewright.physics.pulsed_power.trigger_timing import prepulse_channel_radius

TORR = 101325.0 / 760.0
PREPULSE = {
    "trigger.prepulse_capacitance": "100 nF",
    "trigger.prepulse_voltage": "9 kV",
    "trigger.prepulse_inductance": "2 uH",
    "trigger.prepulse_delay": "20 us",
}


#: A charger that takes some 23 s; a bleeder would keep it from its voltage.
SLOW: dict[str, Any] = {"charger__resistance": "10 Mohm", "bank__bleeder_resistance": None}


def inputs(bench: str, **changes: Any) -> Inputs:
    """A bench with entries changed: `trigger__method="simmer"`; None removes an entry or a section."""
    tree = copy.deepcopy(tomllib.loads(machine.bench_text(bench)))
    for name, value in changes.items():
        *tables, key = name.split("__")
        place = tree
        for table in tables:
            place = place.setdefault(table, {})
        if value is None:
            place.pop(key, None)
        else:
            place[key] = value
    loaded = machine.load_text(tomlkit.dumps(tree), "laser.toml")
    assert loaded.build is not None, loaded.findings
    return inputs_of(loaded.build)


def stage(bench: str, **changes: Any) -> TriggerStage:
    """The trigger stage of a bench with entries changed."""
    return trigger_stage(inputs(bench, **changes))


def said(found: TriggerStage, grade: str = "warning") -> str:
    """Messages of a grade."""
    return " | ".join(finding.message for finding in found.findings if finding.grade == grade)


def test_every_method_of_the_build_file_has_a_model() -> None:
    assert set(METHODS) == set(TRIGGERS)


# Gaps and switches --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("breaks", "outcome"),
    [("9 kV", FIRES_EARLY), ("9.6 kV", FIRES), ("12 kV", FIRES), ("25 kV", FIRES), ("40 kV", DOES_NOT_FIRE)],
)
def test_triggered_gap_between_too_low_and_self_break(breaks: str, outcome: str) -> None:
    found = stage("tidewater", trigger__self_break_voltage=breaks)
    assert found.outcome == outcome
    assert found.firing_voltage == (9e3 if outcome == FIRES_EARLY else 9.5e3)
    assert (found.delay is not None) == (outcome == FIRES)
    assert (found.next_step != "") == (outcome != FIRES)


def test_triggered_gap_close_to_self_break_may_fire_by_itself() -> None:
    assert "by itself" in said(stage("tidewater", trigger__self_break_voltage="9.6 kV"))
    assert said(stage("tidewater", trigger__self_break_voltage="12 kV")) == ""


def test_triggered_gap_far_from_self_break_is_late_and_jitters() -> None:
    near, far = (stage("tidewater", trigger__self_break_voltage=volts) for volts in ("12 kV", "25 kV"))
    assert "jitter" in said(far)
    assert far.delay is not None
    assert near.delay is not None
    assert far.jitter is not None
    assert near.jitter is not None
    assert far.delay > 3 * near.delay
    assert far.jitter / far.delay > 2 * near.jitter / near.delay


GAP = {"trigger__method": "overvoltage gap", "switch__kind": "overvoltage gap"}


def test_overvoltage_gap_pulse_charged() -> None:
    found = stage("tidewater", **GAP, trigger__self_break_voltage="8 kV", trigger__gap_rise="1 kV/us")
    assert found.outcome == FIRES
    assert found.firing_voltage == pytest.approx(8e3 + 100)  # 100 ns at 1 kV/us
    assert found.delay == pytest.approx(8e-6 + 100e-9)
    assert found.jitter == pytest.approx(math.hypot(0.03 * 8e-6, 100e-9))


def test_overvoltage_gap_gains_no_more_than_the_charge_voltage() -> None:
    found = stage("tidewater", **GAP, trigger__self_break_voltage="9.4 kV", trigger__gap_rise="10 kV/us")
    assert found.firing_voltage == 9.5e3


@pytest.mark.parametrize("rise", [None, "1 kV/us"])
def test_overvoltage_gap_above_the_charge_voltage_does_not_fire(rise: str | None) -> None:
    found = stage("tidewater", **GAP, trigger__self_break_voltage="10 kV", trigger__gap_rise=rise)
    assert found.outcome == DOES_NOT_FIRE
    assert "below its self-break" in found.words


def test_overvoltage_gap_charged_slowly_fires_at_its_own_moment() -> None:
    early = stage("tidewater", **GAP, trigger__self_break_voltage="8 kV")
    assert (early.outcome, early.firing_voltage) == (FIRES_EARLY, 8e3)
    near = stage("tidewater", **GAP, trigger__self_break_voltage="9.3 kV")
    assert (near.outcome, near.firing_voltage, near.delay) == (FIRES, 9.3e3, None)
    assert "no chosen moment" in said(near)


@pytest.mark.parametrize("method", ["triggered spark gap", "overvoltage gap", "thyratron"])
def test_lamps_that_cannot_break_down(method: str) -> None:
    found = stage("tidewater", trigger__method=method, switch__kind=method, bank__charge_voltage="1 kV")
    assert found.outcome == DOES_NOT_FIRE
    assert "cannot break down" in found.words
    assert "bank.charge_voltage" in found.next_step
    assert stage("tidewater", trigger__method="ideal", bank__charge_voltage="1 kV").outcome == FIRES


def test_dense_fill_cannot_break_down() -> None:
    tree = {"lamps__east__fill_pressure": "10 bar", "lamps__west__fill_pressure": "10 bar"}
    assert stage("tidewater", **tree).outcome == DOES_NOT_FIRE


# Through the lamps --------------------------------------------------------------------------------


def test_external_wire_takes_the_time_of_its_streamer() -> None:
    found = stage("tidewater", trigger__method="external wire", switch__kind="none")
    assert found.delay == pytest.approx(15 * 60e-9)
    assert "shields" in said(found)  # water round the lamps
    assert "hold off" in said(found)
    dry = stage("tidewater", trigger__method="external wire", switch__kind="none", chamber__coolant="none")
    assert "shields" not in said(dry)


def test_external_wire_at_low_pressure_is_not_to_be_relied_on() -> None:
    assert "not to be relied on" in said(stage("millpond", trigger__method="external wire"))


def test_a_bank_on_lamps_that_break_down_fires_while_charging() -> None:
    for method in ("external wire", "series injection"):
        found = stage("millpond", trigger__method=method, trigger__saturated_inductance="5 uH")
        assert found.outcome == FIRES_EARLY
        assert found.hold_off is not None
        assert found.firing_voltage == found.hold_off.value < 9e3


def test_series_injection_adds_its_inductance() -> None:
    plain = stage("tidewater", trigger__method="ideal")
    found = stage(
        "tidewater", trigger__method="series injection", switch__kind="none", trigger__saturated_inductance="4.5 uH"
    )
    assert found.inductance == 4.5e-6
    assert plain.rise_time is not None
    assert found.rise_time == pytest.approx(2 * plain.rise_time)  # four times 1.5 uH


def test_simmer_widens_the_channel_and_keeps_the_timing_of_its_switch() -> None:
    switch = stage("tidewater")
    found = stage("tidewater", trigger__method="simmer", trigger__simmer_current="400 mA")
    assert found.channel_radius == pytest.approx(2 * switch.channel_radius)
    assert (found.delay, found.jitter, found.simmer_current) == (switch.delay, switch.jitter, 0.4)
    wide = stage("tidewater", trigger__method="simmer", trigger__simmer_current="20 A")
    assert wide.channel_radius == pytest.approx(0.9 * 3.5e-3)  # the bore bounds it
    assert "outside what is published" in said(wide)


@pytest.mark.parametrize("law", ["square-root law", "steep law"])
def test_laws_of_a_filled_bore_do_not_know_a_kept_channel(law: str) -> None:
    prepulse = {path.replace(".", "__"): value for path, value in PREPULSE.items()}
    for method, more in (("simmer", {}), ("pre-pulse", prepulse)):
        found = stage("tidewater", trigger__method=method, loop__lamp_law=law, **more)
        assert "takes a filled bore" in said(found, "note")
        assert "filled bore" not in said(stage("tidewater", trigger__method=method, **more), "note")
    assert said(stage("tidewater", loop__lamp_law=law), "note") == ""


def test_simmered_lamps_need_not_break_down() -> None:
    assert stage("tidewater", trigger__method="simmer", bank__charge_voltage="1 kV").outcome == FIRES


def test_prepulse_widens_the_channel_and_comes_first() -> None:
    switch = stage("tidewater")
    changes = {path.replace(".", "__"): value for path, value in PREPULSE.items()}
    found = stage("tidewater", trigger__method="pre-pulse", **changes)
    assert found.prepulse is not None
    assert found.channel_radius > switch.channel_radius
    assert switch.delay is not None
    assert found.delay == pytest.approx(20e-6 + switch.delay)
    weak = stage("tidewater", trigger__method="pre-pulse", **{**changes, "trigger__prepulse_voltage": "500 V"})
    assert weak.outcome == DOES_NOT_FIRE
    assert "a pre-pulse" in weak.words


def test_a_channel_grows_in_the_mass_of_molecules_not_of_atoms() -> None:
    """Nitrogen at 100 torr and 300 K: p M / (R T), M = 28.014 g/mol."""
    changes = {path.replace(".", "__"): value for path, value in PREPULSE.items()}
    fill = {f"lamps__{name}__gas": "nitrogen" for name in ("east", "west")}
    found = stage("tidewater", trigger__method="pre-pulse", **changes, **fill)
    density = 100 * TORR * 28.014e-3 / (8.314462618 * 300.0)
    assert found.channel_radius == pytest.approx(
        float(prepulse_channel_radius(0.5e-3, 100e-9, 9e3, 2e-6, density)), rel=1e-4
    )


def test_rise_of_the_loop_is_that_of_a_sine_from_a_tenth_to_nine_tenths() -> None:
    """1.0196 sqrt(L C) without a lamp, fact sheet on pulsed power 2.3; a transformer's inductance adds to L."""
    assert stage("tidewater").rise_time == pytest.approx(1.0196 * math.sqrt(1.5e-6 * 4e-6), rel=1e-4)
    injected = stage("tidewater", trigger__method="series injection", trigger__saturated_inductance="5 uH")
    assert injected.rise_time == pytest.approx(1.0196 * math.sqrt(6.5e-6 * 4e-6), rel=1e-4)
    own = {
        "branches__east": {"inductance": "3 uH", "resistance": "30 mohm", "capacitance": "1 uF"},
        "branches__west": {"inductance": "2 uH", "resistance": "30 mohm"},
    }
    apart = stage("tidewater", loop__lamps_connected="separate loops", **own)
    assert apart.rise_time == pytest.approx(1.0196 * math.sqrt((1.5e-6 + 2e-6) * 4e-6), rel=1e-4)


# Pressure drop ------------------------------------------------------------------------------------


def test_millpond_fires_at_its_own_pressure() -> None:
    found = stage("millpond")
    assert found.outcome == FIRES
    assert found.pressure_drop is not None
    assert set(found.fill_pressure) == {"reed"}
    # between the pairs measured on the lamp: 24 torr at 6.4 kV, 38 torr at 9.2 kV
    assert 24 * TORR < found.fill_pressure["reed"] < 38 * TORR
    assert found.pressure_drop.firing.parts["waiting for an electron"] == 2e-3
    # 2.76 s to charge against the bleeder
    assert found.pressure_drop.repeat_period == pytest.approx(2.762307 + (found.delay or 0.0) + 5.0)
    assert found.delay_range is not None
    assert found.delay_range[0] < (found.delay or 0.0) < found.delay_range[1]


def test_without_pairs_the_law_of_a_gap_stands_with_a_wide_range() -> None:
    measured, bare = inputs("millpond"), inputs("millpond", breakdowns=None)
    assert "no breakdown of these lamps was measured" in said(trigger_stage(bare))
    assert "measured" not in said(trigger_stage(measured))
    wide, narrow = (trigger_stage(item).delay_range for item in (bare, measured))
    assert wide is not None
    assert narrow is not None
    assert wide[1] - wide[0] > 2 * (narrow[1] - narrow[0])


def test_one_pair_moves_the_curve_through_itself() -> None:
    pair = {"only": {"breakdown_pressure": "60 torr", "breakdown_voltage": "9 kV"}}
    found = stage("millpond", breakdowns=pair, trigger__statistical_lag="1 us", trigger__leak=None)
    assert found.fill_pressure["reed"] == pytest.approx(60 * TORR, rel=1e-4)


@pytest.mark.parametrize(
    ("changes", "outcome", "failure"),
    [
        ({"trigger__start_pressure": "30 torr"}, FIRES_EARLY, physics.CHARGING),
        ({"trigger__pump_start": "0 s", **SLOW}, FIRES_EARLY, physics.CHARGING),
        ({"trigger__leak": "3 Pa*m^3/s"}, DOES_NOT_FIRE, physics.LEAK),
        ({"trigger__stop_pressure": "80 torr"}, DOES_NOT_FIRE, physics.LOW_CHARGE),
        ({"bank__charge_voltage": "100 V"}, DOES_NOT_FIRE, physics.LOW_CHARGE),
        (
            {
                "trigger__pump_start": "0 s",
                **SLOW,
                "charger__resistance": "1 Gohm",
                "trigger__pump_speed": "200 L/min",
                "trigger__conductance": "1e4 L/min",
                "trigger__stop_pressure": "0.001 torr",
                "trigger__leak": None,
            },
            DOES_NOT_FIRE,
            physics.MISSED,
        ),
    ],
    ids=["start pressure too low", "race lost", "leak", "weak pump", "low charge", "pumped past the minimum"],
)
def test_failures_of_pressure_drop(changes: dict[str, Any], outcome: str, failure: str) -> None:
    found = stage("millpond", **changes)
    assert found.pressure_drop is not None
    assert (found.outcome, found.pressure_drop.firing.outcome) == (outcome, failure)
    assert found.next_step
    assert found.delay is None
    if outcome == FIRES_EARLY:
        assert found.firing_voltage < 9e3


def test_earliest_start_of_pumping_just_avoids_the_race() -> None:
    lost = stage("millpond", **SLOW, trigger__pump_start="0 s")
    assert lost.pressure_drop is not None
    earliest = lost.pressure_drop.firing.earliest_pump_start
    assert earliest is not None
    assert "too soon" in said(lost)
    for shift, outcome in ((-0.05, FIRES_EARLY), (0.05, FIRES)):
        assert stage("millpond", **SLOW, trigger__pump_start=f"{earliest + shift:.6f} s").outcome == outcome


def test_a_system_that_repeats_by_itself_is_warned_of() -> None:
    found = stage("millpond", charger__repeat_period="5 s")
    assert "without a human decision" in said(found)
    assert "less than charging, pumping and filling" in said(found)
    assert "less than" not in said(stage("millpond", charger__repeat_period="60 s"))


def test_lamps_side_by_side_share_no_bank_without_a_switch() -> None:
    lamp = tomllib.loads(machine.bench_text("millpond"))["lamps"]["reed"]
    found = stage(
        "millpond",
        lamps={"reed": lamp, "rush": lamp},
        loop__lamps_connected="parallel",
        chamber__reflector="close-wrapped diffuse",
        chamber__perimeter="120 mm",
    )
    assert "the others stay dark" in said(found)


def test_key_holds_what_the_stage_reads() -> None:
    """Nothing that moves the stage is missing from its key, and what does not reach it stays out."""
    base = inputs("millpond")
    moved = ("trigger.volume", "trigger.leak", "breakdowns.low.breakdown_pressure", "charger.resistance")
    for path in moved:
        entry = base.build.entries[path]
        assert isinstance(entry.value, float)
        assert trigger_key(base.varied(path, 1.1 * entry.value)) != trigger_key(base), path
    varied = base.varied("reference.trigger.breakdown_scale", 1.2)
    assert trigger_key(varied) != trigger_key(base)
    assert trigger_stage(varied).fill_pressure["reed"] < trigger_stage(base).fill_pressure["reed"]
    assert trigger_key(base.varied("dye.concentration", 0.05)) == trigger_key(base)


# Margins ------------------------------------------------------------------------------------------


def held_off(found: Inputs) -> dict[str, Stress]:
    """Rows of what holds the bank off."""
    return {row.key: row for row in trigger_stresses(found, trigger_stage(found))}


def test_gap_is_held_against_its_self_break() -> None:
    assert held_off(inputs("tidewater")) == {}
    (row,) = held_off(inputs("tidewater", trigger__self_break_voltage="12 kV")).values()
    assert (row.item, row.value, row.limit) == ("switch", 9.5e3, 12e3)
    assert row.limit_spread == pytest.approx(1.645 * 0.03, rel=1e-3)


def test_lamps_are_held_against_their_breakdown_at_the_end_of_the_charge() -> None:
    (row,) = held_off(inputs("millpond")).values()
    assert row.item == "lamps"
    assert row.limit is not None
    assert row.limit > 5 * row.value  # at 400 torr
    (race,) = held_off(inputs("millpond", trigger__pump_start="0 s", **SLOW)).values()
    assert race.limit is not None
    assert race.limit < race.value  # pumped far down by then
    wire = inputs("millpond", trigger__method="external wire")
    (row,) = held_off(wire).values()
    held = trigger_stage(wire).hold_off
    assert held is not None
    assert row.limit == held.value < row.value
