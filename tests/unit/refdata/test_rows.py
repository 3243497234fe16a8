"""Every reference row: complete, sourced, inside its own range; and the way in."""

from __future__ import annotations

import dataclasses
from pathlib import Path

import numpy as np
import pytest

from pulsewright import refdata
from pulsewright.errors import BuildError
from pulsewright.refdata.rows import TAGS, Curve, Datum, GaussianSum, data_of
from pulsewright.refdata.sheet import reference_sheet

NAMES = refdata.names()
ROWS = [(kind, name) for kind, members in NAMES.items() for name in members]
UNITS = {
    "-", "1/(Pa m)", "1/K", "1/m", "V/(Pa m)", "1/s", "J", "J/(kg K)", "J/m^2", "J/m^3", "K", "Pa", "Pa s",
    "W/(m K)", "kg",
    "kg/m^3", "kg/mol", "m", "m/s", "m^2", "J/kg", "m^2/mol", "m^3/mol", "m^3/(mol s)", "mol/m^3", "ohm*m", "s",
}  # fmt: skip


@pytest.mark.parametrize(("kind", "name"), ROWS)
def test_every_value_is_sourced_and_inside_its_range(kind: str, name: str) -> None:
    row = refdata.row(kind, name)
    assert row.name == name
    for label, item in data_of(row):
        assert item.tag in TAGS, label
        assert len(item.source) > 3, label
        if isinstance(item, Datum):
            assert item.unit in UNITS, label
            assert np.isfinite(item.value), label
            assert (item.low is None) == (item.high is None), label
            if item.low is not None and item.high is not None:
                assert item.low <= item.value <= item.high, label
        if isinstance(item, Curve):
            assert item.unit in UNITS, label
            assert len(item.wavelength) == len(item.values)
            assert np.all(np.diff(item.wavelength) > 0), label
            assert min(item.values) >= 0, label
        if isinstance(item, GaussianSum):
            assert item.known_from < item.known_to, label
            assert all(amplitude > 0 and width > 0 for amplitude, _, width in item.components), label


@pytest.mark.parametrize(("kind", "name"), ROWS)
def test_rows_are_frozen(kind: str, name: str) -> None:
    with pytest.raises(dataclasses.FrozenInstanceError):
        refdata.row(kind, name).name = "other"  # type: ignore[misc]


def test_kinds_and_the_names_the_benches_use() -> None:
    assert set(NAMES) == {
        "dye", "solvent", "gas", "vapour", "molecule", "breakdown",
        "glass", "coating", "coolant", "filter", "atmosphere", "quencher", "metal",
        "wall", "surfactant", "mixture", "rule", "half output dose",
    }  # fmt: skip
    for kind, name in (
        ("dye", "rhodamine 6G"),
        ("dye", "coumarin 102"),
        ("dye", "rhodamine 101"),
        ("dye", "sulforhodamine B"),
        ("solvent", "ethanol"),
        ("gas", "xenon"),
        ("gas", "argon"),
        ("glass", "clear fused silica"),
        ("coating", "bare glass, wetted by dye"),
        ("coolant", "none"),
        ("filter", "none"),
        ("quencher", "cyclooctatetraene"),
        ("metal", "copper"),
    ):
        assert name in NAMES[kind]


@pytest.mark.parametrize(
    ("call", "wrong", "near"),
    [
        (refdata.dye, "Rhodamin 6g", "rhodamine 6G"),
        (refdata.solvent, "ethanl", "ethanol"),
        (refdata.gas, "Xenon", "xenon"),
        (refdata.glass, "fused silica", "clear fused silica"),
        (refdata.coating, "protected silber", "protected silver"),
        (refdata.coolant, "watr", "water"),
        (refdata.filter_jacket, "ultraviolet glass", "ultraviolet absorbing glass"),
        (refdata.atmosphere, "oxygn", "oxygen"),
        (refdata.quencher, "cyclo-octatetraene", "cyclooctatetraene"),
    ],
)
def test_unknown_name_gets_the_nearest(call: object, wrong: str, near: str) -> None:
    with pytest.raises(BuildError) as caught:
        call(wrong)  # type: ignore[operator]
    (finding,) = caught.value.findings
    assert finding.grade == "error"
    assert repr(wrong) in finding.message
    assert near in finding.next_step
    assert near in finding.allowed


