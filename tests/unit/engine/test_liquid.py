"""The liquid of a build: rows as they are, mixtures by rule and table, what is not known by name."""

from __future__ import annotations

from functools import cache

import numpy as np
import pytest

from pulsewright import machine as machines
from pulsewright import refdata
from pulsewright.engine import solution as solution_module
from pulsewright.engine.inputs import inputs_of
from pulsewright.engine.liquid import (
    PROPERTIES,
    dangerous_part,
    liquid,
    liquid_findings,
    oxygen_solubility,
    rows_of,
    water_fraction,
)
from pulsewright.engine.solution import refused, solution
from pulsewright.errors import NotModelledError

SOLVENTS = refdata.names()["solvent"]
PAIRS = [("ethanol", "water"), ("methanol", "ethanol"), ("ethylene glycol", "water"), ("acetone", "water")]


@cache
def demo() -> machines.Build:
    loaded = machines.load_text(machines.bench_text("tidewater"), "laser.toml")
    assert loaded.build is not None
    return loaded.build


def build(**changes: str) -> machines.Build:
    return demo().override({f"dye.{key}": value for key, value in changes.items()})


def mixed(first: str, second: str, share: float, **more: str) -> machines.Build:
    return build(solvent=first, second_solvent=second, second_solvent_fraction=f"{share:g}", **more)


@pytest.mark.parametrize("name", [name for name in SOLVENTS if name != "trifluoroethanol"])
def test_one_solvent_is_its_row(name: str) -> None:
    found, row = liquid(build(solvent=name).machine), refdata.solvent(name)
    assert found.name == name
    assert not found.methods
    for field in PROPERTIES:
        datum = getattr(row, field)
        assert getattr(found, field) == float(datum)
        assert found.ranges[field] == (datum.low, datum.high)


@pytest.mark.parametrize(("first", "second"), PAIRS)
@pytest.mark.parametrize("field", PROPERTIES)
def test_a_mixture_ends_in_its_parts(first: str, second: str, field: str) -> None:
    for share, end in ((1e-6, first), (1 - 1e-6, second)):
        value = getattr(liquid(mixed(first, second, share).machine), field)
        assert value == pytest.approx(float(getattr(refdata.solvent(end), field)), rel=2e-3)


@pytest.mark.parametrize(("first", "second"), PAIRS)
def test_every_value_lies_in_its_range_and_order_does_not_matter(first: str, second: str) -> None:
    one, other = liquid(mixed(first, second, 0.3).machine), liquid(mixed(second, first, 0.7).machine)
    for field in PROPERTIES:
        value, (low, high) = getattr(one, field), one.ranges[field]
        assert low <= value <= high
        assert field == "molar_mass" or low < high
        assert getattr(other, field) == pytest.approx(value, rel=1e-9)
        assert one.methods[field]


def test_tables_where_there_are_some_and_rules_elsewhere() -> None:
    methods = liquid(mixed("ethanol", "water", 0.5).machine).methods
    assert methods["density"].startswith("table")
    assert methods["vapour_pressure"] == "Raoult with van Laar activities"
    assert methods["thermal_conductivity"] == "Filippov"
    plain = liquid(mixed("ethanol", "methanol", 0.5).machine).methods
    assert plain["density"] == "volumes that add"
    assert plain["vapour_pressure"] == "Raoult"


def test_a_tabulated_mixture_lies_inside_the_range_of_the_rule() -> None:
    """The stated error of each rule covers what the tables show it to be."""
    from pulsewright.engine.liquid import RULE_ERRORS, _Mix, _tabulated

    for name in refdata.names()["mixture"]:
        row = refdata.row("mixture", name)
        solvents = tuple(refdata.solvent(part) for part in row.parts)
        for share in (0.1, 0.3, 0.5, 0.7, 0.9):
            mix = _Mix(solvents, (share, 1 - share))
            for field, (rule, _) in mix.rules(None).items():
                table = getattr(row, field, None)
                if table is not None:
                    low, high = RULE_ERRORS[field][1]
                    assert low < _tabulated(table, float(mix.mass[0])) / rule() < high, (name, field, share)


def test_measured_index_comes_first() -> None:
    found = liquid(build(refractive_index="1.40").machine)
    assert found.refractive_index == 1.40
    assert found.ranges["refractive_index"] == (1.40, 1.40)
    assert solution(inputs_of(build(refractive_index="1.40"))).index == 1.40


def test_what_is_not_known_is_refused_by_name() -> None:
    machine = mixed("ethanol", "trifluoroethanol", 0.2).machine
    findings = liquid_findings(machine)
    assert [finding.path for finding in findings] == ["dye.second_solvent"] * 2
    told = " ".join(str(finding) for finding in findings)
    assert "change of refractive index with temperature at constant pressure of trifluoroethanol" in told
    assert "Choose another solvent" in told
    with pytest.raises(NotModelledError, match="trifluoroethanol"):
        liquid(machine)
    assert oxygen_solubility(machine) is None
    assert not liquid_findings(build().machine)


