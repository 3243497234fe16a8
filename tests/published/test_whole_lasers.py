"""Published flashlamp-pumped dye lasers: what is known of them, and the envelope in which they lie.

No published laser has a complete set of inputs, so none is computed. What is left are relations between printed
figures, and the envelope of efficiencies against which our own benches are held.

Sources. Medical 585 nm laser: Nilsen et al. 1996, abstract (fluence, spot, duration). From memory: Baltakov, Barikhin,
Sukhanov, JETP Lett. 19 (1974) 174; Fort and Moulin, Appl. Opt. 26 (1987) 1246; Mazzinghi et al., IEEE J. Quantum
Electron. 17 (1981) 2245; Loth and Megie, J. Phys. E 7 (1974) 80.
Efficiencies, from memory: 0.05 to 0.3 % small heads, 0.4 to 0.8 % good rhodamine 6G heads, above 1 % exceptional.
"""

from __future__ import annotations

from functools import cache

import pytest

from pulsewright import machine, refdata
from pulsewright.engine.chain import Chain
from pulsewright.physics.beam.bore_filling import mean_fluence
from pulsewright.physics.thermal.settling import acoustic_transit_time
from pulsewright.records import Shot
from pulsewright.studies.shot import compute_shot

ENVELOPE = (0.0005, 0.010)
#: case -> output J, duration s, efficiency.
CASES = {
    "Baltakov 1974": (400.0, 10e-6, 0.008),
    "Fort and Moulin 1987": (40.0, 7e-6, 0.004),
    "Mazzinghi 1981": (4.0, 5e-6, 0.008),
}


@pytest.mark.parametrize(("energy", "diameter", "fluence"), [(1.18, 5e-3, 6.0), (1.96, 5e-3, 10.0), (5.9, 10e-3, 7.5)])
def test_energy_at_the_skin_from_fluence_and_spot(energy: float, diameter: float, fluence: float) -> None:
    # two digits are printed
    assert mean_fluence(energy, diameter) / 1e4 == pytest.approx(fluence, rel=0.01)


@pytest.mark.parametrize("case", CASES)
def test_pulses_end_before_sound_crosses_a_wide_bore(case: str) -> None:
    """Bores are not known; sound crosses 25 mm in 21.6 us and 5 mm in 4.3 us, so such pulses want wide ones."""
    speed = float(refdata.solvent("ethanol").sound_speed or 0.0)
    assert acoustic_transit_time(5e-3, speed) < CASES[case][1] < acoustic_transit_time(25e-3, speed)


@cache
def shot(name: str) -> Shot:
    loaded = machine.load_text(machine.bench_text(name), "laser.toml")
    assert loaded.build is not None
    return compute_shot(loaded.build, Chain(), interval=False)


def number(found: Shot, key: str) -> float:
    value = found.summary[key].value
    assert value is not None, (key, found.reason)
    return value


@pytest.mark.slow
@pytest.mark.parametrize("name", ["tidewater", "longwave", "millpond"])
def test_benches_of_linear_lamps_lie_in_the_envelope_of_efficiencies(name: str) -> None:
    assert ENVELOPE[0] < number(shot(name), "efficiency") < ENVELOPE[1]


@pytest.mark.slow
def test_known_deviation_coaxial_bench_in_the_blue() -> None:
    """The coaxial coumarin bench works next to its threshold, below the envelope.

    Coumarin 102 absorbs lamp light below 347 nm to an extent that nobody has measured for us; it counts as none, which
    leaves a head that pumps in the ultraviolet with little.
    """
    found = shot("lanternroom")
    assert found.outcome == "lased"
    assert 1e-6 < number(found, "efficiency") < ENVELOPE[0]


@pytest.mark.slow
def test_untuned_rhodamine_6g_lases_near_585_to_600_nm() -> None:
    # wider at low concentration times length, as here
    assert 580e-9 < number(shot("tidewater"), "wavelength") < 600e-9


@pytest.mark.slow
def test_the_demo_bench_is_of_the_size_of_a_sodium_lidar_laser() -> None:
    """Loth and Megie: about 1 J in 4 us at 589 nm of a linear-lamp rhodamine 6G laser; a decade either way here."""
    found = shot("tidewater")
    assert 0.1 < number(found, "output_energy") < 10.0
    assert 0.4e-6 < number(found, "pulse_width") < 40e-6


@pytest.mark.slow
@pytest.mark.parametrize("case", CASES)
def test_efficiency_of_the_demo_bench_is_that_of_published_lasers(case: str) -> None:
    """Within a factor of four of each: lamps, heads and mirrors differ and are not known."""
    assert 0.25 < number(shot("tidewater"), "efficiency") / CASES[case][2] < 4.0
