"""What flashlamp-pumped rhodamine 6G lasers do, whole laser against what is known of such lasers in general.

Sources, all from memory (no published laser has a complete set of inputs, so relations are checked, not energies):
efficiency 0.05 to 0.3 % of small heads, 0.4 to 0.8 % of good ones, above 1 % exceptional; untuned in alcohol it lases
near 585 to 600 nm and moves red with concentration times length by its own absorption: general knowledge of the
trade. Triplets end the pulse after some 1 to 3 us without oxygen: Sorokin et al., J. Chem. Phys. 48, 4726 (1968).
Oxygen and cyclooctatetraene help rhodamines, the second most: Marling, Gregg and Thomas, IEEE J. Quantum Electron. 6,
570 (1970); Marling, Gregg and Wood, Appl. Phys. Lett. 17, 527 (1970).

Published abstracts of coaxial lamps (Furumoto and Ceccon 1969: 140 ns rise at 100 J; annular lamp of 600 J, 25 torr,
0.9 us) are not compared with: coaxial lamps are not modelled, and no circuit is given with them.
"""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from pulsewright import machine
from pulsewright.engine.chain import Chain
from pulsewright.machine import Build
from pulsewright.records import Shot
from pulsewright.studies.shot import compute_shot

#: Builds that somebody would make: the demo bench and changes of it, all with rhodamine 6G.
SENSIBLE: dict[str, dict[str, str]] = {
    "demo": {},
    "demo at full charge": {"bank.charge_voltage": "12 kV"},
    "half-silvered coupler": {"optics.coupler.reflectivity": "0.5"},
    "methanol": {"dye.solvent": "methanol"},
    "thin solution": {"dye.concentration": "4e-5 mol/L"},
    "strong solution": {"dye.concentration": "1e-4 mol/L", "bank.charge_voltage": "11 kV"},
    "narrow cell": {"cell.bore": "6 mm", "dye.concentration": "8e-5 mol/L"},
    "wide cell": {"cell.bore": "10 mm", "dye.concentration": "5e-5 mol/L", "bank.charge_voltage": "11 kV"},
    "with quencher": {"dye.quencher": "cyclooctatetraene", "dye.quencher_concentration": "5e-3 mol/L"},
    "slow": {
        "bank.capacitance": "10 uF",
        "loop.inductance": "5 uH",
        "bank.charge_voltage": "8 kV",
        "optics.coupler.reflectivity": "0.5",
    },
    "ultraviolet kept out": {"chamber.filter": "ultraviolet absorbing glass", "bank.charge_voltage": "11 kV"},
}

#: Fast rise, long tail: overdamped, wide lamps, the triplets have time to gather while the pump goes on.
#: Such a discharge would burst the lamps; it is here for the dye.
LONG = {
    "loop.inductance": "0.3 uH",
    "bank.capacitance": "20 uF",
    "bank.charge_voltage": "12 kV",
    "lamps.east.bore": "10 mm",
    "lamps.west.bore": "10 mm",
    "optics.coupler.reflectivity": "0.7",
}


@cache
def demo() -> Build:
    """The demo bench."""
    loaded = machine.load_text(machine.bench_text("tidewater"), "laser.toml")
    assert loaded.build is not None
    return loaded.build


def shot(changes: dict[str, str]) -> Shot:
    """One shot of the demo bench with changes."""
    return compute_shot(demo().override(changes) if changes else demo(), Chain(), interval=False)


def number(found: Shot, key: str) -> float:
    """A value of the summary that must be there."""
    value = found.summary[key].value
    assert value is not None, (key, found.reason)
    return value


def last_light(found: Shot) -> float:
    """When the power falls below 2 % of its highest for good. [s]"""
    power, time = found.arrays["output_power"].values, found.arrays["gain_time"].values
    return float(time[np.flatnonzero(power > 0.02 * power.max())[-1]])


@pytest.mark.parametrize("name", SENSIBLE)
def test_sensible_builds(name: str) -> None:
    """Efficiency 0.05 to 2 %, free-running wavelength 580 to 605 nm."""
    found = shot(SENSIBLE[name])
    assert found.outcome == "lased", found.reason
    assert 0.0005 < number(found, "efficiency") < 0.02
    assert 580e-9 < number(found, "wavelength") < 605e-9


@pytest.mark.parametrize("solvent", ["ethanol", "methanol"])
def test_wavelength_moves_red_with_concentration(solvent: str) -> None:
    """Never back by more than half a bin, and by more than 4 nm for four times the concentration."""
    base = {"dye.solvent": solvent, "optics.coupler.reflectivity": "0.6", "bank.charge_voltage": "11 kV"}
    places, bin_width = [], 0.0
    for concentration in (3e-5, 4.5e-5, 6e-5, 9e-5, 12e-5):
        found = shot({**base, "dye.concentration": f"{concentration:g} mol/L"})
        bins = found.arrays["laser_wavelength"].values
        bin_width = float(bins[1] - bins[0])
        places.append(number(found, "wavelength"))
    assert np.all(np.diff(places) > -0.5 * bin_width)
    assert places[-1] - places[0] > 4e-9
    assert 580e-9 < places[0] < places[-1] < 605e-9


