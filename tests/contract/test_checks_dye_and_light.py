"""The table of checks of light and dye: every file and test that it names is there, and every check has a row."""

from __future__ import annotations

import ast
import re
from pathlib import Path

TESTS = Path(__file__).resolve().parents[1]
PAGE = TESTS.parent / "docs" / "checks-dye-and-light.md"
ROW = re.compile(
    r"^\| (?P<figure>.+?) \| (?P<tag>[a-z]+) \| `(?P<file>[\w/]+\.py)::(?P<test>\w+)` \| (?P<result>.+) \|$"
)
TAGS = {"source", "secondary", "memory", "library", "computed"}
#: Files of published figures that this page must tell in full.
SUBJECT = re.compile(r"pulsewright\.physics\.(dye|chamber|thermal)|refdata\.dye\(|compute_shot")
#: Rooms of tests that hold figures from outside; a computed one may stand beside the records it belongs to, a
#: remembered relation beside the stage that has to show it.
ROOMS = {"published", "routes", "unit", "invariants", "convergence"}
RELATIONS = ("(a relation)", "(a trend)")


def rows() -> list[re.Match[str]]:
    """Rows of every table but the last one, whose figures have no test."""
    found = []
    for line in PAGE.read_text("utf-8").partition("## Known of, and not checked")[0].splitlines():
        if line.startswith("| ") and not line.startswith("| figure"):
            match = ROW.match(line)
            assert match, line
            found.append(match)
    return found


def collected(path: Path) -> set[str]:
    """Names of the tests that a file holds, as they are collected."""
    return {
        node.name
        for node in ast.parse(path.read_text("utf-8")).body
        if isinstance(node, ast.FunctionDef) and node.name.startswith("test_")
    }


def test_every_row_names_a_test_that_is_collected() -> None:
    missing = [
        f"{row['file']}::{row['test']}"
        for row in rows()
        if not (TESTS / row["file"]).is_file()
        or not Path(row["file"]).name.startswith("test_")
        or row["test"] not in collected(TESTS / row["file"])
    ]
    assert not missing, missing
    assert len(rows()) > 90


def fits(row: re.Match[str]) -> bool:
    """Whether the tag may stand in that room."""
    room = row["file"].split("/")[0]
    if row["tag"] == "memory" and row["result"].endswith(RELATIONS):
        return room in ROOMS
    if row["tag"] == "computed":
        return room in {"published", "routes", "convergence"}
    return room == ("routes" if row["tag"] == "library" else "published")


def test_tags_and_rooms_fit() -> None:
    """Confirmed and remembered figures stand in `published`, those of libraries in `routes`; none is told twice."""
    wrong = [row[0] for row in rows() if row["tag"] not in TAGS or not fits(row)]
    assert not wrong, wrong
    places = [(row["file"], row["test"]) for row in rows()]
    assert len(set(places)) == len(places)


def test_known_deviations_are_called_so_on_both_sides() -> None:
    for row in rows():
        said = row["result"].startswith("known deviation: ")
        assert said or row["result"].startswith("pass"), row[0]
        assert said == ("known_deviation" in row["test"]), row[0]


def test_every_published_file_on_light_and_dye_is_told_in_full() -> None:
    """A check that has no row, or one that is left out, would be lost among the rest."""
    told = {(row["file"], row["test"]) for row in rows()}
    files = [path for path in (TESTS / "published").glob("*.py") if SUBJECT.search(path.read_text("utf-8"))]
    assert len(files) >= 8
    missing = [
        f"published/{path.name}::{test}"
        for path in files
        for test in sorted(collected(path))
        if (f"published/{path.name}", test) not in told
    ]
    # not a figure of anybody's: that a table of this file covers every dye
    assert missing == ["published/test_dye_records.py::test_every_dye_has_its_formula_here"]