def test_a_name_like_no_other_still_gets_the_list() -> None:
    with pytest.raises(BuildError, match="Choose one of them"):
        refdata.dye("zzzzzzzz")
    with pytest.raises(BuildError, match="kind of reference row"):
        refdata.row("mirror", "x")


def test_sources_name_the_support_once() -> None:
    told = refdata.sources(refdata.dye("rhodamine 6G"), refdata.dye("rhodamine 6G"))
    assert len(told) == len(set(told))
    assert any("Nyman" in text and text.endswith("[source]") for text in told)


def test_fingerprint_is_of_the_values(monkeypatch: pytest.MonkeyPatch) -> None:
    from pulsewright.refdata import gases

    refdata.fingerprint.cache_clear()
    before = refdata.fingerprint()
    changed = dataclasses.replace(gases.GASES["xenon"], notes="changed")
    monkeypatch.setitem(gases.GASES, "xenon", changed)
    refdata.fingerprint.cache_clear()
    assert refdata.fingerprint() != before
    monkeypatch.undo()
    refdata.fingerprint.cache_clear()
    assert refdata.fingerprint() == before
    assert len(before) == 64


def test_datum_is_a_number_with_a_spread() -> None:
    datum = Datum(2.0, "m", 1.0, 4.0, "source", "here")
    assert float(datum) == 2.0
    assert datum.spread == 1.5
    assert Datum(2.0, "m", None, None, "source", "here").spread == 0.0


#: Valence electrons' shell -> (states of the lowest term in that order of levels, all states of the configuration).
P_SHELL = {6: 1, 5: 6, 4: 15, 3: 20, 2: 15, 1: 6}
S_SHELL = {2: 1, 1: 2, 0: 1}
#: Electrons in the open p shell of the atom; below it the s shell of the same principal number, of two.
P_ELECTRONS = {"Xe": 6, "Kr": 6, "Ar": 6, "Ne": 6, "O": 4, "N": 3, "Si": 2}
ELEMENTS = [(kind, name) for kind in ("gas", "vapour") for name in NAMES[kind] if name != "air"]
#: Highest energy of the ground configuration's own terms [eV], from memory; what lies above belongs to others.
GROUND_REACH = {"N": 5.5, "O": 5.5, "Si": 3.0, "Ne": 8.0}


@pytest.mark.parametrize(("kind", "name"), ELEMENTS)
def test_levels_stand_in_order_below_the_ionisation_energy(kind: str, name: str) -> None:
    row = refdata.row(kind, name)
    assert isinstance(row, refdata.Gas)
    energies = [float(energy) for energy in row.ionisation_energies]
    assert np.all(np.diff(energies) > 0)
    assert len(row.levels) - 1 <= len(energies) <= len(row.levels)
    for levels, limit in zip(row.levels, energies, strict=False):
        places = [energy for _, energy in levels]
        assert places[0] == 0.0
        assert max(places) < limit


@pytest.mark.parametrize(("kind", "name"), [item for item in ELEMENTS if item[1] != "helium"])
def test_ground_configuration_has_all_its_states(kind: str, name: str) -> None:
    """Pauli's count: 1, 6, 15, 20, 15, 6 states of p6 to p1; then 1, 2 of s2, s1."""
    row = refdata.row(kind, name)
    assert isinstance(row, refdata.Gas)
    reach = GROUND_REACH.get(row.symbol, 6.0) * 1.602e-19
    for charge, levels in enumerate(row.levels):
        left = P_ELECTRONS[row.symbol] - charge
        wanted = P_SHELL[left] if left > 0 else S_SHELL[2 + left]
        assert sum(weight for weight, energy in levels if energy < reach) == wanted, charge


