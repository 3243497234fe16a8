from __future__ import annotations

import pytest

from pulsewright import machine, refdata, safety
from pulsewright.records import Caution, Value
from pulsewright.safety.hazards import charging_current


def named(cautions: tuple[Caution, ...], hazard: str) -> Caution:
    return next(caution for caution in cautions if caution.hazard == hazard)


def hazards(build: machine.Build) -> list[str]:
    return [caution.hazard for caution in safety.cautions(build)]


@pytest.mark.parametrize("name", machine.BENCHES)
def test_each_hazard_once_short_with_what_to_do(bench, name) -> None:
    cautions = safety.cautions(bench(name))
    found = [caution.hazard for caution in cautions]
    assert found[0] == "stored energy"
    assert len(found) == len(set(found))
    assert {"beam", "lamp", "solvent", "dye"} <= set(found)
    for caution in cautions:
        assert 10 < len(caution.words) < 260
        assert 10 < len(caution.do) < 260
        assert "!" not in caution.words + caution.do
    for hazard in ("stored energy", "beam", "solvent"):
        assert "Local codes and licensed practice decide." in named(cautions, hazard).do


@pytest.mark.parametrize(("capacitance", "word"), [("139 nF", "kills"), ("138 nF", "startles")])
def test_ten_joules_at_full_charge_decide(bench, capacitance, word) -> None:
    # The charger reaches 12 kV: 10 J are 138.9 nF. It is the full charge that counts, not the one set.
    found = named(safety.cautions(bench(bank__capacitance=capacitance)), "stored energy")
    assert word in found.words


def test_ten_kilojoules_add_the_blast(bench) -> None:
    assert "bursts" not in named(safety.cautions(bench(bank__capacitance="138 uF")), "stored energy").words
    assert "bursts" in named(safety.cautions(bench(bank__capacitance="140 uF")), "stored energy").words


def test_a_little_charge_behind_a_strong_charger_is_still_lethal(bench) -> None:
    weak = bench(bank__capacitance="1 nF", charger__current="39 mA")
    strong = bench(bank__capacitance="1 nF", charger__current="40 mA")
    assert hazards(weak)[0] != "stored energy"
    assert "can kill" in named(safety.cautions(strong), "stored energy").words


def test_charging_current_by_method(bench) -> None:
    assert charging_current(bench().machine) == pytest.approx(15e-3)
    assert charging_current(bench("longwave").machine) == pytest.approx(800 / 7e3)
    assert charging_current(bench("millpond").machine) == pytest.approx(10e3 / 1e6)


def test_beam_takes_wavelength_and_energy_of_the_shot(bench, shot) -> None:
    strong = shot(wavelength=Value(612e-9, "m"), output_energy=Value(0.5, "J", 0.2, 0.9))
    weak = shot(wavelength=Value(612e-9, "m"), output_energy=Value(0.005, "J", 0.002, 0.02))
    assert "Class 4 beam near 612 nm" in named(safety.cautions(bench(), strong), "beam").words
    weaker = named(safety.cautions(bench(), weak), "beam")
    assert "Class 3B" in weaker.words
    assert "fires" not in weaker.words


def test_no_output_is_no_ground_for_taking_eyewear_off(bench, shot) -> None:
    dark = shot(wavelength=Value(None, "m"), output_energy=Value(0.0, "J"), pulse_width=Value(None, "s"))
    assert "Class 4" in named(safety.cautions(bench(), dark), "beam").words


def test_a_system_that_fires_by_itself_is_told(bench) -> None:
    assert "starts by itself" in hazards(bench("millpond"))
    assert "starts by itself" in hazards(bench(trigger__method="overvoltage gap", switch__kind="overvoltage gap"))
    assert "starts by itself" in hazards(bench(trigger__method="external wire", switch__kind="none"))
    assert "starts by itself" not in hazards(bench())


def test_ozone_only_from_a_clear_lamp_in_air(bench) -> None:
    assert "ozone" in hazards(bench("millpond"))
    assert "ozone" not in hazards(bench("millpond", chamber__coolant="water"))
    blocking = next(name for name in refdata.names()["glass"] if "blocking" in name)
    assert "ozone" not in hazards(bench("millpond", lamps__reed__envelope=blocking))


def test_solvent_speaks_of_its_flash_point(bench) -> None:
    warm = named(safety.cautions(bench()), "solvent")
    assert "flash point 12 degC" in warm.words
    assert "can be lit at this temperature" in warm.words
    cold = named(safety.cautions(bench(dye__temperature="5 degC", room__temperature="5 degC")), "solvent")
    assert "can be lit once it is warm" in cold.words
    water = named(safety.cautions(bench(dye__solvent="water")), "solvent")
    assert "flash" not in water.words
    assert "bank" in water.do


@pytest.mark.parametrize("gas", ["oxygen", "argon", "nitrogen", "carbon dioxide"])
def test_a_gas_over_the_dye_is_a_hazard_of_its_own(bench, gas) -> None:
    found = named(safety.cautions(bench(dye__atmosphere=gas)), "gas")
    assert ("Oil-free" in found.do) == (gas == "oxygen")
    assert "gas" not in hazards(bench())


def test_a_quencher_adds_its_own_hazards(bench) -> None:
    assert "peroxides" in named(safety.cautions(bench("longwave")), "dye").words
    assert "peroxides" not in named(safety.cautions(bench()), "dye").words


@pytest.mark.parametrize("first", refdata.names()["solvent"])
@pytest.mark.parametrize("second", ["water", "methanol", "acetone"])
def test_a_mixture_is_as_dangerous_as_its_worse_part(bench, first, second) -> None:
    if first == second:
        return
    found = safety.cautions(bench(dye__solvent=first, dye__second_solvent=second, dye__second_solvent_fraction="0.05"))
    flashes = [float(row.flash_point) for row in map(refdata.solvent, (first, second)) if row.flash_point is not None]
    told = named(found, "solvent").words
    if flashes:
        assert f"flash point {min(flashes) - 273.15:.0f} degC" in told
    both = told + named(found, "mixed solvent").words
    assert "as if all of it were" in both
    for name in (first, second):
        assert name == "water" or refdata.solvent(name).hazards in both
    assert all(len(caution.words) < 300 for caution in found)


def test_vapour_of_a_mixture_is_that_of_the_worse_part(bench) -> None:
    from pulsewright.safety.figures import solvent_figures

    pure = solvent_figures(bench().machine)
    watery = solvent_figures(
        bench(dye__solvent="water", dye__second_solvent="ethanol", dye__second_solvent_fraction="0.1").machine
    )
    assert watery.flash_point == pure.flash_point
    assert watery.name == "ethanol"


def test_a_surfactant_is_a_hazard_of_its_own(bench) -> None:
    found = safety.cautions(bench(dye__solvent="water", dye__surfactant="sodium dodecyl sulfate"))
    assert "airways" in named(found, "surfactant").words
    assert "surfactant" not in hazards(bench())


@pytest.mark.parametrize("dye", refdata.names()["dye"])
def test_every_dye_tells_its_own_hazards(bench, dye) -> None:
    assert refdata.dye(dye).hazards in named(safety.cautions(bench(dye__name=dye)), "dye").words