@pytest.mark.parametrize("dye", refdata.names()["dye"])
def test_every_dye_of_the_library_is_computed_or_refused_by_name(dye: str) -> None:
    """With its emission known it has bins, gain and absorption; without, the shot says so."""
    if refdata.dye(dye).emission is None:
        with pytest.raises(NotModelledError, match=f"fluorescence spectrum of {dye}"):
            solution(inputs_of(build(name=dye)))
        return
    found = solution(inputs_of(build(name=dye)))
    reach = refdata.dye(dye).laser_range
    bins = found.laser_wavelength
    assert reach is None or bins[0] < float(reach) < bins[-1]
    assert (found.rates.emission - found.rates.excited_absorption).max() > 0
    assert found.dye_share.max() > 0.9


def test_a_dye_without_emission_is_refused_by_name() -> None:
    found = refused(build(name="Nile blue").machine)
    assert [finding.path for finding in found] == ["dye.name"]
    assert "emission_file" in found[0].next_step
    with pytest.raises(NotModelledError, match="fluorescence spectrum of Nile blue"):
        solution(inputs_of(build(name="Nile blue")))


def test_oxygen_of_a_mixture_carries_its_range_into_the_coefficients() -> None:
    machine = mixed("ethanol", "water", 0.3).machine
    datum = oxygen_solubility(machine)
    assert datum is not None
    ends = [float(refdata.solvent(name).oxygen_mole_fraction) for name in ("water", "ethanol")]
    assert ends[0] < datum.low < datum.value < datum.high < ends[1]
    assert "Krichevsky" in datum.source
    inputs = inputs_of(mixed("ethanol", "water", 0.3))
    assert inputs.coefficient("solvent.oxygen_mole_fraction") == datum.value


def test_fire_is_judged_by_the_more_dangerous_part() -> None:
    row, words = dangerous_part(mixed("water", "ethanol", 0.1).machine)
    assert row.name == "ethanol"
    assert "Mixed with water" in words
    assert "not worked out" in words
    row, words = dangerous_part(mixed("ethanol", "acetone", 0.1).machine)
    assert row.name == "acetone"
    assert dangerous_part(build().machine) == (refdata.solvent("ethanol"), "")


def test_water_counts_by_volume() -> None:
    assert water_fraction(build(solvent="water").machine) == 1.0
    assert water_fraction(mixed("ethanol", "water", 0.25).machine) == 0.25
    assert water_fraction(build().machine) == 0.0


def test_a_mixture_is_told_and_the_same_for_every_shot() -> None:
    one = solution(inputs_of(mixed("ethanol", "methanol", 0.5)))
    told = [finding for finding in one.findings if finding.path == "dye.second_solvent"]
    assert len(told) == 1
    assert "Nomoto" in told[0].message
    assert not solution(inputs_of(build())).findings


def test_every_row_behind_a_mixture_is_named() -> None:
    names = [row.name for row in rows_of(mixed("ethanol", "water", 0.3, quencher="cyclooctatetraene").machine)]
    assert names == ["ethanol", "water", "cyclooctatetraene", "none", "ethanol and water"]
    assert "ethanol and water" not in [row.name for row in rows_of(build().machine)]


def test_ranges_of_the_parts_add_to_that_of_the_rule() -> None:
    """Oxygen, Krichevsky: 0.75 to 1.35 by the rule, wider by the relative ranges of both solvents by volume."""
    found = liquid(mixed("methanol", "acetone", 0.25).machine)
    low, high = found.ranges["oxygen_mole_fraction"]
    parts = 0.0
    for name, share in (("methanol", 0.75), ("acetone", 0.25)):
        datum = refdata.solvent(name).oxygen_mole_fraction
        assert datum is not None
        assert datum.low is not None
        assert datum.high is not None
        parts += share * max(1 - datum.low / datum.value, datum.high / datum.value - 1)
    assert parts > 0.01
    assert (low, high) == pytest.approx(
        (found.oxygen_mole_fraction * (0.75 - parts), found.oxygen_mole_fraction * (1.35 + parts)), rel=1e-9
    )


def test_vapour_of_the_solvent_leaves_less_room_for_oxygen() -> None:
    """Air at sea level over ethanol: 1.9e-3 mol/L, 2.1e-3 were its vapour ignored; half of it at 5.8 km, and less."""
    sea, high = (
        solution(inputs_of(build(solvent="ethanol", atmosphere="air").override({"room.altitude": height}))).oxygen
        for height in ("0 m", "5846 m")
    )
    assert sea == pytest.approx(1.9, abs=0.05)
    assert high / sea == pytest.approx((0.5 - 0.0777) / (1 - 0.0777), rel=0.005)  # 7.87 kPa of vapour at 25 degC stay


def test_a_centimetre_of_solvent_takes_nine_tenths_at_its_cutoff() -> None:
    """The convention of catalogues: absorbance 1, decadic; a tenth of that 10 nm further to the red."""
    cutoff, further = solution_module._solvent_absorption(np.array([210e-9, 220e-9]), 210e-9)
    assert np.exp(-0.01 * cutoff) == pytest.approx(0.1, rel=1e-9)
    assert further == pytest.approx(0.1 * cutoff, rel=1e-9)
