"""The discharge kernel against exact circuits and against the reference table of the square-root law.

The rows of the table are [computed] by an independent integration of the normalised equation of Markiewicz and Emmett,
IEEE J. Quantum Electron. QE-2, 707 (1966); digits as converged.
"""

from __future__ import annotations

import numpy as np
import pytest

from pulsewright.physics.lamp.discharge import Discharge, LampGroup, discharge
from pulsewright.physics.lamp.discharge_kernel import EXTINCTION
from pulsewright.physics.lamp.tables import PlasmaTables, spectral_bands

#: alpha: peak current, time of peak, width at half, at a third, at a tenth; reversal over peak.
REFERENCE = {
    0.40: (0.7033, 1.4329, 2.1003, 2.4740, 2.9732, 0.3413),
    0.60: (0.5899, 1.3617, 2.1104, 2.4948, 3.0307, 0.1052),
    0.80: (0.4956, 1.2902, 2.1285, 2.5328, 3.1467, 0.0022),
    1.00: (0.4175, 1.2193, 2.1585, 2.5976, 3.3884, 0.0),
    1.20: (0.3531, 1.1498, 2.2057, 2.7045, 4.0090, 0.0),
    2.00: (0.1901, 0.8981, 2.7446, 4.0490, 10.296, 0.0),
}
CAPACITANCE, INDUCTANCE, VOLTAGE = 100e-6, 1e-6, 20e3
SCALE = np.sqrt(INDUCTANCE * CAPACITANCE)
IMPEDANCE = np.sqrt(INDUCTANCE / CAPACITANCE)


def constant_tables(resistivity: float) -> PlasmaTables:
    """Tables of a column whose resistivity never changes and which sends out no light."""
    size, radii, bands = 40, 8, len(spectral_bands()[0])
    return PlasmaTables(
        number_density=1e24,
        mass_density=0.7,
        log_energy=(5.0, 0.5),
        log_radius=(-11.0, 1.0),
        temperature=np.geomspace(3e3, 1e5, size),
        electron_density=np.full(size, 1e23),
        log_resistivity=np.full(size, np.log(resistivity)),
        log_exitance=np.full((size, radii), -60.0),
        log_absorption=np.full((size, bands), -60.0),
        logarithm=np.full(size, 3.0),
    )


def group(resistance: float, count: int = 1, length: float = 0.2, impedance: float = 0.0) -> LampGroup:
    """Lamps of a constant resistance each, filled from the start."""
    bore = 10e-3
    tables = constant_tables(resistance * np.pi * bore**2 / 4 / length)
    return LampGroup(count, length, bore, tables, bore / 2, 8000.0, 1.0, 0.0, impedance)


def run(lamps: list[LampGroup], parallel: bool = False, law: bool = False, samples: int = 6000) -> Discharge:
    """The common circuit without losses of its own."""
    return discharge(
        CAPACITANCE, INDUCTANCE, 0.0, 0.0, 0.0, VOLTAGE, lamps, parallel, law, samples=samples, tolerance=1e-8
    )


@pytest.mark.parametrize("ratio", [0.1, 0.5, 1.5])
def test_resistor_rings_exactly(ratio: float) -> None:
    """A series RLC circuit: i = V/(w L) exp(-R t / 2 L) sin(w t), w^2 = 1/LC - (R/2L)^2 (textbook)."""
    resistance = ratio * IMPEDANCE
    found = run([group(resistance)])
    damping = resistance / (2 * INDUCTANCE)
    omega = np.sqrt(1 / SCALE**2 - damping**2)
    exact = VOLTAGE / (omega * INDUCTANCE) * np.exp(-damping * found.time) * np.sin(omega * found.time)
    # the last step before the current goes out is drawn flat at its end
    flowing = found.time < min(0.95 * found.ended if found.ended > 0 else np.inf, 10 * SCALE)
    assert np.max(np.abs(found.current - exact)[flowing]) < 1e-5 * exact.max()
    assert sum(found.energies.values()) == pytest.approx(0.5 * CAPACITANCE * VOLTAGE**2, rel=1e-6)


