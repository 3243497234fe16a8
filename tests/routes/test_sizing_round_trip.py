"""A bank designed for alpha = 0.8 by the square-root law, simulated by the engine with that law, gives the design back.

The reference solution (peak, widths, rise, reversal) is an independent integration of the normalised equation of
Markiewicz and Emmett; the circuit rows are that solution scaled: both are computed, not published.
"""

from __future__ import annotations

import pytest

from pulsewright import machine as machines
from pulsewright.engine.chain import Chain
from pulsewright.engine.inputs import inputs_of
from pulsewright.physics.pulsed_power.circuit import (
    circuit_impedance,
    damping_parameter,
    design_single_mesh,
    time_scale,
)
from pulsewright.physics.pulsed_power.network_design import design_network
from pulsewright.studies.pulse_figures import pulse_of

#: E0 J, tp = 3 T in s, K0, then what must come out: C uF, L uH, V0 V, I_pk A. Computed rows; they guard the code.
ROWS = [
    (100.0, 300e-6, 20.0, 172.355, 58.020, 1077.22, 920.1),
    (10.0, 5e-6, 15.0, 7.6602, 0.36262, 1615.83, 3680.6),
]
#: Normalised reference at alpha = 0.8: peak, time of peak, widths at a half and a third, rise, reversal.
REFERENCE = (0.4956, 1.2902, 2.1285, 2.5328, 0.8018, 0.0022)


def lossless(impedance_parameter: float) -> machines.Build:
    """A bench whose two lamps in series have this K0 together, without any other loss in the loop."""
    build = machines.load_text(machines.bench_text("tidewater")).build
    assert build is not None
    changes = {
        "trigger.method": "ideal",
        "switch.kind": "none",
        "switch.resistance": "0 ohm",
        "switch.drop": "0 V",
        "loop.resistance": "0 ohm",
        "loop.lamp_law": "square-root law",
    }
    for lamp in build.machine.lamps:
        length = impedance_parameter / 2 / 1.28 * 10.0  # mm, at a bore of 10 mm and 450 torr
        changes |= {
            f"lamps.{lamp}.bore": "10 mm",
            f"lamps.{lamp}.arc_length": f"{length!r} mm",
            f"lamps.{lamp}.fill_pressure": "450 torr",
            f"lamps.{lamp}.electrode_drop": "0 V",
        }
    return build.override(changes)


@pytest.mark.parametrize(("energy", "length", "k0", "farad", "henry", "volts", "amperes"), ROWS)
def test_design_and_simulation_agree(
    energy: float, length: float, k0: float, farad: float, henry: float, volts: float, amperes: float
) -> None:
    mesh = design_single_mesh(energy, length, k0, 0.8, "three time scales")
    assert mesh.capacitance * 1e6 == pytest.approx(farad, rel=1e-5)
    assert mesh.inductance * 1e6 == pytest.approx(henry, rel=1.4e-5)
    assert mesh.charge_voltage == pytest.approx(volts, rel=1e-5)

    build = lossless(k0).override(
        {
            "bank.capacitance": f"{mesh.capacitance!r} F",
            "loop.inductance": f"{mesh.inductance!r} H",
            "bank.charge_voltage": f"{mesh.charge_voltage!r} V",
        }
    )
    pulse = pulse_of(inputs_of(build), Chain()).figures
    z0 = circuit_impedance(mesh.inductance, mesh.capacitance)
    scale = time_scale(mesh.inductance, mesh.capacitance)
    peak, at, half, third, rise, reversal = REFERENCE

    # the kernel rounds the law off below 1 A, which moves the peak by less than 1e-3
    assert pulse["peak_current"] == pytest.approx(amperes, rel=1e-3)
    assert pulse["peak_current"] * z0 / mesh.charge_voltage == pytest.approx(peak, rel=1e-3)
    # the waveform is kept at 360 points: a width is good to a quarter of a per cent
    assert pulse["time_of_peak"] / scale == pytest.approx(at, rel=0.03)
    assert pulse["width_half"] / scale == pytest.approx(half, rel=2.5e-3)
    assert pulse["width_third"] / scale == pytest.approx(third, rel=2.5e-3)
    assert pulse["rise_time"] / scale == pytest.approx(rise, rel=1e-2)
    # the engine's lamp goes out below a hundredth of the peak, so a reversal as small as this is not followed
    assert 0.0 <= pulse["reversal"] <= reversal + 2e-4
    assert pulse["lamp_energy"] == pytest.approx(energy, rel=2e-3)
    assert damping_parameter(k0, mesh.charge_voltage, z0) == pytest.approx(0.8, rel=1e-9)


def test_alpha_comes_back_from_the_peak() -> None:
    """Between alpha 0.7 and 0.9 the normalised peak falls from 0.5405 to 0.4547, so a peak tells alpha."""
    found = []
    for alpha in (0.7, 0.8, 0.9):
        mesh = design_single_mesh(100.0, 300e-6, 20.0, alpha, "three time scales")
        build = lossless(20.0).override(
            {
                "bank.capacitance": f"{mesh.capacitance!r} F",
                "loop.inductance": f"{mesh.inductance!r} H",
                "bank.charge_voltage": f"{mesh.charge_voltage!r} V",
            }
        )
        z0 = circuit_impedance(mesh.inductance, mesh.capacitance)
        found.append(pulse_of(inputs_of(build), Chain()).figures["peak_current"] * z0 / mesh.charge_voltage)
    assert found == pytest.approx([0.5405, 0.4956, 0.4547], rel=1e-3)


def test_a_reversal_that_matters_comes_back() -> None:
    """At alpha 0.6 the current reverses to 0.1052 of its peak and the bank to 0.1983 of its voltage."""
    mesh = design_single_mesh(10.0, 5e-6, 15.0, 0.6, "three time scales")
    build = lossless(15.0).override(
        {
            "bank.capacitance": f"{mesh.capacitance!r} F",
            "loop.inductance": f"{mesh.inductance!r} H",
            "bank.charge_voltage": f"{mesh.charge_voltage!r} V",
        }
    )
    pulse = pulse_of(inputs_of(build), Chain()).figures
    assert pulse["reversal"] == pytest.approx(0.1052, rel=5e-3)
    assert pulse["voltage_reversal"] == pytest.approx(0.1983, rel=5e-3)


def test_a_network_gives_its_length_and_current_back() -> None:
    """Ten equal sections and a matched square-root-law lamp: the flat, its length at half, and all of the energy. The
    overshoot of the first section and the rounded end are worth some per cent."""
    network = design_network(1000.0, 400e-6, 60.0, 10)
    build = lossless(60.0).override(
        {
            "loop.network": "pulse-forming network",
            "loop.sections": "10",
            "loop.section_inductance": f"{network.section_inductance!r} H",
            "loop.inductance": f"{network.section_inductance!r} H",
            "bank.capacitance": f"{network.capacitance!r} F",
            "bank.charge_voltage": f"{network.charge_voltage!r} V",
        }
    )
    inputs, chain = inputs_of(build), Chain()
    pulse = pulse_of(inputs, chain).figures
    assert pulse["lamp_energy"] == pytest.approx(1000.0, rel=0.02)
    assert pulse["width_half"] == pytest.approx(400e-6, rel=0.05)
    record = chain.discharge(inputs)[1].record
    flat = (record.time > 0.3 * 400e-6) & (record.time < 0.7 * 400e-6)
    assert record.current[flat].mean() == pytest.approx(network.current, rel=0.02)
    assert pulse["peak_current"] == pytest.approx(network.current, rel=0.15)
