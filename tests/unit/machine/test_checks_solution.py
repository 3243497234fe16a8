"""The dye solution as typed: solvents, surfactant, amount, temperature and index that do not go together."""

from __future__ import annotations

import pytest

from pulsewright import machine, refdata

TIDEWATER = machine.bench_text("tidewater")
SOLVENT = 'solvent = "ethanol"\n'


def findings(dye: str = "", solvent: str = "ethanol", **entries: str) -> machine.Loaded:
    """Tidewater with lines of [dye] added or set."""
    text = TIDEWATER.replace(SOLVENT, f'solvent = "{solvent}"\n{dye}', 1)
    if entries:
        start, end = text.index("[dye]"), text.index("[", text.index("[dye]") + 5)
        rows = text[start:end].splitlines()
        rows = [row for row in rows if row.split(" =")[0] not in entries]
        rows += [f"{key} = {value}" for key, value in entries.items()]
        text = text[:start] + "\n".join(rows) + "\n\n" + text[end:]
    return machine.load_text(text)


def only(found: machine.Loaded, grade: str, path: str) -> str:
    """Words of the only finding."""
    (finding,) = found.findings
    assert (finding.grade, finding.path) == (grade, path), str(finding)
    assert finding.file == "laser.toml"
    assert finding.line > 100
    assert finding.allowed
    assert finding.next_step
    assert (found.build is None) == (grade == "error")
    return str(finding)


def test_the_bench_itself_is_sound() -> None:
    assert findings().findings == ()


# Solvents --------------------------------------------------------------------------------------


def test_a_second_solvent_without_its_part() -> None:
    words = only(findings('second_solvent = "water"\n'), "error", "dye.second_solvent")
    assert "second_solvent_fraction = 0.3" in words


def test_a_second_solvent_with_an_unknown_part() -> None:
    found = findings('second_solvent = "water"\nsecond_solvent_fraction = "unknown"\n')
    assert "best estimate" in only(found, "error", "dye.second_solvent_fraction")


def test_a_part_without_second_solvent() -> None:
    assert "not used" in only(findings("second_solvent_fraction = 0.3\n"), "warning", "dye.second_solvent_fraction")


def test_the_same_solvent_twice() -> None:
    found = findings('second_solvent = "ethanol"\nsecond_solvent_fraction = 0.3\n')
    assert "ethanol is mixed into ethanol" in only(found, "warning", "dye.second_solvent")


# Surfactant ------------------------------------------------------------------------------------

SURFACTANT = next(name for name in refdata.names()["surfactant"] if name != "none")


def test_a_surfactant_without_water() -> None:
    found = findings(f'surfactant = "{SURFACTANT}"\nsurfactant_concentration = "0.1 mol/L"\n')
    assert "in water alone" in only(found, "warning", "dye.surfactant")


def test_a_surfactant_with_some_water_is_sound() -> None:
    found = findings(
        f'surfactant = "{SURFACTANT}"\nsurfactant_concentration = "0.1 mol/L"\n'
        'second_solvent = "water"\nsecond_solvent_fraction = 0.9\n'
    )
    assert found.findings == ()


def test_a_surfactant_of_no_amount() -> None:
    found = findings(
        f'surfactant = "{SURFACTANT}"\nsurfactant_concentration = "0 mol/L"\n'
        'second_solvent = "water"\nsecond_solvent_fraction = 0.9\n'
    )
    assert "its concentration is 0" in only(found, "warning", "dye.surfactant_concentration")


def test_an_amount_of_no_surfactant() -> None:
    found = findings('surfactant_concentration = "0.1 mol/L"\n')
    assert "no surfactant is named" in only(found, "warning", "dye.surfactant_concentration")


# Amount ----------------------------------------------------------------------------------------


def test_more_dye_than_dissolves() -> None:
    most = refdata.solubility("rhodamine 6G", "ethanol")
    assert most is not None
    assert most.high is not None
    for amount, grade in ((1.5 * most.high, "limit"), (0.5 * (most.value + most.high), "warning")):
        words = only(findings(concentration=f'"{amount} mol/m^3"'), grade, "dye.concentration")
        assert "does not dissolve in ethanol" in words
    assert findings(concentration=f'"{0.9 * most.value} mol/m^3"').findings == ()


def test_an_amount_that_no_dye_dissolves_to() -> None:
    solvent = next(name for name in refdata.names()["solvent"] if refdata.solubility("rhodamine 6G", name) is None)
    found = findings(solvent=solvent, concentration='"0.3 mol/L"')
    (words,) = [str(finding) for finding in found.findings if finding.path == "dye.concentration"]
    assert "more than laser dyes are known to dissolve to" in words
    assert "the solubility of rhodamine 6G is not known here" in words


# Temperature -----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("solvent", "temperature", "words"),
    [
        ("ethanol", "80 degC", "ethanol boils at 78"),
        ("water", "-5 degC", "water freezes at 0"),
        ("water", "101 degC", "water boils at 100"),
        ("ethylene glycol", "-20 degC", "ethylene glycol freezes at -1"),
    ],
)
def test_a_solution_that_freezes_or_boils(solvent: str, temperature: str, words: str) -> None:
    found = findings(solvent=solvent, temperature=f'"{temperature}"')
    assert words in only(found, "limit", "dye.temperature")


def test_a_mixture_that_freezes_is_a_warning() -> None:
    found = findings('second_solvent = "water"\nsecond_solvent_fraction = 0.5\n', temperature='"-5 degC"')
    assert "water as a part of the mixture freezes" in only(found, "warning", "dye.temperature")
    assert findings(temperature='"-5 degC"').findings == (), "ethanol alone does not"


# Index -----------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("index", "grade"), [("0.9", "error"), ("1.9", "error"), ("1.5", "warning"), ("1.25", "warning")]
)
def test_an_index_that_no_solution_has(index: str, grade: str) -> None:
    only(findings(f"refractive_index = {index}\n"), grade, "dye.refractive_index")


@pytest.mark.parametrize("index", ["1.361", "1.33", "1.40"])
def test_an_index_near_that_of_the_solvent(index: str) -> None:
    assert findings(f"refractive_index = {index}\n").findings == ()
