"""The lamp-law study: through the bench, as JSON, and as the table of the command."""

from __future__ import annotations

import json
from pathlib import Path

import numpy as np
import pytest
from click.testing import CliRunner

import pulsewright as pw
from pulsewright import cli, machine
from pulsewright.errors import BuildError
from pulsewright.physics.lamp.resistivity import square_law_resistivity
from pulsewright.studies.lamp_law import CURRENT_DENSITIES, lamp_law
from pulsewright.workbench.maps import LampCurve, LampLaw


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "laser.toml").write_text(machine.bench_text("tidewater"), encoding="utf-8")
    return tmp_path


def study(folder: Path, **changes: str) -> LampLaw:
    return pw.open(folder).lamp_law({path.replace("__", "."): value for path, value in changes.items()})


def only(found: LampLaw) -> LampCurve:
    (curve,) = found.curves
    return curve


def test_like_lamps_share_a_curve_and_unlike_do_not(folder: Path) -> None:
    assert only(study(folder)).lamps == ("east", "west")
    assert len(study(folder, lamps__east__bore="6 mm").curves) == 2


def test_range_holds_the_value_and_the_law_is_the_published_one(folder: Path) -> None:
    curve = only(study(folder))
    assert np.all(curve.resistivity_low < curve.resistivity)
    assert np.all(curve.resistivity < curve.resistivity_high)
    expected = np.asarray(square_law_resistivity(CURRENT_DENSITIES)) * (curve.fill_pressure / 59995.1) ** 0.2
    assert curve.law == pytest.approx(expected, rel=1e-5)


def test_the_plasma_leaves_the_law_for_spitzer(folder: Path) -> None:
    """Inside the law's range within a quarter of it; at 30 kA/cm^2 within a tenth of Spitzer and far above the law."""
    found = study(folder)
    curve = only(found)
    middle = found.covered & (found.current_density > 2e7) & (found.current_density < 7e7)
    assert np.all(np.abs(curve.resistivity / curve.law - 1)[middle] < 0.25)
    high = int(np.argmin(np.abs(found.current_density - 30e7)))
    assert 1.0 <= curve.resistivity[high] / curve.spitzer[high] < 1.1
    assert curve.resistivity[high] > 1.4 * curve.law[high]


def test_heat_is_radiated_or_conducted(folder: Path) -> None:
    curve = only(study(folder))
    assert np.all(curve.band_fraction < curve.radiated_fraction)
    assert np.all(curve.radiated_fraction <= 1.0)
    # conduction counts at low current density and not at high
    assert curve.radiated_fraction[0] < 0.9
    assert curve.radiated_fraction[20] > 0.98
    assert curve.wall_resistivity[0] > 1.01 * curve.resistivity[0]


@pytest.mark.parametrize("gas", ["argon", "air"])
def test_no_law_is_made_up(folder: Path, gas: str) -> None:
    found = study(folder, lamps__east__gas=gas, lamps__west__gas=gas)
    assert np.all(np.isnan(only(found).law))
    assert [finding.grade for finding in found.findings] == ["note"]
    assert (
        only(
            study(
                folder,
                lamps__east__second_gas="argon",
                lamps__east__second_gas_fraction="0.2",
                lamps__west__second_gas="argon",
                lamps__west__second_gas_fraction="0.2",
            )
        ).gas
        == "xenon with argon"
    )


def test_json_has_every_curve_and_no_nan(folder: Path) -> None:
    found = study(folder, lamps__east__gas="argon", lamps__west__gas="argon")
    told = json.loads(json.dumps(found.as_dict(), allow_nan=False))
    assert told["kind"] == "lamp law"
    assert told["curves"][0]["law"] == [None] * len(told["current_density"])
    assert len(told["curves"][0]["resistivity_low"]) == len(told["current_density"])


def test_command_prints_a_table_and_json(folder: Path) -> None:
    printed = CliRunner().invoke(cli.app, ["study", "lamp-law", str(folder)])
    assert printed.exit_code == 0
    assert "Spitzer" in printed.output
    assert "east, west: xenon" in printed.output
    asked = CliRunner().invoke(cli.app, ["study", "lamp-law", str(folder), "--json"])
    assert json.loads(asked.output)["kind"] == "lamp law"


def test_a_faulty_build_is_told() -> None:
    build = machine.load_text(machine.bench_text("tidewater")).build
    assert build is not None
    with pytest.raises(BuildError):
        lamp_law(build.override({"lamps.east.second_gas": "krypton"}))
