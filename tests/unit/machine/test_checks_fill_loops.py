"""Checks of dye loops: what is not used, what is missing, what does not fit the cell."""

from __future__ import annotations

import pytest

from pulsewright import machine

#: The cell of tidewater holds 8.55 cm^3.
BASE: dict[str, dict[str, str | float]] = {"main": {"method": "closed loop", "volume": "6 L"}}
FED = {"method": "bleed and feed", "volume": "6 L"}
BED = {"bed_flow": "0.5 L/min", "bed_product_removal": 0.9, "bed_dye_removal": 0.8}


def findings(loops: dict[str, dict[str, str | float]], without: str = "") -> dict[str, tuple[str, str]]:
    """Grade and message by path of tidewater with these loops."""
    text = machine.bench_text("tidewater")
    lines = text[: text.index("[loops.main]")].splitlines()
    lines = [line for line in lines if not (without and line.startswith(without))]
    for name, table in loops.items():
        lines.append(f"[loops.{name}]")
        lines += [f"{key} = {value!r}".replace("'", '"') for key, value in table.items()]
    lines.append(text[text.index("[resonator]") :])
    found = machine.load_text("\n".join(lines)).findings
    for finding in found:
        assert finding.allowed, finding
        assert finding.next_step, finding
    return {row.path: (row.grade, row.message) for row in found if row.path.split(".")[0] in ("loops", "charger")}


@pytest.mark.parametrize(
    "loops",
    [
        BASE,
        {"main": {**FED, "volume_per_shot": "20 cm^3"}},
        {"main": FED},
        {"main": {"method": "fresh fill"}},
        {"main": {"method": "stagnant"}},
        {"main": {"method": "regenerated", "volume": "6 L", "flow": "3 L/min", **BED}},
        {},
    ],
    ids=str,
)
def test_whole_loops_have_no_finding(loops: dict[str, dict[str, str | float]]) -> None:
    assert findings(loops) == {}


CASES = {
    "a stagnant fill with a flow": ({"method": "stagnant", "flow": "1 L/min"}, "flow", "warning", "has no flow"),
    "a stagnant fill with a bed": ({"method": "stagnant", **BED}, "bed_flow", "warning", "there is no carbon bed"),
    "a bed that nothing uses": (
        {**BASE["main"], "bed_dye_removal": 0.9},
        "bed_dye_removal",
        "warning",
        "dye removal is not used",
    ),
    "a feed that nothing uses": (
        {**BASE["main"], "volume_per_shot": "20 cm^3"},
        "volume_per_shot",
        "warning",
        "volume of a shot is not used",
    ),
    "a bed that is not known": (
        {"method": "regenerated", "volume": "6 L", "bed_flow": "1 L/min", "bed_dye_removal": 0.9},
        "bed_product_removal",
        "warning",
        "needs its product removal",
    ),
    "a bed that takes more than there is": (
        {"method": "regenerated", "volume": "6 L", "flow": "0.2 L/min", **BED},
        "bed_flow",
        "warning",
        "is more than the",
    ),
    "a loop of unknown volume": ({"method": "closed loop"}, "volume", "note", "how long the fill lasts"),
    "a loop smaller than its cell": (
        {"method": "closed loop", "volume": "5 cm^3"},
        "volume",
        "error",
        "less than the cell alone holds, 8.55 cm^3",
    ),
    "a feed larger than the loop": (
        {**FED, "volume_per_shot": "7 L"},
        "volume_per_shot",
        "error",
        "is more than the loop holds, 6.00 L",
    ),
    "a fresh fill that does not fill the cell": (
        {"method": "fresh fill", "volume_per_shot": "5 cm^3"},
        "volume_per_shot",
        "warning",
        "does not fill the cell",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_findings_of_a_loop(case: str) -> None:
    table, key, grade, words = CASES[case]
    found = findings({"main": table})
    assert found[f"loops.main.{key}"][0] == grade
    assert words in found[f"loops.main.{key}"][1]


def test_of_several_loops_one_is_told() -> None:
    grade, message = findings({**BASE, "second": {"method": "stagnant"}})["loops.second"]
    assert grade == "note"
    assert "is told of main" in message


def test_a_bed_needs_the_time_between_shots() -> None:
    loops = {"main": {"method": "regenerated", "volume": "6 L", **BED}}
    assert findings(loops, without="repeat_period")["charger.repeat_period"][0] == "warning"


def test_no_example_bench_has_a_finding_of_its_loop() -> None:
    for name in machine.BENCHES:
        loaded = machine.load_text(machine.bench_text(name))
        assert loaded.build is not None
        assert not [row for row in loaded.findings if row.path.startswith("loops")], name