def test_helium_is_one_two_one() -> None:
    assert [levels[0][0] for levels in refdata.gas("helium").levels] == [1.0, 2.0, 1.0]


@pytest.mark.parametrize("name", NAMES["molecule"])
def test_molecules_are_of_known_atoms(name: str) -> None:
    row = refdata.molecule(name)
    assert set(row.atoms) <= {*NAMES["gas"], *NAMES["vapour"]}
    assert row.levels[0][1] == 0.0
    assert float(row.rotational_constant) < 1e-2 * float(row.vibrational_energy) < float(row.dissociation_energy)


def test_air_is_its_parts() -> None:
    parts = refdata.gas_parts("air")
    assert [row.name for row, _ in parts] == ["nitrogen", "oxygen", "argon"]
    assert sum(share for _, share in parts) == pytest.approx(1.0, abs=1e-12)
    assert refdata.gas_parts("xenon") == ((refdata.gas("xenon"), 1.0),)
    with pytest.raises(BuildError, match="blend"):
        refdata.gas("air")


@pytest.mark.parametrize("name", NAMES["glass"])
def test_vapour_of_a_glass_conserves_its_atoms(name: str) -> None:
    row = refdata.glass(name)
    atoms = dict(row.vapour)
    for molecule, count in row.vapour_molecules:
        for atom in refdata.molecule(molecule).atoms:
            atoms[atom] -= count
    assert min(atoms.values()) >= 0
    assert float(row.opaque_below) < float(row.absorption_coefficient.edge)  # type: ignore[arg-type]


@pytest.mark.parametrize("name", NAMES["dye"])
def test_dye_bands_and_brackets(name: str) -> None:
    row = refdata.dye(name)
    absorbs = max(row.absorption.components)[1] + float(row.absorption.shift)
    if row.emission is None:
        assert name in {"Nile blue", "coumarin 343"}
    else:
        assert absorbs < max(row.emission.components)[1] + float(row.emission.shift)
    assert 0 < float(row.quantum_yield) < 1
    assert row.unknown_absorption_bound.low == 0.0
    assert row.unknown_absorption_bound.high <= float(row.peak_molar_absorptivity)
    if row.laser_range is not None:
        assert row.laser_range.low > absorbs - 20e-9
        # measured points of S1 are data for reading: none lies where the laser could use it
        assert all(not row.laser_range.low <= at <= row.laser_range.high for at, _ in row.excited_state_points)
    if row.second_quantum_yield is not None:
        assert float(row.second_quantum_yield) != float(row.quantum_yield)
    assert row.solubility
    assert {solvent for solvent, _ in row.solubility} <= set(NAMES["solvent"])
    assert row.hazards


@pytest.mark.parametrize("name", NAMES["dye"])
def test_usual_concentrations_dissolve_in_alcohol(name: str) -> None:
    row = refdata.dye(name)
    most = refdata.solubility(name, "ethanol")
    assert most is not None
    assert row.concentration is None or most.low > row.concentration.high
    assert refdata.solubility(name, "benzyl alcohol") is None


def test_pairing_is_of_water_only_and_the_rules_have_ranges() -> None:
    assert {name for name in NAMES["dye"] if refdata.dye(name).dimer_constant} == {
        "rhodamine 6G", "rhodamine B", "fluorescein", "cresyl violet", "Nile blue",
    }  # fmt: skip
    for name in NAMES["rule"]:
        value = refdata.rule(name).value
        assert value.low < value.value < value.high


@pytest.mark.parametrize("name", NAMES["mixture"])
def test_tables_of_mixtures_end_in_their_parts(name: str) -> None:
    row = refdata.row("mixture", name)
    first, second = (refdata.solvent(part) for part in row.parts)
    assert refdata.mixture(*row.parts) is refdata.mixture(*reversed(row.parts)) is row
    for field in ("density", "viscosity", "refractive_index", "specific_heat", "sound_speed"):
        table = getattr(row, field)
        if table is not None:
            assert table.mass_fraction[0] == 0.0
            assert table.mass_fraction[-1] == 1.0
            assert table.values[-1] == pytest.approx(float(getattr(first, field)), rel=1e-9)
            assert table.values[0] == pytest.approx(float(getattr(second, field)), rel=1e-9)
    assert refdata.mixture("acetone", "water") is None