def test_wavelength_moves_red_with_length() -> None:
    """It is concentration times length that counts: a longer pumped cell in the same chamber."""
    base = {"optics.coupler.reflectivity": "0.6", "bank.charge_voltage": "12 kV"}
    short = shot({**base, "cell.length": "100 mm", "cell.pumped_length": "90 mm"})
    assert number(shot(base), "wavelength") > number(short, "wavelength")


def test_removing_triplet_quenching_shortens_a_long_pulse() -> None:
    """Purged with argon the pulse is over after microseconds, though the pump goes on for tens of them."""
    air, argon = shot(LONG), shot({**LONG, "dye.atmosphere": "argon"})
    assert air.outcome == argon.outcome == "lased"
    assert number(argon, "pulse_width") < 0.4 * number(air, "pulse_width")
    assert last_light(argon) < 0.3 * last_light(air)
    assert 1e-6 < number(argon, "pulse_width") < 5e-6
    assert number(argon, "output_energy") < 0.1 * number(air, "output_energy")
    # not the pump: it is the same
    assert number(argon, "absorbed_pump_energy") == pytest.approx(number(air, "absorbed_pump_energy"), rel=1e-9)


@pytest.mark.parametrize("base", [{}, {**LONG}], ids=["short", "long"])
def test_oxygen_and_quencher_help(base: dict[str, str]) -> None:
    energies = [
        number(shot({**base, **changes}), "output_energy")
        for changes in (
            {"dye.atmosphere": "argon"},
            {"dye.atmosphere": "air"},
            {"dye.atmosphere": "oxygen"},
            {"dye.quencher": "cyclooctatetraene", "dye.quencher_concentration": "5e-3 mol/L"},
        )
    ]
    argon, air, oxygen, quencher = energies
    assert argon < 0.5 * air
    assert oxygen > 1.2 * air
    assert quencher > 1.2 * air


def test_a_long_pulse_bubbled_with_nitrogen_is_cut_by_triplets_and_the_quencher_restores_it() -> None:
    """The pump is the same; without oxygen the light ends early, with cyclooctatetraene it lasts again."""
    nitrogen = shot({**LONG, "dye.atmosphere": "nitrogen"})
    restored = shot(
        {
            **LONG,
            "dye.atmosphere": "nitrogen",
            "dye.quencher": "cyclooctatetraene",
            "dye.quencher_concentration": "5e-3 mol/L",
        }
    )
    triplets = [found.arrays["triplets"].values.max() for found in (nitrogen, restored)]
    assert triplets[1] < 0.5 * triplets[0]
    assert last_light(restored) > 2 * last_light(nitrogen)
    assert number(restored, "output_energy") > 3 * number(nitrogen, "output_energy")


def test_oxygen_costs_the_singlet_something_and_still_helps() -> None:
    """It takes part of S1 in proportion to its concentration; even when pure less than half of the fluorescence."""
    taken = []
    for atmosphere in ("argon", "air", "oxygen"):
        photons = shot({"dye.atmosphere": atmosphere}).budgets["photons"]
        taken.append(photons["oxygen quenching"] / photons["fluorescence"])
    assert taken[0] < 0.01 * taken[2]
    assert taken[1] / taken[2] == pytest.approx(0.2095, rel=0.1)
    assert taken[2] < 0.5


def test_at_equal_triplet_quenching_the_quencher_helps_most() -> None:
    """Oxygen also quenches S1 and turns part of it into triplets; cyclooctatetraene does not."""
    oxygen = shot({"dye.atmosphere": "oxygen"})
    # 9.9 mmol/L of oxygen at 1.5e9 against 3e8 L/(mol s): five times the concentration in a purged solution
    quencher = shot(
        {
            "dye.atmosphere": "argon",
            "dye.quencher": "cyclooctatetraene",
            "dye.quencher_concentration": "45e-3 mol/L",
        }
    )
    assert number(quencher, "output_energy") > number(oxygen, "output_energy")


def test_known_deviation_quencher_as_it_is_used() -> None:
    """At 5e-3 mol/L in air, as used, it helps about as much as pure oxygen but not most, as published.

    Its rate is known to a factor of ten only (1e8 to 1e9 L/(mol s), from memory; the middle is used); at the upper end
    it would help most.
    """
    oxygen = number(shot({"dye.atmosphere": "oxygen"}), "output_energy")
    quencher = {"dye.quencher": "cyclooctatetraene", "dye.quencher_concentration": "5e-3 mol/L"}
    assert 0.7 < number(shot(quencher), "output_energy") / oxygen < 1.3
