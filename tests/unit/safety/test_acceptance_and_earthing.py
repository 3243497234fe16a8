"""Acceptance lists and the earthing plan: made from the build file, with numbers one can measure."""

from __future__ import annotations

import re

import numpy as np
import pytest

from pulsewright import machine
from pulsewright.records import Value
from pulsewright.safety.acceptance import GLOW, LOSS_FACTOR, acceptance, steps_of
from pulsewright.safety.earthing import earthing_plan, steepest_rise


@pytest.mark.parametrize("name", machine.BENCHES)
def test_every_step_says_what_counts_as_passed_and_every_list_what_can_hurt(bench, name) -> None:
    lists = acceptance(bench(name))
    assert [row.item for row in lists] == ["bank", "lamps", "dump"]
    for row in lists:
        assert "Local codes and licensed practice decide." in row.caution
        assert len(row.steps) >= 5
        for step in row.steps:
            assert step.accept
            assert step.source
            assert "!" not in str(step)
            assert not str(step).endswith("..")


def test_capacitor_list_carries_the_numbers_of_the_bank(bench) -> None:
    words = " ".join(str(step) for step in acceptance(bench())[0].steps)
    assert "rated 15.0 kV or more" in words
    assert "4.00 uF within 5 %" in words
    assert f"{LOSS_FACTOR['film']:g} for film" in words
    assert "398 mohm" in words  # 0.01 / (2 pi 1 kHz 4 uF)
    # a fourth of the voltage through a divider of 1 Gohm: exp(-60 s / 4000 s), nine tenths of it
    divided = bench(meter__upper_resistance="1 Gohm", meter__lower_resistance="100 kohm")
    left = 0.9 * 9.5e3 / 4 * np.exp(-60 / (1e9 * 4e-6))
    assert f"at least {left / 1e3:.2f} kV left" in " ".join(str(s) for s in acceptance(divided)[0].steps)


def test_steps_of_a_voltage_test_say_voltage_and_energy() -> None:
    found = re.findall(r"([\d.]+) % of the voltage, ([\d.]+) % of the energy", steps_of(9.5e3))
    assert [float(v) for v, _ in found] == [25, 50, 75, 100]
    assert [float(e) for _, e in found] == pytest.approx([6.25, 25, 56.25, 100], rel=0.01)


def test_lamp_list_knows_the_gas_and_a_pumped_lamp_is_leak_tested(bench) -> None:
    assert GLOW["xenon"] in " ".join(str(step) for step in acceptance(bench())[1].steps)
    pumped = bench("millpond", trigger__leak="1e-4 Pa*m^3/s", trigger__volume="0.5 L")
    words = " ".join(str(step) for step in acceptance(pumped)[1].steps)
    assert "argon violet" in words
    assert "0.900 torr" in words  # 1e-4 x 600 s / 0.5 L = 120 Pa
    assert "Glow again after a week" in " ".join(str(step) for step in acceptance(bench())[1].steps)


@pytest.mark.parametrize("name", machine.BENCHES)
def test_plan_names_the_parts_of_the_bench(bench, name) -> None:
    build = bench(name)
    plan = earthing_plan(build)
    parts = " ".join(row.part for row in plan.rows)
    for lamp in build.machine.lamps:
        assert lamp in parts
    assert "earth stick" in parts
    rules = " ".join(plan.rules)
    assert "laptop" in rules
    assert "protective earths stay connected" in rules


def test_bounce_is_the_lead_times_the_steepest_rise(bench, bare) -> None:
    build = bare(loop__earth_inductance="300 nH")
    plan = earthing_plan(build)
    assert plan.slope == pytest.approx(9.5e3 / 1.5e-6)
    assert plan.bounce == pytest.approx(300e-9 * 9.5e3 / 1.5e-6)
    assert "1.90 kV" in " ".join(plan.rules)
    assert earthing_plan(bare()).bounce is None
    assert "100 nH" in " ".join(earthing_plan(bare()).rules)


def test_slope_of_a_shot_counts_where_there_is_one(bench, shot) -> None:
    import dataclasses

    made = shot()
    summary = {**made.summary, "steepest_rise": Value(2e9, "A/s")}
    slope, basis = steepest_rise(bench().machine, 9.5e3, dataclasses.replace(made, summary=summary))
    assert slope == pytest.approx(2e9)
    assert "shot" in basis


def test_parts_that_are_missing_are_not_earthed(bench, bare) -> None:
    plan = earthing_plan(bare(dump__resistance="unknown"))
    assert not [row for row in plan.rows if row.part in ("dump", "meter")]
    assert "light guide" not in " ".join(earthing_plan(bench("millpond")).rules)
    assert "light guide" in " ".join(earthing_plan(bare()).rules)