@pytest.mark.parametrize("name", [name for name in NAMES["surfactant"] if name != "none"])
def test_surfactants_make_micelles_and_say_what_they_do(name: str) -> None:
    row = refdata.surfactant(name)
    assert row.micelle_concentration.low < float(row.micelle_concentration) < row.micelle_concentration.high
    assert row.micelle_size.low < float(row.micelle_size) < row.micelle_size.high
    assert "eyes" in row.hazards


@pytest.mark.parametrize("name", NAMES["glass"])
def test_glass_curves_pass_half_at_their_edge(name: str) -> None:
    row = refdata.glass(name)
    curve = row.absorption_coefficient
    assert curve.edge is not None
    through = np.exp(-1e-3 * np.array(curve.values))
    assert np.interp(float(curve.edge), curve.wavelength, through) == pytest.approx(0.5, abs=0.01)
    visible = [t for w, t in zip(curve.wavelength, through, strict=True) if 450e-9 < w < 2200e-9]
    assert min(visible) > 0.98


@pytest.mark.parametrize("name", [name for name in NAMES["filter"] if name != "none"])
def test_filter_passes_half_at_its_edge(name: str) -> None:
    curve = refdata.filter_jacket(name).transmission
    assert curve is not None
    assert curve.edge is not None
    assert np.interp(float(curve.edge), curve.wavelength, curve.values) == pytest.approx(0.5, abs=0.01)
    assert max(curve.values) <= 1


def test_nothing_where_nothing_is_chosen() -> None:
    assert refdata.coolant("none").absorption_coefficient is None
    assert refdata.filter_jacket("none").transmission is None
    assert refdata.quencher("none").triplet_quenching_rate is None


def test_metal_thresholds_stay_below_their_melt_bounds() -> None:
    # adiabatic melt at 10 ns [computed]: silver 9.0, aluminium 1.5 J/cm2
    assert refdata.coating("protected silver").damage_fluence.high <= 9.0e4
    assert refdata.coating("protected aluminium").damage_fluence.high <= 1.5e4


def test_the_page_of_reference_data_shows_every_row(project_root: Path) -> None:
    page = (project_root / "docs" / "reference-data.md").read_text(encoding="utf-8")
    assert page.endswith(reference_sheet())


@pytest.mark.parametrize("name", [name for name in NAMES["wall"] if name != "grey"])
def test_colour_of_a_wall_is_relative_to_the_green(name: str) -> None:
    curve = refdata.wall(name).reflectivity
    assert curve is not None
    assert np.interp(550e-9, curve.wavelength, curve.values) == pytest.approx(1.0, abs=1e-9)
    assert 0 < min(curve.values) < max(curve.values) < 1.3
    assert refdata.wall("grey").reflectivity is None


def test_colours_of_metals_are_where_handbooks_have_them() -> None:
    """Silver is dull at 320 nm, gold in the blue, aluminium dips at 825 nm (handbooks, from memory)."""

    def at(name: str, wavelength: float) -> float:
        curve = refdata.wall(name).reflectivity
        assert curve is not None
        return float(np.interp(wavelength, curve.wavelength, curve.values))

    assert at("silver", 318e-9) < 0.15
    assert at("silver", 400e-9) > 0.9
    assert at("gold", 450e-9) < 0.55
    assert at("gold", 650e-9) > 1.1
    assert at("aluminium", 825e-9) < min(at("aluminium", 600e-9), at("aluminium", 1000e-9))
    assert at("aluminium", 250e-9) > at("white fluoropolymer", 250e-9) * 0.95 > at("barium sulphate", 250e-9) * 0.9