@pytest.mark.parametrize("alpha", sorted(REFERENCE))
def test_square_root_law_gives_the_reference_table(alpha: float) -> None:
    impedance = alpha * np.sqrt(VOLTAGE * IMPEDANCE)
    found = run([group(0.1, impedance=impedance)], law=True)
    peak, when, half, third, tenth, reversal = REFERENCE[alpha]
    current, time = found.current * IMPEDANCE / VOLTAGE, found.time / SCALE
    # the kernel rounds the law off below 1 A: a few parts in 1e5 at these tens of kiloamperes
    assert current.max() == pytest.approx(peak, rel=2e-3)
    assert time[int(np.argmax(current))] == pytest.approx(when, abs=0.01)
    for level, width in ((0.5, half), (1 / 3, third), (0.1, tenth)):
        assert width_at(time, current, level) == pytest.approx(width, rel=4e-3)
    found_reversal = -current.min() / current.max()
    if reversal < EXTINCTION:
        # known deviation: a current below 1 % of its peak goes out, so a reversal that small is not seen
        assert 0 <= found_reversal <= reversal + 6e-4
    else:
        assert found_reversal == pytest.approx(reversal, abs=6e-4)


def width_at(time: np.ndarray, current: np.ndarray, level: float) -> float:
    """Width of the first pulse at a part of its peak."""
    top = int(np.argmax(current))
    wanted = level * current[top]
    rise = np.interp(wanted, current[: top + 1], time[: top + 1])
    after = top + int(np.argmax(current[top:] < wanted))
    fall = np.interp(-wanted, -current[after - 1 : after + 1], time[after - 1 : after + 1])
    return float(fall - rise)


def test_two_lamps_in_series_are_one_of_twice_the_length() -> None:
    two = run([group(0.05, count=2)])
    one = run([group(0.1, length=0.4)])
    assert two.current == pytest.approx(one.current, rel=1e-7, abs=1e-3)
    assert two.group_energy[0] == pytest.approx(one.group_energy[0], rel=1e-7)


def test_parallel_lamps_share_and_groups_do_not_matter() -> None:
    together = run([group(0.2, count=2)], parallel=True)
    apart = run([group(0.2), group(0.2)], parallel=True)
    single = run([group(0.1)])
    for found in (together, apart):
        current = np.interp(single.time, found.time, found.current)
        flowing = single.time < 0.9 * single.ended  # where each run lets its current go out may differ by a step
        assert np.max(np.abs(current - single.current)[flowing]) < 1e-5 * single.current.max()
        assert found.charge == pytest.approx(single.charge, rel=5e-4)  # the same step
    assert apart.group_energy[0] == pytest.approx(apart.group_energy[1], rel=1e-9)
    assert apart.peak_current_density[0] == pytest.approx(single.peak_current_density[0] / 2, rel=1e-3)


def test_unlike_parallel_lamps_share_by_conductance() -> None:
    found = run([group(0.1), group(0.3)], parallel=True)
    assert found.group_energy[0] == pytest.approx(3 * found.group_energy[1], rel=1e-6)


def test_the_arc_stops_at_the_wall() -> None:
    lamp = group(0.05)
    thin = LampGroup(1, lamp.length, lamp.bore, lamp.tables, 0.5e-3, 8000.0, 1.0, 0.0, 0.0)
    usual, tight = (
        discharge(CAPACITANCE, INDUCTANCE, 0.0, 0.0, 0.0, VOLTAGE, [thin], tolerance=tolerance)
        for tolerance in (1e-6, 1e-9)
    )
    assert usual.arc_radius.max() <= lamp.bore / 2 * (1 + 1e-6)
    assert usual.arc_radius[-1, 0] == pytest.approx(lamp.bore / 2, rel=1e-6)
    assert usual.filled[0] == pytest.approx(tight.filled[0], rel=1e-4)
