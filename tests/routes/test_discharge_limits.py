"""Limits of the discharge circuits that have a closed form, and what each part of a circuit is there for."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest
from constant_column import constant_tables
from numpy.typing import NDArray
from scipy.linalg import expm

from pulsewright import machine
from pulsewright.engine.electric import discharge_stage
from pulsewright.engine.inputs import inputs_of
from pulsewright.engine.lamp_circuit import lamp_circuit
from pulsewright.engine.trigger import trigger_stage
from pulsewright.physics.lamp.discharge import (
    Branch,
    Crowbar,
    Discharge,
    LampGroup,
    Network,
    SparkChannel,
    Switch,
    discharge,
)
from pulsewright.physics.lamp.simmer import steady_arc

Float = NDArray[np.float64]


def resistor(resistance: float, **changes: float) -> LampGroup:
    """A lamp that is a resistor, filled from the start."""
    tables = constant_tables(resistance * np.pi * 10e-3**2 / 4 / 0.2)
    lamp = LampGroup(1, 0.2, 10e-3, tables, 5e-3, 8000.0, 1.0, 0.0)
    return replace(lamp, **changes)


def ladder(sections: int, resistance: float, coil: float = 0.01, samples: int = 4000) -> tuple[Discharge, Float]:
    """A ladder of 1 uF and 1 uH into a resistor, and the exact current at the same times."""
    capacitance = inductance = 1e-6
    found = discharge(
        Network((capacitance,) * sections, inductance, coil),
        [Branch(inductance, coil)],
        [resistor(resistance)],
        1000.0,
        samples=samples,
        tolerance=1e-9,
        most_steps=50_000,
        stop_fraction=0.0,
        duration=4e-6 * sections,
    )
    # state: voltages, coil currents (the last one is the load's); linear, so exp(A t) is exact
    n = sections
    matrix = np.zeros((2 * n, 2 * n))
    for p in range(n):
        matrix[p, n + p] -= 1 / capacitance
        if p:
            matrix[p, n + p - 1] += 1 / capacitance
        matrix[n + p, p] = 1 / inductance
        if p + 1 < n:
            matrix[n + p, p + 1] = -1 / inductance
        matrix[n + p, n + p] = -(coil + (resistance if p == n - 1 else 0.0)) / inductance
    state = np.concatenate([np.full(n, 1000.0), np.zeros(n)])
    step = found.time[1]
    forward, exact = expm(matrix * step), np.empty(len(found.time))
    for k in range(len(exact)):
        exact[k] = state[-1]
        state = forward @ state
    return found, exact


@pytest.mark.parametrize("sections", [1, 2, 6, 20])
@pytest.mark.parametrize("resistance", [0.3, 1.0, 3.0])
def test_a_ladder_into_a_resistor_is_the_exact_one(sections: int, resistance: float) -> None:
    found, exact = ladder(sections, resistance)
    burning = ~(found.time > found.ended - 1e-9)  # a current that dies away below one ampere goes out
    assert np.ptp(np.diff(found.time[burning])) < 1e-12
    assert np.max(np.abs(found.current - exact)[burning]) < 1e-5 * np.max(np.abs(exact))
    assert burning.mean() > 0.7


def test_a_current_that_flows_for_long_keeps_its_first_peak() -> None:
    """Ten times the impedance of the loop: up within L / R, down over R C, followed 160 sqrt(L C) on the usual axis."""
    capacitance, inductance, resistance = 1e-6, 1e-6, 10.0
    found = discharge(
        Network((capacitance,)), [Branch(inductance)], [resistor(resistance)], 1000.0, duration=160e-6, to_the_end=True
    )
    fast, slow = np.roots([inductance, resistance, 1 / capacitance])
    top = np.log(slow / fast) / (fast - slow)
    peak = 1000.0 / inductance / (fast - slow) * (np.exp(fast * top) - np.exp(slow * top))
    # points lie 0.11 sqrt(L C) apart there, and the highest may lie between two; evenly spread it would be 0.44 and 2 %
    assert np.max(found.current) == pytest.approx(peak, rel=2e-3)
    assert len(found.time) == 360
    assert np.all(np.diff(found.time) > 0)
    assert found.charge == pytest.approx(capacitance * (1000.0 - found.bank_voltage[-1]), rel=2e-3)
    assert found.action == pytest.approx(0.5 / resistance, rel=2e-3)


def test_a_matched_ladder_gives_a_flat_pulse_of_twice_its_transit() -> None:
    """Half the voltage across the load, for 2 n sqrt(L C): textbook line, to the ripple of a line of few sections."""
    found, _ = ladder(20, 1.0, coil=0.0)
    flat = (found.time > 5e-6) & (found.time < 35e-6)
    assert found.current[flat].mean() == pytest.approx(500.0, rel=0.02)
    above = found.time[found.current > 250.0]
    assert above[-1] - above[0] == pytest.approx(2 * 20 * 1e-6, rel=0.05)


def law(alpha: float, parallel: bool = False, **changes: float) -> Discharge:
    """Square-root law in 100 uF, 1 uH, 20 kV, at a damping."""
    impedance = alpha * np.sqrt(20e3 * 0.1)
    lamp = replace(resistor(0.1), impedance=impedance, **changes)
    return discharge(
        Network((100e-6,)), [Branch(1e-6, parallel=parallel)], [lamp], 20e3, law="square-root law", duration=100e-6
    )


@pytest.mark.parametrize("parallel", [False, True])
def test_alpha_of_zero_rings_without_loss(parallel: bool) -> None:
    found = law(0.0, parallel)
    exact = 20e3 / 0.1 * np.sin(found.time / 10e-6)
    assert np.max(np.abs(found.current - exact)) < 2e-3 * 20e4
    assert found.reversal == pytest.approx(1.0, abs=1e-3)
    assert found.energies["lamp column"] < 1e-3 * 20e3
    assert found.outcome == "time limit"


@pytest.mark.parametrize("parallel", [False, True])
def test_alpha_of_fifty_creeps(parallel: bool) -> None:
    """Fact sheet 2.4: i = (v / alpha)^2 with v = 1 / (1 + tau / alpha^2), for damping far above one."""
    found = law(50.0, parallel)
    later = found.time > 1e-6
    tau = found.time[later] / 10e-6
    exact = 20e4 * (1 / (1 + tau / 2500) / 50) ** 2
    # the law is rounded below one ampere: half an ampere at 80
    assert found.current[later] == pytest.approx(exact, rel=0.02)
    assert np.all(np.isfinite(found.temperature))
    assert found.outcome in ("time limit", "step limit")


def test_a_steeper_law_reverses_more() -> None:
    """Fact sheet 2.4: designed to alpha = 0.8 by the square-root law, ruled by exponent 0.85 above 1.1 kA/cm^2.

    Both need the same voltage at the peak of the design; below it the steep one needs less, damps the end of the pulse
    less, and reverses more.
    """
    impedance = np.sqrt(20e3 * 0.1)
    at_peak = 0.4956 * 20e4  # alpha = 0.8
    lamp = replace(resistor(0.1), impedance=0.8 * impedance)
    circuit = Network((100e-6,)), [Branch(1e-6)]
    root = discharge(*circuit, [lamp], 20e3, law="square-root law", stop_fraction=0.0, duration=250e-6)
    steep = []
    for exponent in (0.65, 0.85, 1.0):
        # the same voltage at the design's peak current, the steeper exponent from a tenth of it on
        joined = 0.1 * at_peak
        matched = 0.8 * impedance * np.sqrt(at_peak) / (np.sqrt(joined) * (at_peak / joined) ** exponent)
        other = replace(lamp, impedance=matched, joining_current=joined)
        found = discharge(
            *circuit, [other], 20e3, law="steep law", exponent=exponent, stop_fraction=0.0, duration=250e-6
        )
        steep.append(max(0.0, -found.bank_voltage.min()) / 20e3)
    usual = max(0.0, -root.bank_voltage.min()) / 20e3
    assert usual == pytest.approx(0.0268, abs=1e-3)
    assert usual < steep[0] < steep[1] < steep[2]
    assert steep[1] > 3 * usual


def test_unlike_drops_side_by_side_each_keep_their_own() -> None:
    """V = R i + D for each; the lamp of high drop is dark while the other stays below it."""
    low, high = resistor(0.2, electrode_drop=20.0), resistor(0.1, electrode_drop=200.0)
    found = discharge(
        Network((100e-6,)), [Branch(10e-6, 0.02, parallel=True)], [low, high], 4000.0, samples=3000, tolerance=1e-9
    )
    first, second = found.group_current.T
    whole = first + second
    assert whole == pytest.approx(found.current, abs=1e-6 * found.current.max())
    fade = np.tanh(np.abs(found.current))
    both = second > 1.0
    assert np.any(both)
    assert np.any(~both & (first > 100.0))
    assert (0.2 * first + 20 * fade)[both] == pytest.approx((0.1 * second + 200 * fade)[both], rel=1e-9)
    assert np.all((0.2 * first + 20 * fade)[~both & (found.current > 1.0)] < 200.0)
    paid = np.trapezoid((20 * np.abs(first) + 200 * np.abs(second)) * fade, found.time)
    assert found.energies["electrodes"] == pytest.approx(paid, rel=1e-3)


def test_a_thin_arc_adds_its_inductance() -> None:
    """mu0 l / (2 pi) ln(a_bore / a): a resistor of 1 mm in a bore of 10 mm rings slower by the root of the sum."""
    thin = resistor(0.02, channel_radius=1e-3, growth_factor=1e-9)
    thin = replace(thin, tables=constant_tables(0.02 * np.pi * 1e-3**2 / 0.2))
    found = discharge(Network((1e-6,)), [Branch(0.1e-6)], [thin], 10e3, samples=4000, tolerance=1e-9)
    added = 2e-7 * 0.2 * np.log(5.0)
    inductance = 0.1e-6 + added
    damping = 0.02 / (2 * inductance)
    omega = np.sqrt(1 / (inductance * 1e-6) - damping**2)
    exact = 10e3 / (omega * inductance) * np.exp(-damping * found.time) * np.sin(omega * found.time)
    flowing = found.time < 3e-6
    assert np.max(np.abs(found.current - exact)[flowing]) < 2e-4 * exact.max()
    assert added > 0.3 * 0.1e-6


def test_a_clamp_keeps_the_bank_from_reversing() -> None:
    lamp = resistor(0.02)
    bare = discharge(Network((100e-6,)), [Branch(1e-6)], [lamp], 1000.0)
    clamp = Crowbar("clamp diode", 0.005, 10.0)
    clamped = discharge(Network((100e-6,), crowbar=clamp), [Branch(1e-6)], [lamp], 1000.0)
    assert bare.bank_voltage.min() < -300.0
    assert clamped.bank_voltage.min() > -10.0 - 0.005 * 1.01 * clamped.current.max()
    assert clamped.reversal < 1e-3
    assert clamped.energies["crowbar"] > 0
    # the current runs on through diode and lamp, falling by R / L
    late = clamped.time > clamped.time[np.argmax(clamped.bank_voltage < -10.0)] + 5e-6
    slope = np.gradient(clamped.current, clamped.time)
    flowing = late & (clamped.current > 0.05 * clamped.current.max())
    assert slope[flowing] == pytest.approx(-(0.025 * clamped.current[flowing] + 10.0) / 1e-6, rel=0.05)


def test_a_crowbar_ends_the_pulse() -> None:
    lamp = resistor(1.0)
    free = discharge(Network((100e-6,)), [Branch(1e-6)], [lamp], 1000.0)
    crowbar = Crowbar("crowbar switch", 0.05, 20.0, 20e-6)
    cut = discharge(Network((100e-6,), crowbar=crowbar), [Branch(1e-6)], [lamp], 1000.0)
    assert cut.group_energy[0] < 0.5 * free.group_energy[0]
    assert np.interp(60e-6, cut.time, cut.bank_voltage) < 40.0 < np.interp(60e-6, free.time, free.bank_voltage)
    before = free.time < 19e-6
    assert np.interp(free.time[before], cut.time, cut.current) == pytest.approx(
        free.current[before], abs=0.01 * free.current.max()
    )


def test_a_fast_gap_keeps_kilovolts() -> None:
    """Kimura, Kushner, Crawford and Byron: a 50 kV, 18 kA, 100 ns gap kept several kilovolts across it.

    Order of magnitude: the law of growth is of free sparks in air, its gap was laser-triggered and pressurised.
    """
    gap = SparkChannel(50e3 / 3e6, 2e4, 1.2, 50e-6)
    found = discharge(
        Network((100e-9,)),
        [Branch(100e-9, 0.0)],
        [resistor(1.2)],
        50e3,
        Switch(0.0, 40.0, gap),
        samples=4000,
        duration=150e-9,
    )
    assert found.current.max() == pytest.approx(18e3, rel=0.2)
    slope = np.gradient(found.current, found.time)
    kept = found.bank_voltage - 1.2 * found.current - 100e-9 * slope
    flat = (found.time > 60e-9) & (found.time < 120e-9)
    assert 1e3 < kept[flat].mean() < 15e3
    assert np.all(np.diff(kept[flat]) < 0), "a widening channel needs less and less"


@pytest.mark.parametrize("pressure", [50.0, 450.0])
def test_steady_arc_balances_and_falls(pressure: float) -> None:
    """More keep-alive current: a wider arc, a lower field (Arya et al. 2000 for the sense)."""
    tables = circuit({"lamps.east.fill_pressure": f"{pressure} torr", "lamps.west.fill_pressure": f"{pressure} torr"})
    arcs = [steady_arc(tables.groups[0].tables, current, 7e-3) for current in (0.03, 0.3, 3.0)]
    radii, kelvins, fields = zip(*arcs, strict=True)
    assert radii[0] < radii[1] < radii[2] < 3.5e-3
    assert fields[0] > fields[1] > fields[2]
    assert all(4000 < kelvin < 12_000 for kelvin in kelvins)


def circuit(changes: dict[str, str]):  # type: ignore[no-untyped-def]
    build = machine.load_text(machine.bench_text("tidewater")).build
    assert build is not None
    inputs = inputs_of(build.override(changes))
    return lamp_circuit(inputs, trigger_stage(inputs))


def stage(changes: dict[str, str]):  # type: ignore[no-untyped-def]
    build = machine.load_text(machine.bench_text("tidewater")).build
    assert build is not None
    inputs = inputs_of(build.override(changes))
    return discharge_stage(inputs, trigger_stage(inputs))


SIMMER = {"trigger.method": "simmer", "trigger.simmer_current": "1 A"}
PREPULSE = {
    "trigger.method": "pre-pulse",
    "trigger.prepulse_capacitance": "100 nF",
    "trigger.prepulse_voltage": "9 kV",
    "trigger.prepulse_inductance": "2 uH",
    "trigger.prepulse_delay": "10 us",
}


def test_a_simmered_lamp_starts_from_its_steady_arc() -> None:
    found = stage(SIMMER)
    radius, temperature, _ = steady_arc(found.groups[0].tables, 1.0, 7e-3)
    assert found.record.arc_radius[0, 0] == pytest.approx(radius, rel=1e-9)
    assert found.record.temperature[0, 0] == pytest.approx(temperature, rel=1e-3)


def test_a_main_pulse_starts_from_what_the_pre_pulse_left() -> None:
    found = stage(PREPULSE)
    first = found.prepulse
    assert first is not None
    assert first.time[-1] == pytest.approx(10e-6)
    assert sum(first.energies.values()) == pytest.approx(0.5 * 100e-9 * 9e3**2, rel=1e-4)
    assert found.record.arc_radius[0, 0] == pytest.approx(first.arc_radius[-1, 0], rel=1e-9)
    assert found.record.energy_per_length[0, 0] == pytest.approx(first.energy_per_length[-1, 0], rel=1e-9)
    assert sum(found.record.energies.values()) == pytest.approx(found.stored_energy, rel=1e-4)
    usual = stage({})
    # a channel made ready lets the current rise sooner
    assert found.record.time[np.argmax(found.record.current)] < usual.record.time[np.argmax(usual.record.current)]


def test_reversal_is_that_of_what_a_capacitor_gives() -> None:
    """A shared bank sees the sum of two unlike loops; a capacitor of its own sees its own loop."""
    calm, ringing = resistor(2.0), resistor(0.02)
    loops, lamps = [Branch(1e-6), Branch(1e-6)], [calm, replace(ringing, branch=1)]
    shared = discharge(Network((2e-6,)), loops, lamps, 1000.0)
    total = shared.branch_current.sum(axis=1)
    assert shared.reversal == pytest.approx(-total.min() / total.max(), rel=1e-3)
    rings = shared.branch_current[:, 1]
    assert abs(shared.reversal + rings.min() / rings.max()) > 0.01
    own = discharge(Network(()), [replace(loop, capacitance=1e-6) for loop in loops], lamps, 1000.0)
    alone = discharge(Network((1e-6,)), [Branch(1e-6)], [ringing], 1000.0)
    assert own.reversal == pytest.approx(alone.reversal, rel=1e-3)
